"""Checks of the formulas against published values, row by row with source and provenance."""

from __future__ import annotations

from calcs.checks.account import Accounted, Verdict, account, tally
from calcs.checks.doubts import CONSTANT_DOUBTS, DOUBTS, ConstantDoubt, Doubt
from calcs.checks.run import CheckReport, CheckResult, report, run_checks

__all__ = [
    "CONSTANT_DOUBTS",
    "DOUBTS",
    "Accounted",
    "CheckReport",
    "CheckResult",
    "ConstantDoubt",
    "Doubt",
    "Verdict",
    "account",
    "report",
    "run_checks",
    "tally",
]
