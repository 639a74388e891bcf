"""The one way in: everything a report or a plan needs to know of a house, from one call."""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from typing import Any

import numpy as np

from calcs.calibration import for_sizing
from calcs.derivations import derivations_of
from calcs.errors import InputError
from calcs.findings import early_value_of, findings_of
from calcs.inputs import EnergyPrices, House
from calcs.left_alone import left_alone
from calcs.measures import Measure, measures_for
from calcs.packages import (
    Blocked,
    Chain,
    blocked_by,
    excluded_by,
    needed_first,
    require_possible,
    run_chain,
)
from calcs.picking import Pick, Picker, in_order_of_priority, reachable
from calcs.results import (
    FORMAT_VERSION,
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
from calcs.uncertainty import (
    METHOD_KEY,
    Ranges,
    SavingDraws,
    costs_drawn,
    levers_of,
    percentiles,
    ranges_of,
    values_drawn,
)
from calcs.uncertainty.levers import Known
from calcs.weather import WeatherYear
from calcs.worth import (
    REAL_DISCOUNT,
    REAL_ESCALATION,
    CostOf,
    CostRangeOf,
    Costs,
    Scene,
    Terms,
    present_value_factor,
    saving_between,
    worth_of,
    worth_together,
)

__all__ = [
    "CostOf",
    "CostRangeOf",
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


# Of these, a finding says what replacing now is worth over waiting.
JUDGED_KINDS = tuple(kind for kind in EQUIPMENT_KINDS if kind != "heat_pump")


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
    cost_ranges: CostRangeOf | None = None,
    widths: Mapping[str, float] | None = None,
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
    cost_ranges : callable or None
        10th, 50th and 90th percentile of a cost, as `costs` by function. Where its middle is not
        the cost (a quote), the cost is taken as certain.
    widths : mapping or None
        Uncertain input (`calcs.uncertainty.LEVERS`) -> width of what is left of its distribution
        after a fit to bills, over that before; 0 to 1.
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
        escalation=escalation, cost_ranges=cost_ranges,
    )  # fmt: skip
    scene = Scene(weather=weather, terms=terms, year=year)
    found = _with_lives(measures_for(house, year=year), lives or {})
    stopped = {item.id: blocked_by(item, blocked) for item in found}
    levers = len(levers_of(Known(house=house, widths=widths or {})))
    steps = _Steps(progress, (4 + levers) * len(found))
    steps.stage("baseline")
    base = scene.run(house)
    measures = _sized(found, scene.run(for_sizing(house)))
    steps.stage("measures")
    alone = {item.id: saving_between(base, scene.run(_alone(item, house, steps)))
             for item in measures}  # fmt: skip
    findings = findings_of(house, base, measures, scene, unsafe=unsafe)
    steps.stage("package")
    picks = _pick(measures, chosen, stopped, findings, house, scene, steps)
    by_id = {item.id: item for item in measures}
    chain = run_chain(
        house, [by_id[key] for pick in picks for key in pick.with_ids], scene, on_step=steps.step
    )
    findings = _settled(findings, chain, measures)
    steps.stage("range")
    ranges = ranges_of(
        house, chain, scene, alone={key: (by_id[key], saving) for key, saving in alone.items()},
        widths=widths, on_step=steps.step,
    )  # fmt: skip
    package = _package(chain, ranges, terms)
    results = _results(
        measures, chain, alone, stopped, ranges, findings, picks, terms, is_plan=chosen is not None
    )
    left = left_alone(house, measures, findings)
    analysis = Analysis(
        baseline=base,
        measures=results,
        package=package,
        priorities=tuple(item.id for item in sorted(results, key=_rank) if item.rank is not None),
        equipment=findings,
        left_alone=left,
        derivations=derivations_of(
            house,
            chain.house_after,
            base,
            package,
            results,
            scene,
            equipment=findings,
            left=left,
            range_inputs=ranges.inputs,
        ),
        range_method_key=METHOD_KEY,
        weather_name=weather.name,
        format_version=FORMAT_VERSION,
        range_inputs=ranges.inputs,
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

    The peak is that of the heat asked of the plant, losses of the ducts included. A steam boiler
    is sized by its radiators and keeps the size recorded.
    """
    return [
        replace(item, quantity=min(item.quantity, OVERSIZE[item.kind] * base.peak_heating_w))
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
    house: House,
    scene: Scene,
    steps: _Steps,
) -> list[Pick]:
    """The default package, or the order of a plan."""
    terms = scene.terms

    def value_of(measure: Measure, saving_usd: float) -> float:
        finding = _finding_of(measure, findings)
        if finding is not None and measure.kind in JUDGED_KINDS:
            early = early_value_of(finding, saving_usd, terms)
            if early is not None:
                return early
        cost = terms.cost_usd(measure) or 0.0
        return saving_usd * present_value_factor(measure.life_years, terms) - cost

    if chosen is not None:
        picked = _wanted(measures, chosen, stopped)
        picker = Picker(house, picked, scene, value_of=value_of, on_step=steps.step)
        safety = [item.id for item in picked if item.stage == "safety"]
        return picker.pick(must=safety, takes_all=True)
    pool = [
        item
        for item in reachable([m for m in measures if _is_due(m, house, findings)], stopped)
        if item.is_advised
    ]
    must = [
        item.id
        for item in pool
        if item.is_required
        or (
            item.kind in JUDGED_KINDS
            and (finding := _finding_of(item, findings)) is not None
            and finding.reason_key == "failed_a_safety_test"
        )
    ]
    picker = Picker(house, pool, scene, value_of=value_of, on_step=steps.step)
    return picker.without_losers(picker.pick(must=must), must=must)


def _wanted(
    measures: Sequence[Measure], chosen: Sequence[str], stopped: Mapping[str, tuple[str, ...]]
) -> list[Measure]:
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


def _settled(
    findings: Sequence[EquipmentFinding], chain: Chain, measures: Sequence[Measure]
) -> tuple[EquipmentFinding, ...]:
    """Findings after the package: what pays now only in the house as it is waits after all."""
    targets = {item.target_id for item in chain.measures if item.kind in JUDGED_KINDS}
    offered = {item.target_id for item in measures if item.kind in JUDGED_KINDS}
    return tuple(
        replace(
            item,
            verdict="plan_change",
            reason_key="past_its_usual_life"
            if item.reason_facts.get("is_past_table_life")
            else "works_but_plan_ahead",
        )
        if item.reason_key == "saves_more_than_it_costs" and item.equipment_id in offered - targets
        else item
        for item in findings
    )


def _finding_of(measure: Measure, findings: Sequence[EquipmentFinding]) -> EquipmentFinding | None:
    return next((f for f in findings if f.equipment_id == measure.target_id), None)


def _finding_verdict(measure: Measure, findings: Sequence[EquipmentFinding]) -> str | None:
    found = _finding_of(measure, findings)
    return None if found is None else found.verdict


def _package(chain: Chain, ranges: Ranges, terms: Terms) -> Package:
    whole = saving_between(chain.before, chain.after)
    worth = worth_together(chain.measures, chain.savings(), terms)
    saved = [ranges.in_package[item.id] for item in chain.measures]
    return Package(
        measure_ids=tuple(item.id for item in chain.measures),
        before=chain.before,
        after=chain.after,
        saving=ranges.package.onto(whole, terms.prices.co2_kg_per_j),
        worth=_with_range(worth, chain.measures, saved, ranges.package, ranges, terms),
        ventilation_needed_m3_per_s=sum(
            float(item.facts["flow_m3_per_s"])
            for item in chain.measures
            if item.kind == "exhaust_fan"
        ),
    )


def _with_range(
    worth: Worth | None,
    measures: Sequence[Measure],
    saved: Sequence[SavingDraws],
    together: SavingDraws,
    ranges: Ranges,
    terms: Terms,
) -> Worth | None:
    """Economics with their percentiles over the draws of saving and price."""
    if worth is None or not measures:
        return worth
    costs = costs_drawn(terms, measures, ranges.cost_scores)
    if costs is None:
        return worth
    cost = percentiles(costs)
    values = values_drawn(measures, saved, terms) - costs
    npv = percentiles(values)
    payback = ranges.payback_years(together, costs)
    return replace(
        worth,
        cost_low_usd=min(cost.low, worth.cost_usd),
        cost_high_usd=max(cost.high, worth.cost_usd),
        npv_low_usd=min(npv.low, worth.npv_usd),
        npv_high_usd=max(npv.high, worth.npv_usd),
        payback_low_years=None if payback is None else payback.low,
        payback_high_years=None if payback is None else payback.high,
        chance_pays=float(np.mean(values >= 0.0)),
    )


def _results(
    measures: Sequence[Measure],
    chain: Chain,
    alone: dict[str, Saving],
    stopped: dict[str, tuple[str, ...]],
    ranges: Ranges,
    findings: Sequence[EquipmentFinding],
    picks: Sequence[Pick],
    terms: Terms,
    *,
    is_plan: bool,
) -> tuple[MeasureResult, ...]:
    carbon = terms.prices.co2_kg_per_j
    in_package = {
        item.id: ranges.in_package[item.id].onto(saving, carbon)
        for item, saving in zip(chain.measures, chain.savings(), strict=True)
    }
    every = [*measures, *(item for item in chain.measures if item.id not in alone)]
    order = in_order_of_priority(chain.measures, picks)
    picked = {pick.measure_id: pick for pick in picks}
    results = []
    for item in every:
        saving = in_package.get(item.id)
        draws = ranges.in_package[item.id] if saving is not None else ranges.alone[item.id]
        single = (
            in_package[item.id]
            if item.id not in alone
            else (ranges.alone[item.id].onto(alone[item.id], carbon))
        )
        worth = _with_range(
            worth_of(item, saving or single, terms), [item], [draws], draws, ranges, terms
        )
        verdict, reason = _verdict(
            item,
            in_package,
            stopped,
            findings,
            worth,
            chain,
            is_plan=is_plan,
        )
        span = terms.cost_range_usd(item)
        pick = picked.get(item.id)
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
                saving_alone=single,
                saving=saving,
                worth=worth,
                verdict=verdict,
                reason_key=reason,
                reason_facts=item.facts,
                blocked_by=stopped.get(item.id, ()),
                requires=tuple(n.id for n in needed_first(item, every)),
                excludes=tuple(other.id for other in excluded_by(item, every)),
                rank=order.index(item.id) if item.id in order else None,
                cost_low_usd=None if span is None else span[0],
                cost_high_usd=None if span is None else span[2],
                pick_saving_usd=None if pick is None else pick.saving_usd,
                pick_npv_usd=None if pick is None else pick.npv_usd,
            )
        )
    return tuple(results)


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
