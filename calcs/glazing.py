"""Glass: transmission and absorption against angle, and heat flow through the gaps.

A clear pane is described by two measured numbers at normal incidence, transmittance and
reflectance. Refractive index and extinction are fitted to them, Fresnel's equations and Snell's
law then give the pane at any angle for each polarization, and the panes are stacked with all
reflections between them. A coated pane, whose two sides reflect differently, keeps its own normal
values and takes the relative angular course of a clear pane.

References
----------
Duffie and Beckman, Solar Engineering of Thermal Processes, chapter 5 (Fresnel, Snell, extinction;
memory). Stacking: net radiation between the panes, solved exactly. Air conductivity: linear fit
about 283 K (memory). Ratings to glass: own construction, described at ``from_ratings``.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from calcs.errors import InputError
from calcs.validation import require_positive, require_within

FloatArray = NDArray[np.float64]

# Angular tables are kept over the cosine of incidence in equal steps, 0 (grazing) to 1 (normal).
TABLE_SIZE = 181

# Conductivity of still gas at 283 K and its relative rise with temperature (memory).
GAS_CONDUCTIVITY_W_PER_MK = {"air": 0.0249, "argon": 0.0169}
GAS_SLOPE_PER_K = 0.0028
GAS_REFERENCE_C = 10.0


@dataclass(frozen=True, kw_only=True)
class Pane:
    """One sheet of glass; "front" is the side toward outdoors.

    Parameters
    ----------
    transmittance, reflectance_front, reflectance_back : float
        Solar, at normal incidence. [-]
    emittance_front, emittance_back : float
        Longwave. [-]
    thickness_m, conductivity_w_per_mk : float
        [m], [W/mK]
    """

    transmittance: float
    reflectance_front: float
    reflectance_back: float
    emittance_front: float = 0.84
    emittance_back: float = 0.84
    thickness_m: float = 0.003
    conductivity_w_per_mk: float = 1.0

    def __post_init__(self) -> None:
        require_within(self.transmittance, 0.0, 0.99, "pane transmittance", "(a fraction)")
        for side in ("front", "back"):
            reflectance = getattr(self, f"reflectance_{side}")
            require_within(reflectance, 0.0, 0.99, f"pane reflectance {side}", "(a fraction)")
            emittance = getattr(self, f"emittance_{side}")
            require_within(emittance, 0.01, 1.0, f"pane emittance {side}", "(a fraction)")
            if self.transmittance + reflectance > 1.0:
                raise InputError(f"pane transmittance and {side} reflectance add to more than 1")
        require_positive(self.thickness_m, "pane thickness", "m")
        require_positive(self.conductivity_w_per_mk, "pane conductivity", "W/mK")

    @property
    def is_clear(self) -> bool:
        """Both sides reflect alike, so the pane is taken as uncoated."""
        return abs(self.reflectance_front - self.reflectance_back) < 1e-9


@dataclass(frozen=True, kw_only=True)
class Gap:
    """The still gas between two panes.

    Parameters
    ----------
    width_m : float
        Distance between the panes. [m]
    gas : {"air", "argon"}
    """

    width_m: float
    gas: str = "air"

    def __post_init__(self) -> None:
        require_positive(self.width_m, "gap width", "m")
        if self.gas not in GAS_CONDUCTIVITY_W_PER_MK:
            raise InputError(f"gap gas must be one of {sorted(GAS_CONDUCTIVITY_W_PER_MK)}")


@dataclass(frozen=True, eq=False, kw_only=True)
class Glazing:
    """What the heat balance needs to know of a window's glass. Panes count from outdoors inward.

    Parameters
    ----------
    transmittance : ndarray, shape (TABLE_SIZE,)
        Solar beam transmittance over the cosine of incidence, 0 to 1 in equal steps. [-]
    absorptance : ndarray, shape (panes, TABLE_SIZE)
        Share of the beam absorbed in each pane. [-]
    transmittance_diffuse, transmittance_back_diffuse : float
        Hemispherical, from outdoors and from inside. [-]
    absorptance_diffuse, absorptance_back_diffuse : ndarray, shape (panes,)
        Hemispherical, by pane. [-]
    gap_conductance_w_per_m2k : ndarray, shape (panes - 1,)
        Conduction through gap and half of the panes beside it, at 10 °C. [W/m²K]
    gap_slope_per_k : ndarray, shape (panes - 1,)
        Relative rise of it with the gap's temperature. [1/K]
    gap_emittance : ndarray, shape (panes - 1,)
        Effective emittance of the two faces toward each other; 0 for a fixed resistance. [-]
    emittance_out, emittance_in : float
        Longwave, of the outer and inner faces. [-]
    """

    transmittance: FloatArray
    absorptance: FloatArray
    transmittance_diffuse: float
    absorptance_diffuse: FloatArray
    transmittance_back_diffuse: float
    absorptance_back_diffuse: FloatArray
    gap_conductance_w_per_m2k: FloatArray
    gap_slope_per_k: FloatArray
    gap_emittance: FloatArray
    emittance_out: float = 0.84
    emittance_in: float = 0.84

    @property
    def panes(self) -> int:
        """Number of panes."""
        return len(self.absorptance)
