"""Utility bills: from reads to periods, to a fit against the weather of their days, to savings."""

from calcs.bills.account import Calibration, Change, FuelMatch
from calcs.bills.desk import BillFit, fit_heating_bills
from calcs.bills.fit import FORMS, Choice, Fit, Series, choose_form, fit_form, series_of_daily
from calcs.bills.outcome import (
    Billed,
    BillsOutcome,
    Refusal,
    fit_bills,
    limits_met,
    months_of_bills,
)
from calcs.bills.reads import Cleaned, Flag, Period, Read, clean
from calcs.bills.savings import (
    BilledSaving,
    MeasuredSaving,
    Reason,
    measured_saving,
    saving_between_fits,
    why_scattered,
)
from calcs.bills.statistics import (
    BPI_2400_LIMITS_PCT,
    FSU_FACTOR,
    GUIDELINE_14_LIMITS_PCT,
    autocorrelation,
    cv_rmse_pct,
    effective_points,
    fractional_savings_uncertainty,
    nmbe_pct,
    t_statistic,
)

__all__ = [
    "BPI_2400_LIMITS_PCT",
    "FORMS",
    "FSU_FACTOR",
    "GUIDELINE_14_LIMITS_PCT",
    "BillFit",
    "Billed",
    "BilledSaving",
    "BillsOutcome",
    "Calibration",
    "Change",
    "Choice",
    "Cleaned",
    "Fit",
    "Flag",
    "FuelMatch",
    "MeasuredSaving",
    "Period",
    "Read",
    "Reason",
    "Refusal",
    "Series",
    "autocorrelation",
    "choose_form",
    "clean",
    "cv_rmse_pct",
    "effective_points",
    "fit_bills",
    "fit_form",
    "fit_heating_bills",
    "fractional_savings_uncertainty",
    "limits_met",
    "measured_saving",
    "months_of_bills",
    "nmbe_pct",
    "saving_between_fits",
    "series_of_daily",
    "t_statistic",
    "why_scattered",
]
