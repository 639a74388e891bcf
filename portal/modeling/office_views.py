"""Pages of the office: the values that decide safety or money."""

from datetime import date
from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views import View

from calcs.confirmable import REGISTRY, SAFETY, Confirmable, value_in_effect
from calcs.limits import Limits
from portal.accounts.states import Role
from portal.core.access import RoleRequiredMixin, SignedInRequest
from portal.core.errors import DomainError
from portal.core.templatetags.words import moment, short_day
from portal.intake import selectors as intake
from portal.intake import services
from portal.intake.models import ValueProposal
from portal.intake.states import ProposalState
from portal.modeling.office_forms import ProposalDecisionForm, ProposalForm
from portal.modeling.value_words import (
    DECIDES,
    GROUPS,
    known_words,
    name_of,
    stricter_words,
    value_words,
)

OFFICE = (Role.PROGRAM_ADMIN,)


def item_of(key: str) -> Confirmable:
    """The value of an address; 404 for one that is not there."""
    if key not in REGISTRY:
        raise Http404
    return REGISTRY[key]


class ValuesView(RoleRequiredMixin, View):
    """Every value that decides safety or money: what is in effect, and what waits."""

    roles = OFFICE

    def get(self, request: SignedInRequest) -> HttpResponse:
        """Show them by group."""
        limits = intake.values_in_effect()
        waiting = {proposal.key: proposal for proposal in intake.proposals_waiting()}
        groups: list[dict[str, Any]] = []
        for key, label in GROUPS.items():
            items = [item for item in REGISTRY.values() if item.group == key]
            groups.append(
                {
                    "title": label,
                    "rows": [_row(item, limits, waiting.get(item.key)) for item in items],
                }
            )
        return render(
            request,
            "modeling/values.html",
            {
                "groups": groups,
                "waiting": [
                    {
                        "name": name_of(REGISTRY[key]),
                        "group": GROUPS[REGISTRY[key].group],
                        "key": key,
                        "by": str(proposal.proposed_by),
                    }
                    for key, proposal in waiting.items()
                    if key in REGISTRY
                ],
                "unconfirmed": sum(
                    item.must_confirm and item.key not in limits.adopted
                    for item in REGISTRY.values()
                ),
            },
        )


def _row(item: Confirmable, limits: Limits, waiting: ValueProposal | None) -> dict[str, Any]:
    adopted = limits.adopted.get(item.key)
    if waiting is not None:
        stands = _("%(value)s proposed") % {"value": value_words(item, waiting.value)}
    elif adopted is not None:
        stands = _("adopted")
    else:
        stands = _("to confirm") if item.must_confirm else ""
    return {
        "key": item.key,
        "name": name_of(item),
        "value": value_words(item, value_in_effect(item.key, limits)),
        "published": value_words(item, item.value) if adopted is not None else "",
        "source": adopted.source if adopted is not None else item.source,
        "stands": stands,
        "is_waiting": waiting is not None,
    }


class ValueView(RoleRequiredMixin, View):
    """One value: what is in effect, a proposal to decide on or to make, and its trail."""

    roles = OFFICE

    def get(self, request: SignedInRequest, key: str) -> HttpResponse:
        """Show it."""
        return self._page(request, item_of(key))

    def post(self, request: SignedInRequest, key: str) -> HttpResponse:
        """Propose a value, or decide on the one that waits."""
        item = item_of(key)
        if request.POST.get("act") == "propose":
            return self._propose(request, item)
        proposal = get_object_or_404(
            intake.proposals_waiting(), key=key, pk=request.POST.get("proposal") or 0
        )
        if request.POST.get("act") == "withdraw":
            return self._withdraw(request, item, proposal)
        return self._decide(request, item, proposal)

    def _propose(self, request: SignedInRequest, item: Confirmable) -> HttpResponse:
        form = ProposalForm(request.POST, item=item)
        if not form.is_valid():
            return self._page(request, item, propose=form)
        cleaned = form.cleaned_data
        try:
            services.value_propose(
                key=item.key,
                value=cleaned.get("value"),
                edition=cleaned["edition"],
                document=cleaned["document"],
                authority=cleaned["authority"],
                reason=cleaned["reason"],
                actor=request.user,
            )
        except DomainError as error:
            form.refuse(error)
            return self._page(request, item, propose=form)
        messages.success(request, _("Proposed. It holds once a second administrator confirms it."))
        return redirect("office:value", key=item.key)

    def _withdraw(
        self, request: SignedInRequest, item: Confirmable, proposal: ValueProposal
    ) -> HttpResponse:
        try:
            services.value_withdraw(proposal_id=proposal.pk, actor=request.user)
        except DomainError as error:
            messages.error(request, error.message)
        else:
            messages.success(request, _("The proposal is withdrawn."))
        return redirect("office:value", key=item.key)

    def _decide(
        self, request: SignedInRequest, item: Confirmable, proposal: ValueProposal
    ) -> HttpResponse:
        form = ProposalDecisionForm(request.POST)
        if not form.is_valid():
            return self._page(request, item, decide=form)
        try:
            if form.cleaned_data["verb"] == "adopt":
                services.value_adopt(
                    proposal_id=proposal.pk, actor=request.user, why=form.cleaned_data["why"]
                )
                messages.success(request, _("Confirmed. It is in effect from now on."))
            else:
                services.value_refuse(
                    proposal_id=proposal.pk, actor=request.user, why=form.cleaned_data["why"]
                )
                messages.success(request, _("The proposal is refused."))
        except DomainError as error:
            form.refuse(error)
            return self._page(request, item, decide=form)
        return redirect("office:value", key=item.key)

    def _page(
        self,
        request: SignedInRequest,
        item: Confirmable,
        *,
        propose: ProposalForm | None = None,
        decide: ProposalDecisionForm | None = None,
    ) -> HttpResponse:
        limits = intake.values_in_effect()
        adopted = limits.adopted.get(item.key)
        adopted_day = short_day(date.fromisoformat(adopted.on)) if adopted else ""
        history = list(intake.proposals().filter(key=item.key))
        waiting = next((row for row in history if row.state == ProposalState.PROPOSED), None)
        is_own = waiting is not None and waiting.proposed_by_id == request.user.pk
        facts = [
            {
                "label": _("In effect"),
                "value": value_words(item, value_in_effect(item.key, limits)),
                "note": _("adopted %(day)s") % {"day": adopted_day} if adopted else "",
            },
            {"label": _("Published"), "value": value_words(item, item.value)},
        ]
        context: dict[str, Any] = {
            "item": item,
            "name": name_of(item),
            "group": GROUPS[item.group],
            "decides": DECIDES[item.group],
            "is_safety": item.decides == SAFETY,
            "stricter": stricter_words(item),
            "known": known_words(item),
            "facts": facts if item.value is not None else [],
            "adopted": adopted,
            "adopted_day": adopted_day,
            "source": item.source
            if not item.edition or item.edition in item.source
            else f"{item.source}, {item.edition}",
            "waiting": waiting,
            "waiting_pairs": _pairs(item, waiting) if waiting else [],
            "is_own": is_own,
            "decide_form": None
            if waiting is None or is_own
            else (decide or ProposalDecisionForm()),
            "propose_form": None if waiting else (propose or ProposalForm(item=item)),
            "value_unit": "%" if item.unit == "a year" else ("" if item.unit == "-" else item.unit),
            "rejudged": next((row.rejudged for row in history if row.state == "adopted"), {}),
            "history": [_line(item, row) for row in history if row is not waiting],
        }
        context["form"] = context["decide_form"] or context["propose_form"]
        return render(request, "modeling/value.html", context)


def _pairs(item: Confirmable, row: ValueProposal) -> list[dict[str, str]]:
    pairs = [
        {"label": _("Value"), "value": value_words(item, row.value)},
        {"label": _("In place of"), "value": value_words(item, row.value_before)},
        {"label": _("Document"), "value": row.document},
        {"label": _("Edition"), "value": row.edition},
    ]
    if row.authority:
        pairs.append({"label": _("Authority"), "value": row.authority})
    return [
        *pairs,
        {"label": _("Why"), "value": row.reason},
        {"label": _("Proposed by"), "value": f"{row.proposed_by}, {moment(row.proposed_at)}"},
    ]


def _line(item: Confirmable, row: ValueProposal) -> dict[str, Any]:
    decided = ""
    if row.decided_at is not None:
        decided = f"{row.decided_by}, {short_day(row.decided_at)}"
    return {
        "value": value_words(item, row.value),
        "before": value_words(item, row.value_before),
        "state": row.get_state_display(),
        "source": ", ".join(part for part in (row.document, row.edition, row.authority) if part),
        "reason": row.reason,
        "proposed": f"{row.proposed_by}, {short_day(row.proposed_at)}",
        "decided": decided,
        "why": row.decided_why,
    }
