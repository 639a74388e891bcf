"""Measures done together, one after the other in the order of work.

Each measure is credited with what it changes in the house that the earlier ones left, so that
interactions count once and the steps add up to the whole.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from calcs.errors import InputError
from calcs.inputs import House
from calcs.measures import Measure, OpenHazard, in_order_of_work
from calcs.measures.hazards import HAZARD_KINDS, stopping
from calcs.measures.ventilation import measure_for as fan_for
from calcs.results import Baseline, Saving
from calcs.worth import Scene, saving_between, worth_of

Blocked = Mapping[str, Sequence[str]] | Sequence[OpenHazard]
ALL_MEASURES = "all"
MOST_ROUNDS = 10


@dataclass(frozen=True, eq=False, kw_only=True)
class Chain:
    """Measures in the order of work and the house after each."""

    measures: tuple[Measure, ...]
    states: tuple[Baseline, ...]
    house_after: House

    @property
    def before(self) -> Baseline:
        """The house before any of it."""
        return self.states[0]

    @property
    def after(self) -> Baseline:
        """The house with all of it."""
        return self.states[-1]

    def savings(self) -> list[Saving]:
        """Saving of each step; they add up to the difference of the ends."""
        return [
            saving_between(before, after)
            for before, after in zip(self.states, self.states[1:], strict=False)
        ]


def blocked_by(measure: Measure, blocked: Blocked) -> tuple[str, ...]:
    """What stops a measure.

    `blocked` is open hazards, judged by the table of what stops what; or a mapping from a hazard
    to the measures it stops: kinds, ids, stages or "all". A hazard named there by one of the
    table's own kinds stops what the table says as well: a record can add to it, not take away.
    """
    if not isinstance(blocked, Mapping):
        open_ones = tuple(item for item in blocked if item.kind not in measure.clears)
        return stopping(open_ones, measure.blocked_by, measure.areas)
    found = []
    for hazard, stopped in blocked.items():
        # A repair is not stopped by what it repairs.
        if hazard.partition(":")[0] in measure.clears:
            continue
        names = {measure.kind, measure.id, measure.stage, ALL_MEASURES}
        by_table = hazard in HAZARD_KINDS and hazard in measure.blocked_by
        if by_table or names.intersection(stopped):
            found.append(hazard)
    return tuple(found)


def run_chain(
    house: House,
    measures: Sequence[Measure],
    scene: Scene,
    *,
    on_step: Callable[[], None] | None = None,
    adds_fan: bool = True,
) -> Chain:
    """Apply measures in the order of work and run the house after each.

    The fan a tightened house needs comes in its own place in that order, after everything that
    changes the air.
    """
    ordered = [item for item in in_order_of_work(list(measures)) if item.kind != "exhaust_fan"]
    late = [item for item in ordered if item.stage == "baseload"]
    early = [item for item in ordered if item.stage != "baseload"]
    states = [scene.run(house)]
    done: list[Measure] = []
    current = house

    def step(measure: Measure) -> None:
        nonlocal current
        current = measure.apply(current)
        states.append(scene.run(current))
        done.append(measure)
        if on_step is not None:
            on_step()

    for measure in early:
        step(measure)
    is_tightened = any(item.stage in ("air_sealing", "insulation", "ducts") for item in early)
    if adds_fan and is_tightened:
        fan = fan_for(current, states[-1].infiltration_m3_per_s)
        if fan is not None:
            step(fan)
    for measure in late:
        step(measure)
    return Chain(measures=tuple(done), states=tuple(states), house_after=current)


def without_conflicts(measures: Sequence[Measure]) -> list[Measure]:
    """The measures with the later of two that exclude each other dropped."""
    kept: list[Measure] = []
    for measure in measures:
        clash = any(other.kind in measure.excludes and _meet(other, measure) for other in kept)
        if not clash:
            kept.append(measure)
    return kept


def _meet(one: Measure, other: Measure) -> bool:
    """Whether two measures work on one thing, or one of them on the whole house."""
    return not one.target_id or not other.target_id or one.target_id == other.target_id


def require_possible(measures: Sequence[Measure]) -> None:
    """Raise `InputError` when two chosen measures exclude each other."""
    for measure in measures:
        for other in measures:
            if other.kind in measure.excludes and _meet(measure, other):
                raise InputError(f"{measure.id} and {other.id} cannot be done together.")


def needed_first(measure: Measure, pool: Sequence[Measure]) -> list[Measure]:
    """Measures of the pool that have to be done before this one, and before those."""
    found: list[Measure] = []
    for kind in measure.requires:
        for other in pool:
            if other.kind == kind and _is_about_same(measure, other) and other not in found:
                found += [item for item in needed_first(other, pool) if item not in found]
                found.append(other)
    return found


def _is_about_same(measure: Measure, other: Measure) -> bool:
    """Attic hatches belong to every attic insulation; a ground cover to its own crawlspace."""
    is_own = other.kind in ("crawl_ground_cover", "attic_raised_deck")
    return not is_own or other.target_id == measure.target_id


def choose(
    candidates: Sequence[Measure],
    stopped: Mapping[str, tuple[str, ...]],
    house: House,
    scene: Scene,
    *,
    alone_npv: Mapping[str, float],
    on_step: Callable[[], None] | None = None,
) -> list[Measure]:
    """The default package: what pays at full cost in the order of work, prerequisites with it.

    A measure whose prerequisite is stopped by a hazard is not in it either. A measure without a
    known cost stays in: nothing says that it does not pay.
    """
    pool = [item for item in candidates if not stopped[item.id]]
    reachable = [
        item
        for item in pool
        if item.is_advised and not any(stopped[n.id] for n in needed_first(item, candidates))
    ]
    # What does not pay on the house as it is will not pay on a better one.
    kept = _paying(without_conflicts(reachable), alone_npv)
    for _ in range(MOST_ROUNDS):
        chain = run_chain(house, kept, scene, on_step=on_step)
        npv = {
            measure.id: worth.npv_usd
            for measure, saving in zip(chain.measures, chain.savings(), strict=True)
            if (worth := worth_of(measure, saving, scene.terms)) is not None
        }
        paying = _paying(kept, npv)
        if len(paying) == len(kept):
            return kept
        # One at a time, the worst first: without it another may pay again.
        lost = [item for item in kept if item not in paying]
        worst = min(lost, key=lambda item: npv.get(item.id, 0.0))
        kept = _paying([item for item in kept if item is not worst], {})
    return paying


def _paying(kept: Sequence[Measure], npv: Mapping[str, float]) -> list[Measure]:
    """Measures that pay with what they require, and those requirements."""
    needs = {item.id: needed_first(item, kept) for item in kept}
    paying: list[Measure] = []
    for item in kept:
        group = npv.get(item.id, 0.0) + sum(min(npv.get(n.id, 0.0), 0.0) for n in needs[item.id])
        if item.is_required or (item.stage != "safety" and group >= 0.0):
            paying.append(item)
    required = {n.id for item in paying for n in needs[item.id]}
    return [item for item in kept if item in paying or item.id in required]


def in_order_of_priority(
    chain: Chain, npv: Mapping[str, float], results_stage: Mapping[str, str]
) -> list[str]:
    """Ids of the package, safety and what others need first, then by NPV, highest first."""
    remaining = list(chain.measures)
    ranked: list[str] = []

    def value(item: Measure) -> tuple[int, float]:
        """Safety first; a prerequisite is worth as much as the best thing that waits for it."""
        waiting = [o for o in chain.measures if item in needed_first(o, chain.measures)]
        best = max([npv.get(item.id, 0.0), *(npv.get(o.id, 0.0) for o in waiting)])
        return (0 if results_stage[item.id] == "safety" else 1, -best)

    while remaining:
        ready = [
            item
            for item in remaining
            if all(n.id in ranked for n in needed_first(item, chain.measures))
            and not (
                item.is_required
                and any(o.stage != "baseload" and not o.is_required for o in remaining)
            )
        ]
        chosen = min(ready or remaining, key=value)
        ranked.append(chosen.id)
        remaining.remove(chosen)
    return ranked
