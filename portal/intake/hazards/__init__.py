"""Hazards of a record: found by tests and by what the auditor saw.

A pure function of the record document. Kinds and places are those by which the model stops
measures; kinds it does not know stop nothing there and are told. Each is open until evidence of
its clearance is stored.
"""

from portal.intake.document import Document, Reader
from portal.intake.hazards.base import FIX_FIRST, INFORM, STOP_NOW, WITH_CARE, Hazard
from portal.intake.hazards.combustion import of_burners, of_gas, of_tests, of_untested
from portal.intake.hazards.envelope import of_attics, of_foundations, of_walls
from portal.intake.hazards.house import of_house
from portal.intake.hazards.seen import of_seen

ORDER = {STOP_NOW: 0, FIX_FIRST: 1, WITH_CARE: 2, INFORM: 3}


SOURCES = (
    of_tests,
    of_gas,
    of_burners,
    of_untested,
    of_attics,
    of_walls,
    of_foundations,
    of_house,
    of_seen,
)


def find(document: Document) -> tuple[Hazard, ...]:
    """Every hazard of a record, gravest first, each once."""
    reader = Reader(document)
    found: dict[str, Hazard] = {}
    for source in SOURCES:
        for hazard in source(reader):
            known = found.get(hazard.key)
            if known is None or ORDER[hazard.severity] < ORDER[known.severity]:
                found[hazard.key] = hazard
    return tuple(sorted(found.values(), key=lambda hazard: ORDER[hazard.severity]))


__all__ = ["FIX_FIRST", "INFORM", "STOP_NOW", "WITH_CARE", "Hazard", "find"]
