"""From meter reads as the utility has them to periods a fit may use.

Nothing is mended in silence: whatever is joined, replaced, left out or doubted is a flag, and a
stretch without a read stays a gap.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from itertools import pairwise
from statistics import median
from typing import Any

from calcs.errors import InputError

KINDS = ("actual", "estimated")
# Bills of a month run about 25 to 36 days (common practice, no source).
SHORT_DAYS, LONG_DAYS = 20, 45
# A read date written down a few days off (common practice, no source).
SMALL_OVERLAP_DAYS = 3
# Two statements of one use should agree but for rounding (common practice, no source).
STATEMENTS_AGREE = 0.10


@dataclass(frozen=True, kw_only=True)
class Read:
    """Use from one meter read up to, not including, the day of the next.

    `kind` says how the read at the *end* was got. `revision` above 0 is a correction: it replaces
    the reads of lower revision whose days it covers. `produced` is a customer's own generation in
    the same days, in the same unit; None: none, or not metered apart. `billed_days` and
    `restated` repeat days and use as another part of the bill has them, the use in any unit.
    """

    starts_on: date
    ends_on: date
    quantity: float
    kind: str = "actual"
    revision: int = 0
    produced: float | None = None
    billed_days: int | None = None
    restated: float | None = None
    note: str = ""

    def __post_init__(self) -> None:
        if self.kind not in KINDS:
            raise InputError(f"Read.kind is {self.kind!r}; use one of: {', '.join(KINDS)}.")
        for name in ("quantity", "produced", "restated"):
            value = getattr(self, name)
            if value is not None and not abs(value) < 1e12:
                raise InputError(f"Read.{name} is {value!r}; it must be a finite number.")

    @property
    def days(self) -> int:
        """Days between the two reads."""
        return (self.ends_on - self.starts_on).days


@dataclass(frozen=True, kw_only=True)
class Flag:
    """Something about bills that a reader should know: its name, the days, and what was seen."""

    code: str
    starts_on: str = ""
    ends_on: str = ""
    facts: Mapping[str, Any] = field(default_factory=dict)


@dataclass(frozen=True, kw_only=True)
class Period:
    """A stretch between two actual reads. `flags` are codes; `notes` are the utility's words."""

    starts_on: date
    ends_on: date
    quantity: float
    reads: int = 1
    flags: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()

    @property
    def days(self) -> int:
        """Days between the two reads."""
        return (self.ends_on - self.starts_on).days


@dataclass(frozen=True, kw_only=True)
class Cleaned:
    """Periods in the order of time, the gaps between them, and everything that was noticed."""

    periods: tuple[Period, ...]
    gaps: tuple[tuple[date, date], ...]
    flags: tuple[Flag, ...]
    is_net: bool


def clean(reads: Iterable[Read]) -> Cleaned:
    """Periods between actual reads.

    Estimated reads are joined to the next actual one, because an estimate follows the utility's
    guess and not the house. Corrections replace what they correct. Reads that overlap without
    being a correction cannot both be right: the earlier listed one is left out, unless they
    overlap by three days at most, when both stay. Negative use is kept and marks the account as
    net metered, unless the production beside it was metered, which is added back.
    """
    flags: list[Flag] = []
    kept = _consistent(_corrected(_with_days(list(reads), flags), flags), flags)
    is_net = any(item.quantity < 0.0 and item.produced is None for item in kept)
    if any(item.produced is not None for item in kept):
        kept = [_gross(item) for item in kept]
        flags.append(Flag(code="own_production_added_back"))
    if is_net:
        flags.append(Flag(code="net_metered"))
    _flag_restated(kept, flags)
    periods = _joined(kept, flags)
    gaps = tuple(
        (before.ends_on, after.starts_on)
        for before, after in pairwise(periods)
        if after.starts_on > before.ends_on
    )
    flags += [
        Flag(code="gap", starts_on=start.isoformat(), ends_on=end.isoformat(),
             facts={"days": (end - start).days})
        for start, end in gaps
    ]  # fmt: skip
    return Cleaned(periods=tuple(periods), gaps=gaps, flags=tuple(flags), is_net=is_net)


def _flag(code: str, read: Read, **facts: Any) -> Flag:
    return Flag(
        code=code,
        starts_on=read.starts_on.isoformat(),
        ends_on=read.ends_on.isoformat(),
        facts=facts,
    )


def _with_days(reads: list[Read], flags: list[Flag]) -> list[Read]:
    kept = []
    for read in reads:
        if read.days < 1:
            flags.append(_flag("no_days", read, quantity=read.quantity))
            continue
        if read.billed_days is not None and read.billed_days != read.days:
            flags.append(_flag("days_disagree", read, billed=read.billed_days, between=read.days))
        kept.append(read)
    return kept


def _corrected(reads: list[Read], flags: list[Flag]) -> list[Read]:
    kept: list[Read] = []
    for read in sorted(reads, key=lambda item: item.revision):
        if read.revision:
            covered = [
                item
                for item in kept
                if item.revision < read.revision
                and item.starts_on >= read.starts_on
                and item.ends_on <= read.ends_on
            ]
            for item in covered:
                flags.append(_flag("corrected", item, was=item.quantity, now=read.quantity))
                kept.remove(item)
        kept.append(read)
    return kept


def _consistent(reads: list[Read], flags: list[Flag]) -> list[Read]:
    """Without repeats and overlaps, in the order of time. The later given of two stays."""
    kept: list[Read] = []
    for read in reads:
        for other in list(kept):
            shared = min(read.ends_on, other.ends_on) - max(read.starts_on, other.starts_on)
            if 0 < shared.days <= SMALL_OVERLAP_DAYS < min(read.days, other.days):
                flags.append(_flag("dates_overlap", other, days=shared.days))
            elif shared.days > 0:
                same = (read.starts_on, read.ends_on, read.quantity) == (
                    other.starts_on, other.ends_on, other.quantity,
                )  # fmt: skip
                code = "repeated" if same else "overlaps"
                flags.append(_flag(code, other, quantity=other.quantity))
                kept.remove(other)
        kept.append(read)
    return sorted(kept, key=lambda item: item.starts_on)


def _gross(read: Read) -> Read:
    return replace(read, quantity=read.quantity + (read.produced or 0.0))


def _flag_restated(reads: Sequence[Read], flags: list[Flag]) -> None:
    """Where two statements of one use differ from their usual ratio by more than a tenth."""
    pairs = [(item, item.restated) for item in reads if item.restated and item.quantity]
    if len(pairs) < 3:
        return
    usual = median(item.quantity / restated for item, restated in pairs)
    for item, restated in pairs:
        off = item.quantity / (restated * usual) - 1.0
        # A whole unit of rounding is no disagreement.
        if abs(off) > STATEMENTS_AGREE and abs(off * restated) > 1.0:
            flags.append(_flag("statements_disagree", item, off_pct=100.0 * off))


def _joined(reads: Sequence[Read], flags: list[Flag]) -> list[Period]:
    periods: list[Period] = []
    waiting: list[Read] = []

    def give_up() -> None:
        flags.extend(_flag("estimate_never_settled", item) for item in waiting)
        waiting.clear()

    for read in reads:
        if waiting and waiting[-1].ends_on != read.starts_on:
            give_up()
        waiting.append(read)
        if read.kind == "actual":
            periods.append(_period(waiting, flags))
            waiting.clear()
    give_up()
    return periods


def _period(reads: Sequence[Read], flags: list[Flag]) -> Period:
    first, last = reads[0], reads[-1]
    whole = replace(last, starts_on=first.starts_on)
    codes = []
    if len(reads) > 1:
        codes.append("joined_estimates")
        flags.append(_flag("joined_estimates", whole, reads=len(reads)))
    elif whole.days > LONG_DAYS:
        codes.append("long")
        flags.append(_flag("long", whole, days=whole.days))
    if whole.days < SHORT_DAYS:
        codes.append("short")
        flags.append(_flag("short", whole, days=whole.days))
    notes = tuple(item.note for item in reads if item.note)
    if notes:
        codes.append("noted")
        flags.append(_flag("noted", whole, note="; ".join(notes)))
    return Period(
        starts_on=first.starts_on,
        ends_on=last.ends_on,
        quantity=sum(item.quantity for item in reads),
        reads=len(reads),
        flags=tuple(codes),
        notes=notes,
    )
