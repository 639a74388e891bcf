"""The waiting list: points, order, and a queue run that never skips the head."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime
from decimal import Decimal, localcontext
from typing import Any

from portal.core.rules.conditions import YES
from portal.core.rules.engine import open_scene
from portal.core.rules.rule_set import RuleSet
from portal.core.rules.values import EXACT, ZERO


@dataclass(frozen=True, slots=True)
class QueuePoints:
    """A request's points with what each is for."""

    total: int
    parts: tuple[tuple[str, int], ...]


def queue_points(rule_set: RuleSet, facts: Any) -> QueuePoints:
    """Points on the facts; what is not known earns none."""
    policy = rule_set.policies.queue
    if policy is None:
        return QueuePoints(0, ())
    with localcontext(EXACT):
        scene = open_scene(rule_set, facts)
        parts = [(name, points) for name, points, when in policy.points if when.judge(scene) == YES]
        applied, run = policy.applied_on.read(scene), policy.run_on.read(scene)
        if isinstance(applied, tuple) and isinstance(run, tuple):
            waited = (run[0] - applied[1]).days // policy.waiting_days
            if waited > 0:
                parts.append(("waiting", min(waited, policy.waiting_most)))
    return QueuePoints(sum(points for _, points in parts), tuple(parts))


@dataclass(frozen=True, slots=True)
class Waiting:
    """A request in the queue."""

    number: str
    points: int
    applied_at: datetime
    amount_usd: Decimal


@dataclass(frozen=True, slots=True)
class QueueRun:
    """Which requests are committed, which wait, and the money held for the head of the queue."""

    order: tuple[str, ...]
    committed: tuple[str, ...]
    waiting: tuple[str, ...]
    committed_usd: Decimal
    held_usd: Decimal


def queue_run(balance_usd: Decimal, requests: Iterable[Waiting]) -> QueueRun:
    """Commit in order until the first that does not fit; it waits, and so do all after it.

    Order: points downward, then the instant of application, then the number.
    """
    ordered = sorted(
        requests,
        key=lambda request: (
            -request.points,
            request.applied_at.astimezone(UTC),
            request.number,
        ),
    )
    left = balance_usd
    committed: list[str] = []
    for request in ordered:
        if request.amount_usd > left:
            break
        left -= request.amount_usd
        committed.append(request.number)
    waiting = tuple(request.number for request in ordered[len(committed) :])
    return QueueRun(
        order=tuple(request.number for request in ordered),
        committed=tuple(committed),
        waiting=waiting,
        committed_usd=balance_usd - left,
        held_usd=left if waiting else ZERO,
    )
