"""News after which a casefile stands elsewhere: the position is worked out anew."""

from portal.core import outbox
from portal.intake.models import FieldRecord
from portal.modeling.models import ModelRun
from portal.places.positions import position_refresh
from portal.rebates.models import Plan, SubsidyRequest
from portal.reports.models import Report
from portal.scheduling.models import Appointment
from portal.works.models import Claim, WorkScope


@outbox.on("casefile.opened")
@outbox.on("hazard.cleared")
def after_casefile(casefile_id: int, **_rest: object) -> None:
    """The news names the casefile itself."""
    position_refresh(casefile_id)


@outbox.on("appointment.booked")
@outbox.on("appointment.moved")
@outbox.on("appointment.cancelled")
@outbox.on("appointment.started")
@outbox.on("appointment.visited")
@outbox.on("appointment.missed")
def after_appointment(appointment_id: int, **_rest: object) -> None:
    """The news names a visit."""
    position_refresh(
        Appointment.objects.values_list("casefile_id", flat=True).get(pk=appointment_id)
    )


@outbox.on("field_record.opened")
@outbox.on("field_record.completed")
@outbox.on("field_record.reopened")
def after_record(record_id: int, **_rest: object) -> None:
    """The news names a field record."""
    position_refresh(FieldRecord.objects.values_list("casefile_id", flat=True).get(pk=record_id))


@outbox.on("model_run.finished")
@outbox.on("model_run.failed")
def after_run(run_id: int, **_rest: object) -> None:
    """The news names a model run."""
    position_refresh(ModelRun.objects.values_list("casefile_id", flat=True).get(pk=run_id))


@outbox.on("report.ready")
def after_report(report_id: int, **_rest: object) -> None:
    """The news names a report."""
    position_refresh(Report.objects.values_list("casefile_id", flat=True).get(pk=report_id))


@outbox.on("plan.opened")
@outbox.on("plan.changed")
def after_plan(plan_id: int, **_rest: object) -> None:
    """The news names a plan."""
    position_refresh(Plan.objects.values_list("casefile_id", flat=True).get(pk=plan_id))


@outbox.on("subsidy.sent")
@outbox.on("subsidy.returned")
@outbox.on("subsidy.reserved")
@outbox.on("subsidy.deferred")
@outbox.on("subsidy.refused")
@outbox.on("subsidy.referred")
@outbox.on("subsidy.withdrawn")
def after_request(request_id: int, **_rest: object) -> None:
    """The news names a subsidy request."""
    position_refresh(
        SubsidyRequest.objects.values_list("casefile_id", flat=True).get(pk=request_id)
    )


@outbox.on("scope.held")
@outbox.on("scope.issued")
@outbox.on("scope.accepted")
@outbox.on("scope.declined")
@outbox.on("scope.begun")
@outbox.on("scope.done")
def after_scope(scope_id: int, **_rest: object) -> None:
    """The news names a work scope."""
    position_refresh(WorkScope.objects.values_list("casefile_id", flat=True).get(pk=scope_id))


@outbox.on("claim.sent")
@outbox.on("claim.returned")
@outbox.on("claim.accepted")
@outbox.on("claim.paid")
def after_claim(claim_id: int, **_rest: object) -> None:
    """The news names a claim."""
    position_refresh(Claim.objects.values_list("scope__casefile_id", flat=True).get(pk=claim_id))
