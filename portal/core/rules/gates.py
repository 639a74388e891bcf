"""Gates: conditions of a household, a site or a line, and what follows when one is not met."""

from typing import TYPE_CHECKING, Any

from portal.core.rules.conditions import LATER, NO, UNKNOWN, YES, Shortcoming
from portal.core.rules.faults import RuleSetFault
from portal.core.rules.ruling import Finding, Need
from portal.core.rules.scene import Scene
from portal.core.rules.words import Template, compile_template

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax

# What a gate that is not met makes of it: a no, a wait, a written deferral, or only a question.
EFFECTS = {"deny": "failed", "hold": "held", "defer": "deferred", "ask": "asked"}

_KEYS = {
    "id", "title", "condition", "effect", "when_unknown", "due", "words", "reference",
    "alternatives", "ask",
}  # fmt: skip
_WORDS = {"passes", "fails", "missing", "later", "fix"}
_SAID = {NO: "failed", UNKNOWN: "missing", LATER: "later", YES: "passed"}


class Gate:
    """One named condition with its words, its reference, and whom to ask about it."""

    def __init__(self, spec: Any, path: str, syntax: "Syntax", texts: dict[str, Any]) -> None:
        syntax.only(spec, path, _KEYS)
        self.id = rule_id(spec, path)
        self.title = str(spec.get("title", ""))
        self.reference = str(spec.get("reference", ""))
        effect = spec.get("effect", "deny")
        if effect not in EFFECTS:
            raise RuleSetFault(f"{path}.effect", f"needs one of {', '.join(EFFECTS)}")
        self.effect: str = effect
        when_unknown = spec.get("when_unknown", "shortfall")
        if when_unknown not in {"shortfall", "pass"}:
            raise RuleSetFault(f"{path}.when_unknown", "needs shortfall or pass")
        self._passes_unknown = when_unknown == "pass"
        with syntax.due_at(spec.get("due"), path):
            self.condition = syntax.condition(spec.get("condition"), f"{path}.condition")
        self.alternatives = tuple(spec.get("alternatives", ()))
        self.contact = str(spec.get("ask", ""))
        for key in (*self.alternatives, *([self.contact] if self.contact else ())):
            if key not in texts:
                raise RuleSetFault(path, f"{key!r} is not among the texts")
        words = spec.get("words", {})
        syntax.only(words, f"{path}.words", _WORDS)
        self._words: dict[str, Template] = {
            name: compile_template(raw, f"{path}.words.{name}", syntax.sources, ())
            for name, raw in words.items()
        }
        self._shown = self.condition.fields()

    def ask(self, scene: Scene, order: int) -> int:
        """Judge the gate, note what is not met, write the step."""
        verdict = self.condition.judge(scene)
        if verdict == UNKNOWN and self._passes_unknown:
            verdict = LATER
        lacks: list[Shortcoming] = []
        if verdict != YES:
            lacks = self._put_in_words(scene, verdict, self.condition.explain(scene))
            for lack in lacks:
                self._note(scene, verdict, lack)
        if scene.is_tracing:
            said = _SAID[verdict]
            if verdict == NO and self.effect != "deny":
                said = EFFECTS[self.effect]
            passes = self._words.get("passes")
            words = (
                ". ".join(dict.fromkeys(lack.words for lack in lacks))
                if lacks
                else passes.fill(scene)
                if passes is not None
                else scene.phrases["passes"]
            )
            scene.step(
                order,
                self.id,
                said,
                f"{self.title}: {words}" if self.title else words,
                saw=scene.seen(self._shown, with_unknown=verdict in (UNKNOWN, LATER)),
            )
        return verdict

    def _put_in_words(
        self, scene: Scene, verdict: int, lacks: list[Shortcoming]
    ) -> list[Shortcoming]:
        """The gate's own words in place of those of its parts, where it has some."""
        template = self._words.get({NO: "fails", UNKNOWN: "missing", LATER: "later"}[verdict])
        fix = self._words.get("fix")
        if template is None:
            if fix is None:
                return lacks
            said = fix.fill(scene)
            return [
                Shortcoming(lack.kind, lack.words, said, lack.needs, lack.any_one) for lack in lacks
            ]
        needs: tuple[Need, ...] = tuple(
            dict.fromkeys(need for lack in lacks for need in lack.needs)
        )
        remedy = (
            fix.fill(scene)
            if fix is not None
            else ". ".join(lack.fix for lack in lacks if lack.fix)
        )
        any_one = any(lack.any_one for lack in lacks)
        return [Shortcoming(_SAID[verdict], template.fill(scene), remedy, needs, any_one)]

    def _note(self, scene: Scene, verdict: int, lack: Shortcoming) -> None:
        kind = lack.kind
        if kind == "failed":
            kind = EFFECTS[self.effect]
        if self.effect == "ask":
            kind = "asked"
        elif kind == "missing" and verdict == LATER:
            kind = "later"
        scene.find(
            Finding(
                rule=self.id,
                kind=kind,
                words=lack.words,
                fix=lack.fix,
                line=scene.line.name if scene.line is not None else "",
                reference=self.reference,
                needs=lack.needs,
                any_one=lack.any_one,
                alternatives=self.alternatives,
                ask=self.contact,
            )
        )


def rule_id(spec: Any, path: str) -> str:
    """The id of a rule: small letters, digits, dots and underscores."""
    raw = spec.get("id") if isinstance(spec, dict) else None
    if not isinstance(raw, str) or not raw.replace(".", "").replace("_", "").isalnum():
        raise RuleSetFault(f"{path}.id", "needs an id of letters, digits, dots and underscores")
    return raw


def compile_gates(raw: Any, path: str, syntax: "Syntax", texts: dict[str, Any]) -> tuple[Gate, ...]:
    """A list of gates."""
    if not isinstance(raw, list):
        raise RuleSetFault(path, "needs a list of gates")
    return tuple(Gate(item, f"{path}[{index}]", syntax, texts) for index, item in enumerate(raw))
