"""Reading a rule set's own syntax: values and conditions, each checked where it stands.

The syntax is typed JSON, nothing is parsed from text: a value is a number, the name of a field
or quantity, ``{"word": ...}``, or a shape; a condition is ``{"field", "is", "value", "unit"}`` or
a group (all, any, not) of them. Every name, kind and unit is checked when the set is loaded,
and a fault is reported with its path, so that evaluating needs no checks.
"""

from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from decimal import Decimal
from typing import Any

from portal.core.rules import comparisons, conditions
from portal.core.rules.faults import RuleSetFault
from portal.core.rules.quantities import Shape
from portal.core.rules.scene import STAGES, LineState, Scene
from portal.core.rules.shapes import SHAPE_KEYS, SHAPES
from portal.core.rules.sources import Constant, Source
from portal.core.rules.values import Value, days, number, spoken
from portal.core.rules.words import compile_template

LineChoice = Callable[[Scene, LineState], bool]

_NUMBER_TESTS = {"at_least", "at_most", "above", "below", "equals"}
_DAY_TESTS = {"on_or_before", "on_or_after", "before", "after"}
_TEXT_TESTS = {"equals", "one_of", "not_one_of"}
_FLAG_TESTS = {"yes", "no"}
_LEAF_KEYS = {
    "field", "is", "value", "values", "value_of", "unit", "of", "plus", "minus", "due", "words",
}  # fmt: skip


class Syntax:
    """The names, tables and scopes in force at a place in a rule set."""

    def __init__(
        self,
        *,
        sources: dict[str, Source],
        lists: Mapping[str, conditions.ListField],
        tables: Mapping[str, Any],
        zone: str,
    ) -> None:
        self.sources = sources
        self.lists = lists
        self.tables = tables
        self.zone = zone
        self._scopes: set[str] = set()
        self._due = 0

    @contextmanager
    def inside(self, scope: str) -> Iterator[None]:
        """Names of this scope ("line", "item") may be used within."""
        added = scope not in self._scopes
        self._scopes.add(scope)
        try:
            yield
        finally:
            if added:
                self._scopes.discard(scope)

    @contextmanager
    def due_at(self, stage: Any, path: str) -> Iterator[None]:
        """Facts asked for within are due from this stage on."""
        before = self._due
        if stage is not None:
            if stage not in STAGES:
                raise RuleSetFault(f"{path}.due", f"needs one of {', '.join(STAGES)}")
            self._due = STAGES.index(stage)
        try:
            yield
        finally:
            self._due = before

    @property
    def due(self) -> int:
        """The stage from which on facts at this place are due."""
        return self._due

    # Plain parts

    def only(self, spec: Any, path: str, keys: set[str]) -> None:
        """The object has no keys but these."""
        if not isinstance(spec, dict):
            raise RuleSetFault(path, "needs an object")
        for key in spec:
            if key not in keys:
                raise RuleSetFault(f"{path}.{key}", f"not known here; known: {_listed(keys)}")

    def number(
        self, spec: Mapping[str, Any], key: str, path: str, *, above: Decimal | None = None
    ) -> Decimal:
        """A number written in the rule set."""
        raw = spec.get(key)
        value = None if isinstance(raw, str) else number(raw)
        if value is None:
            raise RuleSetFault(f"{path}.{key}", "needs a number")
        if above is not None and value <= above:
            raise RuleSetFault(f"{path}.{key}", f"needs a number above {above}")
        return value

    def word(self, spec: Mapping[str, Any], key: str, path: str, known: set[str]) -> str:
        """One of a few words."""
        raw = spec.get(key)
        if not isinstance(raw, str) or raw not in known:
            raise RuleSetFault(f"{path}.{key}", f"needs one of {_listed(known)}")
        return raw

    def constant(self, raw: Any, path: str) -> Value:
        """A number or a word of the rule set."""
        if isinstance(raw, str) and raw:
            return raw
        value = number(raw)
        if value is None:
            raise RuleSetFault(path, "needs a number or a word")
        return value

    def constants(self, table: Any, path: str, *, depth: int) -> dict[str, Any]:
        """A table of constants, one level of keys per depth."""
        if not isinstance(table, dict) or not table:
            raise RuleSetFault(path, "needs a table")
        if depth == 1:
            return {key: self.constant(raw, f"{path}.{key}") for key, raw in table.items()}
        return {
            key: self.constants(raw, f"{path}.{key}", depth=depth - 1) for key, raw in table.items()
        }

    def table(self, spec: Mapping[str, Any], path: str) -> tuple[Any, str]:
        """A table by name, or written in place under "values"."""
        if "values" in spec:
            return spec["values"], f"{path}.values"
        name = spec.get("table")
        if not isinstance(name, str) or name not in self.tables:
            raise RuleSetFault(f"{path}.table", f"no table {name!r}; known: {_listed(self.tables)}")
        return self.tables[name], f"tables.{name}"

    # Values

    def value(self, spec: Any, path: str, *, kind: str | None = None) -> Source:
        """A constant, a named source or a shape."""
        source = self._value(spec, path)
        if kind is not None and source.kind != kind:
            raise RuleSetFault(path, f"needs a {kind}, this is a {source.kind}")
        return source

    def _value(self, spec: Any, path: str) -> Source:
        if isinstance(spec, str):
            return self._named(spec, path)
        if not isinstance(spec, dict):
            value = number(spec)
            if value is None:
                raise RuleSetFault(path, "needs a number, the name of a field, or a shape")
            return Constant(value, "number")
        if "word" in spec:
            self.only(spec, path, {"word"})
            return Constant(self.constant(spec["word"], f"{path}.word"), "text")
        shape = spec.get("shape")
        if shape not in SHAPES:
            raise RuleSetFault(f"{path}.shape", f"needs one of {_listed(SHAPES)}")
        self.only(spec, path, {"shape", "label", "unit"} | SHAPE_KEYS[shape])
        built: Shape = SHAPES[shape](spec, path, self)
        return built

    def _named(self, name: str, path: str) -> Source:
        source = self.sources.get(name)
        if source is None:
            raise RuleSetFault(path, f"no field or quantity {name!r}")
        scope = name.partition(".")[0]
        if scope in {"line", "item"} and scope not in self._scopes:
            raise RuleSetFault(path, f"{name!r} can be used only where there is a {scope}")
        return source

    def values(
        self, spec: Mapping[str, Any], key: str, path: str, *, kind: str | None = None
    ) -> tuple[Source, ...]:
        """A list of values."""
        raw = spec.get(key)
        if not isinstance(raw, list) or not raw:
            raise RuleSetFault(f"{path}.{key}", "needs a list of values")
        return tuple(
            self.value(item, f"{path}.{key}[{index}]", kind=kind) for index, item in enumerate(raw)
        )

    def list_field(self, name: Any, path: str) -> conditions.ListField:
        """A list of the facts."""
        if name not in self.lists:
            raise RuleSetFault(path, f"no list {name!r}; known: {_listed(self.lists)}")
        return self.lists[name]

    def line_choice(self, spec: Mapping[str, Any], path: str) -> LineChoice:
        """Which lines are meant: by measure, by class, all but some, or by a condition."""
        measures = self._names(spec, "measures", path)
        besides = self._names(spec, "all_but", path)
        classes = self._names(spec, "classes", path)
        where: conditions.Condition | None = None
        if "lines_where" in spec:
            with self.inside("line"):
                where = self.condition(spec["lines_where"], f"{path}.lines_where")

        def is_chosen(scene: Scene, line: LineState) -> bool:
            if measures is not None and line.measure not in measures:
                return False
            if besides is not None and line.measure in besides:
                return False
            if classes is not None and (line.rule is None or line.rule.klass not in classes):
                return False
            if where is None:
                return True
            outer, scene.line = scene.line, line
            verdict = where.judge(scene)
            scene.line = outer
            return verdict == conditions.YES

        return is_chosen

    def _names(self, spec: Mapping[str, Any], key: str, path: str) -> frozenset[str] | None:
        if key not in spec:
            return None
        raw = spec[key]
        if not isinstance(raw, list) or not raw or not all(isinstance(name, str) for name in raw):
            raise RuleSetFault(f"{path}.{key}", "needs a list of names")
        return frozenset(raw)

    # Words

    def leaf_words(self, spec: Mapping[str, Any], path: str) -> conditions.LeafWords:
        """The words a condition brings along."""
        raw = spec.get("words", {})
        self.only(raw, f"{path}.words", set(conditions.LeafWords.NAMES))
        return conditions.LeafWords(
            {
                name: compile_template(
                    phrase, f"{path}.words.{name}", self.sources, conditions.SUPPLIED
                )
                for name, phrase in raw.items()
            }
        )

    # Conditions

    def condition(self, spec: Any, path: str) -> conditions.Condition:
        """A condition or a group of conditions."""
        if not isinstance(spec, dict):
            raise RuleSetFault(path, "needs a condition")
        with self.due_at(spec.get("due"), path):
            for group, build in (("all", conditions.All), ("any", conditions.Any_)):
                if group in spec:
                    self.only(spec, path, {group, "due"})
                    return build(conditions.join(spec[group], f"{path}.{group}", self))
            if "not" in spec:
                self.only(spec, path, {"not", "due", "words"})
                return conditions.Not(
                    self.condition(spec["not"], f"{path}.not"), self.leaf_words(spec, path)
                )
            if "on_request" in spec:
                self.only(spec, path, {"on_request", "words", "due"})
                return conditions.OnRequest(
                    self.value(spec["on_request"], f"{path}.on_request", kind="text"),
                    self.leaf_words(spec, path),
                )
            if "paid_measures" in spec:
                return self._paid_measures(spec, path)
            for key in ("no_item_of", "some_item_of"):
                if key in spec:
                    return self._over_entries(spec, key, path)
            return self._leaf(spec, path)

    def _paid_measures(self, spec: Any, path: str) -> conditions.Condition:
        self.only(spec, path, {"paid_measures", "at_least", "matching", "words", "due"})
        measures = self._names(spec, "paid_measures", path) or frozenset()
        count = spec.get("at_least", 1)
        if type(count) is not int or not 1 <= count <= len(measures):
            raise RuleSetFault(f"{path}.at_least", "needs a whole number the list can reach")
        return conditions.PaidMeasures(
            measures, count, self.leaf_words(spec, path), self.matching(spec, path)
        )

    def matching(self, spec: Mapping[str, Any], path: str) -> tuple[Source, Source] | None:
        """A field of the other line and one of the line at hand that have to be the same."""
        if "matching" not in spec:
            return None
        with self.inside("line"):
            pair = self.values(spec, "matching", path, kind="text")
        if len(pair) != 2:
            raise RuleSetFault(f"{path}.matching", "needs two fields")
        return pair[0], pair[1]

    def _over_entries(self, spec: Any, key: str, path: str) -> conditions.Condition:
        self.only(spec, path, {key, "where", "words", "due"})
        listed = self.list_field(spec[key], f"{path}.{key}")
        with self.inside("item"):
            where = self.condition(spec.get("where"), f"{path}.where")
            words = self.leaf_words(spec, path)
        return conditions.OverEntries(
            listed, where, is_none=key == "no_item_of", due=self._due, words=words
        )

    def _leaf(self, spec: dict[str, Any], path: str) -> conditions.Condition:
        self.only(spec, path, _LEAF_KEYS)
        subject = self.value(spec.get("field"), f"{path}.field")
        shared = {"due": self._due, "words": self.leaf_words(spec, path)}
        test = spec.get("is")
        if test == "known":
            return comparisons.Flag("known", subject, **shared)
        known = {
            "number": _NUMBER_TESTS,
            "flag": _FLAG_TESTS,
            "day": _DAY_TESTS,
        }.get(subject.kind, _TEXT_TESTS)
        if test not in known:
            raise RuleSetFault(
                f"{path}.is", f"a {subject.kind} needs one of {_listed(known | {'known'})}"
            )
        if subject.kind == "flag":
            return comparisons.Flag(test, subject, **shared)
        if subject.kind == "day":
            return self._day_leaf(spec, path, test, subject, shared)
        if subject.kind == "number":
            return self._number_leaf(spec, path, test, subject, shared)
        raw = [spec.get("value")] if test == "equals" else spec.get("values")
        if isinstance(spec.get("value_of"), str) and test == "equals":
            return comparisons.SameText(
                subject, self.value(spec["value_of"], f"{path}.value_of", kind="text"), **shared
            )
        if not isinstance(raw, list) or not raw or not all(isinstance(it, str) for it in raw):
            raise RuleSetFault(path, "needs the words to compare with")
        shown = ", ".join(spoken(item) for item in raw)
        return comparisons.Choice(test, subject, frozenset(raw), shown, **shared)

    def _number_leaf(
        self, spec: dict[str, Any], path: str, test: str, subject: Source, shared: dict[str, Any]
    ) -> conditions.Condition:
        key = "value_of" if "value_of" in spec else "value"
        limit = self.value(spec.get(key), f"{path}.{key}", kind="number")
        unit = spec.get("unit", "")
        if "of" in spec:
            if unit != "percent":
                raise RuleSetFault(f"{path}.unit", "a share of another value is in percent")
            whole = self.value(spec["of"], f"{path}.of", kind="number")
            return comparisons.Comparison(test, subject, limit, whole, **shared)
        if unit != subject.unit:
            raise RuleSetFault(
                f"{path}.unit", f"{subject.name or 'the value'} is in {subject.unit or 'no unit'}"
            )
        return comparisons.Comparison(test, subject, limit, None, **shared)

    def _day_leaf(
        self, spec: dict[str, Any], path: str, test: str, subject: Source, shared: dict[str, Any]
    ) -> conditions.Condition:
        if "value_of" in spec:
            limit = self.value(spec["value_of"], f"{path}.value_of", kind="day")
        else:
            read = days(spec.get("value"), self.zone)
            if read is None:
                raise RuleSetFault(f"{path}.value", "needs a day, YYYY-MM-DD")
            limit = Constant(read, "day")
        count, months = 0, 0
        if "plus" in spec or "minus" in spec:
            sign, key = (1, "plus") if "plus" in spec else (-1, "minus")
            raw = spec[key]
            if type(raw) is not int or not 0 <= raw <= 12000:
                raise RuleSetFault(f"{path}.{key}", "needs a whole number of days or months")
            unit = self.word(spec, "unit", path, {"days", "months"})
            count, months = (raw * sign, 0) if unit == "days" else (0, raw * sign)
        return comparisons.DayComparison(
            test, subject, limit, months=months, day_count=count, **shared
        )


def _listed(names: Any) -> str:
    return ", ".join(sorted(names))
