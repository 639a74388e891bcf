"""The full balance written as plain NumPy: what the speed of the engines is measured against.

Every node, air and star is an unknown of one dense system an hour, made and solved with array
operations. It shares the input arrays with the engines and nothing else, so it checks them too.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calcs._assembly import Assembly
from calcs._kernel_data import (
    GAS_REFERENCE_C,
    GROUND_FACE,
    KELVIN,
    LEAST_CONVECTION,
    LEEWARD_B,
    OUTDOOR_FACE,
    SIGMA,
    WINDWARD_B,
)
from calcs.errors import InputError
from calcs.network import Options

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

START_C = 20.0
OUT_OF_REACH_C = 1.0e5  # set-points beyond this stand for no plant


def plain_loads(assembly: Assembly, options: Options, *, hours: int) -> FloatArray:
    """Heat given to the zones in the first hours of the year, after the usual warm-up.

    Parameters
    ----------
    assembly : Assembly
        As for the engines; one zone with a plant at most, of any capacity.
    options : Options
        One step an hour.
    hours : int

    Returns
    -------
    ndarray, shape (hours, zones)
        Cooling negative. [W]

    Raises
    ------
    InputError
        Several steps an hour, or plant in several zones.
    """
    if options.steps_per_hour != 1 or np.sum(assembly.air.is_conditioned) > 1:
        raise InputError("the plain loop takes one step an hour and one zone with a plant")
    loop = _Plain(assembly, options)
    warmup = options.warmup_days * 24
    return np.array([loop.step(hour % 8760) for hour in range(-warmup, hours)])[warmup:]


class _Plain:
    """State and constants of one building."""

    def __init__(self, assembly: Assembly, options: Options) -> None:
        self.air, self.forcing, self.chains = assembly.air, assembly.full_forcing, assembly.chains
        self.rho_cp, self.thinness = assembly.rho_cp_j_per_m3k, assembly.thinness
        self.options = options
        chains = self.chains
        self.nodes, self.zones = len(chains.capacity), len(self.air.capacity)
        count = np.arange(len(chains.first))
        self.owner = np.repeat(count, chains.last - chains.first + 1)
        is_last = np.zeros(self.nodes, dtype=bool)
        is_last[chains.last] = True
        self.lower = np.flatnonzero(~is_last)
        self.area = chains.area[self.owner]
        self.temperature = np.full(self.nodes + 2 * self.zones, START_C)
        self.outdoors = np.flatnonzero(chains.zone_b == OUTDOOR_FACE)
        self.in_zone = np.flatnonzero(chains.zone_b >= 0)
        self.in_ground = np.flatnonzero(chains.zone_b == GROUND_FACE)

    def _inside(
        self, node: FloatArray, air: FloatArray, star: FloatArray, face: str, e: IntArray
    ) -> tuple[FloatArray, FloatArray]:
        """Convection and radiation of faces in zones. [W/m²K]"""
        chains = self.chains
        film, up = getattr(chains, f"film_{face}")[e], getattr(chains, f"up_{face}")[e]
        exchange = getattr(chains, f"exchange_{face}")[e]
        if self.options.interior_convection == "natural":
            convection = self._natural(node - air, up)
        else:
            upward = np.where((node - air) * up > 0.0, 5.0, 0.7)
            convection = np.where(np.abs(up) < 0.5, 2.5, upward)
        radiation = exchange * 4.0 * SIGMA * (0.5 * (node + star) + KELVIN) ** 3
        has_film = film > 0.0
        return np.where(has_film, film, convection), np.where(has_film, 0.0, radiation)

    def _natural(self, difference: FloatArray, up: FloatArray) -> FloatArray:
        root = np.cbrt(np.abs(difference))
        rising = 9.482 * root / (7.238 - np.abs(up))
        still = 1.810 * root / (1.382 + np.abs(up))
        found = np.where(difference * up > 0.0, rising, still)
        return self.thinness * np.maximum(found, LEAST_CONVECTION)

    def _outside(self, node: FloatArray, hour: int) -> tuple[FloatArray, FloatArray]:
        """Coefficient and drive of faces in the open air. [W/m²K], [W/m²]"""
        chains, e, forcing = self.chains, self.outdoors, self.forcing
        outdoor, sky, wind = forcing.outdoor[hour], forcing.sky[hour], forcing.wind[hour]
        convection = chains.constant_b[e]
        if self.options.exterior_convection == "wind":
            still = self._natural(node - outdoor, chains.up_b[e])
            forced = chains.windward[e] * wind**WINDWARD_B + chains.leeward[e] * wind**LEEWARD_B
            convection = still + np.where(
                forced > 0.0, chains.roughness[e] * (np.hypot(still, forced) - still), 0.0
            )
        node_k, air_k, sky_k = node + KELVIN, outdoor + KELVIN, sky + KELVIN
        strength = chains.exchange_b[e] * SIGMA
        to_air = (1.0 - chains.to_sky[e]) * strength * (node_k**2 + air_k**2) * (node_k + air_k)
        to_sky = chains.to_sky[e] * strength * (node_k**2 + sky_k**2) * (node_k + sky_k)
        total = convection + to_air + to_sky
        drive = (convection + to_air) * outdoor + to_sky * sky
        film = chains.film_b[e]
        return np.where(film > 0.0, film, total), np.where(film > 0.0, film * outdoor, drive)

    def _join(
        self, matrix: FloatArray, face: IntArray, target: IntArray, value: FloatArray
    ) -> None:
        """Conductances between faces and airs or stars. [W/K]"""
        np.add.at(matrix, (face, face), value)
        np.add.at(matrix, (target, target), value)
        np.add.at(matrix, (face, target), -value)
        np.add.at(matrix, (target, face), -value)

    def _move_air(self, matrix: FloatArray, right: FloatArray, hour: int) -> None:
        air, forcing, nodes = self.air, self.forcing, self.nodes
        state = self.temperature[nodes : nodes + self.zones]
        outdoor = forcing.outdoor[hour]
        stack = air.leak_stack * np.abs(state - outdoor) ** air.leak_exponent
        blown = air.leak_wind * forcing.wind[hour] ** (2.0 * air.leak_exponent)
        leak = np.hypot(stack, blown) + forcing.air_change[:, hour]
        extra = forcing.unbalanced[:, hour]
        fans = forcing.balanced[:, hour] + np.hypot(extra, leak) - leak
        fresh = leak.copy()
        for i, (source, target) in enumerate(zip(air.path_source, air.path_target, strict=True)):
            part = air.path_share[i] * leak[air.path_zone[i]] if air.path_zone[i] >= 0 else 0.0
            if air.path_zone[i] == target:
                fresh[target] = max(fresh[target] - part, 0.0)
            flow = self.rho_cp * (forcing.path_flow[i, hour] + part)
            matrix[nodes + target, nodes + target] += flow
            matrix[nodes + target, nodes + source] -= flow
        flow = self.rho_cp * (fresh + fans)
        place = np.arange(nodes, nodes + self.zones)
        matrix[place, place] += air.capacity / 3600.0 + flow
        right[place] += air.capacity / 3600.0 * state + flow * outdoor
        right[place] += forcing.convective_gain[:, hour]
        right[place + self.zones] += forcing.radiant_gain[:, hour]

    def step(self, hour: int) -> FloatArray:
        """One hour; the heat given to each zone. [W]"""
        chains, forcing, nodes, zones = self.chains, self.forcing, self.nodes, self.zones
        size = nodes + 2 * zones
        matrix, right = np.zeros((size, size)), np.zeros(size)
        node, air, star = np.split(self.temperature, [nodes, nodes + zones])
        self._move_air(matrix, right, hour)

        inertia = self.area * chains.capacity / 3600.0
        beam = chains.beam_share * forcing.beam[chains.sun_zone, hour]
        diffuse = chains.diffuse_share * forcing.diffuse[chains.sun_zone, hour]
        sun = np.where(chains.source >= 0, chains.source_factor, 0.0)
        sun = sun * forcing.sun[np.maximum(chains.source, 0), hour]
        every = np.arange(nodes)
        matrix[every, every] += inertia
        right[every] += inertia * node + self.area * (beam + diffuse + sun)

        low = self.lower
        mean = 0.5 * (node[low] + node[low + 1])
        link = chains.conductance[low]
        in_gap = chains.gap_emittance[low] > 0.0
        soft = link * (1.0 + chains.slope[low] * (mean - GAS_REFERENCE_C))
        soft = soft + chains.gap_emittance[low] * 4.0 * SIGMA * (mean + KELVIN) ** 3
        self._join(matrix, low, low + 1, self.area[low] * np.where(in_gap, soft, link))

        for face, elements in (("a", np.arange(len(chains.first))), ("b", self.in_zone)):
            at = (chains.first if face == "a" else chains.last)[elements]
            zone = (chains.zone_a if face == "a" else chains.zone_b)[elements]
            given = self._inside(node[at], air[zone], star[zone], face, elements)
            area = chains.area[elements]
            self._join(matrix, at, nodes + zone, area * given[0])
            self._join(matrix, at, nodes + zones + zone, area * given[1])
        np.add.at(matrix, (nodes + chains.zone_a, nodes + chains.zone_a), chains.bypass)
        np.add.at(right, nodes + chains.zone_a, chains.bypass * forcing.outdoor[hour])

        at, area = chains.last[self.outdoors], chains.area[self.outdoors]
        total, drive = self._outside(node[at], hour)
        matrix[at, at] += area * total
        right[at] += area * drive
        at, area = chains.last[self.in_ground], chains.area[self.in_ground]
        contact = area * chains.film_b[self.in_ground]
        matrix[at, at] += contact
        right[at] += contact * forcing.ground[chains.ground[self.in_ground], hour]

        for z in range(zones):
            place = nodes + zones + z
            if matrix[place, place] == 0.0:
                matrix[place, place], matrix[place, nodes + z] = 1.0, -1.0
                right[nodes + z] += right[place]
                right[place] = 0.0
        return self._settle(matrix, right, hour)

    def _settle(self, matrix: FloatArray, right: FloatArray, hour: int) -> FloatArray:
        """Solve, with the plant that keeps the one thermostat."""
        nodes, zones, air, forcing = self.nodes, self.zones, self.air, self.forcing
        plant = np.zeros(zones)
        main = int(np.argmax(air.is_conditioned))
        push = np.zeros((len(right), 2))
        push[nodes + main] = 1.0
        for i, target in enumerate(air.loss_target):
            if air.loss_zone[i] == main:
                push[nodes + target] += forcing.heating_loss[i, hour], forcing.cooling_loss[i, hour]
        found = np.linalg.solve(matrix, np.column_stack([right, push]))
        free, per_watt = found[:, 0], found[:, 1:]
        low, high = forcing.heating_setpoint[main, hour], forcing.cooling_setpoint[main, hour]
        held = free[nodes + main]
        if held < low:
            needed = (low - held) / per_watt[nodes + main, 0]
            plant[main] = min(needed, air.heating_capacity[main])
            free = free + per_watt[:, 0] * plant[main]
        elif held > high:
            needed = (high - held) / per_watt[nodes + main, 1]
            plant[main] = max(needed, -air.cooling_capacity[main])
            free = free + per_watt[:, 1] * plant[main]
        self.temperature = free
        return plant
