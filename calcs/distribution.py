"""Ducts and pipes: how much of what the equipment gives arrives in the rooms, hour by hour."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from calcs.burners import DESIGN_DROP_K, supply_water_c
from calcs.ducts import (
    AIR_HEAT_J_PER_M3_K,
    DuctSystem,
    default_distribution_efficiency,
    delivery_line,
    leakage_at_pressure_m3_per_s,
)
from calcs.house import BASEMENT, CRAWLSPACE, HOUSE, DistributionFactors, zone_of
from calcs.inputs import Ducts, HeatingSystem, House
from calcs.network import HOURS, FloatArray
from calcs.pipes import bare_pipe_w_per_m
from calcs.unit_factors import M2K_PER_W_PER_R_IP
from calcs.weather import WeatherYear

# Films of a duct, inside and outside together, about R-1 (memory).
DUCT_FILMS_R = 1.0 * M2K_PER_W_PER_R_IP
# Steam at half a pound, and water midway between 180 °F out and 160 °F back.
STEAM_C, HOT_WATER_C = 101.0, 76.7
ROOM_C = 21.0
# Air around pipes for which the default share of covered pipes stands (memory).
PIPE_REFERENCE_C = 15.0
# Part of the loss that warms (cools) the space the ducts run through; the rest leaves with its
# air before it mixes. Common practice, no source.
LOSS_STAYS_SHARE = 0.8
# Delivery below this is the record's fault, not the ducts': a system that gives nothing would
# have been replaced.
LEAST_DELIVERY = 0.3
LARGEST_LEAK_SHARE = 0.6
# Sensible temperature drop over a cooling coil; common practice, no source.
COIL_DROP_K = 10.0

# Pipes stay hot about twice as long as the burner runs at the usual size; practice, no source.
HOT_OVER_BURNING = 2.0
MOST_PIPE_LOSS = 1.0  # over the heat delivered; beyond it the record is at fault
# Air that leaves through supply leaks is made up from outdoors; half of the unbalanced flow adds
# to what leaks in already (Palmiter and Bond 1991, combination of fans and leaks; memory).
UNBALANCED_SHARE = 0.5


# Extra heat by a steam vent or trap that does not work; common practice, no source.
BAD_MAIN_VENT_SHARE = 0.015
BAD_RADIATOR_VENT_SHARE = 0.005
MOST_UNEVEN_SHARE = 0.08


@dataclass(frozen=True, eq=False, kw_only=True)
class Delivery:
    """Delivery efficiency by hour, and how the loss splits. [-]

    `air_share_of_loss` is the part of the heating loss that leaks; the rest is conducted.
    """

    heating: FloatArray
    cooling: FloatArray
    air_share_of_loss: float
    factors: tuple[DistributionFactors, ...]


def delivery_of(
    house: House,
    weather: WeatherYear,
    *,
    air_c: dict[str, FloatArray] | None,
) -> Delivery:
    """Delivery of the house's heating and cooling.

    Ducts lose by leaks and conduction to the air around each side of them, and what leaks out of
    the supply is made up by outdoor air; pipes lose by their surface, which steam holds at 215 °F
    and water at its supply temperature, to the air around them. `air_c` holds zone temperatures
    of a first run; without them they are guessed from outdoors.
    """
    ducted = _duct_share(house.heating)
    cooled = _duct_share(house.cooling)
    piped = _pipe_factors(house, weather, air_c)
    ones = np.ones(HOURS)
    heating, cooling, air_share = ones.copy(), ones.copy(), 0.0
    factors: list[DistributionFactors] = []
    if house.ducts is not None and (ducted or cooled) and _runs_outside(house, house.ducts):
        temperatures = _around(house, weather, air_c)
        capacity = _capacity(house)
        heat_delivery = _duct_heating(house.ducts, house, temperatures, capacity)
        cool_delivery = _duct_cooling(house.ducts, house, temperatures)
        heating = 1.0 / (1.0 - ducted + ducted / heat_delivery)
        cooling = 1.0 / (1.0 - cooled + cooled / cool_delivery)
        air_share = _air_share(house.ducts, house, temperatures, capacity)
        for space, share in _spaces(house.ducts):
            factors.append(
                DistributionFactors(
                    space=space,
                    heating=share * LOSS_STAYS_SHARE * (1.0 / heating - 1.0),
                    cooling=share * LOSS_STAYS_SHARE * np.maximum(1.0 / cooling - 1.0, 0.0),
                )
            )
    for system in house.heating:
        heating = heating / (1.0 + uneven_share(system) * system.load_share)
    for system, factor in piped:
        heating = heating / (1.0 + heating * factor)
        factors.append(
            DistributionFactors(
                space=system.pipe_location,
                heating=factor,
                cooling=np.zeros(HOURS),
            )
        )
    return Delivery(
        heating=heating, cooling=cooling, air_share_of_loss=air_share, factors=tuple(factors)
    )


def uneven_share(system: HeatingSystem) -> float:
    """Extra heat a steam system gives because far radiators come late and near ones overheat. [-]

    By vents and traps that do not work; they let air stay in the pipes or steam into the return.
    """
    if system.distribution != "steam_pipes":
        return 0.0
    bad = BAD_MAIN_VENT_SHARE * system.bad_main_vents
    bad += BAD_RADIATOR_VENT_SHARE * system.bad_radiator_vents
    return min(bad, MOST_UNEVEN_SHARE)


def _duct_share(systems: tuple[object, ...]) -> float:
    return sum(
        item.load_share  # type: ignore[attr-defined]  # heating and cooling records both have it
        for item in systems
        if item.distribution == "ducts"  # type: ignore[attr-defined]  # as above
    )


def _runs_outside(house: House, ducts: Ducts) -> bool:
    if ducts.outside_share <= 0.0:
        return False
    places = (*_supply(ducts), *_return(ducts))
    return any(zone_of(house, space) != HOUSE for space, _share in places)


Places = tuple[tuple[str, float], ...]


def _supply(ducts: Ducts) -> Places:
    """Spaces of the supply side and their shares of it."""
    parts = tuple((part.space, part.share) for part in ducts.supply_parts)
    return parts or ((ducts.supply_location, 1.0),)


def _return(ducts: Ducts) -> Places:
    """Spaces of the return side and their shares of it."""
    parts = tuple((part.space, part.share) for part in ducts.return_parts)
    return parts or ((ducts.return_location, 1.0),)


SUPPLY_SHARE_OF_LOSS = 0.75  # the rest is the return's; common practice, no source


def _spaces(ducts: Ducts) -> list[tuple[str, float]]:
    """Where the loss goes: three quarters to the supply's spaces, the rest to the return's."""
    supply, back = _supply(ducts), _return(ducts)
    is_return_inside = all(space == "conditioned" for space, _share in back)
    weight = 1.0 if is_return_inside else SUPPLY_SHARE_OF_LOSS
    found: dict[str, float] = {}
    for places, part in ((supply, weight), (back, 1.0 - weight)):
        for space, share in places:
            found[space] = found.get(space, 0.0) + part * share
    return [(space, share) for space, share in found.items() if share > 0.0]


SUPPLY, RETURN = "supply side", "return side"


def _around(
    house: House, weather: WeatherYear, air_c: dict[str, FloatArray] | None
) -> dict[str, FloatArray]:
    """Air in the house, outdoors, and around each side of the ducts. [°C]

    The standard's equation is linear in the temperatures around, so a side that runs through
    several spaces sees their mean by its area in each.
    """
    assert house.ducts is not None
    found = {space: _air_in(house, space, weather, air_c) for space in ("conditioned", "outside")}
    for side, places in ((SUPPLY, _supply(house.ducts)), (RETURN, _return(house.ducts))):
        first, *others = (share * _air_in(house, space, weather, air_c) for space, share in places)
        found[side] = sum(others, first)
    return found


GUESSED_SHARE = {BASEMENT: 0.35, CRAWLSPACE: 0.5, "belly": 0.5, "garage": 0.7, "attic": 0.9}
GUESSED_INDOOR_C = 21.0


def _air_in(
    house: House, space: str, weather: WeatherYear, air_c: dict[str, FloatArray] | None
) -> FloatArray:
    """Air of a recorded space by hour, from a first run or guessed from outdoors. [°C]"""
    zone = HOUSE if space == "conditioned" else zone_of(house, space)
    if zone is None or space == "outside":
        return weather.dry_bulb_c
    if air_c is not None:
        return air_c[zone]
    if zone == HOUSE:
        return np.full(HOURS, GUESSED_INDOOR_C)
    share = GUESSED_SHARE.get(zone, 0.7)
    return share * weather.dry_bulb_c + (1.0 - share) * GUESSED_INDOOR_C


def _capacity(house: House) -> float:
    capacities = [item.capacity_w for item in house.heating if item.distribution == "ducts"]
    return max(sum(capacities), 3000.0)


def _system(ducts: Ducts, *, has_conduction: bool = True) -> DuctSystem:
    def leak(leak25: float) -> float:
        flow = leakage_at_pressure_m3_per_s(leak25, ducts.operating_pressure_pa)
        return min(flow, LARGEST_LEAK_SHARE * ducts.fan_flow_m3_per_s)

    share = ducts.outside_share if has_conduction else 0.0
    is_return_inside = all(space == "conditioned" for space, _share in _return(ducts))
    return DuctSystem(
        fan_m3_per_s=ducts.fan_flow_m3_per_s,
        supply_leak_m3_per_s=leak(ducts.supply_leak25_m3_per_s),
        return_leak_m3_per_s=leak(ducts.return_leak25_m3_per_s),
        supply_area_m2=ducts.supply_area_m2 * share,
        return_area_m2=0.0 if is_return_inside else ducts.return_area_m2 * share,
        supply_r_m2k_per_w=ducts.supply_r_m2k_per_w + DUCT_FILMS_R,
        return_r_m2k_per_w=ducts.return_r_m2k_per_w + DUCT_FILMS_R,
    )


def _linear(
    system: DuctSystem,
    *,
    capacity_w: float,
    supply_k: FloatArray,
    return_k: FloatArray,
    outdoor_k: FloatArray,
) -> FloatArray:
    """Delivery over the year; the standard's equation is linear in all differences."""

    line = delivery_line(system, capacity_w=capacity_w)
    by_outdoor = unbalanced_loss_per_k(system, capacity_w=capacity_w)
    delivery = line.still + line.per_supply_k * supply_k + line.per_return_k * return_k
    if by_outdoor:
        delivery = delivery - by_outdoor * outdoor_k
    return np.clip(delivery, LEAST_DELIVERY, 1.0)


def unbalanced_loss_per_k(system: DuctSystem, *, capacity_w: float) -> float:
    """Delivery lost to outdoor air that makes up for unbalanced leaks, per kelvin. [1/K]

    Supply leaks above return leaks draw the house down and outdoor air in; return leaks above
    supply leaks keep some out.
    """
    net = system.supply_leak_m3_per_s - system.return_leak_m3_per_s
    return UNBALANCED_SHARE * net * AIR_HEAT_J_PER_M3_K / capacity_w


def _duct_heating(
    ducts: Ducts, house: House, around: dict[str, FloatArray], capacity_w: float
) -> FloatArray:
    indoor = np.maximum(around["conditioned"], 15.0)
    return _linear(
        _system(ducts),
        capacity_w=capacity_w,
        supply_k=indoor - around[SUPPLY],
        return_k=indoor - around[RETURN],
        outdoor_k=indoor - around["outside"],
    )


def _duct_cooling(ducts: Ducts, house: House, around: dict[str, FloatArray]) -> FloatArray:
    """Sensible cooling delivery: the same balance with the coil's drop for the rise."""
    capacity = COIL_DROP_K * ducts.fan_flow_m3_per_s * AIR_HEAT_J_PER_M3_K
    indoor = around["conditioned"]
    return _linear(
        _system(ducts),
        capacity_w=capacity,
        supply_k=around[SUPPLY] - indoor,
        return_k=around[RETURN] - indoor,
        outdoor_k=around["outside"] - indoor,
    )


def _air_share(
    ducts: Ducts, house: House, around: dict[str, FloatArray], capacity_w: float
) -> float:
    """Part of the winter loss that leaks: the loss left with no conduction, over the whole."""
    cold = around["outside"] < 12.0
    indoor = around["conditioned"]
    supply_k = (indoor - around[SUPPLY])[cold]
    return_k = (indoor - around[RETURN])[cold]
    outdoor_k = (indoor - around["outside"])[cold]
    whole, leaks = (
        1.0
        - _linear(
            _system(ducts, has_conduction=has_conduction),
            capacity_w=capacity_w,
            supply_k=supply_k,
            return_k=return_k,
            outdoor_k=outdoor_k,
        )
        for has_conduction in (True, False)
    )
    total = float(whole.sum())
    return min(float(leaks.sum()) / total, 1.0) if total > 0.0 else 0.0


def _pipe_factors(
    house: House, weather: WeatherYear, air_c: dict[str, FloatArray] | None
) -> list[tuple[HeatingSystem, FloatArray]]:
    """Loss of pipes outside the rooms per unit of heat delivered by hour, by system. [-]"""
    found = []
    for system in house.heating:
        if system.distribution not in ("steam_pipes", "hot_water_pipes"):
            continue
        if zone_of(house, system.pipe_location) == HOUSE:
            continue
        around = _air_in(house, system.pipe_location, weather, air_c)
        found.append((system, system.load_share * pipe_factor(system, weather, around)))
    return found


def pipe_factor(system: HeatingSystem, weather: WeatherYear, around_c: FloatArray) -> FloatArray:
    """Loss of one system's pipes per unit of heat delivered, shape (8760,). [-]

    Covered pipes lose the published default share; bare ones lose by their surface. Water without
    reset is hot while the boiler runs and as long again; water that follows the weather circulates
    all the time, and its heat through the radiators falls with its temperature.
    """
    surface = surface_c(system, weather)
    covered = 1.0 / default_distribution_efficiency("hydronic_unconditioned") - 1.0
    above = np.maximum(surface - around_c, 0.0)
    if system.distribution == "steam_pipes" or not system.has_outdoor_reset:
        hot_over_delivered: FloatArray | float = HOT_OVER_BURNING / system.capacity_w
        usual = above / (surface - PIPE_REFERENCE_C)
    else:
        share = np.maximum(surface - ROOM_C, 5.0) / (system.supply_design_c - ROOM_C)
        hot_over_delivered = 1.0 / (system.capacity_w * np.minimum(share, 1.0))
        usual = above / (HOT_WATER_C - PIPE_REFERENCE_C)
    bare = bare_pipe_w_per_m(above) * system.bare_pipe_m * hot_over_delivered
    return np.minimum(covered * usual + bare, MOST_PIPE_LOSS)


def surface_c(system: HeatingSystem, weather: WeatherYear) -> FloatArray:
    """Surface of bare pipes: steam a little over 212 °F, water midway between supply and return."""
    if system.distribution == "steam_pipes":
        return np.full(HOURS, STEAM_C)
    supply = supply_water_c(system, weather.dry_bulb_c, design_outdoor_c=weather.heating_design_c())
    return supply - DESIGN_DROP_K / 2.0
