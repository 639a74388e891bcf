"""Money: decimal dollars, rounded half up in one place."""

from decimal import ROUND_HALF_UP, Decimal

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
