"""One run of the fast engine: reduce, march, and hand the flows back to the elements."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calcs._assembly import Assembly
from calcs._kernel_data import Tally
from calcs.fast import loop
from calcs.fast.groups import START_C, Reduction
from calcs.fast.layout import FLOW_COOLING, FLOW_HEATING, FLOW_IDLE, UNCOUNTED, Sums
from calcs.network import HOURS, Options

FloatArray = NDArray[np.float64]

FLOWS = np.array([FLOW_HEATING, FLOW_COOLING, FLOW_IDLE])


def march(
    assembly: Assembly, reduction: Reduction, options: Options, tally: Tally, *, hours: int = HOURS
) -> None:
    """Run warm-up and the first ``hours`` of the year into a tally of zeros.

    Flows of elements that went as one group are shared by area; ``own_flows`` tells them apart.
    """
    zones, steps = len(assembly.air.capacity), options.steps_per_hour
    zone_state = np.full(2 * zones, START_C)
    kinds = UNCOUNTED + 1
    sums = Sums(
        kept=np.zeros(kinds),
        warmth=np.zeros((zones, kinds)),
        beam=np.zeros((zones, kinds)),
        diffuse=np.zeros((zones, kinds)),
    )
    lanes = reduction.lanes._replace(rows=reduction.lanes.rows.copy())
    warmup = options.warmup_days * 24 * steps
    for first, count, is_counted in (
        (-warmup % (HOURS * steps), warmup, False),
        (0, hours * steps, True),
    ):
        loop.run(
            lanes, reduction.series, assembly.air, assembly.forcing, tally, sums,
            zone_state, assembly.rho_cp_j_per_m3k, steps, first, count, is_counted,
            options.interior_convection == "natural",
        )  # fmt: skip
    _hand_back(reduction, lanes.rows, assembly, sums, tally)


def _hand_back(
    reduction: Reduction, rows: FloatArray, assembly: Assembly, sums: Sums, tally: Tally
) -> None:
    """From sums by lane to those by element."""
    columns = assembly.columns
    warmth = sums.warmth[:, :UNCOUNTED]
    members = reduction.members
    tally.element[members.element] = rows[members.place[:, None] + FLOWS] * members.share[:, None]
    beside = np.array(columns["bypass"])
    if beside.any():
        tally.element[:] += beside[:, None] * warmth[columns["zone_a"]]
    tally.storage[:] += sums.kept[:UNCOUNTED]
    sun = reduction.sun_weight
    tally.solar[:] = sun[0] @ sums.beam[:, :UNCOUNTED] + sun[1] @ sums.diffuse[:, :UNCOUNTED]
