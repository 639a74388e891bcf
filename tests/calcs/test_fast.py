"""The fast engine against the full one, its plain Python twin, and linear algebra."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import fast
from calcs._assembly import assemble
from calcs.bench import compare_engines, random_house
from calcs.bench.plain import plain_loads
from calcs.fast import groups, loop
from calcs.fast.chains import STATES, UnfitError, reduce_chain
from calcs.hourly import march, simulate
from calcs.network import (
    AirChange,
    AirPath,
    DistributionLoss,
    EnvelopeLeakage,
    Layer,
    Network,
    OpaqueElement,
    Options,
    Ventilation,
    Zone,
)
from calcs.thermal import network_for
from calcs.weather import read_weather
from tests.calcs.buildings import BATT, GREENSBORO, house

LOOP_PARTS = (
    "one_face", "two_faces", "close_one", "close_two", "settle_star", "settle_plant", "show_zones",
    "four", "run",
)  # fmt: skip


def full(network, weather, **options):
    return simulate(network, weather, Options(engine="full", **options))


def quick(network, weather, **options):
    return simulate(network, weather, Options(engine="fast", **options))


def test_random_houses_stay_near_the_full_engine():
    # The promise is 0.5 % or 0.1 GJ a year and 1 % or 50 W at the peak; `bench engine` takes 200.
    found = compare_engines(range(12), read_weather(GREENSBORO))

    assert len(found) == 12
    assert max(item.used for item in found) <= 1.0
    assert min(item.heating_kwh for item in found) > 100.0
    assert any(item.cooling_kwh > 100.0 for item in found)
    # Were both the same engine, nothing would be compared.
    assert all(item.heating_error_kwh != 0.0 for item in found)


@pytest.mark.parametrize(
    "options",
    [
        Options(warmup_days=1),
        Options(
            warmup_days=1,
            steps_per_hour=4,
            interior_convection="constant",
            exterior_convection="constant",
        ),
    ],
)
def test_compiled_loop_equals_plain_python(monkeypatch, options):
    leak = EnvelopeLeakage(stack_m3_per_s=0.006, wind_m3_per_s=0.004, exponent=0.65)
    network = house(
        zone={"infiltration": leak, "heating_capacity_w": 3000.0},
        ventilation=(Ventilation(zone="house", exhaust_m3_per_s=0.03, supply_m3_per_s=0.01),),
        air_paths=(AirPath(source_zone="house", target_zone="attic", share_of_infiltration=0.5,
                           infiltration_zone="house", flow_m3_per_s=0.001),),
        distribution_losses=(DistributionLoss(zone="house", to_zone="attic", heating_factor=0.2,
                                              cooling_factor=0.1),),
    )  # fmt: skip
    assembly = assemble(network, read_weather(GREENSBORO), options)
    compiled = march(assembly, options, hours=48)

    for name in LOOP_PARTS:
        monkeypatch.setattr(loop, name, getattr(loop, name).py_func)
    plain = march(assembly, options, hours=48)

    assert compiled.heating[0, :48].sum() > 0.0
    for name in compiled._fields:
        np.testing.assert_allclose(
            getattr(compiled, name), getattr(plain, name), rtol=1e-8, atol=1e-6, err_msg=name
        )


def whole_chain(capacity, conductance, step_s):
    size = len(capacity)
    matrix = np.diag(np.array(capacity) / step_s)
    for i in range(size - 1):
        g = conductance[i]
        matrix[i : i + 2, i : i + 2] += np.array([[g, -g], [-g, g]])
    return matrix


def step_responses(chain, capacity, conductance, drive, films):
    """Ends of the cut and of the whole chain, stepped from 0 by the same drives at both films."""
    step_s = 3600.0
    matrix = whole_chain(capacity, conductance, step_s)
    matrix[0, 0] += films[0]
    matrix[-1, -1] += films[1]
    ends = np.array([[chain.self_a, -chain.across], [-chain.across, chain.self_b]])
    ends = ends + np.diag(films)
    nodes, pair, states = np.zeros(len(capacity)), np.zeros(2), np.zeros(STATES)
    cut, whole = [], []
    for values in drive:
        given_heat = np.array(capacity) / step_s * nodes
        given_heat[0] += films[0] * values[0]
        given_heat[-1] += films[1] * values[1]
        nodes = np.linalg.solve(matrix, given_heat)
        current = np.array([chain.store_a, chain.store_b]) * pair + chain.share.T @ states
        pair = np.linalg.solve(ends, current + np.array(films) * values)
        states = chain.decay * states + chain.share @ pair
        cut.append(pair)
        whole.append(nodes[[0, -1]])
    return np.array(cut), np.array(whole)


@settings(max_examples=30, deadline=None)
@given(
    inner=st.lists(st.one_of(st.just(0.0), st.floats(10.0, 60_000.0)), min_size=0, max_size=STATES),
    ends=st.tuples(st.floats(0.0, 30_000.0), st.floats(0.0, 30_000.0)),
    seed=st.integers(0, 1000),
)
def test_a_chain_with_as_many_states_as_inner_nodes_is_exact(inner, ends, seed):
    random = np.random.default_rng(seed)
    capacity = (ends[0], *inner, ends[1])
    conductance = tuple(random.uniform(0.2, 40.0, len(capacity) - 1))
    chain = reduce_chain(capacity, conductance, 3600.0)

    cut, whole = step_responses(
        chain, capacity, conductance, random.normal(size=(40, 2)), (8.0, 20.0)
    )

    np.testing.assert_allclose(cut, whole, rtol=1e-8, atol=1e-8)


def test_a_cut_chain_keeps_its_steady_conductance_and_nearly_its_course():
    # Brick veneer over a filled frame: five inner nodes, four kept.
    capacity = (5537.0, 5537.0, 22752.0, 45504.0, 45504.0, 45504.0, 22752.0)
    conductance = (12.6, 0.84, 30.0, 30.0, 30.0, 30.0)
    chain = reduce_chain(capacity, conductance, 3600.0)

    steady = np.array([[chain.self_a, -chain.across], [-chain.across, chain.self_b]])
    steady -= np.diag([chain.store_a, chain.store_b])
    steady -= chain.share.T @ (chain.share / (1.0 - chain.decay)[:, None])
    through = 1.0 / sum(1.0 / link for link in conductance)
    np.testing.assert_allclose(steady, through * np.array([[1, -1], [-1, 1]]), atol=1e-9)

    drive = np.random.default_rng(1).normal(size=(200, 2))
    cut, whole = step_responses(chain, capacity, conductance, drive, (8.0, 20.0))
    assert np.abs(cut - whole).max() < 1e-3 * np.abs(whole).max()


def test_a_wall_too_thick_goes_to_the_full_engine():
    weather = read_weather(GREENSBORO)
    thick = tuple(Layer.solid(0.3, 1.7, 2300.0, 900.0) for _ in range(4))
    elements = [
        replace(item, layers=thick) if item.name == "floor" else item for item in house().elements
    ]
    network = house(elements=elements)
    with pytest.raises(UnfitError, match="too thick"):
        fast.reduce(assemble(network, weather, Options()), Options())

    np.testing.assert_array_equal(
        quick(network, weather).heating_w, full(network, weather).heating_w
    )


def test_flows_of_elements_add_to_their_components():
    weather = read_weather(GREENSBORO)
    result, reference = quick(house(), weather), full(house(), weather)

    walls = [flow for name, flow in result.elements.items() if name.startswith("wall")]
    total = sum(walls, result.components["walls"])
    for kind in ("while_heating_kwh", "while_cooling_kwh", "while_idle_kwh"):
        expected = 2.0 * getattr(result.components["walls"], kind)
        assert getattr(total, kind) == pytest.approx(expected, abs=1e-6)
    # Sides go as one group; afterwards the north still loses more than the south, as in full.
    for name, flow in reference.elements.items():
        assert result.elements[name].annual_kwh == pytest.approx(flow.annual_kwh, rel=0.02, abs=5.0)


def test_two_heated_zones_and_more_groups_than_lanes():
    weather = read_weather(GREENSBORO)
    zones = [
        Zone(name=name, volume_m3=200.0, heating_setpoint_c=low, cooling_setpoint_c=26.0,
             convective_gain_w=150.0, infiltration=AirChange(air_changes_per_hour=0.4))
        for name, low in (("down", 21.0), ("up", 18.0))
    ]  # fmt: skip
    # Forty different walls to each zone: more lanes than one block of the working array has.
    elements = [
        OpaqueElement(
            name=f"{zone.name} {i}", component="walls", area_m2=2.0 + 0.01 * i, zone_in=zone.name,
            layers=(BATT[0], Layer.resistance(1.0 + 0.05 * i), BATT[2]), azimuth_deg=9.0 * i,
        )
        for zone in zones for i in range(40)
    ]  # fmt: skip
    elements.append(
        OpaqueElement(name="between", component="inside", area_m2=60.0, layers=BATT[:1] * 2,
                      zone_in="down", zone_out="up", tilt_deg=0.0)
    )  # fmt: skip
    network = Network(zones=tuple(zones), elements=tuple(elements))
    reduction = groups.reduce(assemble(network, weather, Options()), Options())
    assert reduction.lane_count > 64

    result, reference = quick(network, weather), full(network, weather)

    assert result.imbalance.annual_kwh == pytest.approx(0.0, abs=1e-6)
    for name in ("down", "up"):
        assert result.zones[name].heating_kwh == pytest.approx(
            reference.zones[name].heating_kwh, rel=2e-3
        )


def test_imbalance_of_random_houses_is_nothing():
    weather = read_weather(GREENSBORO)
    for seed in (3, 11):
        found = quick(network_for(random_house(seed), weather), weather).imbalance
        for kind in ("while_heating_kwh", "while_cooling_kwh", "while_idle_kwh"):
            assert getattr(found, kind) == pytest.approx(0.0, abs=1e-6)


def test_series_of_a_face_are_shared_between_variants():
    weather = read_weather(GREENSBORO)
    for kept in (groups.outer_series, groups._merged, groups._outer_rows):
        kept.cache_clear()
    network = network_for(random_house(3), weather)
    simulate(network, weather)
    worked = groups.outer_series.cache_info().misses

    tighter = tuple(
        replace(zone, infiltration=AirChange(air_changes_per_hour=0.1)) if zone.is_conditioned
        else zone
        for zone in network.zones
    )  # fmt: skip
    simulate(replace(network, zones=tighter), weather)

    assert worked > 0
    assert groups.outer_series.cache_info().misses == worked


def test_full_engine_equals_plain_numpy():
    # Written apart from the loops: one dense system over all nodes, airs and stars.
    weather, options = read_weather(GREENSBORO), Options(engine="full", warmup_days=1)
    for seed in (3, 7):
        assembly = assemble(network_for(random_house(seed), weather), weather, options)

        tally = march(assembly, options, hours=36)
        plain = plain_loads(assembly, options, hours=36)

        assert plain.sum() > 1000.0
        loads = (tally.heating - tally.cooling)[:, :36].T
        np.testing.assert_allclose(plain, loads, rtol=1e-8, atol=1e-6)


def test_a_second_run_with_other_duct_losses_starts_from_the_first():
    weather = read_weather(GREENSBORO)
    loss = DistributionLoss(zone="house", to_zone="attic", heating_factor=0.3, cooling_factor=0.2)
    plain, leaky = house(), house(distribution_losses=(loss,))
    alone = quick(leaky, weather)

    first = quick(plain, weather)
    second = quick(replace(plain, distribution_losses=(loss,)), weather)

    assert second.heating_kwh != pytest.approx(first.heating_kwh, rel=1e-3)
    np.testing.assert_array_equal(second.heating_w, alone.heating_w)
    np.testing.assert_array_equal(quick(plain, weather).heating_w, first.heating_w)
