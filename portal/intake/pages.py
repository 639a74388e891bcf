"""What the pages of a record show: sections with what is left, items, photos, results."""

from dataclasses import dataclass
from typing import Any

from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from portal.intake import hazards, left, live, selectors, sheet
from portal.intake.document import Document, Reader
from portal.intake.hazards import Hazard
from portal.intake.left import Missing, MissingPhoto
from portal.intake.models import FieldRecord
from portal.intake.sheet.kinds import Group, Section
from portal.intake.states import RecordState


@dataclass(frozen=True)
class RecordView:
    """One record, read once, with everything its pages are made of."""

    record: FieldRecord
    document: Document
    reader: Reader
    missing: tuple[Missing, ...]
    missing_photos: tuple[MissingPhoto, ...]
    open_hazards: tuple[Hazard, ...]
    cleared: frozenset[str]

    @property
    def is_open(self) -> bool:
        """Whether it is still being filled in."""
        return self.record.state == RecordState.OPEN

    @property
    def is_complete(self) -> bool:
        """Whether a change is a correction, with its reason."""
        return not self.is_open

    @property
    def address(self) -> str:
        """Which home this is."""
        return str(self.record.casefile.participation.dwelling)

    @property
    def stops(self) -> list[Hazard]:
        """What has to be stopped for, now."""
        return [hazard for hazard in self.open_hazards if hazard.severity == hazards.STOP_NOW]

    @property
    def lesser_hazards(self) -> list[Hazard]:
        """The open hazards that stop nothing on the spot."""
        return [hazard for hazard in self.open_hazards if hazard.severity != hazards.STOP_NOW]


def read(record: FieldRecord) -> RecordView:
    """Read a record for its pages, by a fixed number of queries."""
    document = selectors.record_document(record)
    reader = Reader(document)
    cleared = selectors.cleared_keys(record)
    return RecordView(
        record=record,
        document=document,
        reader=reader,
        missing=left.missing(reader),
        missing_photos=left.missing_photos(reader, selectors.photo_tags(record)),
        open_hazards=tuple(
            hazard for hazard in hazards.find(document) if hazard.key not in cleared
        ),
        cleared=cleared,
    )


def tasks(view: RecordView) -> list[dict[str, Any]]:
    """The sections in any order: stops first, then what has something left, then what is done."""
    rows = []
    for number, section in enumerate(sheet.SECTIONS):
        here = [entry for entry in view.missing if entry.section == section.key]
        stops = [hazard for hazard in view.stops if hazard.section == section.key]
        if stops:
            state, rank = _("Stop is open"), 0
        elif here:
            state, rank = left_words(len(here)), 1
        else:
            state, rank = _("Done"), 2
        note = stops[0].where if stops else _names(here) or _figure(view, section)
        rows.append(
            (
                rank,
                number,
                {
                    "label": section.label,
                    "url": reverse("intake:section", args=[view.record.pk, section.key]),
                    "state": state,
                    "note": note,
                    "is_stop": bool(stops),
                },
            )
        )
    return [row for _rank, _number, row in sorted(rows, key=lambda entry: entry[:2])]


def left_words(count: int) -> str:
    """How many things are left."""
    return ngettext("%(count)d left", "%(count)d left", count) % {"count": count}


def _names(missing: list[Missing]) -> str:
    names = ", ".join(str(entry) for entry in missing[:3])
    return names + (" …" if len(missing) > 3 else "")


def _figure(view: RecordView, section: Section) -> str:
    """The one result a finished section is remembered by."""
    found = live.results_in(view.document, section.key)
    wanted = {"blower_door", "attic_r", "required_ventilation", "infrared_conditions"}
    return next((result.value for result in found if result.key in wanted), "")


def jump(view: RecordView, section: Section | None = None) -> dict[str, str] | None:
    """The next thing missing, in this section first, and the address that leads there."""
    here = [entry for entry in view.missing if section and entry.section == section.key]
    chosen = next(iter(here or view.missing), None)
    if chosen is None:
        return None
    return {"label": _("Next left: %s") % chosen.label, "url": address_of(view.record.pk, chosen)}


def address_of(record_pk: int, missing: Missing) -> str:
    """Where a missing thing is entered."""
    if missing.item:
        page = reverse("intake:item", args=[record_pk, missing.section, missing.item])
    else:
        page = reverse("intake:section", args=[record_pk, missing.section])
    return f"{page}#{missing.anchor}"


def group_rows(view: RecordView, section: Section) -> list[dict[str, Any]]:
    """The groups of a section with their items and what each has left."""
    part = view.reader.section(section.key)
    rows = []
    for group in section.groups:
        items = [
            {
                "label": item.name,
                "url": reverse("intake:item", args=[view.record.pk, section.key, item.key]),
                "state": _left_of(view, item.key),
                "note": "",
            }
            for item in view.reader.items(group.key)
        ]
        rows.append(
            {
                "group": group,
                "tasks": items,
                "is_asked": bool(group.question) and part.value(group.presence_key) is None,
                "is_none": part.value(group.presence_key) is False,
            }
        )
    return rows


def _left_of(view: RecordView, item_key: str) -> str:
    count = sum(entry.item == item_key for entry in view.missing)
    return left_words(count) if count else _("Done")


def photo_prompts(
    view: RecordView, section: Section, group: Group | None = None, item_key: str = ""
) -> list[dict[str, Any]]:
    """Pictures to take here; those taken already are said so."""
    owner = group if group is not None else section
    part = (
        view.reader.item(group.key, item_key)
        if group is not None
        else view.reader.section(section.key)
    )
    if part is None:
        return []
    missing = {(entry.item, entry.tag) for entry in view.missing_photos}
    return [
        {
            "tag": prompt.tag,
            "words": prompt.words,
            "is_taken": (item_key, prompt.tag) not in missing,
        }
        for prompt in owner.photos
        if view.reader.holds(prompt.when, part)
    ]
