"""Refusals shared by the formulas: out of range raises, nothing is clipped in silence."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TypeVar

from calcs.errors import InputError

T = TypeVar("T")


def require_finite(value: float, what: str) -> float:
    """Return `value`; raise InputError when it is not a finite number."""
    if not math.isfinite(value):
        raise InputError(f"{what} must be a finite number, got {value!r}")
    return float(value)


def require_positive(value: float, what: str, unit: str) -> float:
    """Return `value`; raise InputError unless it is above zero."""
    require_finite(value, what)
    if value <= 0:
        raise InputError(f"{what} must be above 0 {unit}, got {value:g}")
    return float(value)


def require_not_negative(value: float, what: str, unit: str) -> float:
    """Return `value`; raise InputError when it is below zero."""
    require_finite(value, what)
    if value < 0:
        raise InputError(f"{what} must not be below 0 {unit}, got {value:g}")
    return float(value)


def require_within(value: float, low: float, high: float, what: str, unit: str) -> float:
    """Return `value`; raise InputError unless low <= value <= high."""
    require_finite(value, what)
    if not low <= value <= high:
        raise InputError(f"{what} must be from {low:g} to {high:g} {unit}, got {value:g}")
    return float(value)


def require_known(table: Mapping[str, T], key: str, what: str) -> T:
    """Return `table[key]`; raise InputError that lists the known keys."""
    try:
        return table[key]
    except KeyError:
        known = ", ".join(sorted(table))
        raise InputError(f"unknown {what} {key!r}; known: {known}") from None
