"""Insulating an attic floor and its hatch."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from calcs.assemblies import attic_floor_r, eave_limited_r, insulation_r
from calcs.inputs import Attic, AtticAccess, House, InsulationLayer, swap
from calcs.leak_places import ACCESS_FLOW50_CFM, ACCESS_GASKET_FACTOR, leak_flows, seal
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
        if attic.kind in INSULABLE and attic_floor_r(attic) < ENOUGH_R_M2K_PER_W:
            insulation = _insulation(house, attic, target_r_m2k_per_w)
            if insulation is not None:
                found.append(insulation)
    return found


def _insulation(house: House, attic: Attic, target_r: float) -> Measure | None:
    present_r = attic_floor_r(attic)
    depth = (target_r - present_r) / R_PER_M
    perimeter = _eave_length(house, attic)
    added_r = eave_limited_r(attic, R_PER_M, depth, perimeter_m=perimeter)
    is_limited = added_r < 0.97 * R_PER_M * depth
    if added_r < LEAST_ADDED_DEPTH_M * R_PER_M:
        return None
    life = life_of("attic_insulation")
    return Measure(
        kind="attic_insulation",
        target_id=attic.id,
        stage="insulation",
        place="attic_floor",
        quantity=attic.area_m2,
        unit="m²",
        life_years=life.years,
        life_source=life.source,
        apply=partial(_insulate, attic_id=attic.id, added_r=added_r, added_depth=depth),
        requires=("attic_air_sealing", "attic_hatch_cover"),
        blocked_by=ATTIC_WORK,
        areas=("attic", "roof"),
        reason_key="attic_is_thin",
        facts={
            "r_before_m2k_per_w": present_r,
            "r_target_m2k_per_w": target_r,
            "r_after_m2k_per_w": attic_floor_r(_with_layer(attic, added_r, depth)),
            "added_depth_m": depth,
            "is_limited_at_eaves": is_limited,
            "raised_deck_area_m2": attic.storage_area_m2,
            "unrated_lights": attic.recessed_lights_unrated,
            "material": MATERIAL,
        },
    )


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
    life = life_of("attic_hatch_cover")
    return Measure(
        kind="attic_hatch_cover",
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
        reason_key="hatch_is_bare",
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
