"""What the Desk says of requests, rulings and claims."""

from datetime import date
from decimal import Decimal
from typing import Any

from django.urls import reverse
from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.core.money import usd
from portal.core.rules import Finding, Ruling, Step
from portal.core.templatetags.words import day, moment, short_day
from portal.modeling import measure_words
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

DECIDED: dict[str, str | Promise] = {
    SubsidyState.RESERVED: _lazy("%(number)s is reserved. The scope goes to the firm."),
    SubsidyState.RETURNED: _lazy("%(number)s is returned with the shortfall."),
    SubsidyState.DEFERRED: _lazy("%(number)s is deferred."),
    SubsidyState.REFUSED: _lazy("%(number)s is refused."),
    SubsidyState.REFERRED: _lazy("%(number)s is referred to a second person."),
}


def decided(number: str, verb: str) -> str:
    """What was just decided, in one sentence."""
    return str(DECIDED[SubsidyState(verb)]) % {"number": number}


def request_row(request: SubsidyRequest, today: date) -> dict[str, Any]:
    """A line of the Desk's list."""
    participation = request.casefile.participation
    is_late = bool(request.decide_by_on and request.decide_by_on < today)
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
                "is_late": bool(claim.answer_by_on and claim.answer_by_on < today),
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
        "steps": [step_row(number, step) for number, step in enumerate(ruling.steps, start=1)],
        "result": {
            "saw": "",
            "said": str(OUTCOMES.get(ruling.outcome, ruling.outcome)),
            "sum": _amount(ruling.total_usd),
        },
        "missing": [finding_words(found) for found in ruling.findings if found.kind != "later"],
        "lines": [
            {
                "cells": [
                    {"value": line.line.replace("_", " ")},
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
        "quote_source": _("Program price list")
        if request.quote.is_price_list
        else str(request.quote.firm),
        "can_decide": request.state in (SubsidyState.SENT, SubsidyState.REFERRED),
    }


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


def step_row(number: int, step: Step) -> dict[str, Any]:
    """One step of the trace for the table."""
    return {
        "number": number,
        "rule": f"{step.rule} · {step.line}" if step.line else step.rule,
        "saw": ", ".join(f"{name.replace('_', ' ')} {value}" for name, value in step.saw.items()),
        "said": step.words,
        "sum": _amount(step.amount_usd),
        "stops": step.outcome in STOPPING,
    }


def finding_words(found: Finding) -> dict[str, str]:
    """What is missing or failed, with what would fix it."""
    return {"words": found.words, "fix": found.fix, "rule": found.reference or found.rule}
