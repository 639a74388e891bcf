"""Closing leaks: attic floor, rim joist, the rest of the house, an unused flue.

Shares removed are what a good crew reaches with the fan running (common practice, no source);
the test-out shows what was really reached.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from functools import partial

from calcs.inputs import House
from calcs.leak_places import leak_flows, seal
from calcs.measures.hazards import TIGHTENING
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure
from calcs.unit_factors import M2_PER_FT2, M2K_PER_W_PER_R_IP, M3_PER_S_PER_CFM

ATTIC_REMOVED = {"attic_floor": 0.60}
CHASE_REMOVED = 0.75  # metal flashing and fire-rated sealant around the chimney
RIM_REMOVED = 0.75
RIM_R_M2K_PER_W = 15.0 * M2K_PER_W_PER_R_IP  # 2021 IECC zone 5, basement wall (read)
REST_REMOVED = {"walls": 0.25, "windows_doors": 0.35, "garage_wall": 0.50, "foundation": 0.35}
PLUG_REMOVED = 0.85

# Below this an attic floor counts as sealed; below this air change rate the rest is left alone.
ATTIC_SEALED_M_PER_S = 0.10 * M3_PER_S_PER_CFM / M2_PER_FT2
REST_WORTH_ABOVE_ACH50 = 6.0
ATTIC_WORTH_ABOVE_ACH50 = 4.0  # unless somebody saw bypasses
RIM_INSULATED_R_M2K_PER_W = 4.0 * M2K_PER_W_PER_R_IP

UNHEATED_BELOW = ("basement", "unvented_crawlspace")


def measures_for(house: House) -> list[Measure]:
    """The air-sealing measures that apply to this house."""
    found = [*_attic(house), *_rim_joists(house), *_plug(house), *_rest(house)]
    return found


def _seal(house: House, *, removed: Mapping[str, float]) -> House:
    return seal(house, removed)


def _attic(house: House) -> list[Measure]:
    open_attics = [attic for attic in house.attics if attic.kind not in ("cathedral", "flat")]
    area = sum(attic.area_m2 for attic in open_attics)
    flows = leak_flows(house)
    if not area or flows["attic_floor"] / area < ATTIC_SEALED_M_PER_S:
        return []
    bypasses = sorted({name for attic in open_attics for name in attic.bypasses})
    if not bypasses and _ach50(house) < ATTIC_WORTH_ABOVE_ACH50:
        return []
    removed = dict(ATTIC_REMOVED)
    chase = flows["chimney"] - _hearth(house)
    if chase > 0.0:
        removed["chimney"] = CHASE_REMOVED * chase / flows["chimney"]
    before = flows["attic_floor"] + max(chase, 0.0)
    return [
        Measure(
            kind="attic_air_sealing",
            stage="air_sealing",
            place="attic_floor",
            quantity=area,
            unit="m²",
            life_years=life_of("attic_air_sealing").years,
            life_source=life_of("attic_air_sealing").source,
            apply=partial(_seal, removed=removed),
            blocked_by=(*TIGHTENING, "flue_clearance", "single_wall_flue", "active_leak"),
            areas=("attic", "living_space"),
            reason_key="sealing_comes_before_insulating",
            facts={
                "bypasses": bypasses,
                "has_chimney_gap": chase > 0.0,
                "flow50_before_m3_per_s": before,
                "flow50_removed_m3_per_s": sum(flows[p] * share for p, share in removed.items()),
            },
        )
    ]


def _ach50(house: House) -> float:
    return house.air_leakage.flow50_m3_per_s * 3600.0 / house.geometry.volume_m3


def _hearth(house: House) -> float:
    fireplace = house.air_leakage.fireplace
    return 0.0 if fireplace is None else fireplace.flow50_m3_per_s


def _rim_joists(house: House) -> list[Measure]:
    found = []
    rims = [
        item
        for item in house.foundations
        if item.kind in UNHEATED_BELOW and item.rim_joist.length_m > 0.0
    ]
    total = sum(item.rim_joist.length_m for item in rims)
    for item in rims:
        rim = item.rim_joist
        if rim.is_sealed and rim.r_m2k_per_w >= RIM_INSULATED_R_M2K_PER_W:
            continue
        share = rim.length_m / total
        found.append(
            Measure(
                kind="rim_joist",
                target_id=item.id,
                stage="air_sealing",
                place="rim_joist",
                quantity=rim.length_m,
                unit="m",
                life_years=life_of("rim_joist").years,
                life_source=life_of("rim_joist").source,
                apply=partial(_seal_rim, foundation_id=item.id, share=share),
                blocked_by=(*TIGHTENING, "moisture", "active_leak"),
                areas=("basement", "crawlspace"),
                reason_key="air_comes_in_low",
                facts={"r_after_m2k_per_w": RIM_R_M2K_PER_W},
            )
        )
    return found


def _seal_rim(house: House, *, foundation_id: str, share: float) -> House:
    removed = {} if _is_rim_sealed(house, foundation_id) else {"rim_joist": RIM_REMOVED * share}
    sealed = seal(house, removed)
    foundations = tuple(
        replace(
            item,
            rim_joist=replace(
                item.rim_joist,
                is_sealed=True,
                r_m2k_per_w=max(RIM_R_M2K_PER_W, item.rim_joist.r_m2k_per_w),
            ),
        )
        if item.id == foundation_id
        else item
        for item in sealed.foundations
    )
    return replace(sealed, foundations=foundations)


def _is_rim_sealed(house: House, foundation_id: str) -> bool:
    return any(f.id == foundation_id and f.rim_joist.is_sealed for f in house.foundations)


def _plug(house: House) -> list[Measure]:
    fireplace = house.air_leakage.fireplace
    if fireplace is None or fireplace.is_plugged or fireplace.is_in_use:
        return []
    # A damper clamped open for gas logs has to stay open: no plug, ever.
    if fireplace.has_gas_logs:
        return []
    return [
        Measure(
            kind="flue_plug",
            stage="air_sealing",
            place="chimney",
            quantity=1.0,
            unit="each",
            life_years=life_of("flue_plug").years,
            life_source=life_of("flue_plug").source,
            apply=_plug_flue,
            blocked_by=TIGHTENING,
            areas=("living_space",),
            reason_key="flue_not_in_use",
            facts={"flow50_before_m3_per_s": fireplace.flow50_m3_per_s},
        )
    ]


def _plug_flue(house: House) -> House:
    fireplace = house.air_leakage.fireplace
    if fireplace is None or fireplace.is_plugged:
        return house
    flows = leak_flows(house)
    kept = fireplace.flow50_m3_per_s * (1.0 - PLUG_REMOVED)
    closed = min(fireplace.flow50_m3_per_s - kept, flows["chimney"])
    removed = {"chimney": closed / flows["chimney"]} if flows["chimney"] > 0.0 else {}
    sealed = seal(house, removed)
    plugged = replace(fireplace, is_plugged=True, flow50_m3_per_s=kept)
    return replace(sealed, air_leakage=replace(sealed.air_leakage, fireplace=plugged))


def _rest(house: House) -> list[Measure]:
    ach50 = _ach50(house)
    if ach50 <= REST_WORTH_ABOVE_ACH50:
        return []
    flows = leak_flows(house)
    quantity = sum(flows[place] * share for place, share in REST_REMOVED.items())
    return [
        Measure(
            kind="air_sealing",
            stage="air_sealing",
            place="walls",
            quantity=quantity,
            unit="m³/s",
            life_years=life_of("air_sealing").years,
            life_source=life_of("air_sealing").source,
            apply=partial(_seal, removed=REST_REMOVED),
            blocked_by=TIGHTENING,
            areas=("living_space", "walls", "crawlspace", "basement"),
            reason_key="house_is_leaky",
            facts={
                "ach50_before": ach50,
                "flow50_target_m3_per_s": house.air_leakage.flow50_m3_per_s - quantity,
            },
        )
    ]
