"""Your plan: choosing, the quote, sending the request, and following it."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views import View

from portal.accounts.states import Role
from portal.core.access import RoleRequiredMixin, SignedInRequest
from portal.core.errors import DomainError
from portal.core.money import usd
from portal.core.templatetags.words import day, moment
from portal.enrollment import selectors as enrollment
from portal.enrollment.models import Casefile
from portal.modeling.states import RunState
from portal.modeling.views import progress_of
from portal.rebates import plan_page, selectors
from portal.rebates.consent import consent_points, consent_text
from portal.rebates.forms import PlanForm, QuoteForm, SendForm
from portal.rebates.models import Plan, SubsidyRequest
from portal.rebates.services import plans, quotes
from portal.rebates.services import requests as services
from portal.rebates.states import LIVE_SUBSIDY, SubsidyState

CHANGEABLE = (SubsidyState.DRAFT, SubsidyState.RETURNED, SubsidyState.DEFERRED)


def _casefile(request: SignedInRequest, number: str) -> Casefile:
    return enrollment.casefile_by_number_for(request.user, number)


def _plan(request: SignedInRequest, number: str) -> Plan:
    return get_object_or_404(selectors.plans_for(request.user), casefile__number=number)


def _live_request(plan: Plan) -> SubsidyRequest | None:
    return (
        plan.subsidy_requests.filter(state__in=(*LIVE_SUBSIDY, SubsidyState.REFUSED))
        .order_by("-number")
        .first()
    )


class PlanView(RoleRequiredMixin, View):
    """The measures with their three answers, and what the choice comes to."""

    roles = (Role.HOMEOWNER,)

    def get(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Show the plan; it begins with what the report advises."""
        casefile = _casefile(request, number)
        try:
            plan = plans.plan_open(casefile=casefile, actor=request.user)
        except DomainError as error:
            return render(
                request,
                "rebates/no_plan.html",
                {"casefile": casefile, "reason": error.message},
            )
        return self._page(request, plan, PlanForm(plan=plan))

    def post(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Keep the choices and have them worked out together."""
        plan = _plan(request, number)
        form = PlanForm(request.POST, plan=plan)
        if form.is_valid():
            try:
                plans.plan_choose(plan_id=plan.pk, answers=form.cleaned_data, actor=request.user)
            except DomainError as error:
                form.refuse(error)
            else:
                messages.success(request, _("Your choices are kept."))
                return redirect("rebates:plan", number=number)
        return self._page(request, plan, form)

    def _page(self, request: SignedInRequest, plan: Plan, form: PlanForm) -> HttpResponse:
        chosen = form.chosen() if form.is_bound else plans.chosen_measures(plan)
        live = _live_request(plan)
        reservation = getattr(live, "reservation", None)
        if live is not None and reservation is not None:
            sums = plan_page.sums_of_request(live)
        else:
            sums = plan_page.sums_of(plan, chosen)
        run = plan.own_run
        context: dict[str, Any] = {
            "plan": plan,
            "casefile": plan.casefile,
            "form": form,
            "picks": plan_page.picks_of(plan, form),
            "sums": plan_page.sum_panel(
                sums, reserved_to=reservation.expires_on if reservation is not None else None
            ),
            "live_request": live,
            "can_change": live is None or live.state in CHANGEABLE,
            "has_choice": bool(chosen),
            "progress": progress_of(run)
            if run is not None and run.state in (RunState.QUEUED, RunState.RUNNING)
            else None,
        }
        return render(request, "rebates/plan.html", context)


class PlanSumsView(RoleRequiredMixin, View):
    """The sums of choices not kept yet; nothing is stored."""

    roles = (Role.HOMEOWNER,)

    def post(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Answer with the sums alone."""
        plan = _plan(request, number)
        chosen = PlanForm(request.POST, plan=plan).chosen()
        offered = {item.id for item in plans.measures_offered_in(plan)}
        sums = plan_page.sums_of(plan, offered.intersection(chosen))
        return render(request, "rebates/sums.html", {"sums": plan_page.sum_panel(sums)})


class QuoteView(RoleRequiredMixin, View):
    """A firm's quote, or the program's price list."""

    roles = (Role.HOMEOWNER,)

    def get(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Show both ways."""
        plan = _plan(request, number)
        if not plans.chosen_measures(plan):
            return redirect("rebates:plan", number=number)
        return self._page(request, plan, QuoteForm(plan=plan))

    def post(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Keep one."""
        plan = _plan(request, number)
        if "price_list" in request.POST:
            form = QuoteForm(plan=plan)
            try:
                quotes.quote_from_price_list(plan_id=plan.pk, actor=request.user)
            except DomainError as error:
                messages.error(request, error.message)
                return self._page(request, plan, form)
            return redirect("rebates:send", number=number)
        form = QuoteForm(request.POST, request.FILES, plan=plan)
        if form.is_valid():
            upload = form.cleaned_data["file"]
            try:
                quotes.quote_from_firm(
                    plan_id=plan.pk,
                    firm=form.cleaned_data["firm"],
                    amounts=form.amounts(),
                    quoted_on=form.cleaned_data["quoted_on"],
                    actor=request.user,
                    upload=upload,
                    upload_name=upload.name if upload is not None else None,
                )
            except DomainError as error:
                form.refuse(error)
            else:
                return redirect("rebates:send", number=number)
        return self._page(request, plan, form)

    def _page(self, request: SignedInRequest, plan: Plan, form: QuoteForm) -> HttpResponse:
        sums = plan_page.sums_of(plan, plans.chosen_measures(plan))
        return render(
            request,
            "rebates/quote.html",
            {
                "plan": plan,
                "casefile": plan.casefile,
                "form": form,
                "price_fields": [form[name] for name in form.measure_names],
                "quote_rows": plan_page.line_rows(plan, sums),
                "total": usd(sums.cost_usd),
            },
        )


class SendView(RoleRequiredMixin, View):
    """Check and send the subsidy request, with consent."""

    roles = (Role.HOMEOWNER,)

    def get(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Show what will be sent."""
        return self._page(request, _plan(request, number), SendForm())

    def post(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Send it."""
        plan = _plan(request, number)
        form = SendForm(request.POST)
        if form.is_valid():
            try:
                sent = services.request_send(
                    plan_id=plan.pk, consent_text=consent_text(), actor=request.user
                )
            except DomainError as error:
                form.refuse(error)
            else:
                return redirect("rebates:request", request_number=sent.number)
        return self._page(request, plan, form)

    def _page(self, request: SignedInRequest, plan: Plan, form: SendForm) -> HttpResponse:
        quote = plan.quotes.filter(is_current=True).select_related("firm").first()
        if quote is None:
            return redirect("rebates:quote", number=plan.casefile.number)
        sums = plan_page.sums_of(plan, plans.chosen_measures(plan))
        run = plan.own_run
        return render(
            request,
            "rebates/send.html",
            {
                "plan": plan,
                "casefile": plan.casefile,
                "form": form,
                "quote_source": _("the program's price list")
                if quote.is_price_list
                else str(quote.firm),
                "quote_rows": plan_page.line_rows(plan, sums),
                "sums": plan_page.sum_panel(sums),
                "not_paid": plan_page.not_paid(sums),
                "consent_points": consent_points(),
                "progress": progress_of(run)
                if run is not None and run.state in (RunState.QUEUED, RunState.RUNNING)
                else None,
            },
        )


class RequestView(RoleRequiredMixin, View):
    """The owner's own request: where it stands, what was said, what is missing."""

    roles = (Role.HOMEOWNER,)

    def get(self, request: SignedInRequest, request_number: str) -> HttpResponse:
        """Show it."""
        found = get_object_or_404(selectors.requests_for(request.user), number=request_number)
        ruling = services.stored_ruling(found)
        reservation = getattr(found, "reservation", None)
        context = {
            "subsidy_request": found,
            "casefile": found.casefile,
            "title": request_title(found),
            "title_block": [
                {"label": _("Request"), "value": found.number, "is_id": True},
                {"label": _("Sent"), "value": moment(found.sent_at)},
                {"label": _("Rules"), "value": str(found.rule_set)},
                {
                    "label": _("Reserved to"),
                    "value": day(reservation.expires_on),
                }
                if reservation is not None
                else {"label": _("Decision by"), "value": day(found.decide_by_on)},
            ],
            "pairs": [
                {"label": _("All work"), "value": usd(quote_total(found))},
                {"label": _("The program pays"), "value": usd(-found.amount_usd)},
                {
                    "label": _("You pay"),
                    "value": usd(quote_total(found) - found.amount_usd),
                    "is_sum": True,
                },
            ],
            "missing": [
                {"words": entry.words, "fix": entry.fix}
                for entry in ruling.findings
                if entry.kind in ("failed", "missing", "held", "deferred")
            ],
            "can_send_again": found.state
            in (SubsidyState.RETURNED, SubsidyState.DEFERRED, SubsidyState.REFUSED),
            "can_withdraw": found.state in (SubsidyState.SENT, SubsidyState.RETURNED),
            "send_url": reverse("rebates:plan", args=[found.casefile.number]),
        }
        return render(request, "rebates/request.html", context)


def quote_total(request: SubsidyRequest) -> Any:
    """What the quoted work costs altogether."""
    return sum(line.amount_usd for line in request.quote.lines.all())


def request_title(request: SubsidyRequest) -> str:
    """Where the request stands, as a heading for its owner."""
    words = {
        SubsidyState.SENT: _("Your request is with the program"),
        SubsidyState.REFERRED: _("A second person looks at your request"),
        SubsidyState.RETURNED: _("Something is missing for a yes"),
        SubsidyState.RESERVED: _("The money is reserved for you"),
        SubsidyState.DEFERRED: _("Your request has to wait"),
        SubsidyState.REFUSED: _("The rules do not pay for this"),
        SubsidyState.WITHDRAWN: _("You took the request back"),
        SubsidyState.LAPSED: _("The reservation has lapsed"),
    }
    return words.get(SubsidyState(request.state), request.number)


class RequestWithdrawView(RoleRequiredMixin, View):
    """Take a request back."""

    roles = (Role.HOMEOWNER,)

    def post(self, request: SignedInRequest, request_number: str) -> HttpResponse:
        """Do it."""
        found = get_object_or_404(selectors.requests_for(request.user), number=request_number)
        try:
            services.request_withdraw(request_id=found.pk, actor=request.user)
        except DomainError as error:
            messages.error(request, error.message)
        return redirect("rebates:plan", number=found.casefile.number)
