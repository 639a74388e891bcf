"""The visit and the site."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import (
    ORIENTATIONS,
    Field,
    Kind,
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

SECTION = Section(
    "visit",
    _("Visit and consent"),
    fields=(
        choice(
            "audit_type",
            _("Kind of visit"),
            {
                "initial": _("First visit"),
                "revisit": _("Return visit"),
                "end_of_work": _("End of work"),
                "quality_inspection": _("Quality inspection"),
            },
        ),
        Field("visit_date", _("Date of the visit"), Kind.DATE),
        Field("started_at", _("Arrived at"), Kind.TIME),
        Field("ended_at", _("Left at"), Kind.TIME, O),
        flag("address_confirmed", _("Address and unit confirmed at the door")),
        text("persons_present", _("Who is present"), use=O),
        choice(
            "consent",
            _("Consent to enter and test"),
            {
                "signed": _("Signed"),
                "verbal": _("Given in words, noted here"),
                "refused": _("Refused"),
            },
            help=_("The record cannot be completed without it."),
        ),
        text("consent_words", _("Who gave it, and what was said"), when=when("consent", "verbal")),
        flag("photo_consent", _("Photographs allowed")),
        choices(
            "instruments",
            _("Instruments used"),
            {
                "pressure_gauge": _("Pressure gauge"),
                "blower_door": _("Blower door"),
                "duct_tester": _("Duct tester"),
                "combustion_analyzer": _("Combustion analyzer"),
                "gas_detector": _("Gas detector"),
                "co_monitor": _("Personal CO monitor"),
                "infrared_camera": _("Infrared camera"),
                "flow_hood": _("Flow hood"),
                "moisture_meter": _("Moisture meter"),
                "borescope": _("Borescope"),
            },
        ),
        flag("instruments_calibrated", _("All calibrated in the last 12 months")),
        quantity(
            "outdoor_temp",
            _("Outdoor temperature"),
            "°F",
            (-80, 135),
            (-20, 110),
            help=_("Thermometer in the shade."),
        ),
        quantity("indoor_temp", _("Indoor temperature"), "°F", (-30, 125), (55, 85)),
        choice(
            "wind",
            _("Wind"),
            {"normal": _("Calm to normal"), "windy": _("Windy or gusty")},
            help=_("Gusts above 10 to 15 mph spoil pressure tests."),
        ),
        choices(
            "weather",
            _("Weather"),
            {
                "rain_24h": _("Rain in the last 24 hours"),
                "sun_on_walls": _("Sun on the walls"),
                "snow_on_roof": _("Snow on the roof"),
            },
            O,
        ),
        choice(
            "site_type",
            _("Surroundings"),
            {"rural": _("Rural, open"), "suburban": _("Suburban"), "urban": _("Urban")},
        ),
        choice(
            "shielding",
            _("Shelter from the wind"),
            {
                "well_shielded": _("Well sheltered"),
                "normal": _("Normal"),
                "exposed": _("Exposed"),
            },
        ),
        choice(
            "front_orientation", _("Front of the house faces"), ORIENTATIONS, help=_("By compass.")
        ),
        choices(
            "access_problems",
            _("Access problems"),
            {
                "attic_hatch_blocked": _("Attic hatch blocked"),
                "room_locked": _("Room locked"),
                "crawl_too_low": _("Crawlspace too low"),
                "pets": _("Pets"),
                "clutter": _("Clutter"),
                "parking": _("No parking for a truck"),
            },
        ),
        choices(
            "complaints",
            _("What bothers the people who live here"),
            {
                "cold_room": _("Cold room"),
                "hot_room": _("Hot room"),
                "drafts": _("Drafts"),
                "high_bills": _("High bills"),
                "damp_mold": _("Damp or mold"),
                "dust": _("Dust"),
                "noise": _("Noise"),
                "ice_dams": _("Ice dams"),
                "smells": _("Smells"),
                "equipment_failing": _("Equipment failing"),
            },
            how="reported",
            help=_("Ask this first. It opens the report."),
        ),
        text("complaints_words", _("In their own words"), how="reported"),
    ),
    photos=(
        PhotoPrompt("front", _("Front of the house")),
        PhotoPrompt("back", _("Back of the house")),
        PhotoPrompt("left", _("Left side")),
        PhotoPrompt("right", _("Right side")),
    ),
)
