"""Amounts shown in whole dollars add up to their shown sum."""

from decimal import Decimal

from hypothesis import given
from hypothesis import strategies as st

from portal.core.money import whole_parts

AMOUNTS = st.lists(
    st.decimals(min_value=-500, max_value=5000, places=4, allow_nan=False), max_size=15
)


def test_halves_do_not_add_a_dollar() -> None:
    assert whole_parts([0.5, 0.5, 0.5]) == [1, 1, 0]
    assert whole_parts([10.4, 10.4, 10.4]) == [11, 10, 10]
    assert whole_parts([]) == []


@given(AMOUNTS)
def test_parts_add_up_and_stay_within_a_dollar(amounts: list[Decimal]) -> None:
    parts = whole_parts(amounts)
    total = sum(amounts, Decimal(0))
    assert abs(sum(parts, Decimal(0)) - total) <= Decimal("0.5")
    assert all(abs(part - amount) < 1 for part, amount in zip(parts, amounts, strict=True))
    assert all(part == part.to_integral_value() for part in parts)
