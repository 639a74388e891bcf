"""Cooling coils: sensible and latent heat by the room's humidity, power by both wet and dry bulb.

A coil cools a part of its air down to one surface temperature and lets the rest by. The surface is
the one that gives a usual unit's sensible share at the rating point (80 °F dry, 67 °F wet bulb),
and is colder over a drier or cooler room, because the unit goes on taking nearly the same heat.
The room's humidity follows from a moisture balance by the hour: air that leaks in, what people and
pots give off, what the coil takes, and what walls and furniture hold.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from scipy.optimize import brentq

from calcs._jit import compiled
from calcs.burners import SHORT_AFTER_H, behind_wh
from calcs.heat_pumps import part_load_factor
from calcs.inputs import CoolingSystem
from calcs.network import FloatArray
from calcs.weather import WeatherYear

AIR_KG_PER_M3 = 1.2
AIR_CP_J_PER_KG_K = 1006.0
VAPOR_CP_J_PER_KG_K = 1860.0
VAPOR_AT_ZERO_J_PER_KG = 2.501e6
LATENT_HEAT_J_PER_KG = 2.45e6
# The rating point of coils: 80 °F dry and 67 °F wet bulb at sea level, humidity ratio 0.0112.
RATED_DRY_BULB_C, RATED_WET_BULB_C, RATED_RATIO = 26.67, 19.44, 0.01117
RATED_SENSIBLE_SHARE = 0.75  # of usual units at the rating point; common practice, no source
# What furniture and walls hold of moisture, as multiples of the room's air; common practice, no
# source (10 to 20).
MOISTURE_HOLDING = 15.0
START_RATIO = 0.007

# By outdoor temperature: the seasonal rating is that of the 82 °F test at half load. COP falls
# about 1.8 %, capacity 0.8 % per kelvin; by the room's wet bulb capacity rises 3.2 % and COP
# 2.9 % per kelvin. Common practice of published unit tables, no source.
COOLING_TEST_C, CAPACITY_TEST_C = 27.8, 35.0
COP_PER_K, CAPACITY_PER_K = 0.018, 0.008
COP_PER_WET_BULB_K, CAPACITY_PER_WET_BULB_K = 0.029, 0.032
RATING_PART_LOAD = 0.5


def saturation_ratio(temperature_c: float, pressure_pa: float = 101_325.0) -> float:
    """Humidity ratio of saturated air (Magnus form). [kg/kg]"""
    vapor = 610.94 * math.exp(17.625 * temperature_c / (243.04 + temperature_c))
    return 0.622 * vapor / (pressure_pa - vapor)


def enthalpy_j_per_kg(dry_c: FloatArray | float, ratio: FloatArray | float) -> Any:
    """Enthalpy of moist air per kilogram of dry air. [J/kg]"""
    vapor = VAPOR_AT_ZERO_J_PER_KG + VAPOR_CP_J_PER_KG_K * dry_c
    return AIR_CP_J_PER_KG_K * dry_c + ratio * vapor


@dataclass(frozen=True)
class CoilLine:
    """Surface temperature of a coil as a line in the enthalpy of the room's air. [°C], [K·kg/J]"""

    rated_surface_c: float
    k_per_j_per_kg: float

    def surface_c(self, room_c: float, ratio: float) -> float:
        """Surface over a room in a given state. [°C]"""
        rated = enthalpy_j_per_kg(RATED_DRY_BULB_C, RATED_RATIO)
        above = float(enthalpy_j_per_kg(room_c, ratio) - rated)
        return self.rated_surface_c + self.k_per_j_per_kg * above


@lru_cache(maxsize=4)
def coil_line(sensible_share: float = RATED_SENSIBLE_SHARE) -> CoilLine:
    """The coil that has a sensible share at the rating point and usual air flow.

    The air that passes the surface gives up the unit's heat; what a unit takes follows the room's
    wet bulb as `CAPACITY_PER_WET_BULB_K` says, so the surface can be solved for at two states.
    """

    def share_at(surface: float) -> float:
        dropped = enthalpy_j_per_kg(RATED_DRY_BULB_C, RATED_RATIO) - _saturated(surface)
        return float(AIR_CP_J_PER_KG_K * (RATED_DRY_BULB_C - surface) / dropped)

    rated = float(brentq(lambda surface: share_at(surface) - sensible_share, 4.0, 15.0))
    rated_j = float(enthalpy_j_per_kg(RATED_DRY_BULB_C, RATED_RATIO))
    drop_j = rated_j - _saturated(rated)

    def surface_at(above_j: float) -> float:
        enthalpies, bulbs = _wet_bulb_table()
        excess = float(np.interp(rated_j + above_j, enthalpies, bulbs)) - RATED_WET_BULB_C
        dropped = drop_j * (1.0 + CAPACITY_PER_WET_BULB_K * excess)
        wanted = rated_j + above_j - dropped
        return float(brentq(lambda surface: _saturated(surface) - wanted, -15.0, 30.0))

    low, high = -9000.0, 5000.0
    return CoilLine(rated, (surface_at(high) - surface_at(low)) / (high - low))


@lru_cache(maxsize=1)
def _wet_bulb_table() -> tuple[FloatArray, FloatArray]:
    bulbs = np.arange(-10.0, 36.0, 1.5)
    return np.array([_saturated(float(bulb)) for bulb in bulbs]), bulbs


def wet_bulb_excess_k(room_c: FloatArray | float, ratio: FloatArray | float) -> Any:
    """The room's wet bulb less that of the rating point. [K]

    The wet bulb is taken as the temperature of saturated air of the same enthalpy.
    """
    enthalpies, bulbs = _wet_bulb_table()
    return np.interp(enthalpy_j_per_kg(room_c, ratio), enthalpies, bulbs) - RATED_WET_BULB_C


def _saturated(surface_c: float) -> float:
    return float(enthalpy_j_per_kg(surface_c, saturation_ratio(surface_c)))


@lru_cache(maxsize=16)
def humidity_ratio(weather: WeatherYear) -> FloatArray:
    """Humidity ratio of outdoor air by hour, from the dew point (Magnus form). [kg/kg]"""
    dew = weather.dew_point_c
    vapor = 610.94 * np.exp(17.625 * dew / (243.04 + dew))
    ratio: FloatArray = 0.622 * vapor / (weather.pressure_pa - vapor)
    return ratio


def _moisture_loop(
    fresh_kg_per_s: FloatArray,
    fresh_ratio: FloatArray,
    gain_kg_per_s: FloatArray,
    coil_sensible_w: FloatArray,
    room_c: FloatArray,
    surface_0: float,
    surface_per_k: float,
    surface_per_ratio: float,
    held_kg: float,
    start_ratio: float,
    ratio: FloatArray,
    taken_kg_per_s: FloatArray,
) -> None:
    """The room's humidity by the hour, implicit in time; writes into the last two arrays."""
    rate = held_kg / 3600.0
    now = start_ratio
    for hour in range(len(fresh_kg_per_s)):
        inward = rate * now + fresh_kg_per_s[hour] * fresh_ratio[hour] + gain_kg_per_s[hour]
        outward = rate + fresh_kg_per_s[hour]
        taken = 0.0
        if coil_sensible_w[hour] > 0.0:
            surface = surface_0 + surface_per_k * room_c[hour] + surface_per_ratio * now
            vapor = 610.94 * math.exp(17.625 * surface / (243.04 + surface))
            least = 0.622 * vapor / (101_325.0 - vapor)
            coil = coil_sensible_w[hour] / (1006.0 * max(room_c[hour] - surface, 3.0))
            now = inward / outward
            if now > least:
                now = (inward + coil * least) / (outward + coil)
                taken = coil * (now - least)
        else:
            now = inward / outward
        ratio[hour] = now
        taken_kg_per_s[hour] = taken


moisture_loop = compiled(_moisture_loop)


@dataclass(frozen=True, eq=False, kw_only=True)
class RoomMoisture:
    """Humidity of the rooms and latent heat at the coil by hour. [kg/kg], [W]"""

    ratio: FloatArray
    latent_w: FloatArray


def room_moisture(
    *,
    volume_m3: float,
    room_c: FloatArray,
    fresh_m3_per_s: FloatArray,
    fresh_ratio: FloatArray,
    latent_gain_w: FloatArray,
    coil_sensible_w: FloatArray,
    line: CoilLine | None = None,
) -> RoomMoisture:
    """Moisture balance of the rooms over the hours of a year.

    Parameters
    ----------
    volume_m3 : float
        Air of the rooms. [m³]
    room_c, fresh_m3_per_s, fresh_ratio : ndarray, shape (hours,)
        Room air, air that comes in, its humidity ratio. [°C], [m³/s], [kg/kg]
    latent_gain_w, coil_sensible_w : ndarray, shape (hours,)
        Moisture given off inside as latent heat, sensible heat taken at the coil. [W]
    line : CoilLine or None
        The coil; None for that of a usual unit.

    Returns
    -------
    RoomMoisture
        The air that a coil cools from room to surface temperature is the sensible heat over cp
        times that difference; of it the coil takes the moisture above saturation.
    """
    coil = coil_line() if line is None else line
    vapor = VAPOR_AT_ZERO_J_PER_KG + VAPOR_CP_J_PER_KG_K * RATED_DRY_BULB_C
    rated = float(enthalpy_j_per_kg(RATED_DRY_BULB_C, RATED_RATIO))
    hours = len(room_c)
    ratio, taken = np.empty(hours), np.empty(hours)
    moisture_loop(
        np.ascontiguousarray(AIR_KG_PER_M3 * fresh_m3_per_s),
        np.ascontiguousarray(fresh_ratio),
        np.ascontiguousarray(latent_gain_w / LATENT_HEAT_J_PER_KG),
        np.ascontiguousarray(coil_sensible_w),
        np.ascontiguousarray(room_c),
        coil.rated_surface_c - coil.k_per_j_per_kg * rated,
        coil.k_per_j_per_kg * AIR_CP_J_PER_KG_K,
        coil.k_per_j_per_kg * vapor,
        max(volume_m3, 1.0) * AIR_KG_PER_M3 * MOISTURE_HOLDING,
        START_RATIO,
        ratio,
        taken,
    )
    return RoomMoisture(ratio=ratio, latent_w=taken * LATENT_HEAT_J_PER_KG)


def cool(
    system: CoolingSystem,
    sensible_w: FloatArray,
    latent_w: FloatArray,
    outdoor_c: FloatArray,
    *,
    wet_bulb_excess: FloatArray | float = 0.0,
) -> FloatArray:
    """Electricity of a cooling system by hour. [W]

    Parameters
    ----------
    system : CoolingSystem
    sensible_w, latent_w : ndarray, shape (hours,)
        Heat taken at the coil. [W]
    outdoor_c : ndarray, shape (hours,)
        Outdoor air. [°C]
    wet_bulb_excess : ndarray or float
        Wet bulb of the room less 67 °F. [K]
    """
    total = sensible_w + latent_w
    factor = 1.0 - COP_PER_K * (outdoor_c - COOLING_TEST_C)
    factor = np.clip(factor * (1.0 + COP_PER_WET_BULB_K * wet_bulb_excess), 0.5, 1.5)
    part = np.minimum(total / capacity_w(system, outdoor_c, wet_bulb_excess), 1.0)
    cycling = part_load_factor(part) / part_load_factor(RATING_PART_LOAD)
    power: FloatArray = total / (system.seasonal_cop * factor * cycling)
    return power


def capacity_w(
    system: CoolingSystem, outdoor_c: FloatArray, wet_bulb_excess: FloatArray | float
) -> FloatArray:
    """Total capacity by outdoor dry bulb and the room's wet bulb. [W]"""
    share = 1.0 - CAPACITY_PER_K * (outdoor_c - CAPACITY_TEST_C)
    return system.capacity_w * np.clip(
        share * (1.0 + CAPACITY_PER_WET_BULB_K * wet_bulb_excess), 0.4, 1.6
    )


def short_cooling_hours(
    system: CoolingSystem,
    total_w: FloatArray,
    outdoor_c: FloatArray,
    *,
    wet_bulb_excess: FloatArray | float = 0.0,
) -> int:
    """Hours that end more than an hour of rated output behind; the next hours make up the rest."""
    owed = behind_wh(total_w, capacity_w(system, outdoor_c, wet_bulb_excess))
    return int((owed > SHORT_AFTER_H * system.capacity_w).sum())
