"""One mass of a house: its floors, what it stands on, and where its roof ends."""

from __future__ import annotations

from dataclasses import dataclass, field

from portal.reports.drawing.ink import Point, Rect
from portal.reports.drawing.records import Foundation


@dataclass
class Floor:
    """One story: its room, and the platform under it."""

    left: float
    right: float
    ceiling: float
    floor: float
    platform: float  # underside of the floor's framing


@dataclass
class Body:
    """One mass of the house, from its lowest floor to its roof."""

    floors: list[Floor]  # lowest first
    foundation: Foundation
    ceiling: float
    ground: float = 0.0  # bottom of the basement or crawlspace
    roof_top: float = 0.0
    wall: float = 0.0
    chimney: Rect | None = None
    is_joined_right: bool = False  # a taller mass stands against its right side
    flue: Rect | None = None  # a metal flue that goes up through the roof
    profile: list[Point] = field(default_factory=list)  # outer face of the roof, left to right

    @property
    def left(self) -> float:
        return self.floors[-1].left

    @property
    def right(self) -> float:
        return self.floors[-1].right

    def roof_at(self, x: float) -> float:
        """Height of the roof's outer face above a place; the ceiling where there is no slope."""
        for (ax, ay), (bx, by) in zip(self.profile, self.profile[1:], strict=False):
            if ax <= x <= bx and bx > ax:
                return ay + (by - ay) * (x - ax) / (bx - ax)
        return self.roof_top
