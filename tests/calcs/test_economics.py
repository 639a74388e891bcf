"""Discounting against closed forms, numpy-financial's figures and its own identities."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import economics
from calcs.errors import InputError

RATES = st.floats(0.0, 0.15)


@settings(max_examples=60)
@given(RATES, RATES, st.integers(1, 40))
def test_escalating_factor_is_the_closed_form(d, e, n):
    if abs(d - e) < 1e-4:
        expected = n * ((1 + e) / (1 + d)) ** ((n + 1) / 2)
        tolerance = 1e-3
    else:
        expected = (1 + e) / (d - e) * (1 - ((1 + e) / (1 + d)) ** n)
        tolerance = 1e-8
    got = economics.escalating_present_value_factor(d, e, n)
    assert got == pytest.approx(expected, rel=tolerance)


@settings(max_examples=40)
@given(st.floats(100, 20_000), st.floats(1, 2_000), RATES, st.integers(1, 40))
def test_sir_npv_and_value_agree(cost, savings, d, n):
    npv = economics.net_present_value(cost, savings, discount=d, life_years=n)
    sir = economics.savings_to_investment_ratio(cost, savings, discount=d, life_years=n)
    assert npv == pytest.approx(cost * (sir - 1), abs=1e-6 * cost)


def test_figures_of_numpy_financial():
    # numpy_financial 1.0: irr and npv of -1500 and 120 x 1.01^k, k = 1 to 20
    assert economics.internal_rate_of_return(1500, 120, 20, escalation=0.01) == pytest.approx(
        0.06013962097447112, rel=1e-9
    )
    assert economics.savings_present_value(
        120, discount=0.03, escalation=0.01, life_years=20
    ) == pytest.approx(1965.926777849802, rel=1e-12)


@settings(max_examples=40)
@given(st.floats(100, 20_000), st.floats(10, 5_000), st.integers(1, 40))
def test_net_value_is_zero_at_the_internal_rate(cost, savings, n):
    rate = economics.internal_rate_of_return(cost, savings, n)
    if rate is not None and rate > -0.9:
        value = economics.net_present_value(cost, savings, discount=rate, life_years=n)
        assert value == pytest.approx(0, abs=1e-5 * cost)


def test_sir_of_0_999_still_fails():
    sir = economics.savings_to_investment_ratio(999.5, 999.0, discount=0.0, life_years=1)
    assert round(sir, 2) == 1.0
    assert sir < economics.MINIMUM_SIR


def test_nothing_saved_has_no_payback_and_no_rate():
    assert economics.simple_payback_years(100, 0) is None
    assert economics.simple_payback_years(100, -5) is None
    assert economics.internal_rate_of_return(100, -5, 10) is None
    assert economics.discounted_payback_years(1e6, 10, discount=0.03) is None
    assert economics.discounted_payback_years(0, 10, discount=0.03) == 0


def test_discounted_payback_is_never_before_the_simple_one():
    simple = economics.simple_payback_years(1500, 120)
    assert economics.discounted_payback_years(1500, 120, discount=0.03) >= simple


def test_mid_year_is_worth_more_than_year_end():
    end = economics.escalating_present_value_factor(0.1, 0.07, 25)
    assert economics.escalating_present_value_factor(0.1, 0.07, 25, is_mid_year=True) > end


def test_free_rider_incentives_remain_a_total_resource_cost():
    # 2007 clarification: 1311.5/(1700 + 0.2 x 500) = 0.729, worked example
    case = economics.ProgramCase(2000, 500, 100, 200, 1.5, 0.9, 15, 0.07, 0.8)
    ratio = economics.total_resource_test(case, has_free_rider_incentives=True).ratio
    assert ratio == pytest.approx(0.729, abs=5e-4)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: economics.present_value_factor(0.03, 0), "years"),
        (lambda: economics.present_value_factor(0.03, 2.5), "whole number"),
        (lambda: economics.present_value_factor(-1.0, 5), "discount rate"),
        (lambda: economics.present_value_factor(float("nan"), 5), "finite"),
        (
            lambda: economics.savings_to_investment_ratio(0, 10, discount=0.03, life_years=5),
            "cost",
        ),
        (lambda: economics.package_sir([], [], [], discount=0.03), "each measure"),
    ],
)
def test_refusals_name_what_is_wrong(call, words):
    with pytest.raises(InputError, match=words):
        call()
