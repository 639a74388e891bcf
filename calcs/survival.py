"""How long equipment that works today will go on working, from a life table's median.

A table gives one number, the age at which half are gone. Around it lives spread; the spread is
taken as a Weibull distribution, as federal appliance rulemakings do (memory), with a shape of
common practice. What is old and still works has outlived part of that spread: its years left are
conditional on its age, and never nothing.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calcs.validation import require_not_negative, require_positive

# Shape of the life distribution: wear-out with a spread of about a third of the median; common
# practice, no source.
SHAPE = 3.0


def survival_share(
    years: NDArray[np.float64] | float, *, age_years: float, median_life_years: float
) -> NDArray[np.float64]:
    """Share of units of an age that still work some years from now.

    Parameters
    ----------
    years : float or ndarray, shape (n,)
        Years from now, not negative. [yr]
    age_years : float
        Age today, not negative. [yr]
    median_life_years : float
        Age at which half are gone, by a life table. [yr]

    Returns
    -------
    ndarray, shape (n,)
        Share between 0 and 1; 1 at 0 years. [-]

    Raises
    ------
    InputError
        An age below nothing, or a life of nothing.

    Notes
    -----
    S(t | a) = 2^((a/L)^k − ((a+t)/L)^k), the Weibull distribution with its median at L.
    """
    require_not_negative(age_years, "age", "years")
    require_positive(median_life_years, "median life", "years")
    now = (age_years / median_life_years) ** SHAPE
    then = ((age_years + np.asarray(years, dtype=np.float64)) / median_life_years) ** SHAPE
    share: NDArray[np.float64] = np.power(2.0, now - then)
    return share


def median_years_left(*, age_years: float, median_life_years: float) -> float:
    """Years after which half of the units of an age are gone. [yr]

    At age 0 it is the table's life; an old unit has few years left, but some.
    """
    require_not_negative(age_years, "age", "years")
    require_positive(median_life_years, "median life", "years")
    gone = (age_years / median_life_years) ** SHAPE + 1.0
    return float(median_life_years * gone ** (1.0 / SHAPE)) - age_years


def annualized_cost_usd(cost_usd: float, *, life_years: float, discount: float) -> float:
    """Cost of owning a thing, spread evenly over its life. [$ a year]

    The yearly amount whose present value over the life is the cost: cost times the capital
    recovery factor d / (1 − (1 + d)^−n), 1/n at d = 0 (NIST Handbook 135 formulas; memory).
    """
    require_not_negative(cost_usd, "cost", "$")
    require_positive(life_years, "life", "years")
    if discount == 0.0:
        return cost_usd / life_years
    return cost_usd * discount / -np.expm1(-life_years * np.log1p(discount))


def early_value_usd(
    saving_usd: float,
    annual_cost_usd: float,
    *,
    age_years: float,
    median_life_years: float,
    discount: float,
    horizon_years: int,
) -> float:
    """What replacing now is worth over waiting until it fails. [$, present value]

    Once the old unit has failed both ways own and run the same new one, so only the years the old
    one would still have worked count: each brings the saving and costs a year of owning the new
    unit sooner, weighed by the chance that the old one still works in the middle of that year.
    """
    years = np.arange(1, horizon_years + 1, dtype=np.float64)
    works = survival_share(years - 0.5, age_years=age_years, median_life_years=median_life_years)
    discounted = np.exp(-years * np.log1p(discount))
    return float((saving_usd - annual_cost_usd) * (works * discounted).sum())
