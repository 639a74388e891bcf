"""The single comparisons: numbers, words, flags and days."""

from collections.abc import Mapping
from datetime import date
from decimal import ROUND_CEILING, ROUND_FLOOR, ROUND_HALF_EVEN, Decimal
from typing import Any

from portal.core.rules.conditions import NO, UNKNOWN, YES, Leaf
from portal.core.rules.scene import Scene
from portal.core.rules.sources import Source
from portal.core.rules.values import (
    DIGITS,
    FINEST,
    HUNDRED,
    Days,
    Value,
    add_days,
    add_months,
    plain,
    rounded,
    spoken,
    spoken_unit,
)


class Comparison(Leaf):
    """A number against a number, unrounded; with ``of`` the limit is a percentage of another."""

    def __init__(
        self, test: str, subject: Source, limit: Source, whole: Source | None, **shared: Any
    ) -> None:
        super().__init__(**shared)
        self.test = test
        self.subject = subject
        self._limit = limit
        self._whole = whole

    def sources(self) -> tuple[Source, ...]:
        """Subject, limit and whole."""
        whole = (self._whole,) if self._whole is not None else ()
        return (self.subject, self._limit, *whole)

    def decide(self, scene: Scene) -> int:
        """Compare exactly: by products, never by a rounded quotient."""
        had, limit = self.subject.read(scene), self._limit.read(scene)
        if not isinstance(had, Decimal) or not isinstance(limit, Decimal):
            return UNKNOWN
        if self._whole is not None:
            whole = self._whole.read(scene)
            if not isinstance(whole, Decimal):
                return UNKNOWN
            had, limit = had * HUNDRED, limit * whole
        return YES if _COMPARE[self.test](had, limit) else NO

    def supplied(self, scene: Scene) -> dict[str, str]:
        """The figures as words."""
        had, limit = self.subject.read(scene), self._limit.read(scene)
        unit = self.subject.unit
        whole = self._whole.read(scene) if self._whole is not None else None
        percent = spoken(None)
        if isinstance(whole, Decimal) and isinstance(limit, Decimal):
            if isinstance(had, Decimal) and whole:
                percent, _least = self._spoken_apart(had * HUNDRED / whole, limit, "percent")
            limit = limit * whole / HUNDRED
        had_words, needed_words = self._spoken_apart(had, limit, unit)
        return {
            "had": had_words,
            "needed": needed_words,
            "unit": spoken_unit(unit),
            "whole": spoken(whole, unit),
            "percent": percent,
            "label": self.subject.label,
        }

    def kept(self, scene: Scene, supplied: Mapping[str, str]) -> tuple[str, str]:
        """The figures in full."""
        limit = self._limit.read(scene)
        whole = self._whole.read(scene) if self._whole is not None else None
        if isinstance(whole, Decimal) and isinstance(limit, Decimal):
            limit = limit * whole / HUNDRED
        return plain(limit), plain(self.subject.read(scene))

    def _spoken_apart(self, had: Value | None, limit: Value | None, unit: str) -> tuple[str, str]:
        """Both figures with the fewest decimals that still say what the comparison says.

        The limit is rounded to its strict side, so that whoever reaches the figure printed has
        reached the limit.
        """
        if unit == "usd" or not isinstance(limit, Decimal):
            return spoken(had, unit), spoken(limit, unit)
        least = 2 if unit == "percent" else DIGITS.get(unit, FINEST)
        for digits in range(least, FINEST):
            needed = rounded(limit, digits, _STRICT.get(self.test, ROUND_HALF_EVEN))
            if not isinstance(had, Decimal):
                return spoken(had, unit), spoken(needed, unit, digits=digits)
            near = rounded(had, digits, ROUND_HALF_EVEN)
            compare = _COMPARE[self.test]
            if compare(near, needed) == compare(had, limit):
                return spoken(near, unit, digits=digits), spoken(needed, unit, digits=digits)
        return spoken(had, unit, digits=FINEST), spoken(limit, unit, digits=FINEST)


_COMPARE = {
    "at_least": lambda had, limit: had >= limit,
    "at_most": lambda had, limit: had <= limit,
    "above": lambda had, limit: had > limit,
    "below": lambda had, limit: had < limit,
    "equals": lambda had, limit: had == limit,
}
_STRICT = {
    "at_least": ROUND_CEILING,
    "above": ROUND_CEILING,
    "at_most": ROUND_FLOOR,
    "below": ROUND_FLOOR,
}


class Choice(Leaf):
    """A word (or number) among those listed."""

    def __init__(
        self, test: str, subject: Source, accepted: frozenset[Value], shown: str, **shared: Any
    ) -> None:
        super().__init__(**shared)
        self.test = test
        self.subject = subject
        self._accepted = accepted
        self._shown = shown

    def decide(self, scene: Scene) -> int:
        """Whether the word is among those listed."""
        had = self.subject.read(scene)
        if had is None:
            return UNKNOWN
        return YES if (had in self._accepted) is (self.test != "not_one_of") else NO

    def supplied(self, scene: Scene) -> dict[str, str]:
        """The words compared."""
        return {
            "had": spoken(self.subject.read(scene)),
            "needed": self._shown,
            "unit": "",
            "whole": "",
            "percent": "",
            "label": self.subject.label,
        }


class Flag(Leaf):
    """A yes-or-no fact, or whether a fact is known at all."""

    def __init__(self, test: str, subject: Source, **shared: Any) -> None:
        super().__init__(**shared)
        self.test = test
        self.subject = subject

    def decide(self, scene: Scene) -> int:
        """The fact as it stands; "known" always has an answer."""
        had = self.subject.read(scene)
        if self.test == "known":
            return YES if had is not None else NO
        if had is None:
            return UNKNOWN
        return YES if had is (self.test == "yes") else NO

    def supplied(self, scene: Scene) -> dict[str, str]:
        """The answer found."""
        return {
            "had": spoken(self.subject.read(scene)),
            "needed": self.test,
            "unit": "",
            "whole": "",
            "percent": "",
            "label": self.subject.label,
        }


class DayComparison(Leaf):
    """A day against another, moved by days or months; ranges of days leave it open."""

    def __init__(
        self,
        test: str,
        subject: Source,
        limit: Source,
        *,
        months: int,
        day_count: int,
        **shared: Any,
    ) -> None:
        super().__init__(**shared)
        self.test = test
        self.subject = subject
        self._limit = limit
        self._months = months
        self._day_count = day_count

    def sources(self) -> tuple[Source, ...]:
        """Both days."""
        return (self.subject, self._limit)

    def _moved(self, day: date) -> date:
        if self._months:
            day = add_months(day, self._months)
        return add_days(day, self._day_count) if self._day_count else day

    def _limits(self, scene: Scene) -> Days | None:
        limit = self._limit.read(scene)
        if not isinstance(limit, tuple):
            return None
        return self._moved(limit[0]), self._moved(limit[1])

    def decide(self, scene: Scene) -> int:
        """Yes or no only where every day meant gives the same answer."""
        had, limits = self.subject.read(scene), self._limits(scene)
        if not isinstance(had, tuple) or limits is None:
            return UNKNOWN
        holds = _DAYS[self.test]
        answer = holds(had[0], limits[0])
        if had[0] == had[1] and limits[0] == limits[1]:
            return YES if answer else NO
        if any(holds(mine, other) is not answer for mine in had for other in limits):
            return UNKNOWN
        return YES if answer else NO

    def supplied(self, scene: Scene) -> dict[str, str]:
        """The days as words."""
        return {
            "had": spoken(self.subject.read(scene)),
            "needed": spoken(self._limits(scene)),
            "unit": "",
            "whole": spoken(self._limit.read(scene)),
            "percent": "",
            "label": self.subject.label,
        }


_DAYS = {
    "on_or_before": lambda mine, other: mine <= other,
    "on_or_after": lambda mine, other: mine >= other,
    "before": lambda mine, other: mine < other,
    "after": lambda mine, other: mine > other,
}


class SameText(Leaf):
    """A word equal to another fact's word."""

    test = "equals"

    def __init__(self, subject: Source, other: Source, **shared: Any) -> None:
        super().__init__(**shared)
        self.subject = subject
        self._other = other

    def sources(self) -> tuple[Source, ...]:
        """Both words."""
        return (self.subject, self._other)

    def decide(self, scene: Scene) -> int:
        """Whether they are the same."""
        had, other = self.subject.read(scene), self._other.read(scene)
        if had is None or other is None:
            return UNKNOWN
        return YES if had == other else NO

    def supplied(self, scene: Scene) -> dict[str, str]:
        """The words compared."""
        return {
            "had": spoken(self.subject.read(scene)),
            "needed": spoken(self._other.read(scene)),
            "unit": "",
            "whole": "",
            "percent": "",
            "label": self.subject.label,
        }
