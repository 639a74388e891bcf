"""Measures: pure functions from house to house, one file per noun."""

from calcs.measures.catalogue import in_order_of_work, measures_for
from calcs.measures.hazards import HAZARD_KINDS, OpenHazard
from calcs.measures.measure import STAGES, Measure

__all__ = [
    "HAZARD_KINDS",
    "STAGES",
    "Measure",
    "OpenHazard",
    "in_order_of_work",
    "measures_for",
]
