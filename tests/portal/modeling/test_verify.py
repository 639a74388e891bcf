"""`verify` accounts for every row, and counts only what code that serves users works out."""

import ast
from collections import Counter
from io import StringIO

import pytest
from django.core.management import CommandError, call_command

from calcs import checks
from calcs.checks import Verdict, account, run_checks
from calcs.checks.registry import serves, solver_for
from calcs.checks.rows import CheckRow, load_rows
from portal.modeling import served

RESULTS = run_checks()
ACCOUNTED = account(RESULTS, unreached=served.unreached_by)


def test_every_row_is_accounted_for_and_none_failed() -> None:
    assert len(ACCOUNTED) == len(load_rows()) == 608
    assert [row.result.row.id for row in ACCOUNTED if row.verdict == Verdict.FAILED] == []
    assert all(row.reason for row in ACCOUNTED if row.verdict != Verdict.PASSED)


def test_enough_computed_rows_pass_without_those_that_only_repeat() -> None:
    computed = checks.tally(ACCOUNTED)["computed"]
    assert computed[Verdict.PASSED] >= 330


def test_what_passes_is_reached_by_code_that_serves_users() -> None:
    for row in ACCOUNTED:
        if row.verdict == Verdict.PASSED:
            solver = solver_for(row.result.row)
            assert solver is not None
            line = solver.__code__.co_firstlineno
            names = served.callees(solver.__module__, line)
            assert any(name[0] != served.UNIT_FACTORS for name in names), row.result.row.id
            assert served.unreached_by(solver) == ()


def test_a_function_that_only_the_checks_call_is_not_reached() -> None:
    """Control: the reading of the source can find nothing."""
    reached = served.reached_by_portal()
    assert ("calcs.leakage", "blower_door_test") in reached
    assert ("calcs.checks.run", "run_checks") not in reached
    assert ("calcs.suites.fabric", "run_suite") not in reached
    assert ("calcs.safety_limits", "PRODUCT_LISTING_CO_LIMITS") not in reached
    without_desk = served.reached_by_portal(at_the_desk=False)
    assert without_desk < reached
    assert ("calcs.combustion", "siegert_loss_pct") in reached - without_desk


def test_names_are_followed_through_imports_re_exports_and_attributes() -> None:
    trees = {
        "calcs.a": ast.parse("def deep():\n    return LIMIT\nLIMIT = 3\ndef alone():\n    pass"),
        "calcs.b": ast.parse("from calcs.a import deep"),
        "portal.c": ast.parse("from calcs import b\ndef page():\n    return b.deep()"),
    }
    read = served.Source(
        trees,
        bound={
            "calcs.a": {},
            "calcs.b": {"deep": ("calcs.a", "deep")},
            "portal.c": {"b": ("calcs.b", "")},
        },
        defined={
            ("calcs.a", "deep"): [trees["calcs.a"].body[0]],
            ("calcs.a", "LIMIT"): [trees["calcs.a"].body[1]],
            ("calcs.a", "alone"): [trees["calcs.a"].body[2]],
        },
    )
    roots = read.names_in("portal.c", trees["portal.c"])
    assert served.closure(read, roots) == {("calcs.a", "deep"), ("calcs.a", "LIMIT")}


def test_an_unreached_row_is_out_of_scope_a_wrong_one_failed_a_doubted_one_says_why() -> None:
    result = RESULTS[0]
    (row,) = account([result], unreached=lambda solver: ["calcs.nowhere.nothing"])
    assert row.verdict == Verdict.OUT_OF_SCOPE
    assert "calcs.nowhere.nothing" in row.reason
    wrong = checks.CheckResult(result.row, 1.0, False)
    (row,) = account([wrong], unreached=lambda solver: [])
    assert row.verdict == Verdict.FAILED
    doubt = checks.Doubt(2.0, "another gas")
    (row,) = account([wrong], unreached=lambda solver: [], doubts={result.row.id: doubt})
    assert (row.verdict, "another gas" in row.reason) == (Verdict.DOUBTED, True)


def test_rows_are_listed_apart_by_a_mark_of_their_solver() -> None:
    @serves("units", "a constant of ours said twice", repeats=True)
    def _(inputs: object) -> float:
        return 7.0

    row = CheckRow(
        "x-1", "units", "a constant of ours said twice", {}, 7.0, "-", 0.0, "none", "memory"
    )
    (found,) = account(run_checks([row]), unreached=lambda solver: [])
    assert found.verdict == Verdict.REPEATED


def test_the_command_prints_the_totals_it_counts(monkeypatch: pytest.MonkeyPatch) -> None:
    out = StringIO()
    call_command("verify", stdout=out)
    said = out.getvalue()
    counted = Counter(row.verdict for row in ACCOUNTED)
    assert f"{counted[Verdict.PASSED]} passed; apart from these" in said
    assert f"{counted[Verdict.REPEATED]} only repeat a constant" in said
    assert said.count("\n  out of scope") == counted[Verdict.OUT_OF_SCOPE]
    false = [checks.CheckResult(RESULTS[0].row, 1.0, False)]
    monkeypatch.setattr(checks, "run_checks", lambda: false)
    with pytest.raises(CommandError, match="failed"):
        call_command("verify", stdout=StringIO())
