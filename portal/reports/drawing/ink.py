"""The drawing's inks, line weights and page sizes, and the few shapes everything is made of."""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TypeAlias
from xml.sax.saxutils import escape

GRAPHITE = "#23282b"
PENCIL = "#474d50"
SPRUCE = "#1f5a4c"
BRICK = "#9a3b26"
BRICK_INK = "#82301d"
SHEET = "#fffefa"
PAPER = "#f7f5ef"
WHITE = "#ffffff"
NONE = "none"

Point: TypeAlias = tuple[float, float]
# ("M", x, y), ("L", x, y), ("C", x1, y1, x2, y2, x, y), ("Z",)
Step: TypeAlias = tuple[str | float, ...]


@dataclass(frozen=True)
class Layout:
    """One size of the drawing, in its own units. ``weight`` scales the line weights."""

    name: str
    width: float
    column: float
    tallest: float
    largest_ft: float
    stroke: float
    stroke_weight: float
    gap: float
    wave: float
    dot: float
    wall: float
    loop: float
    weight: float
    name_size: float
    figure_size: float
    found_size: float
    ground: str
    has_strokes: bool = True
    has_labels: bool = True


WIDE = Layout(
    name="wide", width=1140, column=250, tallest=560, largest_ft=13, stroke=23, stroke_weight=2.3,
    gap=5.4, wave=3.6, dot=2.3, wall=13, loop=9, weight=1.0, name_size=22, figure_size=18,
    found_size=17, ground=PAPER,
)  # fmt: skip
# 800 units on 183 mm of a sheet: 15.6 units are 10 points.
PRINT = Layout(
    name="print", width=800, column=186, tallest=440, largest_ft=9.5, stroke=17,
    stroke_weight=1.8, gap=4.2, wave=2.8, dot=1.8, wall=10, loop=7, weight=0.8, name_size=18.5,
    figure_size=16, found_size=15.6, ground=WHITE,
)  # fmt: skip
PHONE = Layout(
    name="phone", width=344, column=30, tallest=300, largest_ft=6.6, stroke=12,
    stroke_weight=1.35, gap=3.1, wave=2.0, dot=1.35, wall=7, loop=5, weight=0.55, name_size=15,
    figure_size=15, found_size=13, ground=PAPER, has_labels=False,
)  # fmt: skip
# The same without letters, beside the sums of a plan and on the first sheet of a report.
SMALL = replace(PHONE, name="small", column=4)
SCOPE = replace(PHONE, name="scope", column=40, name_size=16, has_strokes=False, stroke=10)


@dataclass(frozen=True)
class Shape:
    """One drawn thing: a path, or a circle when ``radius`` is set, or words when ``text`` is."""

    steps: tuple[Step, ...]
    ink: str = GRAPHITE
    weight: float = 1.0
    fill: str = NONE
    dash: str = ""
    radius: float = 0.0
    text: str = ""
    size: float = 0.0
    is_round: bool = False
    turn: float = 0.0

    def mirrored(self) -> Shape:
        """The same, left for right."""
        steps = []
        for step in self.steps:
            numbers = [
                -value if place % 2 == 0 else value
                for place, value in enumerate(step[1:])
                if not isinstance(value, str)
            ]
            steps.append((step[0], *numbers))
        return replace(self, steps=tuple(steps), turn=-self.turn)

    def svg(self, dx: float, dy: float) -> str:
        """The element, moved to its place."""
        attributes = [f'fill="{self.fill}"', f'stroke="{self.ink}"']
        attributes.append(f'stroke-width="{number(self.weight)}"')
        if self.dash:
            attributes.append(f'stroke-dasharray="{self.dash}"')
        if self.is_round:
            attributes.append('stroke-linecap="round"')
        look = " ".join(attributes)
        if self.text:
            x, y = _moved(self.steps[0], dx, dy)
            turned = f' transform="rotate({number(self.turn)} {x} {y})"' if self.turn else ""
            return (
                f'<text x="{x}" y="{y}" text-anchor="middle" font-family="Barlow, sans-serif" '
                f'font-size="{number(self.size)}" fill="{self.ink}"{turned}>'
                f"{escape(self.text)}</text>"
            )
        if self.radius:
            x, y = _moved(self.steps[0], dx, dy)
            return f'<circle cx="{x}" cy="{y}" r="{number(self.radius)}" {look}/>'
        path = "".join(
            "Z" if step[0] == "Z" else f"{step[0]}{' '.join(_moved(step, dx, dy))}"
            for step in self.steps
        )
        return f'<path d="{path}" {look}/>'


def _moved(step: Step, dx: float, dy: float) -> list[str]:
    values = [value for value in step[1:] if not isinstance(value, str)]
    return [number(value + (dx if place % 2 == 0 else dy)) for place, value in enumerate(values)]


def number(value: float) -> str:
    """A coordinate: one decimal, no trailing zero, no minus zero."""
    text = f"{value:.1f}".removesuffix(".0")
    return "0" if text == "-0" else text


@dataclass(frozen=True)
class Rect:
    """An upright rectangle by its edges; y runs down."""

    left: float
    top: float
    right: float
    bottom: float

    @property
    def width(self) -> float:
        return self.right - self.left

    @property
    def height(self) -> float:
        return self.bottom - self.top

    def grown(self, by: float) -> Rect:
        return Rect(self.left - by, self.top - by, self.right + by, self.bottom + by)

    def holds(self, x: float, y: float) -> bool:
        return self.left <= x <= self.right and self.top <= y <= self.bottom

    def meets(self, other: Rect) -> bool:
        return (
            self.left < other.right
            and other.left < self.right
            and self.top < other.bottom
            and other.top < self.bottom
        )

    def mirrored(self) -> Rect:
        return Rect(-self.right, self.top, -self.left, self.bottom)


@dataclass(frozen=True)
class Run:
    """A stretch of a part seen in the cut: strokes start on it and leave along its normal.

    A run that may fan is short and carries much; its strokes spread.
    """

    start: Point
    end: Point
    normal: Point
    weight: float = 1.0
    may_fan: bool = False

    @property
    def length(self) -> float:
        return float(
            ((self.end[0] - self.start[0]) ** 2 + (self.end[1] - self.start[1]) ** 2) ** 0.5
        )

    def mirrored(self) -> Run:
        (ax, ay), (bx, by), (nx, ny) = self.start, self.end, self.normal
        return replace(self, start=(-ax, ay), end=(-bx, by), normal=(-nx, ny))


@dataclass
class Site:
    """Where a part is in the drawing: its runs, and fields that face away from the viewer."""

    runs: list[Run] = field(default_factory=list)
    fields: list[Rect] = field(default_factory=list)
    field_share: float = 0.0
    # Where a scope circle may point when the part has no strokes.
    points: list[Point] = field(default_factory=list)

    def mirrored(self) -> Site:
        return Site(
            runs=[run.mirrored() for run in self.runs],
            fields=[rect.mirrored() for rect in self.fields],
            field_share=self.field_share,
            points=[(-x, y) for x, y in self.points],
        )
