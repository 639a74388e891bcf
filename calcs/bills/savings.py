"""What two stretches of bills say was saved, in a normal year, with its uncertainty."""

from __future__ import annotations

import math
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from scipy import special

from calcs.bills.fit import Fit
from calcs.bills.outcome import Billed, BillsOutcome, Weather, fit_bills
from calcs.bills.reads import Cleaned
from calcs.bills.statistics import fractional_savings_uncertainty, t_statistic
from calcs.daily_weather import NormalMonth
from calcs.errors import InputError

CONFIDENCE = 0.90
# Few bills carry most of the error: three at most, half of the squares (common practice).
MOST_CARRIERS, CARRIED_SHARE = 3, 0.5
DRIFT_CHANCE = 0.05
# Notes of the meter or of people away put a bill in doubt; these are the flags that say so.
DOUBTED = ("noted", "stands_out", "statements_disagree", "days_disagree", "short")


@dataclass(frozen=True, kw_only=True)
class BilledSaving:
    """Saving of a normal year between two fits.

    `low` to `high` is the range at `confidence` from the errors of both fits. `guideline_14` is
    the fractional uncertainty by that guideline's own formula, None where nothing was saved.
    """

    before_annual: float
    after_annual: float
    saving: float
    fraction: float
    standard_error: float
    low: float
    high: float
    confidence: float
    guideline_14: float | None


def saving_between_fits(
    before: Fit, after: Fit, normal: Sequence[NormalMonth], *, confidence: float = CONFIDENCE
) -> BilledSaving:
    """Normal-year use before less after.

    Errors of the two years are independent and add as squares; degrees of freedom by Welch and
    Satterthwaite (memory).

    Raises
    ------
    InputError
        No normal year, or nothing used before.
    """
    if not normal:
        raise InputError("a saving needs a normal year that both fits are carried to")
    one, two = before.normal_year(normal), after.normal_year(normal)
    if one.annual == 0.0:
        raise InputError("nothing was used before: a saving has no meaning")
    saving = one.annual - two.annual
    squares = (one.standard_error**2, two.standard_error**2)
    error = math.sqrt(sum(squares))
    weight = (
        squares[0] ** 2 / before.degrees_of_freedom + squares[1] ** 2 / after.degrees_of_freedom
    )
    free = sum(squares) ** 2 / weight if weight > 0.0 else float(before.degrees_of_freedom)
    reach = t_statistic(confidence, max(free, 1.0)) * error
    fraction = saving / one.annual
    by_guideline = None
    if fraction > 0.0:
        by_guideline = fractional_savings_uncertainty(
            t=t_statistic(confidence, before.degrees_of_freedom),
            cv_rmse_fraction=before.cv_rmse_pct / 100.0,
            points_before=before.periods,
            points_after=after.periods,
            savings_fraction=fraction,
            autocorrelation=min(max(before.autocorrelation, 0.0), 0.999),
        )
    return BilledSaving(
        before_annual=one.annual,
        after_annual=two.annual,
        saving=saving,
        fraction=fraction,
        standard_error=error,
        low=saving - reach,
        high=saving + reach,
        confidence=confidence,
        guideline_14=by_guideline,
    )


@dataclass(frozen=True, kw_only=True)
class Reason:
    """One reason why a fit scatters, as a code and what was seen."""

    code: str
    facts: dict[str, Any]


@dataclass(frozen=True, kw_only=True)
class MeasuredSaving:
    """A saving with all bills, and with the doubted ones left out; the range holds both."""

    with_all: BilledSaving
    without_doubted: BilledSaving
    low: float
    high: float
    left_out_before: tuple[str, ...]
    left_out_after: tuple[str, ...]
    scatter_before: tuple[Reason, ...]
    scatter_after: tuple[Reason, ...]


def measured_saving(
    before: Cleaned,
    after: Cleaned,
    weather: Weather,
    normal: Sequence[NormalMonth],
    *,
    fuel: str,
    unit: str,
    confidence: float = CONFIDENCE,
    doubted: Collection[str] = DOUBTED,
) -> MeasuredSaving:
    """Saving between two stretches of bills, its range, and why each of them scatters.

    Bills with a flag in `doubted` are never dropped in silence: the saving is worked out with
    and without them, and the range given holds both.

    Raises
    ------
    InputError
        The bills of one side give no fit; the message has the reason's code.
    """
    settings: dict[str, Any] = {"fuel": fuel, "unit": unit, "normal": normal}
    outcomes = [fit_bills(side, weather, **settings) for side in (before, after)]
    cut = [
        _without(side, out, doubted) for side, out in zip((before, after), outcomes, strict=True)
    ]
    trimmed = [fit_bills(side, weather, **settings) for side, _ in cut]
    every = saving_between_fits(*_fits(outcomes), normal, confidence=confidence)
    # Too few bills left without the doubted ones: then there is only the one way.
    without = (
        saving_between_fits(*_fits(trimmed), normal, confidence=confidence)
        if all(item.fit is not None for item in trimmed)
        else every
    )
    return MeasuredSaving(
        with_all=every,
        without_doubted=without,
        low=min(every.low, without.low),
        high=max(every.high, without.high),
        left_out_before=cut[0][1],
        left_out_after=cut[1][1],
        scatter_before=why_scattered(outcomes[0]),
        scatter_after=why_scattered(outcomes[1]),
    )


def _fits(outcomes: Sequence[BillsOutcome]) -> tuple[Fit, Fit]:
    found = []
    for outcome in outcomes:
        if outcome.fit is None:
            why = "" if outcome.refusal is None else outcome.refusal.code
            raise InputError(f"the bills from {outcome.first_on} give no fit: {why}")
        found.append(outcome.fit)
    return found[0], found[1]


def _without(
    cleaned: Cleaned, outcome: BillsOutcome, doubted: Collection[str]
) -> tuple[Cleaned, tuple[str, ...]]:
    kept, left_out = [], []
    for period, billed in zip(cleaned.periods, outcome.periods, strict=True):
        if set(billed.flags).isdisjoint(doubted):
            kept.append(period)
        else:
            left_out.append(billed.ends_on)
    return replace(cleaned, periods=tuple(kept)), tuple(left_out)


def why_scattered(outcome: BillsOutcome) -> tuple[Reason, ...]:
    """What the scatter of a fit is made of.

    - `few_bills`: at most three periods carry half of the squared error, with the CV(RMSE) that
      the others alone would have at this line;
    - `made_good`: two of them within three periods, one short and one over: a read that was
      wrong and made good later;
    - `drift`: the residuals rise or fall with the date, more than luck would;
    - `noted`: bills with a note, counted.
    """
    fit = outcome.fit
    used = [item for item in outcome.periods if item.residual is not None]
    if fit is None or len(used) < 4:
        return ()
    found = []
    a_day = np.array([(item.residual or 0.0) / item.days for item in used])
    square = a_day**2
    total = float(square.sum())
    order = np.argsort(-square)
    if total > 0.0:
        carriers = _carriers(square, order, total)
        if carriers:
            rest = total - float(square[carriers].sum())
            free = max(len(used) - len(carriers) - fit.coefficients, 1)
            mean = float(np.mean([item.quantity / item.days for item in used]))
            found.append(
                Reason(
                    code="few_bills",
                    facts={
                        "ends_on": [used[index].ends_on for index in sorted(carriers)],
                        "share": float(square[carriers].sum()) / total,
                        "cv_without_pct": 100.0 * math.sqrt(rest / free) / mean if mean else 0.0,
                    },
                )
            )
            found += _made_good(used, a_day, sorted(carriers))
    found += _drift(used, a_day)
    noted = [item.ends_on for item in used if item.notes]
    if noted:
        found.append(Reason(code="noted", facts={"ends_on": noted}))
    return tuple(found)


def _carriers(square: np.ndarray, order: np.ndarray, total: float) -> list[int]:
    for count in range(1, MOST_CARRIERS + 1):
        picked = [int(index) for index in order[:count]]
        if float(square[picked].sum()) >= CARRIED_SHARE * total:
            return picked
    return []


def _made_good(used: Sequence[Billed], a_day: np.ndarray, carriers: Sequence[int]) -> list[Reason]:
    return [
        Reason(code="made_good", facts={"short": used[one].ends_on, "over": used[two].ends_on})
        for one in carriers
        for two in carriers
        if one < two <= one + 3 and a_day[one] < 0.0 < a_day[two]
    ]


def _drift(used: Sequence[Billed], a_day: np.ndarray) -> list[Reason]:
    when = np.arange(len(used), dtype=float)
    when -= when.mean()
    slope = float(when @ a_day) / float(when @ when)
    left = a_day - a_day.mean() - slope * when
    free = len(used) - 2
    error = math.sqrt(float(left @ left) / free / float(when @ when))
    if error == 0.0 or 2.0 * (1.0 - special.stdtr(free, abs(slope) / error)) > DRIFT_CHANCE:
        return []
    return [Reason(code="drift", facts={"per_day_per_bill": slope})]
