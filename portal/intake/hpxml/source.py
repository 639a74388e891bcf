"""Reading elements of the audit building, keeping account of what was read."""

from collections.abc import Iterator
from dataclasses import dataclass, field

from django.utils.translation import gettext as _
from lxml import etree

from portal.intake.hpxml.parse import Parsed, is_in_extension, name_of, place, reference_of
from portal.intake.uploads.reading import Fault, Reading, ReadItem
from portal.intake.values import Raw, figure_exact

MEASURED, DOCUMENT, NAMEPLATE, REPORTED = "measured", "document", "nameplate", "reported"
# Structure, not a value: its reading is the reading of what it holds.
NOT_LISTED = frozenset({"SystemIdentifier", "SiteID", "BuildingID"})


@dataclass
class Source:
    """The audit building of a file, its values on their way into a reading."""

    parsed: Parsed
    building: etree._Element
    reading: Reading
    used: set[etree._Element] = field(default_factory=set)
    faults: list[Fault] = field(default_factory=list)
    items: dict[str, ReadItem] = field(default_factory=dict)

    def find(self, element: etree._Element, path: str) -> etree._Element | None:
        """The first descendant at a path of local names; it counts as read when it is a leaf."""
        found = element.find("/".join(f"{{{self.parsed.namespace}}}{name}" for name in
                                      path.split("/")))  # fmt: skip
        if found is not None and not len(found):
            self.used.add(found)
        return found

    def all(self, element: etree._Element, path: str) -> Iterator[etree._Element]:
        """Every descendant at a path of local names."""
        yield from element.iterfind(
            "/".join(f"{{{self.parsed.namespace}}}{name}" for name in path.split("/"))
        )

    def text(self, element: etree._Element, path: str) -> str:
        """Text of the leaf at a path; empty when there is none."""
        found = self.find(element, path)
        return (found.text or "").strip() if found is not None and not len(found) else ""

    def number(self, element: etree._Element, path: str) -> float | None:
        """Number of the leaf at a path; text that is no number is a fault of the file."""
        found = self.find(element, path)
        if found is None or len(found) or not (found.text or "").strip():
            return None
        text = (found.text or "").strip()
        try:
            return float(text)
        except ValueError:
            self.faults.append(Fault(place(found), _("“%s” is not a number.") % text[:40]))
            return None

    def flag(self, element: etree._Element, path: str) -> bool | None:
        """Truth of the leaf at a path."""
        text = self.text(element, path)
        return {"true": True, "1": True, "false": False, "0": False}.get(text.lower())

    def child_name(self, element: etree._Element, path: str) -> str:
        """Name of the one element inside the element at a path: how HPXML writes a choice."""
        found = self.find(element, path)
        if found is None:
            return ""
        if not len(found):
            return (found.text or "").strip()
        self.used.add(found[0])
        return name_of(found[0])

    def key(self, element: etree._Element) -> str:
        """The identifier of a thing."""
        found = self.find(element, "SystemIdentifier")
        return str(found.get("id")) if found is not None else ""

    def reference(self, element: etree._Element, path: str) -> etree._Element | None:
        """The thing a reference at a path points to."""
        found = self.find(element, path)
        if found is None:
            return None
        return self.parsed.owners.get(reference_of(found, self.parsed.version))

    def references(self, element: etree._Element, path: str) -> list[etree._Element]:
        """All things the references at a path point to."""
        found = []
        for reference in self.all(element, path):
            self.used.add(reference)
            target = self.parsed.owners.get(reference_of(reference, self.parsed.version))
            if target is not None:
                found.append(target)
        return found

    def put(
        self,
        section: str,
        field_key: str,
        element: etree._Element,
        path: str,
        *,
        unit: str = "",
        how: str = DOCUMENT,
        scale: float = 1.0,
    ) -> None:
        """A house-wide number as it stands."""
        value = self.number(element, path)
        if value is not None:
            raw = Raw(typed=figure_exact(value * scale), unit=unit, how=how)
            self.reading.put(section, field_key, raw, where=self.where(element, path))

    def put_value(
        self, section: str, field_key: str, value: object, where: str, *, how: str = DOCUMENT
    ) -> None:
        """A house-wide value worked out from what was read; None is left out."""
        if value is not None and value != "":
            self.reading.put(section, field_key, Raw(typed=value, how=how), where=where)

    def put_in(
        self,
        item: ReadItem,
        field_key: str,
        element: etree._Element,
        path: str,
        *,
        unit: str = "",
        how: str = DOCUMENT,
        scale: float = 1.0,
    ) -> None:
        """A number of an item as it stands."""
        value = self.number(element, path)
        if value is not None:
            self.put_number(item, field_key, value * scale, element, path, unit=unit, how=how)

    def put_number(
        self,
        item: ReadItem,
        field_key: str,
        value: float | None,
        element: etree._Element,
        path: str = "",
        *,
        unit: str = "",
        how: str = DOCUMENT,
    ) -> None:
        """A number of an item worked out from what was read; None is left out."""
        if value is not None:
            raw = Raw(typed=figure_exact(value), unit=unit, how=how)
            self.reading.put_item(item, field_key, raw, where=self.where(element, path))

    def put_item_value(
        self,
        item: ReadItem,
        field_key: str,
        value: object,
        element: etree._Element,
        *,
        how: str = DOCUMENT,
    ) -> None:
        """A value of an item worked out from what was read; None is left out."""
        if value is not None and value != "":
            self.reading.put_item(
                item, field_key, Raw(typed=value, how=how), where=self.where(element, "")
            )

    def add(self, group: str, element: etree._Element, name: str) -> ReadItem:
        """A new item of a group under the identifier of its element."""
        key = f"{group}:{self.key(element) or len(self.reading.items)}"
        item = self.reading.add(group, key[:80], name)
        self.items[f"{group}:{self.key(element)}"] = item
        return item

    def where(self, element: etree._Element, path: str) -> str:
        """Where a value stands, for people."""
        found = self.find(element, path) if path else element
        return place(found if found is not None else element)

    def not_taken(self, element: etree._Element, path: str, why: str) -> None:
        """List something that was read and understood but has no place in the sheet."""
        self.reading.skipped.append(Fault(self.where(element, path), why))

    def list_unread(self) -> None:
        """List every value of the building that nothing has read, alike ones together."""
        counts: dict[str, tuple[int, int]] = {}
        for element in self.building.iter():
            if len(element) or element in self.used or is_in_extension(element):
                continue
            if name_of(element) in NOT_LISTED or not (
                (element.text or "").strip() or element.attrib
            ):
                continue
            names = [name_of(element)]
            for parent in element.iterancestors():
                if parent is self.building:
                    break
                names.append(name_of(parent))
            path = "/".join(reversed(names))
            line, count = counts.get(path, (element.sourceline or 0, 0))
            counts[path] = (line, count + 1)
        for path, (line, count) in counts.items():
            times = "" if count == 1 else _(" (%d times)") % count
            self.reading.skipped.append(
                Fault(
                    _("line %(line)d, %(path)s") % {"line": line, "path": path} + times,
                    _("Not read: the field sheet has no place for it."),
                )
            )
