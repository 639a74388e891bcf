"""Packages in the order of work, hazards, equipment judged twice, and the whole analysis."""

import json
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs.analysis import (
    analyse_house,
    analyse_subset,
    analysis_from_dict,
    analysis_to_dict,
    applicable_measures,
)
from calcs.errors import InputError
from calcs.inputs import swap
from calcs.measures import STAGES, OpenHazard
from calcs.measures.ventilation import measure_for as fan_for
from calcs.packages import blocked_by, conflict, needed_first, run_chain
from calcs.picking import Picker
from calcs.worth import Scene, Terms, saving_between
from tests.factories.costs import cost_of
from tests.factories.house_parts import PRICES
from tests.factories.houses import (
    balloon_frame_1910,
    manufactured_1989,
    propane_1978,
    ranch_1958,
    tight_2006,
)
from tests.factories.weather import greensboro


def analyse(house, **settings_):
    return analyse_house(house, greensboro(), costs=cost_of, prices=PRICES, year=2026, **settings_)


@pytest.fixture(scope="module")
def ranch():
    return analyse(ranch_1958())


@pytest.fixture(scope="module")
def steam():
    return analyse(balloon_frame_1910())


def test_package_saving_is_the_sum_of_its_steps(ranch):
    steps = [item.saving for item in ranch.measures if item.saving is not None]
    assert sum(item.cost_usd for item in steps) == pytest.approx(
        ranch.package.saving.cost_usd, abs=1e-9
    )
    for fuel, amount in ranch.package.saving.energy_j.items():
        assert sum(item.energy_j.get(fuel, 0.0) for item in steps) == pytest.approx(amount)
    assert sum(item.co2_kg for item in steps) == pytest.approx(ranch.package.saving.co2_kg)


@settings(max_examples=5, deadline=None)
@given(data=st.data())
def test_any_plan_adds_up(data):
    house = ranch_1958()
    pool = {item.id: item for item in applicable_measures(house, year=2026)}
    drawn = data.draw(st.lists(st.sampled_from(list(pool)), unique=True, min_size=1, max_size=5))
    plan: list[str] = []
    for key in drawn:  # a later one that an earlier one excludes is left out
        if not any(conflict(pool[key], pool[kept]) for kept in plan):
            plan.append(key)
    found = analyse(house, chosen=plan)
    steps = sum(item.saving.cost_usd for item in found.measures if item.saving is not None)
    assert steps == pytest.approx(found.package.saving.cost_usd, abs=1e-9)
    assert set(plan) <= set(found.package.measure_ids)


def test_order_of_work_and_order_of_priority(ranch):
    stage = {item.id: STAGES.index(item.stage) for item in ranch.measures}
    worked = [stage[key] for key in ranch.package.measure_ids]
    assert worked == sorted(worked)
    assert set(ranch.priorities) == set(ranch.package.measure_ids)
    place = {key: index for index, key in enumerate(ranch.priorities)}
    attic = "attic_insulation:attic-a"
    assert place["attic_air_sealing"] < place[attic]
    assert place["attic_stair_cover:stair-hall"] < place[attic]


def test_picks_bring_less_and_less(ranch):
    """Each pick is the best of what is left, so what the picks bring falls along the order."""
    picked = [ranch.measure(key) for key in ranch.priorities]
    brought = [item.pick_npv_usd for item in picked if item.pick_npv_usd is not None]
    assert len(brought) > 4
    assert brought == sorted(brought, reverse=True)
    assert min(brought) >= 0.0


def test_lazy_picks_are_the_greedy_ones():
    """The bound saves runs and changes nothing: each pick beats every other one that was open."""
    house, scene = balloon_frame_1910(), usual_scene()
    pool = [item for item in applicable_measures(house, year=2026) if item.is_advised]
    pool = [item for item in pool if item.stage not in ("equipment", "safety")]
    picker = Picker(house, pool, scene)
    done: list[str] = []
    for pick in picker.pick():
        rivals = {
            item.id: full_npv(house, pool, scene, done, item) for item in pool
            if item.id not in done and not any(conflict(item, other) for other in pool
                                               if other.id in done)
        }  # fmt: skip
        assert pick.npv_usd == pytest.approx(rivals[pick.measure_id], abs=1e-6)
        assert rivals[pick.measure_id] == pytest.approx(max(rivals.values()), abs=1e-6)
        done += pick.with_ids


def usual_scene():
    return Scene(
        weather=greensboro(), terms=Terms(prices=PRICES, costs=cost_of, subsidies={}), year=2026
    )


def full_npv(house, pool, scene, done, item):
    """Value of one more, all run anew: NIST year-end annuity at 3 % over each one's own life."""
    group = [n for n in needed_first(item, pool) if n.id not in done] + [item]
    now = [m for m in pool if m.id in done]
    value = 0.0
    before = run_chain(house, now, scene, adds_fan=False)
    for measure in group:
        now = [*now, measure]
        after = run_chain(house, now, scene, adds_fan=False)
        saving = before.after.cost_usd - after.after.cost_usd
        factor = (1.0 - 1.03 ** -round(measure.life_years)) / 0.03
        value += saving * factor - cost_of(measure.id, measure.kind, measure.quantity, "")
        before = after
    assert fan_for(after.house_after, after.after.infiltration_m3_per_s) is None
    return value


def test_interactions_make_duct_sealing_worth_less_after_insulating(ranch):
    item = ranch.measure("duct_sealing")
    assert item.saving.cost_usd < item.saving_alone.cost_usd


def test_safe_twenty_year_old_steam_boiler_is_left_with_a_plan(steam):
    """A safe 20-year-old atmospheric steam boiler at 83 % is "leave for now, plan the change"
    (common practice, no source); 2006 and 30 years of the named table make about 2036."""
    boiler = next(item for item in steam.equipment if item.equipment_id == "boiler")
    assert boiler.verdict == "plan_change"
    assert boiler.leave_until_year == 2036
    assert "ASHRAE median service life" in boiler.life_source
    assert boiler.efficiency_best_new <= 0.85
    assert boiler.npv_now_usd < 0.0
    assert boiler.saving_at_failure_usd < boiler.saving_now_usd
    assert "boiler_replacement:boiler" not in steam.package.measure_ids
    assert steam.measure("boiler_replacement:boiler").verdict == "plan_at_failure"
    left = next(item for item in steam.left_alone if item.item_id == "boiler")
    assert left.look_again_year == 2036


def test_five_year_old_water_heater_is_left_alone(ranch):
    heater = next(item for item in ranch.equipment if item.equipment_id == "water-heater")
    assert heater.saving_now_usd < heater.annual_cost_now_usd
    assert heater.age_years == 5.0
    assert heater.verdict == "leave_alone"
    assert heater.leave_until_year == 2032
    assert ranch.measure("water_heater_replacement:water-heater").verdict == "leave"


def test_failed_safety_test_outranks_economics():
    found = analyse(ranch_1958(), unsafe=("water-heater",), chosen=[])
    heater = next(item for item in found.equipment if item.equipment_id == "water-heater")
    assert (heater.verdict, heater.reason_key) == ("replace_now", "failed_a_safety_test")


def test_wasteful_furnace_past_its_life_is_replaced():
    found = analyse(manufactured_1989())
    assert found.measure("furnace_replacement:furnace").verdict == "do"
    assert "heat_pump:furnace" not in found.package.measure_ids


def test_unknown_age_promises_no_year():
    house = balloon_frame_1910()
    house = replace(house, heating=swap(house.heating, "boiler", year_installed=None))
    boiler = analyse(house, chosen=[]).equipment[0]
    assert (boiler.verdict, boiler.leave_until_year) == ("unknown_age", None)


def test_windows_are_left_alone(ranch, steam):
    for analysis in (ranch, steam):
        item = analysis.measure("window_replacement")
        assert item.verdict == "leave"
        assert item.worth.npv_usd < 0.0
        assert any(found.subject == "windows" for found in analysis.left_alone)


def test_tight_house_has_little_to_do_and_says_why():
    found = analyse(tight_2006())
    reasons = {item.reason_key for item in found.left_alone}
    assert {"attic_is_deep_enough", "house_is_tight_enough", "ducts_are_tight"} <= reasons
    assert not {item.kind for item in found.measures if item.verdict == "do"} & {
        "attic_insulation", "air_sealing", "duct_sealing"}  # fmt: skip


def test_spillage_stops_everything_that_tightens():
    found = analyse(propane_1978(), blocked=(OpenHazard(kind="spillage", place="living_space"),))
    for item in found.measures:
        if item.stage in ("air_sealing",) or item.kind in ("attic_insulation", "duct_sealing"):
            assert item.verdict == "blocked", item.id
            assert item.blocked_by == ("spillage",)
            assert item.id not in found.package.measure_ids
    assert "led_lamps" in found.package.measure_ids


def test_blocked_prerequisite_takes_its_dependents_along():
    blocked = {"flue clearance": ("attic_air_sealing",)}
    found = analyse(ranch_1958(), blocked=blocked)
    assert found.measure("attic_air_sealing").verdict == "blocked"
    assert "attic_insulation:attic-a" not in found.package.measure_ids
    wanted = ["attic_air_sealing", "attic_insulation:attic-a", "led_lamps"]
    plan = analyse(ranch_1958(), blocked=blocked, chosen=wanted)
    assert plan.package.measure_ids == ("led_lamps",)


def test_record_can_add_to_the_table_of_hazards_but_not_take_away():
    item = next(m for m in applicable_measures(ranch_1958(), year=2026) if m.kind == "duct_sealing")
    assert blocked_by(item, {"spillage": ()}) == ("spillage",)
    assert blocked_by(item, {"house rule": ("ducts",)}) == ("house rule",)
    assert blocked_by(item, {"house rule": ("all",)}) == ("house rule",)
    assert blocked_by(item, {"house rule": ("walls",)}) == ()


def test_local_hazard_stops_work_in_its_place_only():
    walls = OpenHazard(kind="knob_and_tube", place="walls")
    found = {m.kind: blocked_by(m, (walls,)) for m in applicable_measures(
        balloon_frame_1910(), year=2026)}  # fmt: skip
    assert found["wall_insulation"] == ("knob_and_tube",)
    assert found["attic_insulation"] == ()
    anywhere = OpenHazard(kind="knob_and_tube")
    attic = next(m for m in applicable_measures(balloon_frame_1910(), year=2026)
                 if m.kind == "attic_insulation")  # fmt: skip
    assert blocked_by(attic, (anywhere,)) == ("knob_and_tube",)


def test_tightened_house_gets_the_fan_it_needs():
    house = propane_1978()
    sealing = [
        item.id
        for item in applicable_measures(house, year=2026)
        if item.stage in ("air_sealing", "ducts")
    ]
    found = analyse(house, chosen=sealing)
    fan = found.measure("exhaust_fan")
    assert fan.verdict == "required"
    assert fan.saving.cost_usd < 0.0
    assert found.package.ventilation_needed_m3_per_s > 0.0
    assert "exhaust_fan" in found.priorities


def test_plan_of_a_subset_is_exactly_that(ranch):
    plan = analyse_subset(ranch_1958(), greensboro(), ["duct_sealing", "thermostat"],
                          costs=cost_of, prices=PRICES, year=2026)  # fmt: skip
    assert set(plan.package.measure_ids) == {"duct_sealing", "thermostat"}
    assert plan.package.saving.cost_usd < ranch.package.saving.cost_usd
    assert plan.baseline == ranch.baseline


def test_empty_plan_saves_nothing():
    plan = analyse(ranch_1958(), chosen=[])
    assert plan.package.saving.cost_usd == 0.0
    assert plan.package.worth.npv_usd == 0.0


def test_unknown_or_conflicting_choice_is_refused():
    with pytest.raises(InputError, match="no measure duct_polish"):
        analyse(ranch_1958(), chosen=["duct_polish"])
    with pytest.raises(InputError, match="cannot be done together"):
        analyse(ranch_1958(), chosen=["floor_insulation:crawl", "crawl_encapsulation:crawl"])


def test_cost_comes_by_id_before_kind_and_subsidy_helps_the_owner_only():
    found = analyse_house(
        ranch_1958(), greensboro(), prices=PRICES, year=2026, chosen=["duct_sealing"],
        costs={"duct_sealing": 1000.0}, subsidies={"duct_sealing": 400.0},
    )  # fmt: skip
    worth = found.measure("duct_sealing").worth
    assert worth.cost_usd == 1000.0
    assert worth.npv_to_owner_usd == pytest.approx(worth.npv_usd + 400.0)
    assert found.measure("thermostat").worth is None


def test_sir_and_npv_agree_with_the_annuity():
    """UPV at 3 % over 20 years is 14.8775 (NIST Handbook 135 formula; computed, econ-006)."""
    found = analyse(ranch_1958(), chosen=["duct_sealing"])
    item = found.measure("duct_sealing")
    assert item.life_years == 20.0
    assert item.worth.present_value_usd == pytest.approx(14.8775 * item.saving.cost_usd, rel=1e-5)
    assert item.worth.sir == pytest.approx(item.worth.present_value_usd / item.worth.cost_usd)
    assert item.worth.simple_payback_years == pytest.approx(900.0 / item.saving.cost_usd)


def test_analysis_survives_json(ranch):
    plain = json.loads(json.dumps(analysis_to_dict(ranch)))
    assert analysis_to_dict(analysis_from_dict(plain)) == analysis_to_dict(ranch)


def test_progress_rises_to_its_end():
    seen: list[tuple[str, int, int]] = []
    analyse(tight_2006(), progress=lambda *step: seen.append(step))
    done = [item[1] for item in seen]
    assert done == sorted(done)
    assert seen[-1][0] == "done"
    assert seen[-1][1] == seen[-1][2]


def test_saving_of_nothing_is_nothing():
    scene = Scene(
        weather=greensboro(), terms=Terms(prices=PRICES, costs={}, subsidies={}), year=2026
    )
    state = scene.run(ranch_1958())
    assert saving_between(state, state).total_j == 0.0
