"""The whole house, where its values came from, and the prices of its energy."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from typing import Any

from calcs.errors import InputError
from calcs.inputs.envelope import AirLeakage, Attic, Door, Foundation, Garage, Wall, Window
from calcs.inputs.repairs import Repair
from calcs.inputs.systems import (
    FUELS,
    Appliances,
    CoolingSystem,
    Ducts,
    Fan,
    HeatingSystem,
    HotWaterUse,
    LampGroup,
    Thermostat,
    WaterHeater,
)
from calcs.rates import Rate, flat
from calcs.records import Checked, choice, from_plain, quantity, to_plain

ORIGINS = ("measured", "nameplate", "recorded", "reported", "default", "fitted")


@dataclass(frozen=True, kw_only=True)
class Origin(Checked):
    """Where a value came from: how it was got, and the instrument, table or person behind it."""

    how: str = choice(ORIGINS)
    source: str = ""


@dataclass(frozen=True, kw_only=True)
class Site(Checked):
    """Place of the house and how open to the wind it stands."""

    latitude_deg: float = quantity("°", -90.0, 90.0)
    longitude_deg: float = quantity("°", -180.0, 180.0)
    elevation_m: float = quantity("m", -100.0, 5000.0, default=0.0)
    terrain: str = choice(("open", "suburban", "urban"), default="suburban")
    shelter_class: int = quantity("class", 1, 5, default=4)


@dataclass(frozen=True, kw_only=True)
class Geometry(Checked):
    """Size of the heated house, its people and its age."""

    floor_area_m2: float = quantity("m²", 7.0, 2500.0)
    ceiling_height_m: float = quantity("m", 1.2, 9.0, default=2.44)
    stories: float = quantity("stories", 0.5, 6.0, default=1.0)
    stack_height_m: float | None = quantity("m", 1.8, 22.0, default=None)
    footprint_length_m: float = quantity("m", 2.0, 80.0)
    footprint_width_m: float = quantity("m", 2.0, 80.0)
    front_azimuth_deg: float = quantity("°", 0.0, 360.0, default=180.0)
    bedrooms: int = quantity("bedrooms", 0, 20, default=3)
    bathrooms: float = quantity("bathrooms", 0.0, 20.0, default=1.0)
    occupants: float = quantity("people", 0.0, 40.0, default=2.5)
    year_built: int | None = quantity("year", 1600, 2100, default=None)
    dwelling_kind: str = choice(("detached", "attached", "manufactured"), default="detached")
    thermal_mass: str = choice(("light", "medium", "heavy"), default="light")
    full_baths_without_fan: int = quantity("bathrooms", 0, 10, default=0)

    @property
    def volume_m3(self) -> float:
        """Heated volume. [m³]"""
        return self.floor_area_m2 * self.ceiling_height_m

    @property
    def height_m(self) -> float:
        """Lowest to highest point of the heated house above grade. [m]"""
        if self.stack_height_m is not None:
            return self.stack_height_m
        return self.ceiling_height_m * self.stories + 0.3 * max(self.stories - 1.0, 0.0)


@dataclass(frozen=True, kw_only=True)
class House(Checked):
    """One dwelling, complete enough for the hourly model.

    `conductance_factor` is the heat that walls, ceilings and floors let through over what their
    record says: 1 unless bills say otherwise.
    """

    name: str = ""
    site: Site
    geometry: Geometry
    attics: tuple[Attic, ...] = ()
    walls: tuple[Wall, ...] = ()
    windows: tuple[Window, ...] = ()
    doors: tuple[Door, ...] = ()
    foundations: tuple[Foundation, ...] = ()
    garage: Garage | None = None
    air_leakage: AirLeakage
    fans: tuple[Fan, ...] = ()
    heating: tuple[HeatingSystem, ...] = ()
    cooling: tuple[CoolingSystem, ...] = ()
    ducts: Ducts | None = None
    thermostat: Thermostat = field(default_factory=Thermostat)
    water_heaters: tuple[WaterHeater, ...] = ()
    hot_water_use: HotWaterUse = field(default_factory=HotWaterUse)
    lamps: tuple[LampGroup, ...] = ()
    appliances: Appliances = field(default_factory=Appliances)
    conductance_factor: float = quantity("-", 0.3, 3.0, default=1.0)
    repairs: tuple[Repair, ...] = ()
    origins: Mapping[str, Origin] = field(default_factory=dict, hash=False)

    def __post_init__(self) -> None:
        super().__post_init__()
        _require_unique_ids(self)
        _require_whole("heating", self.heating)
        _require_whole("cooling", self.cooling)
        _require_whole("water_heaters", self.water_heaters)
        total = sum(item.share for item in self.air_leakage.shares)
        if self.air_leakage.shares and abs(total - 1.0) > 0.005:
            raise InputError(f"AirLeakage.shares add to {total:.3f}; they must add to 1.")
        if self.ducts is None and any(item.distribution == "ducts" for item in self.heating):
            raise InputError("A system heats through ducts but House.ducts is missing.")

    def origin(self, path: str) -> Origin:
        """Where the value at `path` came from; a value nobody entered is a default."""
        parts = path.split(".")
        for length in range(len(parts), 0, -1):
            found = self.origins.get(".".join(parts[:length]))
            if found is not None:
                return found
        return Origin(how="default")


@dataclass(frozen=True, kw_only=True)
class EnergyPrices:
    """Prices and carbon by fuel, per joule of site energy; the numbers belong to a date.

    A fuel billed by the month has a rate in `rates`, which counts before its price in `usd_per_j`.
    """

    usd_per_j: Mapping[str, float]
    co2_kg_per_j: Mapping[str, float]
    as_of: str = ""
    rates: Mapping[str, Rate] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for fuel in (*self.usd_per_j, *self.co2_kg_per_j, *self.rates):
            if fuel not in FUELS:
                raise InputError(f"Unknown fuel {fuel!r}; use one of: {', '.join(FUELS)}.")
        if min((*self.usd_per_j.values(), *self.co2_kg_per_j.values()), default=0.0) < 0.0:
            raise InputError("A price or carbon factor is negative.")

    def rate(self, fuel: str) -> Rate:
        """How a fuel is charged: its rate, else its one price all year.

        Raises
        ------
        InputError
            The fuel has neither.
        """
        found = self.rates.get(fuel)
        if found is not None:
            return found
        if fuel not in self.usd_per_j:
            raise InputError(f"No price for {fuel}.")
        return flat(fuel, self.usd_per_j[fuel], source=self.as_of)

    def co2_kg(self, energy_j: Mapping[str, float]) -> float:
        """Carbon dioxide of yearly energy by fuel."""
        return _weigh(energy_j, self.co2_kg_per_j, "carbon factor")


def _weigh(energy_j: Mapping[str, float], factors: Mapping[str, float], what: str) -> float:
    missing = [fuel for fuel, amount in energy_j.items() if amount and fuel not in factors]
    if missing:
        raise InputError(f"No {what} for {', '.join(missing)}.")
    return sum(amount * factors[fuel] for fuel, amount in energy_j.items() if amount)


def _require_unique_ids(house: House) -> None:
    for group in (
        "attics",
        "walls",
        "windows",
        "doors",
        "foundations",
        "fans",
        "heating",
        "cooling",
        "water_heaters",
        "lamps",
        "repairs",
    ):
        ids = [item.id for item in getattr(house, group)]
        if len(ids) != len(set(ids)):
            raise InputError(f"House.{group} has two items with one id: {', '.join(ids)}.")


def _require_whole(group: str, items: tuple[Any, ...]) -> None:
    total = sum(item.load_share for item in items)
    if items and abs(total - 1.0) > 0.005:
        raise InputError(f"House.{group} load shares add to {total:.3f}; they must add to 1.")


def swap(items: tuple[Any, ...], item_id: str, **changes: Any) -> tuple[Any, ...]:
    """A copy of `items` with the fields of one item changed.

    Raises
    ------
    InputError
        No item has that id.
    """
    if all(item.id != item_id for item in items):
        raise InputError(f"No item has the id {item_id!r}.")
    return tuple(replace(item, **changes) if item.id == item_id else item for item in items)


def house_to_dict(house: House) -> dict[str, Any]:
    """The house as plain JSON values."""
    plain: dict[str, Any] = to_plain(house)
    return plain


def house_from_dict(data: Mapping[str, Any]) -> House:
    """The house from what `house_to_dict` made; raises `InputError` on anything unknown."""
    return from_plain(House, data)
