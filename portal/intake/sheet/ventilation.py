"""Ventilation and moisture."""

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
    quantity,
    text,
    when,
)

ENDS: Choices = {
    "outside": _("Outside"),
    "attic": _("Attic"),
    "soffit": _("Soffit"),
    "crawlspace": _("Crawlspace"),
    "room": _("Back into the room"),
    "unknown": _("Not known"),
}

FANS = Group(
    "fans",
    _("Fans"),
    _("Fan"),
    name_hint=_("Hall bath fan"),
    question=_("Are there exhaust or ventilation fans?"),
    fields=(
        choice(
            "purpose",
            _("For"),
            {
                "bath": _("Bathroom"),
                "half_bath": _("Half bath"),
                "kitchen": _("Kitchen hood"),
                "kitchen_other": _("Kitchen wall or ceiling fan"),
                "whole_house": _("Whole-house ventilation"),
                "laundry": _("Laundry"),
            },
        ),
        choice(
            "kind",
            _("Kind"),
            {
                "exhaust": _("Blows out"),
                "supply": _("Blows in"),
                "hrv": _("Heat-recovery ventilator"),
                "erv": _("Energy-recovery ventilator"),
                "central_fan": _("Central fan with outdoor air"),
            },
        ),
        quantity(
            "flow",
            _("Measured flow"),
            "cfm",
            (0, 3000),
            (0, 200),
            asks_how=True,
            help=_("By flow hood. Above 400 cfm a kitchen hood wants make-up air."),
        ),
        choice("vented_to", _("Ends"), ENDS),
        quantity("hours_per_day", _("Hours a day"), "h", (0, 24), (0, 24), O, how="reported"),
        choice(
            "control",
            _("Control"),
            {
                "switch": _("Switch"),
                "timer": _("Timer"),
                "humidity": _("Humidity"),
                "continuous": _("Runs all the time"),
            },
            O,
        ),
        quantity("power", _("Power"), "W", (0, 1000), (3, 300), O, how="nameplate"),
        quantity(
            "recovery",
            _("Heat recovered"),
            "%",
            (0, 95),
            (50, 90),
            how="nameplate",
            when=when("kind", "hrv", "erv"),
        ),
        flag("openable_window", _("The room has a window that opens"), O),
        choice(
            "duct",
            _("Duct"),
            {
                "rigid": _("Rigid metal"),
                "flex_foil": _("Foil flex"),
                "flex_plastic": _("Plastic flex"),
                "none": _("None"),
            },
            O,
        ),
        flag("duct_insulated", _("Duct insulated"), O),
    ),
    photos=(
        PhotoPrompt(
            "fan_end", _("Where it ends"), when=when("vented_to", "attic", "soffit", "crawlspace")
        ),
    ),
)

MOISTURE_READINGS = Group(
    "moisture_readings",
    _("Moisture-meter readings"),
    _("Reading"),
    name_hint=_("Sheathing, north side"),
    fields=(
        text("point", _("Point"), use=O),
        quantity(
            "reading",
            _("Moisture of the wood"),
            "% read",
            (0, 100),
            (0, 16),
            help=_("At 20 % and above wood can rot."),
        ),
    ),
    photos=(PhotoPrompt("reading", _("The meter at the point")),),
)

SECTION = Section(
    "ventilation",
    _("Ventilation and moisture"),
    groups=(FANS, MOISTURE_READINGS),
    fields=(
        count("full_baths_without_fan", _("Full baths without a fan"), (0, 10), (0, 4)),
        flag("baths_without_fan_window", _("Those baths have windows that open"), O),
        choice(
            "kitchen_exhaust",
            _("Kitchen exhaust"),
            {
                "outside": _("Hood to outside"),
                "recirculating": _("Recirculating hood"),
                "none": _("None"),
            },
        ),
        flag("kitchen_window", _("Kitchen window opens"), O),
        choice("dryer_vent", _("Dryer vent ends"), {**ENDS, "none": _("No vented dryer")}),
        choice(
            "dryer_duct",
            _("Dryer duct"),
            {
                "rigid": _("Rigid metal"),
                "flex_metal": _("Flexible metal"),
                "plastic": _("Plastic or foil: fire risk"),
                "none": _("None"),
            },
        ),
        quantity("dryer_duct_length", _("Length of the dryer duct"), "ft", (0, 100), (2, 35), O),
        quantity("humidity", _("Indoor relative humidity"), "% read", (0, 100), (25, 60)),
        choice(
            "mold",
            _("Mold you can see"),
            {"none": _("None"), "small": _("Under 10 ft²"), "large": _("10 ft² or more")},
        ),
        quantity(
            "mold_area",
            _("Area with mold"),
            "ft²",
            (0.1, 5000),
            (0.5, 100),
            when=when("mold", "small", "large"),
        ),
        text("mold_location", _("Where the mold is"), when=when("mold", "small", "large")),
        choices(
            "water_entry",
            _("Water gets in by"),
            {
                "roof": _("Roof"),
                "gutters": _("Gutters"),
                "grading": _("Ground slopes in"),
                "foundation": _("Foundation"),
                "windows": _("Windows"),
                "plumbing": _("Plumbing leak"),
            },
        ),
        choices(
            "sources",
            _("Moisture inside"),
            {
                "humidifier": _("Humidifier"),
                "drying_laundry": _("Laundry drying"),
                "many_plants": _("Many plants"),
                "uncovered_crawl": _("Bare earth below"),
                "aquarium": _("Aquarium"),
            },
            O,
        ),
        choice(
            "radon_test", _("Radon test"), {"tested": _("Tested"), "not_tested": _("Not tested")}
        ),
        quantity(
            "radon",
            _("Radon"),
            "pCi/L",
            (0, 5000),
            (0, 4),
            how="document",
            when=when("radon_test", "tested"),
        ),
        Field("radon_on", _("Date of the radon test"), Kind.DATE, O, how="document"),
        text("notes", _("Notes")),
    ),
)
