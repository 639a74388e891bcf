"""Dense-packing empty frame walls, and mending bays that somebody missed."""

from __future__ import annotations

from dataclasses import replace

from calcs.assemblies import insulation_r
from calcs.inputs import House, Wall
from calcs.leak_places import leak_flows, seal
from calcs.measures.hazards import WALL_WORK
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure
from calcs.unit_factors import M2K_PER_W_PER_R_IP

R_PER_M = insulation_r("cellulose_dense", 1.0)
# A cavity with more than this in it cannot be filled by hose; common practice, no source.
EMPTY_BELOW_R_M2K_PER_W = 4.0 * M2K_PER_W_PER_R_IP
VOID_AFTER = 0.02
# Grade II of ANSI/RESNET/ICC 301 ends at 2 % of area missing, grade III at 5 % (II read):
# more than that and a second visit with the infrared camera finds bays worth filling.
MISSED_BAYS = 0.05
VOID_AFTER_REPAIR = 0.01
WALL_LEAKAGE_REMOVED = 0.30  # where every outside wall is filled; common practice, no source


def is_fillable(wall: Wall) -> bool:
    """Whether a wall is a frame wall with an empty, reachable cavity between inside and cold."""
    return (
        wall.structure in ("wood_frame", "balloon_frame")
        and wall.adjacent_to != "neighbor"
        and wall.cavity_r_m2k_per_w < EMPTY_BELOW_R_M2K_PER_W
        and wall.is_drillable
        and wall.area_m2 > 0.0
    )


def measures_for(house: House) -> list[Measure]:
    """Dense-packing as one job for all empty walls, and spot repair of the filled ones."""
    return [*_dense_pack(house), *_spot_repair(house)]


def has_missed_bays(wall: Wall) -> bool:
    """Whether a filled frame wall has empty bays that a hose reaches."""
    return (
        wall.structure in ("wood_frame", "balloon_frame")
        and wall.adjacent_to != "neighbor"
        and wall.cavity_r_m2k_per_w >= EMPTY_BELOW_R_M2K_PER_W
        and wall.void_fraction > MISSED_BAYS
        and wall.is_drillable
        and wall.area_m2 > 0.0
    )


def _spot_repair(house: House) -> list[Measure]:
    walls = [wall for wall in house.walls if has_missed_bays(wall)]
    if not walls:
        return []
    life = life_of("wall_spot_repair")
    return [
        Measure(
            kind="wall_spot_repair",
            stage="insulation",
            place="walls",
            quantity=sum(
                wall.area_m2 * (1.0 - wall.framing_fraction) * wall.void_fraction for wall in walls
            ),
            unit="m²",
            life_years=life.years,
            life_source=life.source,
            apply=_fill_missed_bays,
            blocked_by=WALL_WORK,
            areas=("walls", "living_space"),
            reason_key="some_bays_are_empty",
            facts={"wall_ids": [wall.id for wall in walls]},
        )
    ]


def _fill_missed_bays(house: House) -> House:
    walls = tuple(
        replace(wall, void_fraction=VOID_AFTER_REPAIR) if has_missed_bays(wall) else wall
        for wall in house.walls
    )
    return replace(house, walls=walls)


def _dense_pack(house: House) -> list[Measure]:
    walls = [wall for wall in house.walls if is_fillable(wall)]
    if not walls:
        return []
    life = life_of("wall_insulation")
    return [
        Measure(
            kind="wall_insulation",
            stage="insulation",
            place="walls",
            quantity=sum(wall.area_m2 for wall in walls),
            unit="m²",
            life_years=life.years,
            life_source=life.source,
            apply=_fill,
            blocked_by=WALL_WORK,
            areas=("walls", "living_space"),
            reason_key="walls_are_empty",
            facts={
                "wall_ids": [wall.id for wall in walls],
                "r_after_m2k_per_w": max(wall.cavity_depth_m for wall in walls) * R_PER_M,
                "is_balloon_frame": any(wall.structure == "balloon_frame" for wall in walls),
            },
        )
    ]


def _fill(house: House) -> House:
    filled_area = sum(wall.area_m2 for wall in house.walls if is_fillable(wall))
    if filled_area == 0.0:
        return house
    total = sum(wall.area_m2 for wall in house.walls if wall.adjacent_to != "neighbor")
    walls = tuple(
        replace(wall, cavity_r_m2k_per_w=wall.cavity_depth_m * R_PER_M, void_fraction=VOID_AFTER)
        if is_fillable(wall)
        else wall
        for wall in house.walls
    )
    sealed = house
    if leak_flows(house)["walls"] > 0.0:
        sealed = seal(house, {"walls": WALL_LEAKAGE_REMOVED * filled_area / total})
    return replace(sealed, walls=walls)
