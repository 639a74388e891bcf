"""An element's row of nodes as what its two faces feel: a small table and at most four states.

A chain of conduction nodes stepped implicitly is linear, so its faces need not know its inside.
With the temperatures of the two end nodes as inputs the inner nodes fall apart into modes, each
with one decay per step. What the end nodes feel is then

    (F + films) T = currents, currents = C/Δt T_before + B q_before + what falls on the nodes,
    q = A q_before + B' T,  A = diag(decay),

exact as long as all modes are kept. Longer chains are cut to four states by balanced truncation;
the model is symmetric (B the same on both sides), so one Gramian serves and the cut stays stable
and passive. What the cut takes from the steady conductance is put back into F.

References
----------
Balanced truncation: Moore, IEEE Transactions on Automatic Control 26 (1981) 17-32 (memory); for
symmetric systems Liu, Sreeram and Teo, Systems & Control Letters 35 (1998) 107-117 (memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

STATES = 4
# Share of the Hankel singular values that may be cut; a thicker wall goes to the full engine.
LARGEST_CUT = 0.005
# One node alone (a pane taken whole) becomes two with a link so strong that they are one.
TIGHT_W_PER_M2K = 1.0e5


class UnfitError(ValueError):
    """A part the fast engine has no form for; the full one serves."""


@dataclass(frozen=True, eq=False)
class ReducedChain:
    """Two ends of a chain, a toward the zone, per area and for one length of step.

    Parameters
    ----------
    self_a, self_b, across : float
        Entries of F: (self_a, -across; -across, self_b). [W/m²K]
    store_a, store_b : float
        C/Δt of the end nodes. [W/m²K]
    decay : ndarray, shape (STATES,)
        A, 0 to 1; 0 in a state that is not used. [-]
    share : ndarray, shape (STATES, 2)
        B, columns a and b. [W/m²K] with states in kelvin
    reach_a : ndarray, shape (nodes,)
        Share of what falls on each node that arrives at end a at once; the rest arrives at b.
    """

    self_a: float
    self_b: float
    across: float
    store_a: float
    store_b: float
    decay: FloatArray
    share: FloatArray
    reach_a: FloatArray


@lru_cache(maxsize=512)
def reduce_chain(
    capacity: tuple[float, ...], conductance: tuple[float, ...], step_s: float
) -> ReducedChain:
    """Cut a chain to its ends and four states.

    Parameters
    ----------
    capacity : tuple of float, length n
        Heat capacity of each node. [J/m²K]
    conductance : tuple of float, length n or n - 1
        From each node to the next. [W/m²K]
    step_s : float
        Length of the implicit step. [s]

    Raises
    ------
    UnfitError
        The states kept would leave out more than ``LARGEST_CUT`` of what the ends feel.
    """
    if len(capacity) == 1:
        capacity, conductance = (0.5 * capacity[0],) * 2, (TIGHT_W_PER_M2K,)
    store = np.array(capacity) / step_s
    count = len(store)
    laplace = np.zeros((count, count))
    for i in range(count - 1):
        g = conductance[i]
        laplace[i : i + 2, i : i + 2] += np.array([[g, -g], [-g, g]])
    ends = np.array([0, count - 1])
    inner = np.arange(1, count - 1)
    heavy, light = inner[store[inner] > 0.0], inner[store[inner] == 0.0]
    reach = np.linspace(1.0, 0.0, count)
    kept = np.array([0, *heavy, count - 1])
    if len(light):
        # Nodes without heat of their own pass on what they get, at once.
        onto = -np.linalg.solve(laplace[np.ix_(light, light)], laplace[np.ix_(light, kept)])
        laplace[np.ix_(kept, kept)] += laplace[np.ix_(kept, light)] @ onto
        reach[light] = onto[:, 0] + onto[:, 1:-1] @ reach[heavy]
    ends_matrix = laplace[np.ix_(ends, ends)] + np.diag(store[ends])
    decay, share = np.zeros(STATES), np.zeros((STATES, 2))
    if len(heavy):
        root = np.sqrt(store[heavy])
        rate, modes = np.linalg.eigh(laplace[np.ix_(heavy, heavy)] / np.outer(root, root))
        given = modes.T @ (-laplace[np.ix_(heavy, ends)] / root[:, None])
        all_decay = 1.0 / (1.0 + rate)
        ends_matrix = ends_matrix - given.T @ (given * all_decay[:, None])
        all_share = given * all_decay[:, None]
        used = min(STATES, len(heavy))
        if len(heavy) > STATES:
            steady = all_share.T @ (all_share / (1.0 - all_decay)[:, None])
            all_decay, all_share = _balanced(all_decay, all_share, used)
            now = all_share.T @ (all_share / (1.0 - all_decay)[:, None])
            ends_matrix = ends_matrix - (steady - now)
        decay[:used], share[:used] = all_decay, all_share
    return ReducedChain(
        self_a=float(ends_matrix[0, 0]),
        self_b=float(ends_matrix[1, 1]),
        across=float(-ends_matrix[0, 1]),
        store_a=float(store[0]),
        store_b=float(store[-1]),
        decay=decay,
        share=share,
        reach_a=reach,
    )


def _balanced(decay: FloatArray, share: FloatArray, size: int) -> tuple[FloatArray, FloatArray]:
    """The ``size`` states of a symmetric system that the ends feel most, again as modes."""
    gramian = share @ share.T / (1.0 - np.outer(decay, decay))
    felt, vectors = np.linalg.eigh(gramian)
    if felt[:-size].sum() > LARGEST_CUT * felt.sum():
        raise UnfitError("a chain too thick for the states of the fast engine")
    chosen = vectors[:, -size:]
    small = chosen.T @ (decay[:, None] * chosen)
    values, turn = np.linalg.eigh(small)
    return values, turn.T @ (chosen.T @ share)
