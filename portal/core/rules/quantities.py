"""Shapes of computed values: what a rule set may say instead of a plain field.

All arithmetic is exact; a value is cut or rounded only by the shapes that say so
(``truncate``, ``floor_to``, ``round_to``, ``cents``).
"""

from collections.abc import Callable
from decimal import ROUND_DOWN, ROUND_FLOOR, ROUND_HALF_UP, Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.faults import RuleSetFault
from portal.core.rules.scene import Scene
from portal.core.rules.sources import Field, Source
from portal.core.rules.values import ZERO, Value, to_cents

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax

Numbers = list[Decimal]


class Shape:
    """A computed value over other sources; unknown as soon as one of them is."""

    name = ""
    unit = ""
    kind = "number"

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        self.label = str(spec.get("label", ""))
        self.unit = str(spec.get("unit", ""))
        self.inputs: tuple[Source, ...] = ()

    @property
    def short(self) -> str:
        """Shapes written in place have no name of their own."""
        return self.name.rpartition(".")[2]

    def read(self, scene: Scene) -> Value | None:
        """The computed value, or None."""
        raise NotImplementedError

    def missing(self, scene: Scene) -> list[Field]:
        """The facts that keep it unknown."""
        found: list[Field] = []
        for source in self.inputs:
            found += [field for field in source.missing(scene) if field not in found]
        return found

    def fields(self) -> tuple[Source, ...]:
        """What a trace shows for it: the sources it is made of."""
        shown: list[Source] = []
        for source in self.inputs:
            shown += [field for field in source.fields() if field not in shown]
        return tuple(shown)


class Arithmetic(Shape):
    """sum, difference, product, quotient, lowest, highest of numbers."""

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self.inputs = syntax.values(spec, "of", path, kind="number")
        self._join = ARITHMETIC[spec["shape"]]
        if spec["shape"] in {"difference", "quotient"} and len(self.inputs) != 2:
            raise RuleSetFault(f"{path}.of", "needs exactly two values")

    def read(self, scene: Scene) -> Value | None:
        """The result, or None if an input is unknown or the divisor is 0."""
        read: Numbers = []
        for source in self.inputs:
            value = source.read(scene)
            if not isinstance(value, Decimal):
                return None
            read.append(value)
        return self._join(read)


def _product(values: Numbers) -> Decimal:
    result = values[0]
    for value in values[1:]:
        result *= value
    return result


def _quotient(values: Numbers) -> Decimal | None:
    return values[0] / values[1] if values[1] else None


ARITHMETIC: dict[str, Callable[[Numbers], Decimal | None]] = {
    "sum": lambda values: sum(values, start=ZERO),
    "difference": lambda values: values[0] - values[1],
    "product": _product,
    "quotient": _quotient,
    "lowest": min,
    "highest": max,
}


class Rounded(Shape):
    """truncate, floor_to, round_to and cents: the only places where a value loses digits."""

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self.inputs = (syntax.value(spec.get("of"), f"{path}.of", kind="number"),)
        self._shape = spec["shape"]
        self._step = ZERO
        if self._shape == "truncate":
            decimals = spec.get("decimals")
            if type(decimals) is not int or not 0 <= decimals <= 10:
                raise RuleSetFault(f"{path}.decimals", "needs a whole number from 0 to 10")
            self._step = Decimal(1).scaleb(-decimals)
        elif self._shape != "cents":
            self._step = syntax.number(spec, "step", path, above=ZERO)
        self._most = syntax.number(spec, "at_most", path) if "at_most" in spec else None

    def read(self, scene: Scene) -> Value | None:
        """The shortened value."""
        value = self.inputs[0].read(scene)
        if not isinstance(value, Decimal):
            return None
        if self._shape == "truncate":
            value = value.quantize(self._step, rounding=ROUND_DOWN)
        elif self._shape == "cents":
            value = to_cents(value)
        else:
            rounding = ROUND_FLOOR if self._shape == "floor_to" else ROUND_HALF_UP
            value = (value / self._step).to_integral_value(rounding=rounding) * self._step
        return value if self._most is None else min(value, self._most)


class FirstKnown(Shape):
    """The first of several sources that is known."""

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self.inputs = syntax.values(spec, "of", path)
        self.kind = self.inputs[0].kind
        self.unit = self.inputs[0].unit

    def read(self, scene: Scene) -> Value | None:
        """The first known value."""
        for source in self.inputs:
            value = source.read(scene)
            if value is not None:
                return value
        return None

    def missing(self, scene: Scene) -> list[Field]:
        """What the first source lacks, if none of them is known."""
        return self.inputs[0].missing(scene) if self.read(scene) is None else []


class ByStage(Shape):
    """A different source at each stage: the quote first, the invoice with the claim."""

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self.inputs = tuple(
            syntax.value(spec.get(stage), f"{path}.{stage}")
            for stage in ("estimate", "request", "claim")
        )
        self.kind = self.inputs[0].kind
        self.unit = self.inputs[0].unit

    def read(self, scene: Scene) -> Value | None:
        """The source of the stage at hand."""
        return self.inputs[scene.stage].read(scene)

    def missing(self, scene: Scene) -> list[Field]:
        """What the stage's own source lacks."""
        return self.inputs[scene.stage].missing(scene)


class Named:
    """A computed value under its name; read once per evaluation (or line) unless it moves.

    Names that start with ``line.`` belong to the line at hand; those that start with
    ``request.`` follow amounts that change on the way and are computed each time.
    """

    __slots__ = ("_keeps", "_source", "kind", "label", "name", "unit")

    def __init__(self, name: str, source: Source, *, label: str, unit: str) -> None:
        self.name = name
        self._source = source
        self.kind = source.kind
        self.unit = unit or source.unit
        self.label = label or source.label or name
        section = name.partition(".")[0]
        self._keeps = section if section in {"line", "request"} else "scene"

    @property
    def short(self) -> str:
        """The name without its section."""
        return self.name.rpartition(".")[2]

    def read(self, scene: Scene) -> Value | None:
        """The value, kept where it cannot change during the evaluation."""
        if self._keeps == "request":
            return self._source.read(scene)
        if self._keeps == "line":
            if scene.line is None:
                return None
            cache = scene.line.cache
        else:
            cache = scene.cache
        name = self.name
        if name in cache:
            return cache[name]
        value = self._source.read(scene)
        cache[name] = value
        return value

    def missing(self, scene: Scene) -> list[Field]:
        """The facts behind it that are not known."""
        return self._source.missing(scene) if self.read(scene) is None else []

    def fields(self) -> tuple[Source, ...]:
        """Its inputs, then itself."""
        return (*(field for field in self._source.fields() if field.name != self.name), self)

    @property
    def shape(self) -> Source:
        """What it is computed by."""
        return self._source
