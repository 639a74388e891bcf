"""Sun through windows, hour by hour: angle of incidence, overhangs and side fins.

What a shade leaves of the glass is worked out for the direction of the sun, and for many directions
of the sky and of the ground. So an overhang shades the sky too, has ends, and may meet fins.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from calcs._jit import compiled
from calcs.glazing import Glazing, cosine_table
from calcs.network import Window
from calcs.solar import cosines_of_incidence, plane_axes, plane_sun
from calcs.weather import WeatherYear

FloatArray = NDArray[np.float64]

STRIPS = 20  # of the glass, from side to side
DOME_STEP_DEG = 5.0
RING_DEG = 25.0  # half-angle of the bright ring about the sun (Perez and others 1987; memory)


@dataclass(frozen=True, eq=False, kw_only=True)
class WindowSun:
    """Sun at one window per area of its glass, means of each hour. [W/m²]

    Parameters
    ----------
    incident : ndarray, shape (8760,)
        On the plane, as if unshaded.
    transmitted_beam, transmitted_diffuse : ndarray, shape (8760,)
        Through the glass, after shades, with the bright ring about the sun counted as beam.
    absorbed : ndarray, shape (panes, 8760)
        In each pane, from outdoors inward.
    """

    incident: FloatArray
    transmitted_beam: FloatArray
    transmitted_diffuse: FloatArray
    absorbed: FloatArray


@dataclass(frozen=True)
class _Shape:
    """Numbers of a window's shades, hashable: the key under which results are kept."""

    width_m: float
    height_m: float
    overhang: tuple[float, float, float, float]  # depth, height above, left, right
    fins: tuple[float, float, float, float]  # depth, gap, above, below

    @property
    def is_bare(self) -> bool:
        return self.overhang[0] == 0.0 and self.fins[0] == 0.0

    def as_array(self) -> FloatArray:
        return np.array([self.width_m, self.height_m, *self.overhang, *self.fins])


def window_sun(
    window: Window, weather: WeatherYear, *, ground_reflectance: float, transposition: str
) -> WindowSun:
    """Transmitted and absorbed sun of a window, before its ``solar_factor``.

    Azimuth, tilt, shades and glazing decide; windows that agree in these share the work.
    """
    bare = (0.0, 0.0, 0.0, 0.0)
    over, fins = window.overhang, window.fins
    shape = _Shape(1.0, 1.0, bare, bare)
    if over is not None or fins is not None:
        shape = _Shape(
            window.width_m,
            window.height_m,
            bare
            if over is None
            else (over.depth_m, over.height_above_m, over.left_m, over.right_m),
            bare if fins is None else (fins.depth_m, fins.gap_m, fins.above_m, fins.below_m),
        )
    return _glass_sun(
        weather,
        window.azimuth_deg,
        window.tilt_deg,
        shape,
        window.glazing,
        ground_reflectance,
        transposition,
    )


@lru_cache(maxsize=128)
def _glass_sun(weather, azimuth_deg, tilt_deg, shape, glazing, ground_reflectance, transposition):  # type: ignore[no-untyped-def]  # private, arguments as in window_sun
    plane = plane_sun(weather, azimuth_deg, tilt_deg, transposition)
    cosine, lit = _beam_on_glass(weather, azimuth_deg, tilt_deg, shape)
    courses = np.vstack([glazing.transmittance, glazing.absorptance])
    share = _share_by_angle(cosine, lit, np.vstack([courses, _widened(glazing)]))
    of_beam, of_ring = share[: len(courses)], share[len(courses) :]
    sky, horizon, ground = _diffuse_shares(azimuth_deg, tilt_deg, shape, glazing)
    direct = of_beam * plane.beam + of_ring * plane.circumsolar
    # The rim of the horizon may be darker than the dome, but the two together are never below 0.
    diffuse = np.maximum(np.outer(sky, plane.sky) + np.outer(horizon, plane.horizon), 0.0)
    diffuse += np.outer(ground_reflectance * ground, plane.ground)
    return WindowSun(
        incident=plane.total(ground_reflectance),
        transmitted_beam=direct[0],
        transmitted_diffuse=diffuse[0],
        absorbed=direct[1:] + diffuse[1:],
    )


def _beam_on_glass(
    weather: WeatherYear, azimuth_deg: float, tilt_deg: float, shape: _Shape
) -> tuple[FloatArray, FloatArray]:
    """Cosine of incidence and sunlit share of the glass, each of shape (8760, INSTANTS)."""
    sun = weather.sun
    cosine = cosines_of_incidence(sun, azimuth_deg, tilt_deg)
    if shape.is_bare:
        return cosine, np.ones_like(cosine)
    axes = plane_axes(azimuth_deg, tilt_deg)
    lit = np.zeros_like(cosine)
    faces = cosine > 0.0
    toward = axes @ np.vstack([sun.east[faces], sun.north[faces], sun.up[faces]])
    lit[faces] = _lit_share(toward, shape.as_array(), STRIPS)
    return cosine, lit


@lru_cache(maxsize=512)
def _diffuse_shares(
    azimuth_deg: float, tilt_deg: float, shape: _Shape, glazing: Glazing
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Shares of the light of sky, horizon's rim and ground on the bare plane that pass the shades
    and then the glass, or are taken by a pane: shape (1 + panes,) each.

    Light is followed by direction, so each origin has its own angles: the rim falls on a wall
    more squarely than the dome does, and what an overhang leaves of the sky is its lower part.
    """
    around = np.radians(np.arange(0.0, 360.0, DOME_STEP_DEG) + DOME_STEP_DEG / 2.0)
    axes, values = plane_axes(azimuth_deg, tilt_deg), shape.as_array()
    half = np.radians(np.arange(0.0, 90.0, DOME_STEP_DEG) + DOME_STEP_DEG / 2.0)
    courses = np.vstack([glazing.transmittance, glazing.absorptance])
    table = cosine_table()
    shares = []
    for altitudes in (half, np.array([1e-6]), -half):
        azimuth, altitude = (part.ravel() for part in np.meshgrid(around, altitudes))
        toward = axes @ np.vstack(
            [
                np.cos(altitude) * np.sin(azimuth),
                np.cos(altitude) * np.cos(azimuth),
                np.sin(altitude),
            ]
        )
        weight = np.maximum(toward[2], 0.0) * np.cos(altitude)
        seen = weight > 0.0
        if not seen.any():
            shares.append(np.zeros(len(courses)))
            continue
        toward, weight = np.ascontiguousarray(toward[:, seen]), weight[seen] / weight[seen].sum()
        if not shape.is_bare:
            weight = weight * _lit_share(toward, values, STRIPS)
        shares.append(np.array([weight @ np.interp(toward[2], table, row) for row in courses]))
    return shares[0], shares[1], shares[2]


@lru_cache(maxsize=256)
def _widened(glazing: Glazing) -> FloatArray:
    """Angular courses for light from all of the bright ring about the sun, by the sun's cosine.

    At grazing incidence the half of the ring nearer to the normal brings more light and passes
    more easily. Shape (1 + panes, TABLE_SIZE).
    """
    table = cosine_table()
    courses = np.vstack([glazing.transmittance, glazing.absorptance])
    # Rings of equal solid angle within the cone, and places around each.
    off = np.arccos(1.0 - (np.arange(8) + 0.5) / 8.0 * (1.0 - np.cos(np.radians(RING_DEG))))
    around = (np.arange(24) + 0.5) / 24.0 * 2.0 * np.pi
    sine = np.sqrt(1.0 - table**2)
    cosine = (
        table[:, None, None] * np.cos(off)[:, None]
        + sine[:, None, None] * np.sin(off)[:, None] * np.cos(around)
    ).reshape(len(table), -1)
    weight = np.maximum(cosine, 0.0)
    total = weight.sum(axis=1)
    return np.array(
        [(weight * np.interp(weight, table, row)).sum(axis=1) / total for row in courses]
    )


@compiled
def _lit_share(toward, shape, strips):  # type: ignore[no-untyped-def]  # numba infers the types
    """Share of the glass from which each direction is free; toward is (3, n): right, up, out.

    The glass is cut into upright strips. In a strip an overhang shades from some height to the
    top and a fin between two heights, so the shaded length is exact; only across the strips is
    there a sum, and the strip where a fin's shadow ends counts in part.
    """
    width, height, depth, above, left, right, fin_depth, gap, fin_above, fin_below = shape
    share = np.empty(toward.shape[1])
    across = width / strips
    for i in range(toward.shape[1]):
        side, up, out = toward[0, i], toward[1, i], toward[2, i]
        lit = 0.0
        for strip in range(strips):
            y = (strip + 0.5) * across
            from_top = height  # height above which the overhang shades
            if depth > 0.0 and up > 0.0:
                reach = depth / out
                if side > 0.0:
                    reach = min(reach, (width + right - y) / side)
                elif side < 0.0:
                    reach = min(reach, (y + left) / -side)
                from_top = min(max(height + above - reach * up, 0.0), height)
            free = from_top
            if fin_depth > 0.0 and side != 0.0:
                edge = width + gap if side > 0.0 else -gap
                # Glass nearer to the edge than this lies in the fin's shadow.
                deep = fin_depth * abs(side) / out - abs(edge - y)
                part = min(max(deep / across + 0.5, 0.0), 1.0)
                if part > 0.0:
                    rise = (edge - y) / side * up
                    low = min(max(-fin_below - rise, 0.0), from_top)
                    high = min(max(height + fin_above - rise, 0.0), from_top)
                    free -= part * max(high - low, 0.0)
            lit += free
        share[i] = lit / (height * strips)
    return share


@compiled
def _share_by_angle(cosine, lit, tables):  # type: ignore[no-untyped-def]  # numba infers the types
    """Hourly share of the light on the plane that each angular table lets through or takes.

    cosine, lit: (hours, instants); tables: (n, size) over the cosine. Returns (n, hours).
    """
    hours, instants = cosine.shape
    count, size = tables.shape
    share = np.zeros((count, hours))
    for hour in range(hours):
        total = 0.0
        for k in range(instants):
            c = cosine[hour, k]
            if c <= 0.0:
                continue
            total += c
            place = c * (size - 1)
            low = min(int(place), size - 2)
            part = place - low
            for j in range(count):
                value = tables[j, low] + part * (tables[j, low + 1] - tables[j, low])
                share[j, hour] += c * lit[hour, k] * value
        if total > 0.0:
            for j in range(count):
                share[j, hour] /= total
    return share
