"""Bills: a fit finds what made them; real houses; degree days."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import billing, degree_days
from calcs.errors import InputError

MONTHS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
DAY = np.arange(1, 366)
DAILY_C = 10 - 12 * np.cos(2 * np.pi * (DAY - 20) / 365) + 3 * np.sin(2 * np.pi * DAY / 7.3)


def _bills(base_load, slope, base_c):
    use = base_load + slope * np.maximum(0, base_c - DAILY_C)
    edges = np.concatenate(([0], np.cumsum(MONTHS)[:-1]))
    return np.add.reduceat(use, edges)


@settings(max_examples=25, deadline=None)
@given(st.floats(0.1, 5), st.floats(0.05, 2), st.sampled_from([12.0, 14.5, 17.0, 18.5]))
def test_fit_finds_what_made_the_bills(base_load, slope, base_c):
    bills = _bills(base_load, slope, base_c)
    fit = billing.fit_heating_bills(bills, MONTHS, DAILY_C)
    assert fit.heating_base_c == base_c
    assert fit.base_per_day == pytest.approx(base_load, rel=1e-6)
    assert fit.slope_per_k_day == pytest.approx(slope, rel=1e-6)
    assert fit.normal_annual == pytest.approx(bills.sum(), rel=1e-9)
    assert fit.remarks == ()


def test_base_load_below_zero_is_flagged_and_not_clipped():
    fit = billing.fit_heating_bills(_bills(-0.5, 0.3, 16), MONTHS, DAILY_C, base_c=16)
    assert fit.base_per_day == pytest.approx(-0.5)
    assert "negative_base" in fit.remarks


def test_use_that_grows_with_warmth_is_flagged():
    fit = billing.fit_heating_bills(_bills(20, -0.3, 16), MONTHS, DAILY_C, base_c=16)
    assert "negative_slope" in fit.remarks


def test_normal_year_moves_the_annual_use():
    colder = billing.fit_heating_bills(
        _bills(1, 0.3, 16), MONTHS, DAILY_C, normal_daily_c=DAILY_C - 2
    )
    same = billing.fit_heating_bills(_bills(1, 0.3, 16), MONTHS, DAILY_C)
    assert colder.normal_annual > same.normal_annual


def test_daily_order_matters_not_only_the_sum():
    wrong = np.roll(DAILY_C, 90)
    fit = billing.fit_heating_bills(_bills(1, 0.3, 16), MONTHS, wrong)
    assert fit.r_squared < 0.9


@pytest.mark.parametrize(
    ("bills", "days", "daily", "words"),
    [
        ([1, 2, 3], [30, 30, 30], np.zeros(90), "at least 5 bills"),
        ([1] * 5, [30] * 4, np.zeros(150), "one number of days"),
        ([1] * 5, [30] * 5, np.zeros(149), "cover 150 days"),
        ([1] * 5, [30, 30, 30, 30, 0], np.zeros(120), "at least 1 day"),
        ([1] * 5, [30] * 5, np.full(150, np.nan), "finite"),
        ([1] * 5, [30] * 5, np.full(150, 30.0), "no heating degree days"),
    ],
)
def test_fit_refuses(bills, days, daily, words):
    with pytest.raises(InputError, match=words):
        billing.fit_heating_bills(bills, days, daily)


def test_bias_is_measured_minus_modeled():
    assert billing.nmbe_pct([10, 10], [8, 8], parameters=0) == pytest.approx(20)
    assert billing.cv_rmse_pct([10, 10], [8, 12], parameters=0) == pytest.approx(20)
    with pytest.raises(InputError, match="more than 2 periods"):
        billing.cv_rmse_pct([10, 10], [8, 12], parameters=2)
    with pytest.raises(InputError, match="same length"):
        billing.nmbe_pct([1, 2], [1])


def test_small_savings_are_over_100_percent_uncertain_and_that_is_a_result():
    value = billing.fractional_savings_uncertainty(
        t=1.8, cv_rmse_fraction=0.2, points_before=12, points_after=12, savings_fraction=0.02
    )
    assert value > 1


def test_autocorrelation_widens_the_uncertainty():
    def fsu(rho):
        return billing.fractional_savings_uncertainty(
            t=1.65, cv_rmse_fraction=0.2, points_before=365, points_after=365,
            savings_fraction=0.1, autocorrelation=rho,
        )  # fmt: skip

    assert fsu(0.5) > fsu(0.0)


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
