"""How far a saving may be off: one input at a time, added in quadrature.

Each stated input is moved by its own uncertainty, the whole package is run again, and the changes
of every saving are added as if independent. A measured input moves less than a default. To that
comes the quality of the work, which no input of the house knows.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from math import hypot, sqrt

from calcs.inputs import House
from calcs.measures import Measure
from calcs.packages import Chain
from calcs.worth import Scene

METHOD_KEY = "one_at_a_time_quadrature"
WORK_QUALITY = 0.15  # of each saving; common practice, no source


@dataclass(frozen=True)
class Ranges:
    """Deviation of each saving and of the whole. [$ a year]"""

    by_measure: dict[str, float]
    package: float


def _how(house: House, path: str) -> str:
    return house.origin(path).how


def _leakage(house: House) -> House:
    is_measured = _how(house, "air_leakage.flow50_m3_per_s") == "measured"
    factor = 1.10 if is_measured else 1.30
    leakage = house.air_leakage
    return replace(
        house,
        air_leakage=replace(leakage, flow50_m3_per_s=leakage.flow50_m3_per_s * factor),
    )


def _setpoint(house: House) -> House:
    control = house.thermostat
    return replace(
        house,
        thermostat=replace(
            control, heating_c=control.heating_c + 1.0, cooling_c=control.cooling_c - 1.0
        ),
    )


def _efficiency(house: House) -> House:
    systems = []
    for item in house.heating:
        path = f"heating.{item.id}.steady_state_efficiency"
        factor = 0.97 if _how(house, path) == "measured" else 0.92
        systems.append(
            replace(
                item,
                efficiency=None if item.efficiency is None else item.efficiency * factor,
                steady_state_efficiency=None
                if item.steady_state_efficiency is None
                else item.steady_state_efficiency * factor,
                seasonal_cop=None
                if item.seasonal_cop is None
                else max(item.seasonal_cop * factor, 0.8),
            )
        )
    return replace(house, heating=tuple(systems))


def _insulation(house: House) -> House:
    attics = tuple(
        replace(
            attic,
            layers=tuple(
                replace(
                    layer,
                    depth_m=layer.depth_m * 0.85,
                    nominal_r_m2k_per_w=None
                    if layer.nominal_r_m2k_per_w is None
                    else layer.nominal_r_m2k_per_w * 0.85,
                )
                for layer in attic.layers
            ),
        )
        for attic in house.attics
    )
    walls = tuple(
        replace(wall, cavity_r_m2k_per_w=wall.cavity_r_m2k_per_w * 0.85) for wall in house.walls
    )
    foundations = tuple(
        replace(item, floor_r_m2k_per_w=item.floor_r_m2k_per_w * 0.85) for item in house.foundations
    )
    return replace(house, attics=attics, walls=walls, foundations=foundations)


def _people(house: House) -> House:
    geometry = house.geometry
    return replace(house, geometry=replace(geometry, occupants=geometry.occupants * 0.8))


MOVES: tuple[Callable[[House], House], ...] = (
    _leakage,
    _setpoint,
    _efficiency,
    _insulation,
    _people,
)


def ranges_of(
    house: House,
    chain: Chain,
    scene: Scene,
    *,
    on_step: Callable[[], None] | None = None,
) -> Ranges:
    """Deviations of a package's savings.

    The moved house is run after each stage of work; a measure's deviation is its share, by its
    expected saving, of its stage's.
    """
    expected = {m.id: s.cost_usd for m, s in zip(chain.measures, chain.savings(), strict=True)}
    stages = [list(group) for _, group in groupby(chain.measures, key=lambda item: item.stage)]
    before = [sum(expected[item.id] for item in group) for group in stages]
    squares = [0.0] * len(stages)
    total_square = 0.0
    for move in MOVES:
        after = _by_stage(move(house), stages, scene, on_step)
        for index, value in enumerate(after):
            squares[index] += (value - before[index]) ** 2
        total_square += (sum(after) - sum(before)) ** 2
    by_measure = {}
    for group, square in zip(stages, squares, strict=True):
        size = sum(abs(expected[item.id]) for item in group)
        for item in group:
            share = abs(expected[item.id]) / size if size > 0.0 else 1.0 / len(group)
            by_measure[item.id] = hypot(sqrt(square) * share, WORK_QUALITY * expected[item.id])
    return Ranges(
        by_measure=by_measure,
        package=hypot(sqrt(total_square), WORK_QUALITY * sum(expected.values())),
    )


def _by_stage(
    house: House,
    stages: Sequence[Sequence[Measure]],
    scene: Scene,
    on_step: Callable[[], None] | None,
) -> list[float]:
    """Saving of each stage of exactly these measures, the fan of the expected case included."""
    current, last, found = house, scene.run(house), []
    for group in stages:
        for measure in group:
            current = measure.apply(current)
        state = scene.run(current)
        found.append(last.cost_usd - state.cost_usd)
        last = state
        if on_step is not None:
            on_step()
    return found
