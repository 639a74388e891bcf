"""Fuel burners by the hour: part load, standby and jacket loss, and condensing by return water.

A burner follows the linear input-output line: what it gives over its steady-state efficiency, and
beside it what it loses while it stands hot and idle. The idle loss has two parts. *Off-cycle*
loss goes up the flue, driven by the chimney's draft, and is lost wherever the burner stands.
*Jacket* loss warms the space around: in heated rooms it is no loss at all, in a basement half.

A flue test of today sets the steady-state figure as it is and is never aged; it says nothing of
jacket and idle. A nameplate AFUE is first lowered for age and then turned back into a steady-state
figure with the off-cycle loss of the rating test.

References
----------
Line and idle loss: Brookhaven work on integrated hydronics (memory). Size of the losses in old
units: oil-industry text, jacket up to 8 %, off-cycle 15 % and more of the fuel (read). Draft grows
with the square root of the temperature difference (chimney equation, check row comb-137).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from calcs.combustion import combustion_efficiency, fuel_analysis
from calcs.equipment_tables import ResetLine, vintage, vintage_afue
from calcs.inputs import HeatingSystem
from calcs.lifetimes import degraded_efficiency
from calcs.network import FloatArray


@dataclass(frozen=True)
class Standby:
    """Losses of a hot, idle burner as shares of its full input. [-]"""

    off_cycle: float
    jacket: float
    # A boiler's jacket stays hot while it is on call, a furnace's only while it burns.
    is_jacket_steady: bool


# Shares of full input; common practice, no source, set so that old atmospheric steam boilers
# come out near 70 to 76 % over the season.
STANDBY_ATMOSPHERIC = {
    ("boiler", "steam_pipes"): Standby(0.016, 0.012, True),
    ("boiler", "hot_water_pipes"): Standby(0.010, 0.007, True),
}
STANDBY_ATMOSPHERIC_OTHER = Standby(0.012, 0.008, False)
# Newer atmospheric units have vent dampers and no standing pilot.
OFF_CYCLE_DAMPERED, DAMPERED_FROM_YEAR = 0.005, 2012
OFF_CYCLE_INDUCED, OFF_CYCLE_SEALED = 0.005, 0.002
JACKET_BOILER_NEWER, JACKET_FURNACE_NEWER = 0.005, 0.006

# Jacket heat that serves the house, by where the burner stands; common practice, no source.
REGAIN = {"conditioned": 1.0, "basement": 0.5}

# Off-cycle draft against that of the rating test, whose season averages 42 °F (memory).
DRAFT_INDOOR_C, RATING_OUTDOOR_C, STRONGEST_DRAFT = 20.0, 5.6, 1.6
# Load fraction of the rating test's season (memory): oversizing 0.7, mean load near 22.5 %.
RATING_LOAD_FRACTION = 0.225
UNKNOWN_AGE_YEARS = 15.0
OLDEST_AGE_YEARS = 20.0  # beyond it the yearly loss is no longer believed
LEAST_STEADY = 0.55
# Flue gas that must not condense leaves this much at most in the heat (common practice).
MOST_STEADY_DRY, MOST_STEADY_CONDENSING = 0.87, 0.975

# A condensing boiler's flue gas leaves a little warmer than the water that comes back, at about
# 5 % oxygen; common practice, no source. The dew point there is 130 °F (check row comb-071).
CONDENSING_APPROACH_K, CONDENSING_O2_PCT = 3.0, 5.0
# Water cools by this much through the radiators at the design load (20 °F; common practice).
DESIGN_DROP_K = 11.1
# Reset ends where the house needs no heat: water as warm as a warm radiator (common practice).
MILD_OUTDOOR_C, MILD_SUPPLY_C = 18.0, 32.0
_ANALYSIS = {"natural_gas": "natural_gas", "propane": "propane", "fuel_oil": "fuel_oil_2"}


def standby(system: HeatingSystem) -> Standby:
    """Idle losses of a system as shares of its full input; none for electricity."""
    if system.fuel == "electricity":
        return Standby(0.0, 0.0, False)
    is_boiler = system.kind == "boiler"
    if system.vent == "atmospheric":
        found = STANDBY_ATMOSPHERIC.get(
            (system.kind, system.distribution), STANDBY_ATMOSPHERIC_OTHER
        )
        if (system.year_installed or 0) >= DAMPERED_FROM_YEAR:
            return Standby(OFF_CYCLE_DAMPERED, found.jacket, found.is_jacket_steady)
        return found
    off_cycle = OFF_CYCLE_INDUCED if system.vent == "induced_draft" else OFF_CYCLE_SEALED
    return Standby(off_cycle, JACKET_BOILER_NEWER if is_boiler else JACKET_FURNACE_NEWER, is_boiler)


def regain_share(location: str, *, is_in_house_zone: bool = False) -> float:
    """Part of the jacket loss that warms the house, by where the burner stands. [-]"""
    return 1.0 if is_in_house_zone else REGAIN.get(location, 0.0)


def idle_share(system: HeatingSystem, *, regain: float = 0.0) -> float:
    """Idle loss of a hot burner that does not burn, as a share of full input. [-]"""
    losses = standby(system)
    jacket = losses.jacket if losses.is_jacket_steady else 0.0
    return losses.off_cycle + jacket * (1.0 - regain)


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
    """Steady-state efficiency today, return water aside. [-]

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
    idle = standby(system).off_cycle * (1.0 - part) / part
    is_condensing = system.is_condensing or rated_afue(system) > 0.88
    most = MOST_STEADY_CONDENSING if is_condensing else MOST_STEADY_DRY
    return min(max(1.0 / (1.0 / aged - idle), LEAST_STEADY), most)


@lru_cache(maxsize=8)
def _condensing_table(fuel: str) -> tuple[FloatArray, FloatArray]:
    """Return water [°C] and the most that can be had of the fuel's heat at it [-]."""
    water = np.array([10.0, 20.0, 25.0, 30.0, 35.0, 40.0, 44.0, 47.0, 50.0, 53.0, 56.0, 60.0, 90.0])
    analysis = fuel_analysis(_ANALYSIS[fuel])
    most = [
        combustion_efficiency(
            analysis,
            CONDENSING_O2_PCT,
            stack_c=float(value) + CONDENSING_APPROACH_K,
            combustion_air_c=10.0,
        ).efficiency_pct
        / 100.0
        for value in water
    ]
    return water, np.array(most)


def condensing_limit(fuel: str, return_c: FloatArray) -> FloatArray:
    """The most of a fuel's heat that flue gas can leave behind at a return-water temperature. [-]

    First principles: flue gas 3 K above the return water at 5 % oxygen, higher heating value.
    Above the dew point nothing condenses, whatever the nameplate says.
    """
    water, most = _condensing_table(fuel)
    return np.interp(return_c, water, most)


def supply_water_c(
    system: HeatingSystem, outdoor_c: FloatArray, *, design_outdoor_c: float
) -> FloatArray:
    """Supply water of a hot-water system by outdoor temperature. [°C]

    With outdoor reset a line from the design supply at the design temperature to lukewarm water
    at 64 °F, clamped at both ends; without, the design supply always.
    """
    if not system.has_outdoor_reset:
        return np.full(len(outdoor_c), system.supply_design_c)
    line = ResetLine(
        min(design_outdoor_c, MILD_OUTDOOR_C - 5.0),
        system.supply_design_c,
        MILD_OUTDOOR_C,
        min(MILD_SUPPLY_C, system.supply_design_c),
    )
    return np.interp(
        outdoor_c,
        [line.design_outdoor_c, line.mild_outdoor_c],
        [line.design_supply_c, line.mild_supply_c],
    )


def steady_by_hour(
    system: HeatingSystem, outdoor_c: FloatArray, *, steady: float, design_outdoor_c: float
) -> FloatArray | float:
    """Steady-state efficiency by hour: a condensing boiler's follows its return water. [-]"""
    is_boiler = system.kind == "boiler" and system.distribution == "hot_water_pipes"
    if not is_boiler or system.fuel not in _ANALYSIS:
        return steady
    if not (system.is_condensing or rated_afue(system) > 0.88):
        return steady
    supply = supply_water_c(system, outdoor_c, design_outdoor_c=design_outdoor_c)
    span = max(MILD_OUTDOOR_C - design_outdoor_c, 5.0)
    # The drop through the radiators follows the load.
    drop = DESIGN_DROP_K * np.clip((MILD_OUTDOOR_C - outdoor_c) / span, 0.1, 1.0)
    return np.minimum(steady, condensing_limit(system.fuel, supply - drop))


def behind_wh(load_w: FloatArray, capacity_w: FloatArray | float) -> FloatArray:
    """Heat owed at the end of each hour by equipment of a given capacity. [Wh]

    What one hour cannot give is made up in the next that can: a morning's recovery from a
    set-back is no shortage, a week's frost is.
    """
    owed = np.cumsum(load_w - capacity_w)
    least = np.minimum(np.minimum.accumulate(owed), 0.0)
    return np.maximum(owed - least, 0.0)


SHORT_AFTER_H = 1.0


def short_hours(load_w: FloatArray, capacity_w: float) -> int:
    """Hours that end more than an hour of full output behind."""
    return int((behind_wh(load_w, capacity_w) > SHORT_AFTER_H * capacity_w).sum())


def draft_factor(outdoor_c: FloatArray) -> FloatArray:
    """Chimney draft over that of the rating season's mean temperature. [-]"""
    ratio = np.maximum(DRAFT_INDOOR_C - outdoor_c, 0.0) / (DRAFT_INDOOR_C - RATING_OUTDOOR_C)
    return np.minimum(np.sqrt(ratio), STRONGEST_DRAFT)


def burner_site_w(
    system: HeatingSystem,
    load_w: FloatArray,
    outdoor_c: FloatArray,
    *,
    year: int,
    design_outdoor_c: float,
    regain: float,
) -> tuple[FloatArray, FloatArray]:
    """Fuel of a burner, pilot included, and its part load by hour. [W], [-]"""
    rated = steady_state(system, year=year)
    steady = steady_by_hour(system, outdoor_c, steady=rated, design_outdoor_c=design_outdoor_c)
    losses = standby(system)
    full_input_w = system.capacity_w / rated
    part = np.minimum(load_w / system.capacity_w, 1.0)
    site = load_w / steady
    if losses.off_cycle or losses.jacket:
        off_cycle: FloatArray | float = losses.off_cycle
        if system.vent == "atmospheric":
            off_cycle = losses.off_cycle * draft_factor(outdoor_c)
        hot: FloatArray | float = 1.0 if losses.is_jacket_steady else part
        lost = off_cycle * (1.0 - part) + losses.jacket * (1.0 - regain) * hot
        site = site + np.where(load_w > 0.0, full_input_w * lost, 0.0)
    return site + system.pilot_w, part
