"""Funds, rulebook, casefiles and the contractor's scopes."""

from decimal import Decimal

from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views import View

from portal.accounts.states import Role
from portal.core import clock
from portal.core.access import RoleRequiredMixin, SignedInRequest
from portal.core.money import usd
from portal.core.templatetags.words import short_day
from portal.places import rulebook_words, selectors
from portal.places.models import is_past
from portal.places.words import STAGE_NAMES, action_words
from portal.rebates.models import Fund, RuleSet
from portal.rebates.states import EntryKind
from portal.works import selectors as works
from portal.works.states import ScopeState

PAGE_SIZE = 40


class FundsView(RoleRequiredMixin, View):
    """Every fund: allotted, reserved, paid, left."""

    roles = (Role.PROGRAM_ADMIN,)

    def get(self, request: SignedInRequest) -> HttpResponse:
        """Show them."""
        rows = [
            {
                "cells": [
                    {
                        "value": entry["fund"].name,
                        "url": reverse("places:fund", args=[entry["fund"].code]),
                    },
                    {"value": usd(entry["fund"].allotted_usd), "is_number": True},
                    {"value": usd(entry["fund"].committed_usd), "is_number": True},
                    {"value": usd(entry["fund"].paid_usd), "is_number": True},
                    {"value": usd(entry["left_usd"]), "is_number": True},
                ]
            }
            for entry in selectors.funds_with_sums()
        ]
        return render(request, "places/funds.html", {"rows": rows})


class FundView(RoleRequiredMixin, View):
    """One fund's ledger with its running balance, the newest line first."""

    roles = (Role.PROGRAM_ADMIN,)

    def get(self, request: SignedInRequest, code: str) -> HttpResponse:
        """Show it."""
        fund = get_object_or_404(Fund.objects.select_related("county"), code=code)
        left = Decimal(0)
        entries = []
        for entry in selectors.ledger_of(fund):
            sign = 1 if entry.kind in (EntryKind.ALLOT, EntryKind.RELEASE) else -1
            # What is paid was reserved before: the payment moves no balance of its own.
            if entry.kind != EntryKind.PAY:
                left += sign * entry.amount_usd
            request_number = (
                entry.reservation.request.number if entry.reservation is not None else ""
            )
            entries.append(
                {
                    "when": short_day(entry.at),
                    "what": entry.get_kind_display(),
                    "casefile": request_number,
                    "url": reverse("places:desk_request", args=[request_number])
                    if request_number
                    else "",
                    "reserved": _reserved(entry.kind, entry.amount_usd),
                    "paid": f"{entry.amount_usd:,.2f}" if entry.kind == EntryKind.PAY else "",
                    "left": f"{left:,.2f}",
                    "by": entry.by,
                }
            )
        entries.reverse()
        page = Paginator(entries, PAGE_SIZE).get_page(request.GET.get("page"))
        return render(
            request,
            "places/fund.html",
            {
                "fund": fund,
                "page": page,
                "facts": [
                    {"label": _("Allotted"), "value": usd(fund.allotted_usd)},
                    {"label": _("Reserved"), "value": usd(fund.committed_usd)},
                    {"label": _("Paid"), "value": usd(fund.paid_usd)},
                    {
                        "label": _("Left"),
                        "value": usd(fund.allotted_usd - fund.committed_usd - fund.paid_usd),
                    },
                ],
            },
        )


def _reserved(kind: str, amount: Decimal) -> str:
    if kind == EntryKind.RESERVE:
        return f"{amount:,.2f}"
    return f"−{amount:,.2f}" if kind == EntryKind.RELEASE else ""


class RulebookView(RoleRequiredMixin, View):
    """The published rule sets: which version holds from when to when."""

    roles = (Role.PROGRAM_ADMIN,)

    def get(self, request: SignedInRequest) -> HttpResponse:
        """Show them."""
        today = clock.today()
        rows = [
            {
                "cells": [
                    {
                        "value": f"{rule_set.code} {rule_set.version}",
                        "url": reverse("places:rule_set", args=[rule_set.code, rule_set.version]),
                    },
                    {"value": rule_set.title},
                    {"value": short_day(rule_set.from_on)},
                    {"value": short_day(rule_set.to_on)},
                    {
                        "value": _("in force")
                        if rule_set.from_on <= today <= rule_set.to_on
                        else (_("later") if rule_set.from_on > today else _("ended"))
                    },
                ]
            }
            for rule_set in RuleSet.objects.defer("body")
        ]
        return render(request, "places/rulebook.html", {"rows": rows})


class RuleSetView(RoleRequiredMixin, View):
    """One version of a rule set, rule by rule in words."""

    roles = (Role.PROGRAM_ADMIN,)

    def get(self, request: SignedInRequest, code: str, version: int) -> HttpResponse:
        """Show it."""
        rule_set = get_object_or_404(RuleSet, code=code, version=version)
        return render(
            request,
            "places/rule_set.html",
            {
                "rule_set": rule_set,
                "title_block": _rule_set_block(rule_set),
                "groups": rulebook_words.groups(rule_set.body),
            },
        )


def _rule_set_block(rule_set: RuleSet) -> list[dict[str, object]]:
    return [
        {"label": _("Rule set"), "value": str(rule_set), "is_id": True},
        {"label": _("From"), "value": short_day(rule_set.from_on)},
        {"label": _("To"), "value": short_day(rule_set.to_on)},
        {"label": _("Published"), "value": short_day(rule_set.published_at)},
        {"label": _("By"), "value": rule_set.published_by},
        {"label": _("Fingerprint"), "value": rule_set.sha256[:12], "is_id": True},
    ]


class CasefilesView(RoleRequiredMixin, View):
    """Every casefile with its holder and date, the late ones first."""

    roles = (Role.PROGRAM_ADMIN,)

    def get(self, request: SignedInRequest) -> HttpResponse:
        """Show a page of them, of one stage if asked."""
        today = clock.today()
        positions = selectors.positions_for(request.user)
        stage = request.GET.get("stage", "")
        if stage in STAGE_NAMES:
            positions = positions.filter(stage=stage)
        page = Paginator(positions, PAGE_SIZE).get_page(request.GET.get("page"))
        rows = [
            {
                "cells": [
                    {
                        "value": position.casefile.number,
                        "is_id": True,
                        "url": reverse("places:case", args=[position.casefile.number]),
                    },
                    {"value": str(position.casefile.participation.dwelling)},
                    {"value": str(STAGE_NAMES[position.stage])},
                    {"value": position.holder_name},
                    {"value": action_words(position.next_action, position.action_facts)},
                    {
                        "value": short_day(position.due_on) if position.due_on else "",
                        "is_late": position.is_late(today),
                    },
                ]
            }
            for position in page
        ]
        return render(
            request,
            "places/casefiles.html",
            {
                "rows": rows,
                "page": page,
                "stage_name": str(STAGE_NAMES.get(stage, "")),
                "query": f"&stage={stage}" if stage else "",
            },
        )


class ScopesView(RoleRequiredMixin, View):
    """The contractor's work scopes: to answer, under way, finished."""

    roles = (Role.CONTRACTOR,)

    def get(self, request: SignedInRequest) -> HttpResponse:
        """Show them."""
        scopes = works.scopes_for(request.user)
        page = Paginator(scopes, PAGE_SIZE).get_page(request.GET.get("page"))
        today = clock.today()
        groups: dict[str, list[dict[str, object]]] = {"answer": [], "work": [], "done": []}
        for scope in page:
            group = (
                "answer"
                if scope.state == ScopeState.ISSUED
                else "work"
                if scope.state in (ScopeState.ACCEPTED, ScopeState.IN_PROGRESS)
                else "done"
            )
            due = scope.answer_by_on if group == "answer" else scope.finish_by_on
            groups[group].append(
                {
                    "label": str(scope.casefile.participation.dwelling),
                    "url": reverse("works:scope", args=[scope.number]),
                    "state": scope.get_state_display(),
                    "note": _("%(number)s · by %(day)s")
                    % {"number": scope.number, "day": short_day(due)},
                    "is_stop": is_past(due, today) and group != "done",
                }
            )
        return render(request, "places/scopes.html", {"groups": groups, "page": page})
