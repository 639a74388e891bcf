"""Shapes that choose a value: from a table, by a band, by a condition."""

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.conditions import YES
from portal.core.rules.faults import RuleSetFault
from portal.core.rules.quantities import Shape
from portal.core.rules.scene import Scene
from portal.core.rules.sources import Field, Source
from portal.core.rules.values import HUNDRED, ZERO, Value, number, plain_number

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax


class Lookup(Shape):
    """A value from a table by one or two keys; beyond the last number a fixed amount each."""

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        by = spec.get("by")
        keys = by if isinstance(by, list) else [by]
        self.inputs = tuple(
            syntax.value(key, f"{path}.by[{index}]") for index, key in enumerate(keys)
        )
        table, where = syntax.table(spec, path)
        self._table = syntax.constants(table, where, depth=len(keys))
        self._each_adds: Decimal | None = None
        self._last = ZERO
        if "beyond_last_each_adds" in spec:
            self._each_adds = syntax.number(spec, "beyond_last_each_adds", path)
            known = [value for value in map(number, self._table) if value is not None]
            if len(keys) != 1 or len(known) != len(self._table):
                raise RuleSetFault(path, "beyond_last_each_adds needs one key, all numbers")
            self._last = max(known)
        leaf: Any = self._table
        for _ in keys:
            leaf = next(iter(leaf.values()))
        self.kind = "number" if isinstance(leaf, Decimal) else "text"

    def read(self, scene: Scene) -> Value | None:
        """The table's entry, or None where a key is unknown or not in the table."""
        entry: Any = self._table
        for source in self.inputs:
            key = source.read(scene)
            if key is None:
                return None
            if isinstance(key, Decimal):
                key = self._beyond(key) if self._each_adds is not None else plain_number(key)
                if isinstance(key, Decimal):
                    return key
            entry = entry.get(key)
            if entry is None:
                return None
        return entry

    def _beyond(self, key: Decimal) -> str | Decimal:
        if key > self._last and key == key.to_integral_value() and self._each_adds is not None:
            last: Decimal = self._table[plain_number(self._last)]
            return last + (key - self._last) * self._each_adds
        return plain_number(key)

    def missing(self, scene: Scene) -> list[Field]:
        """The unknown keys; where all are known, the keys, since the table lacks them."""
        if self.read(scene) is not None:
            return []
        found = super().missing(scene)
        if not found and all(source.read(scene) is not None for source in self.inputs):
            for source in self.inputs:
                found += [field for field in source.fields() if isinstance(field, Field)]
        return found


class Band:
    """One band of a banded value: its two ends and what it gives."""

    __slots__ = ("above", "at_least", "at_most", "below", "gives")

    def __init__(self, spec: Any, path: str, syntax: "Syntax") -> None:
        syntax.only(spec, path, {"above", "at_least", "at_most", "below", "is", "usd"})
        ends = {
            end: syntax.number(spec, end, path) if end in spec else None
            for end in ("above", "at_least", "at_most", "below")
        }
        self.above, self.at_least = ends["above"], ends["at_least"]
        self.at_most, self.below = ends["at_most"], ends["below"]
        if "is" not in spec and "usd" not in spec:
            raise RuleSetFault(path, "a band needs 'is' or 'usd'")
        self.gives = syntax.constant(spec.get("is", spec.get("usd")), f"{path}.is")

    def holds(self, value: Decimal, scale: Decimal) -> bool:
        """Whether the value lies in the band, its ends multiplied by the scale."""
        return not (
            (self.above is not None and value <= self.above * scale)
            or (self.at_least is not None and value < self.at_least * scale)
            or (self.at_most is not None and value > self.at_most * scale)
            or (self.below is not None and value >= self.below * scale)
        )

    @property
    def ends(self) -> tuple[Decimal | None, bool, Decimal | None, bool]:
        """Low end, whether it belongs; high end, whether it belongs."""
        low = self.at_least if self.at_least is not None else self.above
        high = self.at_most if self.at_most is not None else self.below
        return low, self.at_least is not None, high, self.at_most is not None


class Bands(Shape):
    """A value by the band another falls in; with ``percent_of`` the ends are percent of that.

    The comparison is by products (value × 100 against percent × whole): no quotient is rounded.
    """

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self.by = syntax.value(spec.get("by"), f"{path}.by", kind="number")
        self.inputs = (self.by,)
        self.whole: Source | None = None
        if "percent_of" in spec:
            self.whole = syntax.value(spec["percent_of"], f"{path}.percent_of", kind="number")
            self.inputs = (self.by, self.whole)
        raw = spec.get("bands")
        if not isinstance(raw, list) or not raw:
            raise RuleSetFault(f"{path}.bands", "needs a list of bands")
        self.bands = tuple(
            Band(item, f"{path}.bands[{index}]", syntax) for index, item in enumerate(raw)
        )
        self._check_order(f"{path}.bands")
        self.kind = "number" if isinstance(self.bands[0].gives, Decimal) else "text"
        self._when_unknown: Value | None = None
        if "when_unknown" in spec:
            self._when_unknown = syntax.constant(spec["when_unknown"], f"{path}.when_unknown")

    def _check_order(self, path: str) -> None:
        for index, (lower, upper) in enumerate(zip(self.bands, self.bands[1:], strict=False)):
            _, _, high, high_in = lower.ends
            low, low_in, _, _ = upper.ends
            where = f"{path}[{index + 1}]"
            if high is None or low is None:
                raise RuleSetFault(where, "an open end in the middle: bands go from low to high")
            if low < high or (low == high and high_in and low_in):
                raise RuleSetFault(where, "overlaps the band before it")

    def read(self, scene: Scene) -> Value | None:
        """What the band gives; None where a value is unknown or no band holds it."""
        value = self.by.read(scene)
        if not isinstance(value, Decimal):
            return self._when_unknown
        scale = Decimal(1)
        if self.whole is not None:
            whole = self.whole.read(scene)
            if not isinstance(whole, Decimal):
                return None
            value, scale = value * HUNDRED, whole
        for band in self.bands:
            if band.holds(value, scale):
                return band.gives
        return None

    def missing(self, scene: Scene) -> list[Field]:
        """The unknown inputs; none where an unknown input has its own answer."""
        return super().missing(scene) if self.read(scene) is None else []


class Cases(Shape):
    """The value of the first case that holds; unknown where one before it is open."""

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        raw = spec.get("cases")
        if not isinstance(raw, list) or not raw:
            raise RuleSetFault(f"{path}.cases", "needs a list of cases")
        self._cases = []
        for index, case in enumerate(raw):
            where = f"{path}.cases[{index}]"
            syntax.only(case, where, {"when", "is"})
            self._cases.append(
                (
                    syntax.condition(case.get("when"), f"{where}.when"),
                    syntax.value(case.get("is"), f"{where}.is"),
                )
            )
        self._otherwise: Source | None = None
        if "otherwise" in spec:
            self._otherwise = syntax.value(spec["otherwise"], f"{path}.otherwise")
        self.kind = self._cases[0][1].kind

    def read(self, scene: Scene) -> Value | None:
        """The value of the case that holds."""
        for condition, source in self._cases:
            verdict = condition.judge(scene)
            if verdict == YES:
                return source.read(scene)
            if verdict:
                return None
        return self._otherwise.read(scene) if self._otherwise is not None else None

    def missing(self, scene: Scene) -> list[Field]:
        """What the deciding condition or the chosen value lacks."""
        for condition, source in self._cases:
            verdict = condition.judge(scene)
            if verdict == YES:
                return source.missing(scene)
            if verdict:
                return condition.missing(scene)
        return self._otherwise.missing(scene) if self._otherwise is not None else []

    def fields(self) -> tuple[Source, ...]:
        """The facts its conditions look at."""
        shown: list[Source] = []
        for condition, source in self._cases:
            for field in (*condition.fields(), *source.fields()):
                if field not in shown:
                    shown.append(field)
        return tuple(shown)
