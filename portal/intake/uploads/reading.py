"""What came out of an uploaded file, before anything is stored."""

from dataclasses import dataclass, field
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from portal.core.errors import DomainError
from portal.intake import sheet, values
from portal.intake.document import Document
from portal.intake.sheet.kinds import Field
from portal.intake.values import Raw, Value

FILE_LIMIT_BYTES = 5 * 1024 * 1024
FAULTS_SHOWN = 50


@dataclass(frozen=True)
class Fault:
    """One thing that cannot be read: where it stands in the file, and why."""

    where: str
    why: str

    def __str__(self) -> str:
        return f"{self.where}: {self.why}"


class UploadRefused(DomainError):
    """The file is not taken; nothing of it is stored. ``faults`` has every reason found."""

    default_code = "upload_refused"

    def __init__(self, faults: list[Fault], *, name: str = "") -> None:
        shown = faults[:FAULTS_SHOWN]
        first = str(shown[0]) if shown else _("The file cannot be read.")
        more = len(faults) - 1
        message = _("%(file)s was not taken. %(first)s") % {
            "file": name or _("The file"),
            "first": first,
        }
        if more > 0:
            message += " " + ngettext(
                "%(count)d more fault is listed below.",
                "%(count)d more faults are listed below.",
                more,
            ) % {"count": more}
        super().__init__(message, fields={fault.where: fault.why for fault in shown})
        self.faults = tuple(shown)


@dataclass
class Reading:
    """Checked values of a file by section and item, and what was left out.

    ``house`` maps ``section.field`` to a value; ``items`` holds (group, key, name, values) in
    the order of the file; keys are the file's own.
    """

    kind: str
    house: dict[str, Value] = field(default_factory=dict)
    items: list["ReadItem"] = field(default_factory=list)
    skipped: list[Fault] = field(default_factory=list)
    questions: list[Fault] = field(default_factory=list)
    about: list[str] = field(default_factory=list)

    def put(self, section: str, key: str, raw: Raw, *, where: str) -> None:
        """Check a house-wide value and keep it, or list it as skipped."""
        found = sheet.house_field(f"{section}.{key}")
        assert found is not None, f"{section}.{key} is not in the sheet"
        value = self._take(found, raw, where)
        if value is not None:
            self.house[f"{section}.{key}"] = value

    def put_item(self, item: "ReadItem", key: str, raw: Raw, *, where: str) -> None:
        """Check a value of an item and keep it, or list it as skipped."""
        group = sheet.group(item.group)
        found = group.field(key) if group else None
        assert found is not None, f"{item.group}.{key} is not in the sheet"
        value = self._take(found, raw, where)
        if value is not None:
            item.values[key] = value

    def _take(self, found: Field, raw: Raw, where: str) -> Value | None:
        if raw.is_blank:
            return None
        checked = values.check(found, raw)
        if checked.error:
            self.skipped.append(Fault(where, checked.error))
            return None
        if checked.question and checked.value and not checked.value.confirmed:
            self.questions.append(Fault(where, checked.question))
        return checked.value

    def add(self, group: str, key: str, name: str) -> "ReadItem":
        """A new item of a group."""
        item = ReadItem(group, key, name[:80])
        self.items.append(item)
        return item

    @property
    def count(self) -> int:
        """How many values were taken."""
        return len(self.house) + sum(len(item.values) for item in self.items)

    def document(self) -> Document:
        """The values as a record document, keys as in the file."""
        from portal.intake.document import empty

        document = empty()
        for path, value in self.house.items():
            section, _dot, key = path.partition(".")
            document["house"][section][key] = value.plain()
        for item in self.items:
            document["items"][item.group].append(
                {
                    "key": item.key,
                    "name": item.name,
                    "fields": {key: value.plain() for key, value in item.values.items()},
                }
            )
        return document

    def report(self) -> dict[str, Any]:
        """What is kept with the upload and shown to the auditor."""
        by_section: dict[str, int] = {}
        for path in self.house:
            section = path.partition(".")[0]
            by_section[section] = by_section.get(section, 0) + 1
        for item in self.items:
            section = sheet.section_of(item.group).key
            by_section[section] = by_section.get(section, 0) + len(item.values)
        items: dict[str, int] = {}
        for item in self.items:
            items[item.group] = items.get(item.group, 0) + 1
        return {
            "kind": self.kind,
            "values": self.count,
            "by_section": by_section,
            "items": items,
            "about": list(self.about),
            "skipped": [{"where": fault.where, "why": fault.why} for fault in self.skipped],
            "questions": [{"where": fault.where, "why": fault.why} for fault in self.questions],
        }


@dataclass
class ReadItem:
    """One item of a file with its checked values."""

    group: str
    key: str
    name: str
    values: dict[str, Value] = field(default_factory=dict)


def check_links(reading: Reading) -> list[Fault]:
    """Faults of links that point to nothing, or to an item of the wrong group."""
    groups_of = {item.key: item.group for item in reading.items}
    faults: list[Fault] = []
    for item in reading.items:
        group = sheet.group(item.group)
        assert group is not None, "items are only added to known groups"
        for entry in group.fields:
            if not entry.links:
                continue
            value = item.values.get(entry.key)
            if value is None or value.absence:
                continue
            target = groups_of.get(str(value.value))
            where = f"items.{item.group}.{item.key}.{entry.key}"
            if target is None:
                faults.append(
                    Fault(where, _("“%s” is not an item of this file.") % str(value.value)[:60])
                )
            elif target not in entry.links:
                faults.append(
                    Fault(
                        where,
                        _("“%(key)s” belongs to %(group)s and cannot stand here.")
                        % {"key": str(value.value)[:60], "group": target},
                    )
                )
    return faults
