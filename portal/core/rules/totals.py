"""Steps 7 to 9: bonuses on the request, and limits that take from every line in proportion."""

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.amount_step import number_of
from portal.core.rules.amounts import compile_amount
from portal.core.rules.conditions import LATER, NO, YES, Condition
from portal.core.rules.faults import RuleSetFault
from portal.core.rules.gates import rule_id
from portal.core.rules.measures import run_amount
from portal.core.rules.ruling import Finding, Need, Reduction
from portal.core.rules.scene import LineState, Scene
from portal.core.rules.shapes import LINE_CHOICE_KEYS
from portal.core.rules.sources import Source
from portal.core.rules.values import ZERO, plain, spoken, to_cents
from portal.core.rules.words import fill_phrase

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax

_COMMON = {"do", "id", "name", "order", "reference", "due"}


class TotalStep:
    """One step on the whole request."""

    keys: frozenset[str] = frozenset()

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        syntax.only(spec, path, _COMMON | set(self.keys))
        self.id = rule_id(spec, path)
        self.name = str(spec.get("name", self.id))
        self.reference = str(spec.get("reference", ""))
        order = spec.get("order")
        if order not in (7, 8, 9):
            raise RuleSetFault(f"{path}.order", "bonuses are step 7, limits 8 and 9")
        self.order: int = order
        self.due = syntax.due

    def apply(self, scene: Scene) -> None:
        """Change the lines."""
        raise NotImplementedError

    def lack(self, scene: Scene, *sources: Source) -> None:
        """A fact the whole request lacks."""
        fields = [field for source in sources for field in source.missing(scene)]
        labels = ", ".join(dict.fromkeys(field.label for field in fields)) or self.name
        is_due = scene.stage >= self.due
        name = "missing" if is_due else "later"
        words = fill_phrase(scene.phrases, name, {"label": labels})
        scene.find(
            Finding(
                rule=self.id,
                kind=name,
                words=words,
                fix=fill_phrase(scene.phrases, "missing_fix", {"label": labels, "in_unit": ""}),
                reference=self.reference,
                needs=tuple(
                    Need(field.name, field.label, "known", "", "unknown", field.unit)
                    for field in dict.fromkeys(fields)
                ),
            )
        )
        if scene.is_tracing:
            scene.step(
                self.order, self.id, name, f"{self.name}: {words}", saw={}, amount=scene.total
            )


class Bonus(TotalStep):
    """A line of its own: a bundle bonus, an adder, or the amount of a whole package."""

    keys = frozenset({"measure", "when", "amount", "budget", "is_required", "carries_cost"})

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._measure = str(spec.get("measure", self.id))
        self._budget = str(spec.get("budget", "program"))
        self._is_required = spec.get("is_required") is True
        self._when: Condition | None = (
            syntax.condition(spec["when"], f"{path}.when") if "when" in spec else None
        )
        with syntax.inside("line"):
            self._amount = compile_amount(spec.get("amount"), f"{path}.amount", syntax)
        self._cost = (
            syntax.value(spec["carries_cost"], f"{path}.carries_cost", kind="number")
            if "carries_cost" in spec
            else None
        )

    def apply(self, scene: Scene) -> None:
        """Add the line if it is earned; a required one is added in any case."""
        line = LineState(self._measure, self._measure, {}, None)
        line.kind, line.budget = "bonus", self._budget
        verdict = YES if self._when is None else self._when.judge(scene)
        if verdict in (NO, LATER) and not self._is_required:
            if scene.is_tracing and self._when is not None:
                lacks = self._when.explain(scene)
                scene.step(
                    self.order,
                    self.id,
                    "not earned" if verdict == NO else "later",
                    f"{self.name}: " + ". ".join(lack.words for lack in lacks),
                    saw=scene.seen(self._when.fields()),
                    amount=scene.total,
                )
            return
        scene.line = line
        if verdict != YES and self._when is not None:
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
        if verdict in (YES, LATER):
            run_amount(scene, line, self._amount)
        elif verdict == NO:
            line.amount = ZERO
        if self._cost is not None:
            line.eligible = number_of(self._cost, scene)
        line.is_done = True
        if line.amount is None:
            # A package that has no amount and no missing fact of its own is kept from one by a
            # line or gate that has already said why.
            line.worsen("shortfall")
        scene.line = None
        if line.outcome == "denied" and not self._is_required:
            scene.findings = [found for found in scene.findings if found.line != line.name]
            return
        scene.lines.append(line)
        scene.named[line.name] = line
        if scene.is_tracing:
            scene.step(
                self.order,
                self.id,
                line.outcome if line.amount is None else "added",
                f"{self.name}: {spoken(line.amount, 'usd')}",
                saw={"amount_usd": plain(line.amount)},
                amount=scene.total,
            )


class Limit(TotalStep):
    """No more than a limit for the lines chosen; what is above it is taken in proportion."""

    keys = frozenset({"to", "when"} | LINE_CHOICE_KEYS)

    def __init__(self, spec: dict[str, Any], path: str, syntax: "Syntax") -> None:
        super().__init__(spec, path, syntax)
        self._to = syntax.value(spec.get("to"), f"{path}.to", kind="number")
        self._when = syntax.condition(spec["when"], f"{path}.when") if "when" in spec else None
        self._chosen = syntax.line_choice(spec, path)

    def apply(self, scene: Scene) -> None:
        """Reduce to the limit."""
        if self._when is not None and self._when.judge(scene) == NO:
            return
        lines = [line for line in scene.lines if line.is_counted and self._chosen(scene, line)]
        if not lines:
            return
        limit = number_of(self._to, scene)
        if limit is None:
            self.lack(scene, self._to)
            return
        take_to(scene, self, lines, to_cents(max(limit, ZERO)), self._to.fields())


class Deduct(Limit):
    """Less an amount already paid elsewhere, not below 0; ``to`` is what is taken off."""

    def apply(self, scene: Scene) -> None:
        """Take the amount off."""
        lines = [line for line in scene.lines if line.is_counted and self._chosen(scene, line)]
        taken = number_of(self._to, scene)
        if taken is None:
            self.lack(scene, self._to)
            return
        if not lines or taken <= 0:
            return
        total = sum((line.amount or ZERO for line in lines), start=ZERO)
        limit = to_cents(max(total - taken, ZERO))
        take_to(scene, self, lines, limit, self._to.fields())


def take_to(
    scene: Scene,
    step: TotalStep,
    lines: list[LineState],
    limit: Decimal,
    shown: tuple[Source, ...],
) -> None:
    """Lower the lines in proportion (◆, the last line the remainder) to sum to the limit."""
    before = sum((line.amount or ZERO for line in lines), start=ZERO)
    taken = max(before - limit, ZERO)
    if taken:
        parts = share_out(limit, [line.amount or ZERO for line in lines])
        for line, part in zip(lines, parts, strict=True):
            lower(scene, step, line, part)
    if scene.is_tracing:
        words = {
            "name": step.name,
            "limit": spoken(limit, "usd"),
            "taken": spoken(taken, "usd"),
        }
        scene.step(
            step.order,
            step.id,
            "reduced" if taken else "within",
            fill_phrase(scene.phrases, "reduced" if taken else "within", words),
            saw={
                **scene.seen(shown),
                "amount_usd": plain(before),
                "limit_usd": plain(limit),
                "taken_usd": plain(taken),
            },
            amount=scene.total,
        )


def lower(scene: Scene, step: TotalStep, line: LineState, amount: Decimal) -> None:
    """Set a line's amount lower and say by which limit; left with nothing it is denied."""
    taken = (line.amount or ZERO) - amount
    if not taken:
        return
    line.amount = amount
    line.reductions.append(Reduction(step.id, step.name, taken))
    if amount <= 0:
        outer, scene.line = scene.line, line
        scene.find(
            Finding(
                rule=step.id,
                kind="failed",
                words=fill_phrase(scene.phrases, "nothing_left", {"amount": spoken(amount, "usd")}),
                line=line.name,
                reference=step.reference,
            )
        )
        scene.line = outer


def share_out(total: Decimal, weights: list[Decimal]) -> list[Decimal]:
    """A total in whole cents in proportion to the weights; the last part is the remainder.

    Where cents rounded up along the way leave the last part below 0 or above its weight, the
    parts before it give or take, so that no part is negative or grows.
    """
    whole = sum(weights, start=ZERO)
    if whole <= 0:
        return [ZERO for _ in weights]
    parts = [to_cents(total * weight / whole) for weight in weights[:-1]]
    parts.append(total - sum(parts, start=ZERO))
    last = len(parts) - 1
    excess = max(parts[last] - weights[last], ZERO) + min(parts[last], ZERO)
    parts[last] -= excess
    for index in range(last - 1, -1, -1):
        if not excess:
            break
        moved = min(max(parts[index] + excess, ZERO), weights[index])
        excess -= moved - parts[index]
        parts[index] = moved
    return parts
