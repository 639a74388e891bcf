"""A drawing while it is made: shapes in order, the sites of the parts, and what dots keep clear of.

Coordinates are units of the layout; the first wall of the house stands at x = 0 and the ground
outside is at y = 0, with y running down.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from portal.reports.drawing.ink import (
    GRAPHITE,
    NONE,
    PENCIL,
    SPRUCE,
    Layout,
    Point,
    Rect,
    Run,
    Shape,
    Site,
    Step,
)
from portal.reports.drawing.records import PartKey

Extent = tuple[float, float]


@dataclass
class Scene:
    """Everything in one drawing but its strokes and labels."""

    layout: Layout
    scale: float  # units a foot
    shapes: list[Shape] = field(default_factory=list)
    front: list[Shape] = field(default_factory=list)
    sites: dict[PartKey, Site] = field(default_factory=dict)
    blocked: list[Rect] = field(default_factory=list)
    failed: list[tuple[str, Rect]] = field(default_factory=list)
    used: set[str] = field(default_factory=set)
    is_drawn_deeper: bool = False

    def ft(self, feet: float) -> float:
        return feet * self.scale

    def site(self, key: PartKey) -> Site:
        return self.sites.setdefault(key, Site())

    # -- lines -------------------------------------------------------------------------

    def path(
        self,
        steps: list[Step],
        weight: float,
        *,
        ink: str = GRAPHITE,
        fill: str = NONE,
        dash: str = "",
        is_front: bool = False,
        is_round: bool = False,
    ) -> None:
        shape = Shape(
            tuple(steps),
            ink=ink,
            weight=weight * self.layout.weight,
            fill=fill,
            dash=dash,
            is_round=is_round,
        )
        (self.front if is_front else self.shapes).append(shape)

    def line(
        self, start: Point, end: Point, weight: float, *, ink: str = GRAPHITE, dash: str = ""
    ) -> None:
        self.path([("M", *start), ("L", *end)], weight, ink=ink, dash=dash)

    def poly(
        self,
        points: list[Point],
        weight: float,
        *,
        ink: str = GRAPHITE,
        fill: str = NONE,
        dash: str = "",
        is_closed: bool = True,
    ) -> None:
        steps: list[Step] = [("M", *points[0]), *(("L", *point) for point in points[1:])]
        if is_closed:
            steps.append(("Z",))
        self.path(steps, weight, ink=ink, fill=fill, dash=dash)

    def rect(
        self, rect: Rect, weight: float, *, ink: str = GRAPHITE, fill: str = NONE, dash: str = ""
    ) -> None:
        self.poly(
            [
                (rect.left, rect.top),
                (rect.right, rect.top),
                (rect.right, rect.bottom),
                (rect.left, rect.bottom),
            ],
            weight if weight else 0.01,
            ink=ink if weight else NONE,
            fill=fill,
            dash=dash,
        )

    def words(self, text: str, at: Point, *, turn: float = 0.0, ink: str = PENCIL) -> None:
        self.front.append(
            Shape(
                (("M", *at),),
                ink=ink,
                text=text,
                size=self.layout.found_size * (0.94 if self.layout.has_labels else 0.9),
                turn=turn,
            )
        )

    # -- hatches -----------------------------------------------------------------------

    def loops(self, start: Point, end: Point, depth: Point) -> None:
        """Insulation: loops from start to end, reaching by ``depth`` to the other side."""
        (ax, ay), (bx, by), (dx, dy) = start, end, depth
        length = math.hypot(bx - ax, by - ay)
        turns = max(2, 2 * round(length / self.layout.loop))
        if length < self.layout.loop:
            return
        step_x, step_y = (bx - ax) / turns, (by - ay) / turns
        steps: list[Step] = [("M", ax, ay)]
        x, y, is_far = ax, ay, False
        for _turn in range(turns):
            far_x, far_y = (-dx, -dy) if is_far else (dx, dy)
            next_x, next_y = x + step_x + far_x, y + step_y + far_y
            # Both handles lean past the ends: the line loops back on itself like a batt.
            steps.append(
                (
                    "C",
                    x + step_x * 1.15 + far_x * 0.08,
                    y + step_y * 1.15 + far_y * 0.08,
                    next_x - step_x * 1.15 - far_x * 0.08,
                    next_y - step_y * 1.15 - far_y * 0.08,
                    next_x,
                    next_y,
                )
            )
            x, y, is_far = next_x, next_y, not is_far
        self.path(steps, 1.15, ink=SPRUCE, is_round=True)
        self.used.add("loops")

    def crossed(self, rect: Rect) -> None:
        """Framing the cut goes through: a box with a cross."""
        self.rect(rect, 1.2, fill=self.layout.ground)
        self.path(
            [
                ("M", rect.left, rect.top),
                ("L", rect.right, rect.bottom),
                ("M", rect.right, rect.top),
                ("L", rect.left, rect.bottom),
            ],
            0.8,
        )
        self.used.add("crossed")

    def earth(self, start: float, end: float, y: float) -> None:
        """A ground line with slanted triples beneath."""
        self.line((start, y), (end, y), 2.0)
        size = 6.5 * self.layout.weight
        pitch = size * 3.6
        count = int((end - start - size) / pitch)
        if count < 1:
            return
        spare = (end - start - (count - 1) * pitch - 2.2 * size) / 2
        steps: list[Step] = []
        for place in range(count):
            for part in range(3):
                x = start + spare + size * 0.9 + place * pitch + part * size * 0.62
                top = y + 3.6 * self.layout.weight
                steps += [("M", x, top), ("L", x - size * 0.75, top + size)]
        self.path(steps, 0.8, ink=PENCIL)

    def masonry(self, rect: Rect, kind: str) -> None:
        """A foundation wall: block courses, round stones, or the dots of concrete."""
        self.rect(rect, 2.0, fill=self.layout.ground)
        if kind == "concrete":
            self.dotted(rect)
        elif kind == "stone":
            self._stones(rect)
        else:
            course = max(6.0 * self.layout.weight, self.ft(0.67))
            rows = max(1, round(rect.height / course))
            steps: list[Step] = []
            for row in range(1, rows):
                y = rect.top + rect.height * row / rows
                steps += [("M", rect.left, y), ("L", rect.right, y)]
            # The hollow of each block, as the cut shows it.
            for row in range(rows):
                top = rect.top + rect.height * row / rows
                bottom = rect.top + rect.height * (row + 1) / rows
                inset = rect.width * 0.3
                pad = (bottom - top) * 0.24
                steps += [
                    ("M", rect.left + inset, top + pad),
                    ("L", rect.right - inset, top + pad),
                    ("L", rect.right - inset, bottom - pad),
                    ("L", rect.left + inset, bottom - pad),
                    ("Z",),
                ]
            self.path(steps, 0.8)

    def _stones(self, rect: Rect) -> None:
        high = max(9.0 * self.layout.weight, self.ft(0.85))
        rows = max(1, round(rect.height / high))
        gap = 1.6 * self.layout.weight
        for row in range(rows):
            top = rect.top + rect.height * row / rows + gap * 0.6
            bottom = rect.top + rect.height * (row + 1) / rows - gap * 0.6
            split = rect.left + rect.width * (0.36, 0.62, 0.48, 0.7)[row % 4]
            for left, right in (
                (rect.left + gap, split - gap / 2),
                (split + gap / 2, rect.right - gap),
            ):
                bend = min(right - left, bottom - top) * 0.38
                self.path(
                    [
                        ("M", left + bend, top),
                        ("L", right - bend, top + gap * 0.3),
                        ("C", right, top, right, top, right, top + bend),
                        ("L", right - gap * 0.2, bottom - bend),
                        ("C", right, bottom, right, bottom, right - bend, bottom),
                        ("L", left + bend, bottom - gap * 0.2),
                        ("C", left, bottom, left, bottom, left, bottom - bend),
                        ("L", left + gap * 0.2, top + bend),
                        ("C", left, top, left, top, left + bend, top),
                        ("Z",),
                    ],
                    0.8,
                )

    def dotted(self, rect: Rect) -> None:
        """Concrete: small triangles of dots, the same ones every time."""
        area = rect.width * rect.height
        pitch = 8.5 * self.layout.weight
        count = int(area / pitch**2)
        size = 0.75 * self.layout.weight
        for place in range(1, count + 1):
            # A golden-ratio walk covers the rectangle evenly without a pattern.
            x = rect.left + rect.width * (0.04 + 0.92 * ((place * 0.618034) % 1))
            y = rect.top + rect.height * (0.14 + 0.72 * ((place * 0.754878) % 1))
            self.shapes.append(
                Shape((("M", x, y),), weight=0.1, radius=size * (1 + place % 2 * 0.5), fill=PENCIL)
            )

    def scribble_dash(self) -> str:
        return "4 3" if self.layout.weight > 0.7 else "2.5 2"

    # -- sites -------------------------------------------------------------------------

    def run(
        self,
        key: PartKey,
        start: Point,
        end: Point,
        normal: Point,
        *,
        weight: float = 1.0,
        may_fan: bool = False,
    ) -> None:
        """A stretch of a part that strokes leave by; too short ones are left out."""
        if math.hypot(end[0] - start[0], end[1] - start[1]) < 2:
            return
        site = self.site(key)
        site.runs.append(Run(start, end, normal, weight, may_fan))
        site.points.append(((start[0] + end[0]) / 2, (start[1] + end[1]) / 2))

    def field(self, key: PartKey, rect: Rect, share: float) -> None:
        """A face seen from inside, that heat leaves straight away from the viewer."""
        site = self.site(key)
        site.fields.append(rect)
        site.field_share = share

    def mirror(self) -> None:
        """Swap left and right of everything."""
        self.shapes = [shape.mirrored() for shape in self.shapes]
        self.front = [shape.mirrored() for shape in self.front]
        self.sites = {key: site.mirrored() for key, site in self.sites.items()}
        self.blocked = [rect.mirrored() for rect in self.blocked]
        self.failed = [(name, rect.mirrored()) for name, rect in self.failed]
