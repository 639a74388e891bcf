"""The firm's claim for payment."""

from decimal import Decimal
from typing import BinaryIO

from django.db import transaction
from django.utils.translation import gettext as _

from portal.core import clock, files, outbox, trail
from portal.core.actors import Actor
from portal.core.errors import DomainError, ValuesRefused
from portal.core.money import to_cents
from portal.core.states import move
from portal.core.workdays import working_days_after
from portal.works import policies
from portal.works.models import Claim, WorkScope
from portal.works.states import CLAIM_MOVES, ClaimState, ScopeState

ANSWER_WITHIN_WORKING_DAYS = 10


@transaction.atomic
def claim_send(
    *,
    scope_id: int,
    invoice_number: str,
    invoice_usd: Decimal,
    actor: Actor,
    invoice: BinaryIO | None = None,
    invoice_name: str | None = None,
) -> Claim:
    """Claim payment for a job that is done; a returned claim is sent again under its number.

    Raises
    ------
    DomainError
        A line is not done yet, or a claim is with the program already.
    ValuesRefused
        No invoice number, or an amount that is not above zero.
    """
    scope = (
        WorkScope.objects.select_for_update(of=("self",))
        .select_related("award__firm", "casefile")
        .get(pk=scope_id)
    )
    policies.require_own_scope(actor, scope)
    faults = {}
    if not invoice_number.strip():
        faults["invoice_number"] = _("Enter the number on the invoice.")
    if invoice_usd <= 0:
        faults["invoice_usd"] = _("Enter the invoice amount in dollars, more than 0.")
    if faults:
        raise ValuesRefused(_("The claim is not complete."), fields=faults)
    if scope.state != ScopeState.DONE:
        raise DomainError(_("Mark every line done first."), code="not_done")
    file = None
    if invoice is not None:
        file = files.store_document(
            invoice,
            name=invoice_name,
            actor=actor,
            casefile_number=scope.casefile.number,
            field="invoice",
        )
    returned = scope.claims.filter(state=ClaimState.RETURNED).first()
    if returned is None and scope.claims.exists():
        raise DomainError(_("A claim for this job is with the program."), code="claimed")
    claim = returned or Claim(
        number=f"C-{scope.casefile.number}-{scope.claims.count() + 1}",
        scope=scope,
    )
    claim.invoice_number = invoice_number.strip()
    claim.invoice_usd = to_cents(invoice_usd)
    claim.invoice_file = file or claim.invoice_file
    claim.sent_at = clock.now()
    claim.sent_by = actor.actor_label
    claim.answer_by_on = working_days_after(clock.today(), ANSWER_WITHIN_WORKING_DAYS)
    if returned is None:
        claim.save()
        trail.write(claim, actor=actor, verb="sent", target=ClaimState.SENT)
    else:
        claim.save()
        move(claim, ClaimState.SENT, moves=CLAIM_MOVES, actor=actor)
    outbox.put(
        "claim.sent",
        key=f"claim.sent:{claim.pk}:{claim.sent_at.timestamp():.6f}",
        claim_id=claim.pk,
    )
    return claim


@transaction.atomic
def claim_decide(*, claim_id: int, target: ClaimState, actor: Actor, note: str = "") -> Claim:
    """Accept a claim, or return it with the shortfall.

    Raises
    ------
    ValuesRefused
        It is returned without a reason.
    """
    policies.require_desk(actor)
    claim = (
        Claim.objects.select_for_update(of=("self",))
        .select_related("scope__casefile")
        .get(pk=claim_id)
    )
    if target == ClaimState.RETURNED:
        if not note.strip():
            message = _("Write what is missing. The firm reads it.")
            raise ValuesRefused(message, fields={"note": message})
        claim.shortfall = [note.strip()]
        claim.save(update_fields=["shortfall"])
    move(claim, target, moves=CLAIM_MOVES, actor=actor, why=note)
    outbox.put(
        f"claim.{target}",
        key=f"claim.{target}:{claim.pk}:{clock.now().timestamp():.6f}",
        claim_id=claim.pk,
    )
    return claim
