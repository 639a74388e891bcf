"""The types of a run's results, for the apps above, which do not open ``calcs`` themselves."""

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
    Saving,
    Worth,
)

__all__ = [
    "Analysis",
    "Baseline",
    "Derivation",
    "DerivationInput",
    "EquipmentFinding",
    "HeatLossPart",
    "LeftAlone",
    "MeasureResult",
    "Package",
    "Saving",
    "Worth",
]
