"""Template filters for quantities: money, lengths, areas, ranges, and numbers with a unit.

A missing value is never printed as zero: every filter turns ``None`` into "not recorded".
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal, InvalidOperation
from typing import TypeAlias

from django import template
from django.utils.html import conditional_escape
from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _

from portal.core import money

register = template.Library()

Number: TypeAlias = Decimal | float | int | str | None

NBSP = "\u00a0"
MINUS = "\u2212"
# Eighths and thirds as one character, the way a tape measure is read.
FRACTIONS = {
    Decimal("0.125"): "⅛",
    Decimal("0.25"): "¼",
    Decimal("0.375"): "⅜",
    Decimal("0.5"): "½",
    Decimal("0.625"): "⅝",
    Decimal("0.75"): "¾",
    Decimal("0.875"): "⅞",
}


def _decimal(value: Number) -> Decimal | None:
    """The value as a decimal, or ``None`` when there is none or it is no finite number."""
    if value is None or value == "":
        return None
    try:
        number = Decimal(str(value))
    except InvalidOperation:
        return None
    return number if number.is_finite() else None


def _missing() -> str:
    return _("not recorded")


def _grouped(number: Decimal, places: int) -> str:
    rounded = number.quantize(Decimal(1).scaleb(-places), rounding=ROUND_HALF_UP)
    sign = MINUS if rounded < 0 else ""
    return f"{sign}{abs(rounded):,.{places}f}"


@register.filter
def dollars(value: Number) -> str:
    """Whole dollars for running text: ``$1,398``."""
    number = _decimal(value)
    return _missing() if number is None else money.whole_usd(number)


@register.filter
def cents(value: Number) -> str:
    """Dollars and cents where money is moved: ``$1,398.00``."""
    number = _decimal(value)
    return _missing() if number is None else money.usd(number)


@register.filter
def amount(value: Number) -> str:
    """Cents without the sign, for a column that has "$" in its head: ``1,398.00``."""
    number = _decimal(value)
    return "" if number is None else _grouped(number, 2)


@register.filter
def signed_amount(value: Number) -> str:
    """A movement in a ledger: ``+ 1,911.80``, ``− 2,000.00``."""
    number = _decimal(value)
    if number is None:
        return ""
    sign = MINUS if number < 0 else "+"
    return f"{sign}{NBSP}{_grouped(abs(number), 2)}"


@register.filter
def about_dollars(value: Number) -> str:
    """Dollars rounded as an estimate deserves: to 1 below $100, to 10 below $10,000, else 100."""
    number = _decimal(value)
    if number is None:
        return _missing()
    size = abs(number)
    step = Decimal(1) if size < 100 else Decimal(10) if size < 10_000 else Decimal(100)
    rounded = (number / step).quantize(Decimal(1), rounding=ROUND_HALF_UP) * step
    return money.whole_usd(rounded)


@register.filter
def number(value: Number, places: int = 0) -> str:
    """A number with thousands and the given decimals: ``4,150``."""
    given = _decimal(value)
    return _missing() if given is None else _grouped(given, int(places))


@register.filter
def unit(value: Number, name: str) -> SafeString:
    """A whole number and its unit, kept on one line: ``{{ flow|unit:"CFM50" }}``."""
    return quantity(value, name)


@register.simple_tag
def quantity(value: Number, name: str, places: int = 0) -> SafeString:
    """A number, its decimals and its unit, kept on one line."""
    given = _decimal(value)
    if given is None:
        return conditional_escape(_missing())
    gap = "" if name in {"%", "°"} else NBSP
    return mark_safe(  # noqa: S308 - both parts are escaped or made of digits here
        f'<span class="n">{_grouped(given, places)}{gap}{conditional_escape(name)}</span>'
    )


@register.filter
def sqft(value: Number) -> str:
    """An area in running text: ``840 sq ft``."""
    given = _decimal(value)
    return _missing() if given is None else f"{_grouped(given, 0)}{NBSP}{_('sq ft')}"


@register.filter
def ft2(value: Number) -> str:
    """An area in a table: ``840 ft²``."""
    given = _decimal(value)
    return _missing() if given is None else f"{_grouped(given, 0)}{NBSP}ft²"


@register.filter
def feet(value: Number) -> str:
    """A length in feet: ``116 ft``; tenths only when there are some."""
    given = _decimal(value)
    if given is None:
        return _missing()
    tenths = given.quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)
    places = 0 if tenths == tenths.to_integral_value() else 1
    return f"{_grouped(tenths, places)}{NBSP}{_('ft')}"


@register.filter
def inches(value: Number) -> str:
    """A depth as a tape shows it, to the nearest eighth: ``3½ in.``"""
    given = _decimal(value)
    if given is None:
        return _missing()
    eighths = (given * 8).quantize(Decimal(1), rounding=ROUND_HALF_UP)
    sign = MINUS if eighths < 0 else ""
    whole, rest = divmod(abs(eighths), 8)
    fraction = FRACTIONS.get(rest / 8, "")
    digits = "" if fraction and not whole else str(int(whole))
    return f"{sign}{digits}{fraction}{NBSP}{_('in.')}"


@register.filter
def percent(value: Number, places: int = 0) -> str:
    """A share of one as percent: ``0.83`` gives ``83%``."""
    given = _decimal(value)
    return _missing() if given is None else f"{_grouped(given * 100, int(places))}%"


@register.filter
def r_value(value: Number) -> SafeString:
    """A thermal resistance the way the trade writes it: ``R-19``, ``R-8.5``; kept on one line."""
    given = _decimal(value)
    if given is None:
        return conditional_escape(_missing())
    tenths = given.quantize(Decimal("0.1"), rounding=ROUND_HALF_UP)
    places = 0 if tenths == tenths.to_integral_value() else 1
    return mark_safe(  # noqa: S308 - digits only
        f'<span class="n">R-{_grouped(tenths, places)}</span>'
    )


@register.simple_tag
def range_dollars(low: Number, expected: Number, high: Number) -> str:
    """``$180 to $330, most likely $249``; one figure when low and high print the same."""
    lowest, likely, highest = _decimal(low), _decimal(expected), _decimal(high)
    if lowest is None or likely is None or highest is None:
        return _missing()
    texts = [money.whole_usd(value) for value in (lowest, likely, highest)]
    if texts[0] == texts[2]:
        return texts[1]
    return _("%(low)s to %(high)s, most likely %(expected)s") % {
        "low": texts[0],
        "expected": texts[1],
        "high": texts[2],
    }


@register.simple_tag
def range_short(low: Number, high: Number) -> str:
    """``$180 to $330``."""
    lowest, highest = _decimal(low), _decimal(high)
    if lowest is None or highest is None:
        return _missing()
    texts = (money.whole_usd(lowest), money.whole_usd(highest))
    if texts[0] == texts[1]:
        return texts[0]
    return _("%(low)s to %(high)s") % {"low": texts[0], "high": texts[1]}


@register.simple_tag
def range_unit(low: Number, high: Number, name: str) -> str:
    """``31 to 58 therms``."""
    lowest, highest = _decimal(low), _decimal(high)
    if lowest is None or highest is None:
        return _missing()
    texts = (_grouped(lowest, 0), _grouped(highest, 0))
    if texts[0] == texts[1]:
        return f"{texts[0]}{NBSP}{name}"
    return _("%(low)s to %(high)s") % {"low": texts[0], "high": texts[1]} + f"{NBSP}{name}"
