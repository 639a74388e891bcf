"""What the field sheet is made of: sections, groups, fields, limits and conditions.

One declaration drives the pages, the operations, the JSON Schema, the upload template and the
checks, so that a field is added in one place.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Words = str | Promise
Choices = Mapping[str, Words]


class Kind(StrEnum):
    """What sort of value a field takes."""

    QUANTITY = "quantity"
    COUNT = "count"
    YEAR = "year"
    CHOICE = "choice"
    CHOICES = "choices"
    FLAG = "flag"
    TEXT = "text"
    DATE = "date"
    TIME = "time"
    LINK = "link"


class Use(StrEnum):
    """Whether the record can be completed without it."""

    REQUIRED = "R"
    CONDITIONAL = "C"
    OPTIONAL = "O"


@dataclass(frozen=True)
class When:
    """A condition on another field: of the same item or section, or ``section.field``."""

    field: str
    among: tuple[Any, ...]


@dataclass(frozen=True)
class Unit:
    """A surface unit: the spellings people may choose beside the box, and the SI unit stored."""

    accepted: tuple[str, ...]
    si: str


# Percent readings of instruments and angles are stored as read, so that a reading is compared
# with its limit exactly as taken; other percentages are stored as shares.
UNITS: Mapping[str, Unit] = {
    "": Unit(("",), ""),
    "ft": Unit(("ft", "in", "m", "cm"), "m"),
    "in": Unit(("in", "ft", "cm", "mm"), "m"),
    "ft²": Unit(("ft²", "m²"), "m2"),
    "in²": Unit(("in²", "ft²", "m²"), "m2"),
    "ft³": Unit(("ft³", "m³"), "m3"),
    "gal": Unit(("gal", "L"), "m3"),
    "cfm": Unit(("cfm", "L/s", "m³/h"), "m3/s"),
    "gpm": Unit(("gpm", "L/min"), "m3/s"),
    "gph": Unit(("gph", "L/min"), "m3/s"),
    "Pa": Unit(("Pa", "in w.c."), "Pa"),
    "in w.c.": Unit(("in w.c.", "Pa"), "Pa"),
    "psi": Unit(("psi", "kPa"), "Pa"),
    "°F": Unit(("°F", "°C"), "degC"),
    "ΔF": Unit(("ΔF", "ΔC"), "K"),
    "R": Unit(("R", "m²K/W"), "m2K/W"),
    "U": Unit(("U", "W/m²K"), "W/m2K"),
    "Btu/h": Unit(("Btu/h", "kBtu/h", "tons", "kW", "W"), "W"),
    "kBtu/h": Unit(("kBtu/h", "Btu/h", "kW", "W"), "W"),
    "W": Unit(("W", "kW"), "W"),
    "kWh": Unit(("kWh", "MJ"), "J"),
    "ppm": Unit(("ppm",), "ppm"),
    "%": Unit(("%",), ""),
    "% read": Unit(("%",), "%"),
    "°": Unit(("°",), "°"),
    "s": Unit(("s", "min"), "s"),
    "min": Unit(("min", "s", "h"), "s"),
    "h": Unit(("h", "min"), "h"),
    "years": Unit(("years", "months"), "years"),
    "pCi/L": Unit(("pCi/L", "Bq/m3"), "Bq/m3"),
    "amps": Unit(("amps",), "amps"),
}

# How a spelling is shown where it differs from how it is stored.
UNIT_LABELS: Mapping[str, str] = {
    "ΔF": "°F",
    "ΔC": "°C",
    "R": "R",
    "U": "Btu/h·ft²·°F",
    "W/m²K": "W/m²·K",
    "m²K/W": "m²·K/W",
    "Bq/m3": "Bq/m³",
    "in w.c.": "in. w.c.",
    "in": "in.",
}

THIS_YEAR = "this_year"  # an upper limit that moves with the calendar
NEXT_YEAR = "next_year"

Bound = float | str | None


@dataclass(frozen=True)
class Field:
    """One thing to record. Limits are in the surface unit; equal to a limit is allowed.

    ``hard`` refuses, ``soft`` asks again. ``part_of`` names a field this one cannot exceed.
    """

    key: str
    label: Words
    kind: Kind
    use: Use = Use.REQUIRED
    when: tuple[When, ...] = ()
    unit: str = ""
    hard: tuple[Bound, Bound] = (None, None)
    soft: tuple[Bound, Bound] = (None, None)
    step: float | None = None
    choices: Choices = field(default_factory=dict)
    links: tuple[str, ...] = ()
    part_of: str = ""
    help: Words = ""
    how: str = "measured"
    asks_how: bool = False
    can_be_over_range: bool = False
    is_restricted: bool = False
    longest: int = 300

    @property
    def accepted_units(self) -> tuple[str, ...]:
        """Spellings that may be chosen beside the box."""
        return UNITS[self.unit].accepted

    @property
    def surface_unit(self) -> str:
        """Spelling of the unit the limits are in."""
        return UNITS[self.unit].accepted[0]

    @property
    def si_unit(self) -> str:
        """Spelling of the unit stored."""
        return UNITS[self.unit].si

    @property
    def is_number(self) -> bool:
        """Whether limits apply."""
        return self.kind in (Kind.QUANTITY, Kind.COUNT, Kind.YEAR)


@dataclass(frozen=True)
class PhotoPrompt:
    """A picture that belongs to the minimum set: its tag and what to take."""

    tag: str
    words: Words
    when: tuple[When, ...] = ()


@dataclass(frozen=True)
class Group:
    """Things there may be several of: attics, windows, tests.

    With a ``question`` the section asks whether there are any (field ``<key>_present``); a yes
    needs at least one item. Without one, at least ``least`` items are needed where ``when``
    holds.
    """

    key: str
    label: Words
    one: Words
    fields: tuple[Field, ...]
    name_hint: Words = ""
    question: Words = ""
    least: int = 0
    when: tuple[When, ...] = ()
    photos: tuple[PhotoPrompt, ...] = ()

    @property
    def presence_key(self) -> str:
        """Key of the field that asks whether there are any."""
        return f"{self.key}_present"

    def field(self, key: str) -> Field | None:
        """The field of this key, if the group has it."""
        return next((item for item in self.fields if item.key == key), None)


@dataclass(frozen=True)
class Section:
    """A part of the sheet that is filled in at one place of the house."""

    key: str
    label: Words
    fields: tuple[Field, ...] = ()
    groups: tuple[Group, ...] = ()
    intro: Words = ""
    caution: Words = ""
    photos: tuple[PhotoPrompt, ...] = ()

    @property
    def all_fields(self) -> tuple[Field, ...]:
        """The section's own fields, the questions about its groups first."""
        return tuple(presence_field(group) for group in self.groups if group.question) + self.fields

    def field(self, key: str) -> Field | None:
        """The field of this key, if the section has it."""
        return next((item for item in self.all_fields if item.key == key), None)


def presence_field(group: Group) -> Field:
    """The yes-or-no field that asks whether the house has any of a group."""
    return Field(group.presence_key, group.question, Kind.FLAG, how="measured")


R, C, O = Use.REQUIRED, Use.CONDITIONAL, Use.OPTIONAL  # noqa: E741  # the letters of the trade's own tables

YES = (True,)


def when(field_key: str, *among: Any) -> tuple[When, ...]:
    """A condition on one field; without values it means yes."""
    return (When(field_key, among or YES),)


def _use(use: Use, condition: tuple[When, ...]) -> Use:
    return Use.CONDITIONAL if condition and use is Use.REQUIRED else use


def quantity(
    key: str,
    label: Words,
    unit: str,
    hard: tuple[Bound, Bound],
    soft: tuple[Bound, Bound] = (None, None),
    use: Use = R,
    *,
    when: tuple[When, ...] = (),
    **more: Any,
) -> Field:
    """A measured number with a unit."""
    return Field(
        key, label, Kind.QUANTITY, _use(use, when), when, unit=unit, hard=hard, soft=soft, **more
    )


def count(
    key: str,
    label: Words,
    hard: tuple[Bound, Bound],
    soft: tuple[Bound, Bound] = (None, None),
    use: Use = R,
    *,
    when: tuple[When, ...] = (),
    **more: Any,
) -> Field:
    """A whole number of things; with ``step=0.5`` halves are allowed."""
    return Field(
        key,
        label,
        Kind.COUNT,
        _use(use, when),
        when,
        hard=hard,
        soft=soft,
        **({"step": 1.0} | more),
    )


def year(
    key: str,
    label: Words,
    hard: tuple[Bound, Bound] = (1600, THIS_YEAR),
    soft: tuple[Bound, Bound] = (None, None),
    use: Use = R,
    *,
    when: tuple[When, ...] = (),
    **more: Any,
) -> Field:
    """A calendar year."""
    return Field(key, label, Kind.YEAR, _use(use, when), when, hard=hard, soft=soft, **more)


def choice(
    key: str,
    label: Words,
    choices: Choices,
    use: Use = R,
    *,
    when: tuple[When, ...] = (),
    **more: Any,
) -> Field:
    """One of a list."""
    return Field(key, label, Kind.CHOICE, _use(use, when), when, choices=choices, **more)


def choices(
    key: str,
    label: Words,
    options: Choices,
    use: Use = R,
    *,
    when: tuple[When, ...] = (),
    **more: Any,
) -> Field:
    """Any number of a list; "none of these" is an empty list said on purpose."""
    return Field(key, label, Kind.CHOICES, _use(use, when), when, choices=options, **more)


def flag(
    key: str, label: Words, use: Use = R, *, when: tuple[When, ...] = (), **more: Any
) -> Field:
    """Yes or no."""
    return Field(key, label, Kind.FLAG, _use(use, when), when, **more)


def text(
    key: str, label: Words, use: Use = O, *, when: tuple[When, ...] = (), **more: Any
) -> Field:
    """Words."""
    return Field(key, label, Kind.TEXT, _use(use, when), when, **more)


def link(
    key: str,
    label: Words,
    *groups: str,
    use: Use = R,
    when: tuple[When, ...] = (),
    **more: Any,
) -> Field:
    """Which item of another group this belongs to."""
    return Field(key, label, Kind.LINK, _use(use, when), when, links=groups, **more)


GOOD_FAIR_POOR: Choices = {"good": _("Good"), "fair": _("Fair"), "poor": _("Poor")}
YES_NO_UNKNOWN: Choices = {
    "yes": _("Seen"),
    "no": _("Not seen"),
    "unknown": _("Could not look"),
}
ORIENTATIONS: Choices = {
    "north": _("North"),
    "northeast": _("Northeast"),
    "east": _("East"),
    "southeast": _("Southeast"),
    "south": _("South"),
    "southwest": _("Southwest"),
    "west": _("West"),
    "northwest": _("Northwest"),
}
FUELS: Choices = {
    "natural_gas": _("Natural gas"),
    "propane": _("Propane"),
    "fuel_oil": _("Fuel oil"),
    "electricity": _("Electricity"),
    "wood": _("Wood or pellets"),
}
BURNED_FUELS = ("natural_gas", "propane", "fuel_oil", "wood")
SPACES: Choices = {
    "conditioned": _("Heated rooms"),
    "attic": _("Attic"),
    "crawlspace": _("Crawlspace"),
    "basement": _("Basement"),
    "garage": _("Garage"),
    "outside": _("Outside"),
    "belly": _("Belly of a manufactured home"),
}
VENTS: Choices = {
    "atmospheric": _("Natural draft (draft hood)"),
    "atmospheric_damper": _("Natural draft with automatic vent damper"),
    "induced_draft": _("Induced draft"),
    "power_vented": _("Power vented"),
    "direct": _("Sealed or direct vent"),
    "unvented": _("No vent"),
}
MATERIALS: Choices = {
    "none": _("No insulation"),
    "fiberglass_batt": _("Fiberglass batts"),
    "fiberglass_loose": _("Loose fiberglass"),
    "cellulose_loose": _("Loose cellulose"),
    "cellulose_dense": _("Dense-packed cellulose"),
    "rock_wool_loose": _("Loose mineral wool"),
    "rock_wool_batt": _("Mineral wool batts"),
    "vermiculite": _("Vermiculite (pebble-like grains)"),
    "expanded_polystyrene": _("White bead board"),
    "extruded_polystyrene": _("Extruded foam board"),
    "polyisocyanurate": _("Foil-faced foam board"),
    "closed_cell_foam": _("Hard spray foam"),
    "open_cell_foam": _("Soft spray foam"),
    "other": _("Something else"),
}
YEAR_BASIS: Choices = {
    "known": _("Known"),
    "decoded": _("Read from the serial number"),
    "estimated": _("Estimated"),
}
LEAD_YEAR, KNOB_AND_TUBE_YEAR, VERMICULITE_YEAR = 1978, 1950, 1990
