"""News modeling acts on."""

from portal.core import outbox
from portal.core.actors import SystemActor
from portal.intake.models import FieldRecord
from portal.intake.states import RecordStage
from portal.modeling import services


@outbox.on("field_record.completed")
def run_completed_record(record_id: int, **_rest: object) -> None:
    """Queue the report's run when an auditor completes the record of an audit."""
    record = FieldRecord.objects.select_related("casefile").get(pk=record_id)
    if record.stage == RecordStage.AUDIT:
        services.run_queue(
            record=record,
            actor=SystemActor("field record completed"),
            key=f"record:{record.pk}:{record.completed_at:%Y%m%d%H%M%S%f}",
        )
