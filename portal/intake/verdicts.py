"""Safety readings of a record judged against their limits, and what each verdict says.

Readings go to the limits unrounded. A reading the instrument could not show fails. A reading
that was not taken is no verdict: what is left to test is listed elsewhere, never passed.
"""

from collections.abc import Iterator
from contextlib import suppress
from dataclasses import dataclass

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from calcs import safety, safety_limits
from calcs.errors import CalcsError
from calcs.limits import Limits
from calcs.safety import Verdict
from portal.intake import units_shown
from portal.intake.document import Part, Reader
from portal.intake.sheet.kinds import Words

SAYINGS: dict[str, Words] = {
    "draft_enough": gettext_lazy("Draws well enough"),
    "draft_too_weak": gettext_lazy("Fails: the draft is too weak. Have the vent repaired"),
    "backdraft_shut_off": gettext_lazy("Fails: exhaust comes back into the house. Shut it off"),
    "zone_holds": gettext_lazy("Holds"),
    "zone_too_deep_no_tightening": gettext_lazy(
        "Fails: the room is pulled too low. No tightening and no new exhaust until cured"
    ),
    "vents_properly": gettext_lazy("Vents properly"),
    "spills_in_worst_case": gettext_lazy(
        "Fails: it spills in the worst case. Stop the fans, let the vent cool, and repeat. No "
        "tightening and no new exhaust until cured"
    ),
    "spills_shut_off_and_tag": gettext_lazy(
        "Fails under natural conditions too. Shut it off, tag it, tell the people in writing"
    ),
    "co_within_limit": gettext_lazy("Within the limit"),
    "co_within_limit_tune": gettext_lazy("Within the limit, but a tuned burner is under 100"),
    "co_within_limit_sample_doubtful": gettext_lazy(
        "Within the limit, but the sample holds much room air. Take it again"
    ),
    "co_sample_is_air_resample": gettext_lazy("The sample is nearly all air. Take it again"),
    "co_above_limit_repair": gettext_lazy("Fails. Shut it off until it is repaired"),
    "co_rising_repair": gettext_lazy("Fails: CO climbs while you watch. Shut it off"),
    "ambient_clear": gettext_lazy("Carry on"),
    "ambient_advise": gettext_lazy("Tell the people, open windows, find the source"),
    "ambient_stop": gettext_lazy(
        "Stop. Burners off, windows open, everybody out of that space. Go on only to find the cause"
    ),
    "ambient_evacuate": gettext_lazy("Everybody out. Call 911 from outside"),
    "inspection_goes_on": gettext_lazy("Testing may go on"),
    "inspection_stops": gettext_lazy(
        "Stop testing burners. Burners off, air the room, find the source, then go on"
    ),
    "oil_within_limit": gettext_lazy("Within the limit"),
    "oil_out_of_tune": gettext_lazy("Out of range. Have the burner tuned"),
    "oil_service_first": gettext_lazy("Fails. Have the burner serviced before it is left running"),
    "gas_none": gettext_lazy("No gas to act on"),
    "gas_leave_and_call": gettext_lazy(
        "Leave. No switches, no phones inside. Call 911 and the gas emergency line from outside"
    ),
}

# How the sheet's vents are named where the limits are kept.
VENT_OF = {
    "atmospheric": safety_limits.NATURAL_DRAFT,
    "atmospheric_damper": safety_limits.NATURAL_DRAFT_DAMPER,
    "induced_draft": safety_limits.INDUCED_DRAFT,
    "power_vented": safety_limits.POWER_VENTED,
    "direct": safety_limits.SEALED,
    "unvented": safety_limits.UNVENTED,
}
HEATERS = frozenset(
    {
        "central_furnace",
        "floor_furnace",
        "gravity_furnace",
        "boiler",
        "direct_vent_wall_furnace",
        "built_in_wall_furnace",
        "vented_room_heater",
        "unvented_room_heater",
    }
)


WITHOUT_DANGER = frozenset({"oil_o2"})


@dataclass(frozen=True)
class Judged:
    """One reading of a record with its verdict: where it was taken and under which field."""

    section: str
    field: str
    verdict: Verdict
    item: str = ""
    item_name: str = ""
    over_range: bool = False

    @property
    def saying(self) -> str:
        """What the verdict says, in words."""
        return str(SAYINGS[self.verdict.words])

    @property
    def fails(self) -> bool:
        """Whether the reading is beyond its limit. A sample to re-take is no pass either."""
        return self.verdict.passes is False

    @property
    def endangers(self) -> bool:
        """Whether the failure can hurt somebody; a burner out of tune only wants service."""
        return self.fails and self.verdict.test not in WITHOUT_DANGER

    @property
    def reading_words(self) -> str:
        """The reading as it is shown: never rounded to the other side of the limit."""
        number = units_shown.reading(self.verdict.reading, self.verdict.limit)
        unit = self.verdict.unit
        if self.over_range:
            return _("over %(number)s %(unit)s") % {"number": number, "unit": unit}
        return f"{number} {unit}"

    @property
    def limit_words(self) -> str:
        """The limit with its unit."""
        if self.verdict.limit is None:
            return ""
        return _("Limit %(limit)s %(unit)s.") % {
            "limit": units_shown.limit_beside(
                self.verdict.limit, self.verdict.reading, passes=self.verdict.passes
            ),
            "unit": self.verdict.unit,
        }

    @property
    def source_words(self) -> str:
        """Whose limit it is; one known from memory says so."""
        source = self.verdict.source
        if self.verdict.provenance == "memory":
            source = _("%s: confirm with the edition your program adopted") % source
        elif self.verdict.provenance == "adopted":
            source = _("%s, adopted by the program") % source
        return _("%s. Local code and the gas supplier come first") % source


def judge(reader: Reader) -> tuple[Judged, ...]:
    """Every safety reading of the record that can be judged."""
    return (*_rooms(reader), *_zones(reader), *_burners(reader))


def _rooms(reader: Reader) -> Iterator[Judged]:
    limits = reader.limits
    part = reader.section("combustion")
    for field in ("co_entry", "co_living_max"):
        ppm = part.si(field)
        if ppm is not None:
            yield Judged(
                "combustion", field, safety.judge_ambient_co(ppm, limits=limits),
                over_range=part.is_over_range(field),
            )  # fmt: skip
    smell, lel = part.value("gas_smell"), part.si("gas_lel")
    if smell is not None or lel is not None:
        # A strong smell counts whatever the meter shows.
        field = "gas_lel" if lel is not None else "gas_smell"
        yield Judged(
            "combustion",
            field,
            safety.judge_gas(
                lel if lel is not None else 0.0,
                is_smell_strong=smell == "strong",
                limits=limits,
            ),
            over_range=part.is_over_range("gas_lel"),
        )


def vented_in(reader: Reader, zone: str) -> list[safety_limits.VentedAppliance]:
    """The burners of a zone as the depressurization limits see them."""
    found: list[safety_limits.VentedAppliance] = []
    for burner in reader.items("combustion_appliances"):
        kind, vent = burner.value("kind"), burner.value("vent")
        if burner.value("zone") != zone or vent not in VENT_OF:
            continue
        if kind != "water_heater" and kind not in HEATERS:
            continue
        found.append(
            safety_limits.VentedAppliance(
                kind="water_heater" if kind == "water_heater" else "heater",
                vent=VENT_OF[vent],
                chimney=(burner.value("shares_vent_with") or "").casefold(),
            )
        )
    return found


def _zones(reader: Reader) -> Iterator[Judged]:
    limits = reader.limits
    for zone in reader.items("combustion_zones"):
        ppm = zone.si("ambient_co")
        if ppm is not None:
            yield Judged(
                "combustion",
                "ambient_co",
                safety.judge_ambient_co(ppm, limits=limits),
                zone.key,
                zone.name,
                zone.is_over_range("ambient_co"),
            )
            inspection = safety.judge_inspection(ppm, limits=limits)
            # Said only where it is all there is to say: above it the room's own limit speaks.
            if not inspection.passes and safety.judge_ambient_co(ppm, limits=limits).passes:
                yield Judged("combustion", "ambient_co", inspection, zone.key, zone.name)
        baseline, worst = zone.si("baseline"), zone.si("worst_case")
        if baseline is None or worst is None:
            continue
        verdict = safety.judge_zone(baseline, worst, vented_in(reader, zone.key), limits=limits)
        if verdict is not None:
            yield Judged("combustion", "worst_case", verdict, zone.key, zone.name)


def _burners(reader: Reader) -> Iterator[Judged]:
    limits = reader.limits
    for burner in reader.items("combustion_appliances"):
        for field, verdict in _burner_verdicts(burner, limits):
            yield Judged(
                "combustion", field, verdict, burner.key, burner.name,
                field == "co_measured" and burner.is_over_range(field),
            )  # fmt: skip


def _burner_verdicts(burner: Part, limits: Limits) -> Iterator[tuple[str, Verdict]]:
    kind, ppm = burner.value("kind"), burner.si("co_measured")
    if ppm is not None and kind in safety_limits.APPLIANCE_CO_LIMITS:
        o2 = burner.si("o2")
        # Over range it is above every limit at any oxygen reading.
        is_bound = burner.is_over_range("co_measured") or o2 is None
        with suppress(CalcsError):
            verdict = safety.judge_appliance_co(
                kind,
                ppm,
                o2_pct=0.0 if is_bound else o2,
                is_rising=bool(burner.value("co_rising")),
                limits=limits,
            )
            # Air-free CO is never below CO as read. Without oxygen a reading above the limit
            # fails for certain, and one below it proves nothing.
            basis = safety_limits.APPLIANCE_CO_LIMITS[kind].basis
            if o2 is not None or verdict.passes is False or basis != safety_limits.AIR_FREE:
                yield "co_measured", verdict
    if burner.value("fuel") == "fuel_oil":
        yield from _oil_verdicts(burner, limits)
    # An unknown start counts as warm, which has the shorter limit.
    is_warm = burner.value("spillage_vent_start") != "cold"
    for field, is_natural in (("spillage_worst", False), ("spillage_natural", True)):
        seconds = burner.si(field)
        if seconds is not None:
            yield (
                field,
                safety.judge_spillage(
                    seconds,
                    is_vent_warm=is_warm,
                    is_natural_condition=is_natural,
                    limits=limits,
                ),
            )
    draft, outdoor = burner.si("draft"), burner.si("draft_outdoor_temp")
    if draft is not None and outdoor is not None:
        yield "draft", safety.judge_draft(draft, outdoor_c=outdoor, limits=limits)


def _oil_verdicts(burner: Part, limits: Limits) -> Iterator[tuple[str, Verdict]]:
    head = burner.value("oil_head") or "flame_retention"
    readings = (
        ("smoke_spot", "smoke_spot", burner.number("smoke_spot")),
        ("o2", "o2", burner.si("o2")),
        ("co_measured", "co", burner.si("co_measured")),
    )
    for field, reading, value in readings:
        if value is not None:
            yield field, safety.judge_oil(reading, value, head=head, limits=limits)


NAMES: dict[str, Words] = {
    "smoke_spot": gettext_lazy("Smoke spot"),
    "o2": gettext_lazy("Oxygen in the flue"),
    "co_entry": gettext_lazy("CO in the air on entering"),
    "co_living_max": gettext_lazy("Highest CO in the rooms"),
    "gas_lel": gettext_lazy("Gas in the air"),
    "gas_smell": gettext_lazy("Smell of gas"),
    "ambient_co": gettext_lazy("CO in the room of the burner"),
    "worst_case": gettext_lazy("Pressure of the room in the worst case"),
    "co_measured": gettext_lazy("CO in the flue"),
    "spillage_worst": gettext_lazy("Spillage in the worst case"),
    "spillage_natural": gettext_lazy("Spillage under natural conditions"),
    "draft": gettext_lazy("Draft"),
}


def name_words(judged: Judged) -> str:
    """What was tested, with the burner or the room where there is one."""
    name = str(NAMES.get(judged.field, judged.field))
    return f"{name}, {judged.item_name}" if judged.item_name else name
