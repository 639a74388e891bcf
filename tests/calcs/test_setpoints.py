"""Thermostats by the hour."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs.errors import InputError
from calcs.inputs import Thermostat
from calcs.setpoints import cooling_setpoints, heating_setpoints
from tests.calcs.buildings import steady_weather
from tests.factories.houses import ranch_1958

COLD, WARM = steady_weather(dry_bulb_c=2.0), steady_weather(dry_bulb_c=26.0)


def with_control(**changes):
    return replace(ranch_1958(), thermostat=Thermostat(**changes))


def test_setback_holds_through_the_night_and_ends_at_six():
    points = heating_setpoints(
        with_control(heating_c=21.0, heating_setback_k=4.0, setback_hours_per_day=8.0), COLD
    )[:24]
    assert (points[:6] == 17.0).all()
    assert (points[22:] == 17.0).all()
    assert (points[6:22] == 21.0).all()


@settings(max_examples=40, deadline=None)
@given(st.floats(0.0, 12.0), st.floats(0.0, 19.0), st.floats(0.0, 1.0))
def test_longer_or_deeper_setback_is_never_warmer(depth, hours, more):
    base = {"heating_c": 21.0, "heating_setback_k": depth, "setback_hours_per_day": hours}
    points = heating_setpoints(with_control(**base), COLD)
    longer = heating_setpoints(with_control(**base | {"setback_hours_per_day": hours + more}), COLD)
    assert (longer <= points + 1e-12).all()
    mean_drop = 21.0 - points.mean()
    assert mean_drop == pytest.approx(depth * hours / 24.0, abs=1e-9)


def test_schedule_of_hours_goes_first():
    hours = tuple(16.0 if hour < 6 else 20.0 for hour in range(24))
    house = with_control(heating_by_hour_c=hours, cooling_by_hour_c=(26.0,) * 24)
    assert tuple(heating_setpoints(house, COLD)[:24]) == hours
    assert (cooling_setpoints(house, WARM)[:24] == 26.0).all()


def test_cooling_never_fights_heating():
    house = with_control(heating_c=24.0, cooling_c=23.0)
    assert (cooling_setpoints(house, WARM) >= 24.5).all()


@pytest.mark.parametrize("hours", [(20.0,) * 23, (40.0,) * 24, ("20",) * 24])
def test_bad_schedule_is_named(hours):
    with pytest.raises(InputError, match="heating_by_hour_c"):
        Thermostat(heating_by_hour_c=hours)


def test_nobody_heats_a_warm_month_or_cools_a_cold_one():
    assert (heating_setpoints(with_control(), WARM) < -50.0).all()
    assert (cooling_setpoints(with_control(), COLD) > 100.0).all()


def test_southern_summer_is_january():
    days = np.arange(8760) // 24
    south = steady_weather(dry_bulb_c=14.0 + 10.0 * np.cos(2 * np.pi * (days - 20) / 365.0))
    points = heating_setpoints(with_control(), south)
    assert points[12] < 0.0
    assert points[24 * 195] > 15.0
