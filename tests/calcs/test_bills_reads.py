"""Reads become periods: joined, corrected, left apart, and every time it is said."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs.bills.reads import Read, clean
from calcs.errors import InputError


def read(first, last, quantity=30.0, **changes):
    return Read(
        starts_on=date.fromisoformat(f"2025-{first}"), ends_on=date.fromisoformat(f"2025-{last}"),
        quantity=quantity, **changes,
    )  # fmt: skip


def codes(cleaned):
    return [flag.code for flag in cleaned.flags]


def spans(cleaned):
    return [(f"{p.starts_on:%m-%d}", f"{p.ends_on:%m-%d}", p.quantity) for p in cleaned.periods]


def test_estimates_join_the_next_actual_read():
    cleaned = clean([
        read("01-01", "02-01", 100), read("02-01", "03-01", 90, kind="estimated"),
        read("03-01", "04-01", 60, kind="estimated"), read("04-01", "05-01", 10),
    ])  # fmt: skip
    assert spans(cleaned) == [("01-01", "02-01", 100), ("02-01", "05-01", 160)]
    assert cleaned.periods[1].flags == ("joined_estimates",)
    assert cleaned.periods[1].reads == 3


def test_an_estimate_that_no_read_settled_is_left_out_and_said():
    cleaned = clean([read("01-01", "02-01"), read("02-01", "03-01", kind="estimated")])
    assert len(cleaned.periods) == 1
    assert codes(cleaned) == ["estimate_never_settled"]
    # A gap after an estimate: the next read says nothing of its days.
    cleaned = clean([read("01-01", "02-01", kind="estimated"), read("03-01", "04-01")])
    assert spans(cleaned) == [("03-01", "04-01", 30)]


def test_corrections_replace_what_they_cover():
    cleaned = clean([
        read("01-01", "02-01", 100), read("02-01", "03-01", 10), read("03-01", "04-01", 190),
        read("02-01", "03-01", 95, revision=1), read("03-01", "04-01", 105, revision=1),
    ])  # fmt: skip
    assert [p.quantity for p in cleaned.periods] == [100, 95, 105]
    assert codes(cleaned).count("corrected") == 2
    assert cleaned.flags[0].facts == {"was": 10, "now": 95}
    whole = clean([read("01-01", "02-01", 5), read("02-01", "03-01", 195),
                   read("01-01", "03-01", 200, revision=2)])  # fmt: skip
    assert spans(whole) == [("01-01", "03-01", 200)]


def test_missing_months_stay_a_gap():
    cleaned = clean([read("01-01", "02-01"), read("04-01", "05-01")])
    assert [(a.month, b.month) for a, b in cleaned.gaps] == [(2, 4)]
    assert cleaned.flags[0].code == "gap"
    assert cleaned.flags[0].facts == {"days": 59}


def test_repeats_and_overlaps_are_not_counted_twice():
    cleaned = clean([read("01-01", "02-01"), read("01-01", "02-01")])
    assert len(cleaned.periods) == 1
    assert codes(cleaned) == ["repeated"]
    cleaned = clean([read("01-01", "02-10", 50), read("02-01", "03-01", 40)])
    assert spans(cleaned) == [("02-01", "03-01", 40)]
    assert codes(cleaned) == ["overlaps"]
    cleaned = clean([read("01-01", "02-03", 50), read("02-01", "03-01", 40)])
    assert len(cleaned.periods) == 2
    assert codes(cleaned) == ["dates_overlap"]


def test_odd_lengths_days_and_statements_are_flagged():
    cleaned = clean([
        read("01-01", "01-11"), read("01-11", "03-20"),
        read("03-20", "04-20", billed_days=35), read("04-20", "04-20"),
    ])  # fmt: skip
    assert cleaned.periods[0].flags == ("short",)
    assert cleaned.periods[1].flags == ("long",)
    assert set(codes(cleaned)) == {"short", "long", "days_disagree", "no_days"}
    restated = clean([
        read("01-01", "02-01", 100, restated=98), read("02-01", "03-01", 50, restated=49),
        read("03-01", "04-01", 40, restated=52), read("04-01", "05-01", 30, restated=29.4),
    ])  # fmt: skip
    flag = next(flag for flag in restated.flags if flag.code == "statements_disagree")
    assert flag.starts_on == "2025-03-01"
    assert flag.facts["off_pct"] == pytest.approx(-24, abs=1.5)


def test_notes_travel_with_their_period():
    cleaned = clean([read("01-01", "02-01", note="away for 10 days")])
    assert cleaned.periods[0].notes == ("away for 10 days",)
    assert cleaned.periods[0].flags == ("noted",)


@settings(max_examples=50)
@given(st.lists(st.tuples(st.floats(0, 500), st.booleans()), min_size=1, max_size=30))
def test_nothing_is_lost_between_the_first_and_the_last_actual_read(bills):
    start = date(2024, 1, 1).toordinal()
    reads = [
        Read(
            starts_on=date.fromordinal(start + 30 * i),
            ends_on=date.fromordinal(start + 30 * i + 30),
            quantity=quantity,
            kind="estimated" if is_estimated else "actual",
        )
        for i, (quantity, is_estimated) in enumerate(bills)
    ]
    last = max((i for i, read in enumerate(reads) if read.kind == "actual"), default=-1)
    cleaned = clean(reversed(reads))
    assert sum(p.quantity for p in cleaned.periods) == pytest.approx(
        sum(read.quantity for read in reads[: last + 1])
    )
    assert sum(p.days for p in cleaned.periods) == 30 * (last + 1)


def test_a_read_must_be_a_number_and_of_a_kind():
    with pytest.raises(InputError, match=r"Read\.quantity"):
        read("01-01", "02-01", float("nan"))
    with pytest.raises(InputError, match="actual, estimated"):
        read("01-01", "02-01", kind="guessed")
