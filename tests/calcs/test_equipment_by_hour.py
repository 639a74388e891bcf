"""Burners, heat pumps, coils and pipes by the hour, against what is known outside the project."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import psychrolib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import burners, cooling_coils, heat_pumps, pipes
from calcs.combustion import dew_point_c, fuel_analysis
from calcs.distribution import delivery_of, pipe_factor, unbalanced_loss_per_k
from calcs.ducts import DuctSystem, delivery_line, heating_delivery
from calcs.end_uses import HOUR_SHAPES, heat_pump_heater_cop
from calcs.equipment import burn
from calcs.equipment_tables import cop_from_hspf
from calcs.errors import InputError
from calcs.inputs import CoolingSystem, DuctPart, HeatingSystem
from calcs.unit_factors import celsius_from_fahrenheit
from calcs.water_heating import daily_input_j, daily_input_of_months_j
from tests.calcs.buildings import steady_weather
from tests.factories.houses import ranch_1958

FURNACE = HeatingSystem(
    id="f", kind="furnace", fuel="natural_gas", capacity_w=20_000.0, efficiency=0.80,
    vent="induced_draft", location="basement", year_installed=2010,
)  # fmt: skip
STEAM = HeatingSystem(
    id="s", kind="boiler", fuel="natural_gas", distribution="steam_pipes", capacity_w=40_000.0,
    steady_state_efficiency=0.83, vent="atmospheric", location="basement", bare_pipe_m=10.0,
)  # fmt: skip
CONDENSING = HeatingSystem(
    id="c", kind="boiler", fuel="natural_gas", distribution="hot_water_pipes", capacity_w=20_000.0,
    efficiency=0.96, is_condensing=True, vent="direct", year_installed=2026, service="annual",
)  # fmt: skip
PUMP = HeatingSystem(
    id="p", kind="heat_pump", fuel="electricity", capacity_w=10_000.0,
    seasonal_cop=cop_from_hspf(8.2), backup_fuel="electricity",
)  # fmt: skip
OUTDOOR = np.linspace(-25.0, 18.0, 200)


def site(system, load, outdoor=0.0, **more):
    loads = np.atleast_1d(np.asarray(load, dtype=float))
    burned = burn(
        system, loads, np.broadcast_to(outdoor, loads.shape).astype(float), year=2026,
        fan_flow_m3_per_s=None, **more,
    )  # fmt: skip
    return sum(burned.by_fuel.values())


# -- Burners -------------------------------------------------------------------------------


def test_line_gives_the_steady_figure_at_full_load_and_less_below():
    """The linear input-output line (check rows hvac-026 to 028 have the same line)."""
    full, half, low = (
        load / site(STEAM, load, 5.6, regain=1.0)[0] for load in (40_000.0, 20_000.0, 5_000.0)
    )
    assert full == pytest.approx(0.83)
    assert low < half < full
    # By hand at half load: 20000/0.83 + 0.016 * 0.5 * 40000/0.83, draft factor 1 at 42 °F.
    by_hand = 20_000.0 / (20_000.0 / 0.83 + 0.016 * 0.5 * 40_000.0 / 0.83)
    assert half == pytest.approx(by_hand, rel=1e-3)


def test_old_steam_boiler_comes_out_where_practice_has_it():
    """About 70 to 76 % over the season at a mean load of a quarter; common practice, no source."""
    outdoor = celsius_from_fahrenheit(np.array([42.0]))
    season = 10_000.0 / site(STEAM, 10_000.0, outdoor)[0]
    assert 0.70 < season < 0.77


def test_jacket_is_no_loss_in_heated_rooms():
    inside, basement, outside = (site(STEAM, 10_000.0, regain=share)[0] for share in (1.0, 0.5, 0))
    assert inside < basement < outside
    assert outside - inside == pytest.approx(0.012 * 40_000.0 / 0.83)
    assert burners.regain_share("conditioned") == 1.0
    assert burners.regain_share("garage") == 0.0
    assert burners.regain_share("garage", is_in_house_zone=True) == 1.0


@settings(max_examples=60, deadline=None)
@given(
    st.sampled_from([FURNACE, STEAM, CONDENSING]),
    st.floats(0.0, 60_000.0),
    st.floats(1.0, 20_000.0),
    st.floats(-30.0, 20.0),
)
def test_more_heat_never_takes_less_fuel_and_never_comes_free(system, load, more, outdoor):
    less, other = site(system, [load, load + more], outdoor)
    assert other > less
    assert other >= (load + more) * 0.99 / burners.MOST_STEADY_CONDENSING


def test_condensing_follows_the_return_water():
    """Latent heat comes back only below the dew point, 130 °F at 5 % oxygen (comb-071)."""
    dew = dew_point_c(fuel_analysis("natural_gas"), burners.CONDENSING_O2_PCT)
    assert dew == pytest.approx(celsius_from_fahrenheit(130.0), abs=1.0)
    water = np.linspace(15.0, 85.0, 141)
    most = burners.condensing_limit("natural_gas", water)
    assert (np.diff(most) < 1e-12).all()
    # Trade facts (common practice, no source): near 87 to 88 % dry, 95 % and more on cool water.
    assert 0.86 < burners.condensing_limit("natural_gas", np.array([71.0]))[0] < 0.885
    assert burners.condensing_limit("natural_gas", np.array([30.0]))[0] > 0.95


def test_reset_lets_a_condensing_boiler_condense_and_hot_radiators_do_not():
    hot = 8_000.0 / site(CONDENSING, 8_000.0, 4.0)[0]
    reset = 8_000.0 / site(replace(CONDENSING, has_outdoor_reset=True), 8_000.0, 4.0)[0]
    cool = replace(CONDENSING, supply_design_c=50.0)
    assert hot < 0.885
    assert reset > hot + 0.01
    # Radiators with room to spare carry the coldest day on 150 °F water.
    roomy = replace(CONDENSING, has_outdoor_reset=True, supply_design_c=65.0)
    assert 8_000.0 / site(roomy, 8_000.0, 4.0)[0] > 0.90
    assert 8_000.0 / site(cool, 8_000.0, 4.0)[0] > reset
    supply = burners.supply_water_c(
        replace(CONDENSING, has_outdoor_reset=True), OUTDOOR, design_outdoor_c=-12.0
    )
    assert supply.max() == pytest.approx(82.2)
    assert supply.min() >= 32.0
    assert (np.diff(supply) <= 0.0).all()


def test_steam_never_condenses():
    steam = replace(STEAM, steady_state_efficiency=None, efficiency=0.82, has_outdoor_reset=True)
    assert np.ptp(steam.capacity_w / site(steam, [40_000.0] * 3, np.array([-20, 0, 15]))) < 1e-9


@settings(max_examples=50, deadline=None)
@given(st.lists(st.floats(0.0, 30_000.0), min_size=3, max_size=60), st.floats(5_000.0, 25_000.0))
def test_heat_owed_is_that_of_a_plain_loop(loads, capacity):
    owed, by_loop = 0.0, []
    for load in loads:
        owed = max(owed + load - capacity, 0.0)
        by_loop.append(owed)
    assert burners.behind_wh(np.array(loads), capacity) == pytest.approx(by_loop, abs=1e-4)


def test_one_hour_of_recovery_is_no_shortage_and_a_frost_is():
    morning = np.zeros(48)
    morning[6], morning[7] = 30_000.0, 10_000.0
    assert burners.short_hours(morning, 20_000.0) == 0
    assert burners.short_hours(np.full(48, 25_000.0), 20_000.0) > 40


# -- Heat pumps ----------------------------------------------------------------------------


def test_bins_of_the_rating_region_add_to_one():
    assert heat_pumps.REGION_SHARES.sum() == pytest.approx(1.0)
    assert len(heat_pumps.REGION_SHARES) == len(heat_pumps.REGION_BINS_DEGF)


@pytest.mark.parametrize("cold", [0.5, 0.62, 0.8])
@pytest.mark.parametrize("hspf", [6.8, 8.2, 9.5])
def test_rating_comes_back_out_of_the_bins(hspf, cold):
    seasonal = cop_from_hspf(hspf)
    assert heat_pumps.seasonal_cop(
        heat_pumps.cop_47_of(seasonal, cold), cold=cold
    ) == pytest.approx(seasonal)


def test_rating_by_hand_in_btu_and_fahrenheit():
    """The federal bin calculation written out for a unit of 36,000 Btu/h (10 CFR 430 App. M)."""
    shares = [.132, .111, .103, .093, .1, .109, .126, .087, .055, .036, .026, .013, .006, .002,
              .001]  # fmt: skip
    cold, cop47 = 0.62, 3.5
    q47, e47 = 36_000.0, 36_000.0 / (3.412 * cop47)
    q17, e17 = cold * q47, cold / heat_pumps.COLD_COP * e47
    load_sum = energy_sum = 0.0
    for step, share in enumerate(shares):
        t = 62.0 - 5.0 * step
        if 17.0 < t < 45.0:
            q35 = 0.90 * (q17 + 0.6 * (q47 - q17))
            e35 = 0.985 * (e17 + 0.6 * (e47 - e17))
            q = q17 + (q35 - q17) * (t - 17.0) / 18.0
            e = e17 + (e35 - e17) * (t - 17.0) / 18.0
        else:
            q = q17 + (q47 - q17) * (t - 17.0) / 30.0
            e = e17 + (e47 - e17) * (t - 17.0) / 30.0
        load = (65.0 - t) / 60.0 * 0.77 * q47
        x = min(load / q, 1.0)
        load_sum += share * load
        energy_sum += share * (x * e / (1.0 - 0.25 * (1.0 - x)) + (load - x * q) / 3.412)
    assert heat_pumps.seasonal_cop(cop47, cold=cold) * 3.412 == pytest.approx(
        load_sum / energy_sum, rel=2e-3
    )


def test_usual_unit_has_the_cop_its_maker_prints():
    """A single-speed unit of HSPF 8.2 is sold with about 3.4 to 3.8 at 47 °F (common practice)."""
    assert 3.3 < heat_pumps.cop_47_of(cop_from_hspf(8.2), 0.62) < 3.8


def test_frost_costs_capacity_where_it_forms():
    share = heat_pumps.capacity_share(
        celsius_from_fahrenheit(np.array([17.0, 35.0, 47.0])), cold=0.6
    )
    assert share == pytest.approx([0.6, 0.9 * 0.84, 1.0])


def test_warmer_air_never_gives_less_capacity_or_cop():
    capacity = heat_pumps.capacity_share(OUTDOOR, cold=0.62)
    assert (np.diff(capacity) >= -1e-12).all()
    cop = heat_pumps.heat_pump_cop(PUMP, OUTDOOR)
    assert (np.diff(cop) >= -1e-12).all()
    assert cop.min() >= 1.0


def test_a_rating_that_cannot_be_is_refused():
    with pytest.raises(InputError, match="must lie below"):
        heat_pumps.cop_47_of(5.5, 0.62)


def test_resistance_heat_comes_in_below_the_balance_point():
    balance = heat_pumps.balance_point_c(PUMP, ua_w_per_k=400.0, house_balance_c=18.0)
    load = 400.0 * np.maximum(18.0 - OUTDOOR, 0.0)
    _, _, rest = heat_pumps.pumped_and_rest(PUMP, load, OUTDOOR)
    assert balance is not None
    assert (rest[balance + 0.1 < OUTDOOR] == 0.0).all()
    assert (rest[balance - 0.3 > OUTDOOR] > 0.0).all()
    assert heat_pumps.balance_point_c(PUMP, ua_w_per_k=20.0, house_balance_c=18.0) is None


def test_furnace_behind_the_coil_takes_the_hour_over_and_lockout_stops_the_compressor():
    load = np.array([3_000.0, 12_000.0])
    dual = replace(PUMP, backup_fuel="natural_gas", backup_efficiency=0.8)
    pumped, power, rest = heat_pumps.pumped_and_rest(dual, load, np.array([0.0, 0.0]))
    assert pumped[1] == 0.0
    assert power[1] == 0.0
    assert rest[1] == 12_000.0
    assert rest[0] == 0.0
    locked = replace(PUMP, lockout_c=2.0)
    pumped, _, rest = heat_pumps.pumped_and_rest(locked, load, np.array([0.0, 5.0]))
    assert (pumped[0], rest[0]) == (0.0, 3_000.0)
    assert pumped[1] > 0.0


@settings(max_examples=40, deadline=None)
@given(st.floats(100.0, 15_000.0), st.floats(-20.0, 15.0))
def test_pump_with_strips_beats_strips_and_not_physics(load, outdoor):
    electric = site(PUMP, load, outdoor)[0]
    assert load / heat_pumps.LARGEST_COP < electric <= load * 1.34


# -- Coils ---------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def si():
    psychrolib.SetUnitSystem(psychrolib.SI)


def test_rating_point_agrees_with_an_independent_library(si):
    ratio = psychrolib.GetHumRatioFromTWetBulb(26.67, 19.44, 101_325.0)
    assert ratio == pytest.approx(cooling_coils.RATED_RATIO, abs=3e-5)
    for temperature in (5.0, 12.0, 25.0):
        assert cooling_coils.saturation_ratio(temperature) == pytest.approx(
            psychrolib.GetSatHumRatio(temperature, 101_325.0), rel=0.005
        )
    assert cooling_coils.enthalpy_j_per_kg(26.67, 0.01117) == pytest.approx(
        psychrolib.GetMoistAirEnthalpy(26.67, 0.01117), rel=1e-3
    )


@pytest.mark.parametrize(
    ("dry_degf", "wet_degf", "low", "high"),
    # Sensible share of usual units by entering air; trade tables, common practice, no source.
    [(80, 67, 0.72, 0.78), (75, 63, 0.74, 0.84), (80, 72, 0.53, 0.62), (80, 62, 0.92, 1.0)],
)
def test_sensible_share_by_wet_bulb(si, dry_degf, wet_degf, low, high):
    dry, wet = (float(celsius_from_fahrenheit(t)) for t in (dry_degf, wet_degf))
    ratio = psychrolib.GetHumRatioFromTWetBulb(dry, wet, 101_325.0)
    surface = cooling_coils.coil_line().surface_c(dry, ratio)
    sensible = 1006.0 * (dry - surface)
    latent = 2.45e6 * max(ratio - cooling_coils.saturation_ratio(surface), 0.0)
    assert low <= sensible / (sensible + latent) <= high
    excess = float(cooling_coils.wet_bulb_excess_k(dry, ratio))
    assert excess == pytest.approx((wet_degf - 67) / 1.8, abs=0.35)


def moisture(**changes):
    hours = 24 * 40
    day = np.arange(hours) % 24
    values = {
        "volume_m3": 300.0, "room_c": np.full(hours, 25.0),
        "fresh_m3_per_s": np.full(hours, 0.03), "fresh_ratio": np.full(hours, 0.014),
        "latent_gain_w": np.full(hours, 150.0),
        "coil_sensible_w": np.where((day > 10) & (day < 22), 4000.0, 0.0),
    }  # fmt: skip
    return values | changes


def test_moisture_balance_closes():
    values = moisture()
    room = cooling_coils.room_moisture(**values)
    held = 300.0 * 1.2 * cooling_coils.MOISTURE_HOLDING
    fresh = 1.2 * 0.03 * (0.014 - room.ratio)
    inward = 3600.0 * (fresh + 150.0 / 2.45e6 - room.latent_w / 2.45e6).sum()
    assert inward == pytest.approx(
        held * (room.ratio[-1] - cooling_coils.START_RATIO), abs=1e-6 * held
    )
    assert room.latent_w.max() > 0.0


def test_compiled_loop_equals_plain_python():
    values = moisture()
    fast = cooling_coils.room_moisture(**values)
    plain = cooling_coils.moisture_loop.py_func
    compiled, cooling_coils.moisture_loop = cooling_coils.moisture_loop, plain
    try:
        slow = cooling_coils.room_moisture(**values)
    finally:
        cooling_coils.moisture_loop = compiled
    assert fast.latent_w == pytest.approx(slow.latent_w, rel=1e-9)
    assert fast.ratio == pytest.approx(slow.ratio, rel=1e-9)


def test_damp_air_means_more_latent_heat_and_dry_air_none():
    damp = cooling_coils.room_moisture(**moisture(fresh_ratio=np.full(960, 0.018)))
    usual = cooling_coils.room_moisture(**moisture())
    dry = cooling_coils.room_moisture(
        **moisture(fresh_ratio=np.full(960, 0.004), latent_gain_w=np.zeros(960))
    )
    assert damp.latent_w.sum() > usual.latent_w.sum() > dry.latent_w.sum() == 0.0


def test_cooling_takes_more_on_hot_days_at_low_load_and_over_dry_rooms():
    unit = CoolingSystem(id="a", capacity_w=9_000.0, seasonal_cop=3.8)
    one = np.array([4_000.0])

    def power(load=one, outdoor=28.0, excess=0.0):
        return cooling_coils.cool(
            unit, load, 0.0 * load, np.array([outdoor]), wet_bulb_excess=excess
        )[0]

    assert power(outdoor=38.0) > power(outdoor=28.0)
    assert power(excess=-4.0) > power(excess=0.0)
    # Two short hours take more than one full one.
    assert 2.0 * power(np.array([2_000.0])) > power()
    # Half load at the test's temperature gives the seasonal rating back.
    half = np.array([0.5 * cooling_coils.capacity_w(unit, np.array([27.8]), 0.0)[0]])
    assert half[0] / power(half, 27.8) == pytest.approx(3.8)


# -- Pipes, ducts, water -------------------------------------------------------------------


def test_bare_steam_pipe_of_a_textbook():
    """Horizontal steam pipe, 0.1016 m, 165 °C in a room of 23 °C, emissivity 0.85: 786 W/m.

    Incropera and DeWitt, natural convection, worked example of the long horizontal cylinder
    (memory): 345 W/m by convection and 441 by radiation. 4 % for properties of air.
    """
    found = pipes.pipe_loss_w_per_m(165.0, 23.0, diameter_m=0.1016, emissivity=0.85)
    assert found == pytest.approx(786.0, rel=0.04)


def test_steam_pipes_lose_more_than_water_and_water_that_follows_the_weather_least():
    weather = steady_weather(dry_bulb_c=5.0)
    around = np.full(8760, 15.0)
    water = replace(STEAM, distribution="hot_water_pipes")
    steam, hot, reset = (
        pipe_factor(system, weather, around).mean()
        for system in (STEAM, water, replace(water, has_outdoor_reset=True))
    )
    assert steam > hot
    assert pipe_factor(replace(STEAM, bare_pipe_m=0.0), weather, around).mean() < steam
    assert (pipe_factor(STEAM, weather, around - 10.0) > pipe_factor(STEAM, weather, around)).all()
    assert reset > 0.0


def test_leaks_that_balance_draw_no_outdoor_air():
    def ducts(supply, back):
        return DuctSystem(0.5, supply, back, 20.0, 10.0, 0.7, 0.7)

    assert unbalanced_loss_per_k(ducts(0.05, 0.05), capacity_w=15_000.0) == 0.0
    drawn = unbalanced_loss_per_k(ducts(0.10, 0.02), capacity_w=15_000.0)
    # Half of 0.08 m³/s made up from outdoors, 1206 J/(m³·K), over 15 kW.
    assert drawn == pytest.approx(0.5 * 0.08 * 1206.0 / 15_000.0, rel=2e-3)
    assert unbalanced_loss_per_k(ducts(0.02, 0.10), capacity_w=15_000.0) == pytest.approx(-drawn)


def test_heat_pump_water_heater_by_its_air():
    cop = heat_pump_heater_cop(3.5, np.array([2.0, 10.0, 19.7, 28.0]))
    assert cop[0] == pytest.approx(0.98)
    assert cop[2] == pytest.approx(3.5 * 0.9)
    assert (np.diff(cop) > 0.0).all()


def test_shapes_of_the_day_have_mean_one():
    for shape in HOUR_SHAPES.values():
        assert shape.shape == (24,)
        assert shape.mean() == pytest.approx(1.0)
        assert shape.min() >= 0.0


@settings(max_examples=40, deadline=None)
@given(
    st.floats(0.0, 0.2), st.floats(0.0, 0.2), st.floats(0.0, 60.0), st.floats(-20.0, 60.0),
    st.floats(-20.0, 60.0), st.floats(4_000.0, 30_000.0),
)  # fmt: skip
def test_delivery_line_is_the_standards_equation(supply, back, area, near, far, capacity):
    ducts = DuctSystem(0.5, supply, back, area, area / 3.0, 0.7, 0.9)
    line = delivery_line(ducts, capacity_w=capacity)
    whole = heating_delivery(
        ducts, capacity_w=capacity, indoor_c=21.0, supply_ambient_c=21.0 - near,
        return_ambient_c=21.0 - far,
    )  # fmt: skip
    found = line.still + line.per_supply_k * near + line.per_return_k * far
    assert found == pytest.approx(whole.effectiveness, abs=1e-12)


def test_water_of_months_is_the_formula_of_days():
    heats, ambient = np.array([1.0e7, 2.5e7, 4.0e7]), np.array([5.0, 15.0, 25.0])
    months = daily_input_of_months_j(
        heats, tank_c=52.0, ambient_c=ambient, recovery=0.78, ua_w_per_k=4.5, input_w=11_700.0
    )
    for index, month in enumerate(months):
        draw = heats[index] / (988.0 * 4186.8 * 40.0)
        day = daily_input_j(
            draw, density_kg_per_m3=988.0, specific_heat_j_per_kg_k=4186.8, tank_c=52.0,
            inlet_c=12.0, ambient_c=ambient[index], recovery=0.78, ua_w_per_k=4.5,
            input_w=11_700.0,
        )  # fmt: skip
        assert month == pytest.approx(day, rel=1e-12)


def with_ducts(**changes):
    house = ranch_1958()
    return replace(house, ducts=replace(house.ducts, **changes))


def test_ducts_through_two_spaces_lose_between_what_each_alone_would():
    """The standard's equation is linear in the air around: half and half is the mean."""
    weather = steady_weather(dry_bulb_c=0.0)
    air = {"house": np.full(8760, 20.0), "attic": np.full(8760, 4.0),
           "crawlspace": np.full(8760, 12.0)}  # fmt: skip

    def arrives(**changes):
        return 1.0 / delivery_of(with_ducts(**changes), weather, air_c=air).heating.mean()

    attic = arrives(supply_location="attic", return_location="attic")
    crawl = arrives(supply_location="crawlspace", return_location="crawlspace")
    parts = (DuctPart(space="attic", share=0.5), DuctPart(space="crawlspace", share=0.5))
    both = delivery_of(with_ducts(supply_parts=parts, return_parts=parts), weather, air_c=air)
    assert crawl < 1.0 / both.heating.mean() < attic
    assert both.heating.mean() == pytest.approx((1.0 / attic + 1.0 / crawl) / 2.0, rel=1e-6)
    lost = {factor.space: factor.heating.mean() for factor in both.factors}
    assert lost["attic"] == pytest.approx(lost["crawlspace"])


def test_parts_of_a_side_add_to_one():
    with pytest.raises(InputError, match="supply_parts is 0"):
        with_ducts(supply_parts=(DuctPart(space="attic", share=0.5),))


def test_small_cooler_is_said_to_fall_short_and_a_large_one_is_not():
    load = np.tile(np.concatenate([np.zeros(12), np.full(12, 6_000.0)]), 20)
    outdoor = np.full(480, 35.0)
    small = CoolingSystem(id="s", capacity_w=2_500.0)
    large = CoolingSystem(id="l", capacity_w=7_000.0)
    assert cooling_coils.short_cooling_hours(small, load, outdoor) > 100
    assert cooling_coils.short_cooling_hours(large, load, outdoor) == 0
