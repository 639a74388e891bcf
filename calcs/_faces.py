"""How the faces of a zone share light and longwave radiation, and layers become nodes."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from calcs.network import Layer
from calcs.solar import plane_axes

FloatArray = NDArray[np.float64]

# A layer is cut so that heat crosses each interval (resistance times capacity) within this time,
# but into four at most. Halving it or lifting the limit changes no annual load of the public cases
# by 0.2 %.
INTERVAL_S, MOST_INTERVALS = 1800.0, 4
# Without a cap the view of a face larger than all others together diverges.
LARGEST_VIEW = 10.0


@dataclass(eq=False)
class Face:
    """One face of an element in a zone, with what the sharing of light and heat needs."""

    element: int
    is_b: bool
    zone: int
    area_m2: float
    up: float
    plane: tuple[object, ...]
    emittance: float
    absorbed: tuple[tuple[int, float], ...]  # node, share of the light that falls on the face
    lost: float = 0.0  # share that goes out through the glass

    @property
    def kept_or_lost(self) -> float:
        return sum(share for _, share in self.absorbed) + self.lost


def nodes_of_layers(layers: tuple[Layer, ...]) -> tuple[list[float], list[float]]:
    """Node capacities [J/m²K] and conductances to the next node [W/m²K] of a row of layers."""
    capacity, conductance = [0.0], []
    for layer in layers:
        crossing_s = layer.resistance_m2k_per_w * layer.heat_capacity_j_per_m2k
        intervals = min(max(1, int(np.ceil(np.sqrt(crossing_s / INTERVAL_S)))), MOST_INTERVALS)
        for _ in range(intervals):
            half = 0.5 * layer.heat_capacity_j_per_m2k / intervals
            capacity[-1] += half
            capacity.append(half)
            conductance.append(intervals / layer.resistance_m2k_per_w)
    return capacity, [*conductance, 0.0]


def star_views(areas: list[float]) -> list[float]:
    """Carroll's view factors of planes toward a radiant star, each without its own share."""
    return list(_star_views(tuple(areas)))


@lru_cache(maxsize=256)
def _star_views(areas: tuple[float, ...]) -> tuple[float, ...]:
    area = np.array(areas)
    view = np.ones_like(area)
    for _ in range(200):
        own = area * view / (area * view).sum()
        updated = np.minimum(1.0 / np.maximum(1.0 - own, 1.0 / LARGEST_VIEW), LARGEST_VIEW)
        if np.abs(updated - view).max() < 1e-12:
            break
        view = 0.5 * (view + updated)
    return tuple(float(value) for value in view)


def light_shares(faces: list[Face]) -> list[tuple[float, float]]:
    """Beam and diffuse light that falls on each face, per unit of light let in by windows.

    Beam falls on the floor first; what the floor reflects falls on all else by area, then goes
    round evenly until it is absorbed or gone through glass. Diffuse light falls on the opaque
    faces by area first.
    """
    area = np.array([face.area_m2 for face in faces])
    taken = np.array([face.kept_or_lost for face in faces])
    is_floor = np.array([face.up > 0.9 for face in faces])
    is_opaque = np.array([face.lost == 0.0 for face in faces])
    if (area * taken).sum() <= 0.0:
        return [(0.0, 0.0)] * len(faces)

    def spread(chosen: NDArray[np.bool_]) -> FloatArray:
        if not chosen.any():
            chosen = np.ones(len(faces), dtype=bool)
        return np.where(chosen, area, 0.0) / area[chosen].sum()

    evenly = area / (area * taken).sum()

    def settle(falling: FloatArray) -> FloatArray:
        """Add the even rounds of what this first fall leaves over."""
        left = 1.0 - (falling * taken).sum()
        return falling + left * evenly

    on_floor = spread(is_floor)
    bounced = (on_floor * (1.0 - taken)).sum()
    first_two = on_floor + bounced * spread(~is_floor)
    beam, diffuse = settle(first_two), settle(spread(is_opaque))
    return list(zip(beam.tolist(), diffuse.tolist(), strict=True))


@lru_cache(maxsize=512)
def facing(azimuth_deg: float, tilt_deg: float, sign: float) -> tuple[float, ...]:
    """Direction a face looks into its zone; faces with the same one do not see each other."""
    outward = plane_axes(azimuth_deg, tilt_deg)[2]
    return tuple(float(value) for value in np.round(sign * outward, 6))


def sky_share(tilt_deg: float) -> float:
    """Share of a face's longwave exchange that goes to the cold sky; the rest is at air level.

    View of the sky times its square root: the sky near the horizon is about as warm as the air
    (Walton, NBSIR 83-2655; memory).
    """
    view = 0.5 * (1.0 + np.cos(np.radians(tilt_deg)))
    return float(view * np.sqrt(view))
