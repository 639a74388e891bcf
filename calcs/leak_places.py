"""Where the measured leakage sits, place by place, and houses with some of it sealed.

A blower door gives one number for the whole house. The auditor's smoke and infrared say where;
without that, the leakage is spread by default shares, marked as such. All flows are at 50 Pa, so
they add up to the measured one.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from calcs.errors import InputError
from calcs.infiltration_model import LeakPattern, natural_infiltration
from calcs.inputs import LEAK_PLACES, House, LeakShare
from calcs.network import EnvelopeLeakage
from calcs.unit_factors import M3_PER_S_PER_CFM

# Ceiling, walls, floor: 25/50/25 (default of the trade for a house nobody traced; memory).
CEILING_SHARE, WALL_SHARE, FLOOR_SHARE = 0.25, 0.50, 0.25
# Inside the groups: common practice, no source.
CHASE_SHARE_OF_CEILING = 0.15
OPENINGS_SHARE_OF_WALLS = 0.45
RIM_SHARE_OF_FLOOR = 0.5
RIM_SHARE_OF_FLOOR_SEALED = 0.15
# Leak of an access without a gasket, at 50 Pa; common practice, no source.
ACCESS_FLOW50_CFM = {
    "hatch": 25.0,
    "pull_down_stair": 70.0,
    "walk_up_door": 60.0,
    "knee_wall_door": 45.0,
    "whole_house_fan": 80.0,
}
ACCESS_GASKET_FACTOR = 0.15
# Duct leaks at 50 Pa from 25 Pa: exponent 0.6 (ducts; memory).
DUCT_EXPONENT = 0.6
# Ducts, hearth and accesses together never explain more than this much of the measured leakage.
SINGLED_OUT_LIMIT = 0.6

# An outlet of 5 in. as a sharp-edged hole at 50 Pa: 0.6 * 0.0127 m² * (2 * 50 / 1.2)**0.5.
OPEN_FLUE_FLOW50_M3_PER_S = 0.07
LARGEST_FLUE_SHARE = 0.4


def leak_flows(house: House) -> dict[str, float]:
    """Leakage by place at 50 Pa, adding up to the measured flow. [m³/s]"""
    leakage = house.air_leakage
    if leakage.shares:
        flows = dict.fromkeys(LEAK_PLACES, 0.0)
        for item in leakage.shares:
            flows[item.place] += item.share * leakage.flow50_m3_per_s
        return flows
    return _default_flows(house)


def _default_flows(house: House) -> dict[str, float]:
    total = house.air_leakage.flow50_m3_per_s
    singled = _singled_out(house)
    excess = sum(singled.values()) / (SINGLED_OUT_LIMIT * total)
    if excess > 1.0:
        singled = {place: flow / excess for place, flow in singled.items()}
    rest = total - sum(singled.values())
    flows = dict.fromkeys(LEAK_PLACES, 0.0) | singled
    has_chase = house.air_leakage.has_flue or house.air_leakage.fireplace is not None
    chase = CHASE_SHARE_OF_CEILING if has_chase else 0.0
    ceiling, walls, floor = CEILING_SHARE * rest, WALL_SHARE * rest, FLOOR_SHARE * rest
    flows["attic_floor"] += ceiling * (1.0 - chase)
    flows["chimney"] += ceiling * chase
    garage = _garage_share(house)
    flows["windows_doors"] += walls * OPENINGS_SHARE_OF_WALLS
    flows["garage_wall"] += walls * (1.0 - OPENINGS_SHARE_OF_WALLS) * garage
    flows["walls"] += walls * (1.0 - OPENINGS_SHARE_OF_WALLS) * (1.0 - garage)
    rim = _rim_share(house)
    flows["rim_joist"] += floor * rim
    flows["foundation"] += floor * (1.0 - rim)
    return flows


def _singled_out(house: House) -> dict[str, float]:
    """Leaks known by themselves: ducts from their own test, the hearth, attic accesses."""
    singled: dict[str, float] = {}
    if house.ducts is not None:
        leak25 = house.ducts.supply_leak25_m3_per_s + house.ducts.return_leak25_m3_per_s
        singled["ducts"] = leak25 * 2.0**DUCT_EXPONENT
    fireplace = house.air_leakage.fireplace
    if fireplace is not None:
        singled["chimney"] = fireplace.flow50_m3_per_s
    access = sum(
        ACCESS_FLOW50_CFM[item.kind] * (ACCESS_GASKET_FACTOR if item.is_gasketed else 1.0)
        for attic in house.attics
        for item in attic.accesses
    )
    if access:
        singled["attic_access"] = access * M3_PER_S_PER_CFM
    return singled


def _garage_share(house: House) -> float:
    total = sum(wall.area_m2 for wall in house.walls)
    garage = sum(wall.area_m2 for wall in house.walls if wall.adjacent_to == "garage")
    return garage / total if total else 0.0


def _rim_share(house: House) -> float:
    rims = [item.rim_joist for item in house.foundations if item.rim_joist.length_m > 0.0]
    if not rims:
        return 0.0
    is_sealed = all(rim.is_sealed for rim in rims)
    return RIM_SHARE_OF_FLOOR_SEALED if is_sealed else RIM_SHARE_OF_FLOOR


def with_flows(house: House, flows: Mapping[str, float]) -> House:
    """The house with the given leakage by place, at 50 Pa.

    Raises
    ------
    InputError
        A place is unknown, a flow negative, or nothing is left.
    """
    unknown = set(flows) - set(LEAK_PLACES)
    total = sum(flows.values())
    if unknown or min(flows.values()) < 0.0 or total <= 0.0:
        raise InputError(f"Leakage by place cannot be {dict(flows)!r}.")
    shares = tuple(
        LeakShare(place=place, share=min(flow / total, 1.0)) for place, flow in flows.items()
    )
    leakage = replace(house.air_leakage, flow50_m3_per_s=total, shares=shares)
    return replace(house, air_leakage=leakage)


def seal(house: House, removed: Mapping[str, float]) -> House:
    """The house with a share (0 to 1) of the leakage of some places removed."""
    flows = leak_flows(house)
    for place, share in removed.items():
        if not 0.0 <= share <= 1.0:
            raise InputError(f"Share of leakage removed at {place} is {share}; 0 to 1 is possible.")
        flows[place] *= 1.0 - share
    return with_flows(house, flows)


def leakage_of(house: House) -> EnvelopeLeakage:
    """Natural infiltration of the whole house, from the height it has and where its leaks sit."""
    leakage = house.air_leakage
    has_crawl = any(item.kind.endswith("crawlspace") for item in house.foundations)
    unit = natural_infiltration(
        leakage.flow50_m3_per_s / 50.0**leakage.exponent,
        leakage.exponent,
        leak_pattern(house),
        height_m=house.geometry.height_m,
        temperature_difference_k=1.0,
        wind_m_per_s=1.0,
        shelter_class=int(house.site.shelter_class),
        foundation="crawlspace" if has_crawl else "basement_or_slab",
        elevation_m=house.site.elevation_m,
    )
    return EnvelopeLeakage(
        stack_m3_per_s=unit.stack_m3_per_s,
        wind_m3_per_s=unit.wind_m3_per_s,
        exponent=leakage.exponent,
    )


def leak_pattern(house: House) -> LeakPattern:
    """Shares of the leaks at the top ceiling, at the lowest floor, and in a flue or hearth.

    Ducts leak where they run. An open flue that nobody measured leaks like its outlet.
    """
    flows = leak_flows(house)
    total = sum(flows.values())
    hearth = house.air_leakage.fireplace
    flue = min(flows["chimney"], hearth.flow50_m3_per_s if hearth is not None else 0.0)
    ceiling = flows["attic_floor"] + flows["attic_access"] + flows["chimney"] - flue
    if house.air_leakage.has_flue:
        flue += OPEN_FLUE_FLOW50_M3_PER_S
    floor = flows["foundation"] + flows["rim_joist"]
    if house.ducts is not None:
        for place in (house.ducts.supply_location, house.ducts.return_location):
            if place == "attic":
                ceiling += flows["ducts"] / 2.0
            elif place in ("crawlspace", "basement", "belly"):
                floor += flows["ducts"] / 2.0
    flue_share = min(flue / total, LARGEST_FLUE_SHARE)
    # An unmeasured flue is part of the measured whole, so the other places have that much less.
    rest = min(1.0, (1.0 - flue_share) / max((ceiling + floor) / total, 1e-9))
    return LeakPattern(ceiling=ceiling / total * rest, floor=floor / total * rest, flue=flue_share)
