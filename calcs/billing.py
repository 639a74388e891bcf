"""Bills against weather: change-point regression and how well a model fits.

Fels 1986 (PRISM form) and ASHRAE Guideline 14 (definitions memory; limits partly read). Works
per day and weights back to totals. The energy unit is the caller's own; temperatures in C.
Delivered fuels are fills, not use: interval regression does not fit them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from calcs.errors import InputError
from calcs.validation import require_positive, require_within

GUIDELINE_14_LIMITS_PCT = {  # read, engineering article quoting Guideline 14-2014
    "monthly NMBE": 5.0,
    "monthly CV(RMSE)": 15.0,
    "hourly NMBE": 10.0,
    "hourly CV(RMSE)": 30.0,
}
BPI_2400_LIMITS_PCT = {"bias": 5.0, "CV(RMSE)": 20.0}  # ANSI/BPI-2400-S (memory)
FSU_FACTOR = 1.26  # Guideline 14; a polynomial form replaces it in later work


@dataclass(frozen=True)
class BillFit:
    """Use per day = base + slope x heating (and cooling) degree days per day."""

    heating_base_c: float
    base_per_day: float
    slope_per_k_day: float
    slope_standard_error: float
    r_squared: float
    cv_rmse_pct: float  # on period totals, p = number of parameters
    nmbe_pct: float  # on period totals, p = 1
    periods: int
    normal_annual: float  # base x 365 + slope x normal-year degree days
    remarks: tuple[str, ...]  # "negative_base", "negative_slope", "base_at_edge"


def _pair(measured: ArrayLike, modeled: ArrayLike) -> tuple[np.ndarray, np.ndarray]:
    y, model = np.asarray(measured, dtype=float), np.asarray(modeled, dtype=float)
    if y.shape != model.shape or y.ndim != 1 or y.size == 0:
        raise InputError("measured and modeled must be two lists of the same length")
    if not (np.isfinite(y).all() and np.isfinite(model).all()):
        raise InputError("measured and modeled must be finite numbers")
    if y.mean() == 0:
        raise InputError("the measured mean is 0: a relative error has no meaning")
    return y, model


def nmbe_pct(measured: ArrayLike, modeled: ArrayLike, *, parameters: int = 1) -> float:
    """Normalized mean bias error, sum(measured - modeled)/((n - p) mean). [%]

    Positive when the model is low. p = 1 for a calibrated simulation.
    """
    y, model = _pair(measured, modeled)
    return float(100.0 * (y - model).sum() / ((y.size - parameters) * y.mean()))


def cv_rmse_pct(measured: ArrayLike, modeled: ArrayLike, *, parameters: int = 1) -> float:
    """Coefficient of variation of the root mean square error. [%]"""
    y, model = _pair(measured, modeled)
    if y.size <= parameters:
        raise InputError(f"needs more than {parameters} periods, got {y.size}")
    error = y - model
    return float(100.0 * math.sqrt(float(error @ error) / (y.size - parameters)) / y.mean())


def _degree_days(daily_c: np.ndarray, period_days: Sequence[int], base_c: float) -> np.ndarray:
    edges = np.concatenate(([0], np.cumsum(period_days)[:-1]))
    return np.add.reduceat(np.maximum(0.0, base_c - daily_c), edges)


def _check_bills(
    energies: Sequence[float], period_days: Sequence[int], daily_c: ArrayLike
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    energy = np.asarray(energies, dtype=float)
    days = np.asarray(period_days, dtype=int)
    daily = np.asarray(daily_c, dtype=float)
    if energy.shape != days.shape or energy.ndim != 1:
        raise InputError("give one number of days for each bill")
    if energy.size < 5:
        raise InputError(f"a fit needs at least 5 bills, got {energy.size}")
    if (days < 1).any():
        raise InputError("each bill must cover at least 1 day")
    if daily.shape != (int(days.sum()),):
        raise InputError(f"bills cover {int(days.sum())} days, weather has {daily.size}")
    if not (np.isfinite(energy).all() and np.isfinite(daily).all()):
        raise InputError("bills and temperatures must be finite numbers")
    return energy, days, daily


def fit_heating_bills(
    energies: Sequence[float],
    period_days: Sequence[int],
    daily_c: ArrayLike,
    *,
    base_c: float | None = None,
    bases_c: Sequence[float] | None = None,
    normal_daily_c: ArrayLike | None = None,
) -> BillFit:
    """Fit use per day on heating degree days per day; the base by greatest R2.

    Parameters
    ----------
    energies, period_days : sequence, shape (k,), k at least 5
        Energy and days of each bill, estimated reads merged with the next actual one.
    daily_c : array, shape (sum of days,)
        Daily mean temperatures of exactly those days. [C]
    base_c : float, optional
        Fixed reference temperature; else the one of `bases_c` with the greatest R2
        (5 to 24 C by 0.5 K when not given). [C]
    normal_daily_c : array, shape (n,), optional
        A normal year's daily means for the normalized annual use; the bills' own when absent.

    Returns
    -------
    BillFit
        R2 is flat in the base, which trades against the base load: report the normal annual
        use. A negative base or slope is flagged, never clipped: the model does not apply.

    Raises
    ------
    InputError
        Fewer than five bills, lengths that disagree, or no variation of weather.

    References
    ----------
    Fels 1986, unweighted ordinary least squares (memory).
    """
    energy, days, daily = _check_bills(energies, period_days, daily_c)
    candidates = (
        [base_c]
        if base_c is not None
        else list(bases_c if bases_c is not None else np.arange(5.0, 24.01, 0.5))
    )
    y = energy / days
    best: tuple[float, float, float, float, np.ndarray] | None = None
    for base in candidates:
        x = _degree_days(daily, list(days), float(base)) / days
        centered = x - x.mean()
        spread = float(centered @ centered)
        if spread <= 1e-12:
            continue
        slope = float(centered @ y) / spread
        intercept = float(y.mean() - slope * x.mean())
        residual = y - intercept - slope * x
        total = float((y - y.mean()) @ (y - y.mean()))
        r2 = 1.0 - float(residual @ residual) / total if total > 0 else 0.0
        if best is None or r2 > best[0]:
            best = (r2, float(base), intercept, slope, x)
    if best is None:
        raise InputError("the weather of these bills has no heating degree days that vary")
    r2, base, intercept, slope, x = best
    centered = x - x.mean()
    residual = y - intercept - slope * x
    error = math.sqrt(float(residual @ residual) / (y.size - 2) / float(centered @ centered))
    modeled = (intercept + slope * x) * days
    normal = daily if normal_daily_c is None else np.asarray(normal_daily_c, dtype=float)
    normal_hdd = float(np.maximum(0.0, base - normal).sum()) * 365.0 / normal.size
    remarks = []
    if intercept < 0:
        remarks.append("negative_base")
    if slope < 0:
        remarks.append("negative_slope")
    if len(candidates) > 2 and base in (candidates[0], candidates[-1]):
        remarks.append("base_at_edge")
    return BillFit(
        heating_base_c=base,
        base_per_day=intercept,
        slope_per_k_day=slope,
        slope_standard_error=error,
        r_squared=r2,
        cv_rmse_pct=cv_rmse_pct(energy, modeled, parameters=2),
        nmbe_pct=nmbe_pct(energy, modeled, parameters=1),
        periods=int(y.size),
        normal_annual=365.0 * intercept + slope * normal_hdd,
        remarks=tuple(remarks),
    )


def t_statistic(confidence: float, degrees_of_freedom: int) -> float:
    """Two-sided t value at a confidence. [-]"""
    require_within(confidence, 0.01, 0.9999, "confidence", "(no unit)")
    if degrees_of_freedom < 1:
        raise InputError("degrees of freedom must be at least 1")
    return float(special.stdtrit(degrees_of_freedom, 0.5 + confidence / 2.0))


def effective_points(points: float, autocorrelation: float) -> float:
    """Number of independent points, n (1 - rho)/(1 + rho). [-] Guideline 14 (memory)."""
    require_positive(points, "number of points", "(no unit)")
    require_within(autocorrelation, 0, 0.999, "autocorrelation", "(no unit)")
    return points * (1.0 - autocorrelation) / (1.0 + autocorrelation)


def fractional_savings_uncertainty(
    *,
    t: float,
    cv_rmse_fraction: float,
    points_before: int,
    points_after: int,
    savings_fraction: float,
    autocorrelation: float = 0.0,
) -> float:
    """Uncertainty of a measured saving as a fraction of it, Guideline 14 (memory). [-]

    t 1.26 CV sqrt((n/n')(1 + 2/n')/m)/F. CV is a fraction here. Small savings give over 1,
    which is a result and no error. Accepted practice: under 0.5 at 68 % confidence.
    """
    require_positive(savings_fraction, "savings fraction", "(no unit)")
    if points_before < 1 or points_after < 1:
        raise InputError("both periods need at least 1 point")
    independent = effective_points(points_before, autocorrelation)
    spread = points_before / independent * (1.0 + 2.0 / independent) / points_after
    return t * FSU_FACTOR * cv_rmse_fraction * math.sqrt(spread) / savings_fraction
