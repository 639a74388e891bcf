"""A year of invented meter readings for each home.

They come from straight lines on the month's mean temperature with a change point, never from the
house model: a base a day, a slope below one temperature, a slope above another, weather that was
not that of the typical year, and a household's own habits. They show pages with bills on them and
prove nothing about the model.
"""

import random
from calendar import monthrange
from collections.abc import Iterator
from datetime import date

from portal.modeling.usage import Reading
from portal.places.demo.content import Home, program

UNITS = {"natural_gas": "therms", "electricity": "kWh"}
FIRST_MONTH = (2025, 9)
MONTHS = 12
# One standard deviation of a month's mean temperature from year to year, and of what a household
# does differently from month to month. Invented.
WEATHER_NOISE_F, HABIT_NOISE = 2.2, 0.045


def readings(home: Home) -> Iterator[Reading]:
    """Twelve readings of each fuel the home is billed for, the same at every load."""
    chance = random.Random(f"bills of {home.key}")  # noqa: S311  invented numbers, no secret
    habit = chance.gauss(1.0, 0.08)
    for number in range(MONTHS):
        month0 = FIRST_MONTH[1] - 1 + number
        year, month = FIRST_MONTH[0] + month0 // 12, month0 % 12 + 1
        starts_on, days = date(year, month, 1), monthrange(year, month)[1]
        ends_on = date(year + month // 12, month % 12 + 1, 1)
        mean_f = program()["monthly_mean_f"][month - 1] + chance.gauss(0.0, WEATHER_NOISE_F)
        for fuel, line in home.data["bills"].items():
            a_day = _a_day(line, mean_f) * habit * chance.gauss(1.0, HABIT_NOISE)
            yield Reading(fuel, starts_on, ends_on, round(max(a_day, 0.0) * days, 1), UNITS[fuel])


def _a_day(line: list[float], mean_f: float) -> float:
    """Base, heating slope and balance, and for electricity cooling slope and balance."""
    base, slope, balance_f, *cooling = line
    amount = base + slope * max(balance_f - mean_f, 0.0)
    if cooling:
        cooling_slope, cooling_balance_f = cooling
        amount += cooling_slope * max(mean_f - cooling_balance_f, 0.0)
    return amount
