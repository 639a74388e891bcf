"""Air-source heat pumps: capacity and power by outdoor temperature, with frost and back-up.

Capacity and power run in straight lines between the rating points of 47 and 17 °F, lowered by
frost and defrost between 17 and 45 °F as the federal test procedure has it for units whose 35 °F
test is not reported. The one unknown, the COP at 47 °F, is the one with which the procedure's bin
calculation for its fourth region gives the rated HSPF.

References
----------
10 CFR 430 Subpart B Appendix M, seasonal calculation of single-speed heat pumps: frost factors
0.90 and 0.985, degradation 0.25, load factor 0.77, bins of region IV (memory; the bins add to 1).
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from calcs.errors import InputError
from calcs.inputs import HeatingSystem
from calcs.network import FloatArray

FROST_CAPACITY, FROST_POWER = 0.90, 0.985
FROST_FROM_DEGF, FROST_TO_DEGF, FROST_TEST_DEGF = 17.0, 45.0, 35.0
DEGRADATION = 0.25
LOAD_FACTOR, LOAD_ZERO_DEGF, REGION_DESIGN_DEGF = 0.77, 65.0, 5.0
REGION_BINS_DEGF = np.arange(62.0, -9.0, -5.0)
REGION_SHARES = np.array(
    [0.132, 0.111, 0.103, 0.093, 0.100, 0.109, 0.126, 0.087, 0.055, 0.036, 0.026, 0.013, 0.006,
     0.002, 0.001]
)  # fmt: skip
# Capacity and COP at 17 °F over those at 47 °F of usual units; common practice, no source.
COLD_CAPACITY = {"heat_pump": 0.62, "ductless_heat_pump": 0.70}
COLD_COP = 0.69
UNKNOWN_SEASONAL_COP = 2.2
CAPACITY_RANGE = (0.20, 1.25)
LARGEST_COP = 9.0


def part_load_factor(part: FloatArray | float) -> FloatArray | float:
    """Loss of cycling: 1 less a quarter of what is missing to full load. [-]"""
    return 1.0 - DEGRADATION * (1.0 - part)


def _share(outdoor_degf: FloatArray, cold: float, frost: float) -> FloatArray:
    """Capacity or power over that at 47 °F."""
    dry = cold + (1.0 - cold) * (outdoor_degf - 17.0) / 30.0
    tested = frost * (cold + (1.0 - cold) * (FROST_TEST_DEGF - 17.0) / 30.0)
    frosted = cold + (tested - cold) * (outdoor_degf - 17.0) / (FROST_TEST_DEGF - 17.0)
    is_frosted = (outdoor_degf > FROST_FROM_DEGF) & (outdoor_degf < FROST_TO_DEGF)
    return np.where(is_frosted, frosted, dry)


def cold_capacity(system: HeatingSystem) -> float:
    """Capacity at 17 °F over that at 47 °F: as recorded, else usual for the kind. [-]"""
    if system.cold_capacity_share is not None:
        return system.cold_capacity_share
    return COLD_CAPACITY.get(system.kind, COLD_CAPACITY["heat_pump"])


def capacity_share(outdoor_c: FloatArray, *, cold: float) -> FloatArray:
    """Capacity over that at 47 °F. [-]"""
    degf = np.asarray(outdoor_c) * 1.8 + 32.0
    return np.clip(_share(degf, cold, FROST_CAPACITY), *CAPACITY_RANGE)


def power_share(outdoor_c: FloatArray, *, cold: float) -> FloatArray:
    """Power at full output over that at 47 °F. [-]"""
    degf = np.asarray(outdoor_c) * 1.8 + 32.0
    # At the same ratio of COP, less capacity takes less power.
    return np.maximum(_share(degf, cold / COLD_COP, FROST_POWER), 0.5)


def seasonal_cop(cop_47: float, *, cold: float) -> float:
    """HSPF over 3.412 of a unit by the bins of region IV, resistance heat as back-up. [-]"""
    outdoor = (REGION_BINS_DEGF - 32.0) / 1.8
    capacity, power = capacity_share(outdoor, cold=cold), power_share(outdoor, cold=cold)
    load = LOAD_FACTOR * (LOAD_ZERO_DEGF - REGION_BINS_DEGF)
    load = load / (LOAD_ZERO_DEGF - REGION_DESIGN_DEGF)
    part = np.minimum(load / capacity, 1.0)
    compressor = part * power / (cop_47 * part_load_factor(part))
    back_up = load - part * capacity
    return float((REGION_SHARES * load).sum() / (REGION_SHARES * (compressor + back_up)).sum())


@lru_cache(maxsize=256)
def cop_47_of(seasonal: float, cold: float) -> float:
    """COP at 47 °F of a unit with a rated seasonal COP (HSPF over 3.412). [-]

    Raises
    ------
    InputError
        No compressor gives such a rating: the back-up's part alone uses it up.
    """
    # Energy over load is (a / COP + b), so two points give both.
    one, two = 1.0 / seasonal_cop(1.0, cold=cold), 1.0 / seasonal_cop(2.0, cold=cold)
    a = 2.0 * (one - two)
    b = one - a
    left = 1.0 / seasonal - b
    if left <= a / LARGEST_COP:
        raise InputError(
            f"a seasonal COP of {seasonal:g} cannot be; with this capacity in the cold it must lie "
            f"below {1.0 / (b + a / LARGEST_COP):.2f} (no unit)"
        )
    return a / left


def heat_pump_cop(system: HeatingSystem, outdoor_c: FloatArray) -> FloatArray:
    """COP at full output by outdoor temperature, frost included, back-up aside. [-]"""
    seasonal = UNKNOWN_SEASONAL_COP if system.seasonal_cop is None else system.seasonal_cop
    cold = cold_capacity(system)
    ratio = capacity_share(outdoor_c, cold=cold) / power_share(outdoor_c, cold=cold)
    return np.maximum(cop_47_of(seasonal, cold) * ratio, 1.0)


def balance_point_c(
    system: HeatingSystem, *, ua_w_per_k: float, house_balance_c: float
) -> float | None:
    """Outdoor temperature at which capacity just meets a straight heat loss. [°C]

    None where the pump carries the house down to −40 °C.
    """
    outdoor = np.linspace(house_balance_c, -40.0, 1201)
    capacity = system.capacity_w * capacity_share(outdoor, cold=cold_capacity(system))
    is_short = ua_w_per_k * (house_balance_c - outdoor) > capacity
    return float(outdoor[int(is_short.argmax())]) if is_short.any() else None


def pump_capacity_w(system: HeatingSystem, outdoor_c: FloatArray) -> FloatArray:
    """Heat the compressor can give by outdoor temperature; none below the lock-out. [W]"""
    capacity = system.capacity_w * capacity_share(outdoor_c, cold=cold_capacity(system))
    if system.lockout_c is not None:
        capacity = np.where(outdoor_c < system.lockout_c, 0.0, capacity)
    return capacity


def pumped_and_rest(
    system: HeatingSystem, load_w: FloatArray, outdoor_c: FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Heat of the compressor, its electricity, and what is left to the back-up. [W]

    Electric back-up works together with the compressor. A furnace behind the same coil takes
    over the whole hour when the compressor cannot carry it. Below the lock-out only the back-up
    works.
    """
    capacity = pump_capacity_w(system, outdoor_c)
    pumped = np.minimum(load_w, capacity)
    if system.backup_fuel not in ("", "electricity") and system.distribution == "ducts":
        pumped = np.where(load_w > capacity, 0.0, pumped)
    part = pumped / np.maximum(capacity, 1.0)
    power = pumped / (heat_pump_cop(system, outdoor_c) * part_load_factor(part))
    return pumped, power, load_w - pumped
