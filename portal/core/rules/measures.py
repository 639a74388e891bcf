"""The rules of one measure, or of several that share them, and a line's way through them."""

from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from portal.core.rules.amount_step import AmountStep
from portal.core.rules.amounts import compile_amount
from portal.core.rules.faults import RuleSetFault
from portal.core.rules.gates import Gate, compile_gates
from portal.core.rules.ruling import Finding, Need
from portal.core.rules.scene import LineState, Scene
from portal.core.rules.sources import Source
from portal.core.rules.values import ZERO, plain, spoken
from portal.core.rules.words import fill_phrase

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax

_KEYS = {
    "title", "covers", "class", "budget", "gates", "late_gates", "eligible_cost", "cost_reference",
    "amount",
}  # fmt: skip


class MeasureRule:
    """Gates, eligible cost and amount of a measure.

    Without ``amount`` the line only carries cost into a package, which pays for it.
    """

    def __init__(
        self,
        name: str,
        spec: Any,
        path: str,
        syntax: "Syntax",
        texts: dict[str, Any],
        line_gates: tuple[Gate, ...] = (),
    ) -> None:
        syntax.only(spec, path, _KEYS)
        self.name = name
        self.title = str(spec.get("title", name.replace("_", " ")))
        covers = spec.get("covers", [name])
        if not isinstance(covers, list) or not all(isinstance(item, str) for item in covers):
            raise RuleSetFault(f"{path}.covers", "needs a list of measures")
        self.covers: tuple[str, ...] = tuple(covers)
        self.klass = str(spec.get("class", name))
        self.budget = str(spec.get("budget", "program"))
        self.reference = str(spec.get("cost_reference", ""))
        with syntax.inside("line"):
            self.gates: tuple[Gate, ...] = (
                *line_gates,
                *compile_gates(spec.get("gates", []), f"{path}.gates", syntax, texts),
            )
            self.late_gates: tuple[Gate, ...] = compile_gates(
                spec.get("late_gates", []), f"{path}.late_gates", syntax, texts
            )
            self.eligible: Source = syntax.value(
                spec.get("eligible_cost"), f"{path}.eligible_cost", kind="number"
            )
            self.amount: tuple[AmountStep, ...] = (
                compile_amount(spec["amount"], f"{path}.amount", syntax) if "amount" in spec else ()
            )


def line_states(scene: Scene, rules: Mapping[str, MeasureRule]) -> list[LineState]:
    """The lines of the facts, each with its rules; an entry that is no line is a refused line."""
    raw = scene.facts.get("lines")
    states: list[LineState] = []
    for index, entry in enumerate(raw if isinstance(raw, list | tuple) else ()):
        facts = entry if isinstance(entry, dict) else {}
        measure = facts.get("measure")
        name = facts.get("line")
        known = measure if isinstance(measure, str) else ""
        state = LineState(
            name if isinstance(name, str) and name else str(index + 1),
            known or "unnamed",
            facts,
            rules.get(known),
        )
        if state.rule is not None:
            state.kind = "measure" if state.rule.amount else "cost"
            state.budget = state.rule.budget
        states.append(state)
    return states


def work_out(scene: Scene, line: LineState) -> None:
    """Steps 3 to 6 (and bonuses inside a line) for one line."""
    scene.line = line
    rule = line.rule
    if rule is None:
        words = fill_phrase(
            scene.phrases, "no_measure", {"measure": line.measure.replace("_", " ")}
        )
        scene.find(Finding(rule="measure", kind="failed", words=words, line=line.name))
        if scene.is_tracing:
            scene.step(3, "measure", "failed", words, saw={"measure": line.measure})
    else:
        for gate in rule.gates:
            gate.ask(scene, 3)
        _cost(scene, line, rule)
        _amount(scene, line, rule)
    line.is_done = True
    scene.line = None


def _cost(scene: Scene, line: LineState, rule: MeasureRule) -> None:
    value = rule.eligible.read(scene)
    rule_id = f"{rule.name}.eligible_cost"
    if value is None:
        fields = rule.eligible.missing(scene)
        labels = ", ".join(field.label for field in fields)
        scene.find(
            Finding(
                rule=rule_id,
                kind="missing",
                words=fill_phrase(scene.phrases, "missing", {"label": labels}),
                fix=fill_phrase(scene.phrases, "missing_fix", {"label": labels, "in_unit": ""}),
                line=line.name,
                reference=rule.reference,
                needs=tuple(
                    Need(field.name, field.label, "known", "", "unknown", field.unit)
                    for field in fields
                ),
            )
        )
        return
    line.eligible = value  # type: ignore[assignment]  # the loader made sure it is a number
    if line.eligible is not None and line.eligible <= 0:
        scene.find(
            Finding(
                rule=rule_id,
                kind="failed",
                words=fill_phrase(
                    scene.phrases, "no_cost", {"amount": spoken(line.eligible, "usd")}
                ),
                line=line.name,
                reference=rule.reference,
                needs=(
                    Need("line.eligible_usd", "eligible cost", "above", "0", plain(value), "usd"),
                ),
            )
        )
    if scene.is_tracing:
        scene.step(
            4,
            rule_id,
            "set",
            fill_phrase(scene.phrases, "eligible_cost", {"amount": spoken(value, "usd")}),
            saw={**scene.seen(rule.eligible.fields()), "eligible_usd": plain(value)},
        )


def _amount(scene: Scene, line: LineState, rule: MeasureRule) -> None:
    if not rule.amount:
        line.amount = ZERO
        return
    # A denied line is worked through for what else it lacks, but its amounts are not told.
    was_tracing = scene.is_tracing
    scene.is_tracing = was_tracing and not line.is_denied
    run_amount(scene, line, rule.amount)
    scene.is_tracing = was_tracing
    if line.is_denied:
        line.amount = ZERO
        if was_tracing:
            scene.step(
                6,
                f"{rule.name}.amount",
                line.outcome,
                scene.phrases["nothing_paid"],
                saw={},
                amount=ZERO,
            )


def run_amount(scene: Scene, line: LineState, steps: tuple[AmountStep, ...]) -> None:
    """Work the steps; an amount that comes to nothing is a no."""
    for step in steps:
        step.apply(scene, line)
        if line.amount is None:
            break
    line.calculated = line.amount
    if line.amount is not None and line.amount <= 0 and not line.is_denied:
        words = fill_phrase(scene.phrases, "no_amount", {"amount": spoken(line.amount, "usd")})
        line.amount = ZERO
        scene.find(Finding(rule=steps[0].id, kind="failed", words=words, line=line.name))


def ask_late(scene: Scene, line: LineState) -> None:
    """Gates of a line that look at the other lines' results."""
    if line.rule is None or not line.rule.late_gates:
        return
    scene.line = line
    for gate in line.rule.late_gates:
        gate.ask(scene, 6)
    scene.line = None
    if line.is_denied:
        line.amount = ZERO
