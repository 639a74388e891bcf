"""Checks of the formulas against published values, row by row with source and provenance."""

from __future__ import annotations

from calcs.checks.run import CheckReport, CheckResult, report, run_checks

__all__ = ["CheckReport", "CheckResult", "report", "run_checks"]
