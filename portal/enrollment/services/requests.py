"""The request for a free audit: begun, answered, screened, corrected, withdrawn."""

from collections.abc import Mapping
from typing import Any
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from portal.accounts.models import User
from portal.accounts.services import person_remember
from portal.core import clock, letters, outbox, rules, trail
from portal.core.actors import Actor
from portal.core.errors import DomainError, MoveRefused, ValuesRefused
from portal.core.models import Letter
from portal.core.states import move
from portal.enrollment import answers as answers_
from portal.enrollment import screening, selectors
from portal.enrollment.models import AuditRequest
from portal.enrollment.states import REQUEST_MOVES, RequestState

# Trying account numbers one after another ends here; a person who got it wrong this often
# is better helped by telephone. [program's choice]
MOST_SCREENINGS = 8
# Letters with the link, to any addresses, that one request may cause.
MOST_LINK_LETTERS = 3
# What may still be said once the rules have answered yes: nothing the rules looked at.
OPEN_WHEN_ELIGIBLE = ("contact", "bothers")


@transaction.atomic
def request_begin(*, actor: Actor) -> AuditRequest:
    """Begin a request; its key is the link with which it can be gone on with elsewhere."""
    request = AuditRequest.objects.create(begun_at=clock.now())
    trail.write(request, actor=actor, verb="begun", target=RequestState.OPEN)
    return request


@transaction.atomic
def request_answer(
    *, key: UUID, question: str, answer: Mapping[str, Any], actor: Actor
) -> AuditRequest:
    """Keep the answer to one question; after a no, correcting an answer opens the request again.

    A first answer with an e-mail address has the link sent there.

    Raises
    ------
    ValuesRefused
        The answer cannot be right; ``fields`` says why.
    MoveRefused
        The rules have already said yes on this answer, or the casefile is open.
    LookupError
        There is no such question.
    """
    request = _locked(key)
    kept = answers_.clean(question, answer)
    if request.state == RequestState.NOT_ELIGIBLE:
        _reopen(request, actor)
    elif request.state != RequestState.OPEN and not (
        request.state == RequestState.ELIGIBLE
        and request.casefile_id is None
        and question in OPEN_WHEN_ELIGIBLE
    ):
        raise MoveRefused(
            _("The request has been answered already. To change this, call %(phone)s.")
            % {"phone": program_phone()}
        )
    before = request.answers.get(question)
    request.answers = {**request.answers, question: kept}
    request.save(update_fields=["answers"])
    # The trail says which question, never what was said.
    if before != kept:
        trail.write(request, actor=actor, verb="answered", target=question)
    if question == "contact":
        _send_link(request)
    return request


def _send_link(request: AuditRequest) -> None:
    contact = request.answers["contact"]
    prefix = f"audit_saved:{request.pk}:"
    key = f"{prefix}{contact['email']}"[:200]
    if Letter.objects.filter(key__startswith=prefix).exclude(key=key).count() >= MOST_LINK_LETTERS:
        return
    letters.send(
        template="audit_saved",
        to=contact["email"],
        context={"name": contact["name"], "link": request_link(request)},
        key=key,
        language=contact["language"],
    )


@transaction.atomic
def request_screen(*, key: UUID, actor: Actor) -> AuditRequest:
    """Ask the rules; the facts and the ruling are kept with the request.

    Raises
    ------
    ValuesRefused
        A question the rules need has not been answered.
    MoveRefused
        The rules have already been asked about these answers.
    DomainError
        Screened too often; a person has to look at it.
    """
    request = _locked(key)
    if request.state != RequestState.OPEN:
        raise MoveRefused(_("These answers have been looked at already."))
    lacking = answers_.unanswered(request.answers)
    if lacking:
        message = _("Answer every question before you send the request.")
        raise ValuesRefused(message, code="answers_missing", fields=dict.fromkeys(lacking, message))
    if selectors.refusals_of(request) >= MOST_SCREENINGS:
        raise DomainError(
            _("This request has been looked at many times. Call %(phone)s and we will sort it out.")
            % {"phone": program_phone()},
            code="screened_too_often",
        )
    account = screening.matched_account(request.answers)
    request.facts = screening.facts_for(request, account)
    language = request.answers["contact"]["language"]
    ruling = screening.rule(request.facts, language=get_language() or language)
    request.ruling = rules.ruling_to_dict(ruling)
    request.screened_at = clock.now()
    request.account = account
    move(
        request,
        RequestState.ELIGIBLE if ruling.is_yes else RequestState.NOT_ELIGIBLE,
        moves=REQUEST_MOVES,
        actor=actor,
        why=_("Rules %(rule_set)s, version %(version)s")
        % {"rule_set": ruling.rule_set, "version": ruling.version},
        also_save=("facts", "ruling", "screened_at", "account"),
    )
    if ruling.is_yes:
        outbox.put(
            "audit_request.eligible",
            key=f"audit_request.eligible:{request.pk}",
            request_id=request.pk,
        )
        contact = request.answers["contact"]
        letters.send(
            template="audit_eligible",
            to=contact["email"],
            context={"name": contact["name"], "link": request_link(request)},
            key=f"audit_eligible:{request.pk}",
            language=contact["language"],
        )
    return request


@transaction.atomic
def request_reopen(*, key: UUID, actor: Actor) -> AuditRequest:
    """Take a refused request up again, its answers as they are."""
    request = _locked(key)
    _reopen(request, actor)
    return request


def _reopen(request: AuditRequest, actor: Actor) -> None:
    move(
        request,
        RequestState.OPEN,
        moves=REQUEST_MOVES,
        actor=actor,
        why=_("The applicant corrects an answer"),
    )


@transaction.atomic
def request_withdraw(*, key: UUID, actor: Actor, why: str = "") -> AuditRequest:
    """Give the request up.

    Raises
    ------
    MoveRefused
        It has become a casefile, which is closed in its own way.
    """
    request = _locked(key)
    if request.casefile_id is not None:
        raise MoveRefused(_("The request has become a casefile and cannot be withdrawn."))
    move(request, RequestState.WITHDRAWN, moves=REQUEST_MOVES, actor=actor, why=why)
    return request


@transaction.atomic
def applicant_remember(*, key: UUID, actor: Actor) -> User:
    """The person of an eligible request, so that a sign-in code can be sent to them.

    They hold no role and own nothing until the code shows that the address is theirs.

    Raises
    ------
    MoveRefused
        The rules have not said yes to this request.
    """
    request = _locked(key)
    if request.state != RequestState.ELIGIBLE:
        raise MoveRefused(_("An account is for people whose request can go ahead."))
    contact = request.answers["contact"]
    return person_remember(
        email=contact["email"],
        full_name=contact["name"],
        phone=contact["phone"],
        language=contact["language"],
        actor=actor,
    )


def request_link(request: AuditRequest) -> str:
    """The full address under which the request can be gone on with."""
    return settings.SITE_URL + reverse("enrollment:resume", args=[request.key])


def program_phone() -> str:
    """The telephone of the program office."""
    return getattr(settings, "PROGRAM_PHONE", "555-0142")


def _locked(key: UUID) -> AuditRequest:
    return AuditRequest.objects.select_for_update(of=("self",)).get(key=key)
