"""The work scope: read it, answer it, mark its lines done, claim."""

from typing import Any

from django.contrib import messages
from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext as _
from django.views import View

from portal.accounts.states import Role
from portal.core.access import RoleRequiredMixin, SignedInRequest
from portal.core.errors import DomainError
from portal.works import scope_page, selectors
from portal.works.forms import ClaimForm, DeclineForm, DoneForm, ProofForm
from portal.works.models import LineProof, ScopeLine, WorkScope
from portal.works.services import claims, scopes
from portal.works.states import ScopeState

READERS = (Role.CONTRACTOR, Role.PROGRAM_ADMIN)


def _scope(request: SignedInRequest, number: str) -> WorkScope:
    found = selectors.scope_with_lines(selectors.scopes_for(request.user))
    scope = found.filter(number=number).order_by("-version").first()
    if scope is None:
        raise Http404
    return scope


class ScopeView(RoleRequiredMixin, View):
    """The scoped work list of one home."""

    roles = READERS

    def get(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Show it."""
        return render_scope(request, _scope(request, number))


def render_scope(request: SignedInRequest, scope: WorkScope, **forms: Any) -> HttpResponse:
    """The scope's page, with a form that was refused where there is one."""
    is_firm = request.user.has_role(Role.CONTRACTOR)
    claim = scope.claims.order_by("-pk").first()
    context = {
        "scope": scope,
        "title_block": scope_page.block(scope),
        "cautions": scope_page.cautions(scope),
        "held_by": scope.header.get("held_by", []) if scope.state == ScopeState.HELD else [],
        "lines": [scope_page.line_entry(line) for line in scope.lines.all()],
        "money": scope_page.money(scope),
        "days": scope_page.days_that_count(scope),
        "test_rows": scope_page.test_rows(scope),
        "test_sources": scope_page.test_sources(scope),
        "access": scope.header.get("access", []),
        "people": scope.header.get("people", {}),
        "can_answer": is_firm and scope.state == ScopeState.ISSUED,
        "can_work": is_firm and scope_page.is_working(scope),
        "can_claim": is_firm
        and scope.state == ScopeState.DONE
        and (claim is None or claim.state == "returned"),
        "claim": claim,
        "decline_form": forms.get("decline_form") or DeclineForm(),
        "form": forms.get("decline_form"),
    }
    return render(request, "works/scope.html", context)


class ScopeAnswerView(RoleRequiredMixin, View):
    """Take the job, or say no with the reason."""

    roles = (Role.CONTRACTOR,)

    def post(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Answer."""
        scope = _scope(request, number)
        if "decline" in request.POST:
            form = DeclineForm(request.POST)
            if not form.is_valid():
                return render_scope(request, scope, decline_form=form)
            try:
                scopes.scope_decline(
                    scope_id=scope.pk, actor=request.user, why=form.cleaned_data["why"]
                )
            except DomainError as error:
                messages.error(request, error.message)
            return redirect("places:scopes")
        try:
            scopes.scope_accept(scope_id=scope.pk, actor=request.user)
        except DomainError as error:
            messages.error(request, error.message)
        else:
            messages.success(request, _("The job is yours."))
        return redirect("works:scope", number=number)


def _line(request: SignedInRequest, number: str, line_pk: int) -> ScopeLine:
    return get_object_or_404(
        ScopeLine.objects.select_related("scope__casefile").prefetch_related("proofs__file"),
        pk=line_pk,
        scope=_scope(request, number),
    )


class LineView(RoleRequiredMixin, View):
    """One line on the job: its photos, and marking it done."""

    roles = (Role.CONTRACTOR,)

    def get(self, request: SignedInRequest, number: str, line_pk: int) -> HttpResponse:
        """Show it."""
        return self._page(request, _line(request, number, line_pk))

    def post(self, request: SignedInRequest, number: str, line_pk: int) -> HttpResponse:
        """Add a photo, or mark the line done."""
        line = _line(request, number, line_pk)
        if "done" in request.POST:
            done = DoneForm(request.POST)
            if done.is_valid():
                try:
                    scopes.line_mark_done(
                        line_id=line.pk, actor=request.user, note=done.cleaned_data["note"]
                    )
                except DomainError as error:
                    done.refuse(error)
                else:
                    messages.success(
                        request, _("Line %(number)s is done.") % {"number": line.number}
                    )
                    return redirect("works:scope", number=number)
            return self._page(request, line, done_form=done)
        proof = ProofForm(request.POST, request.FILES)
        if proof.is_valid():
            try:
                scopes.proof_add(
                    line_id=line.pk,
                    moment=proof.cleaned_data["moment"],
                    caption=proof.cleaned_data["caption"],
                    upload=proof.cleaned_data["photo"],
                    upload_name=proof.cleaned_data["photo"].name,
                    actor=request.user,
                )
            except DomainError as error:
                proof.refuse(error)
            else:
                messages.success(request, _("The photo is kept."))
                return redirect("works:line", number=number, line_pk=line.pk)
        return self._page(request, line, proof_form=proof)

    def _page(self, request: SignedInRequest, line: ScopeLine, **forms: Any) -> HttpResponse:
        proof_form = forms.get("proof_form") or ProofForm()
        done_form = forms.get("done_form") or DoneForm()
        return render(
            request,
            "works/line.html",
            {
                "scope": line.scope,
                "line": scope_page.line_entry(line),
                "proof_form": proof_form,
                "done_form": done_form,
                "form": done_form if done_form.is_bound else proof_form,
                "can_work": scope_page.is_working(line.scope),
            },
        )


class LineReopenView(RoleRequiredMixin, View):
    """Take back a line marked done by mistake."""

    roles = (Role.CONTRACTOR,)

    def post(self, request: SignedInRequest, number: str, line_pk: int) -> HttpResponse:
        """Do it."""
        line = _line(request, number, line_pk)
        try:
            scopes.line_reopen(line_id=line.pk, actor=request.user, why=_("marked by mistake"))
        except DomainError as error:
            messages.error(request, error.message)
        return redirect("works:line", number=number, line_pk=line.pk)


class ClaimView(RoleRequiredMixin, View):
    """The claim of a finished job."""

    roles = (Role.CONTRACTOR,)

    def get(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Show the form."""
        return self._page(request, _scope(request, number), ClaimForm())

    def post(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Send it."""
        scope = _scope(request, number)
        form = ClaimForm(request.POST, request.FILES)
        if form.is_valid():
            try:
                claim = claims.claim_send(
                    scope_id=scope.pk,
                    invoice_number=form.cleaned_data["invoice_number"],
                    invoice_usd=form.cleaned_data["invoice_usd"],
                    actor=request.user,
                    **form.upload(),
                )
            except DomainError as error:
                form.refuse(error)
            else:
                messages.success(request, _("Claim %(number)s is sent.") % {"number": claim.number})
                return redirect("works:scope", number=number)
        return self._page(request, scope, form)

    def _page(self, request: SignedInRequest, scope: WorkScope, form: ClaimForm) -> HttpResponse:
        return render(
            request,
            "works/claim.html",
            {"scope": scope, "form": form, "money": scope_page.money(scope)},
        )


class ProofFileView(RoleRequiredMixin, View):
    """One photo of a line, for those who may see the scope."""

    roles = READERS

    def get(self, request: SignedInRequest, key: str) -> HttpResponseBase:
        """Send the file."""
        proof = get_object_or_404(
            LineProof.objects.select_related("file"),
            file__key=key,
            line__scope__in=selectors.scopes_for(request.user),
        )
        return FileResponse(proof.file.content.open("rb"), content_type=proof.file.media_type)
