"""What is looked at before a record is complete: hard findings refuse, soft ones are confirmed."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from portal.intake import boilers, hazards, left, sheet, values
from portal.intake.document import Document, Part, Reader
from portal.intake.live import volume_m3
from portal.intake.live.air import blower_door_results
from portal.intake.live.envelope import infrared_judgment
from portal.intake.sheet.kinds import BURNED_FUELS, LEAD_YEAR
from portal.intake.units_shown import shown, surface
from portal.intake.values import figure

SHARE_TOLERANCE = 0.005
VOLUME_TOLERANCE, ATTIC_TOLERANCE, OPENING_TOLERANCE = 0.10, 0.15, 0.25
WINDOW_SHARE_LOW, WINDOW_SHARE_HIGH = 0.05, 0.40
ACH50_LOW, ACH50_HIGH, ACH50_REFUSED = 1.0, 30.0, 80.0


@dataclass(frozen=True)
class Finding:
    """One thing that stands in the way of "complete", or asks for a reason."""

    key: str
    is_hard: bool
    words: str
    section: str
    item: str = ""
    anchor: str = ""

    def plain(self) -> dict[str, Any]:
        """The finding as plain values."""
        return {
            "key": self.key,
            "is_hard": self.is_hard,
            "words": self.words,
            "section": self.section,
            "item": self.item,
        }


def hard(key: str, words: str, section: str, item: str = "", anchor: str = "") -> Finding:
    """A finding that refuses."""
    return Finding(key, True, words, section, item, anchor)


def soft(key: str, words: str, section: str, item: str = "", anchor: str = "") -> Finding:
    """A finding that asks for a reason."""
    return Finding(key, False, words, section, item, anchor)


def findings(
    document: Document, photos: frozenset[tuple[str, str]] = frozenset()
) -> tuple[Finding, ...]:
    """Everything found, hard ones first. ``photos`` holds (item key or "", tag) of those taken."""
    reader = Reader(document)
    found = [finding for check in _CHECKS for finding in check(reader)]
    found += _photos(reader, photos)
    return tuple(sorted(found, key=lambda finding: not finding.is_hard))


def _left(reader: Reader) -> Iterator[Finding]:
    for missing in left.missing(reader):
        yield hard(
            f"left:{missing.group}:{missing.item}:{missing.field}",
            _("%s is left.") % missing,
            missing.section,
            missing.item,
            missing.anchor,
        )


def _links(reader: Reader) -> Iterator[Finding]:
    groups_of = {item.key: item.group for item in reader.all_items()}
    for item in reader.all_items():
        group = sheet.group(item.group)
        assert group is not None, "items belong to known groups"
        for field in group.fields:
            target = item.value(field.key) if field.links else None
            if target is not None and groups_of.get(target) not in field.links:
                yield hard(
                    f"link:{item.key}:{field.key}",
                    _("%(item)s: “%(label)s” points to something removed.")
                    % {"item": item.name, "label": field.label},
                    sheet.section_of(item.group).key,
                    item.key,
                    f"id_{field.key}",
                )


def _odd_values(reader: Reader) -> Iterator[Finding]:
    """Values beyond a soft limit that came in by a file and were not confirmed."""
    parts: list[tuple[str, Part, tuple[sheet.Field, ...]]] = [
        (section.key, reader.section(section.key), section.all_fields) for section in sheet.SECTIONS
    ]
    for item in reader.all_items():
        group = sheet.group(item.group)
        assert group is not None, "items belong to known groups"
        parts.append((sheet.section_of(item.group).key, item, group.fields))
    for section_key, part, fields in parts:
        for field in fields:
            entry = part.entry(field.key)
            if entry is None or not field.is_number or entry.get("confirmed"):
                continue
            typed = entry.get("typed", entry.get("value"))
            if typed is None or entry.get("over_range"):
                continue
            checked = values.check(field, values.Raw(typed=typed, unit=entry.get("unit", "")))
            if checked.question:
                words = f"{part.name}: {checked.question}" if part.name else checked.question
                yield soft(
                    f"odd:{section_key}:{part.key if part.group else ''}:{field.key}",
                    words, section_key, part.key if part.group else "", f"id_{field.key}",
                )  # fmt: skip


def _consent(reader: Reader) -> Iterator[Finding]:
    if reader.value("visit.consent") == "refused":
        yield hard("consent", _("Consent was refused."), "visit", anchor="id_consent")
    if reader.value("visit.instruments_calibrated") is False:
        yield soft(
            "calibration", _("An instrument was calibrated more than 12 months ago."), "visit"
        )


def _dwelling(reader: Reader) -> Iterator[Finding]:
    entered = reader.si("dwelling.volume")
    area, height = reader.si("dwelling.floor_area"), reader.si("dwelling.ceiling_height")
    if entered is not None and area is not None and height is not None:
        worked_out = area * height
        if abs(entered - worked_out) > VOLUME_TOLERANCE * worked_out:
            yield soft(
                "volume",
                _("Heated volume %(entered)s ft³ is more than 10%% from area times height, "
                  "%(worked)s ft³.")
                % {
                    "entered": shown(entered, "m3", "ft³"),
                    "worked": shown(worked_out, "m3", "ft³"),
                },
                "dwelling", anchor="id_volume",
            )  # fmt: skip
    year, lead = reader.value("dwelling.year_built"), reader.value("dwelling.lead_paint")
    if year is not None and year < LEAD_YEAR and lead == "newer_house":
        yield hard(
            "lead",
            _("Lead paint: the house was built in %d, before 1978.") % year,
            "dwelling", anchor="id_lead_paint",
        )  # fmt: skip
    moved = reader.value("dwelling.moved_in_year")
    if moved is not None and year is not None and moved < year:
        yield soft("moved_in", _("They moved in before the house was built."), "dwelling")


def _envelope(reader: Reader) -> Iterator[Finding]:
    attics = [item.si("area") for item in reader.items("attics")]
    length, width = reader.si("dwelling.footprint_length"), reader.si("dwelling.footprint_width")
    total = sum(area for area in attics if area is not None)
    if attics and None not in attics and length is not None and width is not None:
        footprint = length * width
        if abs(total - footprint) > ATTIC_TOLERANCE * footprint:
            yield soft(
                "attic_area",
                _("Attics add to %(total)s ft², the footprint is %(footprint)s ft².")
                % {
                    "total": shown(total, "m2", "ft²"),
                    "footprint": shown(footprint, "m2", "ft²"),
                },
                "attic",
            )
    yield from _glass(reader)


def _glass(reader: Reader) -> Iterator[Finding]:
    outside = [item for item in reader.items("walls") if item.value("adjacent_to") == "outside"]
    gross = sum(item.si("gross_area") or 0.0 for item in outside)
    openings = sum(item.si("opening_area") or 0.0 for item in outside)
    glass = sum(
        (item.si("area_each") or 0.0) * (item.value("count") or 0)
        for item in reader.items("windows")
        if item.value("placement") != "roof"
    )
    doors = sum(
        item.si("area") or 0.0
        for item in reader.items("doors")
        if item.value("adjacent_to") == "outside"
    )
    if gross <= 0.0:
        return
    share = glass / gross
    if not WINDOW_SHARE_LOW <= share <= WINDOW_SHARE_HIGH:
        yield soft(
            "window_share",
            _("Windows are %(share)s%% of the outside walls; 5 to 40%% is usual.")
            % {"share": figure(round(100.0 * share, 1))},
            "openings",
        )
    if abs(openings - glass - doors) > OPENING_TOLERANCE * max(glass + doors, 1.0):
        yield soft(
            "openings",
            _("Openings in the walls add to %(walls)s ft², windows and doors to %(listed)s ft².")
            % {"walls": shown(openings, "m2", "ft²"), "listed": shown(glass + doors, "m2", "ft²")},
            "walls",
        )


def _air(reader: Reader) -> Iterator[Finding]:
    part = reader.section("air_leakage")
    if part.value("blower_door") == "done":
        yield from _fan_was_safe(reader)
        for field, words in (
            ("appliances_back_on", _("Burners and pilots are not confirmed back in service.")),
            ("fans_back_on", _("Fans, dampers and doors are not as they were.")),
        ):
            if part.value(field) is False:
                yield hard(field, words, "air_leakage", anchor=f"id_{field}")
    points: dict[str, int] = {}
    for point in reader.items("blower_door_points"):
        key = point.value("test") or ""
        points[key] = points.get(key, 0) + 1
    for test in reader.items("blower_door_tests"):
        if test.value("method") == "multi_point" and points.get(test.key, 0) < 3:
            yield hard(
                f"points:{test.key}",
                _("%s: a test of several readings needs at least three.") % test.name,
                "air_leakage", test.key,
            )  # fmt: skip
        if len(test.chosen("setup")) < 7:
            yield soft(
                f"setup:{test.key}",
                _("%s: the set-up list is not complete.") % test.name,
                "air_leakage", test.key, "id_setup",
            )  # fmt: skip
    for test, found in blower_door_results(reader):
        ach50 = found.ach50_per_h
        words = _("%(test)s: %(ach)s air changes an hour at 50 Pa.") % {
            "test": test.name,
            "ach": figure(round(ach50, 2)),
        }
        if ach50 > ACH50_REFUSED:
            yield hard(f"ach50:{test.key}", words, "air_leakage", test.key, "id_flow")
        elif not ACH50_LOW <= ach50 <= ACH50_HIGH:
            yield soft(f"ach50:{test.key}", words, "air_leakage", test.key, "id_flow")
        if not found.is_valid:
            yield soft(
                f"invalid:{test.key}",
                _("%s: the readings do not make a valid test. Repeat it, or say why not.")
                % test.name,
                "air_leakage", test.key,
            )  # fmt: skip


def _fan_was_safe(reader: Reader) -> Iterator[Finding]:
    """The fan must not have run over vermiculite, loose asbestos or embers.

    Where it has, the record is completed only with what was then done about it.
    """
    has_vermiculite = any(
        hazard.kind in ("vermiculite", "friable_asbestos")
        for hazard in hazards.find(dict(reader.document))
    )
    if has_vermiculite and not _has_incident(reader, ("vermiculite", "asbestos")):
        yield hard(
            "fan_and_vermiculite",
            _("Vermiculite or asbestos is suspected: the blower door must not be run. If it was "
              "run, record it under hazards as “stop now”, with what was done."),
            "air_leakage", anchor="id_blower_door",
        )  # fmt: skip
    for hearth in reader.items("fireplaces"):
        if hearth.value("embers_present") is True and not _has_incident(reader, ()):
            yield hard(
                f"fan_and_fire:{hearth.key}",
                _("%s: with embers or a fire the blower door must not be run. If it was run, "
                  "record it under hazards as “stop now”, with what was done.") % hearth.name,
                "air_leakage", anchor="id_blower_door",
            )  # fmt: skip


def _has_incident(reader: Reader, kinds: tuple[str, ...]) -> bool:
    """Whether a "stop now" hazard is recorded with what was done; of these kinds, if named."""
    return any(
        barrier.value("severity") == "stop_now"
        and bool(barrier.value("incident"))
        and (not kinds or barrier.value("kind") in kinds)
        for barrier in reader.items("barriers")
    )


def _combustion(reader: Reader) -> Iterator[Finding]:
    if reader.section("combustion").absence("co_living_max"):
        yield hard(
            "ambient_co", _("CO in the rooms must be measured; it cannot be left out."),
            "combustion", anchor="id_co_living_max",
        )  # fmt: skip
    for zone in reader.items("combustion_zones"):
        if zone.si("worst_case") is not None and zone.si("baseline") is None:
            yield hard(
                f"baseline:{zone.key}",
                _("%s: the worst case needs its baseline.") % zone.name,
                "combustion", zone.key, "id_baseline",
            )  # fmt: skip
    for burner in reader.items("combustion_appliances"):
        yield from _burner(reader, burner)
    yield from _every_burner_has_a_record(reader)


def _burner(reader: Reader, burner: Part) -> Iterator[Finding]:
    measured, shown_free = burner.si("co_measured"), burner.si("co_air_free")
    if measured is not None and shown_free is not None and shown_free < measured:
        yield hard(
            f"air_free:{burner.key}",
            _("%s: air-free CO cannot be below CO as read.") % burner.name,
            "combustion", burner.key, "id_co_air_free",
        )  # fmt: skip
    if burner.value("back_in_service") is False:
        yield hard(
            f"in_service:{burner.key}",
            _("%s: not confirmed back in service. Prove the flame, or record it as shut off.")
            % burner.name,
            "combustion", burner.key, "id_back_in_service",
        )  # fmt: skip
    if burner.value("occupant_told") is False:
        yield hard(
            f"told:{burner.key}",
            _("%s: tell the people in the house what was found.") % burner.name,
            "combustion", burner.key, "id_occupant_told",
        )  # fmt: skip
    if burner.value("vent") in ("atmospheric", "atmospheric_damper"):
        zone = reader.item("combustion_zones", burner.value("zone") or "")
        tested = zone.value("tested") if zone is not None else None
        if tested not in ("done", "not_done"):
            yield hard(
                f"zone:{burner.key}",
                _("%s draws by natural draft: its room needs a worst-case test, or a reason.")
                % burner.name,
                "combustion", burner.key, "id_zone",
            )  # fmt: skip


def _every_burner_has_a_record(reader: Reader) -> Iterator[Finding]:
    burners = reader.items("combustion_appliances")
    linked = {burner.value("system") for burner in burners}
    kinds = {burner.value("kind") for burner in burners}
    for group in ("heating_systems", "water_heaters"):
        for system in reader.items(group):
            is_indirect = system.value("kind") in ("boiler_coil", "indirect_tank")
            burns = system.value("fuel") in BURNED_FUELS and not is_indirect
            if burns and system.key not in linked:
                yield hard(
                    f"burner:{system.key}",
                    _("%s burns fuel and has no record among the burners.") % system.name,
                    "combustion", anchor="group-combustion_appliances",
                )  # fmt: skip
    wanted = [
        ("lighting_appliances.cooking_fuel", {"range_top_burner", "oven"}, _("The range")),
        ("lighting_appliances.dryer_fuel", {"clothes_dryer"}, _("The clothes dryer")),
    ]
    for path, names, words in wanted:
        if reader.value(path) in BURNED_FUELS and not kinds & names:
            yield hard(
                f"burner:{path}",
                _("%s burns fuel and has no record among the burners.") % words,
                "combustion", anchor="group-combustion_appliances",
            )  # fmt: skip
    hearths = {
        "gas_logs": {"gas_log_set"}, "gas_fireplace": {"gas_fireplace"},
        "wood_stove": {"solid_fuel"}, "pellet_stove": {"solid_fuel"},
    }  # fmt: skip
    for hearth in reader.items("fireplaces"):
        names = hearths.get(hearth.value("kind") or "", set())
        if names and hearth.value("in_use") and not kinds & names:
            yield hard(
                f"burner:{hearth.key}",
                _("%s burns fuel and has no record among the burners.") % hearth.name,
                "combustion", anchor="group-combustion_appliances",
            )  # fmt: skip


def _stops(reader: Reader) -> Iterator[Finding]:
    """A "stop now" hazard is not left without what was done about it."""
    for hazard in hazards.find(dict(reader.document)):
        if hazard.severity != hazards.STOP_NOW:
            continue
        burner = reader.item("combustion_appliances", hazard.item)
        leak = reader.item("gas_leaks", hazard.item)
        is_answered = (
            (burner is not None and bool(burner.value("action_words")))
            or (leak is not None and bool(leak.value("reference")))
            or _has_incident(reader, ())
        )
        if not is_answered:
            yield hard(
                f"stop:{hazard.key}",
                _("%(where)s: %(words)s Record what was done, when, and who was called.")
                % {"where": hazard.where, "words": hazard.words},
                "combustion" if burner is not None else "barriers",
                hazard.item,
            )


def _systems(reader: Reader) -> Iterator[Finding]:
    groups = (
        ("heating_systems", "heating_cooling", _("Heating shares")),
        ("cooling_systems", "heating_cooling", _("Cooling shares")),
        ("water_heaters", "hot_water", _("Hot-water shares")),
    )
    for group, section, words in groups:
        shares = [item.si("load_share") for item in reader.items(group)]
        total = sum(share for share in shares if share is not None)
        if shares and None not in shares and abs(total - 1.0) > SHARE_TOLERANCE:
            yield soft(
                f"shares:{group}",
                _("%(what)s add to %(total)s%%, not 100%%.")
                % {"what": words, "total": figure(round(100.0 * total, 1))},
                section,
            )
    for system in reader.items("heating_systems"):
        if wrong := boilers.impossible(system):
            yield hard(f"steam:{system.key}", wrong.words, "heating_cooling", system.key,
                       f"id_{wrong.field}")  # fmt: skip
    visit = str(reader.value("visit.visit_date") or "")[:4]
    for item in reader.all_items():
        year = item.value("year")
        section = sheet.section_of(item.group).key
        if year is not None and visit and year > int(visit):
            yield hard(
                f"year:{item.key}",
                _("%(item)s: made in %(year)d, after the visit.")
                % {"item": item.name, "year": year},
                section, item.key, "id_year",
            )  # fmt: skip
        output, given = item.si("output"), item.si("input")
        if output is not None and given is not None and output > given:
            yield soft(
                f"output:{item.key}",
                _("%(item)s: output %(output)s Btu/h is more than input %(input)s Btu/h.")
                % {
                    "item": item.name,
                    "output": figure(round(surface(output, "W", "Btu/h"))),
                    "input": figure(round(surface(given, "W", "Btu/h"))),
                },
                section, item.key, "id_output",
            )  # fmt: skip


def _infrared(reader: Reader) -> Iterator[Finding]:
    judgment = infrared_judgment(reader)
    if judgment is None or judgment.is_conclusive:
        return
    for finding in reader.items("infrared_findings"):
        is_insulation = finding.value("pattern") in ("missing_insulation", "settled_insulation")
        if is_insulation and finding.value("confirmed_by") == "none":
            yield hard(
                f"infrared:{finding.key}",
                _("%s: under these conditions the picture cannot be the only evidence.")
                % finding.name,
                "infrared", finding.key, "id_confirmed_by",
            )  # fmt: skip


def _size(reader: Reader) -> Iterator[Finding]:
    if reader.value("air_leakage.blower_door") == "done" and volume_m3(reader) is None:
        yield hard(
            "no_volume", _("Without floor area and ceiling height no air change is known."),
            "dwelling", anchor="id_floor_area",
        )  # fmt: skip


def _photos(reader: Reader, taken: frozenset[tuple[str, str]]) -> Iterator[Finding]:
    missing = left.missing_photos(reader, taken)
    if missing and reader.value("visit.photo_consent") is not False:
        names = "; ".join(str(entry) for entry in missing[:6])
        words = ngettext(
            "%(count)d photo of the set is missing: %(names)s.",
            "%(count)d photos of the set are missing: %(names)s.",
            len(missing),
        ) % {"count": len(missing), "names": names + (" …" if len(missing) > 6 else "")}
        yield soft("photos", words, missing[0].section)


_CHECKS = (
    _left,
    _links,
    _consent,
    _dwelling,
    _size,
    _envelope,
    _air,
    _combustion,
    _stops,
    _systems,
    _infrared,
    _odd_values,
)
