"""Dates, times and counts in words."""

from __future__ import annotations

from datetime import UTC, date, datetime, time

import pytest
from django.utils import translation

from portal.core.templatetags import words

NBSP = "\u00a0"


def test_dates_are_american() -> None:
    assert words.day(date(2026, 3, 3)) == "March 3, 2026"
    assert words.weekday(date(2026, 3, 3)) == "Tuesday, March 3"
    assert words.short_day(date(2026, 3, 3)) == "Mar 3, 2026"
    assert words.day(None) == "not set"


def test_moments_are_shown_in_local_time() -> None:
    # 9 p.m. UTC is 4 p.m. in New York in winter, and 1 a.m. UTC the evening before.
    assert words.moment(datetime(2026, 3, 3, 21, 0, tzinfo=UTC)) == f"March 3, 2026, 4{NBSP}p.m."
    assert words.day(datetime(2026, 3, 4, 1, 0, tzinfo=UTC)) == "March 3, 2026"


def test_dates_follow_the_language() -> None:
    with translation.override("es"):
        assert words.day(date(2026, 3, 3)).lower() == "3 de marzo de 2026"


@pytest.mark.parametrize(
    ("moment", "text"),
    [
        (time(17, 0), f"5{NBSP}p.m."),
        (time(8, 30), f"8:30{NBSP}a.m."),
        (time(12, 0), "noon"),
        (time(0, 0), "midnight"),
        (time(12, 5), f"12:05{NBSP}p.m."),
        (time(0, 5), f"12:05{NBSP}a.m."),
    ],
)
def test_times_read_as_people_say_them(moment: time, text: str) -> None:
    assert words.clock_time(moment) == text


def test_a_range_names_the_half_day_once() -> None:
    assert words.time_range(time(8, 0), time(11, 0)) == f"8 to 11{NBSP}a.m."
    assert words.time_range(time(11, 0), time(14, 0)) == f"11{NBSP}a.m. to 2{NBSP}p.m."


def test_counts_and_lists() -> None:
    assert words.small_number(7) == "seven"
    assert words.small_number(1240) == "1,240"
    assert words.and_list(["the attic", "the walls", "the floor"]) == (
        "the attic, the walls and the floor"
    )
    assert words.and_list(["the attic"]) == "the attic"
    assert words.stories(1.5) == "1½ stories"
    assert words.stories(1) == "one story"
    assert [words.days_left(n) for n in (3, 1, 0, -2)] == [
        "3 days left",
        "1 day left",
        "due today",
        "2 days late",
    ]
