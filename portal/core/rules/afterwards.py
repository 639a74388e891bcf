"""Money after the ruling, by the rule set's policies: loan, repayment, retainage, change orders."""

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_UP, Decimal, localcontext

from portal.core.rules.policies import (
    ChangeOrderPolicy,
    ClawbackPolicy,
    LoanPolicy,
    PaymentPolicy,
)
from portal.core.rules.values import CENT, EXACT, ZERO, add_days, add_months, full_months, to_cents


@dataclass(frozen=True, slots=True)
class Loan:
    """Terms of a loan, or the reason why there is none (``reason`` set, amounts 0)."""

    principal_usd: Decimal
    limit_usd: Decimal
    payment_usd: Decimal
    last_payment_usd: Decimal
    payments: int
    buy_down_usd: Decimal
    is_reduced: bool
    reason: str = ""


def loan_terms(
    policy: LoanPolicy,
    *,
    eligible_usd: Decimal,
    non_energy_usd: Decimal,
    incentive_usd: Decimal,
    asked_usd: Decimal,
    income_tier: str,
) -> Loan:
    """What may be lent: eligible cost and allowed non-energy cost, less the incentive.

    Every payment is the principal over the term rounded up to the cent; the last one takes the
    difference.
    """
    with localcontext(EXACT):
        allowed = min(max(non_energy_usd, ZERO), policy.non_energy_share * eligible_usd)
        limit = to_cents(min(eligible_usd + allowed - incentive_usd, policy.most_usd))
        if limit < policy.least_usd:
            return _no_loan(limit, "limit_below_least")
        if asked_usd < policy.least_usd:
            return _no_loan(limit, "asked_below_least")
        share = policy.buy_down_share.get(income_tier)
        if share is None:
            return _no_loan(limit, "income_tier_unknown")
        principal = to_cents(min(asked_usd, limit))
        payment = (principal / policy.term_months).quantize(CENT, rounding=ROUND_UP)
        return Loan(
            principal_usd=principal,
            limit_usd=limit,
            payment_usd=payment,
            last_payment_usd=principal - payment * (policy.term_months - 1),
            payments=policy.term_months,
            buy_down_usd=to_cents(principal * share),
            is_reduced=principal < asked_usd,
        )


def _no_loan(limit: Decimal, reason: str) -> Loan:
    return Loan(ZERO, limit, ZERO, ZERO, 0, ZERO, is_reduced=True, reason=reason)


@dataclass(frozen=True, slots=True)
class Clawback:
    """What is due back, with the months that had passed; waived amounts stay on record."""

    due_usd: Decimal
    full_months: int
    is_waived: bool


def clawback(
    policy: ClawbackPolicy,
    *,
    paid_usd: Decimal,
    paid_on: date,
    removed_on: date,
    income_tier: str,
) -> Clawback:
    """The unused part of a payment for a measure that was taken out within the term."""
    passed = min(full_months(paid_on, removed_on), policy.months)
    if income_tier in policy.waived_tiers:
        return Clawback(ZERO, passed, is_waived=True)
    if removed_on > add_months(paid_on, policy.months):
        return Clawback(ZERO, passed, is_waived=False)
    with localcontext(EXACT):
        due = to_cents(paid_usd * (policy.months - passed) / policy.months)
    return Clawback(due, passed, is_waived=False)


@dataclass(frozen=True, slots=True)
class Payment:
    """An invoice's program part, paid now and held back."""

    pay_usd: Decimal
    retain_usd: Decimal


def invoice_payment(policy: PaymentPolicy, program_usd: Decimal) -> Payment:
    """Hold back the retainage (◆); the rest is paid."""
    retained = to_cents(program_usd * policy.retainage_share)
    return Payment(pay_usd=to_cents(program_usd) - retained, retain_usd=retained)


@dataclass(frozen=True, slots=True)
class Reversal:
    """A failed line taken back: from the retainage first, the rest from the next payments."""

    from_retainage_usd: Decimal
    offset_usd: Decimal
    release_usd: Decimal


def failed_line(
    policy: PaymentPolicy,
    *,
    line_usd: Decimal,
    retained_usd: Decimal,
    failed_on: date,
    fixed_on: date | None,
    today: date,
) -> Reversal | None:
    """Release, reversal, or None while the time to put it right still runs."""
    last_day = add_days(failed_on, policy.fix_days)
    if fixed_on is not None and fixed_on <= last_day:
        return Reversal(ZERO, ZERO, retained_usd)
    if fixed_on is None and today <= last_day:
        return None
    taken = min(line_usd, retained_usd)
    return Reversal(taken, line_usd - taken, retained_usd - taken)


def change_order_is_automatic(
    policy: ChangeOrderPolicy,
    *,
    approved_energy_usd: Decimal,
    earlier_added_usd: Decimal,
    added_usd: Decimal,
    is_within_price_list: bool,
    is_within_caps: bool,
) -> bool:
    """Whether an added cost needs no new decision: all change orders of the job added up."""
    limit = min(approved_energy_usd * policy.share, policy.most_usd)
    return is_within_price_list and is_within_caps and earlier_added_usd + added_usd <= limit
