"""Moving one uncertain input of a house to another value of its distribution.

A lever takes a house and a standard score z: z = 0 leaves the house as recorded, z = 1 moves the
input up by one of its standard deviations. Two rows of the table that act through one number of
the house share a lever and are added in quadrature there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from math import exp, hypot

from calcs.inputs import House
from calcs.inputs.systems import STEAM_EFFICIENCY_LIMIT
from calcs.uncertainty.table import LOGNORMAL, NORMAL, UNCERTAIN_INPUTS

LEAST_EFFICIENCY, MOST_EFFICIENCY = 0.3, 0.99
MOST_SHGC = 0.88


@dataclass(frozen=True)
class Known:
    """How each value of a house was got, and with it its spread, narrowed by what bills say.

    `widths` is the width of a lever after a fit to bills over that before, 1 where none is given.
    """

    house: House
    widths: Mapping[str, float]

    def how(self, path: str) -> str:
        """Origin of the value at a path."""
        return self.house.origin(path).how

    def spread(self, row: str, path: str, *, lever: str = "") -> float:
        """One standard deviation of a row at a path, after the bills."""
        width = self.widths.get(lever or row, 1.0)
        return UNCERTAIN_INPUTS[row].spread(self.how(path)) * width


Move = Callable[[House, float, Known], House]


@dataclass(frozen=True, kw_only=True)
class Lever:
    """One direction in which a house may differ from its record.

    `paths` gives the values it moves as (row, path); none means that the house has nothing to
    move. `is_curved` asks for both sides: the response bends within the spread. `acts_on` names
    parts of the record whose effect it scales besides the part it moves. `has_corner`: past some
    value the work brings nothing.
    """

    key: str
    shape: str
    paths: Callable[[House], list[tuple[str, str]]]
    move: Move
    is_curved: bool = False
    acts_on: tuple[str, ...] = ()
    has_corner: bool = False

    def rows(self, house: House) -> list[str]:
        """Rows of the table behind this lever in this house."""
        return list(dict.fromkeys(row for row, _path in self.paths(house)))

    def spread(self, known: Known) -> float:
        """One standard deviation: of the largest item, of its rows in quadrature."""
        largest: dict[str, float] = {}
        for row, path in self.paths(known.house):
            found = known.spread(row, path, lever=self.key)
            largest[row] = max(largest.get(row, 0.0), found)
        return hypot(*largest.values())


def _leakage(house: House, z: float, known: Known) -> House:
    leakage = house.air_leakage
    factor = exp(z * LEVERS["leakage"].spread(known))
    flow = min(max(leakage.flow50_m3_per_s * factor, 0.01), 15.0)
    hearth = leakage.fireplace
    if hearth is not None:
        hearth = replace(hearth, flow50_m3_per_s=min(hearth.flow50_m3_per_s * factor, 0.5))
    return replace(house, air_leakage=replace(leakage, flow50_m3_per_s=flow, fireplace=hearth))


def _heating_setpoint(house: House, z: float, known: Known) -> House:
    shift = z * known.spread("heating_setpoint", "thermostat.heating_c")
    control = house.thermostat
    return replace(
        house,
        thermostat=replace(control, heating_c=min(max(control.heating_c + shift, 5.0), 30.0)),
    )


def _cooling_setpoint(house: House, z: float, known: Known) -> House:
    shift = z * known.spread("cooling_setpoint", "thermostat.cooling_c")
    control = house.thermostat
    return replace(
        house,
        thermostat=replace(control, cooling_c=min(max(control.cooling_c + shift, 15.0), 35.0)),
    )


def _efficiency_path(house: House, system_id: str) -> str:
    """Where the efficiency that counts was read: the flue test before the nameplate."""
    system = next(item for item in house.heating if item.id == system_id)
    for name in ("steady_state_efficiency", "seasonal_cop", "efficiency"):
        if getattr(system, name) is not None:
            return f"heating.{system_id}.{name}"
    return f"heating.{system_id}.efficiency"


def _heating_efficiency(house: House, z: float, known: Known) -> House:
    systems = []
    for item in house.heating:
        if item.kind == "electric_resistance":
            systems.append(item)  # all of it becomes heat
            continue
        row = "heating_efficiency"
        factor = exp(z * known.spread(row, _efficiency_path(house, item.id)))
        is_steam = item.distribution == "steam_pipes"
        most = STEAM_EFFICIENCY_LIMIT if is_steam else MOST_EFFICIENCY
        systems.append(
            replace(
                item,
                efficiency=_share(item.efficiency, factor, most),
                steady_state_efficiency=_share(item.steady_state_efficiency, factor, most),
                seasonal_cop=None
                if item.seasonal_cop is None
                else min(max(item.seasonal_cop * factor, 0.8), 6.0),
            )
        )
    return replace(house, heating=tuple(systems))


def _share(value: float | None, factor: float, most: float) -> float | None:
    if value is None:
        return None
    return min(max(value * factor, LEAST_EFFICIENCY), most)


def _cooling_efficiency(house: House, z: float, known: Known) -> House:
    systems = tuple(
        replace(
            item,
            seasonal_cop=min(
                max(
                    item.seasonal_cop
                    * exp(
                        z * known.spread("cooling_efficiency", f"cooling.{item.id}.seasonal_cop")
                    ),
                    0.8,
                ),
                12.0,
            ),
        )
        for item in house.cooling
    )
    return replace(house, cooling=systems)


def _attic_r(house: House, z: float, known: Known) -> House:
    attics = []
    for attic in house.attics:
        layers = []
        for index, layer in enumerate(attic.layers):
            path = f"attics.{attic.id}.layers.{index}.depth_m"
            factor = exp(z * known.spread("attic_r", path))
            # Label and depth alike, so that compression stays what it was.
            layers.append(
                replace(
                    layer,
                    depth_m=min(layer.depth_m * factor, 1.2),
                    nominal_r_m2k_per_w=None
                    if layer.nominal_r_m2k_per_w is None
                    else min(layer.nominal_r_m2k_per_w * factor, 20.0),
                )
            )
        attics.append(replace(attic, layers=tuple(layers)))
    return replace(house, attics=tuple(attics))


def _wall_r(house: House, z: float, known: Known) -> House:
    walls = []
    for wall in house.walls:
        spread = known.spread("wall_r", f"walls.{wall.id}.cavity_r_m2k_per_w")
        value = min(wall.cavity_r_m2k_per_w * exp(z * spread), 12.0)
        walls.append(replace(wall, cavity_r_m2k_per_w=value))
    return replace(house, walls=tuple(walls))


def _foundation_r(house: House, z: float, known: Known) -> House:
    found = []
    for item in house.foundations:
        path = f"foundations.{item.id}"
        floor = exp(z * known.spread("foundation_r", f"{path}.floor_r_m2k_per_w"))
        wall = exp(z * known.spread("foundation_r", f"{path}.wall_r_m2k_per_w"))
        edge = exp(z * known.spread("foundation_r", f"{path}.slab_edge_r_m2k_per_w"))
        found.append(
            replace(
                item,
                floor_r_m2k_per_w=min(item.floor_r_m2k_per_w * floor, 12.0),
                wall_r_m2k_per_w=min(item.wall_r_m2k_per_w * wall, 10.0),
                slab_edge_r_m2k_per_w=min(item.slab_edge_r_m2k_per_w * edge, 8.0),
            )
        )
    return replace(house, foundations=tuple(found))


def _conductance(house: House, z: float, known: Known) -> House:
    factor = exp(z * known.spread("conductance", "conductance_factor"))
    return replace(house, conductance_factor=min(max(house.conductance_factor * factor, 0.3), 3.0))


def _window_u(house: House, z: float, known: Known) -> House:
    windows = []
    for item in house.windows:
        factor = exp(z * known.spread("window_u", f"windows.{item.id}.u_w_per_m2k"))
        windows.append(replace(item, u_w_per_m2k=min(max(item.u_w_per_m2k * factor, 0.3), 14.0)))
    return replace(house, windows=tuple(windows))


def _sun(house: House, z: float, known: Known) -> House:
    windows = []
    for item in house.windows:
        # What curtains and trees leave belongs to nobody's record, whatever the label says.
        factor = exp(z * known.spread("sun_let_in", f"windows.{item.id}.inside_shade_share"))
        windows.append(replace(item, shgc=min(max(item.shgc * factor, 0.01), MOST_SHGC)))
    return replace(house, windows=tuple(windows))


def _people(house: House, z: float, known: Known) -> House:
    factor = exp(z * known.spread("people", "geometry.occupants"))
    geometry = house.geometry
    return replace(
        house, geometry=replace(geometry, occupants=min(geometry.occupants * factor, 40.0))
    )


def _plugs(house: House, z: float, known: Known) -> House:
    factor = exp(z * known.spread("plug_loads", "appliances.plug_factor"))
    used = house.appliances
    return replace(
        house, appliances=replace(used, plug_factor=min(max(used.plug_factor * factor, 0.1), 5.0))
    )


def _hot_water(house: House, z: float, known: Known) -> House:
    factor = exp(z * known.spread("hot_water_draw", "hot_water_use.draw_factor"))
    use = house.hot_water_use
    return replace(
        house, hot_water_use=replace(use, draw_factor=min(max(use.draw_factor * factor, 0.1), 5.0))
    )


def _duct_leakage(house: House, z: float, known: Known) -> House:
    ducts = house.ducts
    if ducts is None:
        return house
    supply = exp(z * known.spread("duct_leakage", "ducts.supply_leak25_m3_per_s"))
    back = exp(z * known.spread("duct_leakage", "ducts.return_leak25_m3_per_s"))
    return replace(
        house,
        ducts=replace(
            ducts,
            supply_leak25_m3_per_s=min(ducts.supply_leak25_m3_per_s * supply, 2.0),
            return_leak25_m3_per_s=min(ducts.return_leak25_m3_per_s * back, 2.0),
        ),
    )


def _lamp_hours(house: House, z: float, known: Known) -> House:
    lamps = []
    for item in house.lamps:
        factor = exp(z * known.spread("lamp_hours", f"lamps.{item.id}.hours_per_day"))
        lamps.append(replace(item, hours_per_day=min(item.hours_per_day * factor, 24.0)))
    return replace(house, lamps=tuple(lamps))


def _refrigerators(house: House, z: float, known: Known) -> House:
    found = []
    for item in house.appliances.refrigerators:
        path = f"appliances.refrigerators.{item.id}.energy_j_per_year"
        factor = exp(z * known.spread("refrigerator_use", path))
        use = item.energy_j_per_year
        found.append(
            replace(item, energy_j_per_year=None if use is None else min(use * factor, 3.0e10))
        )
    return replace(house, appliances=replace(house.appliances, refrigerators=tuple(found)))


def _always(*pairs: tuple[str, str]) -> Callable[[House], list[tuple[str, str]]]:
    return lambda _house: list(pairs)


def _when(
    has: Callable[[House], bool], row: str, path: str
) -> Callable[[House], list[tuple[str, str]]]:
    return lambda house: [(row, path)] if has(house) else []


def _efficiency_paths(house: House) -> list[tuple[str, str]]:
    return [
        ("heating_efficiency", _efficiency_path(house, item.id))
        for item in house.heating
        if item.kind != "electric_resistance"
    ]


def _cooling_paths(house: House) -> list[tuple[str, str]]:
    return [("cooling_efficiency", f"cooling.{item.id}.seasonal_cop") for item in house.cooling]


def _attic_paths(house: House) -> list[tuple[str, str]]:
    return [
        ("attic_r", f"attics.{attic.id}.layers.{index}.depth_m")
        for attic in house.attics
        for index, _layer in enumerate(attic.layers)
    ]


def _wall_paths(house: House) -> list[tuple[str, str]]:
    return [
        ("wall_r", f"walls.{item.id}.cavity_r_m2k_per_w")
        for item in house.walls
        if item.cavity_r_m2k_per_w > 0.0
    ]


def _foundation_paths(house: House) -> list[tuple[str, str]]:
    return [
        ("foundation_r", f"foundations.{item.id}.{name}")
        for item in house.foundations
        for name in ("floor_r_m2k_per_w", "wall_r_m2k_per_w", "slab_edge_r_m2k_per_w")
        if getattr(item, name) > 0.0
    ]


def _window_paths(house: House) -> list[tuple[str, str]]:
    return [("window_u", f"windows.{item.id}.u_w_per_m2k") for item in house.windows]


def _sun_paths(house: House) -> list[tuple[str, str]]:
    return [("sun_let_in", f"windows.{item.id}.inside_shade_share") for item in house.windows]


def _duct_paths(house: House) -> list[tuple[str, str]]:
    if house.ducts is None:
        return []
    return [("duct_leakage", f"ducts.{side}_leak25_m3_per_s") for side in ("supply", "return")]


def _lamp_paths(house: House) -> list[tuple[str, str]]:
    return [("lamp_hours", f"lamps.{item.id}.hours_per_day") for item in house.lamps]


def _refrigerator_paths(house: House) -> list[tuple[str, str]]:
    return [
        ("refrigerator_use", f"appliances.refrigerators.{item.id}.energy_j_per_year")
        for item in house.appliances.refrigerators
        if item.energy_j_per_year is not None
    ]


LEVERS: dict[str, Lever] = {
    lever.key: lever
    for lever in (
        Lever(
            key="leakage", shape=LOGNORMAL, move=_leakage, is_curved=True,
            paths=_always(
                ("leakage_test", "air_leakage.flow50_m3_per_s"),
                ("leakage_to_weather", "site.shelter_class"),
            ),
        ),
        Lever(
            key="heating_setpoint", shape=NORMAL, move=_heating_setpoint, is_curved=True,
            paths=_when(lambda h: bool(h.heating), "heating_setpoint", "thermostat.heating_c"),
        ),
        Lever(
            key="cooling_setpoint", shape=NORMAL, move=_cooling_setpoint,
            paths=_when(lambda h: bool(h.cooling), "cooling_setpoint", "thermostat.cooling_c"),
        ),
        Lever(
            key="heating_efficiency", shape=LOGNORMAL, move=_heating_efficiency,
            paths=_efficiency_paths,
        ),
        Lever(
            key="cooling_efficiency", shape=LOGNORMAL, move=_cooling_efficiency,
            paths=_cooling_paths,
        ),
        Lever(key="attic_r", shape=LOGNORMAL, move=_attic_r, paths=_attic_paths, is_curved=True),
        Lever(key="wall_r", shape=LOGNORMAL, move=_wall_r, paths=_wall_paths, is_curved=True),
        Lever(
            key="foundation_r", shape=LOGNORMAL, move=_foundation_r, paths=_foundation_paths,
            is_curved=True,
        ),
        Lever(
            key="conductance", shape=LOGNORMAL, move=_conductance,
            paths=_always(("conductance", "conductance_factor")),
            acts_on=("attics", "walls", "foundations"),
        ),
        Lever(
            key="window_u", shape=LOGNORMAL, move=_window_u, paths=_window_paths, is_curved=True,
            has_corner=True,
        ),
        Lever(key="sun_let_in", shape=LOGNORMAL, move=_sun, paths=_sun_paths),
        Lever(
            key="people", shape=LOGNORMAL, move=_people,
            acts_on=("hot_water_use", "water_heaters"),
            paths=_when(lambda h: h.geometry.occupants > 0.0, "people", "geometry.occupants"),
        ),
        Lever(
            key="plug_loads", shape=LOGNORMAL, move=_plugs,
            paths=_always(("plug_loads", "appliances.plug_factor")),
        ),
        Lever(
            key="hot_water_draw", shape=LOGNORMAL, move=_hot_water, acts_on=("water_heaters",),
            paths=_when(
                lambda h: bool(h.water_heaters), "hot_water_draw", "hot_water_use.draw_factor"
            ),
        ),
        Lever(
            key="duct_leakage", shape=LOGNORMAL, move=_duct_leakage, paths=_duct_paths,
            is_curved=True,
        ),
        Lever(key="lamp_hours", shape=LOGNORMAL, move=_lamp_hours, paths=_lamp_paths),
        Lever(
            key="refrigerator_use", shape=LOGNORMAL, move=_refrigerators,
            paths=_refrigerator_paths,
        ),
    )
}  # fmt: skip


def levers_of(known: Known) -> list[Lever]:
    """The levers that this house has and whose spread is not nothing."""
    return [
        lever for lever in LEVERS.values() if lever.paths(known.house) and lever.spread(known) > 0.0
    ]


def moved(house: House, scores: Mapping[str, float], known: Known) -> House:
    """A house with several levers moved at once, each by its standard score."""
    for key, z in scores.items():
        house = LEVERS[key].move(house, z, known)
    return house
