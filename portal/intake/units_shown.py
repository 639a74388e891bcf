"""SI values back on the surface, for results and messages."""

from portal.core import units
from portal.intake.values import figure


def surface(value: float, si_unit: str, unit: str) -> float:
    """An SI value in a surface unit."""
    return units.convert(value, si_unit, unit)


def shown(value: float, si_unit: str, unit: str, places: int = 0) -> str:
    """An SI value rounded for reading, with commas, without its unit."""
    return figure(round(surface(value, si_unit, unit), places))


def reading(value: float, limit: float | None) -> str:
    """A reading short enough to read, but never rounded onto or across its limit."""
    for places in range(7):
        rounded = round(value, places)
        if places == 0 and rounded != value and abs(value) < 10:
            continue
        if limit is None:
            if abs(rounded - value) <= 0.005 * max(abs(value), 1.0):
                return figure(rounded)
            continue
        is_same_side = (rounded > limit) == (value > limit) and (rounded < limit) == (value < limit)
        if is_same_side and abs(rounded - value) <= 0.005 * max(abs(value), 1.0):
            return figure(rounded)
    return figure(value)
