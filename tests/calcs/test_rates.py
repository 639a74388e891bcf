"""Bills by the rate, written out by hand; what a saving is worth; a house on a rate."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs.baseline import evaluate
from calcs.errors import InputError
from calcs.inputs import EnergyPrices
from calcs.rates import (
    MONTHS,
    Block,
    FuelUse,
    Rate,
    Season,
    Window,
    cost_of_fuel,
    flat,
    saving_usd,
)
from tests.factories.house_parts import PRICES
from tests.factories.houses import ranch_1958
from tests.factories.weather import greensboro

KWH = 3.6e6
SUMMER = (6, 7, 8, 9)
WINTER = tuple(month for month in MONTHS if month not in SUMMER)


def usd_a_kwh(price):
    return price / KWH


BLOCKS = (
    Block(up_to_j=500 * KWH, usd_per_j=usd_a_kwh(0.10)),
    Block(up_to_j=1000 * KWH, usd_per_j=usd_a_kwh(0.15)),
    Block(usd_per_j=usd_a_kwh(0.25)),
)
TIERED = Rate(
    fuel="electricity", customer_usd=12.0, minimum_usd=20.0,
    seasons=(
        Season(months=SUMMER, blocks=BLOCKS),
        Season(months=WINTER, blocks=(Block(usd_per_j=usd_a_kwh(0.11)),)),
    ),
)  # fmt: skip
BY_HOUR = Rate(
    fuel="electricity", customer_usd=12.0,
    seasons=(
        Season(
            months=MONTHS, blocks=(Block(usd_per_j=usd_a_kwh(0.08)),),
            windows=(Window(name="evening", hours=(17, 18, 19, 20), usd_per_j=usd_a_kwh(0.30)),),
        ),
    ),
)  # fmt: skip


def test_flat_bill_by_hand():
    # 600 kWh x $0.12 + $9.50 = $81.50
    bill = flat("electricity", usd_a_kwh(0.12), customer_usd=9.5).bill(1, 600 * KWH)
    assert bill.energy_usd == pytest.approx(72.0)
    assert bill.total_usd == pytest.approx(81.5)


def test_tiered_seasonal_bill_by_hand():
    # July, 1,300 kWh: 500 x 0.10 + 500 x 0.15 + 300 x 0.25 = 50 + 75 + 75 = $200; + $12 = $212.
    assert TIERED.bill(7, 1300 * KWH).total_usd == pytest.approx(212.0)
    # January, the same use: 1,300 x 0.11 + 12 = $155.
    assert TIERED.bill(1, 1300 * KWH).total_usd == pytest.approx(155.0)
    # On a limit, the next block has not begun: 500 x 0.10 + 12.
    assert TIERED.bill(7, 500 * KWH).total_usd == pytest.approx(62.0)


def test_minimum_bill_by_hand():
    # 40 kWh in January: 12 + 4.40 = 16.40, and the minimum is $20.
    bill = TIERED.bill(1, 40 * KWH)
    assert bill.to_minimum_usd == pytest.approx(3.60)
    assert bill.total_usd == pytest.approx(20.0)
    assert TIERED.without_use_usd() == pytest.approx(20.0)
    assert TIERED.marginal_usd_per_j(1, 40 * KWH) == 0.0


def test_hours_by_hand():
    # 700 kWh, all between 5 and 9 p.m.: five days of seven at 0.30, two at 0.08.
    # 500 x 0.30 + 200 x 0.08 = $166; + 12.
    evening = np.zeros(24)
    evening[17:21] = 0.25
    assert BY_HOUR.bill(3, 700 * KWH, by_hour=evening).total_usd == pytest.approx(178.0)
    # Spread over the day: 4 hours of 24 in 5 days of 7 is 11.905 %.
    inside = 700 * 4 / 24 * 5 / 7
    assert BY_HOUR.bill(3, 700 * KWH).energy_usd == pytest.approx(
        inside * 0.30 + (700 - inside) * 0.08
    )
    assert BY_HOUR.marginal_usd_per_j(3, 700 * KWH, hour=18) * KWH == pytest.approx(0.30)
    assert BY_HOUR.marginal_usd_per_j(3, 700 * KWH, hour=2) * KWH == pytest.approx(0.08)


def test_a_saving_is_worth_the_last_units_not_the_mean():
    # July from 1,300 to 900 kWh: 300 at 0.25 and 100 at 0.15 = $90; the mean price would say
    # 212 / 1300 x 400 = $65.
    before, after = np.full(12, 0.0), np.full(12, 0.0)
    before[6], after[6] = 1300 * KWH, 900 * KWH
    saved = saving_usd(TIERED, before, after)
    assert saved[6] == pytest.approx(90.0)
    assert sum(saved) == pytest.approx(90.0)


def test_the_customer_charge_is_never_saved():
    # Down to nothing: what a month without use costs stays.
    before = np.full(12, 30 * KWH)
    assert saving_usd(TIERED, before, np.zeros(12))[0] == 0.0  # 12 + 3.30 is under the minimum
    cost = cost_of_fuel(TIERED, [FuelUse(end_use="other", fuel="electricity", monthly_j=before)])
    assert cost.variable_usd == pytest.approx(0.0)
    assert cost.fixed_usd == pytest.approx(240.0)


@settings(max_examples=60, deadline=None)
@given(st.floats(0, 4000), st.floats(0, 4000), st.integers(1, 12))
def test_more_use_never_costs_less_and_blocks_do_not_jump(one, other, month):
    low, high = sorted((one, other))
    for rate in (TIERED, BY_HOUR):
        cheap, dear = (rate.bill(month, use * KWH).total_usd for use in (low, high))
        assert dear >= cheap - 1e-9
        assert dear - cheap <= 0.31 * (high - low) + 1e-9


@settings(max_examples=40, deadline=None)
@given(st.floats(10, 3000), st.integers(1, 12))
def test_the_marginal_price_is_the_slope_of_the_bill(use, month):
    if min(abs(use - limit) for limit in (500, 1000)) < 2 or 20 - 12 - 0.11 * use > -0.5:
        return
    step = 1.0
    slope = (
        TIERED.bill(month, use * KWH).total_usd - TIERED.bill(month, (use - step) * KWH).total_usd
    )
    assert TIERED.marginal_usd_per_j(month, use * KWH) * KWH == pytest.approx(slope)


@settings(max_examples=30, deadline=None)
@given(st.lists(st.floats(0, 2000), min_size=3, max_size=3))
def test_costs_of_end_uses_add_up_to_the_bills(amounts):
    rng = np.random.default_rng(1)
    uses = []
    for name, amount in zip(("heating", "cooling", "other"), amounts, strict=True):
        hours = rng.uniform(0, 1, (12, 24))
        uses.append(
            FuelUse(end_use=name, fuel="electricity",
                    monthly_j=amount * KWH * rng.uniform(0, 1, 12),
                    by_hour=hours / hours.sum(axis=1, keepdims=True))
        )  # fmt: skip
    for rate in (TIERED, BY_HOUR):
        cost = cost_of_fuel(rate, uses)
        assert sum(cost.by_use.values()) == pytest.approx(cost.variable_usd)
        assert min(cost.by_use.values()) >= 0.0


def test_use_in_dear_hours_carries_its_price():
    even = np.full((12, 24), 1 / 24)
    evening = np.zeros((12, 24))
    evening[:, 17:21] = 0.25
    same = np.full(12, 100 * KWH)
    cost = cost_of_fuel(BY_HOUR, [
        FuelUse(end_use="cooling", fuel="electricity", monthly_j=same, by_hour=evening),
        FuelUse(end_use="other", fuel="electricity", monthly_j=same, by_hour=even),
    ])  # fmt: skip
    # 100 x (5/7 x 0.30 + 2/7 x 0.08) x 12 = $284.57
    assert cost.by_use["cooling"] == pytest.approx(284.571, abs=1e-3)
    assert cost.by_use["other"] < cost.by_use["cooling"] / 2


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"seasons": (Season(months=SUMMER, blocks=BLOCKS),)}, "exactly one season"),
        ({"seasons": (Season(months=MONTHS, blocks=BLOCKS[:2]),)}, "no limit"),
        ({"seasons": (Season(months=MONTHS, blocks=(BLOCKS[1], BLOCKS[0], BLOCKS[2])),)}, "rise"),
        ({"customer_usd": -1.0}, "customer charge"),
        ({"minimum_usd": float("nan")}, "minimum bill"),
        (
            {"seasons": (Season(months=MONTHS, blocks=BLOCKS[2:], windows=(
                Window(name="a", hours=(1, 2), usd_per_j=1.0),
                Window(name="b", hours=(2, 3), usd_per_j=1.0))),)},
            "one window",
        ),
        ({"seasons": (Season(months=MONTHS, blocks=(Block(usd_per_j=-1.0),)),)}, "price"),
    ],
)  # fmt: skip
def test_a_rate_that_cannot_be_is_refused(changes, words):
    with pytest.raises(InputError, match=words):
        replace(TIERED, **changes)


# -- A house on a rate -----------------------------------------------------------------------------


def priced(**rates):
    return EnergyPrices(usd_per_j=PRICES.usd_per_j, co2_kg_per_j=PRICES.co2_kg_per_j, rates=rates)


def year_of(house, prices):
    return evaluate(house, greensboro(), prices=prices, year=2026)


def test_a_flat_rate_costs_what_its_price_costs():
    house = ranch_1958()
    plain = year_of(house, PRICES)
    rate = flat("electricity", PRICES.usd_per_j["electricity"], customer_usd=11.0)
    same = year_of(house, priced(electricity=rate))
    assert same.cost_usd == pytest.approx(plain.cost_usd)
    assert same.cost_usd_by_use == pytest.approx(plain.cost_usd_by_use)
    assert plain.fixed_usd == 0.0
    assert same.fixed_usd == pytest.approx(132.0)


def test_a_house_saves_at_the_marginal_rate_of_each_month():
    house = ranch_1958()
    cooler = replace(house, thermostat=replace(house.thermostat, cooling_c=27.0))
    prices = priced(electricity=TIERED)
    before, after = (year_of(item, prices) for item in (house, cooler))

    def months(base):
        return [
            sum(item.monthly_j[m] for item in base.end_uses if item.fuel == "electricity")
            for m in range(12)
        ]

    by_hand = sum(saving_usd(TIERED, months(before), months(after)))
    other = before.cost_usd_by_fuel["natural_gas"] - after.cost_usd_by_fuel["natural_gas"]
    assert before.cost_usd - after.cost_usd == pytest.approx(by_hand + other)
    # In summer the last units cost more than the year's mean.
    energy = before.energy_j["electricity"] - after.energy_j["electricity"]
    mean = before.cost_usd_by_fuel["electricity"] / before.energy_j["electricity"]
    assert by_hand > 1.1 * energy * mean


def test_cooling_costs_more_by_the_hour_than_the_refrigerator():
    base = year_of(ranch_1958(), priced(electricity=BY_HOUR))
    per_j = {
        use: base.cost_usd_by_use[use] / base.use_j(use, "electricity")
        for use in ("cooling", "lighting")
    }
    assert per_j["cooling"] * KWH > 0.10
    assert sum(base.cost_usd_by_use.values()) == pytest.approx(base.cost_usd)


def test_a_fuel_without_price_or_rate_is_refused():
    prices = EnergyPrices(usd_per_j={}, co2_kg_per_j=PRICES.co2_kg_per_j,
                          rates={"electricity": TIERED})  # fmt: skip
    with pytest.raises(InputError, match="No price for natural_gas"):
        year_of(ranch_1958(), prices)
