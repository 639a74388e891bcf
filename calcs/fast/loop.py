"""The fast hour loop: the same balance as the full one, over groups of cut chains.

What differs from the full loop: a chain is its two ends and a few states; outside faces take their
coefficients from series made beforehand; alike elements are one group; the cube root is a
rational function. Where one zone has the plant and the others hang on it alone, as a loft, a
cellar and a garage on a house, each is eliminated by itself, so that the cost grows with the
number of zones and not with its cube, and the thermostat is settled by one line of algebra.
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


@compiled_loosely
def one_face(p, lanes, natural_inside, beam, diffuse):  # type: ignore[no-untyped-def]  # numba infers
    """Groups with one face in a zone: their answers, and what each asks of its zone."""
    for e in range(lanes):
        air, star = p[at.AIR_A + e], p[at.RADIANT_A + e]
        temperature_a, temperature_b = p[at.END_A + e], p[at.END_B + e]
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
        sun_a = p[at.BEAM_A + e] * beam + p[at.DIFFUSE_A + e] * diffuse + p[at.MORE_SUN_A + e]
        sun_b = p[at.BEAM_B + e] * beam + p[at.DIFFUSE_B + e] * diffuse + p[at.MORE_SUN_B + e]
        own_a = p[at.STORE_A + e] * temperature_a + p[at.SHARE_1A + e] * p[at.STATE_1 + e]
        own_a += p[at.SHARE_2A + e] * p[at.STATE_2 + e] + p[at.SHARE_3A + e] * p[at.STATE_3 + e]
        own_a += p[at.SHARE_4A + e] * p[at.STATE_4 + e] + p[at.LIGHT_A + e] + sun_a
        own_b = p[at.STORE_B + e] * temperature_b + p[at.SHARE_1B + e] * p[at.STATE_1 + e]
        own_b += p[at.SHARE_2B + e] * p[at.STATE_2 + e] + p[at.SHARE_3B + e] * p[at.STATE_3 + e]
        own_b += p[at.SHARE_4B + e] * p[at.STATE_4 + e] + p[at.CURRENT_B + e] + sun_b
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
        p[at.SUN_A + e] = sun_a
        p[at.SUN_B + e] = sun_b
        by_air, by_star = p[at.AREA + e] * convection, p[at.AREA + e] * radiation
        p[at.AIR_AIR_A + e] = by_air * (1.0 - unit_aa * convection)
        p[at.AIR_STAR_A + e] = -by_air * unit_aa * radiation
        p[at.STAR_STAR_A + e] = by_star * (1.0 - unit_aa * radiation)
        p[at.TO_AIR_A + e] = by_air * answer_a
        p[at.TO_STAR_A + e] = by_star * answer_a


@compiled_loosely
def two_faces(p, lanes, natural_inside, beam, diffuse):  # type: ignore[no-untyped-def]  # numba infers
    """Groups with both faces in zones: their answers, and what each asks of the two zones."""
    for e in range(lanes):
        temperature_a, temperature_b = p[at.END_A + e], p[at.END_B + e]
        air, star = p[at.AIR_A + e], p[at.RADIANT_A + e]
        air_b, star_b = p[at.AIR_B + e], p[at.RADIANT_B + e]
        difference = temperature_a - air
        warmer, cooler = p[at.WARMER_A + e], p[at.COOLER_A + e]
        steep = warmer if difference > 0.0 else cooler
        other = temperature_b - air_b
        warmer, cooler = p[at.WARMER_B + e], p[at.COOLER_B + e]
        steep_b = warmer if other > 0.0 else cooler
        if natural_inside:
            s = np.sqrt(abs(difference))
            steep *= s * (N0 + s * (N1 + s * N2)) / (1.0 + s * (D1 + s * (D2 + s * D3)))
            s = np.sqrt(abs(other))
            steep_b *= s * (N0 + s * (N1 + s * N2)) / (1.0 + s * (D1 + s * (D2 + s * D3)))
        steep = steep if steep > LEAST_CONVECTION else LEAST_CONVECTION
        steep_b = steep_b if steep_b > LEAST_CONVECTION else LEAST_CONVECTION
        ca = p[at.FILM_A + e] + p[at.FREE_A + e] * steep
        cb = p[at.FILM_B + e] + p[at.FREE_B + e] * steep_b
        mean = 0.5 * (temperature_a + star) + KELVIN
        ra = p[at.STAR_A + e] * (mean * mean * mean)
        mean = 0.5 * (temperature_b + star_b) + KELVIN
        rb = p[at.STAR_B + e] * (mean * mean * mean)
        sun_a = p[at.BEAM_A + e] * beam + p[at.DIFFUSE_A + e] * diffuse + p[at.MORE_SUN_A + e]
        sun_b = p[at.BEAM_B + e] * beam + p[at.DIFFUSE_B + e] * diffuse + p[at.MORE_SUN_B + e]
        own_a = p[at.STORE_A + e] * temperature_a + p[at.SHARE_1A + e] * p[at.STATE_1 + e]
        own_a += p[at.SHARE_2A + e] * p[at.STATE_2 + e] + p[at.SHARE_3A + e] * p[at.STATE_3 + e]
        own_a += p[at.SHARE_4A + e] * p[at.STATE_4 + e] + sun_a
        own_b = p[at.STORE_B + e] * temperature_b + p[at.SHARE_1B + e] * p[at.STATE_1 + e]
        own_b += p[at.SHARE_2B + e] * p[at.STATE_2 + e] + p[at.SHARE_3B + e] * p[at.STATE_3 + e]
        own_b += p[at.SHARE_4B + e] * p[at.STATE_4 + e] + sun_b
        sum_a = p[at.SELF_A + e] + ca + ra
        sum_b = p[at.SELF_B + e] + cb + rb
        link = p[at.ACROSS + e]
        inverse = 1.0 / (sum_a * sum_b - link * link)
        unit_aa, unit_ab, unit_bb = sum_b * inverse, link * inverse, sum_a * inverse
        answer_a = unit_aa * own_a + unit_ab * own_b
        answer_b = unit_ab * own_a + unit_bb * own_b
        p[at.OWN_A + e] = answer_a
        p[at.OWN_B + e] = answer_b
        p[at.UNIT_AA + e] = unit_aa
        p[at.UNIT_AB + e] = unit_ab
        p[at.UNIT_BB + e] = unit_bb
        p[at.CONVECTION_A + e] = ca
        p[at.RADIATION_A + e] = ra
        p[at.CONVECTION_B + e] = cb
        p[at.RADIATION_B + e] = rb
        p[at.SUN_A + e] = sun_a
        p[at.SUN_B + e] = sun_b
        area = p[at.AREA + e]
        p[at.AIR_AIR_A + e] = area * ca * (1.0 - unit_aa * ca)
        p[at.AIR_STAR_A + e] = -area * ca * unit_aa * ra
        p[at.STAR_STAR_A + e] = area * ra * (1.0 - unit_aa * ra)
        p[at.TO_AIR_A + e] = area * ca * answer_a
        p[at.TO_STAR_A + e] = area * ra * answer_a
        p[at.AIR_AIR_B + e] = area * cb * (1.0 - unit_bb * cb)
        p[at.AIR_STAR_B + e] = -area * cb * unit_bb * rb
        p[at.STAR_STAR_B + e] = area * rb * (1.0 - unit_bb * rb)
        p[at.TO_AIR_B + e] = area * cb * answer_b
        p[at.TO_STAR_B + e] = area * rb * answer_b
        crossing = -area * unit_ab
        p[at.AIR_AIR + e] = crossing * ca * cb
        p[at.AIR_STAR + e] = crossing * ca * rb
        p[at.STAR_AIR + e] = crossing * ra * cb
        p[at.STAR_STAR + e] = crossing * ra * rb


@compiled_loosely
def close_one(p, lanes, weights):  # type: ignore[no-untyped-def]  # numba infers
    """New ends and states of groups with one zone face; adds what leaves by face b.

    ``weights`` are the hours that count as heating, cooling and idle ones, of which two or all are
    0. Returns the heat that the groups at the conditioned space took up. [W]
    """
    kept = 0.0
    while_heating, while_cooling, while_idle = weights
    for e in range(lanes):
        convection, radiation = p[at.CONVECTION_A + e], p[at.RADIATION_A + e]
        drive = convection * p[at.AIR_A + e] + radiation * p[at.RADIANT_A + e]
        a = p[at.OWN_A + e] + p[at.UNIT_AA + e] * drive
        b = p[at.OWN_B + e] + p[at.UNIT_AB + e] * drive
        out = p[at.TOTAL_B + e] * b - p[at.CURRENT_B + e] - p[at.LIGHT_A + e]
        into = drive - (convection + radiation) * a + p[at.SUN_A + e] + p[at.SUN_B + e]
        flow = p[at.AREA + e] * out
        p[at.FLOW_HEATING + e] += while_heating * flow
        p[at.FLOW_COOLING + e] += while_cooling * flow
        p[at.FLOW_IDLE + e] += while_idle * flow
        kept += p[at.AREA_STORED + e] * (into - out)
        one, two = p[at.STATE_1 + e], p[at.STATE_2 + e]
        three, four = p[at.STATE_3 + e], p[at.STATE_4 + e]
        one = p[at.DECAY_1 + e] * one + p[at.SHARE_1A + e] * a + p[at.SHARE_1B + e] * b
        two = p[at.DECAY_2 + e] * two + p[at.SHARE_2A + e] * a + p[at.SHARE_2B + e] * b
        three = p[at.DECAY_3 + e] * three + p[at.SHARE_3A + e] * a + p[at.SHARE_3B + e] * b
        four = p[at.DECAY_4 + e] * four + p[at.SHARE_4A + e] * a + p[at.SHARE_4B + e] * b
        p[at.STATE_1 + e] = one
        p[at.STATE_2 + e] = two
        p[at.STATE_3 + e] = three
        p[at.STATE_4 + e] = four
        p[at.END_A + e] = a
        p[at.END_B + e] = b
    return kept


@compiled_loosely
def close_two(p, lanes, weights):  # type: ignore[no-untyped-def]  # numba infers
    """The same for groups with two zone faces."""
    kept = 0.0
    while_heating, while_cooling, while_idle = weights
    for e in range(lanes):
        ca, ra = p[at.CONVECTION_A + e], p[at.RADIATION_A + e]
        cb, rb = p[at.CONVECTION_B + e], p[at.RADIATION_B + e]
        drive = ca * p[at.AIR_A + e] + ra * p[at.RADIANT_A + e]
        drive_b = cb * p[at.AIR_B + e] + rb * p[at.RADIANT_B + e]
        a = p[at.OWN_A + e] + p[at.UNIT_AA + e] * drive + p[at.UNIT_AB + e] * drive_b
        b = p[at.OWN_B + e] + p[at.UNIT_AB + e] * drive + p[at.UNIT_BB + e] * drive_b
        out = (cb + rb) * b - drive_b - p[at.SUN_B + e]
        into = drive - (ca + ra) * a + p[at.SUN_A + e]
        flow = p[at.AREA + e] * out
        p[at.FLOW_HEATING + e] += while_heating * flow
        p[at.FLOW_COOLING + e] += while_cooling * flow
        p[at.FLOW_IDLE + e] += while_idle * flow
        kept += p[at.AREA_STORED + e] * (into - out)
        one, two = p[at.STATE_1 + e], p[at.STATE_2 + e]
        three, four = p[at.STATE_3 + e], p[at.STATE_4 + e]
        one = p[at.DECAY_1 + e] * one + p[at.SHARE_1A + e] * a + p[at.SHARE_1B + e] * b
        two = p[at.DECAY_2 + e] * two + p[at.SHARE_2A + e] * a + p[at.SHARE_2B + e] * b
        three = p[at.DECAY_3 + e] * three + p[at.SHARE_3A + e] * a + p[at.SHARE_3B + e] * b
        four = p[at.DECAY_4 + e] * four + p[at.SHARE_4A + e] * a + p[at.SHARE_4B + e] * b
        p[at.STATE_1 + e] = one
        p[at.STATE_2 + e] = two
        p[at.STATE_3 + e] = three
        p[at.STATE_4 + e] = four
        p[at.END_A + e] = a
        p[at.END_B + e] = b
    return kept


@compiled_loosely
def settle_star(own, right, to_main, from_main, share, main, limits, inverse, answer):  # type: ignore[no-untyped-def]  # numba infers
    """Air and star of zones that hang on one main zone, and the main zone's plant.

    Parameters
    ----------
    own : ndarray, shape (zones, 3)
        Coefficients air-air, air-star, star-star.
    right : ndarray, shape (zones, 2)
        Currents to air and star.
    to_main, from_main : ndarray, shape (zones, 4)
        Coefficients of the main zone's air, star in a zone's air balance, then in its star
        balance; and of a zone's air, star in the main zone's air balance, then its star balance.
    share : ndarray, shape (2, zones)
        Watts brought to a zone's air by each watt of heating, of cooling.
    main : int
    limits : tuple
        Heating and cooling set-points, heating and cooling capacity.
    inverse : ndarray, shape (zones, 3)
        Space to work in.
    answer : ndarray, shape (2 x zones,)
        Air, then star temperatures; filled.

    Returns
    -------
    float
        Heat given by the plant, cooling negative. [W]
    """
    zones = own.shape[0]
    haa, has, hsa, hss = own[main, 0], own[main, 1], own[main, 1], own[main, 2]
    air, star = right[main, 0], right[main, 1]
    heat_air, heat_star = 1.0 + share[0, main], 0.0
    cool_air, cool_star = 1.0 + share[1, main], 0.0
    for z in range(zones):
        if z == main:
            continue
        if own[z, 2] > 0.0:
            scale = 1.0 / (own[z, 0] * own[z, 2] - own[z, 1] * own[z, 1])
            iaa, ias, iss = own[z, 2] * scale, -own[z, 1] * scale, own[z, 0] * scale
        else:
            # A zone all of whose faces have combined films has no use for its star.
            iaa, ias, iss = 1.0 / own[z, 0], 0.0, 0.0
            right[z, 0] += right[z, 1]
        inverse[z, 0] = iaa
        inverse[z, 1] = ias
        inverse[z, 2] = iss
        # Rows of the main zone times the inverse of this zone's own part.
        pa = from_main[z, 0] * iaa + from_main[z, 1] * ias
        ps = from_main[z, 0] * ias + from_main[z, 1] * iss
        qa = from_main[z, 2] * iaa + from_main[z, 3] * ias
        qs = from_main[z, 2] * ias + from_main[z, 3] * iss
        haa -= pa * to_main[z, 0] + ps * to_main[z, 2]
        has -= pa * to_main[z, 1] + ps * to_main[z, 3]
        hsa -= qa * to_main[z, 0] + qs * to_main[z, 2]
        hss -= qa * to_main[z, 1] + qs * to_main[z, 3]
        air -= pa * right[z, 0] + ps * right[z, 1]
        star -= qa * right[z, 0] + qs * right[z, 1]
        heat_air -= pa * share[0, z]
        heat_star -= qa * share[0, z]
        cool_air -= pa * share[1, z]
        cool_star -= qa * share[1, z]
    factor = has / hss if hss > 0.0 else 1.0
    balance = haa - factor * hsa
    current = air - factor * star if hss > 0.0 else air + star
    low, high, most, least = limits
    held, given, kind = current / balance, 0.0, 0
    # Heating first: with equal set-points no hour is free.
    if held < low - 1e-9:
        push = heat_air - factor * heat_star
        given = min((balance * low - current) / push, most)
        held = (current + push * given) / balance
    elif held > high + 1e-9:
        kind = 1
        push = cool_air - factor * cool_star
        given = max((balance * high - current) / push, -least)
        held = (current + push * given) / balance
    pushed = heat_star if kind == 0 else cool_star
    radiant = (star + pushed * given - hsa * held) / hss if hss > 0.0 else held
    answer[main] = held
    answer[zones + main] = radiant
    for z in range(zones):
        if z == main:
            continue
        to_air = right[z, 0] + share[kind, z] * given
        to_air -= to_main[z, 0] * held + to_main[z, 1] * radiant
        to_star = right[z, 1] - to_main[z, 2] * held - to_main[z, 3] * radiant
        answer[z] = inverse[z, 0] * to_air + inverse[z, 1] * to_star
        answer[zones + z] = (
            inverse[z, 1] * to_air + inverse[z, 2] * to_star if own[z, 2] > 0.0 else answer[z]
        )
    return given


@compiled_loosely
def four(p, e):  # type: ignore[no-untyped-def]  # numba infers
    """Sum of four lanes side by side."""
    return (p[e] + p[e + 1]) + (p[e + 2] + p[e + 3])


@compiled_loosely
def show_zones(p, runs, pairs, state):  # type: ignore[no-untyped-def]  # numba infers
    """Write the temperatures of zones beside the lanes that touch them."""
    zones = state.shape[0] // 2
    for i in range(runs.shape[0]):
        q = p[runs[i, 1] :]
        air, star = state[runs[i, 0]], state[zones + runs[i, 0]]
        for e in range(runs[i, 2]):
            q[at.AIR_A + e] = air
            q[at.RADIANT_A + e] = star
    for i in range(pairs.shape[0]):
        q, za, zb = p[pairs[i, 0] :], pairs[i, 1], pairs[i, 2]
        q[at.AIR_A], q[at.RADIANT_A] = state[za], state[zones + za]
        q[at.AIR_B], q[at.RADIANT_B] = state[zb], state[zones + zb]


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
    the end. Results go to ``tally`` and ``sums`` only when ``is_counted``.
    """
    p, segments, runs, pairs = lanes.rows, lanes.segments, lanes.runs, lanes.pairs
    zones = air.capacity.shape[0]
    outer, grounds = lanes.outer.shape[0], lanes.ground.shape[0]
    paths, losses = air.path_source.shape[0], air.loss_zone.shape[0]
    size = 2 * zones
    year = forcing.outdoor.shape[0]
    hours_per_step = 1.0 / steps_per_hour
    per_second = steps_per_hour / 3600.0
    main, lit = lanes.heated[0], lanes.most_lit[0]

    own, right = np.zeros((zones, 3)), np.zeros((zones, 2))
    to_main, from_main = np.zeros((zones, 4)), np.zeros((zones, 4))
    share, inverse = np.zeros((2, zones)), np.zeros((zones, 3))
    matrix, work = np.zeros((size, size)), np.zeros((size, size))
    whole_right, answer = np.zeros(size), np.zeros(size)
    mode = np.zeros(zones, dtype=np.int64)
    plant, leak = np.zeros(zones), np.zeros(zones)
    open_leak, fans, path_flow = np.zeros(zones), np.zeros(zones), np.zeros(paths)

    show_zones(p, runs, pairs, zone_state)
    for count in range(steps):
        step = first_step + count
        if step >= year:
            step -= year
        hour = step if steps_per_hour == 1 else step // steps_per_hour
        outdoor = forcing.outdoor[step]
        if main < 0:
            matrix[:] = 0.0

        # What the step brings to the faces: written well before it is read several at a time.
        for i in range(outer):
            e = lanes.outer[i, 0]
            p[at.TOTAL_B + e] = series.total[i, step]
            p[at.CURRENT_B + e] = series.current[i, step] - series.fall[i, step] * p[at.END_B + e]
            if lanes.outer[i, 1] >= 0:
                p[at.LIGHT_A + e] = series.light[lanes.outer[i, 1], step]
        for i in range(grounds):
            e = lanes.ground[i, 0]
            p[at.CURRENT_B + e] = p[at.TOTAL_B + e] * forcing.ground[lanes.ground[i, 1], hour]
        beam, diffuse = forcing.beam[lit, hour], forcing.diffuse[lit, hour]
        for i in range(lanes.more_sun.shape[0]):
            # Faces in further zones that the sun is let into.
            z = lanes.more_sun[i, 1]
            more = lanes.more_share[i, 0] * forcing.beam[z, hour]
            p[lanes.more_sun[i, 0]] = more + lanes.more_share[i, 1] * forcing.diffuse[z, hour]

        # Moving air.
        for z in range(zones):
            blow = forcing.air_change[z, hour]
            if air.leak_stack[z] > 0.0 or air.leak_wind[z] > 0.0:
                stack = air.leak_stack[z] * abs(zone_state[z] - outdoor) ** air.leak_exponent[z]
                blown = air.leak_wind[z] * series.wind_power[z, step]
                blow += np.sqrt(stack * stack + blown * blown)
            leak[z] = blow
            open_leak[z] = blow
            extra = forcing.unbalanced[z, hour]
            fans[z] = forcing.balanced[z, hour]
            if extra > 0.0:
                fans[z] += np.sqrt(extra * extra + blow * blow) - blow
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
            flow = rho_cp * (open_leak[z] + fans[z]) + lanes.bypass[z]
            own[z, 0] = inertia + flow
            own[z, 1] = 0.0
            own[z, 2] = 0.0
            right[z, 0] = (
                inertia * zone_state[z] + flow * outdoor + forcing.convective_gain[z, hour]
            )
            right[z, 1] = forcing.radiant_gain[z, hour]
            for i in range(4):
                to_main[z, i] = 0.0
                from_main[z, i] = 0.0
        for i in range(paths):
            flow = rho_cp * path_flow[i]
            target, source = air.path_target[i], air.path_source[i]
            if target == source:
                continue
            own[target, 0] += flow
            if main < 0:
                matrix[target, source] -= flow
            elif source == main:
                to_main[target, 0] -= flow
            else:
                from_main[source, 0] -= flow

        for i in range(segments.shape[0]):
            q, many = p[segments[i, 1] :], segments[i, 2]
            if segments[i, 0] == 1:
                one_face(q, many, natural_inside, beam, diffuse)
            else:
                two_faces(q, many, natural_inside, beam, diffuse)

        # What the lanes ask of their zones.
        for i in range(runs.shape[0]):
            z, q = runs[i, 0], p[runs[i, 1] :]
            air_air, air_star, star_star, to_air, to_star = 0.0, 0.0, 0.0, 0.0, 0.0
            for e in range(0, runs[i, 2], at.FILL):
                air_air += four(q, at.AIR_AIR_A + e)
                air_star += four(q, at.AIR_STAR_A + e)
                star_star += four(q, at.STAR_STAR_A + e)
                to_air += four(q, at.TO_AIR_A + e)
                to_star += four(q, at.TO_STAR_A + e)
            own[z, 0] += air_air
            own[z, 1] += air_star
            own[z, 2] += star_star
            right[z, 0] += to_air
            right[z, 1] += to_star
        for i in range(pairs.shape[0]):
            q, za, zb = p[pairs[i, 0] :], pairs[i, 1], pairs[i, 2]
            own[za, 0] += q[at.AIR_AIR_A]
            own[za, 1] += q[at.AIR_STAR_A]
            own[za, 2] += q[at.STAR_STAR_A]
            right[za, 0] += q[at.TO_AIR_A]
            right[za, 1] += q[at.TO_STAR_A]
            own[zb, 0] += q[at.AIR_AIR_B]
            own[zb, 1] += q[at.AIR_STAR_B]
            own[zb, 2] += q[at.STAR_STAR_B]
            right[zb, 0] += q[at.TO_AIR_B]
            right[zb, 1] += q[at.TO_STAR_B]
            air_air, star_star = q[at.AIR_AIR], q[at.STAR_STAR]
            air_star, star_air = q[at.AIR_STAR], q[at.STAR_AIR]
            if za == zb:
                own[za, 0] += 2.0 * air_air
                own[za, 1] += air_star + star_air
                own[za, 2] += 2.0 * star_star
            elif main >= 0:
                # Face a is at the main zone.
                from_main[zb, 0] += air_air
                from_main[zb, 1] += air_star
                from_main[zb, 2] += star_air
                from_main[zb, 3] += star_star
                to_main[zb, 0] += air_air
                to_main[zb, 1] += star_air
                to_main[zb, 2] += air_star
                to_main[zb, 3] += star_star
            else:
                matrix[za, zb] += air_air
                matrix[zb, za] += air_air
                matrix[za, zones + zb] += air_star
                matrix[zones + zb, za] += air_star
                matrix[zones + za, zb] += star_air
                matrix[zb, zones + za] += star_air
                matrix[zones + za, zones + zb] += star_star
                matrix[zones + zb, zones + za] += star_star

        has_settled = True
        total = 0.0
        if main >= 0:
            for i in range(losses):
                if air.loss_zone[i] == main:
                    share[0, air.loss_target[i]] = 0.0
                    share[1, air.loss_target[i]] = 0.0
            for i in range(losses):
                if air.loss_zone[i] == main:
                    share[0, air.loss_target[i]] += forcing.heating_loss[i, hour]
                    share[1, air.loss_target[i]] += forcing.cooling_loss[i, hour]
            limits = (
                forcing.heating_setpoint[main, step], forcing.cooling_setpoint[main, step],
                air.heating_capacity[main], air.cooling_capacity[main],
            )  # fmt: skip
            total = settle_star(
                own, right, to_main, from_main, share, main, limits, inverse, answer
            )
            plant[main] = total
        else:
            for z in range(zones):
                matrix[z, z] += own[z, 0]
                matrix[z, zones + z] += own[z, 1]
                matrix[zones + z, z] += own[z, 1]
                matrix[zones + z, zones + z] += own[z, 2]
                whole_right[z] = right[z, 0]
                whole_right[zones + z] = right[z, 1]
                if own[z, 2] == 0.0:
                    matrix[zones + z, zones + z] = 1.0
                    matrix[zones + z, z] = -1.0
                    whole_right[z] += right[z, 1]
                    whole_right[zones + z] = 0.0
            has_settled = settle_plant(
                matrix, whole_right, work, answer, air, forcing, step, hour, mode, plant
            )
            for z in range(zones):
                total += plant[z]

        kind = at.UNCOUNTED
        if is_counted:
            kind = IDLE_HOURS
            if total > 0.0:
                kind = HEATING_HOURS
            elif total < 0.0:
                kind = COOLING_HOURS

        show_zones(p, runs, pairs, answer)
        weights = (
            hours_per_step if kind == HEATING_HOURS else 0.0,
            hours_per_step if kind == COOLING_HOURS else 0.0,
            hours_per_step if kind == IDLE_HOURS else 0.0,
        )
        kept = 0.0
        for i in range(segments.shape[0]):
            q, many = p[segments[i, 1] :], segments[i, 2]
            if segments[i, 0] == 1:
                kept += close_one(q, many, weights)
            else:
                kept += close_two(q, many, weights)

        if is_counted:
            if not has_settled:
                tally.unsettled[0] += 1.0
            sums.kept[kind] += kept * hours_per_step
            tally.load[kind] += total * hours_per_step
            for z in range(zones):
                tally.air[z, hour] += answer[z] * hours_per_step
                tally.infiltration[z, hour] += leak[z] * hours_per_step
                if lanes.is_lit[z]:
                    sums.beam[z, kind] += forcing.beam[z, hour] * hours_per_step
                    sums.diffuse[z, kind] += forcing.diffuse[z, hour] * hours_per_step
                if air.is_conditioned[z]:
                    given = plant[z] * hours_per_step
                    if given > 0.0:
                        tally.heating[z, hour] += given
                    elif given < 0.0:
                        tally.cooling[z, hour] -= given
                    warmth = (answer[z] - outdoor) * hours_per_step
                    sums.warmth[z, kind] += warmth
                    tally.leakage[z, kind] += rho_cp * open_leak[z] * warmth
                    tally.ventilation[z, kind] += rho_cp * fans[z] * warmth
                    gain = forcing.convective_gain[z, hour] + forcing.radiant_gain[z, hour]
                    tally.internal[kind] += gain * hours_per_step
                    change = air.capacity[z] * (answer[z] - zone_state[z]) / 3600.0
                    tally.storage[kind] += change
            for i in range(paths):
                target, origin = air.path_target[i], air.path_source[i]
                if air.is_conditioned[target]:
                    warmer = rho_cp * (answer[target] - answer[origin]) * hours_per_step
                    tally.path[i, kind] += path_flow[i] * warmer
        for i in range(size):
            zone_state[i] = answer[i]
