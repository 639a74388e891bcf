"""Fits find what made the bills, agree with independent libraries, and refuse what is none."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.optimize import curve_fit

from calcs import bills
from calcs.bills.fit import COOLING_BASES_C, HEATING_BASES_C, Series, fit_form
from calcs.bills.outcome import standing_out
from calcs.bills.reads import Read, clean
from calcs.daily_weather import DailyWeather, NormalMonth
from calcs.errors import InputError

MONTHS = [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
DAY = np.arange(1, 366)
DAILY_C = 13 - 12 * np.cos(2 * np.pi * (DAY - 20) / 365) + 3 * np.sin(2 * np.pi * DAY / 7.3)
FIRST = date(2025, 1, 1)
WEATHER = DailyWeather(name="made up", source="closed form", first_on=FIRST, mean_c=DAILY_C)
NORMAL = [NormalMonth(temperatures_c=DAILY_C, days=365.0)]


def daily_use(base, heat=0.0, below=16.0, cool=0.0, above=20.0):
    return base + heat * np.maximum(0, below - DAILY_C) + cool * np.maximum(0, DAILY_C - above)


def totals(use):
    return np.add.reduceat(use, np.concatenate(([0], np.cumsum(MONTHS)[:-1])))


def series(use):
    return bills.series_of_daily(totals(use), MONTHS, DAILY_C)


def reads_of(use, edges=None, **changes):
    """One read a month of a daily use that starts on FIRST."""
    edges = np.cumsum([0, *MONTHS]) if edges is None else edges
    return [
        Read(
            starts_on=FIRST + timedelta(days=int(a)), ends_on=FIRST + timedelta(days=int(b)),
            quantity=float(use[a:b].sum()), **changes,
        )
        for a, b in pairwise(edges)
    ]  # fmt: skip


def outcome(reads, **settings):
    chosen = {"fuel": "electricity", "unit": "kWh", "normal": NORMAL} | settings
    return bills.fit_bills(clean(reads), chosen.pop("weather", WEATHER), **chosen)


@settings(max_examples=20, deadline=None)
@given(st.floats(0.1, 5), st.floats(0.05, 2), st.sampled_from(HEATING_BASES_C[5:22]))
def test_heating_fit_finds_what_made_the_bills(base, slope, below):
    use = daily_use(base, slope, below)
    choice = bills.choose_form(series(use))
    assert choice.fit is not None
    assert choice.fit.form == "heating"
    assert choice.fit.heating_base_c == below
    assert choice.fit.base_per_day == pytest.approx(base, rel=1e-6)
    assert choice.fit.heating_slope == pytest.approx(slope, rel=1e-6)
    assert choice.fit.normal_year(NORMAL).annual == pytest.approx(use.sum(), rel=1e-9)
    assert choice.fit.remarks == ()


@settings(max_examples=10, deadline=None)
@given(st.floats(5, 30), st.floats(0.5, 3), st.floats(0.5, 3))
def test_heating_and_cooling_are_told_apart(base, heat, cool):
    below, above = HEATING_BASES_C[12], COOLING_BASES_C[18]
    use = daily_use(base, heat, below, cool, above)
    choice = bills.choose_form(series(use))
    assert choice.fit is not None
    assert choice.fit.form == "heating_cooling"
    assert (choice.fit.heating_base_c, choice.fit.cooling_base_c) == (below, above)
    assert choice.fit.cooling_slope == pytest.approx(cool, rel=1e-6)


def test_a_term_has_to_earn_its_place():
    # Ten years of noise without weather: the heating and cooling forms fit better by a hair.
    rng = np.random.default_rng(4)
    taken = []
    for _ in range(10):
        use = daily_use(20.0)
        month = totals(use) * rng.normal(1, 0.06, 12)
        choice = bills.choose_form(bills.series_of_daily(month, MONTHS, DAILY_C))
        assert choice.fit is not None
        best = max(choice.tried, key=lambda item: item.r_squared)
        assert best.form != "base"
        taken.append(choice.fit.form)
    assert taken.count("base") >= 8


def test_only_cooling_is_cooling():
    choice = bills.choose_form(series(daily_use(12, cool=1.5)))
    assert choice.fit is not None
    assert choice.fit.form == "cooling"


def noisy(seed=7):
    use = daily_use(0.8, 0.16, HEATING_BASES_C[16])
    rng = np.random.default_rng(seed)
    return bills.series_of_daily(totals(use) * rng.normal(1, 0.05, 12), MONTHS, DAILY_C)


def test_linear_part_agrees_with_statsmodels():
    # statsmodels 0.15, ordinary least squares at the same reference temperature.
    data = noisy()
    fit = fit_form(data, "heating")
    x = data.heating([fit.heating_base_c])[0]
    other = sm.OLS(data.use_per_day, sm.add_constant(x)).fit()
    assert (fit.base_per_day, fit.heating_slope) == pytest.approx(tuple(other.params), rel=1e-9)
    assert (fit.base_error, fit.heating_slope_error) == pytest.approx(tuple(other.bse), rel=1e-8)
    assert fit.r_squared == pytest.approx(other.rsquared, rel=1e-9)
    assert fit.rmse_per_day == pytest.approx(np.sqrt(other.mse_resid), rel=1e-9)


def test_both_slopes_and_the_error_of_a_normal_year_agree_with_statsmodels():
    # At fixed reference temperatures the year is a linear combination: statsmodels' own test of
    # it gives value and standard error.
    below, above = HEATING_BASES_C[12], COOLING_BASES_C[18]
    rng = np.random.default_rng(2)
    month = totals(daily_use(14, 1.1, below, 0.9, above)) * rng.normal(1, 0.04, 12)
    data = bills.series_of_daily(month, MONTHS, DAILY_C)
    fit = fit_form(data, "heating_cooling", heating_bases_c=[below], cooling_bases_c=[above])
    columns = [data.heating([below])[0], data.cooling([above])[0]]
    other = sm.OLS(data.use_per_day, sm.add_constant(np.stack(columns, axis=1))).fit()
    assert (fit.base_per_day, fit.heating_slope, fit.cooling_slope) == pytest.approx(
        tuple(other.params), rel=1e-9
    )
    year = fit.normal_year(NORMAL)
    weights = [365, np.maximum(0, below - DAILY_C).sum(), np.maximum(0, DAILY_C - above).sum()]
    tested = other.t_test(weights)
    assert year.annual == pytest.approx(float(tested.effect[0]), rel=1e-9)
    assert year.standard_error == pytest.approx(float(tested.sd[0, 0]), rel=1e-8)


def test_uneven_periods_are_weighted_by_days_as_statsmodels_does():
    use = daily_use(1.0, 0.2, HEATING_BASES_C[15])
    days = [31, 59, 30, 31, 30, 92, 30, 31, 31]
    rng = np.random.default_rng(1)
    edges = np.concatenate(([0], np.cumsum(days)[:-1]))
    data = bills.series_of_daily(
        np.add.reduceat(use, edges) * rng.normal(1, 0.04, 9), days, DAILY_C
    )
    fit = fit_form(data, "heating")
    x = sm.add_constant(data.heating([fit.heating_base_c])[0])
    other = sm.WLS(data.use_per_day, x, weights=days).fit()
    assert (fit.base_per_day, fit.heating_slope) == pytest.approx(tuple(other.params), rel=1e-9)
    assert fit.heating_slope_error == pytest.approx(other.bse[1], rel=1e-8)


def test_a_wild_bill_stands_out_as_statsmodels_sees_it():
    # statsmodels' externally studentized residual at the reference temperature of the other
    # bills; ours counts the error of that temperature too, so it judges no harsher.
    data = noisy()
    use = data.use_per_day.copy()
    use[3] *= 1.6
    bad = Series(use_per_day=use, days=data.days, temperatures_c=data.temperatures_c)
    rest = fit_form(bad.without([3]), "heating")
    x = sm.add_constant(bad.heating([rest.heating_base_c])[0])
    student = np.abs(sm.OLS(use, x).fit().get_influence().resid_studentized_external)
    assert student.argmax() == 3
    assert student[3] > 5
    assert standing_out(fit_form(bad, "heating"), bad) == [3]
    assert student[np.arange(12) != 3].max() < 3
    assert standing_out(fit_form(data, "heating"), data) == []


def test_reference_temperature_is_that_of_a_nonlinear_solver_and_so_is_the_error():
    # scipy's curve_fit moves the reference temperature freely; ours stands on whole °F. The
    # standard error of the normal year counts the reference temperature on both sides.
    data = noisy(11)

    def line(_index, base, slope, below):
        return base + slope * data.heating([below])[0]

    fit = fit_form(data, "heating")
    start = (fit.base_per_day, fit.heating_slope, fit.heating_base_c)
    found, covariance = curve_fit(line, np.arange(12), data.use_per_day, p0=start)
    assert fit.heating_base_c == pytest.approx(found[2], abs=0.6)  # half of a °F and a flat valley
    step = np.array([1e-4, 1e-4, 1e-3])
    year = fit.normal_year(NORMAL)

    def annual(values):
        base, slope, below = values
        return 365 * base + slope * np.maximum(0, below - DAILY_C).sum()

    gradient = np.array([
        (annual(found + step * unit) - annual(found - step * unit)) / (2 * size)
        for unit, size in zip(np.eye(3), step, strict=True)
    ])  # fmt: skip
    error = np.sqrt(gradient @ covariance @ gradient)
    assert year.annual == pytest.approx(annual(found), rel=2e-3)
    assert year.standard_error == pytest.approx(error, rel=0.1)


def test_the_stated_error_is_that_of_repeated_years():
    # Monte Carlo: the spread of 150 refitted years against the error one fit states of itself.
    use = totals(daily_use(0.8, 0.16, HEATING_BASES_C[16]))
    rng = np.random.default_rng(3)
    years, stated = [], []
    for _ in range(150):
        data = bills.series_of_daily(use + rng.normal(0, 4.0, 12), MONTHS, DAILY_C)
        year = fit_form(data, "heating").normal_year(NORMAL)
        years.append(year.annual)
        stated.append(year.standard_error)
    assert np.median(stated) == pytest.approx(np.std(years), rel=0.25)
    assert np.mean(years) == pytest.approx(use.sum(), rel=0.005)


def test_base_load_below_zero_is_flagged_and_not_clipped():
    data = series(daily_use(-0.5, 0.3, HEATING_BASES_C[16]))
    fit = fit_form(data, "heating")
    assert fit.base_per_day == pytest.approx(-0.5)
    assert "negative_base" in fit.remarks
    choice = bills.choose_form(data, forms=("heating",))
    assert choice.fit is None
    assert choice.tried[0].impossible == "negative_base"


def test_use_that_grows_with_warmth_is_no_heating():
    fit = fit_form(series(daily_use(20, -0.3)), "heating")
    assert "negative_slope" in fit.remarks
    found = outcome(reads_of(daily_use(20, -0.9)), fuel="natural_gas", unit="therms")
    assert found.refusal is not None
    assert found.fit is None


def test_a_colder_normal_year_asks_for_more():
    fit = fit_form(series(daily_use(1, 0.3)), "heating")
    colder = fit.normal_year([NormalMonth(temperatures_c=DAILY_C - 2, days=365.0)])
    assert colder.annual > fit.normal_year(NORMAL).annual


@pytest.mark.parametrize(
    ("use", "days", "daily", "words"),
    [
        ([1, 2, 3], [30, 30, 30], np.zeros(90), "at least 6 bills"),
        ([1] * 6, [30] * 5, np.zeros(180), "one number of days"),
        ([1] * 6, [30] * 6, np.zeros(179), "cover 180 days"),
        ([1] * 6, [30, 30, 30, 30, 30, 0], np.zeros(150), "at least 1 day"),
        ([1] * 6, [30] * 6, np.full(180, np.nan), "finite temperatures"),
        ([np.inf] * 6, [30] * 6, np.zeros(180), "finite numbers"),
        ([1] * 6, [30] * 6, np.full(180, 30.0), "no heating degree days"),
    ],
)
def test_a_fit_refuses(use, days, daily, words):
    with pytest.raises(InputError, match=words):
        fit_form(bills.series_of_daily(use, days, daily), "heating")
    with pytest.raises(InputError, match="unknown form"):
        fit_form(noisy(), "parabola")


def test_bias_is_measured_minus_modeled():
    assert bills.nmbe_pct([10, 10], [8, 8], parameters=0) == pytest.approx(20)
    assert bills.cv_rmse_pct([10, 10], [8, 12], parameters=0) == pytest.approx(20)
    with pytest.raises(InputError, match="more than 2 periods"):
        bills.cv_rmse_pct([10, 10], [8, 12], parameters=2)
    with pytest.raises(InputError, match="same length"):
        bills.nmbe_pct([1, 2], [1])


def test_small_savings_are_over_100_percent_uncertain_and_that_is_a_result():
    value = bills.fractional_savings_uncertainty(
        t=1.8, cv_rmse_fraction=0.2, points_before=12, points_after=12, savings_fraction=0.02
    )
    assert value > 1


def test_autocorrelation_widens_the_uncertainty():
    def uncertainty(rho):
        return bills.fractional_savings_uncertainty(
            t=1.65, cv_rmse_fraction=0.2, points_before=365, points_after=365,
            savings_fraction=0.1, autocorrelation=rho,
        )  # fmt: skip

    assert uncertainty(0.5) > uncertainty(0.0)


# -- What bills say, from reads on ---------------------------------------------------------------


def codes(found):
    return {flag.code for flag in found.flags}


def test_read_dates_that_are_no_calendar_months_are_fitted_by_their_own_days():
    edges = [0, 20, 53, 85, 113, 148, 176, 210, 239, 272, 300, 333, 365]
    use = daily_use(0.7, 0.15, HEATING_BASES_C[14])
    found = outcome(reads_of(use, edges), fuel="natural_gas", unit="therms")
    assert found.fit is not None
    assert found.fit.cv_rmse_pct < 1e-6
    assert found.normal_annual == pytest.approx(use.sum())
    assert found.within == ("guideline_14", "bpi_2400")
    assert found.refusal is None


def test_weather_of_another_year_fits_worse():
    # The same dates, the weather of a year that began half a season later.
    use = daily_use(0.7, 0.15)
    other = DailyWeather(
        name="other", source="", first_on=FIRST, mean_c=np.roll(DAILY_C, 45), is_synthetic=True
    )
    right, wrong = (outcome(reads_of(use), weather=w) for w in (WEATHER, other))
    assert right.fit is not None
    assert wrong.fit is None or wrong.fit.r_squared < right.fit.r_squared - 0.1
    assert "synthetic_weather" in codes(wrong)
    assert wrong.is_synthetic
    assert "synthetic_weather" not in codes(right)


def test_bills_that_do_not_follow_the_weather_are_refused_with_the_reason():
    rng = np.random.default_rng(0)
    found = outcome(reads_of(daily_use(20) * rng.uniform(0.2, 2.0, 12).repeat(MONTHS)))
    assert found.fit is None
    assert found.refusal is not None
    assert found.refusal.code == "does_not_follow_weather"
    assert found.refusal.facts["cv_rmse_pct"] > found.refusal.facts["limit_cv_rmse_pct"]
    assert all(item.modeled is None for item in found.periods)


@pytest.mark.parametrize(
    ("reads", "settings", "code"),
    [
        (reads_of(daily_use(1))[:4], {}, "too_few_bills"),
        (reads_of(daily_use(0.0)), {}, "nothing_used"),
        (reads_of(daily_use(1)), {"fuel": "propane", "unit": "gal"}, "fills_are_not_use"),
        (
            reads_of(daily_use(1)),
            {"weather": DailyWeather(name="", source="", first_on=FIRST, mean_c=DAILY_C[:60])},
            "no_weather",
        ),
        (reads_of(daily_use(20, 1.2) - daily_use(20, 1.2).mean()), {}, "net_use_near_zero"),
    ],
)
def test_refusals_name_their_reason(reads, settings, code):
    found = outcome(reads, **settings)
    assert found.fit is None
    assert found.refusal is not None
    assert found.refusal.code == code


def test_a_day_without_weather_takes_the_mean_of_the_rest_and_many_leave_the_bill_out():
    gaps = DAILY_C.copy()
    gaps[3], gaps[100:115] = np.nan, np.nan
    holed = DailyWeather(name="", source="", first_on=FIRST, mean_c=gaps)
    found = outcome(reads_of(daily_use(0.7, 0.15)), weather=holed)
    assert found.periods[0].flags == ("weather_incomplete",)
    assert found.periods[0].modeled is not None
    assert found.periods[3].flags == ("no_weather",)
    assert found.periods[3].modeled is None
    assert found.fit is not None
    assert found.fit.periods == 11


def test_net_metering_without_own_meter_may_go_below_zero():
    sun = 12 - 10 * np.cos(2 * np.pi * (DAY - 172 + 182) / 365)
    use = daily_use(24, 1.3, HEATING_BASES_C[14])
    net = outcome(reads_of(use - 1.6 * sun))
    assert "net_metered" in codes(net)
    produced = [
        Read(**{**vars(read), "produced": float(made)})
        for read, made in zip(reads_of(use - 1.6 * sun), totals(1.6 * sun), strict=True)
    ]
    gross = outcome(produced)
    assert "own_production_added_back" in codes(gross)
    assert "net_metered" not in codes(gross)
    assert gross.fit is not None
    assert gross.fit.heating_slope == pytest.approx(1.3)


def test_a_low_user_is_held_to_the_meter_not_to_percents():
    # Four therms a month, read in whole therms: rounding alone is more than 15 %.
    use = totals(daily_use(0.09, 0.012, HEATING_BASES_C[12]))
    reads = [Read(**{**vars(r), "quantity": float(round(q))})
             for r, q in zip(reads_of(daily_use(1)), use, strict=True)]  # fmt: skip
    found = outcome(reads, fuel="natural_gas", unit="therms", resolution=1.0)
    assert "low_use" in codes(found)
    assert found.fit is not None
    assert found.normal_annual == pytest.approx(use.sum(), rel=0.1)


def test_less_than_a_year_is_flagged():
    found = outcome(reads_of(daily_use(1, 0.2))[:8])
    assert "less_than_a_year" in codes(found)


def test_a_bill_that_stands_out_is_flagged_and_kept():
    reads = reads_of(daily_use(1, 0.2))
    rng = np.random.default_rng(5)
    reads = [Read(**{**vars(r), "quantity": r.quantity * rng.normal(1, 0.02)}) for r in reads]
    reads[2] = Read(**{**vars(reads[2]), "quantity": reads[2].quantity * 0.3})
    found = outcome(reads)
    assert found.periods[2].flags == ("stands_out",)
    assert found.periods[2].modeled is not None
    assert sum("stands_out" in item.flags for item in found.periods) == 1
