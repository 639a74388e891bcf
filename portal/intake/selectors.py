"""Finding field records, their documents, hazards and corrections."""

from collections.abc import Iterable
from typing import TYPE_CHECKING

from django.contrib.auth.models import AnonymousUser
from django.db.models import Q, QuerySet
from django.shortcuts import get_object_or_404

from calcs.limits import Limits
from portal.accounts.models import User
from portal.accounts.states import Role
from portal.enrollment.models import Casefile
from portal.intake import hazards
from portal.intake.document import Document, from_record, limits_in_effect
from portal.intake.hazards import Hazard
from portal.intake.models import (
    FieldEntry,
    FieldRecord,
    HazardClearance,
    Photo,
    RecordUpload,
    ValueProposal,
)
from portal.intake.states import ProposalState, RecordStage, RecordState
from portal.scheduling.models import Appointment

if TYPE_CHECKING:
    Reader = User | AnonymousUser


def records_for(user: "Reader") -> QuerySet[FieldRecord]:
    """The records a person may see: the auditor's own, all of them for the program office."""
    found = FieldRecord.objects.select_related(
        "appointment__auditor__user",
        "casefile__participation__household",
        "casefile__participation__dwelling__building",
    )
    if isinstance(user, AnonymousUser) or not user.is_authenticated:
        return found.none()
    allowed = Q(pk__isnull=True)
    if Role.PROGRAM_ADMIN in user.roles:
        allowed |= Q(pk__isnull=False)
    if Role.AUDITOR in user.roles:
        allowed |= Q(appointment__auditor__user=user)
    return found.filter(allowed)


def record_by_pk_for(user: "Reader", pk: int) -> FieldRecord:
    """One record a person may see; any other is as if it were not there (404)."""
    return get_object_or_404(records_for(user), pk=pk)


def records_by_appointment(
    user: "Reader", appointments: Iterable[Appointment]
) -> dict[int, FieldRecord]:
    """The newest record of each of these visits that a person may see, by the visit's id."""
    found = records_for(user).filter(appointment__in=[visit.pk for visit in appointments])
    return {
        record.appointment_id: record
        for record in found.order_by("opened_at", "pk")
        if record.appointment_id is not None
    }


def unfinished_records(user: "Reader") -> QuerySet[FieldRecord]:
    """The open records of a person's own visits, oldest first."""
    return (
        records_for(user)
        .filter(state=RecordState.OPEN, appointment__auditor__user=user.pk or 0)
        .order_by("opened_at", "pk")
    )


def record_document(record: FieldRecord) -> Document:
    """The record as one nested document of SI values with where each came from."""
    return from_record(record)


def latest_record(
    casefile: Casefile, *, stage: str = RecordStage.AUDIT, is_complete: bool = True
) -> FieldRecord | None:
    """The newest record of a casefile at a stage; completed ones only unless told otherwise."""
    found = casefile.field_records.filter(stage=stage)
    if is_complete:
        found = found.filter(state=RecordState.COMPLETE)
    return found.order_by("-opened_at", "-pk").first()


def open_hazards(record: FieldRecord) -> tuple[Hazard, ...]:
    """The hazards of a record that nobody has cleared with evidence."""
    found = hazards.find(from_record(record))
    cleared = cleared_keys(record)
    return tuple(hazard for hazard in found if hazard.key not in cleared)


def hazards_in(document: Document) -> tuple[Hazard, ...]:
    """Every hazard of a document, cleared or not."""
    return hazards.find(document)


def cleared_keys(record: FieldRecord) -> frozenset[str]:
    """Keys of hazards cleared since the record was opened.

    A clearance is about what was found then: the same fault in a later record is open again.
    """
    return frozenset(
        HazardClearance.objects.filter(
            casefile_id=record.casefile_id, cleared_at__gte=record.opened_at
        ).values_list("hazard", flat=True)
    )


def open_hazards_of(casefile: Casefile) -> tuple[Hazard, ...]:
    """The open hazards of a casefile's newest completed record."""
    record = latest_record(casefile)
    return open_hazards(record) if record is not None else ()


def clearances_of(casefile: Casefile) -> QuerySet[HazardClearance]:
    """What was cleared, by whom and on what evidence."""
    return casefile.hazard_clearances.select_related("file")


def corrections_of(record: FieldRecord) -> QuerySet[FieldEntry]:
    """Values changed after completion, newest last; each says why."""
    return record.entries.exclude(why_changed="").select_related("item").order_by("pk")


def history_of(record: FieldRecord, field: str, item_key: str = "") -> QuerySet[FieldEntry]:
    """Every value ever entered for a field, oldest first."""
    found = record.entries.filter(field=field).order_by("pk")
    return found.filter(item__key=item_key) if item_key else found.filter(item__isnull=True)


def photos_of(record: FieldRecord) -> QuerySet[Photo]:
    """The photos of a record with what they show."""
    return record.photos.select_related("item", "file")


def photo_tags(record: FieldRecord) -> frozenset[tuple[str, str]]:
    """(item key or "", tag) of every photo taken; those of removed items do not count."""
    house = record.photos.filter(item__isnull=True).values_list("tag", flat=True)
    items = record.photos.filter(item__removed_at__isnull=True, item__isnull=False)
    return frozenset(
        [("", tag) for tag in house]
        + [(str(key), tag) for key, tag in items.values_list("item__key", "tag")]
    )


def uploads_of(record: FieldRecord) -> QuerySet[RecordUpload]:
    """Files from which the record was filled."""
    return record.uploads.select_related("file")


def values_in_effect() -> Limits:
    """What the program has adopted in place of published values."""
    return limits_in_effect()


def proposals() -> QuerySet[ValueProposal]:
    """Every proposal of a value, the newest first, with the people."""
    return ValueProposal.objects.select_related("proposed_by", "decided_by")


def proposals_waiting() -> QuerySet[ValueProposal]:
    """Proposals that wait for a second administrator."""
    return proposals().filter(state=ProposalState.PROPOSED)
