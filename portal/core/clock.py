"""The one clock of the portal.

Services, selectors and models ask here for the time, so that the demo and the
tests can bring a home through months of a program in seconds.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.conf import settings
from django.utils import timezone

PROGRAM_TIME_ZONE = ZoneInfo("America/New_York")

_fixed_at: ContextVar[datetime | None] = ContextVar("fixed_at", default=None)


def now() -> datetime:
    """The present instant, aware, in UTC.

    A demo lives at a distance from the machine's clock: ``settings.CLOCK_OFFSET`` is added.
    """
    fixed = _fixed_at.get()
    if fixed is not None:
        return fixed
    offset: timedelta = settings.CLOCK_OFFSET
    return timezone.now() + offset


def today() -> date:
    """The calendar date of the present instant in the program's time zone."""
    return program_date(now())


def program_date(instant: datetime) -> date:
    """The calendar date on which an instant counts for the program's rules."""
    return instant.astimezone(PROGRAM_TIME_ZONE).date()


@contextmanager
def at(instant: datetime) -> Iterator[None]:
    """Hold the clock at an aware instant inside the block."""
    if instant.tzinfo is None:
        raise ValueError("clock.at needs an aware datetime")
    token = _fixed_at.set(instant)
    try:
        yield
    finally:
        _fixed_at.reset(token)


def local(day: date, hour: int = 9, minute: int = 0) -> datetime:
    """An instant given as a day and a wall-clock time of the program's time zone.

    Raises ``ValueError`` for a wall-clock time that the change to daylight time skips.
    """
    instant = datetime(day.year, day.month, day.day, hour, minute, tzinfo=PROGRAM_TIME_ZONE)
    there_and_back = instant.astimezone(ZoneInfo("UTC")).astimezone(PROGRAM_TIME_ZONE)
    if there_and_back.replace(tzinfo=None) != instant.replace(tzinfo=None):
        raise ValueError(f"{hour:02d}:{minute:02d} does not exist on {day}")
    return instant


def days_after(day: date, days: int) -> date:
    """Calendar days after a day; day 0 is the day itself."""
    return day + timedelta(days=days)
