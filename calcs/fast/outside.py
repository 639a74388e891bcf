"""What the open air does to an outside face, hour by hour, known before the house is run.

Wind, sky and sun fall on a face whatever happens behind it; only the small part of its
coefficients that follows its own temperature needs an estimate of it. That comes from a run of the
face alone over its outermost layer, with a plain backing in place of the house. So these series
belong to the weather and the face, and all variants of a house share them.
"""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from calcs import _kernels
from calcs._jit import compiled
from calcs._kernel_data import KELVIN, LEEWARD_B, SIGMA, WINDWARD_B, Row

FloatArray = NDArray[np.float64]

BACKING_C = 20.0
WARMUP_STEPS = 72


@dataclass(frozen=True)
class Air:
    """Outdoor series by step, shared by all faces."""

    key: Hashable
    outdoor: FloatArray = field(compare=False)
    sky: FloatArray = field(compare=False)
    wind: FloatArray = field(compare=False)
    steps_per_hour: int = 1


@dataclass(frozen=True)
class OuterFace:
    """All that decides how a face meets the open air; floats as in ``Chains``."""

    film: float
    emittance: float
    to_sky: float
    roughness: float
    windward: float
    leeward: float
    constant: float
    up: float
    absorbed: float  # share of the row of sun that the face takes
    sun: Row | None
    store: float  # J/m²K of the outermost node
    link: float  # W/m²K to the next
    next_store: float
    backing: float  # W/m²K from there to the inside
    is_backing_outdoor: bool


@dataclass(frozen=True, eq=False)
class OuterSeries:
    """Coefficient [W/m²K], current [W/m²] and estimated temperature [°C] by step."""

    total: FloatArray
    current: FloatArray
    estimate: FloatArray


@lru_cache(maxsize=160)
def outer_series(air: Air, face: OuterFace, wind_outside: bool) -> OuterSeries:
    """Coefficient and current of an outside face over the year.

    The heat that leaves a face of temperature T is ``total * T - current``.
    """
    steps = len(air.outdoor)
    sun = np.zeros(steps // air.steps_per_hour) if face.sun is None else face.sun.values
    series = OuterSeries(np.empty(steps), np.empty(steps), np.empty(steps))
    _follow(
        air.outdoor, air.sky, air.wind, sun, air.steps_per_hour,
        np.array([
            face.film, face.emittance, face.to_sky, face.roughness, face.windward, face.leeward,
            face.constant, face.up, face.absorbed, face.store, face.link, face.next_store,
            face.backing, float(face.is_backing_outdoor),
        ]),
        wind_outside, series.total, series.current, series.estimate,
    )  # fmt: skip
    return series


@compiled
def _follow(outdoor, sky, wind, sun, steps_per_hour, face, wind_outside, total, current, estimate):  # type: ignore[no-untyped-def]  # numba infers
    """March one face over its outer layer; the last days of the year first, uncounted."""
    film, emittance, share_sky, roughness, windward, leeward = face[:6]
    constant, up, absorbed, store, link, next_store, backing = face[6:13]
    steps = outdoor.shape[0]
    per_second = steps_per_hour / 3600.0
    inertia, behind = store * per_second, next_store * per_second
    surface, second = outdoor[steps - WARMUP_STEPS], outdoor[steps - WARMUP_STEPS]
    for count in range(steps + WARMUP_STEPS):
        step = (count - WARMUP_STEPS) % steps
        light = absorbed * sun[step // steps_per_hour]
        if film > 0.0:
            whole = film
            drive = film * outdoor[step]
        else:
            surface_k = surface + KELVIN
            convective = constant
            if wind_outside:
                still = _kernels.natural_convection(surface - outdoor[step], up)
                convective = still
                if windward > 0.0:
                    forced = windward * wind[step] ** WINDWARD_B
                    forced += leeward * wind[step] ** LEEWARD_B
                    smooth = np.sqrt(still * still + forced * forced)
                    convective = still + roughness * (smooth - still)
            air_k, sky_k = outdoor[step] + KELVIN, sky[step] + KELVIN
            strength = emittance * SIGMA
            to_air = (1.0 - share_sky) * strength
            to_air *= (surface_k**2 + air_k**2) * (surface_k + air_k)
            to_sky = share_sky * strength * (surface_k**2 + sky_k**2) * (surface_k + sky_k)
            whole = convective + to_air + to_sky
            drive = (convective + to_air) * outdoor[step] + to_sky * sky[step]
        back = outdoor[step] if face[13] > 0.5 else BACKING_C
        # Two nodes: the face, and the inner side of its outermost layer.
        held = behind * second + backing * back
        below = behind + link + backing
        right = inertia * surface + drive + light + link * held / below
        surface = right / (inertia + whole + link - link * link / below)
        second = (held + link * surface) / below
        if count >= WARMUP_STEPS:
            total[step] = whole
            current[step] = drive + light
            estimate[step] = surface
