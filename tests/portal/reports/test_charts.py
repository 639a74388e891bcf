"""Charts: columns to scale from zero, words that say the same, bad input refused."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from portal.reports.charts import (
    EndUse,
    EnergyChart,
    axis_step,
    energy_chart,
    range_line,
    share_bar,
)

SVG = "{http://www.w3.org/2000/svg}"
GAS = EnergyChart(
    fuel="Gas",
    unit="therms",
    layers=(
        EndUse("Hot water", (20.0,) * 12, "open"),
        EndUse("Cooking", (3.0,) * 12, "solid"),
        EndUse(
            "Heating the rooms",
            (320, 260, 215, 110, 30, 0, 0, 0, 12, 85, 180, 290),
            "slanted",
        ),
    ),
    bills=(351, 281, 236, 131, 50, 18, 15, 17, 28, 112, 199, None),
    year="2025",
)


@pytest.mark.parametrize(
    ("highest", "step"),
    # Hand-worked: the smallest of 1, 2, 2.5, 5 times a power of ten that needs four lines at most.
    [(351, 100), (972, 250), (0.9, 0.25), (40, 10), (41, 20), (1, 0.25), (0, 1)],
)
def test_axis_steps_are_round(highest: float, step: float) -> None:
    assert axis_step(highest) == pytest.approx(step)


@given(st.floats(min_value=1e-3, max_value=1e6))
def test_an_axis_never_has_more_than_four_lines_above_zero(highest: float) -> None:
    assert highest / axis_step(highest) <= 4 + 1e-9


@pytest.mark.parametrize("is_narrow", [False, True])
def test_columns_are_to_scale(is_narrow: bool) -> None:
    svg = energy_chart(GAS, prefix="gas", is_narrow=is_narrow)
    root = ElementTree.fromstring(svg)
    hatched = [
        float(node.get("height", "0"))
        for node in root.iter(f"{SVG}rect")
        if node.get("fill") == "url(#gas-slanted)"
    ]
    # Nine months of heating, then the legend's swatch.
    assert len(hatched) == 10
    assert hatched[1] / hatched[0] == pytest.approx(260 / 320, abs=0.01)


def test_each_bill_has_a_bar_and_a_missing_one_none() -> None:
    svg = energy_chart(GAS, prefix="gas")
    # Eleven bills and the legend's sample.
    assert svg.count('stroke-width="2.8"') == 12


def test_the_words_carry_the_totals() -> None:
    svg = energy_chart(GAS, prefix="gas")
    root = ElementTree.fromstring(svg)
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert title.text == "Gas, therms a month"
    # 320 + 260 + ... + 290 = 1,502; bills 351 + ... + 199 = 1,438.
    assert "Heating the rooms 1,502 therms" in (desc.text or "")
    assert "Billed, in usual weather: 1,438 therms in 11 months" in (desc.text or "")


def test_layers_of_another_length_are_refused() -> None:
    short = replace(GAS, layers=(EndUse("Cooking", (1.0,) * 11, "open"),))
    with pytest.raises(ValueError, match="11 months"):
        energy_chart(short, prefix="g")


def test_an_unknown_fill_is_refused() -> None:
    with pytest.raises(ValueError, match="not a fill"):
        energy_chart(replace(GAS, layers=(EndUse("A", (1.0,) * 12, "pink"),)), prefix="g")


def test_a_year_of_nothing_still_draws() -> None:
    empty = replace(GAS, layers=(EndUse("Gas", (0.0,) * 12, "open"),), bills=())
    assert ElementTree.fromstring(energy_chart(empty, prefix="g")) is not None


def test_range_line_is_on_a_common_scale() -> None:
    def reach(high: float) -> float:
        svg = range_line(100, high - 1, high, scale_to=500, width=504)
        found = re.search(r'M([\d.]+) 11.0L([\d.]+) 11.0" stroke="#1f5a4c"', svg)
        assert found is not None
        return float(found.group(2))

    # 500 units of length for 500 dollars, from 2.
    assert reach(250) == pytest.approx(252)
    assert reach(500) == pytest.approx(502)


def test_range_line_refuses_disorder_and_a_short_scale() -> None:
    with pytest.raises(ValueError, match="out of order"):
        range_line(10, 5, 20, scale_to=30)
    with pytest.raises(ValueError, match="reach"):
        range_line(10, 15, 40, scale_to=30)


def test_a_fund_bar_refuses_more_than_the_budget() -> None:
    with pytest.raises(ValueError, match="budget"):
        share_bar(600, 500, 1000, prefix="f")
    assert ElementTree.fromstring(share_bar(214, 391, 1240, prefix="f")) is not None
