"""The homeowner's plan: which measures, later or not at all, and the run of exactly these."""

import hashlib
import json
from collections.abc import Mapping

from django.db import transaction
from django.utils.translation import gettext as _

from portal.core import clock, outbox, trail
from portal.core.actors import Actor
from portal.core.errors import DomainError, ValuesRefused
from portal.enrollment.models import Casefile
from portal.modeling import measure_words
from portal.modeling import selectors as modeling
from portal.modeling import services as modeling_services
from portal.modeling.models import ModelRun
from portal.modeling.results import Analysis, MeasureResult
from portal.modeling.states import RunPurpose
from portal.rebates import policies
from portal.rebates.models import Plan, PlanChoice
from portal.rebates.states import LIVE_SUBSIDY, Answer, SubsidyState

OFFERED = ("do", "plan_at_failure", "leave")


def measures_offered(analysis: Analysis) -> list[MeasureResult]:
    """The measures a plan may hold: advised ones in the order of the report, then the others."""
    by_id = {item.id: item for item in analysis.measures if item.cost_usd is not None}
    ranked = [by_id.pop(name) for name in analysis.priorities if name in by_id]
    return ranked + [item for item in by_id.values() if item.verdict in OFFERED]


@transaction.atomic
def plan_open(*, casefile: Casefile, actor: Actor) -> Plan:
    """The plan of a casefile, begun from the report: what it advises is ticked "yes".

    Raises
    ------
    DomainError
        There is no report to plan from yet.
    """
    policies.require_own_casefile(actor, casefile)
    known = Plan.objects.filter(casefile=casefile).first()
    if known is not None:
        return known
    run = modeling.latest_done_run(casefile)
    if run is None:
        raise DomainError(_("The report is not ready yet."), code="no_report")
    plan = Plan.objects.create(
        casefile=casefile, run=run, created_at=clock.now(), changed_at=clock.now()
    )
    analysis = modeling.analysis_of(run)
    PlanChoice.objects.bulk_create(
        PlanChoice(
            plan=plan,
            measure=item.id,
            answer=Answer.YES if item.id in analysis.package.measure_ids else Answer.LATER,
        )
        for item in measures_offered(analysis)
    )
    trail.write(plan, actor=actor, verb="begun", target="plan")
    outbox.put("plan.opened", key=f"plan.opened:{plan.pk}", plan_id=plan.pk)
    return plan


@transaction.atomic
def plan_choose(*, plan_id: int, answers: Mapping[str, str], actor: Actor) -> Plan:
    """Keep what the homeowner says to each measure and have exactly these choices worked out.

    Raises
    ------
    ValuesRefused
        A measure this home was not offered, an answer that is none of the three, or two measures
        that cannot both be done.
    DomainError
        A subsidy request for the plan is already with the program.
    """
    plan = Plan.objects.select_for_update().select_related("casefile", "run").get(pk=plan_id)
    policies.require_own_casefile(actor, plan.casefile)
    require_not_sent(plan)
    analysis = modeling.analysis_of(plan.run)
    offered = {item.id for item in measures_offered(analysis)}
    for measure, answer in answers.items():
        if measure not in offered or answer not in Answer.values:
            message = _("This plan does not offer “%(measure)s”.") % {"measure": measure}
            raise ValuesRefused(message, fields={measure: message})
    known = {choice.measure: choice for choice in plan.choices.all()}
    _require_no_clash(
        analysis, {name: choice.answer for name, choice in known.items()} | dict(answers)
    )
    changed = []
    for measure, answer in answers.items():
        choice = known.get(measure) or PlanChoice(plan=plan, measure=measure, answer="")
        if choice.answer != answer:
            choice.answer = answer
            choice.save()
            changed.append(f"{measure}: {answer}")
    if changed:
        plan.own_run = None
        plan.changed_at = clock.now()
        plan.save(update_fields=["own_run", "changed_at"])
        plan.quotes.filter(is_current=True).update(is_current=False)
        trail.write(plan, actor=actor, verb="chose", target="plan", why="; ".join(changed))
        outbox.put(
            "plan.changed",
            key=f"plan.changed:{plan.pk}:{plan.changed_at.timestamp():.6f}",
            plan_id=plan.pk,
        )
    if plan.own_run is None and chosen_measures(plan):
        plan_work_out(plan=plan, actor=actor)
    return plan


def _require_no_clash(analysis: Analysis, answers: Mapping[str, str]) -> None:
    """Refuse two measures that cannot both be done, such as a new furnace and a heat pump.

    Raises
    ------
    ValuesRefused
        Names each of the two, with the other one.
    """
    by_id = {item.id: item for item in analysis.measures}
    chosen = [name for name, answer in answers.items() if answer == Answer.YES and name in by_id]
    fields = {}
    for name in chosen:
        clash = [other for other in by_id[name].excludes if other in chosen]
        if clash:
            fields[name] = _("Choose this or “%(other)s”, not both.") % {
                "other": measure_words.to_do(by_id[clash[0]].kind)
            }
    if fields:
        raise ValuesRefused(_("Two of your choices cannot be done together."), fields=fields)


def chosen_measures(plan: Plan) -> list[str]:
    """The measures answered "yes"."""
    return [
        measure
        for measure, answer in plan.choices.values_list("measure", "answer")
        if answer == Answer.YES
    ]


def plan_work_out(
    *, plan: Plan, actor: Actor, costs_usd: Mapping[str, float] | None = None
) -> ModelRun:
    """Queue the model run of exactly these choices (and of a quote's prices, where given)."""
    measures = sorted(chosen_measures(plan))
    costs = dict(sorted((costs_usd or {}).items()))
    run = modeling_services.run_queue(
        record=plan.run.record,
        actor=actor,
        purpose=RunPurpose.PLAN,
        choices={"measures": measures, "costs_usd": costs},
        key=f"plan:{plan.pk}:{plan.changed_at.timestamp():.6f}:{_fingerprint(measures, costs)}",
    )
    plan.own_run = run
    plan.save(update_fields=["own_run"])
    return run


def _fingerprint(measures: list[str], costs_usd: Mapping[str, float]) -> str:
    """Tells choices apart that were made at one instant of a clock that stands still."""
    return hashlib.sha256(json.dumps([measures, costs_usd]).encode()).hexdigest()[:16]


def require_not_sent(plan: Plan) -> None:
    """Refuse to change a plan that the program is looking at, or has reserved money for.

    Raises
    ------
    DomainError
    """
    held = plan.subsidy_requests.filter(state__in=LIVE_SUBSIDY).exclude(
        state__in=(SubsidyState.DRAFT, SubsidyState.RETURNED, SubsidyState.DEFERRED)
    )
    if held.exists():
        raise DomainError(
            _("Your subsidy request is with the program. Withdraw it to change the plan."),
            code="request_sent",
        )


def measures_offered_in(plan: Plan) -> list[MeasureResult]:
    """The measures this plan may hold."""
    return measures_offered(modeling.analysis_of(plan.run))
