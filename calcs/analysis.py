"""The one way in: everything a report or a plan needs to know of a house, from one call."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

from calcs.derivations import derivations_of
from calcs.errors import InputError
from calcs.findings import findings_of
from calcs.inputs import EnergyPrices, House
from calcs.left_alone import left_alone
from calcs.measures import Measure, measures_for
from calcs.packages import (
    Blocked,
    Chain,
    blocked_by,
    choose,
    in_order_of_priority,
    needed_first,
    require_possible,
    run_chain,
)
from calcs.results import (
    Analysis,
    Baseline,
    EquipmentFinding,
    MeasureResult,
    Package,
    Saving,
    Worth,
    analysis_from_dict,
    analysis_to_dict,
)
from calcs.uncertainty import METHOD_KEY, MOVES, Ranges, ranges_of
from calcs.weather import WeatherYear
from calcs.worth import (
    REAL_DISCOUNT,
    REAL_ESCALATION,
    CostOf,
    Costs,
    Scene,
    Terms,
    saving_between,
    with_deviation,
    worth_of,
    worth_together,
)

__all__ = [
    "CostOf",
    "analyse_house",
    "analyse_subset",
    "analysis_from_dict",
    "analysis_to_dict",
    "applicable_measures",
]

Progress = Callable[[str, int, int], None]

EQUIPMENT_KINDS = (
    "furnace_replacement",
    "boiler_replacement",
    "heat_pump",
    "water_heater_replacement",
    "heat_pump_water_heater",
)


class _Steps:
    """Progress as steps done of about how many; the total never falls behind the count."""

    def __init__(self, progress: Progress | None, total: int) -> None:
        self.progress, self.total, self.done = progress, total, 0
        self.name = "baseline"

    def stage(self, name: str) -> None:
        """Begin a named stretch of work."""
        self.name = name
        self.step(0)

    def step(self, count: int = 1) -> None:
        """Count runs of the model."""
        self.done += count
        self.total = max(self.total, self.done)
        if self.progress is not None:
            self.progress(self.name, self.done, self.total)

    def finish(self) -> None:
        """Say that all is done."""
        self.name, self.done = "done", self.total
        self.step(0)


def applicable_measures(house: House, *, year: int) -> list[Measure]:
    """Measures that apply to a house, in the order of work, before any price is known."""
    return measures_for(house, year=year)


def analyse_house(
    house: House,
    weather: WeatherYear,
    *,
    costs: Costs,
    prices: EnergyPrices,
    year: int,
    blocked: Blocked = (),
    chosen: Sequence[str] | None = None,
    subsidies: Mapping[str, float] | None = None,
    unsafe: Collection[str] = (),
    discount: float = REAL_DISCOUNT,
    escalation: float = REAL_ESCALATION,
    lives: Mapping[str, tuple[float, str]] | None = None,
    progress: Progress | None = None,
) -> Analysis:
    """Baseline, measures, package, priorities and what to leave alone.

    Parameters
    ----------
    house : House
        As recorded.
    weather : WeatherYear
        Hours of a typical year near the house.
    costs : mapping or callable
        Full cost in dollars by measure id or kind; or a function of id, kind, quantity and SI
        unit. A measure without a cost has savings but no economics.
    prices : EnergyPrices
        Price and carbon by fuel.
    year : int
        Calendar year of the work.
    blocked : sequence of OpenHazard, or mapping
        Open hazards, or hazard -> the measure kinds, ids or stages it stops ("all": everything).
    chosen : sequence of str or None
        Measure ids of a plan. None: the measures that pay at full cost.
    subsidies : mapping or None
        Dollars by measure id or kind; changes the owner's value, never the order.
    unsafe : collection of str
        Ids of equipment that failed a safety test.
    discount, escalation : float
        Real rates.
    lives : mapping or None
        Useful life in years and its source by measure kind, where a program adopted its own.
    progress : callable or None
        Called with stage, runs done, runs in all.

    Returns
    -------
    Analysis
        Goes to JSON with `analysis_to_dict`.

    Raises
    ------
    InputError
        An unknown measure id, two measures that exclude each other, or a record that cannot be
        modeled.
    """
    terms = Terms(
        prices=prices, costs=costs, subsidies=subsidies or {}, discount=discount,
        escalation=escalation,
    )  # fmt: skip
    scene = Scene(weather=weather, terms=terms, year=year)
    found = _with_lives(measures_for(house, year=year), lives or {})
    stopped = {item.id: blocked_by(item, blocked) for item in found}
    steps = _Steps(progress, 2 * len(found) + 5 * len(MOVES))
    steps.stage("baseline")
    base = scene.run(house)
    measures = _sized(found, base)
    steps.stage("measures")
    alone = {item.id: saving_between(base, scene.run(_alone(item, house, steps)))
             for item in measures}  # fmt: skip
    findings = findings_of(house, base, measures, scene, unsafe=unsafe)
    steps.stage("package")
    picked = _pick(measures, chosen, stopped, findings, alone, house, scene, steps)
    chain = run_chain(house, picked, scene, on_step=steps.step)
    steps.stage("range")
    ranges = ranges_of(house, chain, scene, on_step=steps.step)
    package = _package(chain, ranges, terms)
    results = _results(
        measures, chain, alone, stopped, ranges, findings, terms, is_plan=chosen is not None
    )
    analysis = Analysis(
        baseline=base,
        measures=results,
        package=package,
        priorities=tuple(item.id for item in sorted(results, key=_rank) if item.rank is not None),
        equipment=findings,
        left_alone=left_alone(house, measures, findings),
        derivations=derivations_of(house, base, package, results, tuple(measures), scene),
        range_method_key=METHOD_KEY,
        weather_name=weather.name,
    )
    steps.finish()
    return analysis


def analyse_subset(
    house: House, weather: WeatherYear, measure_ids: Sequence[str], **settings: Any
) -> Analysis:
    """The same for a plan: exactly these measures, with the fan they may call for."""
    return analyse_house(house, weather, chosen=measure_ids, **settings)


def _with_lives(
    measures: Sequence[Measure], lives: Mapping[str, tuple[float, str]]
) -> list[Measure]:
    """Measures with the lives a program adopted in place of the published ones."""
    return [
        replace(item, life_years=lives[item.kind][0], life_source=lives[item.kind][1])
        if item.kind in lives
        else item
        for item in measures
    ]


# Output bought over the load at the worst hour (common practice, no source).
OVERSIZE = {"furnace_replacement": 1.4, "heat_pump": 1.0}


def _sized(measures: Sequence[Measure], base: Baseline) -> list[Measure]:
    """New furnaces and heat pumps sized by what the house needs, not by what stands there.

    A steam boiler is sized by its radiators and keeps the size recorded.
    """
    through_ducts_w = base.peak_heating_w / max(base.distribution_efficiency_heating, 0.5)
    return [
        replace(item, quantity=min(item.quantity, OVERSIZE[item.kind] * through_ducts_w))
        if item.kind in OVERSIZE
        else item
        for item in measures
    ]


def _alone(measure: Measure, house: House, steps: _Steps) -> House:
    steps.step()
    return measure.apply(house)


def _rank(item: MeasureResult) -> int:
    return -1 if item.rank is None else item.rank


def _pick(
    measures: Sequence[Measure],
    chosen: Sequence[str] | None,
    stopped: Mapping[str, tuple[str, ...]],
    findings: Sequence[EquipmentFinding],
    alone: Mapping[str, Saving],
    house: House,
    scene: Scene,
    steps: _Steps,
) -> list[Measure]:
    if chosen is None:
        candidates = [item for item in measures if _is_due(item, house, findings)]
        alone_npv = {
            item.id: worth.npv_usd
            for item in candidates
            if (worth := worth_of(item, alone[item.id], scene.terms)) is not None
        }
        return choose(candidates, stopped, house, scene, alone_npv=alone_npv, on_step=steps.step)
    by_id = {item.id: item for item in measures}
    wanted = [key for key in chosen if key != "exhaust_fan"]
    unknown = [key for key in wanted if key not in by_id]
    if unknown:
        raise InputError(f"This house has no measure {', '.join(unknown)}.")
    picked = [by_id[key] for key in wanted]
    require_possible(picked)
    # A hazard found since the plan was made stops the measure; its saving is not promised.
    return [
        item
        for item in picked
        if not stopped[item.id] and not any(stopped[n.id] for n in needed_first(item, picked))
    ]


def _is_due(measure: Measure, house: House, findings: Sequence[EquipmentFinding]) -> bool:
    """Whether equipment is due now; everything else always may be."""
    if measure.kind not in EQUIPMENT_KINDS:
        return True
    verdict = _finding_verdict(measure, findings)
    if measure.kind == "heat_pump":
        # Resistance heat wears no burner out: there it is a plain question of what it saves.
        systems = {item.id: item.kind for item in house.heating}
        return systems.get(measure.target_id) == "electric_resistance"
    return verdict == "replace_now"


def _finding_verdict(measure: Measure, findings: Sequence[EquipmentFinding]) -> str | None:
    return next((f.verdict for f in findings if f.equipment_id == measure.target_id), None)


def _package(chain: Chain, ranges: Ranges, terms: Terms) -> Package:
    whole = saving_between(chain.before, chain.after)
    return Package(
        measure_ids=tuple(item.id for item in chain.measures),
        before=chain.before,
        after=chain.after,
        saving=with_deviation(whole, ranges.package),
        worth=worth_together(chain.measures, chain.savings(), terms),
        ventilation_needed_m3_per_s=sum(
            float(item.facts["flow_m3_per_s"])
            for item in chain.measures
            if item.kind == "exhaust_fan"
        ),
    )


def _results(
    measures: Sequence[Measure],
    chain: Chain,
    alone: dict[str, Saving],
    stopped: dict[str, tuple[str, ...]],
    ranges: Ranges,
    findings: Sequence[EquipmentFinding],
    terms: Terms,
    *,
    is_plan: bool,
) -> tuple[MeasureResult, ...]:
    in_package = {
        item.id: with_deviation(saving, ranges.by_measure[item.id])
        for item, saving in zip(chain.measures, chain.savings(), strict=True)
    }
    relative = _relative(in_package)
    worths: dict[str, Worth | None] = {}
    every = [*measures, *(item for item in chain.measures if item.id not in alone)]
    for item in every:
        counted = in_package.get(item.id) or alone[item.id]
        worths[item.id] = worth_of(item, counted, terms)
    npv = {key: worth.npv_usd for key, worth in worths.items() if worth is not None}
    order = in_order_of_priority(chain, npv, {item.id: item.stage for item in chain.measures})
    results = []
    for item in every:
        saving = in_package.get(item.id)
        single = alone.get(item.id) or in_package[item.id]
        verdict, reason = _verdict(
            item,
            in_package,
            stopped,
            findings,
            worths[item.id],
            chain,
            is_plan=is_plan,
        )
        results.append(
            MeasureResult(
                id=item.id,
                kind=item.kind,
                target_id=item.target_id,
                title_key=item.title_key,
                place=item.place,
                stage=item.stage,
                quantity=item.quantity,
                unit=item.unit,
                life_years=item.life_years,
                life_source=item.life_source,
                cost_usd=terms.cost_usd(item),
                saving_alone=with_deviation(
                    single, abs(single.cost_usd) * relative.get(item.id, relative[""])
                ),
                saving=saving,
                worth=worths[item.id],
                verdict=verdict,
                reason_key=reason,
                reason_facts=item.facts,
                blocked_by=stopped.get(item.id, ()),
                requires=tuple(n.id for n in needed_first(item, every)),
                rank=order.index(item.id) if item.id in order else None,
            )
        )
    return tuple(results)


def _relative(in_package: Mapping[str, Saving]) -> dict[str, float]:
    """Deviation as a share of each saving; under "" the package's typical one, for the others."""
    shares = {
        key: (saving.cost_high_usd - saving.cost_usd) / abs(saving.cost_usd)
        for key, saving in in_package.items()
        if abs(saving.cost_usd) > 1.0
    }
    usual = sorted(shares.values())[len(shares) // 2] if shares else UNTRIED_DEVIATION
    return {**shares, "": usual}


# Deviation of a saving in a house without a package to try it on; common practice, no source.
UNTRIED_DEVIATION = 0.3


def _verdict(
    item: Measure,
    in_package: Mapping[str, Saving],
    stopped: Mapping[str, tuple[str, ...]],
    findings: Sequence[EquipmentFinding],
    worth: Worth | None,
    chain: Chain,
    *,
    is_plan: bool,
) -> tuple[str, str]:
    if stopped.get(item.id):
        return "blocked", "open_hazard"
    if item.id in in_package:
        needed = any(item in needed_first(other, chain.measures) for other in chain.measures)
        is_required = item.is_required or (needed and in_package[item.id].cost_usd <= 0.0)
        due = next((f.reason_key for f in findings if f.equipment_id == item.target_id), "")
        return ("required" if is_required else "do"), item.reason_key or due or "chosen"
    verdict = _finding_verdict(item, findings)
    if item.kind in EQUIPMENT_KINDS and verdict is not None:
        if verdict in ("plan_change", "replace_now", "unknown_age"):
            return "plan_at_failure", "plan_the_change"
        return "leave", "equipment_has_years_left"
    if item.stage == "safety":
        return "leave", str(item.facts.get("alone_reason_key", "for_dryness_not_energy"))
    if item.is_advised and worth is not None and worth.npv_usd < 0.0:
        return "leave", "costs_more_than_it_saves"
    if item.is_advised and is_plan:
        return "leave", "not_chosen"
    if item.is_advised:
        return "leave", "costs_more_with_what_it_needs" if item.requires else (
            "others_take_its_saving"
        )
    return "leave", item.reason_key
