"""Degree days from daily, monthly and hourly temperatures."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import degree_days
from calcs.errors import InputError


@settings(max_examples=40)
@given(st.lists(st.floats(-30, 40), min_size=1, max_size=60), st.floats(5, 25))
def test_heating_less_cooling_days_is_base_less_mean(temperatures, base):
    heating = degree_days.heating_degree_days(temperatures, base)
    cooling = degree_days.cooling_degree_days(temperatures, base)
    assert heating - cooling == pytest.approx(sum(base - t for t in temperatures), abs=1e-6)


def test_hourly_degree_days_are_never_below_daily():
    hours = np.tile(16 + 6 * np.sin(2 * np.pi * np.arange(24) / 24), (10, 1))
    daily = degree_days.heating_degree_days(hours.mean(axis=1), 17)
    assert degree_days.hourly_heating_degree_days(hours, 17) > daily
    flat = hours.reshape(-1)
    assert degree_days.hourly_heating_degree_days(flat, 17) == pytest.approx(
        degree_days.hourly_heating_degree_days(hours, 17)
    )


@pytest.mark.parametrize("mean", [4.0, 10.0, 16.0])
def test_erbs_constant_agrees_with_the_normal_form(mean):
    # With h = (Tb - T)/(sigma sqrt N) and a = 1.698 the equivalent deviation of daily means is
    # about 0.53 sigma sqrt N, and the two published methods agree within about 2 C days. The
    # other printing, a = 1.698 sqrt N, collapses the spread.
    daily = 0.53 * degree_days.erbs_deviation_k(mean, 8) * 30**0.5
    erbs = degree_days.erbs_heating_degree_days(mean, 8, 30, 18.3)
    normal = degree_days.monthly_heating_degree_days(mean, daily, 30, 18.3)
    assert erbs == pytest.approx(normal, abs=2.5)


def test_erbs_does_not_overflow_far_from_the_base():
    assert degree_days.erbs_heating_degree_days(-20, 3, 30, 18.3) == pytest.approx(
        30 * 38.3, rel=1e-3
    )
    assert degree_days.erbs_heating_degree_days(35, 12, 30, 18.3) == pytest.approx(0, abs=0.5)


def test_uk_rules_cover_the_four_cases():
    def uk(high, low):
        return degree_days.uk_daily_heating_degree_days(high, low, 15.5)

    assert uk(25, 16) == 0
    assert uk(20, 12) == pytest.approx(3.5 / 4)
    assert uk(17, 9) == pytest.approx(6.5 / 2 - 1.5 / 4)
    assert uk(10, 4) == pytest.approx(8.5)
    with pytest.raises(InputError, match="maximum"):
        uk(4, 10)


def test_temperatures_must_be_numbers():
    with pytest.raises(InputError, match="finite"):
        degree_days.heating_degree_days([1.0, np.nan], 18)
    with pytest.raises(InputError, match="at least one"):
        degree_days.cooling_degree_days([], 18)
