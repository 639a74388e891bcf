"""The ruling: what the rules say about one set of facts, with every step that led there."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, fields
from decimal import Decimal
from typing import Any

# Best first. A line takes the worst of its findings, a request the best of its lines.
OUTCOMES = ("payable", "hold", "shortfall", "deferred", "denied")


@dataclass(frozen=True, slots=True)
class Need:
    """One condition that is not met: the fact, what it is and what it would have to be."""

    field: str
    label: str
    test: str
    needed: str
    had: str
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Finding:
    """One missing or failed condition.

    ``kind`` is failed, missing (due now), later (not due at this stage), held, deferred or asked.
    ``needs`` lists the facts concerned; with ``any_one`` meeting one of them is enough.
    """

    rule: str
    kind: str
    words: str
    fix: str = ""
    line: str = ""
    reference: str = ""
    needs: tuple[Need, ...] = ()
    any_one: bool = False
    alternatives: tuple[str, ...] = ()
    ask: str = ""


@dataclass(frozen=True, slots=True)
class Step:
    """One rule asked: what it saw, what it said, the amount after it."""

    rule: str
    saw: Mapping[str, str]
    outcome: str
    amount_usd: Decimal | None
    words: str
    line: str = ""
    order: int = 0


@dataclass(frozen=True, slots=True)
class Reduction:
    """An amount taken off a line by a limit, with the limit's name."""

    rule: str
    name: str
    amount_usd: Decimal


@dataclass(frozen=True, slots=True)
class RulingLine:
    """A measure, a bonus or the whole package, with what the program pays for it.

    ``kind`` is measure, cost (counted in the package, paid through it) or bonus.
    ``calculated_usd`` is what the rules come to, ``amount_usd`` what may be paid or reserved now.
    """

    line: str
    measure: str
    kind: str
    outcome: str
    amount_usd: Decimal
    calculated_usd: Decimal
    eligible_usd: Decimal | None = None
    owner_usd: Decimal | None = None
    budget: str = ""
    reductions: tuple[Reduction, ...] = ()


@dataclass(frozen=True, slots=True)
class Ruling:
    """The answer of one rule set version to one set of facts."""

    rule_set: str
    version: int
    stage: str
    key_date: str
    outcome: str
    total_usd: Decimal
    calculated_usd: Decimal
    owner_usd: Decimal
    lines: tuple[RulingLine, ...]
    fuel_split: Mapping[str, Decimal]
    budgets: Mapping[str, Decimal]
    payee: str
    findings: tuple[Finding, ...] = ()
    notes: tuple[str, ...] = ()
    values: Mapping[str, str] = field(default_factory=dict)
    steps: tuple[Step, ...] = ()
    fingerprint: str = ""

    @property
    def is_estimate(self) -> bool:
        """Whether the amounts rest on planned quantities and promise nothing."""
        return self.stage == "estimate"

    @property
    def is_yes(self) -> bool:
        """Whether anything may be paid, or the household is eligible."""
        return self.outcome in {"payable", "eligible"}

    @property
    def shortfalls(self) -> tuple[Finding, ...]:
        """What is missing now."""
        return tuple(found for found in self.findings if found.kind == "missing")

    def line(self, name: str) -> RulingLine:
        """The line of that id, or the first of that measure."""
        for candidate in self.lines:
            if candidate.line == name:
                return candidate
        for candidate in self.lines:
            if candidate.measure == name:
                return candidate
        raise KeyError(name)


def ruling_to_dict(ruling: Ruling) -> dict[str, Any]:
    """The ruling as JSON can hold it; money as strings, so that no cent is lost."""
    return _to_json(asdict(ruling))


def _to_json(value: Any) -> Any:
    if isinstance(value, Decimal):
        return format(value, "f")
    if isinstance(value, dict):
        return {key: _to_json(item) for key, item in value.items()}
    if isinstance(value, list | tuple):
        return [_to_json(item) for item in value]
    return value


_MONEY = {"amount_usd", "calculated_usd", "eligible_usd", "owner_usd", "total_usd"}


def ruling_from_dict(stored: Mapping[str, Any]) -> Ruling:
    """The ruling a stored document holds; the other way round of ``ruling_to_dict``."""
    content = dict(stored)
    content["lines"] = tuple(
        _build(RulingLine, {**line, "reductions": _each(Reduction, line["reductions"])})
        for line in stored["lines"]
    )
    content["findings"] = tuple(
        _build(
            Finding,
            {
                **found,
                "needs": _each(Need, found["needs"]),
                "alternatives": tuple(found["alternatives"]),
            },
        )
        for found in stored["findings"]
    )
    content["steps"] = _each(Step, stored["steps"])
    content["notes"] = tuple(stored["notes"])
    for split in ("fuel_split", "budgets"):
        content[split] = {name: Decimal(amount) for name, amount in stored[split].items()}
    return _build(Ruling, content)


def _each(kind: type[Any], stored: list[Mapping[str, Any]]) -> tuple[Any, ...]:
    return tuple(_build(kind, item) for item in stored)


def _build(kind: type[Any], stored: Mapping[str, Any]) -> Any:
    known = {item.name for item in fields(kind)}
    return kind(
        **{
            name: Decimal(value) if name in _MONEY and value is not None else value
            for name, value in stored.items()
            if name in known
        }
    )
