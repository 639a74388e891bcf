"""What one evaluation works on: the facts, the line at hand, the amounts so far."""

from collections.abc import Mapping
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.ruling import OUTCOMES, Finding, Reduction, Step
from portal.core.rules.values import ZERO, Days, Value, plain

if TYPE_CHECKING:
    from portal.core.rules.measures import MeasureRule
    from portal.core.rules.sources import Source

STAGES = ("estimate", "request", "claim")
_RANK = {outcome: index for index, outcome in enumerate(OUTCOMES)}
_EMPTY: Mapping[str, Any] = {}

# What a finding does to the line it is about; "later" and "asked" do nothing to it.
_BY_KIND = {"failed": "denied", "missing": "shortfall", "held": "hold", "deferred": "deferred"}


class LineState:
    """One line while it is worked on."""

    __slots__ = (
        "amount", "budget", "cache", "calculated", "eligible", "facts", "is_done", "kind",
        "measure", "name", "owner", "rank", "reductions", "rule",
    )  # fmt: skip

    def __init__(
        self, name: str, measure: str, facts: Mapping[str, Any], rule: "MeasureRule | None"
    ) -> None:
        self.name = name
        self.measure = measure
        self.facts = facts
        self.rule = rule
        self.kind = "measure"
        self.budget = "program"
        self.cache: dict[str, Value | None] = {}
        self.eligible: Decimal | None = None
        self.amount: Decimal | None = None
        self.calculated: Decimal | None = None
        self.owner: Decimal | None = None
        self.reductions: list[Reduction] = []
        self.rank = 0
        self.is_done = False

    @property
    def outcome(self) -> str:
        """The worst that was found about the line."""
        return OUTCOMES[self.rank]

    @property
    def is_denied(self) -> bool:
        """Whether nothing can be paid for it as it stands."""
        return self.rank >= _RANK["deferred"]

    @property
    def is_counted(self) -> bool:
        """Whether it stands among the paid lines: an amount above 0, payable or on hold."""
        return self.rank <= _RANK["hold"] and self.amount is not None and self.amount > 0

    def worsen(self, outcome: str) -> None:
        """Take over an outcome if it is worse than the line's own."""
        self.rank = max(self.rank, _RANK[outcome])


class Scene:
    """One evaluation. Mutable, never shared, thrown away with its ruling."""

    __slots__ = (
        "cache", "facts", "findings", "is_tracing", "item", "key_date", "language", "line",
        "lines", "named", "notes", "phrases", "request_rank", "stage", "steps", "zone",
    )  # fmt: skip

    def __init__(
        self,
        facts: Mapping[str, Any],
        *,
        zone: str,
        phrases: Mapping[str, str],
        language: str,
        is_tracing: bool,
    ) -> None:
        self.facts = facts
        self.zone = zone
        self.phrases = phrases
        self.language = language
        self.is_tracing = is_tracing
        self.stage = 0
        self.key_date: Days | None = None
        self.line: LineState | None = None
        self.item: Mapping[str, Any] = _EMPTY
        self.lines: list[LineState] = []
        self.named: dict[str, LineState] = {}
        self.cache: dict[str, Value | None] = {}
        self.findings: list[Finding] = []
        self.notes: list[str] = []
        self.steps: list[Step] = []
        self.request_rank = 0

    @property
    def total(self) -> Decimal:
        """The sum of the paid lines as it stands."""
        return sum(
            (line.amount for line in self.lines if line.is_counted and line.amount), start=ZERO
        )

    def find(self, finding: Finding) -> None:
        """Note a finding, and what it does to its line or, without one, to the request."""
        self.findings.append(finding)
        outcome = _BY_KIND.get(finding.kind)
        if outcome is None:
            return
        if self.line is not None:
            self.line.worsen(outcome)
        else:
            self.request_rank = max(self.request_rank, _RANK[outcome])

    def step(
        self,
        order: int,
        rule: str,
        outcome: str,
        words: str,
        *,
        saw: Mapping[str, str],
        amount: Decimal | None = None,
    ) -> None:
        """Write one step of the trace; call only while tracing."""
        line = self.line.name if self.line is not None else ""
        self.steps.append(
            Step(
                rule=rule,
                saw=saw,
                outcome=outcome,
                amount_usd=amount,
                words=words,
                line=line,
                order=order,
            )
        )

    def seen(self, sources: "tuple[Source, ...]", *, with_unknown: bool = False) -> dict[str, str]:
        """What a rule saw, as strings, keyed by the last part of each field's name.

        What is not known is left out, except where a rule is open because of it.
        """
        read = ((source.short, source.read(self)) for source in sources)
        return {name: plain(value) for name, value in read if with_unknown or value is not None}


def mapping(raw: object) -> Mapping[str, Any]:
    """A mapping with text keys, or an empty one."""
    return raw if isinstance(raw, Mapping) else _EMPTY
