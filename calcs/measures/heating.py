"""Heating equipment: a new unit of the same kind, a heat pump, covered pipes.

A steam system stays a steam system: water must reach 212 °F to make steam, flue gas leaves hotter
than that, so nothing condenses and 82 to 85 % is what there is to buy.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import Any

from calcs.inputs import HeatingSystem, House, swap
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure
from calcs.measures.steam import require_efficiency_possible

FUEL_BURNERS = ("furnace", "boiler", "wall_furnace")
INSULATION_LEAVES_SHARE_BARE = 0.1


@dataclass(frozen=True)
class NewUnit:
    """Efficiency of what can be bought: the least that may be sold, and a good one."""

    minimum: float
    best: float
    is_best_condensing: bool
    source: str


_BOILER_RULE = "federal minimums for boilers from January 15, 2021 (81 FR 2320; read)"
_FURNACE_RULE = "federal minimum for furnaces from November 2015 (memory)"

# Condensing boilers do not reach their rating on radiators made for 180 °F water; 0.90 is kept.
NEW_UNITS: dict[tuple[str, str], NewUnit] = {
    ("furnace", "gas"): NewUnit(0.80, 0.95, True, _FURNACE_RULE),
    ("furnace", "fuel_oil"): NewUnit(0.83, 0.86, False, "federal minimum, oil furnaces (memory)"),
    ("wall_furnace", "gas"): NewUnit(0.66, 0.75, False, "federal minimum, wall furnace (memory)"),
    ("boiler:hot_water_pipes", "gas"): NewUnit(0.84, 0.90, True, _BOILER_RULE),
    ("boiler:hot_water_pipes", "fuel_oil"): NewUnit(0.86, 0.87, False, _BOILER_RULE),
    ("boiler:steam_pipes", "gas"): NewUnit(0.82, 0.83, False, _BOILER_RULE),
    ("boiler:steam_pipes", "fuel_oil"): NewUnit(0.85, 0.86, False, _BOILER_RULE),
}
HEAT_PUMP_SEASONAL_COP = 9.5 / 3.412  # HSPF 9.5 of the older test, a good common unit
HEAT_PUMP_MINIMUM_COP = 8.8 / 3.412  # federal minimum from 2023 in terms of the older test (memory)
HEAT_PUMP_COOLING_COP = 17.0 / 3.412
COOLING_MINIMUM_COP = 14.0 / 3.412


def new_unit(system: HeatingSystem) -> NewUnit | None:
    """What can be bought in place of a fuel burner, or None where there is no table."""
    kind = system.kind
    if kind == "boiler":
        kind = f"boiler:{system.distribution}"
    fuel = "gas" if system.fuel in ("natural_gas", "propane") else system.fuel
    return NEW_UNITS.get((kind, fuel))


def with_new_unit(house: House, system_id: str, *, efficiency: float, year: int) -> House:
    """The house with one fuel burner replaced by a new one of the given efficiency.

    Raises
    ------
    InputError
        A condensing boiler on steam.
    """
    system = next(item for item in house.heating if item.id == system_id)
    require_efficiency_possible(efficiency, distribution=system.distribution)
    unit = new_unit(system)
    is_condensing = unit is not None and unit.is_best_condensing and efficiency > 0.88
    return replace(
        house,
        heating=swap(
            house.heating,
            system_id,
            efficiency=efficiency,
            steady_state_efficiency=None,
            year_installed=year,
            service="annual",
            vent="direct" if is_condensing else _plain_vent(system),
            is_condensing=is_condensing,
            pilot_w=0.0,
            **(_cool_water(system) if is_condensing else {}),
        ),
    )


# Radiators of old houses are larger than the load: 150 °F carries the coldest day, and the water
# follows the weather from there. Common practice, no source; the firm proves it room by room.
CONDENSING_SUPPLY_C = 65.0


def _cool_water(system: HeatingSystem) -> dict[str, Any]:
    if system.distribution != "hot_water_pipes":
        return {}
    supply_c = min(system.supply_design_c, CONDENSING_SUPPLY_C)
    return {"has_outdoor_reset": True, "supply_design_c": supply_c}


def _plain_vent(system: HeatingSystem) -> str:
    return "induced_draft" if system.kind == "furnace" else system.vent


def with_heat_pump(house: House, system_id: str, *, seasonal_cop: float, year: int) -> House:
    """The house with one heating system replaced by a heat pump that also cools."""
    system = next(item for item in house.heating if item.id == system_id)
    is_ducted = system.distribution == "ducts"
    kind = "heat_pump" if is_ducted else "ductless_heat_pump"
    heating = swap(
        house.heating,
        system_id,
        kind=kind,
        fuel="electricity",
        distribution="ducts" if is_ducted else "room",
        efficiency=None,
        steady_state_efficiency=None,
        seasonal_cop=seasonal_cop,
        year_installed=year,
        service="annual",
        vent="none",
        location="outside",
        backup_fuel="electricity",
        backup_efficiency=1.0,
        pilot_w=0.0,
        bare_pipe_m=0.0,
        is_condensing=False,
    )
    cooling = tuple(
        replace(item, seasonal_cop=max(item.seasonal_cop, HEAT_PUMP_COOLING_COP), kind=kind)
        if is_ducted and item.distribution == "ducts"
        else item
        for item in house.cooling
    )
    return replace(house, heating=heating, cooling=cooling)


def with_new_cooling(house: House, system_id: str, *, seasonal_cop: float, year: int) -> House:
    """The house with one cooling system replaced."""
    return replace(
        house,
        cooling=swap(house.cooling, system_id, seasonal_cop=seasonal_cop, year_installed=year),
    )


def measures_for(house: House, *, year: int) -> list[Measure]:
    """Replacements and pipe covering. Whether they are worth it now is judged elsewhere."""
    found: list[Measure] = []
    for system in house.heating:
        found += _pipes(system)
        found += _outdoor_reset(system)
        found += _replacement(system, year)
        found += _heat_pump(system, year)
    return found


def _pipes(system: HeatingSystem) -> list[Measure]:
    if system.bare_pipe_m <= 0.0:
        return []
    life = life_of("heating_pipe_insulation")
    return [
        Measure(
            kind="heating_pipe_insulation",
            target_id=system.id,
            stage="equipment",
            place="foundation",
            quantity=system.bare_pipe_m,
            unit="m",
            life_years=life.years,
            life_source=life.source,
            apply=partial(_cover_pipes, system_id=system.id),
            excludes=("steam_to_hot_water",),
            blocked_by=("gas_leak", "friable_asbestos", "unsafe_conditions"),
            areas=("basement", "crawlspace"),
            reason_key="pipes_are_bare",
            facts={"distribution": system.distribution},
        )
    ]


def _outdoor_reset(system: HeatingSystem) -> list[Measure]:
    """Water that follows the weather; a boiler that must not condense keeps its lowest return."""
    is_water = system.kind == "boiler" and system.distribution == "hot_water_pipes"
    if not is_water or system.has_outdoor_reset:
        return []
    life = life_of("outdoor_reset")
    return [
        Measure(
            kind="outdoor_reset",
            target_id=system.id,
            stage="equipment",
            place="controls",
            quantity=1.0,
            unit="each",
            life_years=life.years,
            life_source=life.source,
            apply=partial(_fit_reset, system_id=system.id),
            blocked_by=("gas_leak", "electrical", "unsafe_conditions"),
            areas=("basement", "crawlspace", "living_space"),
            reason_key="water_is_always_hot",
            facts={"supply_design_c": system.supply_design_c},
        )
    ]


def _fit_reset(house: House, *, system_id: str) -> House:
    return replace(house, heating=swap(house.heating, system_id, has_outdoor_reset=True))


def _cover_pipes(house: House, *, system_id: str) -> House:
    system = next(item for item in house.heating if item.id == system_id)
    bare = system.bare_pipe_m * INSULATION_LEAVES_SHARE_BARE
    return replace(house, heating=swap(house.heating, system_id, bare_pipe_m=bare))


def _replacement(system: HeatingSystem, year: int) -> list[Measure]:
    unit = new_unit(system)
    if unit is None or system.kind not in FUEL_BURNERS or system.is_condensing:
        return []
    kind = "boiler_replacement" if system.kind == "boiler" else "furnace_replacement"
    life = life_of(kind)
    return [
        Measure(
            kind=kind,
            target_id=system.id,
            stage="equipment",
            place="heating",
            quantity=system.capacity_w,
            unit="W",
            life_years=life.years,
            life_source=life.source,
            apply=partial(with_new_unit, system_id=system.id, efficiency=unit.best, year=year),
            excludes=("heat_pump", "steam_to_hot_water"),
            blocked_by=("gas_leak", "friable_asbestos", "unsafe_conditions"),
            areas=("basement", "crawlspace", "attic", "living_space"),
            facts={
                "efficiency_after": unit.best,
                "efficiency_minimum": unit.minimum,
                "is_condensing": unit.is_best_condensing,
                "distribution": system.distribution,
                "rule": unit.source,
            },
        )
    ]


def _heat_pump(system: HeatingSystem, year: int) -> list[Measure]:
    if system.kind in ("heat_pump", "ductless_heat_pump"):
        return []
    # Pipes and radiators do not carry a heat pump's air; room units would stand beside them.
    if system.distribution in ("steam_pipes", "hot_water_pipes"):
        return []
    life = life_of("heat_pump")
    return [
        Measure(
            kind="heat_pump",
            target_id=system.id,
            stage="equipment",
            place="heating",
            quantity=system.capacity_w,
            unit="W",
            life_years=life.years,
            life_source=life.source,
            apply=partial(
                with_heat_pump,
                system_id=system.id,
                seasonal_cop=HEAT_PUMP_SEASONAL_COP,
                year=year,
            ),
            excludes=("furnace_replacement", "boiler_replacement"),
            blocked_by=("gas_leak", "electrical", "unsafe_conditions"),
            areas=("crawlspace", "attic", "living_space"),
            reason_key="electric_resistance_is_costly"
            if system.kind == "electric_resistance"
            else "heat_pump_in_place_of_fuel",
            facts={"seasonal_cop": HEAT_PUMP_SEASONAL_COP, "fuel_before": system.fuel},
        )
    ]
