"""The residential suite: a house at a cold and a hot station, loads against acceptance ranges.

Heating is judged at the cold station (suffix C), sensible cooling at the hot one (suffix L), with
the differences between cases.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from calcs.hourly import simulate
from calcs.network import Options
from calcs.suites.residential_building import case_network
from calcs.suites.residential_cases import CASES, COLD_ONLY
from calcs.suites.rows import Results, Row, published_ranges, set_beside
from calcs.weather import WeatherYear

HEADING = "The residential suite"
RANGES = "residential_suite_2024.json"
COLD, HOT = "724660-tmy3.csv.gz", "723860-tmy3.csv.gz"  # Colorado Springs and Las Vegas (read)
WEATHER_FILES = (COLD, HOT)
MBTU_PER_KWH = 3412.142 / 1e6

# The portal's own set, but in quarter-hours.
OPTIONS = Options(steps_per_hour=4)

ALWAYS = frozenset({"annual_heating_mbtu", "annual_cooling_mbtu"})


def run_suite(
    weather: Mapping[str, WeatherYear],
    names: Iterable[str] | None = None,
    options: Options | None = None,
) -> list[Row]:
    """Run cases and set every published range that they meet beside the result.

    Parameters
    ----------
    weather : mapping of str to WeatherYear
        The two stations by the names in WEATHER_FILES.
    names : iterable of str or None
        Cases, without the station's letter; None for all.
    options : Options or None
        One set for all cases; None for OPTIONS.
    """
    options = options or OPTIONS
    results: Results = {}
    for name in CASES if names is None else names:
        cold = simulate(case_network(name, weather[COLD]), weather[COLD], options)
        results[f"{name}C"] = {"annual_heating_mbtu": cold.heating_kwh * MBTU_PER_KWH}
        if name in COLD_ONLY:
            continue
        hot = simulate(case_network(name, weather[HOT]), weather[HOT], options)
        results[f"{name}L"] = {"annual_cooling_mbtu": hot.cooling_kwh * MBTU_PER_KWH}
    return set_beside(results, published_ranges(RANGES), always=ALWAYS)
