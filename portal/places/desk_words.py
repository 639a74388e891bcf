"""What the Desk says of requests, rulings and claims."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import Any

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.core.money import usd
from portal.core.rules import Finding, Ruling, Step
from portal.core.rules.values import spoken, spoken_unit
from portal.core.templatetags.words import day, moment, short_day
from portal.modeling import claims, measure_words
from portal.places.models import is_past
from portal.rebates import selectors as rebates
from portal.rebates.models import SubsidyRequest
from portal.rebates.services.requests import stored_ruling
from portal.rebates.states import SubsidyState
from portal.works.models import Claim

OUTCOMES: dict[str, str | Promise] = {
    "payable": _lazy("The rules say yes"),
    "eligible": _lazy("Eligible"),
    "hold": _lazy("On hold"),
    "shortfall": _lazy("Something is missing"),
    "deferred": _lazy("Deferred"),
    "denied": _lazy("The rules do not pay"),
}
# Outcomes of a step that stop or cut: printed heavier in the trace.
STOPPING = ("failed", "missing", "held", "deferred", "capped", "reduced", "denied", "fails")
# What steps look at that is no fact of the request but worked out on the way.
COMPUTED: dict[str, str | Promise] = {
    "key_date": _lazy("the day that counts"),
    "expires_on": _lazy("reserved until"),
    "lapsed": _lazy("the reservation has lapsed"),
    "measure": _lazy("measure"),
    "eligible_usd": _lazy("cost that counts"),
    "rate_usd": _lazy("rate"),
    "usd": _lazy("amount"),
    "amount_usd": _lazy("amount before"),
    "cap_usd": _lazy("limit"),
    "limit_usd": _lazy("limit"),
    "taken_usd": _lazy("taken off"),
    "left_usd": _lazy("left in the budget"),
    "needed_usd": _lazy("needed"),
    "allocated_usd": _lazy("shared out to the homes"),
    "owner_usd": _lazy("the owner’s part"),
}
# What a rule is shown for a fact nobody has given; the words of the step say what is missing.
UNKNOWN = "unknown"
_DAYS = re.compile(r"(?P<first>\d{4}-\d\d-\d\d)(?:\.\.(?P<last>\d{4}-\d\d-\d\d))?")

DECIDED: dict[str, str | Promise] = {
    SubsidyState.RESERVED: _lazy("%(number)s is reserved. The scope goes to the firm."),
    SubsidyState.RETURNED: _lazy("%(number)s is returned with the shortfall."),
    SubsidyState.DEFERRED: _lazy("%(number)s is deferred."),
    SubsidyState.REFUSED: _lazy("%(number)s is refused."),
    SubsidyState.REFERRED: _lazy("%(number)s is referred to a second person."),
}


@dataclass(frozen=True)
class Fact:
    """What a fact is called in a rule set, and its unit."""

    label: str
    unit: str
    is_number: bool


def decided(number: str, verb: str) -> str:
    """What was just decided, in one sentence."""
    return str(DECIDED[SubsidyState(verb)]) % {"number": number}


def request_row(request: SubsidyRequest, today: date) -> dict[str, Any]:
    """A line of the Desk's list."""
    participation = request.casefile.participation
    is_late = is_past(request.decide_by_on, today)
    outcome = request.ruling.get("outcome", "")
    return {
        "cells": [
            {
                "value": str(participation.dwelling.building.street),
                "url": reverse("places:desk_request", args=[request.number]),
            },
            {"value": participation.dwelling.building.county.name},
            {"value": participation.household.name},
            {"value": str(OUTCOMES.get(outcome, outcome))},
            {"value": usd(request.amount_usd), "is_number": True},
            {"value": short_day(request.sent_at)},
            {"value": short_day(request.decide_by_on), "is_late": is_late},
        ]
    }


def claim_row(claim: Claim, today: date) -> dict[str, Any]:
    """A line of the claims that wait."""
    dwelling = claim.scope.casefile.participation.dwelling
    return {
        "cells": [
            {
                "value": str(dwelling.building.street),
                "url": reverse("places:desk_claim", args=[claim.number]),
            },
            {"value": claim.scope.award.firm.name},
            {"value": usd(claim.invoice_usd), "is_number": True},
            {"value": claim.get_state_display()},
            {
                "value": short_day(claim.answer_by_on),
                "is_late": is_past(claim.answer_by_on, today),
            },
        ]
    }


def request_page(request: SubsidyRequest) -> dict[str, Any]:
    """Everything the decision page shows besides the form."""
    ruling = stored_ruling(request)
    participation = request.casefile.participation
    return {
        "ruling": ruling,
        "title": _title(request, ruling),
        "outcome": str(OUTCOMES.get(ruling.outcome, ruling.outcome)),
        "title_block": [
            {"label": _("Casefile"), "value": request.casefile.number, "is_id": True},
            {"label": _("Request"), "value": request.number, "is_id": True},
            {"label": _("Household"), "value": participation.household.name},
            {"label": _("Sent"), "value": moment(request.sent_at)},
            {"label": _("Decide by"), "value": day(request.decide_by_on)},
            {"label": _("Rulebook"), "value": str(request.rule_set)},
        ],
        "steps": step_rows(ruling.steps, request.rule_set.body if request.rule_set else {}),
        "result": {
            "said": str(OUTCOMES.get(ruling.outcome, ruling.outcome)),
            "sum": _amount(ruling.total_usd),
        },
        "missing": [finding_words(found) for found in ruling.findings if found.kind != "later"],
        "lines": [
            {
                "cells": [
                    {"value": _line_name(line.line)},
                    {"value": str(OUTCOMES.get(line.outcome, line.outcome))},
                    {"value": _amount(line.eligible_usd), "is_number": True},
                    {"value": _amount(line.amount_usd), "is_number": True},
                ]
            }
            for line in ruling.lines
        ],
        "funds": [
            {
                "title": entry["fund"].name,
                "pairs": [
                    {"label": _("Left"), "value": usd(entry["left_usd"])},
                    {"label": _("This request"), "value": usd(-entry["wanted_usd"])},
                    {
                        "label": _("Left after"),
                        "value": usd(entry["left_usd"] - entry["wanted_usd"]),
                        "is_sum": True,
                        "is_late": entry["wanted_usd"] > entry["left_usd"],
                    },
                ],
            }
            for entry in rebates.funds_touched(request, ruling)
        ],
        "quote_rows": [
            {
                "cells": [
                    {"value": measure_words.thing(line.measure.partition(":")[0])},
                    {
                        "value": measure_words.us_quantity_words(
                            line.quantity, line.unit, line.measure.partition(":")[0]
                        ),
                        "is_number": True,
                    },
                    {"value": usd(line.amount_usd), "is_number": True},
                ]
            }
            for line in request.quote.lines.all()
        ],
        "savings": [_savings_row(claim) for claim in request.facts.get("savings", ())],
        "savings_edition": savings_edition(request),
        "quote_source": _("Program price list")
        if request.quote.is_price_list
        else str(request.quote.firm),
        "can_decide": request.state in (SubsidyState.SENT, SubsidyState.REFERRED),
    }


CLAIMED_BY: dict[str, str | Promise] = {"deemed": _lazy("Manual"), "modeled": _lazy("Model")}


def _savings_row(claim: Mapping[str, Any]) -> dict[str, Any]:
    """Saving of one measure by the model and by the manual, and which of them is claimed."""
    said = str(CLAIMED_BY[claim["claimed_by"]])
    if claim["is_fallback"]:
        said = _("Model: the record lacks what the manual needs")
    return {
        "cells": [
            {"value": measure_words.thing(claim["measure"].partition(":")[0])},
            {"value": claims.energy_words(claim["modeled"]), "is_number": True},
            {"value": claims.energy_words(claim["deemed"]), "is_number": True},
            {"value": said},
        ]
    }


def savings_edition(request: SubsidyRequest) -> str:
    """The manual and edition the savings are claimed by; empty without one."""
    for claim in request.facts.get("savings", ()):
        return f"{claim['manual']} {claim['edition']}"
    return ""


def _title(request: SubsidyRequest, ruling: Ruling) -> str:
    street = request.casefile.participation.dwelling.building.street
    if request.state not in (SubsidyState.SENT, SubsidyState.REFERRED):
        return _("%(street)s: %(state)s") % {
            "street": street,
            "state": request.get_state_display(),
        }
    if ruling.is_yes and ruling.total_usd > 0:
        return _("Reserve %(amount)s for %(street)s?") % {
            "amount": usd(ruling.total_usd),
            "street": street,
        }
    return _("%(street)s: not a yes yet") % {"street": street}


def _amount(amount: Decimal | None) -> str:
    return "" if amount is None else f"{amount:,.2f}"


def facts_known(body: Mapping[str, Any]) -> dict[str, Fact]:
    """What a rule set's facts are called and measured in, by the names its steps give them.

    A name that two facts of different sections share says nothing of either, and is left out.
    """
    found: dict[str, set[Fact]] = {}
    named = [*body.get("fields", {}).items()]
    named += [(spec["name"], spec) for spec in body.get("quantities", [])]
    for name, spec in named:
        is_number = spec.get("kind", "number") == "number"
        fact = Fact(str(spec.get("label") or ""), str(spec.get("unit") or ""), is_number)
        found.setdefault(name.rpartition(".")[2], set()).add(fact)
    return {name: facts.pop() for name, facts in found.items() if len(facts) == 1}


def step_rows(steps: Sequence[Step], body: Mapping[str, Any] | None = None) -> list[dict[str, Any]]:
    """The trace for the table: a heading where another line of the request begins, then words.

    ``body`` is the rule set's, for what its facts are called; the figures kept in the trace stay
    as they are, and are rounded only here.
    """
    known = facts_known(body or {})
    rows: list[dict[str, Any]] = []
    about: str | None = None
    for number, step in enumerate(steps, start=1):
        starts = step.line != about
        about = step.line
        rows.append(
            {
                "number": number,
                "heading": (_line_name(step.line) if step.line else _("The request as a whole"))
                if starts
                else "",
                # A fact and a quantity made of it alone have one label and are said once.
                "saw": "; ".join(
                    dict.fromkeys(
                        _fact(name, value, known.get(name))
                        for name, value in step.saw.items()
                        if value != UNKNOWN
                    )
                ),
                "said": step.words,
                "sum": _amount(step.amount_usd),
                "stops": step.outcome in STOPPING,
            }
        )
    return rows


def _line_name(line: str) -> str:
    name = line.replace("_", " ")
    return name[:1].upper() + name[1:]


def _fact(name: str, value: str, fact: Fact | None) -> str:
    """One thing a rule looked at: what it is called, and the value as people read it."""
    if fact is None or name in COMPUTED:
        label = COMPUTED.get(name, name.removesuffix("_usd").replace("_", " "))
        said = _figure(value, "usd") if name.endswith("usd") else _seen(value)
    else:
        label = fact.label or name.replace("_", " ")
        said = _figure(value, fact.unit) if fact.is_number else _seen(value)
    return f"{label}: {said}"


def _figure(value: str, unit: str) -> str:
    """A number in its unit."""
    try:
        number = Decimal(value)
    except InvalidOperation:
        return _seen(value)
    if unit == "R":
        return f"R-{spoken(number, unit)}"
    return f"{spoken(number, unit)}{spoken_unit('' if unit == 'ratio' else unit)}"


def _seen(value: str) -> str:
    """A fact as the rule saw it, with its days written out; a year alone is a span of days."""
    span = _DAYS.fullmatch(value)
    if span is None:
        return value.replace("_", " ")
    first, last = date.fromisoformat(span["first"]), span["last"]
    if last is None:
        return short_day(first)
    if (first.month, first.day) == (1, 1) and last == f"{first.year}-12-31":
        return str(first.year)
    return f"{short_day(first)}–{short_day(date.fromisoformat(last))}"


def finding_words(found: Finding) -> dict[str, str]:
    """What is missing or failed, with what would fix it."""
    return {"words": found.words, "fix": found.fix, "rule": found.reference or found.rule}
