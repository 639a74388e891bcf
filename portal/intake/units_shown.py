"""SI values back on the surface, for results and messages."""

from decimal import ROUND_CEILING, ROUND_FLOOR, Decimal

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
    return figure(_reading(value, limit))


def limit_beside(limit: float, value: float, *, passes: bool | None) -> str:
    """A limit as finely as an instrument reads, a tenth, beside a reading that was judged by it.

    A limit that was worked out has more decimals than anybody reads. It is rounded to its strict
    side, so that a reading which reaches the figure printed has reached the limit; and it takes
    more decimals where the two figures printed would say another thing than the verdict.
    """
    if passes is None:
        return figure(limit)
    is_most = (value <= limit) == passes
    shown = Decimal(str(_reading(value, limit)))
    for places in range(1, 7):
        near = Decimal(str(limit)).quantize(
            Decimal(1).scaleb(-places), ROUND_FLOOR if is_most else ROUND_CEILING
        )
        if (shown <= near if is_most else shown >= near) == passes:
            return figure(float(near))
    return figure(limit)


def _reading(value: float, limit: float | None) -> float:
    for places in range(7):
        rounded = round(value, places)
        if places == 0 and rounded != value and abs(value) < 10:
            continue
        if limit is None:
            if abs(rounded - value) <= 0.005 * max(abs(value), 1.0):
                return rounded
            continue
        is_same_side = (rounded > limit) == (value > limit) and (rounded < limit) == (value < limit)
        if is_same_side and abs(rounded - value) <= 0.005 * max(abs(value), 1.0):
            return rounded
    return value
