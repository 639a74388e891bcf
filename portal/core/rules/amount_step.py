"""What every step on the way to an amount shares: its id and name, its findings, its telling."""

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.gates import rule_id
from portal.core.rules.ruling import Finding, Need
from portal.core.rules.scene import LineState, Scene
from portal.core.rules.sources import Field, Source
from portal.core.rules.values import HUNDRED, spoken
from portal.core.rules.words import fill_phrase

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax

COMMON_KEYS = {"do", "id", "name", "reference"}


class AmountStep:
    """One step on the way to an amount."""

    keys: frozenset[str] = frozenset()
    order = 5

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        syntax.only(spec, path, COMMON_KEYS | set(self.keys))
        self.do: str = spec["do"]
        self.id = rule_id(spec, path)
        self.name = str(spec.get("name", self.id))
        self.reference = str(spec.get("reference", ""))

    def apply(self, scene: Scene, line: LineState) -> None:
        """Change the line's amount; what is missing becomes a finding."""
        raise NotImplementedError

    def lack(self, scene: Scene, line: LineState, *sources: Source) -> None:
        """The amount cannot be known: name the facts."""
        line.amount = None
        fields: list[Field] = []
        for source in sources:
            fields += [field for field in source.missing(scene) if field not in fields]
        if not fields:
            return
        labels = ", ".join(field.label for field in fields)
        scene.find(
            Finding(
                rule=self.id,
                kind="missing",
                words=fill_phrase(scene.phrases, "missing", {"label": labels}),
                fix=fill_phrase(scene.phrases, "missing_fix", {"label": labels, "in_unit": ""}),
                line=line.name,
                reference=self.reference,
                needs=tuple(
                    Need(field.name, field.label, "known", "", "unknown", field.unit)
                    for field in fields
                ),
            )
        )

    def tell(
        self, scene: Scene, line: LineState, outcome: str, words: str, saw: dict[str, str]
    ) -> None:
        """Write the step of the trace."""
        if scene.is_tracing:
            scene.step(
                self.order, self.id, outcome, f"{self.name}: {words}", saw=saw, amount=line.amount
            )


def number_of(source: Source, scene: Scene) -> Decimal | None:
    """The source's number, or None."""
    value = source.read(scene)
    return value if isinstance(value, Decimal) else None


def earlier(scene: Scene, line: LineState) -> list[LineState]:
    """The measure's lines already worked out and paid: caps hold over all of them together."""
    return [
        other
        for other in scene.lines
        if other is not line
        and other.is_done
        and other.measure == line.measure
        and other.is_counted
    ]


def seen(scene: Scene, *sources: Source) -> dict[str, str]:
    if not scene.is_tracing:
        return {}
    return scene.seen(tuple(field for source in sources for field in source.fields()))


def percent(share: Decimal) -> str:
    return f"{spoken(share * HUNDRED)}%"
