"""Facts as they arrive, read into exact values; what cannot be read is unknown.

Numbers become ``Decimal``, days become a range from the earliest to the latest day meant
(``"1958"`` is any day of that year). Nothing here raises for an odd fact: it gives ``None``,
which the rest of the package takes as "not known".
"""

import calendar
import re
from datetime import date, datetime, timedelta
from decimal import ROUND_DOWN, ROUND_HALF_UP, Context, Decimal, InvalidOperation
from functools import lru_cache
from zoneinfo import ZoneInfo

# Wide enough that no product or quotient of facts is rounded before it is compared, and
# without traps, so that no fact can raise.
EXACT = Context(prec=60, rounding=ROUND_HALF_UP, traps=[], Emin=-999999, Emax=999999)

CENT = Decimal("0.01")
ZERO = Decimal(0)
HUNDRED = Decimal(100)

# Beyond these a number is a slip of the keyboard or an attack, not a fact about a house.
LARGEST = Decimal(10) ** 12
FINEST_EXPONENT = -40
LONGEST_NUMBER = 60

Days = tuple[date, date]
Value = Decimal | bool | str | Days


def number(raw: object) -> Decimal | None:
    """A finite decimal of sane size, or None."""
    value = _decimal(raw)
    if value is None or not value.is_finite() or abs(value) > LARGEST:
        return None
    if not value:
        return ZERO
    return value if _exponent(value) >= FINEST_EXPONENT else None


def _decimal(raw: object) -> Decimal | None:
    # A flag is an int to Python, but no number of anything.
    if isinstance(raw, Decimal):
        return raw
    if isinstance(raw, bool):
        return None
    if isinstance(raw, int):
        return Decimal(raw) if abs(raw) <= LARGEST else None
    if isinstance(raw, float):
        return Decimal(repr(raw))
    if not isinstance(raw, str) or len(raw) > LONGEST_NUMBER:
        return None
    try:
        return Decimal(raw.strip())
    except InvalidOperation:
        return None


def _exponent(value: Decimal) -> int:
    exponent = value.as_tuple().exponent
    return exponent if isinstance(exponent, int) else 0


def flag(raw: object) -> bool | None:
    """True or False as such; anything else is unknown."""
    return raw if isinstance(raw, bool) else None


def text(raw: object) -> str | None:
    """Text that is not empty, without blanks around it."""
    if not isinstance(raw, str):
        return None
    return raw.strip() or None


_YEAR = re.compile(r"[0-9]{4}\Z")
_MONTH = re.compile(r"[0-9]{4}-[0-9]{2}\Z")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}\Z")


@lru_cache(maxsize=16384)
def _days_from_text(raw: str, zone: str) -> Days | None:
    try:
        if _YEAR.match(raw):
            return date(int(raw), 1, 1), date(int(raw), 12, 31)
        if _MONTH.match(raw):
            first = date.fromisoformat(f"{raw}-01")
            return first, first.replace(day=calendar.monthrange(first.year, first.month)[1])
        if _DAY.match(raw):
            day = date.fromisoformat(raw)
            return day, day
        instant = datetime.fromisoformat(raw)
    except ValueError:
        return None
    return _day_of_instant(instant, zone)


def _day_of_instant(instant: datetime, zone: str) -> Days | None:
    # Without its offset an instant near midnight may belong to either day.
    if instant.utcoffset() is None:
        return None
    try:
        day = instant.astimezone(ZoneInfo(zone)).date()
    except OverflowError:
        return None
    return day, day


def days(raw: object, zone: str) -> Days | None:
    """The earliest and latest calendar day a fact can mean, in the program's time zone."""
    if isinstance(raw, str):
        return _days_from_text(raw.strip(), zone)
    if isinstance(raw, datetime):
        return _day_of_instant(raw, zone)
    if isinstance(raw, date):
        return raw, raw
    if type(raw) is int and 1000 <= raw <= 9999:
        return date(raw, 1, 1), date(raw, 12, 31)
    return None


@lru_cache(maxsize=16384)
def add_months(day: date, months: int) -> date:
    """The same day of the month so many months on, or that month's last day."""
    index = day.year * 12 + day.month - 1 + months
    year, month = divmod(index, 12)
    if year < date.min.year:
        return date.min
    if year > date.max.year:
        return date.max
    return date(year, month + 1, min(day.day, calendar.monthrange(year, month + 1)[1]))


@lru_cache(maxsize=16384)
def add_days(day: date, count: int) -> date:
    """So many calendar days on; the calendar's ends hold."""
    try:
        return day + timedelta(days=count)
    except OverflowError:
        return date.max if count > 0 else date.min


def full_months(start: date, end: date) -> int:
    """Whole months from one day to another: how often the same day of the month came round."""
    months = (end.year - start.year) * 12 + end.month - start.month
    while months > 0 and add_months(start, months) > end:
        months -= 1
    return max(months, 0)


def to_cents(amount: Decimal) -> Decimal:
    """Whole cents, half up."""
    return amount.quantize(CENT, rounding=ROUND_HALF_UP, context=EXACT)


def plain(value: Value | None) -> str:
    """A value as a string for the trace: no thousands sign, nothing rounded."""
    if value is None:
        return "unknown"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        return plain_number(value)
    if isinstance(value, tuple):
        first, last = value
        return first.isoformat() if first == last else f"{first.isoformat()}..{last.isoformat()}"
    return value


def plain_number(value: Decimal) -> str:
    """A number in full, cut (never rounded) after twelve decimals."""
    if _exponent(value) < -12:
        value = value.quantize(Decimal("1e-12"), rounding=ROUND_DOWN, context=EXACT)
    shown = format(value, "f")
    if "." in shown:
        shown = shown.rstrip("0").rstrip(".")
    return "0" if shown in {"-0", ""} else shown


# Decimals that people read a unit with; what is not here is written as finely as it is compared.
DIGITS = {
    **{"CFM50": 0, "CFM25": 0, "ft2": 0, "Btu/h": 0, "ft": 1, "MMBtu": 1},
    **{"R": 2, "ACH50": 2, "tons": 2, "SEER2": 2, "HSPF2": 2},
}
FINEST = 4

# Units of the facts that running text writes otherwise.
_UNITS_IN_WORDS = {"ft2": "sq ft", "percent": "%"}


def spoken_unit(unit: str) -> str:
    """A unit as running text has it, with the blank before it; money carries its own sign."""
    if not unit or unit == "usd":
        return ""
    word = _UNITS_IN_WORDS.get(unit, unit)
    return word if word == "%" else f" {word}"


_MONTHS = (
    "January", "February", "March", "April", "May", "June", "July",
    "August", "September", "October", "November", "December",
)  # fmt: skip


def rounded(value: Decimal, digits: int, rounding: str) -> Decimal:
    """A number to so many decimals, in a direction."""
    return value.quantize(Decimal(1).scaleb(-digits), rounding=rounding, context=EXACT)


def spoken(value: Value | None, unit: str = "", *, digits: int | None = None) -> str:
    """A value as people write it: as many decimals as its unit is read with, never rounded up."""
    if value is None:
        return "not known"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Decimal):
        if unit == "usd":
            cents = to_cents(value)
            return f"{'−' if cents < 0 else ''}${abs(cents):,.2f}"
        cut = rounded(value, DIGITS.get(unit, FINEST) if digits is None else digits, ROUND_DOWN)
        shown = f"{cut:,f}"
        if "." in shown:
            shown = shown.rstrip("0").rstrip(".")
        return "0" if shown in {"-0", ""} else shown.replace("-", "−")
    if isinstance(value, tuple):
        first, last = value
        if first == last:
            return f"{_MONTHS[first.month - 1]} {first.day}, {first.year}"
        if first.year == last.year:
            return str(first.year)
        return f"{first.year} to {last.year}"
    return value.replace("_", " ")
