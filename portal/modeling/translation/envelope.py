"""Attics, walls, foundations and garage."""

import math
from typing import Any

from calcs.inputs import (
    Attic,
    AtticAccess,
    Foundation,
    Garage,
    InsulationLayer,
    RimJoist,
    Wall,
)
from portal.modeling.translation.reading import Document, Reader

# Solar absorptance by color, as a picture class (common practice, no source).
ABSORPTANCE = {"light": 0.3, "medium": 0.6, "dark": 0.85}
# Actual depth of nominal studs. [m]
STUD_DEPTH_M = {"2x3": 0.0635, "2x4": 0.0889, "2x6": 0.1397, "2x8": 0.1842, "unknown": 0.0889}
# Framing share of the wall by stud spacing: 25 % at 16 in., 22 % at 24 in. (common practice).
FRAMING_SHARE = {"16": 0.25, "24": 0.22, "unknown": 0.25}
FULL_AZIMUTHS = {
    "north": 0.0, "northeast": 45.0, "east": 90.0, "southeast": 135.0,
    "south": 180.0, "southwest": 225.0, "west": 270.0, "northwest": 315.0,
}  # fmt: skip
STORY_HEIGHT_M = 2.44


def attics(document: Document) -> tuple[Attic, ...]:
    """Every attic, with its layers and its ways in."""
    roof = document.section("attic")
    absorptance = ABSORPTANCE[roof.value("roof_color", default="medium")]
    pitch = roof.si("roof_pitch")
    accesses = _accesses(document)
    return tuple(
        _attic(key, name, item, accesses.get(key, ()), absorptance, pitch)
        for key, name, item in document.items("attics", "attics")
    )


def _attic(
    key: str,
    name: str,
    item: Reader,
    accesses: tuple[AtticAccess, ...],
    absorptance: float,
    pitch_deg: float | None,
) -> Attic:
    area = item.si("area", "area_m2")
    rated = item.number("recessed_contact_rated", default=0.0)
    vent_area = item.si("vent_area")
    more: dict[str, Any] = {} if pitch_deg is None else {"roof_pitch_deg": pitch_deg}
    if vent_area is not None and area:
        more["vent_area_ratio"] = min(vent_area / area, 0.1)
        item.mark("vent_area_ratio", "measured", "net free area of the vents")
    joist = item.si("joist_depth", "joist_depth_m")
    if joist is not None:
        more["joist_depth_m"] = joist
    return Attic(
        id=key,
        name=name,
        kind=item.value("kind", "kind", default="vented"),
        area_m2=area,
        layers=tuple(
            layer for layer in (_layer(item, number) for number in (1, 2)) if layer is not None
        ),
        accesses=accesses,
        bypasses=tuple(item.value("bypasses", "bypasses", default=())),
        eave_clear_height_m=item.si("eave_clear_height", "eave_clear_height_m"),
        floored_area_m2=item.si("floored_area", "floored_area_m2", default=0.0),
        storage_area_m2=item.si("storage_area", "storage_area_m2", default=0.0),
        removal_reason=_removal_reason(item),
        roof_solar_absorptance=absorptance,
        recessed_lights_unrated=max(
            round(item.number("recessed_lights", "recessed_lights_unrated", default=0.0) - rated),
            0,
        ),
        **more,
    )


def _removal_reason(item: Reader) -> str:
    reason = item.value("removal_reason", "removal_reason", default="none")
    return "" if reason == "none" else str(reason)


def _layer(item: Reader, number: int) -> InsulationLayer | None:
    prefix = f"layer{number}"
    place = item.at(f"{item.place}.layers.{number - 1}")
    material = place.value(f"{prefix}_material", "material", default="none")
    if material == "none":
        return None
    return InsulationLayer(
        material=material,
        depth_m=place.si(f"{prefix}_depth", "depth_m", default=0.0),
        nominal_r_m2k_per_w=place.si(f"{prefix}_nominal_r", "nominal_r_m2k_per_w"),
        condition=place.value(f"{prefix}_condition", "condition", default="fair"),
        void_fraction=1.0 - place.si(f"{prefix}_coverage", "void_fraction", default=1.0),
    )


def _accesses(document: Document) -> dict[str, tuple[AtticAccess, ...]]:
    attic_keys = [key for key, _name, _item in document.items("attics")]
    found: dict[str, list[AtticAccess]] = {}
    for key, _name, item in document.items("attic_accesses"):
        attic = str(item.value("attic", default=attic_keys[0] if attic_keys else ""))
        width, length = item.si("width", default=0.6), item.si("length", default=1.1)
        found.setdefault(attic, []).append(
            AtticAccess(
                id=key,
                kind=item.value("kind", default="hatch"),
                area_m2=width * length,
                cover_r_m2k_per_w=item.si("cover_r", default=0.0),
                is_gasketed=bool(item.value("gasketed", default=False)),
            )
        )
    return {attic: tuple(accesses) for attic, accesses in found.items()}


def walls(document: Document) -> tuple[Wall, ...]:
    """Every wall above grade, net of its openings."""
    return tuple(
        _wall(key, name, item)
        for key, name, item in document.items("walls", "walls")
        if item.value("adjacent_to", default="outside") != "ground"
    )


def _wall(key: str, name: str, item: Reader) -> Wall:
    structure = item.value("structure", "structure", default="wood_frame")
    is_framed = structure in ("wood_frame", "balloon_frame")
    material = item.value("cavity_material", default="none")
    orientation = item.value("orientation", default="all")
    siding = item.value("siding", "cladding", default="wood")
    gross = item.si("gross_area", "area_m2", default=0.0)
    empty_share = item.si("cavity_empty_share", "void_fraction", default=0.0)
    cavity_r = item.si("cavity_r", "cavity_r_m2k_per_w", default=0.0)
    return Wall(
        id=key,
        name=name,
        area_m2=max(gross - item.si("opening_area", default=0.0), 0.0),
        azimuth_deg=FULL_AZIMUTHS.get(orientation),
        adjacent_to=item.value("adjacent_to", "adjacent_to", default="outside"),
        structure=structure,
        framing_fraction=FRAMING_SHARE[item.value("stud_spacing", default="unknown")]
        if is_framed
        else 0.0,
        cavity_depth_m=STUD_DEPTH_M[item.value("stud_size", "cavity_depth_m", default="unknown")]
        if is_framed
        else 0.0,
        cavity_r_m2k_per_w=cavity_r if is_framed and material != "none" else 0.0,
        void_fraction=empty_share,
        continuous_r_m2k_per_w=item.si("continuous_r", "continuous_r_m2k_per_w", default=0.0),
        masonry_thickness_m=item.si("masonry_thickness", "masonry_thickness_m", default=0.0),
        cladding="wood" if siding == "none" else siding,
        solar_absorptance=ABSORPTANCE[item.value("color", "solar_absorptance", default="medium")],
        is_drillable=item.value("drill_from", default="outside") != "neither",
    )


def foundations(document: Document) -> tuple[Foundation, ...]:
    """What the lowest floor stands on."""
    return tuple(
        _foundation(key, name, item)
        for key, name, item in document.items("foundations", "foundations")
    )


def _foundation(key: str, name: str, item: Reader) -> Foundation:
    area = item.si("area", "area_m2")
    more = {}
    for field, target in (
        ("wall_height", "wall_height_m"),
        ("depth_below_grade", "depth_below_grade_m"),
        ("wall_r", "wall_r_m2k_per_w"),
        ("floor_r", "floor_r_m2k_per_w"),
        ("slab_edge_r", "slab_edge_r_m2k_per_w"),
        ("ground_cover", "ground_cover_share"),
    ):
        found = item.si(field, target)
        if found is not None:
            more[target] = found
    if item.value("floor_material") == "none":
        more["floor_r_m2k_per_w"] = 0.0
    return Foundation(
        id=key,
        name=name,
        kind=item.value("kind", "kind"),
        area_m2=area,
        perimeter_m=item.si("perimeter", "perimeter_m", default=4.0 * math.sqrt(area or 0.0)),
        is_conditioned=bool(item.value("is_heated", default=False))
        or item.value("boundary", "is_conditioned", default="floor") == "walls",
        wall_material=item.value("wall_material", "wall_material", default="concrete_block"),
        floor_void_fraction=1.0 - item.si("floor_coverage", "floor_void_fraction", default=1.0),
        rim_joist=RimJoist(
            length_m=item.si("rim_length", "rim_joist.length_m", default=0.0),
            height_m=item.si("rim_height", "rim_joist.height_m", default=0.24),
            r_m2k_per_w=item.si("rim_r", "rim_joist.r_m2k_per_w", default=0.0),
            is_sealed=bool(item.value("rim_sealed", "rim_joist.is_sealed", default=False)),
        ),
        clear_height_m=item.si("clear_height", "clear_height_m"),
        has_standing_water="standing" in item.value("water", "has_standing_water", default=()),
        **more,
    )


def garage(document: Document) -> Garage | None:
    """The attached garage, if there is one."""
    home = document.section("dwelling", "garage")
    kind = home.value("garage", default="none")
    if kind not in ("attached", "under_rooms"):
        return None
    area = home.si("garage_area", "area_m2", default=37.0)
    # Three outside walls of a square garage, one story high.
    three_walls = 3.0 * math.sqrt(area) * STORY_HEIGHT_M
    return Garage(
        area_m2=area,
        outside_wall_area_m2=home.si(
            "garage_wall_area", "outside_wall_area_m2", default=three_walls
        ),
        is_ceiling_under_rooms=kind == "under_rooms",
    )
