"""Exceptions of the numerical package."""

from __future__ import annotations


class CalcsError(Exception):
    """Anything that stops a calculation; the message is fit to be shown."""


class InputError(CalcsError, ValueError):
    """A value outside what the formula or the record allows."""
