"""Award and work scope: built once from the reserved request, issued when nothing holds it."""

from typing import BinaryIO

from django.db import transaction
from django.utils.translation import gettext as _

from portal.accounts.models import Firm
from portal.core import clock, files, outbox, trail
from portal.core.actors import Actor, SystemActor
from portal.core.errors import DomainError, ValuesRefused
from portal.core.states import move
from portal.core.workdays import working_days_after
from portal.enrollment.models import Casefile
from portal.rebates.models import SubsidyRequest
from portal.works import policies
from portal.works.content import ScopeContent, scope_content
from portal.works.models import Award, LineProof, ScopeLine, WorkScope
from portal.works.states import LINE_MOVES, SCOPE_MOVES, LineState, ScopeState

ANSWER_WITHIN_WORKING_DAYS = 2
BUILDER = SystemActor("work scope")
WORKING = (ScopeState.ACCEPTED, ScopeState.IN_PROGRESS)


@transaction.atomic
def award_make(*, request_id: int, firm_id: int, awarded_by: str) -> WorkScope:
    """Give the work of a reserved request to a firm and build its scope; asked twice, once."""
    request = (
        SubsidyRequest.objects.select_for_update(of=("self",))
        .select_related("casefile__participation__dwelling__building__county", "quote", "run")
        .get(pk=request_id)
    )
    award, is_new = Award.objects.get_or_create(
        request=request,
        defaults={
            "firm": Firm.objects.get(pk=firm_id),
            "awarded_at": clock.now(),
            "awarded_by": awarded_by,
        },
    )
    if not is_new:
        return award.scopes.get(version=1)
    content = scope_content(request=request, award=award)
    scope = WorkScope.objects.create(
        number=f"S-{request.casefile.number}",
        casefile=request.casefile,
        award=award,
        state=ScopeState.HELD,
        header=content.header,
        finish_by_on=request.reservation.expires_on,
    )
    ScopeLine.objects.bulk_create(
        ScopeLine(scope=scope, order=order, **line)
        for order, line in enumerate(content.lines, start=1)
    )
    trail.write(scope, actor=BUILDER, verb="built", target=ScopeState.HELD)
    if content.held_by:
        outbox.put("scope.held", key=f"scope.held:{scope.pk}", scope_id=scope.pk)
    else:
        _issue(scope, actor=BUILDER, why=_("nothing holds it"))
    return scope


@transaction.atomic
def scopes_recheck(*, casefile: Casefile, actor: Actor) -> None:
    """Issue the held scopes of a casefile from which the last hazard has been cleared."""
    for scope in (
        WorkScope.objects.select_for_update(of=("self",))
        .select_related("award__request", "casefile")
        .filter(casefile=casefile, state=ScopeState.HELD)
        .order_by("pk")
    ):
        content: ScopeContent = scope_content(request=scope.award.request, award=scope.award)
        if not content.held_by:
            scope.header = content.header
            scope.save(update_fields=["header"])
            _issue(scope, actor=actor, why=_("the last hazard is cleared"))


def _issue(scope: WorkScope, *, actor: Actor, why: str) -> None:
    scope.issued_at = clock.now()
    scope.answer_by_on = working_days_after(clock.today(), ANSWER_WITHIN_WORKING_DAYS)
    move(
        scope,
        ScopeState.ISSUED,
        moves=SCOPE_MOVES,
        actor=actor,
        why=why,
        also_save=("issued_at", "answer_by_on"),
    )
    outbox.put(
        "scope.issued",
        key=f"scope.issued:{scope.pk}:{scope.issued_at.timestamp():.6f}",
        scope_id=scope.pk,
    )


def _locked(scope_id: int) -> WorkScope:
    return (
        WorkScope.objects.select_for_update(of=("self",))
        .select_related("award__firm", "casefile")
        .get(pk=scope_id)
    )


@transaction.atomic
def scope_accept(*, scope_id: int, actor: Actor) -> WorkScope:
    """Take the job."""
    scope = _locked(scope_id)
    policies.require_own_scope(actor, scope)
    move(scope, ScopeState.ACCEPTED, moves=SCOPE_MOVES, actor=actor)
    outbox.put("scope.accepted", key=f"scope.accepted:{scope.pk}", scope_id=scope.pk)
    return scope


@transaction.atomic
def scope_decline(*, scope_id: int, actor: Actor, why: str) -> WorkScope:
    """Say no to the job, with the reason; the Desk then looks for another firm."""
    scope = _locked(scope_id)
    policies.require_own_scope(actor, scope)
    if not why.strip():
        message = _("Write why, so that the program can find another firm.")
        raise ValuesRefused(message, fields={"why": message})
    move(scope, ScopeState.DECLINED, moves=SCOPE_MOVES, actor=actor, why=why.strip())
    outbox.put("scope.declined", key=f"scope.declined:{scope.pk}", scope_id=scope.pk)
    return scope


@transaction.atomic
def proof_add(
    *,
    line_id: int,
    moment: str,
    upload: BinaryIO,
    upload_name: str | None,
    actor: Actor,
    caption: str = "",
) -> LineProof:
    """Add a photo to a line of a job that has been taken."""
    line = ScopeLine.objects.select_related("scope__award__firm", "scope__casefile").get(pk=line_id)
    policies.require_own_scope(actor, line.scope)
    _require_working(line.scope)
    stored = files.store_photo(
        upload, name=upload_name, actor=actor, casefile_number=line.casefile_number
    )
    return LineProof.objects.create(
        line=line,
        file=stored,
        moment=moment,
        caption=caption,
        added_at=clock.now(),
        added_by=actor.actor_label,
    )


@transaction.atomic
def line_mark_done(*, line_id: int, actor: Actor, note: str = "") -> ScopeLine:
    """Mark a line done. It needs a photo from after the work; the last line ends the job.

    Raises
    ------
    DomainError
        No photo shows the finished line, or the job is not being worked on.
    """
    scope_id = ScopeLine.objects.values_list("scope_id", flat=True).get(pk=line_id)
    scope = _locked(scope_id)
    policies.require_own_scope(actor, scope)
    _require_working(scope)
    line = ScopeLine.objects.select_for_update().get(pk=line_id)
    line.scope = scope
    if not line.proofs.filter(moment="after").exists():
        message = _("Add a photo of the finished work to line %(number)s first.") % {
            "number": line.number
        }
        raise DomainError(message, code="no_proof")
    line.done_at = clock.now()
    line.done_by = actor.actor_label
    line.done_note = note
    move(
        line,
        LineState.DONE,
        moves=LINE_MOVES,
        actor=actor,
        why=note,
        also_save=("done_at", "done_by", "done_note"),
    )
    if scope.state == ScopeState.ACCEPTED:
        move(scope, ScopeState.IN_PROGRESS, moves=SCOPE_MOVES, actor=actor)
        outbox.put("scope.begun", key=f"scope.begun:{scope.pk}", scope_id=scope.pk)
    if not scope.lines.exclude(state=LineState.DONE).exists():
        scope.done_at = clock.now()
        move(scope, ScopeState.DONE, moves=SCOPE_MOVES, actor=actor, also_save=("done_at",))
        outbox.put(
            "scope.done",
            key=f"scope.done:{scope.pk}:{scope.done_at.timestamp():.6f}",
            scope_id=scope.pk,
        )
    return line


@transaction.atomic
def line_reopen(*, line_id: int, actor: Actor, why: str) -> ScopeLine:
    """Take back a line that was marked done by mistake."""
    scope_id = ScopeLine.objects.values_list("scope_id", flat=True).get(pk=line_id)
    scope = _locked(scope_id)
    policies.require_own_scope(actor, scope)
    if scope.claims.exclude(state="returned").exists():
        raise DomainError(_("A claim for this job is with the program."), code="claimed")
    line = ScopeLine.objects.select_for_update().get(pk=line_id)
    line.scope = scope
    line.done_at = None
    line.done_by = ""
    move(
        line,
        LineState.TO_DO,
        moves=LINE_MOVES,
        actor=actor,
        why=why,
        also_save=("done_at", "done_by"),
    )
    if scope.state == ScopeState.DONE:
        scope.done_at = None
        move(scope, ScopeState.IN_PROGRESS, moves=SCOPE_MOVES, actor=actor, also_save=("done_at",))
    return line


def _require_working(scope: WorkScope) -> None:
    if scope.state not in WORKING:
        raise DomainError(_("Take the job first."), code="not_taken")
