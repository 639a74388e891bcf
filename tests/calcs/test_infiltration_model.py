"""The infiltration formulas against the handbook's tables, and a house between the tables."""

from __future__ import annotations

from dataclasses import replace
from math import hypot

import pytest

from calcs.errors import InputError
from calcs.handbook_infiltration import enhanced_infiltration
from calcs.infiltration_model import (
    EAVES_AT_10_M,
    EAVES_EXPONENT,
    LeakPattern,
    natural_infiltration,
)
from calcs.leak_places import leak_pattern, leakage_of, seal
from tests.factories.houses import ranch_1958

# Spread of the leaks that the handbook's tables stand on: the walls' share grows with the stories.
LEVEL = {1: 1.0 / 2.0, 2: 1.0 / 3.0, 3: 1.0 / 4.0}


def spread(stories, flue=0.0):
    return LeakPattern(ceiling=LEVEL[stories] / 2.0, floor=LEVEL[stories] / 2.0, flue=flue)


def flow(pattern, *, dt=0.0, wind=0.0, height=2.5, shelter=3, foundation="basement_or_slab"):
    return natural_infiltration(
        0.05, 2.0 / 3.0, pattern, height_m=height, temperature_difference_k=dt, wind_m_per_s=wind,
        shelter_class=shelter, foundation=foundation,
    )  # fmt: skip


@pytest.mark.parametrize("stories", [1, 2, 3])
@pytest.mark.parametrize("foundation", ["basement_or_slab", "crawlspace"])
@pytest.mark.parametrize("shelter", [1, 3, 5])
def test_formulas_give_the_handbooks_tables(stories, foundation, shelter):
    # ASHRAE Handbook-Fundamentals, enhanced model (memory); its coefficients are rounded, and
    # differ from the formulas by 4 % at most, twice that share of the wind for its square.
    table = enhanced_infiltration(
        0.05, 2.0 / 3.0, temperature_difference_k=20.0, wind_m_per_s=4.0, stories=stories,
        shelter_class=shelter, foundation=foundation,
    )  # fmt: skip
    got = flow(
        spread(stories), dt=20.0, wind=4.0, height=2.5 * stories, shelter=shelter,
        foundation=foundation,
    )  # fmt: skip

    assert got.stack_m3_per_s == pytest.approx(table.stack_m3_per_s, rel=0.025)
    assert got.wind_m3_per_s == pytest.approx(table.wind_m3_per_s, rel=0.05)
    assert got.total_m3_per_s == pytest.approx(hypot(got.stack_m3_per_s, got.wind_m3_per_s))


@pytest.mark.parametrize("shelter", [1, 2, 3, 4, 5])
def test_formulas_give_the_table_of_one_story_with_a_flue(shelter):
    table = enhanced_infiltration(
        0.05, 2.0 / 3.0, temperature_difference_k=20.0, wind_m_per_s=4.0, stories=1,
        shelter_class=shelter, has_flue=True,
    )  # fmt: skip
    got = flow(spread(1, flue=0.2), dt=20.0, wind=4.0, shelter=shelter)

    assert got.stack_m3_per_s == pytest.approx(table.stack_m3_per_s, rel=0.03)
    assert got.wind_m3_per_s == pytest.approx(table.wind_m3_per_s, rel=0.06)


def test_heights_between_the_tables_lie_between_them():
    heights = [2.5, 3.2, 3.75, 4.4, 5.0]
    stack = [flow(spread(1), dt=20.0, height=h).stack_m3_per_s for h in heights]
    wind = [flow(spread(1), wind=4.0, height=h).wind_m3_per_s for h in heights]

    assert stack == sorted(stack)
    assert wind == sorted(wind)
    assert len(set(stack)) == 5
    for stories, factor in ((1, 0.48), (2, 0.59), (3, 0.67)):
        assert EAVES_AT_10_M * (0.25 * stories) ** EAVES_EXPONENT == pytest.approx(
            factor, abs=0.004
        )


def test_thin_air_drives_and_resists_less():
    options = {
        "height_m": 2.5, "temperature_difference_k": 20.0, "wind_m_per_s": 4.0, "shelter_class": 3,
    }  # fmt: skip
    low = natural_infiltration(0.05, 0.65, spread(1), **options)
    high = natural_infiltration(0.05, 0.65, spread(1), **options, elevation_m=1650.0)
    # By hand: density ratio (1 - 0.0065 * 1650 / 293)**5.2553 = 0.8222, to the power 2n - 1.
    assert high.stack_m3_per_s / low.stack_m3_per_s == pytest.approx(0.8222**0.3, rel=1e-3)
    assert high.wind_m3_per_s / low.wind_m3_per_s == pytest.approx(0.8222**0.3, rel=1e-3)


def test_leaks_at_the_ends_pull_more_than_leaks_in_the_walls():
    middle = LeakPattern(ceiling=0.1, floor=0.1)
    ends = LeakPattern(ceiling=0.4, floor=0.4)
    top = LeakPattern(ceiling=0.8, floor=0.0)

    assert flow(middle, dt=20.0).stack_m3_per_s < flow(ends, dt=20.0).stack_m3_per_s
    # All at one level: nothing to flow in by, so far less.
    assert flow(top, dt=20.0).stack_m3_per_s < 0.5 * flow(ends, dt=20.0).stack_m3_per_s
    assert flow(middle, wind=4.0).wind_m3_per_s > flow(ends, wind=4.0).wind_m3_per_s


def test_sealing_any_place_lessens_both_flows():
    house = ranch_1958()
    before = leakage_of(house)
    for place in ("attic_floor", "walls", "windows_doors", "rim_joist", "foundation", "chimney"):
        after = leakage_of(seal(house, {place: 0.5}))
        assert after.stack_m3_per_s <= before.stack_m3_per_s, place
        assert after.wind_m3_per_s <= before.wind_m3_per_s, place


def test_house_takes_its_pattern_from_its_leaks():
    house = ranch_1958()
    pattern = leak_pattern(house)
    assert 0.0 < pattern.floor < 1.0
    assert pattern.ceiling + pattern.floor + pattern.flue <= 1.0

    with_flue = replace(house, air_leakage=replace(house.air_leakage, has_flue=True))
    without = replace(house, air_leakage=replace(house.air_leakage, has_flue=False))
    assert leak_pattern(with_flue).flue > leak_pattern(without).flue
    assert leakage_of(with_flue).stack_m3_per_s > leakage_of(without).stack_m3_per_s


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (lambda: LeakPattern(ceiling=0.8, floor=0.3), "add to more than 1"),
        (lambda: LeakPattern(ceiling=-0.1, floor=0.3), "at the ceiling"),
        (lambda: flow(spread(1), height=0.2), "height"),
        (lambda: flow(spread(1), shelter=6), "shelter class"),
        (lambda: flow(spread(1), foundation="stilts"), "foundation"),
    ],
)
def test_impossible_patterns_are_refused(call, message):
    with pytest.raises(InputError, match=message):
        call()
