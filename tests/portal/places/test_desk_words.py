"""The trace of a ruling as the Desk reads it."""

from decimal import Decimal

from portal.core.rules import Step
from portal.places.desk_words import step_rows


def a_step(line: str = "", outcome: str = "passed", **saw: str) -> Step:
    return Step(
        rule="gate.x",
        saw=saw,
        outcome=outcome,
        amount_usd=Decimal("1234.5"),
        words="Said so",
        line=line,
        order=1,
    )


def test_a_heading_stands_where_another_line_begins() -> None:
    rows = step_rows([a_step(), a_step("air_sealing"), a_step("air_sealing"), a_step()])
    assert [row["heading"] for row in rows] == [
        "The request as a whole",
        "Air sealing",
        "",
        "The request as a whole",
    ]
    assert [row["number"] for row in rows] == [1, 2, 3, 4]
    assert rows[0]["sum"] == "1,234.50"


def test_what_a_rule_saw_reads_as_words_and_leaves_the_unknown_to_the_step() -> None:
    (row,) = step_rows(
        [
            a_step(
                built_on="1958-01-01..1958-12-31",
                audit_on="2026-09-10",
                fuel="natural_gas",
                completed_on="unknown",
            )
        ]
    )
    assert row["saw"] == "built on 1958, audit on Sep 10, 2026, fuel natural gas"


def test_a_failed_step_stands_out() -> None:
    assert [row["stops"] for row in step_rows([a_step(), a_step(outcome="failed")])] == [
        False,
        True,
    ]
