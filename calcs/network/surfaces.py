"""Layers, opaque elements, windows and their shades."""

from __future__ import annotations

from dataclasses import dataclass

from calcs.errors import InputError
from calcs.glazing import Glazing
from calcs.network.schedules import Schedule, put, schedule
from calcs.validation import require_positive, require_within

OUTDOOR = "outdoor"
GROUND = "ground"
ADIABATIC = "adiabatic"
COEFFICIENTS = ("film_in_w_per_m2k", "film_out_w_per_m2k")
OUTSIDES = frozenset({OUTDOOR, GROUND, ADIABATIC})


@dataclass(frozen=True, kw_only=True)
class Layer:
    """One layer of an assembly: a solid with mass, or a resistance alone.

    Make it with ``Layer.solid`` or ``Layer.resistance``.

    Parameters
    ----------
    resistance_m2k_per_w : float
        Surface-to-surface resistance. [m²K/W]
    heat_capacity_j_per_m2k : float
        Density times specific heat times thickness. [J/m²K]
    """

    resistance_m2k_per_w: float
    heat_capacity_j_per_m2k: float = 0.0

    def __post_init__(self) -> None:
        require_positive(self.resistance_m2k_per_w, "layer resistance", "m²K/W")
        require_within(self.heat_capacity_j_per_m2k, 0.0, 1e8, "layer heat capacity", "J/m²K")

    @classmethod
    def solid(
        cls,
        thickness_m: float,
        conductivity_w_per_mk: float,
        density_kg_per_m3: float,
        specific_heat_j_per_kgk: float,
    ) -> Layer:
        """A layer from thickness [m], conductivity [W/mK], density [kg/m³], heat [J/kgK]."""
        require_positive(thickness_m, "layer thickness", "m")
        require_positive(conductivity_w_per_mk, "conductivity", "W/mK")
        require_within(density_kg_per_m3, 0.0, 20000.0, "density", "kg/m³")
        require_within(specific_heat_j_per_kgk, 0.0, 10000.0, "specific heat", "J/kgK")
        return cls(
            resistance_m2k_per_w=thickness_m / conductivity_w_per_mk,
            heat_capacity_j_per_m2k=thickness_m * density_kg_per_m3 * specific_heat_j_per_kgk,
        )

    @classmethod
    def resistance(cls, resistance_m2k_per_w: float) -> Layer:
        """A massless layer of the given resistance [m²K/W]: air space, carpet, membrane."""
        return cls(resistance_m2k_per_w=resistance_m2k_per_w)


@dataclass(frozen=True, eq=False, kw_only=True)
class OpaqueElement:
    """One heat-flow path through a wall, ceiling, floor, roof, door or inside partition.

    Parallel paths (studs and cavity, insulated part and void) are separate elements, each with
    its share of the area, under one ``component`` key.

    Parameters
    ----------
    name : str
        Unique among elements and windows.
    component : str
        Key under which heat flows are summed for reports ("walls", "ceiling", "floor", ...).
    area_m2 : float
        Area of this path. [m²]
    layers : tuple of Layer
        From the face in ``zone_in`` to the other face. No surface films: the model makes them.
    zone_in : str
        Zone at the inside face. For an element between a conditioned and an unconditioned zone
        either may be given; flows are counted out of the conditioned one.
    zone_out : str
        Zone at the other face, or "outdoor", "ground", "adiabatic". The same zone on both sides
        is an inside wall with two faces.
    tilt_deg, azimuth_deg : float
        Of the outside face; see the module's first paragraph. [degrees]
    solar_absorptance_in, solar_absorptance_out : float
        0 to 1. The outside one matters outdoors, and in ``zone_out`` when that is a zone. [-]
    emittance_in, emittance_out : float
        Longwave, 0.01 to 1. [-]
    solar_factor : float
        Share of the sun left by trees, porches and neighbors, outdoors. [-]
    is_sheltered : bool
        Outdoors without sun, wind or sky, such as the bottom of a floor over open air.
    is_smooth : bool
        Smooth outside face (glass, paint on metal) instead of rough.
    height_m : float
        Middle of the element above the ground, for the local wind. [m]
    film_in_w_per_m2k, film_out_w_per_m2k : float or None
        Combined coefficient, convection and radiation in one, acting on air temperature, in
        place of the computed ones. None: computed. [W/m²K]
    ground_temperature_c : float or ndarray, shape (8760,)
        Temperature behind the last layer; needed for "ground" only. The soil is one or more of
        the layers; ``calcs.foundations`` makes both. [°C]
    """

    name: str
    component: str
    area_m2: float
    layers: tuple[Layer, ...]
    zone_in: str
    zone_out: str = OUTDOOR
    tilt_deg: float = 90.0
    azimuth_deg: float = 180.0
    solar_absorptance_in: float = 0.6
    solar_absorptance_out: float = 0.6
    emittance_in: float = 0.9
    emittance_out: float = 0.9
    solar_factor: float = 1.0
    is_sheltered: bool = False
    is_smooth: bool = False
    height_m: float = 1.5
    film_in_w_per_m2k: float | None = None
    film_out_w_per_m2k: float | None = None
    ground_temperature_c: Schedule | None = None

    def __post_init__(self) -> None:
        where = f"of element {self.name}"
        require_positive(self.area_m2, f"area {where}", "m²")
        require_within(self.tilt_deg, 0.0, 180.0, f"tilt {where}", "degrees")
        require_within(self.azimuth_deg, 0.0, 360.0, f"azimuth {where}", "degrees")
        require_within(self.height_m, 0.0, 200.0, f"height {where}", "m")
        for label in ("solar_absorptance_in", "solar_absorptance_out", "solar_factor"):
            require_within(getattr(self, label), 0.0, 1.0, f"{label} {where}", "(a fraction)")
        for label in ("emittance_in", "emittance_out"):
            require_within(getattr(self, label), 0.01, 1.0, f"{label} {where}", "(a fraction)")
        for label in COEFFICIENTS:
            if getattr(self, label) is not None:
                require_within(getattr(self, label), 0.01, 1000.0, f"{label} {where}", "W/m²K")
        if not self.layers:
            raise InputError(f"element {self.name} has no layers")
        if self.zone_out == GROUND:
            if self.ground_temperature_c is None:
                raise InputError(f"element {self.name} meets the ground but has no temperature")
            values = schedule("ground temperature", self.ground_temperature_c)
            put(self, ground_temperature_c=values)
        elif self.ground_temperature_c is not None:
            raise InputError(f"element {self.name} has a ground temperature but no ground")
        put(self, layers=tuple(self.layers))

    @property
    def resistance_m2k_per_w(self) -> float:
        """Sum of the layers, without surface films. [m²K/W]"""
        return sum(layer.resistance_m2k_per_w for layer in self.layers)


@dataclass(frozen=True, kw_only=True)
class Overhang:
    """A horizontal shade above a window.

    Parameters
    ----------
    depth_m : float
        How far it stands out from the glass. [m]
    height_above_m : float
        From the top of the glass up to the overhang. [m]
    left_m, right_m : float
        How far it reaches past the sides of the glass, seen from outside. [m]
    """

    depth_m: float
    height_above_m: float = 0.0
    left_m: float = 0.0
    right_m: float = 0.0

    def __post_init__(self) -> None:
        require_within(self.depth_m, 0.0, 30.0, "overhang depth", "m")
        for label in ("height_above_m", "left_m", "right_m"):
            require_within(getattr(self, label), 0.0, 100.0, f"overhang {label}", "m")


@dataclass(frozen=True, kw_only=True)
class SideFin:
    """A vertical shade at both sides of a window.

    Parameters
    ----------
    depth_m : float
        How far it stands out. [m]
    gap_m : float
        From the edge of the glass sideways to the fin. [m]
    above_m, below_m : float
        How far it reaches past the top and the bottom of the glass. [m]
    """

    depth_m: float
    gap_m: float = 0.0
    above_m: float = 0.0
    below_m: float = 0.0

    def __post_init__(self) -> None:
        for label in ("depth_m", "gap_m", "above_m", "below_m"):
            require_within(getattr(self, label), 0.0, 100.0, f"fin {label}", "m")


@dataclass(frozen=True, eq=False, kw_only=True)
class Window:
    """Glazing between a zone and outdoors.

    Parameters
    ----------
    name, component, zone : str
        As for an element; the zone is on the inside.
    area_m2 : float
        Area the glazing's values refer to: of the glass when the glazing is given by panes, of
        the whole unit when it is made from U and SHGC. [m²]
    glazing : Glazing
        Made by ``glazing.from_panes`` or ``glazing.from_ratings``.
    azimuth_deg, tilt_deg : float
        As for an element. [degrees]
    width_m, height_m : float
        Size of one unit, for the shades only. [m]
    overhang, fins : Overhang, SideFin or None
        Shades of beam and of sky.
    solar_factor : float or ndarray
        Share of the sun let in by blinds, screens and trees, 0 to 1. [-]
    middle_height_m : float
        Middle of the window above the ground, for the local wind. [m]
    film_in_w_per_m2k, film_out_w_per_m2k : float or None
        As for an element.
    """

    name: str
    zone: str
    area_m2: float
    glazing: Glazing
    azimuth_deg: float
    component: str = "windows"
    tilt_deg: float = 90.0
    width_m: float = 1.0
    height_m: float = 1.5
    overhang: Overhang | None = None
    fins: SideFin | None = None
    solar_factor: Schedule = 1.0
    middle_height_m: float = 1.5
    film_in_w_per_m2k: float | None = None
    film_out_w_per_m2k: float | None = None

    def __post_init__(self) -> None:
        where = f"of window {self.name}"
        require_positive(self.area_m2, f"area {where}", "m²")
        require_within(self.tilt_deg, 0.0, 180.0, f"tilt {where}", "degrees")
        require_within(self.azimuth_deg, 0.0, 360.0, f"azimuth {where}", "degrees")
        require_positive(self.width_m, f"width {where}", "m")
        require_positive(self.height_m, f"height {where}", "m")
        require_within(self.middle_height_m, 0.0, 200.0, f"middle height {where}", "m")
        for label in COEFFICIENTS:
            if getattr(self, label) is not None:
                require_within(getattr(self, label), 0.01, 1000.0, f"{label} {where}", "W/m²K")
        factor = schedule(f"solar factor {where}", self.solar_factor, low=0.0)
        if factor.max() > 1.0:
            raise InputError(f"solar factor {where} must be at most 1, got {factor.max():g}")
        put(self, solar_factor=factor)
