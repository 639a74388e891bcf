"""What a house stands on: basement, crawlspace, slab, belly; and the garage beside it."""

from __future__ import annotations

from django.utils.translation import gettext as _

from portal.reports.drawing.body import Body
from portal.reports.drawing.ink import PENCIL, SHEET, SPRUCE, Rect
from portal.reports.drawing.records import Foundation, PartKey, Place, SectionInput
from portal.reports.drawing.scene import Scene

CRAWL_FT = 3.4
BASEMENT_FT = 7.0


def duct_height(scene: Scene) -> float:
    return max(scene.ft(1.0), 9 * scene.layout.weight)


def ground_find(scene: Scene, home: SectionInput, body: Body) -> None:
    """Where the basement or crawlspace ends below."""
    under = body.floors[0].platform
    if body.foundation is Foundation.BASEMENT:
        body.ground = under + scene.ft(BASEMENT_FT)
    elif body.foundation is Foundation.CRAWL:
        layout = scene.layout
        # Ducts and the strokes under them must fit; a low crawlspace is drawn deeper.
        needed = layout.stroke + 9 * layout.weight
        if home.ducts is Place.CRAWL:
            needed += duct_height(scene) + 9 * layout.weight
        body.ground = under + max(scene.ft(CRAWL_FT), needed)
        scene.is_drawn_deeper |= needed > scene.ft(CRAWL_FT) * 1.1
    elif body.foundation is Foundation.BELLY:
        body.ground = 0.0
    else:
        body.ground = under


def base_draw(scene: Scene, home: SectionInput, body: Body) -> None:
    """The foundation of one mass, with the floor above it."""
    match body.foundation:
        case Foundation.BASEMENT:
            _basement(scene, home, body)
        case Foundation.CRAWL:
            _crawl(scene, home, body)
        case Foundation.SLAB:
            _slab(scene, body)
        case Foundation.BELLY:
            _belly(scene, home, body)
        case Foundation.UNKNOWN:
            _unknown(scene, body)


def _edges(body: Body) -> tuple[float, float]:
    return body.floors[0].left, body.floors[0].right


def _thick(scene: Scene) -> float:
    return scene.layout.wall * 1.25


def _basement(scene: Scene, home: SectionInput, body: Body) -> None:
    left, right = _edges(body)
    thick, top, bottom = _thick(scene), body.floors[0].platform, body.ground
    slab = max(scene.ft(0.5), 5 * scene.layout.weight)
    if home.is_basement_heated:
        scene.rect(Rect(left + thick, top, right - thick, bottom), 0, fill=SHEET)
    _stem_walls(scene, home, body, bottom)
    floor = Rect(left - 3, bottom, right + 3, bottom + slab)
    scene.rect(floor, 1.6, fill=scene.layout.ground)
    scene.dotted(floor)
    under = bottom + slab + 3 * scene.layout.weight
    scene.run(
        PartKey.FOUNDATION, (left + thick, under), (right - thick, under), (0.0, 1.0), weight=0.3
    )
    _joists(scene, home, body, is_edge=not home.is_basement_heated)
    ducts = (_ducts(scene, home, body),) if home.ducts is Place.BASEMENT else ()
    if not home.is_basement_heated:
        _floor_runs(scene, body, skips=ducts)


def _stem_walls(scene: Scene, home: SectionInput, body: Body, bottom: float) -> None:
    left, right = _edges(body)
    thick, top = _thick(scene), body.floors[0].platform
    out = scene.layout.wall * 0.12
    for rect in (
        Rect(left - out, top, left - out + thick, bottom),
        Rect(right + out - thick, top, right + out, bottom),
    ):
        scene.masonry(rect, home.foundation_wall.value)
    away = out + 3.5 * scene.layout.weight
    start = top + 2 + rim_room(scene, home)
    scene.run(PartKey.FOUNDATION, (left - away, start), (left - away, bottom), (-1.0, 0.0))
    if not (home.garage or home.party_wall or body.is_joined_right):
        scene.run(PartKey.FOUNDATION, (right + away, start), (right + away, bottom), (1.0, 0.0))


def rim_room(scene: Scene, home: SectionInput) -> float:
    """Room left beside the rim joist, whose strokes spread."""
    share = sum(
        part.share_material + part.share_air for part in home.parts if part.key is PartKey.RIM
    )
    whole = sum(part.share_material + part.share_air for part in home.parts)
    strokes = 100 * share / whole / 2 if whole else 0
    return min(scene.layout.stroke * 0.7, strokes * scene.layout.gap * 0.35)


def _joists(scene: Scene, home: SectionInput, body: Body, *, is_edge: bool) -> None:
    """The lowest floor: deck, joists in the cut, insulation between them when there is some."""
    floor = body.floors[0]
    wall = scene.layout.wall
    inner_left, inner_right = floor.left + wall, floor.right - wall
    if home.has_floor_insulation and is_edge:
        scene.loops(
            (inner_left, floor.platform - 1),
            (inner_right, floor.platform - 1),
            (0.0, -(floor.platform - floor.floor) * 0.72),
        )
    scene.line((floor.left, floor.floor), (floor.right, floor.floor), 2.6 if is_edge else 1.6)
    wide = max(3.2 * scene.layout.weight, scene.ft(0.3))
    pitch = max(scene.ft(4.0), 14 * scene.layout.weight)
    count = int((inner_right - inner_left) / pitch)
    for place in range(count):
        x = inner_left + (place + 0.5) * (inner_right - inner_left) / count
        chimney = body.chimney
        if chimney is None or not chimney.left - wide < x < chimney.right + wide:
            scene.crossed(
                Rect(x - wide / 2, floor.floor + scene.layout.weight, x + wide / 2, floor.platform)
            )
    if home.has_floor_insulation is None and is_edge:
        _not_seen(scene, Rect(inner_left, floor.floor, inner_right, floor.platform))


def _not_seen(scene: Scene, rect: Rect) -> None:
    scene.rect(rect, 1.0, ink=PENCIL, dash=scene.scribble_dash())
    scene.used.add("not_seen")


def _floor_runs(scene: Scene, body: Body, *, skips: tuple[Rect, ...]) -> None:
    """Strokes leave down from the floor, but not through ducts or the chimney."""
    floor = body.floors[0]
    y = floor.platform + 3 * scene.layout.weight
    start, end = floor.left + _thick(scene) + 2, floor.right - _thick(scene) - 2
    blocks = sorted(
        [(rect.left - 4, rect.right + 4) for rect in skips]
        + ([(body.chimney.left - 2, body.chimney.right + 2)] if body.chimney else [])
    )
    for left, right in blocks:
        scene.run(PartKey.FLOOR, (start, y), (max(start, left), y), (0.0, 1.0))
        start = max(start, right)
    scene.run(PartKey.FLOOR, (start, y), (end, y), (0.0, 1.0))


def _crawl(scene: Scene, home: SectionInput, body: Body) -> None:
    left, right = _edges(body)
    thick, wall = _thick(scene), scene.layout.wall
    bottom = body.ground + scene.ft(0.5)
    _stem_walls(scene, home, body, bottom)
    for x in (left - wall * 0.12 + thick / 2, right + wall * 0.12 - thick / 2):
        footing = Rect(x - thick, bottom, x + thick, bottom + max(scene.ft(0.6), 5))
        scene.rect(footing, 1.4, fill=scene.layout.ground)
        scene.dotted(footing)
    scene.earth(left + thick, right - thick, body.ground)
    _joists(scene, home, body, is_edge=True)
    ducts = (_ducts(scene, home, body),) if home.ducts is Place.CRAWL else ()
    _floor_runs(scene, body, skips=ducts)


def _ducts(scene: Scene, home: SectionInput, body: Body) -> Rect:
    """A trunk hung under the floor with boots up to it; strokes leave below and at its ends."""
    floor = body.floors[0]
    layout = scene.layout
    wide = floor.right - floor.left
    top = floor.platform + 8 * layout.weight
    trunk = Rect(floor.left + wide * 0.27, top, floor.left + wide * 0.75, top + duct_height(scene))
    if body.chimney is not None and body.chimney.bottom > trunk.top:
        trunk = Rect(trunk.left, trunk.top, body.chimney.left - 6 * layout.weight, trunk.bottom)
    for share in (0.12, 0.5, 0.88):
        x = trunk.left + trunk.width * share
        half = max(4.5 * layout.weight, scene.ft(0.4))
        boot = Rect(x - half, floor.floor, x + half, trunk.top)
        scene.rect(boot, 1.2, fill=SHEET)
        scene.line((boot.left, floor.floor), (boot.right, floor.floor), 0.8)
    scene.rect(trunk, 1.8, fill=SHEET)
    for share in (0.25, 0.5, 0.75):
        x = trunk.left + trunk.width * share
        scene.line((x, trunk.top), (x, trunk.bottom), 0.8)
    away = 3.5 * layout.weight
    scene.run(
        PartKey.DUCTS,
        (trunk.left + 2, trunk.bottom + away),
        (trunk.right - 2, trunk.bottom + away),
        (0.0, 1.0),
    )
    return trunk


def _slab(scene: Scene, body: Body) -> None:
    left, right = _edges(body)
    floor = body.floors[0]
    layout = scene.layout
    thick = layout.wall
    deep = floor.platform + max(scene.ft(1.2), 11 * layout.weight)
    scene.poly(
        [
            (left, floor.floor),
            (right, floor.floor),
            (right, deep),
            (right - thick * 1.3, deep),
            (right - thick * 2, floor.platform),
            (left + thick * 2, floor.platform),
            (left + thick * 1.3, deep),
            (left, deep),
        ],
        1.8,
        fill=layout.ground,
    )
    scene.dotted(Rect(left + 2, floor.floor, right - 2, floor.platform))
    scene.line((left, floor.floor), (right, floor.floor), 2.6)
    away = 3.5 * layout.weight
    slant = 0.42
    for x, side in ((left - away, -1.0), (right + away, 1.0)):
        scene.run(
            PartKey.SLAB,
            (x, max(floor.floor, 4 * layout.weight)),
            (x, deep),
            (side * (1 - slant**2) ** 0.5, slant),
            weight=2.2,
            may_fan=True,
        )
    scene.run(
        PartKey.SLAB,
        (left + thick * 2.4, floor.platform + away),
        (right - thick * 2.4, floor.platform + away),
        (0.0, 1.0),
        weight=0.16,
    )


def _belly(scene: Scene, home: SectionInput, body: Body) -> None:
    left, right = _edges(body)
    floor = body.floors[0]
    layout = scene.layout
    deep = max(scene.ft(0.95), layout.wall * 0.9)
    sag = floor.platform + deep
    scene.rect(
        Rect(left + 3, floor.platform, right - 3, floor.platform + deep * 0.6), 0, fill=SHEET
    )
    if home.has_floor_insulation:
        scene.loops((left + 7, sag - 3), (right - 7, sag - 3), (0.0, -deep * 0.72))
    trunk = None
    if home.ducts is Place.BELLY:
        middle, half = (left + right) / 2, (right - left) * 0.2
        trunk = Rect(middle - half, floor.platform + 1.5, middle + half, sag - 2)
        scene.rect(trunk, 1.6, fill=SHEET)
        for share in (0.3, 0.7):
            x = trunk.left + trunk.width * share
            scene.line((x, trunk.top), (x, trunk.bottom), 0.8)
    _joists(scene, home, body, is_edge=True)
    # The belly cloth sags a little between the floor's edges.
    scene.path(
        [
            ("M", left + 2, floor.platform),
            ("C", left + 6, sag, left + 14, sag, left + 26, sag),
            ("L", right - 26, sag),
            ("C", right - 14, sag, right - 6, sag, right - 2, floor.platform),
        ],
        1.4,
    )
    _piers(scene, body, sag)
    away = sag + 3.5 * layout.weight
    inner_left, inner_right = left + 16 * layout.weight, right - 16 * layout.weight
    if trunk is None:
        scene.run(PartKey.FLOOR, (inner_left, away), (inner_right, away), (0.0, 1.0))
        return
    scene.run(PartKey.FLOOR, (inner_left, away), (trunk.left - 5, away), (0.0, 1.0))
    scene.run(PartKey.FLOOR, (trunk.right + 5, away), (inner_right, away), (0.0, 1.0))
    scene.run(PartKey.DUCTS, (trunk.left + 2, away), (trunk.right - 2, away), (0.0, 1.0))


def _piers(scene: Scene, body: Body, top: float) -> None:
    left, right = _edges(body)
    half = max(scene.ft(0.7), 5 * scene.layout.weight)
    for share in (0.1, 0.9):
        x = left + (right - left) * share
        scene.masonry(Rect(x - half, top + 1, x + half, 0.0), "block")
    for x in (left + 2, right - 2):
        scene.line((x, body.floors[0].platform), (x, 0.0), 1.0, dash=scene.scribble_dash())
    scene.earth(left + 6, right - 6, 0.0)


def _unknown(scene: Scene, body: Body) -> None:
    left, right = _edges(body)
    top = body.floors[0].platform
    deep = max(scene.ft(3.0), scene.layout.stroke + 2.2 * scene.layout.found_size)
    rect = Rect(left, top, right, top + deep)
    scene.line((left, body.floors[0].floor), (right, body.floors[0].floor), 2.6)
    scene.line((left, top), (right, top), 1.2)
    _not_seen(scene, rect)
    scene.words(_("not seen"), ((left + right) / 2, rect.bottom - scene.layout.found_size * 0.5))
    scene.run(
        PartKey.FLOOR,
        (left + scene.layout.wall, top + 3),
        (right - scene.layout.wall, top + 3),
        (0.0, 1.0),
    )
    body.ground = rect.bottom


def garage_draw(scene: Scene, home: SectionInput, body: Body, width: float) -> None:
    """A garage is outside the heated space: ground color, thinner lines."""
    first = body.floors[0]
    left, right = first.right, first.right + width
    layout = scene.layout
    slab = Rect(left, -scene.ft(0.35), right, scene.ft(0.35))
    scene.rect(slab, 1.4, fill=layout.ground)
    scene.dotted(slab)
    thin = layout.wall * 0.5
    if home.has_room_above_garage and len(body.floors) > 1:
        top = body.floors[1].platform
        key = PartKey.GARAGE_CEILING
        y = top + 3.5 * layout.weight
        scene.run(key, (left + 6, y), (right - layout.wall, y), (0.0, 1.0))
        scene.line((left, top), (right, top), 2.6)
    else:
        top = first.ceiling + scene.ft(2.0)
        over = scene.ft(1.2)
        start = first.ceiling + scene.ft(0.15)
        drop = (top - start) / width
        scene.line((left, start), (right + over, top + drop * over), 2.0)
        scene.line((left, start + thin), (right + over * 0.8, top + drop * over + thin), 0.9)
    scene.line((right, top), (right, slab.top), 2.0)
    scene.line((right - thin, top + thin), (right - thin, slab.top), 0.9)
    door = Rect(left + width * 0.34, slab.top - scene.ft(6.6), left + width * 0.84, slab.top)
    scene.rect(door, 0.8, ink=PENCIL)
    for row in range(1, 4):
        y = door.top + door.height * row / 4
        scene.line((door.left, y), (door.right, y), 0.8, ink=PENCIL)


def target_line(scene: Scene, start: float, end: float, y: float) -> None:
    """The depth to reach, dotted."""
    dash = "1.5 4" if scene.layout.weight > 0.7 else "1 2.6"
    scene.path([("M", start, y), ("L", end, y)], 1.1, ink=SPRUCE, dash=dash)
    scene.used.add("target")
