"""Rows of published values as data: what was asked, what the source says, how it was obtained."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from typing import Any

from calcs.errors import InputError

PROVENANCES = ("read", "computed", "memory")


@dataclass(frozen=True)
class CheckRow:
    """One published value. `tolerance` None means an exact text, 0 means the digits given."""

    id: str
    topic: str
    quantity: str
    inputs: Mapping[str, Any]
    expected: float | str
    unit: str
    tolerance: float | None
    source: str
    provenance: str

    def __post_init__(self) -> None:
        if self.provenance not in PROVENANCES:
            raise InputError(f"{self.id}: unknown provenance {self.provenance!r}")
        if not self.source:
            raise InputError(f"{self.id}: a check without a source")


def load_rows() -> tuple[CheckRow, ...]:
    """All rows of data/checks.json, in order."""
    text = files("calcs").joinpath("data/checks.json").read_text(encoding="utf-8")
    return tuple(CheckRow(**row) for row in json.loads(text))


def agrees(got: float | str, row: CheckRow) -> bool:
    """Whether a value meets its row.

    A text must be equal. Tolerance 0 compares six significant digits, which is what the rows
    carry; otherwise the difference is compared unrounded.
    """
    if isinstance(row.expected, str) or row.tolerance is None:
        return got == row.expected
    if isinstance(got, str) or got != got:
        return False
    if row.tolerance == 0:
        return float(f"{got:.6g}") == float(f"{row.expected:.6g}")
    return abs(got - row.expected) <= row.tolerance
