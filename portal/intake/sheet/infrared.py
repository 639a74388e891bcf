"""Infrared findings and the conditions that make them mean something."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import (
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

FINDINGS = Group(
    "infrared_findings",
    _("Infrared findings"),
    _("Finding"),
    name_hint=_("Bedroom corner, north"),
    fields=(
        choice(
            "surface",
            _("Surface"),
            {
                "wall": _("Wall"),
                "ceiling": _("Ceiling"),
                "floor": _("Floor"),
                "window": _("Window"),
                "duct": _("Duct"),
                "other": _("Other"),
            },
        ),
        text("location", _("Where"), use=O),
        choice(
            "pattern",
            _("What it shows"),
            {
                "missing_insulation": _("Missing insulation"),
                "settled_insulation": _("Settled insulation"),
                "thermal_bridge": _("Thermal bridge"),
                "air_leak": _("Air leak"),
                "moisture": _("Moisture suspected"),
                "hot_spot": _("Electrical hot spot"),
            },
        ),
        quantity("good_spot", _("Temperature of a good part"), "°F", (-40, 300), (20, 110)),
        quantity("bad_spot", _("Temperature of the part in question"), "°F", (-40, 300), (20, 110)),
        choice(
            "confirmed_by",
            _("Confirmed by"),
            {
                "probe": _("Probe"),
                "borescope": _("Borescope"),
                "moisture_meter": _("Moisture meter"),
                "smoke": _("Smoke"),
                "none": _("Nothing else"),
            },
        ),
        text("caption", _("Words for the homeowner"), use=O, longest=160),
    ),
    photos=(
        PhotoPrompt("infrared", _("Infrared picture")),
        PhotoPrompt("ordinary", _("Ordinary picture of the same view")),
    ),
)

SECTION = Section(
    "infrared",
    _("Infrared"),
    groups=(FINDINGS,),
    fields=(
        choice("used", _("Infrared camera"), {"used": _("Used"), "not_used": _("Not used")}),
        quantity(
            "outdoor_temp",
            _("Outdoor temperature"),
            "°F",
            (-80, 135),
            (-20, 110),
            when=when("used", "used"),
        ),
        quantity(
            "indoor_temp",
            _("Indoor temperature"),
            "°F",
            (-30, 125),
            (55, 85),
            when=when("used", "used"),
        ),
        quantity(
            "hours_steady",
            _("Hours with about this difference"),
            "h",
            (0, 72),
            (0, 48),
            when=when("used", "used"),
            how="estimated",
        ),
        flag("fan_running", _("Blower door running"), when=when("used", "used")),
        quantity("fan_pressure", _("House pressure then"), "Pa", (0, 100), (10, 55), O),
        choice(
            "viewed_from",
            _("Viewed from"),
            {"inside": _("Inside"), "outside": _("Outside")},
            when=when("used", "used"),
        ),
        choices(
            "disturbed_by",
            _("Disturbed by"),
            {"sun": _("Sun"), "wind": _("Wind"), "rain": _("Rain")},
            when=when("used", "used"),
        ),
        quantity("emissivity", _("Emissivity set"), "", (0.1, 1), (0.8, 1), O),
    ),
)
