"""What the hour loop takes and gives: tuples of arrays, and the numbers that name cases."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass, field
from typing import NamedTuple

import numpy as np

SIGMA = 5.670374e-8  # W/m²K⁴
KELVIN = 273.15
GAS_REFERENCE_C = 10.0

OUTDOOR_FACE = -1
GROUND_FACE = -2
ADIABATIC_FACE = -3

FREE, HEATING, COOLING, FULL_HEATING, FULL_COOLING = 0, 1, 2, 3, 4
HEATING_HOURS, COOLING_HOURS, IDLE_HOURS = 0, 1, 2

# Wind-driven part of the outside coefficient, a * V**b: windward and leeward.
WINDWARD_A, WINDWARD_B = 3.26, 0.89
LEEWARD_A, LEEWARD_B = 3.55, 0.617
LEAST_CONVECTION = 0.1  # W/m²K


@dataclass(frozen=True)
class Row:
    """A series of the year with a name that decides whether two are the same."""

    key: Hashable
    values: np.ndarray = field(compare=False)


class Chains(NamedTuple):
    """Elements and their nodes; arrays over elements (e) or nodes (n)."""

    first: np.ndarray  # e, node at face a
    last: np.ndarray  # e, node at face b
    area: np.ndarray  # e, m²
    zone_a: np.ndarray  # e
    zone_b: np.ndarray  # e, or one of the *_FACE numbers
    up_a: np.ndarray  # e, cosine of the angle between zenith and the face's normal
    up_b: np.ndarray  # e
    exchange_a: np.ndarray  # e, effective emittance toward the star
    exchange_b: np.ndarray  # e; outdoors the emittance
    film_a: np.ndarray  # e, combined coefficient, or 0: computed
    film_b: np.ndarray  # e
    to_sky: np.ndarray  # e, share of the longwave exchange with the sky
    roughness: np.ndarray  # e, times the wind-driven part
    windward: np.ndarray  # e, forced convection at 1 m/s of station wind; 0 when sheltered
    leeward: np.ndarray  # e
    constant_b: np.ndarray  # e, outside convection when constant, W/m²K
    bypass: np.ndarray  # e, W/K from zone air to outdoor air beside the panes
    counted: np.ndarray  # e, 1 when face b lies beyond the conditioned space
    stored: np.ndarray  # e, 1 when a face lies in the conditioned space
    ground: np.ndarray  # e, row of the ground temperatures or -1
    capacity: np.ndarray  # n, J/m²K
    conductance: np.ndarray  # n, to the next node, W/m²K at the reference
    slope: np.ndarray  # n, 1/K
    gap_emittance: np.ndarray  # n
    source: np.ndarray  # n, row of the sun series or -1
    source_factor: np.ndarray  # n
    sun_zone: np.ndarray  # n, zone whose transmitted sun the node takes
    beam_share: np.ndarray  # n, 1/m²
    diffuse_share: np.ndarray  # n, 1/m²


class Air(NamedTuple):
    """Zones, moving air and plant; arrays over zones (z), paths (p) or losses (d)."""

    capacity: np.ndarray  # z, J/K
    is_conditioned: np.ndarray  # z
    leak_stack: np.ndarray  # z, m³/s
    leak_wind: np.ndarray  # z, m³/s
    leak_exponent: np.ndarray  # z
    heating_capacity: np.ndarray  # z, W
    cooling_capacity: np.ndarray  # z, W
    path_source: np.ndarray  # p
    path_target: np.ndarray  # p
    path_share: np.ndarray  # p
    path_zone: np.ndarray  # p, zone whose infiltration the share is of, or -1
    loss_zone: np.ndarray  # d
    loss_target: np.ndarray  # d


class Forcing(NamedTuple):
    """Everything that changes with time; by step (s) or by hour (h)."""

    outdoor: np.ndarray  # s, °C
    sky: np.ndarray  # s, °C
    wind: np.ndarray  # s, m/s
    heating_setpoint: np.ndarray  # z, s
    cooling_setpoint: np.ndarray  # z, s
    sun: np.ndarray  # series, h, W/m²
    beam: np.ndarray  # z, h, W
    diffuse: np.ndarray  # z, h, W
    convective_gain: np.ndarray  # z, h, W
    radiant_gain: np.ndarray  # z, h, W
    air_change: np.ndarray  # z, h, m³/s
    balanced: np.ndarray  # z, h, m³/s, less what is recovered
    unbalanced: np.ndarray  # z, h, m³/s
    path_flow: np.ndarray  # p, h, m³/s
    heating_loss: np.ndarray  # d, h
    cooling_loss: np.ndarray  # d, h
    ground: np.ndarray  # rows, h, °C


class Tally(NamedTuple):
    """Results, filled by the loop. Energy sums are over HEATING, COOLING and IDLE hours. [Wh]"""

    heating: np.ndarray  # z, h, W
    cooling: np.ndarray  # z, h, W
    air: np.ndarray  # z, h, °C
    infiltration: np.ndarray  # z, h, m³/s
    element: np.ndarray  # e, 3
    leakage: np.ndarray  # z, 3
    ventilation: np.ndarray  # z, 3
    path: np.ndarray  # p, 3
    solar: np.ndarray  # 3
    internal: np.ndarray  # 3
    storage: np.ndarray  # 3
    load: np.ndarray  # 3
    unsettled: np.ndarray  # 1, steps whose plant modes did not settle
