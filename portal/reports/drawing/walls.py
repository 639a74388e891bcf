"""Outside walls in the cut: cavity, windows, rim joists; and the wall shared with a neighbor."""

from __future__ import annotations

from portal.reports.drawing.base import rim_room
from portal.reports.drawing.body import Body, Floor
from portal.reports.drawing.ink import PENCIL, Rect
from portal.reports.drawing.records import Foundation, PartKey, SectionInput
from portal.reports.drawing.scene import Scene

SILL_FT = 2.7
HEAD_FT = 6.8


def walls_draw(
    scene: Scene, home: SectionInput, body: Body, *, joins_left: bool, joins_right: bool
) -> None:
    """Both outside walls of a mass, floor by floor."""
    for story, floor in enumerate(body.floors):
        is_top = floor is body.floors[-1]
        if not joins_left:
            _side(scene, home, body, floor, side=-1, has_bay=False)
        elif is_top:
            scene.line((floor.left, floor.ceiling), (floor.left, floor.floor), 1.2)
        if joins_right:
            continue
        if home.party_wall:
            continue
        is_garage = bool(home.garage) and (story == 0 or not home.has_room_above_garage)
        has_bay = is_top and any(part.key is PartKey.BAY for part in home.parts)
        _side(scene, home, body, floor, side=1, has_bay=has_bay, to_garage=is_garage and story == 0)
    if home.party_wall and any(part.key is PartKey.BAY for part in home.parts):
        floor = body.floors[-1]
        _run(scene, PartKey.BAY, floor.left, -1, floor.ceiling, floor.ceiling + scene.ft(1.2))


def _side(
    scene: Scene,
    home: SectionInput,
    body: Body,
    floor: Floor,
    *,
    side: int,
    has_bay: bool,
    to_garage: bool = False,
) -> None:
    """One wall of one floor; ``side`` is -1 for the left and 1 for the right."""
    layout = scene.layout
    outer = floor.left if side < 0 else floor.right
    inner = outer - side * layout.wall
    plate = max(3.0 * layout.weight, scene.ft(0.28))
    is_first = floor is body.floors[0]
    bottom = min(floor.floor, -scene.ft(0.4))
    if bottom < floor.floor - 4:
        _buried(scene, home, floor, side, bottom)
    box = _between(outer, inner, floor.ceiling, bottom)
    scene.rect(box, 0, fill=layout.ground)
    scene.crossed(_between(outer, inner, floor.ceiling, floor.ceiling + plate))
    if bottom == floor.floor:
        scene.crossed(_between(outer, inner, floor.floor - plate, floor.floor))
    top_y, bottom_y = floor.ceiling + plate, bottom - (plate if bottom == floor.floor else 0)
    has_window = home.has_windows and not to_garage and not has_bay
    head, sill = floor.floor - scene.ft(HEAD_FT), floor.floor - scene.ft(SILL_FT)
    if bottom < floor.floor - 4:
        sill = min(sill, bottom - scene.ft(0.6))
        has_window = has_window and sill - head > scene.ft(1.2)
    has_rim = not (is_first and body.foundation is Foundation.SLAB)
    lower_end = bottom_y - (rim_room(scene, home) * 0.8 if has_rim and is_first else 0)
    upper_start = top_y
    if has_window:
        segments = [(top_y, head), (sill, bottom_y)]
        _window(scene, outer, inner, head, sill)
        _run(scene, PartKey.WINDOWS, outer, side, head, sill)
    elif has_bay:
        middle = top_y + (bottom_y - top_y) * 0.58
        scene.crossed(_between(outer, inner, middle, middle + plate))
        segments = [(middle + plate, bottom_y)]
        scene.line((outer, top_y), (outer, middle), 2.6)
        scene.line((inner, top_y), (inner, middle), 1.2)
        _run(scene, PartKey.BAY, outer, side, top_y, middle)
        scene.used.add("empty")
        upper_start = middle + plate
    else:
        segments = [(top_y, bottom_y)]
    key = PartKey.GARAGE_WALL if to_garage else PartKey.WALLS
    for start, end in segments:
        _cavity(scene, home, outer, inner, start, end)
    if has_window:
        _run(scene, key, outer, side, upper_start, head)
        _run(scene, key, outer, side, sill, max(sill, lower_end))
    else:
        _run(scene, key, outer, side, upper_start, max(upper_start, lower_end))
    if has_rim:
        scene.crossed(_between(outer, inner, floor.floor, floor.platform))
        _run(scene, PartKey.RIM, outer, side, floor.floor, floor.platform, may_fan=True,
             weight=1.0 if is_first else 0.3)  # fmt: skip


def _between(one: float, other: float, top: float, bottom: float) -> Rect:
    return Rect(min(one, other), top, max(one, other), bottom)


def _run(
    scene: Scene,
    key: PartKey,
    outer: float,
    side: int,
    top: float,
    bottom: float,
    *,
    may_fan: bool = False,
    weight: float = 1.0,
) -> None:
    x = outer + side * 4 * scene.layout.weight
    scene.run(key, (x, top), (x, bottom), (float(side), 0.0), may_fan=may_fan, weight=weight)


def _cavity(
    scene: Scene, home: SectionInput, outer: float, inner: float, top: float, bottom: float
) -> None:
    if bottom - top < 2:
        return
    if home.is_wall_filled:
        pad = (inner - outer) * 0.2
        scene.loops(
            (outer + pad, top + 1), (outer + pad, bottom - 1), (inner - outer - 2 * pad, 0.0)
        )
    elif home.is_wall_filled is None:
        scene.rect(
            _between(outer, inner, top, bottom).grown(-scene.layout.wall * 0.22),
            0.9,
            ink=PENCIL,
            dash=scene.scribble_dash(),
        )
        scene.used.add("not_seen")
    else:
        scene.used.add("empty")
    scene.line((outer, top), (outer, bottom), 2.6)
    scene.line((inner, top), (inner, bottom), 1.2)


def _window(scene: Scene, outer: float, inner: float, head: float, sill: float) -> None:
    """Frame at head and sill, two panes between, a meeting rail."""
    layout = scene.layout
    frame = max(2.4 * layout.weight, scene.ft(0.2))
    away = (outer - inner) * 0.16
    scene.rect(_between(outer, inner, head, head + frame), 1.0, fill=layout.ground)
    scene.rect(_between(outer + away, inner, sill - frame, sill), 1.0, fill=layout.ground)
    for share in (0.36, 0.62):
        x = outer + (inner - outer) * share
        scene.line((x, head + frame), (x, sill - frame), 1.1)
    middle = (head + sill) / 2
    scene.line(
        (outer + (inner - outer) * 0.26, middle), (outer + (inner - outer) * 0.72, middle), 1.6
    )


def _buried(scene: Scene, home: SectionInput, floor: Floor, side: int, top: float) -> None:
    """The part of a lower floor's wall that stands in the ground."""
    outer = floor.left if side < 0 else floor.right
    inner = outer - side * scene.layout.wall
    scene.masonry(_between(outer, inner, top, floor.platform), home.foundation_wall.value)
    x = outer + side * 4 * scene.layout.weight
    scene.run(PartKey.FOUNDATION, (x, top + 3), (x, floor.floor), (float(side), 0.0))


def neighbor_draw(scene: Scene, home: SectionInput, body: Body, width: float, words: str) -> None:
    """The wall shared with a neighbor: no heat leaves where it is as warm next door."""
    top, bottom = body.ceiling, body.floors[0].floor
    right = body.floors[0].right
    thick = scene.layout.wall
    dash = scene.scribble_dash()
    for floor in body.floors:
        scene.line((right, floor.ceiling), (right + width, floor.ceiling), 1.0, dash=dash)
        scene.line((right, floor.floor), (right + width, floor.floor), 1.0, dash=dash)
    scene.line((right, top), (right, bottom), 2.2)
    scene.line((right - thick * 0.55, top), (right - thick * 0.55, bottom), 1.2)
    scene.line((right + thick * 0.55, top), (right + thick * 0.55, bottom), 1.2, dash=dash)
    scene.words(
        words,
        (right + width * 0.55, (body.floors[-1].ceiling + body.floors[-1].floor) / 2),
        turn=90,
    )
    scene.used.add("party")
