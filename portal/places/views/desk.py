"""The Desk: what waits for the program's decision, and deciding it."""

from typing import Any

from django.contrib import messages
from django.core.paginator import Paginator
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views import View

from portal.accounts.states import Role
from portal.core import clock
from portal.core.access import RoleRequiredMixin, SignedInRequest
from portal.core.errors import DomainError
from portal.core.money import usd
from portal.core.templatetags.words import day, short_day
from portal.places import desk_words, selectors
from portal.places.forms import ClaimDecisionForm, DecisionForm
from portal.places.templatetags.position import holder_line
from portal.places.words import STAGE_NAMES
from portal.rebates import selectors as rebates
from portal.rebates.models import SubsidyRequest
from portal.rebates.services import requests as services
from portal.rebates.states import SubsidyState
from portal.works import selectors as works
from portal.works.services import claims
from portal.works.states import ClaimState

PAGE_SIZE = 25


class DeskView(RoleRequiredMixin, View):
    """What waits, the earliest date first."""

    roles = (Role.PROGRAM_ADMIN,)

    def get(self, request: SignedInRequest) -> HttpResponse:
        """Show the list."""
        today = clock.today()
        page = Paginator(selectors.desk_requests(), PAGE_SIZE).get_page(request.GET.get("page"))
        return render(
            request,
            "places/desk.html",
            {
                "page": page,
                "request_rows": [desk_words.request_row(item, today) for item in page],
                "claim_rows": [
                    desk_words.claim_row(claim, today) for claim in selectors.desk_claims()[:50]
                ],
                "stage_rows": [
                    {
                        "cells": [
                            {
                                "value": str(STAGE_NAMES[row.stage]),
                                "url": reverse("places:casefiles") + f"?stage={row.stage}",
                            },
                            {"value": row.count, "is_number": True},
                            {
                                "value": row.late or "",
                                "is_number": True,
                                "is_late": bool(row.late),
                            },
                        ]
                    }
                    for row in sorted(
                        selectors.stage_counts(), key=lambda row: list(STAGE_NAMES).index(row.stage)
                    )
                ],
                "late": selectors.late_positions(today).count(),
            },
        )


class DeskRequestView(RoleRequiredMixin, View):
    """One subsidy request: the ruling with its trace, what it does to the fund, the decision."""

    roles = (Role.PROGRAM_ADMIN,)

    def get(self, request: SignedInRequest, request_number: str) -> HttpResponse:
        """Show it."""
        subsidy_request = _request_of(request, request_number)
        return self._page(request, subsidy_request, DecisionForm(subsidy_request=subsidy_request))

    def post(self, request: SignedInRequest, request_number: str) -> HttpResponse:
        """Decide it."""
        subsidy_request = _request_of(request, request_number)
        form = DecisionForm(request.POST, subsidy_request=subsidy_request)
        if not form.is_valid():
            return self._page(request, subsidy_request, form, status=200)
        verb = form.cleaned_data["verb"]
        try:
            if verb == SubsidyState.RESERVED:
                services.request_reserve(
                    request_id=subsidy_request.pk,
                    firm=form.cleaned_data["firm"],
                    note=form.cleaned_data["note"],
                    actor=request.user,
                )
            else:
                services.request_decide(
                    request_id=subsidy_request.pk,
                    target=SubsidyState(verb),
                    note=form.cleaned_data["note"],
                    actor=request.user,
                )
        except DomainError as error:
            form.refuse(error)
            return self._page(request, subsidy_request, form, status=200)
        messages.success(request, desk_words.decided(subsidy_request.number, verb))
        return redirect("places:desk")

    def _page(
        self,
        request: SignedInRequest,
        subsidy_request: SubsidyRequest,
        form: DecisionForm,
        status: int = 200,
    ) -> HttpResponse:
        position = selectors.position_for(request.user, subsidy_request.casefile)
        context: dict[str, Any] = {
            "subsidy_request": subsidy_request,
            "form": form,
            **desk_words.request_page(subsidy_request),
        }
        if position is not None:
            context["holder"] = holder_line(position, request.user.roles, is_own=False)
        return render(request, "places/desk_request.html", context, status=status)


def _request_of(request: SignedInRequest, number: str) -> SubsidyRequest:
    return get_object_or_404(rebates.requests_for(request.user), number=number)


class DeskClaimView(RoleRequiredMixin, View):
    """One claim: what was done, its proof, the invoice, and the decision."""

    roles = (Role.PROGRAM_ADMIN,)

    def get(self, request: SignedInRequest, claim_number: str) -> HttpResponse:
        """Show it."""
        return self._page(request, claim_number, ClaimDecisionForm())

    def post(self, request: SignedInRequest, claim_number: str) -> HttpResponse:
        """Accept it or return it."""
        claim = get_object_or_404(works.claims_for(request.user), number=claim_number)
        form = ClaimDecisionForm(request.POST)
        if not form.is_valid():
            return self._page(request, claim_number, form, status=200)
        try:
            claims.claim_decide(
                claim_id=claim.pk,
                target=ClaimState(form.cleaned_data["verb"]),
                note=form.cleaned_data["note"],
                actor=request.user,
            )
        except DomainError as error:
            form.refuse(error)
            return self._page(request, claim_number, form, status=200)
        messages.success(request, _("Claim %(number)s: done.") % {"number": claim.number})
        return redirect("places:desk")

    def _page(
        self,
        request: SignedInRequest,
        claim_number: str,
        form: ClaimDecisionForm,
        status: int = 200,
    ) -> HttpResponse:
        claim = get_object_or_404(works.claims_for(request.user), number=claim_number)
        lines = claim.scope.lines.prefetch_related("proofs__file")
        context = {
            "claim": claim,
            "form": form,
            "title_block": [
                {"label": _("Claim"), "value": claim.number, "is_id": True},
                {"label": _("Scope"), "value": claim.scope.number, "is_id": True},
                {"label": _("Firm"), "value": claim.scope.award.firm.name},
                {"label": _("Invoice"), "value": claim.invoice_number, "is_id": True},
                {"label": _("Amount"), "value": usd(claim.invoice_usd)},
                {"label": _("Sent"), "value": short_day(claim.sent_at)},
                {"label": _("Answer by"), "value": day(claim.answer_by_on)},
            ],
            "lines": lines,
        }
        return render(request, "places/desk_claim.html", context, status=status)
