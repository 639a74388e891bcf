"""The fast engine: the same hourly balance over far fewer unknowns.

Three things are taken out of the hour. Chains of conduction nodes are cut to their ends and four
states. Outside faces take their coefficients from series that depend on weather and face alone and
are kept between variants of a house. Elements alike but for their sun become one group. What is
left is worked several groups at once. Inside coefficients, leakage and thermostats follow every
hour as in the full engine, which is the reference it is tested against.
"""

from calcs.fast.chains import UnfitError
from calcs.fast.engine import march
from calcs.fast.groups import Reduction, reduce
from calcs.fast.members import own_flows

__all__ = ["Reduction", "UnfitError", "march", "own_flows", "reduce"]
