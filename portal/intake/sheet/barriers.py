"""Hazards and barriers the auditor saw that no other section asks for."""

from django.utils.translation import gettext_lazy as _

from portal.intake.sheet.kinds import Choices, Group, PhotoPrompt, Section, choice, flag, text, when

BARRIER_KINDS: Choices = {
    "knob_and_tube": _("Knob-and-tube wiring"),
    "vermiculite": _("Vermiculite"),
    "asbestos": _("Material that may be asbestos"),
    "mold": _("Mold"),
    "lead_paint": _("Damaged paint that may be lead"),
    "gas_leak": _("Gas leak"),
    "carbon_monoxide": _("Carbon monoxide"),
    "bad_vent": _("Bad vent or chimney"),
    "structure": _("Rot, sagging, unsafe stairs or floor"),
    "roof_leak": _("Roof leak"),
    "plumbing_leak": _("Plumbing leak"),
    "unvented_heater": _("Room heater without a vent"),
    "radon": _("Radon"),
    "electrical": _("Electrical hazard"),
    "pests": _("Pests or droppings"),
    "sewage": _("Sewage"),
    "clutter": _("Clutter or hoarding"),
    "unfinished_work": _("Remodeling unfinished or red tag"),
    "occupant_health": _("Health of somebody in the house"),
    "unsafe_conditions": _("Unsafe or hostile conditions"),
}

BARRIERS = Group(
    "barriers",
    _("Hazards and barriers"),
    _("Hazard"),
    name_hint=_("Bare flue in the attic"),
    question=_("Did you see any other hazard, or anything that stops work?"),
    fields=(
        choice("kind", _("Kind"), BARRIER_KINDS),
        text("location", _("Where"), longest=120),
        text("extent", _("How much of it")),
        choice(
            "severity",
            _("What it means"),
            {
                "stop_now": _("Stop now"),
                "fix_first": _("Fix before this work"),
                "with_care": _("Work with care"),
                "inform": _("Tell them"),
            },
        ),
        choice(
            "where_in_house",
            _("Part of the house"),
            {
                "attic": _("Attic"),
                "walls": _("Walls"),
                "foundation": _("Foundation"),
                "rooms": _("Rooms"),
                "whole_house": _("Whole house"),
            },
        ),
        flag("occupant_told", _("The people in the house were told")),
        text("told_words", _("How, and in which language"), when=when("occupant_told", True)),
        text(
            "incident",
            _("What was done, when, who was called, reference"),
            when=when("severity", "stop_now"),
        ),
        flag(
            "notice_signed",
            _("Hazard notice signed"),
            when=when("severity", "stop_now", "fix_first"),
        ),
    ),
    photos=(PhotoPrompt("hazard", _("The hazard")),),
)

SECTION = Section(
    "barriers",
    _("Hazards and barriers"),
    groups=(BARRIERS,),
    intro=_("Hazards found by a test or in another section are listed by themselves."),
)
