"""Reading and checking files of typical weather: TMY3 and EPW.

A file is read by its content, not its name. What is found is said with line and column: gaps, hours
that are missing, repeated or too many, another unit, a place whose sun does not agree with the
radiation. Nothing is mended in silence: a short gap in a reading is bridged by a straight line and
told; everything else that is wrong stops the file.

References
----------
Column names of TMY3 are those in the files' own second line; order and missing-value codes of EPW
from its data dictionary (memory). Both are compared with pvlib's readers in the tests.
"""

from __future__ import annotations

import csv
import gzip
import io
import zlib
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calcs.errors import InputError
from calcs.weather import HOURS, LIMITS, MONTH_DAYS, WeatherYear

FloatArray = NDArray[np.float64]

LARGEST_BYTES = 12_000_000
LARGEST_UNPACKED_BYTES = 40_000_000
LONGEST_BRIDGE_H, MOST_BRIDGED_H = 3, 48
EPW_HEADER_LINES = 8
LEAP_HOURS = HOURS + 24

TEXT: dict[str, str] = {
    "empty": "The file is empty.",
    "too_large": "The file is larger than %(limit)d MB; a typical year has about 2 MB.",
    "archive": "This is an archive (%(kind)s). Unpack it and give the EPW or TMY3 file inside.",
    "damaged": "The packed file is damaged: %(why)s.",
    "encoding": "The file is not plain text: it looks like %(kind)s. Save it as plain text.",
    "format": "The file is neither TMY3 nor EPW: its first line is “%(line)s”.",
    "header": "Line %(line)d: %(what)s is “%(value)s”; a number is needed.",
    "place": "Line %(line)d: %(what)s %(value)s lies outside %(low)g to %(high)g %(unit)s.",
    "no_column": "Line %(line)d names no column “%(column)s”.",
    "column_unit": "Line 2: column “%(column)s” is in %(unit)s; %(wanted)s is needed.",
    "sub_hourly": "Line %(line)d: %(value)s records an hour; one is needed.",
    "short": "The file has %(rows)d hours; a year has 8,760. It ends at line %(line)d.",
    "long": "The file has %(rows)d hours; a typical year has 8,760.",
    "leap": "The file has a leap year's 8,784 hours; February 29 is lines %(first)d to %(last)d. "
            "Take these 24 lines out, or use a typical year.",
    "few_columns": "Line %(line)d has %(count)d columns; %(wanted)d are needed.",
    "stamp": "Line %(line)d, column %(column)s: “%(value)s” is no date or hour.",
    "jump": "Line %(line)d is %(found)s; %(wanted)s should come there.",
    "not_a_number": "Line %(line)d, column %(column)s: “%(value)s” is not a number.",
    "range": "Line %(line)d, column %(column)s: %(value)g lies outside %(low)g to %(high)g "
             "%(unit)s.%(hint)s",
    "gap": "Column %(column)s is missing in %(count)d hours, the longest stretch %(longest)d "
           "hours from line %(line)d.",
    "bridged": "Column %(column)s is missing in %(count)d hours, first at line %(line)d; straight "
               "lines bridge them.",
    "fahrenheit": "The mean dry bulb is %(value).1f: that is °F or another unit; °C is needed.",
    "night_sun": "The sun shines in %(count)d hours of night, first at line %(line)d: place, time "
                 "zone or the hour's meaning is wrong.",
    "seasons": "The seasons are those of the other half of the earth: check the latitude's sign.",
    "wet": "The dew point is above the dry bulb in %(count)d hours, first at line %(line)d.",
    "strong_wind": "The mean wind is %(value).1f m/s, which is much: the column may be in mph or "
                   "knots.",
    "elevation": "The pressure is that of about %(found).0f m; the head of the file says "
                 "%(value).0f m.",
    "zone": "The time zone UTC%(zone)+g does not fit a longitude of %(value).1f°.",
    "closure": "Global radiation is %(value).0f %% of direct and diffuse together.",
    "sunshine": "Global radiation of the year is %(value).0f kWh/m², which is hardly right.",
    "one_year": "All months are of %(year)d: an actual year, not a typical one.",
    "cloud_total": "Opaque sky cover is missing; the total sky cover stands in for it.",
}  # fmt: skip


@dataclass(frozen=True)
class Finding:
    """Something found in a file. `stops` says that the file cannot be used with it."""

    code: str
    stops: bool
    facts: dict[str, Any] = field(default_factory=dict)

    @property
    def text(self) -> str:
        """The finding in words."""
        return TEXT[self.code] % self.facts


@dataclass(frozen=True, eq=False, kw_only=True)
class WeatherCheck:
    """What was found in a file, and the year if it can be used.

    `weather` is None when any finding stops the file.
    """

    kind: str = ""  # "TMY3", "EPW" or empty
    name: str = ""
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    elevation_m: float | None = None
    utc_offset_h: float | None = None
    first_year: int | None = None
    last_year: int | None = None
    rows: int = 0
    units: dict[str, str] = field(default_factory=dict)
    findings: tuple[Finding, ...] = ()
    weather: WeatherYear | None = None

    @property
    def stops(self) -> tuple[Finding, ...]:
        """The findings that stop the file."""
        return tuple(item for item in self.findings if item.stops)


class _Stopped(Exception):
    """A finding after which reading on makes no sense."""

    def __init__(self, code: str, **facts: Any) -> None:
        super().__init__(code)
        self.finding = Finding(code, True, facts)


@dataclass(frozen=True)
class _Column:
    """A column to read: its name, place, factor to SI, what stands for missing, its unit."""

    series: str
    label: str
    index: int
    factor: float
    missing_from: float  # values at or above it stand for "missing"
    missing_below: float
    unit: str


# Series, label, place, factor to SI, missing from, missing up to, unit of the file.
_EPW_COLUMNS = (
    _Column("dry_bulb_c", "dry bulb", 6, 1.0, 99.9, -900.0, "°C"),
    _Column("dew_point_c", "dew point", 7, 1.0, 99.9, -900.0, "°C"),
    _Column("pressure_pa", "pressure", 9, 1.0, 999_999.0, -900.0, "Pa"),
    _Column("ghi_w_per_m2", "global horizontal radiation", 13, 1.0, 9999.0, -900.0, "Wh/m²"),
    _Column("dni_w_per_m2", "direct normal radiation", 14, 1.0, 9999.0, -900.0, "Wh/m²"),
    _Column("dhi_w_per_m2", "diffuse horizontal radiation", 15, 1.0, 9999.0, -900.0, "Wh/m²"),
    _Column("wind_m_per_s", "wind speed", 21, 1.0, 999.0, -900.0, "m/s"),
    _Column("total_cloud", "total sky cover", 22, 0.1, 99.0, -900.0, "tenths"),
    _Column("opaque_cloud", "opaque sky cover", 23, 0.1, 99.0, -900.0, "tenths"),
)
_TMY3_NAMES = (
    ("dry_bulb_c", "Dry-bulb", "C", 1.0, "°C"),
    ("dew_point_c", "Dew-point", "C", 1.0, "°C"),
    ("pressure_pa", "Pressure", "mbar", 100.0, "mbar"),
    ("ghi_w_per_m2", "GHI", "W/m^2", 1.0, "W/m²"),
    ("dni_w_per_m2", "DNI", "W/m^2", 1.0, "W/m²"),
    ("dhi_w_per_m2", "DHI", "W/m^2", 1.0, "W/m²"),
    ("wind_m_per_s", "Wspd", "m/s", 1.0, "m/s"),
    ("total_cloud", "TotCld", "tenths", 0.1, "tenths"),
    ("opaque_cloud", "OpqCld", "tenths", 0.1, "tenths"),
)
_ARCHIVES = (
    (b"PK\x03\x04", "zip"), (b"7z\xbc\xaf", "7z"), (b"Rar!", "rar"), (b"BZh", "bzip2"),
    (b"\xfd7zXZ", "xz"),
)  # fmt: skip
_OTHER_TEXT = (
    (b"\xff\xfe", "UTF-16"), (b"\xfe\xff", "UTF-16"), (b"%PDF", "PDF"), (b"\xd0\xcf\x11\xe0",
     "an office document"),
)  # fmt: skip
_RADIATION = ("ghi_w_per_m2", "dni_w_per_m2", "dhi_w_per_m2")
# Half an hour of sun at the edges of the day is a matter of rounding; whole nights are not.
NIGHT_SUN_W_PER_M2, MOST_NIGHT_SUN_H = 30.0, 60
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_STAMPS = [
    (month + 1, day + 1, hour + 1)
    for month, days in enumerate(MONTH_DAYS)
    for day in range(days)
    for hour in range(24)
]


def check_weather(raw: bytes) -> WeatherCheck:
    """Everything there is to say about the content of a weather file.

    Parameters
    ----------
    raw : bytes
        The file as it came, plain or gzip-compressed.

    Returns
    -------
    WeatherCheck
        With the year, when nothing stops it. Never raises for what is in the file.
    """
    try:
        lines = _lines(raw)
        return _read(lines)
    except _Stopped as stopped:
        return WeatherCheck(findings=(stopped.finding,))


def parse_weather(raw: bytes) -> WeatherYear:
    """The weather year in the content of a TMY3 or EPW file, plain or gzip-compressed.

    Raises
    ------
    InputError
        Not such a file, or one that cannot be used; the message names line and column.
    """
    found = check_weather(raw)
    if found.weather is None:
        raise InputError("weather file: " + " ".join(item.text for item in found.stops))
    return found.weather


def _lines(raw: bytes) -> list[str]:
    if not raw.strip():
        raise _Stopped("empty")
    if len(raw) > LARGEST_BYTES:
        raise _Stopped("too_large", limit=LARGEST_BYTES // 1_000_000)
    if raw[:2] == b"\x1f\x8b":
        raw = _unpacked(raw)
    for mark, kind in _ARCHIVES:
        if raw.startswith(mark):
            raise _Stopped("archive", kind=kind)
    for mark, kind in _OTHER_TEXT:
        if raw.startswith(mark):
            raise _Stopped("encoding", kind=kind)
    if b"\x00" in raw[:4096]:
        raise _Stopped("encoding", kind="binary data")
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError:
        # Names of places in older files; the numbers are plain either way.
        text = raw.decode("latin-1")
    return text.splitlines()


def _unpacked(raw: bytes) -> bytes:
    try:
        with gzip.GzipFile(fileobj=io.BytesIO(raw)) as stream:
            content = stream.read(LARGEST_UNPACKED_BYTES + 1)
    except (OSError, EOFError, zlib.error) as error:
        raise _Stopped("damaged", why=str(error)) from error
    if len(content) > LARGEST_UNPACKED_BYTES:
        raise _Stopped("too_large", limit=LARGEST_UNPACKED_BYTES // 1_000_000)
    if not content.strip():
        raise _Stopped("empty")
    return content


def _read(lines: Sequence[str]) -> WeatherCheck:
    first = next(csv.reader([lines[0]]), [])
    if lines[0].startswith("LOCATION,"):
        return _read_epw(lines, first)
    if len(first) == 7 and len(lines) > 1 and lines[1].startswith("Date"):
        return _read_tmy3(lines, first)
    raise _Stopped("format", line=lines[0][:60].strip())


def _number(value: str, what: str, line: int) -> float:
    try:
        number = float(value)
    except ValueError:
        number = float("nan")
    if not np.isfinite(number):
        raise _Stopped("header", line=line, what=what, value=value[:30])
    return number


def _place(name: str, values: Sequence[str]) -> dict[str, Any]:
    """Latitude, longitude, time zone, elevation of the first line, each within what can be."""
    found: dict[str, Any] = {"name": name}
    for value, (key, what, low, high, unit) in zip(
        values,
        (
            ("latitude_deg", "latitude", -90.0, 90.0, "degrees"),
            ("longitude_deg", "longitude", -180.0, 180.0, "degrees"),
            ("utc_offset_h", "time zone", -14.0, 14.0, "h"),
            ("elevation_m", "elevation", -500.0, 6000.0, "m"),
        ),
        strict=True,
    ):
        number = _number(value, what, 1)
        if not low <= number <= high:
            raise _Stopped(
                "place", line=1, what=what, value=value.strip(), low=low, high=high, unit=unit
            )
        found[key] = number
    return found


def _read_epw(lines: Sequence[str], head: Sequence[str]) -> WeatherCheck:
    if len(head) < 10:
        raise _Stopped("few_columns", line=1, count=len(head), wanted=10)
    name = ", ".join(part.strip() for part in (head[1], head[2]) if part.strip() not in ("", "-"))
    place = _place(name, (head[6], head[7], head[8], head[9]))
    for number, line in enumerate(lines[:EPW_HEADER_LINES], start=1):
        if line.startswith("DATA PERIODS"):
            an_hour = line.split(",")[2].strip() if line.count(",") > 1 else "1"
            if an_hour != "1":
                raise _Stopped("sub_hourly", line=number, value=an_hour)
    rows = _rows(lines, EPW_HEADER_LINES, wanted=24)
    stamps = []
    for number, row in rows:
        year, month, day, hour = (
            _whole(row, index, number, column)
            for index, column in enumerate(("year", "month", "day", "hour"))
        )
        stamps.append((number, year, month, day, hour))
    return _checked("EPW", place, rows, stamps, _EPW_COLUMNS)


def _whole(row: Sequence[str], index: int, line: int, column: str) -> int:
    try:
        return int(float(row[index]))
    except (ValueError, OverflowError):
        raise _Stopped("stamp", line=line, column=column, value=row[index][:20]) from None


def _read_tmy3(lines: Sequence[str], head: Sequence[str]) -> WeatherCheck:
    name = ", ".join(part.strip().strip('"') for part in (head[1], head[2]) if part.strip())
    place = _place(name, (head[4], head[5], head[3], head[6]))
    titles = [title.strip() for title in next(csv.reader([lines[1]]))]
    columns = []
    for series, title, unit, factor, shown in _TMY3_NAMES:
        index = _tmy3_index(titles, title, unit)
        columns.append(_Column(series, title, index, factor, 9.9e5, -900.0, shown))
    rows = _rows(lines, 2, wanted=max(column.index for column in columns) + 1)
    stamps = []
    for number, row in rows:
        date, hour = row[0].split("/"), row[1].split(":")
        if len(date) != 3 or len(hour) not in (2, 3):
            raise _Stopped("stamp", line=number, column="Date, Time", value=f"{row[0]} {row[1]}")
        year, month, day = (_whole(date, index, number, "Date") for index in (2, 0, 1))
        stamps.append((number, year, month, day, _whole(hour, 0, number, "Time")))
    return _checked("TMY3", place, rows, stamps, columns)


def _tmy3_index(titles: Sequence[str], title: str, unit: str) -> int:
    wanted = f"{title} ({unit})"
    if wanted in titles:
        return titles.index(wanted)
    other = next((found for found in titles if found.startswith(f"{title} (")), None)
    if other is not None:
        raise _Stopped(
            "column_unit", column=title, unit=other[len(title) + 2 :].rstrip(")"), wanted=unit
        )
    raise _Stopped("no_column", line=2, column=wanted)


def _rows(lines: Sequence[str], head: int, *, wanted: int) -> list[tuple[int, list[str]]]:
    rows = []
    for number, row in enumerate(csv.reader(lines[head:]), start=head + 1):
        if not row or not any(cell.strip() for cell in row):
            continue
        if len(row) < wanted:
            raise _Stopped("few_columns", line=number, count=len(row), wanted=wanted)
        rows.append((number, row))
    return rows


def _stamp_words(month: int, day: int, hour: int) -> str:
    name = MONTHS[month - 1] if 1 <= month <= 12 else str(month)
    return f"{name} {day}, hour {hour}"


def _order(stamps: Sequence[tuple[int, int, int, int, int]]) -> list[Finding]:
    """Whether each row is the hour that follows the one before."""
    leap = [number for number, _, month, day, _ in stamps if (month, day) == (2, 29)]
    if len(stamps) == LEAP_HOURS and len(leap) == 24:
        return [Finding("leap", True, {"first": leap[0], "last": leap[-1]})]
    found = []
    for (number, _, month, day, hour), wanted in zip(stamps, _STAMPS, strict=False):
        if (month, day, hour) != wanted:
            facts = {
                "line": number,
                "found": _stamp_words(month, day, hour),
                "wanted": _stamp_words(*wanted),
            }
            found.append(Finding("jump", True, facts))
            break
    if len(stamps) < HOURS:
        facts = {"rows": len(stamps), "line": stamps[-1][0] if stamps else 0}
        found.append(Finding("short", True, facts))
    elif len(stamps) > HOURS:
        found.append(Finding("long", True, {"rows": len(stamps)}))
    return found


def _checked(
    kind: str,
    place: dict[str, Any],
    rows: Sequence[tuple[int, list[str]]],
    stamps: Sequence[tuple[int, int, int, int, int]],
    columns: Sequence[_Column],
) -> WeatherCheck:
    years = [year for _, year, _, _, _ in stamps]
    common: dict[str, Any] = {
        "kind": kind,
        **place,
        "rows": len(rows),
        "first_year": min(years, default=None),
        "last_year": max(years, default=None),
        "units": {column.series: column.unit for column in columns},
    }
    findings = _order(stamps)
    if findings:
        return WeatherCheck(**common, findings=tuple(findings))
    line_numbers = [number for number, _ in rows]
    series: dict[str, FloatArray] = {}
    for column in columns:
        values, found = _series(column, rows)
        series[column.series] = values
        findings += found
    findings += _cloud(series, line_numbers)
    for column in columns:
        if column.series in series:
            findings += _gaps(column, series, line_numbers)
    if not any(item.stops for item in findings):
        for column in columns:
            if column.series in series:
                findings += _range(column, series[column.series], line_numbers)
    if any(item.stops for item in findings):
        return WeatherCheck(**common, findings=tuple(findings))
    series.pop("total_cloud", None)
    known: dict[str, Any] = {**place, **series}
    weather = WeatherYear(**known)
    findings += _sense(weather, line_numbers, sorted(set(years)))
    is_usable = not any(item.stops for item in findings)
    return WeatherCheck(**common, findings=tuple(findings), weather=weather if is_usable else None)


def _series(
    column: _Column, rows: Sequence[tuple[int, list[str]]]
) -> tuple[FloatArray, list[Finding]]:
    values = np.empty(len(rows))
    for position, (number, row) in enumerate(rows):
        cell = row[column.index].strip()
        if not cell:
            values[position] = np.nan
            continue
        try:
            values[position] = float(cell)
        except ValueError:
            facts = {"line": number, "column": column.label, "value": cell[:20]}
            return values, [Finding("not_a_number", True, facts)]
    is_missing = (values >= column.missing_from) | (values <= column.missing_below)
    values[is_missing] = np.nan
    return values * column.factor, []


def _cloud(series: dict[str, FloatArray], lines: Sequence[int]) -> list[Finding]:
    """Opaque cover, or the total where the file has no opaque one at all."""
    total = series.pop("total_cloud")
    opaque = series["opaque_cloud"]
    if np.isnan(opaque).mean() > 0.5 and not np.isnan(total).all():
        series["opaque_cloud"] = total
        return [Finding("cloud_total", False)]
    return []


def _stretches(is_missing: NDArray[np.bool_]) -> Iterator[tuple[int, int]]:
    edges = np.flatnonzero(np.diff(np.concatenate(([False], is_missing, [False]))))
    yield from zip(edges[::2].tolist(), edges[1::2].tolist(), strict=True)


def _gaps(column: _Column, series: dict[str, FloatArray], lines: Sequence[int]) -> list[Finding]:
    values = series[column.series]
    is_missing = np.isnan(values)
    if not is_missing.any():
        return []
    count = int(is_missing.sum())
    start, stop = max(_stretches(is_missing), key=lambda pair: pair[1] - pair[0])
    facts: dict[str, Any] = {"column": column.label, "count": count}
    can_bridge = column.series not in _RADIATION
    if not can_bridge or stop - start > LONGEST_BRIDGE_H or count > MOST_BRIDGED_H:
        facts |= {"longest": stop - start, "line": lines[start]}
        return [Finding("gap", True, facts)]
    known = np.flatnonzero(~is_missing)
    series[column.series] = np.interp(np.arange(len(values)), known, values[known])
    first = int(np.flatnonzero(is_missing)[0])
    return [Finding("bridged", False, facts | {"line": lines[first]})]


def _hint(column: _Column, value: float) -> str:
    if column.series == "pressure_pa":
        if value < 2000.0:
            return " It looks like millibars or inches; pascals are needed."
        return " It looks like pascals where millibars are needed." if value > 2e5 else ""
    if column.series in ("dry_bulb_c", "dew_point_c") and value > 45.0:
        return " It looks like °F."
    return ""


def _range(column: _Column, values: FloatArray, lines: Sequence[int]) -> list[Finding]:
    low, high, _unit = LIMITS[column.series]
    outside = (values < low - 1e-9) | (values > high + 1e-9)
    if not outside.any():
        return []
    first = int(np.flatnonzero(outside)[0])
    return [
        Finding(
            "range",
            True,
            {
                "line": lines[first],
                "column": column.label,
                "value": values[first] / column.factor,
                "low": low / column.factor,
                "high": high / column.factor,
                "unit": column.unit,
                "hint": _hint(column, float(values[first])),
            },
        )
    ]


def _sense(weather: WeatherYear, lines: Sequence[int], years: Sequence[int]) -> list[Finding]:
    """Whether the numbers agree with each other and with the place."""
    found = []
    mean = weather.annual_mean_c
    if mean > 35.0:
        found.append(Finding("fahrenheit", True, {"value": mean}))
    found += _night_sun(weather, lines)
    found += _seasons(weather)
    is_wet = weather.dew_point_c > weather.dry_bulb_c + 0.5
    if is_wet.sum() > 24:
        facts = {"count": int(is_wet.sum()), "line": lines[int(is_wet.argmax())]}
        found.append(Finding("wet", False, facts))
    wind = float(weather.wind_m_per_s.mean())
    if wind > 9.0:
        found.append(Finding("strong_wind", False, {"value": wind}))
    found += _elevation(weather)
    if abs(weather.longitude_deg / 15.0 - weather.utc_offset_h) > 2.0:
        zone = {"zone": weather.utc_offset_h, "value": weather.longitude_deg}
        found.append(Finding("zone", False, zone))
    found += _radiation(weather)
    if len(years) == 1:
        found.append(Finding("one_year", False, {"year": years[0]}))
    return found


def _night_sun(weather: WeatherYear, lines: Sequence[int]) -> list[Finding]:
    is_night = (weather.sun.up <= 0.0).all(axis=1)
    shines = is_night & (weather.ghi_w_per_m2 > NIGHT_SUN_W_PER_M2)
    if shines.sum() <= MOST_NIGHT_SUN_H:
        return []
    facts = {"count": int(shines.sum()), "line": lines[int(shines.argmax())]}
    return [Finding("night_sun", True, facts)]


def _seasons(weather: WeatherYear) -> list[Finding]:
    means = weather.monthly_means_c
    northern = float(means[5:8].mean() - (means[11] + means[0] + means[1]) / 3.0)
    if abs(weather.latitude_deg) > 23.5 and northern * weather.latitude_deg < 0.0:
        return [Finding("seasons", abs(northern) > 4.0)]
    return []


def _elevation(weather: WeatherYear) -> list[Finding]:
    # International Standard Atmosphere.
    ratio = weather.mean_pressure_pa / 101_325.0
    found_m = (1.0 - ratio ** (1.0 / 5.25588)) / 2.25577e-5
    if abs(found_m - weather.elevation_m) > 250.0:
        return [Finding("elevation", False, {"found": found_m, "value": weather.elevation_m})]
    return []


def _radiation(weather: WeatherYear) -> list[Finding]:
    found = []
    year_kwh = float(weather.ghi_w_per_m2.sum()) / 1000.0
    if not 500.0 <= year_kwh <= 2800.0:
        found.append(Finding("sunshine", False, {"value": year_kwh}))
    up = np.maximum(weather.sun.up, 0.0).mean(axis=1)
    together = float((weather.dni_w_per_m2 * up + weather.dhi_w_per_m2).sum())
    share = 100.0 * float(weather.ghi_w_per_m2.sum()) / together if together > 0.0 else 100.0
    if not 88.0 <= share <= 112.0:
        found.append(Finding("closure", False, {"value": share}))
    return found
