"""Opening, completing and reopening a field record."""

from collections.abc import Mapping

from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from portal.core import clock, outbox, trail
from portal.core.actors import Actor
from portal.core.errors import DomainError, MoveRefused
from portal.core.states import move
from portal.enrollment.states import BuildingKind
from portal.intake import checks, policies, selectors, sheet, values
from portal.intake.document import from_record
from portal.intake.models import FieldEntry, FieldRecord
from portal.intake.sheet.kinds import Field
from portal.intake.states import RECORD_MOVES, How, RecordStage, RecordState
from portal.intake.values import Raw
from portal.scheduling import services as scheduling
from portal.scheduling.models import Appointment
from portal.scheduling.states import AppointmentState


class RecordIncomplete(DomainError):
    """What stands in the way of "complete"; ``findings`` lists all of it."""

    default_code = "record_incomplete"

    def __init__(self, findings: tuple[checks.Finding, ...], *, code: str, message: str) -> None:
        super().__init__(
            message, code=code, fields={finding.key: finding.words for finding in findings}
        )
        self.findings = findings


def record_locked(record_id: int) -> FieldRecord:
    """The record, its row locked until the transaction ends."""
    return (
        FieldRecord.objects.select_for_update(of=("self",))
        .select_related("casefile", "appointment__auditor")
        .get(pk=record_id)
    )


@transaction.atomic
def record_open(
    *, appointment_id: int, actor: Actor, stage: str = RecordStage.AUDIT
) -> FieldRecord:
    """Open the field record of a visit, or find the one opened before. Begins the visit.

    Raises
    ------
    MoveRefused
        The visit is cancelled or missed, or it is another day.
    NotAllowed
        Another auditor's visit.
    """
    appointment = (
        Appointment.objects.select_for_update(of=("self",))
        .select_related("auditor", "casefile__participation__dwelling__building")
        .get(pk=appointment_id)
    )
    policies.require_visiting(actor, appointment)
    known = (
        FieldRecord.objects.filter(casefile=appointment.casefile, stage=stage)
        .order_by("-opened_at", "-pk")
        .first()
    )
    if known is not None and (
        known.appointment_id == appointment.pk or known.state == RecordState.OPEN
    ):
        return known
    if appointment.state == AppointmentState.BOOKED:
        scheduling.appointment_start(appointment_id=appointment.pk, actor=actor)
    elif appointment.state not in (AppointmentState.UNDER_WAY, AppointmentState.VISITED):
        raise MoveRefused(_("This visit did not take place; it has no field record."))
    record = FieldRecord.objects.create(
        casefile=appointment.casefile,
        appointment=appointment,
        stage=stage,
        sheet_version=sheet.SHEET_VERSION,
        recorder=actor.actor_label,
        opened_at=clock.now(),
    )
    _prefill(record, appointment, actor)
    trail.write(record, actor=actor, verb="opened", target=RecordState.OPEN)
    return record


KIND_OF_BUILDING = {
    BuildingKind.DETACHED: "detached",
    BuildingKind.ATTACHED: "attached",
    BuildingKind.TWO_TO_FOUR: "two_to_four",
    BuildingKind.MANUFACTURED: "manufactured",
    BuildingKind.APARTMENT: "apartment",
}


def _prefill(record: FieldRecord, appointment: Appointment, actor: Actor) -> None:
    """Put in what is known before the door opens: day, time, and the program's own file."""
    from portal.intake.services.entries import entry_row

    now = clock.now().astimezone(clock.PROGRAM_TIME_ZONE)
    building = appointment.casefile.participation.dwelling.building
    known: dict[str, Raw] = {
        "visit.visit_date": Raw(typed=now.date().isoformat(), how=How.DOCUMENT),
        "visit.started_at": Raw(typed=now.strftime("%H:%M"), how=How.DOCUMENT),
        "visit.audit_type": Raw(typed="initial", how=How.DOCUMENT),
    }
    if building.year_built:
        known["dwelling.year_built"] = Raw(typed=building.year_built, how=How.DOCUMENT)
    if building.kind:
        known["dwelling.facility_type"] = Raw(
            typed=KIND_OF_BUILDING[BuildingKind(building.kind)], how=How.DOCUMENT
        )
    if building.units:
        known["dwelling.units_in_building"] = Raw(typed=building.units, how=How.DOCUMENT)
    rows: list[FieldEntry] = []
    for path, raw in known.items():
        field = sheet.house_field(path)
        assert isinstance(field, Field), f"{path} is in the sheet"
        checked = values.check(field, raw)
        if checked.value is not None:
            rows.append(entry_row(record, None, path, checked.value, actor))
    FieldEntry.objects.bulk_create(rows)


@transaction.atomic
def record_complete(
    *, record_id: int, actor: Actor, confirmed: Mapping[str, str] | None = None
) -> FieldRecord:
    """Complete a record. ``confirmed`` maps the key of a soft finding to the reason given.

    Raises
    ------
    RecordIncomplete
        Hard findings, all of them; or soft ones without a reason (code ``confirm_needed``).
    NotAllowed, MoveRefused
    """
    record = record_locked(record_id)
    policies.require_recording(actor, record)
    if record.state == RecordState.COMPLETE:
        return record
    found = completion_findings(record)
    hard = tuple(finding for finding in found if finding.is_hard)
    if hard:
        message = ngettext(
            "%(count)d thing stands in the way.", "%(count)d things stand in the way.", len(hard)
        ) % {"count": len(hard)}
        raise RecordIncomplete(hard, code="record_incomplete", message=message)
    reasons = {key: why.strip()[:200] for key, why in (confirmed or {}).items() if why.strip()}
    open_ones = tuple(finding for finding in found if finding.key not in reasons)
    if open_ones:
        message = ngettext(
            "%(count)d thing looks odd. Say why it is right.",
            "%(count)d things look odd. Say why each is right.",
            len(open_ones),
        ) % {"count": len(open_ones)}
        raise RecordIncomplete(open_ones, code="confirm_needed", message=message)
    record.completed_at = clock.now()
    move(
        record,
        RecordState.COMPLETE,
        moves=RECORD_MOVES,
        actor=actor,
        also_save=("completed_at",),
    )
    if reasons:
        words = {finding.key: finding.words for finding in found}
        trail.write(
            record,
            actor=actor,
            verb="confirmed",
            target=RecordState.COMPLETE,
            details={key: {"found": words[key], "reason": reasons[key]} for key in words},
        )
    outbox.put(
        "field_record.completed",
        key=f"field_record.completed:{record.pk}:{record.completed_at.isoformat()}",
        record_id=record.pk,
    )
    appointment = record.appointment
    if appointment is not None and appointment.state == AppointmentState.UNDER_WAY:
        scheduling.appointment_finish(appointment_id=appointment.pk, actor=actor)
    return record


def completion_findings(record: FieldRecord) -> tuple[checks.Finding, ...]:
    """Everything that stands in the way of "complete", or asks for a reason."""
    found = checks.findings(from_record(record), selectors.photo_tags(record))
    return (*_credential(record), *found)


def _credential(record: FieldRecord) -> tuple[checks.Finding, ...]:
    if record.appointment is None:
        return ()
    auditor = record.appointment.auditor
    day = clock.program_date(record.opened_at)
    if auditor.credential_expires_on >= day:
        return ()
    words = _("The auditor’s credential expired before the visit. The program office decides.")
    return (checks.hard("credential", words, "visit"),)


@transaction.atomic
def record_reopen(*, record_id: int, actor: Actor, why: str) -> FieldRecord:
    """Reopen a completed record to add or remove things.

    Raises
    ------
    DomainError
        No reason given, or another record of this stage is open.
    NotAllowed, MoveRefused
    """
    record = record_locked(record_id)
    policies.require_recording(actor, record)
    if not why.strip():
        message = _("Say why the record is reopened.")
        raise DomainError(message, code="reason_needed", fields={"why": message})
    other = FieldRecord.objects.filter(
        casefile=record.casefile, stage=record.stage, state=RecordState.OPEN
    ).exclude(pk=record.pk)
    if other.exists():
        raise MoveRefused(_("A newer record of this home is open already."))
    record.completed_at = None
    move(
        record,
        RecordState.OPEN,
        moves=RECORD_MOVES,
        actor=actor,
        why=why.strip(),
        also_save=("completed_at",),
    )
    return record
