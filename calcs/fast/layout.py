"""Places of the numbers in the fast loop's one working array, and what the loop is given.

Every quantity of a group has a row of ``WIDTH`` lanes in one flat array, a group a lane. One array
with fixed distances lets the compiler see that rows never overlap, so that it works on several
groups at once. More groups than lanes go on in a further block of rows. Groups with one face in
the same zone lie side by side, filled up with empty lanes to a multiple of ``FILL``; so do groups
with two.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

WIDTH = 64
FILL = 4
ROWS = 79
BLOCK = ROWS * WIDTH
UNCOUNTED = 3  # kind of hour before the year begins

# Constants of a group, per area: F, C/Δt and B of its chain (see `chains`) ...
(AREA, AREA_STORED, SELF_A, SELF_B, ACROSS, STORE_A, STORE_B, DECAY_1, DECAY_2, DECAY_3, DECAY_4,
 SHARE_1A, SHARE_1B, SHARE_2A, SHARE_2B, SHARE_3A, SHARE_3B,
 SHARE_4A, SHARE_4B,
 # ... convection of a face warmer and cooler than the air, times the cube root of the difference;
 # a fixed coefficient in their place, with FREE 0; radiation to the star over the cubed mean ...
 WARMER_A, COOLER_A, FILM_A, FREE_A, STAR_A,
 WARMER_B, COOLER_B, FILM_B, FREE_B, STAR_B,
 # ... a gap whose conductance follows its temperature; sun let in that falls on the faces ...
 GAP, GAP_SLOPE, GAP_STAR, BEAM_A, DIFFUSE_A, BEAM_B, DIFFUSE_B,
 # what the step brings: the outer face (see `outside`), light in the inner pane, zones ...
 TOTAL_B, CURRENT_B, LIGHT_A, AIR_A, RADIANT_A, AIR_B, RADIANT_B, MORE_SUN_A, MORE_SUN_B,
 # ... the state ...
 END_A, END_B, STATE_1, STATE_2, STATE_3, STATE_4,
 # ... coefficients of the step, sun, and answers to no zone at all and to a unit drive ...
 CONVECTION_A, RADIATION_A, CONVECTION_B, RADIATION_B, SUN_A, SUN_B,
 OWN_A, OWN_B, UNIT_AA, UNIT_AB, UNIT_BB,
 # ... what is asked of the zones: coefficients and currents of face a and of face b, and across.
 AIR_AIR_A, AIR_STAR_A, STAR_STAR_A, TO_AIR_A, TO_STAR_A,
 AIR_AIR_B, AIR_STAR_B, STAR_STAR_B, TO_AIR_B, TO_STAR_B,
 AIR_AIR, AIR_STAR, STAR_AIR, STAR_STAR,
 # ... and what left by face b, less light in the panes, over the hours of each kind. [Wh]
 FLOW_HEATING, FLOW_COOLING, FLOW_IDLE) = (WIDTH * row for row in range(79))  # fmt: skip


class Lanes(NamedTuple):
    """Groups by lane; a lane's place in ``rows`` is that of its block and its place in it."""

    rows: np.ndarray  # flat, blocks x ROWS x WIDTH
    segments: np.ndarray  # of lanes worked together: faces in zones (1 or 2), place, lanes
    runs: np.ndarray  # of lanes with one face in a zone: zone, place, lanes
    pairs: np.ndarray  # lane with two: place, zone a, zone b
    is_lit: np.ndarray  # z, whether windows let sun in
    most_lit: np.ndarray  # the zone whose sun BEAM and DIFFUSE are shares of
    more_sun: np.ndarray  # face in another lit zone: place of its sun in rows, zone
    more_share: np.ndarray  # the same: shares of beam and of diffuse, 1/m²
    outer: np.ndarray  # outdoor face: place in rows, row of the light in its inner pane or -1
    ground: np.ndarray  # ground face: place in rows, row of the ground temperature
    heated: np.ndarray  # the zone with a plant when it is the only one all others hang on, or -1
    bypass: np.ndarray  # z, W/K from zone air to outdoor air beside panes


class Series(NamedTuple):
    """What changes with time for the lanes, by step."""

    total: np.ndarray  # outdoor faces, s
    current: np.ndarray  # outdoor faces, s
    fall: np.ndarray  # outdoor faces, s
    light: np.ndarray  # rows, s
    wind_power: np.ndarray  # z, s, wind to the power that drives its leaks


class Sums(NamedTuple):
    """Sums over the hours of each kind (see `_kernel_data`, and UNCOUNTED)."""

    kept: np.ndarray  # kind, heat taken up by groups at the conditioned space, Wh
    warmth: np.ndarray  # z, kind: air less outdoors, K·h
    beam: np.ndarray  # z, kind, Wh
    diffuse: np.ndarray  # z, kind, Wh
