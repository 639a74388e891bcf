"""Things looked at and left as they are, each with its reason."""

from __future__ import annotations

from collections.abc import Sequence

from calcs.assemblies import attic_floor_r
from calcs.inputs import House
from calcs.measures import Measure
from calcs.measures.air_sealing import REST_WORTH_ABOVE_ACH50
from calcs.measures.attic import ATTIC_INSULATION, ENOUGH_R_M2K_PER_W
from calcs.measures.ducts import leak25_m3_per_s
from calcs.measures.walls import EMPTY_BELOW_R_M2K_PER_W
from calcs.results import EquipmentFinding, LeftAlone


def left_alone(
    house: House, measures: Sequence[Measure], findings: Sequence[EquipmentFinding]
) -> tuple[LeftAlone, ...]:
    """What needs nothing done, and why, envelope first."""
    offered = {item.kind for item in measures}
    found = [*_attics(house, measures), *_walls(house, measures), *_openings(house, measures)]
    ach50 = house.air_leakage.flow50_m3_per_s * 3600.0 / house.geometry.volume_m3
    if ach50 <= REST_WORTH_ABOVE_ACH50:
        found.append(
            LeftAlone(subject="air_leakage", item_id="", reason_key="house_is_tight_enough",
                      reason_facts={"ach50": ach50})
        )  # fmt: skip
    if house.ducts is not None and "duct_sealing" not in offered:
        found.append(
            LeftAlone(subject="ducts", item_id="", reason_key="ducts_are_tight",
                      reason_facts={"leak25_m3_per_s": leak25_m3_per_s(house.ducts)})
        )  # fmt: skip
    found += _foundations(house) + _fireplace(house, offered)
    # What has to be made safe first is not left alone, whatever its age.
    unsafe = {repair.target_id for repair in house.repairs}
    for item in findings:
        if item.equipment_id in unsafe:
            continue
        if item.verdict in ("leave_alone", "plan_change", "unknown_age"):
            found.append(
                LeftAlone(
                    subject=item.kind,
                    item_id=item.equipment_id,
                    reason_key=item.reason_key,
                    reason_facts={**item.reason_facts, "life_source": item.life_source},
                    look_again_year=item.leave_until_year,
                )
            )
    return tuple(found)


def _attics(house: House, measures: Sequence[Measure]) -> list[LeftAlone]:
    insulated = {item.target_id for item in measures if item.kind in ATTIC_INSULATION}
    found = []
    for attic in house.attics:
        if attic.id in insulated:
            continue
        r_now = attic_floor_r(attic)
        if attic.kind in ("cathedral", "flat"):
            reason = "roof_has_no_room_to_fill"
        elif r_now >= ENOUGH_R_M2K_PER_W:
            reason = "attic_is_deep_enough"
        else:
            reason = "no_room_over_the_ceiling"
        found.append(
            LeftAlone(subject="attic", item_id=attic.id, reason_key=reason,
                      reason_facts={"r_now_m2k_per_w": r_now})
        )  # fmt: skip
    return found


def _walls(house: House, measures: Sequence[Measure]) -> list[LeftAlone]:
    mended = {
        wall
        for item in measures
        if item.kind == "wall_spot_repair"
        for wall in item.facts["wall_ids"]
    }
    frame = [w for w in house.walls if w.structure in ("wood_frame", "balloon_frame")]
    filled = [
        w for w in frame if w.cavity_r_m2k_per_w >= EMPTY_BELOW_R_M2K_PER_W and w.id not in mended
    ]
    found = []
    if filled:
        # A batt and its voids keep a hose from filling the bay: not worth opening the walls.
        reason = "walls_are_filled"
        if min(w.cavity_r_m2k_per_w for w in filled) < 2.0 * EMPTY_BELOW_R_M2K_PER_W:
            reason = "walls_are_partly_filled"
        found.append(
            LeftAlone(subject="walls", item_id="", reason_key=reason,
                      reason_facts={"wall_ids": [w.id for w in filled]})
        )  # fmt: skip
    solid = [w.id for w in house.walls if w.structure in ("masonry", "log")]
    if solid:
        found.append(
            LeftAlone(subject="walls", item_id="", reason_key="walls_have_no_cavity",
                      reason_facts={"wall_ids": solid})
        )  # fmt: skip
    return found


def _openings(house: House, measures: Sequence[Measure]) -> list[LeftAlone]:
    replacing = any(item.kind == "window_replacement" for item in measures)
    if not house.windows or any(item.kind == "window_repair" for item in measures):
        return []
    reason = "windows_cost_more_than_they_save" if replacing else "windows_are_good"
    return [LeftAlone(subject="windows", item_id="", reason_key=reason)]


def _foundations(house: House) -> list[LeftAlone]:
    found = []
    for item in house.foundations:
        if item.kind == "basement" and item.wall_material in ("stone", "brick"):
            found.append(
                LeftAlone(subject="basement_walls", item_id=item.id,
                          reason_key="old_masonry_needs_to_dry")
            )  # fmt: skip
        if item.has_standing_water:
            found.append(
                LeftAlone(subject="foundation", item_id=item.id, reason_key="dry_it_first")
            )
    return found


def _fireplace(house: House, offered: set[str]) -> list[LeftAlone]:
    fireplace = house.air_leakage.fireplace
    if fireplace is None or fireplace.is_plugged:
        return []
    if fireplace.has_gas_logs:
        return [LeftAlone(subject="fireplace", item_id="", reason_key="gas_logs_need_an_open_flue")]
    if fireplace.is_in_use and "fireplace_damper" not in offered:
        return [LeftAlone(subject="fireplace", item_id="", reason_key="fireplace_is_in_use")]
    return []
