"""The sheet's own words for values, so that every page says them alike."""

from typing import Any

from portal.intake import sheet
from portal.intake.sheet.kinds import Field


def field_of(owner: str, key: str) -> Field | None:
    """The field of a group, or of a section when no group has that key."""
    group = sheet.group(owner)
    found = group.field(key) if group is not None else None
    return found or sheet.house_field(f"{owner}.{key}")


def label_words(owner: str, key: str) -> str:
    """The label of a field; its key where the sheet has no such field."""
    found = field_of(owner, key)
    return str(found.label) if found is not None else key


def choice_words(owner: str, key: str, value: Any) -> str:
    """The words of a chosen value; empty for none, the value itself where it is not in the list."""
    if value is None:
        return ""
    found = field_of(owner, key)
    if found is None or value not in found.choices:
        return str(value)
    return str(found.choices[value])
