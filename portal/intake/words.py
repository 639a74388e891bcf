"""Values of the sheet in words."""

from typing import Any

from portal.intake import sheet


def choice_words(group_or_section: str, field: str, value: Any) -> str:
    """A chosen value as the sheet shows it; the value itself where the sheet has no such field."""
    holder = sheet.group(group_or_section) or sheet.section(group_or_section)
    found = holder.field(field) if holder is not None else None
    if value is None:
        return ""
    if found is None:
        return str(value)
    return str(found.choices.get(str(value), value))
