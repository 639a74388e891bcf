"""Measures done together, one after the other in the order of work.

Each measure is credited with what it changes in the house that the earlier ones left, so that
interactions count once and the steps add up to the whole. Which measures, and which of them is
worth the first dollar, is decided in `calcs.picking`.
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
from calcs.worth import Scene, saving_between

Blocked = Mapping[str, Sequence[str]] | Sequence[OpenHazard]
ALL_MEASURES = "all"
TIGHTENING_STAGES = ("air_sealing", "insulation", "ducts")


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
    if adds_fan and is_tightened(early):
        fan = fan_for(current, states[-1].infiltration_m3_per_s)
        if fan is not None:
            step(fan)
    for measure in late:
        step(measure)
    return Chain(measures=tuple(done), states=tuple(states), house_after=current)


def is_tightened(measures: Sequence[Measure]) -> bool:
    """Whether any of the measures changes how much air gets in."""
    return any(item.stage in TIGHTENING_STAGES for item in measures)


def conflict(one: Measure, other: Measure) -> bool:
    """Whether two measures cannot both be done."""
    excluded = other.kind in one.excludes or one.kind in other.excludes
    return excluded and one.id != other.id and _meet(one, other)


def _meet(one: Measure, other: Measure) -> bool:
    """Whether two measures work on one thing, or one of them on the whole house."""
    return not one.target_id or not other.target_id or one.target_id == other.target_id


def excluded_by(measure: Measure, pool: Sequence[Measure]) -> list[Measure]:
    """Measures of the pool that cannot be done as well as this one."""
    return [
        other
        for other in pool
        if other is not measure
        and (other.kind in measure.excludes or measure.kind in other.excludes)
        and _meet(measure, other)
    ]


def require_possible(measures: Sequence[Measure]) -> None:
    """Raise `InputError` when two chosen measures exclude each other."""
    for measure in measures:
        for other in measures:
            if conflict(measure, other):
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
