"""The heating fit as a formula of its own: plain numbers in, plain numbers out."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from calcs.bills.fit import HEATING_BASES_C, fit_form, series_of_daily
from calcs.daily_weather import NormalMonth
from calcs.errors import InputError


@dataclass(frozen=True)
class BillFit:
    """Use per day = base + slope x heating degree days per day."""

    heating_base_c: float
    base_per_day: float
    slope_per_k_day: float
    slope_standard_error: float
    r_squared: float
    cv_rmse_pct: float  # on period totals, p = number of parameters
    nmbe_pct: float  # on period totals, p = 1
    periods: int
    normal_annual: float  # base x 365 + slope x normal-year degree days
    remarks: tuple[str, ...]  # "negative_base", "negative_slope", "base_at_edge"


def fit_heating_bills(
    energies: Sequence[float],
    period_days: Sequence[int],
    daily_c: ArrayLike,
    *,
    base_c: float | None = None,
    bases_c: Sequence[float] | None = None,
    normal_daily_c: ArrayLike | None = None,
) -> BillFit:
    """Fit use per day on heating degree days per day; the base by greatest R2.

    Parameters
    ----------
    energies, period_days : sequence, shape (k,), k at least 6
        Energy and days of each bill, estimated reads merged with the next actual one.
    daily_c : array, shape (sum of days,)
        Daily mean temperatures of exactly those days. [C]
    base_c : float, optional
        Fixed reference temperature; else the one of `bases_c` with the greatest R2
        (45 to 75 °F by whole degrees when not given). [C]
    normal_daily_c : array, shape (n,), optional
        A normal year's daily means for the normalized annual use; the bills' own when absent.

    Returns
    -------
    BillFit
        R2 is flat in the base, which trades against the base load: report the normal annual
        use. A negative base or slope is flagged, never clipped: the model does not apply.

    Raises
    ------
    InputError
        Fewer than six bills, lengths that disagree, or no variation of weather.

    References
    ----------
    Fels 1986, ordinary least squares (memory); see `calcs.bills.fit`.
    """
    series = series_of_daily(energies, period_days, daily_c)
    bases = [base_c] if base_c is not None else (HEATING_BASES_C if bases_c is None else bases_c)
    fit = fit_form(series, "heating", heating_bases_c=bases)
    if fit.heating_base_c is None:
        raise InputError("the fit found no reference temperature")
    normal = np.asarray(daily_c if normal_daily_c is None else normal_daily_c, float)
    year = fit.normal_year([NormalMonth(temperatures_c=normal, days=365.0)])
    return BillFit(
        heating_base_c=fit.heating_base_c,
        base_per_day=fit.base_per_day,
        slope_per_k_day=fit.heating_slope,
        slope_standard_error=fit.heating_slope_error,
        r_squared=fit.r_squared,
        cv_rmse_pct=fit.cv_rmse_pct,
        nmbe_pct=fit.nmbe_pct,
        periods=fit.periods,
        normal_annual=year.annual,
        remarks=fit.remarks,
    )
