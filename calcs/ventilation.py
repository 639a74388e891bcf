"""Dwelling-unit ventilation by ASHRAE 62.2, by edition.

The standard states its equations twice, separately rounded: the IP and the SI form of one
house differ by about 1.5 %. The IP form is the one in force here, so functions that carry it
take arguments named in square feet and cfm; `required_fan` is the SI entry to it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from calcs.errors import InputError
from calcs.guards import guarded
from calcs.unit_factors import M2_PER_FT2, M3_PER_S_PER_CFM, M_PER_FT
from calcs.validation import (
    require_known,
    require_not_negative,
    require_positive,
    require_within,
)

SOURCE = "ASHRAE 62.2-2013/2016/2019 Eq. 4.1a, as reproduced in the IAPMO code"
EDITIONS = ("2010", "2013", "2016", "2019")
REFERENCE_HEIGHT_M = 8.2 * M_PER_FT
HEIGHT_EXPONENT = 0.4
CREDIT_CAP_NEW = 2.0 / 3.0  # 2013, new construction
DEFICIT_SHARE = 0.25  # Normative Appendix A, existing homes (memory)
WINDOW_CREDIT_CFM = 20.0  # openable window (memory)
EXHAUST_LIMIT_CFM_PER_100FT2 = 15.0  # two largest fans, atmospheric appliance inside (memory)

# Reduced form for n = 0.65 (read, US DOE/NREL Standard Work Specifications).
REDUCED_FACTOR = 0.052
STORY_FACTOR = {1.0: 1.00, 1.5: 1.18, 2.0: 1.32, 2.5: 1.44, 3.0: 1.55}

# Table 4.1a, rows by upper end of the floor-area band in ft2, columns 1 to 5 bedrooms. [cfm]
TABLE_CFM = {
    500: (30, 38, 45, 53, 60),
    1000: (45, 53, 60, 68, 75),
    1500: (60, 68, 75, 83, 90),
    2000: (75, 83, 90, 98, 105),
    2500: (90, 98, 105, 113, 120),
    3000: (105, 113, 120, 128, 135),
    3500: (120, 128, 135, 143, 150),
    4000: (135, 143, 150, 158, 165),
    4500: (150, 158, 165, 173, 180),
    5000: (165, 173, 180, 188, 195),
}

# Local exhaust, demand-controlled and continuous. [cfm]
LOCAL_DEMAND_CFM = {
    "bathroom": 50.0,
    "kitchen_hood": 100.0,
    "kitchen_other": 300.0,  # wall or ceiling fan, downdraft (memory)
    "half_bath": 0.0,
}
LOCAL_CONTINUOUS_CFM = {"bathroom": 20.0, "half_bath": 0.0}
KITCHEN_CONTINUOUS_ACH_PER_H = 5.0  # enclosed kitchens only


@dataclass(frozen=True)
class LocalExhaust:
    """One kitchen or full bath: what is required on demand and what was measured."""

    room: str  # key of LOCAL_DEMAND_CFM
    measured_m3_per_s: float = 0.0  # 0 when there is no fan, or none was measured
    has_openable_window: bool = False


@dataclass(frozen=True)
class VentilationNeed:
    """Required rate and the steps that lead to the fan. [m3/s]"""

    edition: str
    total_m3_per_s: float
    deficit_m3_per_s: float  # sum of local deficits, before the 0.25
    deficit_share_m3_per_s: float
    infiltration_m3_per_s: float
    credit_m3_per_s: float
    fan_m3_per_s: float
    source: str


def _edition(edition: str) -> str:
    if edition not in EDITIONS:
        raise InputError(f"62.2 edition must be one of {', '.join(EDITIONS)}, got {edition!r}")
    return edition


@guarded
def required_total_cfm(floor_area_ft2: float, bedrooms: int, *, edition: str = "2016") -> float:
    """Whole-dwelling rate, the IP equation as the standard states it. [cfm]

    0.03 A + 7.5 (Nbr + 1) from 2013; 0.01 A + 7.5 (Nbr + 1) in 2010 (there it is already the
    fan, infiltration assumed apart). Bedrooms count as at least one. Floor area includes a
    conditioned basement.
    """
    require_positive(floor_area_ft2, "floor area", "ft2")
    if bedrooms < 0:
        raise InputError(f"bedrooms must not be below 0, got {bedrooms}")
    per_area = 0.01 if _edition(edition) == "2010" else 0.03
    return per_area * floor_area_ft2 + 7.5 * (max(bedrooms, 1) + 1)


@guarded
def required_total_si_l_per_s(floor_area_m2: float, bedrooms: int) -> float:
    """Whole-dwelling rate, the SI equation as the standard states it. [L/s]

    0.15 A + 3.5 (Nbr + 1). Not identical to the IP form; the program's record says which.
    """
    require_positive(floor_area_m2, "floor area", "m2")
    return 0.15 * floor_area_m2 + 3.5 * (max(bedrooms, 1) + 1)


@guarded
def table_total_cfm(floor_area_ft2: float, bedrooms: int) -> int:
    """Whole-dwelling rate from Table 4.1a. [cfm]

    Up to 15 cfm above the equation: the table is the equation at the upper end of each band.
    Raises InputError above 5000 ft2 or 5 bedrooms.
    """
    require_positive(floor_area_ft2, "floor area", "ft2")
    if not 1 <= max(bedrooms, 1) <= 5:
        raise InputError(f"Table 4.1a ends at 5 bedrooms, got {bedrooms}")
    for upper, row in TABLE_CFM.items():
        if floor_area_ft2 <= upper:
            return row[max(bedrooms, 1) - 1]
    raise InputError(f"Table 4.1a ends at 5000 ft2, got {floor_area_ft2:g}")


def normalized_leakage(leakage_area_m2: float, *, height_m: float, floor_area_m2: float) -> float:
    """NL = 1000 (ELA/Afl) (H/Hr)^0.4, Hr = 8.2 ft. [-]

    H lies between the lowest and highest above-grade points of the pressure boundary.
    """
    require_positive(height_m, "height", "m")
    require_positive(floor_area_m2, "floor area", "m2")
    return float(
        1000.0
        * require_not_negative(leakage_area_m2, "leakage area", "m2")
        / floor_area_m2
        * (height_m / REFERENCE_HEIGHT_M) ** HEIGHT_EXPONENT
    )


@guarded
def effective_infiltration_cfm(
    normalized: float, *, weather_shielding_factor: float, floor_area_ft2: float
) -> float:
    """Effective annual infiltration, NL wsf Afl/7.3 as the standard states it. [cfm]

    wsf is a location table of the standard's normative appendix and is always an input.
    """
    require_positive(weather_shielding_factor, "weather and shielding factor", "(no unit)")
    return normalized * weather_shielding_factor * floor_area_ft2 / 7.3


def story_factor(stories: float) -> float:
    """S of the reduced form Qinf = 0.052 wsf S Q50, n = 0.65. [-]

    Published for 1 to 3 stories in halves; (H/8.2 ft)^0.4 gives the same within 0.003.
    """
    if stories not in STORY_FACTOR:
        raise InputError(f"story factor is published for 1, 1.5, 2, 2.5 and 3, got {stories:g}")
    return STORY_FACTOR[float(stories)]


def height_factor(height_m: float) -> float:
    """(H/Hr)^0.4. [-]"""
    return float((require_positive(height_m, "height", "m") / REFERENCE_HEIGHT_M) ** 0.4)


def reduced_infiltration_m3_per_s(
    flow50_m3_per_s: float, *, weather_shielding_factor: float, stories: float
) -> float:
    """Effective annual infiltration from a single-point test, reduced form. [m3/s]"""
    require_not_negative(flow50_m3_per_s, "flow at 50 Pa", "m3/s")
    require_positive(weather_shielding_factor, "weather and shielding factor", "(no unit)")
    return REDUCED_FACTOR * weather_shielding_factor * story_factor(stories) * flow50_m3_per_s


def infiltration_credit_m3_per_s(
    total_m3_per_s: float,
    infiltration_m3_per_s: float,
    *,
    edition: str = "2016",
    exterior_share: float = 1.0,
    is_new_construction: bool = False,
    is_balanced: bool = False,
) -> float:
    """Credit that infiltration earns against the required total. [m3/s]

    2013 and 2016: Qinf Aext, in new construction at most 2/3 Qtot (2013). 2019: phi Qinf Aext
    with phi 1 for a balanced system, else Qinf/Qtot but at most 1 (memory). 2010: none, the
    equation assumed infiltration already. Aext is 1 for a detached house.
    """
    require_positive(total_m3_per_s, "required total", "m3/s")
    require_not_negative(infiltration_m3_per_s, "infiltration", "m3/s")
    require_within(exterior_share, 0, 1, "exterior envelope share", "(no unit)")
    if _edition(edition) == "2010":
        return 0.0
    credit = infiltration_m3_per_s * exterior_share
    if edition == "2019" and not is_balanced:
        credit *= min(1.0, infiltration_m3_per_s / total_m3_per_s)
    if is_new_construction and edition == "2013":
        credit = min(credit, CREDIT_CAP_NEW * total_m3_per_s)
    return credit


def local_demand_m3_per_s(room: str) -> float:
    """Required demand-controlled exhaust of a room. [m3/s] A recirculating hood is no fan."""
    return require_known(LOCAL_DEMAND_CFM, room, "room") * M3_PER_S_PER_CFM


def local_continuous_m3_per_s(room: str, *, enclosed_kitchen_m3: float | None = None) -> float:
    """Required continuous exhaust of a room. [m3/s]

    A kitchen may be served continuously only when enclosed: 5 air changes of its volume.
    """
    if room == "kitchen":
        if enclosed_kitchen_m3 is None:
            raise InputError("continuous kitchen exhaust needs the volume of an enclosed kitchen")
        volume = require_positive(enclosed_kitchen_m3, "kitchen volume", "m3")
        return KITCHEN_CONTINUOUS_ACH_PER_H * volume / 3600.0
    return require_known(LOCAL_CONTINUOUS_CFM, room, "room") * M3_PER_S_PER_CFM


@guarded
def local_deficit_m3_per_s(
    required_m3_per_s: float, measured_m3_per_s: float, *, has_openable_window: bool
) -> float:
    """What one kitchen or full bath lacks on demand, never below zero. [m3/s]"""
    require_not_negative(measured_m3_per_s, "measured exhaust", "m3/s")
    window = WINDOW_CREDIT_CFM * M3_PER_S_PER_CFM if has_openable_window else 0.0
    return max(0.0, required_m3_per_s - measured_m3_per_s - window)


@guarded
def intermittent_fan_m3_per_s(
    continuous_m3_per_s: float, *, on_fraction: float, effectiveness: float = 1.0
) -> float:
    """Rate of a fan that runs part of the time, Q/(f eps). [m3/s]"""
    require_within(on_fraction, 1e-6, 1, "fractional on-time", "(no unit)")
    require_within(effectiveness, 1e-6, 1, "effectiveness", "(no unit)")
    return continuous_m3_per_s / (on_fraction * effectiveness)


def required_fan(
    *,
    floor_area_m2: float,
    bedrooms: int,
    edition: str = "2016",
    infiltration_m3_per_s: float = 0.0,
    exterior_share: float = 1.0,
    is_new_construction: bool = False,
    is_balanced: bool = False,
    local: Sequence[LocalExhaust] = (),
) -> VentilationNeed:
    """Fan rate a dwelling needs: total plus a quarter of local deficits less the credit.

    The sum is clipped at zero after the deficit is added, not before. `infiltration_m3_per_s`
    is the effective annual infiltration of a blower-door test; without a test leave it 0.
    Raises InputError for an unknown edition or room, or a value out of range.
    """
    total_cfm = required_total_cfm(floor_area_m2 / M2_PER_FT2, bedrooms, edition=edition)
    total = total_cfm * M3_PER_S_PER_CFM
    deficit = sum(
        local_deficit_m3_per_s(
            local_demand_m3_per_s(room.room),
            room.measured_m3_per_s,
            has_openable_window=room.has_openable_window,
        )
        for room in local
        if room.room != "half_bath"
    )
    credit = infiltration_credit_m3_per_s(
        total,
        infiltration_m3_per_s,
        edition=edition,
        exterior_share=exterior_share,
        is_new_construction=is_new_construction,
        is_balanced=is_balanced,
    )
    share = DEFICIT_SHARE * deficit
    return VentilationNeed(
        edition=edition,
        total_m3_per_s=total,
        deficit_m3_per_s=deficit,
        deficit_share_m3_per_s=share,
        infiltration_m3_per_s=infiltration_m3_per_s,
        credit_m3_per_s=credit,
        fan_m3_per_s=max(0.0, total + share - credit),
        source=SOURCE,
    )


def exhaust_limit_m3_per_s(floor_area_m2: float) -> float:
    """Net exhaust of the two largest fans above which make-up air or a safety test is due.

    Holds with an atmospheric or solid-fuel appliance inside; 15 cfm per 100 ft2 (memory).
    """
    require_positive(floor_area_m2, "floor area", "m2")
    area_ft2 = floor_area_m2 / M2_PER_FT2
    return EXHAUST_LIMIT_CFM_PER_100FT2 * area_ft2 / 100.0 * M3_PER_S_PER_CFM


@guarded
def dryer_duct_left_m(
    *, longest_m: float = 35 * M_PER_FT, elbows_90: int = 0, elbows_45: int = 0
) -> float:
    """Straight dryer duct still allowed after elbows, not below zero. [m]

    IRC M1502, ordinary elbows: 5 ft per 90 and 2.5 ft per 45 degrees (memory). A maker's
    table goes before this rule.
    """
    if elbows_90 < 0 or elbows_45 < 0:
        raise InputError("the number of elbows must not be below 0")
    return max(0.0, longest_m - (5.0 * elbows_90 + 2.5 * elbows_45) * M_PER_FT)
