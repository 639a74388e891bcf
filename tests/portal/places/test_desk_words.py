"""The trace of a ruling as the Desk reads it."""

from decimal import Decimal

import pytest

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
    assert row["saw"] == "built on: 1958; audit on: Sep 10, 2026; fuel: natural gas"


BODY = {
    "fields": {
        "line.pre_cfm50": {"kind": "number", "unit": "CFM50", "label": "leakage before the work"},
        "line.cost_usd": {"kind": "number", "unit": "usd", "label": "the quoted cost"},
        "line.post_r": {"kind": "number", "unit": "R", "label": "insulation after the work"},
        "site.zip": {"kind": "text", "label": "ZIP code"},
        "site.units": {"kind": "number", "unit": "units", "label": "homes in the building"},
        "line.units": {"kind": "number", "unit": "units", "label": "units installed"},
    },
    "quantities": [{"name": "site.multiplier", "unit": "ratio", "label": "fuel multiplier"}],
}


@pytest.mark.parametrize(
    ("name", "value", "expected"),
    [
        ("pre_cfm50", "2089.000378", "leakage before the work: 2,089 CFM50"),
        ("cost_usd", "404.4", "the quoted cost: $404.40"),
        ("post_r", "49.25", "insulation after the work: R-49.25"),
        ("zip", "00201", "ZIP code: 00201"),
        ("multiplier", "0.75", "fuel multiplier: 0.75"),
        ("eligible_usd", "1150", "cost that counts: $1,150.00"),
        # Two facts of that name: neither's label would be sure.
        ("units", "2", "units: 2"),
    ],
)
def test_what_a_rule_saw_is_called_and_rounded_as_people_read_it(
    name: str, value: str, expected: str
) -> None:
    step = a_step(**{name: value})
    (row,) = step_rows([step], BODY)
    assert row["saw"] == expected
    assert step.saw == {name: value}


def test_what_two_names_say_alike_is_said_once() -> None:
    body = {
        "fields": {"dates.applied_on": {"kind": "day", "label": "the day of application"}},
        "quantities": [{"name": "asked_on", "kind": "day", "label": "the day of application"}],
    }
    (row,) = step_rows([a_step(applied_on="2026-10-06", asked_on="2026-10-06")], body)
    assert row["saw"] == "the day of application: Oct 6, 2026"


def test_a_failed_step_stands_out() -> None:
    assert [row["stops"] for row in step_rows([a_step(), a_step(outcome="failed")])] == [
        False,
        True,
    ]
