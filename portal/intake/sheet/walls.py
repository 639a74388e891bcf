"""Walls by kind of construction."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import (
    GOOD_FAIR_POOR,
    MATERIALS,
    ORIENTATIONS,
    Group,
    O,
    PhotoPrompt,
    Section,
    choice,
    quantity,
    text,
    when,
)

FRAME_WALLS = ("wood_frame", "balloon_frame")

WALLS = Group(
    "walls",
    _("Walls"),
    _("Wall"),
    name_hint=_("Outside walls, brick"),
    least=1,
    fields=(
        choice(
            "structure",
            _("Construction"),
            {
                "wood_frame": _("Wood frame, floor by floor"),
                "balloon_frame": _("Balloon frame (studs run through floors)"),
                "masonry": _("Solid masonry"),
                "log": _("Log or timber"),
            },
        ),
        choice(
            "stud_size",
            _("Studs"),
            {
                "2x3": _("2×3"),
                "2x4": _("2×4"),
                "2x6": _("2×6"),
                "2x8": _("2×8"),
                "unknown": _("Not known"),
            },
            when=when("structure", *FRAME_WALLS),
        ),
        choice(
            "stud_spacing",
            _("Stud spacing"),
            {"16": _("16 in."), "24": _("24 in."), "unknown": _("Not known")},
            when=when("structure", *FRAME_WALLS),
        ),
        quantity(
            "masonry_thickness",
            _("Thickness of the masonry"),
            "in",
            (2, 48),
            (4, 24),
            when=when("structure", "masonry"),
        ),
        choice("orientation", _("Faces"), {"all": _("All sides alike"), **ORIENTATIONS}),
        choice(
            "adjacent_to",
            _("On the other side"),
            {
                "outside": _("Outside"),
                "garage": _("Garage"),
                "attic": _("Attic (knee wall)"),
                "neighbor": _("Another home"),
                "crawlspace": _("Crawlspace"),
                "ground": _("Ground"),
            },
        ),
        quantity("gross_area", _("Whole area"), "ft²", (1, 20000), (40, 4000)),
        quantity(
            "opening_area",
            _("Windows and doors in it"),
            "ft²",
            (0, 10000),
            (0, 800),
            part_of="gross_area",
            help=_("The net area is what the program pays on."),
        ),
        choice(
            "cavity_material",
            _("In the cavity"),
            MATERIALS,
            asks_how=True,
            when=when("structure", *FRAME_WALLS),
        ),
        quantity(
            "cavity_thickness", _("Thickness of the cavity insulation"), "in", (0, 12), (1, 8), O
        ),
        quantity(
            "cavity_r",
            _("R-value of the cavity insulation"),
            "R",
            (0, 80),
            (None, 30),
            when=when("structure", *FRAME_WALLS),
            asks_how=True,
            how="estimated",
        ),
        quantity(
            "cavity_empty_share",
            _("Share of the cavity left empty"),
            "%",
            (0, 100),
            (0, 50),
            O,
            how="estimated",
        ),
        choice(
            "cavity_seen_by",
            _("How you know"),
            {
                "outlet_probe": _("Probe at an outlet"),
                "borescope": _("Borescope"),
                "infrared": _("Infrared"),
                "document": _("Papers"),
                "not_seen": _("Not seen"),
            },
            when=when("structure", *FRAME_WALLS),
        ),
        quantity("continuous_r", _("R-value of continuous insulation"), "R", (0, 60), (0, 20), O),
        choice(
            "siding",
            _("Siding"),
            {
                "wood": _("Wood"),
                "vinyl": _("Vinyl"),
                "brick": _("Brick"),
                "stucco": _("Stucco"),
                "metal": _("Aluminum or steel"),
                "cement_board": _("Fiber cement"),
                "asbestos_cement": _("Asbestos cement, known or suspected"),
                "none": _("None"),
            },
        ),
        choice(
            "color", _("Color"), {"light": _("Light"), "medium": _("Medium"), "dark": _("Dark")}
        ),
        choice(
            "interior_finish",
            _("Inside finish"),
            {
                "drywall": _("Drywall"),
                "plaster": _("Plaster"),
                "paneling": _("Paneling"),
                "bare": _("Bare framing"),
            },
        ),
        choice("condition", _("Condition"), GOOD_FAIR_POOR),
        choice(
            "wiring",
            _("Wiring in the wall"),
            {"modern": _("Modern"), "knob_and_tube": _("Knob-and-tube"), "unknown": _("Not known")},
            help=_("Not known is treated as live old wiring."),
        ),
        choice(
            "drill_from",
            _("Can be drilled from"),
            {"outside": _("Outside"), "inside": _("Inside"), "neither": _("Neither")},
        ),
        text("notes", _("Notes for the crew")),
    ),
    photos=(PhotoPrompt("wall", _("The wall, or the probe in it")),),
)

SECTION = Section("walls", _("Walls"), groups=(WALLS,))
