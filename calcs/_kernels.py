"""The hour loop of the heat balance.

Each element is a chain of conduction nodes. A chain is swept down to the air and radiant nodes of
the one or two zones it touches, so the system left to solve has two unknowns a zone whatever the
number of nodes. Steps are implicit (backward Euler); film and radiation coefficients are those of
the temperatures a step before. Nothing is allocated inside the loop.

Chains run from face a, in a zone, to face b: in a zone, outdoors, at the ground, or adiabatic. A
face exchanges ``convection * T_air + radiation * T_star``, called its drive, per area.

References
----------
Interior and natural convection: Walton, NBSIR 83-2655 (1983). Radiant star with view to itself
taken out: Carroll, "An MRT method of computing radiant energy exchange in rooms" (1980).
Wind-driven convection: Yazdanian and Klems, ASHRAE Transactions 100 (1994), mean of windward and
leeward. Roughness: Walton 1983. Coefficients from memory.
"""

from __future__ import annotations

import numpy as np

from calcs._jit import compiled
from calcs._kernel_data import (
    COOLING,
    COOLING_HOURS,
    FREE,
    FULL_COOLING,
    FULL_HEATING,
    GAS_REFERENCE_C,
    GROUND_FACE,
    HEATING,
    HEATING_HOURS,
    IDLE_HOURS,
    KELVIN,
    LEAST_CONVECTION,
    LEEWARD_B,
    OUTDOOR_FACE,
    SIGMA,
    WINDWARD_B,
)


@compiled
def natural_convection(surface_less_air, up):  # type: ignore[no-untyped-def]  # numba infers
    """Natural convection of a face whose normal has the vertical part ``up``. [W/m²K]"""
    root = np.cbrt(abs(surface_less_air))
    if surface_less_air * up > 0.0:
        return max(9.482 * root / (7.238 - abs(up)), LEAST_CONVECTION)
    return max(1.810 * root / (1.382 + abs(up)), LEAST_CONVECTION)


@compiled
def constant_convection(surface_less_air, up):  # type: ignore[no-untyped-def]  # numba infers
    """Constant inside coefficients of ISO 52016-1: 5.0 upward, 0.7 downward, 2.5 level. [W/m²K]"""
    if abs(up) < 0.5:
        return 2.5
    if surface_less_air * up > 0.0:
        return 5.0
    return 0.7


@compiled
def sweep(first, last, diagonal, link, constant, one_a, one_b, with_b):  # type: ignore[no-untyped-def]  # numba infers
    """Solve a chain for three right-hand sides: its own, a unit at face a, a unit at face b.

    ``diagonal`` and ``constant`` come filled; ``link[i]`` joins i and i + 1. On return
    ``constant``, ``one_a`` and, ``with_b``, ``one_b`` hold the solutions, and ``diagonal`` the
    inverse pivots. Eliminates from face b toward a.
    """
    one_b[last] = 1.0
    diagonal[last] = 1.0 / diagonal[last]
    for i in range(last - 1, first - 1, -1):
        ratio = link[i] * diagonal[i + 1]
        diagonal[i] = 1.0 / (diagonal[i] - ratio * link[i])
        constant[i] += ratio * constant[i + 1]
        if with_b:
            one_b[i] = ratio * one_b[i + 1]
    constant[first] *= diagonal[first]
    one_a[first] = diagonal[first]
    for i in range(first + 1, last + 1):
        constant[i] = (constant[i] + link[i - 1] * constant[i - 1]) * diagonal[i]
        one_a[i] = link[i - 1] * one_a[i - 1] * diagonal[i]
    if with_b:
        one_b[first] *= diagonal[first]
        for i in range(first + 1, last + 1):
            one_b[i] = (one_b[i] + link[i - 1] * one_b[i - 1]) * diagonal[i]


@compiled
def eliminate(matrix, right):  # type: ignore[no-untyped-def]  # numba infers
    """Solve a small dense system in place by Gauss with partial pivoting; answer in ``right``."""
    size = right.shape[0]
    for i in range(size):
        pivot = i
        for row in range(i + 1, size):
            if abs(matrix[row, i]) > abs(matrix[pivot, i]):
                pivot = row
        if pivot != i:
            for column in range(i, size):
                matrix[i, column], matrix[pivot, column] = (
                    matrix[pivot, column],
                    matrix[i, column],
                )
            right[i], right[pivot] = right[pivot], right[i]
        for row in range(i + 1, size):
            factor = matrix[row, i] / matrix[i, i]
            if factor != 0.0:
                for column in range(i + 1, size):
                    matrix[row, column] -= factor * matrix[i, column]
                right[row] -= factor * right[i]
    for i in range(size - 1, -1, -1):
        total = right[i]
        for column in range(i + 1, size):
            total -= matrix[i, column] * right[column]
        right[i] = total / matrix[i, i]


@compiled
def settle_plant(matrix, right, work, answer, air, forcing, step, hour, mode, plant):  # type: ignore[no-untyped-def]  # numba infers
    """Zone temperatures and plant output with every thermostat satisfied or plant at its limit.

    Fixing an air node makes the plant's output the unknown in its place, so the share of it that
    ducts give to another zone is solved at the same time. Returns False when modes keep changing.
    """
    zones = mode.shape[0]
    size = 2 * zones
    for z in range(zones):
        mode[z] = FREE
    for _ in range(6 * zones + 6):
        for i in range(size):
            answer[i] = right[i]
            for j in range(size):
                work[i, j] = matrix[i, j]
        for z in range(zones):
            if mode[z] == FREE:
                continue
            heats = mode[z] == HEATING or mode[z] == FULL_HEATING
            if mode[z] == HEATING or mode[z] == COOLING:
                held = (
                    forcing.heating_setpoint[z, step]
                    if mode[z] == HEATING
                    else forcing.cooling_setpoint[z, step]
                )
                for i in range(size):
                    answer[i] -= matrix[i, z] * held
                    work[i, z] = 0.0
                work[z, z] = -1.0
            else:
                plant[z] = air.heating_capacity[z] if heats else -air.cooling_capacity[z]
                answer[z] += plant[z]
            for d in range(air.loss_zone.shape[0]):
                if air.loss_zone[d] != z:
                    continue
                share = forcing.heating_loss[d, hour] if heats else forcing.cooling_loss[d, hour]
                if mode[z] == HEATING or mode[z] == COOLING:
                    work[air.loss_target[d], z] -= share
                else:
                    answer[air.loss_target[d]] += share * plant[z]
        eliminate(work, answer)
        for z in range(zones):
            if mode[z] == HEATING or mode[z] == COOLING:
                plant[z] = answer[z]
                answer[z] = (
                    forcing.heating_setpoint[z, step]
                    if mode[z] == HEATING
                    else forcing.cooling_setpoint[z, step]
                )
            elif mode[z] == FREE:
                plant[z] = 0.0
        has_changed = False
        for z in range(zones):
            before = mode[z]
            if before == FREE:
                # Heating first: with equal set-points no hour is free.
                if answer[z] < forcing.heating_setpoint[z, step] - 1e-9:
                    mode[z] = HEATING
                elif answer[z] > forcing.cooling_setpoint[z, step] + 1e-9:
                    mode[z] = COOLING
            elif before == HEATING:
                if plant[z] < -1e-6:
                    mode[z] = FREE
                elif plant[z] > air.heating_capacity[z]:
                    mode[z] = FULL_HEATING
            elif before == COOLING:
                if plant[z] > 1e-6:
                    mode[z] = FREE
                elif -plant[z] > air.cooling_capacity[z]:
                    mode[z] = FULL_COOLING
            elif before == FULL_HEATING:
                if answer[z] > forcing.heating_setpoint[z, step] + 1e-9:
                    mode[z] = HEATING
            elif answer[z] < forcing.cooling_setpoint[z, step] - 1e-9:
                mode[z] = COOLING
            if mode[z] != before:
                has_changed = True
        if not has_changed:
            return True
    return False


@compiled
def run(  # type: ignore[no-untyped-def]  # numba infers
    chains,
    air,
    forcing,
    tally,
    temperature,
    zone_state,
    rho_cp,
    thinness,
    steps_per_hour,
    first_step,
    steps,
    is_counted,
    natural_inside,
    wind_outside,
):
    """March over ``steps`` steps of the year's ring from ``first_step``.

    ``thinness`` is natural convection in the station's air over that at sea level.
    ``temperature`` (nodes) and ``zone_state`` (2 x zones: air, then star) are the start and, on
    return, the end. Results go to ``tally`` only when ``is_counted``.
    """
    elements = chains.first.shape[0]
    nodes = chains.capacity.shape[0]
    zones = air.capacity.shape[0]
    paths = air.path_source.shape[0]
    size = 2 * zones
    year = forcing.outdoor.shape[0]
    hours_per_step = 1.0 / steps_per_hour
    per_second = steps_per_hour / 3600.0

    diagonal, link = np.empty(nodes), np.zeros(nodes)
    constant, one_a, one_b = np.empty(nodes), np.zeros(nodes), np.zeros(nodes)
    convection_a, radiation_a = np.empty(elements), np.empty(elements)
    convection_b, radiation_b = np.zeros(elements), np.zeros(elements)
    total_b, drive_b, taken = np.zeros(elements), np.zeros(elements), np.zeros(elements)
    inside_sun = np.empty(nodes)
    matrix, work = np.empty((size, size)), np.empty((size, size))
    right, answer = np.empty(size), np.empty(size)
    mode = np.zeros(zones, dtype=np.int64)
    plant, leak = np.zeros(zones), np.zeros(zones)
    beam, diffuse = np.zeros(zones), np.zeros(zones)
    open_leak, fans, path_flow = np.zeros(zones), np.zeros(zones), np.zeros(paths)

    for count in range(steps):
        step = (first_step + count) % year
        hour = step // steps_per_hour
        outdoor, sky, wind = forcing.outdoor[step], forcing.sky[step], forcing.wind[step]
        windward, leeward = wind**WINDWARD_B, wind**LEEWARD_B
        for i in range(size):
            right[i] = 0.0
            for j in range(size):
                matrix[i, j] = 0.0

        # Moving air.
        for z in range(zones):
            stack = air.leak_stack[z] * abs(zone_state[z] - outdoor) ** air.leak_exponent[z]
            blown = air.leak_wind[z] * wind ** (2.0 * air.leak_exponent[z])
            leak[z] = np.sqrt(stack * stack + blown * blown) + forcing.air_change[z, hour]
            open_leak[z] = leak[z]
            extra = forcing.unbalanced[z, hour]
            fans[z] = forcing.balanced[z, hour]
            if extra > 0.0:
                fans[z] += np.sqrt(extra * extra + leak[z] * leak[z]) - leak[z]
        for p in range(paths):
            path_flow[p] = forcing.path_flow[p, hour]
            if air.path_zone[p] >= 0:
                part = air.path_share[p] * leak[air.path_zone[p]]
                path_flow[p] += part
                if air.path_zone[p] == air.path_target[p]:
                    open_leak[air.path_target[p]] = max(open_leak[air.path_target[p]] - part, 0.0)
        for z in range(zones):
            beam[z], diffuse[z] = forcing.beam[z, hour], forcing.diffuse[z, hour]
            inertia = air.capacity[z] * per_second
            flow = rho_cp * (open_leak[z] + fans[z])
            matrix[z, z] += inertia + flow
            right[z] += inertia * zone_state[z] + flow * outdoor + forcing.convective_gain[z, hour]
            right[zones + z] += forcing.radiant_gain[z, hour]
        for p in range(paths):
            flow = rho_cp * path_flow[p]
            matrix[air.path_target[p], air.path_target[p]] += flow
            matrix[air.path_target[p], air.path_source[p]] -= flow

        # Chains.
        for e in range(elements):
            a, b = chains.first[e], chains.last[e]
            za, zb = chains.zone_a[e], chains.zone_b[e]
            area = chains.area[e]
            taken[e] = 0.0
            for i in range(a, b + 1):
                inertia = chains.capacity[i] * per_second
                zone = chains.sun_zone[i]
                inside_sun[i] = (
                    chains.beam_share[i] * beam[zone] + chains.diffuse_share[i] * diffuse[zone]
                )
                constant[i] = inertia * temperature[i] + inside_sun[i]
                if chains.source[i] >= 0:
                    light = chains.source_factor[i] * forcing.sun[chains.source[i], hour]
                    constant[i] += light
                    taken[e] += light
                diagonal[i] = inertia
            for i in range(a, b):
                link[i] = chains.conductance[i]
                if chains.gap_emittance[i] > 0.0:
                    mean = 0.5 * (temperature[i] + temperature[i + 1])
                    link[i] *= 1.0 + chains.slope[i] * (mean - GAS_REFERENCE_C)
                    link[i] += chains.gap_emittance[i] * 4.0 * SIGMA * (mean + KELVIN) ** 3
                diagonal[i] += link[i]
                diagonal[i + 1] += link[i]

            if chains.film_a[e] > 0.0:
                convection_a[e], radiation_a[e] = chains.film_a[e], 0.0
            else:
                difference = temperature[a] - zone_state[za]
                if natural_inside:
                    convection_a[e] = thinness * natural_convection(difference, chains.up_a[e])
                else:
                    convection_a[e] = constant_convection(difference, chains.up_a[e])
                mean = 0.5 * (temperature[a] + zone_state[zones + za]) + KELVIN
                radiation_a[e] = chains.exchange_a[e] * 4.0 * SIGMA * mean**3
            diagonal[a] += convection_a[e] + radiation_a[e]

            if zb >= 0:
                if chains.film_b[e] > 0.0:
                    convection_b[e], radiation_b[e] = chains.film_b[e], 0.0
                else:
                    difference = temperature[b] - zone_state[zb]
                    if natural_inside:
                        convection_b[e] = thinness * natural_convection(difference, chains.up_b[e])
                    else:
                        convection_b[e] = constant_convection(difference, chains.up_b[e])
                    mean = 0.5 * (temperature[b] + zone_state[zones + zb]) + KELVIN
                    radiation_b[e] = chains.exchange_b[e] * 4.0 * SIGMA * mean**3
                total_b[e] = convection_b[e] + radiation_b[e]
            elif zb == OUTDOOR_FACE:
                if chains.film_b[e] > 0.0:
                    total_b[e] = chains.film_b[e]
                    drive_b[e] = chains.film_b[e] * outdoor
                else:
                    surface_k = temperature[b] + KELVIN
                    still = natural_convection(temperature[b] - outdoor, chains.up_b[e])
                    still *= thinness
                    convective = chains.constant_b[e]
                    if wind_outside:
                        convective = still
                        forced = chains.windward[e] * windward + chains.leeward[e] * leeward
                        if forced > 0.0:
                            smooth = np.sqrt(still * still + forced * forced)
                            convective = still + chains.roughness[e] * (smooth - still)
                    air_k, sky_k = outdoor + KELVIN, sky + KELVIN
                    strength = chains.exchange_b[e] * SIGMA
                    to_air = (1.0 - chains.to_sky[e]) * strength
                    to_air *= (surface_k**2 + air_k**2) * (surface_k + air_k)
                    to_sky = chains.to_sky[e] * strength
                    to_sky *= (surface_k**2 + sky_k**2) * (surface_k + sky_k)
                    total_b[e] = convective + to_air + to_sky
                    drive_b[e] = (convective + to_air) * outdoor + to_sky * sky
                constant[b] += drive_b[e]
            elif zb == GROUND_FACE:
                total_b[e] = chains.film_b[e]
                drive_b[e] = chains.film_b[e] * forcing.ground[chains.ground[e], hour]
                constant[b] += drive_b[e]
            else:
                total_b[e], drive_b[e] = 0.0, 0.0
            diagonal[b] += total_b[e]

            sweep(a, b, diagonal, link, constant, one_a, one_b, zb >= 0)

            ca, ra = area * convection_a[e], area * radiation_a[e]
            fa_air, fa_star = convection_a[e], radiation_a[e]
            matrix[za, za] += ca * (1.0 - one_a[a] * fa_air)
            matrix[za, zones + za] -= ca * one_a[a] * fa_star
            matrix[zones + za, zones + za] += ra * (1.0 - one_a[a] * fa_star)
            matrix[zones + za, za] -= ra * one_a[a] * fa_air
            right[za] += ca * constant[a]
            right[zones + za] += ra * constant[a]
            if zb >= 0:
                cb, rb = area * convection_b[e], area * radiation_b[e]
                fb_air, fb_star = convection_b[e], radiation_b[e]
                matrix[za, zb] -= ca * one_b[a] * fb_air
                matrix[za, zones + zb] -= ca * one_b[a] * fb_star
                matrix[zones + za, zb] -= ra * one_b[a] * fb_air
                matrix[zones + za, zones + zb] -= ra * one_b[a] * fb_star
                matrix[zb, zb] += cb * (1.0 - one_b[b] * fb_air)
                matrix[zb, zones + zb] -= cb * one_b[b] * fb_star
                matrix[zones + zb, zones + zb] += rb * (1.0 - one_b[b] * fb_star)
                matrix[zones + zb, zb] -= rb * one_b[b] * fb_air
                matrix[zb, za] -= cb * one_a[b] * fa_air
                matrix[zb, zones + za] -= cb * one_a[b] * fa_star
                matrix[zones + zb, za] -= rb * one_a[b] * fa_air
                matrix[zones + zb, zones + za] -= rb * one_a[b] * fa_star
                right[zb] += cb * constant[b]
                right[zones + zb] += rb * constant[b]
            elif chains.bypass[e] > 0.0:
                matrix[za, za] += chains.bypass[e]
                right[za] += chains.bypass[e] * outdoor

        for z in range(zones):
            # A zone all of whose faces have combined films has no use for its star.
            if matrix[zones + z, zones + z] == 0.0:
                matrix[zones + z, zones + z] = 1.0
                matrix[zones + z, z] = -1.0
                right[z] += right[zones + z]
                right[zones + z] = 0.0

        has_settled = settle_plant(
            matrix, right, work, answer, air, forcing, step, hour, mode, plant
        )

        # What flowed, in the class of hour that the whole conditioned space makes.
        kind = IDLE_HOURS
        if is_counted:
            if not has_settled:
                tally.unsettled[0] += 1.0
            total = 0.0
            for z in range(zones):
                total += plant[z]
            if total > 0.0:
                kind = HEATING_HOURS
            elif total < 0.0:
                kind = COOLING_HOURS
            tally.load[kind] += total * hours_per_step
            for z in range(zones):
                tally.heating[z, hour] += max(plant[z], 0.0) * hours_per_step
                tally.cooling[z, hour] += max(-plant[z], 0.0) * hours_per_step
                tally.air[z, hour] += answer[z] * hours_per_step
                tally.infiltration[z, hour] += leak[z] * hours_per_step
                if air.is_conditioned[z]:
                    warmer = rho_cp * (answer[z] - outdoor) * hours_per_step
                    tally.leakage[z, kind] += open_leak[z] * warmer
                    tally.ventilation[z, kind] += fans[z] * warmer
                    gain = forcing.convective_gain[z, hour] + forcing.radiant_gain[z, hour]
                    tally.internal[kind] += gain * hours_per_step
                    change = air.capacity[z] * (answer[z] - zone_state[z]) / 3600.0
                    tally.storage[kind] += change
            for p in range(paths):
                target, origin = air.path_target[p], air.path_source[p]
                if air.is_conditioned[target]:
                    warmer = rho_cp * (answer[target] - answer[origin]) * hours_per_step
                    tally.path[p, kind] += path_flow[p] * warmer

        for e in range(elements):
            a, b = chains.first[e], chains.last[e]
            za, zb = chains.zone_a[e], chains.zone_b[e]
            drive_a = convection_a[e] * answer[za] + radiation_a[e] * answer[zones + za]
            if zb >= 0:
                drive_b[e] = convection_b[e] * answer[zb] + radiation_b[e] * answer[zones + zb]
            stored, solar = 0.0, 0.0
            for i in range(a, b + 1):
                value = constant[i] + one_a[i] * drive_a
                if zb >= 0:
                    value += one_b[i] * drive_b[e]
                stored += chains.capacity[i] * (value - temperature[i])
                solar += inside_sun[i]
                temperature[i] = value
            if is_counted and chains.stored[e]:
                tally.storage[kind] += chains.area[e] * stored / 3600.0
                if chains.counted[e]:
                    # Sun on the outside lessens the loss; sun from a buffer zone does too.
                    beyond = total_b[e] * temperature[b] - drive_b[e] - taken[e]
                    if zb >= 0:
                        beyond -= inside_sun[b]
                        solar -= inside_sun[b]
                    flow = chains.area[e] * beyond + chains.bypass[e] * (answer[za] - outdoor)
                    tally.element[e, kind] += flow * hours_per_step
                tally.solar[kind] += chains.area[e] * solar * hours_per_step
        for i in range(size):
            zone_state[i] = answer[i]
