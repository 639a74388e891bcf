"""Schedules of the network: one number, 8760 hour means or 35040 quarter-hour means."""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from calcs.errors import InputError

HOURS = 8760
QUARTERS = 4 * HOURS

FloatArray = NDArray[np.float64]
Schedule = float | FloatArray


def schedule(name: str, value: ArrayLike, *, low: float = -math.inf) -> FloatArray:
    """Return a schedule as a read-only array of shape (8760,) or (35040,).

    Raises
    ------
    InputError
        Wrong length, a value that is not finite, or one below ``low``.
    """
    array = np.array(value, dtype=np.float64)
    if array.ndim == 0:
        return _steady(name, float(array), low)
    if array.shape not in ((HOURS,), (QUARTERS,)):
        raise InputError(f"{name} must be one number, {HOURS} or {QUARTERS} values: {array.shape}")
    if not np.isfinite(array).all():
        raise InputError(f"{name} has a value that is not a finite number")
    if array.min() < low:
        raise InputError(f"{name} must be at least {low:g}, got {array.min():g}")
    array.setflags(write=False)
    return array


@lru_cache(maxsize=512)
def _steady(name: str, value: float, low: float) -> FloatArray:
    """One number all year."""
    return schedule(name, np.full(HOURS, value), low=low)


def put(instance: object, **values: object) -> None:
    """Set attributes of a frozen dataclass while it is being made."""
    for name, value in values.items():
        object.__setattr__(instance, name, value)
