"""Working out free times: packing, drives, and both changes of the clocks.

The changes of 2026 in the eastern United States are those of 15 USC 260a: second Sunday of March
(8th) and first Sunday of November (1st), at 2 a.m. local time.
"""

from datetime import UTC, date, datetime, time, timedelta

import pytest

from portal.core.clock import PROGRAM_TIME_ZONE as ZONE
from portal.scheduling.slots import Span, Stretch, instant, is_free, on_grid, starts_on

WEDNESDAY = date(2026, 3, 4)
SPRING = date(2026, 3, 8)
FALL = date(2026, 11, 1)
THREE_HOURS = timedelta(hours=3)
RULES = {"travel": timedelta(minutes=30), "zone": ZONE}


def walls(starts: list[datetime]) -> list[str]:
    return [f"{start.astimezone(ZONE):%H:%M}" for start in starts]


def starts(day: date, stretch: tuple[int, int, int, int], **busy: list[Span]) -> list[datetime]:
    first_hour, first_minute, last_hour, last_minute = stretch
    stretches = [
        Stretch(day.weekday(), time(first_hour, first_minute), time(last_hour, last_minute))
    ]
    return starts_on(
        day,
        stretches=stretches,
        visits=busy.get("visits", []),
        time_off=busy.get("time_off", []),
        length=THREE_HOURS,
        grid_minutes=30,
        **RULES,
    )


def span(day: date, start: time, end: time) -> Span:
    return Span(instant(day, start, ZONE), instant(day, end, ZONE))


def test_a_free_day_is_filled_from_its_front() -> None:
    assert walls(starts(WEDNESDAY, (8, 0, 16, 30))) == ["08:00", "11:30"]


def test_a_visit_that_just_fits_is_offered_and_a_minute_less_is_not() -> None:
    assert walls(starts(WEDNESDAY, (8, 0, 11, 0))) == ["08:00"]
    assert starts(WEDNESDAY, (8, 0, 10, 59)) == []


def test_a_booked_visit_takes_its_time_and_the_drives() -> None:
    booked = span(WEDNESDAY, time(10), time(13))
    assert walls(starts(WEDNESDAY, (8, 0, 17, 0), visits=[booked])) == ["13:30"]


def test_time_off_needs_no_drive() -> None:
    off = span(WEDNESDAY, time(11), time(12))
    assert walls(starts(WEDNESDAY, (8, 0, 15, 0), time_off=[off])) == ["08:00", "12:00"]


def test_starts_are_on_the_hour_and_the_half_hour() -> None:
    assert walls(starts(WEDNESDAY, (8, 10, 16, 0))) == ["08:30", "12:00"]
    exact = instant(WEDNESDAY, time(9, 30), ZONE)
    assert on_grid(exact, grid_minutes=30, zone=ZONE) == exact


def test_nothing_is_offered_on_a_day_off_the_week() -> None:
    stretch = Stretch(0, time(8), time(17))
    assert (
        starts_on(
            WEDNESDAY,
            stretches=[stretch],
            visits=[],
            time_off=[],
            length=THREE_HOURS,
            grid_minutes=30,
            **RULES,
        )
        == []
    )


@pytest.mark.parametrize(
    ("day", "utc_hour"),
    [(date(2026, 3, 7), 13), (SPRING, 12), (date(2026, 10, 31), 12), (FALL, 13)],
)
def test_eight_in_the_morning_is_eight_on_the_wall_on_both_sides_of_a_change(
    day: date, utc_hour: int
) -> None:
    assert starts(day, (8, 0, 11, 0)) == [
        datetime(day.year, day.month, day.day, utc_hour, tzinfo=UTC)
    ]


def test_a_visit_across_the_spring_change_lasts_its_three_hours() -> None:
    # 0:30 to 4 o'clock on the wall is two and a half hours that night: no visit fits.
    assert starts(SPRING, (0, 30, 4, 0)) == []
    (start,) = starts(SPRING, (0, 30, 4, 30))
    assert (start + THREE_HOURS).astimezone(ZONE).time() == time(4, 30)


def test_a_visit_across_the_fall_change_lasts_its_three_hours() -> None:
    # 0:30 to 2:30 on the wall is three hours that night.
    (start,) = starts(FALL, (0, 30, 2, 30))
    assert (start + THREE_HOURS).astimezone(ZONE).time() == time(2, 30)


def test_a_time_that_is_skipped_counts_as_the_change_and_one_that_comes_twice_as_the_first() -> (
    None
):
    assert instant(SPRING, time(2, 30), ZONE) == datetime(2026, 3, 8, 7, tzinfo=UTC)
    assert instant(FALL, time(1, 30), ZONE) == datetime(2026, 11, 1, 5, 30, tzinfo=UTC)


def test_what_is_offered_is_free_and_what_is_taken_is_not() -> None:
    stretches = [Stretch(WEDNESDAY.weekday(), time(8), time(16, 30))]
    offered = span(WEDNESDAY, time(11, 30), time(14, 30))
    free = {"stretches": stretches, "visits": [], "time_off": [], **RULES}
    assert is_free(offered, **free)
    near = span(WEDNESDAY, time(8, 15), time(11, 15))
    assert not is_free(offered, **{**free, "visits": [near]})
    assert not is_free(offered, **{**free, "time_off": [span(WEDNESDAY, time(14), time(15))]})
    assert not is_free(span(WEDNESDAY, time(14), time(17)), **free)
