"""Hazards the auditor named."""

from collections.abc import Iterator

from django.utils.translation import gettext as _

from portal.intake.document import Reader
from portal.intake.hazards.base import (
    ALL_WORK,
    ATTIC,
    FIX_FIRST,
    INSULATING,
    PRACTICE,
    SEALING,
    STOP_NOW,
    TIGHTENING,
    WALLS,
    Hazard,
    hazard_of,
)
from portal.intake.sheet.barriers import BARRIER_KINDS

# Kind the auditor chose: kind here, and what it blocks.
SEEN = {
    "knob_and_tube": ("knob_and_tube", (*ATTIC, *WALLS)),
    "vermiculite": ("vermiculite", (*ATTIC, *SEALING, "blower_door")),
    "asbestos": ("friable_asbestos", (*ATTIC, *SEALING, "blower_door")),
    "mold": ("moisture", TIGHTENING),
    "lead_paint": ("lead_paint", ()),
    "gas_leak": ("gas_leak", ALL_WORK),
    "carbon_monoxide": ("carbon_monoxide", TIGHTENING),
    "bad_vent": ("spillage", TIGHTENING),
    "structure": ("structural", INSULATING),
    "roof_leak": ("active_leak", ATTIC),
    "plumbing_leak": ("active_leak", INSULATING),
    "unvented_heater": ("unvented_heater", TIGHTENING),
    "radon": ("radon", ()),
    "electrical": (
        "electrical",
        (*ATTIC, *WALLS, "heat_pump", "heat_pump_water_heater", "bath_fan"),
    ),
    "pests": ("pests", INSULATING),
    "sewage": ("pests", INSULATING),
    "clutter": ("unsafe_conditions", ALL_WORK),
    "unfinished_work": ("unsafe_conditions", ALL_WORK),
    "occupant_health": ("unsafe_conditions", ALL_WORK),
    "unsafe_conditions": ("unsafe_conditions", ALL_WORK),
}
PLACE_OF = {"attic": "attic", "walls": "walls", "foundation": "crawlspace",
            "rooms": "living_space", "whole_house": ""}  # fmt: skip


def of_seen(reader: Reader) -> Iterator[Hazard]:
    for barrier in reader.items("barriers"):
        chosen, severity = barrier.value("kind"), barrier.value("severity") or FIX_FIRST
        if chosen not in SEEN:
            continue
        kind, blocks = SEEN[chosen]
        extent = barrier.value("extent")
        words = f"{BARRIER_KINDS[chosen]}. {extent}" if extent else f"{BARRIER_KINDS[chosen]}."
        yield hazard_of(
            kind,
            severity,
            barrier.value("location") or barrier.name,
            words,
            blocks if severity in (STOP_NOW, FIX_FIRST) else (),
            _("A licensed trade, as the program says"),
            PRACTICE,
            section="barriers",
            place=PLACE_OF.get(barrier.value("where_in_house") or "", ""),
            part=barrier,
        )
