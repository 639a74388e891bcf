"""The section drawing of a home: one hundred strokes that show where its heat leaves.

One stroke is one part in a hundred of the heat that leaves in a year. Straight strokes go through
a material, curved ones are leaking air; a dot or a ring is a stroke that leaves straight away from
the viewer. Strokes, labels and table come from the same whole numbers.
"""

from portal.reports.drawing.drawn import draw_section
from portal.reports.drawing.records import (
    Appliance,
    ApplianceKind,
    Foundation,
    FoundationWall,
    Part,
    PartKey,
    Place,
    Roof,
    Row,
    ScopeMark,
    SectionDrawing,
    SectionInput,
    Side,
    Sign,
)

__all__ = [
    "Appliance",
    "ApplianceKind",
    "Foundation",
    "FoundationWall",
    "Part",
    "PartKey",
    "Place",
    "Roof",
    "Row",
    "ScopeMark",
    "SectionDrawing",
    "SectionInput",
    "Side",
    "Sign",
    "draw_section",
]
