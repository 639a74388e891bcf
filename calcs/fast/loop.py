"""The fast hour loop: the same balance as the full one, over groups of cut chains.

What differs from the full loop: a chain is its two ends and three states; outside faces take their
coefficients from series made beforehand; alike elements are one group; the cube root is a
rational function. The zones are solved in a fixed order, stars first and the heated zone last, so
that its thermostat is settled by one line of algebra.
"""

from __future__ import annotations

import numpy as np

from calcs._jit import compiled_loosely
from calcs._kernel_data import (
    COOLING_HOURS,
    GAS_REFERENCE_C,
    HEATING_HOURS,
    IDLE_HOURS,
    KELVIN,
    LEAST_CONVECTION,
)
from calcs._kernels import settle_plant
from calcs.fast import layout as at

# x**(1/3) over the square root s of x: s * (N0 + N1 s + N2 s²) / (1 + D1 s + D2 s² + D3 s³),
# least squares of the relative error over 0.003 to 100 K, own fit, within 0.5 %.
N0, N1, N2 = 4.350015443190944, 32.31363438307884, 12.120290937218277
D1, D2, D3 = 23.312709516597533, 23.68683013235676, 0.7283088245169628

BLOCK = at.ROWS * at.WIDTH


@compiled_loosely
def one_face(p, lanes, natural_inside, outdoor):  # type: ignore[no-untyped-def]  # numba infers
    """Groups with one face in a zone: their answers and what they ask of the zone."""
    for e in range(lanes):
        temperature_a, temperature_b = p[at.END_A + e], p[at.END_B + e]
        air, star = p[at.AIR_A + e], p[at.RADIANT_A + e]
        difference = temperature_a - air
        warmer, cooler = p[at.WARMER_A + e], p[at.COOLER_A + e]
        steep = warmer if difference > 0.0 else cooler
        if natural_inside:
            s = np.sqrt(abs(difference))
            steep *= s * (N0 + s * (N1 + s * N2)) / (1.0 + s * (D1 + s * (D2 + s * D3)))
        steep = steep if steep > LEAST_CONVECTION else LEAST_CONVECTION
        convection = p[at.FILM_A + e] + p[at.FREE_A + e] * steep
        mean = 0.5 * (temperature_a + star) + KELVIN
        radiation = p[at.STAR_A + e] * (mean * mean * mean)
        middle = 0.5 * (temperature_a + temperature_b)
        warm = middle + KELVIN
        gap = p[at.GAP + e] * (1.0 + p[at.GAP_SLOPE + e] * (middle - GAS_REFERENCE_C))
        gap += p[at.GAP_STAR + e] * (warm * warm * warm)
        link = p[at.ACROSS + e] + gap
        own_a = p[at.STORE_A + e] * temperature_a + p[at.SHARE_1A + e] * p[at.STATE_1 + e]
        own_a += p[at.SHARE_2A + e] * p[at.STATE_2 + e] + p[at.SHARE_3A + e] * p[at.STATE_3 + e]
        own_a += p[at.LIGHT_A + e] + p[at.SUN_A + e]
        own_b = p[at.STORE_B + e] * temperature_b + p[at.SHARE_1B + e] * p[at.STATE_1 + e]
        own_b += p[at.SHARE_2B + e] * p[at.STATE_2 + e] + p[at.SHARE_3B + e] * p[at.STATE_3 + e]
        own_b += p[at.CURRENT_B + e] + p[at.SUN_B + e]
        sum_a = p[at.SELF_A + e] + gap + convection + radiation
        sum_b = p[at.SELF_B + e] + gap + p[at.TOTAL_B + e]
        inverse = 1.0 / (sum_a * sum_b - link * link)
        unit_aa, unit_ab = sum_b * inverse, link * inverse
        answer_a = unit_aa * own_a + unit_ab * own_b
        p[at.OWN_A + e] = answer_a
        p[at.OWN_B + e] = unit_ab * own_a + sum_a * inverse * own_b
        p[at.UNIT_AA + e] = unit_aa
        p[at.UNIT_AB + e] = unit_ab
        p[at.CONVECTION_A + e] = convection
        p[at.RADIATION_A + e] = radiation
        area, bypass = p[at.AREA + e], p[at.BYPASS + e]
        to_air, to_star = area * convection, area * radiation
        p[at.AIR_AIR + e] = to_air * (1.0 - unit_aa * convection) + bypass
        p[at.AIR_STAR + e] = -to_air * unit_aa * radiation
        p[at.STAR_STAR + e] = to_star * (1.0 - unit_aa * radiation)
        p[at.TO_AIR + e] = to_air * answer_a + bypass * outdoor
        p[at.TO_STAR + e] = to_star * answer_a


@compiled_loosely
def two_faces(p, lanes, natural_inside):  # type: ignore[no-untyped-def]  # numba infers
    """Groups with both faces in zones: their coefficients and answers."""
    for e in range(lanes):
        temperature_a, temperature_b = p[at.END_A + e], p[at.END_B + e]
        difference = temperature_a - p[at.AIR_A + e]
        warmer, cooler = p[at.WARMER_A + e], p[at.COOLER_A + e]
        steep = warmer if difference > 0.0 else cooler
        other = temperature_b - p[at.AIR_B + e]
        warmer, cooler = p[at.WARMER_B + e], p[at.COOLER_B + e]
        steep_b = warmer if other > 0.0 else cooler
        if natural_inside:
            s = np.sqrt(abs(difference))
            steep *= s * (N0 + s * (N1 + s * N2)) / (1.0 + s * (D1 + s * (D2 + s * D3)))
            s = np.sqrt(abs(other))
            steep_b *= s * (N0 + s * (N1 + s * N2)) / (1.0 + s * (D1 + s * (D2 + s * D3)))
        steep = steep if steep > LEAST_CONVECTION else LEAST_CONVECTION
        steep_b = steep_b if steep_b > LEAST_CONVECTION else LEAST_CONVECTION
        convection = p[at.FILM_A + e] + p[at.FREE_A + e] * steep
        convection_b = p[at.FILM_B + e] + p[at.FREE_B + e] * steep_b
        mean = 0.5 * (temperature_a + p[at.RADIANT_A + e]) + KELVIN
        radiation = p[at.STAR_A + e] * (mean * mean * mean)
        mean = 0.5 * (temperature_b + p[at.RADIANT_B + e]) + KELVIN
        radiation_b = p[at.STAR_B + e] * (mean * mean * mean)
        own_a = p[at.STORE_A + e] * temperature_a + p[at.SHARE_1A + e] * p[at.STATE_1 + e]
        own_a += p[at.SHARE_2A + e] * p[at.STATE_2 + e] + p[at.SHARE_3A + e] * p[at.STATE_3 + e]
        own_a += p[at.SUN_A + e]
        own_b = p[at.STORE_B + e] * temperature_b + p[at.SHARE_1B + e] * p[at.STATE_1 + e]
        own_b += p[at.SHARE_2B + e] * p[at.STATE_2 + e] + p[at.SHARE_3B + e] * p[at.STATE_3 + e]
        own_b += p[at.SUN_B + e]
        sum_a = p[at.SELF_A + e] + convection + radiation
        sum_b = p[at.SELF_B + e] + convection_b + radiation_b
        link = p[at.ACROSS + e]
        inverse = 1.0 / (sum_a * sum_b - link * link)
        unit_aa, unit_ab, unit_bb = sum_b * inverse, link * inverse, sum_a * inverse
        p[at.OWN_A + e] = unit_aa * own_a + unit_ab * own_b
        p[at.OWN_B + e] = unit_ab * own_a + unit_bb * own_b
        p[at.UNIT_AA + e] = unit_aa
        p[at.UNIT_AB + e] = unit_ab
        p[at.UNIT_BB + e] = unit_bb
        p[at.CONVECTION_A + e] = convection
        p[at.RADIATION_A + e] = radiation
        p[at.CONVECTION_B + e] = convection_b
        p[at.RADIATION_B + e] = radiation_b


@compiled_loosely
def close_one(p, lanes):  # type: ignore[no-untyped-def]  # numba infers
    """New ends and states of groups with one zone face; ``AIR_A``, ``RADIANT_A`` are the new ones.

    Leaves the heat that leaves by face b, and what the group took up, per group. [W]
    """
    for e in range(lanes):
        air, star = p[at.AIR_A + e], p[at.RADIANT_A + e]
        drive = p[at.CONVECTION_A + e] * air + p[at.RADIATION_A + e] * star
        a = p[at.OWN_A + e] + p[at.UNIT_AA + e] * drive
        b = p[at.OWN_B + e] + p[at.UNIT_AB + e] * drive
        into = drive - (p[at.CONVECTION_A + e] + p[at.RADIATION_A + e]) * a
        out = p[at.TOTAL_B + e] * b - p[at.CURRENT_B + e]
        light, area = p[at.LIGHT_A + e], p[at.AREA + e]
        p[at.FLOW + e] = area * (out - light)
        p[at.KEPT + e] = area * (into + light + p[at.SUN_A + e] + p[at.SUN_B + e] - out)
        state = p[at.DECAY_1 + e] * p[at.STATE_1 + e]
        p[at.STATE_1 + e] = state + p[at.SHARE_1A + e] * a + p[at.SHARE_1B + e] * b
        state = p[at.DECAY_2 + e] * p[at.STATE_2 + e]
        p[at.STATE_2 + e] = state + p[at.SHARE_2A + e] * a + p[at.SHARE_2B + e] * b
        state = p[at.DECAY_3 + e] * p[at.STATE_3 + e]
        p[at.STATE_3 + e] = state + p[at.SHARE_3A + e] * a + p[at.SHARE_3B + e] * b
        p[at.END_A + e] = a
        p[at.END_B + e] = b


@compiled_loosely
def close_two(p, lanes):  # type: ignore[no-untyped-def]  # numba infers
    """The same for groups with two zone faces."""
    for e in range(lanes):
        drive = (
            p[at.CONVECTION_A + e] * p[at.AIR_A + e] + p[at.RADIATION_A + e] * p[at.RADIANT_A + e]
        )
        drive_b = (
            p[at.CONVECTION_B + e] * p[at.AIR_B + e] + p[at.RADIATION_B + e] * p[at.RADIANT_B + e]
        )
        a = p[at.OWN_A + e] + p[at.UNIT_AA + e] * drive + p[at.UNIT_AB + e] * drive_b
        b = p[at.OWN_B + e] + p[at.UNIT_AB + e] * drive + p[at.UNIT_BB + e] * drive_b
        into = drive - (p[at.CONVECTION_A + e] + p[at.RADIATION_A + e]) * a
        out = (p[at.CONVECTION_B + e] + p[at.RADIATION_B + e]) * b - drive_b - p[at.SUN_B + e]
        area = p[at.AREA + e]
        p[at.FLOW + e] = area * out
        p[at.KEPT + e] = area * (into + p[at.SUN_A + e] - out)
        state = p[at.DECAY_1 + e] * p[at.STATE_1 + e]
        p[at.STATE_1 + e] = state + p[at.SHARE_1A + e] * a + p[at.SHARE_1B + e] * b
        state = p[at.DECAY_2 + e] * p[at.STATE_2 + e]
        p[at.STATE_2 + e] = state + p[at.SHARE_2A + e] * a + p[at.SHARE_2B + e] * b
        state = p[at.DECAY_3 + e] * p[at.STATE_3 + e]
        p[at.STATE_3 + e] = state + p[at.SHARE_3A + e] * a + p[at.SHARE_3B + e] * b
        p[at.END_A + e] = a
        p[at.END_B + e] = b


@compiled_loosely
def forward(matrix, right, push, pivots):  # type: ignore[no-untyped-def]  # numba infers
    """Eliminate all unknowns but the last; no pivoting: the diagonal is the largest of its row.

    ``push`` (2 x size) holds what a watt of heating and of cooling brings to each balance.
    """
    size = right.shape[0]
    for i in range(size - 1):
        inverse = 1.0 / matrix[i, i]
        pivots[i] = inverse
        for row in range(i + 1, size):
            factor = matrix[row, i] * inverse
            if factor != 0.0:
                for column in range(i + 1, size):
                    matrix[row, column] -= factor * matrix[i, column]
                right[row] -= factor * right[i]
                push[0, row] -= factor * push[0, i]
                push[1, row] -= factor * push[1, i]


@compiled_loosely
def run(  # type: ignore[no-untyped-def]  # numba infers
    lanes,
    series,
    air,
    forcing,
    tally,
    sums,
    zone_state,
    rho_cp,
    steps_per_hour,
    first_step,
    steps,
    is_counted,
    natural_inside,
):
    """March over ``steps`` steps of the year's ring from ``first_step``.

    ``lanes.rows`` and ``zone_state`` (2 x zones: air, then star) are the start and, on return,
    the end. Results go to ``tally`` and to ``sums`` (lane, kind of hour, leaving and kept) only
    when ``is_counted``.
    """
    p = lanes.rows
    one_end, total_lanes, outer, zones = (
        lanes.counts[0], lanes.counts[1], lanes.counts[2], air.capacity.shape[0],
    )  # fmt: skip
    blocks = p.shape[0] // BLOCK
    paths = air.path_source.shape[0]
    losses = air.loss_zone.shape[0]
    size = 2 * zones
    year = forcing.outdoor.shape[0]
    hours_per_step = 1.0 / steps_per_hour
    per_second = steps_per_hour / 3600.0

    matrix, work = np.zeros((size, size)), np.zeros((size, size))
    right, answer, pivots = np.zeros(size), np.zeros(size), np.zeros(size)
    push = np.zeros((2, size))
    mode = np.zeros(zones, dtype=np.int64)
    plant, leak = np.zeros(zones), np.zeros(zones)
    open_leak, fans, path_flow = np.zeros(zones), np.zeros(zones), np.zeros(paths)
    spot = np.zeros(size, dtype=np.int64)  # place in the system of each air and star

    heated, last = 0, 0
    for z in range(zones):
        if air.is_conditioned[z]:
            heated += 1
            last = z
    if heated == 1:
        place = zones
        for z in range(zones):
            spot[zones + z] = z
            if z != last:
                spot[z] = place
                place += 1
        spot[last] = size - 1
    else:
        for i in range(size):
            spot[i] = i

    for count in range(steps):
        step = (first_step + count) % year
        hour = step // steps_per_hour
        outdoor = forcing.outdoor[step]
        for i in range(size):
            right[i] = 0.0
            for j in range(size):
                matrix[i, j] = 0.0

        # Moving air.
        for z in range(zones):
            leak[z] = forcing.air_change[z, hour]
            if air.leak_stack[z] > 0.0 or air.leak_wind[z] > 0.0:
                stack = air.leak_stack[z] * abs(zone_state[z] - outdoor) ** air.leak_exponent[z]
                blown = series.leak_wind[z, step]
                leak[z] += np.sqrt(stack * stack + blown * blown)
            open_leak[z] = leak[z]
            extra = forcing.unbalanced[z, hour]
            fans[z] = forcing.balanced[z, hour]
            if extra > 0.0:
                fans[z] += np.sqrt(extra * extra + leak[z] * leak[z]) - leak[z]
        for i in range(paths):
            path_flow[i] = forcing.path_flow[i, hour]
            if air.path_zone[i] >= 0:
                part = air.path_share[i] * leak[air.path_zone[i]]
                path_flow[i] += part
                target = air.path_target[i]
                if air.path_zone[i] == target:
                    open_leak[target] = max(open_leak[target] - part, 0.0)
        for z in range(zones):
            inertia = air.capacity[z] * per_second
            flow = rho_cp * (open_leak[z] + fans[z])
            i, j = spot[z], spot[zones + z]
            matrix[i, i] += inertia + flow
            right[i] += inertia * zone_state[z] + flow * outdoor + forcing.convective_gain[z, hour]
            right[j] += forcing.radiant_gain[z, hour]
        for i in range(paths):
            flow = rho_cp * path_flow[i]
            target = spot[air.path_target[i]]
            matrix[target, target] += flow
            matrix[target, spot[air.path_source[i]]] -= flow

        # What the step brings to each lane.
        for lane in range(outer):
            e = (lane // at.WIDTH) * BLOCK + lane % at.WIDTH
            p[at.TOTAL_B + e] = series.total[lane, step]
            p[at.CURRENT_B + e] = (
                series.current[lane, step] - series.fall[lane, step] * p[at.END_B + e]
            )
            if lanes.light[lane] >= 0:
                p[at.LIGHT_A + e] = series.light[lanes.light[lane], step]
        for i in range(lanes.ground.shape[0]):
            lane = lanes.ground[i, 0]
            e = (lane // at.WIDTH) * BLOCK + lane % at.WIDTH
            p[at.CURRENT_B + e] = p[at.TOTAL_B + e] * forcing.ground[lanes.ground[i, 1], hour]
        for lane in range(total_lanes):
            e = (lane // at.WIDTH) * BLOCK + lane % at.WIDTH
            z = lanes.zone_a[lane]
            p[at.AIR_A + e] = zone_state[z]
            p[at.RADIANT_A + e] = zone_state[zones + z]
            beam, diffuse = forcing.beam[z, hour], forcing.diffuse[z, hour]
            p[at.SUN_A + e] = p[at.BEAM_A + e] * beam + p[at.DIFFUSE_A + e] * diffuse
            p[at.SUN_B + e] = p[at.BEAM_B + e] * beam + p[at.DIFFUSE_B + e] * diffuse
        for lane in range(one_end, total_lanes):
            e = (lane // at.WIDTH) * BLOCK + lane % at.WIDTH
            z = lanes.zone_b[lane]
            p[at.AIR_B + e] = zone_state[z]
            p[at.RADIANT_B + e] = zone_state[zones + z]
            beam, diffuse = forcing.beam[z, hour], forcing.diffuse[z, hour]
            p[at.SUN_B + e] = p[at.BEAM_B + e] * beam + p[at.DIFFUSE_B + e] * diffuse

        for block in range(blocks):
            begin, base = block * at.WIDTH, block * BLOCK
            middle = min(max(one_end - begin, 0), at.WIDTH)
            end = min(total_lanes - begin, at.WIDTH)
            one_face(p[base : base + BLOCK], middle, natural_inside, outdoor)
            two_faces(p[base + middle : base + BLOCK], end - middle, natural_inside)

        for lane in range(one_end):
            e = (lane // at.WIDTH) * BLOCK + lane % at.WIDTH
            z = lanes.zone_a[lane]
            i, j = spot[z], spot[zones + z]
            matrix[i, i] += p[at.AIR_AIR + e]
            matrix[i, j] += p[at.AIR_STAR + e]
            matrix[j, j] += p[at.STAR_STAR + e]
            right[i] += p[at.TO_AIR + e]
            right[j] += p[at.TO_STAR + e]
        for z in range(zones):
            i, j = spot[z], spot[zones + z]
            matrix[j, i] = matrix[i, j]
        for lane in range(one_end, total_lanes):
            e = (lane // at.WIDTH) * BLOCK + lane % at.WIDTH
            za, zb = lanes.zone_a[lane], lanes.zone_b[lane]
            ia, sa, ib, sb = spot[za], spot[zones + za], spot[zb], spot[zones + zb]
            area = p[at.AREA + e]
            ha, ra = p[at.CONVECTION_A + e], p[at.RADIATION_A + e]
            hb, rb = p[at.CONVECTION_B + e], p[at.RADIATION_B + e]
            aa, bb = area * p[at.UNIT_AA + e], area * p[at.UNIT_BB + e]
            ab = area * p[at.UNIT_AB + e]
            matrix[ia, ia] += ha * (area - aa * ha)
            matrix[ia, sa] -= ha * aa * ra
            matrix[sa, ia] -= ha * aa * ra
            matrix[sa, sa] += ra * (area - aa * ra)
            matrix[ib, ib] += hb * (area - bb * hb)
            matrix[ib, sb] -= hb * bb * rb
            matrix[sb, ib] -= hb * bb * rb
            matrix[sb, sb] += rb * (area - bb * rb)
            matrix[ia, ib] -= ha * ab * hb
            matrix[ib, ia] -= ha * ab * hb
            matrix[ia, sb] -= ha * ab * rb
            matrix[sb, ia] -= ha * ab * rb
            matrix[sa, ib] -= ra * ab * hb
            matrix[ib, sa] -= ra * ab * hb
            matrix[sa, sb] -= ra * ab * rb
            matrix[sb, sa] -= ra * ab * rb
            own_a, own_b = area * p[at.OWN_A + e], area * p[at.OWN_B + e]
            right[ia] += ha * own_a
            right[sa] += ra * own_a
            right[ib] += hb * own_b
            right[sb] += rb * own_b

        for z in range(zones):
            # A zone all of whose faces have combined films has no use for its star.
            i, j = spot[z], spot[zones + z]
            if matrix[j, j] == 0.0:
                matrix[j, j] = 1.0
                matrix[j, i] = -1.0
                right[i] += right[j]
                right[j] = 0.0

        has_settled = True
        if heated == 1:
            for i in range(size):
                push[0, i] = 0.0
                push[1, i] = 0.0
            push[0, size - 1] = 1.0
            push[1, size - 1] = 1.0
            for d in range(losses):
                if air.loss_zone[d] != last:
                    continue
                push[0, spot[air.loss_target[d]]] += forcing.heating_loss[d, hour]
                push[1, spot[air.loss_target[d]]] += forcing.cooling_loss[d, hour]
            forward(matrix, right, push, pivots)
            own, rest = matrix[size - 1, size - 1], right[size - 1]
            held = rest / own
            given, kind_of_plant = 0.0, 0
            low, high = forcing.heating_setpoint[last, step], forcing.cooling_setpoint[last, step]
            if held < low - 1e-9:
                given = min((own * low - rest) / push[0, size - 1], air.heating_capacity[last])
                held = (rest + push[0, size - 1] * given) / own
            elif held > high + 1e-9:
                kind_of_plant = 1
                given = max((own * high - rest) / push[1, size - 1], -air.cooling_capacity[last])
                held = (rest + push[1, size - 1] * given) / own
            for z in range(zones):
                plant[z] = 0.0
            plant[last] = given
            work[0, size - 1] = held
            for i in range(size - 2, -1, -1):
                value = right[i] + push[kind_of_plant, i] * given
                for j in range(i + 1, size):
                    value -= matrix[i, j] * work[0, j]
                work[0, i] = value * pivots[i]
            for i in range(size):
                answer[i] = work[0, spot[i]]
        else:
            has_settled = settle_plant(
                matrix, right, work, answer, air, forcing, step, hour, mode, plant
            )

        for lane in range(total_lanes):
            e = (lane // at.WIDTH) * BLOCK + lane % at.WIDTH
            z = lanes.zone_a[lane]
            p[at.AIR_A + e] = answer[z]
            p[at.RADIANT_A + e] = answer[zones + z]
        for lane in range(one_end, total_lanes):
            e = (lane // at.WIDTH) * BLOCK + lane % at.WIDTH
            z = lanes.zone_b[lane]
            p[at.AIR_B + e] = answer[z]
            p[at.RADIANT_B + e] = answer[zones + z]
        for block in range(blocks):
            begin, base = block * at.WIDTH, block * BLOCK
            middle = min(max(one_end - begin, 0), at.WIDTH)
            end = min(total_lanes - begin, at.WIDTH)
            close_one(p[base : base + BLOCK], middle)
            close_two(p[base + middle : base + BLOCK], end - middle)

        if is_counted:
            if not has_settled:
                tally.unsettled[0] += 1.0
            total = 0.0
            for z in range(zones):
                total += plant[z]
            kind = IDLE_HOURS
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
                sun = lanes.sun_weight[0, z] * forcing.beam[z, hour]
                sun += lanes.sun_weight[1, z] * forcing.diffuse[z, hour]
                tally.solar[kind] += sun * hours_per_step
                if air.is_conditioned[z]:
                    warmer = rho_cp * (answer[z] - outdoor) * hours_per_step
                    tally.leakage[z, kind] += open_leak[z] * warmer
                    tally.ventilation[z, kind] += fans[z] * warmer
                    gain = forcing.convective_gain[z, hour] + forcing.radiant_gain[z, hour]
                    tally.internal[kind] += gain * hours_per_step
                    change = air.capacity[z] * (answer[z] - zone_state[z]) / 3600.0
                    tally.storage[kind] += change
            for i in range(paths):
                target, origin = air.path_target[i], air.path_source[i]
                if air.is_conditioned[target]:
                    warmer = rho_cp * (answer[target] - answer[origin]) * hours_per_step
                    tally.path[i, kind] += path_flow[i] * warmer
            for lane in range(total_lanes):
                e = (lane // at.WIDTH) * BLOCK + lane % at.WIDTH
                sums[0, kind, lane] += p[at.FLOW + e] * hours_per_step
                sums[1, kind, lane] += p[at.KEPT + e] * hours_per_step
                # The rest of a window's flow goes beside its panes.
                flow = p[at.BYPASS + e] * (p[at.AIR_A + e] - outdoor)
                sums[0, kind, lane] += flow * hours_per_step
        for i in range(size):
            zone_state[i] = answer[i]
