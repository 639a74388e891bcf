"""Working out free visit times. Pure: no database, no clock.

All arithmetic is on instants in UTC, so a visit lasts its full length across a change of the
clocks; working hours are wall-clock times of the program's time zone and are turned into
instants day by day.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo


@dataclass(frozen=True, order=True)
class Span:
    """From an instant up to, not including, another."""

    starts_at: datetime
    ends_at: datetime

    def overlaps(self, other: "Span") -> bool:
        """Whether the two share time; touching ends do not."""
        return self.starts_at < other.ends_at and other.starts_at < self.ends_at

    def widened(self, by: timedelta) -> "Span":
        """The span with a margin on both sides."""
        return Span(self.starts_at - by, self.ends_at + by)


@dataclass(frozen=True)
class Stretch:
    """Working hours of one weekday (Monday is 0), in wall-clock time."""

    weekday: int
    starts: time
    ends: time


ONE_MINUTE: Final = timedelta(minutes=1)


def instant(day: date, wall: time, zone: ZoneInfo) -> datetime:
    """A wall-clock time as an instant in UTC.

    A time the change to daylight time skips counts as the moment of the change; a time that
    comes twice counts the first time round.
    """
    moment = datetime.combine(day, wall, tzinfo=zone).astimezone(UTC)
    if moment.astimezone(zone).time().replace(tzinfo=None) == wall:
        return moment
    # In the gap: the offset before the change, read back, lands as far behind the change as
    # the time lies in the gap. Go back to where the wall clock jumps.
    while moment.astimezone(zone).date() == day:
        earlier = moment - ONE_MINUTE
        if earlier.astimezone(zone).time().replace(tzinfo=None) < wall:
            break
        moment = earlier
    return moment


def working_spans(stretches: Iterable[Stretch], *, day: date, zone: ZoneInfo) -> list[Span]:
    """The working hours of one day as instants."""
    spans = [
        Span(instant(day, stretch.starts, zone), instant(day, stretch.ends, zone))
        for stretch in stretches
        if stretch.weekday == day.weekday()
    ]
    return sorted(span for span in spans if span.starts_at < span.ends_at)


def free_gaps(span: Span, busy: Iterable[Span]) -> list[Span]:
    """What is left of a span between the busy ones."""
    inside = sorted(other for other in busy if other.overlaps(span))
    edges = [span.starts_at]
    for other in inside:
        edges += [other.starts_at, max(other.ends_at, edges[-1])]
    edges.append(span.ends_at)
    pairs = zip(edges[::2], edges[1::2], strict=True)
    return [Span(start, end) for start, end in pairs if start < end]


def starts_in(
    gap: Span, *, length: timedelta, travel: timedelta, grid_minutes: int, zone: ZoneInfo
) -> list[datetime]:
    """Starts that fill a gap from its front, one visit and one drive after the other."""
    starts: list[datetime] = []
    start = on_grid(gap.starts_at, grid_minutes=grid_minutes, zone=zone)
    while start + length <= gap.ends_at:
        starts.append(start)
        start = on_grid(start + length + travel, grid_minutes=grid_minutes, zone=zone)
    return starts


def on_grid(moment: datetime, *, grid_minutes: int, zone: ZoneInfo) -> datetime:
    """The moment itself, or the next one at which the wall clock shows a full grid step."""
    wall = moment.astimezone(zone)
    over = timedelta(
        minutes=wall.minute % grid_minutes, seconds=wall.second, microseconds=wall.microsecond
    )
    return moment if not over else moment + timedelta(minutes=grid_minutes) - over


def starts_on(
    day: date,
    *,
    stretches: Sequence[Stretch],
    visits: Iterable[Span],
    time_off: Iterable[Span],
    length: timedelta,
    travel: timedelta,
    grid_minutes: int,
    zone: ZoneInfo,
) -> list[datetime]:
    """Every start to offer on a day for one auditor, in order."""
    busy = [visit.widened(travel) for visit in visits] + list(time_off)
    starts: list[datetime] = []
    for span in working_spans(stretches, day=day, zone=zone):
        for gap in free_gaps(span, busy):
            starts += starts_in(
                gap, length=length, travel=travel, grid_minutes=grid_minutes, zone=zone
            )
    return starts


def is_free(
    visit: Span,
    *,
    stretches: Sequence[Stretch],
    visits: Iterable[Span],
    time_off: Iterable[Span],
    travel: timedelta,
    zone: ZoneInfo,
) -> bool:
    """Whether one visit fits: inside working hours, clear of visits and drives, and of time off."""
    day = visit.starts_at.astimezone(zone).date()
    is_working = any(
        span.starts_at <= visit.starts_at and visit.ends_at <= span.ends_at
        for span in working_spans(stretches, day=day, zone=zone)
    )
    return (
        is_working
        and not any(visit.overlaps(other.widened(travel)) for other in visits)
        and not any(visit.overlaps(off) for off in time_off)
    )
