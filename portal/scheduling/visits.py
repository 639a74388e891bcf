"""How long a visit takes, when it can be booked, and how late it can be changed.

The program's own choices, not facts of the trade, unless a line says otherwise.
"""

from datetime import date, timedelta

from portal.core import clock
from portal.enrollment.models import Building
from portal.enrollment.states import BuildingKind

FIRST_BOOKABLE_DAYS = 2  # the day after tomorrow: the auditor prepares the day before
WINDOW_DAYS = 28
CHANGE_NOTICE = timedelta(hours=24)
# Between the end of one visit and the start of the next: packing up and the drive.
TRAVEL = timedelta(minutes=30)
# Starts are offered on the hour and the half hour.
GRID_MINUTES = 30

USUAL_LENGTH = timedelta(hours=3)
# Before about 1940 houses are balloon framed or pieced together over time, and finding out
# how takes longer. [common practice, no source]
OLD_BEFORE_YEAR = 1940
OLD_HOUSE_MORE = timedelta(minutes=30)
# One floor, one furnace, little to climb. [common practice, no source]
MANUFACTURED_LENGTH = timedelta(hours=2, minutes=30)


def visit_length(building: Building) -> timedelta:
    """How long the visit to one home of this building is booked for."""
    if building.kind == BuildingKind.MANUFACTURED:
        return MANUFACTURED_LENGTH
    if building.year_built is not None and building.year_built < OLD_BEFORE_YEAR:
        return USUAL_LENGTH + OLD_HOUSE_MORE
    return USUAL_LENGTH


def bookable_days(today: date | None = None) -> tuple[date, date]:
    """The first and the last day on which a visit can be booked now."""
    first = (today or clock.today()) + timedelta(days=FIRST_BOOKABLE_DAYS)
    return first, first + timedelta(days=WINDOW_DAYS - 1)
