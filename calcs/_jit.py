"""Compilation of the hot loops, kept on disk where a place to keep it can be written."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from numba import njit

# Multiply-and-add may be fused, which is nearer to the exact value; no other liberty is taken.
STRICT = {"contract"}
# Sums may also be taken in another order, so that several lanes are worked at once. Not a number
# and infinity keep their meaning.
LOOSE = {"contract", "reassoc", "nsz", "arcp"}


def compiled(function: Callable[..., Any]) -> Any:
    """Compile a loop with numba; the plain Python version stays at ``.py_func``.

    The compiled code is stored beside the source, in NUMBA_CACHE_DIR or in the user's cache. When
    none of these can be written (a read-only checkout under a service account) numba refuses to
    decorate at all; then it is compiled anew in each process.
    """
    return _compiled(function, STRICT)


def compiled_loosely(function: Callable[..., Any]) -> Any:
    """As ``compiled``, with sums in whatever order is quickest."""
    return _compiled(function, LOOSE)


def _compiled(function: Callable[..., Any], liberties: set[str]) -> Any:
    try:
        return njit(cache=True, error_model="numpy", fastmath=liberties)(function)
    except RuntimeError:
        return njit(error_model="numpy", fastmath=liberties)(function)
