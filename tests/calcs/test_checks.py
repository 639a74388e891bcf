"""Every carried value passes, and a falsified one fails: the checks can fail."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from calcs.checks import report, run_checks
from calcs.checks.registry import only_repeats, solver_for
from calcs.checks.rows import CheckRow, agrees, load_rows
from calcs.errors import InputError

ROWS = load_rows()
RESULTS = run_checks(ROWS)


def _row(**changes: object) -> CheckRow:
    return replace(ROWS[0], **changes)  # type: ignore[arg-type]  # test helper


def _falsified(row: CheckRow) -> CheckRow:
    if isinstance(row.expected, str):
        return replace(row, expected=row.expected + " and more")
    step = max(3.0 * (row.tolerance or 0.0), 0.001 * abs(row.expected), 1e-3)
    return replace(row, expected=row.expected + step)


@pytest.mark.parametrize("result", RESULTS, ids=[result.row.id for result in RESULTS])
def test_value_agrees_with_its_source(result):
    assert result.passes, f"{result.row.quantity}: {result.got} for {result.row.expected}"


def test_totals_by_provenance_count_every_row():
    totals = report(RESULTS)
    assert totals.passed + totals.failed == len(ROWS) == 608
    assert totals.by_provenance == {"read": (163, 0), "computed": (349, 0), "memory": (96, 0)}
    assert sum(good + bad for good, bad in totals.by_topic.values()) == len(ROWS)


def test_ids_are_unique_and_every_row_names_its_source():
    assert len({row.id for row in ROWS}) == len(ROWS)
    assert all(row.source and row.provenance for row in ROWS)


def test_falsified_expectation_fails_for_every_row():
    survivors = [r.row.id for r in run_checks([_falsified(row) for row in ROWS]) if r.passes]
    assert survivors == []


def test_solver_never_sees_the_expected_value():
    # The same inputs with another expectation give the same number.
    for row, result in zip(ROWS, RESULTS, strict=True):
        solver = solver_for(row)
        assert solver is not None
        assert solver(row.inputs) == result.got


def _nudged(value):
    if isinstance(value, list):
        return [_nudged(value[0]), *value[1:]]
    return value * 1.07 if value else 0.7


# Worked-out rows whose answer rightly stands still under a change of 7 %: what has no number as
# input, verdicts in words, sums clipped at zero or at a floor, and a factor out of our own table.
STANDS_STILL = {
    "air-048",  # height and shielding from the table
    "comb-120",  # floor of 100 in2
    "vent-039", "vent-048",  # nothing is lacking
    "comb-084", "comb-091",  # the flat ends of the draft line
    "comb-090",  # 90 F is where it turns flat
    "life-041", "life-043", "life-045", "life-047",  # a third of a life from the table
}  # fmt: skip
# Multiples of a unit factor move with their input and are still only that factor.
UNIT_FACTORS = {
    "air-041", "air-042", "comb-092", "env-013",
    "unit-016", "unit-017", "unit-018", "unit-019", "unit-020", "unit-021", "unit-022", "unit-023",
}  # fmt: skip


def _moves(row, got) -> bool | None:
    """Whether one changed number moves the answer; None when no number goes in or it is a word."""
    numeric = [
        key
        for key, value in row.inputs.items()
        if isinstance(value, int | float | list) and not isinstance(value, bool)
    ]
    if not numeric or isinstance(got, str):
        return None
    variants = [
        replace(row, inputs={**row.inputs, key: _nudged(row.inputs[key])}) for key in numeric
    ]
    answers = [r.got for r in run_checks(variants) if r.got is not None]
    return any(answer != got for answer in answers)


def test_worked_out_rows_answer_to_their_inputs_and_repeating_ones_do_not():
    """One changed input moves the result: rows are worked out, neither echoed nor fixed."""
    still, moving = set(), set()
    for row, result in zip(ROWS, RESULTS, strict=True):
        moves = _moves(row, result.got)
        if only_repeats(solver_for(row)):
            moving |= {row.id} if moves else set()
        elif moves is False:
            still.add(row.id)
    assert still == STANDS_STILL
    assert moving == UNIT_FACTORS


def test_row_without_a_solver_does_not_pass():
    (result,) = run_checks([_row(quantity="something nobody computes")])
    assert not result.passes
    assert "no function" in result.error


def test_row_that_raises_does_not_pass():
    (result,) = run_checks([_row(inputs={"C_cfm": -1.0, "n": 0.65, "dP_Pa": 50})])
    assert not result.passes
    assert "InputError" in result.error


def test_tolerance_zero_means_six_digits_and_nan_never_agrees():
    exact = _row(expected=0.055, tolerance=0.0)
    assert agrees(0.0550000001, exact)
    assert not agrees(0.0551, exact)
    assert not agrees(math.nan, exact)
    assert not agrees(math.nan, _row(expected=1.0, tolerance=5.0))


def test_tolerance_is_compared_unrounded():
    row = _row(expected=10.0, tolerance=0.1)
    assert agrees(10.1 - 1e-9, row)
    assert not agrees(10.1001, row)


def test_unknown_provenance_is_refused():
    with pytest.raises(InputError, match="provenance"):
        _row(provenance="guessed")
