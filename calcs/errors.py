"""Exceptions of the numerics."""

from __future__ import annotations


class CalcsError(Exception):
    """Anything that stops a calculation."""


class InputError(CalcsError, ValueError):
    """An input is missing, malformed or outside the range it can have.

    The message names the quantity, the limit and the unit, so that it can be shown to the person
    who typed the value.
    """


class ConvergenceError(CalcsError):
    """An iteration did not settle; the result would not be trustworthy."""
