"""Strokes set on the parts they leave by."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from portal.reports.drawing.counting import apportion
from portal.reports.drawing.ink import (
    GRAPHITE,
    NONE,
    Layout,
    Point,
    Rect,
    Run,
    Shape,
    Site,
    Step,
)

# A run that may fan takes strokes until its outer ends reach this far past it, in stroke lengths.
FAN_REACH = 1.1
STEEPEST_FAN = math.radians(52)
# Air is drawn as a wave, which needs more room than a line.
AIR_ROOM = 0.45
# Distance between dots in dot radii: as loose as there is room for.
DOT_PITCHES = (4.1, 3.3, 2.8)
# Strokes stand this much closer before a second rank begins.
CLOSER = 1.7


@dataclass(frozen=True)
class Stroke:
    """One part in a hundred of the heat, at its place."""

    start: Point
    tip: Point
    is_air: bool
    is_end_on: bool
    is_kept: bool = False

    def shape(self, layout: Layout) -> Shape:
        """Line, wave, dot or ring; dotted when the plan keeps it inside."""
        weight = layout.stroke_weight
        (x, y), (tip_x, tip_y) = self.start, self.tip
        if self.is_end_on:
            radius = layout.dot if not self.is_air else layout.dot * 1.25
            if self.is_kept:
                dash = "0.6 1.7" if layout.weight > 0.7 else "0.5 1.2"
                return Shape((("M", x, y),), weight=weight * 0.45, radius=radius * 1.3, dash=dash)
            if self.is_air:
                return Shape((("M", x, y),), weight=weight * 0.62, radius=radius)
            return Shape((("M", x, y),), weight=0.4, radius=radius, fill=GRAPHITE)
        steps: tuple[Step, ...]
        if self.is_air:
            steps = _wave(self.start, self.tip, layout.wave)
        else:
            steps = (("M", x, y), ("L", tip_x, tip_y))
        dash = f"0.1 {weight * 1.75:.1f}" if self.is_kept else ""
        return Shape(
            steps, weight=weight * (0.9 if self.is_kept else 1), fill=NONE, dash=dash, is_round=True
        )


def _wave(start: Point, tip: Point, amplitude: float) -> tuple[Step, ...]:
    """One full wave from start to tip."""
    (x, y), (tip_x, tip_y) = start, tip
    along_x, along_y = tip_x - x, tip_y - y
    length = math.hypot(along_x, along_y) or 1.0
    across_x, across_y = -along_y / length * amplitude, along_x / length * amplitude

    def at(share: float, side: float) -> Point:
        return (x + along_x * share + across_x * side, y + along_y * share + across_y * side)

    middle = at(0.5, 0)
    return (
        ("M", x, y),
        ("C", *at(0.14, 1.75), *at(0.36, 1.75), *middle),
        ("C", *at(0.64, -1.75), *at(0.86, -1.75), tip_x, tip_y),
    )


def strokes_place(
    site: Site,
    *,
    material: int,
    air: int,
    kept_material: int,
    kept_air: int,
    layout: Layout,
    blocked: Sequence[Rect],
) -> list[Stroke]:
    """All strokes of one part, in the order of its runs and fields; exactly as many as asked."""
    count = material + air
    if not count:
        return []
    gap = layout.gap * (1 + AIR_ROOM * air / count)
    run_rooms = [_room(run, gap, layout) for run in site.runs]
    spots: list[list[Point]] = []
    field_room = 0
    for pitch in DOT_PITCHES:
        spots = [_spots(rect, blocked, layout, pitch) for rect in site.fields]
        field_room = sum(len(places) for places in spots)
        if field_room >= max(count * site.field_share, count - sum(run_rooms)):
            break
    in_fields = min(round(count * site.field_share), field_room) if site.runs else count
    if site.runs and count - in_fields > sum(run_rooms):
        in_fields = min(field_room, count - sum(run_rooms))
    if not site.runs:
        in_fields = min(count, field_room)
    on_runs = count - in_fields
    if sum(run_rooms) < on_runs <= sum(run_rooms) * CLOSER:
        run_rooms = [math.ceil(room * CLOSER) for room in run_rooms]
    placed: list[tuple[Point, Point, bool]] = []
    if on_runs:
        lengths = [run.length * run.weight for run in site.runs]
        room = run_rooms
        if on_runs > sum(room):
            # More than one rank is needed: every run takes its share again.
            room = [math.ceil(each * on_runs / max(1, sum(room))) + 1 for each in room]
        shares = apportion(lengths, on_runs, room)
        for run, number, first in zip(site.runs, shares, run_rooms, strict=True):
            placed += [(a, b, False) for a, b in _on_run(run, number, max(1, first), gap, layout)]
    if in_fields:
        shares = apportion([float(len(each)) for each in spots], in_fields, [len(s) for s in spots])
        for places, number in zip(spots, shares, strict=True):
            placed += [(point, point, True) for point in _spread(places, number)]
    flags = _evenly(count, air)
    kept = _kept(flags, kept_material, kept_air)
    return [
        Stroke(start=start, tip=tip, is_air=is_air, is_end_on=end_on, is_kept=is_kept)
        for (start, tip, end_on), is_air, is_kept in zip(placed, flags, kept, strict=True)
    ]


def _evenly(count: int, marked: int) -> list[bool]:
    """``marked`` of ``count`` flags set, spread evenly."""
    return [
        ((i + 1) * marked + count // 2) // count > (i * marked + count // 2) // count
        for i in range(count)
    ]


def _kept(flags: list[bool], kept_material: int, kept_air: int) -> list[bool]:
    kept = [False] * len(flags)
    for is_air, number in ((False, kept_material), (True, kept_air)):
        places = [i for i, flag in enumerate(flags) if flag is is_air]
        if places:
            for place, marked in zip(places, _evenly(len(places), number), strict=True):
                kept[place] = marked
    return kept


def _room(run: Run, gap: float, layout: Layout) -> int:
    reach = run.length + (layout.stroke * FAN_REACH if run.may_fan else 0)
    return max(1, int(reach / gap))


def _on_run(
    run: Run, number: int, rank_room: int, gap: float, layout: Layout
) -> list[tuple[Point, Point]]:
    """Starts and tips along a run; past its room a second rank stands beyond the first."""
    placed: list[tuple[Point, Point]] = []
    rank = 0
    while number > 0:
        here = min(number, rank_room)
        number -= here
        (ax, ay), (bx, by), (nx, ny) = run.start, run.end, run.normal
        offset = rank * (layout.stroke + 3)
        length = run.length
        along = ((bx - ax) / length, (by - ay) / length) if length else (0.0, 0.0)
        spread = max(here * gap, length) if run.may_fan else length
        for place in range(here):
            share = (place + 0.5) / here
            base = length * share
            lean = (share - 0.5) * (spread - length)
            angle = max(-STEEPEST_FAN, min(STEEPEST_FAN, math.atan2(lean, layout.stroke * 0.8)))
            start = (
                ax + along[0] * base + nx * offset,
                ay + along[1] * base + ny * offset,
            )
            toward = (
                nx * math.cos(angle) + along[0] * math.sin(angle),
                ny * math.cos(angle) + along[1] * math.sin(angle),
            )
            # Equal lengths, also where the normal is not square to the run.
            reach = layout.stroke / math.hypot(*toward)
            tip = (start[0] + toward[0] * reach, start[1] + toward[1] * reach)
            placed.append((start, tip))
        rank += 1
    return placed


def _spots(rect: Rect, blocked: Sequence[Rect], layout: Layout, dots_apart: float) -> list[Point]:
    """Places for dots in a field: staggered rows, clear of what is drawn there."""
    pitch = layout.dot * dots_apart
    columns = max(1, int(rect.width / pitch))
    rows = max(1, int(rect.height / pitch))
    step_x, step_y = rect.width / columns, rect.height / rows
    places = []
    for row in range(rows):
        for column in range(columns):
            shift = 0.25 if row % 2 else -0.25
            x = rect.left + (column + 0.5 + (shift if columns > 1 else 0)) * step_x
            y = rect.top + (row + 0.5) * step_y
            if not any(other.grown(layout.dot * 1.8).holds(x, y) for other in blocked):
                places.append((x, y))
    return places


def _spread(places: list[Point], number: int) -> list[Point]:
    """``number`` of the places, far from each other: farthest-first, from the middle out."""
    if number >= len(places):
        return list(places)
    if number == 0:
        return []
    left = min(x for x, _ in places), max(x for x, _ in places)
    top = min(y for _, y in places), max(y for _, y in places)
    middle = ((left[0] + left[1]) / 2, (top[0] + top[1]) / 2)
    first = min(places, key=lambda p: (p[0] - middle[0]) ** 2 + (p[1] - middle[1]) ** 2)
    chosen = [first]
    nearest = {p: (p[0] - first[0]) ** 2 + (p[1] - first[1]) ** 2 for p in places}
    while len(chosen) < number:
        far = max(places, key=lambda p: (nearest[p], -p[1], -p[0]))
        chosen.append(far)
        for p in places:
            distance = (p[0] - far[0]) ** 2 + (p[1] - far[1]) ** 2
            nearest[p] = min(nearest[p], distance)
    return sorted(chosen, key=lambda p: (p[1], p[0]))
