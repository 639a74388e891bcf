"""The residential cases against their acceptance ranges.

Source: ANSI/ASHRAE Standard 140 class II tier 1 cases with the ranges of RESNET Publication
002-2024 (read, as quoted in public test code; calcs/data/residential_suite_2024.json).
"""

from __future__ import annotations

import pytest

from calcs.errors import InputError
from calcs.suites import residential
from calcs.suites.residential_building import case_network
from calcs.suites.residential_cases import CASES
from calcs.suites.rows import published_ranges
from tests.calcs.buildings import shared_weather, steady_weather

HEATING = "annual_heating_mbtu"

OUTSIDE = {
    ("L200AC-L100AC", HEATING),
}


@pytest.fixture(scope="module")
def rows():
    weather = {name: shared_weather(name) for name in residential.WEATHER_FILES}
    return {(row.case, row.quantity): row for row in residential.run_suite(weather)}


def test_every_published_row_is_worked_out(rows):
    ranges = published_ranges(residential.RANGES)

    assert len(ranges) == 42
    assert [r for r in ranges if (r.case, r.quantity) not in rows] == []


def test_every_row_outside_its_range_is_known(rows):
    outside = {key for key, row in rows.items() if row.is_inside is False}

    assert outside == OUTSIDE


def test_cases_without_a_published_range_are_run_too(rows):
    bare = {case for (case, _), row in rows.items() if row.is_inside is None}

    assert bare == {"L155AC", "L155AL", "L202AC", "L202AL"}


def test_overhang_and_paler_walls_act_the_way_they_must(rows):
    got = {key: row.got for key, row in rows.items()}
    cooling = "annual_cooling_mbtu"

    assert got["L155AL", cooling] < got["L150AL", cooling]
    assert got["L155AC", HEATING] > got["L150AC", HEATING]
    assert got["L202AL", cooling] < got["L200AL", cooling]
    assert got["L202AC", HEATING] > got["L200AC", HEATING]


@pytest.mark.parametrize(
    ("component", "btu_per_h_degf"),
    # Published steady check, area over total R: walls 87.9, doors 13.2, ceiling 83.4, floor 108.8.
    [("walls", 87.9), ("doors", 13.2), ("ceiling", 83.4), ("floor", 108.8)],
)
def test_total_resistances_are_the_published_ones(component, btu_per_h_degf):
    films = {"walls": 0.859, "doors": 0.859, "ceiling": 1.53, "floor": 1.22}[component]
    network = case_network("L100A", steady_weather())
    total = sum(
        element.area_m2 / 0.09290304 / (films + element.resistance_m2k_per_w / residential_r())
        for element in network.elements
        if element.component == component
    )

    assert total == pytest.approx(btu_per_h_degf, abs=0.1)


def residential_r():
    return 0.1761101838  # m²·K/W per h·ft²·°F/Btu


def test_openings_leave_the_gross_wall_as_it_is():
    for name in CASES:
        network = case_network(name, steady_weather())
        area = sum(e.area_m2 for e in network.elements if e.component in ("walls", "doors"))
        area += sum(window.area_m2 for window in network.windows)
        assert area / 0.09290304 == pytest.approx(2.0 * (456.0 + 216.0)), name


def test_case_is_named_or_refused():
    with pytest.raises(InputError, match="there is no case 'L999A'"):
        case_network("L999A", steady_weather())
