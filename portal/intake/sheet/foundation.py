"""Foundations, crawlspaces and the rim joist."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import (
    GOOD_FAIR_POOR,
    MATERIALS,
    Group,
    O,
    PhotoPrompt,
    Section,
    choice,
    choices,
    flag,
    quantity,
    text,
    when,
)

CRAWL = ("vented_crawlspace", "unvented_crawlspace")
WITH_WALLS = ("basement", *CRAWL)
OVER_AIR = (*CRAWL, "garage_below", "open_below", "belly", "basement")

FOUNDATIONS = Group(
    "foundations",
    _("Foundations"),
    _("Foundation"),
    name_hint=_("Crawlspace under the whole house"),
    question=_("Is the lowest floor of the building part of this home?"),
    fields=(
        choice(
            "kind",
            _("Kind"),
            {
                "basement": _("Basement"),
                "vented_crawlspace": _("Crawlspace with vents"),
                "unvented_crawlspace": _("Crawlspace without vents"),
                "slab": _("Slab on the ground"),
                "garage_below": _("Garage below"),
                "belly": _("Belly of a manufactured home"),
                "open_below": _("Open to outdoors below"),
            },
        ),
        flag("is_heated", _("Heated on purpose"), when=when("kind", *WITH_WALLS)),
        choice(
            "boundary",
            _("Edge of the heated house"),
            {"floor": _("The floor above"), "walls": _("The foundation wall")},
            when=when("kind", *WITH_WALLS),
        ),
        quantity("area", _("Floor area"), "ft²", (1, 20000), (100, 3500), asks_how=True),
        quantity("perimeter", _("Outside perimeter"), "ft", (0, 1300), (40, 300)),
        quantity(
            "wall_height", _("Wall height"), "ft", (0, 20), (1, 10), when=when("kind", *WITH_WALLS)
        ),
        quantity(
            "depth_below_grade",
            _("Depth below grade"),
            "ft",
            (0, 20),
            (0, 9),
            when=when("kind", *WITH_WALLS),
        ),
        choice(
            "wall_material",
            _("Wall"),
            {
                "concrete_block": _("Concrete block"),
                "poured_concrete": _("Poured concrete"),
                "stone": _("Stone or rubble"),
                "brick": _("Brick"),
                "wood": _("Wood"),
            },
            when=when("kind", *WITH_WALLS),
        ),
        quantity("wall_thickness", _("Wall thickness"), "in", (2, 48), (6, 24), O),
        quantity(
            "wall_r",
            _("R-value on the wall"),
            "R",
            (0, 80),
            (0, 30),
            when=when("kind", *WITH_WALLS),
            asks_how=True,
        ),
        choice(
            "floor_material",
            _("Insulation in the floor above"),
            MATERIALS,
            when=when("kind", *OVER_AIR),
        ),
        quantity(
            "floor_r",
            _("R-value in the floor above"),
            "R",
            (0, 80),
            (0, 40),
            when=when("kind", *OVER_AIR),
            asks_how=True,
        ),
        quantity("floor_coverage", _("Share of the floor covered"), "%", (0, 100), (50, 100), O),
        choice("floor_condition", _("Condition of the floor insulation"), GOOD_FAIR_POOR, O),
        quantity(
            "slab_edge_r",
            _("R-value at the slab edge"),
            "R",
            (0, 40),
            (0, 15),
            when=when("kind", "slab"),
        ),
        quantity(
            "slab_edge_depth", _("Depth of the slab-edge insulation"), "ft", (0, 10), (0, 4), O
        ),
        quantity(
            "rim_length",
            _("Rim joist length"),
            "ft",
            (0, 2600),
            (40, 300),
            when=when("kind", *WITH_WALLS),
            help=_("Paid by the foot."),
        ),
        quantity("rim_height", _("Rim joist height"), "in", (0, 36), (5, 16), O),
        quantity(
            "rim_r",
            _("R-value at the rim joist"),
            "R",
            (0, 60),
            (0, 30),
            when=when("kind", *WITH_WALLS),
        ),
        flag("rim_sealed", _("Rim joist sealed"), when=when("kind", *WITH_WALLS)),
        quantity(
            "ground_cover",
            _("Ground covered with plastic"),
            "%",
            (0, 100),
            when=when("kind", *CRAWL),
        ),
        quantity(
            "clear_height",
            _("Clear height for a person"),
            "in",
            (0, 96),
            (18, 60),
            when=when("kind", *CRAWL),
            help=_("Below 18 in. a crew cannot enter."),
        ),
        quantity("access_width", _("Crawl access, width"), "in", (0, 96), (18, 48), O),
        quantity("access_height", _("Crawl access, height"), "in", (0, 96), (14, 48), O),
        choices(
            "water",
            _("Water"),
            {
                "standing": _("Standing water"),
                "damp": _("Damp ground or walls"),
                "efflorescence": _("White salts on the wall"),
                "sump": _("Sump"),
            },
        ),
        choices(
            "wiring_or_asbestos",
            _("Also seen"),
            {
                "knob_and_tube": _("Knob-and-tube wiring"),
                "pipe_wrap": _("Pipe wrap that may be asbestos"),
                "pests": _("Droppings or pests"),
                "rot": _("Rot or sagging"),
                "sewage": _("Sewage"),
            },
        ),
        text("notes", _("Notes for the crew")),
    ),
    photos=(
        PhotoPrompt("foundation", _("The space, wide")),
        PhotoPrompt("rim_joist", _("Rim joist, close"), when=when("kind", *WITH_WALLS)),
    ),
)

SECTION = Section(
    "foundation",
    _("Foundation"),
    groups=(FOUNDATIONS,),
    caution=_(
        "Smell and test for gas before you enter a low space. Go in only with somebody near."
    ),
)
