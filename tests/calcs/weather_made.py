"""Weather files made for tests: an EPW out of a typical year, and ways to spoil one."""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from calcs.weather import MONTH_DAYS, WeatherYear, read_weather
from tests.calcs.buildings import GREENSBORO


@lru_cache(maxsize=1)
def greensboro_year() -> WeatherYear:
    return read_weather(GREENSBORO)


@lru_cache(maxsize=1)
def tmy3_lines() -> tuple[str, ...]:
    return tuple(GREENSBORO.read_text().splitlines())


def tmy3(change=None) -> bytes:
    """Greensboro's file, its lines changed."""
    lines = list(tmy3_lines())
    if change is not None:
        lines = change(lines) or lines
    return ("\r\n".join(lines) + "\r\n").encode()


def cell(line: int, column: int, value: str):
    """A change of one cell; lines count from 1 as in messages."""

    def change(lines: list[str]) -> None:
        # No quoted commas below the head.
        cells = lines[line - 1].split(",")
        cells[column] = value
        lines[line - 1] = ",".join(cells)

    return change


def epw(
    *, latitude=36.1, longitude=-79.95, zone=-5.0, elevation=273.0, roll_h=0, leap=False, **series
) -> bytes:
    """An EPW of Greensboro's numbers, moved by hours or with other series."""
    year = greensboro_year()
    head = [
        f"LOCATION,Piedmont,NC,USA,made,723170,{latitude},{longitude},{zone},{elevation}",
        "DESIGN CONDITIONS,0",
        "TYPICAL/EXTREME PERIODS,0",
        "GROUND TEMPERATURES,0",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,made",
        "COMMENTS 2,made",
        "DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31",
    ]

    def values(name: str, factor: float = 1.0) -> np.ndarray:
        found = series.get(name, getattr(year, name))
        return np.roll(np.asarray(found, dtype=float) * np.ones(8760) / factor, roll_h)

    dry, dew = values("dry_bulb_c"), values("dew_point_c")
    pressure, wind = values("pressure_pa"), values("wind_m_per_s")
    ghi, dni, dhi = (values(f"{name}_w_per_m2") for name in ("ghi", "dni", "dhi"))
    cloud = values("opaque_cloud", 0.1)
    rows, position = [], 0
    for month, days in enumerate(MONTH_DAYS, start=1):
        for day in range(1, days + (2 if leap and month == 2 else 1)):
            for hour in range(1, 25):
                at = min(position, 8759)
                cells = ["2001", str(month), str(day), str(hour), "60", "?"] + ["0"] * 29
                cells[6], cells[7], cells[8] = f"{dry[at]:g}", f"{dew[at]:g}", "50"
                cells[9] = f"{pressure[at]:.0f}"
                cells[13], cells[14], cells[15] = f"{ghi[at]:g}", f"{dni[at]:g}", f"{dhi[at]:g}"
                cells[21], cells[22], cells[23] = f"{wind[at]:g}", "5", f"{cloud[at]:g}"
                rows.append(",".join(cells))
                position += 1
    return "\n".join([*head, *rows]).encode()
