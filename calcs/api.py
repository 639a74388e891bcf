"""The one door: field-test formulas by name, the house model, and the published checks.

Each field test is a pure function of SI floats that returns a float or a frozen dataclass and
raises InputError for what it is not defined for. The house model runs for seconds and belongs in
a task; field tests may answer in a request.
"""

from __future__ import annotations

from calcs.analysis import analyse_house, analyse_subset, applicable_measures
from calcs.baseline import evaluate
from calcs.checks import CheckReport, CheckResult, report, run_checks
from calcs.errors import CalcsError, InputError
from calcs.formulas import FIELD_TESTS, FieldTest, field_test
from calcs.hourly import simulate

__all__ = [
    "FIELD_TESTS",
    "CalcsError",
    "CheckReport",
    "CheckResult",
    "FieldTest",
    "InputError",
    "analyse_house",
    "analyse_subset",
    "applicable_measures",
    "evaluate",
    "field_test",
    "report",
    "run_checks",
    "simulate",
]
