"""How sure a saving is: the uncertain inputs in one table, and percentiles over them."""

from calcs.uncertainty.draws import Percentiles, percentiles
from calcs.uncertainty.levers import LEVERS, Known, levers_of, moved
from calcs.uncertainty.ranges import (
    METHOD_KEY,
    Ranges,
    SavingDraws,
    costs_drawn,
    fitted_draws,
    full_draws,
    ranges_of,
    values_drawn,
)
from calcs.uncertainty.table import (
    UNCERTAIN_INPUTS,
    WORK_QUALITY,
    UncertainInput,
    table_to_dict,
    work_quality,
)

__all__ = [
    "LEVERS",
    "METHOD_KEY",
    "UNCERTAIN_INPUTS",
    "WORK_QUALITY",
    "Known",
    "Percentiles",
    "Ranges",
    "SavingDraws",
    "UncertainInput",
    "costs_drawn",
    "fitted_draws",
    "full_draws",
    "levers_of",
    "moved",
    "percentiles",
    "ranges_of",
    "table_to_dict",
    "values_drawn",
    "work_quality",
]
