"""A home's section as a scene: which floors stand where, and who draws them."""

from __future__ import annotations

from django.utils.translation import gettext as _

from portal.reports.drawing import base, interior, roofs, walls
from portal.reports.drawing.body import Body, Floor
from portal.reports.drawing.ink import SHEET, Layout, Rect
from portal.reports.drawing.records import (
    Foundation,
    PartKey,
    Place,
    Roof,
    SectionInput,
    Side,
)
from portal.reports.drawing.scene import Scene

GARAGE_FT = 13.0
NEIGHBOR_FT = 6.0
CHIMNEY_AT = 0.6


def total_width_ft(home: SectionInput) -> float:
    """Width of everything drawn above ground, without strokes."""
    extra = GARAGE_FT if home.garage else 0.0
    extra += NEIGHBOR_FT if home.party_wall else 0.0
    return home.width_ft + extra + 3.0


def total_height_ft(home: SectionInput) -> float:
    """Rough height from footing to ridge, for choosing the scale."""
    stories = home.stories if home.stories >= 1 else 1.0
    span = home.width_ft * (0.46 if home.is_split_level else 1.0)
    rise = {
        Roof.FLAT: 3.0,
        Roof.KNEE_WALL: home.width_ft * 0.42,
        Roof.HIP: min(span * home.roof_pitch * 0.42, 8.0),
    }.get(home.roof, span * home.roof_pitch / 2)
    below = {Foundation.BASEMENT: 8.5, Foundation.CRAWL: 5.0, Foundation.BELLY: 3.5}.get(
        home.foundation, 2.5
    )
    full = int(stories)
    height = full * home.story_height_ft + full + rise + below + 1.5
    if home.is_split_level:
        height = 2.2 * home.story_height_ft + rise + 5.0
    return height + (3.5 if home.has_chimney else 0.0)


def scale_for(home: SectionInput, layout: Layout) -> float:
    """Units a foot: as large as the page and the largest scale allow."""
    room = layout.width - 2 * layout.column - 2 * (layout.stroke + 8)
    return min(
        room / total_width_ft(home),
        layout.tallest / total_height_ft(home),
        layout.largest_ft,
    )


def house_scene(home: SectionInput, layout: Layout, scale: float) -> Scene:
    """Everything drawn of a home but its strokes and labels."""
    scene = Scene(layout=layout, scale=scale)
    # Garage and neighbor are built on the right and the whole is turned round when they are left.
    turned = Side.LEFT in (home.garage, home.party_wall)
    bodies = _split_bodies(home, scene) if home.is_split_level else [_plain_body(home, scene)]
    main = bodies[-1]
    bodies[0].is_joined_right = len(bodies) > 1
    for body in bodies:
        base.ground_find(scene, home, body)
    _ground_line(scene, home, bodies)
    if home.garage:
        base.garage_draw(scene, home, main, scene.ft(GARAGE_FT))
    if home.party_wall:
        walls.neighbor_draw(scene, home, main, scene.ft(NEIGHBOR_FT), _("next door, heated"))
    for body in bodies:
        for floor in body.floors:
            scene.rect(Rect(floor.left, floor.ceiling, floor.right, floor.floor), 0, fill=SHEET)
    _chimney_place(scene, home, main)
    for body in bodies:
        base.base_draw(scene, home, body)
    for place, body in enumerate(bodies):
        neighbor = bodies[1] if len(bodies) == 2 and place == 0 else None
        roofs.roof_draw(scene, home, body, joins=neighbor)
        walls.walls_draw(scene, home, body, joins_left=place == 1, joins_right=neighbor is not None)
    for body in bodies:
        interior.rooms_draw(scene, home, body, is_main=body is main)
    if home.ducts is Place.ATTIC:
        roofs.attic_ducts_draw(scene, main)
    if main.chimney is not None:
        roofs.chimney_draw(scene, main)
    if turned:
        scene.mirror()
    return scene


def _plain_body(home: SectionInput, scene: Scene) -> Body:
    wall = scene.layout.wall
    width = scene.ft(home.width_ft)
    height = scene.ft(home.story_height_ft)
    platform = max(scene.ft(1.0), scene.layout.wall * 0.85)
    above = {
        Foundation.BASEMENT: 2.4,
        Foundation.CRAWL: 2.2,
        Foundation.SLAB: 0.45,
        Foundation.BELLY: 3.6,
        Foundation.UNKNOWN: 1.6,
    }[home.foundation]
    floor_y = -scene.ft(above)
    if home.foundation is Foundation.BELLY:
        floor_y = min(floor_y, -(platform * 1.9 + scene.layout.stroke + 9 * scene.layout.weight))
    floors = []
    upper = scene.ft(GARAGE_FT) if home.has_room_above_garage and home.garage else 0.0
    for story in range(max(1, int(home.stories))):
        ceiling = floor_y - height
        right = width + (upper if story else 0.0)
        under = floor_y + platform
        if story == 0 and home.foundation is Foundation.SLAB:
            under = floor_y + max(scene.ft(0.5), 5 * scene.layout.weight)
        floors.append(Floor(0.0, right, ceiling, floor_y, under))
        floor_y = ceiling - platform
    return Body(floors=floors, foundation=home.foundation, ceiling=floors[-1].ceiling, wall=wall)


def _split_bodies(home: SectionInput, scene: Scene) -> list[Body]:
    """The lower wing on the left, half a story off; two floors on the right."""
    wall = scene.layout.wall
    width = scene.ft(home.width_ft)
    height = scene.ft(home.story_height_ft)
    platform = max(scene.ft(1.0), wall * 0.85)
    middle = width * 0.52
    low_floor = scene.ft(3.4)
    lower = Floor(middle, width, low_floor - height, low_floor, low_floor + max(scene.ft(0.5), 5.0))
    high_floor = lower.ceiling - platform
    upper = Floor(middle, width, high_floor - height, high_floor, lower.ceiling)
    wing_floor = (low_floor + high_floor) / 2
    wing_base = home.foundation if home.foundation is not Foundation.BASEMENT else Foundation.CRAWL
    wing = Floor(0.0, middle, wing_floor - height, wing_floor, wing_floor + platform)
    return [
        Body(floors=[wing], foundation=wing_base, ceiling=wing.ceiling, wall=wall),
        Body(floors=[lower, upper], foundation=Foundation.SLAB, ceiling=upper.ceiling, wall=wall),
    ]


def _ground_line(scene: Scene, home: SectionInput, bodies: list[Body]) -> None:
    reach = scene.layout.stroke + scene.ft(2.2)
    left = bodies[0].floors[0].left
    right = bodies[-1].floors[0].right
    edge = left - scene.layout.wall * 0.4
    # Slants keep clear of the strokes that leave the wall at the ground.
    clear = scene.layout.stroke * 0.7
    scene.line((edge - clear - 2, 0.0), (edge, 0.0), 2.0)
    scene.earth(left - reach - scene.ft(1.5), edge - clear, 0.0)
    start = right + scene.layout.wall * 0.4
    if home.garage:
        start = right + scene.ft(GARAGE_FT) + scene.layout.wall * 0.5
    if home.party_wall:
        start = right + scene.ft(NEIGHBOR_FT)
        reach = scene.ft(0.5)
    if not home.garage and not home.party_wall:
        scene.line((start, 0.0), (start + clear + 2, 0.0), 2.0)
        start += clear
    scene.earth(start, max(start + scene.ft(2.4), right + reach + scene.ft(1.5)), 0.0)


def _chimney_place(scene: Scene, home: SectionInput, body: Body) -> None:
    if not home.has_chimney:
        return
    wide = max(scene.ft(2.2), 14 * scene.layout.weight)
    center = body.left + (body.floors[0].right - body.left) * CHIMNEY_AT
    bottom = body.ground if body.ground > body.floors[0].floor else body.floors[0].platform
    body.chimney = Rect(center - wide / 2, body.ceiling, center + wide / 2, bottom)
    scene.blocked.append(Rect(center - wide / 2, body.ceiling - 999, center + wide / 2, bottom))
    gap = max(scene.ft(1.1), 4 * scene.layout.gap)
    for start, end in (
        (body.chimney.left - gap, body.chimney.left - 2 * scene.layout.weight),
        (body.chimney.right + 2 * scene.layout.weight, body.chimney.right + gap),
    ):
        scene.run(
            PartKey.CHIMNEY_GAP,
            (start, body.ceiling - 3 * scene.layout.weight),
            (end, body.ceiling - 3 * scene.layout.weight),
            (0.0, -1.0),
            may_fan=True,
        )
