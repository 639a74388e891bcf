"""From a network and a weather year to the arrays of the hour loop."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import dataclass, replace
from functools import cached_property, lru_cache
from math import cos, radians
from typing import Any

import numpy as np
from numpy.typing import NDArray

from calcs._faces import Face, facing, light_shares, nodes_of_layers, sky_share, star_views
from calcs._kernel_data import (
    ADIABATIC_FACE,
    GROUND_FACE,
    LEEWARD_A,
    LEEWARD_B,
    OUTDOOR_FACE,
    WINDWARD_A,
    WINDWARD_B,
    Air,
    Chains,
    Forcing,
    Row,
)
from calcs.constants import CELSIUS_ZERO_K, GAS_CONSTANT_DRY_AIR_J_PER_KG_K
from calcs.network import (
    ADIABATIC,
    GROUND,
    HOURS,
    OUTDOOR,
    AirChange,
    DistributionLoss,
    EnvelopeLeakage,
    Network,
    OpaqueElement,
    Options,
    Window,
)
from calcs.shading import WindowSun, window_sun
from calcs.sky import sky_temperature_c
from calcs.solar import plane_total
from calcs.weather import WeatherYear, between_readings

FloatArray = NDArray[np.float64]

AIR_SPECIFIC_HEAT_J_PER_KGK = 1006.0  # dry air near 20 °C (ASHRAE Fundamentals; memory)
ROOM_REFERENCE_C = 20.0  # volume flows of air are counted at this temperature
GROUND_CONTACT_W_PER_M2K = 1.0e6  # joins the last layer to the ground temperature, no resistance
PLANT_OFF_C = 1.0e6

# Wind at height z: station wind * (270 / 10)**0.14 * (z / layer)**exponent; boundary-layer
# heights [m] and exponents of ASHRAE Fundamentals, airflow around buildings (memory).
TERRAIN = {"open": (270.0, 0.14), "suburban": (370.0, 0.22), "urban": (460.0, 0.33)}
STATION_WIND_FACTOR = (270.0 / 10.0) ** 0.14

SEA_LEVEL_PA = 101_325.0
# Air pressure where the wind-driven coefficients were measured: Reno, Nevada, near 1350 m
# (memory), by the standard atmosphere.
WIND_TEST_PA = 86_100.0

ROUGH, SMOOTH = 1.67, 1.0  # multipliers of the wind-driven part, rough wall and glass (memory)
# Outside convection when it is constant: wall, roof, sheltered floor, glass; from the public
# thermal-fabric cases.
CONSTANT_WALL, CONSTANT_ROOF, CONSTANT_SHELTERED, CONSTANT_GLASS = 11.9, 14.4, 0.8, 8.0


Columns = dict[str, list[Any]]

# Columns of `Chains` that a part has under the same name, by element and by node.
_OF_PART = (
    "zone_a", "zone_b", "film_a", "film_b", "to_sky", "roughness",
    "constant_b", "bypass", "ground",
)  # fmt: skip
_OF_NODE = ("capacity", "conductance", "slope", "gap_emittance", "source", "source_factor")


@dataclass(frozen=True, eq=False)
class Assembly:
    """The arrays, and the names that go with their rows.

    ``forcing`` comes without the rows of sun, which only the full engine reads as one array:
    it takes ``full_forcing``.
    """

    columns: Columns
    air: Air
    forcing: Forcing
    weather: WeatherYear
    sun: tuple[Row, ...]
    rho_cp_j_per_m3k: float
    thinness: float
    element_names: tuple[str, ...]
    components: tuple[str, ...]

    @cached_property
    def chains(self) -> Chains:
        """The columns as arrays."""
        return Chains(**{name: np.array(values) for name, values in self.columns.items()})

    @cached_property
    def full_forcing(self) -> Forcing:
        """The forcing with its rows of sun."""
        return self.forcing._replace(sun=_rows([row.values for row in self.sun], HOURS))


@dataclass(eq=False)
class _Part:
    """An element or window under construction."""

    name: str
    component: str
    area_m2: float
    zone_a: int
    zone_b: int
    tilt_deg: float
    capacity: list[float]
    conductance: list[float]
    slope: list[float]
    gap_emittance: list[float]
    source: list[int]
    source_factor: list[float]
    emittance_a: float
    emittance_b: float
    film_a: float
    film_b: float
    to_sky: float = 0.0
    roughness: float = 1.0
    wind_factor: float = 0.0
    constant_b: float = 0.0
    bypass: float = 0.0
    ground: int = -1


class _Builder:
    def __init__(self, network: Network, weather: WeatherYear, options: Options) -> None:
        self.network, self.weather, self.options = network, weather, options
        self.index = {zone.name: i for i, zone in enumerate(network.zones)}
        self.conditioned = [zone.is_conditioned for zone in network.zones]
        self.parts: list[_Part] = []
        self.faces: list[Face] = []
        self.nodes = 0
        self.sun_rows: list[Row] = []
        self.plane_row: dict[tuple[float, float], int] = {}
        self.ground_rows: list[FloatArray] = []
        zones = len(network.zones)
        self.steady_light: list[list[tuple[WindowSun, float]]] = [[] for _ in range(zones)]
        self.beam = np.zeros((zones, HOURS))
        self.diffuse = np.zeros((zones, HOURS))

    def local_wind(self, height_m: float) -> float:
        layer, exponent = TERRAIN[self.network.terrain]
        return float(STATION_WIND_FACTOR * (max(height_m, 0.1) / layer) ** exponent)

    def sun_row(self, azimuth_deg: float, tilt_deg: float) -> int:
        key = (azimuth_deg, tilt_deg)
        if key not in self.plane_row:
            self.plane_row[key] = len(self.sun_rows)
            asked = (
                self.weather,
                azimuth_deg,
                tilt_deg,
                self.options.transposition,
                self.options.ground_reflectance,
            )
            self.sun_rows.append(Row(("plane", *asked), plane_total(*asked)))
        return self.plane_row[key]

    def add_element(self, element: OpaqueElement) -> None:
        outsides = {OUTDOOR: OUTDOOR_FACE, GROUND: GROUND_FACE, ADIABATIC: ADIABATIC_FACE}
        zone_a = self.index[element.zone_in]
        zone_b = outsides.get(element.zone_out, self.index.get(element.zone_out, 0))
        capacity, conductance = nodes_of_layers(element.layers)
        count = len(capacity)
        part = _Part(
            name=element.name,
            component=element.component,
            area_m2=element.area_m2,
            zone_a=zone_a,
            zone_b=zone_b,
            tilt_deg=element.tilt_deg,
            capacity=capacity,
            conductance=conductance,
            slope=[0.0] * count,
            gap_emittance=[0.0] * count,
            source=[-1] * count,
            source_factor=[0.0] * count,
            emittance_a=element.emittance_in,
            emittance_b=element.emittance_out,
            film_a=element.film_in_w_per_m2k or 0.0,
            film_b=element.film_out_w_per_m2k or 0.0,
        )
        if zone_b == OUTDOOR_FACE:
            self._expose(part, element)
        elif zone_b == GROUND_FACE:
            part.film_b, part.ground = GROUND_CONTACT_W_PER_M2K, len(self.ground_rows)
            self.ground_rows.append(hourly(element.ground_temperature_c))
        alpha = (element.solar_absorptance_in, element.solar_absorptance_out)
        azimuth_deg = element.azimuth_deg
        if zone_b >= 0 and self.conditioned[zone_b] and not self.conditioned[zone_a]:
            _turn_round(part)
            alpha = (alpha[1], alpha[0])
            azimuth_deg = (azimuth_deg + 180.0) % 360.0
        self._append(part, azimuth_deg, alpha)

    def _expose(self, part: _Part, element: OpaqueElement) -> None:
        part.constant_b = CONSTANT_ROOF if element.tilt_deg < 60.0 else CONSTANT_WALL
        if element.is_sheltered:
            part.constant_b = CONSTANT_SHELTERED
            return
        part.to_sky = sky_share(element.tilt_deg)
        part.roughness = SMOOTH if element.is_smooth else ROUGH
        part.wind_factor = self.local_wind(element.height_m)
        part.source[-1] = self.sun_row(element.azimuth_deg, element.tilt_deg)
        part.source_factor[-1] = element.solar_absorptance_out * element.solar_factor

    def _append(self, part: _Part, azimuth_deg: float, alpha: tuple[float, float]) -> None:
        number, first = len(self.parts), self.nodes
        last = first + len(part.capacity) - 1
        up = float(np.cos(np.radians(part.tilt_deg)))
        inside = part.zone_a == part.zone_b
        plane_a = (number, "a") if inside else facing(azimuth_deg, part.tilt_deg, -1.0)
        self.faces.append(
            Face(
                number,
                False,
                part.zone_a,
                part.area_m2,
                -up,
                plane_a,
                part.emittance_a,
                ((first, alpha[0]),),
            )
        )
        if part.zone_b >= 0:
            plane_b = (number, "b") if inside else facing(azimuth_deg, part.tilt_deg, 1.0)
            self.faces.append(
                Face(
                    number,
                    True,
                    part.zone_b,
                    part.area_m2,
                    up,
                    plane_b,
                    part.emittance_b,
                    ((last, alpha[1]),),
                )
            )
        self.parts.append(part)
        self.nodes = last + 1

    def add_window(self, window: Window) -> None:
        glass, zone = window.glazing, self.index[window.zone]
        sun = window_sun(
            window,
            self.weather,
            ground_reflectance=self.options.ground_reflectance,
            transposition=self.options.transposition,
        )
        factor = hourly(window.solar_factor)
        count = glass.panes
        rows = range(len(self.sun_rows), len(self.sun_rows) + count)
        # A steady shade scales the row of its glass, so that windows alike in glass share it.
        is_steady = bool((factor == factor[0]).all())
        scale = float(factor[0]) if is_steady else 1.0
        if is_steady:
            self.steady_light[zone].append((sun, window.area_m2 * scale))
        else:
            self.beam[zone] += window.area_m2 * factor * sun.transmitted_beam
            self.diffuse[zone] += window.area_m2 * factor * sun.transmitted_diffuse
        # Chains run outward, panes inward.
        for pane in range(count - 1, -1, -1):
            values = sun.absorbed[pane] if is_steady else factor * sun.absorbed[pane]
            shade = None if is_steady else factor.tobytes()
            self.sun_rows.append(Row(("glass", sun, pane, shade), values))
        part = _Part(
            name=window.name,
            component=window.component,
            area_m2=window.area_m2,
            zone_a=zone,
            zone_b=OUTDOOR_FACE,
            tilt_deg=window.tilt_deg,
            capacity=[0.0] * count,
            conductance=[*glass.gap_conductance_w_per_m2k[::-1], 0.0],
            slope=[*glass.gap_slope_per_k[::-1], 0.0],
            gap_emittance=[*glass.gap_emittance[::-1], 0.0],
            source=list(rows),
            source_factor=[scale] * count,
            emittance_a=glass.emittance_in,
            emittance_b=glass.emittance_out,
            film_a=window.film_in_w_per_m2k or 0.0,
            film_b=window.film_out_w_per_m2k or 0.0,
            to_sky=sky_share(window.tilt_deg),
            roughness=SMOOTH,
            wind_factor=self.local_wind(window.middle_height_m),
            constant_b=CONSTANT_GLASS,
            bypass=window.area_m2 * glass.bypass_w_per_m2k,
        )
        up = float(np.cos(np.radians(window.tilt_deg)))
        first = self.nodes
        absorbed = [
            (first + j, float(glass.absorptance_back_diffuse[count - 1 - j])) for j in range(count)
        ]
        self.faces.append(
            Face(
                len(self.parts),
                False,
                zone,
                window.area_m2,
                -up,
                facing(window.azimuth_deg, window.tilt_deg, -1.0),
                glass.emittance_in,
                tuple(absorbed),
                glass.transmittance_back_diffuse,
            )
        )
        self.parts.append(part)
        self.nodes += count

    def columns(self) -> Columns:
        """What ``Chains`` holds, as lists over elements and over nodes."""
        parts, count = self.parts, len(self.parts)
        # Forced convection follows the Reynolds number, so air counts by its density times speed.
        thickness = self.weather.mean_pressure_pa / WIND_TEST_PA
        exchange = self._exchange()
        found: Columns = {name: [] for name in Chains._fields}
        for e, part in enumerate(parts):
            first = len(found["capacity"])
            touches_a = self.conditioned[part.zone_a]
            touches_b = part.zone_b >= 0 and self.conditioned[part.zone_b]
            up = cos(radians(part.tilt_deg))
            wind = thickness * part.wind_factor
            for name, value in (
                ("first", first),
                ("last", first + len(part.capacity) - 1),
                ("area", part.area_m2),
                ("up_a", -up),
                ("up_b", up),
                ("exchange_a", exchange[e]),
                ("exchange_b", exchange[count + e] if part.zone_b >= 0 else part.emittance_b),
                ("windward", 0.5 * WINDWARD_A * wind**WINDWARD_B),
                ("leeward", 0.5 * LEEWARD_A * wind**LEEWARD_B),
                ("counted", int(touches_a and not touches_b)),
                ("stored", int(touches_a or touches_b)),
            ):
                found[name].append(value)
            for name in _OF_PART:
                found[name].append(getattr(part, name))
            for name in _OF_NODE:
                found[name].extend(getattr(part, name))
        found["beam_share"], found["diffuse_share"], found["sun_zone"] = self._light_shares()
        return found

    def _exchange(self) -> list[float]:
        """Effective emittance of each face toward its zone's star; b faces after the a faces."""
        count = len(self.parts)
        exchange = [0.0] * (2 * count)
        for zone in range(len(self.conditioned)):
            faces = [face for face in self.faces if face.zone == zone]
            planes: dict[tuple[object, ...], float] = defaultdict(float)
            for face in faces:
                planes[face.plane] += face.area_m2
            view = dict(zip(planes, star_views(list(planes.values())), strict=True))
            for face in faces:
                resistance = 1.0 / view[face.plane] + (1.0 - face.emittance) / face.emittance
                exchange[face.element + count * face.is_b] = 1.0 / resistance
        return exchange

    def _light_shares(self) -> tuple[list[float], list[float], list[int]]:
        beam, diffuse = [0.0] * self.nodes, [0.0] * self.nodes
        sun_zone = [0] * self.nodes
        for zone in range(len(self.conditioned)):
            faces = [face for face in self.faces if face.zone == zone]
            shares = light_shares(faces)
            for face, (of_beam, of_diffuse) in zip(faces, shares, strict=True):
                for node, absorbed in face.absorbed:
                    beam[node] += of_beam * absorbed / face.area_m2
                    diffuse[node] += of_diffuse * absorbed / face.area_m2
                    sun_zone[node] = zone
        return beam, diffuse, sun_zone

    def air(self, rho_cp: float) -> Air:
        zones, index = self.network.zones, self.index
        leaks = [
            zone.infiltration
            if isinstance(zone.infiltration, EnvelopeLeakage)
            else EnvelopeLeakage(stack_m3_per_s=0.0, wind_m3_per_s=0.0)
            for zone in zones
        ]
        paths, losses = self.network.air_paths, self.network.distribution_losses
        return Air(
            capacity=np.array(
                [z.volume_m3 * rho_cp + z.furnishing_j_per_m2k * z.floor_area_m2 for z in zones]
            ),
            is_conditioned=np.array([int(zone.is_conditioned) for zone in zones]),
            leak_stack=np.array([leak.stack_m3_per_s for leak in leaks]),
            leak_wind=np.array([leak.wind_m3_per_s for leak in leaks]),
            leak_exponent=np.array([leak.exponent for leak in leaks]),
            heating_capacity=np.array([zone.heating_capacity_w for zone in zones]),
            cooling_capacity=np.array([zone.cooling_capacity_w for zone in zones]),
            path_source=_ints(index[path.source_zone] for path in paths),
            path_target=_ints(index[path.target_zone] for path in paths),
            path_share=np.array([path.share_of_infiltration for path in paths], dtype=np.float64),
            path_zone=_ints(
                index[path.infiltration_zone]
                if path.infiltration_zone and path.share_of_infiltration > 0.0
                else -1
                for path in paths
            ),
            **_losses(index, losses),
        )

    def forcing(self) -> Forcing:
        network, weather, steps = self.network, self.weather, self.options.steps_per_hour
        zones = network.zones

        outdoor, sky, wind = _open_air(weather, self.options.sky_model, steps)
        for i, light in enumerate(self.steady_light):
            if light:
                beam, diffuse = _let_in(tuple(light))
                self.beam[i] += beam
                self.diffuse[i] += diffuse
        change = np.zeros((len(zones), HOURS))
        balanced, unbalanced = np.zeros_like(change), np.zeros_like(change)
        for i, zone in enumerate(zones):
            if isinstance(zone.infiltration, AirChange):
                change[i] = zone.volume_m3 / 3600.0 * hourly(zone.infiltration.air_changes_per_hour)
        for fan in network.ventilation:
            supply, exhaust = hourly(fan.supply_m3_per_s), hourly(fan.exhaust_m3_per_s)
            zone_index = self.index[fan.zone]
            balanced[zone_index] += np.minimum(supply, exhaust) * (1.0 - fan.sensible_recovery)
            unbalanced[zone_index] += np.abs(supply - exhaust)
        return Forcing(
            outdoor=outdoor,
            sky=sky,
            wind=wind,
            heating_setpoint=_rows(
                [stepped(z.heating_setpoint_c, steps, -PLANT_OFF_C) for z in zones], HOURS * steps
            ),
            cooling_setpoint=_rows(
                [stepped(z.cooling_setpoint_c, steps, PLANT_OFF_C) for z in zones], HOURS * steps
            ),
            sun=np.zeros((0, HOURS)),
            beam=self.beam,
            diffuse=self.diffuse,
            convective_gain=_rows([hourly(zone.convective_gain_w) for zone in zones], HOURS),
            radiant_gain=_rows([hourly(zone.radiant_gain_w) for zone in zones], HOURS),
            air_change=change,
            balanced=balanced,
            unbalanced=unbalanced,
            path_flow=_rows([hourly(path.flow_m3_per_s) for path in network.air_paths], HOURS),
            **_loss_factors(network.distribution_losses),
            ground=_rows(self.ground_rows, HOURS),
        )


def assemble(network: Network, weather: WeatherYear, options: Options) -> Assembly:
    """All arrays of the hour loop for a network in a weather year."""
    builder = _Builder(network, weather, options)
    for element in network.elements:
        builder.add_element(element)
    for window in network.windows:
        builder.add_window(window)
    # Volume flows count air at room temperature and the station's pressure: at 1650 m it is a
    # sixth lighter, which is worth that much of the infiltration loss.
    rho = weather.mean_pressure_pa / (
        GAS_CONSTANT_DRY_AIR_J_PER_KG_K * (ROOM_REFERENCE_C + CELSIUS_ZERO_K)
    )
    rho_cp = rho * AIR_SPECIFIC_HEAT_J_PER_KGK
    return Assembly(
        columns=builder.columns(),
        air=builder.air(rho_cp),
        forcing=builder.forcing(),
        weather=weather,
        sun=tuple(builder.sun_rows),
        rho_cp_j_per_m3k=rho_cp,
        thinness=thin_air(weather.mean_pressure_pa),
        element_names=tuple(part.name for part in builder.parts),
        components=tuple(part.component for part in builder.parts),
    )


def thin_air(pressure_pa: float) -> float:
    """Natural convection at a station pressure over that at sea level. [-]

    With turbulent flow Nu follows Ra**(1/3), and Ra the density squared; the conductivity of a
    gas does not depend on its pressure. The correlations are for sea level.
    """
    return (pressure_pa / SEA_LEVEL_PA) ** (2.0 / 3.0)


@lru_cache(maxsize=64)
def _let_in(light: tuple[tuple[WindowSun, float], ...]) -> tuple[FloatArray, FloatArray]:
    """Beam and diffuse that windows let in, each with the area that counts. [W]"""
    beam, diffuse = np.zeros(HOURS), np.zeros(HOURS)
    for sun, area_m2 in light:
        beam += area_m2 * sun.transmitted_beam
        diffuse += area_m2 * sun.transmitted_diffuse
    return beam, diffuse


@lru_cache(maxsize=16)
def _open_air(
    weather: WeatherYear, sky_model: str, steps_per_hour: int
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Outdoor air, sky and wind by step; the same for every building under one weather."""
    series = weather.dry_bulb_c, sky_temperature_c(weather, sky_model), weather.wind_m_per_s
    outdoor, sky, wind = (
        between_readings(values, steps_per_hour=steps_per_hour) for values in series
    )
    for values in (outdoor, sky, wind):
        values.setflags(write=False)
    return outdoor, sky, wind


def with_losses(assembly: Assembly, network: Network) -> Assembly:
    """The assembly for a network that differs from its own in the losses of ducts alone."""
    index = {zone.name: i for i, zone in enumerate(network.zones)}
    losses = network.distribution_losses
    zones, factors = _losses(index, losses), _loss_factors(losses)
    return replace(
        assembly, air=assembly.air._replace(**zones), forcing=assembly.forcing._replace(**factors)
    )


def _losses(
    index: dict[str, int], losses: tuple[DistributionLoss, ...]
) -> dict[str, NDArray[np.int64]]:
    return {
        "loss_zone": _ints(index[loss.zone] for loss in losses),
        "loss_target": _ints(index[loss.to_zone] for loss in losses),
    }


def _loss_factors(losses: tuple[DistributionLoss, ...]) -> dict[str, FloatArray]:
    return {
        "heating_loss": _rows([hourly(loss.heating_factor) for loss in losses], HOURS),
        "cooling_loss": _rows([hourly(loss.cooling_factor) for loss in losses], HOURS),
    }


def hourly(values: object) -> FloatArray:
    """A schedule as hour means."""
    array = np.asarray(values, dtype=np.float64)
    return array if array.size == HOURS else array.reshape(HOURS, -1).mean(axis=1)


def stepped(values: object, steps_per_hour: int, when_none: float) -> FloatArray:
    """A set-point schedule by step."""
    if values is None:
        return np.full(HOURS * steps_per_hour, when_none)
    array = np.asarray(values, dtype=np.float64)
    return (
        array
        if steps_per_hour > 1 and array.size > HOURS
        else np.repeat(hourly(array), steps_per_hour)
    )


def _turn_round(part: _Part) -> None:
    """Swap the faces of an element between two zones, so that face a is the conditioned one."""
    part.zone_a, part.zone_b = part.zone_b, part.zone_a
    part.emittance_a, part.emittance_b = part.emittance_b, part.emittance_a
    part.film_a, part.film_b = part.film_b, part.film_a
    part.tilt_deg = 180.0 - part.tilt_deg
    part.capacity.reverse()
    part.conductance = [*part.conductance[-2::-1], 0.0]


def _rows(rows: list[FloatArray], length: int) -> FloatArray:
    return np.vstack(rows) if rows else np.zeros((0, length))


def _ints(values: object) -> NDArray[np.int64]:
    return np.array(list(values), dtype=np.int64)  # type: ignore[call-overload]  # any iterable
