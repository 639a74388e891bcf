"""Lamps, refrigerators and other appliances."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import (
    FUELS,
    NEXT_YEAR,
    Group,
    O,
    PhotoPrompt,
    Section,
    choice,
    count,
    flag,
    quantity,
    when,
    year,
)

GAS_OR_ELECTRIC = {key: FUELS[key] for key in ("natural_gas", "propane", "electricity")}

LAMPS = Group(
    "lamps",
    _("Lamps"),
    _("Alike lamps"),
    name_hint=_("Old bulbs inside"),
    question=_("Are there lamps?"),
    fields=(
        choice(
            "kind",
            _("Kind"),
            {
                "led": _("LED"),
                "cfl": _("Compact fluorescent"),
                "incandescent": _("Incandescent"),
                "halogen": _("Halogen"),
                "fluorescent_tube": _("Fluorescent tube"),
            },
        ),
        choice(
            "location",
            _("Where"),
            {"inside": _("Inside"), "outside": _("Outside"), "garage": _("Garage")},
        ),
        count("count", _("How many"), (0, 500), (0, 80)),
        quantity("power_each", _("Power of one"), "W", (0, 1000), (4, 150), O, how="nameplate"),
        quantity("hours_per_day", _("Hours a day"), "h", (0, 24), (0, 12), O, how="reported"),
        count("swappable", _("Sockets that take an LED"), (0, 500), use=O, part_of="count"),
    ),
)

REFRIGERATORS = Group(
    "refrigerators",
    _("Refrigerators and freezers"),
    _("Refrigerator or freezer"),
    name_hint=_("Kitchen refrigerator"),
    question=_("Are there refrigerators or freezers?"),
    fields=(
        choice("kind", _("Kind"), {"refrigerator": _("Refrigerator"), "freezer": _("Freezer")}),
        choice(
            "location",
            _("Where"),
            {
                "inside": _("Inside"),
                "garage": _("Garage"),
                "basement": _("Basement"),
                "outside": _("Porch or outside"),
            },
        ),
        flag("is_second", _("It is a second one")),
        year("year", _("Year made"), (1930, NEXT_YEAR), (1975, None), how="nameplate"),
        quantity("volume", _("Size"), "ft³", (1, 60), (8, 32), O, how="nameplate"),
        quantity(
            "metered_kwh_per_year", _("Metered use in a year"), "kWh", (5, 8000), (200, 2000), O
        ),
        quantity(
            "metered_minutes",
            _("Metered for"),
            "min",
            (0, 20000),
            (120, None),
            O,
            help=_("Under 2 hours the result is not used."),
        ),
        flag("defrost_seen", _("Defrost seen while metering"), O),
    ),
    photos=(PhotoPrompt("nameplate", _("Nameplate"), when=when("is_second")),),
)

SECTION = Section(
    "lighting_appliances",
    _("Lights and appliances"),
    groups=(LAMPS, REFRIGERATORS),
    fields=(
        choice("cooking_fuel", _("Range and oven"), {**GAS_OR_ELECTRIC, "none": _("None")}),
        choice("dryer_fuel", _("Clothes dryer"), {**GAS_OR_ELECTRIC, "none": _("None")}),
        flag("clothes_washer", _("Clothes washer")),
        choice(
            "clothes_washer_kind",
            _("Kind of clothes washer"),
            {
                "old": _("Old top loader"),
                "efficient": _("Front loader, or labeled as efficient"),
                "unknown": _("Not known"),
            },
            O,
        ),
        choice(
            "dehumidifier",
            _("Dehumidifier"),
            {
                "none": _("None"),
                "old": _("Made before 2013"),
                "efficient": _("Made 2013 or later"),
            },
            O,
        ),
        flag("dishwasher", _("Dishwasher")),
        quantity("standby_power", _("Measured standby"), "W", (0, 1500), (20, 400), O),
        choice(
            "electric_vehicle",
            _("Electric vehicle"),
            {
                "none": _("None"),
                "planned": _("Planned"),
                "level_1": _("Charges at 120 V"),
                "level_2": _("Charges at 240 V"),
            },
            O,
            how="reported",
        ),
        choice(
            "solar",
            _("Solar panels"),
            {"none": _("None"), "owned": _("Owned"), "leased": _("Leased")},
            O,
        ),
        quantity(
            "solar_kw",
            _("Size of the solar panels"),
            "W",
            (100, 50000),
            (1000, 20000),
            when=when("solar", "owned", "leased"),
            use=O,
            how="document",
        ),
    ),
)
