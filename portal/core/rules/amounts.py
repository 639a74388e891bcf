"""Amounts of a line as a short list of typed steps, each of them one step of the trace.

``flat``, ``per_unit``, ``per_unit_by_band`` and ``share_of_cost`` set the amount; ``multiply``,
``add``, ``less`` and ``cap`` change it; ``round`` is the marked place (◆) where it becomes whole
cents. Nothing else rounds.
"""

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.conditions import LATER, NO, UNKNOWN, YES
from portal.core.rules.faults import RuleSetFault
from portal.core.rules.gates import rule_id
from portal.core.rules.ruling import Finding, Need
from portal.core.rules.scene import LineState, Scene
from portal.core.rules.sources import Constant, Field, Source
from portal.core.rules.values import HUNDRED, ZERO, plain, spoken, spoken_unit, to_cents
from portal.core.rules.words import fill_phrase

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax

_COMMON = {"do", "id", "name", "reference"}
_SETTERS = {"flat", "per_unit", "per_unit_by_band", "share_of_cost", "value"}


class AmountStep:
    """One step on the way to an amount."""

    keys: frozenset[str] = frozenset()
    order = 5

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        syntax.only(spec, path, _COMMON | set(self.keys))
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


def _earlier(scene: Scene, line: LineState) -> list[LineState]:
    """The measure's lines already worked out and paid: caps hold over all of them together."""
    return [
        other
        for other in scene.lines
        if other is not line
        and other.is_done
        and other.measure == line.measure
        and other.is_counted
    ]


class Flat(AmountStep):
    """A fixed amount, once per measure and request."""

    keys = frozenset({"usd"})

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._usd = syntax.value(spec.get("usd"), f"{path}.usd", kind="number")

    def apply(self, scene: Scene, line: LineState) -> None:
        """The amount, or 0 where an earlier line of the measure has it."""
        amount = number_of(self._usd, scene)
        if amount is None:
            self.lack(scene, line, self._usd)
            return
        line.amount = ZERO if _earlier(scene, line) else amount
        self.tell(scene, line, "set", spoken(line.amount, "usd"), {"usd": plain(amount)})


class PerUnit(AmountStep):
    """An amount per unit; with ``most_units`` for no more than so many, over all lines."""

    keys = frozenset({"usd", "quantity", "unit", "most_units"})

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._usd = self.rate(spec, path, syntax)
        self._quantity = syntax.value(spec.get("quantity"), f"{path}.quantity", kind="number")
        if spec.get("unit") != self._quantity.unit:
            raise RuleSetFault(
                f"{path}.unit", f"the quantity is in {self._quantity.unit or 'no unit'}"
            )
        self._unit = self._quantity.unit
        self._most = syntax.number(spec, "most_units", path) if "most_units" in spec else None

    def rate(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> Source:
        """The amount per unit."""
        return syntax.value(spec.get("usd"), f"{path}.usd", kind="number")

    def apply(self, scene: Scene, line: LineState) -> None:
        """Units times rate."""
        rate, units = number_of(self._usd, scene), number_of(self._quantity, scene)
        if rate is None or units is None:
            if not self.refuse(scene, line):
                self.lack(scene, line, self._quantity, self._usd)
            return
        counted = units
        if self._most is not None:
            used = sum(
                (self._units_of(scene, other) for other in _earlier(scene, line)), start=ZERO
            )
            counted = min(units, max(self._most - used, ZERO))
        line.amount = counted * rate
        unit = spoken_unit(self._unit)
        self.tell(
            scene,
            line,
            "set",
            f"{spoken(counted)}{unit} × {spoken(rate, 'usd')} = {spoken(line.amount, 'usd')}",
            {**_seen(scene, self._quantity), "rate_usd": plain(rate)},
        )

    def _units_of(self, scene: Scene, other: LineState) -> Decimal:
        outer, scene.line = scene.line, other
        units = number_of(self._quantity, scene)
        scene.line = outer
        return units or ZERO

    def refuse(self, scene: Scene, line: LineState) -> bool:
        """Whether the amount is known to be none."""
        return False


class PerUnitByBand(PerUnit):
    """An amount per unit that depends on the band another value falls in."""

    keys = frozenset({"by", "bands", "quantity", "unit", "most_units"})

    def rate(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> Source:
        """The amount per unit of the band."""
        self._by = syntax.value(spec.get("by"), f"{path}.by", kind="number")
        return syntax.value(
            {"shape": "bands", "by": spec.get("by"), "bands": spec.get("bands")}, path
        )

    def refuse(self, scene: Scene, line: LineState) -> bool:
        """A value known to lie in no band is a no, not a missing fact."""
        had = number_of(self._by, scene)
        if had is None:
            return False
        words = {"label": self._by.label, "had": spoken(had, self._by.unit)}
        line.amount = None
        scene.find(
            Finding(
                rule=self.id,
                kind="failed",
                words=fill_phrase(scene.phrases, "no_band", words),
                line=line.name,
                reference=self.reference,
                needs=(
                    Need(self._by.name, self._by.label, "in_band", "", plain(had), self._by.unit),
                ),
            )
        )
        self.tell(
            scene,
            line,
            "failed",
            fill_phrase(scene.phrases, "no_band", words),
            _seen(scene, self._by),
        )
        return True


class ShareOfCost(AmountStep):
    """A share of a cost."""

    keys = frozenset({"share", "of"})

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._share = syntax.value(spec.get("share"), f"{path}.share", kind="number")
        self._of = syntax.value(spec.get("of"), f"{path}.of", kind="number")

    def apply(self, scene: Scene, line: LineState) -> None:
        """Share times cost."""
        share, cost = number_of(self._share, scene), number_of(self._of, scene)
        if share is None or cost is None:
            self.lack(scene, line, self._of, self._share)
            return
        line.amount = share * cost
        self.tell(
            scene,
            line,
            "set",
            f"{_percent(share)} × {spoken(cost, 'usd')} = {spoken(line.amount, 'usd')}",
            {**_seen(scene, self._of, self._share)},
        )


class Start(AmountStep):
    """The amount is another value: the allowed cost, for work the program pays in full."""

    keys = frozenset({"of"})

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._of = syntax.value(spec.get("of"), f"{path}.of", kind="number")

    def apply(self, scene: Scene, line: LineState) -> None:
        """Take the value over."""
        line.amount = number_of(self._of, scene)
        if line.amount is None:
            self.lack(scene, line, self._of)
            return
        self.tell(scene, line, "set", spoken(line.amount, "usd"), _seen(scene, self._of))


class Multiply(AmountStep):
    """Times a factor; a factor of one leaves no step."""

    keys = frozenset({"by"})

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._by = syntax.value(spec.get("by"), f"{path}.by", kind="number")

    def apply(self, scene: Scene, line: LineState) -> None:
        """Amount times factor."""
        factor = number_of(self._by, scene)
        if factor is None:
            self.lack(scene, line, self._by)
            return
        if line.amount is None or factor == 1:
            return
        before = line.amount
        line.amount = before * factor
        self.tell(
            scene,
            line,
            "multiplied",
            f"{spoken(before, 'usd')} × {spoken(factor)} = {spoken(line.amount, 'usd')}",
            _seen(scene, self._by),
        )


class Add(AmountStep):
    """A bonus on the line, if its condition holds."""

    keys = frozenset({"usd", "when"})
    order = 7

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._usd = syntax.value(spec.get("usd"), f"{path}.usd", kind="number")
        self._when = syntax.condition(spec["when"], f"{path}.when") if "when" in spec else None

    def apply(self, scene: Scene, line: LineState) -> None:
        """Add it on a yes; open and due, the line is short of the facts."""
        verdict = YES if self._when is None else self._when.judge(scene)
        saw = scene.seen(self._when.fields()) if scene.is_tracing and self._when else {}
        if self._when is not None and verdict in (UNKNOWN, LATER):
            for lack in self._when.explain(scene):
                scene.find(
                    Finding(
                        rule=self.id,
                        kind=lack.kind,
                        words=lack.words,
                        fix=lack.fix,
                        line=line.name,
                        reference=self.reference,
                        needs=lack.needs,
                        any_one=lack.any_one,
                    )
                )
            self.tell(scene, line, "not added", scene.phrases["bonus_open"], saw)
            return
        if verdict == NO:
            self.tell(scene, line, "not added", scene.phrases["bonus_no"], saw)
            return
        extra = number_of(self._usd, scene)
        if extra is None:
            self.lack(scene, line, self._usd)
        elif line.amount is not None:
            before = line.amount
            line.amount = before + extra
            self.tell(
                scene,
                line,
                "added",
                f"{spoken(before, 'usd')} + {spoken(extra, 'usd')} = {spoken(line.amount, 'usd')}",
                saw,
            )


class Less(AmountStep):
    """Less what another party pays; ``by_owner`` notes it as the owner's part."""

    keys = frozenset({"usd", "by_owner"})

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._usd = syntax.value(spec.get("usd"), f"{path}.usd", kind="number")
        self._by_owner = spec.get("by_owner") is True

    def apply(self, scene: Scene, line: LineState) -> None:
        """Take it off, not below 0."""
        taken = number_of(self._usd, scene)
        if taken is None:
            self.lack(scene, line, self._usd)
            return
        if line.amount is None or taken <= 0:
            return
        before = line.amount
        line.amount = max(before - taken, ZERO)
        if self._by_owner:
            line.owner = (line.owner or ZERO) + before - line.amount
        self.tell(
            scene,
            line,
            "less",
            f"{spoken(before, 'usd')} − {spoken(taken, 'usd')} = {spoken(line.amount, 'usd')}",
            _seen(scene, self._usd),
        )


class Cap(AmountStep):
    """No more than a limit: ``usd`` over all lines of the measure, or a share of a cost."""

    keys = frozenset({"usd", "share", "of"})
    order = 6

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._usd: Source | None = None
        self._share: Source = Constant(Decimal(1), "number")
        if "usd" in spec:
            self._usd = syntax.value(spec["usd"], f"{path}.usd", kind="number")
            if "share" in spec or "of" in spec:
                raise RuleSetFault(path, "a cap has usd, or share and of, not both")
        else:
            self._share = syntax.value(spec.get("share"), f"{path}.share", kind="number")
            self._of = syntax.value(spec.get("of"), f"{path}.of", kind="number")

    @property
    def is_in_cents(self) -> bool:
        """Whether the limit itself is in whole cents, so that rounding may come before it."""
        return self._usd is not None

    def apply(self, scene: Scene, line: LineState) -> None:
        """Keep the amount at or below the limit."""
        if self._usd is not None:
            limit = number_of(self._usd, scene)
            if limit is None:
                self.lack(scene, line, self._usd)
                return
            for other in _earlier(scene, line):
                limit -= other.amount or ZERO
            limit = max(limit, ZERO)
            said = spoken(limit, "usd")
            sources: tuple[Source, ...] = (self._usd,)
        else:
            share, cost = number_of(self._share, scene), number_of(self._of, scene)
            if share is None or cost is None:
                self.lack(scene, line, self._of, self._share)
                return
            limit = share * cost
            said = f"{_percent(share)} × {spoken(cost, 'usd')} = {spoken(limit, 'usd')}"
            sources = (self._of,)
        if line.amount is None:
            return
        before = line.amount
        line.amount = min(before, limit)
        if scene.is_tracing:
            is_cut = line.amount < before
            phrase = "capped" if is_cut else "under_cap"
            self.tell(
                scene,
                line,
                "capped" if is_cut else "within",
                fill_phrase(
                    scene.phrases, phrase, {"before": spoken(before, "usd"), "limit": said}
                ),
                {"amount_usd": plain(before), "cap_usd": plain(limit), **_seen(scene, *sources)},
            )


class Round(AmountStep):
    """◆: whole cents, half up."""

    def apply(self, scene: Scene, line: LineState) -> None:
        """Round; an amount already in cents leaves no step."""
        if line.amount is None:
            return
        before = line.amount
        line.amount = to_cents(before)
        if line.amount != before:
            self.tell(
                scene, line, "rounded", spoken(line.amount, "usd"), {"amount_usd": plain(before)}
            )


AMOUNT_STEPS: dict[str, type[AmountStep]] = {
    "flat": Flat,
    "per_unit": PerUnit,
    "per_unit_by_band": PerUnitByBand,
    "share_of_cost": ShareOfCost,
    "value": Start,
    "multiply": Multiply,
    "add": Add,
    "less": Less,
    "cap": Cap,
    "round": Round,
}


def compile_amount(raw: Any, path: str, syntax: "Syntax") -> tuple[AmountStep, ...]:
    """The steps to an amount: one that sets it first, and whole cents at the end."""
    if not isinstance(raw, list) or not raw:
        raise RuleSetFault(path, "needs a list of steps")
    steps: list[AmountStep] = []
    for index, spec in enumerate(raw):
        where = f"{path}[{index}]"
        do = spec.get("do") if isinstance(spec, dict) else None
        if do not in AMOUNT_STEPS:
            raise RuleSetFault(f"{where}.do", f"needs one of {', '.join(sorted(AMOUNT_STEPS))}")
        steps.append(AMOUNT_STEPS[do](spec, where, syntax))
    if steps[0].do not in _SETTERS:
        raise RuleSetFault(f"{path}[0].do", "the first step has to set the amount")
    if any(step.do in _SETTERS for step in steps[1:]):
        raise RuleSetFault(path, "only the first step sets the amount")
    tail = list(steps)
    while tail and isinstance(tail[-1], Cap) and tail[-1].is_in_cents:
        tail.pop()
    if not tail or tail[-1].do != "round":
        raise RuleSetFault(path, "an amount ends in whole cents: 'round' is missing at the end")
    return tuple(steps)


def _seen(scene: Scene, *sources: Source) -> dict[str, str]:
    if not scene.is_tracing:
        return {}
    return scene.seen(tuple(field for source in sources for field in source.fields()))


def _percent(share: Decimal) -> str:
    return f"{spoken(share * HUNDRED)}%"
