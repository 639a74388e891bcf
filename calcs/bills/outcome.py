"""What the bills of one fuel say, or why they say nothing.

Every period is fitted to the actual weather of its own days. A typical year only normalizes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import date
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray
from scipy import special

from calcs.bills.fit import (
    FEWEST_PERIODS,
    FORMS,
    Choice,
    Fit,
    Series,
    Tried,
    choose_form,
    fit_form,
)
from calcs.bills.reads import Cleaned, Flag, Period
from calcs.bills.statistics import BPI_2400_LIMITS_PCT, GUIDELINE_14_LIMITS_PCT
from calcs.daily_weather import NormalMonth
from calcs.errors import InputError
from calcs.limits import PUBLISHED, Limits
from calcs.weather import MONTH_DAYS

FloatArray = NDArray[np.float64]

# A period counts when nine of ten of its days have a temperature; the rest take their mean.
COMPLETE_SHARE = 0.9
FULL_YEAR_DAYS = 330  # twelve bills are a year, even if one is short (common practice, no source)
# Reynolds and Fels, Reliability criteria for weather adjustment of billing data, 1988 (memory).
RELIABLE_R_SQUARED = 0.7
# Fewer units of the meter a month than this: rounding and one bath decide (common practice).
LOW_USE_UNITS = 10.0
STANDS_OUT = 3.0  # residuals in standard errors of their own prediction
MOST_SUSPECTS = 5
SURE_SHARE = 0.01  # chance that a larger residual is luck
FEWEST_DAYS_OF_MONTH = 10  # of a month that a bill must cover to stand for it (common practice)
# Fuels that are burned for heat alone.
FORMS_OF: dict[str, tuple[str, ...]] = {"natural_gas": ("base", "heating")}
DELIVERED = ("propane", "fuel_oil")


class Weather(Protocol):
    """Where the temperatures of a period's days come from."""

    @property
    def is_synthetic(self) -> bool:
        """Whether the series was made up."""

    def between(self, starts_on: date, ends_on: date) -> FloatArray:
        """Daily means, NaN where missing. [°C]"""


@dataclass(frozen=True, kw_only=True)
class Billed:
    """One period in a fit. `modeled` and `residual` are None where it took no part."""

    starts_on: str
    ends_on: str
    days: int
    quantity: float
    mean_c: float | None
    modeled: float | None
    residual: float | None
    flags: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Refusal:
    """Why bills give no fit: a code and what was seen."""

    code: str
    facts: dict[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class BillsOutcome:
    """The bills of one fuel, fitted to the weather, or refused with the reason.

    `normal_annual`, `normal_monthly` and `normal_error` are of the normal year; None without one.
    `within` names the published limits that the fit meets: "guideline_14", "bpi_2400".
    """

    fuel: str
    unit: str
    fit: Fit | None
    refusal: Refusal | None
    periods: tuple[Billed, ...]
    flags: tuple[Flag, ...]
    tried: tuple[Tried, ...] = ()
    normal_annual: float | None = None
    normal_monthly: tuple[float, ...] = ()
    normal_error: float | None = None
    within: tuple[str, ...] = ()
    is_synthetic: bool = False
    joules_per_unit: float = 1.0

    @property
    def first_on(self) -> str:
        """The first day of the first period, or empty."""
        return self.periods[0].starts_on if self.periods else ""

    @property
    def last_on(self) -> str:
        """The day of the last read, or empty."""
        return self.periods[-1].ends_on if self.periods else ""


@dataclass(frozen=True, eq=False, kw_only=True)
class _Used:
    """Periods with enough weather, and that weather."""

    periods: list[Period]
    temperatures_c: list[FloatArray]
    flags: dict[int, list[str]]
    mean_c: list[float | None]
    indexes: list[int]

    def series(self) -> Series:
        days = np.array([period.days for period in self.periods], float)
        use = np.array([period.quantity for period in self.periods], float)
        return Series(use_per_day=use / days, days=days, temperatures_c=tuple(self.temperatures_c))


def fit_bills(
    cleaned: Cleaned,
    weather: Weather,
    *,
    fuel: str,
    unit: str,
    joules_per_unit: float = 1.0,
    resolution: float = 1.0,
    normal: Sequence[NormalMonth] = (),
    forms: Sequence[str] | None = None,
) -> BillsOutcome:
    """Fit the bills of one fuel to the weather of their own days.

    Parameters
    ----------
    cleaned : Cleaned
        What `clean` made of the reads.
    weather : Weather
        Actual daily means. A series that says it is made up flags the outcome.
    fuel, unit : str
        "natural_gas", "electricity"; the unit of the quantities, for people.
    joules_per_unit : float
        Energy in that unit, kept for whoever compares bills with a model. [J]
    resolution : float
        Smallest step of the meter in that unit: what rounding alone does to a bill.
    normal : sequence of NormalMonth
        Twelve months to normalize to; none: the outcome has no normal year.
    forms : sequence of str or None
        Forms to try. None: those the fuel can have; gas does not cool.

    Returns
    -------
    BillsOutcome
        With a fit, or with the reason why there is none. Refused are: delivered fuels, fewer
        than six periods with weather, an account that used nothing, net use near zero, and
        bills that do not follow the weather: neither CV(RMSE) within 15 % (published monthly
        limit) nor R² of 0.7 (memory), when not even rounding explains the scatter.
    """
    used = _with_weather(cleaned, weather)
    flags = list(cleaned.flags)
    flags += _weather_flags(cleaned, used)
    if weather.is_synthetic:
        flags.append(Flag(code="synthetic_weather"))
    choice = Choice(fit=None, tried=())
    refusal = _refused_before(cleaned, used, fuel)
    if refusal is None:
        flags += _size_flags(cleaned, used, resolution)
        choice = choose_form(
            used.series(), forms=forms or FORMS_OF.get(fuel, FORMS), is_net=cleaned.is_net
        )
        refusal = _refused_after(choice, resolution)
    fit = choice.fit if refusal is None else None
    if fit is not None:
        flags += _fit_flags(fit, used)
    year = fit.normal_year(normal) if fit is not None and normal else None
    return BillsOutcome(
        fuel=fuel,
        unit=unit,
        fit=fit,
        refusal=refusal,
        periods=_billed(cleaned, used, fit, flags),
        flags=tuple(flags),
        tried=choice.tried,
        normal_annual=None if year is None else year.annual,
        normal_monthly=() if year is None else year.monthly,
        normal_error=None if year is None else year.standard_error,
        within=() if fit is None else limits_met(fit.nmbe_pct, fit.cv_rmse_pct),
        is_synthetic=weather.is_synthetic,
        joules_per_unit=joules_per_unit,
    )


def months_of_bills(outcome: BillsOutcome) -> tuple[float | None, ...]:
    """What the bills come to in each month of the normal year, their scatter kept; None: no bill.

    The fit's month, and on top what the bills whose days fall into that month were above or
    below the fit, a day, by the days they share with it. Read dates need not be those of months.
    """
    if outcome.fit is None or len(outcome.normal_monthly) != len(MONTH_DAYS):
        return (None,) * len(MONTH_DAYS)
    above, shared = np.zeros(12), np.zeros(12)
    for item in outcome.periods:
        if item.residual is None:
            continue
        day, end = date.fromisoformat(item.starts_on), date.fromisoformat(item.ends_on)
        while day < end:
            first = date(day.year + day.month // 12, day.month % 12 + 1, 1)
            days = (min(first, end) - day).days
            above[day.month - 1] += days * item.residual / item.days
            shared[day.month - 1] += days
            day = first
    return tuple(
        None if shared[m] < FEWEST_DAYS_OF_MONTH
        else outcome.normal_monthly[m] + MONTH_DAYS[m] * float(above[m] / shared[m])
        for m in range(12)
    )  # fmt: skip


def limits_met(nmbe: float, cv_rmse: float, *, limits: Limits = PUBLISHED) -> tuple[str, ...]:
    """Names of the monthly limits that a fit meets, as they are in effect. Both in %.

    Relative to net use that is below zero, both come with a minus.
    """
    of_guideline = GUIDELINE_14_LIMITS_PCT
    named = {
        "guideline_14": (of_guideline["monthly NMBE"], of_guideline["monthly CV(RMSE)"]),
        "bpi_2400": (
            limits.value("bills.bpi_2400_bias", BPI_2400_LIMITS_PCT["bias"]),
            limits.value("bills.bpi_2400_cv_rmse", BPI_2400_LIMITS_PCT["CV(RMSE)"]),
        ),
    }
    return tuple(
        name
        for name, (bias, spread) in named.items()
        if abs(nmbe) <= bias and abs(cv_rmse) <= spread
    )


def _with_weather(cleaned: Cleaned, weather: Weather) -> _Used:
    periods: list[Period] = []
    temperatures: list[FloatArray] = []
    flags: dict[int, list[str]] = {}
    means: list[float | None] = []
    indexes = []
    for index, period in enumerate(cleaned.periods):
        days = weather.between(period.starts_on, period.ends_on)
        known = days[np.isfinite(days)]
        means.append(float(known.mean()) if known.size else None)
        if known.size < COMPLETE_SHARE * days.size or not known.size:
            flags.setdefault(index, []).append("no_weather")
            continue
        if known.size < days.size:
            flags.setdefault(index, []).append("weather_incomplete")
        periods.append(period)
        temperatures.append(known)
        indexes.append(index)
    return _Used(
        periods=periods, temperatures_c=temperatures, flags=flags, mean_c=means, indexes=indexes
    )


def _weather_flags(cleaned: Cleaned, used: _Used) -> list[Flag]:
    return [
        Flag(
            code=code,
            starts_on=cleaned.periods[index].starts_on.isoformat(),
            ends_on=cleaned.periods[index].ends_on.isoformat(),
        )
        for index, codes in used.flags.items()
        for code in codes
    ]


def _refused_before(cleaned: Cleaned, used: _Used, fuel: str) -> Refusal | None:
    if fuel in DELIVERED:
        return Refusal(code="fills_are_not_use")
    if len(used.periods) < FEWEST_PERIODS:
        return Refusal(
            code="too_few_bills" if len(cleaned.periods) < FEWEST_PERIODS else "no_weather",
            facts={
                "bills": len(cleaned.periods),
                "with_weather": len(used.periods),
                "needed": FEWEST_PERIODS,
            },
        )
    quantities = np.array([period.quantity for period in used.periods])
    if not quantities.any():
        return Refusal(code="nothing_used")
    if cleaned.is_net and abs(quantities.mean()) < 0.1 * float(np.abs(quantities).mean()):
        return Refusal(code="net_use_near_zero")
    return None


def _size_flags(cleaned: Cleaned, used: _Used, resolution: float) -> list[Flag]:
    days = sum(period.days for period in used.periods)
    use = sum(period.quantity for period in used.periods)
    found = []
    if days < FULL_YEAR_DAYS:
        found.append(Flag(code="less_than_a_year", facts={"days": days}))
    a_month = use / days * 365.0 / 12.0
    if 0.0 <= a_month < LOW_USE_UNITS * resolution:
        found.append(Flag(code="low_use", facts={"a_month": a_month}))
    return found


def _refused_after(choice: Choice, resolution: float) -> Refusal | None:
    fit = choice.fit
    if fit is None:
        reasons = {item.form: item.impossible for item in choice.tried}
        return Refusal(code="no_form_is_possible", facts={"reasons": reasons})
    if abs(fit.cv_rmse_pct) <= GUIDELINE_14_LIMITS_PCT["monthly CV(RMSE)"]:
        return None
    if fit.form != "base" and fit.r_squared >= RELIABLE_R_SQUARED:
        return None
    if fit.rmse_per_day * fit.days / fit.periods <= resolution:
        return None
    return Refusal(
        code="does_not_follow_weather",
        facts={
            "form": fit.form,
            "r_squared": fit.r_squared,
            "cv_rmse_pct": fit.cv_rmse_pct,
            "limit_cv_rmse_pct": GUIDELINE_14_LIMITS_PCT["monthly CV(RMSE)"],
            "limit_r_squared": RELIABLE_R_SQUARED,
        },
    )


def _fit_flags(fit: Fit, used: _Used) -> list[Flag]:
    flags = [Flag(code=remark) for remark in fit.remarks]
    if not limits_met(fit.nmbe_pct, fit.cv_rmse_pct):
        flags.append(
            Flag(
                code="outside_published_limits",
                facts={"cv_rmse_pct": fit.cv_rmse_pct, "nmbe_pct": fit.nmbe_pct},
            )
        )
    for index in standing_out(fit, used.series()):
        period = used.periods[index]
        used.flags.setdefault(used.indexes[index], []).append("stands_out")
        flags.append(
            Flag(
                code="stands_out",
                starts_on=period.starts_on.isoformat(),
                ends_on=period.ends_on.isoformat(),
                facts={"quantity": period.quantity, "modeled": fit.modeled[index]},
            )
        )
    return flags


def standing_out(fit: Fit, series: Series) -> list[int]:
    """Indexes of periods whose use is hardly luck.

    Each of the five largest residuals is set against the fit of all other periods, reference
    temperatures fitted anew, because one wild bill bends the line toward itself: more than three
    standard errors of prediction away, and rarer than 1 in 100 among this many periods.
    """
    count = series.use_per_day.size
    residual = series.use_per_day - np.array(fit.modeled) / series.days
    found = []
    for index in np.argsort(-np.abs(residual))[:MOST_SUSPECTS]:
        try:
            rest = fit_form(series.without([int(index)]), fit.form)
        except InputError:
            continue
        days = series.temperatures_c[index]
        error = math.hypot(
            rest.rmse_per_day / math.sqrt(float(series.weights[index])), rest.error_per_day(days)
        )
        floor = 1e-9 * max(abs(float(series.use_per_day.mean())), 1e-300)
        student = abs(series.use_per_day[index] - rest.use_per_day(days)) / max(error, floor)
        chance = 2.0 * (1.0 - float(special.stdtr(rest.degrees_of_freedom, student)))
        if student > STANDS_OUT and chance * count < SURE_SHARE:
            found.append(int(index))
    return sorted(found)


def _billed(
    cleaned: Cleaned, used: _Used, fit: Fit | None, flags: Sequence[Flag]
) -> tuple[Billed, ...]:
    modeled: dict[int, float] = {}
    if fit is not None:
        modeled = dict(zip(used.indexes, fit.modeled, strict=True))
    found = []
    for index, period in enumerate(cleaned.periods):
        start, end = period.starts_on.isoformat(), period.ends_on.isoformat()
        of_reads = {
            flag.code
            for flag in flags
            if flag.starts_on and start <= flag.starts_on and flag.ends_on <= end
            and flag.code != "gap"
        }  # fmt: skip
        value = modeled.get(index)
        found.append(
            Billed(
                starts_on=start,
                ends_on=end,
                days=period.days,
                quantity=period.quantity,
                mean_c=used.mean_c[index],
                modeled=value,
                residual=None if value is None else period.quantity - value,
                flags=tuple(sorted({*period.flags, *used.flags.get(index, ()), *of_reads})),
                notes=period.notes,
            )
        )
    return tuple(found)
