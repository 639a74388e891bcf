"""Solvers of the economics and billing rows."""

from __future__ import annotations

import numpy as np

from calcs import bills, economics
from calcs.checks.registry import Inputs, serves
from calcs.degree_days import heating_degree_days
from calcs.unit_factors import K_PER_DEGF, celsius_from_fahrenheit, fahrenheit_from_celsius

MONEY = "economics"


@serves(MONEY, r"SPV")
def _(inputs: Inputs) -> float:
    return economics.present_value_factor(inputs["d"], inputs["n"])


@serves(MONEY, r"UPV|annuity factor used in the example")
def _(inputs: Inputs) -> float:
    return economics.uniform_present_value_factor(inputs["d"], inputs["n"])


@serves(MONEY, r"UPV\* \(annual escalation e\)|same case, end-of-year UPV\* .*|UPV\* at d=e, .*")
def _(inputs: Inputs) -> float:
    return economics.escalating_present_value_factor(inputs["d"], inputs["e"], inputs["n"])


@serves(MONEY, r"present-worth factor, mid-year convention: .*")
def _(inputs: Inputs) -> float:
    return economics.escalating_present_value_factor(
        inputs["d"], inputs["e"], inputs["n"], is_mid_year=True
    )


@serves(MONEY, r"nominal from real discount rate")
def _(inputs: Inputs) -> float:
    return 100.0 * economics.nominal_rate(inputs["d_real"], inputs["inflation"])


@serves(MONEY, r"PV of savings")
def _(inputs: Inputs) -> float:
    return economics.savings_present_value(
        inputs["annual_savings"],
        discount=inputs["d"],
        escalation=inputs["e"],
        life_years=inputs["life"],
    )


@serves(MONEY, r"NPV \(net savings\)")
def _(inputs: Inputs) -> float:
    return economics.net_present_value(
        inputs["cost"],
        inputs["annual_savings"],
        discount=inputs["d"],
        escalation=inputs["e"],
        life_years=inputs["life"],
    )


@serves(MONEY, r"SIR|SIR, no escalation|SIR below one \(reject\)")
def _(inputs: Inputs) -> float:
    return economics.savings_to_investment_ratio(
        inputs["cost"],
        inputs["annual_savings"],
        discount=inputs["d"],
        escalation=inputs["e"],
        life_years=inputs["life"],
    )


@serves(MONEY, r"simple payback")
def _(inputs: Inputs) -> float:
    years = economics.simple_payback_years(inputs["cost"], inputs["annual_savings"])
    return float("nan") if years is None else years


@serves(MONEY, r"discounted payback .*")
def _(inputs: Inputs) -> float:
    years = economics.discounted_payback_years(
        inputs["cost"], inputs["annual_savings"], discount=inputs["d"], escalation=inputs["e"]
    )
    return float("nan") if years is None else float(years)


@serves(MONEY, r"IRR")
def _(inputs: Inputs) -> float:
    rate = economics.internal_rate_of_return(
        inputs["cost"], inputs["annual_savings"], inputs["life"]
    )
    return float("nan") if rate is None else 100.0 * rate


@serves(MONEY, r"interacting measures: package SIR .*")
def _(inputs: Inputs) -> float:
    return economics.package_sir(
        inputs["costs"],
        inputs["savings"],
        inputs["lives"],
        discount=inputs["d"],
        escalation=inputs["e"],
        interaction=inputs["interaction"],
    )


@serves(MONEY, r"weatherization rule: minimum SIR", repeats=True)
def _(inputs: Inputs) -> float:
    return economics.MINIMUM_SIR


@serves(MONEY, r"superseded undiscounted formula .*")
def _(inputs: Inputs) -> float:
    return economics.undiscounted_ratio(inputs["cost"], inputs["annual_savings"], inputs["life"])


def _case(inputs: Inputs) -> economics.ProgramCase:
    return economics.ProgramCase(
        measure_cost=inputs["measure_cost"],
        incentive=inputs["rebate"],
        administration=inputs["admin"],
        annual_units=inputs["therms"],
        retail_price=inputs["retail"],
        avoided_cost=inputs["avoided"],
        life_years=inputs["life"],
        discount=inputs["d"],
        net_to_gross=inputs["NTG"],
    )


@serves(MONEY, r"participant test BCR \(gross\)")
def _(inputs: Inputs) -> float:
    return economics.participant_test(_case(inputs)).ratio


@serves(MONEY, r"participant test NPV \(gross\)")
def _(inputs: Inputs) -> float:
    return economics.participant_test(_case(inputs)).net


@serves(MONEY, r"program administrator cost BCR")
def _(inputs: Inputs) -> float:
    return economics.administrator_test(_case(inputs)).ratio


@serves(MONEY, r"TRC BCR, 2001 text .*")
def _(inputs: Inputs) -> float:
    return economics.total_resource_test(_case(inputs)).ratio


@serves(MONEY, r"RIM BCR")
def _(inputs: Inputs) -> float:
    return economics.ratepayer_test(_case(inputs)).ratio


@serves(MONEY, r"societal BCR, .*")
def _(inputs: Inputs) -> float:
    return economics.societal_test(
        _case(inputs),
        social_discount=inputs["d_social"],
        externality_per_unit=inputs["adder"],
    ).ratio


BILLS = "billing"


def _synthetic_daily_c() -> np.ndarray:
    """The rows' closed-form year: 52 - 22 cos(2 pi (k-20)/365) + 6 sin(2 pi k/7.3), degF."""
    k = np.arange(1, 366)
    degf = 52 - 22 * np.cos(2 * np.pi * (k - 20) / 365) + 6 * np.sin(2 * np.pi * k / 7.3)
    return np.asarray((degf - 32.0) * K_PER_DEGF)


@serves(BILLS, r"annual HDD base 65 of the synthetic year")
def _(inputs: Inputs) -> float:
    base = celsius_from_fahrenheit(inputs["base"])
    return heating_degree_days(_synthetic_daily_c(), base) / K_PER_DEGF


@serves(BILLS, r"January HDD base 65")
def _(inputs: Inputs) -> float:
    base = celsius_from_fahrenheit(inputs["base"])
    return heating_degree_days(_synthetic_daily_c()[:31], base) / K_PER_DEGF


def _fit(inputs: Inputs, base_degf: float | None = None) -> bills.BillFit:
    grid = [celsius_from_fahrenheit(tau) for tau in range(45, 76)]
    return bills.fit_heating_bills(
        inputs["therms"],
        inputs["days"],
        _synthetic_daily_c(),
        base_c=None if base_degf is None else celsius_from_fahrenheit(base_degf),
        bases_c=grid,
    )


@serves(BILLS, r"best reference temperature tau")
def _(inputs: Inputs) -> float:
    return fahrenheit_from_celsius(_fit(inputs).heating_base_c)


@serves(BILLS, r"alpha \(base load\)")
def _(inputs: Inputs) -> float:
    return _fit(inputs).base_per_day


@serves(BILLS, r"beta \(heating slope\)")
def _(inputs: Inputs) -> float:
    return _fit(inputs).slope_per_k_day * K_PER_DEGF


@serves(BILLS, r"R-squared at best tau")
def _(inputs: Inputs) -> float:
    return _fit(inputs).r_squared


@serves(BILLS, r"R-squared at tau=65")
def _(inputs: Inputs) -> float:
    return _fit(inputs, 65.0).r_squared


@serves(BILLS, r"alpha at tau=65")
def _(inputs: Inputs) -> float:
    return _fit(inputs, 65.0).base_per_day


@serves(BILLS, r"NAC \(same year as normal year\)")
def _(inputs: Inputs) -> float:
    return _fit(inputs).normal_annual


@serves(BILLS, r"CV\(RMSE\) on monthly totals, p=2")
def _(inputs: Inputs) -> float:
    return _fit(inputs).cv_rmse_pct


@serves(BILLS, r"NMBE on monthly totals, p=1 in denominator")
def _(inputs: Inputs) -> float:
    return _fit(inputs).nmbe_pct


@serves(BILLS, r"standard error of beta")
def _(inputs: Inputs) -> float:
    return _fit(inputs).slope_standard_error * K_PER_DEGF


@serves(BILLS, r"NMBE")
def _(inputs: Inputs) -> float:
    return bills.nmbe_pct(inputs["measured"], inputs["modeled"], parameters=inputs["p"])


@serves(BILLS, r"CV\(RMSE\)")
def _(inputs: Inputs) -> float:
    return bills.cv_rmse_pct(inputs["measured"], inputs["modeled"], parameters=inputs["p"])


@serves(BILLS, r"calibration limit", repeats=True)
def _(inputs: Inputs) -> float:
    return bills.GUIDELINE_14_LIMITS_PCT[inputs["which"]]


@serves(BILLS, r"monthly bill calibration limit", repeats=True)
def _(inputs: Inputs) -> float:
    return bills.BPI_2400_LIMITS_PCT[inputs["which"]]


@serves(BILLS, r"t statistic, .*")
def _(inputs: Inputs) -> float:
    return bills.t_statistic(inputs["conf"], inputs["dof"])


@serves(BILLS, r"FSU .*")
def _(inputs: Inputs) -> float:
    return 100.0 * bills.fractional_savings_uncertainty(
        t=inputs["t"],
        cv_rmse_fraction=inputs["CV"],
        points_before=inputs["n"],
        points_after=inputs["m"],
        savings_fraction=inputs["F"],
        autocorrelation=inputs.get("rho", 0.0),
    )


@serves(BILLS, r"effective n with autocorrelation")
def _(inputs: Inputs) -> float:
    return bills.effective_points(inputs["n"], inputs["rho"])
