"""Subsidy requests: sent with consent, ruled on stored facts, decided at the Desk.

Locks are taken in one order: the request, then the funds by key.
"""

from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from portal.accounts.models import Firm, User
from portal.core import clock, outbox, trail
from portal.core.actors import Actor, SystemActor
from portal.core.errors import DomainError, ValuesRefused
from portal.core.rules import Ruling, ruling_from_dict, ruling_to_dict
from portal.core.states import move
from portal.core.workdays import working_days_after
from portal.modeling.states import RunState
from portal.rebates import policies, rulings
from portal.rebates.models import Plan, Quote, RuleSet, SubsidyRequest
from portal.rebates.services.funds import fund_release, fund_reserve
from portal.rebates.services.plans import chosen_measures
from portal.rebates.states import LIVE_SUBSIDY, SUBSIDY_MOVES, SubsidyState

DECIDE_WITHIN_WORKING_DAYS = 5
RULER = SystemActor("ruling")

TOPICS = {
    SubsidyState.RETURNED: "subsidy.returned",
    SubsidyState.DEFERRED: "subsidy.deferred",
    SubsidyState.REFUSED: "subsidy.refused",
    SubsidyState.REFERRED: "subsidy.referred",
    SubsidyState.WITHDRAWN: "subsidy.withdrawn",
}


@transaction.atomic
def request_send(*, plan_id: int, consent_text: str, actor: Actor) -> SubsidyRequest:
    """Send the plan and its quote to the program, with consent in the words shown.

    A request that was returned, deferred or refused is sent again under its own number.

    Raises
    ------
    DomainError
        The plan has no run of exactly its choices yet, no current quote, or is already sent.
    ValuesRefused
        Consent was not given.
    """
    plan = (
        Plan.objects.select_for_update(of=("self",))
        .select_related("casefile", "run", "own_run")
        .get(pk=plan_id)
    )
    policies.require_own_casefile(actor, plan.casefile)
    if not consent_text.strip():
        message = _("Tick the box to agree, or leave the request for later.")
        raise ValuesRefused(message, fields={"consent": message})
    quote = plan.quotes.filter(is_current=True).first()
    if quote is None:
        raise DomainError(_("Attach a quote first."), code="no_quote")
    if plan.own_run is None or plan.own_run.state != RunState.DONE:
        raise DomainError(
            _("Your choices are still being worked out. Try again in a minute."),
            code="run_not_done",
        )
    request = _request_for(plan, quote)
    is_new = request.pk is None
    request.quote = quote
    request.run = plan.own_run
    request.measures = sorted(chosen_measures(plan))
    request.consent_text = consent_text
    request.consented_by = actor.actor_label
    request.consented_at = request.sent_at = clock.now()
    request.decide_by_on = working_days_after(clock.today(), DECIDE_WITHIN_WORKING_DAYS)
    request.decided_at = None
    request.decided_by = request.decision_note = ""
    if is_new:
        request.save()
        trail.write(request, actor=actor, verb="prepared", target=SubsidyState.DRAFT)
    request_rule(request=request)
    request.save()
    move(request, SubsidyState.SENT, moves=SUBSIDY_MOVES, actor=actor, why=_("sent with consent"))
    _tell("subsidy.sent", request)
    return request


def _request_for(plan: Plan, quote: Quote) -> SubsidyRequest:
    live = (
        SubsidyRequest.objects.select_for_update()
        .filter(casefile=plan.casefile, state__in=(*LIVE_SUBSIDY, SubsidyState.REFUSED))
        .order_by("-number")
        .first()
    )
    if live is None:
        count = SubsidyRequest.objects.filter(casefile=plan.casefile).count()
        return SubsidyRequest(
            number=f"R-{plan.casefile.number}-{count + 1}",
            casefile=plan.casefile,
            plan=plan,
            quote=quote,
        )
    if not SUBSIDY_MOVES.allows(live.state, SubsidyState.SENT):
        raise DomainError(
            _("This home's request %(number)s is with the program already.")
            % {"number": live.number},
            code="request_sent",
        )
    return live


def request_rule(*, request: SubsidyRequest) -> Ruling:
    """Rule on the request as it stands and keep version, facts and trace with it."""
    rule_set, facts, ruling = rulings.rule(request=request)
    request.rule_set = rule_set
    request.facts = facts
    request.ruling = ruling_to_dict(ruling)
    request.amount_usd = ruling.total_usd
    return ruling


def _locked(request_id: int) -> SubsidyRequest:
    return (
        SubsidyRequest.objects.select_for_update(of=("self",))
        .select_related("casefile__participation__dwelling__building__county", "quote")
        .get(pk=request_id)
    )


@transaction.atomic
def request_reserve(*, request_id: int, firm: Firm, actor: Actor, note: str = "") -> SubsidyRequest:
    """Reserve the amount the rules say and award the work to a firm.

    The request is ruled again under the lock, on what the records say now.

    Raises
    ------
    DomainError
        The rules do not say yes.
    FundExhausted
        A fund cannot hold its share.
    """
    policies.require_desk(actor)
    request = _locked(request_id)
    ruling = request_rule(request=request)
    if not ruling.is_yes or ruling.total_usd <= 0:
        raise DomainError(
            _("The rules do not say yes: the ruling is “%(outcome)s”.")
            % {"outcome": ruling.outcome},
            code="ruling_not_yes",
        )
    if not rulings.firm_may_take(firm=firm, request=request, day=clock.today()):
        message = _("%(firm)s does not work for the program in this county today.") % {
            "firm": firm.name
        }
        raise ValuesRefused(message, fields={"firm": message})
    request.decided_at = clock.now()
    request.decided_by = actor.actor_label
    request.decision_note = note
    request.save()
    move(request, SubsidyState.RESERVED, moves=SUBSIDY_MOVES, actor=actor, why=note)
    fund_reserve(
        request=request,
        split=ruling.fuel_split,
        days=rulings.reservation_days(request.rule_set),
        actor=actor,
    )
    _tell("subsidy.reserved", request, firm_id=firm.pk, decided_by=actor.actor_label)
    return request


@transaction.atomic
def request_decide(
    *, request_id: int, target: SubsidyState, actor: Actor, note: str
) -> SubsidyRequest:
    """Return with the shortfall, defer, refuse or refer; each with a reason.

    Raises
    ------
    ValuesRefused
        No reason was given.
    """
    policies.require_desk(actor)
    if target not in TOPICS or target == SubsidyState.WITHDRAWN:
        raise ValueError(f"not a decision of the Desk: {target}")
    if not note.strip():
        message = _("Write the reason. The homeowner reads it.")
        raise ValuesRefused(message, fields={"note": message})
    request = _locked(request_id)
    request.decided_at = clock.now()
    request.decided_by = actor.actor_label
    request.decision_note = note.strip()
    request.save(update_fields=["decided_at", "decided_by", "decision_note"])
    move(request, target, moves=SUBSIDY_MOVES, actor=actor, why=note.strip())
    _tell(TOPICS[target], request)
    return request


@transaction.atomic
def request_withdraw(*, request_id: int, actor: Actor) -> SubsidyRequest:
    """Take a request back; money that was reserved for it is released."""
    request = _locked(request_id)
    if isinstance(actor, User) and actor.has_role("homeowner"):
        policies.require_own_casefile(actor, request.casefile)
    else:
        policies.require_desk(actor)
    move(request, SubsidyState.WITHDRAWN, moves=SUBSIDY_MOVES, actor=actor)
    reservation = getattr(request, "reservation", None)
    if reservation is not None:
        fund_release(reservation=reservation, actor=actor, note=_("request withdrawn"))
    _tell("subsidy.withdrawn", request)
    return request


def stored_ruling(request: SubsidyRequest) -> Ruling:
    """The ruling as it was kept with the request."""
    return ruling_from_dict(request.ruling)


def replayed_ruling(request: SubsidyRequest) -> Ruling:
    """The stored version applied to the stored facts again; the same cents and the same trace."""
    if request.rule_set is None:
        raise ValueError(f"{request} has not been ruled on")
    return rulings.replay(rule_set=request.rule_set, facts=request.facts)


def rule_set_in_force(code: str, day: Any) -> RuleSet:
    """The version of a rule set that a day falls under."""
    return rulings.rule_set_on(code, day)


def _tell(topic: str, request: SubsidyRequest, **more: Any) -> None:
    instant = (request.decided_at or request.sent_at or clock.now()).timestamp()
    outbox.put(
        topic,
        key=f"{topic}:{request.pk}:{request.state}:{instant:.6f}",
        request_id=request.pk,
        **more,
    )
