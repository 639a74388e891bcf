"""Filling a record from a file."""

from typing import BinaryIO

from django.db import transaction
from django.utils.translation import gettext as _

from portal.core import clock, trail
from portal.core.actors import Actor
from portal.core.errors import MoveRefused
from portal.core.files import clean_name, store_bytes
from portal.intake import policies, uploads
from portal.intake.models import FieldEntry, FieldItem, FieldRecord, RecordUpload
from portal.intake.services.entries import entry_row
from portal.intake.services.records import record_locked
from portal.intake.states import RecordState
from portal.intake.uploads.reading import Reading

MEDIA_TYPES = {"json": "application/json", "hpxml": "application/xml"}


@transaction.atomic
def record_upload(
    *, record_id: int, upload: BinaryIO | None, name: str | None, actor: Actor
) -> RecordUpload:
    """Fill a record from a field-record file or an HPXML file.

    Values of the file take the place of those entered before, which are kept as past; items of
    the groups it has replace the items of those groups. A file that is refused leaves nothing.

    Raises
    ------
    UploadRefused
        Every reason found.
    MoveRefused
        The record is complete.
    NotAllowed
    """
    record = record_locked(record_id)
    policies.require_recording(actor, record)
    if record.state != RecordState.OPEN:
        raise MoveRefused(_("The record is complete. Reopen it to fill it from a file."))
    label = clean_name(name)
    content = uploads.read_bytes(upload, name=label)
    reading = uploads.read(content, name=label)
    _store_items(record, reading, actor)
    stored = store_bytes(
        content,
        name=label,
        media_type=MEDIA_TYPES[reading.kind],
        actor=actor,
        casefile_number=record.casefile_number,
    )
    record.source = reading.kind
    record.save(update_fields=["source"])
    found = RecordUpload.objects.create(
        record=record,
        file=stored,
        kind=reading.kind,
        report=reading.report(),
        uploaded_at=clock.now(),
    )
    trail.write(
        record,
        actor=actor,
        verb="uploaded",
        target=reading.kind,
        details={"file": label, "sha256": stored.sha256, "values": reading.count},
    )
    return found


def _store_items(record: FieldRecord, reading: Reading, actor: Actor) -> None:
    groups = {item.group for item in reading.items}
    record.items.filter(group__in=groups, removed_at__isnull=True).update(removed_at=clock.now())
    record.entries.filter(is_current=True, item=None, field__in=reading.house).update(
        is_current=False
    )
    orders: dict[str, int] = {}
    made: dict[str, FieldItem] = {}
    for item in reading.items:
        order = orders.get(item.group, 0)
        orders[item.group] = order + 1
        made[item.key] = FieldItem(record=record, group=item.group, name=item.name, order=order)
    FieldItem.objects.bulk_create(made.values())
    # Items are found again by their key: a bulk insert need not give primary keys back.
    stored = {item.key: item for item in record.items.filter(
        key__in=[item.key for item in made.values()]
    )}  # fmt: skip
    rows = [entry_row(record, None, path, value, actor) for path, value in reading.house.items()]
    new_key = {key: str(item.key) for key, item in made.items()}
    for item in reading.items:
        target = stored[made[item.key].key]
        for key, value in item.values.items():
            row = entry_row(record, target, key, value, actor)
            if is_link(item.group, key) and isinstance(row.value, str):
                row.value = new_key[row.value]
                row.typed = row.value
            rows.append(row)
    FieldEntry.objects.bulk_create(rows, batch_size=500)


def is_link(group_key: str, field_key: str) -> bool:
    """Whether a field of a group points to another item."""
    from portal.intake import sheet

    group = sheet.group(group_key)
    field = group.field(field_key) if group else None
    return bool(field and field.links)
