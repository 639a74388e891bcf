"""Trials of the ranges on invented houses: against full draws, and against hidden true houses.

Two questions. Does the fitted response give the percentiles that running every draw would give?
And does the truth lie between low and high as often as the percentiles say, eight times in ten?
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from calcs.bench.random_houses import random_house
from calcs.inputs import House, Origin
from calcs.measures import Measure, measures_for
from calcs.packages import Chain, conflict, needed_first, run_chain
from calcs.uncertainty.draws import scores
from calcs.uncertainty.levers import Known, levers_of, moved
from calcs.uncertainty.ranges import MODEL_ROWS, fitted_draws, full_draws, ranges_of
from calcs.uncertainty.response import HEATING_USES, FloatArray, energies, prices_of, uses_of
from calcs.uncertainty.table import UNCERTAIN_INPUTS, work_quality
from calcs.worth import Scene

# What an auditor usually measures, records and is told, beside what stays a default.
USUAL_ORIGINS = {
    "air_leakage.flow50_m3_per_s": Origin(how="measured", source="blower door"),
    "heating": Origin(how="nameplate"),
    "attics": Origin(how="recorded"),
    "walls": Origin(how="recorded"),
    "windows": Origin(how="recorded"),
    "thermostat": Origin(how="reported"),
    "geometry": Origin(how="recorded"),
}
LEAST_SAVING_USD = 10.0


@dataclass(frozen=True)
class Agreement:
    """Low and high of one saving by the fit and by full draws, over the expected saving. [$]"""

    house: int
    saving: str
    expected: float
    full_low: float
    full_high: float
    low_error: float
    high_error: float


@dataclass(frozen=True)
class Coverage:
    """One true saving against the range that was promised. [$]"""

    house: int
    saving: str
    low: float
    high: float
    truth: float

    @property
    def is_inside(self) -> bool:
        """Whether the range held the truth."""
        return self.low <= self.truth <= self.high


def trial_house(seed: int) -> House:
    """A house at random, with what is measured and recorded of it at random too."""
    rng = np.random.default_rng([seed, 7])
    origins = {path: how for path, how in USUAL_ORIGINS.items() if rng.random() < 0.7}
    return replace(random_house(seed), origins=origins)


def usual_package(house: House, *, year: int, most: int = 8) -> list[Measure]:
    """Measures of a house that go together, in the order of the catalogue."""
    kept: list[Measure] = []
    found = [item for item in measures_for(house, year=year) if item.stage != "safety"]
    for item in found:
        group = [*needed_first(item, found), item]
        new = [one for one in group if one not in kept]
        if len(kept) + len(new) > most or any(conflict(one, k) for one in new for k in kept):
            continue
        kept += new
    return kept


def agreement(seed: int, scene: Scene, *, draws: int, most: int = 8) -> list[Agreement]:
    """The fit against full draws on one house of up to `most` measures, same draws in both."""
    house = trial_house(seed)
    chain = run_chain(house, usual_package(house, year=scene.year, most=most), scene)
    if not chain.measures:
        return []
    known = Known(house=house, widths={})
    keys = [lever.key for lever in levers_of(known)]
    table = scores(draws, len(keys), seed=seed)
    z = {key: table[:, index] for index, key in enumerate(keys)}
    full = full_draws(house, chain.measures, chain.states, scene, z)
    fit = fitted_draws(house, chain, scene, z)
    names = [*(item.id for item in chain.measures), "package"]
    found = []
    for index, name in enumerate(names):
        expected = _expected(chain, index)
        if abs(expected) < LEAST_SAVING_USD:
            continue
        low, high = np.percentile(_saved(full, index), [10.0, 90.0])
        low_fit, high_fit = np.percentile(_saved(fit, index), [10.0, 90.0])
        found.append(
            Agreement(
                house=seed, saving=name, expected=expected,
                full_low=float(low), full_high=float(high),
                low_error=float(low_fit - low) / abs(expected),
                high_error=float(high_fit - high) / abs(expected),
            )
        )  # fmt: skip
    return found


def _expected(chain: Chain, index: int) -> float:
    if index == len(chain.measures):
        return chain.before.cost_usd - chain.after.cost_usd
    return chain.states[index].cost_usd - chain.states[index + 1].cost_usd


def _saved(costs: FloatArray, index: int) -> FloatArray:
    """Saving of a step, or of the whole after the last."""
    saved: FloatArray
    if index == costs.shape[1] - 1:
        saved = costs[:, 0] - costs[:, -1]
    else:
        saved = costs[:, index] - costs[:, index + 1]
    return saved


def coverage(seed: int, scene: Scene) -> list[Coverage]:
    """A hidden true house, its record with errors, the ranges made of the record, and the truth.

    The record is the true house with every input off by a draw of its own distribution; the work
    then brings what a draw of its quality says, and the model errs by a draw of its own.
    """
    truth = trial_house(seed)
    known = Known(house=truth, widths={})
    rng = np.random.default_rng([seed, 11])
    errors = {
        lever.key: float(np.clip(rng.standard_normal(), -2.5, 2.5)) for lever in levers_of(known)
    }
    record = moved(truth, errors, known)
    chain = run_chain(record, usual_package(record, year=scene.year), scene)
    if not chain.measures:
        return []
    ranges = ranges_of(record, chain, scene)
    uses = uses_of(chain.states)
    factor = np.ones(len(uses))
    for row, names in zip(MODEL_ROWS, (HEATING_USES, ("cooling",)), strict=True):
        spread = UNCERTAIN_INPUTS[row].spread("default")
        error = float(np.exp(spread * rng.standard_normal()))
        factor *= np.array([error if use in names else 1.0 for use, _fuel in uses])
    price = prices_of(scene, chain.states, uses)
    current = truth
    before = energies(scene.run(current), uses)
    found, total = [], 0.0
    for item, expected in zip(chain.measures, chain.savings(), strict=True):
        current = item.apply(current)
        after = energies(scene.run(current), uses)
        quality = 1.0 + work_quality(item.kind).spread("default") * rng.standard_normal()
        saved = float((before - after) * factor @ price) * max(quality, 0.0)
        total += saved
        if abs(expected.cost_usd) >= LEAST_SAVING_USD:
            part = ranges.in_package[item.id].onto(expected, {})
            found.append(
                Coverage(
                    house=seed, saving=item.id, low=part.cost_low_usd, high=part.cost_high_usd,
                    truth=saved,
                )
            )  # fmt: skip
        before = after
    whole = np.percentile(ranges.package.cost_usd, [10.0, 90.0])
    found.append(
        Coverage(
            house=seed, saving="package", low=float(whole[0]), high=float(whole[1]), truth=total
        )
    )
    return found


def share_inside(found: Sequence[Coverage]) -> float:
    """How often the range held the truth. [-]"""
    return sum(item.is_inside for item in found) / len(found)
