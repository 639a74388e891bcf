"""Where a value comes from: a field of the facts, a constant, or something computed on the way.

Every source can be read (None: not known) and can name the facts that keep it unknown.
"""

from collections.abc import Callable
from decimal import Decimal
from typing import Any, Protocol

from portal.core.rules.scene import STAGES, Scene, mapping
from portal.core.rules.values import Value, days, flag, number, text

KINDS = ("number", "flag", "text", "day", "list")


class Source(Protocol):
    """A readable value with its kind, unit and a name for people."""

    name: str
    kind: str
    unit: str
    label: str

    @property
    def short(self) -> str: ...

    def read(self, scene: Scene) -> Value | None: ...

    def missing(self, scene: Scene) -> "list[Field]": ...

    def fields(self) -> "tuple[Source, ...]": ...


class Field:
    """A field of the facts document, ``section.key``."""

    __slots__ = ("_is_zero_refused", "_key", "_least", "_section", "kind", "label", "name", "unit")

    def __init__(
        self,
        name: str,
        *,
        kind: str,
        unit: str = "",
        label: str = "",
        least: Decimal | None = None,
        is_zero_refused: bool = False,
    ) -> None:
        self.name = name
        self.kind = kind
        self.unit = unit
        self.label = label or name
        self._section, _, self._key = name.partition(".")
        self._least = least
        self._is_zero_refused = is_zero_refused

    @property
    def short(self) -> str:
        """The key without its section."""
        return self._key

    def raw(self, scene: Scene) -> Any:
        """The value as it stands in the facts."""
        if self._section == "line":
            return scene.line.facts.get(self._key) if scene.line is not None else None
        if self._section == "item":
            return scene.item.get(self._key)
        return mapping(scene.facts.get(self._section)).get(self._key)

    def read(self, scene: Scene) -> Value | None:
        """The value read by its kind; out of its range or unreadable is not known."""
        if self._section == "item":
            return self._read(scene.item.get(self._key), scene)
        # Facts do not change during an evaluation, and many rules ask for the same ones.
        if self._section == "line":
            if scene.line is None:
                return None
            cache = scene.line.cache
        else:
            cache = scene.cache
        name = self.name
        if name in cache:
            return cache[name]
        value = self._read(self.raw(scene), scene)
        cache[name] = value
        return value

    def _read(self, raw: Any, scene: Scene) -> Value | None:
        if raw is None:
            return None
        if self.kind == "number":
            value = number(raw)
            if value is None or self._least is None:
                return value
            if value < self._least or (self._is_zero_refused and not value):
                return None
            return value
        if self.kind == "flag":
            return flag(raw)
        if self.kind == "day":
            return days(raw, scene.zone)
        return text(raw)

    def missing(self, scene: Scene) -> "list[Field]":
        """Itself, when it cannot be read."""
        return [self] if self.read(scene) is None else []

    def fields(self) -> "tuple[Source, ...]":
        """Itself: what a trace shows as seen."""
        return (self,)


class Constant:
    """A number, a word or a day written in the rule set."""

    __slots__ = ("kind", "label", "name", "unit", "value")

    def __init__(self, value: Value, kind: str, *, unit: str = "") -> None:
        self.value = value
        self.kind = kind
        self.unit = unit
        self.name = self.label = ""

    @property
    def short(self) -> str:
        """A constant has no name in a trace."""
        return ""

    def read(self, scene: Scene) -> Value | None:
        """The value itself."""
        return self.value

    def missing(self, scene: Scene) -> list[Field]:
        """Nothing: a constant is known."""
        return []

    def fields(self) -> tuple[Source, ...]:
        """Nothing to show."""
        return ()


class BuiltIn:
    """A value the evaluation itself holds: the key date, the stage, the sum so far."""

    __slots__ = ("_read", "kind", "label", "name", "unit")

    def __init__(
        self,
        name: str,
        read: Callable[[Scene], Value | None],
        *,
        kind: str,
        unit: str = "",
        label: str = "",
    ) -> None:
        self.name = name
        self._read = read
        self.kind = kind
        self.unit = unit
        self.label = label or name

    @property
    def short(self) -> str:
        """The name without its section."""
        return self.name.rpartition(".")[2]

    def read(self, scene: Scene) -> Value | None:
        """The value as it stands at this moment."""
        return self._read(scene)

    def missing(self, scene: Scene) -> list[Field]:
        """No single fact is behind it; the step that sets it reports what it lacks."""
        return []

    def fields(self) -> tuple[Source, ...]:
        """Itself."""
        return (self,)


def built_ins() -> dict[str, Source]:
    """The values every rule set may use besides the facts."""
    sources: list[Source] = [
        BuiltIn(
            "request.key_date",
            lambda scene: scene.key_date,
            kind="day",
            label="the date that counts",
        ),
        BuiltIn(
            "request.stage",
            lambda scene: STAGES[scene.stage],
            kind="text",
            label="stage of the request",
        ),
        BuiltIn(
            "request.total_usd",
            lambda scene: scene.total,
            kind="number",
            unit="usd",
            label="the sum so far",
        ),
        BuiltIn(
            "line.measure",
            lambda scene: scene.line.measure if scene.line is not None else None,
            kind="text",
            label="the job",
        ),
        BuiltIn(
            "line.class",
            lambda scene: (
                scene.line.rule.klass if scene.line is not None and scene.line.rule else None
            ),
            kind="text",
            label="the kind of job",
        ),
        BuiltIn(
            "line.amount_usd",
            lambda scene: scene.line.amount if scene.line is not None else None,
            kind="number",
            unit="usd",
            label="the amount so far",
        ),
        BuiltIn(
            "line.eligible_usd",
            lambda scene: scene.line.eligible if scene.line is not None else None,
            kind="number",
            unit="usd",
            label="the eligible cost of the line",
        ),
    ]
    return {source.name: source for source in sources}
