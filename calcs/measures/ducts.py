"""Sealing and insulating ducts outside the heated rooms."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from calcs.inputs import Ducts, House
from calcs.leak_places import leak_flows, seal
from calcs.measures.hazards import TIGHTENING
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure
from calcs.unit_factors import M2_PER_FT2, M2K_PER_W_PER_R_IP, M3_PER_S_PER_CFM

# 4 cfm at 25 Pa per 100 ft² of floor: 2021 IECC, total, ducts outside (read, secondary). Old
# systems are seldom brought there, so no more than 65 % of the leakage counts as removable.
TARGET_LEAK25_M_PER_S = 0.04 * M3_PER_S_PER_CFM / M2_PER_FT2
REMOVABLE = 0.65
WORTH_SEALING = 1.4  # times the target
INSULATION_R_M2K_PER_W = 8.0 * M2K_PER_W_PER_R_IP
ENOUGH_R_M2K_PER_W = 5.0 * M2K_PER_W_PER_R_IP
COLD_SPACES = ("attic", "crawlspace", "garage", "outside")


def measures_for(house: House) -> list[Measure]:
    """Duct measures, where there are ducts outside the heated rooms."""
    ducts = house.ducts
    if ducts is None:
        return []
    return [*_sealing(house, ducts), *_insulation(ducts)]


def leak25_m3_per_s(ducts: Ducts) -> float:
    """Duct leakage to outside at 25 Pa, both sides. [m³/s]"""
    return ducts.supply_leak25_m3_per_s + ducts.return_leak25_m3_per_s


def _sealing(house: House, ducts: Ducts) -> list[Measure]:
    leak = leak25_m3_per_s(ducts)
    target = TARGET_LEAK25_M_PER_S * house.geometry.floor_area_m2
    if leak < WORTH_SEALING * target:
        return []
    life = life_of("duct_sealing")
    after = max(target, (1.0 - REMOVABLE) * leak)
    return [
        Measure(
            kind="duct_sealing",
            stage="ducts",
            place="ducts",
            quantity=leak - after,
            unit="m³/s",
            life_years=life.years,
            life_source=life.source,
            apply=_seal_ducts,
            blocked_by=TIGHTENING,
            areas=("attic", "crawlspace", "basement"),
            reason_key="ducts_leak",
            facts={"leak25_before_m3_per_s": leak, "leak25_after_m3_per_s": after},
        )
    ]


def _seal_ducts(house: House) -> House:
    ducts = house.ducts
    if ducts is None:
        return house
    leak = leak25_m3_per_s(ducts)
    target = TARGET_LEAK25_M_PER_S * house.geometry.floor_area_m2
    kept = min(max(target / leak, 1.0 - REMOVABLE), 1.0) if leak > 0.0 else 1.0
    sealed = house
    if leak_flows(house)["ducts"] > 0.0:
        sealed = seal(house, {"ducts": 1.0 - kept})
    tight = replace(
        ducts,
        supply_leak25_m3_per_s=ducts.supply_leak25_m3_per_s * kept,
        return_leak25_m3_per_s=ducts.return_leak25_m3_per_s * kept,
    )
    return replace(sealed, ducts=tight)


def _insulation(ducts: Ducts) -> list[Measure]:
    area = 0.0
    if ducts.supply_location in COLD_SPACES and ducts.supply_r_m2k_per_w < ENOUGH_R_M2K_PER_W:
        area += ducts.supply_area_m2 * ducts.outside_share
    if ducts.return_location in COLD_SPACES and ducts.return_r_m2k_per_w < ENOUGH_R_M2K_PER_W:
        area += ducts.return_area_m2 * ducts.outside_share
    if area <= 0.0:
        return []
    life = life_of("duct_insulation")
    return [
        Measure(
            kind="duct_insulation",
            stage="ducts",
            place="ducts",
            quantity=area,
            unit="m²",
            life_years=life.years,
            life_source=life.source,
            apply=_insulate,
            requires=("duct_sealing",),
            blocked_by=("gas_leak", "friable_asbestos", "unsafe_conditions", "moisture"),
            areas=("attic", "crawlspace", "basement"),
            reason_key="ducts_are_thinly_covered",
            facts={"r_after_m2k_per_w": INSULATION_R_M2K_PER_W},
        )
    ]


def _insulate(house: House) -> House:
    ducts = house.ducts
    if ducts is None:
        return house
    changes: dict[str, Any] = {}
    for side in ("supply", "return"):
        if getattr(ducts, f"{side}_location") in COLD_SPACES:
            present = getattr(ducts, f"{side}_r_m2k_per_w")
            changes[f"{side}_r_m2k_per_w"] = max(present, INSULATION_R_M2K_PER_W)
    return replace(house, ducts=replace(ducts, **changes))
