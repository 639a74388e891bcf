"""Items of repeating groups, and photos."""

from typing import BinaryIO

from django.db import transaction
from django.db.models import Max
from django.utils.translation import gettext as _

from portal.core import clock, trail
from portal.core.actors import Actor
from portal.core.errors import MoveRefused, ValuesRefused
from portal.core.files import store_photo
from portal.intake import policies, sheet
from portal.intake.models import FieldEntry, FieldItem, FieldRecord, Photo
from portal.intake.services.entries import item_of
from portal.intake.services.records import record_locked
from portal.intake.states import RecordState

ITEMS_LIMIT = 60
NAME_LIMIT = 80


def _open_record(record_id: int, actor: Actor) -> FieldRecord:
    record = record_locked(record_id)
    policies.require_recording(actor, record)
    if record.state != RecordState.OPEN:
        raise MoveRefused(_("The record is complete. Reopen it to add or remove things."))
    return record


def _clean_name(name: str) -> str:
    name = " ".join(name.split())
    if not name:
        message = _("Give it a short name, so that it is found again.")
        raise ValuesRefused(message, fields={"name": message})
    if len(name) > NAME_LIMIT:
        message = _("Name: at most %(limit)d characters.") % {"limit": NAME_LIMIT}
        raise ValuesRefused(message, fields={"name": message})
    return name


@transaction.atomic
def item_add(*, record_id: int, group: str, name: str, actor: Actor) -> FieldItem:
    """Add an item to a group.

    Raises
    ------
    ValuesRefused
        No such group, no name, or too many of them.
    MoveRefused, NotAllowed
    """
    record = _open_record(record_id, actor)
    if sheet.group(group) is None:
        raise ValuesRefused(_("The sheet has no group “%s”.") % group[:40])
    return _add(record, group, _clean_name(name))


def _add(record: FieldRecord, group: str, name: str) -> FieldItem:
    present = record.items.filter(group=group, removed_at__isnull=True)
    if present.count() >= ITEMS_LIMIT:
        raise ValuesRefused(_("At most %d of a kind; group alike ones.") % ITEMS_LIMIT)
    last = present.aggregate(last=Max("order"))["last"]
    return FieldItem.objects.create(
        record=record, group=group, name=name, order=0 if last is None else last + 1
    )


@transaction.atomic
def item_copy(*, record_id: int, item_key: str, actor: Actor, name: str = "") -> FieldItem:
    """Copy an item with its values, for a thing that is nearly alike.

    Raises
    ------
    ValuesRefused, MoveRefused, NotAllowed
    """
    record = _open_record(record_id, actor)
    source = item_of(record, item_key)
    copy = _add(record, source.group, _clean_name(name or _copy_name(source.name)))
    rows = list(source.entries.filter(is_current=True))
    for row in rows:
        row.pk = None
        row.item = copy
        row.entered_by = actor.actor_label
        row.entered_at = clock.now()
        row.why_changed = ""
        row._state.adding = True
    FieldEntry.objects.bulk_create(rows)
    return copy


def _copy_name(name: str) -> str:
    words = _("%s, copy") % name
    return words if len(words) <= NAME_LIMIT else name


@transaction.atomic
def item_rename(*, record_id: int, item_key: str, name: str, actor: Actor) -> FieldItem:
    """Give an item another name.

    Raises
    ------
    ValuesRefused, NotAllowed
    """
    record = record_locked(record_id)
    policies.require_recording(actor, record)
    item = item_of(record, item_key)
    new = _clean_name(name)
    if new != item.name:
        if record.state == RecordState.COMPLETE:
            trail.write(record, actor=actor, verb="renamed", source=item.name[:60],
                        target=new[:60])  # fmt: skip
        item.name = new
        item.save(update_fields=["name"])
    return item


@transaction.atomic
def item_remove(*, record_id: int, item_key: str, actor: Actor) -> None:
    """Take an item off the record. Its values and photos are kept with it.

    Raises
    ------
    ValuesRefused, MoveRefused, NotAllowed
    """
    record = _open_record(record_id, actor)
    item = item_of(record, item_key)
    item.removed_at = clock.now()
    item.save(update_fields=["removed_at"])
    trail.write(record, actor=actor, verb="removed", target=item.name[:60])


@transaction.atomic
def photo_add(
    *,
    record_id: int,
    upload: BinaryIO,
    name: str | None,
    actor: Actor,
    tag: str = "existing",
    caption: str = "",
    item_key: str = "",
) -> Photo:
    """Store a photo of the house or of one item.

    Raises
    ------
    ValuesRefused
        Not a photo, too large, or its words too long.
    NotAllowed
    """
    record = record_locked(record_id)
    policies.require_recording(actor, record)
    item = item_of(record, item_key) if item_key else None
    if len(caption) > 160:
        message = _("Words: at most 160 characters.")
        raise ValuesRefused(message, fields={"caption": message})
    if not tag or len(tag) > 20 or not tag.replace("_", "").isalnum():
        message = _("Say what the photo is of.")
        raise ValuesRefused(message, fields={"tag": message})
    stored = store_photo(
        upload, name=name, actor=actor, casefile_number=record.casefile_number, field="photo"
    )
    return Photo.objects.create(
        record=record,
        item=item,
        file=stored,
        tag=tag,
        caption=caption.strip(),
        taken_at=clock.now(),
    )
