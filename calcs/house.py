"""From a house to the thermal network that the hourly simulation runs.

Zones: the heated house (a heated basement is part of it), the attic, the crawlspace or unheated
basement, the garage, and the belly of a manufactured home. Element components are the parts a
section drawing labels, so that the heat balance comes back by part.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from math import cos, radians

from calcs import assemblies
from calcs.foundations import (
    AROUND_DEG,
    bare_slab_elements,
    belly_elements,
    foundation_elements,
    rim_elements,
)
from calcs.glazing import from_ratings
from calcs.inputs import House
from calcs.inputs import Window as WindowRecord
from calcs.leak_places import leak_flows, leakage_of
from calcs.network import (
    AirChange,
    AirPath,
    DistributionLoss,
    FloatArray,
    Layer,
    Network,
    OpaqueElement,
    Overhang,
    Ventilation,
    Window,
    Zone,
)
from calcs.setpoints import cooling_setpoints, heating_setpoints
from calcs.weather import WeatherYear

HOUSE, ATTIC, CRAWLSPACE, BASEMENT, GARAGE, BELLY = (
    "house", "attic", "crawlspace", "basement", "garage", "belly",
)  # fmt: skip

# 8 lb/ft² of light contents (39 kg/m², 1.4 kJ/(kg·K)); memory.
FURNISHING_J_PER_M2K = 55_000.0
# Inside walls per floor area, both faces counted once; common practice, no source.
PARTITION_AREA_SHARE = {"light": 0.6, "medium": 0.8, "heavy": 0.8}
GAIN_RADIANT_SHARE = 0.5

# Air changes of unheated spaces by themselves; common practice, no source.
ATTIC_ACH_AT_1_300 = 3.0
UNVENTED_ATTIC_ACH = 0.5
VENTED_CRAWLSPACE_ACH = 2.0
UNVENTED_CRAWLSPACE_ACH = 0.3
GARAGE_ACH = 1.5
GARAGE_HEIGHT_M = 2.4
BELLY_ACH = 1.0


@dataclass(frozen=True, eq=False, kw_only=True)
class Gains:
    """Heat given off inside, hour means. [W] `latent_w` is moisture, for the cooling coil only."""

    sensible_w: FloatArray
    latent_w: FloatArray
    to_spaces_w: dict[str, float] = field(default_factory=dict)


@dataclass(frozen=True, eq=False, kw_only=True)
class DistributionFactors:
    """Loss per unit of delivered heat into one space; see `network.DistributionLoss`."""

    space: str
    heating: FloatArray
    cooling: FloatArray


def zone_of(house: House, space: str) -> str | None:
    """Zone of the network that a recorded space belongs to; None is outdoors."""
    if space == "conditioned":
        return HOUSE
    if space == "attic":
        return ATTIC if _loft_area(house) > 0.0 else HOUSE
    if space == "garage":
        return GARAGE if house.garage is not None else None
    if space == "belly":
        return BELLY if any(item.kind == "belly" for item in house.foundations) else None
    if space == "basement":
        below = [item for item in house.foundations if item.kind == "basement"]
        if not below:
            return None
        return HOUSE if all(item.is_conditioned for item in below) else BASEMENT
    if space == "crawlspace":
        is_there = any(item.kind.endswith("crawlspace") for item in house.foundations)
        return CRAWLSPACE if is_there else None
    return None


def _loft_area(house: House) -> float:
    return sum(a.area_m2 for a in house.attics if a.kind in ("vented", "unvented", "knee_wall"))


def network_of(
    house: House,
    weather: WeatherYear,
    *,
    gains: Gains,
    distribution: Sequence[DistributionFactors] = (),
) -> Network:
    """The thermal network of a house.

    Raises
    ------
    InputError
        The record has a part the network refuses.
    """
    elements: list[OpaqueElement] = []
    elements += _walls(house) + _doors(house) + _ceilings(house) + _inside(house)
    windows = [_window(house, item) for item in house.windows if item.area_m2 > 0.0]
    for item in house.foundations:
        zone = _below_zone(house, item.kind, item.is_conditioned)
        if item.kind == "belly":
            elements += belly_elements(item, house_zone=HOUSE, belly_zone=BELLY)
        else:
            elements += foundation_elements(item, weather, house_zone=HOUSE, below_zone=zone)
        elements += rim_elements(item, house_zone=HOUSE, below_zone=zone)
    if house.garage is not None:
        elements += _garage(house, weather)
    zones = _zones(house, weather, gains)
    known = {zone.name for zone in zones}
    return Network(
        zones=zones,
        elements=tuple(_conducting(house, item) for item in elements),
        windows=tuple(windows),
        air_paths=tuple(_air_paths(house, known)),
        ventilation=_ventilation(house),
        distribution_losses=_losses(house, known, distribution),
        terrain=house.site.terrain,
    )


def _conducting(house: House, element: OpaqueElement) -> OpaqueElement:
    """An element with the conductance that bills found; inside partitions as they are."""
    if house.conductance_factor == 1.0 or element.zone_in == element.zone_out:
        return element
    layers = tuple(
        replace(layer, resistance_m2k_per_w=layer.resistance_m2k_per_w / house.conductance_factor)
        for layer in element.layers
    )
    return replace(element, layers=layers)


def with_distribution(
    network: Network, house: House, distribution: Sequence[DistributionFactors]
) -> Network:
    """The network of a house with other losses of its ducts and pipes."""
    known = {zone.name for zone in network.zones}
    return replace(network, distribution_losses=_losses(house, known, distribution))


def _losses(
    house: House, known: set[str], distribution: Sequence[DistributionFactors]
) -> tuple[DistributionLoss, ...]:
    return tuple(
        DistributionLoss(
            zone=HOUSE,
            to_zone=zone,
            heating_factor=item.heating,
            cooling_factor=item.cooling,
        )
        for item in distribution
        if (zone := zone_of(house, item.space)) is not None and zone != HOUSE and zone in known
    )


def _below_zone(house: House, kind: str, is_conditioned: bool) -> str | None:
    if kind == "basement":
        return HOUSE if is_conditioned else BASEMENT
    if kind.endswith("crawlspace"):
        return CRAWLSPACE
    if kind == "garage_below":
        return GARAGE if house.garage is not None else None
    return None


def _walls(house: House) -> list[OpaqueElement]:
    elements = []
    for wall in house.walls:
        if wall.area_m2 <= 0.0 or wall.adjacent_to == "neighbor":
            continue
        layers = assemblies.wall_layers(wall)
        zone_out = None
        if wall.adjacent_to != "outside":
            zone_out = zone_of(house, wall.adjacent_to)
        component = "garage_wall" if wall.adjacent_to == "garage" else "walls"
        if zone_out is not None and zone_out != HOUSE:
            elements.append(
                OpaqueElement(
                    name=f"wall.{wall.id}", component=component, area_m2=wall.area_m2,
                    layers=layers, zone_in=HOUSE, zone_out=zone_out,
                )
            )  # fmt: skip
            continue
        azimuths = (0.0, 90.0, 180.0, 270.0) if wall.azimuth_deg is None else (wall.azimuth_deg,)
        elements += [
            OpaqueElement(
                name=f"wall.{wall.id}.{azimuth:g}", component=component,
                area_m2=wall.area_m2 / len(azimuths), layers=layers, zone_in=HOUSE,
                azimuth_deg=azimuth, solar_absorptance_out=wall.solar_absorptance,
                solar_factor=0.8, height_m=house.geometry.height_m / 2.0,
                is_sheltered=wall.adjacent_to != "outside",
            )
            for azimuth in azimuths
        ]  # fmt: skip
    return elements


def _doors(house: House) -> list[OpaqueElement]:
    elements = []
    for door in house.doors:
        zone_out = None if door.adjacent_to == "outside" else zone_of(house, door.adjacent_to)
        azimuth = house.geometry.front_azimuth_deg
        if door.azimuth_deg is not None:
            azimuth = door.azimuth_deg
        elements.append(
            OpaqueElement(
                name=f"door.{door.id}", component="windows_doors", area_m2=door.area_m2,
                layers=assemblies.door_layers(door), zone_in=HOUSE,
                zone_out=zone_out if zone_out not in (None, HOUSE) else "outdoor",
                azimuth_deg=azimuth, solar_factor=0.7,
            )
        )  # fmt: skip
    return elements


def _window(house: House, item: WindowRecord) -> Window:
    overhang = None
    if item.overhang_depth_m > 0.0:
        overhang = Overhang(
            depth_m=item.overhang_depth_m,
            height_above_m=item.overhang_gap_m,
            left_m=1.0,
            right_m=1.0,
        )
    return Window(
        name=f"window.{item.id}",
        component="windows_doors",
        zone=HOUSE,
        area_m2=item.area_m2,
        glazing=from_ratings(item.u_w_per_m2k, item.shgc),
        azimuth_deg=item.azimuth_deg,
        tilt_deg=item.tilt_deg,
        width_m=max(item.area_m2 / item.height_m, 0.3) if item.area_m2 < 4.0 else 1.2,
        height_m=item.height_m,
        overhang=overhang,
        # Trees, neighbors and insect screens outside, shades inside; common practice, no source.
        solar_factor=0.85 * (1.0 - item.inside_shade_share),
        middle_height_m=house.geometry.height_m / 2.0,
    )


def _ceilings(house: House) -> list[OpaqueElement]:
    elements = []
    front = house.geometry.front_azimuth_deg % 360.0
    for attic in house.attics:
        has_loft = attic.kind in ("vented", "unvented", "knee_wall")
        covers = sum(item.area_m2 for item in attic.accesses)
        area = max(attic.area_m2 - covers, 0.1)
        slope = attic.area_m2 / cos(radians(attic.roof_pitch_deg))
        top = house.geometry.height_m + 1.0
        if has_loft:
            elements.append(
                OpaqueElement(
                    name=f"ceiling.{attic.id}", component="attic_floor", area_m2=area,
                    layers=assemblies.ceiling_layers(attic), zone_in=HOUSE, zone_out=ATTIC,
                    tilt_deg=0.0,
                )
            )  # fmt: skip
            for access in attic.accesses:
                is_upright = access.kind in ("walk_up_door", "knee_wall_door")
                elements.append(
                    OpaqueElement(
                        name=f"access.{attic.id}.{access.id}", component="attic_access",
                        area_m2=access.area_m2, zone_in=HOUSE, zone_out=ATTIC,
                        layers=assemblies.access_layers(access.cover_r_m2k_per_w),
                        tilt_deg=90.0 if is_upright else 0.0,
                    )
                )  # fmt: skip
        for side, azimuth in (("front", front), ("back", (front + 180.0) % 360.0)):
            elements.append(
                OpaqueElement(
                    name=f"roof.{attic.id}.{side}",
                    component="roof" if has_loft else "attic_floor",
                    area_m2=slope / 2.0 if has_loft else area / 2.0,
                    layers=assemblies.roof_layers() if has_loft
                    else assemblies.cathedral_layers(attic),
                    zone_in=ATTIC if has_loft else HOUSE,
                    tilt_deg=attic.roof_pitch_deg, azimuth_deg=azimuth,
                    solar_absorptance_out=attic.roof_solar_absorptance, solar_factor=0.9,
                    height_m=top,
                )
            )  # fmt: skip
    return elements


def _inside(house: House) -> list[OpaqueElement]:
    geometry = house.geometry
    gypsum = assemblies.GYPSUM
    layers: tuple[Layer, ...] = (gypsum, Layer.resistance(0.16), gypsum)
    if geometry.thermal_mass != "light":
        plaster = Layer.solid(0.022, 0.7, 1700.0, 840.0)
        layers = (plaster, Layer.resistance(0.16), plaster)
    if geometry.thermal_mass == "heavy":
        layers = (Layer.solid(0.1, 0.9, 1800.0, 840.0),)
    area = geometry.floor_area_m2 * PARTITION_AREA_SHARE[geometry.thermal_mass]
    elements = [
        OpaqueElement(
            name="partitions", component="inside", area_m2=area, layers=layers,
            zone_in=HOUSE, zone_out=HOUSE,
        )
    ]  # fmt: skip
    upper = geometry.floor_area_m2 - geometry.footprint_length_m * geometry.footprint_width_m
    if upper > 1.0:
        elements.append(
            OpaqueElement(
                name="floors_between", component="inside", area_m2=upper,
                layers=(assemblies.WOOD_BOARD, Layer.resistance(0.2), gypsum),
                zone_in=HOUSE, zone_out=HOUSE, tilt_deg=180.0,
            )
        )  # fmt: skip
    return elements


def _garage(house: House, weather: WeatherYear) -> list[OpaqueElement]:
    garage = house.garage
    assert garage is not None
    board = (Layer(resistance_m2k_per_w=0.35, heat_capacity_j_per_m2k=12_000.0),)
    elements = [
        OpaqueElement(
            name=f"garage.wall.{azimuth:g}", component="garage", zone_in=GARAGE,
            area_m2=max(garage.outside_wall_area_m2, 1.0) / 4.0, layers=board,
            azimuth_deg=azimuth,
        )
        for azimuth in (0.0, 90.0, 180.0, 270.0)
    ]  # fmt: skip
    if not garage.is_ceiling_under_rooms:
        elements.append(
            OpaqueElement(
                name="garage.roof", component="garage", zone_in=GARAGE, area_m2=garage.area_m2,
                layers=assemblies.roof_layers(), tilt_deg=20.0, azimuth_deg=AROUND_DEG,
                solar_absorptance_out=0.75,
            )
        )  # fmt: skip
    edge_m = min(garage.outside_wall_area_m2 / GARAGE_HEIGHT_M, 4.0 * garage.area_m2**0.5)
    elements += bare_slab_elements(
        "garage", garage.area_m2, edge_m, weather, zone=GARAGE
    )  # fmt: skip
    return elements


def _zones(house: House, weather: WeatherYear, gains: Gains) -> tuple[Zone, ...]:
    geometry = house.geometry
    heated_below = sum(
        item.area_m2 * item.wall_height_m
        for item in house.foundations
        if item.kind == "basement" and item.is_conditioned
    )
    zones = [
        Zone(
            name=HOUSE,
            volume_m3=geometry.volume_m3 + heated_below,
            heating_setpoint_c=heating_setpoints(house, weather) if house.heating else None,
            cooling_setpoint_c=cooling_setpoints(house, weather) if house.cooling else None,
            convective_gain_w=gains.sensible_w * (1.0 - GAIN_RADIANT_SHARE),
            radiant_gain_w=gains.sensible_w * GAIN_RADIANT_SHARE,
            infiltration=leakage_of(house),
            furnishing_j_per_m2k=FURNISHING_J_PER_M2K,
            floor_area_m2=geometry.floor_area_m2,
        )
    ]
    for name, volume, ach in _unheated(house):
        zones.append(
            Zone(
                name=name,
                volume_m3=volume,
                is_conditioned=False,
                infiltration=AirChange(air_changes_per_hour=ach),
                convective_gain_w=gains.to_spaces_w.get(name, 0.0),
            )
        )
    return tuple(zones)


def _unheated(house: House) -> list[tuple[str, float, float]]:
    """Unheated zones: name, air volume, air changes an hour from outdoors."""
    found: list[tuple[str, float, float]] = []
    loft = _loft_area(house)
    if loft > 0.0:
        vented = [a for a in house.attics if a.kind in ("vented", "knee_wall")]
        share = sum(a.area_m2 * a.vent_area_ratio * 300.0 for a in vented) / loft
        ach = max(ATTIC_ACH_AT_1_300 * min(share, 2.0), UNVENTED_ATTIC_ACH)
        found.append((ATTIC, loft * 0.9, ach))
    crawls = [item for item in house.foundations if item.kind.endswith("crawlspace")]
    if crawls:
        is_vented = any(item.kind == "vented_crawlspace" for item in crawls)
        volume = sum(item.area_m2 * max(item.wall_height_m, 0.4) for item in crawls)
        found.append(
            (CRAWLSPACE, volume, VENTED_CRAWLSPACE_ACH if is_vented else UNVENTED_CRAWLSPACE_ACH)
        )
    cellars = [f for f in house.foundations if f.kind == "basement" and not f.is_conditioned]
    if cellars:
        volume = sum(item.area_m2 * max(item.wall_height_m, 1.5) for item in cellars)
        flows = leak_flows(house)
        through = _share(house, flows["rim_joist"] + flows["foundation"])
        # The basement takes from outdoors what the house draws from it: near half a cubic meter
        # an hour per cubic meter in old houses. Mean of the year by the N-factor rule of thumb.
        ach = through * house.air_leakage.flow50_m3_per_s / 18.0 * 3600.0 / volume
        found.append((BASEMENT, volume, max(ach, 0.1)))
    if house.garage is not None:
        found.append((GARAGE, house.garage.area_m2 * GARAGE_HEIGHT_M, GARAGE_ACH))
    bellies = [item for item in house.foundations if item.kind == "belly"]
    if bellies:
        found.append((BELLY, sum(item.area_m2 for item in bellies) * 0.3, BELLY_ACH))
    return found


def _share(house: House, flow50: float) -> float:
    return min(flow50 / house.air_leakage.flow50_m3_per_s, 1.0)


def below_leak_share(house: House) -> float:
    """Share of the house's leakage that enters from the space below. [-]"""
    flows = leak_flows(house)
    below = flows["foundation"]
    if zone_of(house, "basement") == BASEMENT:
        below += flows["rim_joist"]
    return _share(house, below)


def _air_paths(house: House, known: set[str]) -> list[AirPath]:
    flows = leak_flows(house)
    paths = []
    below = next((zone for zone in (BASEMENT, CRAWLSPACE, BELLY) if zone in known), None)
    if below is not None and below_leak_share(house) > 0.0:
        paths.append(
            AirPath(
                source_zone=below, target_zone=HOUSE, infiltration_zone=HOUSE,
                share_of_infiltration=below_leak_share(house), component="air_from_below",
            )
        )  # fmt: skip
    above = _share(house, flows["attic_floor"] + flows["attic_access"])
    if ATTIC in known and above > 0.0:
        paths.append(
            AirPath(
                source_zone=HOUSE, target_zone=ATTIC, infiltration_zone=HOUSE,
                share_of_infiltration=above, component="air_to_attic",
            )
        )  # fmt: skip
    return paths


def _ventilation(house: House) -> tuple[Ventilation, ...]:
    supply = exhaust = balanced = recovered = 0.0
    for fan in house.fans:
        mean = fan.flow_m3_per_s * fan.hours_per_day / 24.0
        if fan.kind == "balanced":
            balanced += mean
            recovered += mean * fan.recovery
        elif fan.kind == "supply":
            supply += mean
        else:
            exhaust += mean
    found = []
    if supply or exhaust:
        found.append(Ventilation(zone=HOUSE, supply_m3_per_s=supply, exhaust_m3_per_s=exhaust))
    if balanced:
        found.append(
            Ventilation(
                zone=HOUSE,
                supply_m3_per_s=balanced,
                exhaust_m3_per_s=balanced,
                sensible_recovery=recovered / balanced,
            )
        )
    return tuple(found)
