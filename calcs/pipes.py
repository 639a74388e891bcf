"""Heat of bare pipes to the air around them, by natural convection and radiation.

References
----------
Churchill and Chu 1975, laminar and turbulent natural convection from a horizontal cylinder
(memory; a worked textbook example is in the tests). Properties of air as straight lines in the
film temperature from published tables (memory).
"""

from __future__ import annotations

import math
from functools import lru_cache

import numpy as np

from calcs.constants import CELSIUS_ZERO_K, GRAVITY_M_PER_S2
from calcs.network import FloatArray
from calcs.validation import require_positive, require_within

STEFAN_BOLTZMANN = 5.670374e-8
OXIDIZED_STEEL_EMISSIVITY = 0.85  # rusty or painted iron (memory)
PIPE_DIAMETER_M = 0.0603  # steel pipe of 2 in. nominal, 2.375 in. outside
PIPE_REFERENCE_AIR_C = 15.0
_STEPS_K = np.array([0.0, 5.0, 10.0, 20.0, 35.0, 50.0, 70.0, 90.0, 120.0, 150.0])


def pipe_loss_w_per_m(
    surface_c: float,
    air_c: float,
    *,
    diameter_m: float = PIPE_DIAMETER_M,
    emissivity: float = OXIDIZED_STEEL_EMISSIVITY,
) -> float:
    """Heat of a bare horizontal pipe in still air, walls as warm as the air. [W/m]

    Raises
    ------
    InputError
        Diameter not positive, or emissivity outside 0 to 1.
    """
    require_positive(diameter_m, "pipe diameter", "m")
    require_within(emissivity, 0.0, 1.0, "emissivity", "(no unit)")
    surface_k, air_k = surface_c + CELSIUS_ZERO_K, air_c + CELSIUS_ZERO_K
    if surface_k <= air_k:
        return 0.0
    film_k = (surface_k + air_k) / 2.0
    conductivity = 0.0263 + 7.2e-5 * (film_k - 300.0)
    viscosity = 15.89e-6 + 1.02e-7 * (film_k - 300.0)
    diffusivity = 22.5e-6 + 1.52e-7 * (film_k - 300.0)
    prandtl = viscosity / diffusivity
    rayleigh = (
        GRAVITY_M_PER_S2 / film_k * (surface_k - air_k) * diameter_m**3 / (viscosity * diffusivity)
    )
    shape = (1.0 + (0.559 / prandtl) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    nusselt = (0.60 + 0.387 * rayleigh ** (1.0 / 6.0) / shape) ** 2
    convection = nusselt * conductivity / diameter_m * (surface_k - air_k)
    radiation = emissivity * STEFAN_BOLTZMANN * (surface_k**4 - air_k**4)
    return math.pi * diameter_m * (convection + radiation)


@lru_cache(maxsize=1)
def _table() -> FloatArray:
    return np.array(
        [pipe_loss_w_per_m(PIPE_REFERENCE_AIR_C + step, PIPE_REFERENCE_AIR_C) for step in _STEPS_K]
    )


def bare_pipe_w_per_m(above_k: FloatArray) -> FloatArray:
    """Heat of a bare 2 in. pipe by how far it is above the air, near 59 °F. [W/m]"""
    return np.interp(above_k, _STEPS_K, _table())
