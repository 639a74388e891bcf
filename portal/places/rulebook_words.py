"""A rule set read aloud: each condition of a stored document as a sentence.

The words come from the document itself (titles, labels of its facts, its numbers), so a rule that
is published later needs no code here.
"""

from collections.abc import Iterator, Mapping
from decimal import Decimal
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.core.money import usd

COMPARISONS: Mapping[str, str | Promise] = {
    "equals": _lazy("is"),
    "one_of": _lazy("is one of"),
    "not_one_of": _lazy("is none of"),
    "at_least": _lazy("is at least"),
    "at_most": _lazy("is at most"),
    "above": _lazy("is above"),
    "below": _lazy("is below"),
    "on_or_after": _lazy("is on or after"),
    "on_or_before": _lazy("is on or before"),
    "after": _lazy("is after"),
    "before": _lazy("is before"),
    "yes": _lazy("– yes"),
    "no": _lazy("– no"),
    "known": _lazy("is known"),
}


def groups(body: Mapping[str, Any]) -> list[dict[str, Any]]:
    """The document's rules by what they are about: title, and each rule's words and reference."""
    labels = _labels(body)
    found = [
        (_("For every request"), [_gate(gate, labels) for gate in body.get("gates", [])]),
        (_("For every line"), [_gate(gate, labels) for gate in body.get("line_gates", [])]),
    ]
    for measure in body.get("measures", []):
        rules = [_gate(gate, labels) for gate in measure.get("gates", [])]
        # Rounding to whole cents is said of every amount once, not as a rule.
        steps = [step for step in measure.get("amount", []) if step.get("do") != "round"]
        rules += [_amount(step, labels) for step in steps]
        found.append((str(measure.get("title") or measure["name"]), rules))
    found.append((_("On the sum"), [_amount(step, labels) for step in body.get("totals", [])]))
    return [{"title": title, "rules": rules} for title, rules in found if rules]


def _labels(body: Mapping[str, Any]) -> dict[str, str]:
    labels = {name: str(spec.get("label") or name) for name, spec in body.get("fields", {}).items()}
    for quantity in body.get("quantities", []):
        labels[quantity["name"]] = str(quantity.get("label") or quantity["name"])
    return labels


def _gate(gate: Mapping[str, Any], labels: Mapping[str, str]) -> dict[str, str]:
    said = "; ".join(_said(gate.get("condition", {}), labels))
    return _rule(gate, f"{gate.get('title', gate['id'])}: {said}" if said else gate["title"])


def _amount(step: Mapping[str, Any], labels: Mapping[str, str]) -> dict[str, str]:
    name = str(step.get("name", step.get("id", "")))
    parts = list(_figures(step, labels))
    return _rule(step, f"{name}: {', '.join(parts)}" if parts else name)


def _rule(spec: Mapping[str, Any], words: str) -> dict[str, str]:
    return {"words": words, "id": str(spec.get("reference") or spec.get("id", ""))}


def _figures(step: Mapping[str, Any], labels: Mapping[str, str]) -> Iterator[str]:
    """The money, share or factor a step works with."""
    if "usd" in step and not isinstance(step["usd"], dict | list):
        yield _money(step["usd"], labels)
    if "quantity" in step:
        unit = {"ft2": "ft²"}.get(str(step.get("unit", "")), str(step.get("unit", "")))
        yield _("for each %(unit)s") % {"unit": unit or _value(step["quantity"], labels)}
    for band in step.get("bands", []):
        if "usd" in band:
            yield f"{_money(band['usd'], labels)} {_band(band)}".strip()
    if "share" in step and not isinstance(step["share"], dict | list):
        yield _value(step["share"], labels)
    if "by" in step and step.get("do") == "multiply" and not isinstance(step["by"], dict | list):
        yield _("times %(factor)s") % {"factor": _value(step["by"], labels)}
    if "to" in step and isinstance(step["to"], str):
        yield _("at most %(limit)s") % {"limit": _value(step["to"], labels)}
    if "when" in step:
        yield _("when %(condition)s") % {"condition": "; ".join(_said(step["when"], labels))}
    for part in step.get("amount", []):
        yield from _figures(part, labels)


def _money(amount: Any, labels: Mapping[str, str]) -> str:
    """An amount in dollars; one that is a fact by its label."""
    if isinstance(amount, str):
        return _value(amount, labels)
    return usd(Decimal(str(amount)))


def _band(band: Mapping[str, Any]) -> str:
    """Where a band lies."""
    ends = {end: _value(band[end], {}) for end in ("above", "at_most") if end in band}
    if len(ends) == 2:
        return _("above %(above)s, up to %(at_most)s") % ends
    if "at_most" in ends:
        return _("up to %(at_most)s") % ends
    return _("above %(above)s") % ends if ends else ""


def _said(condition: Mapping[str, Any], labels: Mapping[str, str]) -> Iterator[str]:
    """The parts of a condition that have to hold together."""
    if "all" in condition:
        for part in condition["all"]:
            yield from _said(part, labels)
    elif "any" in condition:
        parts = [", ".join(_said(part, labels)) for part in condition["any"]]
        yield _(" — or ").join(part for part in parts if part)
    elif "not" in condition:
        yield _("not: %(part)s") % {"part": ", ".join(_said(condition["not"], labels))}
    elif "paid_measures" in condition:
        named = ", ".join(str(name).replace("_", " ") for name in condition["paid_measures"])
        yield _("paid with it: %(measures)s") % {"measures": named}
    elif "no_item_of" in condition:
        yield _("no earlier one where %(part)s") % {
            "part": ", ".join(_said(condition.get("where", {}), labels))
        }
    elif "field" in condition:
        yield _comparison(condition, labels)


def _comparison(condition: Mapping[str, Any], labels: Mapping[str, str]) -> str:
    field = _value(condition["field"], labels)
    how = str(COMPARISONS.get(condition["is"], str(condition["is"]).replace("_", " ")))
    unit = str(condition.get("unit", ""))
    if "values" in condition:
        what = ", ".join(_value(value, labels) for value in condition["values"])
    elif "value_of" in condition:
        what = _value(condition["value_of"], labels)
        if "plus" in condition:
            what += f" + {condition['plus']} {unit}"
        unit = ""
    elif "value" in condition:
        what = _value(condition["value"], labels)
    else:
        what = unit = ""
    whole = f" {_('of')} {_value(condition['of'], labels)}" if "of" in condition else ""
    return " ".join(word for word in (field, how, what, unit) if word) + whole


def _value(value: Any, labels: Mapping[str, str]) -> str:
    """A figure or a choice as it is read; a fact by its label."""
    if isinstance(value, bool):
        return _("yes") if value else _("no")
    if isinstance(value, int | float | Decimal):
        return f"{value:,f}".rstrip("0").rstrip(".") if value % 1 else f"{value:,.0f}"
    text = str(value)
    return labels.get(text, text.split(".")[-1].replace("_", " ") if "." in text else text).replace(
        "_", " "
    )
