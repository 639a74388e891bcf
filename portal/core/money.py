"""Money: decimal dollars, rounded half up in one place."""

from collections.abc import Sequence
from decimal import ROUND_FLOOR, ROUND_HALF_UP, Decimal

CENT = Decimal("0.01")


def to_cents(amount: Decimal | int | str) -> Decimal:
    """An amount in whole cents, half up."""
    return Decimal(amount).quantize(CENT, rounding=ROUND_HALF_UP)


def usd(amount: Decimal | int | str) -> str:
    """An amount as written for people, with cents: ``$1,398.00``."""
    cents = to_cents(amount)
    sign = "−" if cents < 0 else ""
    return f"{sign}${abs(cents):,.2f}"


def whole_usd(amount: Decimal | float) -> str:
    """An amount rounded to the dollar for running text: ``$1,398``."""
    dollars = Decimal(str(amount)).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    sign = "−" if dollars < 0 else ""
    return f"{sign}${abs(dollars):,}"


def whole_parts(amounts: Sequence[Decimal | float]) -> list[Decimal]:
    """Amounts in whole dollars whose sum is their sum in whole dollars, by largest remainder.

    What is shown line by line then adds up to what is shown below the lines.
    """
    exact = [Decimal(str(amount)) for amount in amounts]
    target = sum(exact, Decimal(0)).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    whole = [amount.quantize(Decimal(1), rounding=ROUND_FLOOR) for amount in exact]
    missing = int(target - sum(whole, Decimal(0)))
    by_rest = sorted(range(len(exact)), key=lambda at: (whole[at] - exact[at], at))
    for at in by_rest[:missing]:
        whole[at] += 1
    return whole
