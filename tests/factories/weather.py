"""Weather for the tests: the Greensboro typical year that pvlib ships."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pvlib

from calcs.weather import WeatherYear, read_weather


@cache
def greensboro() -> WeatherYear:
    """Typical year of station 723170, read once a session."""
    return read_weather(Path(pvlib.__file__).parent / "data" / "723170TYA.CSV")
