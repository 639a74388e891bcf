"""Windows, doors, and open hearths."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import (
    GOOD_FAIR_POOR,
    ORIENTATIONS,
    Group,
    O,
    PhotoPrompt,
    Section,
    choice,
    choices,
    count,
    flag,
    quantity,
    text,
    when,
)

WINDOWS = Group(
    "windows",
    _("Windows and skylights"),
    _("Alike windows"),
    name_hint=_("South windows"),
    question=_("Are there windows?"),
    fields=(
        choice("orientation", _("Face"), ORIENTATIONS),
        choice("placement", _("In the"), {"wall": _("Wall"), "roof": _("Roof (skylight)")}),
        count("count", _("How many alike"), (1, 200), (1, 30)),
        quantity("area_each", _("Area of one, frame included"), "ft²", (0.5, 400), (2, 60)),
        count("panes", _("Panes"), (1, 4), (1, 3)),
        choice(
            "coating",
            _("Coating"),
            {
                "clear": _("Clear"),
                "tinted": _("Tinted"),
                "low_e": _("Low-e coating"),
                "unknown": _("Not known"),
            },
        ),
        choice(
            "gas_fill",
            _("Gas fill"),
            {"air": _("Air"), "argon": _("Argon or krypton"), "unknown": _("Not known")},
            when=(*when("panes", 2, 3, 4),),
        ),
        choice(
            "frame",
            _("Frame"),
            {
                "wood": _("Wood"),
                "vinyl": _("Vinyl"),
                "metal": _("Metal"),
                "metal_break": _("Metal with a thermal break"),
                "fiberglass": _("Fiberglass"),
            },
        ),
        choice(
            "operation",
            _("Opens by"),
            {
                "hung": _("Sliding up"),
                "slider": _("Sliding sideways"),
                "casement": _("Hinge"),
                "fixed": _("Does not open"),
                "jalousie": _("Slats"),
            },
        ),
        quantity(
            "u_factor",
            _("U-factor on the label"),
            "U",
            (0.05, 2.5),
            (0.15, 1.3),
            O,
            how="nameplate",
            asks_how=True,
        ),
        quantity(
            "shgc",
            _("Solar gain coefficient on the label"),
            "",
            (0.01, 0.95),
            (0.15, 0.85),
            O,
            how="nameplate",
            asks_how=True,
        ),
        flag("storm_windows", _("Storm windows")),
        choice("condition", _("Condition"), GOOD_FAIR_POOR),
        choice(
            "shading_inside",
            _("Shades inside"),
            {"none": _("None"), "half": _("Half closed by day"), "closed": _("Closed by day")},
        ),
        choice(
            "shading_outside",
            _("Shade outside"),
            {
                "none": _("None"),
                "some": _("Trees or buildings, some"),
                "much": _("Mostly in the shade"),
            },
        ),
        quantity("height", _("Height of one"), "ft", (0.3, 26), (1, 8), O),
        quantity("overhang_depth", _("Overhang, how deep"), "ft", (0, 20), (0, 6), O),
        quantity("overhang_gap", _("Overhang, height above the glass"), "ft", (0, 20), (0, 6), O),
        text("notes", _("Year and maker, if known")),
    ),
    photos=(PhotoPrompt("window", _("One of the windows, or its label")),),
)

DOORS = Group(
    "doors",
    _("Outside doors"),
    _("Door"),
    name_hint=_("Front door"),
    question=_("Are there outside, garage or basement doors?"),
    fields=(
        choice(
            "material",
            _("Made of"),
            {
                "wood": _("Solid wood"),
                "wood_panel": _("Wood panels"),
                "steel": _("Insulated steel"),
                "fiberglass": _("Insulated fiberglass"),
                "glass": _("Glass"),
            },
        ),
        choice(
            "adjacent_to",
            _("Leads to"),
            {
                "outside": _("Outside"),
                "garage": _("Garage"),
                "attic": _("Attic"),
                "basement": _("Basement that is not heated"),
            },
        ),
        choice("orientation", _("Faces"), ORIENTATIONS, O),
        quantity("area", _("Area"), "ft²", (4, 600), (12, 60)),
        quantity("glazed_share", _("Share that is glass"), "%", (0, 100), (0, 100)),
        quantity("r_value", _("R-value"), "R", (0, 20), (0.5, 10), O, how="estimated"),
        flag("weatherstrip", _("Weatherstrip is sound")),
        flag("sweep", _("Door sweep is sound")),
        flag("storm_door", _("Storm door")),
        choice("condition", _("Condition"), GOOD_FAIR_POOR),
    ),
)

FIREPLACES = Group(
    "fireplaces",
    _("Fireplaces and stoves"),
    _("Fireplace or stove"),
    name_hint=_("Living-room fireplace"),
    question=_("Is there a fireplace or stove?"),
    fields=(
        choice(
            "kind",
            _("Kind"),
            {
                "open_fireplace": _("Open fireplace"),
                "gas_logs": _("Fireplace with gas logs"),
                "gas_fireplace": _("Sealed gas fireplace"),
                "wood_stove": _("Wood stove or insert"),
                "pellet_stove": _("Pellet stove"),
            },
        ),
        flag("in_use", _("Still used")),
        flag(
            "embers_present",
            _("Embers or ash warm today"),
            help=_("With a fire lit, do not run the blower door."),
        ),
        choice(
            "damper",
            _("Damper"),
            {
                "closes": _("Closes"),
                "leaks": _("Does not close well"),
                "none": _("None"),
                "top": _("At the chimney top"),
            },
        ),
        flag("glass_doors", _("Glass doors"), O),
        flag("chimney_capped", _("Chimney capped"), O),
        flag(
            "hearth_clearance_ok",
            _("Hearth and clearances look right"),
            when=when("kind", "wood_stove", "pellet_stove", "open_fireplace"),
        ),
        choices(
            "signs",
            _("Signs of trouble"),
            {
                "creosote": _("Thick creosote"),
                "smoke_stains": _("Smoke stains"),
                "cracks": _("Cracked firebox"),
                "shared_flue": _("Flue shared with a burner"),
            },
        ),
    ),
    photos=(PhotoPrompt("hearth", _("The hearth and its damper")),),
)

SECTION = Section("openings", _("Windows, doors, hearths"), groups=(WINDOWS, DOORS, FIREPLACES))
