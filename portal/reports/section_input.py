"""The home of a record and its model run, as the section drawing is told of it."""

from collections.abc import Iterable
from dataclasses import replace

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.core.units import convert
from portal.intake import verdicts
from portal.intake.document import Part as Recorded
from portal.intake.document import Reader
from portal.intake.words import choice_words
from portal.modeling.results import Analysis, HeatLossPart
from portal.reports.drawing import (
    Appliance,
    ApplianceKind,
    Foundation,
    FoundationWall,
    Part,
    PartKey,
    Place,
    Roof,
    ScopeMark,
    SectionInput,
    Side,
)

# Part of the model's heat balance -> place in the drawing, for houses without a special shape.
PLAIN_KEYS = {
    "attic_floor": PartKey.ATTIC,
    "attic_access": PartKey.HATCH,
    "chimney": PartKey.CHIMNEY_GAP,
    "walls": PartKey.WALLS,
    "garage_wall": PartKey.GARAGE_WALL,
    "windows_doors": PartKey.WINDOWS,
    "rim_joist": PartKey.RIM,
    "ducts": PartKey.DUCTS,
    "pipes": PartKey.OTHER,
    "ventilation": PartKey.OTHER,
}
PIPES_NAME = _lazy("Heating pipes")
NAMES = {
    PartKey.ATTIC: _lazy("Attic floor"),
    PartKey.SLOPE: _lazy("Roof slope"),
    PartKey.HATCH: _lazy("Attic hatch"),
    PartKey.CHIMNEY_GAP: _lazy("Chimney gap"),
    PartKey.WALLS: _lazy("Outside walls"),
    PartKey.GARAGE_WALL: _lazy("Garage wall"),
    PartKey.WINDOWS: _lazy("Windows, doors"),
    PartKey.RIM: _lazy("Rim joist"),
    PartKey.FLOOR: _lazy("Floor"),
    PartKey.FOUNDATION: _lazy("Basement"),
    PartKey.SLAB: _lazy("Slab"),
    PartKey.DUCTS: _lazy("Ducts"),
    PartKey.OTHER: _lazy("Fans"),
}
SPACES = {
    "conditioned": Place.FIRST_FLOOR,
    "attic": Place.ATTIC,
    "crawlspace": Place.CRAWL,
    "basement": Place.BASEMENT,
    "belly": Place.BELLY,
    "garage": Place.FIRST_FLOOR,
    "outside": Place.OUTSIDE,
}
HEATERS = {
    "furnace": ApplianceKind.FURNACE,
    "wall_furnace": ApplianceKind.FURNACE,
    "boiler": ApplianceKind.BOILER,
    "heat_pump": ApplianceKind.HEAT_PUMP,
    "ductless_heat_pump": ApplianceKind.HEAT_PUMP,
}
VENTED = ("atmospheric", "atmospheric_damper", "induced_draft")
ATTIC_TARGET_IN = 17.0  # R-49 of loose cellulose or fiberglass, settled (common practice)


def section_input(
    reader: Reader,
    analysis: Analysis,
    *,
    address: str,
    kept: Analysis | None = None,
    scope_marks: tuple[ScopeMark, ...] = (),
) -> SectionInput:
    """A home for the drawing.

    ``kept`` is the run of a plan, whose baseline after the work says what stays inside.
    """
    home = reader.section("dwelling")
    foundation = _foundation(reader)
    attics = reader.items("attics")
    area, length = home.si("floor_area") or 120.0, home.si("footprint_length")
    stories = float(home.number("stories") or 1.0)
    width_m = length or (area / max(stories, 1.0)) ** 0.5 * 1.2
    masonry = any(attic.value("flue_kind") == "masonry" for attic in attics)
    return SectionInput(
        address=address,
        parts=parts_of(reader, analysis, foundation, has_chimney=masonry),
        width_ft=min(max(convert(width_m, "m", "ft"), 22.0), 48.0),
        stories=min(stories, 3.0),
        story_height_ft=min(convert(home.si("ceiling_height") or 2.44, "m", "ft"), 10.0),
        is_split_level=home.value("footprint_shape") == "split",
        roof=_roof(attics),
        foundation=foundation,
        foundation_wall=_foundation_wall(reader),
        is_basement_heated=any(
            part.value("boundary") == "walls" or part.value("is_heated")
            for part in reader.items("foundations")
        ),
        has_chimney=masonry,
        garage=Side.RIGHT if home.value("garage") in ("attached", "under_rooms") else Side.NONE,
        has_room_above_garage=home.value("garage") == "under_rooms",
        party_wall=Side.LEFT
        if any(wall.value("adjacent_to") == "neighbor" for wall in reader.items("walls"))
        else Side.NONE,
        attic_insulation_in=_attic_depth_in(attics),
        attic_target_in=ATTIC_TARGET_IN
        if any(
            item.kind == "attic_insulation" and item.verdict == "do" for item in analysis.measures
        )
        else None,
        is_wall_filled=_are_walls_filled(reader),
        has_floor_insulation=any(
            (part.si("floor_r") or 0.0) > 0.5 for part in reader.items("foundations")
        ),
        has_radiators=any(
            part.value("distribution") in ("steam_pipes", "hot_water_pipes")
            for part in reader.items("heating_systems")
        ),
        ducts=_ducts(reader),
        appliances=tuple(_appliances(reader)),
        scope_marks=scope_marks,
    )


def part_key(part: str, foundation: Foundation, roof: Roof = Roof.GABLE) -> PartKey:
    """Where a part of the heat balance is drawn."""
    if part == "foundation":
        return {
            Foundation.BASEMENT: PartKey.FOUNDATION,
            Foundation.SLAB: PartKey.SLAB,
        }.get(foundation, PartKey.FLOOR)
    return PLAIN_KEYS[part]


def parts_of(
    reader: Reader, analysis: Analysis, foundation: Foundation, *, has_chimney: bool
) -> tuple[Part, ...]:
    """Every part that loses heat, with what was found there in a few words.

    Parts drawn at one place are one part of the drawing: the gap at a metal flue is a hole in
    the attic floor.
    """
    after = {part.part: part for part in analysis.package.after.components}
    total = sum(part.total_j for part in analysis.baseline.components) or 1.0
    found: dict[PartKey, Part] = {}
    for part in analysis.baseline.components:
        if part.total_j <= 0.0:
            continue
        left = after.get(part.part)
        key = part_key(part.part, foundation)
        if key is PartKey.CHIMNEY_GAP and not has_chimney:
            key = PartKey.ATTIC
        drawn = Part(
            key=key,
            name=str(PIPES_NAME if part.part == "pipes" else NAMES[key]),
            share_material=part.material_j / total,
            share_air=part.air_j / total,
            dollars=part.cost_usd,
            found_text=found_words(part, reader),
            kept_material=_kept(part.material_j, left.material_j if left else 0.0, total),
            kept_air=_kept(part.air_j, left.air_j if left else 0.0, total),
        )
        known = found.get(key)
        found[key] = drawn if known is None else _together(known, drawn)
    return tuple(found.values())


def _together(one: Part, other: Part) -> Part:
    # Only what has no place of its own carries several names.
    names = (one.name, other.name) if one.key is PartKey.OTHER else (one.name,)
    return replace(
        one,
        name=", ".join(names),
        share_material=one.share_material + other.share_material,
        share_air=one.share_air + other.share_air,
        dollars=one.dollars + other.dollars,
        kept_material=one.kept_material + other.kept_material,
        kept_air=one.kept_air + other.kept_air,
    )


def _kept(before_j: float, after_j: float, total_j: float) -> float:
    return max(before_j - after_j, 0.0) / total_j


def found_words(part: HeatLossPart, reader: Reader) -> str:
    """What the auditor found there, in at most eight words."""
    match part.part:
        case "attic_floor":
            return _attic_words(reader)
        case "attic_access":
            ways = reader.items("attic_accesses")
            return _("No gasket.") if any(not w.value("gasketed") for w in ways) else _("Gasketed.")
        case "walls" | "garage_wall":
            return _wall_words(reader, part.part)
        case "windows_doors":
            return _window_words(reader)
        case "rim_joist":
            bare = any(not p.value("rim_sealed") for p in reader.items("foundations"))
            return _("Not sealed.") if bare else _("Sealed.")
        case "foundation":
            return _foundation_words(reader)
        case "ducts":
            return _duct_words(reader)
        case "chimney":
            return _("Air goes up beside it.")
        case _:
            return ""


def _attic_words(reader: Reader) -> str:
    for attic in reader.items("attics"):
        material = attic.value("layer1_material")
        if material in (None, "none"):
            return _("No insulation.")
        depth = attic.si("layer1_depth")
        return _("%(depth)s in. of %(material)s, %(condition)s.") % {
            "depth": "?" if depth is None else f"{convert(depth, 'm', 'in'):.0f}",
            "material": choice_words("attics", "layer1_material", material).lower(),
            "condition": choice_words(
                "attics", "layer1_condition", attic.value("layer1_condition")
            ).lower(),
        }
    return ""


def _wall_words(reader: Reader, part: str) -> str:
    beside = "garage" if part == "garage_wall" else "outside"
    walls = [wall for wall in reader.items("walls") if wall.value("adjacent_to") == beside]
    if not walls:
        return ""
    largest = max(walls, key=lambda wall: wall.si("gross_area") or 0.0)
    r_si = largest.si("cavity_r")
    if largest.value("cavity_material") in (None, "none") or not r_si:
        return _("Nothing in the walls.")
    return _("R-%(r).0f in the cavity.") % {"r": convert(r_si, "m²K/W", "R")}


def _window_words(reader: Reader) -> str:
    windows = reader.items("windows")
    if not windows:
        return ""
    largest = max(
        windows, key=lambda item: (item.si("area_each") or 0.0) * (item.number("count") or 1)
    )
    panes = largest.number("panes")
    glass = {1: _("Single glass"), 2: _("Double glass"), 3: _("Triple glass")}.get(
        int(panes or 0), _("Glass")
    )
    return (
        _("%(glass)s with storms.") % {"glass": glass}
        if largest.value("storm_windows")
        else f"{glass}."
    )


def _foundation_words(reader: Reader) -> str:
    for part in reader.items("foundations"):
        kind = part.value("kind")
        if kind == "slab":
            return _("Bare slab edge.") if not part.si("slab_edge_r") else _("Edge insulated.")
        r_si = part.si("wall_r") if kind == "basement" else part.si("floor_r")
        where = _("walls") if kind == "basement" else _("joists")
        if not r_si:
            return (
                _("Nothing between the %(where)s.") % {"where": where}
                if where == _("joists")
                else _("Bare walls.")
            )
        return _("R-%(r).0f at the %(where)s.") % {
            "r": convert(r_si, "m²K/W", "R"),
            "where": where,
        }
    return ""


def _duct_words(reader: Reader) -> str:
    for test in reader.items("duct_tests"):
        flow = test.si("flow")
        if flow is not None and test.value("leaks_to") == "outside":
            return _("%(flow).0f CFM25 leak outside, measured.") % {
                "flow": convert(flow, "m3/s", "cfm")
            }
    return _("Not tested.")


def _foundation(reader: Reader) -> Foundation:
    parts = reader.items("foundations")
    if not parts:
        return Foundation.UNKNOWN
    largest = max(parts, key=lambda part: part.si("area") or 0.0)
    return {
        "basement": Foundation.BASEMENT,
        "vented_crawlspace": Foundation.CRAWL,
        "unvented_crawlspace": Foundation.CRAWL,
        "open_below": Foundation.CRAWL,
        "garage_below": Foundation.CRAWL,
        "slab": Foundation.SLAB,
        "belly": Foundation.BELLY,
    }.get(str(largest.value("kind")), Foundation.UNKNOWN)


def _foundation_wall(reader: Reader) -> FoundationWall:
    for part in reader.items("foundations"):
        material = part.value("wall_material")
        if material == "stone":
            return FoundationWall.STONE
        if material == "poured_concrete":
            return FoundationWall.CONCRETE
    return FoundationWall.BLOCK


def _roof(attics: Iterable[Recorded]) -> Roof:
    kinds = {attic.value("kind") for attic in attics}
    if "knee_wall" in kinds:
        return Roof.KNEE_WALL
    return Roof.FLAT if kinds == {"flat"} else Roof.GABLE


def _attic_depth_in(attics: tuple[Recorded, ...]) -> float | None:
    if not attics:
        return None
    largest = max(attics, key=lambda attic: attic.si("area") or 0.0)
    if largest.value("layer1_material") == "none":
        return 0.0
    depth = largest.si("layer1_depth")
    return None if depth is None else convert(depth, "m", "in")


def _are_walls_filled(reader: Reader) -> bool | None:
    walls = [wall for wall in reader.items("walls") if wall.value("adjacent_to") == "outside"]
    if not walls:
        return None
    largest = max(walls, key=lambda wall: wall.si("gross_area") or 0.0)
    if largest.value("cavity_material") is None:
        return None
    return largest.value("cavity_material") != "none"


def _ducts(reader: Reader) -> Place:
    runs = reader.items("duct_runs")
    if not runs:
        return Place.NONE
    largest = max(runs, key=lambda run: run.si("area") or 0.0)
    return SPACES.get(str(largest.value("location")), Place.NONE)


def _appliances(reader: Reader) -> Iterable[Appliance]:
    failed = {judged.item for judged in verdicts.judge(reader) if judged.endangers and judged.item}
    by_system = {
        str(burner.value("system")): burner.key for burner in reader.items("combustion_appliances")
    }
    for system in reader.items("heating_systems")[:1]:
        kind = HEATERS.get(str(system.value("kind")))
        if kind is not None:
            yield Appliance(
                kind=kind,
                place=SPACES.get(str(system.value("location")), Place.FIRST_FLOOR),
                is_vented=system.value("vent") in VENTED,
                has_failed_test=by_system.get(system.key) in failed,
                name=system.name,
                found_text=_("Failed its safety test. Fix first."),
            )
    for heater in reader.items("water_heaters")[:1]:
        yield Appliance(
            kind=ApplianceKind.WATER_HEATER,
            place=SPACES.get(str(heater.value("location")), Place.FIRST_FLOOR),
            is_vented=heater.value("vent") in VENTED,
            has_failed_test=by_system.get(heater.key) in failed,
            name=heater.name,
            found_text=_("Failed its safety test. Fix first."),
        )
