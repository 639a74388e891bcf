"""How fast the model is, and how near the fast engine stays to the full one."""

from calcs.bench.agreement import Agreement, compare_engines
from calcs.bench.random_houses import random_house

__all__ = ["Agreement", "compare_engines", "random_house"]
