"""The hourly simulation: a network and a weather year in, loads and losses out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from calcs import _kernels, fast
from calcs._assembly import Assembly, assemble, with_losses
from calcs._kernel_data import Tally
from calcs.errors import ConvergenceError, InputError
from calcs.network import HOURS, Network, Options
from calcs.weather import WeatherYear, monthly

FloatArray = NDArray[np.float64]

START_C = 20.0
# Share of steps whose thermostats may be left unsettled: beyond it the result is refused.
UNSETTLED_LIMIT = 1e-3


@dataclass(frozen=True, kw_only=True)
class Flow:
    """Heat through one part of the house's envelope, out of the conditioned space. [kWh]

    Positive is a loss, negative a gain. The year's hours are of three kinds: those in which the
    plant heats, those in which it cools, and the rest.
    """

    while_heating_kwh: float
    while_cooling_kwh: float
    while_idle_kwh: float

    @property
    def annual_kwh(self) -> float:
        """All hours together. [kWh]"""
        return self.while_heating_kwh + self.while_cooling_kwh + self.while_idle_kwh

    def __add__(self, other: Flow) -> Flow:
        return Flow(
            while_heating_kwh=self.while_heating_kwh + other.while_heating_kwh,
            while_cooling_kwh=self.while_cooling_kwh + other.while_cooling_kwh,
            while_idle_kwh=self.while_idle_kwh + other.while_idle_kwh,
        )


NO_FLOW = Flow(while_heating_kwh=0.0, while_cooling_kwh=0.0, while_idle_kwh=0.0)


@dataclass(frozen=True, eq=False, kw_only=True)
class ZoneResult:
    """One zone over the year.

    Parameters
    ----------
    name : str
    heating_w, cooling_w : ndarray, shape (8760,)
        Load on the ideal plant, hour means, both positive; zero in an unconditioned zone. [W]
    air_c : ndarray, shape (8760,)
        Air temperature, hour means. [°C]
    infiltration_m3_per_s : ndarray, shape (8760,)
        Air entering by leaks, at room temperature. [m³/s]
    """

    name: str
    heating_w: FloatArray
    cooling_w: FloatArray
    air_c: FloatArray
    infiltration_m3_per_s: FloatArray

    @property
    def heating_kwh(self) -> float:
        """Annual heating load. [kWh]"""
        return float(self.heating_w.sum()) / 1000.0

    @property
    def cooling_kwh(self) -> float:
        """Annual sensible cooling load. [kWh]"""
        return float(self.cooling_w.sum()) / 1000.0

    @property
    def peak_heating_w(self) -> float:
        """Highest hour mean. [W]"""
        return float(self.heating_w.max())

    @property
    def peak_cooling_w(self) -> float:
        """Highest hour mean. [W]"""
        return float(self.cooling_w.max())

    @property
    def monthly_heating_kwh(self) -> FloatArray:
        """Heating load by calendar month, shape (12,). [kWh]"""
        return monthly(self.heating_w) / 1000.0

    @property
    def monthly_cooling_kwh(self) -> FloatArray:
        """Cooling load by calendar month, shape (12,). [kWh]"""
        return monthly(self.cooling_w) / 1000.0


@dataclass(frozen=True, eq=False, kw_only=True)
class HourlyResult:
    """A whole building over the year.

    Parameters
    ----------
    zones : dict of str to ZoneResult
        All zones, conditioned or not.
    elements : mapping of str to Flow
        Heat out of the conditioned space by element and window. Taken at the far face, so that a
        loss is counted when it leaves; sun on the outside of a wall lessens its loss. Parts that
        touch no conditioned zone, and those wholly inside, are not listed. The fast engine runs
        elements alike but for their sun as one and tells them apart by their own steady balance.
    components : dict of str to Flow
        The same summed by component key, with "infiltration", "ventilation" and the keys of the
        air paths.
    solar, internal : Flow
        Gains: sun let in by windows and kept, and gains of the zones. Positive is a gain.
    storage : Flow
        Heat taken up by the conditioned space and the elements around it; nearly 0 over a year.
    load : Flow
        Heat given by the plant, cooling negative.
    """

    zones: dict[str, ZoneResult]
    elements: Mapping[str, Flow]
    components: dict[str, Flow]
    solar: Flow
    internal: Flow
    storage: Flow
    load: Flow

    @property
    def heating_kwh(self) -> float:
        """Annual heating load of all conditioned zones. [kWh]"""
        return sum(zone.heating_kwh for zone in self.zones.values())

    @property
    def cooling_kwh(self) -> float:
        """Annual sensible cooling load of all conditioned zones. [kWh]"""
        return sum(zone.cooling_kwh for zone in self.zones.values())

    @property
    def heating_w(self) -> FloatArray:
        """Heating load of all conditioned zones, shape (8760,). [W]"""
        return np.sum([zone.heating_w for zone in self.zones.values()], axis=0)

    @property
    def cooling_w(self) -> FloatArray:
        """Cooling load of all conditioned zones, shape (8760,). [W]"""
        return np.sum([zone.cooling_w for zone in self.zones.values()], axis=0)

    @property
    def imbalance(self) -> Flow:
        """Load and gains less losses and storage: zero but for rounding. [kWh]"""
        out = sum(self.components.values(), NO_FLOW)
        into = self.load + self.solar + self.internal
        minus = out + self.storage
        return Flow(
            while_heating_kwh=into.while_heating_kwh - minus.while_heating_kwh,
            while_cooling_kwh=into.while_cooling_kwh - minus.while_cooling_kwh,
            while_idle_kwh=into.while_idle_kwh - minus.while_idle_kwh,
        )

    def loss_shares(self) -> dict[str, float]:
        """Share of each component in the heat that leaves while the plant heats.

        Sums to 1. A component that brings heat in on balance has share 0; the dictionary is empty
        when nothing leaves.
        """
        return _shares({key: flow.while_heating_kwh for key, flow in self.components.items()})

    def gain_shares(self) -> dict[str, float]:
        """Share of each component, of the sun and of the gains in the heat that enters while the
        plant cools; keys of the components with "solar" and "internal". Sums to 1."""
        into = {key: -flow.while_cooling_kwh for key, flow in self.components.items()}
        into |= {
            "solar": self.solar.while_cooling_kwh,
            "internal": self.internal.while_cooling_kwh,
        }
        return _shares(into)


def simulate(
    network: Network, weather: WeatherYear, options: Options | None = None
) -> HourlyResult:
    """Run a building through a weather year.

    Parameters
    ----------
    network : Network
        The building.
    weather : WeatherYear
        8760 hours.
    options : Options or None
        None: the defaults, which serve every building.

    Returns
    -------
    HourlyResult
        Loads, temperatures, and the heat balance of the conditioned space by component.

    Raises
    ------
    InputError
        The network has a part that does not fit.
    ConvergenceError
        Temperatures that are not finite, or thermostats that cannot all be satisfied in more than
        one step in a thousand.

    Notes
    -----
    The last ``warmup_days`` of the year are run first, uncounted; then January 1 to December 31.
    """
    options = options or Options()
    if not isinstance(weather, WeatherYear):
        raise InputError("weather must be a WeatherYear")
    assembly, reduction = _prepared(network, weather, options)
    tally = _march(assembly, reduction, options, HOURS)
    if not np.isfinite(tally.air).all():
        raise ConvergenceError("the heat balance gave a temperature that is not finite")
    if tally.unsettled[0] > UNSETTLED_LIMIT * HOURS * options.steps_per_hour:
        raise ConvergenceError(f"thermostats did not settle in {tally.unsettled[0]:.0f} steps")
    return _result(network, assembly, tally, reduction)


def march(assembly: Assembly, options: Options, *, hours: int = HOURS) -> Tally:
    """Run the hour loop: warm-up, then the first ``hours`` of the year."""
    return _march(assembly, _reduced(assembly, options), options, hours)


def _reduced(assembly: Assembly, options: Options) -> fast.Reduction | None:
    """What the fast engine makes of a building; None where the full one is asked or needed."""
    if options.engine != "fast":
        return None
    try:
        return fast.reduce(assembly, options)
    except fast.UnfitError:
        return None  # the full engine takes any building


class _Latest:
    """The building prepared last: a second run with other duct losses starts from it."""

    held: tuple[Network, WeatherYear, Options, Assembly, fast.Reduction | None] | None = None


def _prepared(
    network: Network, weather: WeatherYear, options: Options
) -> tuple[Assembly, fast.Reduction | None]:
    held = _Latest.held
    if held is not None and _is_same(held[0], network) and held[1:3] == (weather, options):
        return with_losses(held[3], network), held[4]
    assembly = assemble(network, weather, options)
    reduction = _reduced(assembly, options)
    _Latest.held = network, weather, options, assembly, reduction
    return assembly, reduction


def _is_same(one: Network, other: Network) -> bool:
    """Made of the same parts but for the losses of ducts."""
    return one.terrain == other.terrain and all(
        getattr(one, name) is getattr(other, name)
        for name in ("zones", "elements", "windows", "air_paths", "ventilation")
    )


def _march(
    assembly: Assembly, reduction: fast.Reduction | None, options: Options, hours: int
) -> Tally:
    zones, steps = len(assembly.air.capacity), options.steps_per_hour
    elements, paths = len(assembly.chains.first), len(assembly.air.path_source)
    tally = Tally(
        heating=np.zeros((zones, HOURS)),
        cooling=np.zeros((zones, HOURS)),
        air=np.zeros((zones, HOURS)),
        infiltration=np.zeros((zones, HOURS)),
        element=np.zeros((elements, 3)),
        leakage=np.zeros((zones, 3)),
        ventilation=np.zeros((zones, 3)),
        path=np.zeros((paths, 3)),
        solar=np.zeros(3),
        internal=np.zeros(3),
        storage=np.zeros(3),
        load=np.zeros(3),
        unsettled=np.zeros(1),
    )
    if reduction is not None:
        fast.march(assembly, reduction, options, tally, hours=hours)
        return tally
    temperature = np.full(len(assembly.chains.capacity), START_C)
    zone_state = np.full(2 * zones, START_C)
    warmup = options.warmup_days * 24 * steps
    for first, count, is_counted in (
        (-warmup % (HOURS * steps), warmup, False),
        (0, hours * steps, True),
    ):
        _kernels.run(
            assembly.chains,
            assembly.air,
            assembly.full_forcing,
            tally,
            temperature,
            zone_state,
            assembly.rho_cp_j_per_m3k,
            assembly.thinness,
            steps,
            first,
            count,
            is_counted,
            options.interior_convection == "natural",
            options.exterior_convection == "wind",
        )
    return tally


class _ElementFlows(Mapping[str, Flow]):
    """Flows by element, worked out when first asked for: most runs only ask by component."""

    def __init__(self, assembly: Assembly, tally: Tally, reduction: fast.Reduction | None) -> None:
        self._asked = assembly, tally, reduction

    @cached_property
    def _flows(self) -> dict[str, Flow]:
        assembly, tally, reduction = self._asked
        flows = tally.element
        if reduction is not None:
            plant_w = tally.heating.sum(axis=0) - tally.cooling.sum(axis=0)
            flows = fast.own_flows(reduction, flows, plant_w)
        return {
            name: _flow(flows[e])
            for e, name in enumerate(assembly.element_names)
            if assembly.columns["counted"][e]
        }

    def __getitem__(self, name: str) -> Flow:
        return self._flows[name]

    def __iter__(self) -> Iterator[str]:
        return iter(self._flows)

    def __len__(self) -> int:
        return len(self._flows)


def _result(
    network: Network, assembly: Assembly, tally: Tally, reduction: fast.Reduction | None
) -> HourlyResult:
    zones = {
        zone.name: ZoneResult(
            name=zone.name,
            heating_w=tally.heating[i],
            cooling_w=tally.cooling[i],
            air_c=tally.air[i],
            infiltration_m3_per_s=tally.infiltration[i],
        )
        for i, zone in enumerate(network.zones)
    }
    components: dict[str, Flow] = {}

    def add(component: str, flow: Flow) -> None:
        components[component] = components.get(component, NO_FLOW) + flow

    for e in range(len(assembly.element_names)):
        if assembly.columns["counted"][e]:
            add(assembly.components[e], _flow(tally.element[e]))
    add("infiltration", _flow(tally.leakage.sum(axis=0)))
    add("ventilation", _flow(tally.ventilation.sum(axis=0)))
    for p, path in enumerate(network.air_paths):
        if network.zone(path.target_zone).is_conditioned:
            add(path.component, _flow(tally.path[p]))
    return HourlyResult(
        zones=zones,
        elements=_ElementFlows(assembly, tally, reduction),
        components=components,
        solar=_flow(tally.solar),
        internal=_flow(tally.internal),
        storage=_flow(tally.storage),
        load=_flow(tally.load),
    )


def _flow(watt_hours: FloatArray) -> Flow:
    heating, cooling, idle = (float(value) / 1000.0 for value in watt_hours)
    return Flow(while_heating_kwh=heating, while_cooling_kwh=cooling, while_idle_kwh=idle)


def _shares(amounts: dict[str, float]) -> dict[str, float]:
    total = sum(max(amount, 0.0) for amount in amounts.values())
    if total <= 0.0:
        return {}
    return {key: max(amount, 0.0) / total for key, amount in amounts.items()}
