"""Timings of the engines, each against another of the same run.

Absolute times depend on the machine and on what else it does; processor time of the one thread is
kept beside wall time, and every goal that can be a ratio is one.
"""

from __future__ import annotations

import os
import subprocess
import sys
import time
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from calcs import fast
from calcs._assembly import Assembly, assemble
from calcs._jit import compiled
from calcs.bench.plain import plain_loads
from calcs.fast import layout, loop
from calcs.hourly import march, simulate
from calcs.network import (
    AirChange,
    Layer,
    Network,
    OpaqueElement,
    Options,
    Zone,
)
from calcs.weather import WeatherYear

FloatArray = NDArray[np.float64]

PLAIN_HOURS = 72
YEAR_HOURS = 8760


@dataclass(frozen=True, kw_only=True)
class Timing:
    """Best of several repetitions. [s]"""

    wall_s: float
    cpu_s: float


def timed(work: Callable[[], object], *, repeat: int = 5) -> Timing:
    """Time a piece of work; once beforehand, so that compiling and caches are not counted."""
    work()
    wall, cpu = [], []
    for _ in range(repeat):
        began, used = time.perf_counter(), time.thread_time()
        work()
        wall.append(time.perf_counter() - began)
        cpu.append(time.thread_time() - used)
    return Timing(wall_s=min(wall), cpu_s=min(cpu))


@dataclass(frozen=True, kw_only=True)
class RunTimes:
    """One annual run of a building by each way of running it.

    ``loop`` is the fast hour loop alone, ``variant`` a whole run of a changed variant whose
    outside is known, ``full`` the full engine's loop, ``plain`` a year by plain NumPy, timed over
    ``PLAIN_HOURS`` and scaled.
    """

    loop: Timing
    variant: Timing
    full: Timing
    plain: Timing


def run_times(network: Network, weather: WeatherYear, *, repeat: int = 15) -> RunTimes:
    """Time a building's run by the fast engine, the full one and plain NumPy."""
    quick, slow = Options(engine="fast"), Options(engine="full")
    assembly = assemble(network, weather, quick)

    def variant() -> None:
        # New zones, so that nothing of the building before is taken over.
        simulate(replace(network, zones=tuple(replace(z) for z in network.zones)), weather, quick)

    short = replace(slow, warmup_days=0)
    plain = timed(lambda: plain_loads(assembly, short, hours=PLAIN_HOURS), repeat=1)
    scale = (YEAR_HOURS + 24 * slow.warmup_days) / PLAIN_HOURS
    return RunTimes(
        loop=loop_time(assembly, repeat=repeat),
        variant=timed(variant, repeat=repeat),
        full=timed(lambda: march(assembly, slow), repeat=repeat),
        plain=Timing(wall_s=plain.wall_s * scale, cpu_s=plain.cpu_s * scale),
    )


def loop_time(assembly: Assembly, *, repeat: int = 15) -> Timing:
    """Time the fast hour loop with its warm-up, less what a march of no hours takes."""
    options = Options(engine="fast")
    whole = timed(lambda: march(assembly, options), repeat=repeat)
    none = timed(lambda: march(assembly, replace(options, warmup_days=0), hours=0), repeat=repeat)
    return Timing(wall_s=whole.wall_s - none.wall_s, cpu_s=whole.cpu_s - none.cpu_s)


def box(walls: int, unheated: int) -> Network:
    """A heated zone with many different walls, and unheated zones hung on it.

    Parameters
    ----------
    walls : int
        Outside walls of the heated zone, no two alike, so that none go as one group.
    unheated : int
        Further zones, each with a wall to the heated zone and one outdoors.
    """
    board = Layer.solid(0.012, 0.16, 800.0, 1090.0)
    zones = [
        Zone(
            name="room", volume_m3=250.0, heating_setpoint_c=20.0, cooling_setpoint_c=25.0,
            infiltration=AirChange(air_changes_per_hour=0.4),
        )
    ]  # fmt: skip
    elements = [
        OpaqueElement(
            name=f"wall {i}", component="walls", area_m2=100.0 / walls, zone_in="room",
            layers=(board, Layer.resistance(1.5 + 0.01 * i), board), azimuth_deg=90.0 * (i % 4),
        )
        for i in range(walls)
    ]  # fmt: skip
    for i in range(unheated):
        name = f"buffer {i}"
        zones.append(
            Zone(
                name=name, volume_m3=40.0, is_conditioned=False,
                infiltration=AirChange(air_changes_per_hour=1.0),
            )
        )  # fmt: skip
        for other in ("room", "outdoor"):
            elements.append(
                OpaqueElement(
                    name=f"{name} to {other}", component="buffer", area_m2=20.0, zone_in=name,
                    zone_out=other, layers=(board, Layer.resistance(0.5), board),
                )
            )  # fmt: skip
    return Network(zones=tuple(zones), elements=tuple(elements))


@dataclass(frozen=True, kw_only=True)
class Growth:
    """Cost of the loop against a count, and the straight line through it."""

    counts: tuple[int, ...]
    times_s: tuple[float, ...]

    @property
    def line(self) -> tuple[float, float]:
        """Seconds at none, seconds for each one more."""
        slope, start = np.polyfit(self.counts, self.times_s, 1)
        return float(start), float(slope)

    @property
    def r_squared(self) -> float:
        """Share of the differences between times that the line accounts for. [-]"""
        start, slope = self.line
        times = np.array(self.times_s)
        left = times - (start + slope * np.array(self.counts))
        return float(1.0 - (left**2).sum() / ((times - times.mean()) ** 2).sum())


def growth_with_elements(
    weather: WeatherYear, counts: tuple[int, ...] = (8, 16, 32, 64, 96)
) -> Growth:
    """The loop of a one-zone building by the number of its elements, no two alike."""
    return _growth(weather, [(count, box(count, 0)) for count in counts])


def growth_with_zones(weather: WeatherYear, counts: tuple[int, ...] = (1, 2, 4, 6, 8)) -> Growth:
    """The loop of a building by the number of its zones, each further one with two elements."""
    return _growth(weather, [(count, box(8, count - 1)) for count in counts])


def _growth(weather: WeatherYear, buildings: list[tuple[int, Network]]) -> Growth:
    options = Options(engine="fast")
    times = [loop_time(assemble(network, weather, options)).cpu_s for _, network in buildings]
    return Growth(counts=tuple(count for count, _ in buildings), times_s=tuple(times))


@dataclass(frozen=True, kw_only=True)
class Floor:
    """Arithmetic of one annual run, and the time it would take at the core's best rate."""

    operations: int
    best_rate_per_s: float

    @property
    def seconds(self) -> float:
        """Least time of one run were it nothing but multiply-and-add at full width. [s]"""
        return self.operations / self.best_rate_per_s


# Per step and zone: leakage, balance, sums and storage; counted in the source of `loop.run`
# (44), and in `settle_star` for each zone that hangs on the main one (58).
ZONE_OPERATIONS = 44 + 58


def arithmetic_floor(assembly: Assembly) -> Floor:
    """Count the loop's arithmetic on its own source, and measure what the core can do at best.

    Every addition, multiplication, division, root and comparison counts one. Lanes that only
    fill up a row are not counted: they are work the machine does and the building does not need.
    """
    reduction = fast.reduce(assembly, Options(engine="fast"))
    two = len(reduction.lanes.pairs)
    one = len(reduction.groups) - two
    per_step = one * _lane_operations(1) + two * _lane_operations(2)
    per_step += ZONE_OPERATIONS * len(assembly.air.capacity)
    steps = YEAR_HOURS + 24 * Options().warmup_days
    return Floor(operations=per_step * steps, best_rate_per_s=_best_rate())


def floor_and_loop(network: Network, weather: WeatherYear) -> tuple[Floor, Timing]:
    """The arithmetic floor of a building's annual run, and what its loop takes."""
    assembly = assemble(network, weather, Options(engine="fast"))
    return arithmetic_floor(assembly), loop_time(assembly)


class _Counted(float):
    """A number that counts what is done with it."""

    done = 0

    def _count(self, value: float) -> _Counted:
        _Counted.done += 1
        return _Counted(value)

    def __add__(self, other: float) -> _Counted:
        return self._count(float(self) + float(other))

    def __sub__(self, other: float) -> _Counted:
        return self._count(float(self) - float(other))

    def __mul__(self, other: float) -> _Counted:
        return self._count(float(self) * float(other))

    def __truediv__(self, other: float) -> _Counted:
        return self._count(float(self) / float(other))

    def __rsub__(self, other: float) -> _Counted:
        return self._count(float(other) - float(self))

    def __rtruediv__(self, other: float) -> _Counted:
        return self._count(float(other) / float(self))

    def __neg__(self) -> _Counted:
        return self._count(-float(self))

    def __abs__(self) -> _Counted:
        return self._count(abs(float(self)))

    def __gt__(self, other: float) -> bool:
        _Counted.done += 1
        return float(self) > float(other)

    def sqrt(self) -> _Counted:
        """What numpy calls for the root of an object."""
        return self._count(float(self) ** 0.5)

    __radd__, __rmul__ = __add__, __mul__


def _lane_operations(faces: int) -> int:
    """Operations of one lane in one step, by running the loop's parts on counting numbers."""
    row = np.array([_Counted(1.5 + 0.01 * i) for i in range(layout.BLOCK)], dtype=object)
    weights = (1.0, 0.0, 0.0)
    _Counted.done = 0
    if faces == 1:
        loop.one_face.py_func(row, 1, True, 1.0, 1.0)
        loop.close_one.py_func(row, 1, weights)
    else:
        loop.two_faces.py_func(row, 1, True, 1.0, 1.0)
        loop.close_two.py_func(row, 1, weights)
    return _Counted.done


@compiled
def _multiply_and_add(values, rounds):  # type: ignore[no-untyped-def]  # numba infers
    for _ in range(rounds):
        for i in range(values.shape[0]):
            x = values[i]
            # Eight steps on a number in a register for one load and one store.
            x = x * 0.999 + 0.001
            x = x * 0.998 + 0.002
            x = x * 0.997 + 0.003
            x = x * 0.996 + 0.004
            x = x * 0.995 + 0.005
            x = x * 0.994 + 0.006
            x = x * 0.993 + 0.007
            values[i] = x * 0.992 + 0.008


def _best_rate() -> float:
    """Additions and multiplications a second of one core at its best. [1/s]"""
    values, rounds = np.ones(1024), 2000
    taken = timed(lambda: _multiply_and_add(values, rounds), repeat=5)
    return 16.0 * values.size * rounds / taken.cpu_s


_START = """
import sys, time
from calcs.bench import random_house
from calcs.hourly import simulate
from calcs.thermal import network_for
from calcs.weather import read_weather
weather = read_weather(sys.argv[1], cache_dir=sys.argv[2])
simulate(network_for(random_house(int(sys.argv[3])), weather), weather)
"""


def start_up(weather_file: Path, cache_dir: Path, *, seed: int = 3) -> Timing:
    """A new process to its first annual run, with compiled code and weather kept by an earlier one.

    Parameters
    ----------
    weather_file, cache_dir : path
        As for ``weather.read_weather``.
    seed : int
        Of the house run.

    Returns
    -------
    Timing
        Processor time is that of the child. [s]
    """
    command = [sys.executable, "-c", _START, str(weather_file), str(cache_dir), str(seed)]
    folder = Path(__file__).parents[2]
    found = []
    for _ in range(3):
        began, before = time.perf_counter(), os.times()
        subprocess.run(command, check=True, cwd=folder)  # noqa: S603  our own interpreter and code
        after = os.times()
        used = after.children_user - before.children_user
        used += after.children_system - before.children_system
        found.append(Timing(wall_s=time.perf_counter() - began, cpu_s=used))
    # The first may have to compile; it is not one of those asked for.
    return min(found[1:], key=lambda timing: timing.cpu_s)
