"""The price list: low, middle and high, of a year, and what it refuses."""

import json
from datetime import date
from decimal import Decimal
from pathlib import Path
from typing import Any

import pytest

from portal.core.errors import DomainError
from portal.core.units import convert
from portal.modeling import prices

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures" / "prices"
DAY = date(2026, 10, 14)


def loaded(change: dict[str, str] | None = None) -> None:
    energy = json.loads((FIXTURES / "energy.json").read_text(encoding="utf-8"))
    price_list: dict[str, Any] = json.loads((FIXTURES / "price_list.json").read_text("utf-8"))
    if change:
        price_list["lines"][0] |= change
    prices.prices_load(energy=energy, price_list=price_list)


@pytest.mark.django_db
def test_every_line_has_a_spread_and_the_year_of_its_dollars() -> None:
    loaded()
    lines = prices.price_list_on(DAY)
    assert len(lines) > 50
    for line in lines.values():
        assert line.dollars_year == 2026
        assert line.usd_per_unit_low is not None
        assert line.usd_per_unit_high is not None
        assert line.usd_per_unit_low <= line.usd_per_unit <= line.usd_per_unit_high
        assert line.usd_per_unit_low < line.usd_per_unit_high


@pytest.mark.django_db
def test_range_is_worked_out_to_the_cent() -> None:
    """1,000 ft² of attic at 0.85, 1.08, 1.60 and 120.00 fixed, by hand."""
    loaded()
    line = prices.price_list_on(DAY)["attic_insulation"]
    area = convert(1000.0, "ft2", "m2")
    found = prices.list_price_range(line, quantity=area, unit="m²")
    assert (found.low_usd, found.mid_usd, found.high_usd) == (
        Decimal("970.00"),
        Decimal("1200.00"),
        Decimal("1720.00"),
    )
    assert found.mid_usd == prices.list_price(line, quantity=area, unit="m²")
    ranges = prices.cost_ranges_on(DAY)
    assert ranges("attic_insulation:a", "attic_insulation", area, "m²") == (970.0, 1200.0, 1720.0)
    assert ranges("x", "no_such_work", 1.0, "each") is None


@pytest.mark.django_db
def test_a_low_price_above_the_middle_one_is_refused() -> None:
    with pytest.raises(DomainError, match="low, middle and high must rise"):
        loaded({"usd_per_unit_low": "99.00"})
