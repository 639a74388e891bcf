"""Flue-gas arithmetic against the DOE tip sheet, cantera, CoolProp and its own balances."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import combustion, combustion_air
from calcs.errors import InputError
from calcs.unit_factors import (
    J_PER_BTU,
    K_PER_DEGF,
    M2_PER_IN2,
    M3_PER_FT3,
    W_PER_BTUH,
    celsius_from_fahrenheit,
    fahrenheit_from_celsius,
)

GAS = combustion.fuel_analysis("natural_gas")
OIL = combustion.fuel_analysis("fuel_oil_2")

# Enthalpy above 25 C, J/mol, at 350, 450, 600 and 800 K: cantera 3.2, gri30.yaml; SO2 from its
# nasa_gas.yaml.
CANTERA_J_PER_MOL = {
    "CO2": (1983.66, 6108.43, 12903.82, 22808.85),
    "H2O": (1748.89, 5176.80, 10500.61, 18003.46),
    "N2": (1510.53, 4442.80, 8905.02, 15045.70),
    "O2": (1531.42, 4544.49, 9244.82, 15838.13),
    "SO2": (2117.40, 6466.21, 13542.68, 23722.94),
}
# Saturation pressure of water, Pa: CoolProp 8.0 (IAPWS-95).
COOLPROP_PA = {0.5: 633.780, 25: 3169.93, 60: 19946.4, 100: 101418.0, 120: 198674.0}

# US DOE Energy Tips: Steam, Tip Sheet #4, natural gas; net stack 200 to 600 F.
DOE_TABLE = {
    2: (85.4, 83.1, 80.8, 78.4, 76.0),
    3: (85.2, 82.8, 80.4, 77.9, 75.4),
    5: (84.7, 82.1, 79.5, 76.7, 74.0),
    7: (84.1, 81.2, 78.2, 75.2, 72.1),
    10: (82.8, 79.3, 75.6, 71.9, 68.2),
}


def _efficiency(fuel, o2, net_degf):
    return combustion.combustion_efficiency(
        fuel, o2, stack_c=25 + net_degf * K_PER_DEGF, combustion_air_c=25
    ).efficiency_pct


@pytest.mark.parametrize("species", list(CANTERA_J_PER_MOL))
def test_enthalpies_agree_with_cantera(species):
    for kelvin, expected in zip((350, 450, 600, 800), CANTERA_J_PER_MOL[species], strict=True):
        got = combustion.sensible_enthalpy_j_per_mol(species, kelvin)
        # SO2 is another fit than cantera's own; it carries 0.1 % of an oil's flue gas.
        assert got == pytest.approx(expected, rel=5e-3 if species == "SO2" else 1e-4)


@pytest.mark.parametrize("temperature", list(COOLPROP_PA))
def test_saturation_pressure_agrees_with_coolprop(temperature):
    got = combustion.saturation_pressure_pa(temperature)
    assert got == pytest.approx(COOLPROP_PA[temperature], rel=1e-3)


@pytest.mark.parametrize("o2", list(DOE_TABLE))
def test_efficiency_lies_just_above_the_doe_table(o2):
    # The sheet does not state its gas; first principles lie 0.2 to 0.8 points above it.
    for net, printed in zip((200, 300, 400, 500, 600), DOE_TABLE[o2], strict=True):
        assert 0.0 < _efficiency(GAS, o2, net) - printed < 0.8


@settings(max_examples=30)
@given(st.floats(0, 15), st.floats(170, 700), st.sampled_from(["natural_gas", "fuel_oil_2"]))
def test_hotter_stack_or_more_air_never_raises_efficiency(o2, net, name):
    fuel = combustion.fuel_analysis(name)
    here = _efficiency(fuel, o2, net)
    assert _efficiency(fuel, o2, net + 20) < here
    assert _efficiency(fuel, o2 + 1, net) < here


def test_losses_and_efficiency_sum_to_one_hundred():
    result = combustion.combustion_efficiency(GAS, 6, stack_c=180, combustion_air_c=-5)
    parts = result.dry_loss_pct + result.vapor_loss_pct + result.latent_loss_pct
    assert result.efficiency_pct + parts == pytest.approx(100)
    assert result.basis == "HHV"
    assert not result.is_condensing


def test_outdoor_combustion_air_counts_as_net_temperature():
    indoors = combustion.combustion_efficiency(GAS, 6, stack_c=180, combustion_air_c=20)
    outdoors = combustion.combustion_efficiency(GAS, 6, stack_c=180, combustion_air_c=-20)
    assert outdoors.efficiency_pct < indoors.efficiency_pct - 1.0


def test_below_the_dew_point_latent_heat_is_recovered_up_to_about_96_percent():
    # Trade: up to 96 % is reachable with a condensing boiler. 45 C flue, 5 % O2.
    warm = combustion.combustion_efficiency(GAS, 5, stack_c=60, combustion_air_c=20)
    cool = combustion.combustion_efficiency(GAS, 5, stack_c=35, combustion_air_c=20)
    assert not warm.is_condensing
    assert cool.is_condensing
    assert warm.efficiency_pct < 90 < 94 < cool.efficiency_pct < 98
    # continuous at the dew point
    edge = warm.dew_point_c
    above = combustion.combustion_efficiency(GAS, 5, stack_c=edge + 0.01, combustion_air_c=20)
    below = combustion.combustion_efficiency(GAS, 5, stack_c=edge - 0.01, combustion_air_c=20)
    assert below.efficiency_pct == pytest.approx(above.efficiency_pct, abs=0.02)


def test_o2_and_co2_are_two_views_of_one_sample():
    assert combustion.o2_pct_from_co2(GAS, combustion.co2_pct(GAS, 6.3)) == pytest.approx(6.3)
    assert combustion.co2_pct(GAS, 0) == pytest.approx(GAS.co2_max_pct)


def test_simple_excess_air_overstates():
    # 31.4 % by O2/(20.9 - O2), 28.1 % with the fuel's own products, gas at 5 % O2.
    assert pytest.approx(31.4, abs=0.1) == 100 * 5 / 15.9
    assert combustion.excess_air_pct(GAS, 5) == pytest.approx(28.2, abs=0.2)


def test_siegert_93_is_an_hhv_84():
    assert combustion.hhv_efficiency_from_lhv_loss_pct(7.0, 0.902) == pytest.approx(83.9, abs=0.1)


@pytest.mark.parametrize(
    ("o2", "quality"),
    [(5, "ok"), (17.99, "ok"), (18.0, "query"), (19.99, "query"), (20.0, "re-sample"),
     (20.9, "re-sample"), (21.5, "re-sample")],
)  # fmt: skip
def test_air_free_co_is_queried_from_18_and_refused_from_20(o2, quality):
    result = combustion.co_air_free(30, o2)
    assert result.quality == quality
    assert (result.air_free_ppm is None) == (quality == "re-sample")
    assert result.as_measured_ppm == 30


@given(st.floats(0, 2000), st.floats(0, 19.99))
def test_air_free_is_never_below_as_measured(co, o2):
    assert combustion.co_air_free(co, o2).air_free_ppm >= co


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: combustion.co_air_free(-1, 5), "CO"),
        (lambda: combustion.co_air_free(10, 25), "O2"),
        (lambda: _efficiency(GAS, 20.5, 300), "O2"),
        (lambda: _efficiency(GAS, 5, -10), "stack temperature"),
        (lambda: _efficiency(GAS, 5, 2000), "flue-gas temperature"),
        (lambda: combustion.fuel_analysis("coal"), "unknown fuel analysis"),
        (lambda: combustion.gas_analysis("x", {"CH4": 0.5}, source="s"), "sum to 1"),
        (lambda: combustion.meter_dial_input_w(0.05, 0, hhv_j_per_m3=3.8e7), "time"),
        (lambda: combustion.saturation_temperature_c(1.0), "absolute pressure"),
    ],
)
def test_refusals_name_what_is_wrong(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_water_must_reach_212_degf_to_make_steam():
    assert fahrenheit_from_celsius(combustion.steam_temperature_c(0)) == pytest.approx(212, abs=0.2)


def test_meter_dial_by_hand():
    # 2 ft3 in 72 s at 1026 Btu/ft3: 2 x 1026 x 50 an hour = 102,600 Btu/h
    watts = combustion.meter_dial_input_w(
        2 * M3_PER_FT3, 72, hhv_j_per_m3=1026 * J_PER_BTU / M3_PER_FT3
    )
    assert watts / W_PER_BTUH == pytest.approx(102_600)


def test_sulfur_and_inerts_change_the_products():
    lean = combustion.oil_analysis(
        "oil", carbon=0.872, hydrogen=0.128, sulfur=0.0, hhv_j_per_kg=45.5e6, source="test"
    )
    assert lean.co2_max_pct < OIL.co2_max_pct


def test_tightened_house_loses_the_ordinary_combustion_air_rule():
    # 40,000 Btu/h at 0.30 ACH: 21/0.30 x 40 = 2800 ft3 against 2000 by the standard method.
    watts = [40_000 * W_PER_BTUH]
    assert combustion_air.room_volume_needed_m3(watts) / M3_PER_FT3 == pytest.approx(2000)
    assert combustion_air.room_volume_known_rate_m3(watts, 0.30) / M3_PER_FT3 == pytest.approx(2800)
    # rates above 0.60 count as 0.60
    assert combustion_air.room_volume_known_rate_m3(
        watts, 2.0
    ) == combustion_air.room_volume_known_rate_m3(watts, 0.60)


def test_indoor_openings_have_a_floor():
    area = combustion_air.opening_free_area_m2([30_000 * W_PER_BTUH], "indoor_pair")
    assert area / M2_PER_IN2 == pytest.approx(100)


def test_draft_weakens_toward_a_mild_day():
    def draft(outdoor_degf):
        return combustion_air.theoretical_draft_pa(
            6, outdoor_c=celsius_from_fahrenheit(outdoor_degf), flue_mean_c=120
        )

    assert draft(10) < draft(40) < draft(80) < 0
