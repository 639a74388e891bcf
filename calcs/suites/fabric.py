"""The thermal fabric suite: run its cases, set its published results beside what comes out.

Expected ranges are the spread of the published example results and no proof of truth. Nothing in
the model is fitted to them.
"""

from __future__ import annotations

from collections.abc import Iterable

import numpy as np

from calcs.hourly import HourlyResult, simulate
from calcs.network import Network, Options
from calcs.shading import window_sun
from calcs.sky import sky_temperature_c
from calcs.solar import plane_total
from calcs.suites.fabric_building import BACK, SUN, case_network
from calcs.suites.fabric_cases import CASES, Case
from calcs.suites.rows import Results, Row, published_ranges, set_beside
from calcs.weather import WeatherYear

HEADING = "Thermal fabric cases of ANSI/ASHRAE Standard 140-2020"
RANGES = "thermal_fabric_2020.json"
WEATHER_FILE = "725650-tmy3.csv.gz"  # Denver International Airport, TMY3 725650 (read)
WEATHER_FILES = (WEATHER_FILE,)

# The portal's own set, but in quarter-hours, which set-backs and peaks need.
OPTIONS = Options(steps_per_hour=4)

# Printed for every case, with a published range or without.
ALWAYS = frozenset(
    {"annual_heating_mwh", "annual_cooling_mwh", "peak_heating_kw", "peak_cooling_kw"}
)
PLANES = {
    "Horizontal": (180.0, 0.0), "North": (0.0, 90.0), "East": (90.0, 90.0),
    "South": (180.0, 90.0), "West": (270.0, 90.0),
}  # fmt: skip


def run_suite(
    weather: WeatherYear, names: Iterable[str] | None = None, options: Options | None = None
) -> list[Row]:
    """Run cases and set every published range that they meet beside the result.

    Parameters
    ----------
    weather : WeatherYear
        Of the suite's station, see WEATHER_FILE.
    names : iterable of str or None
        Cases; None for all, with the sun on planes and glass and the sky as well.
    options : Options or None
        One set for all cases; None for OPTIONS.

    Returns
    -------
    list of Row
        Annual, monthly and peak loads, free-floating temperatures, and the differences both of
        whose cases were run.
    """
    options = options or OPTIONS
    results: Results = {}
    for name in CASES if names is None else names:
        results[name] = _quantities(CASES[name], simulate(case_network(name), weather, options))
    if names is None:
        results |= sky_and_sun(weather, options)
    return set_beside(results, published_ranges(RANGES), always=ALWAYS)


def acceptance(rows: Iterable[Row]) -> list[Row]:
    """The same results beside the wider limits of Addendum b, where these are known."""
    got = {(row.case, row.quantity): row.got for row in rows}
    return [
        Row(case=item.case, quantity=item.quantity, got=value, low=item.low, high=item.high)
        for item in published_ranges(RANGES, "acceptance")
        if (value := got.get((item.case, item.quantity))) is not None
    ]


def sky_and_sun(weather: WeatherYear, options: Options) -> Results:
    """Sky temperature, and the sun that falls on planes and passes the cases' glass."""
    sky = sky_temperature_c(weather, options.sky_model)
    results: Results = {
        "600 average": {"sky_c": float(sky.mean())},
        "600 minimum": {"sky_c": float(sky.min())},
        "600 maximum": {"sky_c": float(sky.max())},
    }
    for side, (azimuth, tilt) in PLANES.items():
        total = plane_total(
            weather, azimuth, tilt, options.transposition, options.ground_reflectance
        )
        results[f"600 {side}"] = {"incident_kwh_per_m2": float(total.sum()) / 1000.0}
    for case in ("600", "610", "620", "630", "660", "670"):
        for side in ("South", "West"):
            amounts = _through_glass(case_network(case), PLANES[side][0], weather, options)
            if amounts:
                results[f"{case} {side}"] = {**results.get(f"{case} {side}", {}), **amounts}
    for shaded, bare, side in (("610", "600", "South"), ("630", "620", "West")):
        light = [results[f"{case} {side}"]["transmitted_kwh_per_m2"] for case in (shaded, bare)]
        results[f"{shaded}/{bare} {side}"] = {"shaded_share": 1.0 - light[0] / light[1]}
    return results


def _through_glass(
    network: Network, azimuth_deg: float, weather: WeatherYear, options: Options
) -> dict[str, float]:
    """Sun let in per area of the glass that faces one way, and its share of what falls on it."""
    area = incident = transmitted = 0.0
    for window in network.windows:
        if window.azimuth_deg != azimuth_deg:
            continue
        sun = window_sun(
            window,
            weather,
            ground_reflectance=options.ground_reflectance,
            transposition=options.transposition,
        )
        area += window.area_m2
        light = sun.transmitted_beam + sun.transmitted_diffuse
        transmitted += window.area_m2 * float(light.sum()) / 1000.0
        incident += window.area_m2 * float(sun.incident.sum()) / 1000.0
    if area == 0.0:
        return {}
    return {
        "transmitted_kwh_per_m2": transmitted / area,
        "transmitted_share": transmitted / incident,
    }


def _quantities(case: Case, result: HourlyResult) -> dict[str, float]:
    air = result.zones[SUN if case.has_sun_zone else BACK].air_c
    values: dict[str, float] = {}
    if case.is_free or case.has_sun_zone:
        values |= {
            "free_float_max_c": float(air.max()),
            "free_float_min_c": float(air.min()),
            "free_float_mean_c": float(air.mean()),
        }
    if not case.is_free:
        values |= {
            "annual_heating_mwh": result.heating_kwh / 1000.0,
            "annual_cooling_mwh": result.cooling_kwh / 1000.0,
            "peak_heating_kw": float(result.heating_w.max()) / 1000.0,
            "peak_cooling_kw": float(result.cooling_w.max()) / 1000.0,
        }
        months = np.arange(1, 13)
        zone = result.zones[BACK]
        values |= {f"heating_kwh_{m:02d}": float(zone.monthly_heating_kwh[m - 1]) for m in months}
        values |= {f"cooling_kwh_{m:02d}": float(zone.monthly_cooling_kwh[m - 1]) for m in months}
    return values
