"""Duct delivery against an independent heat balance; hot water closes at its test conditions."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import ducts, water_heating
from calcs.errors import InputError
from calcs.unit_factors import (
    K_PER_DEGF,
    M3_PER_GAL,
    SECONDS_PER_DAY,
    W_PER_BTUH,
    celsius_from_fahrenheit,
)

SYSTEM = ducts.DuctSystem(0.566, 0.057, 0.045, 37.0, 9.3, 0.74, 0.74)


def _heating(system, ambient=4.4):
    return ducts.heating_delivery(
        system, capacity_w=17_584, indoor_c=21.1, supply_ambient_c=ambient,
        return_ambient_c=ambient,
    ).effectiveness  # fmt: skip


def _balance(system, capacity, indoor, ambient):
    """Air followed from room to room through every part, kilograms and degrees only."""
    heat = ducts.AIR_HEAT_J_PER_M3_K * system.fan_m3_per_s
    keep = ducts.conduction_fraction
    back = ambient + (indoor - ambient) * keep(
        system.return_area_m2, system.fan_m3_per_s, system.return_r_m2k_per_w
    )
    share = system.return_leak_m3_per_s / system.fan_m3_per_s
    entering = share * ambient + (1 - share) * back
    leaving = entering + capacity / heat
    register = ambient + (leaving - ambient) * keep(
        system.supply_area_m2, system.fan_m3_per_s, system.supply_r_m2k_per_w
    )
    delivered = 1 - system.supply_leak_m3_per_s / system.fan_m3_per_s
    return delivered * heat * (register - indoor) / capacity


@settings(max_examples=40)
@given(st.floats(0, 0.2), st.floats(0, 0.2), st.floats(0, 60), st.floats(0, 30))
def test_heating_effectiveness_is_the_heat_balance(supply, back, supply_area, return_area):
    system = replace(
        SYSTEM, supply_leak_m3_per_s=supply, return_leak_m3_per_s=back,
        supply_area_m2=supply_area, return_area_m2=return_area,
    )  # fmt: skip
    # The standard lets the return leak join after the return duct, as followed here.
    expected = _balance(system, 17_584, 21.1, 4.4)
    assert _heating(system) == pytest.approx(expected, abs=1e-9)


def test_leaks_bare_ducts_and_cold_lower_delivery():
    tight = replace(SYSTEM, supply_leak_m3_per_s=0, return_leak_m3_per_s=0)
    assert _heating(tight) > _heating(SYSTEM)
    assert _heating(replace(SYSTEM, supply_r_m2k_per_w=1.4)) > _heating(SYSTEM)
    assert _heating(SYSTEM, ambient=-10) < _heating(SYSTEM)
    lossless = replace(tight, supply_area_m2=0, return_area_m2=0)
    assert _heating(lossless) == pytest.approx(1.0)


def _cooling(system, attic=43.0, return_enthalpy=95e3):
    return ducts.cooling_delivery(
        system, total_capacity_w=10_500, indoor_c=25.5, indoor_enthalpy_j_per_kg=51e3,
        supply_ambient_c=attic, return_ambient_c=attic,
        return_ambient_enthalpy_j_per_kg=return_enthalpy, coil_drop_k=10.5,
    ).effectiveness  # fmt: skip


def test_return_leaks_from_a_hot_attic_ruin_cooling():
    tight = replace(SYSTEM, supply_leak_m3_per_s=0, return_leak_m3_per_s=0)
    leaky = replace(tight, return_leak_m3_per_s=0.1)
    assert _cooling(leaky) < _cooling(tight) < 1.0
    assert _cooling(tight, attic=30) > _cooling(tight)
    assert _cooling(leaky, return_enthalpy=110e3) < _cooling(leaky)


def test_cooling_without_losses_delivers_everything():
    lossless = ducts.DuctSystem(0.566, 0, 0, 0, 0, 0.74, 0.74)
    assert _cooling(lossless) == pytest.approx(1.0)


def test_dry_cooling_is_the_same_balance_as_heating():
    # Enthalpy difference of dry air: the cooling form must give the sensible heat balance.
    heat_per_kg = 0.24 * 4186.8
    system = replace(SYSTEM, supply_area_m2=20, return_area_m2=5)
    drop = 10_500 / (system.fan_m3_per_s * ducts.AIR_HEAT_J_PER_M3_K)
    cooling = ducts.cooling_delivery(
        system, total_capacity_w=10_500, indoor_c=25, indoor_enthalpy_j_per_kg=25 * heat_per_kg,
        supply_ambient_c=40, return_ambient_c=40,
        return_ambient_enthalpy_j_per_kg=40 * heat_per_kg, coil_drop_k=drop,
    ).effectiveness  # fmt: skip
    assert cooling == pytest.approx(_balance(system, -10_500, 25, 40), abs=1e-6)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: replace(SYSTEM, supply_leak_m3_per_s=1.0), "above the fan flow"),
        (lambda: replace(SYSTEM, supply_r_m2k_per_w=0), "supply duct R"),
        (lambda: ducts.saving_fraction(0, 0.8), "effectiveness before"),
        (lambda: ducts.default_distribution_efficiency("magic"), "unknown distribution system"),
        (lambda: ducts.leakage_at_pressure_m3_per_s(0.07, 0), "operating pressure"),
    ],
)
def test_duct_refusals(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_halving_pressure_is_not_halving_leakage():
    assert ducts.leakage_at_pressure_m3_per_s(1.0, 12.5) == pytest.approx(0.5**0.6)


@pytest.mark.parametrize(("ef", "re", "kbtuh"), [(0.594, 0.76, 40), (0.55, 0.78, 38)])
def test_storage_heater_closes_at_its_test_conditions(ef, re, kbtuh):
    # Qin = Qout/EF exactly at 135/58/67.5 F and 41,094 Btu/day (Lutz et al. 1998).
    power = kbtuh * 1e3 * W_PER_BTUH
    ua = water_heating.standby_ua_w_per_k(ef, recovery=re, input_w=power)
    delta = 77 * K_PER_DEGF
    energy = water_heating.daily_input_j(
        water_heating.EF_TEST_HEAT_J / (1000 * 4186.8 * delta),
        density_kg_per_m3=1000, specific_heat_j_per_kg_k=4186.8,
        tank_c=celsius_from_fahrenheit(135), inlet_c=celsius_from_fahrenheit(58),
        ambient_c=celsius_from_fahrenheit(67.5), recovery=re, ua_w_per_k=ua, input_w=power,
    )  # fmt: skip
    assert energy == pytest.approx(water_heating.EF_TEST_HEAT_J / ef, rel=1e-9)


def test_no_draw_costs_the_standby_only():
    energy = water_heating.daily_input_j(
        0, density_kg_per_m3=990, specific_heat_j_per_kg_k=4186.8, tank_c=50, inlet_c=12,
        ambient_c=20, recovery=0.78, ua_w_per_k=5, input_w=11_000,
    )  # fmt: skip
    assert energy == pytest.approx(5 * 30 * SECONDS_PER_DAY)


@pytest.mark.parametrize(
    ("gallons", "draw"),
    [(17.99, "very small"), (18, "low"), (50.99, "low"), (51, "medium"), (75, "high")],
)
def test_draw_bins_belong_upward(gallons, draw):
    assert water_heating.draw_bin(first_hour_m3=gallons * M3_PER_GAL) == draw


def test_mains_are_coldest_late_in_winter_and_swap_hemispheres():
    def mains(day, north=True):
        return water_heating.mains_temperature_c(
            day, air_mean_c=10, monthly_spread_k=25, is_north=north
        )

    days = range(1, 366)
    assert 35 < min(days, key=mains) < 60
    assert min(days, key=lambda day: mains(day, False)) > 200
    average = sum(mains(day) for day in days) / 365
    assert average == pytest.approx(water_heating.mains_mean_c(10), abs=0.05)


def test_same_use_needs_more_hot_water_in_winter():
    assert water_heating.mixing_fraction(52, 5) > water_heating.mixing_fraction(52, 18)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (
            lambda: water_heating.standby_ua_w_per_k(0.8, recovery=0.76, input_w=11_000),
            "above the energy factor",
        ),
        (lambda: water_heating.draw_bin(), "either"),
        (lambda: water_heating.mixing_fraction(45, 50), "rise"),
        (lambda: water_heating.uef_minimum("gas_storage", "medium", 0.5), "rated volume"),
        (lambda: water_heating.uef_minimum("coal", "medium", 0.15), "no UEF minimum"),
        (lambda: water_heating.hot_draw_m3_per_day(3), "mixing fraction or the mains"),
        (
            lambda: water_heating.mains_temperature_c(400, air_mean_c=10, monthly_spread_k=20),
            "day of year",
        ),
    ],
)
def test_water_refusals(call, words):
    with pytest.raises(InputError, match=words):
        call()
