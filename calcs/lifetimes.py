"""How long things last and how they lose efficiency, by named and dated tables.

A useful life is a table with a date, not a constant: the tables here disagree, and whoever
prints a year prints the table's name beside it. Program accounting (useful life), median service
life and technical life are three different things.
"""

from __future__ import annotations

from dataclasses import dataclass

from calcs.errors import InputError
from calcs.guards import guarded
from calcs.validation import require_known, require_positive, require_within


@dataclass(frozen=True)
class LifeTable:
    """Years by kind, with the table's name, date and how it was obtained."""

    key: str
    name: str
    dated: str
    provenance: str
    years: dict[str, float]


LIFE_TABLES: dict[str, LifeTable] = {
    table.key: table
    for table in (
        LifeTable(
            "ashrae_median",
            "ASHRAE median service life table (HVAC Applications, owning and operating costs)",
            "reproduction; from opinion surveys, not survival statistics",
            "read",
            {
                "window_air_conditioner": 10, "split_air_conditioner": 15,
                "air_heat_pump": 15, "water_source_heat_pump": 19, "furnace": 18,
                "unit_heater_gas": 13, "unit_heater_steam_or_water": 20,
                "radiant_electric": 10, "radiant_water_or_steam": 25,
                "boiler_steel_water_tube_hot_water": 24, "boiler_steel_water_tube_steam": 30,
                "boiler_steel_fire_tube_hot_water": 25, "boiler_steel_fire_tube_steam": 25,
                "boiler_cast_iron_hot_water": 35, "boiler_cast_iron_steam": 30,
                "boiler_electric": 15, "burner": 21, "ductwork": 30, "damper": 20,
                "fan_centrifugal": 25, "coil": 20, "pump_base_mounted": 20,
                "pump_pipe_mounted": 10, "pump_condensate": 15, "insulation_molded": 20,
                "insulation_blanket": 24, "motor": 18, "controls_pneumatic": 20,
            },
        ),
        LifeTable(
            "trm_northeast",
            "effective useful life as used in Northeast and Mid-Atlantic manuals",
            "2015-2022 editions; varies between manuals, confirm",
            "memory",
            {
                "air_sealing": 15, "attic_insulation": 25, "wall_insulation": 25,
                "duct_sealing": 20, "gas_boiler": 20, "gas_furnace": 18,
                "gas_storage_water_heater": 11, "gas_tankless_water_heater": 20,
                "heat_pump_water_heater": 13, "showerhead": 10, "smart_thermostat": 11,
                "refrigerator": 14, "pipe_insulation": 15, "led_lamp": 15,
            },
        ),
        LifeTable(
            "deer_2026",
            "California DEER change log, DEER2026 effective useful life table",
            "2026, after the April 2024 study",
            "read",
            {
                "residential_heat_pump": 23, "efficient_furnace": 30,
                "heat_pump_water_heater": 20, "residential_gas_water_heater": 25,
            },
        ),
        LifeTable(
            "trade_boiler",
            "common practice for residential boilers, 25 to 30 years",
            "no source",
            "common practice",
            {"boiler": 27.5, "boiler_low": 25, "boiler_high": 30},
        ),
    )
}  # fmt: skip

# Yearly loss of nameplate efficiency, NREL/TP-550-38238 (Hendron 2006; title read, memory).
DEGRADATION_SOURCE = "NREL/TP-550-38238 (Hendron 2006)"
DEGRADATION_PER_YEAR: dict[str, dict[bool, float]] = {
    "gas_heating": {True: 0.005, False: 0.015},  # annual service: yes / seldom
    "oil_heating": {True: 0.010, False: 0.025},
    "cooling_or_heat_pump": {True: 0.01, False: 0.03},
}
DEGRADATION_FLOOR = 0.60  # share of nameplate; common practice, no source
REMAINING_SHARE = 1.0 / 3.0  # convention for remaining useful life in several manuals


@dataclass(frozen=True)
class ReplacementYear:
    """The year of a "leave until about" recommendation, with the table behind it."""

    year: int
    table_name: str
    table_dated: str
    provenance: str
    is_past_table_life: bool


def service_life_years(kind: str, *, table: str) -> float:
    """Years of a kind in a named table. Raises InputError for an unknown table or kind."""
    return require_known(require_known(LIFE_TABLES, table, "life table").years, kind, "kind")


def degraded_efficiency(
    nameplate: float, *, age_years: float, equipment: str, has_annual_service: bool
) -> float:
    """Nameplate efficiency after age, base (1 - M)^age, floored at 60 % of base.

    For nameplate values only: an efficiency measured today by flue test is not degraded. An
    unknown age is not 0: the caller says what it assumes.
    """
    require_positive(nameplate, "nameplate efficiency", "(as rated)")
    require_within(age_years, 0, 100, "age", "years")
    loss = require_known(DEGRADATION_PER_YEAR, equipment, "equipment")[has_annual_service]
    return nameplate * max(DEGRADATION_FLOOR, (1.0 - loss) ** age_years)


def remaining_life_years(useful_life_years: float) -> float:
    """Remaining useful life by the one-third convention. [yr]"""
    return REMAINING_SHARE * require_positive(useful_life_years, "useful life", "years")


@guarded
def lifetime_savings(annual: float, useful_life_years: float) -> float:
    """Yearly saving times useful life, without degradation; unit as given."""
    return annual * require_positive(useful_life_years, "useful life", "years")


@guarded
def dual_baseline_savings(
    *,
    load: float,
    efficiency_existing: float,
    efficiency_standard: float,
    efficiency_new: float,
    remaining_years: float,
    useful_life_years: float,
) -> float:
    """Lifetime saving of an early replacement; unit of the yearly load.

    Against the existing unit for its remaining life, then against the standard one.
    """
    if remaining_years > useful_life_years:
        raise InputError("remaining life must not be above the useful life, years")
    now = load * (1.0 / efficiency_existing - 1.0 / efficiency_new)
    later = load * (1.0 / efficiency_standard - 1.0 / efficiency_new)
    return remaining_years * now + (useful_life_years - remaining_years) * later


@guarded
def leave_until(*, installed_year: int, this_year: int, kind: str, table: str) -> ReplacementYear:
    """About which year to plan a change of something that is safe and works now.

    Installation year plus the table's life. Once that is past nothing is promised: the year is
    this year and `is_past_table_life` says so.
    """
    if installed_year > this_year:
        raise InputError("installation year must not be after this year")
    chosen = require_known(LIFE_TABLES, table, "life table")
    life = require_known(chosen.years, kind, "kind")
    expected = round(installed_year + life)
    return ReplacementYear(
        year=max(expected, this_year),
        table_name=chosen.name,
        table_dated=chosen.dated,
        provenance=chosen.provenance,
        is_past_table_life=expected <= this_year,
    )
