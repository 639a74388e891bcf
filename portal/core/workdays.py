"""Counting working days for answers that are promised.

Weekends only: public holidays and the program's own days off come with the calendar of visits.
"""

from datetime import date, timedelta


def working_days_after(day: date, count: int) -> date:
    """The day that is ``count`` working days (Monday to Friday) after a day."""
    found = day
    while count > 0:
        found += timedelta(days=1)
        if found.weekday() < 5:
            count -= 1
    return found
