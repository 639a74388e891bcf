"""Conditions in a logic of yes, no and not known.

Four verdicts, ordered so that *all* is the least and *any* the greatest of the parts:
no < unknown (a fact due now is missing) < later (it is not due at this stage) < yes.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.faults import RuleSetFault
from portal.core.rules.ruling import Need
from portal.core.rules.scene import LineState, Scene
from portal.core.rules.sources import Field, Source
from portal.core.rules.values import Value, spoken
from portal.core.rules.words import Template, fill_phrase

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax

NO, UNKNOWN, LATER, YES = 0, 1, 2, 3
VERDICTS = ("no", "unknown", "later", "yes")

# The words a comparison hands to its own templates.
SUPPLIED = ("had", "needed", "unit", "whole", "percent", "label")


@dataclass(frozen=True, slots=True)
class Shortcoming:
    """Why a condition is not met: failed, missing or later, in words, with what would fix it."""

    kind: str
    words: str
    fix: str
    needs: tuple[Need, ...]
    any_one: bool = False


class Condition:
    """One condition or group of them."""

    parts: "tuple[Condition, ...]" = ()

    def judge(self, scene: Scene) -> int:
        """NO, UNKNOWN, LATER or YES."""
        raise NotImplementedError

    def explain(self, scene: Scene) -> list[Shortcoming]:
        """Every shortcoming at once; empty for a yes."""
        raise NotImplementedError

    def missing(self, scene: Scene) -> list[Field]:
        """The facts that keep it from an answer."""
        found: list[Field] = []
        for part in self.parts:
            if part.judge(scene) in (UNKNOWN, LATER):
                found += [field for field in part.missing(scene) if field not in found]
        return found

    def fields(self) -> tuple[Source, ...]:
        """What a trace shows as seen."""
        shown: list[Source] = []
        for part in self.parts:
            shown += [field for field in part.fields() if field not in shown]
        return tuple(shown)


class All(Condition):
    """Every part must hold."""

    def __init__(self, parts: tuple[Condition, ...]) -> None:
        self.parts = parts

    def judge(self, scene: Scene) -> int:
        """The least of the parts."""
        verdict = YES
        for part in self.parts:
            verdict = min(verdict, part.judge(scene))
            if verdict == NO:
                break
        return verdict

    def explain(self, scene: Scene) -> list[Shortcoming]:
        """The shortcomings of every part."""
        return [lack for part in self.parts for lack in part.explain(scene)]


class Any_(Condition):  # noqa: N801  # `Any` is taken by typing
    """One part must hold."""

    def __init__(self, parts: tuple[Condition, ...]) -> None:
        self.parts = parts

    def judge(self, scene: Scene) -> int:
        """The greatest of the parts."""
        verdict = NO
        for part in self.parts:
            verdict = max(verdict, part.judge(scene))
            if verdict == YES:
                break
        return verdict

    def explain(self, scene: Scene) -> list[Shortcoming]:
        """One shortcoming that lists what would do; the undecided parts where there are some."""
        verdict = self.judge(scene)
        if verdict == YES:
            return []
        lacks = [
            lack
            for part in self.parts
            if part.judge(scene) == verdict
            for lack in part.explain(scene)
        ]
        joint = f" {scene.phrases['or']} "
        return [
            Shortcoming(
                kind=_KINDS[verdict],
                words=joint.join(dict.fromkeys(lack.words for lack in lacks)),
                fix=joint.join(dict.fromkeys(lack.fix for lack in lacks if lack.fix)),
                needs=tuple(dict.fromkeys(need for lack in lacks for need in lack.needs)),
                any_one=len(lacks) > 1,
            )
        ]


class Not(Condition):
    """The part must not hold."""

    def __init__(self, part: Condition, words: "LeafWords") -> None:
        self.parts = (part,)
        self._words = words

    def judge(self, scene: Scene) -> int:
        """Yes and no change places; an open answer stays open."""
        verdict = self.parts[0].judge(scene)
        return YES - verdict if verdict in (NO, YES) else verdict

    def explain(self, scene: Scene) -> list[Shortcoming]:
        """Its own words for a no, the part's for an open answer."""
        verdict = self.judge(scene)
        if verdict == YES:
            return []
        if verdict != NO:
            return self.parts[0].explain(scene)
        label = ", ".join(source.label for source in self.parts[0].fields())
        words = self._words.say(scene, "fails", {}) or fill_phrase(
            scene.phrases, "not", {"inner": label}
        )
        return [Shortcoming("failed", words, self._words.say(scene, "fix", {}), ())]


class LeafWords:
    """The words a single condition brings along."""

    __slots__ = ("_templates",)

    NAMES = ("passes", "fails", "missing", "later", "fix")

    def __init__(self, templates: Mapping[str, Template]) -> None:
        self._templates = templates

    def say(self, scene: Scene, name: str, supplied: Mapping[str, str]) -> str:
        """The words under that name, or nothing."""
        template = self._templates.get(name)
        return template.fill(scene, supplied) if template is not None else ""


_KINDS = {NO: "failed", UNKNOWN: "missing", LATER: "later"}


class Leaf(Condition):
    """A single comparison: words, stage at which its facts are due, explanation."""

    test: str
    subject: Source

    def __init__(self, *, due: int, words: LeafWords) -> None:
        self._due = due
        self._words = words

    def decide(self, scene: Scene) -> int:
        """NO, UNKNOWN or YES on the facts alone."""
        raise NotImplementedError

    def supplied(self, scene: Scene) -> dict[str, str]:
        """What the comparison hands to its words."""
        raise NotImplementedError

    def sources(self) -> tuple[Source, ...]:
        """The values compared."""
        return (self.subject,)

    def judge(self, scene: Scene) -> int:
        """The answer; unknown counts as later while the facts are not due."""
        verdict = self.decide(scene)
        if verdict == UNKNOWN and scene.stage < self._due:
            return LATER
        return verdict

    def missing(self, scene: Scene) -> list[Field]:
        """The facts behind the values compared."""
        found: list[Field] = []
        for source in self.sources():
            found += [field for field in source.missing(scene) if field not in found]
        return found

    def fields(self) -> tuple[Source, ...]:
        """The facts behind the values compared, and the values."""
        shown: list[Source] = []
        for source in self.sources():
            shown += [field for field in source.fields() if field not in shown]
        return tuple(shown)

    def kept(self, scene: Scene, supplied: Mapping[str, str]) -> tuple[str, str]:
        """What was needed and what was had, as they are kept beside the words."""
        return supplied["needed"], supplied["had"]

    def explain(self, scene: Scene) -> list[Shortcoming]:
        """One shortcoming, in the rule's own words or the package's."""
        verdict = self.judge(scene)
        if verdict == YES:
            return []
        supplied = self.supplied(scene)
        if verdict == NO:
            words = self._words.say(scene, "fails", supplied) or fill_phrase(
                scene.phrases, self.test, supplied
            )
            fix = self._words.say(scene, "fix", supplied) or fill_phrase(
                scene.phrases, "fix", supplied
            )
            needed, had = self.kept(scene, supplied)
            needs: tuple[Need, ...] = (
                Need(
                    field=self.subject.name,
                    label=supplied["label"],
                    test=self.test,
                    needed=needed,
                    had=had,
                    unit=supplied["unit"].strip(),
                ),
            )
            return [Shortcoming("failed", words, fix, needs)]
        lacking = self.missing(scene) or [
            field for field in self.subject.fields() if isinstance(field, Field)
        ]
        labels = ", ".join(field.label for field in lacking) or supplied["label"]
        units = {field.unit for field in lacking if field.unit and field.unit != "usd"}
        in_unit = f" ({units.pop()})" if len(units) == 1 else ""
        filled = {**supplied, "label": labels, "in_unit": in_unit}
        name = "missing" if verdict == UNKNOWN else "later"
        words = self._words.say(scene, name, filled) or fill_phrase(scene.phrases, name, filled)
        fix = self._words.say(scene, "fix", filled) or fill_phrase(
            scene.phrases, "missing_fix", filled
        )
        needs = tuple(
            Need(field.name, field.label, "known", "", "unknown", field.unit) for field in lacking
        )
        return [Shortcoming(_KINDS[verdict], words, fix, needs)]


class OverEntries(Condition):
    """Some or none of a list's entries meet a condition."""

    def __init__(
        self, listed: "ListField", where: Condition, *, is_none: bool, due: int, words: LeafWords
    ) -> None:
        self._list = listed
        self._where = where
        self._is_none = is_none
        self._due = due
        self._words = words

    def _some(self, scene: Scene) -> int:
        entries = self._list.entries(scene)
        if entries is None:
            return UNKNOWN
        verdict = NO
        outer = scene.item
        for entry in entries:
            scene.item = entry
            verdict = max(verdict, self._where.judge(scene))
            if verdict == YES:
                break
        scene.item = outer
        return UNKNOWN if verdict == LATER else verdict

    def judge(self, scene: Scene) -> int:
        """Whether some, or none, of the entries meet it."""
        verdict = self._some(scene)
        if verdict == UNKNOWN:
            return LATER if scene.stage < self._due else UNKNOWN
        return YES - verdict if self._is_none else verdict

    def missing(self, scene: Scene) -> list[Field]:
        """The list, or what its open entries lack."""
        entries = self._list.entries(scene)
        if entries is None:
            return [self._list]
        found: list[Field] = []
        outer = scene.item
        for entry in entries:
            scene.item = entry
            if self._where.judge(scene) in (UNKNOWN, LATER):
                found += [field for field in self._where.missing(scene) if field not in found]
        scene.item = outer
        return found

    def fields(self) -> tuple[Source, ...]:
        """The list, by how many entries it has."""
        return (self._list,)

    def explain(self, scene: Scene) -> list[Shortcoming]:
        """The entry in the way, or that none is there."""
        verdict = self.judge(scene)
        if verdict == YES:
            return []
        supplied = {"label": self._list.label, "in_unit": ""}
        if verdict == NO:
            outer = scene.item
            for entry in self._list.entries(scene) or ():
                if self._is_none:
                    scene.item = entry
                    if self._where.judge(scene) == YES:
                        break
            name = "no_item_of" if self._is_none else "some_item_of"
            words = self._words.say(scene, "fails", supplied) or fill_phrase(
                scene.phrases, name, supplied
            )
            fix = self._words.say(scene, "fix", supplied)
            scene.item = outer
            need = Need(self._list.name, self._list.label, name, "", "")
            return [Shortcoming("failed", words, fix, (need,))]
        lacking = self.missing(scene)
        filled = {"label": ", ".join(field.label for field in lacking), "in_unit": ""}
        name = "missing" if verdict == UNKNOWN else "later"
        words = self._words.say(scene, name, filled) or fill_phrase(scene.phrases, name, filled)
        fix = self._words.say(scene, "fix", filled) or fill_phrase(
            scene.phrases, "missing_fix", filled
        )
        needs = tuple(
            Need(field.name, field.label, "known", "", "unknown", field.unit) for field in lacking
        )
        return [Shortcoming(_KINDS[verdict], words, fix, needs)]


class PaidMeasures(Condition):
    """At least so many of the named measures are among the paid lines of this request."""

    def __init__(
        self,
        measures: frozenset[str],
        count: int,
        words: LeafWords,
        matching: tuple[Source, Source] | None = None,
    ) -> None:
        self._measures = measures
        self._count = count
        self._words = words
        self._matching = matching

    def _meant(self, scene: Scene) -> list[LineState]:
        """The lines of these measures; with ``matching`` those that name the same thing."""
        lines = [line for line in scene.lines if line.measure in self._measures]
        if self._matching is None:
            return lines
        theirs, mine = self._matching
        wanted = mine.read(scene)
        return [line for line in lines if wanted is not None and at(scene, line, theirs) == wanted]

    def judge(self, scene: Scene) -> int:
        """Open while a line that could still be paid has no answer."""
        paid: set[str] = set()
        open_: set[str] = set()
        for line in self._meant(scene):
            if line.is_done and line.is_counted:
                paid.add(line.measure)
            elif not line.is_done or line.outcome == "shortfall":
                open_.add(line.measure)
        if len(paid) >= self._count:
            return YES
        return UNKNOWN if len(paid | open_) >= self._count else NO

    def missing(self, scene: Scene) -> list[Field]:
        """Nothing of its own: the open lines report what they lack."""
        return []

    def explain(self, scene: Scene) -> list[Shortcoming]:
        """Which jobs would have to be paid."""
        verdict = self.judge(scene)
        if verdict == YES:
            return []
        supplied = {"needed": ", ".join(spoken(name) for name in sorted(self._measures))}
        name = "fails" if verdict == NO else "missing"
        words = self._words.say(scene, name, supplied) or fill_phrase(
            scene.phrases, "paid", supplied
        )
        return [Shortcoming(_KINDS[verdict], words, self._words.say(scene, "fix", supplied), ())]


class OnRequest(Condition):
    """A measure is among those the request asks for."""

    def __init__(self, measure: Source, words: LeafWords) -> None:
        self._measure = measure
        self._words = words

    def judge(self, scene: Scene) -> int:
        """Unknown only where the measure is."""
        measure = self._measure.read(scene)
        if measure is None:
            return UNKNOWN
        return YES if any(line.measure == measure for line in scene.lines) else NO

    def missing(self, scene: Scene) -> list[Field]:
        """The measure's own field."""
        return self._measure.missing(scene)

    def fields(self) -> tuple[Source, ...]:
        """The measure asked about."""
        return self._measure.fields()

    def explain(self, scene: Scene) -> list[Shortcoming]:
        """The measure that would have to be there."""
        verdict = self.judge(scene)
        if verdict == YES:
            return []
        supplied = {"label": self._measure.label, "had": spoken(self._measure.read(scene))}
        name = "fails" if verdict == NO else "missing"
        words = self._words.say(scene, name, supplied) or fill_phrase(
            scene.phrases, "in_request" if verdict == NO else "missing", supplied
        )
        return [Shortcoming(_KINDS[verdict], words, self._words.say(scene, "fix", supplied), ())]


class ListField(Field):
    """A list of the facts document, its entries mappings."""

    __slots__ = ()

    def entries(self, scene: Scene) -> list[Mapping[str, Any]] | None:
        """The entries; None where there is no list. An entry that is no mapping reads as empty."""
        raw = scene.facts.get(self.name)
        if not isinstance(raw, list | tuple):
            return None
        return [entry if isinstance(entry, Mapping) else {} for entry in raw]

    @property
    def short(self) -> str:
        """The list's own name."""
        return self.name

    def read(self, scene: Scene) -> Value | None:
        """How many entries it has."""
        entries = self.entries(scene)
        return None if entries is None else Decimal(len(entries))


def at(scene: Scene, line: LineState, source: Source) -> Value | None:
    """A value read at another line."""
    outer, scene.line = scene.line, line
    value = source.read(scene)
    scene.line = outer
    return value


def join(spec: Any, path: str, syntax: "Syntax") -> tuple[Condition, ...]:
    """The parts of a group."""
    if not isinstance(spec, list) or not spec:
        raise RuleSetFault(path, "needs a list of conditions")
    return tuple(syntax.condition(item, f"{path}[{index}]") for index, item in enumerate(spec))
