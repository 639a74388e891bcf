"""What a scope's page shows, from the scope as it was issued."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _

from portal.core.money import usd
from portal.core.templatetags.words import day, short_day
from portal.modeling import measure_words
from portal.works.models import ScopeLine, WorkScope
from portal.works.states import LineState, ScopeState


def block(scope: WorkScope) -> list[dict[str, Any]]:
    """The title block."""
    return [
        {"label": _("Scope"), "value": f"{scope.number}, {scope.version}", "is_id": True},
        {"label": _("Home"), "value": scope.header["home"]["address"]},
        {"label": _("Firm"), "value": scope.header["people"]["firm"]},
        {"label": _("Issued"), "value": short_day(scope.issued_at)},
        {"label": _("Answer by"), "value": short_day(scope.answer_by_on)},
        {"label": _("Money held to"), "value": short_day(scope.finish_by_on)},
    ]


def cautions(scope: WorkScope) -> list[dict[str, str]]:
    """Hazards first, then what always holds."""
    hazards = [
        {"lead": hazard["where"], "text": hazard["words"]} for hazard in scope.header["hazards"]
    ]
    return hazards + [{"lead": "", "text": text} for text in scope.header["cautions"]]


def quantity_words(line: ScopeLine) -> str:
    """How much of it, in the unit of the trade."""
    if line.unit == "cfm":
        test = "CFM25" if line.measure.startswith("duct_sealing") else "CFM50"
        return _("%(amount).0f %(test)s less") % {"amount": line.quantity, "test": test}
    return f"{line.quantity:,.0f} {line.unit}".strip()


def line_entry(line: ScopeLine, *, shows_price: bool = True) -> dict[str, Any]:
    """The inputs of ``components/scope_line.html`` for one line."""
    pairs = [
        (_("Where"), line.location),
        (_("Found"), line.existing),
        (_("Reach"), line.target),
        (_("How"), line.specification),
        (_("First"), line.prerequisites),
        (_("Access"), line.access),
        (_("Care"), line.hazards),
        (_("Prove"), line.proof),
    ]
    facts = [{"label": _("Quantity"), "value": quantity_words(line)}]
    if shows_price:
        facts.append({"label": _("Approved price"), "value": usd(line.price_usd)})
    if line.state == LineState.DONE:
        facts.append({"label": _("Done"), "value": short_day(line.done_at)})
    return {
        "number": line.number,
        "title": line.title,
        "kind": measure_words.thing(line.measure.partition(":")[0]),
        "pairs": [{"label": label, "value": value} for label, value in pairs if value],
        "facts": facts,
        "id": line.pk,
        "is_done": line.state == LineState.DONE,
        "proofs": [
            {
                "url": reverse("works:proof", args=[proof.file.key]),
                "words": proof.caption or line.title,
                "title": proof.moment,
            }
            for proof in line.proofs.all()
        ],
    }


def money(scope: WorkScope) -> list[dict[str, Any]]:
    """Who pays what."""
    held = scope.header["money"]
    return [
        {"label": _("Approved price"), "value": usd(held["price_usd"])},
        {"label": _("Program pays"), "value": usd(held["program_usd"])},
        {"label": _("Owner pays"), "value": usd(held["owner_usd"]), "is_sum": True},
    ]


def days_that_count(scope: WorkScope) -> list[dict[str, str]]:
    """The dates of the job."""
    return [
        {"label": _("Answer by"), "value": day(scope.answer_by_on)},
        {
            "label": _("Money held to"),
            "value": day(date.fromisoformat(scope.header["money"]["held_to"])),
        },
    ]


def test_rows(scope: WorkScope) -> list[Mapping[str, Any]]:
    """The tests at the end, for the table."""
    return [
        {
            "cells": [
                {"value": test["test"]},
                {"value": test["setup"]},
                {"value": test["audit"], "is_number": True},
                {"value": test["reach"], "is_number": True},
            ]
        }
        for test in scope.header["tests"]
    ]


def test_sources(scope: WorkScope) -> list[str]:
    """Where the limits come from, each once."""
    return list(
        dict.fromkeys(test["source"] for test in scope.header["tests"] if test.get("source"))
    )


def is_working(scope: WorkScope) -> bool:
    """Whether lines can be marked now."""
    return scope.state in (ScopeState.ACCEPTED, ScopeState.IN_PROGRESS)
