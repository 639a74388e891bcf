"""Which measures, and in which order the money goes: the best net present value first.

Greedy: of everything that can still be done, with what it needs first, the one with the highest
net present value at full cost on the house that the earlier picks left; then the house is run
again. Lazy: a measure's last figure, its harms left out, is a bound on what it can still bring,
because savings of one fuel shrink as the house gets better; only the one on top is run again, and
it is taken when it stays on top. What the fan of a tightened house uses counts against what
tightens it; its price does not, as programs keep costs of health out of the choice of measures
(common practice, no source). The package's total has it.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass

from calcs.inputs import House
from calcs.measures import Measure, in_order_of_work
from calcs.measures.ventilation import measure_for as fan_for
from calcs.packages import conflict, is_tightened, needed_first
from calcs.results import Baseline
from calcs.worth import Scene, present_value_factor

# (measure, first-year saving in dollars) -> net present value in dollars.
ValueOf = Callable[[Measure, float], float]


@dataclass(frozen=True, kw_only=True)
class Pick:
    """One pick: what was taken, with what it needs first, and what it brought then.

    `saving_usd` is a year's, `npv_usd` at full cost, both on the house the earlier picks left.
    """

    measure_id: str
    with_ids: tuple[str, ...]
    saving_usd: float
    npv_usd: float


@dataclass(frozen=True, eq=False)
class _State:
    """A house with some measures: its year without and with the fan it may need."""

    plain: Baseline
    with_fan: Baseline
    fan: Measure | None


@dataclass(frozen=True)
class _Gain:
    npv_usd: float
    saving_usd: float
    bound_usd: float


class Picker:
    """Picks out of candidates on one house."""

    def __init__(
        self,
        house: House,
        candidates: Sequence[Measure],
        scene: Scene,
        *,
        value_of: ValueOf | None = None,
        on_step: Callable[[], None] | None = None,
    ) -> None:
        self.house, self.scene, self.on_step = house, scene, on_step
        self.by_id = {item.id: item for item in candidates}
        self.candidates = list(candidates)
        self.value_of = value_of or self.full_value
        self._known: dict[frozenset[str], _State] = {}

    def full_value(self, measure: Measure, saving_usd: float) -> float:
        """Net present value over a measure's life at full cost; no cost where it is not known."""
        cost = self.scene.terms.cost_usd(measure) or 0.0
        return saving_usd * present_value_factor(measure.life_years, self.scene.terms) - cost

    def pick(self, *, must: Collection[str] = (), takes_all: bool = False) -> list[Pick]:
        """Picks, best first. `must` come before all others; `takes_all` leaves nothing out."""
        done: list[str] = []
        picks: list[Pick] = []
        for key in must:
            if key in self.by_id and key not in done:
                picks.append(self._take(key, done))
        fresh = {
            item.id: self._gain(item.id, done)
            for item in self.candidates
            if self._is_open(item, done)
        }
        bounds = {key: gain.bound_usd for key, gain in fresh.items()}
        while True:
            open_ids = [
                item.id
                for item in self.candidates
                if self._is_open(item, done) and item.id in bounds
            ]
            if not open_ids:
                return picks
            best = max(
                open_ids, key=lambda key: fresh[key].npv_usd if key in fresh else bounds[key]
            )
            if best not in fresh:
                found = self._gain(best, done)
                fresh[best], bounds[best] = found, found.bound_usd
                continue
            if fresh[best].npv_usd < 0.0 and not takes_all:
                return picks
            picks.append(self._take(best, done))
            fresh.clear()

    def without_losers(self, picks: Sequence[Pick], *, must: Collection[str] = ()) -> list[Pick]:
        """The picks less those that later ones left without value, the worst first."""
        kept = list(picks)
        while True:
            ids = {key for pick in kept for key in pick.with_ids}
            losers: dict[str, float] = {}
            for pick in kept:
                needed = any(
                    pick.measure_id in [n.id for n in needed_first(self.by_id[o], self.candidates)]
                    for o in ids - {pick.measure_id}
                )
                if needed or pick.measure_id in must:
                    continue
                others = [key for key in self._ordered(ids) if key not in pick.with_ids]
                shared = [key for key in pick.with_ids if self._is_shared(key, pick, kept)]
                left = self._gain_of(
                    [key for key in pick.with_ids if key not in shared], [*others, *shared]
                ).npv_usd
                if left < 0.0:
                    losers[pick.measure_id] = left
            if not losers:
                return kept
            worst = min(losers, key=lambda key: losers[key])
            lost = next(pick for pick in kept if pick.measure_id == worst)
            kept = self._without(kept, lost)

    def _is_shared(self, key: str, pick: Pick, kept: Sequence[Pick]) -> bool:
        """Whether a prerequisite taken with one pick serves another as well."""
        return any(
            key in [n.id for n in needed_first(self.by_id[other.measure_id], self.candidates)]
            for other in kept
            if other.measure_id != pick.measure_id
        )

    def _without(self, kept: Sequence[Pick], lost: Pick) -> list[Pick]:
        found: list[Pick] = []
        for pick in kept:
            if pick is not lost:
                found.append(pick)
                continue
            for key in pick.with_ids:
                if key != lost.measure_id and self._is_shared(key, pick, kept):
                    found.append(Pick(measure_id=key, with_ids=(key,), saving_usd=0.0, npv_usd=0.0))
        return found

    def _is_open(self, item: Measure, done: Sequence[str]) -> bool:
        if item.id in done or item.stage == "safety":
            return False
        return not any(conflict(item, self.by_id[key]) for key in done)

    def _group(self, key: str, done: Sequence[str]) -> list[str]:
        needed = [n.id for n in needed_first(self.by_id[key], self.candidates)]
        return [*(n for n in needed if n not in done), key]

    def _take(self, key: str, done: list[str]) -> Pick:
        gain = self._gain(key, done)
        group = self._group(key, done)
        done += group
        return Pick(
            measure_id=key, with_ids=tuple(group), saving_usd=gain.saving_usd, npv_usd=gain.npv_usd
        )

    def _gain(self, key: str, done: Sequence[str]) -> _Gain:
        return self._gain_of(self._group(key, done), done)

    def _gain_of(self, group: Sequence[str], done: Sequence[str]) -> _Gain:
        """What a group brings after what is done: one run for each of it, and its fan's."""
        now = list(done)
        start = self._state(now)
        before, npv, saving, bound = start, 0.0, 0.0, 0.0
        for key in group:
            measure = self.by_id[key]
            now.append(key)
            after = self._state(now)
            step = before.plain.cost_usd - after.plain.cost_usd
            npv += self.value_of(measure, step)
            saving += step
            bound += self.value_of(measure, self._helps_usd(before.plain, after.plain))
            before = after
        fan_npv, fan_saving = self._fan(start, before)
        return _Gain(npv_usd=npv + fan_npv, saving_usd=saving + fan_saving, bound_usd=bound)

    def _helps_usd(self, before: Baseline, after: Baseline) -> float:
        """The saving by fuels that are saved; what costs more is left out."""
        return sum(
            max(cost - after.cost_usd_by_fuel.get(fuel, 0.0), 0.0)
            for fuel, cost in before.cost_usd_by_fuel.items()
        )

    def _fan(self, before: _State, after: _State) -> tuple[float, float]:
        """Value and saving of what the fan changes: its energy."""
        change = (before.with_fan.cost_usd - before.plain.cost_usd) - (
            after.with_fan.cost_usd - after.plain.cost_usd
        )
        fan = after.fan or before.fan
        if fan is None:
            return 0.0, 0.0
        return change * present_value_factor(fan.life_years, self.scene.terms), change

    def _ordered(self, ids: Collection[str]) -> list[str]:
        return [
            item.id for item in in_order_of_work([self.by_id[key] for key in self._sorted(ids)])
        ]

    def _sorted(self, ids: Collection[str]) -> list[str]:
        return [item.id for item in self.candidates if item.id in ids]

    def _state(self, ids: Sequence[str]) -> _State:
        """The house with these measures, applied in the order of work."""
        key = frozenset(ids)
        found = self._known.get(key)
        if found is None:
            measures = [self.by_id[name] for name in self._ordered(key)]
            current = self.house
            for measure in measures:
                current = measure.apply(current)
            plain = self._run(current)
            fan = None
            # A house that lacks fresh air as it stands owes the fan to that, not to its sealing.
            if is_tightened(measures) or not measures:
                fan = fan_for(current, plain.infiltration_m3_per_s)
            with_fan = plain if fan is None else self._run(fan.apply(current))
            found = _State(plain=plain, with_fan=with_fan, fan=fan)
            self._known[key] = found
        return found

    def _run(self, house: House) -> Baseline:
        if self.on_step is not None:
            self.on_step()
        return self.scene.run(house)


def reachable(
    candidates: Sequence[Measure], stopped: Mapping[str, tuple[str, ...]]
) -> list[Measure]:
    """Candidates that no hazard stops, nor stops what has to come before them."""
    return [
        item
        for item in candidates
        if not stopped[item.id] and not any(stopped[n.id] for n in needed_first(item, candidates))
    ]


def in_order_of_priority(chain: Sequence[Measure], picks: Sequence[Pick]) -> list[str]:
    """Ids of a package: safety first, then as picked, and what the rest makes necessary last."""
    picked = [key for pick in picks for key in pick.with_ids]
    place = {key: index for index, key in enumerate(picked)}

    def rank(item: Measure) -> tuple[int, int]:
        group = 0 if item.stage == "safety" else 2 if item.is_required else 1
        return group, place.get(item.id, len(place))

    ordered = [item.id for item in sorted(chain, key=rank)]
    found: list[str] = []
    by_id = {item.id: item for item in chain}
    for key in ordered:
        for first in [*(n.id for n in needed_first(by_id[key], chain)), key]:
            if first not in found:
                found.append(first)
    return found
