"""Ducts and their tests."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import (
    SPACES,
    Field,
    Group,
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

RUNS = Group(
    "duct_runs",
    _("Ducts"),
    _("Duct run"),
    name_hint=_("Supply ducts in the crawlspace"),
    question=_("Are there ducts?"),
    fields=(
        choice("side", _("Side"), {"supply": _("Supply"), "return": _("Return")}),
        choice("location", _("Where they run"), SPACES),
        choice(
            "material",
            _("Made of"),
            {
                "sheet_metal": _("Sheet metal"),
                "flex": _("Flexible duct"),
                "fiberboard": _("Fiberboard"),
                "cavity": _("Wall or joist cavity"),
                "other": _("Other"),
            },
        ),
        quantity("insulation_r", _("R-value of the wrap"), "R", (0, 30), (0, 12)),
        quantity("area", _("Outside surface"), "ft²", (0, 5000), (10, 800), O, how="estimated"),
        choice(
            "condition",
            _("Leaks you can see"),
            {
                "sealed": _("Sealed with mastic"),
                "none_seen": _("None seen"),
                "some": _("Some"),
                "significant": _("Many"),
                "catastrophic": _("Open or fallen off"),
            },
        ),
        choices(
            "flags",
            _("Also"),
            {
                "disconnected": _("Disconnected"),
                "cavity_return": _("Cavity used as return"),
                "crushed": _("Crushed"),
                "wet": _("Wet"),
                "asbestos": _("Tape or wrap that may be asbestos"),
            },
        ),
        text("notes", _("Notes for the crew")),
    ),
    photos=(PhotoPrompt("ducts", _("The ducts and their joints")),),
)

TESTS = Group(
    "duct_tests",
    _("Duct tests"),
    _("Duct test"),
    name_hint=_("Test on arrival"),
    fields=(
        Field("tested_on", _("Date, if not the day of the visit"), Kind.DATE, O),
        choice(
            "method",
            _("Method"),
            {
                "duct_fan": _("Fan on the ducts"),
                "subtraction": _("Blower-door subtraction"),
                "pressure_pan": _("Pressure pan"),
                "visual": _("By eye only"),
            },
        ),
        choice(
            "leaks_to",
            _("Leaks counted"),
            {"outside": _("To outside"), "total": _("All of them")},
            when=when("method", "duct_fan", "subtraction"),
        ),
        choice(
            "side",
            _("Side"),
            {"both": _("Both"), "supply": _("Supply"), "return": _("Return")},
            when=when("method", "duct_fan", "subtraction"),
        ),
        quantity(
            "pressure",
            _("Duct pressure reached"),
            "Pa",
            (1, 100),
            (24, 26),
            when=when("method", "duct_fan", "subtraction"),
        ),
        quantity(
            "flow",
            _("Flow at that pressure"),
            "cfm",
            (0, 4000),
            (10, 600),
            when=when("method", "duct_fan", "subtraction"),
        ),
        quantity(
            "pan_highest",
            _("Highest pan reading"),
            "Pa",
            (0, 50),
            (0, 1),
            when=when("method", "pressure_pan"),
        ),
        quantity("pan_average", _("Average pan reading"), "Pa", (0, 50), (0, 1), O),
    ),
    photos=(PhotoPrompt("gauge", _("The gauge with its reading")),),
)

SECTION = Section(
    "ducts",
    _("Ducts"),
    groups=(RUNS, TESTS),
    fields=(
        quantity("fan_flow", _("Air flow of the system"), "cfm", (100, 6000), (400, 2500), O),
        quantity(
            "operating_pressure",
            _("Pressure in the supply while running"),
            "Pa",
            (1, 250),
            (5, 120),
            O,
        ),
        choice(
            "outside_heated_rooms",
            _("Ducts outside the heated rooms"),
            {
                "all": _("All"),
                "most": _("Most"),
                "half": _("About half"),
                "few": _("Few"),
                "none": _("None"),
            },
            when=when("duct_runs_present"),
        ),
        flag(
            "return_in_garage",
            _("A duct or return opens to the garage"),
            when=when("duct_runs_present"),
        ),
        text("not_tested_words", _("If not tested, why"), use=O),
    ),
)
