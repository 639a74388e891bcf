"""The household and the dwelling."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import (
    C,
    O,
    Section,
    choice,
    choices,
    count,
    flag,
    quantity,
    text,
    when,
    year,
)

HOUSEHOLD = (
    choice(
        "occupancy",
        _("Who lives here"),
        {
            "owner": _("The owner"),
            "renter": _("A renter"),
            "both": _("Owner and renter"),
            "vacant": _("Nobody at present"),
        },
        how="reported",
    ),
    count("residents", _("People living here"), (0, 40), (None, 12), how="reported"),
    count("adults", _("Adults"), (0, 40), use=O, part_of="residents", how="reported"),
    count("children", _("Children under 18"), (0, 40), use=O, part_of="residents", how="reported"),
    count(
        "children_under_6",
        _("Children under 6"),
        (0, 40),
        part_of="residents",
        how="reported",
        help=_("With a house built before 1978 this calls for lead-safe work."),
    ),
    count(
        "people_60_plus",
        _("People aged 60 or more"),
        (0, 40),
        use=O,
        part_of="residents",
        how="reported",
        is_restricted=True,
    ),
    year("moved_in_year", _("Moved in"), use=O, how="reported"),
    choice(
        "medical_need",
        _("Somebody depends on equipment, or on not being cold or hot"),
        {"yes": _("Yes"), "no": _("No"), "declined": _("Rather not say")},
        O,
        how="reported",
        is_restricted=True,
    ),
    choice(
        "language",
        _("Language for talks and letters"),
        {"en": _("English"), "es": _("Spanish"), "other": _("Another, see notes")},
        how="reported",
    ),
    choice(
        "contact_preference",
        _("How to reach them"),
        {
            "email": _("E-mail"),
            "phone": _("Phone call"),
            "text": _("Text message"),
            "mail": _("Mail"),
        },
        how="reported",
    ),
    text("accessibility_needs", _("Needs for later visits"), how="reported"),
    choice(
        "pets",
        _("Pets"),
        {"none": _("None"), "inside": _("Inside"), "outside": _("In the yard")},
        how="reported",
    ),
    text(
        "pets_words",
        _("Which, and where they stay during work"),
        when=when("pets", "inside", "outside"),
        use=O,
        how="reported",
    ),
    quantity(
        "heating_setpoint", _("Thermostat in winter"), "°F", (40, 95), (55, 78), how="reported"
    ),
    quantity("heating_setback", _("Turned down by"), "ΔF", (0, 25), (0, 12), O, how="reported"),
    quantity(
        "setback_hours", _("Hours a day turned down"), "h", (0, 24), (0, 16), O, how="reported"
    ),
    quantity(
        "cooling_setpoint",
        _("Thermostat in summer"),
        "°F",
        (50, 100),
        (68, 84),
        C,
        when=when("heating_cooling.cooling_systems_present"),
        how="reported",
    ),
    quantity(
        "cooling_setup", _("Turned up by when away"), "ΔF", (0, 25), (0, 12), O, how="reported"
    ),
    text("rooms_closed", _("Rooms closed off"), how="reported"),
    count("months_away", _("Months away in a year"), (0, 12), use=O, how="reported"),
)

BUILDING = (
    choice(
        "facility_type",
        _("Kind of home"),
        {
            "detached": _("Detached house"),
            "attached": _("Attached house"),
            "two_to_four": _("Building of two to four homes"),
            "manufactured": _("Manufactured home"),
            "apartment": _("Apartment"),
        },
    ),
    year(
        "year_built",
        _("Year built"),
        (1600, "this_year"),
        (1750, None),
        how="document",
        asks_how=True,
        help=_(
            "Before 1978: lead paint is possible. Before 1950: look for "
            "knob-and-tube wiring. Before 1990: look for vermiculite."
        ),
    ),
    choice(
        "year_built_basis", _("The year is"), {"known": _("Known"), "estimated": _("Estimated")}
    ),
    year("remodel_year", _("Year of the last large remodel"), use=O, how="reported"),
    count("units_in_building", _("Homes in the building"), (1, 400), (1, 4)),
    choice(
        "unit_position",
        _("Other homes"),
        {
            "none": _("None above or below"),
            "above": _("One above"),
            "below": _("One below"),
            "both": _("Above and below"),
        },
        when=when("facility_type", "two_to_four", "apartment"),
    ),
    count("stories", _("Stories above grade"), (0.5, 6), (1, 3.5), step=0.5),
    count("bedrooms", _("Bedrooms"), (0, 20), (None, 6)),
    count(
        "bathrooms",
        _("Bathrooms"),
        (0, 20),
        (None, 5),
        step=0.5,
        help=_("A half bath has no tub or shower."),
    ),
    quantity(
        "floor_area",
        _("Heated floor area"),
        "ft²",
        (80, 25000),
        (500, 6000),
        asks_how=True,
        help=_("By outside dimensions, heated basement included."),
    ),
    quantity("ceiling_height", _("Average ceiling height"), "ft", (4, 30), (7, 10)),
    quantity(
        "boundary_height",
        _("Height from lowest to highest heated point above grade"),
        "ft",
        (6, 70),
        (8, 35),
    ),
    quantity(
        "volume",
        _("Heated volume, when it is not area times height"),
        "ft³",
        (320, 500000),
        (3000, 80000),
        O,
    ),
    choice(
        "footprint_shape",
        _("Footprint"),
        {
            "rectangle": _("Rectangle"),
            "l_shape": _("L"),
            "t_shape": _("T"),
            "u_shape": _("U"),
            "other": _("Other"),
        },
    ),
    quantity("footprint_length", _("Longer side of the footprint"), "ft", (8, 260), (20, 90)),
    quantity("footprint_width", _("Shorter side of the footprint"), "ft", (8, 260), (16, 50)),
    choice(
        "interior_mass",
        _("Mass inside"),
        {
            "light": _("Frame with drywall"),
            "medium": _("Plaster, or some brick or tile"),
            "heavy": _("Brick, block or bare slab inside"),
        },
    ),
    choice(
        "garage",
        _("Garage"),
        {
            "none": _("None"),
            "detached": _("Apart from the house"),
            "attached": _("Attached, no rooms above"),
            "under_rooms": _("Attached, rooms above"),
        },
    ),
    quantity(
        "garage_area",
        _("Garage floor area"),
        "ft²",
        (60, 4000),
        (180, 1000),
        when=when("garage", "attached", "under_rooms"),
    ),
    quantity(
        "garage_wall_area",
        _("Garage walls to outside"),
        "ft²",
        (0, 6000),
        (100, 1200),
        O,
        when=when("garage", "attached", "under_rooms"),
    ),
    choice(
        "lead_paint",
        _("Lead paint"),
        {
            "presumed": _("Presumed: built before 1978, not tested"),
            "tested_absent": _("Tested, none found"),
            "tested_present": _("Tested, found"),
            "newer_house": _("House built in 1978 or later"),
        },
        help=_("Work that disturbs old paint needs a certified firm and records."),
    ),
    choice(
        "manufactured_sections",
        _("Sections"),
        {"single": _("Single"), "double": _("Double"), "triple": _("Triple")},
        when=when("facility_type", "manufactured"),
    ),
    choice(
        "belly_wrap",
        _("Belly wrap"),
        {"good": _("Good"), "fair": _("Fair"), "poor": _("Poor")},
        when=when("facility_type", "manufactured"),
    ),
    choice(
        "skirting",
        _("Skirting"),
        {"good": _("Good"), "fair": _("Fair"), "poor": _("Poor"), "none": _("None")},
        when=when("facility_type", "manufactured"),
    ),
    choices(
        "loads_present",
        _("Also here"),
        {
            "pool": _("Pool"),
            "spa": _("Spa"),
            "aquarium": _("Large aquarium"),
            "sauna": _("Sauna"),
            "well_pump": _("Well pump"),
            "sump_pump": _("Sump pump"),
            "dehumidifier": _("Dehumidifier"),
            "space_heaters": _("Space heaters"),
            "medical_equipment": _("Medical equipment"),
            "electric_vehicle": _("Electric vehicle"),
        },
        O,
    ),
    flag("renovation_unfinished", _("Remodeling left unfinished"), O),
)

SECTION = Section(
    "dwelling",
    _("Household and dwelling"),
    fields=HOUSEHOLD + BUILDING,
)
