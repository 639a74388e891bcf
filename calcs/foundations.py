"""Elements of slabs, basements, crawlspaces and bellies, with the soil behind them.

The soil is a resistance to a ground temperature: the first harmonic of the monthly air
temperatures, damped and late with depth. Path lengths follow the usual quarter-circle picture of
heat flow from below-grade surfaces to the open air (ASHRAE Handbook-Fundamentals, below-grade
walls; memory); damping and lag are rounded from the heat-wave solution for loam (memory).
"""

from __future__ import annotations

from functools import lru_cache
from math import pi

import numpy as np

from calcs import assemblies
from calcs.inputs import Foundation
from calcs.network import GROUND, HOURS, FloatArray, Layer, OpaqueElement
from calcs.weather import WeatherYear

SOIL_W_PER_MK = 1.3
EDGE_STRIP_M = 1.0
# What runs around a house faces all ways. East gets close to the mean of the four sides in every
# season and on both halves of the earth; one element does for four.
AROUND_DEG = 90.0
SLAB = Layer.solid(0.1, 1.7, 2240.0, 880.0)
SLAB_FINISH = Layer.resistance(0.2)
EARTH = Layer.solid(0.1, SOIL_W_PER_MK, 1600.0, 1000.0)
# Share of the yearly swing that reaches the surface behind the soil path, and days it is late.
NEAR_SWING, NEAR_LAG_DAYS = 0.85, 12.0
WALL_SWING, WALL_LAG_DAYS = 0.70, 25.0
DEEP_SWING, DEEP_LAG_DAYS = 0.25, 60.0
BELLY_WRAP = Layer.resistance(0.05)


@lru_cache(maxsize=64)
def ground_temperature_c(weather: WeatherYear, *, swing: float, lag_days: float) -> FloatArray:
    """Yearly wave of a ground temperature by hour. [°C]"""
    means = weather.monthly_means_c
    angles = 2.0 * pi * (np.arange(12) + 0.5) / 12.0
    cosine, sine = 2.0 * np.mean(means * np.cos(angles)), 2.0 * np.mean(means * np.sin(angles))
    when = 2.0 * pi * ((np.arange(HOURS) + 0.5) / HOURS - lag_days / 365.0)
    wave = cosine * np.cos(when) + sine * np.sin(when)
    temperature: FloatArray = weather.annual_mean_c + swing * wave
    temperature.setflags(write=False)
    return temperature


def foundation_elements(
    item: Foundation, weather: WeatherYear, *, house_zone: str, below_zone: str | None
) -> list[OpaqueElement]:
    """Everything between the house, the space below it if any, outdoors and the soil."""
    if item.kind == "slab":
        return _slab(item, weather, zone=house_zone, name="slab")
    if item.kind in ("open_below", "garage_below") and below_zone is None:
        return [_floor(item, house_zone, "outdoor")]
    assert below_zone is not None
    elements = [] if below_zone == house_zone else [_floor(item, house_zone, below_zone)]
    if item.kind == "garage_below":
        return elements
    return elements + _walls(item, weather, below_zone) + _bottom(item, weather, below_zone)


def _floor(item: Foundation, house_zone: str, below: str) -> OpaqueElement:
    return OpaqueElement(
        name=f"floor.{item.id}", component="foundation", area_m2=item.area_m2,
        layers=assemblies.floor_layers(item), zone_in=house_zone, zone_out=below,
        tilt_deg=180.0, is_sheltered=below == "outdoor",
    )  # fmt: skip


def bare_slab_elements(
    name: str, area_m2: float, perimeter_m: float, weather: WeatherYear, *, zone: str
) -> list[OpaqueElement]:
    """A concrete floor on the ground without a finish, as in a garage."""
    item = Foundation(id=name, kind="slab", area_m2=area_m2, perimeter_m=perimeter_m)
    return _slab(item, weather, zone=zone, name="slab", finish=())


def _slab(
    item: Foundation,
    weather: WeatherYear,
    *,
    zone: str,
    name: str,
    finish: tuple[Layer, ...] = (SLAB_FINISH,),
) -> list[OpaqueElement]:
    strip = min(item.perimeter_m * EDGE_STRIP_M, 0.9 * item.area_m2)
    edge = [*finish, SLAB]
    if item.slab_edge_r_m2k_per_w > 0.0:
        edge.append(Layer.resistance(item.slab_edge_r_m2k_per_w))
    path = Layer.resistance(pi * EDGE_STRIP_M / 4.0 / SOIL_W_PER_MK)
    elements = []
    if strip > 0.0:
        elements.append(
            _ground(item, f"{name}.edge", zone, strip, (*edge, path), weather,
                    NEAR_SWING, NEAR_LAG_DAYS, tilt_deg=180.0)
        )  # fmt: skip
    core = (*finish, SLAB, Layer.resistance(_core_path_m(item) / SOIL_W_PER_MK))
    elements.append(
        _ground(item, f"{name}.core", zone, item.area_m2 - strip, core, weather,
                DEEP_SWING, DEEP_LAG_DAYS, tilt_deg=180.0)
    )  # fmt: skip
    return elements


def _core_path_m(item: Foundation) -> float:
    """Mean quarter-circle path from the middle of the floor to the open air."""
    half_width = item.area_m2 / max(item.perimeter_m, 4.0) * 2.0
    return pi / 2.0 * (half_width / 2.0 + EDGE_STRIP_M / 2.0 + item.depth_below_grade_m)


def _walls(item: Foundation, weather: WeatherYear, zone: str) -> list[OpaqueElement]:
    below = min(item.depth_below_grade_m, item.wall_height_m)
    above = item.wall_height_m - below
    layers = assemblies.foundation_wall_layers(item)
    elements = []
    if above > 0.01:
        elements.append(
            OpaqueElement(
                name=f"stem.{item.id}", component="foundation", zone_in=zone,
                area_m2=item.perimeter_m * above, layers=layers, height_m=0.3,
                azimuth_deg=AROUND_DEG,
                solar_absorptance_out=0.6, solar_factor=0.5,
            )
        )  # fmt: skip
    if below > 0.01:
        path = Layer.resistance(max(pi / 2.0 * below / 2.0, 0.1) / SOIL_W_PER_MK)
        elements.append(
            _ground(item, "wall", zone, item.perimeter_m * below, (*layers, path), weather,
                    WALL_SWING, WALL_LAG_DAYS, tilt_deg=90.0)
        )  # fmt: skip
    return elements


def _bottom(item: Foundation, weather: WeatherYear, zone: str) -> list[OpaqueElement]:
    path = Layer.resistance(_core_path_m(item) / SOIL_W_PER_MK)
    top = EARTH if item.kind.endswith("crawlspace") else SLAB
    return [
        _ground(item, "bottom", zone, item.area_m2, (top, path), weather,
                DEEP_SWING, DEEP_LAG_DAYS, tilt_deg=180.0)
    ]  # fmt: skip


def _ground(
    item: Foundation,
    name: str,
    zone: str,
    area: float,
    layers: tuple[Layer, ...],
    weather: WeatherYear,
    swing: float,
    lag_days: float,
    *,
    tilt_deg: float,
) -> OpaqueElement:
    return OpaqueElement(
        name=f"{name}.{item.id}", component="foundation", area_m2=area, layers=layers,
        zone_in=zone, zone_out=GROUND, tilt_deg=tilt_deg,
        ground_temperature_c=ground_temperature_c(weather, swing=swing, lag_days=lag_days),
    )  # fmt: skip


def belly_elements(item: Foundation, *, house_zone: str, belly_zone: str) -> list[OpaqueElement]:
    """A manufactured home's floor over the belly cavity, whose insulation hangs in the wrap."""
    boards = (assemblies.WOOD_BOARD, Layer.resistance(0.1))
    void, insulation = item.floor_void_fraction, item.floor_r_m2k_per_w
    bare = assemblies.R_FILM_DOWN + BELLY_WRAP.resistance_m2k_per_w
    mean_u = (1.0 - void) / (bare + insulation) + void / bare
    wrap = Layer.resistance(max(1.0 / mean_u - assemblies.R_FILM_DOWN, 0.01))
    return [
        OpaqueElement(
            name=f"floor.{item.id}", component="foundation", area_m2=item.area_m2,
            layers=boards, zone_in=house_zone, zone_out=belly_zone, tilt_deg=180.0,
        ),
        OpaqueElement(
            name=f"wrap.{item.id}", component="foundation", area_m2=item.area_m2,
            layers=(wrap,), zone_in=belly_zone, tilt_deg=180.0, is_sheltered=True,
        ),
    ]  # fmt: skip


def rim_elements(
    item: Foundation, *, house_zone: str, below_zone: str | None
) -> list[OpaqueElement]:
    """The rim joist, on the side of the space it closes; none over a vented crawlspace or slab."""
    rim = item.rim_joist
    if rim.length_m <= 0.0 or item.kind not in ("basement", "unvented_crawlspace"):
        return []
    return [
        OpaqueElement(
            name=f"rim.{item.id}", component="rim_joist", area_m2=rim.area_m2,
            layers=assemblies.rim_joist_layers(rim.r_m2k_per_w),
            zone_in=below_zone or house_zone, height_m=0.8, azimuth_deg=AROUND_DEG,
        )
    ]  # fmt: skip
