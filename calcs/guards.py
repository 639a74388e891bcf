"""Nothing silent: every number that goes into a formula has a range, by its name and unit.

A formula says itself what it is not defined for, in its own words. `guarded` holds what is left:
a number that is not finite, or that cannot be what its name says (a negative area, a year of 400
days). The formula speaks first, so that its message is the one people read; whatever it lets pass
or stumbles over is then looked at here, before the answer leaves.
"""

from __future__ import annotations

import functools
import inspect
import math
from collections.abc import Callable, Sequence
from dataclasses import fields, is_dataclass
from typing import Any, ParamSpec, TypeVar

import numpy as np

from calcs.errors import CalcsError, InputError

P = ParamSpec("P")
T = TypeVar("T")

Range = tuple[float, float, str]
ANY = (-math.inf, math.inf)

# Ending of a name -> lowest, highest, unit. Wide: only what cannot be meant is outside.
BY_ENDING: dict[str, Range] = {
    "m3_per_s_pa_n": (0.0, 100.0, "m³/(s·Paⁿ)"),
    "m3_per_s": (0.0, 1000.0, "m³/s"),
    "m3_per_day": (0.0, 1000.0, "m³/day"),
    "l_per_s": (0.0, 1e6, "L/s"),
    "per_h": (-1000.0, 1000.0, "1/h"),
    "k_day": (0.0, 30_000.0, "K·day"),
    "j_per_k_day": (0.0, 1e12, "J/(K·day)"),
    "j_per_kg_k": (0.0, 1e6, "J/(kg·K)"),
    "j_per_m3_k": (0.0, 1e8, "J/(m³·K)"),
    "j_per_kg": (-1e7, 1e9, "J/kg"),
    "j_per_m3": (0.0, 1e12, "J/m³"),
    "per_j": (0.0, 1.0, "$/J"),
    "kg_per_m3": (0.0, 30_000.0, "kg/m³"),
    "kg_per_j": (0.0, 1.0, "kg/J"),
    "w_per_m2k": (0.0, 1000.0, "W/(m²·K)"),
    "w_per_k": (0.0, 1e6, "W/K"),
    "m2k_per_w": (0.0, 1000.0, "m²·K/W"),
    "m_per_s": (0.0, 100.0, "m/s"),
    "btu_per_wh": (0.1, 100.0, "Btu/Wh"),
    "kg": (0.0, 1e6, "kg"),
    "cfm": (0.0, 1e6, "CFM"),
    "ft2": (0.0, 1e7, "ft²"),
    "degf": (-150.0, 3500.0, "°F"),
    "in": (0.0, 1000.0, "in"),
    "m3": (0.0, 1e6, "m³"),
    "m2": (0.0, 1e6, "m²"),
    "m": (0.0, 1e4, "m"),
    "pa": (-1e5, 1e7, "Pa"),
    "pct": (-1e4, 1e4, "%"),
    "ppm": (0.0, 1e6, "ppm"),
    "c": (-100.0, 2000.0, "°C"),
    "k": (-500.0, 2000.0, "K"),
    "w": (-1e8, 1e8, "W"),
    "j": (-1e15, 1e15, "J"),
    "year": (1500, 2200, "(a year)"),
    "years": (0.0, 200.0, "years"),
    "seconds": (0.0, 4e7, "s"),
    "minutes": (0.0, 6e5, "min"),
    "hours": (0.0, 1e5, "h"),
    "days": (0.0, 366.0, "days"),
}
# Whole names without a unit, or that mean less than their ending allows.
BY_NAME: dict[str, Range] = {
    **dict.fromkeys(
        (
            "framing_fraction", "void_fraction", "covered_fraction", "on_fraction", "in_service",
            "coincidence", "discretionary_use", "effectiveness", "exterior_share",
            "line_loss_fraction", "sensible_share", "reduction", "mixing", "compression",
        ),
        (0.0, 1.0, "(a fraction)"),
    ),
    **dict.fromkeys(
        (
            "efficiency", "efficient", "base", "recovery", "uef", "base_uef", "efficient_uef",
            "gas_efficiency", "efficiency_existing", "efficiency_standard", "efficiency_new",
            "steady_efficiency", "energy_factor", "cop", "nameplate", "before", "after", "old",
            "new",
        ),
        (0.01, 20.0, "(no unit)"),
    ),
    **dict.fromkeys(
        ("heating_cooling_factor", "heating_factor", "demand_factor", "latent_multiplier",
         "adjustment", "correction", "realization", "net_to_gross", "interaction"),
        (0.0, 20.0, "(no unit)"),
    ),
    **dict.fromkeys(("people", "occupants", "bedrooms", "showers_per_person_day", "heads"),
                    (0.0, 100.0, "(a count)")),
    **dict.fromkeys(("elbows_90", "elbows_45"), (0.0, 50.0, "elbows")),
    "exponent": (0.5, 1.0, "(no unit)"),
    "n": (1.0, 200.0, "(no unit)"),
    "pickup": (1.0, 5.0, "(no unit)"),
    "discharge": (0.1, 1.0, "(no unit)"),
    "normalized": (0.0, 50.0, "(no unit)"),
    "stories": (0.5, 10.0, "stories"),
    "day_of_year": (0.0, 366.0, "days"),
    "reduction50_m3_per_s": (-100.0, 100.0, "m³/s"),
    "degree_days_k_day": (0.0, 30_000.0, "K·day"),
    "hours": (0.0, 8784.0, "h a year"),
    "full_load_seconds": (0.0, 8784.0 * 3600.0, "s a year"),
    "discount": (-0.999, 100.0, "(a rate a year)"),
    "social_discount": (-0.999, 100.0, "(a rate a year)"),
    "escalation": (-0.999, 100.0, "(a rate a year)"),
    "hhv_j": (1.0, 1e10, "J"),
}  # fmt: skip
_ENDINGS = sorted(BY_ENDING, key=len, reverse=True)


def range_of(name: str) -> Range:
    """Lowest, highest and unit of a named number; without limits when the name says nothing."""
    if name in BY_NAME:
        return BY_NAME[name]
    for ending in _ENDINGS:
        if name == ending or name.endswith("_" + ending):
            return BY_ENDING[ending]
    return (*ANY, "")


def require_meant(name: str, value: Any, owner: str = "") -> None:
    """Refuse a number, or a list of numbers, that cannot be what its name says.

    Raises
    ------
    InputError
        With the field, the value, the limits and the unit.
    """
    for item in _numbers(value):
        low, high, unit = range_of(name)
        if math.isfinite(item) and low <= item <= high:
            continue
        where = f"{owner} {name.replace('_', ' ')}".strip()
        limits = f"from {low:g} to {high:g} {unit}" if math.isfinite(low) else "a finite number"
        raise InputError(f"{where} must be {limits}, got {item:g}")


def _numbers(value: Any) -> list[float]:
    if isinstance(value, bool | str) or value is None:
        return []
    if isinstance(value, int | float | np.integer | np.floating):
        return [float(value)]
    if isinstance(value, np.ndarray):
        if value.dtype.kind not in "fiu" or value.size == 0:
            return []
        worst = value.ravel()
        return [float(worst.min()), float(worst.max())]
    if isinstance(value, Sequence):
        return [number for item in value for number in _numbers(item)]
    return []


def require_record_meant(record: Any) -> None:
    """`require_meant` for every number of a dataclass, for its `__post_init__`."""
    for item in fields(record):
        if item.init:
            require_meant(item.name, getattr(record, item.name), type(record).__name__)


def guarded(function: Callable[P, T]) -> Callable[P, T]:
    """A formula none of whose numbers passes in silence when it cannot be meant.

    The decorated function raises InputError where the bare one would have answered, or stumbled,
    on a number that is not finite or out of the range of its name.
    """
    names = list(inspect.signature(function).parameters)

    def look(args: tuple[Any, ...], named: dict[str, Any]) -> None:
        for name, value in [*zip(names, args, strict=False), *named.items()]:
            if not is_dataclass(value):
                require_meant(name, value)

    @functools.wraps(function)
    def careful(*args: P.args, **named: P.kwargs) -> T:
        try:
            answer = function(*args, **named)
        except CalcsError:
            raise
        except (ValueError, TypeError, ArithmeticError, Warning):
            look(args, dict(named))
            raise
        look(args, dict(named))
        return answer

    return careful
