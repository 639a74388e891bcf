"""What is left to record: by section, by item, and the next thing to jump to."""

from collections.abc import Iterator
from dataclasses import dataclass

from portal.intake import sheet
from portal.intake.document import Part, Reader
from portal.intake.sheet.kinds import Field, Group, Section, Use, Words


@dataclass(frozen=True)
class Missing:
    """One thing not recorded yet. ``group`` alone means that an item is missing."""

    section: str
    field: str
    label: Words
    group: str = ""
    item: str = ""
    item_name: str = ""

    @property
    def anchor(self) -> str:
        """Where on the section's page to jump to."""
        return f"id_{self.field}" if self.field else f"group-{self.group}"

    def __str__(self) -> str:
        return f"{self.item_name}: {self.label}" if self.item_name else str(self.label)


@dataclass(frozen=True)
class MissingPhoto:
    """A picture of the minimum set that has not been taken."""

    section: str
    tag: str
    words: Words
    group: str = ""
    item: str = ""
    item_name: str = ""

    def __str__(self) -> str:
        return f"{self.item_name}: {self.words}" if self.item_name else str(self.words)


def is_needed(field: Field, reader: Reader, part: Part) -> bool:
    """Whether the record cannot be completed without this field."""
    if field.use is Use.REQUIRED:
        return True
    return field.use is Use.CONDITIONAL and reader.holds(field.when, part)


def applies(field: Field, reader: Reader, part: Part) -> bool:
    """Whether the field has a place on the page now: its condition holds, or it is filled."""
    return part.has(field.key) or reader.holds(field.when, part)


def missing_in(section: Section, reader: Reader) -> tuple[Missing, ...]:
    """Everything not recorded in a section, in the order of its page."""
    return tuple(_missing_in(section, reader))


def _missing_in(section: Section, reader: Reader) -> Iterator[Missing]:
    part = reader.section(section.key)
    for field in section.all_fields:
        if is_needed(field, reader, part) and not part.has(field.key):
            yield Missing(section.key, field.key, field.label)
    for group in section.groups:
        items = reader.items(group.key)
        if not items and _wants_item(group, reader, part):
            yield Missing(section.key, "", group.one, group=group.key)
        for item in items:
            for field in group.fields:
                if is_needed(field, reader, item) and not item.has(field.key):
                    yield Missing(
                        section.key,
                        field.key,
                        field.label,
                        group=group.key,
                        item=item.key,
                        item_name=item.name,
                    )


def _wants_item(group: Group, reader: Reader, part: Part) -> bool:
    if group.question:
        return part.value(group.presence_key) is True
    return group.least > 0 and reader.holds(group.when, part)


def missing(reader: Reader) -> tuple[Missing, ...]:
    """Everything not recorded in the whole record."""
    return tuple(entry for section in sheet.SECTIONS for entry in _missing_in(section, reader))


def missing_photos(reader: Reader, taken: frozenset[tuple[str, str]]) -> tuple[MissingPhoto, ...]:
    """Pictures of the minimum set not taken. ``taken`` holds (item key or "", tag)."""
    return tuple(_missing_photos(reader, taken))


def _missing_photos(reader: Reader, taken: frozenset[tuple[str, str]]) -> Iterator[MissingPhoto]:
    for section in sheet.SECTIONS:
        part = reader.section(section.key)
        for prompt in section.photos:
            if reader.holds(prompt.when, part) and ("", prompt.tag) not in taken:
                yield MissingPhoto(section.key, prompt.tag, prompt.words)
        for group in section.groups:
            for item in reader.items(group.key):
                for prompt in group.photos:
                    if reader.holds(prompt.when, item) and (item.key, prompt.tag) not in taken:
                        yield MissingPhoto(
                            section.key,
                            prompt.tag,
                            prompt.words,
                            group=group.key,
                            item=item.key,
                            item_name=item.name,
                        )
