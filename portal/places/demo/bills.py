"""Two years of invented meter readings for each home, and the invented weather of their days.

The readings come from straight lines on the day's mean temperature with change points, never from
the house model: a base a day, a slope below one temperature, a slope above another, habits that
differ from month to month, weeks away, read dates of the meter reader's round, and here and there
a read that was only estimated. The daily weather is a season with a memory of the day before; it
is made up and says so. Both show pages with bills on them and prove nothing about the model.
"""

import math
import random
from collections.abc import Iterator
from datetime import date, timedelta
from functools import cache

from portal.core.units import convert
from portal.modeling.usage import Reading
from portal.places.demo.content import Home, program

UNITS = {"natural_gas": "therms", "electricity": "kWh"}
FIRST_DAY, LAST_DAY = date(2023, 12, 1), date(2026, 10, 13)
NAME = "Ashmere Ford (made up)"
SOURCE = "made up for the demo, measured nowhere"
# How far a day is from its season, and how much of that is left the day after. Invented.
DAY_NOISE_F, MEMORY = 7.5, 0.72
# One standard deviation of what a household does differently from month to month. Invented.
HABIT_NOISE = 0.035
ROUND_DAYS = (29, 30, 30, 31, 32)
ESTIMATED_SHARE = 0.04


@cache
def daily_f() -> tuple[float, ...]:
    """Made-up mean temperature of each day from the first to the last. [°F]"""
    chance = random.Random("weather of the demo")  # noqa: S311  invented numbers, no secret
    found, off = [], 0.0
    step = DAY_NOISE_F * math.sqrt(1.0 - MEMORY**2)
    for number in range((LAST_DAY - FIRST_DAY).days + 1):
        off = MEMORY * off + chance.gauss(0.0, step)
        found.append(_season_f(FIRST_DAY + timedelta(days=number)) + off)
    return tuple(found)


def _season_f(day: date) -> float:
    """The season on a day: straight lines between the middles of months. [°F]"""
    means = program()["monthly_mean_f"]
    place = (day.timetuple().tm_yday - 15.2) / 30.44
    first = math.floor(place)
    return float(
        means[first % 12] + (means[(first + 1) % 12] - means[first % 12]) * (place - first)
    )


def daily_c() -> list[float]:
    """The same in °C."""
    return [convert(value, "°F", "°C") for value in daily_f()]


def readings(home: Home, *, until: date = LAST_DAY) -> Iterator[Reading]:
    """Readings of each fuel the home is billed for, up to a day; the same at every load."""
    chance = random.Random(f"bills of {home.key}")  # noqa: S311  invented numbers, no secret
    starts_on = FIRST_DAY + timedelta(days=chance.randrange(28))
    away = _days_away(chance)
    while True:
        ends_on = starts_on + timedelta(days=chance.choice(ROUND_DAYS))
        is_estimated = chance.random() < ESTIMATED_SHARE
        for fuel, line in home.data["bills"].items():
            use = sum(
                _a_day(line, daily_f()[(day - FIRST_DAY).days], is_away=day in away)
                for day in _days(starts_on, min(ends_on, LAST_DAY))
            )
            use *= chance.gauss(1.0, HABIT_NOISE)
            if ends_on <= until:
                yield Reading(
                    fuel,
                    starts_on,
                    ends_on,
                    round(max(use, 0.0), 1),
                    UNITS[fuel],
                    is_estimated=is_estimated,
                )
        starts_on = ends_on
        if starts_on >= until:
            return


def _days(first: date, last: date) -> Iterator[date]:
    for number in range((last - first).days):
        yield first + timedelta(days=number)


def _days_away(chance: random.Random) -> set[date]:
    """A week or so away each summer."""
    found: set[date] = set()
    for year in (2024, 2025, 2026):
        start = date(year, 7, 1) + timedelta(days=chance.randrange(40))
        found.update(_days(start, start + timedelta(days=chance.randrange(4, 11))))
    return found


def _a_day(line: list[float], mean_f: float, *, is_away: bool) -> float:
    """Base, heating slope and balance, and for electricity cooling slope and balance."""
    base, slope, balance_f, *cooling = line
    amount = base * (0.45 if is_away else 1.0) + slope * max(balance_f - mean_f, 0.0)
    if cooling and not is_away:
        cooling_slope, cooling_balance_f = cooling
        amount += cooling_slope * max(mean_f - cooling_balance_f, 0.0)
    return amount
