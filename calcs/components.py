"""Where the heat leaves: the heat balance told by the parts that a section drawing labels.

Counted in the hours when the heating runs, as the balance of the heated rooms plus what ducts and
pipes lose on the way: together they are what the equipment gives and the free gains bring.
"""

from __future__ import annotations

from collections.abc import Mapping

from calcs import assemblies
from calcs.house import BASEMENT, below_leak_share, zone_of
from calcs.inputs import House
from calcs.leak_places import leak_flows
from calcs.results import PARTS, HeatLossPart, hundred_parts
from calcs.thermal import Thermal

AIR_J_PER_M3_K = 1206.0
SOIL_R_M2K_PER_W = 1.2  # mean path behind a basement wall or floor, for splitting only


def components_of(
    house: House, thermal: Thermal, *, heating_cost_usd: float
) -> tuple[HeatLossPart, ...]:
    """Parts of the heat loss, in the order of the drawing; parts that lose nothing are left out."""
    material, air = _material(thermal), _air(house, thermal)
    if zone_of(house, "basement") == BASEMENT:
        _share_out_basement(house, thermal, material, air)
    _add_distribution(house, thermal, material, air)
    kept = [part for part in PARTS if material[part] + air[part] > 0.0]
    strokes = hundred_parts([material[part] for part in kept] + [air[part] for part in kept])
    total = sum(material.values()) + sum(air.values())
    areas, ids = _areas(house), _ids(house)
    return tuple(
        HeatLossPart(
            part=part,
            material_j=material[part],
            air_j=air[part],
            strokes_material=strokes[index],
            strokes_air=strokes[len(kept) + index],
            cost_usd=heating_cost_usd * (material[part] + air[part]) / total,
            area_m2=areas.get(part, 0.0),
            item_ids=ids.get(part, ()),
        )
        for index, part in enumerate(kept)
    )


def _material(thermal: Thermal) -> dict[str, float]:
    material = dict.fromkeys(PARTS, 0.0)
    for part in PARTS:
        if part != "ventilation":
            material[part] = thermal.loss_j.get(part, 0.0)
    return material


def _air(house: House, thermal: Thermal) -> dict[str, float]:
    """Air leakage by place: what enters from outdoors, and what comes up from below."""
    air = dict.fromkeys(PARTS, 0.0)
    air["ventilation"] = thermal.loss_j.get("ventilation", 0.0)
    flows = leak_flows(house)
    has_below = below_leak_share(house) > 0.0 and "air_from_below" in thermal.loss_j
    below = {"foundation"} if has_below else set()
    if has_below and zone_of(house, "basement") == BASEMENT:
        below.add("rim_joist")
    _spread(air, flows, thermal.loss_j.get("infiltration", 0.0), skip=below)
    if below:
        _spread(air, flows, thermal.loss_j["air_from_below"], only=below)
    return air


def _spread(
    air: dict[str, float],
    flows: Mapping[str, float],
    amount: float,
    *,
    skip: set[str] | None = None,
    only: set[str] | None = None,
) -> None:
    chosen = {
        place: flow
        for place, flow in flows.items()
        if place not in (skip or set()) and (only is None or place in only)
    }
    total = sum(chosen.values())
    if total <= 0.0:
        air["walls"] += amount
        return
    for place, flow in chosen.items():
        air[place] += amount * flow / total


def _share_out_basement(
    house: House, thermal: Thermal, material: dict[str, float], air: dict[str, float]
) -> None:
    """Heat that goes down into an unheated basement, told by where it leaves the basement."""
    down = material["foundation"]
    cellars = [item for item in house.foundations if item.kind == "basement"]
    inside = thermal.mean_cold_c[BASEMENT]
    to_air = max(inside - thermal.mean_cold_c["outdoor"], 0.1)
    to_soil = 0.5 * to_air
    rim_w = wall_w = 0.0
    for item in cellars:
        rim = assemblies.rim_joist_layers(item.rim_joist.r_m2k_per_w)
        rim_r = sum(layer.resistance_m2k_per_w for layer in rim)
        films = assemblies.R_FILM_VERTICAL + assemblies.R_FILM_OUTSIDE
        rim_w += item.rim_joist.area_m2 / (rim_r + films) * to_air
        wall = assemblies.foundation_wall_layers(item)
        wall_r = sum(layer.resistance_m2k_per_w for layer in wall) + films
        deep = min(item.depth_below_grade_m, item.wall_height_m)
        wall_w += item.perimeter_m * (item.wall_height_m - deep) / wall_r * to_air
        wall_w += item.perimeter_m * deep / (wall_r + SOIL_R_M2K_PER_W) * to_soil
        wall_w += item.area_m2 / (SOIL_R_M2K_PER_W + 1.0) * to_soil * 0.5
    flows = leak_flows(house)
    through = flows["rim_joist"] + flows["foundation"]
    moved = float(thermal.infiltration_m3_per_s.mean()) * below_leak_share(house)
    air_w = moved * AIR_J_PER_M3_K * to_air
    total = rim_w + wall_w + air_w
    material["rim_joist"] += down * rim_w / total
    material["foundation"] = down * wall_w / total
    for place in ("rim_joist", "foundation"):
        part = flows[place] / through if through > 0.0 else float(place == "foundation")
        air[place] += down * air_w / total * part


def _add_distribution(
    house: House, thermal: Thermal, material: dict[str, float], air: dict[str, float]
) -> None:
    delivery = thermal.delivery
    lost = float((thermal.heating_w * (1.0 / delivery.heating - 1.0)).sum()) * 3600.0
    has_pipes = any(item.distribution.endswith("pipes") for item in house.heating)
    if has_pipes:
        material["pipes"] += lost
    else:
        air["ducts"] += lost * delivery.air_share_of_loss
        material["ducts"] += lost * (1.0 - delivery.air_share_of_loss)


def _areas(house: House) -> dict[str, float]:
    openings = sum(item.area_m2 for item in house.windows) + sum(d.area_m2 for d in house.doors)
    ducts = house.ducts
    return {
        "attic_floor": sum(item.area_m2 for item in house.attics),
        "attic_access": sum(a.area_m2 for item in house.attics for a in item.accesses),
        "walls": sum(w.area_m2 for w in house.walls if w.adjacent_to not in ("garage", "neighbor")),
        "garage_wall": sum(w.area_m2 for w in house.walls if w.adjacent_to == "garage"),
        "windows_doors": openings,
        "rim_joist": sum(item.rim_joist.area_m2 for item in house.foundations),
        "foundation": sum(item.area_m2 for item in house.foundations),
        "ducts": 0.0 if ducts is None else ducts.supply_area_m2 + ducts.return_area_m2,
    }


def _ids(house: House) -> dict[str, tuple[str, ...]]:
    return {
        "attic_floor": tuple(item.id for item in house.attics),
        "attic_access": tuple(a.id for item in house.attics for a in item.accesses),
        "walls": tuple(w.id for w in house.walls if w.adjacent_to not in ("garage", "neighbor")),
        "garage_wall": tuple(w.id for w in house.walls if w.adjacent_to == "garage"),
        "windows_doors": tuple(w.id for w in house.windows) + tuple(d.id for d in house.doors),
        "rim_joist": tuple(f.id for f in house.foundations if f.rim_joist.length_m > 0.0),
        "foundation": tuple(item.id for item in house.foundations),
    }
