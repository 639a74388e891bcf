"""Published ranges and the rows that set results beside them."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from pathlib import Path

DATA = Path(__file__).parents[1] / "data"

# Results by case, then quantity. A case of a difference is written "A-B".
Results = dict[str, dict[str, float]]


@dataclass(frozen=True, kw_only=True)
class Range:
    """Least and greatest published value of one quantity of one case, ends included."""

    case: str
    quantity: str
    low: float
    high: float


@dataclass(frozen=True, kw_only=True)
class Row:
    """What the model gives, beside the published range where there is one."""

    case: str
    quantity: str
    got: float
    low: float | None = None
    high: float | None = None

    @property
    def is_inside(self) -> bool | None:
        """Whether the result lies in the range, ends included; None without a range."""
        if self.low is None or self.high is None:
            return None
        return self.low <= self.got <= self.high


@cache
def published_ranges(file: str, part: str = "ranges") -> tuple[Range, ...]:
    """Ranges of a file of ``calcs/data``: its part "ranges", or another such as "acceptance"."""
    content = json.loads((DATA / file).read_text(encoding="utf-8"))
    return tuple(
        Range(
            case=item["case"],
            quantity=item["quantity"],
            low=float(item["low"]),
            high=float(item["high"]),
        )
        for item in content[part]
    )


def value_of(results: Results, case: str, quantity: str) -> float | None:
    """A quantity of a case, or of "A-B" the difference; None when it was not run."""
    if case in results:
        return results[case].get(quantity)
    first, _, second = case.partition("-")
    if first in results and second in results:
        one, other = results[first].get(quantity), results[second].get(quantity)
        return None if one is None or other is None else one - other
    return None


def set_beside(results: Results, ranges: tuple[Range, ...], *, always: frozenset[str]) -> list[Row]:
    """Rows for every range that the results meet, then results of ``always`` without a range."""
    rows = []
    for item in ranges:
        got = value_of(results, item.case, item.quantity)
        if got is not None:
            rows.append(
                Row(
                    case=item.case, quantity=item.quantity, got=got, low=item.low, high=item.high
                )
            )  # fmt: skip
    have = {(item.case, item.quantity) for item in ranges}
    rows += [
        Row(case=case, quantity=quantity, got=got)
        for case, values in results.items()
        for quantity, got in values.items()
        if quantity in always and (case, quantity) not in have
    ]
    return rows
