"""Asking the rulebook: the version in force, the facts of the records, the ruling."""

import hashlib
import json
from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from functools import lru_cache
from typing import Any

from django.utils.translation import get_language
from django.utils.translation import gettext as _

from portal.accounts import selectors as accounts
from portal.accounts.models import Firm
from portal.core import clock, rules
from portal.core.errors import DomainError
from portal.core.money import to_cents
from portal.core.rules import Ruling
from portal.enrollment.models import Casefile
from portal.modeling.models import ModelRun
from portal.modeling.results import Analysis
from portal.rebates.facts import facts_for
from portal.rebates.measures import rule_measure
from portal.rebates.models import RuleSet, SubsidyRequest

WORK_RULES = "QLG-IS"


def rule_set_on(code: str, day: date) -> RuleSet:
    """The published version a day falls under.

    Raises
    ------
    DomainError
        No version is in force on that day.
    """
    found = RuleSet.objects.filter(code=code, from_on__lte=day, to_on__gte=day).first()
    if found is None:
        raise DomainError(
            _("No rules of the program are in force on %(day)s.") % {"day": day},
            code="no_rules",
        )
    return found


def body_sha256(body: Mapping[str, Any]) -> str:
    """The fingerprint of a rule set's body, whatever the order of its keys."""
    return hashlib.sha256(json.dumps(body, sort_keys=True).encode()).hexdigest()


@lru_cache(maxsize=16)
def _loaded(rule_set_id: int, sha256: str) -> rules.RuleSet:
    body = RuleSet.objects.values_list("body", flat=True).get(pk=rule_set_id)
    return rules.load_rule_set(json.loads(json.dumps(body), parse_float=Decimal))


def loaded(rule_set: RuleSet) -> rules.RuleSet:
    """A published version ready to be asked; read once per process, since it never changes."""
    return _loaded(rule_set.pk, rule_set.sha256)


def estimate(
    *, casefile: Casefile, run: ModelRun, costs_usd: Mapping[str, Decimal]
) -> tuple[RuleSet, Ruling]:
    """What the rulebook would pay for a plan, on planned quantities. It promises nothing."""
    rule_set = rule_set_on(WORK_RULES, clock.today())
    facts = facts_for(casefile=casefile, run=run, costs_usd=costs_usd, stage="estimate")
    return rule_set, rules.evaluate(loaded(rule_set), facts, language=get_language() or "en")


def rule(*, request: SubsidyRequest) -> tuple[RuleSet, dict[str, Any], Ruling]:
    """Rule on a request: the version of the day it came in, its facts, and the ruling."""
    if request.run is None or request.sent_at is None:
        raise ValueError(f"{request} has no run or has not been sent")
    applied_on = clock.program_date(request.sent_at)
    rule_set = rule_set_on(WORK_RULES, applied_on)
    facts = facts_for(
        casefile=request.casefile,
        run=request.run,
        costs_usd={line.measure: line.amount_usd for line in request.quote.lines.all()},
        stage="request",
        applied_on=applied_on,
    )
    return rule_set, facts, rules.evaluate(loaded(rule_set), facts)


def replay(*, rule_set: RuleSet, facts: Mapping[str, Any]) -> Ruling:
    """A stored version on stored facts: the same cents and the same trace as then."""
    return rules.evaluate(loaded(rule_set), facts)


def reservation_days(rule_set: RuleSet | None) -> int:
    """How long the version holds reserved money.

    Raises
    ------
    ValueError
        The version reserves nothing.
    """
    if rule_set is None:
        raise ValueError("no rule set")
    terms = loaded(rule_set).reservation
    if terms is None:
        raise ValueError(f"{rule_set} reserves nothing")
    return terms.days


def firm_may_take(*, firm: Firm, request: SubsidyRequest, day: date) -> bool:
    """Whether a firm is listed in the home's county on a day."""
    county = request.casefile.participation.dwelling.building.county.name
    return accounts.firms_for(county=county, on=day).filter(pk=firm.pk).exists()


def shares_by_measure(
    ruling: Ruling, analysis: Analysis, costs_usd: Mapping[str, Decimal]
) -> dict[str, Decimal]:
    """What the rules pay for each measure of the model.

    A line of the rulebook that stands for several jobs is shared by their prices; a bonus is
    shared by what the lines are paid. The last share takes the remainder, so the sum is the
    ruling's total to the cent.
    """
    behind: dict[str, list[str]] = {}
    for item in analysis.measures:
        name = rule_measure(item.kind)
        if name is not None and item.id in costs_usd:
            behind.setdefault(name, []).append(item.id)
    shares: dict[str, Decimal] = {}
    for line in ruling.lines:
        ids = behind.get(line.measure, [])
        if line.amount_usd > 0 and ids:
            _share(shares, ids, [costs_usd[name] for name in ids], line.amount_usd)
    left = ruling.total_usd - sum(shares.values(), Decimal(0))
    if left > 0 and shares:
        ids = list(shares)
        _share(shares, ids, [shares[name] for name in ids], left)
    return shares


def _share(
    shares: dict[str, Decimal], ids: list[str], weights: list[Decimal], amount: Decimal
) -> None:
    given = Decimal(0)
    total = sum(weights, Decimal(0)) or Decimal(1)
    for name, weight in zip(ids[:-1], weights[:-1], strict=True):
        part = to_cents(amount * weight / total)
        shares[name] = shares.get(name, Decimal(0)) + part
        given += part
    shares[ids[-1]] = shares.get(ids[-1], Decimal(0)) + amount - given
