"""Doors out of the heated house: to outdoors, to a garage, to an unheated basement.

Air from a garage brings exhaust and fuel vapor with it: that door is sealed for health first.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import NamedTuple

from calcs.inputs import Door, House
from calcs.leak_places import leak_flows, seal
from calcs.measures.hazards import TIGHTENING
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure
from calcs.unit_factors import M3_PER_S_PER_CFM

# Leak of a door at 50 Pa without weatherstrip, and without a sweep, and what is left of it
# afterwards; and the most of its place's leakage that doors may explain. Common practice, no
# source.
NO_WEATHERSTRIP_M3_PER_S = 45.0 * M3_PER_S_PER_CFM
NO_SWEEP_M3_PER_S = 15.0 * M3_PER_S_PER_CFM
REMOVED = 0.80
MOST_OF_PLACE = 0.5


class _Work(NamedTuple):
    """Sealing of the doors to one kind of space."""

    kind: str
    place: str
    reason_key: str


WORK = {
    "outside": _Work("outside_door_sealing", "windows_doors", "doors_let_air_through"),
    "garage": _Work("garage_door_sealing", "garage_wall", "garage_air_comes_in"),
    "basement": _Work("basement_door_sealing", "foundation", "basement_air_comes_up"),
}


def measures_for(house: House) -> list[Measure]:
    """Weatherstrip and sweeps, as one job for the doors to each kind of space."""
    return [found for space in WORK for found in _sealing(house, space)]


def leaky_doors(house: House, space: str) -> list[Door]:
    """Doors to a space that lack a weatherstrip or a sweep."""
    if space == "basement" and not _has_cold_basement(house):
        return []
    return [
        door
        for door in house.doors
        if door.adjacent_to == space and not (door.is_weatherstripped and door.has_sweep)
    ]


def _has_cold_basement(house: House) -> bool:
    return any(item.kind == "basement" and not item.is_conditioned for item in house.foundations)


def _sealing(house: House, space: str) -> list[Measure]:
    doors = leaky_doors(house, space)
    if not doors:
        return []
    work = WORK[space]
    life = life_of(work.kind)
    return [
        Measure(
            kind=work.kind,
            stage="air_sealing",
            place=work.place,
            quantity=float(len(doors)),
            unit="each",
            life_years=life.years,
            life_source=life.source,
            apply=partial(_seal_doors, space=space),
            blocked_by=TIGHTENING,
            areas=("living_space", "garage" if space == "garage" else "basement"),
            reason_key=work.reason_key,
            facts={
                "door_ids": [door.id for door in doors],
                "flow50_removed_m3_per_s": _removed_m3_per_s(house, space),
            },
        )
    ]


def _place(house: House, space: str) -> str:
    """Where the leak of these doors is counted; with no such place, with the other openings."""
    place = WORK[space].place
    return place if leak_flows(house)[place] > 0.0 else "windows_doors"


def _removed_m3_per_s(house: House, space: str) -> float:
    leak = sum(
        (0.0 if door.is_weatherstripped else NO_WEATHERSTRIP_M3_PER_S)
        + (0.0 if door.has_sweep else NO_SWEEP_M3_PER_S)
        for door in leaky_doors(house, space)
    )
    return min(REMOVED * leak, MOST_OF_PLACE * leak_flows(house)[_place(house, space)])


def _seal_doors(house: House, *, space: str) -> House:
    wanted = {door.id for door in leaky_doors(house, space)}
    place, removed = _place(house, space), _removed_m3_per_s(house, space)
    sealed = house
    if removed > 0.0:
        sealed = seal(house, {place: removed / leak_flows(house)[place]})
    doors = tuple(
        replace(door, is_weatherstripped=True, has_sweep=True) if door.id in wanted else door
        for door in house.doors
    )
    return replace(sealed, doors=doors)
