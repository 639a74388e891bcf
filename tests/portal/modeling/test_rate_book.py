"""The rate book: loaded, dated, found by rate code, and what a run makes of it."""

import copy
import io
import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from django.core.management import call_command
from django.core.management.base import CommandError

from portal.core.errors import DomainError
from portal.core.units import convert
from portal.modeling import prices
from portal.modeling.models import RateSchedule

FIXTURES = Path(__file__).resolve().parents[3] / "fixtures" / "prices"
DAY = date(2026, 10, 14)
pytestmark = pytest.mark.django_db


def book() -> dict[str, Any]:
    found: dict[str, Any] = json.loads((FIXTURES / "rates.json").read_text(encoding="utf-8"))
    return found


def load_prices() -> None:
    prices.prices_load(
        energy=json.loads((FIXTURES / "energy.json").read_text(encoding="utf-8")),
        price_list=json.loads((FIXTURES / "price_list.json").read_text(encoding="utf-8")),
    )


def test_the_book_is_loaded_once_however_often() -> None:
    count = prices.rates_load(book())
    assert prices.rates_load(book()) == count == RateSchedule.objects.count()
    assert set(prices.schedules_on(DAY, "R1")) == {"electricity", "natural_gas"}
    assert prices.schedules_on(date(2025, 12, 31), "R1") == {}
    assert prices.schedules_on(DAY, "COMMERCIAL") == {}


def test_a_month_is_billed_as_the_book_says() -> None:
    """R1 in July, 1,000 kWh by hand: 12.50 + 800 x 0.1510 + 200 x 0.1790 = $169.10."""
    prices.rates_load(book())
    rate = prices.rate_of(prices.schedules_on(DAY, "R1")["electricity"])
    bill = rate.bill(7, convert(1000.0, "kWh", "J"))
    assert bill.total_usd == pytest.approx(169.10)
    gas = prices.rate_of(prices.schedules_on(DAY, "R1")["natural_gas"])
    # January, 100 therms: 14 + 25 x 1.79 + 75 x 1.66 = $183.25.
    assert gas.bill(1, convert(100.0, "therms", "J")).total_usd == pytest.approx(183.25)


def test_a_household_without_a_schedule_pays_the_plain_price() -> None:
    load_prices()
    prices.rates_load(book())
    plain, by_rate = prices.prices_for_model(DAY), prices.prices_for_model(DAY, rate_code="RTOU")
    assert not plain.rates
    assert set(by_rate.rates) == {"electricity", "natural_gas"}
    assert by_rate.rate("propane").customer_usd == 0.0


def test_a_new_book_counts_from_its_day() -> None:
    prices.rates_load(book())
    later = copy.deepcopy(book()) | {"from_on": "2026-07-01"}
    later["rates"][0]["customer_usd"] = "15.00"
    prices.rates_load(later)
    old, new = (prices.schedules_on(day, "R1")["electricity"] for day in (date(2026, 6, 30), DAY))
    assert prices.rate_of(old).customer_usd == 12.5
    assert prices.rate_of(new).customer_usd == 15.0


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"seasons": []}, "exactly one season"),
        ({"unit": "gal"}, "not billed by the gal"),
        ({"customer_usd": "much"}, "could not convert"),
    ],
)
def test_a_book_with_a_rate_that_cannot_be_is_refused_whole(
    change: dict[str, Any], words: str
) -> None:
    wrong = book()
    wrong["rates"][-1] |= change
    with pytest.raises(DomainError, match=words):
        prices.rates_load(wrong)
    assert not RateSchedule.objects.exists()
    missing = book()
    del missing["rates"][0]["name"]
    with pytest.raises((DomainError, KeyError), match="name"):
        prices.rates_load(missing)


def test_a_book_is_loaded_by_command(tmp_path: Path) -> None:
    out = io.StringIO()
    call_command("load_rates", str(FIXTURES / "rates.json"), stdout=out)
    assert out.getvalue() == f"{RateSchedule.objects.count()} schedules from 2026-01-01.\n"
    wrong = tmp_path / "wrong.json"
    wrong.write_text("{}", encoding="utf-8")
    with pytest.raises(CommandError, match="does not say its rates"):
        call_command("load_rates", str(wrong))
    with pytest.raises(CommandError, match="cannot read"):
        call_command("load_rates", str(tmp_path / "none.json"))
