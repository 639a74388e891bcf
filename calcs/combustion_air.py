"""Combustion air, vents and chimneys: volumes, free areas, theoretical draft.

Source: International Fuel Gas Code 304 and IRC G2407, read in reproductions unless a line says
memory. Local code rules.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from calcs.constants import CELSIUS_ZERO_K, GAS_CONSTANT_DRY_AIR_J_PER_KG_K, GRAVITY_M_PER_S2
from calcs.errors import InputError
from calcs.guards import guarded
from calcs.limits import PUBLISHED, Limit, Limits
from calcs.unit_factors import (
    M2_PER_IN2,
    M3_PER_FT3,
    STANDARD_ATMOSPHERE_PA,
    W_PER_BTUH,
)
from calcs.validation import require_known, require_positive

_W_PER_KBTUH = 1000.0 * W_PER_BTUH
STANDARD_M3_PER_W = 50.0 * M3_PER_FT3 / _W_PER_KBTUH  # 50 ft3 per 1,000 Btu/h
_CODE = "International Fuel Gas Code 304 / IRC G2407"
# Divided by the air change rate.
KNOWN_RATE_LIMITS = {
    kind: Limit(
        f"combustion_air.known_rate_{kind}",
        value,
        "ft³ per 1,000 Btu/h",
        "at_least",
        _CODE,
        "memory",
        "2018",
    )
    for kind, value in (("natural_draft", 21.0), ("fan_assisted", 15.0))
}
STANDARD_METHOD_MIN_ACH_PER_H = 0.40
KNOWN_RATE_MAX_ACH_PER_H = 0.60
INDOOR_OPENING_MIN_M2 = 100.0 * M2_PER_IN2
# Btu/h served by one square inch of each opening.
OPENING_BTUH_PER_IN2 = {
    "indoor_pair": 1000.0,
    "outdoor_pair_direct": 4000.0,
    "outdoor_pair_horizontal": 2000.0,
    "outdoor_single": 3000.0,
}
LOUVER_FREE_SHARE = {"metal": 0.75, "wood": 0.25}  # net free area (memory)
# Single draft-hood appliance, flue over outlet area.
FLUE_AREA_RATIO = Limit("combustion_air.flue_ratio", 7.0, "-", "at_most", _CODE, "memory", "2018")


def _total_w(inputs_w: Sequence[float]) -> float:
    if not inputs_w:
        raise InputError("give the input of at least one appliance in W")
    return sum(require_positive(value, "appliance input", "W") for value in inputs_w)


def room_volume_needed_m3(inputs_w: Sequence[float]) -> float:
    """Volume that serves the appliances with ordinary infiltration, standard method. [m3]

    Holds only at 0.40 air changes or more: recompute after air sealing.
    """
    return _total_w(inputs_w) * STANDARD_M3_PER_W


def room_volume_known_rate_m3(
    inputs_w: Sequence[float],
    ach_per_h: float,
    *,
    kind: str = "natural_draft",
    limits: Limits = PUBLISHED,
) -> float:
    """Volume needed at a known infiltration rate; the rate counts at most 0.60. [m3]"""
    rate = min(require_positive(ach_per_h, "air changes", "1/h"), KNOWN_RATE_MAX_ACH_PER_H)
    constant = limits.apply(require_known(KNOWN_RATE_LIMITS, kind, "burner kind")).value
    return _total_w(inputs_w) * constant * M3_PER_FT3 / _W_PER_KBTUH / rate


def opening_free_area_m2(inputs_w: Sequence[float], arrangement: str) -> float:
    """Net free area of each opening (or the single one) for combustion air. [m2]

    Arrangements are the keys of OPENING_BTUH_PER_IN2; two indoor openings have a floor of
    100 in2 each.
    """
    per_in2 = require_known(OPENING_BTUH_PER_IN2, arrangement, "opening arrangement")
    area = _total_w(inputs_w) / W_PER_BTUH / per_in2 * M2_PER_IN2
    return max(area, INDOOR_OPENING_MIN_M2) if arrangement == "indoor_pair" else area


def largest_flue_area_m2(outlet_diameter_m: float, *, limits: Limits = PUBLISHED) -> float:
    """Largest masonry flue for one draft-hood appliance, seven times its outlet area. [m2]"""
    require_positive(outlet_diameter_m, "outlet diameter", "m")
    return limits.apply(FLUE_AREA_RATIO).value * math.pi * outlet_diameter_m**2 / 4.0


@guarded
def theoretical_draft_pa(
    height_m: float,
    *,
    outdoor_c: float,
    flue_mean_c: float,
    pressure_pa: float = STANDARD_ATMOSPHERE_PA,
) -> float:
    """Draft of a warm chimney without flow losses; negative pulls. [Pa]

    A pass on a cold day does not prove a mild day. Hydrostatic difference, ideal gas.
    """
    require_positive(height_m, "chimney height", "m")
    cold, hot = outdoor_c + CELSIUS_ZERO_K, flue_mean_c + CELSIUS_ZERO_K
    density_difference = pressure_pa / GAS_CONSTANT_DRY_AIR_J_PER_KG_K * (1.0 / cold - 1.0 / hot)
    return -density_difference * GRAVITY_M_PER_S2 * height_m
