"""Reading HPXML, the open home-performance data standard, versions 3 to 5.

The audit building is read, whatever its position; proposals and completions are named and left
alone. Every value goes through the sheet's own checks; what is not read is listed.
"""

from django.utils.translation import gettext as _
from lxml import etree

from portal.intake import sheet
from portal.intake.hpxml import enclosure, safety, summary, systems
from portal.intake.hpxml.parse import Parsed, event_of, name_of, parse, place
from portal.intake.hpxml.source import Source
from portal.intake.uploads.reading import Fault, Reading, UploadRefused, check_links


def read(content: bytes, *, name: str = "") -> Reading:
    """Read the audit building of an HPXML file; no database is needed.

    Raises
    ------
    UploadRefused
        With line or element and reason; nothing of such a file is used.
    """
    parsed = parse(content, name=name)
    reading = Reading(kind="hpxml")
    reading.skipped += parsed.notes
    reading.about.append(_("HPXML version %s.") % parsed.schema_version)
    source = Source(parsed, _audit_building(parsed, reading, name), reading)
    details = source.find(source.building, "BuildingDetails")
    if details is None:
        raise UploadRefused(
            [Fault(place(source.building), _("The audit building has no details."))], name=name
        )
    _read_building(source)
    faults = [*source.faults, *check_links(reading)]
    if faults:
        raise UploadRefused(faults, name=name)
    _say_present(reading)
    source.list_unread()
    return reading


def _audit_building(parsed: Parsed, reading: Reading, name: str) -> etree._Element:
    audits: list[tuple[etree._Element, str]] = []
    others: list[tuple[etree._Element, str]] = []
    for building in parsed.root:
        if name_of(building) != "Building":
            continue
        words = event_of(building, parsed.namespace)
        (audits if words == "audit" else others).append((building, words))
    if len(audits) != 1:
        why = (
            _("There is no building recorded as an audit.")
            if not audits
            else _("There are %d buildings recorded as an audit; send one at a time.") % len(audits)
        )
        raise UploadRefused([Fault("Building/ProjectStatus/EventType", why)], name=name)
    for building, words in others:
        reading.skipped.append(
            Fault(place(building), _("Not read: this building is “%s”, not the audit.") % words)
        )
    counts: dict[str, int] = {}
    for element in parsed.root:
        counts[name_of(element)] = counts.get(name_of(element), 0) + 1
    for part in ("Project", "Consumption", "Utility"):
        if part in counts:
            reading.skipped.append(
                Fault(part, _("Not read: %d of them. Bills and projects come in elsewhere.")
                      % counts[part])
            )  # fmt: skip
    return audits[0][0]


def _read_building(source: Source) -> None:
    details = source.find(source.building, "BuildingDetails")
    assert details is not None, "asked before"
    summary.read_summary(source, details)
    inside = source.find(details, "Enclosure")
    if inside is not None:
        summary.read_leakage(source, inside)
        enclosure.read_attics(source, inside)
        enclosure.read_walls(source, inside)
        enclosure.read_foundations(source, inside)
        enclosure.read_windows(source, inside)
        enclosure.read_doors(source, inside)
    plant = source.find(details, "Systems")
    if plant is not None:
        systems.read_plant(source, plant)
        systems.read_ducts(source, plant)
        systems.read_fans(source, plant)
        systems.read_water_heaters(source, plant)
    systems.read_lamps_and_appliances(source, details)
    safety.read_safety(source, details)


def _say_present(reading: Reading) -> None:
    """The sheet's own question whether there are any, answered for what the file has."""
    from portal.intake.values import Raw

    for key in {item.group for item in reading.items}:
        group = sheet.group(key)
        if group is not None and group.question:
            section = sheet.section_of(key).key
            reading.put(section, group.presence_key, Raw(typed=True, how="document"), where=key)


__all__ = ["read"]
