"""Attics, walls, foundations, windows and doors."""

import math

from django.utils.translation import gettext as _
from lxml import etree

from portal.intake.hpxml.parse import name_of
from portal.intake.hpxml.source import NAMEPLATE, Source
from portal.intake.hpxml.summary import orientation
from portal.intake.uploads.reading import ReadItem

CONDITIONS = {"good": "good", "fair": "fair", "poor": "poor"}
MATERIALS = {
    ("Batt", "fiberglass"): "fiberglass_batt",
    ("Batt", "rockwool"): "rock_wool_batt",
    ("LooseFill", "cellulose"): "cellulose_loose",
    ("LooseFill", "fiberglass"): "fiberglass_loose",
    ("LooseFill", "rockwool"): "rock_wool_loose",
    ("LooseFill", "vermiculite"): "vermiculite",
    ("Rigid", "polyisocyanurate"): "polyisocyanurate",
    ("Rigid", "xps"): "extruded_polystyrene",
    ("Rigid", "eps"): "expanded_polystyrene",
    ("SprayFoam", "open cell"): "open_cell_foam",
    ("SprayFoam", "closed cell"): "closed_cell_foam",
}
ATTIC_KINDS = {
    "CathedralCeiling": "cathedral",
    "FlatRoof": "flat",
}
WALL_KINDS = {
    "WoodStud": "wood_frame",
    "DoubleWoodStud": "wood_frame",
    "SteelFrame": "wood_frame",
    "ConcreteMasonryUnit": "masonry",
    "StructuralBrick": "masonry",
    "SolidConcrete": "masonry",
    "Stone": "masonry",
    "Adobe": "masonry",
    "LogWall": "log",
}
NEIGHBORS = {
    "outside": "outside",
    "garage": "garage",
    "ground": "ground",
    "other housing unit": "neighbor",
    "crawlspace": "crawlspace",
}
SIDING = {
    "wood siding": "wood",
    "vinyl siding": "vinyl",
    "brick veneer": "brick",
    "stucco": "stucco",
    "aluminum siding": "metal",
    "fiber cement siding": "cement_board",
    "asbestos siding": "asbestos_cement",
    "none": "none",
}
FRAMES = {
    "Wood": "wood",
    "Vinyl": "vinyl",
    "Aluminum": "metal",
    "Metal": "metal",
    "Fiberglass": "fiberglass",
}
PANES = {"single-pane": 1, "single-paned with storms": 1, "double-pane": 2, "triple-pane": 3}
ROOFS = {
    "shingles": "asphalt_shingle",
    "asphalt or fiberglass shingles": "asphalt_shingle",
    "wood shingles or shakes": "wood_shingle",
    "metal surfacing": "metal",
    "slate or tile shingles": "tile_slate",
    "plastic/rubber/synthetic sheeting": "membrane",
}


def read_attics(source: Source, enclosure: etree._Element) -> None:
    """Attics with the floor or roof that carries their insulation."""
    for number, attic in enumerate(source.all(enclosure, "Attics/Attic")):
        item = source.add("attics", attic, _("Attic %s") % chr(ord("A") + number % 26))
        source.put_item_value(item, "kind", _attic_kind(source, attic), attic)
        floors = [
            *source.references(attic, "AttachedToFloor"),
            *source.references(attic, "AttachedToFrameFloor"),
        ]
        roofs = source.references(attic, "AttachedToRoof")
        plane = next(iter(floors or roofs), None)
        if plane is not None:
            source.put_in(item, "area", plane, "Area", unit="ft²")
            insulation = source.find(plane, "Insulation")
            if insulation is not None:
                read_layers(source, item, insulation)
        for roof in roofs:
            read_roof(source, roof)


def _attic_kind(source: Source, attic: etree._Element) -> str | None:
    inside = source.find(attic, "AtticType/Attic")
    if inside is not None:
        return "vented" if source.flag(inside, "Vented") else "unvented"
    return ATTIC_KINDS.get(source.child_name(attic, "AtticType"))


def read_layers(source: Source, item: ReadItem, insulation: etree._Element) -> None:
    """Up to two layers of insulation of an attic."""
    condition = CONDITIONS.get(source.text(insulation, "InsulationCondition"))
    for number, layer in enumerate(source.all(insulation, "Layer"), start=1):
        if number > 2:
            source.not_taken(layer, "", _("The sheet has two layers; this is a further one."))
            continue
        value = source.number(layer, "NominalRValue")
        material = material_of(source, layer)
        if material is None and value == 0.0:
            material = "none"
        source.put_item_value(item, f"layer{number}_material", material, layer)
        if material == "none":
            continue
        source.put_in(item, f"layer{number}_nominal_r", layer, "NominalRValue", unit="R",
                      how=NAMEPLATE)  # fmt: skip
        source.put_in(item, f"layer{number}_depth", layer, "Thickness", unit="in")
        source.put_item_value(item, f"layer{number}_condition", condition, layer)


def material_of(source: Source, layer: etree._Element) -> str | None:
    """Material of a layer; "none" where the file says so, None where it says nothing."""
    found = source.find(layer, "InsulationMaterial")
    if found is None or not len(found):
        return None
    kind = found[0]
    source.used.add(kind)
    if name_of(kind) == "None":
        return "none"
    return MATERIALS.get((name_of(kind), (kind.text or "").strip()), "other")


def read_roof(source: Source, roof: etree._Element) -> None:
    """Color, covering and slope of a roof."""
    where = source.where(roof, "")
    color = source.text(roof, "RoofColor")
    if color in ("light", "medium", "dark"):
        source.put_value("attic", "roof_color", color, where)
    covering = source.text(roof, "RoofType") or source.text(roof, "RoofMaterial")
    source.put_value("attic", "roof_material", ROOFS.get(covering), where)
    pitch = source.number(roof, "Pitch")
    if pitch is not None:
        # Rise in twelve.
        degrees = round(math.degrees(math.atan(pitch / 12.0)), 1)
        source.put_value("attic", "roof_pitch", str(degrees), where)


def read_walls(source: Source, enclosure: etree._Element) -> None:
    """Walls, with the windows and doors that are in them."""
    openings = _openings_by_wall(source, enclosure)
    for number, wall in enumerate(source.all(enclosure, "Walls/Wall"), start=1):
        item = source.add("walls", wall, _("Wall %d") % number)
        source.put_item_value(
            item, "structure", WALL_KINDS.get(source.child_name(wall, "WallType")), wall
        )
        size, spacing = source.text(wall, "Studs/Size"), source.text(wall, "Studs/Spacing")
        if size in ("2x3", "2x4", "2x6", "2x8"):
            source.put_item_value(item, "stud_size", size, wall)
        if spacing in ("16", "24"):
            source.put_item_value(item, "stud_spacing", spacing, wall)
        azimuth = source.number(wall, "Azimuth")
        source.put_item_value(
            item, "orientation", "all" if azimuth is None else orientation(azimuth), wall
        )
        source.put_item_value(item, "adjacent_to", _neighbor(source, wall), wall)
        source.find(wall, "InteriorAdjacentTo")
        source.put_in(item, "gross_area", wall, "Area", unit="ft²")
        source.put_number(
            item, "opening_area", openings.get(source.key(wall), 0.0), wall, unit="ft²"
        )
        siding = SIDING.get(source.text(wall, "Siding"))
        source.put_item_value(item, "siding", siding, wall)
        color = source.text(wall, "Color")
        if color in ("light", "medium", "dark"):
            source.put_item_value(item, "color", color, wall)
        insulation = source.find(wall, "Insulation")
        if insulation is not None:
            _read_wall_insulation(source, item, insulation)


def _neighbor(source: Source, wall: etree._Element) -> str | None:
    text = source.text(wall, "ExteriorAdjacentTo")
    if source.text(wall, "AtticWallType") or text.startswith("attic"):
        return "attic"
    return NEIGHBORS.get(text.partition(" -")[0])


def _openings_by_wall(source: Source, enclosure: etree._Element) -> dict[str, float]:
    """Area of windows and doors by the wall they are in; the area of an entry is of all in it."""
    found: dict[str, float] = {}
    for path in ("Windows/Window", "Doors/Door"):
        for opening in source.all(enclosure, path):
            wall = source.reference(opening, "AttachedToWall")
            area = source.number(opening, "Area")
            if wall is not None and area is not None:
                key = source.key(wall)
                found[key] = found.get(key, 0.0) + area
    return found


def _read_wall_insulation(source: Source, item: ReadItem, insulation: etree._Element) -> None:
    condition = CONDITIONS.get(source.text(insulation, "InsulationCondition"))
    source.put_item_value(item, "condition", condition, insulation)
    cavity, continuous = 0.0, 0.0
    for layer in source.all(insulation, "Layer"):
        value = source.number(layer, "NominalRValue")
        if value is None:
            continue
        if source.text(layer, "InstallationType").startswith("continuous"):
            continuous += value
            continue
        cavity += value
        material = material_of(source, layer)
        if material is None and value == 0.0:
            material = "none"
        source.put_item_value(item, "cavity_material", material, layer)
        source.put_in(item, "cavity_thickness", layer, "Thickness", unit="in")
    source.put_number(item, "cavity_r", cavity, insulation, unit="R")
    source.put_number(item, "continuous_r", continuous or None, insulation, unit="R")


def read_windows(source: Source, enclosure: etree._Element) -> None:
    """Windows and skylights; an entry may stand for several alike."""
    for path, placement in (("Windows/Window", "wall"), ("Skylights/Skylight", "roof")):
        for number, window in enumerate(source.all(enclosure, path), start=1):
            name = _("Windows %d") if placement == "wall" else _("Skylight %d")
            item = source.add("windows", window, name % number)
            source.put_item_value(item, "placement", placement, window)
            azimuth = source.number(window, "Azimuth")
            if azimuth is not None:
                source.put_item_value(item, "orientation", orientation(azimuth), window)
            count = source.number(window, "Count") or source.number(window, "Quantity") or 1.0
            source.put_number(item, "count", count, window)
            area = source.number(window, "Area")
            if area is not None:
                each = round(area / count, 6) if count else area
                source.put_number(item, "area_each", each, window, "Area", unit="ft²")
            glass = source.text(window, "GlassLayers")
            if glass in PANES:
                source.put_number(item, "panes", float(PANES[glass]), window, "GlassLayers")
                source.put_item_value(item, "storm_windows", "storms" in glass, window)
            source.put_item_value(
                item, "frame", FRAMES.get(source.child_name(window, "FrameType")), window
            )
            source.put_in(item, "u_factor", window, "UFactor", unit="U", how=NAMEPLATE)
            source.put_in(item, "shgc", window, "SHGC", how=NAMEPLATE)
            source.put_in(
                item, "overhang_depth", window, "Overhangs/Depth", unit="ft", scale=1 / 12
            )
            source.reference(window, "AttachedToRoof")


def read_doors(source: Source, enclosure: etree._Element) -> None:
    """Doors."""
    for number, door in enumerate(source.all(enclosure, "Doors/Door"), start=1):
        item = source.add("doors", door, _("Door %d") % number)
        source.put_in(item, "area", door, "Area", unit="ft²")
        source.put_in(item, "r_value", door, "RValue", unit="R")
        source.put_item_value(item, "storm_door", source.flag(door, "StormDoor"), door)
        azimuth = source.number(door, "Azimuth")
        if azimuth is not None:
            source.put_item_value(item, "orientation", orientation(azimuth), door)


def read_foundations(source: Source, enclosure: etree._Element) -> None:
    """Foundations with their floors, walls, slabs and rim joists."""
    for number, foundation in enumerate(source.all(enclosure, "Foundations/Foundation"), start=1):
        item = source.add("foundations", foundation, _("Foundation %d") % number)
        kind, is_heated = _foundation_kind(source, foundation)
        source.put_item_value(item, "kind", kind, foundation)
        source.put_item_value(item, "is_heated", is_heated, foundation)
        boundary = {"floor": "floor", "frame floor": "floor", "foundation wall": "walls"}.get(
            source.text(foundation, "ThermalBoundary")
        )
        source.put_item_value(item, "boundary", boundary, foundation)
        floors = [
            *source.references(foundation, "AttachedToFloor"),
            *source.references(foundation, "AttachedToFrameFloor"),
        ]
        slabs = source.references(foundation, "AttachedToSlab")
        for floor in floors[:1]:
            source.put_in(item, "area", floor, "Area", unit="ft²")
            _read_r(source, item, "floor_r", floor)
            insulation = source.find(floor, "Insulation")
            if insulation is not None:
                _read_floor_insulation(source, item, insulation)
        for slab in slabs[:1]:
            if not floors:
                source.put_in(item, "area", slab, "Area", unit="ft²")
            source.find(slab, "Area")
            source.put_in(item, "perimeter", slab, "ExposedPerimeter", unit="ft")
            _read_r(source, item, "slab_edge_r", slab, path="PerimeterInsulation")
        for wall in source.references(foundation, "AttachedToFoundationWall")[:1]:
            _read_foundation_wall(source, item, wall)
        for rim in source.references(foundation, "AttachedToRimJoist")[:1]:
            source.put_in(item, "rim_length", rim, "Length", unit="ft")
            _read_r(source, item, "rim_r", rim)


def _read_floor_insulation(source: Source, item: ReadItem, insulation: etree._Element) -> None:
    condition = CONDITIONS.get(source.text(insulation, "InsulationCondition"))
    source.put_item_value(item, "floor_condition", condition, insulation)
    for layer in list(source.all(insulation, "Layer"))[:1]:
        material = material_of(source, layer)
        if material is None and source.number(layer, "NominalRValue") == 0.0:
            material = "none"
        source.put_item_value(item, "floor_material", material, layer)


def _foundation_kind(source: Source, foundation: etree._Element) -> tuple[str | None, bool | None]:
    basement = source.find(foundation, "FoundationType/Basement")
    if basement is not None:
        return "basement", source.flag(basement, "Conditioned")
    crawl = source.find(foundation, "FoundationType/Crawlspace")
    if crawl is not None:
        vented = source.flag(crawl, "Vented")
        kind = "unvented_crawlspace" if vented is False else "vented_crawlspace"
        return kind, source.flag(crawl, "Conditioned")
    simple = {
        "SlabOnGrade": "slab", "Garage": "garage_below", "Ambient": "open_below",
        "BellyAndWing": "belly",
    }  # fmt: skip
    return simple.get(source.child_name(foundation, "FoundationType")), None


def _read_foundation_wall(source: Source, item: ReadItem, wall: etree._Element) -> None:
    source.put_in(item, "wall_height", wall, "Height", unit="ft")
    source.put_in(item, "depth_below_grade", wall, "DepthBelowGrade", unit="ft")
    source.put_in(item, "wall_thickness", wall, "Thickness", unit="in")
    if "perimeter" not in item.values:
        source.put_in(item, "perimeter", wall, "Length", unit="ft")
    source.find(wall, "Length")
    _read_r(source, item, "wall_r", wall)


def _read_r(
    source: Source, item: ReadItem, field: str, owner: etree._Element, path: str = "Insulation"
) -> None:
    insulation = source.find(owner, path)
    if insulation is None:
        return
    values = [
        value
        for layer in source.all(insulation, "Layer")
        if (value := source.number(layer, "NominalRValue")) is not None
    ]
    if values:
        source.put_number(item, field, sum(values), insulation, unit="R")
