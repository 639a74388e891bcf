"""Roofs and attics in the cut, and the chimney through them."""

from __future__ import annotations

from django.utils.translation import gettext as _

from portal.reports.drawing.base import duct_height, target_line
from portal.reports.drawing.body import Body
from portal.reports.drawing.ink import PENCIL, SHEET, Point, Rect
from portal.reports.drawing.records import PartKey, Roof, SectionInput
from portal.reports.drawing.scene import Scene

# Insulation is drawn at twice its depth: at the scale of the house it would not be seen.
DEPTH_DRAWN = 2.0
OVERHANG_FT = 1.3
KNEE_PITCH = 0.84
WING_PITCH = 0.15


def roof_draw(scene: Scene, home: SectionInput, body: Body, *, joins: Body | None) -> None:
    """The roof of one mass, its attic floor and what heat leaves there."""
    if joins is not None:
        _wing_roof(scene, home, body, joins)
    elif home.roof is Roof.FLAT:
        _flat(scene, home, body)
    elif home.roof is Roof.KNEE_WALL:
        _knee_wall(scene, home, body)
    else:
        _pitched(scene, home, body)


def _depth(scene: Scene, inches: float | None) -> float:
    if not inches:
        return 0.0
    return max(3.0 * scene.layout.weight, scene.ft(inches / 12) * DEPTH_DRAWN)


def _pitched(scene: Scene, home: SectionInput, body: Body) -> None:
    left, right = body.left, body.right
    over = scene.ft(OVERHANG_FT)
    heel = max(scene.ft(0.5), 6 * scene.layout.weight)
    eave = body.ceiling - heel
    if home.party_wall:
        # The ridge stands over the shared wall; the neighbor's half is only hinted at.
        top = eave - (right - left) * home.roof_pitch * 0.75
        slope = (eave - top) / (right - left)
        profile = [(left - over, eave + slope * over), (right, top)]
        _roof_lines(scene, body, profile)
        end = scene.ft(6.0)
        scene.line((right, top), (right + end, top + slope * end), 1.2, dash=scene.scribble_dash())
        scene.line((right, top), (right, body.ceiling), 1.2)
    elif home.roof is Roof.HIP:
        rise = min((right - left) * home.roof_pitch * 0.42, scene.ft(8.0))
        slope = home.roof_pitch * 1.15
        inset = rise / slope
        top = eave - rise
        profile = [
            (left - over, eave + slope * over),
            (left + inset, top),
            (right - inset, top),
            (right + over, eave + slope * over),
        ]
        _roof_lines(scene, body, profile)
    else:
        middle = (left + right) / 2
        slope = home.roof_pitch
        top = eave - (right - left) / 2 * slope
        profile = [
            (left - over, eave + slope * over),
            (middle, top),
            (right + over, eave + slope * over),
        ]
        _roof_lines(scene, body, profile)
        tie = top + (eave - top) * 0.42
        reach = (tie - top) / slope - 5 * scene.layout.weight
        scene.line((middle - reach, tie), (middle + reach, tie), 0.8, ink=PENCIL)
    body.roof_top = top
    _attic_floor(scene, home, body, left, right, has_party=bool(home.party_wall), slope=slope)


def _roof_lines(scene: Scene, body: Body, profile: list[Point]) -> None:
    """Outer face heavy, underside light, closed at the eaves."""
    body.profile = profile
    thick = max(scene.ft(0.55), 6 * scene.layout.weight)
    scene.poly(profile, 2.2, is_closed=False)
    count = len(profile)
    under = []
    for place, (x, y) in enumerate(profile):
        if place == 0:
            under.append((x + thick * 0.4, y + thick * 0.75))
        elif place == count - 1 and count > 2:
            under.append((x - thick * 0.4, y + thick * 0.75))
        else:
            under.append((x, y + thick * 1.12))
    scene.poly(under, 0.9, is_closed=False)
    scene.line(profile[0], under[0], 1.2)
    if count > 2:
        scene.line(profile[-1], under[-1], 1.2)


def _attic_floor(
    scene: Scene,
    home: SectionInput,
    body: Body,
    left: float,
    right: float,
    *,
    has_party: bool,
    slope: float,
) -> None:
    layout = scene.layout
    y = body.ceiling
    scene.line((left, y), (right, y), 2.6)
    depth = _depth(scene, home.attic_insulation_in)
    start, end = (
        left + layout.wall * 0.9,
        right - (layout.wall * 0.4 if has_party else layout.wall * 0.9),
    )
    wide = max(scene.ft(2.4), 22 * layout.weight)
    hatch_at = left + (right - left) * 0.34
    has_hatch = any(part.key is PartKey.HATCH for part in home.parts)
    hatch = (hatch_at - wide / 2, hatch_at + wide / 2)
    blocks: list[tuple[float, float]] = []
    if has_hatch:
        blocks.append(hatch)
    if body.chimney is not None:
        gap = max(scene.ft(1.1), 4 * layout.gap)
        blocks.append((body.chimney.left - gap, body.chimney.right + gap))
    spans = []
    x = start
    for block in sorted(blocks):
        spans.append((x, block[0]))
        x = block[1]
    spans.append((x, end))
    # Near the eaves the roof is too low for a stroke to stand under it.
    tall = depth + layout.stroke
    inset = min((right - left) * 0.12, tall / max(slope, 0.1) * 0.3)
    for first, last in spans:
        if last - first < 4:
            continue
        if depth:
            scene.loops((first, y - 2), (last, y - 2), (0.0, -depth))
        elif home.attic_insulation_in is None:
            scene.rect(
                Rect(first + 2, y - 12 * layout.weight, last - 2, y - 2),
                0.9,
                ink=PENCIL,
                dash=scene.scribble_dash(),
            )
            scene.used.add("not_seen")
        run_y = y - depth - 4 * layout.weight
        run_start = max(first, left + inset)
        run_end = min(last, right - (2 if has_party else inset))
        if run_end > run_start:
            scene.run(PartKey.ATTIC, (run_start, run_y), (run_end, run_y), (0.0, -1.0))
    if home.attic_insulation_in is None:
        at = left + (right - left) * (0.8 if has_party else 0.5)
        scene.words(_("not seen"), (at, y - 22 * layout.weight - layout.stroke))
    if home.attic_target_in and home.attic_target_in > (home.attic_insulation_in or 0):
        target = y - _depth(scene, home.attic_target_in)
        reach = (y - target) / max(slope, 0.1) * 0.55
        target_line(scene, left + reach, right - (4 if has_party else reach), target)
    if has_hatch:
        _hatch(scene, hatch, y, left, right, has_party=has_party)


def _hatch(
    scene: Scene,
    hatch: tuple[float, float],
    y: float,
    left: float,
    right: float,
    *,
    has_party: bool,
) -> None:
    """A loose board in the ceiling; air also slips out over the wall plates at the eaves."""
    layout = scene.layout
    thick = 4 * layout.weight
    scene.rect(Rect(hatch[0], y - 2 * thick, hatch[1], y - thick), 1.2, fill=layout.ground)
    scene.line((hatch[0] + 2, y), (hatch[0] + 2, y - thick), 1.2)
    scene.line((hatch[1] - 2, y), (hatch[1] - 2, y - thick), 1.2)
    up = y - 2 * thick - 3 * layout.weight
    scene.run(PartKey.HATCH, (hatch[0], up), (hatch[1], up), (0.0, -1.0), may_fan=True, weight=1.6)


def attic_ducts_draw(scene: Scene, body: Body) -> None:
    """Ducts lying in the attic; strokes leave upward."""
    layout = scene.layout
    wide = body.right - body.left
    high = duct_height(scene)
    bottom = body.ceiling - 18 * layout.weight
    trunk = Rect(body.left + wide * 0.42, bottom - high, body.left + wide * 0.74, bottom)
    if body.chimney is not None:
        trunk = Rect(body.left + wide * 0.3, trunk.top, body.chimney.left - 8, bottom)
    for share in (0.2, 0.8):
        x = trunk.left + trunk.width * share
        half = max(4 * layout.weight, scene.ft(0.35))
        scene.rect(Rect(x - half, trunk.bottom, x + half, body.ceiling), 1.1, fill=SHEET)
    scene.rect(trunk, 1.8, fill=SHEET)
    up = trunk.top - 3.5 * layout.weight
    scene.run(PartKey.DUCTS, (trunk.left + 2, up), (trunk.right - 2, up), (0.0, -1.0))
    # Strokes of the attic floor stop at the ducts.
    site = scene.sites.get(PartKey.ATTIC)
    if site is not None:
        clear: list[tuple[float, float, float]] = []
        for run in site.runs:
            for first, last in (
                (run.start[0], min(run.end[0], trunk.left - 5)),
                (max(run.start[0], trunk.right + 5), run.end[0]),
            ):
                if last - first > 3:
                    clear.append((first, last, run.start[1]))
        site.runs.clear()
        for first, last, y in clear:
            scene.run(PartKey.ATTIC, (first, y), (last, y), (0.0, -1.0))


def _flat(scene: Scene, home: SectionInput, body: Body) -> None:
    left, right = body.left, body.right
    layout = scene.layout
    deck = body.ceiling - max(scene.ft(1.7), _depth(scene, home.attic_insulation_in) + 5)
    curb = deck - scene.ft(1.1)
    scene.rect(Rect(left, deck, right, body.ceiling), 0, fill=layout.ground)
    depth = _depth(scene, home.attic_insulation_in)
    if depth:
        scene.loops(
            (left + layout.wall, body.ceiling - 2),
            (right - layout.wall, body.ceiling - 2),
            (0.0, -depth),
        )
    elif home.attic_insulation_in is None:
        scene.rect(
            Rect(left + layout.wall, deck + 4, right - layout.wall, body.ceiling - 4),
            0.9,
            ink=PENCIL,
            dash=scene.scribble_dash(),
        )
        scene.used.add("not_seen")
    scene.line((left, body.ceiling), (right, body.ceiling), 2.6)
    scene.line((left + layout.wall * 0.7, deck), (right - layout.wall * 0.7, deck), 2.2)
    for outer, inner in (
        (left, left + layout.wall * 0.7),
        (right, right - layout.wall * 0.7),
    ):
        scene.poly(
            [(outer, body.ceiling), (outer, curb), (inner, curb), (inner, body.ceiling)],
            1.8,
            fill=layout.ground,
        )
    up = deck - 4 * layout.weight
    middle = left + (right - left) * 0.34
    half = max(scene.ft(1.2), 11 * layout.weight)
    has_hatch = any(part.key is PartKey.HATCH for part in home.parts)
    start = left + layout.wall
    if has_hatch:
        scene.rect(
            Rect(middle - half, deck - 6 * layout.weight, middle + half, deck), 1.4, fill=SHEET
        )
        scene.run(
            PartKey.HATCH,
            (middle - half, up - 6 * layout.weight),
            (middle + half, up - 6 * layout.weight),
            (0.0, -1.0),
            may_fan=True,
        )
        scene.run(PartKey.ATTIC, (start, up), (middle - half - 4, up), (0.0, -1.0))
        start = middle + half + 4
    if body.chimney is not None:
        gap = max(scene.ft(1.1), 4 * layout.gap)
        scene.run(PartKey.ATTIC, (start, up), (body.chimney.left - gap, up), (0.0, -1.0))
        start = body.chimney.right + gap
        site = scene.site(PartKey.CHIMNEY_GAP)
        site.runs.clear()
        for first, last in (
            (body.chimney.left - gap, body.chimney.left - 2),
            (body.chimney.right + 2, body.chimney.right + gap),
        ):
            scene.run(PartKey.CHIMNEY_GAP, (first, up), (last, up), (0.0, -1.0), may_fan=True)
    scene.run(PartKey.ATTIC, (start, up), (right - layout.wall, up), (0.0, -1.0))
    body.roof_top = curb


def _wing_roof(scene: Scene, home: SectionInput, body: Body, joins: Body) -> None:
    """The low wing of a split level: one slope up to the taller part's wall."""
    left, right = body.left, body.right
    over = scene.ft(OVERHANG_FT)
    eave = body.ceiling - max(scene.ft(0.5), 6 * scene.layout.weight)
    slope = min(WING_PITCH, max(0.06, (eave - joins.ceiling) / (right - left) - 0.01))
    _roof_lines(
        scene, body, [(left - over, eave + slope * over), (right, eave - slope * (right - left))]
    )
    body.roof_top = eave - slope * (right - left)
    _attic_floor(scene, home, body, left, right, has_party=True, slope=0.9)


def _knee_wall(scene: Scene, home: SectionInput, body: Body) -> None:
    """A room under the roof: knee walls, sloped ceilings, a short flat ceiling."""
    left, right = body.left, body.right
    layout = scene.layout
    over = scene.ft(OVERHANG_FT)
    platform = max(scene.ft(1.0), layout.wall * 0.85)
    eave = body.ceiling - scene.ft(0.5)
    middle = (left + right) / 2
    top = eave - (middle - left) * KNEE_PITCH
    floor = body.ceiling - platform * 0.9
    thick = max(scene.ft(0.9), 9 * layout.weight)
    knee_y, flat_y = floor - scene.ft(3.8), floor - scene.ft(7.3)

    def under(y: float) -> float:
        """How far in from the wall the roof's inner face stands at this height."""
        return left + (eave - (y - thick * 1.35)) / KNEE_PITCH

    knee_x, flat_x = under(knee_y), under(flat_y)
    flat_y = max(flat_y, top + thick * 2.4)
    flat_x = min(under(flat_y), middle - scene.ft(1.5))
    across = [2 * middle - flat_x, 2 * middle - knee_x]
    room = [
        (knee_x, floor), (knee_x, knee_y), (flat_x, flat_y),
        (across[0], flat_y), (across[1], knee_y), (across[1], floor),
    ]  # fmt: skip
    scene.poly(room, 0.01, ink="none", fill=SHEET)
    _roof_lines(
        scene,
        body,
        [
            (left - over, eave + KNEE_PITCH * over),
            (middle, top),
            (right + over, eave + KNEE_PITCH * over),
        ],
    )
    scene.poly(room, 2.2, is_closed=False)
    scene.line((left, body.ceiling), (right, body.ceiling), 1.6)
    scene.line((knee_x, floor), (across[1], floor), 1.6)
    depth = min(_depth(scene, home.attic_insulation_in), thick * 1.2)
    if depth:
        scene.loops(
            (left + layout.wall, body.ceiling - 2), (knee_x - 2, body.ceiling - 2), (0.0, -depth)
        )
        scene.loops(
            (across[1] + 2, body.ceiling - 2),
            (right - layout.wall, body.ceiling - 2),
            (0.0, -depth),
        )
        scene.loops((flat_x + 2, flat_y - 2), (across[0] - 2, flat_y - 2), (0.0, -depth))
    up = depth + 4 * layout.weight
    tops = [(flat_x + 3, across[0] - 3)]
    if body.chimney is not None:
        tops = [(tops[0][0], body.chimney.left - 4), (body.chimney.right + 4, tops[0][1])]
    for first, last in tops:
        if last > first:
            scene.run(PartKey.ATTIC, (first, flat_y - up), (last, flat_y - up), (0.0, -1.0))
    away = 5 * layout.weight
    length = (KNEE_PITCH**2 + 1) ** 0.5
    for x, outer_x, side in ((knee_x, flat_x, -1.0), (across[1], across[0], 1.0)):
        scene.run(
            PartKey.KNEE_WALL,
            (x + side * away, knee_y + 6 * layout.weight),
            (x + side * away, floor - 3),
            (side, 0.0),
        )
        normal = (side * KNEE_PITCH / length, -1 / length)
        shift = thick * 1.35
        scene.run(
            PartKey.SLOPE,
            (x + normal[0] * shift, knee_y + normal[1] * shift),
            (outer_x + normal[0] * shift, flat_y + normal[1] * shift),
            normal,
        )
    # The side attics' floors, as far as the knee wall's strokes leave room.
    clear = away * 2 + layout.stroke
    flats = [
        (left + layout.wall * 0.6, knee_x - clear),
        (across[1] + clear, right - layout.wall * 0.6),
    ]
    for first, last in flats:
        if last <= first:
            continue
        scene.run(
            PartKey.ATTIC,
            (first, body.ceiling - up),
            (last, body.ceiling - up),
            (0.0, -1.0),
            weight=0.5,
        )
    body.roof_top = top
    if any(part.key is PartKey.HATCH for part in home.parts):
        for first, last in flats:
            scene.run(
                PartKey.HATCH,
                (first, body.ceiling - up),
                (first + (last - first) * 0.3, body.ceiling - up),
                (0.0, -1.0),
                may_fan=True,
            )
    scene.field(PartKey.WALLS, Rect(knee_x + 4, knee_y, across[1] - 4, floor - 6), 0.4)


def chimney_draw(scene: Scene, body: Body) -> None:
    """Brick courses on both sides of the flue, from its foot to above the ridge."""
    assert body.chimney is not None
    layout = scene.layout
    shaft = body.chimney
    top = body.roof_top - scene.ft(1.6)
    scene.rect(Rect(shaft.left, top, shaft.right, shaft.bottom), 2.0, fill=layout.ground)
    skin = shaft.width * 0.28
    scene.rect(
        Rect(shaft.left + skin, top, shaft.right - skin, shaft.bottom - 3 * layout.weight),
        1.0,
        fill=layout.ground,
    )
    course = max(scene.ft(0.62), 5.0 * layout.weight)
    rows = int((shaft.bottom - top) / course)
    bricks = []
    for row in range(1, rows):
        y = top + (shaft.bottom - top) * row / rows
        bricks += [
            ("M", shaft.left, y), ("L", shaft.left + skin, y),
            ("M", shaft.right - skin, y), ("L", shaft.right, y),
        ]  # fmt: skip
    scene.path([tuple(step) for step in bricks], 0.8)
    cap = Rect(
        shaft.left - 3 * layout.weight,
        top - 5 * layout.weight,
        shaft.right + 3 * layout.weight,
        top,
    )
    scene.rect(cap, 1.6, fill=layout.ground)
    body.roof_top = min(body.roof_top, cap.top)
