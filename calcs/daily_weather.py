"""Actual weather of days that have passed: what bills of those dates are held against.

A typical year belongs to no date and only normalizes. A made-up series says that it is one.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from calcs.errors import InputError
from calcs.unit_factors import celsius_from_fahrenheit
from calcs.weather import MONTH_DAYS, WeatherYear

FloatArray = NDArray[np.float64]

LOWEST_C, HIGHEST_C = -70.0, 60.0  # as for typical years: beyond, a file is damaged
MOST_DAYS = 366 * 120
_DATE_FORMATS = ("%Y-%m-%d", "%Y/%m/%d", "%m/%d/%Y", "%Y%m%d")
_DATE_NAMES = ("date", "day", "on")
_MEAN_NAMES = ("mean", "tmean", "temp_mean", "tavg", "temp_avg", "temp", "temperature")
_HIGH_NAMES = ("max", "tmax", "temp_max", "maximum")
_LOW_NAMES = ("min", "tmin", "temp_min", "minimum")


@dataclass(frozen=True, eq=False, kw_only=True)
class DailyWeather:
    """Daily mean temperatures of one station from a first day on.

    Parameters
    ----------
    name, source : str
        Station and who published it, for people.
    is_synthetic : bool
        Made up: it may show pages and prove nothing.
    first_on : date
        The day of the first value.
    mean_c : ndarray, shape (days,)
        Daily means; NaN where a day is missing, never a guess. [°C]

    Raises
    ------
    InputError
        No day with a value, or a value outside what is measured on earth.
    """

    name: str
    source: str
    first_on: date
    mean_c: FloatArray
    is_synthetic: bool = False

    def __post_init__(self) -> None:
        values = np.array(self.mean_c, dtype=np.float64)
        known = values[np.isfinite(values)] if values.ndim == 1 else values[:0]
        if known.size == 0:
            raise InputError("Daily weather has no day with a temperature.")
        if known.min() < LOWEST_C or known.max() > HIGHEST_C:
            raise InputError(
                f"Daily means must lie between {LOWEST_C:g} and {HIGHEST_C:g} °C, "
                f"got {known.min():g} to {known.max():g}."
            )
        values.setflags(write=False)
        object.__setattr__(self, "mean_c", values)

    @property
    def last_on(self) -> date:
        """The day of the last value."""
        return self.first_on + timedelta(days=self.mean_c.size - 1)

    @property
    def missing_days(self) -> int:
        """Days between the first and the last without a temperature."""
        return int(np.isnan(self.mean_c).sum())

    def between(self, starts_on: date, ends_on: date) -> FloatArray:
        """Daily means from a day up to, not including, another; NaN where there is none. [°C]

        Shape (days between,). Days before the first or after the last value are missing days.
        """
        count = (ends_on - starts_on).days
        found = np.full(max(count, 0), np.nan)
        offset = (starts_on - self.first_on).days
        low, high = max(offset, 0), min(offset + count, self.mean_c.size)
        if high > low:
            found[low - offset : high - offset] = self.mean_c[low:high]
        return found

    def completeness(self, starts_on: date, ends_on: date) -> float:
        """Share of the days of a period that have a temperature, 0 to 1."""
        days = self.between(starts_on, ends_on)
        return float(np.isfinite(days).mean()) if days.size else 0.0


def read_daily(
    text: str,
    *,
    name: str,
    source: str,
    unit: str | None = None,
    is_synthetic: bool = False,
) -> DailyWeather:
    """Daily weather out of a table with a line for each day.

    Parameters
    ----------
    text : str
        CSV with a heading. A column `date`, and either a mean (`mean`, `tmean`, `tavg`, `temp`)
        or maximum and minimum (`max`/`tmax`/`temp_max`, `min`/...), whose mean is then taken.
    unit : str or None
        "C" or "F". None: told by the end of the column's name, `_c` or `_f`.

    Raises
    ------
    InputError
        Names the line: a date that is none or comes twice, a value that is no temperature, a
        minimum above the maximum; or columns or unit that cannot be told.
    """
    rows = csv.reader(io.StringIO(text.lstrip("\ufeff")))
    heading = [cell.strip().lower() for cell in next(rows, [])]
    day_at = _column(heading, _DATE_NAMES)
    if day_at is None:
        raise InputError("The heading names no column 'date'.")
    mean_at, high_at, low_at = (
        _column(heading, names) for names in (_MEAN_NAMES, _HIGH_NAMES, _LOW_NAMES)
    )
    if mean_at is not None:
        columns = [mean_at]
    elif high_at is not None and low_at is not None:
        columns = [high_at, low_at]
    else:
        raise InputError("The heading names neither a daily mean nor a maximum and a minimum.")
    units = [_unit_of(heading[index], unit) for index in columns]
    found: dict[date, float] = {}
    for number, row in enumerate(rows, start=2):
        if not any(cell.strip() for cell in row):
            continue
        day = _day(row, day_at, number)
        if day in found:
            raise InputError(f"Line {number}: {day.isoformat()} is there twice.")
        values = [_celsius(row, at, of, number) for at, of in zip(columns, units, strict=True)]
        if len(values) == 2 and values[0] < values[1]:
            raise InputError(f"Line {number}: the minimum is above the maximum.")
        found[day] = float(np.mean(values))
    if not found:
        raise InputError("The file has a heading and no day.")
    first, last = min(found), max(found)
    days = (last - first).days + 1
    if days > MOST_DAYS:
        raise InputError(f"The days run from {first.isoformat()} to {last.isoformat()}.")
    series = np.full(days, np.nan)
    for day, value in found.items():
        series[(day - first).days] = value
    return DailyWeather(
        name=name, source=source, first_on=first, mean_c=series, is_synthetic=is_synthetic
    )


def _column(heading: Sequence[str], names: Sequence[str]) -> int | None:
    for index, cell in enumerate(heading):
        if cell.removesuffix("_c").removesuffix("_f") in names:
            return index
    return None


def _unit_of(cell: str, unit: str | None) -> str:
    told = {"_c": "C", "_f": "F"}.get(cell[-2:])
    if told is not None and unit not in (None, told):
        raise InputError(f"Column {cell!r} says °{told}, and °{unit} was asked for.")
    chosen = told or unit
    if chosen not in ("C", "F"):
        raise InputError(f"Say whether {cell!r} is in °C or °F.")
    return chosen


def _day(row: Sequence[str], at: int, number: int) -> date:
    text = row[at].strip() if at < len(row) else ""
    for form in _DATE_FORMATS:
        try:
            return datetime.strptime(text, form).date()  # noqa: DTZ007  a day has no time zone
        except ValueError:
            continue
    raise InputError(f"Line {number}: {text!r} is not a date such as 2026-01-31.")


def _celsius(row: Sequence[str], at: int, unit: str, number: int) -> float:
    text = row[at].strip() if at < len(row) else ""
    if text.lower() in ("", "na", "nan", "m"):
        return float("nan")
    try:
        value = float(text)
    except ValueError:
        raise InputError(f"Line {number}: {text!r} is not a temperature.") from None
    value = float(celsius_from_fahrenheit(value)) if unit == "F" else value
    if not LOWEST_C <= value <= HIGHEST_C:
        raise InputError(
            f"Line {number}: {text} °{unit} is outside {LOWEST_C:g} to {HIGHEST_C:g} °C."
        )
    return value


@dataclass(frozen=True, eq=False, kw_only=True)
class NormalMonth:
    """A month of the year that use is normalized to. Temperatures shape (n,) [°C]; days."""

    temperatures_c: FloatArray
    days: float


def normal_months(weather: WeatherYear) -> tuple[NormalMonth, ...]:
    """The twelve months of a typical year, day by day."""
    daily = weather.dry_bulb_c.reshape(-1, 24).mean(axis=1)
    edges = np.concatenate(([0], np.cumsum(MONTH_DAYS)))
    return tuple(
        NormalMonth(temperatures_c=daily[first:last], days=float(last - first))
        for first, last in pairwise(edges)
    )
