"""From what the auditor recorded of an assembly to layers for the thermal network.

Parallel paths (framing, insulated cavity, void) are averaged by U over complete paths with films,
then put back as one core resistance between the real inside and outside layers: the network sees
the right steady heat flow and the right mass, with one element instead of three.

References
----------
Parallel-path method, films and layer resistances: ASHRAE Handbook-Fundamentals (films and most
layers read in energy-code text, the rest memory). Loss of R with compression and condition:
`calcs.envelope`.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from math import log, radians, tan

from calcs.envelope import (
    compressed_r_m2k_per_w,
    material_resistance_m2k_per_w,
    parallel_path_u_w_per_m2k,
)
from calcs.envelope_tables import ATTIC_CONDITIONS
from calcs.inputs import Attic, Door, Foundation, InsulationLayer, Wall
from calcs.network import Layer
from calcs.unit_factors import M2K_PER_W_PER_R_IP, M_PER_IN

# Our material -> the published one it is taken as.
PUBLISHED_MATERIAL = {
    "cellulose_dense": "cellulose_loose",
    "rock_wool_batt": "rock_wool_loose",
    "vermiculite": "vermiculite_loose",
    "other": "fiberglass_loose",
}

R_FILM_VERTICAL = 0.68 * M2K_PER_W_PER_R_IP
R_FILM_UP = 0.61 * M2K_PER_W_PER_R_IP
R_FILM_DOWN = 0.92 * M2K_PER_W_PER_R_IP
R_FILM_OUTSIDE = 0.17 * M2K_PER_W_PER_R_IP
R_FILM_SEMI = 0.46 * M2K_PER_W_PER_R_IP
R_WOOD_PER_M = 1.25 * M2K_PER_W_PER_R_IP / M_PER_IN
R_EMPTY_CAVITY = 1.01 * M2K_PER_W_PER_R_IP  # 3.5 in. air space, vertical (memory)
R_SHEATHING = 0.6 * M2K_PER_W_PER_R_IP  # board or gypsum sheathing (memory)
R_CLADDING = {
    "wood": 0.81 * M2K_PER_W_PER_R_IP,
    "vinyl": 0.61 * M2K_PER_W_PER_R_IP,
    "brick": 1.0 * M2K_PER_W_PER_R_IP,  # veneer with its air space (memory)
    "stucco": 0.2 * M2K_PER_W_PER_R_IP,
    "metal": 0.3 * M2K_PER_W_PER_R_IP,
    "cement_board": 0.2 * M2K_PER_W_PER_R_IP,
    "asbestos_cement": 0.21 * M2K_PER_W_PER_R_IP,
}
R_FLOOR_BOARDS = 1.6 * M2K_PER_W_PER_R_IP  # subfloor and finish (memory)

GYPSUM = Layer.solid(0.0127, 0.16, 800.0, 1090.0)
WOOD_BOARD = Layer.solid(0.019, 0.115, 540.0, 1210.0)
BRICK_VENEER_CAPACITY_J_PER_M2K = 0.09 * 1920.0 * 790.0
ROOF_DECK = Layer.solid(0.016, 0.115, 540.0, 1210.0)
ASPHALT_SHINGLE = Layer(
    resistance_m2k_per_w=0.44 * M2K_PER_W_PER_R_IP, heat_capacity_j_per_m2k=8200.0
)
CONCRETE_CONDUCTIVITY = {  # W/(m·K); block as its hollow average (memory)
    "concrete_block": 1.0,
    "poured_concrete": 1.7,
    "stone": 2.2,
    "brick": 0.8,
    "wood": 0.12,
}


def insulation_r(material: str, depth_m: float) -> float:
    """R of a depth of insulation when new. [m²·K/W]"""
    published = PUBLISHED_MATERIAL.get(material, material)
    return material_resistance_m2k_per_w(published, thickness_m=depth_m) if depth_m > 0.0 else 0.0


def layer_r(layer: InsulationLayer) -> float:
    """R of one insulation layer where it lies undisturbed, after compression. [m²·K/W]

    The label R where it was recorded, lowered for thickness lost since; else depth times R per
    length.
    """
    at_depth = insulation_r(layer.material, layer.depth_m)
    when_new = layer.nominal_r_m2k_per_w
    if when_new is None or at_depth == 0.0:
        return at_depth
    compression = max(0.0, 1.0 - at_depth / when_new)
    return compressed_r_m2k_per_w(when_new, compression)


def layer_void(layer: InsulationLayer) -> float:
    """Share of a layer's area that is bare: what was recorded, and what its condition implies."""
    implied = ATTIC_CONDITIONS[layer.condition].void_fraction
    return 1.0 - (1.0 - layer.void_fraction) * (1.0 - implied)


def parallel_u(paths: Sequence[tuple[float, float]]) -> float:
    """U of parallel paths given as (share of area, R with films). [W/(m²·K)]"""
    return parallel_path_u_w_per_m2k([share for share, _ in paths], [r for _, r in paths])


def attic_floor_u(attic: Attic) -> float:
    """U of an attic floor with films, its voids and its joists. [W/(m²·K)]

    Voids of several layers are taken to lie over each other; a new layer without voids covers
    them. Joists run up to their depth, what lies above covers them.
    """
    fixed = 2.0 * R_FILM_UP + GYPSUM.resistance_m2k_per_w
    framing = attic.framing_fraction
    joist_r, covered = 0.0, 0.0
    for layer in attic.layers:
        in_joist = min(max(attic.joist_depth_m - covered, 0.0), layer.depth_m)
        share_above = 1.0 - in_joist / layer.depth_m if layer.depth_m > 0.0 else 0.0
        joist_r += in_joist * R_WOOD_PER_M + layer_r(layer) * share_above
        covered += layer.depth_m
    paths = [(framing, fixed + joist_r)] if framing else []
    edges = sorted({0.0, 1.0, *(layer_void(layer) for layer in attic.layers)})
    for low, high in pairwise(edges):
        resistance = sum(layer_r(item) for item in attic.layers if layer_void(item) <= low)
        paths.append(((1.0 - framing) * (high - low), fixed + resistance))
    return parallel_u(paths)


def attic_floor_r(attic: Attic) -> float:
    """Effective R of an attic's insulation: what it is worth beyond films and drywall."""
    fixed = 2.0 * R_FILM_UP + GYPSUM.resistance_m2k_per_w
    return max(1.0 / attic_floor_u(attic) - fixed, 0.0)


def eave_limited_r(
    attic: Attic, added_r_per_m: float, added_depth_m: float, *, perimeter_m: float
) -> float:
    """R of an added layer averaged over an attic whose eaves are low. [m²·K/W]

    Over the edge strip the depth grows with the roof pitch from what fits over the wall plate,
    with one inch kept clear to the sheathing (1 in.: model code, read). U is averaged over the
    strip, then R taken back, because losses average and resistances do not.
    """
    full_r = added_r_per_m * added_depth_m
    clear = attic.eave_clear_height_m
    present = sum(layer.depth_m for layer in attic.layers)
    if clear is None or added_depth_m <= 0.0:
        return full_r
    edge_depth = min(max(clear - M_PER_IN - present, 0.0), added_depth_m)
    if edge_depth >= added_depth_m:
        return full_r
    if attic.kind == "unvented" or attic.roof_pitch_deg < 5.0:
        return added_r_per_m * edge_depth
    strip_m = (added_depth_m - edge_depth) / tan(radians(attic.roof_pitch_deg))
    share = min(strip_m * perimeter_m / attic.area_m2, 1.0)
    base_r = 1.0 / attic_floor_u(attic)
    thin, thick = base_r + added_r_per_m * edge_depth, base_r + full_r
    strip_u = log(thick / thin) / (thick - thin)
    return 1.0 / (share * strip_u + (1.0 - share) / thick) - base_r


def wall_u(wall: Wall) -> float:
    """U of a wall with films, by complete parallel paths. [W/(m²·K)]"""
    fixed = _wall_fixed_r(wall)
    if wall.structure == "masonry":
        return 1.0 / (fixed + _masonry_r(wall) + wall.cavity_r_m2k_per_w)
    if wall.structure == "log":
        return 1.0 / (fixed + wall.cavity_depth_m * R_WOOD_PER_M)
    wood = wall.cavity_depth_m * R_WOOD_PER_M
    cavity_share = 1.0 - wall.framing_fraction
    filled = max(wall.cavity_r_m2k_per_w, R_EMPTY_CAVITY)
    return parallel_u(
        (
            (wall.framing_fraction, fixed + wood),
            (cavity_share * (1.0 - wall.void_fraction), fixed + filled),
            (cavity_share * wall.void_fraction, fixed + R_EMPTY_CAVITY),
        )
    )


def _wall_fixed_r(wall: Wall) -> float:
    outer_film = R_FILM_OUTSIDE if wall.adjacent_to == "outside" else R_FILM_SEMI
    resistance = R_FILM_VERTICAL + GYPSUM.resistance_m2k_per_w + outer_film
    if wall.adjacent_to == "outside":
        resistance += R_SHEATHING + R_CLADDING[wall.cladding]
    else:
        resistance += GYPSUM.resistance_m2k_per_w
    return resistance + wall.continuous_r_m2k_per_w


def _masonry_r(wall: Wall) -> float:
    return max(wall.masonry_thickness_m, 0.1) / CONCRETE_CONDUCTIVITY["brick"]


def wall_layers(wall: Wall) -> tuple[Layer, ...]:
    """Layers of a wall from inside to outside, its core averaged over the parallel paths."""
    outer_film = R_FILM_OUTSIDE if wall.adjacent_to == "outside" else R_FILM_SEMI
    total = 1.0 / wall_u(wall) - R_FILM_VERTICAL - outer_film
    if wall.adjacent_to == "outside" and wall.cladding == "brick":
        outer = Layer(
            resistance_m2k_per_w=0.1, heat_capacity_j_per_m2k=BRICK_VENEER_CAPACITY_J_PER_M2K
        )
    elif wall.structure == "masonry":
        outer = Layer(
            resistance_m2k_per_w=_masonry_r(wall),
            heat_capacity_j_per_m2k=max(wall.masonry_thickness_m, 0.1) * 1800.0 * 800.0,
        )
    else:
        outer = Layer(resistance_m2k_per_w=0.05, heat_capacity_j_per_m2k=9000.0)
    core = total - GYPSUM.resistance_m2k_per_w - outer.resistance_m2k_per_w
    return (GYPSUM, Layer.resistance(max(core, 0.01)), outer)


def ceiling_layers(attic: Attic) -> tuple[Layer, ...]:
    """Layers of an attic floor from the room up."""
    core = 1.0 / attic_floor_u(attic) - 2.0 * R_FILM_UP - GYPSUM.resistance_m2k_per_w
    return (GYPSUM, Layer.resistance(max(core, 0.01)))


def roof_layers() -> tuple[Layer, ...]:
    """Layers of an uninsulated roof from the attic to the sky."""
    return (ROOF_DECK, ASPHALT_SHINGLE)


def cathedral_layers(attic: Attic) -> tuple[Layer, ...]:
    """Layers of an insulated roof right over rooms, from the room to the sky."""
    return (*ceiling_layers(attic), *roof_layers())


def floor_u(foundation: Foundation) -> float:
    """U of the floor over an unheated space, with films. [W/(m²·K)]"""
    fixed = 2.0 * R_FILM_DOWN + R_FLOOR_BOARDS
    joist = 0.2 * R_WOOD_PER_M if foundation.floor_r_m2k_per_w > 0.0 else 0.0
    framing = foundation.floor_framing_fraction
    clear_share = 1.0 - framing
    void = foundation.floor_void_fraction
    return parallel_u(
        (
            (framing, fixed + joist),
            (clear_share * (1.0 - void), fixed + foundation.floor_r_m2k_per_w),
            (clear_share * void, fixed),
        )
    )


def floor_layers(foundation: Foundation) -> tuple[Layer, ...]:
    """Layers of the floor over an unheated space, from the room down."""
    core = 1.0 / floor_u(foundation) - 2.0 * R_FILM_DOWN - WOOD_BOARD.resistance_m2k_per_w
    return (WOOD_BOARD, Layer.resistance(max(core, 0.01)))


def rim_joist_layers(r_m2k_per_w: float) -> tuple[Layer, ...]:
    """Layers of a rim joist from inside to outside: insulation, 1.5 in. of wood, siding."""
    wood = Layer.solid(1.5 * M_PER_IN, 0.115, 540.0, 1210.0)
    siding = Layer.resistance(R_SHEATHING + R_CLADDING["wood"])
    if r_m2k_per_w > 0.0:
        return (Layer.resistance(r_m2k_per_w), wood, siding)
    return (wood, siding)


def door_layers(door: Door) -> tuple[Layer, ...]:
    """A door as one layer that gives its U with the rating films (0.68 and 0.17)."""
    core = 1.0 / door.u_w_per_m2k - R_FILM_VERTICAL - R_FILM_OUTSIDE
    return (Layer(resistance_m2k_per_w=max(core, 0.01), heat_capacity_j_per_m2k=20000.0),)


def access_layers(cover_r_m2k_per_w: float) -> tuple[Layer, ...]:
    """A hatch or pull-down panel of thin plywood with its cover."""
    panel = Layer.solid(0.0095, 0.115, 540.0, 1210.0)
    if cover_r_m2k_per_w > 0.0:
        return (panel, Layer.resistance(cover_r_m2k_per_w))
    return (panel,)


def foundation_wall_layers(foundation: Foundation) -> tuple[Layer, ...]:
    """A foundation wall from inside to outside: insulation, then masonry."""
    thickness = 0.45 if foundation.wall_material == "stone" else 0.2
    masonry = Layer.solid(
        thickness,
        CONCRETE_CONDUCTIVITY[foundation.wall_material],
        1400.0 if foundation.wall_material == "concrete_block" else 2100.0,
        880.0,
    )
    if foundation.wall_r_m2k_per_w > 0.0:
        return (Layer.resistance(foundation.wall_r_m2k_per_w), masonry)
    return (masonry,)
