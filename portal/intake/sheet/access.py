"""What a crew must know to price the work and to get in."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import O, Section, choice, choices, count, flag, text

SECTION = Section(
    "access",
    _("Access for the crew"),
    fields=(
        text("parking", _("Parking and way in")),
        choice(
            "hours",
            _("When a crew may come"),
            {
                "any": _("Any weekday"),
                "mornings": _("Mornings"),
                "afternoons": _("Afternoons"),
                "by_call": _("After a call"),
            },
            how="reported",
        ),
        choices(
            "to_prepare",
            _("To be ready before work"),
            {
                "clear_attic": _("Clear the attic"),
                "clear_crawl_access": _("Clear the crawlspace access"),
                "move_furniture": _("Move furniture from outside walls"),
                "pets_away": _("Pets kept apart"),
                "trim_plants": _("Plants cut back from the walls"),
            },
        ),
        flag("power_water_near", _("Power and water at the work place"), O),
        count("ladder_feet", _("Ladder needed, feet"), (0, 60), (0, 40), O),
        text("crew_cautions", _("Cautions for the crew")),
        text("notes", _("Other notes")),
    ),
)
