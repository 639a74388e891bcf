"""Attics and roof."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import (
    GOOD_FAIR_POOR,
    MATERIALS,
    YES_NO_UNKNOWN,
    Choices,
    Group,
    O,
    PhotoPrompt,
    Section,
    choice,
    choices,
    count,
    flag,
    link,
    quantity,
    text,
    when,
)

SOME_MATERIAL = tuple(key for key in MATERIALS if key != "none")
FLUES: Choices = {
    "none": _("None"),
    "masonry": _("Masonry chimney"),
    "b_vent": _("Double-wall gas vent"),
    "single_wall": _("Single-wall metal pipe"),
    "factory_built": _("Factory-built chimney"),
    "plastic": _("Plastic pipe"),
}
SOME_FLUE = tuple(key for key in FLUES if key != "none")

ATTICS = Group(
    "attics",
    _("Attics"),
    _("Attic"),
    name_hint=_("Attic A: main, over bedrooms"),
    question=_("Is there an attic or roof over this home?"),
    fields=(
        choice(
            "kind",
            _("Kind"),
            {
                "vented": _("Vented attic"),
                "unvented": _("Attic without vents"),
                "cathedral": _("Sloped ceiling, no attic"),
                "flat": _("Flat roof"),
                "knee_wall": _("Attic behind a knee wall"),
            },
            help=_("A cape has several: record each one."),
        ),
        quantity(
            "area",
            _("Ceiling area"),
            "ft²",
            (1, 20000),
            (100, 3500),
            asks_how=True,
            help=_("The heated ceiling below, not the roof."),
        ),
        choice("layer1_material", _("Insulation"), MATERIALS, asks_how=True),
        quantity(
            "layer1_depth",
            _("Usual depth"),
            "in",
            (0, 48),
            (1, 24),
            when=when("layer1_material", *SOME_MATERIAL),
            asks_how=True,
            help=_("Measure at four places; enter the usual one here."),
        ),
        quantity(
            "layer1_smallest_depth",
            _("Smallest depth"),
            "in",
            (0, 48),
            (0, 24),
            O,
            when=when("layer1_material", *SOME_MATERIAL),
        ),
        quantity(
            "layer1_coverage",
            _("Share of the area covered"),
            "%",
            (0, 100),
            (50, 100),
            when=when("layer1_material", *SOME_MATERIAL),
        ),
        choice(
            "layer1_condition",
            _("Condition"),
            GOOD_FAIR_POOR,
            when=when("layer1_material", *SOME_MATERIAL),
            help=_("Look for gaps, compression, wind-washing, wet spots, rodents."),
        ),
        quantity(
            "layer1_nominal_r",
            _("R-value printed on it"),
            "R",
            (0, 100),
            (3, 60),
            O,
            how="nameplate",
        ),
        choice("layer2_material", _("Second layer"), MATERIALS, O),
        quantity(
            "layer2_depth",
            _("Depth of the second layer"),
            "in",
            (0, 48),
            (1, 24),
            when=when("layer2_material", *SOME_MATERIAL),
        ),
        quantity(
            "layer2_coverage", _("Share covered by the second layer"), "%", (0, 100), (50, 100), O
        ),
        choice(
            "layer2_condition",
            _("Condition of the second layer"),
            GOOD_FAIR_POOR,
            when=when("layer2_material", *SOME_MATERIAL),
        ),
        quantity(
            "layer2_nominal_r",
            _("R-value printed on the second layer"),
            "R",
            (0, 100),
            (3, 60),
            O,
            how="nameplate",
        ),
        quantity("joist_depth", _("Depth of the ceiling joists"), "in", (0, 24), (3, 14), O),
        quantity(
            "floored_area",
            _("Area with a floor on it"),
            "ft²",
            (0, 20000),
            part_of="area",
            when=when("kind", "vented", "unvented", "knee_wall"),
        ),
        quantity(
            "storage_area",
            _("Area used for storage"),
            "ft²",
            (0, 20000),
            use=O,
            part_of="area",
            help=_("The owner may want to keep it: the deck is raised."),
        ),
        flag("storage_to_move", _("Things to move before work")),
        choice(
            "removal_reason",
            _("Old insulation has to go"),
            {
                "none": _("No, it can stay"),
                "soiled": _("Yes: soiled by animals"),
                "wet": _("Yes: wet or moldy"),
                "hides_the_leaks": _("Yes: leaks cannot be reached under it"),
            },
            O,
            when=when("layer1_material", *SOME_MATERIAL),
        ),
        choices(
            "vents",
            _("Ventilation"),
            {
                "soffit": _("Soffit"),
                "ridge": _("Ridge"),
                "gable": _("Gable"),
                "roof": _("Roof vents"),
                "powered": _("Powered fan"),
            },
            when=when("kind", "vented", "knee_wall"),
        ),
        quantity("vent_area", _("Net free area of the vents"), "in²", (0, 5000), (50, 2500), O),
        flag("soffit_blocked", _("Soffit vents blocked"), O),
        count("rafter_bays", _("Rafter bays at the eaves"), (0, 200), use=O),
        count(
            "chutes_present", _("Bays with a vent chute"), (0, 200), use=O, part_of="rafter_bays"
        ),
        quantity(
            "eave_clear_height",
            _("Height at the eave, over the wall plate"),
            "in",
            (0, 60),
            (2, 40),
            when=when("kind", "vented", "knee_wall"),
        ),
        choices(
            "bypasses",
            _("Bypasses seen"),
            {
                "top_plates": _("Open wall tops"),
                "plumbing_wall": _("Plumbing wall"),
                "chimney_chase": _("Gap at the chimney"),
                "dropped_soffit": _("Dropped soffit"),
                "knee_wall_transition": _("Floor under the knee wall"),
                "attic_access": _("Attic access"),
                "mechanical_chase": _("Duct or pipe chase"),
                "level_change": _("Change of level"),
                "wire_holes": _("Holes at wires"),
            },
        ),
        count("recessed_lights", _("Recessed lights"), (0, 200), (None, 40)),
        count(
            "recessed_contact_rated",
            _("Of these, rated for contact with insulation"),
            (0, 200),
            part_of="recessed_lights",
            help=_("Not known counts as not rated: keep 3 in. clear."),
        ),
        count(
            "recessed_airtight", _("Of these, airtight"), (0, 200), use=O, part_of="recessed_lights"
        ),
        choices(
            "exhaust_ends_here",
            _("Fans or dryers that end in the attic or soffit"),
            {"bath_fan": _("Bath fan"), "kitchen_fan": _("Kitchen fan"), "dryer": _("Dryer")},
        ),
        choices(
            "equipment_here",
            _("Equipment in the attic"),
            {
                "furnace": _("Furnace or air handler"),
                "water_heater": _("Water heater"),
                "ducts": _("Ducts"),
            },
        ),
        flag("ice_dam_signs", _("Signs of ice dams, frost or stained nails")),
        choice(
            "moisture",
            _("Moisture"),
            {"dry": _("Dry"), "stains": _("Old stains"), "active_leak": _("Active leak")},
        ),
        choice(
            "vermiculite",
            _("Vermiculite"),
            YES_NO_UNKNOWN,
            help=_(
                "Loose, pebble-like, gray or gold grains: stop, and do not move them. Treat "
                "them as asbestos until a laboratory says otherwise."
            ),
        ),
        choice("knob_and_tube", _("Knob-and-tube wiring"), YES_NO_UNKNOWN),
        choice("flue_kind", _("Chimney or flue through the attic"), FLUES),
        quantity(
            "flue_clearance",
            _("Clear distance from the flue to wood or insulation"),
            "in",
            (0, 60),
            (0, 24),
            when=when("flue_kind", *SOME_FLUE),
        ),
        flag("flue_chase_open", _("Gap around it is open"), when=when("flue_kind", *SOME_FLUE)),
        choice(
            "floor_safe",
            _("Safe to work in"),
            {"yes": _("Yes"), "no": _("No: unsafe floor or framing")},
        ),
        text("notes", _("Notes for the crew")),
    ),
    photos=(
        PhotoPrompt("depth", _("Insulation with a ruler in the picture")),
        PhotoPrompt("wide", _("The attic, wide")),
    ),
)

ATTIC_ACCESSES = Group(
    "attic_accesses",
    _("Ways into the attic"),
    _("Way in"),
    name_hint=_("Hall hatch"),
    question=_("Is there a way into the attic?"),
    fields=(
        link("attic", _("Leads to"), "attics"),
        choice(
            "kind",
            _("Kind"),
            {
                "hatch": _("Hatch"),
                "pull_down_stair": _("Pull-down stair"),
                "walk_up_door": _("Door to a stair"),
                "knee_wall_door": _("Knee-wall door"),
                "whole_house_fan": _("Whole-house fan"),
            },
        ),
        text("location", _("Where")),
        quantity("width", _("Width"), "in", (8, 120), (14, 48)),
        quantity("length", _("Length or height"), "in", (8, 120), (14, 84)),
        quantity("cover_r", _("R-value of the cover"), "R", (0, 60), (0, 49)),
        flag("gasketed", _("Has a gasket")),
        quantity("curb_height", _("Height of the curb"), "in", (0, 48), (0, 24), O),
    ),
    photos=(PhotoPrompt("access", _("The way in, open")),),
)

SECTION = Section(
    "attic",
    _("Attic and roof"),
    groups=(ATTICS, ATTIC_ACCESSES),
    caution=_(
        "Do not disturb pebble-like insulation. Step on framing only. Old cloth-covered wires "
        "may be live."
    ),
    fields=(
        choice(
            "roof_color",
            _("Color of the roof"),
            {"light": _("Light"), "medium": _("Medium"), "dark": _("Dark")},
        ),
        choice(
            "roof_material",
            _("Roof covering"),
            {
                "asphalt_shingle": _("Asphalt shingles"),
                "wood_shingle": _("Wood shingles"),
                "metal": _("Metal"),
                "tile_slate": _("Tile or slate"),
                "membrane": _("Flat membrane"),
                "other": _("Other"),
            },
        ),
        quantity(
            "roof_age", _("Age of the roof covering"), "years", (0, 150), (0, 40), O, how="reported"
        ),
        quantity("roof_pitch", _("Slope of the roof"), "°", (0, 60), (0, 50), O),
    ),
)
