"""Amounts of a line as a short list of typed steps, each of them one step of the trace.

``flat``, ``per_unit``, ``per_unit_by_band`` and ``share_of_cost`` set the amount; ``multiply``,
``add``, ``less`` and ``cap`` change it; ``round`` is the marked place (◆) where it becomes whole
cents. Nothing else rounds.
"""

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.amount_step import AmountStep, earlier, number_of, percent, seen
from portal.core.rules.conditions import LATER, NO, UNKNOWN, YES
from portal.core.rules.faults import RuleSetFault
from portal.core.rules.rates import SETTERS
from portal.core.rules.ruling import Finding
from portal.core.rules.scene import LineState, Scene
from portal.core.rules.sources import Constant, Source
from portal.core.rules.values import ZERO, plain, spoken, to_cents
from portal.core.rules.words import fill_phrase

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax


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
        if not scene.is_tracing:
            return
        self.tell(
            scene,
            line,
            "multiplied",
            f"{spoken(before, 'usd')} × {spoken(factor)} = {spoken(line.amount, 'usd')}",
            seen(scene, self._by),
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
            if not scene.is_tracing:
                return
            self.tell(scene, line, "not added", scene.phrases["bonus_open"], saw)
            return
        if verdict == NO:
            if not scene.is_tracing:
                return
            self.tell(scene, line, "not added", scene.phrases["bonus_no"], saw)
            return
        extra = number_of(self._usd, scene)
        if extra is None:
            self.lack(scene, line, self._usd)
        elif line.amount is not None:
            before = line.amount
            line.amount = before + extra
            if not scene.is_tracing:
                return
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
        if not scene.is_tracing:
            return
        self.tell(
            scene,
            line,
            "less",
            f"{spoken(before, 'usd')} − {spoken(taken, 'usd')} = {spoken(line.amount, 'usd')}",
            seen(scene, self._usd),
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
            sources: tuple[Source, ...] = (self._usd,)
            if limit is not None:
                for other in earlier(scene, line):
                    limit -= other.amount or ZERO
                limit = max(limit, ZERO)
        else:
            share, cost = number_of(self._share, scene), number_of(self._of, scene)
            sources = (self._of, self._share)
            limit = share * cost if share is not None and cost is not None else None
        if limit is None:
            self.lack(scene, line, *sources)
            return
        if line.amount is None:
            return
        before = line.amount
        line.amount = min(before, limit)
        if not scene.is_tracing:
            return
        is_cut = line.amount < before
        words = {"before": spoken(before, "usd"), "limit": self._said(scene, limit)}
        self.tell(
            scene,
            line,
            "capped" if is_cut else "within",
            fill_phrase(scene.phrases, "capped" if is_cut else "under_cap", words),
            {
                "amount_usd": plain(before),
                "cap_usd": plain(limit),
                **seen(scene, *sources),
            },
        )

    def _said(self, scene: Scene, limit: Decimal) -> str:
        if self._usd is not None:
            return spoken(limit, "usd")
        share, cost = number_of(self._share, scene) or ZERO, number_of(self._of, scene)
        return f"{percent(share)} × {spoken(cost, 'usd')} = {spoken(limit, 'usd')}"


class Round(AmountStep):
    """◆: whole cents, half up."""

    def apply(self, scene: Scene, line: LineState) -> None:
        """Round; an amount already in cents leaves no step."""
        if line.amount is None:
            return
        before = line.amount
        line.amount = to_cents(before)
        if line.amount != before:
            if not scene.is_tracing:
                return
            self.tell(
                scene, line, "rounded", spoken(line.amount, "usd"), {"amount_usd": plain(before)}
            )


AMOUNT_STEPS: dict[str, type[AmountStep]] = {
    **SETTERS,
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
    if steps[0].do not in SETTERS:
        raise RuleSetFault(f"{path}[0].do", "the first step has to set the amount")
    if any(step.do in SETTERS for step in steps[1:]):
        raise RuleSetFault(path, "only the first step sets the amount")
    tail = list(steps)
    while tail and isinstance(tail[-1], Cap) and tail[-1].is_in_cents:
        tail.pop()
    if not tail or tail[-1].do != "round":
        raise RuleSetFault(path, "an amount ends in whole cents: 'round' is missing at the end")
    return tuple(steps)
