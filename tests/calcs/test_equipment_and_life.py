"""Equipment tables, lifetimes, base load and manual algorithms."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import baseload, constants, lifetimes
from calcs import equipment_tables as equipment
from calcs import trm_algorithms as trm
from calcs.api import FIELD_TESTS, field_test
from calcs.errors import InputError
from calcs.unit_factors import J_PER_KWH, J_PER_THERM, celsius_from_fahrenheit


def test_cast_iron_boiler_of_twenty_years_is_left_with_the_table_named():
    result = lifetimes.leave_until(
        installed_year=2006, this_year=2026, kind="boiler_cast_iron_steam", table="ashrae_median"
    )
    assert (result.year, result.is_past_table_life) == (2036, False)
    assert "ASHRAE median service life" in result.table_name
    trade = lifetimes.leave_until(
        installed_year=2006, this_year=2026, kind="boiler", table="trade_boiler"
    )
    assert 2031 <= trade.year <= 2036  # 25 to 30 years, common practice
    assert trade.provenance == "common practice"


def test_past_its_table_life_promises_nothing():
    result = lifetimes.leave_until(
        installed_year=1960, this_year=2026, kind="boiler_cast_iron_steam", table="ashrae_median"
    )
    assert (result.year, result.is_past_table_life) == (2026, True)


def test_tables_disagree_so_each_carries_its_date():
    names = {table.key: table for table in lifetimes.LIFE_TABLES.values()}
    assert all(table.dated and table.provenance for table in names.values())
    assert lifetimes.service_life_years("gas_furnace", table="trm_northeast") == 18
    assert lifetimes.service_life_years("efficient_furnace", table="deer_2026") == 30


@settings(max_examples=40)
@given(st.floats(0, 60), st.booleans(), st.sampled_from(list(lifetimes.DEGRADATION_PER_YEAR)))
def test_degraded_efficiency_falls_with_age_to_a_floor(age, serviced, kind):
    value = lifetimes.degraded_efficiency(
        0.8, age_years=age, equipment=kind, has_annual_service=serviced
    )
    assert 0.8 * lifetimes.DEGRADATION_FLOOR <= value <= 0.8
    older = lifetimes.degraded_efficiency(
        0.8, age_years=age + 1, equipment=kind, has_annual_service=serviced
    )
    assert older <= value


def test_steam_minimums_stay_below_condensing():
    assert equipment.boiler_minimum_afue_pct("gas_steam") == 82
    assert max(equipment.USUAL_COMBUSTION_EFFICIENCY_PCT["steam_atmospheric"]) == 85
    assert max(equipment.USUAL_COMBUSTION_EFFICIENCY_PCT["hot_water_condensing"]) == 96


@pytest.mark.parametrize(
    ("year", "band"), [(1910, "pre-1960"), (1960, "1960-69"), (1983, "1975-83"), (2020, "1992+")]
)
def test_vintage_bands(year, band):
    assert equipment.vintage(year) == band


def test_reset_line_is_clamped_at_both_ends_and_has_a_floor():
    line = equipment.ResetLine(-18, 82, 16, 49, minimum_supply_c=60)
    assert line.supply_c(-40) == 82
    assert line.supply_c(30) == 60
    with pytest.raises(InputError, match="mild outdoor"):
        equipment.ResetLine(10, 82, 5, 49)


@settings(max_examples=40)
@given(st.floats(0.02, 0.98))
def test_part_load_efficiency_rises_with_load_to_the_steady_one(load):
    def at(share):
        return equipment.part_load_efficiency(
            steady_efficiency=0.84, idle_input_share=0.02, load_share_of_output=share
        )

    assert at(load) < at(min(1.0, load + 0.02)) <= 0.84 + 1e-12
    assert at(1.0) == pytest.approx(0.84)


def test_replacement_saves_one_less_old_over_new():
    # 70 to 95 is 26.3 %, not 25
    assert equipment.replacement_saving_fraction(0.70, 0.95) == pytest.approx(0.263, abs=5e-4)


def test_metering_below_the_minimum_is_refused_not_stretched():
    short = baseload.metered_refrigerator(0.1 * J_PER_KWH, 119.9)
    assert (short.annual_j, short.quality) == (None, "too short")
    two_hours = baseload.metered_refrigerator(0.1 * J_PER_KWH, 120)
    assert two_hours.quality == "short"
    three = baseload.metered_refrigerator(0.1 * J_PER_KWH, 180, peak_w=450)
    assert three.quality == "ok"
    assert three.remarks == ("defrost_seen",)
    assert three.annual_j / J_PER_KWH == pytest.approx(0.1 * 525_600 / 180)
    with pytest.raises(InputError, match="metering time"):
        baseload.metered_refrigerator(1.0, 0)


def test_base_load_by_hand():
    # 60 W, 3 h/day: 65.7 kWh/yr, 7.5 W mean
    annual = baseload.lamp_annual_j(60, 3)
    assert annual / J_PER_KWH == pytest.approx(65.7)
    assert baseload.mean_gain_w(annual) == pytest.approx(7.5)
    with pytest.raises(InputError, match="hours a day"):
        baseload.lamp_annual_j(60, 25)
    assert baseload.appliance_annual_j("refrigerator") == pytest.approx(600 * J_PER_KWH)


def test_input_form_overstates_with_the_old_units_input():
    load = 800 * J_PER_THERM
    hours = 1000 * 3600.0
    right = trm.boiler_by_load_j(load, base=0.82, efficient=0.95)
    new_input = load / hours / 0.95
    old_input = load / hours / 0.82
    assert trm.boiler_by_input_j(
        new_input, base=0.82, efficient=0.95, full_load_seconds=hours
    ) == pytest.approx(right)
    assert trm.boiler_by_input_j(
        old_input, base=0.82, efficient=0.95, full_load_seconds=hours
    ) == pytest.approx(right * 0.95 / 0.82)


@settings(max_examples=30)
@given(st.floats(0.5, 5), st.floats(0.1, 5))
def test_more_r_never_saves_less(old, extra):
    def saved(new):
        return trm.insulation_heating_j(
            old, new, area_m2=100, framing_fraction=0.07, degree_days_k_day=3000,
            adjustment=1, efficiency=0.8,
        )  # fmt: skip

    assert saved(old) == pytest.approx(0, abs=1e-6)
    assert 0 < saved(old + extra) < saved(old + 2 * extra)


def test_delivered_electricity_carries_its_line_loss():
    raw = constants.grid_co2_kg_per_j("US")
    assert constants.grid_co2_kg_per_j("US", line_loss_fraction=0.05) == pytest.approx(raw / 0.95)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: constants.grid_co2_kg_per_j("XXXX"), "unknown eGRID subregion"),
        (lambda: constants.source_energy_j({"coal": 1.0}), "unknown energy carrier"),
        (lambda: equipment.scale_loss_pct(7), "sixty-fourths"),
        (lambda: equipment.vintage_afue("gas_boiler", "1800"), "unknown vintage"),
        (lambda: equipment.boiler_minimum_afue_pct("gas_steam", from_date="1999"), "compliance"),
        (lambda: lifetimes.service_life_years("boiler", table="none"), "unknown life table"),
        (
            lambda: lifetimes.leave_until(
                installed_year=2030, this_year=2026, kind="boiler", table="trade_boiler"
            ),
            "after this year",
        ),
        (lambda: field_test("horoscope"), "unknown field test"),
    ],
)
def test_refusals_name_what_is_wrong(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_every_field_test_behind_the_door_says_what_it_is():
    for name, test in FIELD_TESTS.items():
        assert test.summary, name
        assert test.function.__module__.startswith("calcs."), name


def test_fahrenheit_readings_and_differences_are_two_things():
    assert celsius_from_fahrenheit(212) == pytest.approx(100)
    assert celsius_from_fahrenheit(-40) == pytest.approx(-40)
