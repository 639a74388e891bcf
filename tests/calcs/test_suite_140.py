"""Thermal fabric cases of ANSI/ASHRAE Standard 140-2020 against the published results.

Ranges: least and greatest of the example results, read (calcs/data/thermal_fabric_2020.json, with
the table of each row). The rows outside are named, so that one that falls out, or comes in, shows.
"""

from __future__ import annotations

import pytest

from calcs._assembly import assemble
from calcs.errors import InputError
from calcs.suites import fabric
from calcs.suites.fabric_building import case_network
from calcs.suites.fabric_cases import CASES
from calcs.suites.rows import Row, published_ranges, value_of
from tests.calcs.buildings import shared_weather

HEATING, COOLING = "annual_heating_mwh", "annual_cooling_mwh"
PEAK_HEATING, PEAK_COOLING = "peak_heating_kw", "peak_cooling_kw"

OUTSIDE = {
    ("195", COOLING),
    ("200", COOLING),
    ("450", COOLING),
    ("195", PEAK_HEATING),
    ("650-600", COOLING),
    ("670-600", COOLING),
    ("630-620", PEAK_COOLING),
    ("995-985", HEATING),
    ("290-270", PEAK_COOLING),
    ("450-600", COOLING),
    ("460-600", COOLING),
    ("470-450", COOLING),
    ("910-610", COOLING),
    ("995-695", COOLING),
    ("900-810", PEAK_HEATING),
    ("910-610", PEAK_HEATING),
    ("980-680", PEAK_HEATING),
    ("995-695", PEAK_HEATING),
    ("610 South", "transmitted_kwh_per_m2"),
}


@pytest.fixture(scope="module")
def all_rows():
    return fabric.run_suite(shared_weather(fabric.WEATHER_FILE))


@pytest.fixture(scope="module")
def rows(all_rows):
    return {(row.case, row.quantity): row for row in all_rows}


@pytest.mark.parametrize("case", ["600", "610", "640", "900", "910", "940", "960"])
@pytest.mark.parametrize("quantity", [HEATING, COOLING])
def test_base_cases_are_inside_their_range(rows, case, quantity):
    row = rows[case, quantity]

    assert row.low <= row.got <= row.high


@pytest.mark.parametrize("pair", ["900-600", "610-600", "680-600", "910-900", "920-900"])
@pytest.mark.parametrize("quantity", [HEATING, COOLING])
def test_differences_isolate_their_effect(rows, pair, quantity):
    row = rows[pair, quantity]

    assert row.low <= row.got <= row.high


def test_every_acceptance_limit_known_is_kept(all_rows):
    limited = fabric.acceptance(all_rows)

    assert len(limited) == 28
    assert [row for row in limited if not row.is_inside] == []


def test_every_published_row_is_worked_out(rows):
    ranges = published_ranges(fabric.RANGES)

    assert len(ranges) == 438
    assert [r for r in ranges if (r.case, r.quantity) not in rows] == []


def test_every_row_outside_its_range_is_known(all_rows):
    outside = {(row.case, row.quantity) for row in all_rows if row.is_inside is False}

    assert outside == OUTSIDE


def test_cases_without_a_published_range_are_run_too(rows):
    bare = {case for (case, quantity), row in rows.items() if row.is_inside is None}

    assert bare >= {"620", "985"}


def test_case_is_named_or_refused():
    assert len(CASES) == 52
    with pytest.raises(InputError, match="there is no case '601'"):
        case_network("601")


def test_air_flows_are_those_of_sea_level_air_at_the_stations_height():
    weather = shared_weather(fabric.WEATHER_FILE)
    assembly = assemble(case_network("600"), weather, fabric.OPTIONS)
    heat_w_per_k = assembly.forcing.air_change[0, 0] * assembly.rho_cp_j_per_m3k

    # 0.414 air changes of 129.6 m³ an hour at 1.2255 kg/m³ (read), 1006 J/kgK.
    assert heat_w_per_k == pytest.approx(0.4145 * 129.6 / 3600.0 * 1.2255 * 1006.0, rel=1e-3)


def test_a_row_is_judged_by_its_ends_included():
    row = Row(case="x", quantity="q", got=2.0, low=1.0, high=2.0)

    assert row.is_inside is True
    assert Row(case="x", quantity="q", got=2.01, low=1.0, high=2.0).is_inside is False
    assert Row(case="x", quantity="q", got=2.0).is_inside is None


def test_a_difference_needs_both_cases():
    results = {"A": {"q": 3.0}, "B": {"q": 1.0, "p": 1.0}}

    assert value_of(results, "A-B", "q") == 2.0
    assert value_of(results, "A-C", "q") is None
    assert value_of(results, "A-B", "p") is None
