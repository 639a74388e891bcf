"""What a hazard is, what it stops, and whose practice says so."""

from dataclasses import dataclass
from typing import Any

from django.utils.translation import gettext_lazy

from portal.intake.document import Part
from portal.intake.sheet.kinds import Words

STOP_NOW, FIX_FIRST, WITH_CARE, INFORM = "stop_now", "fix_first", "with_care", "inform"
SEVERITIES: dict[str, Words] = {
    STOP_NOW: gettext_lazy("Stop now"),
    FIX_FIRST: gettext_lazy("Fix first"),
    WITH_CARE: gettext_lazy("Work with care"),
    INFORM: gettext_lazy("Tell the people"),
}

ATTIC_SEALING = (
    "attic_air_sealing",
    "wall_top_sealing",
    "penetration_sealing",
    "chimney_chase_sealing",
)
ATTIC_INSULATING = (
    "attic_insulation",
    "attic_insulation_renewal",
    "attic_raised_deck",
    "attic_hatch_cover",
    "attic_stair_cover",
)
SEALING = (
    "air_sealing",
    *ATTIC_SEALING,
    "rim_joist",
    "outside_door_sealing",
    "garage_door_sealing",
    "basement_door_sealing",
    "flue_plug",
    "fireplace_damper",
    "window_repair",
    "duct_sealing",
)
WALLS = ("wall_insulation", "wall_spot_repair")
UNDER_FLOOR = (
    "floor_insulation",
    "basement_wall_insulation",
    "crawl_wall_insulation",
    "crawl_encapsulation",
    "belly_insulation",
)
INSULATING = (*ATTIC_INSULATING, *WALLS, *UNDER_FLOOR)
ATTIC = (*ATTIC_SEALING, *ATTIC_INSULATING)
BELOW = ("rim_joist", *UNDER_FLOOR)
TIGHTENING = (*SEALING, *INSULATING, "storm_windows", "window_replacement")
HEATING_PLANT = (
    "heating_pipe_insulation",
    "boiler_replacement",
    "furnace_replacement",
    "steam_to_hot_water",
    "steam_venting",
    "outdoor_reset",
)
ALL_WORK = ("*",)

PRACTICE = gettext_lazy("common practice, no source; local code and licensed trades come first")
WEATHERIZATION = gettext_lazy("state weatherization field guides, as the program's default list")
LEAD_RULE = gettext_lazy("40 CFR 745, renovation rule: work that disturbs paint before 1978")
MASONRY_CODE = gettext_lazy("IRC R1003.18, read in a reproduction")


# Kinds by which the model stops measures, for kinds it does not know by name.
MODEL_KIND = {"unsafe_burner": "carbon_monoxide", "combustion_untested": "depressurization"}


@dataclass(frozen=True)
class Hazard:
    """One hazard. ``blocks`` names kinds of measures, ``*`` all of them."""

    key: str
    kind: str
    place: str
    severity: str
    where: str
    words: str
    blocks: tuple[str, ...]
    must_act: str
    source: str
    section: str = ""
    item: str = ""

    @property
    def model_kind(self) -> str:
        """The kind by which the model's measures know it."""
        return MODEL_KIND.get(self.kind, self.kind)

    @property
    def severity_words(self) -> str:
        """How grave it is, in words."""
        return str(SEVERITIES[self.severity])

    def plain(self) -> dict[str, Any]:
        """The hazard as plain values."""
        return {
            "key": self.key,
            "kind": self.kind,
            "model_kind": self.model_kind,
            "place": self.place,
            "severity": self.severity,
            "where": self.where,
            "words": self.words,
            "blocks": list(self.blocks),
            "must_act": self.must_act,
            "source": self.source,
            "section": self.section,
            "item": self.item,
        }


def _key(kind: str, part: Part | None = None, place: str = "") -> str:
    tail = part.key if part is not None and part.group else place
    return f"{kind}:{tail}"[:60] if tail else kind


def hazard_of(
    kind: str,
    severity: str,
    where: str,
    words: str,
    blocks: tuple[str, ...],
    must_act: str,
    source: Words,
    *,
    section: str,
    place: str = "",
    part: Part | None = None,
) -> Hazard:
    return Hazard(
        key=_key(kind, part, place),
        kind=kind,
        place=place,
        severity=severity,
        where=where,
        words=words,
        blocks=blocks,
        must_act=must_act,
        source=str(source),
        section=section,
        item=part.key if part is not None and part.group else "",
    )
