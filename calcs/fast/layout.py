"""Places of the numbers in the fast loop's one working array, and what the loop is given.

Every quantity of a group has a row of ``WIDTH`` lanes in one flat array, a group a lane. One array
with fixed distances lets the compiler see that rows never overlap, so that it works on several
groups at once. More groups than lanes go on in a further block of rows.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

WIDTH = 64
FILL = 4  # lanes of a kind are filled up to a multiple of this
ROWS = 64

# Constants of a group, per area: F, C/Δt and B of its chain (see `chains`) ...
(AREA, SELF_A, SELF_B, ACROSS, STORE_A, STORE_B, DECAY_1, DECAY_2, DECAY_3,
 SHARE_1A, SHARE_1B, SHARE_2A, SHARE_2B, SHARE_3A, SHARE_3B,
 # ... convection of a face warmer and cooler than the air, times the cube root of the difference;
 # a combined film in their place, with FREE 0; radiation to the star over the cubed mean ...
 WARMER_A, COOLER_A, FILM_A, FREE_A, STAR_A,
 WARMER_B, COOLER_B, FILM_B, FREE_B, STAR_B,
 # ... a gap whose conductance follows its temperature; sun let in that falls on the faces ...
 GAP, GAP_SLOPE, GAP_STAR, BEAM_A, DIFFUSE_A, BEAM_B, DIFFUSE_B, BYPASS,
 # what the step brings: the outer face (see `outside`), light in the inner pane, sun, zones ...
 TOTAL_B, CURRENT_B, FALL_B, LIGHT_A, SUN_A, SUN_B, AIR_A, RADIANT_A, AIR_B, RADIANT_B,
 # ... the state ...
 END_A, END_B, STATE_1, STATE_2, STATE_3,
 # ... coefficients of the step, answers to no zone at all and to a unit drive, and sums.
 CONVECTION_A, RADIATION_A, CONVECTION_B, RADIATION_B,
 OWN_A, OWN_B, UNIT_AA, UNIT_AB, UNIT_BB,
 AIR_AIR, AIR_STAR, STAR_STAR, TO_AIR, TO_STAR,
 FLOW, KEPT) = (WIDTH * row for row in range(64))  # fmt: skip


class Lanes(NamedTuple):
    """Groups by lane: first those with one face in a zone, sorted by it, then those with two."""

    rows: np.ndarray  # flat, blocks x ROWS x WIDTH
    counts: np.ndarray  # lanes with one zone face, filled up; all lanes; those outdoors
    zone_a: np.ndarray  # lane
    zone_b: np.ndarray  # lane, or -1
    light: np.ndarray  # lane with an outer series, row of the light in its inner pane or -1
    ground: np.ndarray  # ground lanes: lane, row
    is_counted: np.ndarray  # lane
    is_stored: np.ndarray  # lane
    sun_weight: np.ndarray  # 2 x zones: share of beam and of diffuse kept by the conditioned space


class Series(NamedTuple):
    """What changes with time for the lanes, by step."""

    total: np.ndarray  # outer lanes, s
    current: np.ndarray  # outer lanes, s
    fall: np.ndarray  # outer lanes, s
    light: np.ndarray  # rows, s
    leak_wind: np.ndarray  # z, s, m³/s by wind alone
