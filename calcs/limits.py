"""Published limits, and what a program has adopted in their place.

A limit is a number that decides whether work stops or money is paid. It carries its unit, its
edition, where it comes from and how it was obtained. A program that has the document before it
adopts its own value; the functions of `calcs` take what is adopted as an argument and know of no
database.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

ADOPTED = "adopted"


@dataclass(frozen=True)
class Limit:
    """One published limit. `sense` says which side passes; equal to the limit passes."""

    key: str
    value: float
    unit: str
    sense: str  # "at_most", "at_least"; pressures compare by sign
    source: str
    provenance: str  # "read", "memory", or "adopted" by the program
    edition: str = ""

    @property
    def stricter(self) -> str:
        """Which way is stricter: "lower" or "higher"."""
        return "lower" if self.sense == "at_most" else "higher"


@dataclass(frozen=True)
class Adopted:
    """A value a program has adopted: proposed by one administrator, confirmed by another.

    `value` is None for a table confirmed as it stands.
    """

    value: float | None
    edition: str
    document: str
    on: str  # ISO date

    @property
    def source(self) -> str:
        """Document and edition, as a report names them."""
        return ", ".join(part for part in (self.document, self.edition) if part)


@dataclass(frozen=True)
class Limits:
    """The values in effect: what the program adopted, by key, over what is published."""

    adopted: Mapping[str, Adopted] = field(default_factory=dict)

    def apply(self, limit: Limit) -> Limit:
        """A limit as it is in effect."""
        found = self.adopted.get(limit.key)
        if found is None or found.value is None:
            return limit
        return replace(
            limit,
            value=found.value,
            source=found.source,
            edition=found.edition,
            provenance=ADOPTED,
        )

    def value(self, key: str, published: float) -> float:
        """A number as it is in effect."""
        found = self.adopted.get(key)
        return published if found is None or found.value is None else found.value

    def plain(self) -> dict[str, Any]:
        """As plain values, for a document."""
        return {
            key: [item.value, item.edition, item.document, item.on]
            for key, item in self.adopted.items()
        }

    @classmethod
    def from_plain(cls, plain: Mapping[str, Any]) -> Limits:
        """What `plain` made."""
        return cls({key: Adopted(*values) for key, values in plain.items()})


PUBLISHED = Limits()
