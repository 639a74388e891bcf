"""Every measure that applies to a house, in the order of work."""

from __future__ import annotations

from calcs.inputs import House
from calcs.measures import (
    air_sealing,
    attic,
    attic_sealing,
    baseload,
    doors,
    ducts,
    floors,
    hearths,
    heating,
    hot_water,
    repairs,
    steam,
    ventilation,
    walls,
    windows,
)
from calcs.measures.measure import STAGES, Measure


def measures_for(house: House, *, year: int) -> list[Measure]:
    """Measures of this house; nothing is offered for what is not there.

    `year` is the year of the work, from which ages are counted. The whole-house fan is not in this
    list: it is needed or not by what the others do.
    """
    found = [
        *repairs.measures_for(house),
        *floors.measures_for(house),
        *attic_sealing.measures_for(house),
        *hearths.measures_for(house),
        *doors.measures_for(house),
        *air_sealing.measures_for(house),
        *attic.measures_for(house),
        *walls.measures_for(house),
        *windows.measures_for(house),
        *ducts.measures_for(house),
        *heating.measures_for(house, year=year),
        *steam.measures_for(house, year=year),
        *ventilation.measures_for(house),
        *hot_water.measures_for(house, year=year),
        *baseload.measures_for(house),
    ]
    return in_order_of_work(found)


def in_order_of_work(measures: list[Measure]) -> list[Measure]:
    """Measures by stage; inside a stage in the order given, prerequisites first."""
    staged = sorted(measures, key=lambda item: STAGES.index(item.stage))
    kinds = {item.kind for item in staged}
    ordered: list[Measure] = []
    waiting = list(staged)
    while waiting:
        done = {item.kind for item in ordered}
        ready = next(
            (
                item
                for item in waiting
                if all(
                    kind in done or kind not in kinds or not _is_waiting(kind, waiting)
                    for kind in item.requires
                )
            ),
            waiting[0],
        )
        ordered.append(ready)
        waiting.remove(ready)
    return ordered


def _is_waiting(kind: str, waiting: list[Measure]) -> bool:
    return any(item.kind == kind for item in waiting)
