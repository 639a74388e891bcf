"""How fast the model is, and how near the fast engine stays to the full one."""

from calcs.bench.agreement import Agreement, compare_engines
from calcs.bench.random_houses import random_house
from calcs.bench.speed import (
    Floor,
    Growth,
    RunTimes,
    Timing,
    floor_and_loop,
    growth_with_elements,
    growth_with_zones,
    run_times,
    start_up,
    timed,
)

__all__ = [
    "Agreement",
    "Floor",
    "Growth",
    "RunTimes",
    "Timing",
    "compare_engines",
    "floor_and_loop",
    "growth_with_elements",
    "growth_with_zones",
    "random_house",
    "run_times",
    "start_up",
    "timed",
]
