"""The types of a run's results, for the apps above, which do not open ``calcs`` themselves."""

from calcs.bills import (
    BillsOutcome,
    Calibration,
    Change,
    Flag,
    FuelMatch,
    MeasuredSaving,
    Reason,
    Refusal,
)
from calcs.results import (
    Analysis,
    Baseline,
    Derivation,
    DerivationInput,
    EquipmentFinding,
    HeatLossPart,
    LeftAlone,
    MeasureResult,
    Package,
    RangeInput,
    Saving,
    Worth,
)

__all__ = [
    "Analysis",
    "Baseline",
    "BillsOutcome",
    "Calibration",
    "Change",
    "Derivation",
    "DerivationInput",
    "EquipmentFinding",
    "Flag",
    "FuelMatch",
    "HeatLossPart",
    "LeftAlone",
    "MeasureResult",
    "MeasuredSaving",
    "Package",
    "RangeInput",
    "Reason",
    "Refusal",
    "Saving",
    "Worth",
]
