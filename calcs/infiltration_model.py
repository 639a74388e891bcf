"""Natural infiltration of a house of any height from where its leaks sit.

The handbook's enhanced model is tabulated for one, two and three stories, for one spread of the
leaks, and with a flue for one story only. These are the formulas its tables come from: height,
shelter, flue and the spread of leaks may be anything.

References
----------
Walker and Wilson, "Field validation of algebraic equations for stack and wind driven air
infiltration calculations", HVAC&R Research 4 (1998) 119-139 (memory). The tests hold the formulas
against the handbook's tables.
"""

from __future__ import annotations

from dataclasses import dataclass

from calcs.constants import AIR_DENSITY_REFERENCE_KG_PER_M3
from calcs.errors import InputError
from calcs.handbook_infiltration import (
    ENHANCED_SHELTER_NO_FLUE,
    EnhancedInfiltration,
    quadrature_flow_m3_per_s,
)
from calcs.leakage import air_density_kg_per_m3
from calcs.validation import require_known, require_positive, require_within

AIR_KG_PER_M3, GRAVITY_M_PER_S2, ROOM_K = AIR_DENSITY_REFERENCE_KG_PER_M3, 9.80665, 293.15
FOUNDATIONS = {"basement_or_slab": False, "crawlspace": True}  # whether the floor is open below

# Wind at the eaves over that of the station, 0.73 (height / 10 m)**0.3: own fit to the handbook's
# 0.48, 0.59 and 0.67 at 2.5, 5.0 and 7.5 m, within 0.004.
EAVES_AT_10_M, EAVES_EXPONENT = 0.73, 0.30
# A flue ends above what shelters the walls (the handbook's shelter factors with a flue: memory).
FLUE_SHELTER = 1.0
FLUE_ABOVE_CEILING_M = 1.5  # common practice, no source
WIND_FACTOR = 0.19


@dataclass(frozen=True, kw_only=True)
class LeakPattern:
    """Where the leaks of a house sit, as shares of all of them.

    Parameters
    ----------
    ceiling, floor : float
        At the top ceiling and at the lowest floor, without flue or hearth. [-]
    flue : float
        In an open flue or hearth. [-]
    """

    ceiling: float
    floor: float
    flue: float = 0.0

    def __post_init__(self) -> None:
        for label in ("ceiling", "floor", "flue"):
            require_within(getattr(self, label), 0.0, 1.0, f"share of leaks at the {label}", "")
        if self.ceiling + self.floor + self.flue > 1.0 + 1e-9:
            raise InputError("shares of leaks at ceiling, floor and flue add to more than 1")


def natural_infiltration(
    coefficient_m3_per_s_pa_n: float,
    exponent: float,
    pattern: LeakPattern,
    *,
    height_m: float,
    temperature_difference_k: float,
    wind_m_per_s: float,
    shelter_class: int,
    foundation: str = "basement_or_slab",
    elevation_m: float = 0.0,
) -> EnhancedInfiltration:
    """Stack, wind and total flow, the two summed in quadrature. [m³/s]

    Parameters
    ----------
    coefficient_m3_per_s_pa_n, exponent : float
        Of the leakage curve at 20 °C and sea level, as a test reports it. [m³/(s Paⁿ)], [-]
    pattern : LeakPattern
    height_m : float
        From the lowest leaks above grade to the top ceiling. [m]
    temperature_difference_k, wind_m_per_s : float
        Inside less outside, either sign; wind of the weather station. [K], [m/s]
    shelter_class : int
        1 (none) to 5 (dense), of the walls.
    foundation : {"basement_or_slab", "crawlspace"}
    elevation_m : float
        Of the house. Thin air pulls and pushes less, and passes leaks a little more easily. [m]

    Raises
    ------
    InputError
        A value outside what a house can have, or an unknown class.
    """
    require_positive(coefficient_m3_per_s_pa_n, "leakage coefficient", "m3/(s Pa^n)")
    require_within(exponent, 0.5, 1.0, "flow exponent", "")
    require_within(height_m, 1.0, 30.0, "height", "m")
    require_within(wind_m_per_s, 0.0, 100.0, "wind speed", "m/s")
    if shelter_class not in ENHANCED_SHELTER_NO_FLUE:
        raise InputError(f"shelter class must be 1 to 5, got {shelter_class}")
    is_open_below = require_known(FOUNDATIONS, foundation, "foundation")

    air = air_density_kg_per_m3(20.0, elevation_m=elevation_m)
    # Back from sea level: ASTM E779 takes a coefficient there by the inverse of this.
    coefficient = coefficient_m3_per_s_pa_n * (AIR_KG_PER_M3 / air) ** (1.0 - exponent)
    density_pull = air * GRAVITY_M_PER_S2 * height_m / ROOM_K
    stack_pa = density_pull * abs(temperature_difference_k)
    shelter = (
        ENHANCED_SHELTER_NO_FLUE[shelter_class] * (1.0 - pattern.flue)
        + FLUE_SHELTER * 1.5 * pattern.flue
    )
    eaves = EAVES_AT_10_M * (height_m / 10.0) ** EAVES_EXPONENT
    wind_pa = 0.5 * air * (shelter * eaves * wind_m_per_s) ** 2
    of_wind = _crawlspace_wind if is_open_below else _wind
    stack = coefficient * _stack(pattern, exponent, height_m) * stack_pa**exponent
    wind = coefficient * of_wind(pattern, exponent) * wind_pa**exponent
    return EnhancedInfiltration(stack, wind, quadrature_flow_m3_per_s(stack, wind))


def _stack(pattern: LeakPattern, n: float, height_m: float) -> float:
    level = pattern.ceiling + pattern.floor
    tilt, flue = pattern.ceiling - pattern.floor, pattern.flue
    # How far the neutral level lies from the middle; at most to the ceiling or the floor.
    off = min((tilt + (2.0 * n + 1.0) * flue) ** 2 / (2.0 - level), 1.0)
    through = (1.0 + n * level) / (n + 1.0) * (0.5 - 0.5 * off**1.25) ** (n + 1.0)
    if flue == 0.0:
        return through
    above = FLUE_ABOVE_CEILING_M / height_m  # flue height over ceiling height, less one
    balance = level + 2.0 * (1.0 - level - flue) / (n + 1.0) - 2.0 * flue * above**n
    bend = 3.0 * (balance - tilt) ** 2 * level ** (1.0 - n) / (2.0 * (above + 2.0))
    return through + n * flue * above ** ((3.0 * n - 1.0) / 3.0) * max(1.0 - bend, 0.0)


def _wind(pattern: LeakPattern, n: float) -> float:
    level = pattern.ceiling + pattern.floor
    tilt, flue = pattern.ceiling - pattern.floor, pattern.flue
    exposed = 1.0 - ((tilt + level) / 2.0) ** (1.5 - flue)
    drawn = (tilt + level + 2.0 * flue) / 2.0
    return WIND_FACTOR * (2.0 - n) * exposed - flue / 4.0 * (drawn - 2.0 * flue * drawn**4)


def _crawlspace_wind(pattern: LeakPattern, n: float) -> float:
    level = pattern.ceiling + pattern.floor
    tilt, flue = pattern.ceiling - pattern.floor, pattern.flue
    least = (1.0 - level) / 5.0 - 1.5 * flue
    by_tilt = 1.0 - ((tilt - least) / (2.0 - least)) ** 2
    by_level = 1.0 - level * (n / 2.0 + 0.2)
    return WIND_FACTOR * (2.0 - n) * by_tilt * by_level * (1.0 - flue / 4.0)
