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

# Rooms behind a face, for the estimate: a little above the day's mean, within usual set-points.
COOL_ROOM_C, WARM_ROOM_C, ROOM_ABOVE_DAY_K = 20.0, 25.0, 2.0
WARMUP_STEPS = 72


@dataclass(frozen=True)
class Air:
    """Outdoor series by step, shared by all faces."""

    key: Hashable
    outdoor: FloatArray = field(compare=False)
    sky: FloatArray = field(compare=False)
    wind: FloatArray = field(compare=False)
    steps_per_hour: int = 1
    thinness: float = 1.0  # natural convection in this air over that at sea level


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
    warmth: float  # where the backing stands between the open air, 0, and the rooms, 1


@dataclass(frozen=True, eq=False)
class OuterSeries:
    """Coefficient [W/m²K], current [W/m²], its fall with the face's temperature a step before
    [W/m²K] and the estimated temperature [°C], by step."""

    total: FloatArray
    current: FloatArray
    fall: FloatArray
    estimate: FloatArray


@lru_cache(maxsize=160)
def outer_series(air: Air, face: OuterFace, wind_outside: bool) -> OuterSeries:
    """Coefficient and current of an outside face over the year.

    The heat that leaves a face of temperature T is ``total * T + fall * before - current`` with
    the temperature a step before: right at the estimated temperature, and to the first order
    beside it, as coefficients grow with the temperature they are taken at.
    """
    steps = len(air.outdoor)
    sun = np.zeros(steps // air.steps_per_hour) if face.sun is None else face.sun.values
    series = OuterSeries(*(np.empty(steps) for _ in range(4)))
    _follow(
        air.outdoor, air.sky, air.wind, sun, air.steps_per_hour,
        np.array([
            face.film, face.emittance, face.to_sky, face.roughness, face.windward, face.leeward,
            face.constant, face.up, face.absorbed, face.store, face.link, face.next_store,
            face.backing, face.warmth, air.thinness,
        ]),
        wind_outside, (series.total, series.current, series.fall, series.estimate),
    )  # fmt: skip
    return series


@compiled
def _follow(outdoor, sky, wind, sun, steps_per_hour, face, wind_outside, found):  # type: ignore[no-untyped-def]  # numba infers
    """March one face over its outer layer; the last days of the year first, uncounted."""
    film, emittance, share_sky, roughness, windward, leeward = face[:6]
    constant, up, absorbed, store, link, next_store, backing, warmth, thinness = face[6:15]
    total, current, fall, estimate = found
    steps = outdoor.shape[0]
    per_second = steps_per_hour / 3600.0
    inertia, behind = store * per_second, next_store * per_second
    surface, second = outdoor[steps - WARMUP_STEPS], outdoor[steps - WARMUP_STEPS]
    day, blend = outdoor[steps - WARMUP_STEPS], 1.0 / (24.0 * steps_per_hour)
    for count in range(steps + WARMUP_STEPS):
        step = (count - WARMUP_STEPS) % steps
        light = absorbed * sun[step // steps_per_hour]
        if film > 0.0:
            whole, slope = film, 0.0
            drive = film * outdoor[step]
        else:
            surface_k = surface + KELVIN
            convective, steeper = constant, 0.0
            if wind_outside:
                still = thinness * _kernels.natural_convection(surface - outdoor[step], up)
                convective = still
                # The cube root adds a third to the slope of the part it drives.
                steeper = still / 3.0
                if windward > 0.0:
                    forced = windward * wind[step] ** WINDWARD_B
                    forced += leeward * wind[step] ** LEEWARD_B
                    smooth = np.sqrt(still * still + forced * forced)
                    convective = still + roughness * (smooth - still)
                    steeper *= 1.0 + roughness * (still / smooth - 1.0)
            air_k, sky_k = outdoor[step] + KELVIN, sky[step] + KELVIN
            strength = emittance * SIGMA
            to_air = (1.0 - share_sky) * strength
            to_air *= (surface_k**2 + air_k**2) * (surface_k + air_k)
            to_sky = share_sky * strength * (surface_k**2 + sky_k**2) * (surface_k + sky_k)
            whole = convective + to_air + to_sky
            drive = (convective + to_air) * outdoor[step] + to_sky * sky[step]
            # d/dT of h(T) (T - D) less h(T) itself, the part that comes a step late.
            slope = convective + steeper + 4.0 * strength * surface_k**3 - whole
        day += blend * (outdoor[step] - day)
        room = min(max(day + ROOM_ABOVE_DAY_K, COOL_ROOM_C), WARM_ROOM_C)
        back = outdoor[step] + warmth * (room - outdoor[step])
        # Two nodes: the face, and the inner side of its outermost layer.
        current_now = drive + light + slope * surface
        held = behind * second + backing * back
        below = behind + link + backing
        right = inertia * surface + drive + light + link * held / below
        surface = right / (inertia + whole + link - link * link / below)
        second = (held + link * surface) / below
        if count >= WARMUP_STEPS:
            total[step] = whole
            current[step] = current_now
            fall[step] = slope
            estimate[step] = surface
