"""Low, expected and high of every saving: percentiles over what is uncertain about a house.

The method: each uncertain input has a distribution (`calcs.uncertainty.table`); the energy of
every state of the package is fitted to a few runs for each input (`calcs.uncertainty.response`),
and thousands of seeded draws go through that fit. Energies multiply: efficiency, degree-hours and
conductance act as factors on a use's energy. What the work itself brings about is a factor on
each measure's saving. The low figure is the 10th percentile, the high the 90th.

`full_draws` runs the model itself for every draw and state, and is what the method is tested
against.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from calcs.inputs import House
from calcs.measures import Measure
from calcs.packages import Chain
from calcs.results import Baseline, RangeInput, Saving
from calcs.uncertainty.draws import DRAWS, Percentiles, percentiles, scores, two_sided
from calcs.uncertainty.levers import LEVERS, Known, Lever, levers_of, moved
from calcs.uncertainty.response import (
    HEATING_USES,
    PLANT_LEVERS,
    Answer,
    FloatArray,
    Runner,
    Use,
    answer_of,
    changed,
    energies,
    prices_of,
    uses_of,
)
from calcs.uncertainty.table import UNCERTAIN_INPUTS, work_quality
from calcs.worth import Scene, Terms, present_value_factor

METHOD_KEY = "percentiles_of_fitted_response"
MODEL_ROWS = ("heating_model", "cooling_model")

# What sets the degree-hours of every measure: tried for each measure alone.
ALWAYS_TRIED = ("heating_setpoint",)
# Below these a relative range says nothing.
LEAST_USD = 1.0
LEAST_J = 1.0e7


@dataclass(frozen=True, eq=False, kw_only=True)
class SavingDraws:
    """Draws of one saving: by fuel and in dollars, shape (draws,). [J], [$]"""

    by_fuel: Mapping[str, FloatArray]
    cost_usd: FloatArray

    def onto(self, saving: Saving, co2_kg_per_j: Mapping[str, float]) -> Saving:
        """The saving with its range; the expected value stays inside."""
        money = percentiles(self.cost_usd)
        fuels = {fuel: percentiles(values) for fuel, values in self.by_fuel.items()}
        zero = np.zeros_like(self.cost_usd)
        carbon = percentiles(
            sum((co2_kg_per_j.get(f, 0.0) * v for f, v in self.by_fuel.items()), zero)
        )
        return Saving(
            energy_j=saving.energy_j,
            cost_usd=saving.cost_usd,
            cost_low_usd=min(money.low, saving.cost_usd),
            cost_high_usd=max(money.high, saving.cost_usd),
            co2_kg=saving.co2_kg,
            cost_median_usd=money.middle,
            energy_low_j={f: min(p.low, saving.energy_j.get(f, 0.0)) for f, p in fuels.items()},
            energy_high_j={f: max(p.high, saving.energy_j.get(f, 0.0)) for f, p in fuels.items()},
            co2_low_kg=min(carbon.low, saving.co2_kg),
            co2_high_kg=max(carbon.high, saving.co2_kg),
        )


@dataclass(frozen=True, eq=False, kw_only=True)
class Ranges:
    """Draws of every saving of one analysis, and what makes them wide.

    `in_package` and `alone` are by measure id; `shares` tells how much of the package's variance
    each input brings. `cost_scores` are the draws' scores of the measures' prices.
    """

    in_package: dict[str, SavingDraws]
    alone: dict[str, SavingDraws]
    package: SavingDraws
    inputs: tuple[RangeInput, ...]
    cost_scores: dict[str, FloatArray]
    runs: int

    def payback_years(self, draws: SavingDraws, costs: FloatArray) -> Percentiles | None:
        """Years until the cost is back, draw by draw; None where a tenth never gets there."""
        if np.percentile(draws.cost_usd, 10.0) <= LEAST_USD:
            return None
        return percentiles(costs / np.maximum(draws.cost_usd, LEAST_USD))


def ranges_of(
    house: House,
    chain: Chain,
    scene: Scene,
    *,
    alone: Mapping[str, tuple[Measure, Saving]] | None = None,
    widths: Mapping[str, float] | None = None,
    count: int = DRAWS,
    on_step: Callable[[], None] | None = None,
) -> Ranges:
    """Draws of the savings of a package, of its steps, and of each measure alone.

    Parameters
    ----------
    house : House
        As recorded (or as fitted to bills).
    chain : Chain
        The package in the order of work, with its states.
    scene : Scene
        Weather, prices, year.
    alone : mapping or None
        Measure id -> the measure and its expected saving on the house as it is.
    widths : mapping or None
        Lever -> width of its distribution after a fit to bills over that before, 0 to 1.
    count : int
        Draws.
    on_step : callable or None
        Called once for each run of the model.
    """
    known = Known(house=house, widths=widths or {})
    uses = uses_of(chain.states)
    base = np.array([energies(state, uses) for state in chain.states])
    price = prices_of(scene, chain.states, uses)
    runner = Runner(house, chain.measures, scene, known, uses, on_step)
    answers = [answer_of(lever, runner, base, price) for lever in _cheap_first(known)]
    drawn = _Drawn.make([a.lever.key for a in answers], chain.measures, alone or {}, count)
    states = _states(base, answers, drawn)
    saved = _with_model(states[:, :-1] - states[:, 1:], uses, drawn)
    expected = dict(zip([m.id for m in chain.measures], chain.savings(), strict=True))
    in_package = {}
    for index, measure in enumerate(chain.measures):
        part = saved[:, index] * drawn.work[measure.id][:, None]
        middle = float((base[index] - base[index + 1]) @ price)
        in_package[measure.id] = _billed(
            _by_fuel(part, uses, price), middle, expected[measure.id].cost_usd
        )
    package = _together(list(in_package.values()), uses, count)
    singles = {}
    for key, (measure, saving) in (alone or {}).items():
        if key in in_package:
            # One of the package has the relative range of its step.
            singles[key] = _scaled(in_package[key], expected[key], saving)
        else:
            single, middle = _alone(measure, runner, base[0], answers, drawn, price)
            singles[key] = _billed(single, middle, saving.cost_usd)
    return Ranges(
        in_package=in_package,
        alone=singles,
        package=package,
        inputs=_inputs(known, drawn, package),
        cost_scores=drawn.cost,
        runs=runner.runs,
    )


def _cheap_first(known: Known) -> list[Lever]:
    """Levers the heat balance does not see come first, while its results are still kept."""
    found = levers_of(known)
    return sorted(found, key=lambda lever: lever.key not in PLANT_LEVERS)


@dataclass(frozen=True, eq=False, kw_only=True)
class _Drawn:
    """Draws by name: levers, the model, the quality of each work, the price of each."""

    levers: dict[str, FloatArray]
    model: dict[str, FloatArray]
    work: dict[str, FloatArray]
    cost: dict[str, FloatArray]

    @classmethod
    def make(
        cls,
        levers: Sequence[str],
        steps: Sequence[Measure],
        alone: Mapping[str, tuple[Measure, Saving]],
        count: int,
    ) -> _Drawn:
        every = {item.id: item for item in steps} | {key: item for key, (item, _) in alone.items()}
        # Columns of what all analyses share come first and keep their place: two plans of one
        # house differ by what is chosen, not by luck.
        names = list(LEVERS) + list(MODEL_ROWS)
        table = scores(count, len(names))
        z = {name: table[:, index] for index, name in enumerate(names)}
        work, cost = {}, {}
        for key, item in sorted(every.items()):
            pair = scores(count, 2, seed=_seed_of(key))
            spread = work_quality(item.kind).spread("default")
            work[key] = np.maximum(1.0 + spread * pair[:, 0], 0.0)
            cost[key] = pair[:, 1]
        model = {
            name: np.exp(UNCERTAIN_INPUTS[name].spread("default") * z[name]) for name in MODEL_ROWS
        }
        return cls(levers={key: z[key] for key in levers}, model=model, work=work, cost=cost)


def _seed_of(key: str) -> int:
    """A seed that belongs to a measure id, the same in every process."""
    return int.from_bytes(key.encode(), "big") % (2**63)


def _states(base: FloatArray, answers: Sequence[Answer], drawn: _Drawn) -> FloatArray:
    """Energy of every state for every draw, shape (draws, states, uses). [J]"""
    count = len(next(iter(drawn.model.values())))
    found = np.broadcast_to(base, (count, *base.shape)).copy()
    for answer in answers:
        found *= answer.factors(base, drawn.levers[answer.lever.key])
    return found


def _with_model(saved: FloatArray, uses: Sequence[Use], drawn: _Drawn) -> FloatArray:
    """Savings with the model's own error on heating and cooling, shape (draws, ..., uses)."""
    found = saved.copy()
    for index, (use, _fuel) in enumerate(uses):
        if use in HEATING_USES:
            found[..., index] *= _column(drawn.model["heating_model"], found.ndim - 1)
        elif use == "cooling":
            found[..., index] *= _column(drawn.model["cooling_model"], found.ndim - 1)
    return found


def _column(values: FloatArray, dimensions: int) -> FloatArray:
    return values.reshape(-1, *(1,) * (dimensions - 1))


def _by_fuel(saved: FloatArray, uses: Sequence[Use], price: FloatArray) -> SavingDraws:
    fuels = sorted({fuel for _use, fuel in uses})
    columns = {
        fuel: saved[:, [i for i, (_u, f) in enumerate(uses) if f == fuel]].sum(axis=1)
        for fuel in fuels
    }
    return SavingDraws(by_fuel=columns, cost_usd=saved @ price)


def _billed(draws: SavingDraws, middle: float, expected: float) -> SavingDraws:
    """Draws in dollars put to what the rate says of the expected case, blocks and seasons in it."""
    return replace(draws, cost_usd=_carried(draws.cost_usd, middle, expected, LEAST_USD))


def _together(parts: Sequence[SavingDraws], uses: Sequence[Use], count: int) -> SavingDraws:
    """The draws of a package: the sum of its steps, draw by draw."""
    zero = np.zeros(count)
    fuels = sorted({fuel for _use, fuel in uses})
    return SavingDraws(
        by_fuel={fuel: sum((p.by_fuel[fuel] for p in parts), zero) for fuel in fuels},
        cost_usd=sum((p.cost_usd for p in parts), zero),
    )


def _alone(
    measure: Measure,
    runner: Runner,
    base: FloatArray,
    answers: Sequence[Answer],
    drawn: _Drawn,
    price: FloatArray,
) -> tuple[SavingDraws, float]:
    """Draws of a measure outside the package on the house as it is, and its middle case at `price`.

    It is tried with the inputs that change the same part of the record, with the set-point, and
    with the plant; with the others both sides of its saving change alike.
    """
    after = measure.apply(runner.house)
    own = runner.energies_of(after)
    pair = np.stack([base, own])
    touched = changed(after, runner.house)
    found = np.broadcast_to(pair, (len(drawn.work[measure.id]), *pair.shape)).copy()
    for answer in answers:
        lever = answer.lever
        mine = {*changed(runner.moved(lever, answer.nodes[0], 0), runner.house), *lever.acts_on}
        is_plant = lever.key in PLANT_LEVERS
        if not (is_plant or lever.key in ALWAYS_TRIED or mine & touched):
            continue
        kept = _nodes_alone(answer, is_touched=bool(mine & touched))
        changes = []
        for index in kept:
            other = measure.apply(runner.moved(lever, answer.nodes[index], 0))
            changes.append(np.stack([answer.changes[index, 0], runner.energies_of(other) - own]))
        single = replace(
            answer, nodes=tuple(answer.nodes[i] for i in kept), changes=np.stack(changes)
        )
        found *= single.factors(pair, drawn.levers[lever.key])
    saved = _with_model(found[:, 0] - found[:, 1], runner.uses, drawn)
    draws = _by_fuel(saved * drawn.work[measure.id][:, None], runner.uses, price)
    return draws, float((base - own) @ price)


def _nodes_alone(answer: Answer, *, is_touched: bool) -> list[int]:
    """Which of an answer's nodes are run again for a measure outside the package."""
    count = len(answer.nodes)
    if not is_touched:
        return [count - 1]
    return list(range(count)) if count < 3 else [count // 2 - 1, count // 2]


def _scaled(draws: SavingDraws, step: Saving, alone: Saving) -> SavingDraws:
    """Draws of a step carried over to another expected saving of the same measure."""
    return SavingDraws(
        by_fuel={
            fuel: _carried(
                values, step.energy_j.get(fuel, 0.0), alone.energy_j.get(fuel, 0.0), LEAST_J
            )
            for fuel, values in draws.by_fuel.items()
        },
        cost_usd=_carried(draws.cost_usd, step.cost_usd, alone.cost_usd, LEAST_USD),
    )


def _carried(values: FloatArray, middle: float, wanted: float, least: float) -> FloatArray:
    """Draws about one middle put about another: by their ratio, or by shifting next to nothing."""
    if abs(middle) < least or middle * wanted <= 0.0:
        return values - middle + wanted
    return values * (wanted / middle)


def _inputs(known: Known, drawn: _Drawn, package: SavingDraws) -> tuple[RangeInput, ...]:
    """The uncertain inputs of this house, widest share of the package's range first."""
    house = known.house
    weights: dict[str, float] = {}
    columns = {**drawn.levers, **{key: np.log(v) for key, v in drawn.model.items()}}
    for key, values in columns.items():
        weights[key] = _squared_correlation(values, package.cost_usd)
    work = [_squared_correlation(values, package.cost_usd) for values in drawn.work.values()]
    weights["work"] = sum(work)
    total = sum(weights.values()) or 1.0
    found = []
    for key, lever in LEVERS.items():
        if key not in drawn.levers:
            continue
        paths = lever.paths(house)
        for row in lever.rows(house):
            own = max(
                (p for r, p in paths if r == row),
                key=lambda path: known.spread(row, path, lever=""),
            )
            entry = UNCERTAIN_INPUTS[row]
            spread = entry.spread(known.how(own)) * known.widths.get(key, 1.0)
            part = (spread / lever.spread(known)) ** 2 if len(lever.rows(house)) > 1 else 1.0
            found.append(
                RangeInput(
                    key=row, path=own, how=known.how(own), shape=entry.shape, unit=entry.unit,
                    spread=spread, source=entry.source, share=part * weights[key] / total,
                )
            )  # fmt: skip
    for row in MODEL_ROWS:
        entry = UNCERTAIN_INPUTS[row]
        found.append(
            RangeInput(
                key=row, path="", how="default", shape=entry.shape, unit=entry.unit,
                spread=entry.spread("default"), source=entry.source, share=weights[row] / total,
            )
        )  # fmt: skip
    quality = work_quality("")
    found.append(
        RangeInput(
            key="work", path="", how="default", shape=quality.shape, unit=quality.unit,
            spread=quality.spread("default"), source=quality.source,
            share=weights["work"] / total,
        )
    )  # fmt: skip
    return tuple(sorted(found, key=lambda item: -item.share))


def _squared_correlation(one: FloatArray, other: FloatArray) -> float:
    if one.std() == 0.0 or other.std() == 0.0:
        return 0.0
    return float(np.corrcoef(one, other)[0, 1] ** 2)


def costs_drawn(
    terms: Terms, measures: Sequence[Measure], cost_scores: Mapping[str, FloatArray]
) -> FloatArray | None:
    """Draws of the cost of measures together; None where one has no price. [$]"""
    total: FloatArray | None = None
    for measure in measures:
        span = terms.cost_range_usd(measure)
        if span is None:
            return None
        drawn = two_sided(*span, cost_scores[measure.id])
        total = drawn if total is None else total + drawn
    return total


def values_drawn(
    measures: Sequence[Measure], savings: Sequence[SavingDraws], terms: Terms
) -> FloatArray:
    """Present value of savings over the life of each, draw by draw. [$]"""
    zero = np.zeros(1)
    found = sum(
        (
            draws.cost_usd * present_value_factor(measure.life_years, terms)
            for measure, draws in zip(measures, savings, strict=True)
        ),
        zero,
    )
    return np.asarray(found)


def full_draws(
    house: House,
    measures: Sequence[Measure],
    states: Sequence[Baseline],
    scene: Scene,
    z: Mapping[str, FloatArray],
    *,
    widths: Mapping[str, float] | None = None,
) -> FloatArray:
    """Cost of every state for every draw by the model itself, shape (draws, states). [$]

    The long way, which the fitted response is tested against: `draws` times `states` runs.
    """
    known = Known(house=house, widths=widths or {})
    uses = uses_of(states)
    price = prices_of(scene, states, uses)
    count = len(next(iter(z.values())))
    costs = np.zeros((count, len(measures) + 1))
    for draw in range(count):
        current = moved(house, {key: float(values[draw]) for key, values in z.items()}, known)
        costs[draw, 0] = energies(scene.run(current), uses) @ price
        for index, measure in enumerate(measures):
            current = measure.apply(current)
            costs[draw, index + 1] = energies(scene.run(current), uses) @ price
    return costs


def fitted_draws(
    house: House,
    chain: Chain,
    scene: Scene,
    z: Mapping[str, FloatArray],
    *,
    widths: Mapping[str, float] | None = None,
) -> FloatArray:
    """The same by the fitted response, shape (draws, states). [$]"""
    known = Known(house=house, widths=widths or {})
    uses = uses_of(chain.states)
    base = np.array([energies(state, uses) for state in chain.states])
    price = prices_of(scene, chain.states, uses)
    runner = Runner(house, chain.measures, scene, known, uses)
    answers = [answer_of(lever, runner, base, price) for lever in _cheap_first(known)]
    count = len(next(iter(z.values())))
    found = np.broadcast_to(base, (count, *base.shape)).copy()
    for answer in answers:
        found *= answer.factors(base, z[answer.lever.key])
    costs: FloatArray = found @ price
    return costs
