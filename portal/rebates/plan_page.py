"""What the plan's pages show: each measure with its price, the sums, where it stands."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.core import clock
from portal.core.errors import DomainError
from portal.core.money import usd, whole_usd
from portal.core.rules import Ruling
from portal.core.templatetags.figures import range_short
from portal.core.templatetags.words import day
from portal.modeling import measure_words, prices
from portal.modeling import selectors as modeling
from portal.modeling.results import Analysis, MeasureResult, Saving
from portal.modeling.states import RunState
from portal.rebates import rulings
from portal.rebates.models import Plan, RuleSet, SubsidyRequest
from portal.rebates.services.plans import chosen_measures, measures_offered

MONTHS = 12

VERDICT_WORDS: dict[str, str | Promise] = {
    "do": _lazy("Worth doing soon"),
    "required": _lazy("Goes with the rest"),
    "plan_at_failure": _lazy("When you replace it"),
    "leave": _lazy("Can wait"),
    "blocked": _lazy("Something must be fixed first"),
}


@dataclass(frozen=True)
class Sums:
    """What a set of choices comes to; ``saving`` is None until it has been worked out."""

    cost_usd: Decimal
    program_usd: Decimal
    saving: Saving | None
    rule_set: RuleSet | None
    ruling: Ruling | None
    trouble: str = ""

    @property
    def owner_usd(self) -> Decimal:
        """What is left for the owner to pay."""
        return self.cost_usd - self.program_usd


def list_costs(plan: Plan, measures: Iterable[str]) -> dict[str, Decimal]:
    """The price of each measure: of the current quote, else by the program's list."""
    wanted = set(measures)
    quote = plan.quotes.filter(is_current=True).first()
    quoted = (
        {line.measure: line.amount_usd for line in quote.lines.all()} if quote is not None else {}
    )
    price_list = prices.price_list_on(clock.today())
    costs: dict[str, Decimal] = {}
    for item in modeling.analysis_of(plan.run).measures:
        if item.id in wanted:
            line = price_list.get(item.kind)
            if item.id in quoted:
                costs[item.id] = quoted[item.id]
            elif line is not None:
                costs[item.id] = prices.list_price(line, quantity=item.quantity, unit=item.unit)
    return costs


def sums_of(plan: Plan, measures: Iterable[str]) -> Sums:
    """Cost and subsidy of a choice at once; the saving where a run of exactly it is there."""
    wanted = sorted(measures)
    costs = list_costs(plan, wanted)
    total = sum(costs.values(), Decimal(0))
    if not wanted:
        return Sums(Decimal(0), Decimal(0), None, None, None)
    try:
        rule_set, ruling = rulings.estimate(casefile=plan.casefile, run=plan.run, costs_usd=costs)
    except DomainError as error:
        return Sums(total, Decimal(0), saving_of(plan, wanted), None, None, error.message)
    return Sums(total, ruling.total_usd, saving_of(plan, wanted), rule_set, ruling)


def saving_of(plan: Plan, measures: list[str]) -> Saving | None:
    """The saving of exactly these measures, where a finished run is of them."""
    report = modeling.analysis_of(plan.run)
    if sorted(report.package.measure_ids) == measures:
        return report.package.saving
    run = plan.own_run
    if run is not None and run.state == RunState.DONE:
        analysis = modeling.analysis_of(run)
        if sorted(run.choices.get("measures", [])) == measures:
            return analysis.package.saving
    return None


def sums_of_request(request: SubsidyRequest) -> Sums:
    """What a reserved request comes to: its own amount and its own quote, no estimate."""
    total = sum((line.amount_usd for line in request.quote.lines.all()), Decimal(0))
    saving = None
    if request.run is not None and request.run.state == RunState.DONE:
        saving = modeling.analysis_of(request.run).package.saving
    return Sums(total, request.amount_usd, saving, request.rule_set, None)


# Less than this a year is nothing: a repair, or boards that only make room.
LEAST_TOLD_USD = 0.5


def offer_of(item: MeasureResult, program_usd: Decimal | None) -> list[dict[str, str]]:
    """The few facts beside a measure's three answers."""
    saving = item.saving or item.saving_alone
    found = [
        {"label": _("Price"), "value": whole_usd(item.cost_usd or 0.0)},
        {
            "label": _("Saves a year"),
            "value": range_short(saving.cost_low_usd, saving.cost_high_usd)
            if abs(saving.cost_usd) >= LEAST_TOLD_USD
            else _("no energy by itself"),
        },
    ]
    if program_usd:
        found.insert(1, {"label": _("Program pays about"), "value": whole_usd(program_usd)})
    if item.worth is not None and item.worth.simple_payback_years:
        years = item.worth.simple_payback_years
        found.append(
            {
                "label": _("Paid back in"),
                "value": _("%(years).0f years") % {"years": years}
                if years >= 1.5
                else _("about a year"),
            }
        )
    return found


def picks_of(plan: Plan, form: Any) -> list[dict[str, Any]]:
    """Each measure with its radio buttons and what speaks for it."""
    analysis = modeling.analysis_of(plan.run)
    return [
        {
            "field": form[item.id],
            "why": why_words(item, analysis),
            "offer": offer_of(item, None),
            "group": str(VERDICT_WORDS.get(item.verdict, "")),
        }
        for item in measures_offered(analysis)
    ]


def why_words(item: MeasureResult, analysis: Analysis) -> str:
    """Where a measure stands in the report, its size, and what has to come first."""
    parts = [str(VERDICT_WORDS.get(item.verdict, ""))]
    quantity = measure_words.us_quantity_words(item.quantity, item.unit, item.kind)
    if item.unit != "each":
        parts.append(quantity)
    first = [
        measure_words.thing(other.kind).lower()
        for other in analysis.measures
        if other.kind in item.requires
    ]
    if first:
        parts.append(_("after %(first)s") % {"first": ", ".join(dict.fromkeys(first))})
    return " · ".join(part for part in parts if part)


def sum_panel(sums: Sums, *, reserved_to: date | None = None) -> dict[str, Any]:
    """The inputs of ``components/sum.html``."""
    rows = [
        {"label": _("All work"), "value": usd(sums.cost_usd)},
        {
            "label": _("The program pays")
            if reserved_to is not None
            else _("The program pays about"),
            "value": usd(-sums.program_usd),
        },
        {"label": _("You pay"), "value": usd(sums.owner_usd), "is_total": True},
    ]
    pairs: list[Mapping[str, Any]] = []
    if sums.saving is not None:
        saving = sums.saving
        pairs.append(
            {
                "label": _("Saves a year"),
                "value": _("%(range)s, most likely %(likely)s")
                % {
                    "range": range_short(saving.cost_low_usd, saving.cost_high_usd),
                    "likely": whole_usd(saving.cost_usd),
                },
            }
        )
        if saving.cost_usd > 0:
            years = float(sums.owner_usd) / saving.cost_usd
            pairs.append(
                {
                    "label": _("What you pay is back in"),
                    "value": _("about %(years).0f years") % {"years": max(years, 1.0)},
                }
            )
            pairs.append(
                {
                    "label": _("Off the bills in a month"),
                    "value": whole_usd(saving.cost_usd / MONTHS),
                }
            )
    elif chosen_count(sums):
        pairs.append(
            {
                "label": _("Saves a year"),
                "value": _("worked out when you keep these choices"),
            }
        )
    notes = [_("The savings are worked out together, so nothing is counted twice.")]
    if sums.trouble:
        notes.append(sums.trouble)
    standing = ""
    if reserved_to is not None:
        standing = _("Reserved by %(rules)s until %(day)s.") % {
            "rules": sums.rule_set,
            "day": day(reserved_to),
        }
    elif sums.rule_set is not None:
        standing = _(
            "Estimate by %(rules)s, in force to %(day)s. It becomes a promise when the money is "
            "reserved."
        ) % {"rules": sums.rule_set, "day": day(sums.rule_set.to_on)}
    return {
        "title": _("What this comes to"),
        "big": usd(sums.owner_usd),
        "rows": rows,
        "pairs": pairs,
        "notes": notes,
        "standing": standing,
    }


def chosen_count(sums: Sums) -> bool:
    """Whether anything is chosen at all."""
    return sums.cost_usd > 0


def line_rows(plan: Plan, sums: Sums) -> list[dict[str, Any]]:
    """The chosen work, line by line, for the quote and the request."""
    chosen = set(chosen_measures(plan))
    costs = list_costs(plan, chosen)
    return [
        {
            "cells": [
                {"value": measure_words.to_do(item.kind)},
                {
                    "value": measure_words.us_quantity_words(item.quantity, item.unit, item.kind),
                    "is_number": True,
                },
                {"value": usd(costs.get(item.id, Decimal(0))), "is_number": True},
            ]
        }
        for item in measures_offered(modeling.analysis_of(plan.run))
        if item.id in chosen
    ]


def not_paid(sums: Sums) -> list[dict[str, str]]:
    """What the rules say no to, and what would fix it."""
    if sums.ruling is None:
        return []
    return [
        {"words": found.words, "fix": found.fix}
        for found in sums.ruling.findings
        if found.kind in ("failed", "missing", "held", "deferred")
    ]
