"""Labels beside the drawing and the leaders from them, without crossings."""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from portal.reports.drawing.ink import Layout, Point, Rect
from portal.reports.drawing.lettering import Face, text_width, wrapped
from portal.reports.drawing.placing import Stroke

# Weights of what makes a leader bad; only their order matters.
CROSSES_LEADER = 4000.0
CROSSES_STROKE = 14.0
CROSSES_OWN = 3.0
PER_UNIT = 0.12
STEEP = 0.25
FLAT_SLANT = 0.3
UNEVEN = 0.3
BEAM = 12
TARGETS = 9
SPLITS = 20

Segment = tuple[Point, Point]


@dataclass(frozen=True)
class Label:
    """One label before it has a place. ``number`` alone makes it a circle."""

    part: str
    letter: str
    name: str = ""
    figures: str = ""
    figures_lead: str = ""
    found: str = ""
    is_failed: bool = False
    targets: tuple[Point, ...] = ()


@dataclass
class Placed:
    """A label with its lines, its box, and its leader as points from the label to the part."""

    label: Label
    side: int
    box: Rect
    lines: list[tuple[str, str, Point]] = field(default_factory=list)  # kind, text, baseline
    leader: list[Point] = field(default_factory=list)


def stroke_targets(strokes: Sequence[Stroke], layout: Layout) -> tuple[Point, ...]:
    """Where a leader may end: at the tips of strokes, a little past them."""
    chosen = list(strokes)
    lines = [stroke for stroke in chosen if not stroke.is_end_on]
    chosen = lines or chosen
    if len(chosen) > TARGETS:
        step = (len(chosen) - 1) / (TARGETS - 1)
        chosen = [chosen[round(place * step)] for place in range(TARGETS)]
    past = 0.16
    return tuple(
        (
            stroke.tip[0] + (stroke.tip[0] - stroke.start[0]) * past,
            stroke.tip[1] + (stroke.tip[1] - stroke.start[1]) * past,
        )
        for stroke in chosen
    )


def label_height(label: Label, layout: Layout) -> float:
    return _block(label, layout, 0, Rect(0, 0, 1, 1))[1]


def _block(
    label: Label, layout: Layout, side: int, column: Rect
) -> tuple[list[tuple[str, str, float]], float, float]:
    """Lines of a label as (kind, text, baseline below the top), its height and its width."""
    if not layout.has_labels:
        radius = circle_radius(label, layout)
        return [], 2 * radius, 2 * radius
    width = layout.column - 22
    lines: list[tuple[str, str, float]] = []
    y = layout.name_size * 0.82
    title = f"{label.letter}  {label.name}".strip()
    widest = 0.0
    for place, line in enumerate(wrapped(title, layout.name_size, Face.HEAD, width)):
        y += layout.name_size * 1.1 if place else 0
        lines.append(("name", line, y))
        widest = max(widest, text_width(line, layout.name_size, Face.HEAD))
    if label.figures:
        y += layout.figure_size * 1.25
        lines.append(("figures", label.figures, y))
        widest = max(widest, text_width(label.figures, layout.figure_size, Face.TOOL_HEAVY))
    first = True
    for line in wrapped(label.found, layout.found_size, Face.TOOL, width):
        y += layout.found_size * (1.28 if first else 1.22)
        first = False
        lines.append(("found", line, y))
        widest = max(widest, text_width(line, layout.found_size, Face.TOOL))
    return lines, y + layout.found_size * 0.35, widest


def circle_radius(label: Label, layout: Layout) -> float:
    return max(
        layout.name_size * 0.8,
        text_width(label.letter, layout.name_size, Face.TOOL_HEAVY) / 2 + layout.name_size * 0.26,
    )


def labels_place(
    labels: Sequence[Label],
    layout: Layout,
    *,
    house: Rect,
    strokes: Sequence[tuple[str, Stroke]],
) -> list[Placed]:
    """Places for all labels, in order from top to bottom in each column, leaders not crossing."""
    if not labels:
        return []
    middle = (house.left + house.right) / 2
    sides = [_open_sides(label, middle) for label in labels]
    best: tuple[float, list[Placed]] | None = None
    for choice in _splits(sides, labels, layout):
        columns = {
            side: [label for label, pick in zip(labels, choice, strict=True) if pick == side]
            for side in (-1, 1)
        }
        cost = 0.0
        placed: list[Placed] = []
        for side, column in columns.items():
            more, here = _column(column, layout, side, house, middle, strokes, placed)
            cost += more
            placed += here
        heights = [
            sum(label_height(label, layout) for label in column) for column in columns.values()
        ]
        cost += abs(heights[0] - heights[1]) * UNEVEN
        if best is None or cost < best[0]:
            best = (cost, placed)
    assert best is not None
    return best[1]


def _open_sides(label: Label, middle: float) -> tuple[int, ...]:
    left = any(x <= middle + 1 for x, _ in label.targets)
    right = any(x >= middle - 1 for x, _ in label.targets)
    return tuple(side for side, is_open in ((-1, left), (1, right)) if is_open) or (-1, 1)


def _splits(
    sides: Sequence[tuple[int, ...]], labels: Sequence[Label], layout: Layout
) -> Iterable[tuple[int, ...]]:
    """Ways to share the labels between the columns, the even ones first."""
    heights = [label_height(label, layout) for label in labels]
    free = [place for place, each in enumerate(sides) if len(each) > 1]
    choices = []
    for picks in itertools.product((-1, 1), repeat=min(len(free), 9)):
        choice = [each[0] for each in sides]
        for place, pick in zip(free, picks, strict=False):
            choice[place] = pick
        tilt = abs(sum(height * pick for height, pick in zip(heights, choice, strict=True)))
        choices.append((tilt, tuple(choice)))
    choices.sort()
    return [choice for _tilt, choice in choices[:SPLITS]]


def _column(
    column: Sequence[Label],
    layout: Layout,
    side: int,
    house: Rect,
    middle: float,
    strokes: Sequence[tuple[str, Stroke]],
    others: Sequence[Placed],
) -> tuple[float, list[Placed]]:
    if not column:
        return 0.0, []
    gap = 14 * layout.weight if layout.has_labels else 5
    heights = [label_height(label, layout) for label in column]
    wishes = []
    for label, height in zip(column, heights, strict=True):
        own = [p for p in label.targets if (p[0] - middle) * side >= -1] or list(label.targets)
        y = sum(p[1] for p in own) / len(own)
        wishes.append(y - min(height * 0.4, layout.name_size))
    tops = _packed(wishes, heights, gap)
    edge = -1 * side
    outer = house.left - layout.column if side < 0 else house.right + layout.column
    results: list[Placed] = []
    for label, top, height in zip(column, tops, heights, strict=True):
        lines, _height, widest = _block(label, layout, side, house)
        if layout.has_labels:
            left = outer if side < 0 else house.right + 22
            box = Rect(left, top, left + widest, top + height)
            placed = Placed(
                label, side, box, [(kind, text, (left, top + y)) for kind, text, y in lines]
            )
        else:
            radius = circle_radius(label, layout)
            x = outer + radius + 2 if side < 0 else outer - radius - 2
            placed = Placed(label, side, Rect(x - radius, top, x + radius, top + 2 * radius))
        results.append(placed)
    beam: list[tuple[float, list[list[Point]]]] = [(0.0, [])]
    fixed = [segment for other in others for segment in _segments(other.leader)]
    for placed in results:
        options = list(_leaders(placed, layout, edge, middle, side))
        scored = [(option, _cost(option, placed.label.part, strokes, fixed)) for option in options]
        scored.sort(key=lambda each: each[1])
        grown = []
        for cost, chosen in beam:
            before = [segment for leader in chosen for segment in _segments(leader)]
            for option, own_cost in scored[:12]:
                crossings = _crossings(_segments(option), before)
                grown.append((cost + own_cost + CROSSES_LEADER * crossings, [*chosen, option]))
        grown.sort(key=lambda each: each[0])
        beam = grown[:BEAM] or beam
    cost, chosen = beam[0]
    for placed, leader in zip(results, chosen, strict=True):
        placed.leader = leader
    return cost, results


def _packed(wishes: Sequence[float], heights: Sequence[float], gap: float) -> list[float]:
    """Tops in order, none overlapping, as near to their wishes as groups of neighbors allow."""
    blocks: list[list[int]] = []
    offsets: list[list[float]] = []
    tops: list[float] = []
    for place, wish in enumerate(wishes):
        blocks.append([place])
        offsets.append([0.0])
        tops.append(wish)
        while len(blocks) > 1:
            upper_end = tops[-2] + offsets[-2][-1] + heights[blocks[-2][-1]] + gap
            if tops[-1] >= upper_end - 1e-9:
                break
            shift = offsets[-2][-1] + heights[blocks[-2][-1]] + gap
            offsets[-2] += [shift + offset for offset in offsets[-1]]
            blocks[-2] += blocks[-1]
            blocks.pop()
            offsets.pop()
            tops.pop()
            tops[-1] = sum(
                wishes[member] - offset
                for member, offset in zip(blocks[-1], offsets[-1], strict=True)
            ) / len(blocks[-1])
    result = [0.0] * len(wishes)
    for top, members, shifts in zip(tops, blocks, offsets, strict=True):
        for member, shift in zip(members, shifts, strict=True):
            result[member] = top + shift
    return result


def _leaders(
    placed: Placed, layout: Layout, edge: int, middle: float, side: int
) -> Iterable[list[Point]]:
    """Level away from the label, then straight to the part."""
    if layout.has_labels:
        y = placed.box.top + layout.name_size * 0.55
        name_end = max(
            text_width(text, layout.name_size, Face.HEAD)
            for kind, text, _at in placed.lines[:1]
            if kind == "name"
        )
        x = placed.box.left + name_end + 9 if side < 0 else placed.box.left - 8
    else:
        y = (placed.box.top + placed.box.bottom) / 2
        x = placed.box.right if side < 0 else placed.box.left
    own = [p for p in placed.label.targets if (p[0] - middle) * side >= -1] or list(
        placed.label.targets
    )
    for target_x, target_y in own:
        reach = abs(target_y - y)
        if reach < 1.5:
            yield [(x, target_y if not layout.has_labels else y), (target_x, target_y)]
            continue
        for slant in (0.35, 0.8, 1.6):
            bend = target_x + side * reach * slant
            # Never back behind the label.
            bend = max(bend, x + 6) if side < 0 else min(bend, x - 6)
            yield [(x, y), (bend, y), (target_x, target_y)]
        yield [(x, y), (x - side * 10, y), (target_x, target_y)]


def _segments(leader: Sequence[Point]) -> list[Segment]:
    return list(itertools.pairwise(leader))


def _cost(
    leader: Sequence[Point],
    part: str,
    strokes: Sequence[tuple[str, Stroke]],
    fixed: Sequence[Segment],
) -> float:
    segments = _segments(leader)
    length = sum(((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2) ** 0.5 for a, b in segments)
    cost = length * PER_UNIT + CROSSES_LEADER * _crossings(segments, fixed)
    # A gentle bend reads better than a hairpin.
    if len(leader) == 3:
        across = abs(leader[2][0] - leader[1][0])
        cost += STEEP if across < 1 else FLAT_SLANT * across
    low_x = min(p[0] for p in leader)
    high_x = max(p[0] for p in leader)
    low_y = min(p[1] for p in leader)
    high_y = max(p[1] for p in leader)
    for key, stroke in strokes:
        if stroke.is_end_on:
            continue
        (ax, ay), (bx, by) = stroke.start, stroke.tip
        if max(ax, bx) < low_x or min(ax, bx) > high_x or max(ay, by) < low_y:
            continue
        if min(ay, by) > high_y:
            continue
        hits = _crossings(segments, [(stroke.start, stroke.tip)])
        if hits:
            cost += hits * (CROSSES_OWN if key == part else CROSSES_STROKE)
    return cost


def _crossings(ones: Sequence[Segment], others: Sequence[Segment]) -> int:
    return sum(1 for one in ones for other in others if segments_cross(one, other))


def segments_cross(one: Segment, other: Segment) -> bool:
    """Whether two segments have a point in common."""
    (ax, ay), (bx, by) = one
    (cx, cy), (dx, dy) = other
    # Asked millions of times for one drawing, and most pairs lie apart; written out for speed.
    if (ax < cx and ax < dx and bx < cx and bx < dx) or (
        ax > cx and ax > dx and bx > cx and bx > dx
    ):
        return False
    if (ay < cy and ay < dy and by < cy and by < dy) or (
        ay > cy and ay > dy and by > cy and by > dy
    ):
        return False
    abx, aby, cdx, cdy = bx - ax, by - ay, dx - cx, dy - cy
    # On which side of one segment the ends of the other lie. Where both lie on its line, the
    # overlap of the two in both directions, seen above, makes a common point.
    if (abx * (cy - ay) - aby * (cx - ax)) * (abx * (dy - ay) - aby * (dx - ax)) > 0:
        return False
    return (cdx * (ay - cy) - cdy * (ax - cx)) * (cdx * (by - cy) - cdy * (bx - cx)) <= 0
