"""Equipment judged twice: replaced now, and replaced when it fails.

Now against at failure: both ways end with the same new unit, so only the years count that the old
one would still have worked. Each of them brings the saving and costs a year of owning the new unit
sooner (its price annualized over its life), weighed by the chance that the old one still works.
At failure: the difference to the least efficient unit that may be sold, at the difference in cost.
The year to plan for is a life table's, and the table is named. Safety goes before all of it.
"""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from typing import Any

from calcs.economics import uniform_present_value_factor
from calcs.end_uses import rated_efficiency
from calcs.equipment import is_heat_pump
from calcs.inputs import HeatingSystem, House, WaterHeater
from calcs.lifetimes import LIFE_TABLES, leave_until, service_life_years
from calcs.measures import Measure
from calcs.measures.heating import new_unit, with_new_unit
from calcs.measures.hot_water import best_uef, minimum_uef, with_new_heater
from calcs.results import Baseline, EquipmentFinding
from calcs.survival import (
    annualized_cost_usd,
    early_value_usd,
    median_years_left,
    survival_share,
)
from calcs.worth import Scene, Terms

# Extra cost of a good unit over the least efficient one, as a share of its full cost; common
# practice, no source. The rest would have been spent at failure anyway.
EXTRA_COST_SHARE = 0.3
HORIZON_YEARS = 30  # over which now and at failure are compared; common practice, no source
YOUNG_SHARE_OF_LIFE = 0.5  # a unit in the first half of its life is left alone
ASHRAE, MANUALS = "ashrae_median", "trm_northeast"

# Kind of equipment -> (kind in the table, table).
LIFE_KEYS = {
    "furnace": ("furnace", ASHRAE),
    "wall_furnace": ("furnace", ASHRAE),
    "boiler:steam_pipes": ("boiler_cast_iron_steam", ASHRAE),
    "boiler:hot_water_pipes": ("boiler_cast_iron_hot_water", ASHRAE),
    "heat_pump": ("air_heat_pump", ASHRAE),
    "ductless_heat_pump": ("air_heat_pump", ASHRAE),
    "storage": ("gas_storage_water_heater", MANUALS),
    "instantaneous": ("gas_tankless_water_heater", MANUALS),
    "water_heater:heat_pump": ("heat_pump_water_heater", MANUALS),
}


@dataclass(frozen=True)
class _Case:
    """One piece of equipment and the houses that a replacement would make of this one."""

    item_id: str
    kind: str
    life_key: tuple[str, str]
    year_installed: int | None
    today: float
    minimum: float
    best: float
    house_minimum: House
    house_best: House
    measure: Measure | None


def findings_of(
    house: House,
    base: Baseline,
    measures: Collection[Measure],
    scene: Scene,
    *,
    unsafe: Collection[str] = (),
) -> tuple[EquipmentFinding, ...]:
    """What to do about each heating system and water heater.

    `unsafe` names equipment that failed a safety test: that outranks any economics.
    """
    cases = [
        case
        for system in house.heating
        if (case := _heating_case(house, system, base, measures, scene)) is not None
    ]
    cases += [
        case
        for heater in house.water_heaters
        if (case := _water_case(house, heater, measures, scene)) is not None
    ]
    return tuple(_judge(case, base, scene, is_unsafe=case.item_id in unsafe) for case in cases)


def _heating_case(
    house: House,
    system: HeatingSystem,
    base: Baseline,
    measures: Collection[Measure],
    scene: Scene,
) -> _Case | None:
    kind = f"boiler:{system.distribution}" if system.kind == "boiler" else system.kind
    unit = new_unit(system)
    if unit is None or is_heat_pump(system) or kind not in LIFE_KEYS:
        return None
    return _Case(
        item_id=system.id,
        kind=kind,
        life_key=LIFE_KEYS[kind],
        year_installed=system.year_installed,
        today=base.heating_efficiency,
        minimum=unit.minimum,
        best=unit.best,
        house_minimum=with_new_unit(house, system.id, efficiency=unit.minimum, year=scene.year),
        house_best=with_new_unit(house, system.id, efficiency=unit.best, year=scene.year),
        measure=_find(measures, ("furnace_replacement", "boiler_replacement"), system.id),
    )


def _water_case(
    house: House, heater: WaterHeater, measures: Collection[Measure], scene: Scene
) -> _Case | None:
    kind = "water_heater:heat_pump" if heater.kind == "heat_pump" else heater.kind
    if kind not in LIFE_KEYS or kind == "water_heater:heat_pump":
        return None
    measure = _find(measures, ("water_heater_replacement", "heat_pump_water_heater"), heater.id)
    plain = with_new_heater(house, heater.id, uef=minimum_uef(heater), year=scene.year)
    best = measure.apply(house) if measure is not None else plain
    return _Case(
        item_id=heater.id,
        kind=f"water_heater:{heater.kind}",
        life_key=LIFE_KEYS[kind],
        year_installed=heater.year_installed,
        today=rated_efficiency(heater),
        minimum=minimum_uef(heater),
        best=best_uef(heater),
        house_minimum=plain,
        house_best=best,
        measure=measure,
    )


def _find(measures: Collection[Measure], kinds: tuple[str, ...], target_id: str) -> Measure | None:
    return next((m for m in measures if m.kind in kinds and m.target_id == target_id), None)


def _judge(case: _Case, base: Baseline, scene: Scene, *, is_unsafe: bool) -> EquipmentFinding:
    key, table = case.life_key
    life = service_life_years(key, table=table)
    best = scene.run(case.house_best).cost_usd
    now_usd = base.cost_usd - best
    failure_usd = scene.run(case.house_minimum).cost_usd - best
    until, age, is_past = None, None, False
    if case.year_installed is not None:
        age = float(max(scene.year - case.year_installed, 0))
        found = leave_until(
            installed_year=min(case.year_installed, scene.year),
            this_year=scene.year,
            kind=key,
            table=table,
        )
        until, is_past = found.year, found.is_past_table_life
    left = None if age is None else median_years_left(age_years=age, median_life_years=life)
    cost = None if case.measure is None else scene.terms.cost_usd(case.measure)
    npv_now = npv_failure = yearly = None
    if cost is not None and case.measure is not None:
        yearly = annualized_cost_usd(
            cost, life_years=case.measure.life_years, discount=scene.terms.discount
        )
        npv_now = early_value_usd(
            now_usd, yearly, age_years=life if age is None else age, median_life_years=life,
            discount=scene.terms.discount, horizon_years=HORIZON_YEARS,
        )  # fmt: skip
        npv_failure = _years_value(failure_usd, life, scene.terms) - EXTRA_COST_SHARE * cost
    verdict, reason = _verdict(age, life, is_past, npv_now, is_unsafe=is_unsafe)
    facts: dict[str, Any] = {
        "efficiency_today": case.today,
        "years_left": left,
        "chance_fails_in_5_years": None
        if age is None
        else 1.0 - float(survival_share(5.0, age_years=age, median_life_years=life)),
        "table": LIFE_TABLES[table].name,
        "is_past_table_life": is_past,
    }
    return EquipmentFinding(
        equipment_id=case.item_id,
        kind=case.kind,
        year_installed=case.year_installed,
        age_years=age,
        life_years=life,
        life_source=f"{LIFE_TABLES[table].name}; {LIFE_TABLES[table].dated}",
        leave_until_year=until,
        efficiency_today=case.today,
        efficiency_minimum_new=case.minimum,
        efficiency_best_new=case.best,
        saving_now_usd=now_usd,
        saving_at_failure_usd=failure_usd,
        npv_now_usd=npv_now,
        npv_at_failure_usd=npv_failure,
        annual_cost_now_usd=yearly,
        expected_years_left=left,
        horizon_years=HORIZON_YEARS,
        verdict=verdict,
        reason_key=reason,
        reason_facts=facts,
    )


def _years_value(annual_usd: float, years: float, terms: Terms) -> float:
    whole = round(years)
    return annual_usd * uniform_present_value_factor(terms.discount, whole) if whole >= 1 else 0.0


def early_value_of(finding: EquipmentFinding, saving_usd: float, terms: Terms) -> float | None:
    """What replacing a judged unit now is worth at another yearly saving. [$, present value]

    The saving shrinks when the house is made better first. None without a price.
    """
    if finding.annual_cost_now_usd is None:
        return None
    age = finding.life_years if finding.age_years is None else finding.age_years
    return early_value_usd(
        saving_usd, finding.annual_cost_now_usd, age_years=age,
        median_life_years=finding.life_years, discount=terms.discount,
        horizon_years=HORIZON_YEARS,
    )  # fmt: skip


def _verdict(
    age: float | None, life: float, is_past: bool, npv_now: float | None, *, is_unsafe: bool
) -> tuple[str, str]:
    if is_unsafe:
        return "replace_now", "failed_a_safety_test"
    if age is None:
        return "unknown_age", "age_not_known"
    if age < YOUNG_SHARE_OF_LIFE * life:
        return "leave_alone", "in_the_first_half_of_its_life"
    if npv_now is not None and npv_now > 0.0:
        return "replace_now", "saves_more_than_it_costs"
    if is_past:
        return "plan_change", "past_its_usual_life"
    return "plan_change", "works_but_plan_ahead"
