"""What is seen inside: the far wall's windows and door, stairs, radiators, equipment."""

from __future__ import annotations

from portal.reports.drawing.body import Body, Floor
from portal.reports.drawing.ink import BRICK, GRAPHITE, PENCIL, SHEET, Rect
from portal.reports.drawing.records import (
    Appliance,
    ApplianceKind,
    Foundation,
    PartKey,
    Place,
    SectionInput,
)
from portal.reports.drawing.scene import Scene
from portal.reports.drawing.walls import HEAD_FT, SILL_FT

# Shares of walls and windows that face toward or away from the viewer (drawing convention).
FAR_WALLS = 0.4
FAR_WINDOWS = 0.45

SIZES_FT = {
    ApplianceKind.WATER_HEATER: (2.0, 4.8),
    ApplianceKind.FURNACE: (2.3, 4.6),
    ApplianceKind.BOILER: (3.2, 4.0),
    ApplianceKind.HEAT_PUMP: (3.0, 3.0),
}


def rooms_draw(scene: Scene, home: SectionInput, body: Body, *, is_main: bool) -> None:
    """Every room of one mass, then its equipment, so that dots keep clear of both."""
    for story, floor in enumerate(body.floors):
        inner = _room(scene, floor)
        above = body.floors[story + 1] if story + 1 < len(body.floors) else None
        if above is not None and above.platform < floor.ceiling + 1:
            _stairs(scene, floor, above, inner)
        if story:
            scene.line((floor.left, floor.floor), (floor.right, floor.floor), 1.6)
            scene.line((inner.left, floor.platform), (inner.right, floor.platform), 0.8, ink=PENCIL)
    if is_main:
        for appliance in home.appliances:
            if appliance.place is not Place.OUTSIDE:
                _appliance_inside(scene, home, body, appliance)
            else:
                _appliance_outside(scene, home, body, appliance)
    for story, floor in enumerate(body.floors):
        inner = _room(scene, floor)
        if home.has_radiators:
            _radiator(scene, floor, inner)
        if home.has_door and story == 0 and floor.floor < scene.ft(1.0):
            _door(scene, floor, inner)
        if home.has_windows:
            _far_windows(scene, floor, inner)
        scene.field(
            PartKey.WALLS,
            Rect(
                inner.left + 5 * scene.layout.weight,
                inner.top + 6 * scene.layout.weight,
                inner.right - 5 * scene.layout.weight,
                inner.bottom - 6 * scene.layout.weight,
            ),
            FAR_WALLS,
        )


def _room(scene: Scene, floor: Floor) -> Rect:
    wall = scene.layout.wall
    return Rect(floor.left + wall, floor.ceiling, floor.right - wall, floor.floor)


def _fits(scene: Scene, rect: Rect, inner: Rect) -> bool:
    pad = 4 * scene.layout.weight
    return (
        rect.left > inner.left + pad
        and rect.right < inner.right - pad
        and rect.top > inner.top
        and not any(rect.grown(pad).meets(other) for other in scene.blocked)
    )


def _far_windows(scene: Scene, floor: Floor, inner: Rect) -> None:
    wanted = 2 if inner.width > scene.ft(25) else 1
    head, sill = floor.floor - scene.ft(HEAD_FT), floor.floor - scene.ft(SILL_FT)
    if sill > -scene.ft(0.4):
        sill = -scene.ft(0.6)
    if sill - head < scene.ft(1.5):
        return
    half = scene.ft(2.6)
    frame = 2.2 * scene.layout.weight
    for share in (0.8, 0.42, 0.3, 0.7, 0.2, 0.5):
        if not wanted:
            return
        x = inner.left + inner.width * share
        rect = Rect(x - half, head, x + half, sill)
        if not _fits(scene, rect, inner):
            continue
        wanted -= 1
        scene.rect(rect, 1.2, fill=SHEET)
        scene.rect(rect.grown(-frame), 0.8)
        scene.line((x, rect.top + frame), (x, rect.bottom - frame), 1.2)
        scene.line((rect.left - frame * 1.4, sill), (rect.right + frame * 1.4, sill), 1.8)
        inset = frame + 2.2 * scene.layout.weight
        for left, right in (
            (rect.left + inset, x - inset / 2),
            (x + inset / 2, rect.right - inset),
        ):
            scene.field(
                PartKey.WINDOWS,
                Rect(left, rect.top + inset, right, rect.bottom - inset),
                FAR_WINDOWS,
            )
        scene.blocked.append(rect)


def _door(scene: Scene, floor: Floor, inner: Rect) -> None:
    half = scene.ft(1.5)
    for share in (0.13, 0.24, 0.9, 0.5):
        x = inner.left + inner.width * share
        rect = Rect(x - half, floor.floor - scene.ft(6.8), x + half, floor.floor)
        if not _fits(scene, Rect(rect.left, rect.top, rect.right, rect.bottom - 1), inner):
            continue
        scene.rect(rect, 0.9, ink=PENCIL)
        scene.rect(
            Rect(rect.left + half * 0.4, rect.top + half * 0.45, rect.right - half * 0.4,
                 rect.top + half * 1.7),
            0.8,
            ink=PENCIL,
        )  # fmt: skip
        scene.blocked.append(rect)
        return


def _stairs(scene: Scene, floor: Floor, above: Floor, inner: Rect) -> None:
    """A flight seen from the side, rising to the right beside the left wall."""
    rise = floor.floor - above.floor
    steps = 11
    tread = scene.ft(0.78)
    left = inner.left + inner.width * 0.1
    for share in (0.1, 0.02, 0.66):
        left = inner.left + inner.width * share
        rect = Rect(left, floor.ceiling, left + tread * steps, floor.floor)
        if not any(rect.meets(other) for other in scene.blocked) and rect.right < inner.right:
            break
    else:
        return
    path: list[tuple[str | float, ...]] = [("M", left, floor.floor)]
    for step in range(1, steps + 1):
        y = floor.floor - rise * step / steps
        if y < floor.ceiling:
            break
        path.append(("L", left + tread * (step - 1), y))
        path.append(("L", left + tread * step, y))
    scene.path(path, 0.9, ink=PENCIL)
    for step in range(0, steps, 2):
        top = floor.floor - rise * (step + 1) / steps
        if top > floor.ceiling:
            scene.blocked.append(
                Rect(left + tread * step, top, left + tread * (step + 2), floor.floor)
            )


def _radiator(scene: Scene, floor: Floor, inner: Rect) -> None:
    wide, high = scene.ft(3.0), scene.ft(1.9)
    for share in (0.66, 0.06, 0.84):
        left = inner.left + inner.width * share
        rect = Rect(
            left, floor.floor - high - scene.ft(0.35), left + wide, floor.floor - scene.ft(0.35)
        )
        if not _fits(scene, rect, inner):
            continue
        scene.rect(rect, 1.0, ink=PENCIL, fill=SHEET)
        fins = 6
        for fin in range(1, fins):
            x = rect.left + wide * fin / fins
            scene.line((x, rect.top), (x, rect.bottom), 0.7, ink=PENCIL)
        scene.line((rect.left + 2, rect.bottom), (rect.left + 2, floor.platform), 0.8, ink=PENCIL)
        scene.blocked.append(rect)
        return


# -- equipment ---------------------------------------------------------------------------


def _stands_on(scene: Scene, body: Body, place: Place) -> tuple[float, float]:
    """Floor and ceiling of the place the equipment stands in."""
    first = body.floors[0]
    if place is Place.BASEMENT and body.foundation is Foundation.BASEMENT:
        return body.ground, first.platform
    if place is Place.CRAWL and body.foundation is Foundation.CRAWL:
        return body.ground, first.platform
    if place is Place.ATTIC:
        top = body.ceiling
        return top - 14 * scene.layout.weight, top - scene.ft(6)
    return first.floor, first.ceiling


def _appliance_inside(scene: Scene, home: SectionInput, body: Body, appliance: Appliance) -> None:
    bottom, top = _stands_on(scene, body, appliance.place)
    wide_ft, high_ft = SIZES_FT[appliance.kind]
    high = min(scene.ft(high_ft), (bottom - top) - scene.ft(0.8))
    wide = max(scene.ft(wide_ft), 11 * scene.layout.weight)
    if appliance.place in (Place.CRAWL, Place.ATTIC):
        wide, high = wide * 1.7, min(high, scene.ft(2.2))
    left, right = body.floors[0].left + scene.layout.wall * 1.6, body.floors[0].right
    right -= scene.layout.wall * 1.6
    gap = scene.ft(1.3)
    middle = left + (right - left) * 0.5
    spots = [middle - wide / 2, middle + wide * 1.2, left + (right - left) * 0.3]
    if body.chimney is not None:
        near = [body.chimney.left - gap - wide, body.chimney.right + gap]
        if appliance.kind is ApplianceKind.WATER_HEATER:
            near.reverse()
        spots = [*near, body.chimney.left - 2 * gap - 3 * wide, *spots]
    if appliance.place in (Place.CRAWL, Place.ATTIC):
        spots = [right - wide - 4, left + 4, *spots]
    for x in spots:
        rect = Rect(x, bottom - high, x + wide, bottom)
        if (
            rect.left > left - 2
            and rect.right < right + 2
            and not any(rect.grown(2).meets(other) for other in scene.blocked)
        ):
            break
    _machine(scene, appliance, rect)
    if appliance.is_vented and appliance.kind is not ApplianceKind.HEAT_PUMP:
        _flue(scene, body, appliance, rect)
    scene.blocked.append(rect)
    if appliance.has_failed_test:
        scene.failed.append((_mark(appliance), rect))


def _appliance_outside(scene: Scene, home: SectionInput, body: Body, appliance: Appliance) -> None:
    """A heat pump's outdoor unit on its pad, clear of the wall's strokes."""
    wide, high = scene.ft(3.0), scene.ft(2.9)
    right = body.floors[0].left - scene.layout.stroke - 16 * scene.layout.weight
    rect = Rect(right - wide, -high, right, 0.0)
    scene.rect(rect, 1.5, fill=scene.layout.ground)
    for row in range(1, 6):
        y = rect.top + high * row / 6.5
        scene.line((rect.left + 2, y), (rect.right - 2, y), 0.8)
    if appliance.has_failed_test:
        scene.failed.append((_mark(appliance), rect))


def _mark(appliance: Appliance) -> str:
    return f"{appliance.kind.value}:{appliance.place.value}"


def _machine(scene: Scene, appliance: Appliance, rect: Rect) -> None:
    ink = BRICK if appliance.has_failed_test else GRAPHITE
    weight = 2.0 if appliance.has_failed_test else 1.5
    fill = scene.layout.ground
    if appliance.kind is ApplianceKind.WATER_HEATER:
        bend = rect.width * 0.3
        scene.path(
            [
                ("M", rect.left, rect.bottom),
                ("L", rect.left, rect.top + bend),
                ("C", rect.left, rect.top, rect.left + bend * 0.4, rect.top,
                 rect.left + rect.width / 2, rect.top),
                ("C", rect.right - bend * 0.4, rect.top, rect.right, rect.top, rect.right,
                 rect.top + bend),
                ("L", rect.right, rect.bottom),
                ("Z",),
            ],
            weight,
            ink=ink,
            fill=fill,
        )  # fmt: skip
        door = Rect(
            rect.left + rect.width * 0.28, rect.bottom - rect.height * 0.2,
            rect.right - rect.width * 0.28, rect.bottom - rect.height * 0.07,
        )  # fmt: skip
        scene.rect(door, 1.0, ink=ink)
    else:
        scene.rect(rect, weight, ink=ink, fill=fill)
        band = rect.top + rect.height * (0.24 if appliance.kind is ApplianceKind.BOILER else 0.4)
        scene.line((rect.left, band), (rect.right, band), 1.0, ink=ink)
        grate = Rect(
            rect.left + rect.width * 0.18, rect.bottom - rect.height * 0.44,
            rect.right - rect.width * 0.18, rect.bottom - rect.height * 0.16,
        )  # fmt: skip
        scene.rect(grate, 1.0, ink=ink)
        for bar in range(1, 5):
            x = grate.left + grate.width * bar / 5
            scene.line((x, grate.top), (x, grate.bottom), 0.8, ink=ink)
    if appliance.has_failed_test:
        scene.path(
            [
                ("M", rect.left, rect.top), ("L", rect.right, rect.bottom),
                ("M", rect.right, rect.top), ("L", rect.left, rect.bottom),
            ],
            1.8,
            ink=BRICK,
        )  # fmt: skip
        scene.used.add("failed")


def _flue(scene: Scene, body: Body, appliance: Appliance, rect: Rect) -> None:
    """The exhaust: to the chimney, or straight up through the roof."""
    ink = BRICK if appliance.has_failed_test else GRAPHITE
    half = max(2.2 * scene.layout.weight, scene.ft(0.24))
    x = (rect.left + rect.right) / 2
    chimney = body.chimney
    if chimney is not None and rect.top < chimney.bottom:
        to_left = rect.left < chimney.left
        face = chimney.left if to_left else chimney.right
        up = rect.top - scene.ft(0.9) - (0 if to_left else scene.ft(0.5))
        inner, outer = (x + half, x - half) if to_left else (x - half, x + half)
        scene.path(
            [
                ("M", outer, rect.top), ("L", outer, up - half), ("L", face, up - half),
                ("M", inner, rect.top), ("L", inner, up + half), ("L", face, up + half),
            ],
            1.2,
            ink=ink,
        )  # fmt: skip
        return
    if body.flue is not None:
        # The second appliance shares the flue of the first.
        face = body.flue.right if rect.left > body.flue.left else body.flue.left
        up = max(body.flue.top, rect.top - scene.ft(0.9))
        inner, outer = (x - half, x + half) if face < x else (x + half, x - half)
        scene.path(
            [
                ("M", outer, rect.top), ("L", outer, up - half), ("L", face, up - half),
                ("M", inner, rect.top), ("L", inner, up + half), ("L", face, up + half),
            ],
            1.2,
            ink=ink,
        )  # fmt: skip
        return
    top = min(body.roof_at(x), body.ceiling) - scene.ft(2.0)
    pipe = Rect(x - half, top, x + half, rect.top)
    scene.poly(
        [(pipe.left, pipe.bottom), (pipe.left, top), (pipe.right, top), (pipe.right, pipe.bottom)],
        1.2,
        ink=ink,
        fill=scene.layout.ground,
        is_closed=False,
    )
    cap = 2.4 * half
    scene.line((x - cap, top - half), (x + cap, top - half), 1.8, ink=ink)
    scene.line((x, top - half), (x, top), 1.0, ink=ink)
    body.flue = Rect(pipe.left, body.ceiling, pipe.right, pipe.bottom)
    scene.blocked.append(body.flue)
