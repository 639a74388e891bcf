"""Linear regression against the reference data sets of NIST and against statsmodels.

Certified values: National Institute of Standards and Technology, Statistical Reference Datasets,
Linear Regression (Norris, Pontius, NoInt1, NoInt2, Wampler1 to 5, Longley). Data and values are
carried over from memory, except Longley's data, which ship with statsmodels; a wrong digit in
either would not meet the other to nine figures.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
import statsmodels.api as sm
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import leakage
from calcs.bills import fit_heating_bills
from calcs.errors import InputError
from calcs.least_squares import fit_linear

NORRIS_Y = [
    0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1,
    668.8, 339.3, 448.9, 10.8, 557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0,
    998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2,
]  # fmt: skip
NORRIS_X = [
    0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5,
    666.9, 338.0, 447.5, 11.6, 556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2,
    999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5,
]  # fmt: skip
NORRIS = {
    "intercept": (-0.262323073774029, 0.232818234301152),
    "slope": (1.00211681802045, 0.429796848199937e-3),
    "deviation": 0.884796396144373,
    "r_squared": 0.999993745883712,
}
PONTIUS_Y = [
    0.11019, 0.21956, 0.32949, 0.43899, 0.54803, 0.65694, 0.76562, 0.87487, 0.98292, 1.09146,
    1.20001, 1.30822, 1.41599, 1.52399, 1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844,
    0.11052, 0.22018, 0.32939, 0.43886, 0.54798, 0.65739, 0.76596, 0.87474, 0.98300, 1.09150,
    1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829,
]  # fmt: skip
WAMPLER_NOISE = np.array(
    [759, -2048, 2048, -2048, 2523, -2048, 2048, -2048, 1838, -2048, 2048, -2048, 1838, -2048,
     2048, -2048, 2523, -2048, 2048, -2048, 759], dtype=float
)  # fmt: skip
WAMPLER3_ERRORS = (
    2152.32624678170, 2363.55173469681, 779.343524331583, 101.475507550350, 5.64566512170752,
    0.112324854679312,
)  # fmt: skip


def powers(x: np.ndarray, degree: int) -> np.ndarray:
    return np.column_stack([x**power for power in range(degree + 1)])


def test_norris():
    fit = fit_linear(powers(np.array(NORRIS_X), 1), NORRIS_Y)
    got = dict(zip(("intercept", "slope"), fit.coefficients, strict=True))
    for index, name in enumerate(("intercept", "slope")):
        value, error = NORRIS[name]
        assert got[name] == pytest.approx(value, rel=1e-11)
        assert fit.standard_errors[index] == pytest.approx(error, rel=1e-11)
    assert fit.residual_deviation == pytest.approx(NORRIS["deviation"], rel=1e-12)
    assert fit.r_squared == pytest.approx(NORRIS["r_squared"], rel=1e-13)


def test_norris_through_the_blower_doors_fit():
    """A straight line of logarithms: the set over 100, raised to powers of e, is a power law.

    Intercept, slope and their errors scale; the fit counts from 50 Pa, so the line there is
    intercept + slope ln 50.
    """
    pressures = [math.exp(x / 100.0) for x in NORRIS_X]
    flows = [math.exp(y / 100.0) for y in NORRIS_Y]
    fit = leakage.fit_power_law(pressures, flows)
    t_value = 2.03224450931772  # t(0.975, 34)
    assert fit.exponent == pytest.approx(NORRIS["slope"][0], rel=1e-10)
    assert math.log(fit.coefficient_m3_per_s_pa_n) == pytest.approx(
        NORRIS["intercept"][0] / 100.0, rel=1e-8
    )
    assert fit.exponent_half_width == pytest.approx(t_value * NORRIS["slope"][1], rel=1e-8)
    assert fit.r_squared == pytest.approx(NORRIS["r_squared"], rel=1e-12)


def test_norris_through_the_fit_of_bills():
    """A day of use for each value; a day's cold below 0 is x, so use = intercept + slope x."""
    fit = fit_heating_bills(NORRIS_Y, [1] * 36, [-x for x in NORRIS_X], base_c=0.0)
    assert fit.base_per_day == pytest.approx(NORRIS["intercept"][0], rel=1e-8)
    assert fit.slope_per_k_day == pytest.approx(NORRIS["slope"][0], rel=1e-10)
    assert fit.slope_standard_error == pytest.approx(NORRIS["slope"][1], rel=1e-8)
    assert fit.r_squared == pytest.approx(NORRIS["r_squared"], rel=1e-10)


def test_pontius():
    x = np.tile(np.arange(150_000.0, 3_000_001.0, 150_000.0), 2)
    fit = fit_linear(powers(x, 2), PONTIUS_Y)
    certified = (0.673565789473684e-3, 0.732059160401003e-6, -0.316081871345029e-14)
    errors = (0.107938612033077e-3, 0.157817399981659e-9, 0.486652849992036e-16)
    assert fit.coefficients == pytest.approx(certified, rel=1e-9)
    assert fit.standard_errors == pytest.approx(errors, rel=1e-9)
    assert fit.residual_deviation == pytest.approx(0.205177424076185e-3, rel=1e-10)
    assert fit.r_squared == pytest.approx(0.999999900178537, rel=1e-13)


def test_lines_through_zero():
    first = fit_linear(np.arange(60.0, 71.0)[:, None], np.arange(130.0, 141.0), has_intercept=False)
    assert first.coefficients[0] == pytest.approx(2.07438016528926, rel=1e-12)
    assert first.standard_errors[0] == pytest.approx(0.165289256198347e-1, rel=1e-11)
    assert first.residual_deviation == pytest.approx(3.56753034006338, rel=1e-12)
    assert first.r_squared == pytest.approx(0.999365492298663, rel=1e-13)
    second = fit_linear([[4.0], [5.0], [6.0]], [3.0, 4.0, 4.0], has_intercept=False)
    assert second.coefficients[0] == pytest.approx(0.727272727272727, rel=1e-12)
    assert second.standard_errors[0] == pytest.approx(0.420827318078432e-1, rel=1e-11)


@pytest.mark.parametrize(
    ("times", "deviation", "r_squared"),
    [
        (1.0, 2360.14502379268, 0.999995559025820),  # Wampler3
        (100.0, 236014.502379268, 0.957478440825662),  # Wampler4
        (10_000.0, 23601450.2379268, 0.224668921574940e-2),  # Wampler5
    ],
)
def test_wampler_with_noise(times, deviation, r_squared):
    x = np.arange(21.0)
    fit = fit_linear(powers(x, 5), powers(x, 5).sum(axis=1) + times * WAMPLER_NOISE)
    # All six certified coefficients are 1; the more noise, the fewer digits are left.
    assert fit.coefficients == pytest.approx(np.ones(6), rel=1e-9 * times)
    assert fit.standard_errors / times == pytest.approx(WAMPLER3_ERRORS, rel=1e-10)
    assert fit.residual_deviation == pytest.approx(deviation, rel=1e-12)
    assert fit.r_squared == pytest.approx(r_squared, rel=1e-9)


def test_wampler_without_noise():
    x = np.arange(21.0)
    ones = fit_linear(powers(x, 5), powers(x, 5).sum(axis=1))
    assert ones.coefficients == pytest.approx(np.ones(6), rel=1e-8)
    tenths = 0.1 ** np.arange(6.0)
    small = fit_linear(powers(x, 5), powers(x, 5) @ tenths)
    assert small.coefficients == pytest.approx(tenths, rel=1e-9)


def test_longley():
    data = sm.datasets.longley.load_pandas()
    columns = np.column_stack([np.ones(16), data.exog.to_numpy(dtype=float)])
    fit = fit_linear(columns, data.endog.to_numpy(dtype=float))
    certified = {
        -3482258.63459582: 890420.383607373,
        15.0618722713733: 84.9149257747669,
        -0.358191792925910e-1: 0.334910077722432e-1,
        -2.02022980381683: 0.488399681651699,
        -1.03322686717359: 0.214274163161675,
        -0.511041056535807e-1: 0.226073200069370,
        1829.15146461355: 455.478499142212,
    }
    assert fit.coefficients == pytest.approx(list(certified), rel=1e-9)
    assert fit.standard_errors == pytest.approx(list(certified.values()), rel=1e-9)
    assert fit.residual_deviation == pytest.approx(304.854073561965, rel=1e-11)
    assert fit.r_squared == pytest.approx(0.995479004577296, rel=1e-12)


def test_sums_of_squares_formed_too_early_would_not_do():
    """Control: the normal equations lose on Wampler's set what the triangles keep."""
    x = np.arange(21.0)
    columns, y = powers(x, 5), powers(x, 5).sum(axis=1)
    early = np.linalg.solve(columns.T @ columns, columns.T @ y)
    late = fit_linear(columns, y).coefficients
    assert np.abs(early - 1.0).max() > 100 * np.abs(late - 1.0).max()


@settings(max_examples=25, deadline=None)
@given(st.integers(0, 10_000), st.integers(1, 4), st.booleans())
def test_agrees_with_statsmodels(seed, terms, is_weighted):
    rng = np.random.default_rng(seed)
    columns = np.column_stack([np.ones(20), rng.normal(size=(20, terms))])
    y = columns @ rng.normal(size=terms + 1) + rng.normal(size=20)
    weights = rng.uniform(0.2, 5.0, 20) if is_weighted else None
    fit = fit_linear(columns, y, weights=weights)
    other = sm.WLS(y, columns, weights=1.0 if weights is None else weights).fit()
    assert fit.coefficients == pytest.approx(other.params, rel=1e-8, abs=1e-10)
    assert fit.standard_errors == pytest.approx(other.bse, rel=1e-8)
    assert fit.r_squared == pytest.approx(other.rsquared, rel=1e-8, abs=1e-10)
    width = fit.t_value() * fit.standard_errors
    assert other.params + width == pytest.approx(other.conf_int()[:, 1], rel=1e-7, abs=1e-9)


@pytest.mark.parametrize(
    ("columns", "values", "more", "words"),
    [
        ([[1, 1], [1, 2], [1, 3]], [1, 2], {}, "same number of rows"),
        ([[1, 1], [1, 2]], [1, 2], {}, "more than 2 values"),
        ([[1, 1], [1, 1], [1, 1]], [1, 2, 3], {}, "depend on each other"),
        ([[1, 0], [1, 0], [1, 0]], [1, 2, 3], {}, "nothing but zeros"),
        ([[1, 1], [1, 2], [1, math.nan]], [1, 2, 3], {}, "finite"),
        ([[1, 1], [1, 2], [1, 3]], [1, 2, 3], {"weights": [1, 1, 0]}, "above 0"),
        ([[1, 1], [1, 2], [1, 3]], [1, 2, 3], {"weights": [1, 1]}, "one weight"),
    ],
)
def test_refuses_what_it_cannot_fit(columns, values, more, words):
    with pytest.raises(InputError, match=words):
        fit_linear(columns, values, **more)
