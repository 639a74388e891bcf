"""Degree days from daily, monthly and hourly temperatures. [K day]

All functions take one scale throughout: Celsius readings give K days. HDD - CDD = base - mean
holds for every day and hour.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from calcs.errors import InputError
from calcs.guards import guarded
from calcs.unit_factors import K_PER_DEGF, fahrenheit_from_celsius
from calcs.validation import require_positive

ERBS_SPREAD = 1.698  # with h = (Tb - T)/(sigma sqrt N); see the cross-check in the tests


def _temperatures(values: ArrayLike) -> np.ndarray:
    array = np.asarray(values, dtype=float)
    if array.size == 0 or not np.isfinite(array).all():
        raise InputError("temperatures must be finite numbers in C, at least one")
    return array


@guarded
def heating_degree_days(daily_mean_c: ArrayLike, base_c: float) -> float:
    """Sum of max(0, base - mean) over days, shape (n,). Missing days are not zero: scale."""
    return float(np.maximum(0.0, base_c - _temperatures(daily_mean_c)).sum())


@guarded
def cooling_degree_days(daily_mean_c: ArrayLike, base_c: float) -> float:
    """Sum of max(0, mean - base) over days, shape (n,)."""
    return float(np.maximum(0.0, _temperatures(daily_mean_c) - base_c).sum())


@guarded
def hourly_heating_degree_days(hourly_c: ArrayLike, base_c: float) -> float:
    """Degree days integrated over equal steps of a day or more; never under the daily sum.

    shape (days, steps) or (24 n,) hourly.
    """
    array = _temperatures(hourly_c)
    steps = array.shape[-1] if array.ndim == 2 else 24
    return float(np.maximum(0.0, base_c - array).sum() / steps)


@guarded
def hourly_cooling_degree_days(hourly_c: ArrayLike, base_c: float) -> float:
    """Cooling degree days integrated over equal steps; shapes as the heating form."""
    array = _temperatures(hourly_c)
    steps = array.shape[-1] if array.ndim == 2 else 24
    return float(np.maximum(0.0, array - base_c).sum() / steps)


def _normal_excess(z: float) -> float:
    """Z F(Z) + f(Z), with F and f of the standard normal distribution."""
    return float(z * ndtr(z) + math.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi))


@guarded
def monthly_heating_degree_days(
    mean_c: float, daily_deviation_k: float, days: int, base_c: float
) -> float:
    """Month's HDD from its mean and the deviation of its daily means, N Sd [Z F(Z) + f(Z)].

    Schoenau and Kehrig, ASHRAE Handbook-Fundamentals ch. 14 (memory). The deviation is that
    of daily means within the month, not of the twelve monthly means.
    """
    require_positive(daily_deviation_k, "deviation of daily means", "K")
    z = (base_c - mean_c) / daily_deviation_k
    return float(days * daily_deviation_k * _normal_excess(z))


@guarded
def monthly_cooling_degree_days(
    mean_c: float, daily_deviation_k: float, days: int, base_c: float
) -> float:
    """Month's CDD, the same form with the sign of Z swapped."""
    require_positive(daily_deviation_k, "deviation of daily means", "K")
    z = (mean_c - base_c) / daily_deviation_k
    return float(days * daily_deviation_k * _normal_excess(z))


def erbs_deviation_k(mean_c: float, yearly_deviation_k: float) -> float:
    """Deviation of the monthly mean, 1.45 - 0.0290 T + 0.0664 sigma_yr (T in C). [K]

    Erbs, Klein and Beckman, ASHRAE Journal, June 1983 (memory). sigma_yr is the deviation of
    the twelve monthly means.
    """
    return 1.45 - 0.0290 * mean_c + 0.0664 * yearly_deviation_k


@guarded
def erbs_deviation_degf(mean_degf: float, yearly_deviation_degf: float) -> float:
    """The same in the IP form the handbook prints, 3.54 - 0.0290 T + 0.0664 sigma_yr. [degF]"""
    return 3.54 - 0.0290 * mean_degf + 0.0664 * yearly_deviation_degf


@guarded
def erbs_heating_degree_days(
    mean_c: float, yearly_deviation_k: float, days: int, base_c: float
) -> float:
    """Month's HDD by Erbs, Klein and Beckman (memory)."""
    sigma = require_positive(erbs_deviation_k(mean_c, yearly_deviation_k), "Erbs deviation", "K")
    h = (base_c - mean_c) / (sigma * math.sqrt(days))
    x = ERBS_SPREAD * h
    # ln(e^-x + e^x) without overflow.
    log_sum = abs(x) + math.log1p(math.exp(-2.0 * abs(x)))
    return sigma * days**1.5 * (h / 2.0 + log_sum / (2.0 * ERBS_SPREAD))


@guarded
def uk_daily_heating_degree_days(maximum_c: float, minimum_c: float, base_c: float) -> float:
    """Daily HDD from maximum and minimum by the UK Met Office (McVicker) rules."""
    if maximum_c < minimum_c:
        raise InputError("daily maximum must not be below the minimum, C")
    mean = (maximum_c + minimum_c) / 2.0
    if minimum_c >= base_c:
        return 0.0
    if mean > base_c:
        return (base_c - minimum_c) / 4.0
    if maximum_c > base_c:
        return (base_c - minimum_c) / 2.0 - (maximum_c - base_c) / 4.0
    return base_c - mean


@guarded
def us_weather_service_heating_degree_days(
    maximum_c: float, minimum_c: float, base_c: float
) -> float:
    """Daily HDD as the US weather service publishes it. [K day]

    Works on whole Fahrenheit degrees by definition: the mean of maximum and minimum is rounded
    half up before it is subtracted.
    """
    mean_degf = (fahrenheit_from_celsius(maximum_c) + fahrenheit_from_celsius(minimum_c)) / 2.0
    rounded = math.floor(mean_degf + 0.5 + 1e-9)
    return max(0.0, fahrenheit_from_celsius(base_c) - rounded) * K_PER_DEGF


@guarded
def balance_temperature_c(setpoint_c: float, gain_w: float, ua_w_per_k: float) -> float:
    """Outdoor temperature at which gains carry the load, Tset - Q/UA. [C]"""
    return setpoint_c - gain_w / require_positive(ua_w_per_k, "UA", "W/K")
