"""What a live result is."""

from dataclasses import dataclass
from typing import Any

from portal.intake.document import Reader


@dataclass(frozen=True)
class LiveResult:
    """One result: what it says, how it was worked out, whose limit or method it is."""

    key: str
    section: str
    value: str
    how: str = ""
    source: str = ""
    limit: str = ""
    fails: bool = False
    stops_work: bool = False
    field: str = ""
    item: str = ""
    numbers: tuple[tuple[str, Any], ...] = ()

    def plain(self) -> dict[str, Any]:
        """The result as plain values."""
        return {
            "key": self.key,
            "section": self.section,
            "item": self.item,
            "field": self.field,
            "value": self.value,
            "limit": self.limit,
            "how": self.how,
            "source": self.source,
            "fails": self.fails,
            "stops_work": self.stops_work,
            "numbers": dict(self.numbers),
        }


def volume_m3(reader: Reader) -> float | None:
    """Heated volume: as entered, else floor area times ceiling height. [m³]"""
    entered = reader.si("dwelling.volume")
    if entered is not None:
        return entered
    area, height = reader.si("dwelling.floor_area"), reader.si("dwelling.ceiling_height")
    return area * height if area is not None and height is not None else None
