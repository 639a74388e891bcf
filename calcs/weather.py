"""A typical weather year and what is derived from it.

Rows of TMY3 and EPW files carry the *end* of their hour. Radiation is the mean over that hour;
temperature, dew point, pressure, wind and cloud are readings at the stamp. A ``WeatherYear`` keeps
them as they are; ``between_readings`` turns readings into means of an hour or a quarter.

References
----------
Wilcox and Marion, Users Manual for TMY3 Data Sets, NREL/TP-581-43156 (2008), for the columns and
the meaning of the stamp (memory); the column names are those of the files themselves.
"""

from __future__ import annotations

import hashlib
import zipfile
from dataclasses import dataclass, fields
from functools import cached_property, lru_cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from calcs.errors import InputError
from calcs.solar import SunYear, sun_year
from calcs.validation import require_within

FloatArray = NDArray[np.float64]

HOURS = 8760
MONTH_DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
DEGREE_DAY_BASE_C = 18.3333333333  # 65 °F, the customary base

# Physical limits of each series: below or above, a file is damaged or in another unit.
LIMITS = {
    "dry_bulb_c": (-70.0, 60.0, "°C"),
    "dew_point_c": (-90.0, 45.0, "°C"),
    "pressure_pa": (50_000.0, 110_000.0, "Pa"),
    "wind_m_per_s": (0.0, 60.0, "m/s"),
    "ghi_w_per_m2": (0.0, 1500.0, "W/m²"),
    "dni_w_per_m2": (0.0, 1500.0, "W/m²"),
    "dhi_w_per_m2": (0.0, 1000.0, "W/m²"),
    "opaque_cloud": (0.0, 1.0, "(a fraction)"),
}


@dataclass(frozen=True, eq=False, kw_only=True)
class WeatherYear:
    """8760 hours of weather at one station.

    Parameters
    ----------
    name : str
        Station, for people.
    latitude_deg, longitude_deg : float
        North and east positive. [degrees]
    elevation_m, utc_offset_h : float
        [m], [h]
    dry_bulb_c, dew_point_c, pressure_pa, wind_m_per_s, opaque_cloud : ndarray, shape (8760,)
        Readings at the end of each hour. Wind is at 10 m; cloud is a fraction.
        [°C], [°C], [Pa], [m/s], [-]
    ghi_w_per_m2, dni_w_per_m2, dhi_w_per_m2 : ndarray, shape (8760,)
        Global horizontal, direct normal and diffuse horizontal, means of each hour. [W/m²]

    Raises
    ------
    InputError
        A series has not 8760 finite values, or one outside what can be measured on earth.

    Notes
    -----
    Two years with the same numbers are equal and hash alike, so results can be cached by year.
    """

    name: str
    latitude_deg: float
    longitude_deg: float
    elevation_m: float
    utc_offset_h: float
    dry_bulb_c: FloatArray
    dew_point_c: FloatArray
    pressure_pa: FloatArray
    wind_m_per_s: FloatArray
    ghi_w_per_m2: FloatArray
    dni_w_per_m2: FloatArray
    dhi_w_per_m2: FloatArray
    opaque_cloud: FloatArray

    def __post_init__(self) -> None:
        require_within(self.latitude_deg, -90.0, 90.0, "latitude", "degrees")
        require_within(self.longitude_deg, -180.0, 180.0, "longitude", "degrees")
        require_within(self.elevation_m, -500.0, 6000.0, "elevation", "m")
        require_within(self.utc_offset_h, -14.0, 14.0, "UTC offset", "h")
        for series, (low, high, unit) in LIMITS.items():
            values = np.array(getattr(self, series), dtype=np.float64)
            if values.shape != (HOURS,):
                raise InputError(f"{series} must have {HOURS} hours, got shape {values.shape}")
            missing = np.flatnonzero(~np.isfinite(values))
            if missing.size:
                raise InputError(
                    f"{series} lacks {missing.size} of {HOURS} hours, the first after hour "
                    f"{missing[0]} of the year; it must be from {low:g} to {high:g} {unit}"
                )
            if values.min() < low or values.max() > high:
                raise InputError(
                    f"{series} must be from {low:g} to {high:g} {unit}, "
                    f"got {values.min():g} to {values.max():g}"
                )
            values.setflags(write=False)
            object.__setattr__(self, series, values)

    @cached_property
    def digest(self) -> str:
        """SHA-256 of place and numbers."""
        content = hashlib.sha256()
        for item in fields(self):
            value = getattr(self, item.name)
            if item.name != "name":
                content.update(np.asarray(value, dtype=np.float64).tobytes())
        return content.hexdigest()

    def __eq__(self, other: object) -> bool:
        return isinstance(other, WeatherYear) and self.digest == other.digest

    def __hash__(self) -> int:
        return hash(self.digest)

    @cached_property
    def sun(self) -> SunYear:
        """Where the sun stands, several times an hour."""
        return sun_year(self.latitude_deg, self.longitude_deg, self.utc_offset_h)

    @property
    def mean_pressure_pa(self) -> float:
        """Mean station pressure. [Pa]"""
        return float(self.pressure_pa.mean())

    @property
    def annual_mean_c(self) -> float:
        """Mean dry bulb of the year. [°C]"""
        return float(self.dry_bulb_c.mean())

    @cached_property
    def monthly_means_c(self) -> FloatArray:
        """Mean dry bulb of each month, shape (12,). [°C]"""
        return monthly(self.dry_bulb_c) / (24.0 * np.array(MONTH_DAYS))

    @property
    def monthly_range_c(self) -> float:
        """Warmest less coldest month's mean; with the annual mean, what mains water needs. [K]"""
        return float(np.ptp(self.monthly_means_c))

    def heating_degree_days_k(self, base_c: float = DEGREE_DAY_BASE_C) -> float:
        """Heating degree-days from daily means of the 24 readings. [K·d]"""
        daily = self.dry_bulb_c.reshape(-1, 24).mean(axis=1)
        return float(np.maximum(base_c - daily, 0.0).sum())

    def cooling_degree_days_k(self, base_c: float = DEGREE_DAY_BASE_C) -> float:
        """Cooling degree-days from daily means of the 24 readings. [K·d]"""
        daily = self.dry_bulb_c.reshape(-1, 24).mean(axis=1)
        return float(np.maximum(daily - base_c, 0.0).sum())

    def heating_design_c(self, exceeded: float = 0.99) -> float:
        """Dry bulb exceeded in this share of the year's hours: the 99 % winter design. [°C]"""
        require_within(exceeded, 0.5, 1.0, "share of hours", "(a fraction)")
        return _dry_bulb_quantile(self, 1.0 - exceeded)

    def cooling_design_c(self, exceeded: float = 0.01) -> float:
        """Dry bulb exceeded in this share of the year's hours: the 1 % summer design. [°C]"""
        require_within(exceeded, 0.0, 0.5, "share of hours", "(a fraction)")
        return _dry_bulb_quantile(self, 1.0 - exceeded)


@lru_cache(maxsize=64)
def _dry_bulb_quantile(weather: WeatherYear, share: float) -> float:
    return float(np.quantile(weather.dry_bulb_c, share))


def between_readings(readings: FloatArray, *, steps_per_hour: int = 1) -> FloatArray:
    """Values at the middle of each step, from readings at the end of each hour.

    Straight lines between readings; the year is taken as a ring. Shape (8760 * steps_per_hour,).
    With one step an hour this is the mean of the two readings beside the hour.
    """
    part = (np.arange(steps_per_hour) + 0.5) / steps_per_hour
    before = np.roll(readings, 1)
    return (before[:, None] + np.outer(readings - before, part)).ravel()


def monthly(hourly: FloatArray) -> FloatArray:
    """Sums by calendar month of an array of shape (8760,) or (8760, n): shape (12,) or (12, n)."""
    edges = 24 * np.concatenate(([0], np.cumsum(MONTH_DAYS)[:-1]))
    return np.add.reduceat(hourly, edges, axis=0)


def read_weather(path: str | Path, *, cache_dir: str | Path | None = None) -> WeatherYear:
    """Read a TMY3 or EPW file, plain or gzip-compressed.

    Parameters
    ----------
    path : path
        The file; told apart by its content, not its name.
    cache_dir : path or None
        Folder, made when needed, that keeps the parsed year and the sun's course under the hash
        of the file. A stored year that cannot be read is made anew.

    Raises
    ------
    InputError
        Not such a file, or a series with a gap or an impossible value.
    """
    # Reading needs this module's year.
    from calcs.weather_files import parse_weather

    raw = Path(path).read_bytes()
    if cache_dir is None:
        return parse_weather(raw)
    store = Path(cache_dir) / f"{hashlib.sha256(raw).hexdigest()}.npz"
    stored = _load(store)
    if stored is not None:
        return stored
    weather = parse_weather(raw)
    _save(weather, store)
    return weather


def _save(weather: WeatherYear, store: Path) -> None:
    store.parent.mkdir(parents=True, exist_ok=True)
    content = {item.name: np.asarray(getattr(weather, item.name)) for item in fields(weather)}
    content |= {f"sun_{item.name}": getattr(weather.sun, item.name) for item in fields(SunYear)}
    # Written beside and renamed, so that a second process never meets half a file.
    partial = store.with_name(f"{store.name}.{id(weather):x}.partial")
    with partial.open("wb") as stream:
        np.savez_compressed(stream, **content)  # type: ignore[arg-type]  # stub wants one bool
    partial.replace(store)


def _load(store: Path) -> WeatherYear | None:
    try:
        with store.open("rb") as stream, np.load(stream, allow_pickle=False) as content:
            values = {
                item.name: content[item.name][()]
                if content[item.name].ndim
                else content[item.name].item()
                for item in fields(WeatherYear)
            }
            sun = SunYear(**{item.name: content[f"sun_{item.name}"] for item in fields(SunYear)})
    except (OSError, KeyError, ValueError, EOFError, zipfile.BadZipFile):
        return None
    weather = WeatherYear(**values)
    weather.__dict__["sun"] = sun
    return weather
