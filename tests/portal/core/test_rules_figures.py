"""Figures in the words of a ruling: as few decimals as people read, and never against its sense."""

from decimal import Decimal

import pytest

from portal.core.rules import evaluate
from portal.core.rules.values import plain_number, spoken
from tests.portal.core.rule_facts import air, facts, rule_set, step


@pytest.mark.parametrize(
    ("value", "unit", "expected"),
    [
        ("2089.000378", "CFM50", "2,089"),
        ("1020.96", "ft2", "1,020"),
        ("9.35", "R", "9.35"),
        ("7.009", "ACH50", "7"),
        ("404.4", "usd", "$404.40"),
        ("-12.5", "usd", "−$12.50"),
        ("0.123456", "ratio", "0.1234"),
        ("1000", "people", "1,000"),
        ("-0.4", "CFM50", "0"),
    ],
)
def test_a_unit_is_written_as_finely_as_it_is_read(value: str, unit: str, expected: str) -> None:
    assert spoken(Decimal(value), unit) == expected


def said(before: str, after: str, usd: float = 700) -> str:
    """What the 15 percent of air sealing says of two readings."""
    ruling = evaluate(rule_set("qlg-is-v1"), facts([air(before, after, usd)]))
    (found,) = [one for one in ruling.findings if one.rule == "air_sealing.cut"]
    # Beside the words the figures are kept in full.
    (need,) = found.needs
    assert need.had == plain_number(Decimal(before) - Decimal(after))
    assert need.needed == plain_number(Decimal(before) * Decimal("0.15"))
    return found.words


@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        # 15 percent of it is 380.907: the limit printed is one that would do.
        ("2539.38", "2200", "needed 381 CFM50 (15% of 2,539), achieved 339 (13.36%)"),
        # Rounded alike both would be 381; a decimal more tells them apart.
        ("2539.38", "2158.48", "needed 381 CFM50 (15% of 2,539), achieved 380.9 (14.9997%)"),
        ("2600", "2210.04", "needed 390 CFM50 (15% of 2,600), achieved 389.96 (14.998%)"),
    ],
)
def test_what_was_needed_and_what_was_had_never_read_as_the_same(
    before: str, after: str, expected: str
) -> None:
    assert said(before, after) == expected


def test_a_printed_product_is_that_of_the_printed_factors() -> None:
    for after, counted in (("1200", "800"), ("1199.6", "800.4"), ("1199.9999", "800")):
        ruling = evaluate(rule_set("qlg-is-v1"), facts([air("2000", after, 1150)]))
        words = step(ruling, "air_sealing.rate").words
        assert f"{counted} CFM50 × $" in words, words
