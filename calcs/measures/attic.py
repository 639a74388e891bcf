"""Insulating an attic floor, the ways into it, and the deck things are stored on.

Old insulation stays under the new unless it is soiled, wet, or hides the leaks. Where the owner
keeps storing things, the deck is raised so that insulation fits under it; a plan without the deck
is one in which the boards and what stands on them go. Either way the whole floor is covered.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from calcs.assemblies import attic_floor_r, eave_limited_r, insulation_r
from calcs.inputs import Attic, AtticAccess, House, InsulationLayer, swap
from calcs.leak_places import ACCESS_FLOW50_CFM, ACCESS_GASKET_FACTOR, leak_flows, seal
from calcs.measures.attic_sealing import ATTIC_SEALING
from calcs.measures.hazards import ATTIC_WORK, TIGHTENING
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure
from calcs.unit_factors import M2_PER_FT2, M2K_PER_W_PER_R_IP, M3_PER_S_PER_CFM, M_PER_IN

MATERIAL = "cellulose_loose"
R_PER_M = insulation_r(MATERIAL, 1.0)
TARGET_R_M2K_PER_W = 49.0 * M2K_PER_W_PER_R_IP
DEEPER_TARGET_R_M2K_PER_W = 60.0 * M2K_PER_W_PER_R_IP
# From here on more insulation does little; common practice, no source.
ENOUGH_R_M2K_PER_W = 30.0 * M2K_PER_W_PER_R_IP
LEAST_ADDED_DEPTH_M = 1.5 * M_PER_IN
COVER_R_M2K_PER_W = 20.0 * M2K_PER_W_PER_R_IP
COVER_ENOUGH_R_M2K_PER_W = 10.0 * M2K_PER_W_PER_R_IP
ATTIC_INSULATION = ("attic_insulation", "attic_insulation_renewal")
BEFORE_INSULATING = (
    *ATTIC_SEALING,
    "attic_hatch_cover",
    "attic_stair_cover",
    "bath_fan_ducting",
    "attic_raised_deck",
)
INSULABLE = ("vented", "unvented", "knee_wall")


def measures_for(house: House, *, target_r_m2k_per_w: float = TARGET_R_M2K_PER_W) -> list[Measure]:
    """Attic insulation and hatch covers that apply to this house."""
    found = [
        _cover(attic, access)
        for attic in house.attics
        for access in attic.accesses
        if not access.is_gasketed or access.cover_r_m2k_per_w < COVER_ENOUGH_R_M2K_PER_W
    ]
    for attic in house.attics:
        if attic.kind not in INSULABLE:
            continue
        if attic_floor_r(attic) >= ENOUGH_R_M2K_PER_W and not attic.removal_reason:
            continue
        insulation = [*_insulation(house, attic, target_r_m2k_per_w)]
        insulation += _renewal(house, attic, target_r_m2k_per_w)
        if insulation:
            found += [*_raised_deck(attic), *insulation]
    return found


def _raised_deck(attic: Attic) -> list[Measure]:
    if attic.storage_area_m2 <= 0.0 or attic.is_deck_raised:
        return []
    life = life_of("attic_raised_deck")
    return [
        Measure(
            kind="attic_raised_deck",
            target_id=attic.id,
            stage="insulation",
            place="attic_floor",
            quantity=attic.storage_area_m2,
            unit="m²",
            life_years=life.years,
            life_source=life.source,
            apply=partial(_raise_deck, attic_id=attic.id),
            requires=ATTIC_SEALING,
            blocked_by=ATTIC_WORK,
            areas=("attic", "roof"),
            reason_key="storage_is_kept",
            facts={"deck_area_m2": attic.storage_area_m2},
        )
    ]


def _raise_deck(house: House, *, attic_id: str) -> House:
    return replace(house, attics=swap(house.attics, attic_id, is_deck_raised=True))


def _insulation(house: House, attic: Attic, target_r: float) -> list[Measure]:
    # Nobody buries insulation that is soiled or wet.
    if attic.removal_reason:
        return []
    present_r = attic_floor_r(attic)
    depth = (target_r - present_r) / R_PER_M
    perimeter = _eave_length(house, attic)
    added_r = eave_limited_r(attic, R_PER_M, depth, perimeter_m=perimeter)
    is_limited = added_r < 0.97 * R_PER_M * depth
    if added_r < LEAST_ADDED_DEPTH_M * R_PER_M:
        return []
    return [
        _insulating(
            "attic_insulation",
            attic,
            apply=partial(_insulate, attic_id=attic.id, added_r=added_r, added_depth=depth),
            reason_key="attic_is_thin",
            facts={
                "r_before_m2k_per_w": present_r,
                "r_target_m2k_per_w": target_r,
                "r_after_m2k_per_w": attic_floor_r(_with_layer(attic, added_r, depth)),
                "added_depth_m": depth,
                "is_limited_at_eaves": is_limited,
            },
        )
    ]


def _insulating(kind: str, attic: Attic, *, facts: dict[str, object], **values: object) -> Measure:
    life = life_of(kind)
    common: dict[str, object] = {
        "raised_deck_area_m2": attic.storage_area_m2,
        "unrated_lights": attic.recessed_lights_unrated,
        "material": MATERIAL,
    }
    return Measure(
        kind=kind,
        target_id=attic.id,
        stage="insulation",
        place="attic_floor",
        quantity=attic.area_m2,
        unit="m²",
        life_years=life.years,
        life_source=life.source,
        requires=BEFORE_INSULATING,
        excludes=tuple(other for other in ATTIC_INSULATION if other != kind),
        blocked_by=ATTIC_WORK,
        areas=("attic", "roof"),
        facts=facts | common,
        **values,  # type: ignore[arg-type]  # fields of Measure
    )


def _renewal(house: House, attic: Attic, target_r: float) -> list[Measure]:
    """Old insulation out, then new: where it must go, or where it is in poor condition."""
    is_poor = any(layer.condition == "poor" for layer in attic.layers)
    if not attic.layers or not (attic.removal_reason or is_poor):
        return []
    depth = target_r / R_PER_M
    bare = replace(attic, layers=())
    new_r = eave_limited_r(bare, R_PER_M, depth, perimeter_m=_eave_length(house, attic))
    after = _with_layer(bare, new_r, depth)
    return [
        _insulating(
            "attic_insulation_renewal",
            attic,
            apply=partial(_renew, attic_id=attic.id, new_r=new_r, depth=depth),
            is_advised=bool(attic.removal_reason),
            reason_key=f"old_insulation_is_{attic.removal_reason}"
            if attic.removal_reason
            else "old_insulation_can_stay",
            facts={
                "r_before_m2k_per_w": attic_floor_r(attic),
                "r_target_m2k_per_w": target_r,
                "r_after_m2k_per_w": attic_floor_r(after),
                "added_depth_m": depth,
                "is_limited_at_eaves": new_r < 0.97 * R_PER_M * depth,
                "removed_area_m2": attic.area_m2,
            },
        )
    ]


def _renew(house: House, *, attic_id: str, new_r: float, depth: float) -> House:
    attics = tuple(
        _with_layer(replace(item, layers=(), removal_reason=""), new_r, depth)
        if item.id == attic_id
        else item
        for item in house.attics
    )
    return replace(house, attics=attics)


def _eave_length(house: House, attic: Attic) -> float:
    """Length of low edge: the two long sides, for the share of the roof this attic covers."""
    geometry = house.geometry
    footprint = geometry.footprint_length_m * geometry.footprint_width_m
    share = min(attic.area_m2 / footprint, 1.0)
    return 2.0 * max(geometry.footprint_length_m, geometry.footprint_width_m) * share


def _with_layer(attic: Attic, added_r: float, added_depth: float) -> Attic:
    layer = InsulationLayer(
        material=MATERIAL, depth_m=added_depth, nominal_r_m2k_per_w=added_r, condition="good"
    )
    return replace(attic, layers=(*attic.layers, layer))


def _insulate(house: House, *, attic_id: str, added_r: float, added_depth: float) -> House:
    attics = tuple(
        _with_layer(item, added_r, added_depth) if item.id == attic_id else item
        for item in house.attics
    )
    return replace(house, attics=attics)


def _cover(attic: Attic, access: AtticAccess) -> Measure:
    is_stair = access.kind == "pull_down_stair"
    kind = "attic_stair_cover" if is_stair else "attic_hatch_cover"
    life = life_of(kind)
    return Measure(
        kind=kind,
        target_id=access.id,
        stage="air_sealing",
        place="attic_access",
        quantity=1.0,
        unit="each",
        life_years=life.years,
        life_source=life.source,
        apply=partial(_cover_access, attic_id=attic.id, access_id=access.id),
        blocked_by=TIGHTENING,
        areas=("attic", "living_space"),
        reason_key="stair_is_bare" if is_stair else "hatch_is_bare",
        facts={
            "access_kind": access.kind,
            "area_ft2_exact": access.area_m2 / M2_PER_FT2,
            "r_after_m2k_per_w": COVER_R_M2K_PER_W,
        },
    )


def _cover_access(house: House, *, attic_id: str, access_id: str) -> House:
    attic = next(item for item in house.attics if item.id == attic_id)
    access = next(item for item in attic.accesses if item.id == access_id)
    sealed = house
    if not access.is_gasketed:
        total = leak_flows(house)["attic_access"]
        own = ACCESS_FLOW50_CFM[access.kind] * M3_PER_S_PER_CFM
        if total > 0.0:
            removed = min(own * (1.0 - ACCESS_GASKET_FACTOR) / total, 1.0 - ACCESS_GASKET_FACTOR)
            sealed = seal(house, {"attic_access": removed})
    accesses = swap(
        attic.accesses,
        access_id,
        is_gasketed=True,
        cover_r_m2k_per_w=max(COVER_R_M2K_PER_W, access.cover_r_m2k_per_w),
    )
    return replace(sealed, attics=swap(sealed.attics, attic_id, accesses=accesses))
