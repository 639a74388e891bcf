"""Run every row and count by provenance. Pure: printing and exit codes belong to the caller."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from calcs.checks import (  # noqa: F401 - importing registers the solvers
    air,
    combustion,
    economics,
    envelope,
    heating,
    hot_water,
    safety,
    savings,
    units,
    ventilation,
)
from calcs.checks.registry import solver_for
from calcs.checks.rows import PROVENANCES, CheckRow, agrees, load_rows


@dataclass(frozen=True)
class CheckResult:
    """One row and what the code gave for it; `got` is None when nothing serves the row."""

    row: CheckRow
    got: float | str | None
    passes: bool
    error: str = ""


@dataclass(frozen=True)
class CheckReport:
    """Totals of a run."""

    results: tuple[CheckResult, ...]
    passed: int
    failed: int
    by_provenance: dict[str, tuple[int, int]]  # passed, failed
    by_topic: dict[str, tuple[int, int]]


def run_checks(rows: Sequence[CheckRow] | None = None) -> list[CheckResult]:
    """Work out each row and compare. A row nobody serves, or that raises, does not pass."""
    results = []
    for row in load_rows() if rows is None else rows:
        solver = solver_for(row)
        if solver is None:
            results.append(CheckResult(row, None, False, "no function serves this row"))
            continue
        try:
            got = solver(row.inputs)
        except Exception as error:  # a row that cannot be worked out is a failed row
            results.append(CheckResult(row, None, False, f"{type(error).__name__}: {error}"))
            continue
        results.append(CheckResult(row, got, agrees(got, row)))
    return results


def report(results: Sequence[CheckResult]) -> CheckReport:
    """Totals: all, by provenance and by topic."""
    passed = sum(result.passes for result in results)

    def tally(keys: Sequence[str], values: Sequence[str]) -> dict[str, tuple[int, int]]:
        good: Counter[str] = Counter()
        bad: Counter[str] = Counter()
        for key, result in zip(values, results, strict=True):
            (good if result.passes else bad)[key] += 1
        return {key: (good[key], bad[key]) for key in keys}

    topics = list(dict.fromkeys(result.row.topic for result in results))
    return CheckReport(
        results=tuple(results),
        passed=passed,
        failed=len(results) - passed,
        by_provenance=tally(PROVENANCES, [result.row.provenance for result in results]),
        by_topic=tally(topics, [result.row.topic for result in results]),
    )
