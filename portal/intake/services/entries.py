"""Saving values: append-only, checked together, corrections with their reason."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from portal.core import clock, outbox, trail
from portal.core.actors import Actor
from portal.core.errors import MoveRefused, ValuesRefused
from portal.intake import left, policies, sheet, values
from portal.intake.document import Reader, from_record, value_of
from portal.intake.models import FieldEntry, FieldItem, FieldRecord
from portal.intake.services.records import record_locked
from portal.intake.sheet.kinds import Field
from portal.intake.states import Absence, RecordState
from portal.intake.values import Raw, Value


class SectionRefused(ValuesRefused):
    """Values that cannot be right; ``questions`` has those of ``fields`` that are only odd."""

    def __init__(self, errors: Mapping[str, str], questions: Mapping[str, str]) -> None:
        super().__init__(_several(errors), fields={**errors, **questions})
        self.questions = dict(questions)


class ValuesToConfirm(ValuesRefused):
    """Nothing is wrong for sure, but some values are odd; ``fields`` has the questions."""

    default_code = "values_to_confirm"


@dataclass(frozen=True)
class Saved:
    """What a save changed: the keys of fields with a new value, and of those cleared."""

    changed: tuple[str, ...] = ()
    cleared: tuple[str, ...] = ()


@transaction.atomic
def section_save(
    *,
    record_id: int,
    section: str,
    values_given: Mapping[str, Raw],
    actor: Actor,
    item_key: str = "",
    why_changed: str = "",
) -> Saved:
    """Save the values of one section, or of one item of its groups, all or none.

    Fields not named stay as they are; one given blank is cleared, its old value kept as past.

    Raises
    ------
    ValuesRefused
        A value cannot be right, a field is not in the sheet, or a completed record is changed
        without a reason.
    ValuesToConfirm
        Values beyond their usual range without ``confirmed``.
    NotAllowed
        Another auditor's record.
    """
    record = record_locked(record_id)
    policies.require_recording(actor, record)
    item = item_of(record, item_key) if item_key else None
    fields, prefix = _fields_of(section, item)
    accepted = _check(fields, values_given)
    current = {
        entry.field: entry
        for entry in record.entries.filter(is_current=True, item=item)
        if entry.field.startswith(prefix)
    }
    _check_whole(fields, prefix, accepted, values_given, current)
    _check_links(record, fields, accepted)
    changed = [
        key
        for key, value in accepted.items()
        if (old := current.get(prefix + key)) is None or value_of(old).plain() != value.plain()
    ]
    cleared = [key for key, raw in values_given.items() if raw.is_blank and prefix + key in current]
    if record.state == RecordState.COMPLETE and (changed or cleared):
        _require_reason(why_changed, cleared)
    past = [current[prefix + key].pk for key in (*changed, *cleared) if prefix + key in current]
    record.entries.filter(pk__in=past).update(is_current=False)
    made = FieldEntry.objects.bulk_create(
        entry_row(record, item, prefix + key, accepted[key], actor, why_changed) for key in changed
    )
    if record.state == RecordState.COMPLETE and made:
        _tell_correction(record, item, made, current, actor, why_changed)
    return Saved(tuple(changed), tuple(cleared))


def _fields_of(section: str, item: FieldItem | None) -> tuple[tuple[Field, ...], str]:
    found = sheet.section(section)
    if found is None:
        raise ValuesRefused(_("The sheet has no section “%s”.") % section[:40])
    if item is None:
        return found.all_fields, f"{found.key}."
    group = sheet.group(item.group)
    if group is None or group not in found.groups:
        raise ValuesRefused(_("This item does not belong to the section."))
    return group.fields, ""


def _check(fields: Iterable[Field], given: Mapping[str, Raw]) -> dict[str, Value]:
    by_key = {field.key: field for field in fields}
    errors = {
        key: _("The sheet has no field “%s” here.") % key[:60] for key in given if key not in by_key
    }
    questions: dict[str, str] = {}
    accepted: dict[str, Value] = {}
    for key, raw in given.items():
        if key not in by_key or raw.is_blank:
            continue
        checked = values.check(by_key[key], raw)
        if checked.error:
            errors[key] = checked.error
        elif checked.value is not None:
            accepted[key] = checked.value
            if checked.question and not checked.value.confirmed:
                questions[key] = checked.question
    if errors:
        raise SectionRefused(errors, questions)
    if questions:
        raise ValuesToConfirm(_several(questions), fields=questions)
    return accepted


def _several(faults: Mapping[str, str]) -> str:
    first = next(iter(faults.values()))
    more = len(faults) - 1
    if not more:
        return first
    return ngettext("%(first)s And %(count)d more.", "%(first)s And %(count)d more.", more) % {
        "first": first,
        "count": more,
    }


def _check_whole(
    fields: tuple[Field, ...],
    prefix: str,
    accepted: Mapping[str, Value],
    given: Mapping[str, Raw],
    current: Mapping[str, FieldEntry],
) -> None:
    """Parts against wholes, with the values that stay as they are."""
    together = {
        field.key: value_of(current[prefix + field.key])
        for field in fields
        if prefix + field.key in current and field.key not in given
    }
    errors = values.check_together(fields, {**together, **accepted})
    if errors:
        raise ValuesRefused(_several(errors), fields=errors)


def _check_links(
    record: FieldRecord, fields: Iterable[Field], accepted: Mapping[str, Value]
) -> None:
    wanted = {
        field.key: field
        for field in fields
        if field.links and field.key in accepted and not accepted[field.key].absence
    }
    if not wanted:
        return
    groups_of = {
        str(key): group
        for key, group in record.items.filter(removed_at__isnull=True).values_list("key", "group")
    }
    errors = {
        key: _("%(label)s: choose one of the list.") % {"label": field.label}
        for key, field in wanted.items()
        if groups_of.get(str(accepted[key].value)) not in field.links
    }
    if errors:
        raise ValuesRefused(_several(errors), fields=errors)


def _require_reason(why_changed: str, cleared: list[str]) -> None:
    if cleared:
        raise ValuesRefused(
            _("A completed record keeps a value. Say why there is none instead of emptying it."),
            fields={
                key: _("Say why there is no value instead of emptying the box.") for key in cleared
            },
        )
    if not why_changed.strip():
        message = _("Say why the value is changed. The old one stays beside it.")
        raise ValuesRefused(message, code="reason_needed", fields={"why_changed": message})
    if len(why_changed) > 200:
        message = _("Why it is changed: at most 200 characters.")
        raise ValuesRefused(message, fields={"why_changed": message})


def entry_row(
    record: FieldRecord,
    item: FieldItem | None,
    field: str,
    value: Value,
    actor: Actor,
    why_changed: str = "",
) -> FieldEntry:
    """An unsaved row of one value."""
    return FieldEntry(
        record=record,
        item=item,
        field=field,
        typed=value.typed,
        unit=value.unit,
        si=value.si,
        value="over_range" if value.is_over_range else value.value,
        absence=value.absence,
        absence_reason=value.reason,
        how=value.how,
        confirmed_reason=value.confirmed,
        note=value.note,
        entered_by=actor.actor_label,
        entered_at=clock.now(),
        why_changed=why_changed.strip() if record.state == RecordState.COMPLETE else "",
    )


def _tell_correction(
    record: FieldRecord,
    item: FieldItem | None,
    made: list[FieldEntry],
    current: Mapping[str, FieldEntry],
    actor: Actor,
    why_changed: str,
) -> None:
    changes = {
        entry.field: {
            "old": _plain_text(current[entry.field]) if entry.field in current else "",
            "new": _plain_text(entry),
        }
        for entry in made
    }
    trail.write(
        record,
        actor=actor,
        verb="corrected",
        target=item.name if item is not None else "house",
        why=why_changed.strip(),
        details=changes,
    )
    outbox.put(
        "field_record.corrected",
        key=f"field_record.corrected:{made[0].pk}",
        record_id=record.pk,
    )


def _plain_text(entry: FieldEntry) -> str:
    if entry.absence:
        return f"{entry.absence}: {entry.absence_reason}".strip(": ")
    return f"{entry.typed} {entry.unit}".strip()


def item_of(record: FieldRecord, item_key: str) -> FieldItem:
    """An item of a record by its key.

    Raises
    ------
    ValuesRefused
        There is none, or it was removed.
    """
    try:
        return record.items.get(key=item_key, removed_at__isnull=True)
    except (FieldItem.DoesNotExist, ValidationError):
        # Text that is no UUID names no item either.
        raise ValuesRefused(_("This item is not in the record."), code="item_unknown") from None


# What must be looked at or asked, and is never filled in as "not known".
NEVER_UNKNOWN = ("visit", "combustion", "barriers")


@transaction.atomic
def rest_mark_unknown(*, record_id: int, reason: str, actor: Actor) -> int:
    """Mark what is left as not known, with one reason: for records that came in by a file.

    Consent, combustion safety and hazards are left open: they are never taken as known to be
    unknown. Questions whether the house has any of something stay open too. Gives the number
    of values marked.

    Raises
    ------
    ValuesRefused
        No reason.
    MoveRefused
        The record is complete.
    NotAllowed
    """
    record = record_locked(record_id)
    policies.require_recording(actor, record)
    if record.state != RecordState.OPEN:
        raise MoveRefused(_("The record is complete."))
    words = reason.strip()
    if not words or len(words) > values.REASON_LIMIT:
        message = _("Say in at most %(limit)d characters why the rest is not known.") % {
            "limit": values.REASON_LIMIT
        }
        raise ValuesRefused(message, fields={"reason": message})
    items = {str(item.key): item for item in record.items.filter(removed_at__isnull=True)}
    value = Value(absence=Absence.UNKNOWN, reason=words)
    marked = 0
    # Marking one thing can make another apply, so it is asked again until nothing is added.
    while rows := [
        entry_row(
            record,
            items.get(missing.item),
            missing.field if missing.item else f"{missing.section}.{missing.field}",
            value,
            actor,
        )
        for missing in left.missing(Reader(from_record(record)))
        if missing.section not in NEVER_UNKNOWN
        and missing.field
        and not missing.field.endswith("_present")
    ]:
        FieldEntry.objects.bulk_create(rows)
        marked += len(rows)
    if marked:
        trail.write(record, actor=actor, verb="marked unknown", target=str(marked), why=words)
    return marked
