"""Visits, field records and their values."""

from collections.abc import Mapping
from datetime import date, timedelta
from pathlib import Path
from typing import Any

from portal.accounts.models import User
from portal.core import clock
from portal.enrollment.models import Casefile
from portal.intake import services
from portal.intake.models import FieldItem, FieldRecord
from portal.intake.uploads import document_of
from portal.intake.values import Raw
from portal.scheduling.models import Appointment, AuditorProfile
from tests.factories import enrollment, scheduling

FIXTURES = Path(__file__).resolve().parents[2] / "fixtures"
RANCH = FIXTURES / "records" / "ranch-1958.json"
TWO_STORY = FIXTURES / "hpxml" / "two-story-1988.xml"
# The day of the visits, a Monday with the rules of the year in force.
VISIT_DAY = date(2026, 3, 2)

# What the office fills in at the door, of which the file knows nothing.
CONFIRMED = {"photos": "The camera stayed in the van."}


def visit(
    auditor: AuditorProfile | None = None,
    casefile: Casefile | None = None,
    *,
    hour: int = 9,
) -> Appointment:
    """A visit booked for the day of the tests."""
    casefile = casefile or enrollment.casefile()
    auditor = auditor or scheduling.auditor(
        counties=[casefile.participation.dwelling.building.county]
    )
    starts_at = clock.local(VISIT_DAY, hour)
    return Appointment.objects.create(
        casefile=casefile,
        auditor=auditor,
        starts_at=starts_at,
        ends_at=starts_at + timedelta(hours=3),
        booked_at=clock.now(),
    )


def record(appointment: Appointment | None = None) -> FieldRecord:
    """An open record, nothing in it but what was known before."""
    appointment = appointment or visit()
    return services.record_open(appointment_id=appointment.pk, actor=appointment.auditor.user)


def auditor_of(made: FieldRecord) -> User:
    """The auditor who fills a record in."""
    assert made.appointment is not None, "records of tests have a visit"
    return made.appointment.auditor.user


def ranch_record(appointment: Appointment | None = None) -> FieldRecord:
    """An open record filled from the ranch's file."""
    made = record(appointment)
    with RANCH.open("rb") as file:
        services.record_upload(
            record_id=made.pk, upload=file, name=RANCH.name, actor=auditor_of(made)
        )
    made.refresh_from_db()
    return made


def complete_ranch(appointment: Appointment | None = None) -> FieldRecord:
    """The ranch's record, completed."""
    made = ranch_record(appointment)
    return services.record_complete(record_id=made.pk, confirmed=CONFIRMED, actor=auditor_of(made))


def ranch_document() -> dict[str, Any]:
    """The ranch's document, without a database."""
    return document_of(RANCH.read_bytes(), name=RANCH.name)


def item(made: FieldRecord, section_group: str, name: str = "One") -> FieldItem:
    """An item added to a record."""
    return services.item_add(
        record_id=made.pk, group=section_group, name=name, actor=auditor_of(made)
    )


def save(
    made: FieldRecord,
    section: str,
    values: Mapping[str, Any],
    *,
    item_key: str = "",
    why_changed: str = "",
) -> services.Saved:
    """Save values given plainly, as ``(typed, unit)`` or as ``Raw``."""
    return services.section_save(
        record_id=made.pk,
        section=section,
        item_key=item_key,
        values_given={key: raw(value) for key, value in values.items()},
        why_changed=why_changed,
        actor=auditor_of(made),
    )


def raw(value: Any) -> Raw:
    """A value as somebody types it."""
    if isinstance(value, Raw):
        return value
    if isinstance(value, tuple):
        typed, unit = value
        return Raw(typed=typed, unit=unit)
    return Raw(typed=value)
