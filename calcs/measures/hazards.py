"""Open hazards and which measures they stop, as data.

A hazard is open until somebody who may do so has cleared it with evidence; the numbers here only
read that. The list of what stops what is the usual one of weatherization practice (memory); local
codes and the program's rules can only add to it.
"""

from __future__ import annotations

from dataclasses import dataclass

from calcs.records import Checked, choice

HAZARD_KINDS = (
    "carbon_monoxide",
    "spillage",
    "weak_draft",
    "depressurization",
    "gas_leak",
    "unvented_heater",
    "vermiculite",
    "friable_asbestos",
    "knob_and_tube",
    "electrical",
    "moisture",
    "active_leak",
    "structural",
    "flue_clearance",
    "single_wall_flue",
    "unsafe_conditions",
)
AREAS = ("attic", "walls", "crawlspace", "basement", "garage", "living_space", "roof")


@dataclass(frozen=True, kw_only=True)
class OpenHazard(Checked):
    """A hazard not yet cleared. An empty place counts as everywhere: the stricter reading."""

    kind: str = choice(HAZARD_KINDS)
    place: str = choice(("", *AREAS), default="")


# Combustion faults stop whatever makes the house tighter or changes its pressures.
COMBUSTION = (
    "carbon_monoxide",
    "spillage",
    "weak_draft",
    "depressurization",
    "gas_leak",
    "unvented_heater",
)
EVERYTHING = ("gas_leak", "unsafe_conditions")
DISTURBED_DUST = ("vermiculite", "friable_asbestos")
WETNESS = ("moisture", "active_leak")

TIGHTENING = COMBUSTION + DISTURBED_DUST + ("unsafe_conditions", "structural")
ATTIC_WORK = (
    COMBUSTION
    + DISTURBED_DUST
    + WETNESS
    + (
        "knob_and_tube",
        "electrical",
        "structural",
        "flue_clearance",
        "single_wall_flue",
        "unsafe_conditions",
    )
)
WALL_WORK = (
    COMBUSTION + DISTURBED_DUST + WETNESS + ("knob_and_tube", "electrical", "unsafe_conditions")
)
UNDERFLOOR_WORK = (
    COMBUSTION
    + DISTURBED_DUST
    + WETNESS
    + ("knob_and_tube", "electrical", "structural", "unsafe_conditions")
)

# These act on the whole house wherever they were found.
_HOUSE_WIDE = frozenset((*COMBUSTION, "unsafe_conditions", "vermiculite"))


def stopping(
    hazards: tuple[OpenHazard, ...], kinds: tuple[str, ...], areas: tuple[str, ...]
) -> tuple[str, ...]:
    """Kinds of open hazard that stop a measure which works in `areas`, in order, once each."""
    found = [
        item.kind
        for item in hazards
        if item.kind in kinds
        and (item.kind in _HOUSE_WIDE or not item.place or item.place in areas)
    ]
    return tuple(dict.fromkeys(found))
