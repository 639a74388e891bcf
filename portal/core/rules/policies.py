"""What a rule set says beyond a ruling: loan, repayment, retainage, change orders, waiting list."""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any

from portal.core.rules.conditions import Condition
from portal.core.rules.faults import RuleSetFault
from portal.core.rules.sources import Source
from portal.core.rules.values import ZERO

if TYPE_CHECKING:
    from portal.core.rules.syntax import Syntax


@dataclass(frozen=True, slots=True)
class LoanPolicy:
    """A loan without interest; the program pays the lender a charge by income tier."""

    term_months: int
    least_usd: Decimal
    most_usd: Decimal
    non_energy_share: Decimal
    buy_down_share: Mapping[str, Decimal]


@dataclass(frozen=True, slots=True)
class ClawbackPolicy:
    """Repayment when a measure is taken out early; waived for some tiers."""

    months: int
    waived_tiers: frozenset[str]


@dataclass(frozen=True, slots=True)
class PaymentPolicy:
    """Retainage until the inspection passes, and days to put a failed line right."""

    retainage_share: Decimal
    fix_days: int


@dataclass(frozen=True, slots=True)
class ChangeOrderPolicy:
    """How much added cost needs no new decision, all change orders of a job together."""

    share: Decimal
    most_usd: Decimal


@dataclass(frozen=True, slots=True)
class QueuePolicy:
    """Points by condition, and for waiting from application to the queue run."""

    points: tuple[tuple[str, int, Condition], ...]
    waiting_days: int
    waiting_most: int
    applied_on: Source
    run_on: Source


@dataclass(frozen=True, slots=True)
class Policies:
    """The policies a rule set has; None where it has none of that kind."""

    loan: LoanPolicy | None = None
    clawback: ClawbackPolicy | None = None
    payment: PaymentPolicy | None = None
    change_order: ChangeOrderPolicy | None = None
    queue: QueuePolicy | None = None


def compile_policies(raw: Any, path: str, syntax: "Syntax") -> Policies:
    """Read the policies of a rule set."""
    syntax.only(raw, path, {"loan", "clawback", "payment", "change_order", "queue"})
    return Policies(
        loan=_loan(raw["loan"], f"{path}.loan", syntax) if "loan" in raw else None,
        clawback=(
            _clawback(raw["clawback"], f"{path}.clawback", syntax) if "clawback" in raw else None
        ),
        payment=_payment(raw["payment"], f"{path}.payment", syntax) if "payment" in raw else None,
        change_order=(
            _change_order(raw["change_order"], f"{path}.change_order", syntax)
            if "change_order" in raw
            else None
        ),
        queue=_queue(raw["queue"], f"{path}.queue", syntax) if "queue" in raw else None,
    )


def _whole(spec: Any, key: str, path: str) -> int:
    value = spec.get(key)
    if type(value) is not int or value < 0:
        raise RuleSetFault(f"{path}.{key}", "needs a whole number")
    return value


def _loan(spec: Any, path: str, syntax: "Syntax") -> LoanPolicy:
    syntax.only(
        spec, path, {"term_months", "least_usd", "most_usd", "non_energy_share", "buy_down_share"}
    )
    term = _whole(spec, "term_months", path)
    if term == 0:
        raise RuleSetFault(f"{path}.term_months", "needs at least one month")
    return LoanPolicy(
        term_months=term,
        least_usd=syntax.number(spec, "least_usd", path, above=ZERO),
        most_usd=syntax.number(spec, "most_usd", path, above=ZERO),
        non_energy_share=syntax.number(spec, "non_energy_share", path),
        buy_down_share=syntax.constants(
            spec.get("buy_down_share"), f"{path}.buy_down_share", depth=1
        ),
    )


def _clawback(spec: Any, path: str, syntax: "Syntax") -> ClawbackPolicy:
    syntax.only(spec, path, {"months", "waived_tiers"})
    months = _whole(spec, "months", path)
    if months == 0:
        raise RuleSetFault(f"{path}.months", "needs at least one month")
    return ClawbackPolicy(months=months, waived_tiers=frozenset(spec.get("waived_tiers", ())))


def _payment(spec: Any, path: str, syntax: "Syntax") -> PaymentPolicy:
    syntax.only(spec, path, {"retainage_share", "fix_days"})
    return PaymentPolicy(
        retainage_share=syntax.number(spec, "retainage_share", path),
        fix_days=_whole(spec, "fix_days", path),
    )


def _change_order(spec: Any, path: str, syntax: "Syntax") -> ChangeOrderPolicy:
    syntax.only(spec, path, {"share", "most_usd"})
    return ChangeOrderPolicy(
        share=syntax.number(spec, "share", path),
        most_usd=syntax.number(spec, "most_usd", path),
    )


def _queue(spec: Any, path: str, syntax: "Syntax") -> QueuePolicy:
    syntax.only(spec, path, {"points", "waiting_days", "waiting_most", "applied_on", "run_on"})
    raw = spec.get("points")
    if not isinstance(raw, list) or not raw:
        raise RuleSetFault(f"{path}.points", "needs a list")
    points = []
    for index, item in enumerate(raw):
        where = f"{path}.points[{index}]"
        syntax.only(item, where, {"name", "points", "when"})
        points.append(
            (
                str(item.get("name", "")),
                _whole(item, "points", where),
                syntax.condition(item.get("when"), f"{where}.when"),
            )
        )
    return QueuePolicy(
        points=tuple(points),
        waiting_days=max(_whole(spec, "waiting_days", path), 1),
        waiting_most=_whole(spec, "waiting_most", path),
        applied_on=syntax.value(spec.get("applied_on"), f"{path}.applied_on", kind="day"),
        run_on=syntax.value(spec.get("run_on"), f"{path}.run_on", kind="day"),
    )
