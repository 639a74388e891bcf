"""Adopting the numbers that decide safety or money: one proposes, another confirms."""

import math

from django.db import IntegrityError, transaction
from django.utils.translation import gettext as _

from calcs.confirmable import SAFETY, Confirmable, confirmable, value_in_effect
from calcs.errors import CalcsError
from portal.core import clock, jobs, outbox, trail
from portal.core.actors import Actor
from portal.core.errors import DomainError, ValuesRefused
from portal.core.states import move
from portal.intake import policies
from portal.intake.document import limits_in_effect
from portal.intake.models import ValueProposal
from portal.intake.states import PROPOSAL_MOVES, ProposalState

TEXT_LIMIT, REASON_LIMIT = 200, 2000
EDITION_LIMIT = 80
REJUDGE_JOB = "intake.rejudge"


@transaction.atomic
def value_propose(
    *,
    key: str,
    value: float | None,
    edition: str,
    document: str,
    reason: str,
    actor: Actor,
    authority: str = "",
) -> ValueProposal:
    """Propose a value for the program. Nothing changes until a second administrator confirms.

    The published value itself may be proposed: that confirms it against an edition. A safety
    limit may be made stricter; looser only with a named authority.

    Raises
    ------
    ValuesRefused
        Unknown key, an implausible value, words that are missing or too long, or a looser limit
        without an authority.
    NotAllowed
        Anybody but a program administrator in person.
    DomainError
        Another proposal for the value waits already.
    """
    policies.require_proposing(actor)
    item = _item(key)
    words = {"edition": edition, "document": document, "reason": reason, "authority": authority}
    words = {name: text.strip() for name, text in words.items()}
    faults = _faults(item, value, words)
    before = value_in_effect(key, limits_in_effect())
    is_looser = value is not None and before is not None and item.is_looser(value, before)
    if "value" not in faults and is_looser and not words["authority"]:
        faults["authority"] = _(
            "This is looser than what is in effect (%(value)g %(unit)s). Name the authority that "
            "allows it: code official, standards body, regulator."
        ) % {"value": before, "unit": item.unit}
    if faults:
        raise ValuesRefused(next(iter(faults.values())), fields=faults)
    waiting = ValueProposal.objects.filter(key=key, state=ProposalState.PROPOSED)
    message = _("A proposal for this value waits already. It is decided or withdrawn first.")
    if waiting.exists():
        raise DomainError(message, code="proposal_waits")
    try:
        with transaction.atomic():
            proposal = ValueProposal.objects.create(
                key=key,
                value=value,
                unit=item.unit,
                value_before=before,
                is_looser=is_looser,
                proposed_by_id=actor.actor_id or 0,
                proposed_at=clock.now(),
                **words,
            )
    except IntegrityError as error:
        raise DomainError(message, code="proposal_waits") from error
    trail.write(
        proposal, actor=actor, verb="proposed", target=str(ProposalState.PROPOSED),
        why=words["reason"], details=_details(proposal),
    )  # fmt: skip
    return proposal


@transaction.atomic
def value_adopt(*, proposal_id: int, actor: Actor, why: str = "") -> ValueProposal:
    """Confirm a proposal as a second person. It is in effect from now on.

    Raises
    ------
    NotAllowed
        Who proposed it, or anybody but a program administrator.
    DomainError
        It is decided already, or what is in effect has changed since so that it would loosen a
        limit without an authority.
    """
    proposal = _locked(proposal_id)
    policies.require_deciding(actor, proposal)
    _require_open(proposal)
    item = _item(proposal.key)
    # Locked after the proposal, always: two decisions meet here one after the other.
    in_effect = (
        ValueProposal.objects.select_for_update()
        .filter(key=proposal.key, state=ProposalState.ADOPTED)
        .first()
    )
    before = item.value if in_effect is None or in_effect.value is None else in_effect.value
    is_looser = (
        proposal.value is not None and before is not None and item.is_looser(proposal.value, before)
    )
    if is_looser and not proposal.authority:
        raise DomainError(
            _("What is in effect has become stricter since. Propose it anew with an authority."),
            code="looser_without_authority",
        )
    if in_effect is not None:
        move(in_effect, ProposalState.REPLACED, moves=PROPOSAL_MOVES, actor=actor)
    proposal.is_looser = is_looser
    proposal.value_before = before
    _decide(proposal, ProposalState.ADOPTED, actor, why, ("is_looser", "value_before"))
    if item.decides == SAFETY and proposal.value is not None and proposal.value != before:
        jobs.enqueue(REJUDGE_JOB, key=f"{REJUDGE_JOB}:{proposal.pk}", proposal_id=proposal.pk)
    outbox.put(
        "value.adopted", key=f"value.adopted:{proposal.pk}", proposal_id=proposal.pk,
        value_key=proposal.key,
    )  # fmt: skip
    return proposal


@transaction.atomic
def value_refuse(*, proposal_id: int, actor: Actor, why: str) -> ValueProposal:
    """Refuse a proposal as a second person, with the reason.

    Raises
    ------
    NotAllowed, DomainError, ValuesRefused
        As for adopting; and without a reason.
    """
    proposal = _locked(proposal_id)
    policies.require_deciding(actor, proposal)
    _require_open(proposal)
    if not why.strip():
        message = _("Say why, for who proposed it.")
        raise ValuesRefused(message, fields={"why": message})
    _decide(proposal, ProposalState.REFUSED, actor, why)
    return proposal


@transaction.atomic
def value_withdraw(*, proposal_id: int, actor: Actor) -> ValueProposal:
    """Withdraw one's own proposal.

    Raises
    ------
    NotAllowed, DomainError
        Somebody else's, or decided already.
    """
    proposal = _locked(proposal_id)
    policies.require_withdrawing(actor, proposal)
    _require_open(proposal)
    _decide(proposal, ProposalState.WITHDRAWN, actor, "")
    return proposal


def _item(key: str) -> Confirmable:
    try:
        return confirmable(key)
    except CalcsError as error:
        message = _("There is no such value.")
        raise ValuesRefused(message, fields={"key": message}) from error


def _faults(item: Confirmable, value: float | None, words: dict[str, str]) -> dict[str, str]:
    faults: dict[str, str] = {}
    if item.value is not None and (value is None or not math.isfinite(value)):
        faults["value"] = _("Enter the value in %(unit)s.") % {"unit": item.unit or _("numbers")}
    else:
        try:
            item.require_plausible(value)
        except CalcsError as error:
            faults["value"] = _("Check the value: %(why)s.") % {"why": error}
    needed = {
        "edition": _("Enter the edition or the year of the document."),
        "document": _("Name the document the value stands in, with its section."),
        "reason": _("Say why the program adopts this value."),
    }
    for name, message in needed.items():
        if not words[name]:
            faults[name] = message
    for name, limit in (
        ("edition", EDITION_LIMIT), ("document", TEXT_LIMIT), ("authority", TEXT_LIMIT),
        ("reason", REASON_LIMIT),
    ):  # fmt: skip
        if len(words[name]) > limit:
            faults[name] = _("At most %(limit)d characters.") % {"limit": limit}
    return faults


def _locked(proposal_id: int) -> ValueProposal:
    return ValueProposal.objects.select_for_update().get(pk=proposal_id)


def _require_open(proposal: ValueProposal) -> None:
    if proposal.state != ProposalState.PROPOSED:
        raise DomainError(_("This proposal is decided already."), code="proposal_decided")


def _details(proposal: ValueProposal) -> dict[str, object]:
    return {
        "key": proposal.key,
        "from": proposal.value_before,
        "to": proposal.value,
        "unit": proposal.unit,
        "edition": proposal.edition,
        "document": proposal.document,
        "authority": proposal.authority,
        "is_looser": proposal.is_looser,
    }


def _decide(
    proposal: ValueProposal,
    target: ProposalState,
    actor: Actor,
    why: str,
    more: tuple[str, ...] = (),
) -> None:
    proposal.decided_by_id = actor.actor_id
    proposal.decided_at = clock.now()
    proposal.decided_why = why.strip()[:REASON_LIMIT]
    source = proposal.state
    proposal.state = target
    if not PROPOSAL_MOVES.allows(source, target):
        raise DomainError(_("This proposal is decided already."), code="proposal_decided")
    proposal.save(update_fields=["state", "decided_by", "decided_at", "decided_why", *more])
    trail.write(
        proposal, actor=actor, verb=str(target), source=source, target=str(target),
        why=proposal.decided_why or proposal.reason, details=_details(proposal),
    )  # fmt: skip
