"""Results beside the fields: worked out from the record as it stands, with formula and source.

Computed when a section is saved and shown on its page. What cannot be worked out yet is left
out; what is beyond a limit fails, and never softly.
"""

from collections.abc import Callable, Iterator

from portal.intake.document import Document, Reader
from portal.intake.live.air import of_blower_door, of_ventilation
from portal.intake.live.base import LiveResult, volume_m3
from portal.intake.live.combustion import of_efficiency, of_safety
from portal.intake.live.envelope import of_attic, of_infrared

_Source = Callable[[Reader], Iterator[LiveResult]]
_SOURCES_OF: dict[str, tuple[_Source, ...]] = {
    "combustion": (of_safety, of_efficiency),
    "air_leakage": (of_blower_door,),
    "attic": (of_attic,),
    "ventilation": (of_ventilation,),
    "infrared": (of_infrared,),
}
_SOURCES: tuple[_Source, ...] = tuple(
    source for sources in _SOURCES_OF.values() for source in sources
)


def results(document: Document) -> tuple[LiveResult, ...]:
    """Every result the record gives now."""
    reader = Reader(document)
    return tuple(result for source in _SOURCES for result in source(reader))


def results_in(document: Document, section: str) -> tuple[LiveResult, ...]:
    """The results shown in one section."""
    reader = Reader(document)
    return tuple(
        result
        for source in _SOURCES_OF.get(section, ())
        for result in source(reader)
        if result.section == section
    )


__all__ = [
    "LiveResult",
    "results",
    "results_in",
    "volume_m3",
]
