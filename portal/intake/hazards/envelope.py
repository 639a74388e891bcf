"""Hazards in attics, walls and under the floor."""

from collections.abc import Iterator

from django.utils.translation import gettext as _

from portal.intake.document import Part, Reader
from portal.intake.hazards.base import (
    ATTIC,
    BELOW,
    FIX_FIRST,
    MASONRY_CODE,
    PRACTICE,
    SEALING,
    WALLS,
    WEATHERIZATION,
    WITH_CARE,
    Hazard,
    hazard_of,
)
from portal.intake.sheet.kinds import Words


def of_attics(reader: Reader) -> Iterator[Hazard]:
    for attic in reader.items("attics"):
        yield from _attic(attic)


def _attic(attic: Part) -> Iterator[Hazard]:
    def hazard(
        kind: str, severity: str, words: str, blocks: tuple[str, ...], who: str, source: Words
    ) -> Hazard:
        return hazard_of(
            kind, severity, attic.name, words, blocks, who, source,
            section="attic", place="attic", part=attic,
        )  # fmt: skip

    is_vermiculite = "vermiculite" in (
        attic.value("layer1_material"),
        attic.value("layer2_material"),
    )
    if is_vermiculite or attic.value("vermiculite") == "yes":
        yield hazard(
            "vermiculite", FIX_FIRST,
            _("Vermiculite suspected. Do not move it, and do not run the blower door. Treat it "
              "as asbestos until a laboratory says otherwise."),
            (*ATTIC, *SEALING, "blower_door"), _("Accredited asbestos firm"), WEATHERIZATION,
        )  # fmt: skip
    if attic.value("knob_and_tube") == "yes":
        yield hazard(
            "knob_and_tube", FIX_FIRST,
            _("Knob-and-tube wiring. No insulation touches it until an electrician has "
              "certified it dead or replaced it."),
            ATTIC, _("Licensed electrician"), WEATHERIZATION,
        )  # fmt: skip
    unrated = (attic.value("recessed_lights") or 0) - (attic.value("recessed_contact_rated") or 0)
    if unrated > 0:
        yield hazard(
            "unrated_lights", WITH_CARE,
            _("%d recessed lights are not known to be rated for contact. Keep 3 in. clear, with "
              "dams, or replace them.") % unrated,
            (), _("Insulation contractor"), PRACTICE,
        )  # fmt: skip
    flue, clearance = attic.value("flue_kind"), attic.si("flue_clearance")
    if flue == "single_wall":
        yield hazard(
            "single_wall_flue", FIX_FIRST,
            _("Single-wall flue in the attic. It is replaced before any work there."),
            ATTIC, _("Licensed heating contractor"), PRACTICE,
        )  # fmt: skip
    if flue == "masonry" and clearance is not None and clearance < 2 * 0.0254:
        yield hazard(
            "flue_clearance", FIX_FIRST,
            _("Less than 2 in. between the chimney and wood. No insulation or foam there until "
              "it is put right with metal and fire-rated sealant."),
            ATTIC, _("Licensed contractor"), MASONRY_CODE,
        )  # fmt: skip
    if flue in ("b_vent", "factory_built") and clearance is not None and clearance < 0.0254:
        yield hazard(
            "flue_clearance", FIX_FIRST,
            _("Less than 1 in. clear around the flue, or less than its listing asks."),
            ATTIC, _("Licensed heating contractor"), PRACTICE,
        )  # fmt: skip
    if attic.value("moisture") == "active_leak":
        yield hazard(
            "active_leak", FIX_FIRST, _("Active roof leak. It is repaired and dry first."),
            ATTIC, _("Roofer"), PRACTICE,
        )  # fmt: skip
    if attic.value("floor_safe") == "no":
        yield hazard(
            "structural", FIX_FIRST, _("Unsafe attic floor or framing."), ATTIC,
            _("Licensed contractor"), PRACTICE,
        )  # fmt: skip
    if attic.chosen("exhaust_ends_here"):
        yield hazard(
            "exhaust_into_attic", WITH_CARE,
            _("A fan or dryer ends in the attic. It is taken outside with the attic work."),
            (), _("Insulation contractor"), PRACTICE,
        )  # fmt: skip


def of_walls(reader: Reader) -> Iterator[Hazard]:
    year = reader.value("dwelling.year_built")
    for wall in reader.items("walls"):
        wiring = wall.value("wiring")
        # Unknown wiring counts as live old wiring where the house is old enough for it.
        is_old = year is None or year < 1950
        if wiring == "knob_and_tube" or (wiring == "unknown" and is_old):
            yield hazard_of(
                "knob_and_tube",
                FIX_FIRST,
                wall.name,
                _("Knob-and-tube wiring in the wall, or not known. It is not filled until an "
                  "electrician has certified it."),
                WALLS,
                _("Licensed electrician"),
                WEATHERIZATION,
                section="walls",
                place="walls",
                part=wall,
            )  # fmt: skip
        if wall.value("siding") == "asbestos_cement":
            yield hazard_of(
                "asbestos_siding",
                WITH_CARE,
                wall.name,
                _("Siding may hold asbestos. It is not drilled or cut; work from inside."),
                (),
                _("Insulation contractor"),
                WEATHERIZATION,
                section="walls",
                place="walls",
                part=wall,
            )


def of_foundations(reader: Reader) -> Iterator[Hazard]:
    for part in reader.items("foundations"):
        place = "basement" if part.value("kind") == "basement" else "crawlspace"

        def hazard(
            kind: str, words: str, who: str, source: Words, part: Part = part, place: str = place
        ) -> Hazard:
            return hazard_of(
                kind, FIX_FIRST, part.name, words, BELOW, who, source,
                section="foundation", place=place, part=part,
            )  # fmt: skip

        seen = part.chosen("wiring_or_asbestos")
        if "standing" in part.chosen("water"):
            yield hazard("moisture", _("Standing water. It is drained and kept out first."),
                         _("Drainage contractor"), PRACTICE)  # fmt: skip
        if "knob_and_tube" in seen:
            yield hazard("knob_and_tube", _("Knob-and-tube wiring below the floor."),
                         _("Licensed electrician"), WEATHERIZATION)  # fmt: skip
        if "pipe_wrap" in seen:
            yield hazard("friable_asbestos", _("Pipe wrap that may be asbestos. Do not touch it."),
                         _("Accredited asbestos firm"), WEATHERIZATION)  # fmt: skip
        if "rot" in seen:
            yield hazard("structural", _("Rot or sagging floor framing."),
                         _("Licensed contractor"), PRACTICE)  # fmt: skip
        if "sewage" in seen or "pests" in seen:
            yield hazard("pests", _("Droppings, pests or sewage. It is cleaned first."),
                         _("The owner, with a cleaning firm"), PRACTICE)  # fmt: skip
