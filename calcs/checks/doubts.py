"""Rows whose published value was recomputed from first principles and came out differently.

Such a row is neither passed nor failed: the code is right by the recomputation and off by the
printed value, or meets it only inside a wide tolerance. Each entry says what the recomputation
gave and why the two differ; `tests/calcs/test_checks_independent.py` does it again with an
independent library.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType


@dataclass(frozen=True)
class Doubt:
    """What an independent recomputation gives, in the row's unit, and why it differs."""

    recomputed: float
    reason: str


DOUBTS: Mapping[str, Doubt] = MappingProxyType({})
