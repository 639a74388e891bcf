"""Telling apart, after a run, the elements that went through it as one group.

What one of them loses more than the group's mean follows from its own sun and wind alone, the
inside being the same for all. It is taken as steady from hour to hour, which leaves the sum of the
group as it was run.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calcs._kernel_data import COOLING_HOURS, HEATING_HOURS, IDLE_HOURS
from calcs.fast.groups import INSIDE_FILM_W_PER_M2K, START_C, Group, Reduction
from calcs.fast.outside import outer_series

FloatArray = NDArray[np.float64]


def own_flows(reduction: Reduction, element: FloatArray, plant_w: FloatArray) -> FloatArray:
    """Flows of elements by kind of hour, those of groups with more than one told apart.

    Parameters
    ----------
    reduction : Reduction
        As the run left it.
    element : ndarray, shape (elements, 3)
        Flows shared by area within each group. [Wh]
    plant_w : ndarray, shape (8760,)
        Heat given by all plant, cooling negative; decides the kind of each hour. [W]

    Returns
    -------
    ndarray, shape (elements, 3)
        [Wh]
    """
    kinds = np.zeros((3, len(plant_w)))
    kinds[HEATING_HOURS] = plant_w > 0.0
    kinds[COOLING_HOURS] = plant_w < 0.0
    kinds[IDLE_HOURS] = plant_w == 0.0
    found = element.copy()
    for _, group in reduction.groups:
        if len(group.members) == 1:
            continue
        leaving = [_steady(reduction, group, i) for i in range(len(group.members))]
        areas = np.array(group.areas)
        mean = np.average(leaving, axis=0, weights=areas)
        for e, area, own in zip(group.members, areas, leaving, strict=True):
            found[e] += area * (kinds @ (own - mean))
    return found


def _steady(reduction: Reduction, group: Group, i: int) -> FloatArray:
    """Heat leaving one member by its outer face, less the light in its panes, by hour. [W/m²]"""
    hours = 8760
    face = group.faces[i]
    if face is None:
        return np.zeros(hours)
    series = outer_series(reduction.air, face, reduction.wind_outside)

    def hourly(values: FloatArray) -> FloatArray:
        return values.reshape(hours, -1).mean(axis=1)

    outward = hourly(series.total) + hourly(series.fall)
    current = hourly(series.current)
    light = group.lights[i]
    inner = np.zeros(hours) if light is None else light[1] * light[0].values
    steady = group.conductance
    # Two nodes, inner and outer face, between a room and the open air.
    room = INSIDE_FILM_W_PER_M2K * START_C + inner
    first = INSIDE_FILM_W_PER_M2K + steady
    outer = (current + steady * room / first) / (outward + steady - steady**2 / first)
    leaves: FloatArray = outward * outer - current - inner
    return leaves
