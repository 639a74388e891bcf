"""Which functions of the calculation module the code that serves users can reach.

Read from the source, name by name: a function counts as reached when a page, an operation, a task
or a command of the portal names it, or when something reached names it. The checks and the public
suite do not count, because they serve nobody. A published value is only worth counting when what
it checks is what people get.
"""

from __future__ import annotations

import ast
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from django.conf import settings

from calcs.checks.registry import Solver

Name = tuple[str, str]  # module, name in it

# What only looks after the numbers: it must not make a function count as serving somebody.
LOOKS_AFTER = ("calcs.checks", "calcs.suites", "calcs.api", "portal.modeling.management")
# Where people work formulas out themselves.
DESK = ("portal.modeling.formulas", "portal.modeling.formula_words", "portal.modeling.forms")
UNIT_FACTORS = "calcs.unit_factors"
_STILL_SERVES = "portal.modeling.management.commands.model"


def _looks_after(module: str) -> bool:
    return module != _STILL_SERVES and any(
        module == name or module.startswith(name + ".") for name in LOOKS_AFTER
    )


@dataclass(frozen=True)
class Source:
    """The parsed modules, what each binds by import, and where each name is defined."""

    trees: dict[str, ast.Module]
    bound: dict[str, dict[str, tuple[str, str]]] = field(default_factory=dict)
    defined: dict[Name, list[ast.stmt]] = field(default_factory=dict)
    _called: dict[Name, set[Name]] = field(default_factory=dict)

    def resolve(self, module: str, name: str, depth: int = 8) -> Name | None:
        """Where a name used in a module is defined, through re-exports."""
        if (module, name) in self.defined:
            return (module, name)
        there = self.bound.get(module, {}).get(name)
        if there and there[1] and depth:
            return self.resolve(there[0], there[1], depth - 1)
        return None

    def _attribute(self, module: str, node: ast.Attribute) -> Name | None:
        chain: list[str] = []
        inner: ast.expr = node
        while isinstance(inner, ast.Attribute):
            chain.insert(0, inner.attr)
            inner = inner.value
        if not isinstance(inner, ast.Name):
            return None
        there = self.bound[module].get(inner.id)
        if there is None or there[1]:
            return None
        where = there[0]
        for part in chain:
            if f"{where}.{part}" in self.trees:
                where = f"{where}.{part}"
            else:
                return self.resolve(where, part) if where in self.trees else None
        return None

    def names_in(self, module: str, tree: ast.AST) -> set[Name]:
        """Every defined name that a piece of a module refers to."""
        found: set[Name] = set()
        for node in ast.walk(tree):
            name = None
            if isinstance(node, ast.Attribute):
                name = self._attribute(module, node)
            elif isinstance(node, ast.Name):
                name = self.resolve(module, node.id)
            if name:
                found.add(name)
        return found

    def called_by(self, name: Name) -> set[Name]:
        """What a definition refers to, itself left out."""
        if name not in self._called:
            parts = self.defined.get(name, [])
            found = set().union(*(self.names_in(name[0], part) for part in parts))
            self._called[name] = found - {name}
        return self._called[name]


def _bound_names(statement: ast.stmt) -> Iterator[str]:
    if isinstance(statement, ast.FunctionDef | ast.ClassDef):
        yield statement.name
    elif isinstance(statement, ast.Assign):
        for target in statement.targets:
            yield from (node.id for node in ast.walk(target) if isinstance(node, ast.Name))
    elif isinstance(statement, ast.AnnAssign) and isinstance(statement.target, ast.Name):
        yield statement.target.id


@cache
def source() -> Source:
    """The source of ``calcs`` and ``portal``, parsed."""
    root = Path(settings.ROOT)
    trees = {}
    for path in [*root.glob("calcs/**/*.py"), *root.glob("portal/**/*.py")]:
        parts = path.relative_to(root).with_suffix("").parts
        module = ".".join(parts[:-1] if parts[-1] == "__init__" else parts)
        text = path.read_text(encoding="utf-8")
        # Who does not name the calculation module does not call it.
        if parts[0] == "calcs" or "calcs" in text:
            trees[module] = ast.parse(text)
    read = Source(trees)
    for module, tree in trees.items():
        bound = read.bound.setdefault(module, {})
        for node in ast.walk(tree):
            if isinstance(node, ast.Import):
                for alias in node.names:
                    whole = alias.name if alias.asname else alias.name.split(".")[0]
                    bound[alias.asname or whole] = (whole, "")
            elif isinstance(node, ast.ImportFrom) and node.module and not node.level:
                for alias in node.names:
                    inner = f"{node.module}.{alias.name}"
                    there = (inner, "") if inner in trees else (node.module, alias.name)
                    bound[alias.asname or alias.name] = there
        for statement in tree.body:
            for name in _bound_names(statement):
                read.defined.setdefault((module, name), []).append(statement)
    return read


def closure(read: Source, roots: Iterable[Name]) -> set[Name]:
    """Everything reached from some names, without going through what only looks after them."""
    reached: set[Name] = set()
    waiting = list(roots)
    while waiting:
        name = waiting.pop()
        if name in reached or _looks_after(name[0]):
            continue
        reached.add(name)
        waiting.extend(read.called_by(name))
    return reached


def reached_by_portal(*, at_the_desk: bool = True) -> frozenset[Name]:
    """Every name of the calculation module that code serving users can reach.

    Without `at_the_desk`, only what the portal works out of its own accord (field sheet, model
    runs, reports), and not the formulas it offers for people to work out themselves.
    """
    return _reached(at_the_desk)


@cache
def _reached(at_the_desk: bool) -> frozenset[Name]:
    read = source()
    roots: set[Name] = set()
    for module, tree in read.trees.items():
        if module in DESK and not at_the_desk:
            continue
        if module.startswith("portal") and not _looks_after(module):
            roots |= {name for name in read.names_in(module, tree) if name[0].startswith("calcs")}
    return frozenset(closure(read, roots))


@cache
def callees(module: str, first_line: int) -> frozenset[Name]:
    """What the check's solver that stands at a line of a module calls outside the checks."""
    read = source()
    solver = next(
        statement
        for statement in read.trees[module].body
        if isinstance(statement, ast.FunctionDef)
        and min([statement.lineno, *(mark.lineno for mark in statement.decorator_list)])
        <= first_line
        <= (statement.end_lineno or 0)
    )
    waiting = set().union(*(read.names_in(module, part) for part in solver.body))
    seen: set[Name] = set()
    found: set[Name] = set()
    while waiting:
        name = waiting.pop()
        if name in seen:
            continue
        seen.add(name)
        if name[0].startswith("calcs.checks"):
            waiting |= read.called_by(name)
        else:
            found.add(name)
    return frozenset(found)


def unreached(module: str, first_line: int, *, at_the_desk: bool = True) -> tuple[str, ...]:
    """The functions behind a solver that no code serving users reaches, as dotted names."""
    missing = callees(module, first_line) - reached_by_portal(at_the_desk=at_the_desk)
    # A solver turns units at its edges; the portal does that with its own registry.
    return tuple(sorted(".".join(name) for name in missing if name[0] != UNIT_FACTORS))


def unreached_by(solver: Solver, *, at_the_desk: bool = True) -> tuple[str, ...]:
    """``unreached`` for a solver as the registry of checks keeps it."""
    line = solver.__code__.co_firstlineno
    return unreached(solver.__module__, line, at_the_desk=at_the_desk)
