"""The fewest changes that make the model agree with bills: found where they were hidden.

Bills are made here by the model itself with one input moved, so that the answer is known; in the
demo and in tests of the fits they come from elsewhere.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache
from itertools import pairwise

import numpy as np
import pytest

from calcs import bills
from calcs.baseline import evaluate
from calcs.bills.reads import Read, clean
from calcs.calibration import KNOBS, calibrate, for_sizing, months_of_model
from calcs.daily_weather import DailyWeather, normal_months
from calcs.errors import InputError
from calcs.inputs import house_from_dict, house_to_dict
from calcs.records import from_plain, to_plain
from calcs.unit_factors import K_PER_DEGF
from calcs.weather import MONTH_DAYS
from tests.factories.houses import PRICES, ranch_1958
from tests.factories.weather import greensboro

RANCH = ranch_1958()
HEATING_C, COOLING_C = RANCH.thermostat.heating_c, RANCH.thermostat.cooling_c


def run(house):
    return evaluate(house, greensboro(), prices=PRICES, year=2026)


@cache
def actual():
    daily = greensboro().dry_bulb_c.reshape(-1, 24).mean(axis=1)
    return DailyWeather(name="t", source="", first_on=date(2025, 1, 1), mean_c=daily)


def bills_of(house, *, fuels=("natural_gas", "electricity"), noise=0.05, seed=1):
    """A year of bills that a house makes, with what months differ by; read on the 1st."""
    rng, base = np.random.default_rng(seed), run(house)
    edges = [date(2025, 1, 1) + timedelta(days=int(d)) for d in np.cumsum([0, *MONTH_DAYS])]
    found = []
    for fuel in fuels:
        months = months_of_model(base, fuel) * rng.normal(1.0, noise, 12) / 1e6
        reads = [
            Read(starts_on=a, ends_on=b, quantity=float(q))
            for (a, b), q in zip(pairwise(edges), months, strict=True)
        ]
        found.append(
            bills.fit_bills(clean(reads), actual(), fuel=fuel, unit="MJ", joules_per_unit=1e6,
                            normal=normal_months(greensboro()))
        )  # fmt: skip
    return found


def thermostat(**changes):
    return replace(RANCH, thermostat=replace(RANCH.thermostat, **changes))


@pytest.mark.parametrize(
    ("truth", "moved"),
    [
        (thermostat(heating_c=HEATING_C - 4 * K_PER_DEGF), {"heating_setpoint": -4 * K_PER_DEGF}),
        (
            replace(RANCH, appliances=replace(RANCH.appliances, plug_factor=2.0)),
            {"plugs": 1.0},
        ),
        (
            replace(RANCH, hot_water_use=replace(RANCH.hot_water_use, draw_factor=0.4)),
            {"hot_water": -0.6},
        ),
        (replace(RANCH, conductance_factor=1.25), {"conductance": 0.25}),
        (
            thermostat(heating_c=HEATING_C - 2.2, cooling_c=COOLING_C + 1.8),
            {"heating_setpoint": -2.2, "cooling_setpoint": 1.8},
        ),
    ],
)
def test_the_input_that_was_moved_is_found_and_no_other(truth, moved):
    found = calibrate(RANCH, bills_of(truth, noise=0.02), run)
    account = found.calibration
    assert account.state == "fitted"
    assert account.limit == "guideline_14"
    assert {change.key for change in account.changes} == set(moved)
    for change in account.changes:
        # A prior holds each value near the record, and bills scatter: a fifth of the way.
        assert change.fitted - change.recorded == pytest.approx(
            moved[change.key], abs=0.2 * abs(moved[change.key])
        )
        assert found.house.origin(change.path).how == "fitted"
        assert not change.is_at_limit
    assert account.runs <= 16
    for match in account.fuels:
        assert abs(match.nmbe_fitted_pct) <= 5
        assert match.cv_fitted_pct <= 15
    assert any("guideline_14" not in match.within_recorded for match in account.fuels)


def test_a_set_point_explains_the_gas_and_a_plug_load_the_electricity():
    truth = replace(
        thermostat(heating_c=HEATING_C - 2.2),
        appliances=replace(RANCH.appliances, plug_factor=2.0),
    )
    account = calibrate(RANCH, bills_of(truth), run).calibration
    assert {change.key: change.explains for change in account.changes} == {
        "heating_setpoint": "natural_gas", "plugs": "electricity",
    }  # fmt: skip


def test_a_house_that_agrees_is_left_as_recorded():
    found = calibrate(RANCH, bills_of(RANCH), run)
    assert found.calibration.state == "as_recorded"
    assert found.house is RANCH
    assert found.calibration.changes == ()
    assert found.calibration.runs == 1


def test_a_house_that_no_few_changes_explain_is_not_bent():
    # Half the heat loss and a cold house: nothing inside the limits explains such bills.
    truth = replace(thermostat(heating_c=12.0), conductance_factor=0.5)
    found = calibrate(RANCH, bills_of(truth), run)
    assert found.calibration.state == "not_reconciled"
    assert not found.calibration.is_fitted
    assert found.house is RANCH
    assert found.calibration.best_tried
    assert found.calibration.fuels[0].recorded_j == found.calibration.fuels[0].fitted_j


def test_equipment_is_not_sized_by_how_sparingly_a_household_lives():
    found = calibrate(RANCH, bills_of(thermostat(heating_c=HEATING_C - 2.2)), run).house
    assert found.thermostat.heating_c < HEATING_C - 1.5
    assert for_sizing(RANCH) is RANCH
    sized = for_sizing(found)
    assert sized.thermostat.heating_c == pytest.approx(21.1)
    assert run(sized).peak_heating_w >= run(RANCH).peak_heating_w > run(found).peak_heating_w


def test_nothing_leaves_its_limits():
    truth = thermostat(heating_c=HEATING_C - 8 * K_PER_DEGF)
    found = calibrate(RANCH, bills_of(truth), run)
    for change in found.calibration.changes:
        assert change.low - 1e-9 <= change.fitted <= change.high + 1e-9
    for knob in KNOBS:
        low, high = knob.limits(RANCH)
        assert low < knob.read(RANCH) < high


def test_bills_that_were_refused_decide_nothing_and_stay_in_the_account():
    gas, _ = bills_of(thermostat(heating_c=HEATING_C - 2.2))
    wild = bills_of(RANCH, fuels=("electricity",), noise=0.9, seed=3)[0]
    assert wild.fit is None
    account = calibrate(RANCH, [gas, wild], run).calibration
    assert account.state == "fitted"
    electricity = next(match for match in account.fuels if match.fuel == "electricity")
    assert electricity.left_out == "refused"
    assert electricity.cv_fitted_pct is None
    assert calibrate(RANCH, [wild], run).calibration.state == "no_bills"
    assert calibrate(RANCH, [], run).calibration.state == "no_bills"


def test_bills_of_a_fuel_the_house_does_not_burn_decide_nothing():
    gas = bills_of(RANCH, fuels=("natural_gas",))[0]
    other = replace(gas, fuel="propane")
    account = calibrate(RANCH, [other], run).calibration
    assert account.fuels[0].left_out == "not_in_the_house"
    with pytest.raises(InputError, match="twice"):
        calibrate(RANCH, [gas, gas], run)


def test_house_and_account_go_to_json_and_back():
    found = calibrate(RANCH, bills_of(thermostat(heating_c=HEATING_C - 2.2)), run)
    assert house_from_dict(house_to_dict(found.house)) == found.house
    account = found.calibration
    assert from_plain(type(account), to_plain(account)) == account


def test_months_of_bills_follow_the_days_they_share_with_a_month():
    # Read in the middle of months: each month is made of two bills, the year stays as billed.
    edges = [0, 15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349, 365]
    first = date(2025, 1, 1)
    reads = [
        Read(starts_on=first + timedelta(days=a), ends_on=first + timedelta(days=b), quantity=0.0)
        for a, b in pairwise(edges)
    ]
    steady = [replace(read, quantity=10.0 * read.days + (5.0 if i % 2 else -5.0))
              for i, read in enumerate(reads)]  # fmt: skip
    outcome = bills.fit_bills(clean(steady), actual(), fuel="electricity", unit="kWh",
                              normal=normal_months(greensboro()))  # fmt: skip
    months = bills.months_of_bills(outcome)
    assert sum(months) == pytest.approx(sum(read.quantity for read in steady), rel=2e-3)
    assert months[5] == pytest.approx(300, abs=6)
