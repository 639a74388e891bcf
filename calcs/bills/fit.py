"""Use against weather: base load, heating below one temperature, cooling above another.

Four forms, each linear but for its reference temperatures, which are tried one by one over a
grid of whole °F: base, heating, cooling, heating and cooling. Works per day and weights back to
totals. The energy unit is the caller's own.

A form is possible when its slopes are above zero by twice their standard error and its base load
is not below zero by more than that. Of the possible ones that with the smallest Bayesian
information criterion, n ln(RSS/n) + k ln n, is taken, k counting reference temperatures too: a
term has to earn its place.

References
----------
Fels, Energy and Buildings 9 (1986), form and unweighted least squares (memory). Schwarz, Annals
of Statistics 6 (1978), the criterion (memory). Kissock, Haberl and Claridge, ASHRAE Transactions
109 (2003), change-point forms with three to five parameters (memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calcs.bills.statistics import autocorrelation, cv_rmse_pct, nmbe_pct
from calcs.daily_weather import NormalMonth
from calcs.errors import InputError
from calcs.unit_factors import celsius_from_fahrenheit

FloatArray = NDArray[np.float64]

FORMS: tuple[str, ...] = ("base", "heating", "cooling", "heating_cooling")
HEATING_BASES_C = tuple(float(celsius_from_fahrenheit(t)) for t in range(45, 76))
COOLING_BASES_C = tuple(float(celsius_from_fahrenheit(t)) for t in range(50, 86))
FEWEST_PERIODS = 6
SLOPE_OVER_ERROR = 2.0
# Uneven periods count by their days; even ones alike, as the form was published.
UNEVEN_DAYS = 1.5
_EXACT = 1e-9  # residuals below this share of the mean are rounding


@dataclass(frozen=True, eq=False, kw_only=True)
class Series:
    """Bills as a fit sees them, in the order of time.

    Parameters
    ----------
    use_per_day : ndarray, shape (k,)
        Mean use on a day of each period.
    days : ndarray, shape (k,)
        Days of each period.
    temperatures_c : tuple of k ndarrays
        Daily means of each period's days; one value where only the period's mean is known. [°C]

    Raises
    ------
    InputError
        Lengths that disagree, a value that is not finite, a period without a day.
    """

    use_per_day: FloatArray
    days: FloatArray
    temperatures_c: tuple[FloatArray, ...]

    def __post_init__(self) -> None:
        use, days = np.asarray(self.use_per_day, float), np.asarray(self.days, float)
        if use.ndim != 1 or use.shape != days.shape or len(self.temperatures_c) != use.size:
            raise InputError("give one number of days and the weather for each bill")
        if not (np.isfinite(use).all() and np.isfinite(days).all()):
            raise InputError("bills and their days must be finite numbers")
        if use.size and days.min() < 1:
            raise InputError("each bill must cover at least 1 day")
        for values in self.temperatures_c:
            if np.size(values) == 0 or not np.isfinite(values).all():
                raise InputError("each bill needs finite temperatures, at least one")
        object.__setattr__(self, "use_per_day", use)
        object.__setattr__(self, "days", days)

    @property
    def weights(self) -> FloatArray:
        """Weight of each period, mean 1: by days when one is half as long again as usual."""
        if self.days.max() <= UNEVEN_DAYS * np.median(self.days):
            return np.ones_like(self.days)
        return self.days / self.days.mean()

    def heating(self, bases_c: ArrayLike) -> FloatArray:
        """Heating degree days a day, shape (bases, k). [K]"""
        return _degree_days(self.temperatures_c, np.asarray(bases_c, float), 1.0)

    def cooling(self, bases_c: ArrayLike) -> FloatArray:
        """Cooling degree days a day, shape (bases, k). [K]"""
        return _degree_days(self.temperatures_c, np.asarray(bases_c, float), -1.0)

    def without(self, indexes: Sequence[int]) -> Series:
        """The same with some periods left out."""
        kept = [index for index in range(self.use_per_day.size) if index not in set(indexes)]
        return Series(
            use_per_day=self.use_per_day[kept],
            days=self.days[kept],
            temperatures_c=tuple(self.temperatures_c[index] for index in kept),
        )


def series_of_daily(
    energies: Sequence[float], period_days: Sequence[int], daily_c: ArrayLike
) -> Series:
    """Bills that follow one another without a gap, with the daily means of exactly their days.

    Raises
    ------
    InputError
        The days of the bills are not those of the weather.
    """
    energy, days = np.asarray(energies, float), np.asarray(period_days, int)
    daily = np.asarray(daily_c, float)
    if energy.shape != days.shape or energy.ndim != 1:
        raise InputError("give one number of days for each bill")
    if days.size and days.min() < 1:
        raise InputError("each bill must cover at least 1 day")
    if daily.shape != (int(days.sum()),):
        raise InputError(f"bills cover {int(days.sum())} days, weather has {daily.size}")
    edges = np.cumsum(days)[:-1]
    return Series(
        use_per_day=energy / days, days=days, temperatures_c=tuple(np.split(daily, edges))
    )


def _degree_days(
    temperatures_c: Sequence[FloatArray], bases_c: FloatArray, sign: float
) -> FloatArray:
    flat = np.concatenate([np.atleast_1d(values) for values in temperatures_c])
    counts = np.array([np.size(values) for values in temperatures_c])
    edges = np.concatenate(([0], np.cumsum(counts)[:-1]))
    excess = np.maximum(0.0, sign * (bases_c[:, None] - flat[None, :]))
    summed: FloatArray = np.add.reduceat(excess, edges, axis=1) / counts
    return summed


@dataclass(frozen=True, kw_only=True)
class Normalized:
    """Use in a normal year, its twelve months, and the standard error of the year."""

    annual: float
    monthly: tuple[float, ...]
    standard_error: float


@dataclass(frozen=True, kw_only=True)
class Fit:
    """Use a day = base + heating slope x degree days below + cooling slope x degree days above.

    Slopes are a K and day; errors of slopes are at the chosen reference temperatures, while
    `covariance` (in the order of `parameters`) counts the reference temperatures too. CV(RMSE)
    and NMBE are on totals of periods, with p the linear coefficients and 1. R² is of use a day,
    and so is `cv_per_day_pct`.
    """

    form: str
    base_per_day: float
    base_error: float
    heating_slope: float = 0.0
    heating_slope_error: float = 0.0
    heating_base_c: float | None = None
    cooling_slope: float = 0.0
    cooling_slope_error: float = 0.0
    cooling_base_c: float | None = None
    r_squared: float
    adjusted_r_squared: float
    cv_rmse_pct: float
    nmbe_pct: float
    rmse_per_day: float
    cv_per_day_pct: float
    criterion: float
    autocorrelation: float
    periods: int
    days: float
    coefficients: int
    parameters: tuple[str, ...]
    covariance: tuple[tuple[float, ...], ...]
    modeled: tuple[float, ...]
    remarks: tuple[str, ...] = ()

    @property
    def degrees_of_freedom(self) -> int:
        """Periods less coefficients and reference temperatures, at least 1."""
        return max(self.periods - len(self.parameters), 1)

    def use_per_day(self, temperatures_c: ArrayLike) -> float:
        """Use on a mean day of days with these mean temperatures, shape (n,)."""
        days = np.asarray(temperatures_c, float)
        use = self.base_per_day
        if self.heating_base_c is not None:
            use += self.heating_slope * float(np.maximum(0.0, self.heating_base_c - days).mean())
        if self.cooling_base_c is not None:
            use += self.cooling_slope * float(np.maximum(0.0, days - self.cooling_base_c).mean())
        return use

    def error_per_day(self, temperatures_c: ArrayLike) -> float:
        """Standard error of `use_per_day`, the scatter around the line not in it."""
        gradient = self._gradient(temperatures_c)
        return math.sqrt(max(float(gradient @ np.array(self.covariance) @ gradient), 0.0))

    def normal_year(self, months: Sequence[NormalMonth]) -> Normalized:
        """Use in a normal year.

        Its standard error is that of the fitted line there, reference temperatures counted; the
        scatter of one year around the line is not in it.
        """
        monthly = tuple(item.days * self.use_per_day(item.temperatures_c) for item in months)
        gradient = sum(
            (item.days * self._gradient(item.temperatures_c) for item in months),
            start=np.zeros(len(self.parameters)),
        )
        variance = float(gradient @ np.array(self.covariance) @ gradient)
        return Normalized(
            annual=sum(monthly), monthly=monthly, standard_error=math.sqrt(max(variance, 0.0))
        )

    def _gradient(self, temperatures_c: ArrayLike) -> FloatArray:
        days = np.asarray(temperatures_c, float)
        found = {"base": 1.0}
        if self.heating_base_c is not None:
            found["heating_slope"] = float(np.maximum(0.0, self.heating_base_c - days).mean())
            found["heating_base"] = self.heating_slope * float((days < self.heating_base_c).mean())
        if self.cooling_base_c is not None:
            found["cooling_slope"] = float(np.maximum(0.0, days - self.cooling_base_c).mean())
            found["cooling_base"] = -self.cooling_slope * float((days > self.cooling_base_c).mean())
        return np.array([found[name] for name in self.parameters])


@dataclass(frozen=True, kw_only=True)
class Tried:
    """One form that was tried: its criterion, and why it is impossible (empty: it is not)."""

    form: str
    criterion: float
    r_squared: float
    impossible: str


@dataclass(frozen=True, kw_only=True)
class Choice:
    """The form taken, None when none is possible, and all that were tried."""

    fit: Fit | None
    tried: tuple[Tried, ...]


def fit_form(
    series: Series,
    form: str,
    *,
    heating_bases_c: Sequence[float] = HEATING_BASES_C,
    cooling_bases_c: Sequence[float] = COOLING_BASES_C,
) -> Fit:
    """One form by least squares, its reference temperatures those of the smallest error.

    One base in the list fixes it, and it is no parameter then.

    Returns
    -------
    Fit
        R² is flat in a reference temperature, which trades against the base load: report the
        use of a normal year. A base load or slope below zero is remarked, never clipped.

    Raises
    ------
    InputError
        Fewer than six periods, an unknown form, or no variation of weather.
    """
    if form not in FORMS:
        raise InputError(f"unknown form {form!r}; use one of: {', '.join(FORMS)}")
    count = series.use_per_day.size
    if count < FEWEST_PERIODS:
        raise InputError(f"a fit needs at least {FEWEST_PERIODS} bills, got {count}")
    heats, cools = form.startswith("heating"), form.endswith("cooling")
    heating_bases = np.asarray(heating_bases_c if heats else [], float)
    cooling_bases = np.asarray(cooling_bases_c if cools else [], float)
    columns, bases = _candidates(series, heating_bases, cooling_bases)
    if not len(columns):
        what = form.replace("_", " and ")
        raise InputError(f"the weather of these bills has no {what} degree days that vary")
    y, weights = series.use_per_day, series.weights
    root = np.sqrt(weights)
    design = columns * root[None, :, None]
    coefficients = np.linalg.pinv(design) @ (y * root)
    residuals = (y - np.einsum("nkp,np->nk", columns, coefficients)) * root
    squares = np.einsum("nk,nk->n", residuals, residuals)
    best = int(squares.argmin())
    return _fit(
        series, form, columns[best], coefficients[best], bases[best], float(squares[best]),
        heating_bases, cooling_bases,
    )  # fmt: skip


Bases = tuple[float | None, float | None]


def _candidates(
    series: Series, heating_bases: FloatArray, cooling_bases: FloatArray
) -> tuple[FloatArray, list[Bases]]:
    """Design matrices, shape (n, k, p), and the reference temperatures of each."""
    ones = np.ones(series.use_per_day.size)
    warm = [(b, x) for b, x in zip(heating_bases, series.heating(heating_bases), strict=True)
            if _varies(x)] if heating_bases.size else []  # fmt: skip
    cold = [(b, x) for b, x in zip(cooling_bases, series.cooling(cooling_bases), strict=True)
            if _varies(x)] if cooling_bases.size else []  # fmt: skip
    found: list[tuple[FloatArray, Bases]] = []
    if not heating_bases.size and not cooling_bases.size:
        found = [(ones[:, None], (None, None))]
    elif not cooling_bases.size:
        found = [(np.stack([ones, x], axis=1), (float(b), None)) for b, x in warm]
    elif not heating_bases.size:
        found = [(np.stack([ones, x], axis=1), (None, float(b))) for b, x in cold]
    else:
        found = [
            (np.stack([ones, h, c], axis=1), (float(low), float(high)))
            for low, h in warm
            for high, c in cold
            if low <= high
        ]
    return np.array([columns for columns, _ in found]), [bases for _, bases in found]


def _varies(degree_days: FloatArray) -> bool:
    """Degree days in three periods at least, and not alike in all."""
    return bool((degree_days > 0.0).sum() >= 3 and np.ptp(degree_days) > 1e-6)


def _fit(
    series: Series,
    form: str,
    columns: FloatArray,
    coefficients: FloatArray,
    bases: Bases,
    square: float,
    heating_bases: FloatArray,
    cooling_bases: FloatArray,
) -> Fit:
    y, weights, days = series.use_per_day, series.weights, series.days
    count, linear = columns.shape
    heating_base, cooling_base = bases
    named = ["base"]
    named += ["heating_slope"] if heating_base is not None else []
    named += ["cooling_slope"] if cooling_base is not None else []
    values = dict(zip(named, (float(value) for value in coefficients), strict=True))
    linear_cov = _covariance(columns, weights, square / max(count - linear, 1))
    errors = dict(zip(named, np.sqrt(np.diag(linear_cov)), strict=True))
    # The columns of the reference temperatures: how use changes when they move.
    moving = [(name, columns[:, index]) for index, name in enumerate(named)]
    if heating_bases.size > 1 and heating_base is not None:
        below = np.array([float((t < heating_base).mean()) for t in series.temperatures_c])
        moving.append(("heating_base", values["heating_slope"] * below))
    if cooling_bases.size > 1 and cooling_base is not None:
        above = np.array([float((t > cooling_base).mean()) for t in series.temperatures_c])
        moving.append(("cooling_base", -values["cooling_slope"] * above))
    jacobian = np.stack([column for _, column in moving], axis=1)
    covariance = _covariance(jacobian, weights, square / max(count - len(moving), 1))
    mean = float((weights * y).sum() / weights.sum())
    total = float((weights * (y - mean) ** 2).sum())
    r_squared = 1.0 - square / total if total > 0.0 else 0.0
    free = max(count - len(moving), 1)
    floor = count * (_EXACT * max(abs(mean), 1e-300)) ** 2
    modeled = columns @ coefficients * days
    measured = y * days
    is_relative = measured.mean() != 0.0 and count > linear
    remarks = []
    if values["base"] < 0:
        remarks.append("negative_base")
    if values.get("heating_slope", 1.0) < 0 or values.get("cooling_slope", 1.0) < 0:
        remarks.append("negative_slope")
    for base, grid in ((heating_base, heating_bases), (cooling_base, cooling_bases)):
        if base is not None and grid.size > 2 and base in (grid.min(), grid.max()):
            remarks.append("base_at_edge")
    return Fit(
        form=form,
        base_per_day=values["base"],
        base_error=float(errors["base"]),
        heating_slope=values.get("heating_slope", 0.0),
        heating_slope_error=float(errors.get("heating_slope", 0.0)),
        heating_base_c=heating_base,
        cooling_slope=values.get("cooling_slope", 0.0),
        cooling_slope_error=float(errors.get("cooling_slope", 0.0)),
        cooling_base_c=cooling_base,
        r_squared=r_squared,
        adjusted_r_squared=1.0 - (1.0 - r_squared) * (count - 1) / free,
        cv_rmse_pct=cv_rmse_pct(measured, modeled, parameters=linear) if is_relative else 0.0,
        nmbe_pct=nmbe_pct(measured, modeled, parameters=1) if is_relative else 0.0,
        rmse_per_day=math.sqrt(square / max(count - linear, 1)),
        cv_per_day_pct=100.0 * math.sqrt(square / max(count - linear, 1)) / mean if mean else 0.0,
        criterion=count * math.log(max(square, floor) / count) + len(moving) * math.log(count)
        if floor > 0.0
        else 0.0,
        autocorrelation=autocorrelation(measured - modeled),
        periods=count,
        days=float(days.sum()),
        coefficients=linear,
        parameters=tuple(name for name, _ in moving),
        covariance=tuple(tuple(float(v) for v in row) for row in covariance),
        modeled=tuple(float(v) for v in modeled),
        remarks=tuple(dict.fromkeys(remarks)),
    )


def _covariance(columns: FloatArray, weights: FloatArray, variance: float) -> FloatArray:
    inverse = np.asarray(np.linalg.pinv(columns.T @ (weights[:, None] * columns)), float)
    return variance * inverse


def choose_form(series: Series, *, forms: Sequence[str] = FORMS, is_net: bool = False) -> Choice:
    """The form that these bills follow, by the rule on top of this file.

    With net metering use may be below zero, and so may the base load.
    """
    tried, possible = [], []
    for form in forms:
        try:
            fit = fit_form(series, form)
        except InputError:
            tried.append(Tried(form=form, criterion=0.0, r_squared=0.0, impossible="no_weather"))
            continue
        why = _impossible(fit, is_net=is_net)
        tried.append(
            Tried(form=form, criterion=fit.criterion, r_squared=fit.r_squared, impossible=why)
        )
        if not why:
            possible.append(fit)
    chosen = min(possible, key=lambda item: item.criterion, default=None)
    return Choice(fit=chosen, tried=tuple(tried))


def _impossible(fit: Fit, *, is_net: bool) -> str:
    if fit.periods <= len(fit.parameters) + 1:
        return "too_few_bills"
    if not is_net and fit.base_per_day < -SLOPE_OVER_ERROR * fit.base_error:
        return "negative_base"
    for base, slope, error in (
        (fit.heating_base_c, fit.heating_slope, fit.heating_slope_error),
        (fit.cooling_base_c, fit.cooling_slope, fit.cooling_slope_error),
    ):
        if base is None:
            continue
        if slope <= 0.0:
            return "negative_slope"
        if slope < SLOPE_OVER_ERROR * error:
            return "slope_not_above_zero"
    return ""
