"""Closing leaks at the rim joist and in the rest of the house.

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
from calcs.unit_factors import M2K_PER_W_PER_R_IP

RIM_REMOVED = 0.75
RIM_R_M2K_PER_W = 15.0 * M2K_PER_W_PER_R_IP  # 2021 IECC zone 5, basement wall (read)
REST_REMOVED = {"walls": 0.25, "windows_doors": 0.35, "garage_wall": 0.50, "foundation": 0.35}

# Below this air change rate the rest is left alone.
REST_WORTH_ABOVE_ACH50 = 6.0
RIM_INSULATED_R_M2K_PER_W = 4.0 * M2K_PER_W_PER_R_IP

UNHEATED_BELOW = ("basement", "unvented_crawlspace")


def measures_for(house: House) -> list[Measure]:
    """Rim joists and the rest, where they leak."""
    return [*_rim_joists(house), *_rest(house)]


def _seal(house: House, *, removed: Mapping[str, float]) -> House:
    return seal(house, removed)


def _ach50(house: House) -> float:
    return house.air_leakage.flow50_m3_per_s * 3600.0 / house.geometry.volume_m3


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
                facts={
                    "r_after_m2k_per_w": RIM_R_M2K_PER_W,
                    "flow50_removed_m3_per_s": 0.0
                    if rim.is_sealed
                    else RIM_REMOVED * share * leak_flows(house)["rim_joist"],
                },
            )
        )
    return found


def _seal_rim(house: House, *, foundation_id: str, share: float) -> House:
    removed = {} if _is_rim_sealed(house, foundation_id) else {"rim_joist": RIM_REMOVED * share}
    sealed = seal(house, removed) if removed else house
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
                "flow50_removed_m3_per_s": quantity,
            },
        )
    ]
