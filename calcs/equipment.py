"""Heating and cooling equipment: from the hour's load to fuel, with part load and weather.

Burners are in `burners`, heat pumps in `heat_pumps`, coils in `cooling_coils`; here each system
finds its own, with the electricity of its fans and pumps.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calcs.burners import (
    SHORT_AFTER_H,
    behind_wh,
    burner_site_w,
    idle_share,
    short_hours,
    steady_state,
)
from calcs.cooling_coils import cool
from calcs.heat_pumps import heat_pump_cop, pump_capacity_w, pumped_and_rest
from calcs.inputs import HeatingSystem
from calcs.network import FloatArray

__all__ = [
    "Burned",
    "burn",
    "cool",
    "heat_pump_cop",
    "idle_share",
    "is_heat_pump",
    "steady_state",
]

FAN_W_PER_M3_S = 0.5 / 0.0004719474  # 0.5 W per cfm (memory)
AIRFLOW_M3_S_PER_W = 0.0004719474 * 130.0 / 2931.0  # 130 cfm per 10,000 Btu/h of heat; practice
PUMP_W = 85.0
INDUCER_W = 60.0
# Winter design where no weather is at hand. [°C]
USUAL_DESIGN_C = -10.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Burned:
    """Energy of one system by hour, by fuel, and its fans and pumps. [W]"""

    by_fuel: dict[str, FloatArray]
    fan_pump_w: FloatArray
    short_hours: int


def is_heat_pump(system: HeatingSystem) -> bool:
    """Whether a heating system is a heat pump of any kind."""
    return system.kind in ("heat_pump", "ductless_heat_pump")


def burn(
    system: HeatingSystem,
    load_w: FloatArray,
    outdoor_c: FloatArray,
    *,
    year: int,
    fan_flow_m3_per_s: float | None,
    design_outdoor_c: float = USUAL_DESIGN_C,
    regain: float = 0.0,
) -> Burned:
    """Energy of a heating system for the heat it has to give, hour by hour.

    Parameters
    ----------
    system : HeatingSystem
    load_w, outdoor_c : ndarray, shape (hours,)
        Heat asked of the system, and outdoor air. [W], [°C]
    year : int
        Calendar year from which its age counts.
    fan_flow_m3_per_s : float or None
        Measured air flow, for the fan's power. [m³/s]
    design_outdoor_c : float
        Winter design, where outdoor reset gives the hottest water. [°C]
    regain : float
        Part of the jacket loss that warms the house. [-]

    Returns
    -------
    Burned
        Powers, and the hours that end more than an hour of full output behind.
    """
    if is_heat_pump(system):
        return _heat_pump(system, load_w, outdoor_c)
    site, part = burner_site_w(
        system,
        load_w,
        outdoor_c,
        year=year,
        design_outdoor_c=design_outdoor_c,
        regain=regain,
    )
    return Burned(
        by_fuel={system.fuel: site},
        fan_pump_w=part * _fan_pump_w(system, fan_flow_m3_per_s),
        short_hours=short_hours(load_w, system.capacity_w),
    )


def _fan_pump_w(system: HeatingSystem, fan_flow_m3_per_s: float | None) -> float:
    if system.fan_pump_w is not None:
        return system.fan_pump_w
    if system.distribution == "ducts":
        flow = fan_flow_m3_per_s or AIRFLOW_M3_S_PER_W * system.capacity_w
        return FAN_W_PER_M3_S * flow
    if system.distribution == "hot_water_pipes":
        return PUMP_W
    return INDUCER_W if system.vent in ("induced_draft", "power_vented") else 0.0


def _heat_pump(system: HeatingSystem, load_w: FloatArray, outdoor_c: FloatArray) -> Burned:
    pumped, power, rest = pumped_and_rest(system, load_w, outdoor_c)
    by_fuel = {"electricity": power}
    short = 0
    if system.backup_fuel:
        extra = rest / system.backup_efficiency
        by_fuel[system.backup_fuel] = by_fuel.get(system.backup_fuel, 0.0) + extra
    else:
        # Without a back-up what is missing is made up with plug-in heaters, and said so.
        owed = behind_wh(load_w, pump_capacity_w(system, outdoor_c))
        short = int((owed > SHORT_AFTER_H * system.capacity_w).sum())
        by_fuel["electricity"] = power + rest
    # The rating counts the fan; none is added.
    return Burned(by_fuel=by_fuel, fan_pump_w=np.zeros_like(pumped), short_hours=short)
