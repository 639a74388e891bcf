"""The heat balance against closed forms, its closure, and how it answers to changes."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs._assembly import AIR_SPECIFIC_HEAT_J_PER_KGK
from calcs.constants import GAS_CONSTANT_DRY_AIR_J_PER_KG_K
from calcs.errors import InputError
from calcs.hourly import simulate
from calcs.network import (
    AirChange,
    AirPath,
    DistributionLoss,
    Layer,
    Network,
    OpaqueElement,
    Options,
    Ventilation,
    Zone,
)
from calcs.weather import between_readings, read_weather
from tests.calcs.buildings import GREENSBORO, house, steady_weather

RHO_CP = 101325.0 / (GAS_CONSTANT_DRY_AIR_J_PER_KG_K * 293.15) * AIR_SPECIFIC_HEAT_J_PER_KGK
FILM_IN, FILM_OUT = 8.0, 25.0
MASSIVE = (Layer.solid(0.2, 1.0, 2000.0, 900.0), Layer.resistance(1.5))


@cache
def greensboro_once():
    return read_weather(GREENSBORO)


@pytest.fixture
def greensboro():
    return greensboro_once()


def filmed(name, area, layers, zone_in, zone_out="outdoor", **fields):
    """An element whose U is exact: combined films on both sides."""
    return OpaqueElement(
        name=name, component=name, area_m2=area, layers=layers, zone_in=zone_in,
        zone_out=zone_out, film_in_w_per_m2k=FILM_IN, film_out_w_per_m2k=FILM_OUT, **fields,
    )  # fmt: skip


def conductance(element):
    """Area times U with the two films, worked by hand. [W/K]"""
    return element.area_m2 / (1 / FILM_IN + element.resistance_m2k_per_w + 1 / FILM_OUT)


def box(**fields):
    zone = {
        "name": "room", "volume_m3": 100.0, "heating_setpoint_c": 20.0,
        "infiltration": AirChange(air_changes_per_hour=0.5),
    }  # fmt: skip
    return Zone(**(zone | fields))


def test_steady_box_matches_its_closed_form():
    wall = filmed("walls", 80.0, MASSIVE, "room")
    roof = filmed("roof", 50.0, (Layer.resistance(4.0),), "room", tilt_deg=0.0)
    network = Network(zones=(box(convective_gain_w=150.0, radiant_gain_w=50.0),),
                      elements=(wall, roof))  # fmt: skip

    # A year of warm-up leaves nothing of the start in the massive wall.
    result = simulate(network, steady_weather(), Options(warmup_days=365))

    air = RHO_CP * 100.0 * 0.5 / 3600.0
    load_w = 20.0 * (conductance(wall) + conductance(roof) + air) - 200.0
    np.testing.assert_allclose(result.zones["room"].heating_w, load_w, rtol=1e-9)
    assert result.components["walls"].annual_kwh == pytest.approx(
        20.0 * conductance(wall) * 8.76, rel=1e-9
    )
    assert result.components["infiltration"].annual_kwh == pytest.approx(20.0 * air * 8.76)
    assert sum(result.loss_shares().values()) == pytest.approx(1.0)


def test_buffer_zone_and_duct_loss_match_their_closed_form():
    ceiling = filmed("ceiling", 60.0, (Layer.resistance(2.0),), "room", "attic", tilt_deg=0.0)
    wall = filmed("walls", 80.0, (Layer.resistance(1.0),), "room")
    roof = filmed("roof", 70.0, (Layer.resistance(0.3),), "attic", tilt_deg=30.0)
    network = Network(
        zones=(box(infiltration=None), Zone(name="attic", volume_m3=50.0, is_conditioned=False)),
        elements=(ceiling, wall, roof),
        distribution_losses=(DistributionLoss(zone="room", to_zone="attic", heating_factor=0.25),),
    )

    result = simulate(network, steady_weather(), Options(warmup_days=60))

    # Q = up (20 - T) + side 20;  up (20 - T) + 0.25 Q = out T, two equations in Q and T.
    up, side, out = conductance(ceiling), conductance(wall), conductance(roof)
    attic_c = (20.0 * up + 0.25 * 20.0 * (up + side)) / (up + out + 0.25 * up)
    load_w = up * (20.0 - attic_c) + side * 20.0
    np.testing.assert_allclose(result.zones["attic"].air_c, attic_c, rtol=1e-9)
    np.testing.assert_allclose(result.zones["room"].heating_w, load_w, rtol=1e-9)


def test_air_drawn_from_a_buffer_zone_replaces_outdoor_air():
    wall = filmed("walls", 80.0, (Layer.resistance(1.0),), "room")
    ground = filmed("ground", 60.0, (Layer.resistance(1.0),), "crawl", "ground",
                    tilt_deg=180.0, ground_temperature_c=10.0)  # fmt: skip
    path = AirPath(source_zone="crawl", target_zone="room", share_of_infiltration=0.4,
                   infiltration_zone="room")  # fmt: skip
    network = Network(
        zones=(box(), Zone(name="crawl", volume_m3=50.0, is_conditioned=False)),
        elements=(wall, ground),
        air_paths=(path,),
    )

    result = simulate(network, steady_weather(), Options(warmup_days=60))

    # The crawlspace has no other tie, so its air is at the ground's 10 °C.
    flow = RHO_CP * 100.0 * 0.5 / 3600.0
    load_w = 20.0 * conductance(wall) + flow * (0.6 * 20.0 + 0.4 * 10.0)
    np.testing.assert_allclose(result.zones["crawl"].air_c, 10.0, atol=1e-4)
    np.testing.assert_allclose(result.zones["room"].heating_w, load_w, rtol=1e-5)
    assert result.components["infiltration"].annual_kwh == pytest.approx(16.0 * flow * 8.76, 1e-4)


def test_daily_wave_through_a_heavy_wall_nears_the_periodic_solution():
    # Homogeneous slab between films, transmission matrix of ISO 13786 (memory), worked here.
    k, rho, c, depth, mean_c = 1.0, 2000.0, 900.0, 0.2, 5.0
    hour_end = np.arange(1, 8761)
    weather = steady_weather(dry_bulb_c=mean_c + 10.0 * np.cos(2 * np.pi * hour_end / 24))
    wall = filmed("walls", 50.0, (Layer.solid(depth / 4, k, rho, c),) * 4, "room")
    zone = box(infiltration=None, cooling_setpoint_c=20.0)

    def swing(values, steps_a_day):
        place = np.arange(values.size) + 0.5
        return 2.0 * abs(np.mean(values * np.exp(-2j * np.pi * place / steps_a_day)))

    ratio = {}
    for steps in (1, 4):
        options = Options(steps_per_hour=steps)
        room = simulate(Network(zones=(zone,), elements=(wall,)), weather, options).zones["room"]
        load = room.heating_w - room.cooling_w
        outdoor = between_readings(weather.dry_bulb_c, steps_per_hour=steps)
        ratio[steps] = swing(load, 24) / (50.0 * swing(outdoor, 24 * steps))
        assert load.mean() == pytest.approx(conductance(wall) * (20.0 - mean_c), rel=1e-4)

    root = np.sqrt(1j * 2 * np.pi / 86400 * rho * c / k)
    slab = np.array(
        [
            [np.cosh(root * depth), np.sinh(root * depth) / (k * root)],
            [k * root * np.sinh(root * depth), np.cosh(root * depth)],
        ]
    )
    films = [np.array([[1.0, 1.0 / film], [0.0, 1.0]]) for film in (FILM_IN, FILM_OUT)]
    exact = 1.0 / abs((films[0] @ slab @ films[1])[0, 1])
    # Implicit steps damp a daily wave in proportion to their length; without the part that is
    # proportional, what is left is of second order.
    assert 0.86 * exact < ratio[1] < ratio[4] < exact
    assert ratio[4] == pytest.approx(exact, rel=0.04)
    assert (4.0 * ratio[4] - ratio[1]) / 3.0 == pytest.approx(exact, rel=0.015)


def test_heat_balance_closes_in_every_kind_of_hour(greensboro):
    network = house(
        ventilation=(Ventilation(zone="house", exhaust_m3_per_s=0.02),),
        air_paths=(AirPath(source_zone="house", target_zone="attic", share_of_infiltration=0.5,
                           infiltration_zone="house"),),
    )  # fmt: skip
    result = simulate(network, greensboro)

    assert result.heating_kwh > 1000.0
    assert result.cooling_kwh > 100.0
    for kind in ("while_heating_kwh", "while_cooling_kwh", "while_idle_kwh"):
        assert getattr(result.imbalance, kind) == pytest.approx(0.0, abs=1e-6)
    assert result.load.annual_kwh == pytest.approx(result.heating_kwh - result.cooling_kwh)
    # The year is a ring: what is stored is given back.
    assert abs(result.storage.annual_kwh) < 0.002 * result.heating_kwh
    assert set(result.components) == {
        "walls", "ceiling", "floor", "windows", "infiltration", "ventilation",
    }  # fmt: skip


def test_direction_of_an_element_between_zones_does_not_matter(greensboro):
    layers = (Layer.solid(0.012, 0.16, 800.0, 1090.0), Layer.resistance(2.0))
    base = house()
    turned = [
        replace(e, zone_in="attic", zone_out="house", tilt_deg=180.0, layers=layers[::-1])
        if e.name == "ceiling"
        else e
        for e in base.elements
    ]
    one = simulate(base, greensboro)
    other = simulate(replace(base, elements=turned), greensboro)

    assert other.heating_kwh == pytest.approx(one.heating_kwh, rel=1e-9)
    assert other.elements["ceiling"].annual_kwh == pytest.approx(
        one.elements["ceiling"].annual_kwh, rel=1e-9
    )


@settings(max_examples=8, deadline=None)
@given(
    resistance=st.floats(0.2, 8.0),
    more=st.floats(0.01, 5.0),
)
def test_more_insulation_never_raises_the_heating_load(resistance, more):
    weather = greensboro_once()
    lean = simulate(house(wall_r_m2k_per_w=resistance), weather)
    thick = simulate(house(wall_r_m2k_per_w=resistance + more), weather)

    assert thick.heating_kwh <= lean.heating_kwh


def test_setback_saves_heat_and_full_plant_has_a_limit(greensboro):
    hour = np.arange(8760) % 24
    night = np.where((hour < 6) | (hour >= 22), 16.0, 20.0)
    steady = simulate(house(), greensboro)
    setback = simulate(house(zone={"heating_setpoint_c": night}), greensboro)
    limit_w = 0.5 * steady.zones["house"].peak_heating_w
    small = simulate(house(zone={"heating_capacity_w": limit_w}), greensboro)

    assert setback.heating_kwh < 0.99 * steady.heating_kwh
    assert setback.zones["house"].air_c.min() < 19.0
    assert small.zones["house"].peak_heating_w == pytest.approx(limit_w)
    assert small.zones["house"].air_c.min() < 19.0
    assert steady.zones["house"].air_c.min() >= 20.0 - 1e-6
    assert small.imbalance.while_heating_kwh == pytest.approx(0.0, abs=1e-6)


def test_equal_setpoints_leave_no_free_hour(greensboro):
    zone = {"heating_setpoint_c": 21.0, "cooling_setpoint_c": 21.0}
    result = simulate(house(zone=zone), greensboro)

    np.testing.assert_allclose(result.zones["house"].air_c, 21.0, atol=1e-6)
    assert result.load.while_idle_kwh == 0.0


def test_free_zone_floats_and_gains_nothing_from_a_plant(greensboro):
    zone = {"heating_setpoint_c": None, "cooling_setpoint_c": None}
    result = simulate(house(zone=zone), greensboro)

    assert result.heating_kwh == result.cooling_kwh == 0.0
    assert result.zones["house"].air_c.min() < 10.0
    assert result.loss_shares() == {}


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: Zone(name="outdoor", volume_m3=1.0), "empty or reserved"),
        (lambda: Zone(name="a", volume_m3=-1.0), "volume of zone a must be above 0 m³"),
        (lambda: box(cooling_setpoint_c=10.0), "heating set-point is above cooling"),
        (lambda: box(is_conditioned=False), "unconditioned but has a set-point"),
        (lambda: box(convective_gain_w=np.zeros(24)), "8760 or 35040 values"),
        (lambda: AirChange(air_changes_per_hour=-0.1), "must be at least 0"),
        (lambda: filmed("w", 0.0, MASSIVE, "room"), "area of element w must be above 0 m²"),
        (lambda: filmed("w", 1.0, (), "room"), "has no layers"),
        (lambda: filmed("w", 1.0, MASSIVE, "room", "ground"), "has no temperature"),
        (lambda: Layer.resistance(0.0), "layer resistance"),
        (lambda: Network(zones=(box(),), elements=()), "zone room has no element"),
        (lambda: Network(zones=(box(),), elements=(filmed("w", 1.0, MASSIVE, "loft"),)),
         "zone 'loft', which is not in the network"),
        (lambda: Network(zones=(box(),), elements=(filmed("w", 1.0, MASSIVE, "room"),) * 2),
         "name 'w' is used twice"),
        (lambda: Options(steps_per_hour=2), "steps_per_hour must be one of"),
        (lambda: simulate(house(), None), "weather must be a WeatherYear"),
    ],
)  # fmt: skip
def test_what_does_not_fit_is_refused(make, message):
    with pytest.raises(InputError, match=message):
        make()
