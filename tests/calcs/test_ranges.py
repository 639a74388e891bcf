"""Ranges of savings: the table, the draws, the fitted response, full draws, and true houses."""

import json
import os
from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from calcs.analysis import analyse_house, analysis_from_dict, analysis_to_dict
from calcs.errors import InputError
from calcs.inputs import ORIGINS, Origin
from calcs.measures import Measure
from calcs.packages import run_chain
from calcs.results import FORMAT_VERSION
from calcs.uncertainty import (
    LEVERS,
    METHOD_KEY,
    UNCERTAIN_INPUTS,
    Known,
    levers_of,
    moved,
    ranges_of,
    table_to_dict,
    trial,
    work_quality,
)
from calcs.uncertainty.draws import DRAWS, percentiles, scores, two_sided
from calcs.uncertainty.response import Answer
from calcs.worth import Scene, Terms
from tests.factories.costs import cost_of
from tests.factories.house_parts import PRICES
from tests.factories.houses import ALL_HOUSES, ranch_1958, tight_2006
from tests.factories.weather import greensboro

# The long form: 20 houses, 200 draws each, minutes. `python3 manage.py ranges` is the same.
IS_LONG = os.environ.get("RIMJOIST_LONG") == "1"
P90 = stats.norm.ppf(0.9)


def scene(costs=cost_of):
    return Scene(
        weather=greensboro(), terms=Terms(prices=PRICES, costs=costs, subsidies={}), year=2026
    )


@pytest.fixture(scope="module")
def ranch():
    return analyse_house(
        ranch_1958(), greensboro(), costs=cost_of, prices=PRICES, year=2026,
        cost_ranges=lambda mid, kind, quantity, unit: (
            0.8 * cost_of(mid, kind, quantity, unit), cost_of(mid, kind, quantity, unit),
            1.5 * cost_of(mid, kind, quantity, unit),
        ),
    )  # fmt: skip


# -- The table ---------------------------------------------------------------------------


def test_every_row_says_how_wide_by_origin_and_who_says_so():
    rows = json.loads(json.dumps(table_to_dict()))
    assert {row["key"] for row in rows} >= set(UNCERTAIN_INPUTS)
    for row in rows:
        assert row["shape"] in ("lognormal", "normal")
        assert row["source"]
        assert any(w in row["source"] for w in ("read", "memory", "common practice, no source"))
        spreads = row["spreads"]
        assert all(0.0 < value < 2.0 for value in spreads.values()), row["key"]
        known = [spreads[how] for how in ORIGINS if how in spreads]
        assert spreads["default"] == max(known), row["key"]
        if "measured" in spreads:
            assert spreads["measured"] == min(known), row["key"]


def test_every_lever_has_its_rows_and_every_row_a_lever():
    houses = [make() for make in ALL_HOUSES]
    rows = {row for lever in LEVERS.values() for house in houses for row in lever.rows(house)}
    assert rows | {"heating_model", "cooling_model"} == set(UNCERTAIN_INPUTS)


def test_unknown_origin_is_refused():
    with pytest.raises(InputError, match="origin"):
        UNCERTAIN_INPUTS["attic_r"].spread("guessed")


def test_a_measured_value_is_narrower_than_a_default():
    house = ranch_1958()
    known = Known(house=house, widths={})
    guessed = Known(house=replace(house, origins={}), widths={})
    for key in ("leakage", "heating_efficiency", "attic_r"):
        assert LEVERS[key].spread(known) < LEVERS[key].spread(guessed), key
    assert LEVERS["leakage"].spread(known) == pytest.approx(np.hypot(0.07, 0.20))


# -- Levers ------------------------------------------------------------------------------


@pytest.mark.parametrize("make", ALL_HOUSES)
def test_levers_at_rest_leave_the_house_and_move_it_otherwise(make):
    house = make()
    known = Known(house=house, widths={})
    for lever in levers_of(known):
        assert lever.move(house, 0.0, known) == house, lever.key
        up, down = (lever.move(house, z, known) for z in (1.5, -1.5))
        assert up != house, lever.key
        assert down != house, lever.key
        # As far as the draws go, the record's own limits hold.
        for z in (-3.0, 3.0):
            lever.move(house, z, known)


def test_bills_narrow_a_lever_to_nothing():
    house = ranch_1958()
    known = Known(house=house, widths={"heating_setpoint": 0.0, "leakage": 0.5})
    assert "heating_setpoint" not in [lever.key for lever in levers_of(known)]
    wide = LEVERS["leakage"].spread(Known(house=house, widths={}))
    assert LEVERS["leakage"].spread(known) == pytest.approx(0.5 * wide)


def test_several_levers_move_together():
    house = ranch_1958()
    known = Known(house=house, widths={})
    both = moved(house, {"leakage": 1.0, "heating_setpoint": -1.0}, known)
    assert both.air_leakage.flow50_m3_per_s == pytest.approx(
        house.air_leakage.flow50_m3_per_s * np.exp(np.hypot(0.07, 0.20))
    )
    assert both.thermostat.heating_c == pytest.approx(house.thermostat.heating_c - 1.0)


# -- Draws -------------------------------------------------------------------------------


def test_draws_are_stratified_seeded_and_standard_normal():
    table = scores(DRAWS, 5)
    assert np.array_equal(table, scores(DRAWS, 5))
    assert not np.array_equal(table, scores(DRAWS, 5, seed=1))
    share = stats.norm.cdf(table)
    counts = np.stack([np.histogram(share[:, i], bins=64, range=(0, 1))[0] for i in range(5)])
    assert (counts == DRAWS // 64).all()
    assert table.mean(axis=0) == pytest.approx(0.0, abs=0.005)
    assert table.std(axis=0) == pytest.approx(1.0, abs=0.01)
    off = np.corrcoef(table.T) - np.eye(5)
    assert np.abs(off).max() < 4.0 / np.sqrt(DRAWS)


def test_percentiles_are_those_of_the_distribution():
    found = percentiles(np.exp(0.3 * scores(4096, 1)[:, 0]))
    assert found.low == pytest.approx(stats.lognorm(0.3).ppf(0.1), rel=2e-3)
    assert found.middle == pytest.approx(1.0, rel=2e-3)
    assert found.high == pytest.approx(stats.lognorm(0.3).ppf(0.9), rel=2e-3)


def test_low_middle_and_high_of_a_price_come_back_as_percentiles():
    found = percentiles(two_sided(800.0, 1000.0, 1500.0, scores(4096, 1)[:, 0]))
    assert (found.low, found.middle, found.high) == pytest.approx((800.0, 1000.0, 1500.0), rel=3e-3)


# -- The fitted response -----------------------------------------------------------------


def answer(key, nodes, changes, spread=0.3):
    return Answer(
        lever=LEVERS[key], spread=spread, nodes=nodes,
        changes=np.array(changes, dtype=float)[:, None, None],
    )  # fmt: skip


def test_one_node_is_exact_for_an_answer_straight_in_the_factor():
    """Energy 100·f with f lognormal: fitted at the 90th percentile, right everywhere."""
    f = np.exp(0.3 * P90)
    found = answer("duct_leakage", (P90,), [100.0 * (f - 1.0)])
    z = np.linspace(-2.5, 2.5, 11)
    base = np.array([[100.0]])
    assert found.factors(base, z)[:, 0, 0] == pytest.approx(np.exp(0.3 * z))


def test_two_nodes_carry_a_bend_exactly():
    course = np.polynomial.Polynomial([0.0, 3.0, 2.0])
    found = answer("attic_r", (-P90, P90), [course(-P90), course(P90)])
    z = np.linspace(-1.6, 1.6, 9)
    assert found.factors(np.array([[100.0]]), z)[:, 0, 0] == pytest.approx(1.0 + course(z) / 100.0)


def test_four_nodes_keep_a_corner_and_never_swing_past_it():
    """Past the corner at z = 0 nothing more happens: a polynomial would swing there."""
    nodes = (-2.0, -1.0, 1.0, 2.0)
    found = answer("window_u", nodes, [0.0, 0.0, 10.0, 20.0])
    z = np.linspace(-3.0, 3.0, 25)
    shift = 100.0 * (found.factors(np.array([[100.0]]), z)[:, 0, 0] - 1.0)
    assert shift[z <= 0.0] == pytest.approx(0.0, abs=1e-9)
    assert (np.diff(shift) >= -1e-9).all()
    assert shift[z == 2.0] == pytest.approx(20.0)
    assert shift[-1] > 28.0


def test_one_certain_house_with_one_uncertain_burner_has_the_exact_range():
    """A steady-state efficiency off by a factor scales the heating saving by nearly its inverse.

    With every other input certain, low and high of a measure that saves heat alone follow from
    the lognormal quantile; work and model are taken out by their own known spreads.
    """
    house = ranch_1958()
    others = dict.fromkeys(set(LEVERS) - {"heating_efficiency"}, 0.0)
    chain = run_chain(house, [wall_fill(house)], scene())
    ranges = ranges_of(house, chain, scene(), widths=others)
    saving = chain.savings()[0]
    draws = ranges.package.by_fuel["natural_gas"]
    spread = LEVERS["heating_efficiency"].spread(Known(house=house, widths={}))
    work = work_quality("wall_insulation").spread("default")
    model = UNCERTAIN_INPUTS["heating_model"].spread("default")
    # Idle losses do not follow the flue test, so slightly less than in full proportion.
    expected = saving.energy_j["natural_gas"]
    assert np.log(draws / expected).std() == pytest.approx(
        np.sqrt(spread**2 + work**2 + model**2), rel=0.06
    )
    assert percentiles(draws).middle == pytest.approx(expected, rel=0.02)


def wall_fill(house):
    def fill(given):
        walls = tuple(replace(w, cavity_r_m2k_per_w=2.2, void_fraction=0.0) for w in given.walls)
        return replace(given, walls=walls)

    return Measure(
        kind="wall_insulation", stage="insulation", place="walls", quantity=1.0, unit="m²",
        life_years=25.0, life_source="test", apply=fill,
    )  # fmt: skip


def test_the_fit_follows_full_draws():
    """The same draws through the fit and through the model itself.

    The aim is low and high within 5 % of each saving. It is met by most and not by all: where one
    default decides nearly all of a small saving (leakage of untested ducts, glass next to the new
    one's U) the error is more of the saving and still a small part of the range. The test holds
    what is met; `python3 manage.py ranges` lists what is not.
    """
    houses, draws, most = (range(1, 21), 200, 8) if IS_LONG else (range(2, 3), 40, 4)
    found = [
        item for seed in houses for item in trial.agreement(seed, scene({}), draws=draws, most=most)
    ]
    assert len(found) > 2 * len(houses)
    errors = np.array([max(abs(i.low_error), abs(i.high_error)) for i in found])
    assert np.median(errors) < 0.03
    assert np.mean(errors <= 0.05) >= 2.0 / 3.0
    for item, error in zip(found, errors, strict=True):
        width = (item.full_high - item.full_low) / abs(item.expected)
        assert error <= max(0.05, 0.10 * width), item


def test_truth_lies_inside_eight_times_in_ten():
    """Hidden true houses, recorded with errors, ranged by the record alone.

    Savings of one house share its errors, so the count is widened to a quarter of it.
    """
    seeds = range(1, 101) if IS_LONG else range(1, 9)
    found = [item for seed in seeds for item in trial.coverage(seed, scene({}))]
    inside = sum(item.is_inside for item in found)
    low, high = stats.binom(len(found) // 4, 0.8).ppf([0.005, 0.995]) * 4
    assert low <= inside <= high, (inside, len(found))


# -- In an analysis ----------------------------------------------------------------------


def test_ranges_hold_the_expected_value_and_are_not_symmetric(ranch):
    assert ranch.range_method_key == METHOD_KEY
    lopsided = 0
    for item in ranch.measures:
        for saving in (item.saving, item.saving_alone):
            if saving is None:
                continue
            assert saving.cost_low_usd <= saving.cost_usd <= saving.cost_high_usd
            assert saving.cost_low_usd <= saving.cost_median_usd <= saving.cost_high_usd
            for fuel, amount in saving.energy_j.items():
                assert saving.energy_low_j[fuel] <= amount <= saving.energy_high_j[fuel]
            assert saving.co2_low_kg <= saving.co2_kg <= saving.co2_high_kg
            up = saving.cost_high_usd - saving.cost_usd
            down = saving.cost_usd - saving.cost_low_usd
            lopsided += abs(up - down) > 0.1 * (up + down)
    assert lopsided > 3
    whole = ranch.package.saving
    assert whole.cost_low_usd < whole.cost_usd < whole.cost_high_usd


def test_the_model_at_the_middle_of_every_input_is_near_the_median(ranch):
    """What is shown as expected adds up; the 50th percentile does not, and lies next to it."""
    whole = ranch.package.saving
    assert whole.cost_median_usd == pytest.approx(whole.cost_usd, rel=0.04)
    for item in ranch.measures:
        if item.saving is not None:
            width = item.saving.cost_high_usd - item.saving.cost_low_usd
            assert abs(item.saving.cost_median_usd - item.saving.cost_usd) <= 0.25 * width


def test_a_package_is_surer_than_its_steps(ranch):
    steps = [item.saving for item in ranch.measures if item.saving is not None]
    together = ranch.package.saving.cost_high_usd - ranch.package.saving.cost_low_usd
    assert together < sum(item.cost_high_usd - item.cost_low_usd for item in steps)


def test_prices_widen_payback_and_value(ranch):
    worth = ranch.package.worth
    assert worth.cost_low_usd < worth.cost_usd < worth.cost_high_usd
    assert worth.npv_low_usd < worth.npv_usd < worth.npv_high_usd
    assert worth.payback_low_years < worth.simple_payback_years < worth.payback_high_years
    assert 0.5 < worth.chance_pays <= 1.0
    window = ranch.measure("window_replacement").worth
    assert window.chance_pays < 0.1


def test_a_quote_is_certain(ranch):
    found = analyse_house(
        tight_2006(), greensboro(), costs={"hot_water_pipe_insulation": 55.0}, prices=PRICES,
        year=2026, cost_ranges=lambda *asked: (10.0, 20.0, 40.0),
    )  # fmt: skip
    item = next(m for m in found.measures if m.kind == "hot_water_pipe_insulation")
    assert (item.cost_low_usd, item.cost_usd, item.cost_high_usd) == (55.0, 55.0, 55.0)


def test_unmeasured_leakage_widens_the_range_and_bills_narrow_it(ranch):
    house = ranch_1958()
    chosen = ["attic_air_sealing", "flue_plug"]

    def width(given, **settings):
        found = analyse_house(given, greensboro(), costs=cost_of, prices=PRICES, year=2026,
                              chosen=chosen, **settings)  # fmt: skip
        saving = found.package.saving
        return (saving.cost_high_usd - saving.cost_low_usd) / saving.cost_usd

    kept = {k: v for k, v in house.origins.items() if not k.startswith("air_leakage")}
    measured, guessed = width(house), width(replace(house, origins=kept))
    assert guessed > 1.15 * measured
    assert width(house, widths={"leakage": 0.3, "heating_setpoint": 0.3}) < 0.95 * measured


def test_what_makes_the_range_wide_is_named_with_its_origin(ranch):
    inputs = {item.key: item for item in ranch.range_inputs}
    assert inputs["leakage_test"].how == "measured"
    assert inputs["heating_setpoint"].how == "reported"
    assert inputs["duct_leakage"].how == "default"
    assert sum(item.share for item in ranch.range_inputs) == pytest.approx(1.0)
    shares = [item.share for item in ranch.range_inputs]
    assert shares == sorted(shares, reverse=True)
    assert all(item.source for item in ranch.range_inputs)


def test_the_same_house_gives_the_same_range_twice(ranch):
    again = analyse_house(
        ranch_1958(), greensboro(), costs=cost_of, prices=PRICES, year=2026,
        chosen=["thermostat"],
    )  # fmt: skip
    twice = analyse_house(
        replace(ranch_1958(), name="the same"), greensboro(), costs=cost_of, prices=PRICES,
        year=2026, chosen=["thermostat"],
    )  # fmt: skip
    assert again.package.saving == twice.package.saving


# -- Stored runs -------------------------------------------------------------------------


def test_a_run_of_before_the_percentiles_still_loads(ranch):
    """Version 1 had symmetric ranges and none of the fields that came with version 2."""
    old = analysis_to_dict(ranch)
    for name in ("format_version", "range_inputs"):
        del old[name]
    savings = [old["package"]["saving"]]
    savings += [m[k] for m in old["measures"] for k in ("saving", "saving_alone") if m[k]]
    for saving in savings:
        for name in ("cost_median_usd", "energy_low_j", "energy_high_j", "co2_low_kg",
                     "co2_high_kg"):  # fmt: skip
            del saving[name]
    for worth in [old["package"]["worth"], *(m["worth"] for m in old["measures"])]:
        for name in ("cost_low_usd", "cost_high_usd", "npv_low_usd", "npv_high_usd",
                     "payback_low_years", "payback_high_years", "chance_pays"):  # fmt: skip
            del worth[name]
    for measure in old["measures"]:
        for name in ("cost_low_usd", "cost_high_usd", "pick_saving_usd", "pick_npv_usd"):
            del measure[name]
    for finding in old["equipment"]:
        for name in ("annual_cost_now_usd", "expected_years_left", "horizon_years"):
            del finding[name]
    found = analysis_from_dict(json.loads(json.dumps(old)))
    assert found.format_version == 1
    assert found.package.saving.cost_usd == ranch.package.saving.cost_usd
    assert found.package.saving.cost_median_usd is None


def test_a_run_of_a_later_version_is_refused(ranch):
    assert ranch.format_version == FORMAT_VERSION
    later = {**analysis_to_dict(ranch), "format_version": FORMAT_VERSION + 1}
    with pytest.raises(InputError, match=f"reads up to {FORMAT_VERSION}"):
        analysis_from_dict(later)


def test_origins_of_the_trial_are_origins():
    house = trial.trial_house(3)
    assert all(isinstance(item, Origin) for item in house.origins.values())
    assert house == trial.trial_house(3)
    assert house != trial.trial_house(4)
