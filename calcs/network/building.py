"""Zones, the whole building and the options of its solution."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np

from calcs.errors import InputError
from calcs.network.air import (
    AirChange,
    AirPath,
    DistributionLoss,
    EnvelopeLeakage,
    Ventilation,
)
from calcs.network.schedules import Schedule, put, schedule
from calcs.network.surfaces import OUTSIDES, OpaqueElement, Window
from calcs.validation import require_positive, require_within

Infiltration = AirChange | EnvelopeLeakage


@dataclass(frozen=True, eq=False, kw_only=True)
class Zone:
    """A volume of air at one temperature, with one radiant star node.

    Parameters
    ----------
    name : str
        Unique; not one of outdoor, ground, adiabatic.
    volume_m3 : float
        Air volume. [m³]
    is_conditioned : bool
        Whether its loads and losses are counted. An unconditioned zone floats and must have no
        set-points; a conditioned zone with neither set-point floats too.
    heating_setpoint_c, cooling_setpoint_c : float, ndarray or None
        Air temperatures below and above which the ideal plant acts; None for no such plant.
        Heating must not exceed cooling in any hour. Use a very low (high) value, such as
        -100 (200), in hours when the plant is off. [°C]
    heating_capacity_w, cooling_capacity_w : float
        Most that the plant can give to, or take from, the zone. [W]
    convective_gain_w, radiant_gain_w : float or ndarray
        Internal gains to the air and to the surfaces. May be negative. [W]
    infiltration : AirChange, EnvelopeLeakage or None
        Outdoor air entering by itself.
    furnishing_j_per_m2k : float
        Heat capacity of light contents joined to the air node, per m² of ``floor_area_m2``.
        [J/m²K]
    floor_area_m2 : float
        Floor area that contents are counted by. [m²]
    """

    name: str
    volume_m3: float
    is_conditioned: bool = True
    heating_setpoint_c: Schedule | None = None
    cooling_setpoint_c: Schedule | None = None
    heating_capacity_w: float = math.inf
    cooling_capacity_w: float = math.inf
    convective_gain_w: Schedule = 0.0
    radiant_gain_w: Schedule = 0.0
    infiltration: Infiltration | None = None
    furnishing_j_per_m2k: float = 0.0
    floor_area_m2: float = 0.0

    def __post_init__(self) -> None:
        if not self.name or self.name in OUTSIDES:
            raise InputError(f"zone name {self.name!r} is empty or reserved")
        require_positive(self.volume_m3, f"volume of zone {self.name}", "m³")
        _require_capacity(self.heating_capacity_w, "heating capacity")
        _require_capacity(self.cooling_capacity_w, "cooling capacity")
        require_within(self.furnishing_j_per_m2k, 0.0, 1e6, "furnishing", "J/m²K")
        require_within(self.floor_area_m2, 0.0, 1e5, "floor area", "m²")
        put(
            self,
            convective_gain_w=schedule("convective gain", self.convective_gain_w),
            radiant_gain_w=schedule("radiant gain", self.radiant_gain_w),
        )
        self._check_setpoints()

    def _check_setpoints(self) -> None:
        heat, cool = self.heating_setpoint_c, self.cooling_setpoint_c
        if not self.is_conditioned and (heat is not None or cool is not None):
            raise InputError(f"zone {self.name} is unconditioned but has a set-point")
        if heat is not None:
            heat = schedule("heating set-point", heat)
        if cool is not None:
            cool = schedule("cooling set-point", cool)
        if heat is not None and cool is not None:
            size = max(heat.size, cool.size)
            if (np.repeat(heat, size // heat.size) > np.repeat(cool, size // cool.size)).any():
                raise InputError(f"zone {self.name}: heating set-point is above cooling set-point")
        put(self, heating_setpoint_c=heat, cooling_setpoint_c=cool)


@dataclass(frozen=True, kw_only=True)
class Options:
    """How the balance is solved. One set serves every building; no case has its own.

    Parameters
    ----------
    steps_per_hour : {1, 4}
        Four for set-back studies and peaks.
    warmup_days : int
        Last days of the year run before the first of January. 20 suit a house; give 365 with
        soil layers.
    sky_model : {"martin_berdahl", "clark_allen"}
        Clear-sky emittance and cloud correction.
    transposition : {"perez", "isotropic"}
        Sky diffuse on tilted planes.
    ground_reflectance : float
        0 to 1. [-]
    exterior_convection : {"wind", "constant"}
        Wind-driven and natural, or 11.9 walls, 14.4 roofs, 8.0 glass W/m²K.
    interior_convection : {"natural", "constant"}
        From the last step's temperature difference, or 2.5 walls, 5.0 upward, 0.7 downward W/m²K.
    engine : {"fast", "full"}
        The same balance over reduced chains, or over every node: the reference of the fast one.
    """

    steps_per_hour: int = 1
    warmup_days: int = 20
    sky_model: str = "martin_berdahl"
    transposition: str = "perez"
    ground_reflectance: float = 0.2
    exterior_convection: str = "wind"
    interior_convection: str = "natural"
    engine: str = "fast"

    def __post_init__(self) -> None:
        choices = {
            "steps_per_hour": (1, 4),
            "sky_model": ("martin_berdahl", "clark_allen"),
            "transposition": ("perez", "isotropic"),
            "exterior_convection": ("wind", "constant"),
            "interior_convection": ("natural", "constant"),
            "engine": ("fast", "full"),
        }
        for label, allowed in choices.items():
            if getattr(self, label) not in allowed:
                raise InputError(f"option {label} must be one of {allowed}")
        require_within(self.warmup_days, 0, 3650, "warm-up days", "days")
        require_within(self.ground_reflectance, 0.0, 1.0, "ground reflectance", "(a fraction)")


@dataclass(frozen=True, eq=False, kw_only=True)
class Network:
    """A whole building.

    Parameters
    ----------
    zones, elements, windows, air_paths, ventilation, distribution_losses : tuples
        The parts; every zone named by a part must be there. Sequences of any kind are accepted.
    terrain : {"open", "suburban", "urban"}
        For the wind at the surfaces. (Shelter of the infiltration is in its own coefficients.)

    Raises
    ------
    InputError
        A zone is missing or without surfaces, a name is used twice, or a part refers to a zone
        that does not exist.
    """

    zones: tuple[Zone, ...]
    elements: tuple[OpaqueElement, ...]
    windows: tuple[Window, ...] = field(default=())
    air_paths: tuple[AirPath, ...] = field(default=())
    ventilation: tuple[Ventilation, ...] = field(default=())
    distribution_losses: tuple[DistributionLoss, ...] = field(default=())
    terrain: str = "suburban"

    def __post_init__(self) -> None:
        for label in (
            "zones",
            "elements",
            "windows",
            "air_paths",
            "ventilation",
            "distribution_losses",
        ):
            put(self, **{label: tuple(getattr(self, label))})
        if self.terrain not in ("open", "suburban", "urban"):
            raise InputError(f"terrain must be open, suburban or urban, got {self.terrain!r}")
        if not self.zones:
            raise InputError("a network needs at least one zone")
        _require_unique("zone", (zone.name for zone in self.zones))
        names = [element.name for element in self.elements]
        names += [window.name for window in self.windows]
        _require_unique("element", names)
        self._check_references()

    def _check_references(self) -> None:
        known = {zone.name for zone in self.zones}
        named: list[tuple[str, str]] = [(e.name, e.zone_in) for e in self.elements]
        named += [(e.name, e.zone_out) for e in self.elements if e.zone_out not in OUTSIDES]
        named += [(w.name, w.zone) for w in self.windows]
        with_surface = {zone for _, zone in named}
        for path in self.air_paths:
            named += [("air path", path.source_zone), ("air path", path.target_zone)]
        named += [("ventilation", fan.zone) for fan in self.ventilation]
        for loss in self.distribution_losses:
            named += [("distribution loss", loss.zone), ("distribution loss", loss.to_zone)]
        for part, zone in named:
            if zone not in known:
                raise InputError(f"{part} refers to zone {zone!r}, which is not in the network")
        for zone in sorted(known - with_surface):
            raise InputError(f"zone {zone} has no element or window")

    def zone(self, name: str) -> Zone:
        """The zone of that name; ``InputError`` when there is none."""
        for zone in self.zones:
            if zone.name == name:
                return zone
        raise InputError(f"there is no zone {name!r}")


def _require_unique(kind: str, names: Iterable[str]) -> None:
    seen: set[str] = set()
    for name in names:
        if name in seen:
            raise InputError(f"{kind} name {name!r} is used twice")
        seen.add(name)


def _require_capacity(value: float, what: str) -> None:
    """A capacity may be infinite: an ideal plant without limit."""
    if math.isnan(value) or value < 0.0:
        raise InputError(f"{what} must not be below 0 W, got {value}")
