"""Pages of the request for a free audit. The link with the key is what opens them."""

from typing import Any
from uuid import UUID

from allauth.account.views import request_login_code
from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import translation
from django.utils.decorators import method_decorator
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache

from portal.accounts.adapter import AFTER_SIGN_IN
from portal.accounts.signed_in import person
from portal.core.actors import Actor, PublicActor
from portal.core.errors import DomainError, MoveRefused, ValuesRefused
from portal.enrollment import answers, links, selectors, services, summaries
from portal.enrollment.forms import FORMS, QuestionForm
from portal.enrollment.models import AuditRequest
from portal.enrollment.services.requests import OPEN_WHEN_ELIGIBLE
from portal.enrollment.states import RequestState, Tenure
from portal.enrollment.throttles import (
    AnswerThrottle,
    BeginThrottle,
    ScreenThrottle,
    ThrottledPost,
)


def actor_of(request: HttpRequest) -> Actor:
    """The person signed in, else an applicant."""
    return request.user if request.user.is_authenticated else PublicActor()


class StartView(ThrottledPost):
    """What you get, what it takes, and the one button that begins."""

    throttle_class = BeginThrottle

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show what asking for an audit means."""
        return render(request, "enrollment/start.html", {"question_count": len(answers.QUESTIONS)})

    def post(self, request: HttpRequest) -> HttpResponse:
        """Begin."""
        begun = services.request_begin(actor=actor_of(request))
        return redirect(links.current_page(begun))


@method_decorator(never_cache, name="dispatch")
class RequestPage(ThrottledPost):
    """A page of one request, found by the key in its address."""

    audit_request: AuditRequest

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Find the request first; a wrong key is 404."""
        self.audit_request = selectors.request_by_key(kwargs["key"])
        return super().dispatch(request, *args, **kwargs)

    def page(
        self, template: str, context: dict[str, Any] | None = None, status: int = 200
    ) -> HttpResponse:
        """Render with what every page of a request shows."""
        shared = {
            "audit_request": self.audit_request,
            "resume_link": services.request_link(self.audit_request),
            "program_phone": services.program_phone(),
        }
        return render(self.request, template, {**shared, **(context or {})}, status=status)

    def elsewhere(self) -> HttpResponse:
        """To the page on which this request stands now."""
        return redirect(links.current_page(self.audit_request))


class ResumeView(RequestPage):
    """The link in the letter: goes on wherever the request stands."""

    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, key: UUID) -> HttpResponse:
        """Lead on."""
        return self.elsewhere()


class QuestionView(RequestPage):
    """One question on one page."""

    throttle_class = AnswerThrottle

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """A question nobody asks is 404."""
        if kwargs["question"] not in FORMS:
            raise Http404
        return super().dispatch(request, *args, **kwargs)

    def is_closed(self, question: str) -> bool:
        """Whether this answer cannot be changed any more."""
        asked = self.audit_request
        if asked.state == RequestState.ELIGIBLE:
            return asked.casefile_id is not None or question not in OPEN_WHEN_ELIGIBLE
        return asked.state == RequestState.WITHDRAWN

    def get(self, request: HttpRequest, key: UUID, question: str) -> HttpResponse:
        """Show the question, filled with what was said."""
        if self.is_closed(question):
            return self.elsewhere()
        first = answers.next_question(self.audit_request.answers)
        if first is not None and answers.QUESTIONS.index(question) > answers.QUESTIONS.index(first):
            return self.elsewhere()
        said = self.audit_request.answers.get(question)
        if said is None and question == "contact":
            said = {"language": translation.get_language() or "en"}
        return self.show(question, FORMS[question](initial=said))

    def post(self, request: HttpRequest, key: UUID, question: str) -> HttpResponse:
        """Keep the answer and lead on."""
        form = FORMS[question](request.POST)
        if not form.is_valid():
            return self.show(question, form)
        try:
            self.audit_request = services.request_answer(
                key=key, question=question, answer=form.cleaned_data, actor=actor_of(request)
            )
        except MoveRefused as refusal:
            messages.error(request, refusal.message)
        return self.elsewhere()

    def show(self, question: str, form: QuestionForm, status: int = 200) -> HttpResponse:
        """The page of one question."""
        place = answers.QUESTIONS.index(question) + 1
        return self.page(
            "enrollment/question.html",
            {
                "form": form,
                "previous_url": links.page_before(self.audit_request, question),
                "step_of": _("Question %(place)d of %(count)d")
                % {"place": place, "count": len(answers.QUESTIONS)},
                "is_mailed": bool(self.audit_request.answers.get("contact")),
            },
            status=status,
        )


class CheckView(RequestPage):
    """All answers on one page, each with its way back; then the rules are asked."""

    throttle_class = ScreenThrottle

    def get(self, request: HttpRequest, key: UUID) -> HttpResponse:
        """Show the answers."""
        is_ready = answers.next_question(self.audit_request.answers) is None
        if self.audit_request.state != RequestState.OPEN or not is_ready:
            return self.elsewhere()
        return self.page(
            "enrollment/check.html", {"summary": summaries.answers_of(self.audit_request)}
        )

    def post(self, request: HttpRequest, key: UUID) -> HttpResponse:
        """Ask the rules."""
        try:
            self.audit_request = services.request_screen(key=key, actor=actor_of(request))
        except (MoveRefused, ValuesRefused):
            # Sent twice, or from a page left open: the request's own page tells where it stands.
            return self.elsewhere()
        except DomainError as refusal:
            messages.error(request, refusal.message)
            return redirect("enrollment:check", key=key)
        return self.elsewhere()


class NotEligibleView(RequestPage):
    """A no with its reasons, what else there is, and whom to ask."""

    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, key: UUID) -> HttpResponse:
        """Show the reasons."""
        if self.audit_request.state != RequestState.NOT_ELIGIBLE:
            return self.elsewhere()
        return self.page(
            "enrollment/not_eligible.html",
            {
                "reasons": summaries.reasons_of(self.audit_request),
                "summary": summaries.answers_of(self.audit_request),
            },
        )


class WithdrawnView(RequestPage):
    """A request that was given up, or overtaken by another for the same home."""

    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, key: UUID) -> HttpResponse:
        """Say so."""
        if self.audit_request.state != RequestState.WITHDRAWN:
            return self.elsewhere()
        return self.page("enrollment/withdrawn.html", {"takes_part": self._takes_part()})

    def _takes_part(self) -> bool:
        account = self.audit_request.account
        return account is not None and selectors.live_participation_at(account.dwelling) is not None


class EligibleView(RequestPage):
    """A yes: next comes the account by e-mailed code, and with it the visit."""

    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, key: UUID) -> HttpResponse:
        """Show the yes, or go on to the visit when the casefile is theirs."""
        asked = self.audit_request
        if asked.state != RequestState.ELIGIBLE:
            return self.elsewhere()
        if asked.casefile is not None:
            if selectors.casefiles_for(request.user).filter(pk=asked.casefile.pk).exists():
                # A page of a higher app, by its name only.
                return redirect("scheduling:pick", number=asked.casefile.number)
            return self.page("enrollment/opened.html", {"sign_in_url": reverse("account_login")})
        return self.page(
            "enrollment/eligible.html",
            {
                "email": asked.answers["contact"]["email"],
                "is_renter": asked.answers["tenure"]["tenure"] == Tenure.RENTER,
                "contact_url": links.question_page(asked, "contact"),
                "signed_in_as": request.user.email if request.user.is_authenticated else "",
            },
        )


class ClaimView(RequestPage):
    """Sends the sign-in code to the address of an eligible request."""

    http_method_names = ["post"]
    throttle_class = ScreenThrottle

    def post(self, request: HttpRequest, key: UUID) -> HttpResponseBase:
        """Make the person known and hand over to signing in by code."""
        here = reverse("enrollment:eligible", args=[key])
        if request.user.is_authenticated:
            return self.claim_signed_in(request, here)
        try:
            person = services.applicant_remember(key=key, actor=actor_of(request))
        except MoveRefused:
            return self.elsewhere()
        request.session[AFTER_SIGN_IN] = here
        posted = request.POST.copy()
        posted["email"] = person.email
        request.POST = posted  # type: ignore[assignment]  # the sign-in page reads its box from here
        return request_login_code(request)

    def claim_signed_in(self, request: HttpRequest, here: str) -> HttpResponse:
        """Whoever is signed in with the request's own address needs no second code."""
        services.casefiles_claim(user=person(request))
        self.audit_request.refresh_from_db()
        if self.audit_request.casefile_id is None and (
            self.audit_request.state == RequestState.ELIGIBLE
        ):
            messages.error(
                request,
                _(
                    "You are signed in with another address than the one on the request. Sign out, "
                    "then have the code sent."
                ),
            )
        return redirect(here)
