"""How well a model fits bills, and how sure a saving out of two fits is.

NMBE is measured less modeled: positive when the model is low. Definitions of ASHRAE Guideline 14
(memory); the limits as beside each.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from calcs.errors import InputError
from calcs.guards import guarded
from calcs.validation import require_positive, require_within

GUIDELINE_14_LIMITS_PCT = {  # read, engineering article quoting Guideline 14-2014
    "monthly NMBE": 5.0,
    "monthly CV(RMSE)": 15.0,
    "hourly NMBE": 10.0,
    "hourly CV(RMSE)": 30.0,
}
BPI_2400_LIMITS_PCT = {"bias": 5.0, "CV(RMSE)": 20.0}  # ANSI/BPI-2400-S (memory)
FSU_FACTOR = 1.26  # Guideline 14; a polynomial form replaces it in later work


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
    if y.size <= parameters:
        raise InputError(f"needs more than {parameters} periods, got {y.size}")
    return float(100.0 * (y - model).sum() / ((y.size - parameters) * y.mean()))


def cv_rmse_pct(measured: ArrayLike, modeled: ArrayLike, *, parameters: int = 1) -> float:
    """Coefficient of variation of the root mean square error. [%]"""
    y, model = _pair(measured, modeled)
    if y.size <= parameters:
        raise InputError(f"needs more than {parameters} periods, got {y.size}")
    error = y - model
    return float(100.0 * math.sqrt(float(error @ error) / (y.size - parameters)) / y.mean())


@guarded
def t_statistic(confidence: float, degrees_of_freedom: float) -> float:
    """Two-sided t value at a confidence. [-]"""
    require_within(confidence, 0.01, 0.9999, "confidence", "(no unit)")
    if degrees_of_freedom < 1:
        raise InputError("degrees of freedom must be at least 1")
    return float(special.stdtrit(degrees_of_freedom, 0.5 + confidence / 2.0))


@guarded
def effective_points(points: float, autocorrelation: float) -> float:
    """Number of independent points, n (1 - rho)/(1 + rho). [-] Guideline 14 (memory)."""
    require_positive(points, "number of points", "(no unit)")
    require_within(autocorrelation, 0, 0.999, "autocorrelation", "(no unit)")
    return points * (1.0 - autocorrelation) / (1.0 + autocorrelation)


def autocorrelation(residuals: ArrayLike) -> float:
    """Correlation of neighboring residuals (lag 1), residuals in the order of time. [-]"""
    r = np.asarray(residuals, dtype=float)
    square = float(r @ r)
    return float(r[1:] @ r[:-1]) / square if r.size > 2 and square > 0.0 else 0.0


@guarded
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
