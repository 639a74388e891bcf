"""Domestic hot water: daily energy, standby loss, draw and mains temperature.

EF and UEF are different tests: the standby formula takes EF only (its test conditions are
fixed), and a UEF is never put into it. Water gallons are stated at a temperature; densities are
inputs here.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calcs.errors import InputError
from calcs.guards import guarded
from calcs.unit_factors import (
    J_PER_BTU,
    K_PER_DEGF,
    M3_PER_GAL,
    SECONDS_PER_DAY,
    celsius_from_fahrenheit,
    fahrenheit_from_celsius,
)
from calcs.validation import (
    require_known,
    require_not_negative,
    require_positive,
    require_within,
)

FloatArray = NDArray[np.float64]

# EF test (before 2015): 64.3 gal/day in six draws (read); 135/58/67.5 F, heat 41,094 Btu/day
# (memory).
EF_TEST_DRAW_M3 = 64.3 * M3_PER_GAL
EF_TEST_DRAWS = 6
EF_TEST_HEAT_J = 41_094.0 * J_PER_BTU
EF_TEST_DELTA_K = 67.5 * K_PER_DEGF
RECOVERY_DEFAULT = {"gas": 0.76, "electric": 0.98}  # gas 0.76 to 0.80 (memory)

# UEF draw patterns: 10 CFR 430 Subpart B Appendix E (memory). [gal/day]
UEF_DRAW_GAL = {"very small": 10.0, "low": 38.0, "medium": 55.0, "high": 84.0}
_BINS = ("very small", "low", "medium", "high")
_FHR_EDGES_GAL = (18.0, 51.0, 75.0)
_FLOW_EDGES_GPM = (1.7, 2.8, 4.0)
UEF_OUTLET_DEGF, UEF_INLET_DEGF, UEF_AMBIENT_DEGF = 125.0, 58.0, 67.5


@dataclass(frozen=True)
class RatingLine:
    """Minimum rating as a line in rated volume, a - b V (V in gallons), with its source."""

    a: float
    b_per_gal: float
    source: str
    provenance: str


_UEF_RULE = "10 CFR 430.32(d), 2015 levels expressed in UEF"
_EF_RULE = "Washington Administrative Code 51-11C-404021, same levels as federal"
UEF_MINIMUMS: dict[tuple[str, str], RatingLine] = {
    (kind, draw): RatingLine(a, b, _UEF_RULE, "memory")
    for kind, lines in {
        "gas_storage": ((0.3456, 0.0020), (0.5982, 0.0019), (0.6483, 0.0017), (0.6920, 0.0013)),
        "electric_storage": (
            (0.8808, 0.0008), (0.9254, 0.0003), (0.9307, 0.0002), (0.9349, 0.0001),
        ),
    }.items()
    for draw, (a, b) in zip(_BINS, lines, strict=True)
}  # fmt: skip
EF_MINIMUMS: dict[str, RatingLine] = {
    "gas_storage": RatingLine(0.675, 0.0015, _EF_RULE, "read"),
    "gas_storage_large": RatingLine(0.8012, 0.00078, _EF_RULE, "read"),
    "electric_storage": RatingLine(0.960, 0.0003, _EF_RULE, "read"),
    "oil_storage": RatingLine(0.68, 0.0019, _EF_RULE, "read"),
    "gas_instantaneous": RatingLine(0.82, 0.0019, _EF_RULE, "read"),
}

USE_TEMPERATURE_C = celsius_from_fahrenheit(105.0)  # ANSI/RESNET/ICC 301 (memory)
SETPOINT_DEFAULT_C = celsius_from_fahrenheit(125.0)


@guarded
def standby_ua_w_per_k(
    energy_factor: float,
    *,
    recovery: float,
    input_w: float,
    delta_k: float = EF_TEST_DELTA_K,
    heat_j_per_day: float = EF_TEST_HEAT_J,
) -> float:
    """Standby coefficient from the EF rating. [W/K]

    UA = (1/EF - 1/RE)/[dT (1 day/Qout - 1/(RE Pon))]. Lutz et al. 1998 (equation memory).
    Raises InputError when RE does not exceed EF. A UEF does not belong here.
    """
    require_within(energy_factor, 0.2, 1.0, "energy factor (EF)", "(no unit)")
    require_within(recovery, 0.3, 1.0, "recovery efficiency", "(no unit)")
    require_positive(input_w, "input", "W")
    if recovery <= energy_factor:
        raise InputError("recovery efficiency must be above the energy factor")
    numerator = 1.0 / energy_factor - 1.0 / recovery
    denominator = delta_k * (SECONDS_PER_DAY / heat_j_per_day - 1.0 / (recovery * input_w))
    return numerator / denominator


@guarded
def daily_input_j(
    draw_m3: float,
    *,
    density_kg_per_m3: float,
    specific_heat_j_per_kg_k: float,
    tank_c: float,
    inlet_c: float,
    ambient_c: float,
    recovery: float,
    ua_w_per_k: float,
    input_w: float,
) -> float:
    """Daily energy into a storage heater (WHAM). [J]

    m cp (Tt - Ti)/RE (1 - UA (Tt - Ta)/Pon) + 1 day UA (Tt - Ta). Lutz et al. 1998 (memory).
    At the EF test conditions this closes to Qout/EF exactly.
    """
    require_not_negative(draw_m3, "daily draw", "m3")
    require_positive(input_w, "input", "W")
    loss_w = ua_w_per_k * (tank_c - ambient_c)
    heat = draw_m3 * density_kg_per_m3 * specific_heat_j_per_kg_k * (tank_c - inlet_c)
    return heat / recovery * (1.0 - loss_w / input_w) + SECONDS_PER_DAY * loss_w


def daily_input_of_months_j(
    heat_j: FloatArray,
    *,
    tank_c: float,
    ambient_c: FloatArray,
    recovery: float,
    ua_w_per_k: float,
    input_w: float,
) -> FloatArray:
    """`daily_input_j` for several days at once, from the heat in the water drawn. [J]

    Shape (n,) of heat and ambient; the same formula without its look at every number, for the
    many runs of a house whose record has been checked.
    """
    loss_w = ua_w_per_k * (tank_c - ambient_c)
    return heat_j / recovery * (1.0 - loss_w / input_w) + SECONDS_PER_DAY * loss_w


def draw_bin(*, first_hour_m3: float | None = None, max_flow_m3_per_s: float | None = None) -> str:
    """UEF draw pattern from the first-hour rating, or the greatest flow of an instantaneous one.

    Edges belong to the upper bin. Raises InputError unless exactly one rating is given.
    """
    if (first_hour_m3 is None) == (max_flow_m3_per_s is None):
        raise InputError("give either the first-hour rating or the greatest flow")
    if first_hour_m3 is not None:
        value, edges = first_hour_m3 / M3_PER_GAL, _FHR_EDGES_GAL
    else:
        assert max_flow_m3_per_s is not None
        value, edges = max_flow_m3_per_s * 60.0 / M3_PER_GAL, _FLOW_EDGES_GPM
    require_positive(value, "rating", "gal or gpm")
    return _BINS[sum(value >= edge - 1e-9 for edge in edges)]


def uef_draw_m3_per_day(draw: str) -> float:
    """Daily draw of a UEF pattern. [m3/day]"""
    return require_known(UEF_DRAW_GAL, draw, "draw pattern") * M3_PER_GAL


@guarded
def energy_by_uef_j(
    draw_m3: float,
    *,
    density_kg_per_m3: float,
    specific_heat_j_per_kg_k: float,
    delta_k: float,
    uef: float,
) -> float:
    """Daily energy by UEF at a draw, m cp dT/UEF. [J] Rated conditions; use WHAM elsewhere."""
    require_positive(uef, "UEF", "(no unit)")
    return draw_m3 * density_kg_per_m3 * specific_heat_j_per_kg_k * delta_k / uef


def uef_minimum(kind: str, draw: str, volume_m3: float) -> float:
    """Federal minimum UEF of the 2015 levels, 20 to 55 gal storage. [-]"""
    line = UEF_MINIMUMS.get((kind, draw))
    if line is None:
        raise InputError(f"no UEF minimum stored for {kind!r}, {draw!r}")
    gallons = require_within(volume_m3 / M3_PER_GAL, 20 - 1e-9, 55 + 1e-9, "rated volume", "gal")
    return line.a - line.b_per_gal * gallons


@guarded
def ef_minimum(kind: str, volume_m3: float) -> float:
    """Minimum EF (the older test, not UEF). [-]"""
    line = require_known(EF_MINIMUMS, kind, "water heater class")
    return line.a - line.b_per_gal * volume_m3 / M3_PER_GAL


@guarded
def reference_fixture_draw_m3_per_day(bedrooms: int) -> float:
    """Mixed water at the fixtures, 14.6 + 10 Nbr gal/day. ANSI/RESNET/ICC 301 (memory)."""
    if bedrooms < 0:
        raise InputError("bedrooms must not be below 0")
    return (14.6 + 10.0 * bedrooms) * M3_PER_GAL


@guarded
def reference_waste_draw_m3_per_day(bedrooms: int) -> float:
    """Water run off while waiting, 9.8 Nbr^0.43 gal/day. ANSI/RESNET/ICC 301 (memory)."""
    if bedrooms < 0:
        raise InputError("bedrooms must not be below 0")
    return float(9.8 * bedrooms**0.43 * M3_PER_GAL)


@guarded
def older_draw_m3_per_day(bedrooms: int) -> float:
    """Older rating equation, 30 + 10 Nbr gal/day (memory)."""
    return (30.0 + 10.0 * bedrooms) * M3_PER_GAL


@guarded
def mixing_fraction(
    setpoint_c: float, mains_c: float, *, use_c: float = USE_TEMPERATURE_C
) -> float:
    """Hot share of mixed water, 1 - (Tset - Tuse)/(Tset - Tmains). [-]

    The same use needs more hot water in winter.
    """
    if not mains_c < use_c <= setpoint_c:
        raise InputError("temperatures must rise from mains to use to setpoint, C")
    return 1.0 - (setpoint_c - use_c) / (setpoint_c - mains_c)


@guarded
def hot_draw_m3_per_day(
    bedrooms: int,
    *,
    mixing: float | None = None,
    setpoint_c: float = SETPOINT_DEFAULT_C,
    mains_c: float | None = None,
) -> float:
    """Hot water of a reference home: mixing fraction times fixture and waste draws. [m3/day]

    Appliances come on top. Give `mixing`, or `mains_c` to have it worked out.
    """
    if mixing is None:
        if mains_c is None:
            raise InputError("give the mixing fraction or the mains temperature")
        mixing = mixing_fraction(setpoint_c, mains_c)
    require_within(mixing, 0, 1, "mixing fraction", "(no unit)")
    return mixing * (
        reference_fixture_draw_m3_per_day(bedrooms) + reference_waste_draw_m3_per_day(bedrooms)
    )


@guarded
def mains_temperature_c(
    day_of_year: float, *, air_mean_c: float, monthly_spread_k: float, is_north: bool = True
) -> float:
    """Mains water temperature on a day of the year. [C]

    Defined in Fahrenheit with the angle in degrees; converted inside. `monthly_spread_k` is the
    difference of the warmest and coldest monthly mean. Burch and Christensen 2007 (offset 6 F
    and amplitude read in the abstract, the rest memory).
    """
    require_within(day_of_year, 1, 366, "day of year", "day")
    mean = fahrenheit_from_celsius(air_mean_c)
    spread = require_not_negative(monthly_spread_k, "monthly spread", "K") / K_PER_DEGF
    ratio = 0.4 + 0.01 * (mean - 44.0)
    lag = 35.0 - (mean - 44.0)
    phase = -90.0 if is_north else 90.0
    angle = math.radians(0.986 * (day_of_year - 15.0 - lag) + phase)
    return celsius_from_fahrenheit(mean + 6.0 + ratio * spread / 2.0 * math.sin(angle))


@guarded
def mains_mean_c(air_mean_c: float) -> float:
    """Yearly mean of the mains temperature: air mean and 6 degF. [C]"""
    return air_mean_c + 6.0 * K_PER_DEGF


def is_scald_risk(tap_c: float) -> bool:
    """Whether hot water at the tap is above 125 degF (52 C), where the field sheet notes it."""
    return tap_c > celsius_from_fahrenheit(125.0)
