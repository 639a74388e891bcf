"""Steam systems: working vents, and the change to hot water with its radiators and pipes.

Water must reach 212 °F to make steam, hot-water heat runs near 180 °F (common practice, no
source). Flue gas of natural gas begins to condense on return water under about 130 °F; warmer
than that a condensing boiler is an ordinary one. Whether the radiators of a house can heat it
with such water follows from their surface and the heat the house needs.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial

from calcs.assemblies import attic_floor_u, floor_u, wall_u
from calcs.ducts import AIR_HEAT_J_PER_M3_K
from calcs.errors import InputError
from calcs.inputs import HeatingSystem, House, swap
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure
from calcs.unit_factors import (
    K_PER_DEGF,
    M2_PER_FT2,
    W_PER_BTUH,
    celsius_from_fahrenheit,
)
from calcs.validation import require_positive, require_within

STEAM_C = celsius_from_fahrenheit(212.0)
USUAL_SUPPLY_C = celsius_from_fahrenheit(180.0)
# Return water above which natural-gas flue gas does not condense (130 °F at 5 % oxygen; memory).
CONDENSING_RETURN_C = celsius_from_fahrenheit(130.0)
SUPPLY_RETURN_DROP_K = 20.0 * K_PER_DEGF

# Output of a square foot of radiator (EDR): 240 Btu/h with steam, 150 Btu/h with water of 170 °F
# on average, in a room of 70 °F (memory).
STEAM_W_PER_M2 = 240.0 * W_PER_BTUH / M2_PER_FT2
WATER_W_PER_M2 = 150.0 * W_PER_BTUH / M2_PER_FT2
WATER_RATED_EXCESS_K = 100.0 * K_PER_DEGF
RADIATOR_EXPONENT = 1.3  # output over temperature excess (EN 442 form; memory)
ROOM_C = celsius_from_fahrenheit(70.0)
PICKUP = 1.33  # a steam boiler is sized by its radiators and the pipes to them (memory)

# Only used to ask whether the radiators can run cool: outdoors 60 °F colder than the rooms, and
# the natural rate as 1/20 of the flow at 50 Pa. Common practice, no source.
DESIGN_DIFFERENCE_K = 60.0 * K_PER_DEGF
NATURAL_OF_50PA = 1.0 / 20.0

# Efficiency that can be bought for hot water by the water it has to make. Up to 96 % is reachable
# with a condensing boiler on cool water (common practice, no source); 0.90 where it condenses in
# mild weather only; minimums of 2021 for gas 84 %, oil 86 % (81 FR 2320; read).
COOL_WATER_EFFICIENCY = 0.95
MILD_WEATHER_EFFICIENCY = 0.90
PLAIN_GAS_EFFICIENCY, PLAIN_OIL_EFFICIENCY = 0.85, 0.87
MOST_WITHOUT_CONDENSING = 0.88
MOST_WITH_CONDENSING = 0.96


@dataclass(frozen=True, kw_only=True)
class WaterSystem:
    """A hot-water system that radiators allow.

    Supply and return on the coldest day [°C]; `efficiency` is what can be bought for it.
    """

    supply_c: float
    return_c: float
    efficiency: float
    is_condensing: bool


def design_load_w(house: House) -> float:
    """Rough heat loss of a house on a cold day, to judge radiators by. [W]

    Surfaces by their U, the floor over an unheated space at half the difference, air at a
    twentieth of the blower-door flow. The hourly model, not this, gives savings.
    """
    ua = sum(attic_floor_u(item) * item.area_m2 for item in house.attics)
    ua += sum(wall_u(item) * item.area_m2 for item in house.walls if item.adjacent_to != "neighbor")
    ua += sum(item.u_w_per_m2k * item.area_m2 for item in house.windows)
    ua += sum(item.u_w_per_m2k * item.area_m2 for item in house.doors)
    ua += sum(
        0.5 * floor_u(item) * item.area_m2 for item in house.foundations if item.kind != "slab"
    )
    air = house.air_leakage.flow50_m3_per_s * NATURAL_OF_50PA
    ua += air * AIR_HEAT_J_PER_M3_K
    return ua * DESIGN_DIFFERENCE_K


def radiator_area_m2(system: HeatingSystem) -> float:
    """Radiator surface as counted, else as the steam boiler's size implies. [m² EDR]"""
    if system.radiator_area_m2 is not None:
        return system.radiator_area_m2
    return system.capacity_w / (PICKUP * STEAM_W_PER_M2)


def mean_water_c(radiators_m2: float, load_w: float) -> float:
    """Mean water temperature at which radiators give a load. [°C]

    Output grows with the 1.3th power of the excess over the room.

    Raises
    ------
    InputError
        Surface or load not positive.
    """
    require_positive(radiators_m2, "radiator surface", "m2 EDR")
    require_positive(load_w, "heating load", "W")
    ratio = load_w / (radiators_m2 * WATER_W_PER_M2)
    return float(ROOM_C + WATER_RATED_EXCESS_K * ratio ** (1.0 / RADIATOR_EXPONENT))


def water_system(radiators_m2: float, load_w: float, *, fuel: str) -> WaterSystem:
    """Water temperatures and efficiency that existing radiators allow on a fuel.

    Radiators that would need water above 180 °F get more surface with the conversion: the
    system is then made for 180 °F.
    """
    mean = mean_water_c(radiators_m2, load_w)
    supply = min(mean + 0.5 * SUPPLY_RETURN_DROP_K, USUAL_SUPPLY_C)
    back = supply - SUPPLY_RETURN_DROP_K
    if fuel == "fuel_oil":
        efficiency = PLAIN_OIL_EFFICIENCY
    elif back <= CONDENSING_RETURN_C:
        efficiency = COOL_WATER_EFFICIENCY
    elif supply < USUAL_SUPPLY_C:
        efficiency = MILD_WEATHER_EFFICIENCY
    else:
        efficiency = PLAIN_GAS_EFFICIENCY
    return WaterSystem(
        supply_c=supply,
        return_c=back,
        efficiency=efficiency,
        is_condensing=efficiency > MOST_WITHOUT_CONDENSING,
    )


def require_efficiency_possible(
    efficiency: float, *, distribution: str, return_c: float | None = None
) -> None:
    """Refuse an efficiency that the system's water does not allow.

    Parameters
    ----------
    efficiency : float
        AFUE as a share.
    distribution : str
        ``steam_pipes`` or ``hot_water_pipes``.
    return_c : float or None
        Return water on the coldest day; None where it is not known. [°C]

    Raises
    ------
    InputError
        Names the field, its value and the limit.
    """
    require_within(efficiency, 0.3, MOST_WITH_CONDENSING, "efficiency", "(share)")
    if efficiency <= MOST_WITHOUT_CONDENSING:
        return
    if distribution == "steam_pipes":
        raise InputError(
            f"HeatingSystem.efficiency is {efficiency:g}; with distribution steam_pipes it must "
            f"not be above {MOST_WITHOUT_CONDENSING:g}: water boils at 212 °F and its flue gas "
            "does not condense."
        )
    if return_c is not None and return_c > CONDENSING_RETURN_C:
        raise InputError(
            f"return_c is {return_c:.1f}; for an efficiency of {efficiency:g} it must not be above "
            f"{CONDENSING_RETURN_C:.1f} °C (130 °F): warmer return water does not let flue gas "
            "condense."
        )


def with_hot_water(
    house: House, system_id: str, *, efficiency: float, supply_c: float, year: int
) -> House:
    """The house with a steam system changed to hot water: boiler, pipes, radiators.

    New pipes are insulated, vents and traps are gone, and the water follows the weather.
    `supply_c` is the supply on the coldest day. [°C]

    Raises
    ------
    InputError
        The system is not steam, or its water does not allow the efficiency.
    """
    system = next(item for item in house.heating if item.id == system_id)
    if system.distribution != "steam_pipes":
        raise InputError(
            f"HeatingSystem.distribution is {system.distribution!r}; only steam_pipes can be "
            "changed to hot water."
        )
    if efficiency > MILD_WEATHER_EFFICIENCY:
        require_efficiency_possible(
            efficiency,
            distribution="hot_water_pipes",
            return_c=supply_c - SUPPLY_RETURN_DROP_K,
        )
    is_condensing = efficiency > MOST_WITHOUT_CONDENSING
    return replace(
        house,
        heating=swap(
            house.heating,
            system_id,
            distribution="hot_water_pipes",
            efficiency=efficiency,
            steady_state_efficiency=None,
            year_installed=year,
            service="annual",
            vent="direct" if is_condensing else system.vent,
            is_condensing=is_condensing,
            supply_design_c=supply_c,
            has_outdoor_reset=True,
            pilot_w=0.0,
            bare_pipe_m=0.0,
            bad_main_vents=0,
            bad_radiator_vents=0,
        ),
    )


def measures_for(house: House, *, year: int) -> list[Measure]:
    """Venting and conversion, for steam systems."""
    found: list[Measure] = []
    for system in house.heating:
        if system.kind == "boiler" and system.distribution == "steam_pipes":
            found += _venting(system) + _conversion(house, system, year)
    return found


def _venting(system: HeatingSystem) -> list[Measure]:
    bad = system.bad_main_vents + system.bad_radiator_vents
    if not bad:
        return []
    life = life_of("steam_venting")
    return [
        Measure(
            kind="steam_venting",
            target_id=system.id,
            stage="equipment",
            place="heating",
            quantity=float(bad),
            unit="each",
            life_years=life.years,
            life_source=life.source,
            apply=partial(_renew_vents, system_id=system.id),
            excludes=("steam_to_hot_water",),
            blocked_by=("gas_leak", "friable_asbestos", "unsafe_conditions"),
            areas=("basement", "crawlspace", "living_space"),
            reason_key="steam_comes_late",
            facts={
                "main_vents": system.bad_main_vents,
                "radiator_vents": system.bad_radiator_vents,
            },
        )
    ]


def _renew_vents(house: House, *, system_id: str) -> House:
    return replace(
        house, heating=swap(house.heating, system_id, bad_main_vents=0, bad_radiator_vents=0)
    )


def _conversion(house: House, system: HeatingSystem, year: int) -> list[Measure]:
    if system.fuel not in ("natural_gas", "propane", "fuel_oil"):
        return []
    load = design_load_w(house) * system.load_share
    found = water_system(radiator_area_m2(system), load, fuel=system.fuel)
    life = life_of("steam_to_hot_water")
    return [
        Measure(
            kind="steam_to_hot_water",
            target_id=system.id,
            stage="equipment",
            place="heating",
            quantity=min(system.capacity_w, 1.4 * load),
            unit="W",
            life_years=life.years,
            life_source=life.source,
            apply=partial(
                _convert,
                system_id=system.id,
                efficiency=found.efficiency,
                supply_c=found.supply_c,
                year=year,
            ),
            excludes=("boiler_replacement", "heat_pump", "heating_pipe_insulation",
                      "steam_venting"),
            blocked_by=("gas_leak", "friable_asbestos", "unsafe_conditions"),
            areas=("basement", "crawlspace", "living_space"),
            is_advised=False,
            reason_key="conversion_is_for_the_end_of_the_boiler",
            facts={
                "efficiency_after": found.efficiency,
                "is_condensing": found.is_condensing,
                "supply_c": found.supply_c,
                "return_c": found.return_c,
                "condensing_return_c": CONDENSING_RETURN_C,
                "radiator_area_m2": radiator_area_m2(system),
                "is_radiator_area_counted": system.radiator_area_m2 is not None,
                "design_load_w": load,
            },
        )
    ]  # fmt: skip


def _convert(
    house: House, *, system_id: str, efficiency: float, supply_c: float, year: int
) -> House:
    # A plan may hold measures that turned the system into something else already.
    system = next(item for item in house.heating if item.id == system_id)
    if system.distribution != "steam_pipes":
        return house
    return with_hot_water(house, system_id, efficiency=efficiency, supply_c=supply_c, year=year)
