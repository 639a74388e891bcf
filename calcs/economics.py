"""Discounting and cost tests. Ranks measures; never decides a payment.

Real rate with real prices, or nominal with nominal: mixing is the commonest error. Year-end cash
flows with the first saving at year 1, as in NIST Handbook 135 and NISTIR 85-3273 (formulas
memory). Savings-to-investment ratios compare unrounded: 0.999 fails.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from scipy.optimize import brentq

from calcs.errors import InputError
from calcs.guards import guarded, require_record_meant
from calcs.validation import require_finite, require_not_negative, require_positive

# 10 CFR 440.21(c), 2005 edition (read): for each material and for the package.
MINIMUM_SIR = 1.0


@dataclass(frozen=True)
class CostTest:
    """Present values of a cost test. [$]"""

    benefits: float
    costs: float

    @property
    def ratio(self) -> float:
        """Benefit-cost ratio. [-]"""
        return self.benefits / self.costs

    @property
    def net(self) -> float:
        """Net present value. [$]"""
        return self.benefits - self.costs


@dataclass(frozen=True)
class ProgramCase:
    """One measure in a program: costs in $, savings in fuel units per year."""

    measure_cost: float
    incentive: float
    administration: float
    annual_units: float
    retail_price: float
    avoided_cost: float
    life_years: int
    discount: float
    net_to_gross: float

    def __post_init__(self) -> None:
        require_record_meant(self)


def _years(years: int) -> int:
    if years < 1 or years != int(years):
        raise InputError(f"years must be a whole number of at least 1, got {years!r}")
    return int(years)


def _rate(rate: float, what: str) -> float:
    if require_finite(rate, what) <= -1.0:
        raise InputError(f"{what} must be above -1 (a fraction, 0.03 for 3 %), got {rate:g}")
    return rate


@guarded
def present_value_factor(discount: float, years: int) -> float:
    """Single present value factor SPV, 1/(1+d)^n. [-]"""
    return float((1.0 + _rate(discount, "discount rate")) ** -_years(years))


@guarded
def uniform_present_value_factor(discount: float, years: int) -> float:
    """Uniform present value factor UPV; n when d = 0. [-]"""
    return escalating_present_value_factor(discount, 0.0, years)


@guarded
def escalating_present_value_factor(
    discount: float, escalation: float, years: int, *, is_mid_year: bool = False
) -> float:
    """Present value factor UPV* of a saving that escalates; n when d = e. [-]

    The first year's saving is already S (1 + e). Mid-year tables (MIL-HDBK-1003/13A) are
    UPV* sqrt((1+d)/(1+e)).
    """
    _rate(discount, "discount rate")
    _rate(escalation, "escalation rate")
    count = _years(years)
    # Summed rather than in closed form: exact at and near d = e, where the form divides by 0.
    growth = math.log1p(escalation) - math.log1p(discount)
    factor = math.fsum(math.exp(growth * year) for year in range(1, count + 1))
    return factor * math.exp(-growth / 2.0) if is_mid_year else factor


def nominal_rate(real: float, inflation: float) -> float:
    """Nominal from real discount rate, (1+d)(1+I) - 1. [-]"""
    return (1.0 + _rate(real, "real rate")) * (1.0 + _rate(inflation, "inflation")) - 1.0


@guarded
def savings_present_value(
    annual_savings: float, *, discount: float, escalation: float, life_years: int
) -> float:
    """Present value of a yearly saving. [$] Negative savings stay negative."""
    require_finite(annual_savings, "yearly saving")
    return annual_savings * escalating_present_value_factor(discount, escalation, life_years)


@guarded
def net_present_value(
    cost: float,
    annual_savings: float,
    *,
    discount: float,
    escalation: float = 0.0,
    life_years: int,
) -> float:
    """Net savings: present value of savings less cost today. [$]"""
    require_not_negative(cost, "cost", "$")
    return (
        savings_present_value(
            annual_savings, discount=discount, escalation=escalation, life_years=life_years
        )
        - cost
    )


@guarded
def savings_to_investment_ratio(
    cost: float,
    annual_savings: float,
    *,
    discount: float,
    escalation: float = 0.0,
    life_years: int,
) -> float:
    """SIR, present value of savings over cost. [-] Compare it unrounded."""
    require_positive(cost, "cost", "$")
    return (
        savings_present_value(
            annual_savings, discount=discount, escalation=escalation, life_years=life_years
        )
        / cost
    )


@guarded
def package_sir(
    costs: Sequence[float],
    annual_savings: Sequence[float],
    lives_years: Sequence[int],
    *,
    discount: float,
    escalation: float = 0.0,
    interaction: float = 1.0,
) -> float:
    """SIR of a package; savings are those in order of work, or scaled by an interaction factor.

    Individual SIRs do not add. Each measure keeps its own life.
    """
    if not costs or not len(costs) == len(annual_savings) == len(lives_years):
        raise InputError("give cost, saving and life of each measure")
    value = math.fsum(
        interaction
        * savings_present_value(saving, discount=discount, escalation=escalation, life_years=life)
        for saving, life in zip(annual_savings, lives_years, strict=True)
    )
    return value / require_positive(math.fsum(costs), "package cost", "$")


@guarded
def undiscounted_ratio(cost: float, annual_savings: float, life_years: float) -> float:
    """Saving times life over cost, the rule of 10 CFR 440 in 2001; superseded. [-]"""
    return annual_savings * life_years / require_positive(cost, "cost", "$")


@guarded
def simple_payback_years(cost: float, annual_savings: float) -> float | None:
    """Cost over first-year saving; None when nothing is saved. [yr]"""
    require_not_negative(cost, "cost", "$")
    return cost / annual_savings if annual_savings > 0 else None


@guarded
def discounted_payback_years(
    cost: float,
    annual_savings: float,
    *,
    discount: float,
    escalation: float = 0.0,
    horizon_years: int = 100,
) -> int | None:
    """First whole year in which the summed present value reaches the cost; None if never."""
    require_not_negative(cost, "cost", "$")
    _rate(discount, "discount rate")
    ratio = (1.0 + _rate(escalation, "escalation rate")) / (1.0 + discount)
    value, factor = 0.0, 1.0
    if cost == 0:
        return 0
    for year in range(1, horizon_years + 1):
        factor *= ratio
        value += annual_savings * factor
        if value >= cost:
            return year
    return None


@guarded
def internal_rate_of_return(
    cost: float, annual_savings: float, life_years: int, *, escalation: float = 0.0
) -> float | None:
    """Rate at which net savings are zero; None when there is none above -99 %. [-]"""
    require_positive(cost, "cost", "$")
    if annual_savings <= 0:
        return None

    def net(rate: float) -> float:
        return annual_savings * escalating_present_value_factor(rate, escalation, life_years) - cost

    if net(-0.99) < 0:
        return None
    high = max(1.0, 2.0 * annual_savings * (1.0 + escalation) / cost + escalation)
    return float(brentq(net, -0.99, high, xtol=1e-12))


@guarded
def participant_test(case: ProgramCase) -> CostTest:
    """Participant: bill savings and incentive against the measure's cost (gross)."""
    factor = uniform_present_value_factor(case.discount, case.life_years)
    bills = case.annual_units * case.retail_price * factor
    return CostTest(bills + case.incentive, case.measure_cost)


def _avoided(case: ProgramCase, *, discount: float | None = None, adder: float = 0.0) -> float:
    rate = case.discount if discount is None else discount
    factor = uniform_present_value_factor(rate, case.life_years)
    return case.net_to_gross * case.annual_units * (case.avoided_cost + adder) * factor


@guarded
def administrator_test(case: ProgramCase) -> CostTest:
    """Program administrator: net avoided cost against program cost and incentive."""
    return CostTest(_avoided(case), case.administration + case.incentive)


@guarded
def total_resource_test(case: ProgramCase, *, has_free_rider_incentives: bool = False) -> CostTest:
    """Total resource cost, 2001 text; with the 2007 clarification when asked (form memory)."""
    costs = case.administration + case.net_to_gross * case.measure_cost
    if has_free_rider_incentives:
        costs += (1.0 - case.net_to_gross) * case.incentive
    return CostTest(_avoided(case), costs)


@guarded
def ratepayer_test(case: ProgramCase) -> CostTest:
    """Ratepayer impact: net avoided cost against program cost, incentive and lost revenue."""
    factor = uniform_present_value_factor(case.discount, case.life_years)
    lost = case.net_to_gross * case.annual_units * case.retail_price * factor
    return CostTest(_avoided(case), case.administration + case.incentive + lost)


@guarded
def societal_test(
    case: ProgramCase, *, social_discount: float, externality_per_unit: float
) -> CostTest:
    """Societal: as total resource with externalities and a social discount rate."""
    return CostTest(
        _avoided(case, discount=social_discount, adder=externality_per_unit),
        case.administration + case.net_to_gross * case.measure_cost,
    )
