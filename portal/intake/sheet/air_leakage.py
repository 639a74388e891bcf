"""The blower-door test and the leaks found with it."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import (
    Choices,
    Field,
    Group,
    Kind,
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

LEAK_PLACES: Choices = {
    "attic_floor": _("Attic floor"),
    "attic_access": _("Attic access"),
    "walls": _("Outside walls"),
    "garage_wall": _("Wall or ceiling to the garage"),
    "windows_doors": _("Windows and doors"),
    "rim_joist": _("Rim joist"),
    "foundation": _("Foundation and floor"),
    "chimney": _("Chimney or fireplace"),
    "ducts": _("Ducts"),
}

TESTS = Group(
    "blower_door_tests",
    _("Blower-door tests"),
    _("Test"),
    name_hint=_("Test on arrival"),
    least=1,
    when=when("blower_door", "done"),
    fields=(
        choice(
            "stage",
            _("When in the job"),
            {
                "audit": _("At the audit"),
                "work_in_progress": _("During work"),
                "end_of_work": _("At the end of work"),
                "quality_inspection": _("At a quality inspection"),
            },
        ),
        Field("tested_on", _("Date, if not the day of the visit"), Kind.DATE, O),
        choice(
            "method",
            _("Method"),
            {
                "single_point": _("One reading at 50 Pa"),
                "extrapolated": _("One reading below 50 Pa"),
                "multi_point": _("Several readings"),
            },
        ),
        choice(
            "direction",
            _("Direction"),
            {"depressurize": _("Air drawn out"), "pressurize": _("Air blown in")},
        ),
        choice(
            "scope",
            _("Space tested"),
            {
                "whole_building": _("Whole building"),
                "whole_unit": _("Whole unit"),
                "unit_to_outside": _("Unit, leaks to outside only"),
            },
        ),
        choices(
            "setup",
            _("Set up"),
            {
                "exterior_closed": _("Outside doors and windows shut"),
                "interior_open": _("Inside doors open"),
                "damper_closed": _("Fireplace damper shut, ash removed or covered"),
                "appliances_off": _("Burners off or on pilot"),
                "fans_off": _("Exhaust fans and dryer off"),
                "air_handler_off": _("Air handler off"),
                "attic_hatch_closed": _("Attic hatch shut"),
                "traps_filled": _("Drain traps filled"),
            },
            help=_("The test after the work repeats the same set-up."),
        ),
        choice(
            "basement_door",
            _("Basement door"),
            {"open": _("Open"), "closed": _("Shut"), "none": _("No basement")},
        ),
        text("fan_location", _("Fan stood in")),
        quantity("baseline_before", _("Baseline before"), "Pa", (-50, 50), (-5, 5)),
        quantity("baseline_after", _("Baseline after"), "Pa", (-50, 50), (-5, 5), O),
        quantity(
            "house_pressure",
            _("House pressure reached"),
            "Pa",
            (1, 100),
            (45, 55),
            help=_("The size as the gauge shows it; the direction is its own field."),
        ),
        quantity("fan_pressure", _("Fan pressure"), "Pa", (0, 600), (15, 300), O),
        text("ring", _("Fan and ring")),
        quantity(
            "flow",
            _("Flow at that pressure"),
            "cfm",
            (5, 30000),
            (300, 8000),
            help=_("The sum of all fans."),
        ),
        quantity("indoor_temp", _("Indoor temperature at the test"), "°F", (-30, 125), (55, 85)),
        quantity(
            "outdoor_temp", _("Outdoor temperature at the test"), "°F", (-80, 135), (-20, 110)
        ),
        quantity("altitude", _("Altitude"), "ft", (-300, 14500), (0, 8000), O, how="document"),
        text(
            "could_not_reach",
            _("Why 50 Pa could not be reached"),
            when=when("method", "extrapolated"),
            use=O,
        ),
    ),
    photos=(PhotoPrompt("gauge", _("The gauge with its reading")),),
)

POINTS = Group(
    "blower_door_points",
    _("Readings of a test with several"),
    _("Reading"),
    name_hint=_("Reading 1"),
    fields=(
        link("test", _("Belongs to"), "blower_door_tests"),
        quantity("pressure", _("House pressure"), "Pa", (1, 100), (10, 75)),
        quantity("flow", _("Flow"), "cfm", (5, 30000), (100, 8000)),
    ),
)

LEAKS = Group(
    "leaks",
    _("Leaks found"),
    _("Leak"),
    name_hint=_("Open wall tops over the bath"),
    fields=(
        choice("place", _("Place"), LEAK_PLACES),
        choice(
            "size", _("Size"), {"small": _("Small"), "medium": _("Medium"), "large": _("Large")}
        ),
        choice(
            "found_with",
            _("Found with"),
            {
                "smoke": _("Smoke"),
                "infrared": _("Infrared"),
                "hand": _("Hand"),
                "seen": _("Seen"),
            },
        ),
        quantity("length", _("Length"), "ft", (0, 500), (0, 200), O),
        text("words", _("What the crew will find")),
    ),
    photos=(PhotoPrompt("leak", _("The leak, close")),),
)

SECTION = Section(
    "air_leakage",
    _("Air leakage"),
    groups=(TESTS, POINTS, LEAKS),
    caution=_(
        "Never run the fan with vermiculite or friable asbestos in the house, a fire or embers "
        "in a hearth, or somebody too ill to bear it. Burners are off while it runs."
    ),
    fields=(
        choice(
            "blower_door",
            _("Blower-door test"),
            {"done": _("Done"), "not_done": _("Not done")},
        ),
        choice(
            "not_done_reason",
            _("Why not"),
            {
                "vermiculite": _("Vermiculite"),
                "asbestos": _("Asbestos that may come loose"),
                "illness": _("Illness in the house"),
                "construction": _("Building work under way"),
                "fire_lit": _("Fire or embers in a hearth"),
                "other": _("Other, see notes"),
            },
            when=when("blower_door", "not_done"),
        ),
        text("not_done_words", _("What was agreed instead"), when=when("blower_door", "not_done")),
        quantity(
            "attic_pressure",
            _("Attic, against the house at 50 Pa"),
            "Pa",
            (-20, 80),
            (0, 50),
            O,
            help=_("Near 50: outside the air barrier. Near 0: inside it."),
        ),
        quantity(
            "crawlspace_pressure",
            _("Crawlspace or basement, against the house"),
            "Pa",
            (-20, 80),
            (0, 50),
            O,
        ),
        quantity("garage_pressure", _("Garage, against the house"), "Pa", (-20, 80), (0, 50), O),
        flag(
            "appliances_back_on",
            _("Burners, pilots and thermostat back on and proved"),
            when=when("blower_door", "done"),
            help=_("Do not leave the house before this is a yes."),
        ),
        flag(
            "fans_back_on",
            _("Fans, dampers and doors as they were"),
            when=when("blower_door", "done"),
        ),
        count("registers_covered", _("Registers still covered"), (0, 100), (0, 0), O),
    ),
)
