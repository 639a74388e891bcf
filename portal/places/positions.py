"""Where a casefile stands: one holder, one next action, one date.

Derived from the records of the apps below, latest stage first. The row kept is a copy for lists;
``position_refresh`` works it out anew and ``positions_rebuild`` does so for all.
"""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, timedelta
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from portal.accounts.states import Role
from portal.core import clock
from portal.core.workdays import working_days_after
from portal.enrollment.models import Casefile
from portal.intake.states import RecordStage, RecordState
from portal.modeling.states import RunPurpose, RunState
from portal.places.models import CasePosition
from portal.rebates.states import SubsidyState
from portal.reports.states import ReportKind, ReportState
from portal.scheduling.states import AppointmentState
from portal.works.states import ClaimState, ScopeState

PROGRAM = "Quillmark Light & Gas"
MACHINE = "machine"

# Days each holder has, where no record carries a date of its own.
BOOK_WITHIN_DAYS = 14
REPORT_WITHIN_WORKING_DAYS = 1
PLAN_WITHIN_DAYS = 60
ANSWER_WITHIN_DAYS = 30
AWARD_WITHIN_WORKING_DAYS = 2


@dataclass(frozen=True)
class Position:
    """A stage of the journey, whose turn it is, what comes next and by when."""

    stage: str
    holder_role: str
    holder_name: str
    next_action: str
    due_on: date | None
    action_facts: dict[str, Any] = field(default_factory=dict)


STAGES = (
    "booking",
    "visit",
    "record",
    "model_run",
    "report",
    "plan",
    "request",
    "decision",
    "shortfall",
    "scope",
    "work",
    "claim",
    "payment",
    "closed",
)


def position_of(casefile: Casefile) -> Position:
    """Work out where a casefile stands now."""
    for stage in (_claim, _scope, _request, _plan, _run, _record, _visit):
        found = stage(casefile)
        if found is not None:
            return found
    opened = clock.program_date(casefile.opened_at)
    return Position(
        "booking",
        Role.HOMEOWNER,
        casefile.participation.household.name,
        "pick_time",
        opened + timedelta(days=BOOK_WITHIN_DAYS),
    )


def _household(casefile: Casefile) -> str:
    return str(casefile.participation.household.name)


def _claim(casefile: Casefile) -> Position | None:
    scope = casefile.work_scopes.order_by("-pk").first()
    claim = scope.claims.order_by("-pk").first() if scope else None
    if scope is None or claim is None:
        return None
    if claim.state == ClaimState.RETURNED:
        return Position(
            "claim",
            Role.CONTRACTOR,
            scope.award.firm.name,
            "complete_claim",
            clock.program_date(claim.sent_at) + timedelta(days=ANSWER_WITHIN_DAYS),
            {"claim": claim.number},
        )
    if claim.state == ClaimState.PAID:
        return Position("closed", Role.PROGRAM_ADMIN, PROGRAM, "nothing", None)
    action = "check_claim" if claim.state == ClaimState.SENT else "pay_claim"
    return Position(
        "payment",
        Role.PROGRAM_ADMIN,
        PROGRAM,
        action,
        claim.answer_by_on,
        {"claim": claim.number},
    )


def _scope(casefile: Casefile) -> Position | None:
    scope = casefile.work_scopes.select_related("award__firm").order_by("-pk").first()
    if scope is None or scope.state == ScopeState.CLOSED:
        return None
    firm = scope.award.firm.name
    facts = {"scope": scope.number, "firm": firm}
    match scope.state:
        case ScopeState.HELD:
            return Position(
                "scope",
                Role.HOMEOWNER,
                _household(casefile),
                "clear_hazard",
                scope.finish_by_on,
                facts | {"hazards": scope.header.get("held_by", [])},
            )
        case ScopeState.ISSUED:
            return Position(
                "scope", Role.CONTRACTOR, firm, "answer_scope", scope.answer_by_on, facts
            )
        case ScopeState.DECLINED:
            due = working_days_after(clock.today(), AWARD_WITHIN_WORKING_DAYS)
            return Position("scope", Role.PROGRAM_ADMIN, PROGRAM, "find_firm", due, facts)
        case ScopeState.DONE:
            return Position("claim", Role.CONTRACTOR, firm, "send_claim", scope.finish_by_on, facts)
        case _:
            done = scope.lines.filter(state="done").count()
            return Position(
                "work",
                Role.CONTRACTOR,
                firm,
                "do_work",
                scope.finish_by_on,
                facts | {"done": done, "lines": scope.lines.count()},
            )


def _request(casefile: Casefile) -> Position | None:
    request = casefile.subsidy_requests.order_by("-pk").first()
    if request is None:
        return None
    household = _household(casefile)
    facts = {"request": request.number}
    decided = clock.program_date(request.decided_at) if request.decided_at else None
    answer_by = (decided or clock.today()) + timedelta(days=ANSWER_WITHIN_DAYS)
    match request.state:
        case SubsidyState.SENT:
            return Position(
                "decision",
                Role.PROGRAM_ADMIN,
                PROGRAM,
                "decide_request",
                request.decide_by_on,
                facts,
            )
        case SubsidyState.REFERRED:
            # A second person's look does not move the day promised to the household.
            return Position(
                "decision",
                Role.PROGRAM_ADMIN,
                PROGRAM,
                "second_look",
                request.decide_by_on or answer_by,
                facts,
            )
        case SubsidyState.RETURNED:
            return Position(
                "shortfall", Role.HOMEOWNER, household, "complete_request", answer_by, facts
            )
        case SubsidyState.DEFERRED:
            return Position(
                "shortfall", Role.HOMEOWNER, household, "clear_deferral", answer_by, facts
            )
        case SubsidyState.RESERVED:
            return Position(
                "scope",
                Role.PROGRAM_ADMIN,
                PROGRAM,
                "issue_scope",
                working_days_after(decided or clock.today(), AWARD_WITHIN_WORKING_DAYS),
                facts,
            )
        case SubsidyState.REFUSED:
            return Position("plan", Role.HOMEOWNER, household, "change_plan", answer_by, facts)
        case _:
            return None


def _plan(casefile: Casefile) -> Position | None:
    report = (
        casefile.reports.filter(kind=ReportKind.OWNER, state=ReportState.READY)
        .order_by("-built_at")
        .first()
    )
    if report is None or report.built_at is None:
        return None
    has_plan = hasattr(casefile, "plan")
    return Position(
        "request" if has_plan else "plan",
        Role.HOMEOWNER,
        _household(casefile),
        "send_request" if has_plan else "make_plan",
        clock.program_date(report.built_at) + timedelta(days=PLAN_WITHIN_DAYS),
    )


def _run(casefile: Casefile) -> Position | None:
    run = casefile.model_runs.filter(purpose=RunPurpose.AUDIT).order_by("-pk").first()
    if run is None:
        return None
    due = working_days_after(clock.program_date(run.queued_at), REPORT_WITHIN_WORKING_DAYS)
    if run.state == RunState.FAILED:
        return Position(
            "model_run", Role.AUDITOR, run.record.recorder, "correct_record", due, {"run": run.pk}
        )
    if run.state == RunState.DONE:
        return Position("report", MACHINE, _("the portal"), "build_report", due)
    return Position("model_run", MACHINE, _("the portal"), "work_out", due)


def _record(casefile: Casefile) -> Position | None:
    record = casefile.field_records.filter(stage=RecordStage.AUDIT).order_by("-pk").first()
    if record is None:
        return None
    opened = clock.program_date(record.opened_at)
    action = "complete_record" if record.state == RecordState.OPEN else "start_run"
    return Position(
        "record",
        Role.AUDITOR,
        record.recorder,
        action,
        working_days_after(opened, REPORT_WITHIN_WORKING_DAYS),
        {"record": record.pk},
    )


def _visit(casefile: Casefile) -> Position | None:
    appointment = casefile.appointments.order_by("-pk").first()
    if appointment is None:
        return None
    day = clock.program_date(appointment.starts_at)
    match appointment.state:
        case AppointmentState.BOOKED | AppointmentState.UNDER_WAY:
            return Position(
                "visit",
                Role.AUDITOR,
                str(appointment.auditor),
                "visit_home",
                day,
                {"starts_at": appointment.starts_at.isoformat()},
            )
        case AppointmentState.VISITED:
            return Position("record", Role.AUDITOR, str(appointment.auditor), "open_record", day)
        case _:
            return Position(
                "booking",
                Role.HOMEOWNER,
                _household(casefile),
                "pick_time_again",
                clock.today() + timedelta(days=BOOK_WITHIN_DAYS),
            )


@transaction.atomic
def position_refresh(casefile_id: int) -> CasePosition:
    """Work the position out anew and keep it; ``since_at`` moves only when the stage does."""
    casefile = (
        Casefile.objects.select_for_update(of=("self",))
        .select_related("participation__household")
        .get(pk=casefile_id)
    )
    found = position_of(casefile)
    now = clock.now()
    known = CasePosition.objects.filter(casefile=casefile).first()
    is_same = (
        known is not None and known.stage == found.stage and known.holder_role == found.holder_role
    )
    row, _is_new = CasePosition.objects.update_or_create(
        casefile=casefile,
        defaults={
            "stage": found.stage,
            "holder_role": found.holder_role,
            "holder_name": found.holder_name,
            "next_action": found.next_action,
            "action_facts": found.action_facts,
            "due_on": found.due_on,
            "since_at": known.since_at if known is not None and is_same else now,
            "refreshed_at": now,
        },
    )
    return row


def positions_rebuild(casefile_ids: Iterable[int] | None = None) -> int:
    """Work every position out anew from the records; how many there were."""
    ids = (
        list(casefile_ids)
        if casefile_ids is not None
        else list(Casefile.objects.order_by("pk").values_list("pk", flat=True))
    )
    for casefile_id in ids:
        position_refresh(casefile_id)
    return len(ids)
