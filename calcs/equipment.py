"""Heating and cooling equipment: from the hour's load to fuel, with part load and weather.

Burners follow the linear input-output line: an idle loss while the system is on call, and the
steady-state efficiency for what is given. A flue test of today sets the steady-state figure as it
is; a nameplate AFUE is first lowered for age and then turned back into a steady-state figure.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calcs.equipment_tables import vintage, vintage_afue
from calcs.inputs import CoolingSystem, HeatingSystem
from calcs.lifetimes import degraded_efficiency
from calcs.network import FloatArray

# Idle loss while on call as a share of full input, by kind and vent; common practice, no source,
# set so that old atmospheric boilers come out near 70 to 76 % over the season.
IDLE_SHARE = {
    ("boiler", "steam_pipes", "atmospheric"): 0.025,
    ("boiler", "hot_water_pipes", "atmospheric"): 0.015,
    ("furnace", "ducts", "atmospheric"): 0.012,
    ("wall_furnace", "room", "atmospheric"): 0.012,
}
IDLE_SHARE_INDUCED = 0.006
# Newer atmospheric units have vent dampers and no standing pilot.
IDLE_SHARE_DAMPERED, DAMPERED_FROM_YEAR = 0.008, 2012
IDLE_SHARE_SEALED = 0.003
# Load fraction of the rating test's season (memory): oversizing 0.7, mean load near 22.5 %.
RATING_LOAD_FRACTION = 0.225
UNKNOWN_AGE_YEARS = 15.0
OLDEST_AGE_YEARS = 20.0  # beyond it the yearly loss is no longer believed
LEAST_STEADY = 0.55
# Flue gas that must not condense leaves this much at most in the heat (common practice).
MOST_STEADY_DRY, MOST_STEADY_CONDENSING = 0.87, 0.975

# Heat pumps: COP and capacity by outdoor temperature, anchored to the seasonal rating; slopes as
# of usual products between the rating points of 47 and 17 °F. Common practice, no source.
COP_AT_8C_OVER_SEASONAL = 1.37
COP_AT_M8C_OVER_SEASONAL = 0.95
CAPACITY_AT_M8C = 0.62
CAPACITY_FLOOR = 0.30
RATING_WARM_C, RATING_COLD_C = 8.3, -8.3
# Cooling: COP falls about 1.8 % per kelvin above the seasonal test's mean of 82 °F.
COOLING_TEST_C = 27.8
COOLING_SLOPE_PER_K = 0.018

FAN_W_PER_M3_S = 0.5 / 0.0004719474  # 0.5 W per cfm (memory)
AIRFLOW_M3_S_PER_W = 0.0004719474 * 130.0 / 2931.0  # 130 cfm per 10,000 Btu/h of heat; practice
PUMP_W = 85.0
INDUCER_W = 60.0
LATENT_COIL_LIMIT = 0.35  # largest latent share a usual coil takes; common practice, no source


@dataclass(frozen=True, eq=False, kw_only=True)
class Burned:
    """Energy of one system by hour, by fuel, and its fans and pumps. [W]"""

    by_fuel: dict[str, FloatArray]
    fan_pump_w: FloatArray
    short_hours: int


def is_heat_pump(system: HeatingSystem) -> bool:
    """Whether a heating system is a heat pump of any kind."""
    return system.kind in ("heat_pump", "ductless_heat_pump")


def idle_share(system: HeatingSystem) -> float:
    """Idle loss as a share of full input. [-]"""
    if system.fuel == "electricity":
        return 0.0
    if system.vent == "atmospheric":
        if (system.year_installed or 0) >= DAMPERED_FROM_YEAR:
            return IDLE_SHARE_DAMPERED
        return IDLE_SHARE.get((system.kind, system.distribution, system.vent), 0.012)
    return IDLE_SHARE_INDUCED if system.vent == "induced_draft" else IDLE_SHARE_SEALED


def age_years(system: HeatingSystem, year: int) -> float:
    """Age for degradation; an unknown one reads as middle-aged, not as new. [yr]"""
    if system.year_installed is None:
        return UNKNOWN_AGE_YEARS
    return min(max(float(year - system.year_installed), 0.0), OLDEST_AGE_YEARS)


def rated_afue(system: HeatingSystem) -> float:
    """Nameplate AFUE, or the default of its vintage where none was recorded. [-]"""
    if system.efficiency is not None:
        return system.efficiency
    band = vintage(system.year_installed or 1980)
    if system.fuel == "fuel_oil":
        return vintage_afue("oil", band)
    return vintage_afue("gas_boiler" if system.kind == "boiler" else "gas_furnace", band)


def steady_state(system: HeatingSystem, *, year: int) -> float:
    """Steady-state efficiency today. [-]

    A flue test of today is taken as it is and never aged.
    """
    if system.fuel == "electricity":
        return 1.0
    if system.steady_state_efficiency is not None:
        return system.steady_state_efficiency
    aged = degraded_efficiency(
        rated_afue(system),
        age_years=age_years(system, year),
        equipment="oil_heating" if system.fuel == "fuel_oil" else "gas_heating",
        has_annual_service=system.service == "annual",
    )
    part = RATING_LOAD_FRACTION
    idle = idle_share(system) * (1.0 - part) / part
    is_condensing = system.is_condensing or rated_afue(system) > 0.88
    most = MOST_STEADY_CONDENSING if is_condensing else MOST_STEADY_DRY
    return min(max(1.0 / (1.0 / aged - idle), LEAST_STEADY), most)


def burn(
    system: HeatingSystem,
    load_w: FloatArray,
    outdoor_c: FloatArray,
    *,
    year: int,
    fan_flow_m3_per_s: float | None,
) -> Burned:
    """Energy of a heating system for the heat it has to give, hour by hour. [W]"""
    if is_heat_pump(system):
        return _heat_pump(system, load_w, outdoor_c)
    steady = steady_state(system, year=year)
    input_capacity = system.capacity_w / steady
    part = np.minimum(load_w / system.capacity_w, 1.0)
    idle = np.where(load_w > 0.0, idle_share(system) * input_capacity * (1.0 - part), 0.0)
    site = load_w / steady + idle + system.pilot_w
    fans = part * _fan_pump_w(system, fan_flow_m3_per_s)
    return Burned(
        by_fuel={system.fuel: site},
        fan_pump_w=fans,
        short_hours=int((load_w > 1.02 * system.capacity_w).sum()),
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


def heat_pump_cop(system: HeatingSystem, outdoor_c: FloatArray) -> FloatArray:
    """COP by outdoor temperature, compressor alone. [-]"""
    seasonal = system.seasonal_cop if system.seasonal_cop is not None else 2.2
    warm, cold = COP_AT_8C_OVER_SEASONAL * seasonal, COP_AT_M8C_OVER_SEASONAL * seasonal
    slope = (warm - cold) / (RATING_WARM_C - RATING_COLD_C)
    return np.clip(cold + slope * (outdoor_c - RATING_COLD_C), 1.0, 1.25 * warm)


def _heat_pump(system: HeatingSystem, load_w: FloatArray, outdoor_c: FloatArray) -> Burned:
    slope = (1.0 - CAPACITY_AT_M8C) / (RATING_WARM_C - RATING_COLD_C)
    share = CAPACITY_AT_M8C + slope * (outdoor_c - RATING_COLD_C)
    capacity = system.capacity_w * np.clip(share, CAPACITY_FLOOR, 1.2)
    if system.lockout_c is not None:
        capacity = np.where(outdoor_c < system.lockout_c, 0.0, capacity)
    pumped = np.minimum(load_w, capacity)
    rest = load_w - pumped
    by_fuel = {"electricity": pumped / heat_pump_cop(system, outdoor_c)}
    short = 0
    if system.backup_fuel:
        extra = rest / system.backup_efficiency
        by_fuel[system.backup_fuel] = by_fuel.get(system.backup_fuel, 0.0) + extra
    else:
        short = int((rest > 0.02 * system.capacity_w).sum())
        by_fuel["electricity"] = by_fuel["electricity"] + rest
    # The rating counts the fan; none is added.
    return Burned(by_fuel=by_fuel, fan_pump_w=np.zeros_like(load_w), short_hours=short)


def cool(
    system: CoolingSystem,
    sensible_w: FloatArray,
    latent_w: FloatArray,
    outdoor_c: FloatArray,
) -> FloatArray:
    """Electricity of a cooling system by hour. [W]

    Latent heat up to the coil's share comes with the sensible load; the rest stays in the house.
    """
    limit = LATENT_COIL_LIMIT / (1.0 - LATENT_COIL_LIMIT) * sensible_w
    total = sensible_w + np.minimum(latent_w, limit)
    factor = 1.0 - COOLING_SLOPE_PER_K * (outdoor_c - COOLING_TEST_C)
    cop = system.seasonal_cop * np.clip(factor, 0.6, 1.3)
    power: FloatArray = total / cop
    return power
