"""A version of a rule set, read from its JSON form and checked throughout."""

import hashlib
import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

from portal.core.rules.conditions import ListField
from portal.core.rules.faults import RuleSetFault
from portal.core.rules.gates import Gate, compile_gates
from portal.core.rules.measures import MeasureRule
from portal.core.rules.policies import Policies, compile_policies
from portal.core.rules.quantities import Named
from portal.core.rules.scene import Scene
from portal.core.rules.sources import KINDS, Field, Source, built_ins
from portal.core.rules.splits import Budgets, FuelSplit, Payee
from portal.core.rules.syntax import Syntax
from portal.core.rules.totals import Bonus, Deduct, Limit, TotalStep
from portal.core.rules.units import OwnerPart, UnitCap
from portal.core.rules.values import Days, add_days, number, plain_number
from portal.core.rules.words import PHRASES

_KEYS = {
    "id", "version", "title", "asks", "effective", "time_zone", "key_date", "fields", "tables",
    "quantities", "gates", "line_gates", "measures", "totals", "budgets", "fuel_split", "payee",
    "reservation", "policies", "texts", "phrases", "shows", "shares",
}  # fmt: skip
# What a file of shared data may hold; a rule set stored for good holds it all itself.
SHARED_KEYS = {"fields", "tables", "texts", "phrases", "quantities", "time_zone"}

_TOTALS: dict[str, type[TotalStep]] = {
    "bonus": Bonus,
    "limit": Limit,
    "deduct": Deduct,
    "unit_cap": UnitCap,
    "owner_part": OwnerPart,
}


@dataclass(frozen=True, slots=True)
class Reservation:
    """How long reserved money is held, and by which facts that is counted."""

    days: int
    extension_days: int
    reserved_on: Source
    extension_asked_on: Source
    completed_on: Source

    def expiry(self, scene: Scene) -> date | None:
        """The last day on which the reservation holds, or None without one."""
        reserved = _one_day(self.reserved_on.read(scene))
        if reserved is None:
            return None
        expiry = add_days(reserved, self.days)
        asked = _one_day(self.extension_asked_on.read(scene))
        return add_days(expiry, self.extension_days) if asked and asked <= expiry else expiry

    def lapsed_on(self, scene: Scene) -> Days | None:
        """The day the work was completed, if that was after the expiry."""
        expiry, completed = self.expiry(scene), _one_day(self.completed_on.read(scene))
        if expiry is None or completed is None or completed <= expiry:
            return None
        return completed, completed


def _one_day(value: Any) -> date | None:
    """A day known exactly."""
    return value[0] if isinstance(value, tuple) and value[0] == value[1] else None


@dataclass(frozen=True, slots=True)
class RuleSet:
    """One version of one rule set, ready to be asked. Never edited; a change is a new version."""

    id: str
    version: int
    title: str
    is_about_money: bool
    first_day: date
    last_day: date
    zone: str
    key_date: Source
    gates: tuple[Gate, ...]
    measures: tuple[MeasureRule, ...]
    by_measure: Mapping[str, MeasureRule]
    totals: tuple[TotalStep, ...]
    budgets: Budgets | None
    fuel_split: FuelSplit | None
    payee: Payee | None
    reservation: Reservation | None
    policies: Policies
    shows: tuple[Source, ...]
    sources: Mapping[str, Source]
    texts: Mapping[str, Any]
    phrases: Mapping[str, str]
    document: Mapping[str, Any]
    fingerprint: str

    def covers(self, day: Days) -> bool:
        """Whether the version is in force on a day (on all days meant)."""
        return self.first_day <= day[0] and day[1] <= self.last_day


def load_rule_set(document: Any, *, shared: Mapping[str, Any] | None = None) -> RuleSet:
    """Read a rule set; raises RuleSetFault with the path of the first fault.

    ``shared`` is the program's common data (fields, tables, texts). The set's own entries go
    before them, and ``RuleSet.document`` holds both, so that a stored version needs no other.
    """
    whole = merged(document, shared)
    zone = str(whole.get("time_zone", "America/New_York"))
    sources, lists = _read_fields(whole.get("fields", {}), "fields")
    phrases = {**PHRASES, **_texts_of(whole.get("phrases", {}), "phrases")}
    for name in phrases:
        if name not in PHRASES:
            raise RuleSetFault(f"phrases.{name}", "no phrase of that name")
    texts = whole.get("texts", {})
    if not isinstance(texts, dict):
        raise RuleSetFault("texts", "needs a table")
    syntax = Syntax(sources=sources, lists=lists, tables=whole.get("tables", {}), zone=zone)
    _read_quantities(whole.get("quantities", []), syntax)
    line_gates = _read_line_gates(whole.get("line_gates", []), syntax, texts)
    measures = _read_measures(whole.get("measures", []), syntax, texts, line_gates)
    first, last = _period(whole)
    encoded = json.dumps(_canonical(whole), sort_keys=True, ensure_ascii=False).encode()
    return RuleSet(
        id=_text_of(whole, "id"),
        version=_version_of(whole),
        title=_text_of(whole, "title"),
        is_about_money=syntax.word(whole, "asks", "$", {"money", "eligibility"}) == "money",
        first_day=first,
        last_day=last,
        zone=zone,
        key_date=syntax.value(whole.get("key_date"), "key_date", kind="day"),
        gates=compile_gates(whole.get("gates", []), "gates", syntax, texts),
        measures=measures,
        by_measure={name: rule for rule in measures for name in rule.covers},
        totals=_read_totals(whole.get("totals", []), syntax),
        budgets=Budgets(whole["budgets"], "budgets", syntax) if "budgets" in whole else None,
        fuel_split=(
            FuelSplit(whole["fuel_split"], "fuel_split", syntax) if "fuel_split" in whole else None
        ),
        payee=Payee(whole["payee"], "payee", syntax) if "payee" in whole else None,
        reservation=_read_reservation(whole.get("reservation"), syntax),
        policies=compile_policies(whole.get("policies", {}), "policies", syntax),
        shows=tuple(
            syntax.value(name, f"shows[{index}]")
            for index, name in enumerate(whole.get("shows", []))
        ),
        sources=sources,
        texts=texts,
        phrases=phrases,
        document=whole,
        fingerprint=hashlib.sha256(encoded).hexdigest(),
    )


def read_rule_set(path: Path) -> RuleSet:
    """A rule set from its file, with the shared data it names (a file beside it)."""
    document = json.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    shared = None
    if isinstance(document, dict) and "shares" in document:
        name = document["shares"]
        if not isinstance(name, str) or Path(name).name != name:
            raise RuleSetFault("shares", "needs the name of a file in the same folder")
        shared = json.loads((path.parent / name).read_text(encoding="utf-8"), parse_float=Decimal)
    return load_rule_set(document, shared=shared)


def merged(document: Any, shared: Mapping[str, Any] | None) -> dict[str, Any]:
    """The rule set with the shared data written into it."""
    if not isinstance(document, dict):
        raise RuleSetFault("$", "a rule set is an object")
    for key in document:
        if key not in _KEYS:
            raise RuleSetFault(key, "not known in a rule set")
    whole = {key: value for key, value in document.items() if key != "shares"}
    for key, value in (shared or {}).items():
        if key not in SHARED_KEYS:
            raise RuleSetFault(f"shared.{key}", "not known in shared data")
        own = whole.get(key)
        if own is None:
            whole[key] = value
        elif isinstance(own, dict) and isinstance(value, dict):
            whole[key] = {**value, **own}
        elif isinstance(own, list) and isinstance(value, list):
            whole[key] = [*value, *own]
    return whole


def _canonical(value: Any) -> Any:
    """The document with each number in one spelling, however it was stored."""
    if isinstance(value, dict):
        return {key: _canonical(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_canonical(item) for item in value]
    if isinstance(value, Decimal | float | int) and not isinstance(value, bool):
        read = number(value)
        return {"number": plain_number(read) if read is not None else repr(value)}
    return value


def _read_fields(raw: Any, path: str) -> tuple[dict[str, Source], dict[str, ListField]]:
    if not isinstance(raw, dict) or not raw:
        raise RuleSetFault(path, "needs the table of fields")
    sources, lists = built_ins(), {}
    for name, spec in raw.items():
        where = f"{path}.{name}"
        known = {"kind", "unit", "label", "least", "is_zero_refused"}
        if not isinstance(spec, dict) or set(spec) - known:
            raise RuleSetFault(where, f"needs an object of {', '.join(sorted(known))}")
        kind = spec.get("kind")
        if kind not in KINDS:
            raise RuleSetFault(f"{where}.kind", f"needs one of {', '.join(KINDS)}")
        if (kind == "list") is ("." in name) or name.count(".") > 1:
            raise RuleSetFault(where, "a field is section.key; a list stands alone")
        label = str(spec.get("label", name))
        if kind == "list":
            lists[name] = ListField(name, kind="list", label=label)
            continue
        least = number(spec["least"]) if "least" in spec else None
        sources[name] = Field(
            name,
            kind=kind,
            unit=str(spec.get("unit", "")),
            label=label,
            least=least,
            is_zero_refused=spec.get("is_zero_refused") is True,
        )
    return sources, lists


def _read_quantities(raw: Any, syntax: Syntax) -> None:
    if not isinstance(raw, list):
        raise RuleSetFault("quantities", "needs a list")
    for index, spec in enumerate(raw):
        path = f"quantities[{index}]"
        syntax.only(spec, path, {"name", "is", "label", "unit"})
        name = spec.get("name")
        if not isinstance(name, str) or name.count(".") != 1 or name in syntax.sources:
            raise RuleSetFault(f"{path}.name", "needs a new name of the form section.key")
        if name.startswith("line."):
            with syntax.inside("line"):
                shape = syntax.value(spec.get("is"), f"{path}.is")
        else:
            shape = syntax.value(spec.get("is"), f"{path}.is")
        syntax.sources[name] = Named(
            name, shape, label=str(spec.get("label", "")), unit=str(spec.get("unit", ""))
        )


def _read_line_gates(
    raw: Any, syntax: Syntax, texts: dict[str, Any]
) -> list[tuple[frozenset[str], Gate]]:
    """Gates of every line, each with the measures it is not for."""
    if not isinstance(raw, list):
        raise RuleSetFault("line_gates", "needs a list of gates")
    gates = []
    for index, spec in enumerate(raw):
        path = f"line_gates[{index}]"
        if not isinstance(spec, dict):
            raise RuleSetFault(path, "needs a gate")
        besides = spec.get("all_but", [])
        if not isinstance(besides, list):
            raise RuleSetFault(f"{path}.all_but", "needs a list of measures")
        rest = {key: value for key, value in spec.items() if key != "all_but"}
        with syntax.inside("line"):
            gates.append((frozenset(besides), Gate(rest, path, syntax, texts)))
    return gates


def _read_measures(
    raw: Any,
    syntax: Syntax,
    texts: dict[str, Any],
    line_gates: list[tuple[frozenset[str], Gate]],
) -> tuple[MeasureRule, ...]:
    if not isinstance(raw, list):
        raise RuleSetFault("measures", "needs a list")
    rules: list[MeasureRule] = []
    seen: set[str] = set()
    for index, spec in enumerate(raw):
        path = f"measures[{index}]"
        if not isinstance(spec, dict) or not isinstance(spec.get("name"), str):
            raise RuleSetFault(f"{path}.name", "needs the measure's name")
        rest = {key: value for key, value in spec.items() if key != "name"}
        shared = tuple(gate for besides, gate in line_gates if spec["name"] not in besides)
        rule = MeasureRule(spec["name"], rest, path, syntax, texts, shared)
        for name in rule.covers:
            if name in seen:
                raise RuleSetFault(path, f"{name!r} has rules already")
            seen.add(name)
        rules.append(rule)
    return tuple(rules)


def _read_totals(raw: Any, syntax: Syntax) -> tuple[TotalStep, ...]:
    if not isinstance(raw, list):
        raise RuleSetFault("totals", "needs a list")
    steps: list[TotalStep] = []
    for index, spec in enumerate(raw):
        path = f"totals[{index}]"
        do = spec.get("do") if isinstance(spec, dict) else None
        if do not in _TOTALS:
            raise RuleSetFault(f"{path}.do", f"needs one of {', '.join(sorted(_TOTALS))}")
        with syntax.due_at(spec.get("due"), path):
            step = _TOTALS[do](spec, path, syntax)
        if steps and step.order < steps[-1].order:
            raise RuleSetFault(
                f"{path}.order", "bonuses come before home limits, and these before stacking"
            )
        steps.append(step)
    return tuple(steps)


def _read_reservation(raw: Any, syntax: Syntax) -> Reservation | None:
    if raw is None:
        return None
    path = "reservation"
    syntax.only(
        raw, path, {"days", "extension_days", "reserved_on", "extension_asked_on", "completed_on"}
    )
    return Reservation(
        days=int(syntax.number(raw, "days", path)),
        extension_days=int(syntax.number(raw, "extension_days", path)),
        reserved_on=syntax.value(raw.get("reserved_on"), f"{path}.reserved_on", kind="day"),
        extension_asked_on=syntax.value(
            raw.get("extension_asked_on"), f"{path}.extension_asked_on", kind="day"
        ),
        completed_on=syntax.value(raw.get("completed_on"), f"{path}.completed_on", kind="day"),
    )


def _period(whole: Mapping[str, Any]) -> tuple[date, date]:
    raw = whole.get("effective")
    try:
        first = date.fromisoformat(raw["from"])  # type: ignore[index]  # a fault is caught below
        last = date.fromisoformat(raw["to"])  # type: ignore[index]  # a fault is caught below
    except (TypeError, KeyError, ValueError):
        raise RuleSetFault("effective", "needs from and to, each YYYY-MM-DD") from None
    if last < first:
        raise RuleSetFault("effective.to", "is before the first day")
    return first, last


def _text_of(whole: Mapping[str, Any], key: str) -> str:
    value = whole.get(key)
    if not isinstance(value, str) or not value:
        raise RuleSetFault(key, "needs a text")
    return value


def _texts_of(raw: Any, path: str) -> dict[str, str]:
    if not isinstance(raw, dict) or not all(isinstance(item, str) for item in raw.values()):
        raise RuleSetFault(path, "needs a table of texts")
    return raw


def _version_of(whole: Mapping[str, Any]) -> int:
    value = whole.get("version")
    if type(value) is not int or value < 1:
        raise RuleSetFault("version", "needs a whole number from 1")
    return value
