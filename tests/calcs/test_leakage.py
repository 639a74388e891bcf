"""Blower door arithmetic against hand-worked values and the physics it must respect."""

from __future__ import annotations

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import handbook_infiltration as infiltration
from calcs import leakage
from calcs.errors import InputError
from calcs.unit_factors import M3_PER_S_PER_CFM as CFM

PRESSURES = [60.0, 50.0, 40.0, 30.0, 20.0, 15.0]
NOISY = [q * CFM for q in (1574, 1405, 1201, 1011, 765, 641)]


def _series(coefficient: float, exponent: float) -> list[float]:
    return [coefficient * p**exponent for p in PRESSURES]


@settings(max_examples=40)
@given(st.floats(0.005, 0.5), st.floats(0.5, 1.0))
def test_fit_recovers_the_power_law_it_was_given(coefficient, exponent):
    fit = leakage.fit_power_law(PRESSURES, _series(coefficient, exponent))
    assert fit.exponent == pytest.approx(exponent, rel=1e-9)
    assert fit.coefficient_m3_per_s_pa_n == pytest.approx(coefficient, rel=1e-8)
    assert fit.r_squared == pytest.approx(1.0)
    assert fit.flow50_half_width_pct == pytest.approx(0.0, abs=1e-4)


def test_one_reading_spreads_more_than_the_line():
    fit = leakage.fit_power_law(PRESSURES, NOISY)
    assert fit.reading50_half_width_pct > fit.flow50_half_width_pct > 0
    assert fit.points == 6


def test_interval_of_the_exponent_by_hand():
    # scipy.stats.linregress standard error 0.0058 times t(0.975, 4) = 2.7764
    from scipy.stats import linregress

    line = linregress([math.log(p) for p in PRESSURES], [math.log(q) for q in NOISY])
    fit = leakage.fit_power_law(PRESSURES, NOISY)
    assert fit.exponent_half_width == pytest.approx(2.7764 * line.stderr, rel=1e-4)


@pytest.mark.parametrize(
    ("pressures", "flows", "words"),
    [
        ([50, 40], [1, 0.9], "at least 3 points"),
        ([50, 40, 30], [1, 0.9], "same length"),
        ([50, 40, 0], [1, 0.9, 0.8], "above 0"),
        ([50, 40, 30], [1, 0.9, -0.8], "above 0"),
        ([50, 50, 50], [1, 1, 1], "more than one pressure"),
        ([50, 40, math.nan], [1, 0.9, 0.8], "finite"),
    ],
)
def test_fit_refuses_what_it_cannot_fit(pressures, flows, words):
    with pytest.raises(InputError, match=words):
        leakage.fit_power_law(pressures, flows)


def test_baseline_left_in_reads_low():
    # -50 gauge with a -2.5 Pa baseline is 47.5 Pa induced; (50/47.5)^0.65 = 1.0339.
    assert leakage.induced_pressure_pa(-50, [-2, -3]) == pytest.approx(47.5)
    result = leakage.blower_door_test([-50], [1.0], baselines_pa=[-2.5], volume_m3=400)
    assert result.flow50_m3_per_s == pytest.approx(1.0339, rel=1e-4)


def test_single_reading_at_50_pa_keeps_its_flow():
    result = leakage.blower_door_test([-50], [2400 * CFM], baselines_pa=[0], volume_m3=453.07)
    assert result.flow50_m3_per_s / CFM == pytest.approx(2400)
    assert result.ach50_per_h == pytest.approx(60 * 2400 / 16000, rel=1e-4)  # 16,000 ft3
    assert not result.exponent_is_measured
    assert result.exponent == 0.65
    assert result.fit is None
    assert result.is_valid
    assert result.remarks == ()


def test_house_too_leaky_for_50_pa_says_so():
    result = leakage.blower_door_test([-35], [2.0], baselines_pa=[0], volume_m3=400)
    assert result.is_extrapolated
    assert result.highest_pressure_pa == 35
    assert "under_50_pa" in result.remarks


def test_cold_day_lowers_the_depressurization_flow():
    # Indoor air at 20 C is thinner than outdoor air at -10 C: 263/293 = 0.8976.
    warm = leakage.envelope_flow_m3_per_s(1.0, indoor_c=20, outdoor_c=-10)
    assert warm == pytest.approx(263 / 293)
    cold = leakage.envelope_flow_m3_per_s(
        1.0, indoor_c=20, outdoor_c=-10, is_depressurization=False
    )
    assert cold * warm == pytest.approx(1.0)


def test_exponent_outside_its_range_is_reported_and_never_clipped():
    flows = _series(0.01, 1.2)
    result = leakage.blower_door_test(
        [-p for p in PRESSURES], flows, baselines_pa=[0], volume_m3=400
    )
    assert result.exponent == pytest.approx(1.2)
    assert not result.is_valid
    assert "exponent_out_of_range" in result.remarks
    assert result.ela_m2 > 0


def test_validity_limits_of_wind_stack_and_points():
    result = leakage.blower_door_test(
        [-50, -40, -30], [0.8, 0.69, 0.57], baselines_pa=[0], volume_m3=400,
        height_m=6, indoor_c=20, outdoor_c=-15, wind_m_per_s=4,
    )  # fmt: skip
    assert {"few_points", "stack_too_strong", "wind_above_limit"} <= set(result.remarks)
    breezy = leakage.blower_door_test(
        [-50], [0.8], baselines_pa=[0], volume_m3=400, wind_m_per_s=2.5
    )
    assert breezy.remarks == ("wind_above_preferred",)


GOOD = {"gauge_pa": [-p for p in (60, 50, 40, 30, 20, 15)], "fan_flow_m3_per_s": NOISY}


@pytest.mark.parametrize(
    ("changes", "remark", "is_valid"),
    [
        ({}, None, True),
        ({"baselines_pa": [-1.0]}, "baseline_taken_once", True),
        # ISO 9972 (memory): the zero-flow pressure stays within 5 Pa.
        ({"baselines_pa": [-5.5, -5.1]}, "baseline_too_high", False),
        # ISO 9972 (memory): the lowest reading at least five times the zero-flow pressure.
        ({"baselines_pa": [-3.2, -3.2]}, "points_too_low", True),
        # ANSI/RESNET/ICC 380 (memory): 25 Pa between the lowest and the highest reading.
        (
            {"gauge_pa": [-50, -45, -40, -35, -30], "fan_flow_m3_per_s": _series(0.05, 0.65)[1:]},
            "range_too_short",
            True,
        ),
        # The same standard: within 10 %. Readings off by a sixth, up and down, are not.
        (
            {"fan_flow_m3_per_s": [q * (1.17 if i % 2 else 0.86) for i, q in enumerate(NOISY)]},
            "wide_interval",
            False,
        ),
    ],
)
def test_what_the_standards_ask_of_a_multipoint_test(changes, remark, is_valid):
    given = {"baselines_pa": [-1.0, -0.8], "volume_m3": 400.0, **GOOD, **changes}
    if remark == "range_too_short":
        given["fan_flow_m3_per_s"] = [0.05 * (-p - 0.9) ** 0.65 for p in given["gauge_pa"]]
    result = leakage.blower_door_test(**given)
    assert result.is_valid is is_valid
    assert (remark in result.remarks) if remark else result.remarks == ()


def test_fit_and_interval_agree_with_statsmodels():
    import statsmodels.api as sm

    x = sm.add_constant([math.log(p / 50) for p in PRESSURES])
    for weights in (None, [4.0, 4.0, 3.0, 2.0, 1.0, 0.5]):
        fit = leakage.fit_power_law(PRESSURES, NOISY, weights=weights)
        other = sm.WLS([math.log(q) for q in NOISY], x, weights=weights or 1.0).fit()
        low, high = other.conf_int()[0]
        assert fit.exponent == pytest.approx(other.params[1], rel=1e-10)
        assert fit.r_squared == pytest.approx(other.rsquared, rel=1e-10)
        assert fit.flow50_low_m3_per_s == pytest.approx(math.exp(low), rel=1e-9)
        assert fit.flow50_high_m3_per_s == pytest.approx(math.exp(high), rel=1e-9)
        n_low, n_high = other.conf_int()[1]
        assert fit.exponent_half_width == pytest.approx((n_high - n_low) / 2, rel=1e-9)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 10_000))
def test_interval_covers_the_truth_as_often_as_it_says(seed):
    """Out of 60 noisy tests of one house about 57 intervals hold the true flow."""
    import numpy as np

    rng = np.random.default_rng(seed)
    truth, held = 0.05 * 50**0.65, 0
    for _ in range(60):
        flows = [0.05 * p**0.65 * math.exp(rng.normal(0, 0.02)) for p in PRESSURES]
        fit = leakage.fit_power_law(PRESSURES, flows)
        held += fit.flow50_low_m3_per_s <= truth <= fit.flow50_high_m3_per_s
    # Binomial, 60 draws at 0.95: fewer than 49 comes once in some ten thousand.
    assert held >= 49


@pytest.mark.parametrize("n", [0.49, 1.01, math.nan])
def test_formulas_refuse_an_impossible_exponent(n):
    with pytest.raises(InputError, match="flow exponent"):
        leakage.power_law_flow(0.05, n, 50)


def test_equivalent_area_is_not_effective_area():
    # ratio (1/0.611) (10/4)^0.15 at n = 0.65
    ratio = leakage.equivalent_leakage_area_m2(0.05, 0.65) / leakage.leakage_area_m2(0.05, 0.65)
    assert ratio == pytest.approx(2.5**0.15 / 0.611)


@pytest.mark.parametrize(
    ("pressure", "where"), [(0, "inside"), (5, "inside"), (25, "between"), (46, "outside")]
)
def test_zone_position(pressure, where):
    assert leakage.zone_position(pressure) == where


def test_zone_pressure_above_the_house_means_wrong_hoses():
    with pytest.raises(InputError, match="hoses"):
        leakage.zone_position(60, 50)


@settings(max_examples=30)
@given(st.floats(0.01, 1), st.floats(0.01, 1), st.floats(0.5, 1))
def test_leaks_in_series_pass_less_than_the_smaller(one, two, n):
    both = leakage.series_coefficient(one, two, exponent=n)
    assert both < min(one, two)
    assert both == pytest.approx(leakage.series_coefficient(two, one, exponent=n))


def test_two_points_need_two_pressures_and_a_possible_exponent():
    with pytest.raises(InputError, match="different pressures"):
        leakage.two_point_exponent(1.0, 50, 0.9, 50)
    with pytest.raises(InputError, match="flow exponent"):
        leakage.two_point_exponent(1.0, 50, 0.2, 25)


def test_altitude_thins_the_air():
    # 18 % at 1600 m (standard atmosphere)
    sea = leakage.air_density_kg_per_m3(20)
    assert leakage.air_density_kg_per_m3(20, elevation_m=1600) / sea == pytest.approx(
        0.82, abs=0.01
    )


def test_basic_model_grows_with_cold_wind_and_openness():
    def flow(dt=20.0, wind=3.0, shelter=3, stories=1):
        return infiltration.basic_infiltration_m3_per_s(
            0.05, temperature_difference_k=dt, wind_m_per_s=wind, stories=stories,
            shelter_class=shelter,
        )  # fmt: skip

    assert flow() < flow(dt=30)
    assert flow() < flow(wind=5)
    assert flow(shelter=5) < flow() < flow(shelter=1)
    assert flow(stories=1) < flow(stories=3)
    assert flow(dt=-20) == flow(dt=20)
    assert flow(dt=0, wind=0) == 0


def test_handbook_tables_refuse_what_they_do_not_hold():
    with pytest.raises(InputError, match="stories"):
        infiltration.basic_stack_coefficient(4)
    with pytest.raises(InputError, match="shelter class"):
        infiltration.basic_wind_coefficient(1, 6)
    with pytest.raises(InputError, match="one story only"):
        infiltration.enhanced_infiltration(
            0.05, 0.65, temperature_difference_k=20, wind_m_per_s=3, stories=2,
            shelter_class=3, has_flue=True,
        )  # fmt: skip


def test_enhanced_model_stack_by_hand():
    # c 0.05 m3/(s Pa^n), Cs 0.054, dT 20 K, n 0.65: 0.05 x 0.054 x 20^0.65 = 0.018926
    result = infiltration.enhanced_infiltration(
        0.05, 0.65, temperature_difference_k=20, wind_m_per_s=0, stories=1, shelter_class=4
    )
    assert result.stack_m3_per_s == pytest.approx(0.05 * 0.054 * 7.0093, rel=1e-3)
    assert result.total_m3_per_s == result.stack_m3_per_s


def test_n_factor_table_holds():
    # printed products, Sherman 1986 table: zone 2 exposed two stories 13.3, zone 3 well 1.5 23.2
    assert infiltration.n_factor(zone=2, stories=2, shielding="exposed") == pytest.approx(
        13.3, abs=0.05
    )
    assert infiltration.n_factor(zone=3, stories=1.5, shielding="well") == pytest.approx(
        23.2, abs=0.05
    )
