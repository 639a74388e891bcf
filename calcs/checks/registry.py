"""Which function answers which row: (topic, pattern of the quantity) to a solver.

A solver turns the row's inputs into SI, calls the very functions the portal uses and brings
the result back to the row's unit. It never sees the expected value. Rows that ask for a table
value read it from the table the code uses.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from typing import Any

from calcs.checks.rows import CheckRow

Inputs = Mapping[str, Any]
Solver = Callable[[Inputs], float | str]

_SOLVERS: list[tuple[str, re.Pattern[str], Solver]] = []
_REPEATING: set[Solver] = set()


def serves(topic: str, pattern: str, *, repeats: bool = False) -> Callable[[Solver], Solver]:
    """Register a solver for the rows of a topic whose whole quantity matches the pattern.

    `repeats` says that the answer only repeats an entry of our tables or a unit factor: such a
    row shows that a value was carried over right, and is not counted as something worked out.
    """

    def register(solver: Solver) -> Solver:
        _SOLVERS.append((topic, re.compile(pattern), solver))
        if repeats:
            _REPEATING.add(solver)
        return solver

    return register


def only_repeats(solver: Solver) -> bool:
    """Whether a solver only repeats an entry of our tables or a unit factor."""
    return solver in _REPEATING


def solver_for(row: CheckRow) -> Solver | None:
    """The solver of a row, or None. Two solvers for one row are a programming error."""
    found = [
        solver
        for topic, pattern, solver in _SOLVERS
        if topic == row.topic and pattern.fullmatch(row.quantity)
    ]
    if len(found) > 1:
        raise RuntimeError(f"{row.id}: more than one solver")
    return found[0] if found else None
