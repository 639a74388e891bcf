"""Linear least squares with its standard errors, by orthogonal triangles of scaled columns.

Held against reference data of the US National Institute of Standards and Technology for linear
regression, which are made to break sums of squares that are formed too early.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike
from scipy import special

from calcs.errors import InputError
from calcs.validation import require_within


@dataclass(frozen=True, eq=False)
class LinearFit:
    """Coefficients of y = X b with what they are worth; the covariance is symmetric."""

    coefficients: np.ndarray
    covariance: np.ndarray
    residuals: np.ndarray
    degrees_of_freedom: int
    r_squared: float

    @property
    def standard_errors(self) -> np.ndarray:
        """Standard error of each coefficient."""
        return np.asarray(np.sqrt(np.diag(self.covariance)))

    @property
    def residual_deviation(self) -> float:
        """Standard deviation of the residuals about the fit."""
        return math.sqrt(float(self.residuals @ self.residuals) / self.degrees_of_freedom)

    def t_value(self, confidence: float = 0.95) -> float:
        """Student's t of a two-sided interval. [-]"""
        require_within(confidence, 0.5, 0.9999, "confidence", "(a fraction)")
        return float(special.stdtrit(self.degrees_of_freedom, 0.5 + confidence / 2.0))


def fit_linear(
    columns: ArrayLike,
    values: ArrayLike,
    *,
    weights: ArrayLike | None = None,
    has_intercept: bool = True,
) -> LinearFit:
    """Fit values by a sum of columns, ordinary or weighted by the inverse of each variance.

    Parameters
    ----------
    columns : array, shape (n, p)
        One column for each coefficient; a column of ones is the intercept.
    values : array, shape (n,)
        What is to be explained.
    weights : array, shape (n,), optional
        All above 0; only their ratios count. Residuals and their deviation are then those of
        the values times the root of the weight, the weights scaled to a mean of 1.
    has_intercept : bool
        R² is about the mean with one, about zero without.

    Raises
    ------
    InputError
        Shapes that do not fit, numbers that are not finite, no more values than coefficients, or
        columns that depend on each other.

    References
    ----------
    Any textbook of regression; certified results in `tests/calcs/test_least_squares.py`.
    """
    x, y = np.asarray(columns, dtype=float), np.asarray(values, dtype=float)
    if x.ndim != 2 or y.shape != (len(x),):
        raise InputError("columns and values must have the same number of rows")
    count, terms = x.shape
    if count <= terms:
        raise InputError(f"a fit of {terms} coefficients needs more than {terms} values")
    w = np.ones(count) if weights is None else np.asarray(weights, dtype=float)
    if w.shape != y.shape:
        raise InputError("give one weight for each value")
    if not (np.isfinite(x).all() and np.isfinite(y).all() and np.isfinite(w).all()):
        raise InputError("columns, values and weights must be finite numbers")
    if (w <= 0).any():
        raise InputError("weights must all be above 0")
    root = np.sqrt(w * count / w.sum())
    scaled, target = x * root[:, None], y * root
    size = np.linalg.norm(scaled, axis=0)
    if (size == 0).any():
        raise InputError("a column holds nothing but zeros")
    q, r = np.linalg.qr(scaled / size)
    diagonal = np.abs(np.diag(r))
    if diagonal.min() <= 1e-14 * diagonal.max():
        raise InputError("the columns depend on each other")
    coefficients = np.linalg.solve(r, q.T @ target)
    # One round on the residuals takes back most of what rounding lost.
    coefficients += np.linalg.solve(r, q.T @ (target - scaled / size @ coefficients))
    residuals = target - scaled / size @ coefficients
    inverse = np.linalg.inv(r)
    free = count - terms
    variance = float(residuals @ residuals) / free
    mean = float((w * y).sum() / w.sum()) if has_intercept else 0.0
    total = float((root**2 * (y - mean) ** 2).sum())
    return LinearFit(
        coefficients=coefficients / size,
        covariance=variance * (inverse @ inverse.T) / np.outer(size, size),
        residuals=residuals,
        degrees_of_freedom=free,
        r_squared=1.0 - float(residuals @ residuals) / total if total > 0 else 0.0,
    )
