"""Shapes that add up: over a list of the facts, or over the lines of the request."""

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.conditions import NO, YES, at
from portal.core.rules.quantities import Shape
from portal.core.rules.scene import Scene
from portal.core.rules.sources import Constant, Field, Source
from portal.core.rules.values import ZERO, Value

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax


class OverList(Shape):
    """The sum of a field over a list of the facts, or how many entries count."""

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self.list = syntax.list_field(spec.get("list"), f"{path}.list")
        with syntax.inside("item"):
            self._where = (
                syntax.condition(spec["where"], f"{path}.where") if "where" in spec else None
            )
            self._field = (
                syntax.value(spec.get("field"), f"{path}.field", kind="number")
                if spec["shape"] == "sum_of_list"
                else Constant(Decimal(1), "number")
            )
        if isinstance(self._field, Field) and not self.unit:
            self.unit = self._field.unit

    def read(self, scene: Scene) -> Value | None:
        """The sum; None where the list, or an entry that may count, is not known."""
        entries = self.list.entries(scene)
        if entries is None:
            return None
        total = ZERO
        outer = scene.item
        try:
            for entry in entries:
                scene.item = entry
                verdict = YES if self._where is None else self._where.judge(scene)
                if verdict == NO:
                    continue
                value = self._field.read(scene)
                if verdict != YES or not isinstance(value, Decimal):
                    return None
                total += value
        finally:
            scene.item = outer
        return total

    def missing(self, scene: Scene) -> list[Field]:
        """The list, or the fields that its entries lack."""
        entries = self.list.entries(scene)
        if entries is None:
            return [self.list]
        found: list[Field] = []
        outer = scene.item
        for entry in entries:
            scene.item = entry
            verdict = YES if self._where is None else self._where.judge(scene)
            lacking = self._where.missing(scene) if self._where is not None and verdict else []
            if verdict:
                lacking = [*lacking, *self._field.missing(scene)]
            found += [field for field in lacking if field not in found]
        scene.item = outer
        return found

    def fields(self) -> tuple[Source, ...]:
        """The sum itself stands in the trace under its own name."""
        return (self,) if self.name else ()


class SumOfLines(Shape):
    """The sum of the lines' amounts or eligible costs, over the lines chosen.

    ``among`` is paid (an amount above 0, payable or on hold), or allowed (not denied).
    """

    unit = "usd"

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self.unit = self.unit or "usd"
        self._chosen = syntax.line_choice(spec, path)
        self._matching = syntax.matching(spec, path)
        self._what = syntax.word(spec, "what", path, {"amount", "eligible"})
        self._among = syntax.word(spec, "among", path, {"paid", "allowed"})

    def read(self, scene: Scene) -> Value | None:
        """The sum; None where a line that counts has no figure yet."""
        total = ZERO
        wanted = self._matching[1].read(scene) if self._matching is not None else None
        for line in scene.lines:
            if not self._chosen(scene, line):
                continue
            if self._matching is not None and (
                wanted is None or at(scene, line, self._matching[0]) != wanted
            ):
                continue
            if self._among == "paid" and not line.is_counted:
                continue
            if self._among == "allowed" and line.is_denied:
                continue
            value = line.amount if self._what == "amount" else line.eligible
            if value is None and line.kind == "bonus":
                # A bonus has no cost of its own.
                continue
            if value is None:
                return None
            total += value
        return total

    def fields(self) -> tuple[Source, ...]:
        """The sum itself stands in the trace under its own name."""
        return (self,) if self.name else ()
