"""Quantities as they are printed: American, half up, never a zero for what is missing."""

from __future__ import annotations

from decimal import Decimal

import pytest
from django.utils import translation

from portal.core.templatetags import figures

NBSP = "\u00a0"


@pytest.mark.parametrize(
    ("made", "text"),
    [
        (figures.dollars(Decimal("1397.50")), "$1,398"),
        (figures.dollars(-12), "−$12"),
        (figures.cents("1398"), "$1,398.00"),
        (figures.amount(Decimal("634005.875")), "634,005.88"),
        (figures.signed_amount(Decimal("-2000")), f"−{NBSP}2,000.00"),
        (figures.about_dollars(87.4), "$87"),
        (figures.about_dollars(1274), "$1,270"),
        (figures.about_dollars(19_640), "$19,600"),
        (figures.number(4150), "4,150"),
        (figures.sqft(840.4), f"840{NBSP}sq ft"),
        (figures.ft2(1240), f"1,240{NBSP}ft²"),
        (figures.feet(116), f"116{NBSP}ft"),
        (figures.feet(7.25), f"7.3{NBSP}ft"),
        (figures.inches(3.5), f"3½{NBSP}in."),
        (figures.inches(0.24), f"¼{NBSP}in."),
        (figures.inches(14), f"14{NBSP}in."),
        (figures.percent(0.83), "83%"),
        (figures.range_dollars(180, 249, 330), "$180 to $330, most likely $249"),
        (figures.range_dollars(26.2, 26.3, 26.4), "$26"),
        (figures.range_short(440, 800), "$440 to $800"),
        (figures.range_unit(31, 58, "therms"), f"31 to 58{NBSP}therms"),
    ],
)
def test_figures_read_as_the_trade_writes_them(made: str, text: str) -> None:
    assert made == text


def test_a_missing_value_is_never_a_zero() -> None:
    for filter_ in (figures.dollars, figures.cents, figures.number, figures.sqft, figures.inches):
        assert filter_(None) == "not recorded"
        assert filter_(float("nan")) == "not recorded"
    assert figures.range_dollars(1, None, 3) == "not recorded"


def test_a_unit_from_outside_is_escaped() -> None:
    assert "<b>" not in figures.quantity(3, "<b>")
    assert figures.quantity(4150, "CFM50") == f'<span class="n">4,150{NBSP}CFM50</span>'
    assert figures.r_value(8.54) == '<span class="n">R-8.5</span>'


def test_the_words_between_figures_are_translatable() -> None:
    with translation.override("en"):
        assert "most likely" in figures.range_dollars(1, 2, 3)
