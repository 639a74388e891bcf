"""The whole catalogue: every kind of work has its house, and does to it what the trade says.

Facts of the trade below are common practice, no source, unless a test names one.
"""

from collections.abc import Callable
from dataclasses import replace
from itertools import permutations

import pytest

from calcs import analysis
from calcs.assemblies import attic_floor_r, insulation_r
from calcs.baseline import evaluate
from calcs.distribution import MOST_UNEVEN_SHARE, uneven_share
from calcs.errors import InputError
from calcs.inputs import (
    Door,
    Fireplace,
    HeatingSystem,
    House,
    InsulationLayer,
    Repair,
    house_from_dict,
    house_to_dict,
    swap,
)
from calcs.leak_places import leak_flows
from calcs.left_alone import left_alone
from calcs.measures import HAZARD_KINDS, STAGES, Measure, measures_for
from calcs.measures.attic_sealing import ATTIC_REMOVED, ATTIC_SEALING, shares_of_parts
from calcs.measures.heating import with_new_unit
from calcs.measures.lives import LIVES
from calcs.measures.steam import (
    CONDENSING_RETURN_C,
    STEAM_C,
    USUAL_SUPPLY_C,
    WATER_W_PER_M2,
    mean_water_c,
    require_efficiency_possible,
    water_system,
    with_hot_water,
)
from calcs.measures.ventilation import measure_for as fan_for
from calcs.packages import blocked_by
from calcs.unit_factors import (
    J_PER_KWH,
    M2K_PER_W_PER_R_IP,
    M3_PER_FT3,
    M_PER_IN,
    celsius_from_fahrenheit,
    fahrenheit_from_celsius,
)
from tests.factories.catalogue_houses import (
    EVERY_HOUSE,
    neglected_ranch,
    six_inch_batts,
    steam_with_bad_vents,
)
from tests.factories.costs import cost_of
from tests.factories.house_parts import PRICES, cfm
from tests.factories.houses import (
    balloon_frame_1910,
    electric_resistance_1974,
    oil_1948,
    ranch_1958,
    tight_2006,
)
from tests.factories.weather import greensboro

# What a catalogue has to have at least -> the kinds that are it.
ASKED_FOR = {
    "attic plane": ("attic_air_sealing",),
    "wall tops": ("wall_top_sealing",),
    "rim joist": ("rim_joist",),
    "chimney chase": ("chimney_chase_sealing",),
    "penetrations": ("penetration_sealing",),
    "basement door": ("basement_door_sealing",),
    "garage door to house": ("garage_door_sealing",),
    "fireplace damper or flue plug": ("fireplace_damper", "flue_plug"),
    "attic insulation with and without removal": (
        "attic_insulation",
        "attic_insulation_renewal",
    ),
    "raised storage deck": ("attic_raised_deck",),
    "attic-stair cover": ("attic_stair_cover", "attic_hatch_cover"),
    "wall cavity fill": ("wall_insulation",),
    "spot repair of missed bays": ("wall_spot_repair",),
    "floor, crawlspace, basement wall": (
        "floor_insulation",
        "crawl_wall_insulation",
        "crawl_encapsulation",
        "basement_wall_insulation",
        "belly_insulation",
    ),
    "ducts": ("duct_sealing", "duct_insulation"),
    "windows": ("window_repair", "storm_windows", "window_replacement"),
    "steam to hot water": ("steam_to_hot_water",),
    "equipment": ("boiler_replacement", "furnace_replacement", "heat_pump"),
    "water heaters": ("water_heater_replacement", "heat_pump_water_heater"),
    "controls and set-back": ("thermostat", "thermostat_program", "outdoor_reset"),
    "steam venting and pipe insulation": (
        "steam_venting",
        "heating_pipe_insulation",
        "hot_water_pipe_insulation",
    ),
    "tank wrap": ("tank_wrap",),
    "low-flow": ("showerheads", "aerators"),
    "lamps and appliances": (
        "led_lamps",
        "refrigerator_replacement",
        "second_refrigerator_removal",
        "clothes_washer_replacement",
        "dehumidifier_replacement",
    ),
    "ventilation": ("bath_fan", "exhaust_fan", "bath_fan_ducting"),
    "combustion repairs": (
        "burner_service",
        "vent_repair",
        "combustion_air",
        "gas_leak_repair",
        "boiler_control_repair",
        "unvented_heater_removal",
    ),
}


def found_in(house: House) -> dict[str, Measure]:
    return {item.kind: item for item in measures_for(house, year=2026)}


def run(house: House):
    return evaluate(house, greensboro(), prices=PRICES, year=2026)


def r_us(value: float) -> float:
    return value / M2K_PER_W_PER_R_IP


# -- The catalogue -------------------------------------------------------------------------------


def test_catalogue_has_what_was_asked_for() -> None:
    asked = {kind for kinds in ASKED_FOR.values() for kind in kinds}
    assert asked <= set(LIVES)
    assert set(LIVES) - asked == {
        "air_sealing",
        "outside_door_sealing",
        "crawl_ground_cover",
        "dryer_duct",
    }


def test_some_house_calls_for_each_kind() -> None:
    offered = {kind for make in EVERY_HOUSE for kind in found_in(make())}
    fan = fan_for(ranch_1958(), cfm(30))
    assert fan is not None
    assert offered | {fan.kind} == set(LIVES)


@pytest.mark.parametrize("make", EVERY_HOUSE)
def test_each_is_pure_repeatable_and_described(make: Callable[[], House]) -> None:
    house, same = make(), make()
    for item in measures_for(house, year=2026):
        after = item.apply(house)
        assert after != house, item.id
        assert house == same, item.id
        # Done twice it does nothing more, so that a plan with a doubled entry is not credited.
        twice = item.apply(after)
        if item.kind not in GROWS_EACH_TIME:
            assert twice == after, item.id
        assert house_from_dict(house_to_dict(after)) == after, item.id
        assert item.stage in STAGES
        assert item.quantity > 0.0
        assert item.reason_key or item.stage == "equipment", item.id
        assert set(item.blocked_by) <= set(HAZARD_KINDS), item.id
        assert set(item.requires) | set(item.excludes) <= set(LIVES), item.id


# A share of what is there, or a layer more, each time: a plan holds each id once.
GROWS_EACH_TIME = {
    "air_sealing",
    "attic_insulation",
    "attic_insulation_renewal",
    "belly_insulation",
    "crawl_encapsulation",
    "duct_sealing",
    "heating_pipe_insulation",
    "led_lamps",
}


@pytest.mark.parametrize("make", EVERY_HOUSE)
def test_what_excludes_another_is_excluded_by_it(make: Callable[[], House]) -> None:
    offered = found_in(make())
    for item in offered.values():
        for other in item.excludes:
            if other in offered:
                assert item.kind in offered[other].excludes, (item.kind, other)


def test_a_stored_house_without_the_newer_fields_still_loads() -> None:
    plain = house_to_dict(ranch_1958())
    del plain["repairs"], plain["geometry"]["full_baths_without_fan"]
    del plain["air_leakage"]["sealed_parts"], plain["appliances"]["clothes_washer"]
    for attic in plain["attics"]:
        del attic["removal_reason"], attic["is_deck_raised"]
    for door in plain["doors"]:
        del door["is_weatherstripped"], door["has_sweep"]
    for system in plain["heating"]:
        del system["bad_main_vents"], system["radiator_area_m2"]
    assert house_from_dict(plain) == ranch_1958()


# -- Sealing by location -------------------------------------------------------------------------


def test_parts_of_the_attic_floor_add_up_in_any_order() -> None:
    house = ranch_1958()
    parts = [item for item in measures_for(house, year=2026) if item.kind in ATTIC_SEALING]
    assert {item.kind for item in parts} == set(ATTIC_SEALING)
    assert sum(shares_of_parts(house).values()) == pytest.approx(1.0)
    before = leak_flows(house)
    for order in permutations(parts):
        after = house
        for item in order:
            after = item.apply(after)
        left = leak_flows(after)
        assert left["attic_floor"] == pytest.approx((1.0 - ATTIC_REMOVED) * before["attic_floor"])
        removed = house.air_leakage.flow50_m3_per_s - after.air_leakage.flow50_m3_per_s
        told = sum(float(item.facts["flow50_removed_m3_per_s"]) for item in parts)
        assert removed == pytest.approx(told)


def test_only_bypasses_that_were_seen_get_a_line_of_their_own() -> None:
    house = ranch_1958()
    seen = swap(house.attics, "attic-a", bypasses=("top_plates",))
    kinds = set(found_in(replace(house, attics=seen)))
    assert kinds & set(ATTIC_SEALING) == {"attic_air_sealing", "wall_top_sealing"}
    unseen = replace(house, attics=swap(house.attics, "attic-a", bypasses=()))
    assert set(found_in(unseen)) & set(ATTIC_SEALING) == {
        "attic_air_sealing",
        "chimney_chase_sealing",
    }
    assert shares_of_parts(unseen) == {"attic_air_sealing": 1.0}


def test_chimney_gap_and_open_hearth_are_two_leaks() -> None:
    house = ranch_1958()
    offered = found_in(house)
    both = offered["flue_plug"].apply(offered["chimney_chase_sealing"].apply(house))
    other = offered["chimney_chase_sealing"].apply(offered["flue_plug"].apply(house))
    assert leak_flows(both)["chimney"] == pytest.approx(leak_flows(other)["chimney"])
    chase = leak_flows(house)["chimney"] - cfm(180)
    assert leak_flows(both)["chimney"] == pytest.approx(0.25 * chase + 0.15 * cfm(180))


@pytest.mark.parametrize(
    ("is_in_use", "closes", "has_logs", "expected"),
    [
        (False, True, False, "flue_plug"),
        (False, False, False, "flue_plug"),
        (True, False, False, "fireplace_damper"),
        (True, True, False, None),
        (False, True, True, None),
        (True, False, True, None),
    ],
)
def test_plug_or_damper_and_neither_with_gas_logs(
    is_in_use: bool, closes: bool, has_logs: bool, expected: str | None
) -> None:
    house = ranch_1958()
    hearth = Fireplace(is_in_use=is_in_use, has_closing_damper=closes, has_gas_logs=has_logs)
    house = replace(house, air_leakage=replace(house.air_leakage, fireplace=hearth))
    offered = set(found_in(house)) & {"flue_plug", "fireplace_damper"}
    assert offered == ({expected} if expected else set())


def test_doors_are_sealed_where_they_lack_something() -> None:
    house = neglected_ranch()
    assert "outside_door_sealing" not in found_in(ranch_1958())
    item = found_in(house)["outside_door_sealing"]
    after = item.apply(house)
    assert all(door.is_weatherstripped for door in after.doors if door.adjacent_to == "outside")
    removed = house.air_leakage.flow50_m3_per_s - after.air_leakage.flow50_m3_per_s
    # 45 cfm of weatherstrip and 15 cfm of sweep, four fifths of it.
    assert removed == pytest.approx(cfm(48))
    assert found_in(house)["garage_door_sealing"].quantity == 1.0
    cold = steam_with_bad_vents()
    assert "basement_door_sealing" in found_in(cold)
    warm = replace(cold, foundations=swap(cold.foundations, "basement", is_conditioned=True))
    assert "basement_door_sealing" not in found_in(warm)


def test_doors_never_explain_more_than_half_of_their_place() -> None:
    doors = tuple(Door(id=f"door-{number}", is_weatherstripped=False) for number in range(40))
    house = replace(ranch_1958(), doors=doors)
    after = found_in(house)["outside_door_sealing"].apply(house)
    assert leak_flows(after)["windows_doors"] == pytest.approx(
        0.5 * leak_flows(house)["windows_doors"]
    )


# -- Attic and walls -----------------------------------------------------------------------------


def test_six_inches_of_batt_and_twelve_inches_of_new() -> None:
    """R-19 when new, R-8 to R-9 trodden to four inches and degraded; R-38 is about 12 in."""
    house = six_inch_batts()
    layer = replace(house.attics[0].layers[0], depth_m=4.0 * M_PER_IN)
    attic = replace(house.attics[0], layers=(layer,))
    assert 8.0 <= r_us(attic_floor_r(attic)) <= 9.0
    assert 17.0 <= r_us(insulation_r("fiberglass_batt", 6.0 * M_PER_IN)) <= 20.0
    assert r_us(insulation_r("fiberglass_batt", 12.0 * M_PER_IN)) == pytest.approx(38.0, abs=2.0)


def test_soiled_insulation_is_never_buried() -> None:
    offered = found_in(neglected_ranch())
    assert "attic_insulation" not in offered
    assert offered["attic_insulation_renewal"].is_advised
    assert offered["attic_insulation_renewal"].reason_key == "old_insulation_is_soiled"
    after = offered["attic_insulation_renewal"].apply(neglected_ranch()).attics[0]
    assert [layer.material for layer in after.layers] == ["cellulose_loose"]
    assert r_us(attic_floor_r(after)) == pytest.approx(49.0, abs=2.0)


def test_sound_old_insulation_stays_and_its_removal_is_only_offered() -> None:
    house = ranch_1958()
    offered = found_in(house)
    assert offered["attic_insulation"].is_advised
    assert not offered["attic_insulation_renewal"].is_advised
    good = InsulationLayer(material="fiberglass_batt", depth_m=6 * M_PER_IN, condition="good")
    sound = replace(house, attics=swap(house.attics, "attic-a", layers=(good,)))
    assert "attic_insulation_renewal" not in found_in(sound)


def test_deck_is_raised_first_where_things_are_stored() -> None:
    house = ranch_1958()
    order = [item.kind for item in measures_for(house, year=2026)]
    assert order.index("attic_raised_deck") < order.index("attic_insulation")
    assert "attic_raised_deck" in found_in(house)["attic_insulation"].requires
    assert found_in(house)["attic_raised_deck"].quantity == house.attics[0].storage_area_m2
    assert "attic_raised_deck" not in found_in(six_inch_batts())


def test_fan_ducts_go_outside_before_the_attic_is_insulated() -> None:
    house = neglected_ranch()
    offered = found_in(house)
    assert offered["bath_fan_ducting"].quantity == 2.0
    assert "bath_fan_ducting" in offered["attic_insulation_renewal"].requires
    after = offered["bath_fan_ducting"].apply(house)
    assert {fan.vented_to for fan in after.fans} == {"outside"}


def test_missed_bays_are_filled_and_a_good_wall_is_left() -> None:
    house = neglected_ranch()
    item = found_in(house)["wall_spot_repair"]
    walls = [wall for wall in house.walls if wall.void_fraction > 0.05]
    expected = sum(w.area_m2 * (1.0 - w.framing_fraction) * w.void_fraction for w in walls)
    assert item.quantity == pytest.approx(expected)
    assert "wall_spot_repair" not in found_in(ranch_1958())
    assert run(item.apply(house)).use_j("heating") < run(house).use_j("heating")


def test_nothing_is_both_left_alone_and_worked_on() -> None:
    house = neglected_ranch()
    left = {item.reason_key for item in left_alone(house, measures_for(house, year=2026), ())}
    contradicting = {
        "walls_are_filled",
        "walls_are_partly_filled",
        "windows_are_good",
        "fireplace_is_in_use",
        "attic_is_deep_enough",
    }
    assert not left & contradicting
    sound = ranch_1958()
    left = {item.reason_key for item in left_alone(sound, measures_for(sound, year=2026), ())}
    assert "walls_are_partly_filled" in left


# -- Steam and hot water -------------------------------------------------------------------------


def test_steam_needs_212_and_hot_water_runs_near_180() -> None:
    assert fahrenheit_from_celsius(STEAM_C) == pytest.approx(212.0)
    assert fahrenheit_from_celsius(USUAL_SUPPLY_C) == pytest.approx(180.0)
    assert fahrenheit_from_celsius(CONDENSING_RETURN_C) == pytest.approx(130.0)


def test_radiators_at_their_rating_need_170_on_average() -> None:
    """150 Btu/h a square foot at 170 °F (memory); half the load needs 128.7 °F by hand:
    70 + 100 x 0.5^(1/1.3)."""
    rated = mean_water_c(10.0, 10.0 * WATER_W_PER_M2)
    assert fahrenheit_from_celsius(rated) == pytest.approx(170.0)
    half = mean_water_c(10.0, 5.0 * WATER_W_PER_M2)
    assert fahrenheit_from_celsius(half) == pytest.approx(128.7, abs=0.1)


@pytest.mark.parametrize(
    ("load_share", "fuel", "efficiency", "condenses"),
    [
        (0.5, "natural_gas", 0.95, True),
        (0.9, "natural_gas", 0.90, True),
        (1.2, "natural_gas", 0.85, False),
        (0.5, "fuel_oil", 0.87, False),
    ],
)
def test_radiators_decide_what_the_boiler_can_be(
    load_share: float, fuel: str, efficiency: float, condenses: bool
) -> None:
    found = water_system(10.0, load_share * 10.0 * WATER_W_PER_M2, fuel=fuel)
    assert found.efficiency == efficiency
    assert found.is_condensing is condenses
    assert found.supply_c <= USUAL_SUPPLY_C
    assert (found.return_c <= CONDENSING_RETURN_C) is (load_share == 0.5)


def test_condensing_boiler_on_steam_is_refused_with_field_value_and_limit() -> None:
    with pytest.raises(InputError, match=r"efficiency is 0\.95.*steam_pipes.*0\.88.*212 °F"):
        HeatingSystem(
            id="boiler", kind="boiler", fuel="natural_gas", distribution="steam_pipes",
            capacity_w=30000.0, efficiency=0.95,
        )  # fmt: skip
    with pytest.raises(InputError, match=r"is_condensing is True.*steam_pipes"):
        replace(balloon_frame_1910().heating[0], is_condensing=True)
    with pytest.raises(InputError, match=r"efficiency is 0\.95.*not be above 0\.88"):
        with_new_unit(balloon_frame_1910(), "boiler", efficiency=0.95, year=2026)


def test_warm_return_water_refuses_a_condensing_rating() -> None:
    with pytest.raises(InputError, match=r"return_c is 71\.1.*0\.95.*54\.4 °C \(130 °F\)"):
        require_efficiency_possible(
            0.95, distribution="hot_water_pipes", return_c=celsius_from_fahrenheit(160.0)
        )
    with pytest.raises(InputError, match=r"return_c is 71\.1"):
        with_hot_water(
            balloon_frame_1910(), "boiler", efficiency=0.95, supply_c=USUAL_SUPPLY_C, year=2026
        )
    with pytest.raises(InputError, match=r"efficiency .*0\.96"):
        require_efficiency_possible(0.99, distribution="hot_water_pipes")


def test_conversion_changes_pipes_and_radiators_and_is_never_the_default() -> None:
    house = steam_with_bad_vents()
    item = found_in(house)["steam_to_hot_water"]
    assert not item.is_advised
    after = item.apply(house).heating[0]
    assert after.distribution == "hot_water_pipes"
    assert (after.bad_main_vents, after.bad_radiator_vents, after.bare_pipe_m) == (0, 0, 0.0)
    assert {"boiler_replacement", "steam_venting"} <= set(item.excludes)
    assert run(item.apply(house)).use_j("heating") < run(house).use_j("heating")
    with pytest.raises(InputError, match="only steam_pipes"):
        with_hot_water(oil_1948(), "boiler", efficiency=0.85, supply_c=USUAL_SUPPLY_C, year=2026)


def test_large_radiators_and_a_tight_house_allow_a_condensing_boiler() -> None:
    house = balloon_frame_1910()
    large = replace(house, heating=swap(house.heating, "boiler", radiator_area_m2=120.0))
    facts = found_in(large)["steam_to_hot_water"].facts
    assert facts["is_condensing"]
    assert facts["is_radiator_area_counted"]
    assert facts["efficiency_after"] == 0.95
    after = found_in(large)["steam_to_hot_water"].apply(large).heating[0]
    assert after.is_condensing
    assert after.vent == "direct"


def test_bad_vents_cost_fuel_up_to_a_limit_and_only_on_steam() -> None:
    house = steam_with_bad_vents()
    system = house.heating[0]
    assert uneven_share(system) == pytest.approx(2 * 0.015 + 5 * 0.005)
    assert uneven_share(replace(system, bad_radiator_vents=60)) == MOST_UNEVEN_SHARE
    assert uneven_share(oil_1948().heating[0]) == 0.0
    before, after = run(house), run(found_in(house)["steam_venting"].apply(house))
    saved = 1.0 - after.use_j("heating") / before.use_j("heating")
    assert 0.02 < saved < 0.08


def test_safe_old_steam_boiler_stays_and_a_young_tank_is_left_alone() -> None:
    """A safe 20-year-old steam boiler at 83 %: leave for now, plan the change. A five-year-old
    atmospheric tank is left alone."""
    house = balloon_frame_1910()
    house = replace(
        house,
        heating=swap(house.heating, "boiler", year_installed=2006, efficiency=0.83,
                     steady_state_efficiency=0.83),
        water_heaters=tuple(
            replace(item, vent="atmospheric", year_installed=2021)
            for item in house.water_heaters
        ),
    )  # fmt: skip
    found = analysis.analyse_subset(
        house, greensboro(), [], costs=cost_of, prices=PRICES, year=2026
    )
    verdicts = {item.equipment_id: item.verdict for item in found.equipment}
    assert verdicts["boiler"] == "plan_change"
    assert verdicts[house.water_heaters[0].id] == "leave_alone"
    kept = next(item for item in found.left_alone if item.item_id == "boiler")
    assert kept.look_again_year is not None
    assert kept.look_again_year > 2026


# -- Hot water, controls, appliances -------------------------------------------------------------


def test_tank_wrap_is_for_old_tanks_only() -> None:
    assert "tank_wrap" not in found_in(ranch_1958())  # made 2021
    house = neglected_ranch()
    item = found_in(house)["tank_wrap"]
    after = item.apply(house)
    saved = run(house).use_j("hot_water") - run(after).use_j("hot_water")
    assert 0.0 < saved < 0.15 * run(house).use_j("hot_water")
    assert {"carbon_monoxide", "spillage"} <= set(item.blocked_by)


def test_heat_pump_water_heater_wants_room_and_never_replaces_fuel_by_default() -> None:
    """About 700 ft³ of air (trade guide of the field sheet)."""
    gas, electric = ranch_1958(), electric_resistance_1974()
    assert not found_in(gas)["heat_pump_water_heater"].is_advised
    assert found_in(electric)["heat_pump_water_heater"].is_advised
    heater = electric.water_heaters[0]
    for room_ft3, is_offered in ((699.0, False), (701.0, True)):
        roomed = replace(heater, room_volume_m3=room_ft3 * M3_PER_FT3)
        offered = found_in(replace(electric, water_heaters=(roomed,)))
        assert ("heat_pump_water_heater" in offered) is is_offered
    after = found_in(gas)["heat_pump_water_heater"].apply(gas)
    assert run(after).use_j("hot_water", "natural_gas") == 0.0
    assert run(after).use_j("hot_water") < 0.5 * run(gas).use_j("hot_water")


def test_a_thermostat_that_can_turn_down_is_set_not_replaced() -> None:
    assert "thermostat" in found_in(ranch_1958())
    offered = found_in(neglected_ranch())
    assert "thermostat" not in offered
    after = offered["thermostat_program"].apply(neglected_ranch()).thermostat
    assert after.kind == "programmable"
    assert after.heating_setback_k > 0.0


def test_outdoor_reset_is_for_hot_water() -> None:
    assert "outdoor_reset" in found_in(oil_1948())
    assert "outdoor_reset" not in found_in(balloon_frame_1910())
    house = oil_1948()
    after = found_in(house)["outdoor_reset"].apply(house)
    assert run(after).use_j("heating") < run(house).use_j("heating")


def test_washer_saves_hot_water_and_drying_and_dehumidifier_electricity() -> None:
    house = neglected_ranch()
    before = run(house)
    offered = found_in(house)
    washed = run(offered["clothes_washer_replacement"].apply(house))
    assert washed.use_j("hot_water") < before.use_j("hot_water")
    assert washed.use_j("laundry") < before.use_j("laundry")
    dried = run(offered["dehumidifier_replacement"].apply(house))
    assert before.use_j("other") - dried.use_j("other") > 100.0 * J_PER_KWH
    # Bare ground under the house: it is covered first.
    assert not offered["dehumidifier_replacement"].is_advised
    assert offered["dehumidifier_replacement"].reason_key == "dry_the_ground_first"


def test_unknown_washer_counts_as_the_reference() -> None:
    house = ranch_1958()
    assert house.appliances.clothes_washer == "unknown"
    assert "clothes_washer_replacement" not in found_in(house)


# -- Repairs -------------------------------------------------------------------------------------


def test_a_repair_is_not_stopped_by_what_it_repairs() -> None:
    offered = found_in(neglected_ranch())
    service, sealing = offered["burner_service"], offered["attic_air_sealing"]
    blocked = {"carbon_monoxide:furnace": ("attic_air_sealing", "burner_service")}
    assert blocked_by(service, blocked) == ()
    assert blocked_by(sealing, blocked) == ("carbon_monoxide:furnace",)
    everything = {"gas_leak:pipe": ("all",)}
    assert blocked_by(service, everything) == ("gas_leak:pipe",)


def test_repairs_come_first_and_are_in_the_package_whatever_they_save() -> None:
    repair = Repair(id="burner:co", kind="burner", hazards=("carbon_monoxide",), name="Furnace")
    house = replace(tight_2006(), repairs=(repair,))
    found = analysis.analyse_house(
        house, greensboro(), costs=cost_of, prices=PRICES, year=2026,
        blocked={"carbon_monoxide:furnace": ("attic_air_sealing",)},
    )  # fmt: skip
    item = found.measure("burner_service")
    assert item.verdict == "required"
    assert found.priorities[0] == "burner_service"
    assert item.saving is not None
    assert item.saving.cost_usd == pytest.approx(0.0, abs=1e-6)
    assert item.reason_facts["clears"] == ["carbon_monoxide"]
