"""The field sheet: every section in the order it is shown, and how to find a field.

A field is addressed as ``section.field`` for the whole house and as ``group`` plus ``field`` for
an item of a repeating group. Keys are stored with every value: they are never renamed; a new
meaning gets a new key and ``SHEET_VERSION`` rises.
"""

from portal.intake.sheet import (
    access,
    air_leakage,
    attic,
    barriers,
    combustion,
    ducts,
    dwelling,
    foundation,
    heating_cooling,
    hot_water,
    infrared,
    lighting_appliances,
    openings,
    ventilation,
    visit,
    walls,
)
from portal.intake.sheet.kinds import Field, Group, Kind, PhotoPrompt, Section, Use, When

SHEET_VERSION = 1

SECTIONS: tuple[Section, ...] = (
    visit.SECTION,
    dwelling.SECTION,
    combustion.SECTION,
    air_leakage.SECTION,
    attic.SECTION,
    walls.SECTION,
    foundation.SECTION,
    openings.SECTION,
    heating_cooling.SECTION,
    ducts.SECTION,
    hot_water.SECTION,
    ventilation.SECTION,
    lighting_appliances.SECTION,
    infrared.SECTION,
    barriers.SECTION,
    access.SECTION,
)
_SECTIONS = {section.key: section for section in SECTIONS}
_GROUPS = {group.key: group for section in SECTIONS for group in section.groups}
_SECTION_OF_GROUP = {group.key: section for section in SECTIONS for group in section.groups}


def section(key: str) -> Section | None:
    """The section of this key, if there is one."""
    return _SECTIONS.get(key)


def group(key: str) -> Group | None:
    """The repeating group of this key, if there is one."""
    return _GROUPS.get(key)


def section_of(group_key: str) -> Section:
    """The section a group belongs to. Raises ``KeyError`` for an unknown group."""
    return _SECTION_OF_GROUP[group_key]


def house_field(path: str) -> Field | None:
    """The field of a ``section.field`` path, if there is one."""
    section_key, _, field_key = path.partition(".")
    found = _SECTIONS.get(section_key)
    return found.field(field_key) if found else None


__all__ = [
    "SECTIONS",
    "SHEET_VERSION",
    "Field",
    "Group",
    "Kind",
    "PhotoPrompt",
    "Section",
    "Use",
    "When",
    "group",
    "house_field",
    "section",
    "section_of",
]
