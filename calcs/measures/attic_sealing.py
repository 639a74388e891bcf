"""Closing the leaks of the attic floor, place by place: wall tops, penetrations, chases.

The auditor says which bypasses were seen; the leakage of the attic floor is shared among them by
weight, and what nobody saw stays with the general work. Weights and shares removed are what a
good crew reaches with the fan running (common practice, no source); the test-out shows what was
really reached.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from calcs.inputs import Attic, House
from calcs.leak_places import leak_flows, seal
from calcs.measures.hazards import TIGHTENING
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure
from calcs.unit_factors import M2_PER_FT2, M3_PER_S_PER_CFM, M_PER_FT

ATTIC_REMOVED = 0.60
CHASE_REMOVED = 0.75  # metal flashing and fire-rated sealant around the chimney

# Below this an attic floor counts as sealed; below this air change rate only what was seen counts.
ATTIC_SEALED_M_PER_S = 0.10 * M3_PER_S_PER_CFM / M2_PER_FT2
ATTIC_WORTH_ABOVE_ACH50 = 4.0  # unless somebody saw bypasses

# Kind of work -> bypasses of the field sheet it closes.
CLOSES = {
    "attic_air_sealing": (
        "dropped_soffit",
        "knee_wall_transition",
        "level_change",
        "mechanical_chase",
    ),
    "wall_top_sealing": ("top_plates",),
    "penetration_sealing": ("plumbing_wall", "wire_holes"),
}
# How much a bypass leaks beside the others.
WEIGHT = {
    "top_plates": 3.0,
    "plumbing_wall": 2.0,
    "wire_holes": 1.0,
    "mechanical_chase": 2.0,
    "dropped_soffit": 4.0,
    "knee_wall_transition": 4.0,
    "level_change": 2.0,
}
UNSEEN_WEIGHT = 2.0  # with the general work

# Length of inside walls by floor area, and one hole at a wire or pipe for so much ceiling:
# take-off where nobody counted (common practice, no source).
PARTITION_FT_PER_FT2 = 0.11
FT2_PER_HOLE = 50.0

ATTIC_SEALING = (*CLOSES, "chimney_chase_sealing")
REASON = {
    "attic_air_sealing": "sealing_comes_before_insulating",
    "wall_top_sealing": "wall_tops_are_open",
    "penetration_sealing": "wires_and_pipes_leave_holes",
}


def measures_for(house: House) -> list[Measure]:
    """Sealing of the attic floor and of the gap at the chimney."""
    attics = open_attics(house)
    area = sum(attic.area_m2 for attic in attics)
    flows = leak_flows(house)
    if not area or flows["attic_floor"] / area < ATTIC_SEALED_M_PER_S:
        return []
    seen = bypasses_of(house)
    ach50 = house.air_leakage.flow50_m3_per_s * 3600.0 / house.geometry.volume_m3
    if not seen and ach50 < ATTIC_WORTH_ABOVE_ACH50:
        return []
    found = []
    for kind, share in shares_of_parts(house).items():
        if kind in house.air_leakage.sealed_parts:
            continue
        quantity, unit = _take_off(kind, house, attics)
        found.append(
            _measure(
                kind,
                quantity=quantity,
                unit=unit,
                apply=partial(_seal_part, kind=kind),
                reason_key=REASON[kind],
                facts={
                    "bypasses": [name for name in seen if name in CLOSES[kind]],
                    "flow50_before_m3_per_s": share * flows["attic_floor"],
                    "flow50_removed_m3_per_s": ATTIC_REMOVED * share * flows["attic_floor"],
                },
            )
        )
    return [*found, *_chase(house)]


def open_attics(house: House) -> list[Attic]:
    """Attics that can be entered, with a floor to seal."""
    return [attic for attic in house.attics if attic.kind not in ("cathedral", "flat")]


def bypasses_of(house: House) -> list[str]:
    """Bypasses seen in any attic, by the names of the field sheet."""
    return sorted(
        {name.replace(" ", "_") for attic in open_attics(house) for name in attic.bypasses}
    )


def shares_of_parts(house: House) -> dict[str, float]:
    """Share of the attic floor's leakage that each kind of work deals with; they add to 1."""
    seen = bypasses_of(house)
    weights = {
        kind: sum(WEIGHT[name] for name in names if name in seen) for kind, names in CLOSES.items()
    }
    weights["attic_air_sealing"] += UNSEEN_WEIGHT
    total = sum(weights.values())
    return {kind: weight / total for kind, weight in weights.items() if weight > 0.0}


def _take_off(kind: str, house: House, attics: list[Attic]) -> tuple[float, str]:
    area = sum(attic.area_m2 for attic in attics)
    if kind == "wall_top_sealing":
        geometry = house.geometry
        edge = 2.0 * (geometry.footprint_length_m + geometry.footprint_width_m)
        share = min(area / (geometry.footprint_length_m * geometry.footprint_width_m), 1.0)
        partitions = PARTITION_FT_PER_FT2 * area / M2_PER_FT2 * M_PER_FT
        return edge * share + partitions, "m"
    if kind == "penetration_sealing":
        return float(max(round(area / M2_PER_FT2 / FT2_PER_HOLE), 1)), "each"
    return area, "m²"


def _measure(kind: str, **values: object) -> Measure:
    life = life_of(kind)
    defaults: dict[str, object] = {
        "stage": "air_sealing",
        "place": "attic_floor",
        "life_years": life.years,
        "life_source": life.source,
        "blocked_by": (*TIGHTENING, "flue_clearance", "single_wall_flue", "active_leak"),
        "areas": ("attic", "living_space"),
    }
    return Measure(kind=kind, **(defaults | values))  # type: ignore[arg-type]  # fields of Measure


def _seal_part(house: House, *, kind: str) -> House:
    """The house with one part sealed: a share of what the attic floor leaked at first."""
    parts = shares_of_parts(house)
    done = house.air_leakage.sealed_parts
    if kind in done or kind not in parts:
        return house
    left = 1.0 - ATTIC_REMOVED * sum(parts.get(other, 0.0) for other in done)
    return _marked(seal(house, {"attic_floor": ATTIC_REMOVED * parts[kind] / left}), kind)


def _marked(house: House, kind: str) -> House:
    leakage = house.air_leakage
    return replace(house, air_leakage=replace(leakage, sealed_parts=(*leakage.sealed_parts, kind)))


def _chase_flow(house: House) -> float:
    """Leakage around the chimney, without what goes up an open hearth. [m³/s at 50 Pa]"""
    fireplace = house.air_leakage.fireplace
    hearth = 0.0 if fireplace is None else fireplace.flow50_m3_per_s
    return leak_flows(house)["chimney"] - hearth


def _chase(house: House) -> list[Measure]:
    flow = _chase_flow(house)
    seen = bypasses_of(house)
    is_seen = not seen or "chimney_chase" in seen
    kind = "chimney_chase_sealing"
    if flow <= 0.0 or not is_seen or kind in house.air_leakage.sealed_parts:
        return []
    return [
        _measure(
            kind,
            place="chimney",
            quantity=1.0,
            unit="each",
            apply=_seal_chase,
            reason_key="gap_at_the_chimney",
            facts={
                "bypasses": [name for name in seen if name == "chimney_chase"],
                "flow50_before_m3_per_s": flow,
                "flow50_removed_m3_per_s": CHASE_REMOVED * flow,
            },
        )
    ]


def _seal_chase(house: House) -> House:
    flow = _chase_flow(house)
    if "chimney_chase_sealing" in house.air_leakage.sealed_parts:
        return house
    sealed = house
    if flow > 0.0:
        sealed = seal(house, {"chimney": CHASE_REMOVED * flow / leak_flows(house)["chimney"]})
    return _marked(sealed, "chimney_chase_sealing")
