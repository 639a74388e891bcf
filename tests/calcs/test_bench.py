"""What the timing command measures with: counts, lines and the plain loop's limits."""

from __future__ import annotations

import numpy as np
import pytest

from calcs._assembly import assemble
from calcs.bench import Growth, random_house, speed
from calcs.bench.agreement import Agreement
from calcs.bench.plain import plain_loads
from calcs.errors import InputError
from calcs.fast import groups
from calcs.network import Options
from calcs.thermal import network_for
from calcs.weather import read_weather
from tests.calcs.buildings import GREENSBORO


def test_equal_seeds_give_equal_houses_and_others_differ():
    assert random_house(5) == random_house(5)
    assert random_house(5) != random_house(6)


def test_houses_at_random_cover_the_kinds_of_foundation_and_attic():
    houses = [random_house(seed) for seed in range(60)]

    foundations = {
        (item.foundations[0].kind, item.foundations[0].is_conditioned) for item in houses
    }
    assert len(foundations) == 6
    assert {item.attics[0].kind for item in houses} == {"vented", "unvented", "cathedral", "flat"}
    assert {len(item.cooling) for item in houses} == {0, 1}


def test_a_line_through_times_that_lie_on_one():
    growth = Growth(counts=(1, 2, 5), times_s=(3.0, 5.0, 11.0))

    assert growth.line == pytest.approx((1.0, 2.0))
    assert growth.r_squared == pytest.approx(1.0)


def test_boxes_grow_by_what_they_are_asked_for():
    weather = read_weather(GREENSBORO)
    for walls, unheated in ((8, 0), (70, 0), (8, 3)):
        assembly = assemble(speed.box(walls, unheated), weather, Options())
        reduction = groups.reduce(assembly, Options())
        # No two walls alike: none go as one group.
        assert len(reduction.groups) == walls + 2 * unheated
        assert len(assembly.air.capacity) == 1 + unheated


def test_operations_are_counted_on_the_loop_itself():
    one, two = speed._lane_operations(1), speed._lane_operations(2)
    # A chain's four states alone take 4 x (2 multiply-adds out, 1 decay and 2 in), twice over.
    assert one > 40
    assert two > one
    assembly = assemble(speed.box(10, 0), read_weather(GREENSBORO), Options())
    floor = speed.arithmetic_floor(assembly)
    assert floor.operations == (10 * one + speed.ZONE_OPERATIONS) * (8760 + 24 * 20)
    assert floor.seconds == floor.operations / floor.best_rate_per_s


def test_the_fast_loop_is_quicker_than_the_full_one():
    # Ratios within one run; the machine's own pace cancels.
    weather = read_weather(GREENSBORO)
    times = speed.run_times(network_for(random_house(27), weather), weather, repeat=2)

    assert times.full.cpu_s > 2.0 * times.loop.cpu_s
    assert times.plain.cpu_s > 100.0 * times.loop.cpu_s


def test_the_plain_loop_refuses_what_it_is_not_written_for():
    weather = read_weather(GREENSBORO)
    options = Options(steps_per_hour=4)
    assembly = assemble(speed.box(4, 0), weather, options)
    with pytest.raises(InputError, match="one step an hour"):
        plain_loads(assembly, options, hours=1)


def test_agreement_counts_the_worst_of_four_errors():
    def agreement(**changes):
        values = {
            "seed": 1, "heating_kwh": 10_000.0, "cooling_kwh": 1000.0, "heating_error_kwh": 0.0,
            "cooling_error_kwh": 0.0, "peak_heating_w": 8000.0, "peak_cooling_w": 3000.0,
            "peak_heating_error_w": 0.0, "peak_cooling_error_w": 0.0,
        }  # fmt: skip
        return Agreement(**(values | changes))

    assert agreement().used == 0.0
    assert agreement(heating_error_kwh=-50.0).used == pytest.approx(1.0)
    # 0.1 GJ is 27.8 kWh, more than half a percent of a small load.
    assert agreement(cooling_error_kwh=27.8).used == pytest.approx(1.0, rel=1e-2)
    assert agreement(peak_heating_error_w=80.0).used == pytest.approx(1.0)
    assert agreement(peak_cooling_error_w=100.0).used == pytest.approx(2.0)
    assert np.isfinite(agreement(cooling_kwh=0.0, peak_cooling_w=0.0).used)
