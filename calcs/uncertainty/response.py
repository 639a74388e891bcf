"""How the energy of each state of a house answers to each uncertain input, from few runs.

A full answer would run every state of the package for every draw. Here each lever is moved once
(twice where the answer bends), at the ends of the package first and then only in between, where
the change does not follow the energy of the states: a lever that has nothing to do with a step
changes both sides of it alike. What was not run is interpolated along the energy of its use.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from calcs.inputs import House
from calcs.measures import Measure
from calcs.rates import MONTHS
from calcs.results import Baseline
from calcs.uncertainty.levers import Known, Lever
from calcs.uncertainty.table import LOGNORMAL, NORMAL
from calcs.worth import Scene

FloatArray = NDArray[np.float64]
Use = tuple[str, str]

# Standard scores a lever is tried at: the 90th percentile; the 10th as well where the answer
# bends; four where it bends and may move far.
P90_SCORE = 1.2815515655446004
STRAIGHT = (P90_SCORE,)
BENT = (-P90_SCORE, P90_SCORE)
WINDING = (-2.0, -1.0, 1.0, 2.0)
WIDE_SPREAD = 0.3
FURTHEST = 1.3
# The middle of a stretch has to follow the interpolation within this share of its smaller half.
FOLLOWS_WITHIN = 0.01
LEAST_STEP_USD = 10.0
# Levers that the heat balance does not see: every state is run, at next to no cost.
PLANT_LEVERS = ("heating_efficiency", "cooling_efficiency")
LEAST_FACTOR = 0.02
# Uses that the error of the heating model scales.
HEATING_USES = ("heating", "fans_pumps")


def uses_of(states: Sequence[Baseline]) -> list[Use]:
    """Every end use and fuel that any of the states has."""
    return sorted({(item.end_use, item.fuel) for state in states for item in state.end_uses})


def energies(state: Baseline, uses: Sequence[Use]) -> FloatArray:
    """Yearly energy of a state by use, shape (uses,). [J]"""
    by_use = {(item.end_use, item.fuel): item.annual_j for item in state.end_uses}
    return np.array([by_use.get(use, 0.0) for use in uses])


@dataclass(frozen=True, eq=False, kw_only=True)
class Answer:
    """Change of every state's energy by use when one lever is moved.

    `changes` has shape (nodes, states, uses), in J, at the standard scores `nodes`. One node means
    an answer that is straight in the value the lever moves; more, a curve through them and zero.
    """

    lever: Lever
    spread: float
    nodes: tuple[float, ...]
    changes: FloatArray

    def factors(self, base: FloatArray, z: FloatArray) -> FloatArray:
        """Energy over that of the middle case, for standard scores z, (draws, states, uses)."""
        safe = np.where(base > 0.0, base, 1.0)
        relative = np.where(base > 0.0, self.changes / safe, 0.0)
        if len(self.nodes) > len(BENT):
            shift = self._curve(relative, z)
        else:
            shift = np.einsum("nj,jku->nku", self._weights(z), relative)
        found: FloatArray = np.maximum(1.0 + shift, LEAST_FACTOR)
        return found

    def _curve(self, relative: FloatArray, z: FloatArray) -> FloatArray:
        """A curve through all nodes that keeps corners, straight beyond the last one."""
        from scipy.interpolate import PchipInterpolator  # heavy: loaded where it is used

        order = np.argsort((0.0, *self.nodes))
        places = np.array((0.0, *self.nodes))[order]
        values = np.concatenate([np.zeros_like(relative[:1]), relative])[order]
        curve = PchipInterpolator(places, values, axis=0)
        at = np.clip(z, places[0], places[-1])
        beyond = (z - at)[:, None, None]
        found: FloatArray = curve(at) + beyond * curve.derivative()(at)
        return found

    def _weights(self, z: FloatArray) -> FloatArray:
        """Weight of each node at each draw, shape (draws, nodes)."""
        if len(self.nodes) == 1:
            return self._course(z)[:, None]
        # A curve is not followed far beyond its last node.
        reach = FURTHEST * max(abs(node) for node in self.nodes)
        at = np.clip(z, -reach, reach)
        places = (0.0, *self.nodes)
        columns = []
        for node in self.nodes:
            weight = np.ones_like(at)
            for other in places:
                if other != node:
                    weight = weight * (at - other) / (node - other)
            columns.append(weight)
        return np.stack(columns, axis=1)

    def _course(self, z: FloatArray) -> FloatArray:
        """0 in the middle, 1 where the lever was tried, straight in the value it moves."""
        node = self.nodes[0]
        if self.lever.shape != LOGNORMAL:
            return z / node
        course: FloatArray = np.expm1(self.spread * z) / np.expm1(self.spread * node)
        return course


class Runner:
    """Runs of moved houses along the steps of a package, each at most once."""

    def __init__(
        self,
        house: House,
        steps: Sequence[Measure],
        scene: Scene,
        known: Known,
        uses: Sequence[Use],
        on_step: Callable[[], None] | None = None,
    ) -> None:
        self.house, self.steps, self.scene, self.known = house, tuple(steps), scene, known
        self.uses, self.on_step = tuple(uses), on_step
        self._houses: dict[tuple[str, float], list[House]] = {}
        self._after: list[House] = [house]
        for step in self.steps:
            self._after.append(step.apply(self._after[-1]))
        self.runs = 0

    def touched(self, lever: Lever, z: float) -> list[int]:
        """Steps (1 is the first) that change a part of the record the lever moves."""
        mine = changed(self.moved(lever, z, 0), self.house) | set(lever.acts_on)
        return [
            step
            for step in range(1, len(self._after))
            if mine & changed(self._after[step], self._after[step - 1])
        ]

    def moved(self, lever: Lever, z: float, count: int) -> House:
        """The moved house after the first `count` steps."""
        made = self._houses.setdefault((lever.key, z), [lever.move(self.house, z, self.known)])
        while len(made) <= count:
            made.append(self.steps[len(made) - 1].apply(made[-1]))
        return made[count]

    def energies(self, lever: Lever, z: float, count: int) -> FloatArray:
        """Energy by use of the moved house after the first `count` steps. [J]"""
        return self.energies_of(self.moved(lever, z, count))

    def energies_of(self, house: House) -> FloatArray:
        """Energy by use of any house. [J]"""
        self.runs += 1
        if self.on_step is not None:
            self.on_step()
        return energies(self.scene.run(house), self.uses)


def answer_of(lever: Lever, runner: Runner, base: FloatArray, price: FloatArray) -> Answer:
    """The answer of all states to one lever.

    Parameters
    ----------
    lever : Lever
        What is moved.
    runner : Runner
        Runs the moved house after any number of steps.
    base : ndarray, shape (states, uses)
        Energy of the states as expected. [J]
    price : ndarray, shape (uses,)
        Price of each use's fuel. [$/J]
    """
    spread = lever.spread(runner.known)
    nodes = _nodes(lever, spread, is_touched=bool(runner.touched(lever, P90_SCORE)))
    changes = np.stack([_along(lever, z, runner, base, price) for z in nodes])
    return Answer(lever=lever, spread=spread, nodes=nodes, changes=changes)


def _nodes(lever: Lever, spread: float, *, is_touched: bool) -> tuple[float, ...]:
    """Where a lever is tried: more closely when a step works on the part that it moves."""
    if not lever.is_curved or not (is_touched or lever.shape == NORMAL):
        return STRAIGHT
    is_wide = lever.shape == LOGNORMAL and (spread >= WIDE_SPREAD or lever.has_corner)
    return WINDING if is_wide else BENT


def _along(
    lever: Lever, z: float, runner: Runner, base: FloatArray, price: FloatArray
) -> FloatArray:
    """Change of every state with a lever at z: run where needed, interpolated elsewhere."""
    last = len(base) - 1
    change = np.zeros_like(base)
    if lever.key in PLANT_LEVERS:
        tried = list(range(last + 1))
    else:
        around = {state for step in runner.touched(lever, z) for state in (step - 1, step)}
        tried = sorted({0, last, *around})
    for state in tried:
        change[state] = runner.energies(lever, z, state) - base[state]
    for first, second in pairwise(tried):
        _fill(change, lever, z, runner, base, price, first, second)
    return change


def _fill(
    change: FloatArray,
    lever: Lever,
    z: float,
    runner: Runner,
    base: FloatArray,
    price: FloatArray,
    first: int,
    last: int,
) -> None:
    """Fill the states between two that were run, by interpolation or by running the middle."""
    if last - first < 2:
        return
    steps = np.abs(np.diff(base[first : last + 1], axis=0)) @ price
    middle = (first + last) // 2
    guess = _between(change, base, first, last, middle)
    left, right = steps[: middle - first].sum(), steps[middle - first :].sum()
    allowed = FOLLOWS_WITHIN * max(float(min(left, right)), LEAST_STEP_USD)
    reach = float(np.maximum(np.abs(change[first]), np.abs(change[last])) @ price)
    if reach >= allowed:
        change[middle] = runner.energies(lever, z, middle) - base[middle]
        if float(np.abs(change[middle] - guess) @ price) > allowed:
            _fill(change, lever, z, runner, base, price, first, middle)
            _fill(change, lever, z, runner, base, price, middle, last)
            return
    else:
        change[middle] = guess
    for state in range(first + 1, last):
        if state != middle:
            near = (first, middle) if state < middle else (middle, last)
            change[state] = _between(change, base, *near, state)


def _between(change: FloatArray, base: FloatArray, first: int, last: int, state: int) -> FloatArray:
    """Change of a state between two, along the energy of each use, or along the steps."""
    span = base[last] - base[first]
    by_step = (state - first) / (last - first)
    follows = np.abs(span) > 1e-3 * np.maximum(np.abs(base[first]), 1.0)
    share = np.where(follows, (base[state] - base[first]) / np.where(follows, span, 1.0), by_step)
    share = np.clip(share, -0.5, 1.5)
    return change[first] + share * (change[last] - change[first])


def changed(house: House, base: House) -> set[str]:
    """Parts of the record in which two houses differ."""
    names = (
        "geometry", "attics", "walls", "windows", "doors", "foundations", "air_leakage", "fans",
        "heating", "cooling", "ducts", "thermostat", "water_heaters", "hot_water_use", "lamps",
        "appliances",
    )  # fmt: skip
    return {name for name in names if getattr(house, name) != getattr(base, name)}


def prices_of(scene: Scene, states: Sequence[Baseline], uses: Sequence[Use]) -> FloatArray:
    """What a little less of each use takes off the bills, by its months, shape (uses,). [$/J]

    At the rate's margin in the first state that has the use.
    """
    return np.array([_margin(scene, states, use) for use in uses])


def _margin(scene: Scene, states: Sequence[Baseline], use: Use) -> float:
    fuel = use[1]
    rate = scene.terms.prices.rate(fuel)
    for state in states:
        own = next(
            (i.monthly_j for i in state.end_uses if (i.end_use, i.fuel) == use and i.annual_j > 0),
            None,
        )
        if own is None:
            continue
        monthly = np.sum([i.monthly_j for i in state.end_uses if i.fuel == fuel], axis=0)
        paid = sum(
            amount * rate.marginal_usd_per_j(month, float(total))
            for month, amount, total in zip(MONTHS, own, monthly, strict=True)
        )
        return float(paid / sum(own))
    return float(rate.marginal_usd_per_j(MONTHS[0], 0.0))
