"""Floors, crawlspaces, basements and bellies."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from calcs.inputs import Foundation, House, swap
from calcs.leak_places import leak_flows, seal
from calcs.measures.hazards import UNDERFLOOR_WORK
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure
from calcs.unit_factors import M2K_PER_W_PER_R_IP, M_PER_IN

FLOOR_R_M2K_PER_W = 19.0 * M2K_PER_W_PER_R_IP  # 2021 IECC zones 3 and 4 (read)
FLOOR_ENOUGH_R_M2K_PER_W = 11.0 * M2K_PER_W_PER_R_IP
BELLY_ADDED_R_M2K_PER_W = 11.0 * M2K_PER_W_PER_R_IP
BELLY_ENOUGH_R_M2K_PER_W = 15.0 * M2K_PER_W_PER_R_IP
WALL_R_M2K_PER_W = 10.0 * M2K_PER_W_PER_R_IP  # 2021 IECC zone 4, basement and crawl wall (read)
WALL_ENOUGH_R_M2K_PER_W = 5.0 * M2K_PER_W_PER_R_IP
FLOOR_LEAKAGE_REMOVED = 0.20  # crawl closed or belly wrapped; common practice, no source
# A crew does not enter a lower crawlspace (dictionary of the field sheet, soft limit).
LEAST_CLEAR_HEIGHT_M = 18.0 * M_PER_IN
COVER_COMPLETE = 0.9

COLD_BELOW = ("vented_crawlspace", "unvented_crawlspace", "garage_below", "open_below", "basement")
CRAWLS = ("vented_crawlspace", "unvented_crawlspace")


def can_enter(foundation: Foundation) -> bool:
    """Whether a crew gets under the floor."""
    return foundation.clear_height_m is None or foundation.clear_height_m >= LEAST_CLEAR_HEIGHT_M


def measures_for(house: House) -> list[Measure]:
    """What applies to each foundation of this house."""
    found: list[Measure] = []
    for item in house.foundations:
        found += _ground_cover(item) + _floor(house, item) + _encapsulation(item)
        found += _crawl_walls(house, item) + _basement_walls(item) + _belly(item)
    return found


def _measure(kind: str, item: Foundation, **values: object) -> Measure:
    life = life_of(kind)
    defaults: dict[str, object] = {
        "stage": "insulation",
        "place": "foundation",
        "quantity": item.area_m2,
        "unit": "m²",
        "life_years": life.years,
        "life_source": life.source,
        "blocked_by": UNDERFLOOR_WORK,
        "areas": ("crawlspace", "basement"),
    }
    return Measure(kind=kind, target_id=item.id, **(defaults | values))  # type: ignore[arg-type]  # fields of Measure


def _ground_cover(item: Foundation) -> list[Measure]:
    if item.kind not in CRAWLS or item.ground_cover_share >= COVER_COMPLETE or not can_enter(item):
        return []
    return [
        _measure(
            "crawl_ground_cover",
            item,
            stage="safety",
            blocked_by=("gas_leak", "unsafe_conditions", "active_leak", "structural"),
            apply=partial(_change, foundation_id=item.id, ground_cover_share=1.0),
            reason_key="bare_soil_wets_the_floor",
            facts={"share_before": item.ground_cover_share},
        )
    ]


def _change(house: House, *, foundation_id: str, **changes: object) -> House:
    return replace(house, foundations=swap(house.foundations, foundation_id, **changes))


def _floor(house: House, item: Foundation) -> list[Measure]:
    if item.kind not in COLD_BELOW or item.is_conditioned or not can_enter(item):
        return []
    if item.floor_r_m2k_per_w >= FLOOR_ENOUGH_R_M2K_PER_W or item.has_standing_water:
        return []
    holds_heat = item.kind == "basement" and _heats(house, "basement")
    return [
        _measure(
            "floor_insulation",
            item,
            apply=partial(
                _change,
                foundation_id=item.id,
                floor_r_m2k_per_w=FLOOR_R_M2K_PER_W,
                floor_void_fraction=0.02,
            ),
            requires=("crawl_ground_cover",),
            excludes=("crawl_encapsulation", "crawl_wall_insulation"),
            is_advised=not holds_heat,
            reason_key="basement_holds_the_heating" if holds_heat else "floor_is_bare",
            facts={
                "r_before_m2k_per_w": item.floor_r_m2k_per_w,
                "r_after_m2k_per_w": FLOOR_R_M2K_PER_W,
            },
        )
    ]


def _heats(house: House, space: str) -> bool:
    return any(system.location == space for system in house.heating)


def _encapsulation(item: Foundation) -> list[Measure]:
    if item.kind != "vented_crawlspace" or item.has_standing_water or not can_enter(item):
        return []
    return [
        _measure(
            "crawl_encapsulation",
            item,
            apply=partial(_encapsulate, foundation_id=item.id),
            excludes=("floor_insulation",),
            blocked_by=UNDERFLOOR_WORK,
            is_advised=False,
            reason_key="floor_insulation_does_the_same_for_less",
            facts={"wall_r_m2k_per_w": WALL_R_M2K_PER_W},
        )
    ]


def _encapsulate(house: House, *, foundation_id: str) -> House:
    sealed = house
    if leak_flows(house)["foundation"] > 0.0:
        sealed = seal(house, {"foundation": FLOOR_LEAKAGE_REMOVED})
    return _change(
        sealed,
        foundation_id=foundation_id,
        kind="unvented_crawlspace",
        wall_r_m2k_per_w=WALL_R_M2K_PER_W,
        ground_cover_share=1.0,
    )


def _crawl_walls(house: House, item: Foundation) -> list[Measure]:
    """Walls of a crawlspace that is closed already; in place of insulating the floor above."""
    if item.kind != "unvented_crawlspace" or item.has_standing_water or not can_enter(item):
        return []
    if item.wall_r_m2k_per_w >= WALL_ENOUGH_R_M2K_PER_W or item.perimeter_m <= 0.0:
        return []
    if item.floor_r_m2k_per_w >= FLOOR_ENOUGH_R_M2K_PER_W:
        return []
    holds_ducts = house.ducts is not None and "crawlspace" in (
        house.ducts.supply_location,
        house.ducts.return_location,
    )
    return [
        _measure(
            "crawl_wall_insulation",
            item,
            quantity=item.perimeter_m * max(item.wall_height_m, LEAST_CLEAR_HEIGHT_M),
            apply=partial(_change, foundation_id=item.id, wall_r_m2k_per_w=WALL_R_M2K_PER_W),
            requires=("crawl_ground_cover",),
            excludes=("floor_insulation",),
            areas=("crawlspace",),
            is_advised=holds_ducts,
            reason_key="ducts_run_in_the_crawlspace"
            if holds_ducts
            else "floor_insulation_does_the_same_for_less",
            facts={
                "r_before_m2k_per_w": item.wall_r_m2k_per_w,
                "r_after_m2k_per_w": WALL_R_M2K_PER_W,
            },
        )
    ]


def _basement_walls(item: Foundation) -> list[Measure]:
    if item.kind != "basement" or item.wall_r_m2k_per_w >= WALL_ENOUGH_R_M2K_PER_W:
        return []
    # Rubble and soft brick need to dry inward; insulating them is for a specialist.
    if item.wall_material in ("stone", "brick") or item.has_standing_water:
        return []
    return [
        _measure(
            "basement_wall_insulation",
            item,
            quantity=item.perimeter_m * item.wall_height_m,
            apply=partial(_change, foundation_id=item.id, wall_r_m2k_per_w=WALL_R_M2K_PER_W),
            areas=("basement",),
            is_advised=item.is_conditioned,
            reason_key="basement_walls_are_bare" if item.is_conditioned else "basement_not_heated",
            facts={"r_after_m2k_per_w": WALL_R_M2K_PER_W},
        )
    ]


def _belly(item: Foundation) -> list[Measure]:
    if (
        item.kind != "belly"
        or item.floor_r_m2k_per_w * (1.0 - item.floor_void_fraction) >= BELLY_ENOUGH_R_M2K_PER_W
    ):
        return []
    return [
        _measure(
            "belly_insulation",
            item,
            apply=partial(_fill_belly, foundation_id=item.id),
            areas=("crawlspace",),
            reason_key="belly_is_thin_or_torn",
            facts={"r_before_m2k_per_w": item.floor_r_m2k_per_w},
        )
    ]


def _fill_belly(house: House, *, foundation_id: str) -> House:
    item = next(f for f in house.foundations if f.id == foundation_id)
    sealed = house
    if leak_flows(house)["foundation"] > 0.0:
        sealed = seal(house, {"foundation": FLOOR_LEAKAGE_REMOVED})
    return _change(
        sealed,
        foundation_id=foundation_id,
        floor_r_m2k_per_w=item.floor_r_m2k_per_w + BELLY_ADDED_R_M2K_PER_W,
        floor_void_fraction=0.02,
    )
