"""The record document: one field record as nested plain values, SI with where each came from.

``{"sheet_version": 1, "house": {section: {field: entry}},
"items": {group: [{"key", "name", "fields": {field: entry}}]}}``

An entry is ``{"si", "typed", "unit", "how"}`` for a quantity, ``{"value", "how"}`` for the
rest, or ``{"absence", "reason"}``; ``confirmed`` and ``note`` may stand beside them. It is built
from the stored entries in one pass, or from a field-record file without a database
(``portal.intake.uploads.json_file``).
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from calcs.limits import Adopted, Limits
from portal.core import clock
from portal.intake import sheet
from portal.intake.models import FieldEntry, FieldItem, FieldRecord, ValueProposal
from portal.intake.sheet.kinds import When
from portal.intake.states import ProposalState
from portal.intake.values import Value

Document = dict[str, Any]
Entry = Mapping[str, Any]


def empty() -> Document:
    """A document in which nothing is recorded yet."""
    return {
        "sheet_version": sheet.SHEET_VERSION,
        "house": {section.key: {} for section in sheet.SECTIONS},
        "items": {group.key: [] for section in sheet.SECTIONS for group in section.groups},
    }


def from_record(record: FieldRecord) -> Document:
    """The document of a stored record, by three queries.

    What the program has adopted of the limits goes along, so that whoever judges a reading judges
    it by what is in effect now; without anything adopted there is no such part.
    """
    items = list(record.items.filter(removed_at__isnull=True).order_by("group", "order", "pk"))
    entries = list(record.entries.filter(is_current=True).order_by("pk"))
    document = from_rows(items, entries)
    limits = limits_in_effect()
    if limits.adopted:
        document["limits"] = limits.plain()
    return document


def limits_in_effect() -> Limits:
    """The values the program has adopted, by one query."""
    adopted = ValueProposal.objects.filter(state=ProposalState.ADOPTED).order_by("key")
    return Limits(
        {
            row.key: Adopted(
                value=row.value,
                edition=row.edition,
                document=row.document,
                on=clock.program_date(row.decided_at).isoformat() if row.decided_at else "",
            )
            for row in adopted
        }
    )


def from_rows(items: Iterable[FieldItem], entries: Iterable[FieldEntry]) -> Document:
    """The document of rows already read; entries of removed items are left out."""
    document = empty()
    fields_of: dict[int, dict[str, Any]] = {}
    for item in items:
        fields: dict[str, Any] = {}
        fields_of[item.pk] = fields
        document["items"].setdefault(item.group, []).append(
            {"key": str(item.key), "name": item.name, "fields": fields}
        )
    for entry in entries:
        plain = value_of(entry).plain()
        if entry.item_id is None:
            section_key, _, field_key = entry.field.partition(".")
            document["house"].setdefault(section_key, {})[field_key] = plain
        elif entry.item_id in fields_of:
            fields_of[entry.item_id][entry.field] = plain
    return document


def value_of(entry: FieldEntry) -> Value:
    """A stored row as a value."""
    is_over_range = entry.value == "over_range"
    return Value(
        typed=entry.typed,
        unit=entry.unit,
        si=entry.si,
        value=None if is_over_range else entry.value,
        absence=entry.absence,
        reason=entry.absence_reason,
        how=entry.how,
        confirmed=entry.confirmed_reason,
        note=entry.note,
        is_over_range=is_over_range,
    )


@dataclass(frozen=True)
class Part:
    """The entries of one section or one item, read by field key."""

    entries: Mapping[str, Entry]
    key: str = ""
    name: str = ""
    group: str = ""

    def has(self, field: str) -> bool:
        """Whether something is recorded, an absence included."""
        return field in self.entries

    def entry(self, field: str) -> Entry | None:
        """The entry as it stands in the document."""
        return self.entries.get(field)

    def si(self, field: str) -> float | None:
        """The SI value of a quantity; None when it is absent or not recorded."""
        found = self.entries.get(field, {}).get("si")
        return None if found is None else float(found)

    def value(self, field: str) -> Any:
        """The value of a field that is not a quantity; None when absent or not recorded."""
        return self.entries.get(field, {}).get("value")

    def number(self, field: str) -> float | None:
        """A quantity's SI value, a count or a year."""
        found = self.si(field)
        return found if found is not None else self.value(field)

    def how(self, field: str) -> str:
        """How the value came to be known; empty when nothing is recorded."""
        return str(self.entries.get(field, {}).get("how", ""))

    def absence(self, field: str) -> str:
        """Why there is no value; empty when there is one or nothing is recorded."""
        return str(self.entries.get(field, {}).get("absence", ""))

    def is_over_range(self, field: str) -> bool:
        """Whether the instrument could not show the reading."""
        return bool(self.entries.get(field, {}).get("over_range"))

    def chosen(self, field: str) -> frozenset[str]:
        """The values of a list field; empty when none or not recorded."""
        return frozenset(self.value(field) or ())


@dataclass(frozen=True)
class Reader:
    """Read access to a document by section, group and field."""

    document: Mapping[str, Any]

    @property
    def limits(self) -> Limits:
        """What the program has adopted in place of published limits."""
        return Limits.from_plain(self.document.get("limits", {}))

    def section(self, key: str) -> Part:
        """The house-wide entries of a section."""
        return Part(self.document.get("house", {}).get(key, {}), key=key)

    def items(self, group: str) -> tuple[Part, ...]:
        """The items of a group in their order."""
        return tuple(
            Part(item["fields"], key=item["key"], name=item["name"], group=group)
            for item in self.document.get("items", {}).get(group, ())
        )

    def item(self, group: str, key: str) -> Part | None:
        """One item by key."""
        return next((part for part in self.items(group) if part.key == key), None)

    def all_items(self) -> Iterator[Part]:
        """Every item of every group, in the order of the sheet."""
        for section in sheet.SECTIONS:
            for group in section.groups:
                yield from self.items(group.key)

    def si(self, path: str) -> float | None:
        """SI value of a ``section.field`` quantity."""
        section_key, _, field = path.partition(".")
        return self.section(section_key).si(field)

    def value(self, path: str) -> Any:
        """Value of a ``section.field`` that is not a quantity."""
        section_key, _, field = path.partition(".")
        return self.section(section_key).value(field)

    def number(self, path: str) -> float | None:
        """SI value, count or year of a ``section.field``."""
        section_key, _, field = path.partition(".")
        return self.section(section_key).number(field)

    def holds(self, conditions: tuple[When, ...], part: Part) -> bool:
        """Whether conditions hold for an item or section; an unknown answer does not."""
        return all(self._holds(condition, part) for condition in conditions)

    def _holds(self, condition: When, part: Part) -> bool:
        if "." in condition.field:
            found = self.value(condition.field)
        else:
            found = part.value(condition.field)
        if isinstance(found, list):
            return any(entry in condition.among for entry in found)
        # True and 1 are equal in Python; an answer is compared with its type.
        return any(type(found) is type(allowed) and found == allowed for allowed in condition.among)
