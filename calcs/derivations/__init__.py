"""How every number of an analysis was made: formula, inputs with their origin, unit, source."""

from __future__ import annotations

from collections.abc import Sequence

from calcs.derivations.house import year_of
from calcs.derivations.registry import EXEMPT, NUMBERS, is_exempt, key_of, numbers_of
from calcs.derivations.work import of_bills, work_of
from calcs.inputs import House
from calcs.results import (
    Baseline,
    Derivation,
    EquipmentFinding,
    LeftAlone,
    MeasureResult,
    Package,
    RangeInput,
)
from calcs.worth import Scene

__all__ = [
    "EXEMPT",
    "NUMBERS",
    "derivations_of",
    "is_exempt",
    "key_of",
    "numbers_of",
    "of_bills",
]


def derivations_of(
    house: House,
    house_after: House,
    base: Baseline,
    package: Package,
    results: Sequence[MeasureResult],
    scene: Scene,
    *,
    equipment: Sequence[EquipmentFinding] = (),
    left: Sequence[LeftAlone] = (),
    range_inputs: Sequence[RangeInput] = (),
) -> tuple[Derivation, ...]:
    """A derivation for every number of an analysis, by the keys of the registry."""
    found = [
        *year_of(house, base, scene),
        *year_of(house_after, package.after, scene, prefix="after."),
        *work_of(package, results, equipment, left, range_inputs, scene.terms),
    ]
    return tuple({item.key: item for item in found}.values())
