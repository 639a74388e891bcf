"""Seeded draws of everything uncertain: the same scores for every state, measure and package."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtri

FloatArray = NDArray[np.float64]
DRAWS = 1024
SEED = 20_250_301
FURTHEST_SCORE = 3.0


def scores(count: int, columns: int, *, seed: int = SEED) -> FloatArray:
    """Standard normal scores, shape (count, columns), stratified in every column.

    One value from each of `count` slices of equal probability, in an order of its own per column
    (Latin hypercube), so that a percentile of a sum settles with far fewer draws than free ones.
    """
    rng = np.random.default_rng(seed)
    order = np.argsort(rng.random((columns, count)), axis=1).T
    share = (order + rng.random((count, columns))) / count
    found: FloatArray = np.clip(ndtri(share), -FURTHEST_SCORE, FURTHEST_SCORE)
    return found


@dataclass(frozen=True)
class Percentiles:
    """10th, 50th and 90th percentile of a quantity."""

    low: float
    middle: float
    high: float


def percentiles(values: FloatArray) -> Percentiles:
    """10th, 50th and 90th percentile of draws."""
    low, middle, high = np.percentile(values, [10.0, 50.0, 90.0])
    return Percentiles(float(low), float(middle), float(high))


def two_sided(low: float, middle: float, high: float, z: FloatArray) -> FloatArray:
    """A quantity whose 10th, 50th and 90th percentile are given, at standard scores."""
    unit = 1.2815515655446004
    width = np.where(z < 0.0, (middle - low) / unit, (high - middle) / unit)
    found: FloatArray = np.maximum(middle + width * z, 0.0)
    return found
