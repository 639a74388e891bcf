"""What becomes of each row: passed, only repeated, doubted, out of scope or failed.

A row counts as passed only when the value is worked out, and by code that serves users. What only
repeats an entry of our tables shows that it was carried over right, and is listed apart.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from enum import StrEnum

from calcs.checks.doubts import DOUBTS, Doubt
from calcs.checks.registry import Solver, only_repeats, solver_for
from calcs.checks.rows import PROVENANCES
from calcs.checks.run import CheckResult


class Verdict(StrEnum):
    """What became of a row."""

    PASSED = "passed"
    REPEATED = "only repeats"
    DOUBTED = "doubted"
    OUT_OF_SCOPE = "out of scope"
    FAILED = "failed"


@dataclass(frozen=True)
class Accounted:
    """A row's result with its verdict; every verdict but passed has its reason."""

    result: CheckResult
    verdict: Verdict
    reason: str = ""


# Names of functions and tables behind a solver that nothing serving users reaches.
Unreached = Callable[[Solver], Sequence[str]]


def account(
    results: Sequence[CheckResult],
    *,
    unreached: Unreached,
    doubts: Mapping[str, Doubt] = DOUBTS,
) -> list[Accounted]:
    """Give each result its verdict; the first that applies of failed, out of scope, doubted."""
    return [_account(result, unreached, doubts) for result in results]


def _account(result: CheckResult, unreached: Unreached, doubts: Mapping[str, Doubt]) -> Accounted:
    row, solver = result.row, solver_for(result.row)
    if solver is None or result.error:
        return Accounted(result, Verdict.FAILED, result.error or "no function serves this row")
    doubt = doubts.get(row.id)
    if not result.passes and doubt is None:
        return Accounted(result, Verdict.FAILED, f"{result.got} is not {row.expected}")
    missing = unreached(solver)
    if missing:
        named = ", ".join(missing)
        reason = f"nothing that serves users reaches {named}; the value given is {result.got}"
        return Accounted(result, Verdict.OUT_OF_SCOPE, reason)
    if doubt is not None:
        reason = f"recomputed {doubt.recomputed:g} {row.unit}: {doubt.reason}"
        return Accounted(result, Verdict.DOUBTED, reason)
    if only_repeats(solver):
        return Accounted(result, Verdict.REPEATED, "an entry of our tables or a unit factor")
    return Accounted(result, Verdict.PASSED)


def tally(rows: Sequence[Accounted]) -> dict[str, dict[Verdict, int]]:
    """Counts by provenance and verdict, every verdict named."""
    counted = Counter((row.result.row.provenance, row.verdict) for row in rows)
    return {
        provenance: {verdict: counted[provenance, verdict] for verdict in Verdict}
        for provenance in PROVENANCES
    }
