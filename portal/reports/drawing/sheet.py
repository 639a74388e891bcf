"""The finished drawing: scene, strokes, labels and scale as one SVG."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from django.utils.translation import gettext as _

from portal.reports.drawing.counting import parts_count
from portal.reports.drawing.house import house_scene, scale_for
from portal.reports.drawing.ink import (
    BRICK,
    BRICK_INK,
    GRAPHITE,
    PENCIL,
    Layout,
    Point,
    Rect,
    Shape,
    number,
)
from portal.reports.drawing.labels import (
    Label,
    Placed,
    circle_radius,
    labels_place,
    stroke_targets,
)
from portal.reports.drawing.lettering import Face, text_width
from portal.reports.drawing.placing import Stroke, strokes_place
from portal.reports.drawing.records import PartCount, PartKey, SectionInput
from portal.reports.drawing.scene import Scene

NBSP = "\u00a0"


@dataclass(frozen=True)
class Sheet:
    """One drawing, with what a test wants to look at beside the text of the SVG."""

    svg: str
    strokes: tuple[tuple[str, Stroke], ...]
    placed: tuple[Placed, ...]
    scene: Scene


def figures_text(count: PartCount) -> str:
    """``15 of 100 · $190 a year``."""
    return _("%(strokes)d of 100 · $%(dollars)s a year") % {
        "strokes": count.strokes,
        "dollars": f"{count.dollars:,}",
    }


def sheet_make(
    home: SectionInput, layout: Layout, *, prefix: str, title: str, description: str
) -> Sheet:
    """Draw a home on one layout. ``prefix`` keeps the ids of several drawings on a page apart."""
    counts = parts_count(home.parts, home.ducts)
    room = layout.width - 2 * layout.column
    scale = scale_for(home, layout)
    for _attempt in range(8):
        scene = house_scene(home, layout, scale)
        strokes: list[tuple[str, Stroke]] = []
        if layout.has_strokes:
            for count in counts:
                strokes += [(count.part.key.value, each) for each in _part_strokes(scene, count)]
        inner = _extent(scene, strokes)
        if inner.width <= room:
            break
        # Overhangs, outdoor units and ground are only known once drawn.
        scale *= 0.98 * room / inner.width
    labels = _labels(home, counts, scene, strokes, layout)
    spare = max(0.0, room - inner.width) / 2
    zone = Rect(inner.left - spare, inner.top, inner.right + spare, inner.bottom)
    placed = labels_place(labels, layout, house=zone, strokes=strokes)
    top = min([inner.top, *(each.box.top for each in placed)]) - 6
    bottom = max([inner.bottom, *(each.box.bottom for each in placed)]) + 6
    with_scale = layout.has_labels
    scale_height = layout.figure_size * 2.1 if with_scale else 0
    dx = layout.column - zone.left
    dy = -top
    height = bottom - top + scale_height
    body = [shape.svg(dx, dy) for shape in scene.shapes]
    body += _stroke_groups(strokes, layout, dx, dy)
    body += [shape.svg(dx, dy) for shape in scene.front]
    body += _label_marks(placed, layout, dx, dy)
    if with_scale:
        body.append(_scale_bar(scene, layout, height - scale_height * 0.72))
    ids = f"{prefix}-{layout.name}"
    svg = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {number(layout.width)} '
        f'{number(height)}" role="img" aria-labelledby="{ids}-title {ids}-desc" '
        f'class="section-drawing" font-family="Barlow, sans-serif">'
        f'<title id="{ids}-title">{escape(title)}</title>'
        f'<desc id="{ids}-desc">{escape(description)}</desc>' + "".join(body) + "</svg>"
    )
    return Sheet(svg=svg, strokes=tuple(strokes), placed=tuple(placed), scene=scene)


def _part_strokes(scene: Scene, count: PartCount) -> list[Stroke]:
    if not count.strokes:
        return []
    key = count.part.key
    site = scene.sites.get(key)
    if site is None or (not site.runs and not site.fields) or key is PartKey.OTHER:
        _elsewhere(scene, key)
        site = scene.sites[key]
    blocked: Sequence[Rect] = () if key is PartKey.WINDOWS else scene.blocked
    layout = scene.layout
    arguments = {
        "material": count.material,
        "air": count.air,
        "kept_material": count.kept_material,
        "kept_air": count.kept_air,
    }
    placed = strokes_place(site, layout=layout, blocked=blocked, **arguments)
    if len(placed) < count.strokes:
        # A field too small for its dots: the part is shown beside the house, whole.
        _elsewhere(scene, key)
        placed = strokes_place(scene.sites[key], layout=layout, blocked=(), **arguments)
    return placed


def _elsewhere(scene: Scene, key: PartKey) -> None:
    """A part with no place in this house's section: a dashed ledge under the house."""
    layout = scene.layout
    scene.used.add(f"elsewhere:{key.value}")
    points = [
        (value, step[place + 1])
        for shape in scene.shapes
        for step in shape.steps
        for place, value in enumerate(step)
        if place and place % 2 and isinstance(value, int | float)
    ]
    # An earlier ledge is among the shapes, so a second one goes beneath it.
    y = max(float(y) for _x, y in points) + layout.stroke + 14 * layout.weight
    left = min(float(x) for x, _y in points)
    right = max(float(x) for x, _y in points)
    start = left + (right - left) * 0.5
    scene.line((start, y), (right - 4, y), 1.0, ink=PENCIL, dash=scene.scribble_dash())
    site = scene.site(key)
    site.runs.clear()
    site.fields.clear()
    site.field_share = 0.0
    scene.run(key, (start + 4, y + 4), (right - 8, y + 4), (0.0, 1.0))


def _extent(scene: Scene, strokes: Sequence[tuple[str, Stroke]]) -> Rect:
    xs: list[float] = []
    ys: list[float] = []
    for shape in scene.shapes:
        for step in shape.steps:
            values = [value for value in step[1:] if not isinstance(value, str)]
            xs += values[0::2]
            ys += values[1::2]
    for _key, stroke in strokes:
        xs += [stroke.start[0], stroke.tip[0]]
        ys += [stroke.start[1], stroke.tip[1]]
    return Rect(min(xs) - 6, min(ys) - 4, max(xs) + 6, max(ys) + 6)


def _labels(
    home: SectionInput,
    counts: Sequence[PartCount],
    scene: Scene,
    strokes: Sequence[tuple[str, Stroke]],
    layout: Layout,
) -> list[Label]:
    if layout.name == "small":
        return []
    if not layout.has_strokes:
        return [
            Label(
                part=mark.key.value,
                letter=mark.number,
                targets=tuple(scene.sites[mark.key].points if mark.key in scene.sites else ())
                or ((0.0, 0.0),),
            )
            for mark in sorted(home.scope_marks, key=lambda each: list(PartKey).index(each.key))
        ]
    labels = []
    for count in counts:
        own = [stroke for key, stroke in strokes if key == count.part.key.value]
        if not own:
            continue
        labels.append(
            Label(
                part=count.part.key.value,
                letter=count.letter,
                name=count.part.name,
                figures=figures_text(count),
                found=count.part.found_text,
                targets=stroke_targets(own, layout),
            )
        )
    rects = dict(scene.failed)
    for appliance in home.appliances:
        mark = f"{appliance.kind.value}:{appliance.place.value}"
        if appliance.has_failed_test and mark in rects:
            box = rects[mark]
            labels.append(
                Label(
                    part=f"failed:{mark}",
                    letter=appliance.letter,
                    name=appliance.name,
                    found=appliance.found_text,
                    is_failed=True,
                    targets=(
                        (box.left - 1, (box.top + box.bottom) / 2),
                        (box.right + 1, (box.top + box.bottom) / 2),
                        (box.left - 1, box.top + box.height * 0.25),
                        (box.right + 1, box.top + box.height * 0.25),
                    ),
                )
            )
    return labels


def _stroke_groups(
    strokes: Sequence[tuple[str, Stroke]], layout: Layout, dx: float, dy: float
) -> list[str]:
    groups: dict[str, list[str]] = {}
    for key, stroke in strokes:
        shape = stroke.shape(layout).svg(dx, dy)
        groups.setdefault(key, []).append(shape)
    return [
        f'<g class="heat" data-part="{escape(key)}">{"".join(shapes)}</g>'
        for key, shapes in groups.items()
    ]


def _label_marks(placed: Sequence[Placed], layout: Layout, dx: float, dy: float) -> list[str]:
    marks = []
    for each in placed:
        ink = BRICK if each.label.is_failed else GRAPHITE
        points = each.leader
        steps: list[tuple[str | float, ...]] = [("M", *points[0])]
        steps += [("L", *point) for point in points[1:]]
        weight = 1.1 if layout.has_labels else 0.8
        marks.append(Shape(tuple(steps), ink=ink, weight=weight).svg(dx, dy))
        marks.append(
            Shape(
                (("M", *points[-1]),), ink=ink, weight=0.2,
                radius=3.2 if layout.has_labels else 1.9, fill=ink,
            ).svg(dx, dy)
        )  # fmt: skip
        if layout.has_labels:
            marks.append(_words(each, layout, dx, dy))
        else:
            marks.append(_circle(each, layout, dx, dy))
    return marks


def _words(each: Placed, layout: Layout, dx: float, dy: float) -> str:
    parts = []
    for kind, text, (x, y) in each.lines:
        at = f'x="{number(x + dx)}" y="{number(y + dy)}"'
        if kind == "name":
            ink = BRICK_INK if each.label.is_failed else GRAPHITE
            parts.append(
                f'<text {at} font-family="Vollkorn, serif" font-weight="600" '
                f'font-size="{number(layout.name_size)}" fill="{ink}" '
                f'xml:space="preserve">{escape(text)}</text>'
            )
        elif kind == "figures":
            lead, _space, rest = text.partition(" ")
            parts.append(
                f'<text {at} font-size="{number(layout.figure_size)}" fill="{GRAPHITE}">'
                f'<tspan font-weight="600">{escape(lead)}</tspan> {escape(rest)}</text>'
            )
        else:
            parts.append(
                f'<text {at} font-size="{number(layout.found_size)}" fill="{PENCIL}">'
                f"{escape(text)}</text>"
            )
    return "".join(parts)


def _circle(each: Placed, layout: Layout, dx: float, dy: float) -> str:
    radius = circle_radius(each.label, layout)
    x = (each.box.left + each.box.right) / 2 + dx
    y = (each.box.top + each.box.bottom) / 2 + dy
    text = escape(each.label.letter)
    write = (
        f'<text x="{number(x)}" y="{number(y + layout.name_size * 0.35)}" text-anchor="middle" '
        f'font-weight="600" font-size="{number(layout.name_size)}" '
        f'fill="{BRICK_INK if each.label.is_failed else GRAPHITE}">{text}</text>'
    )
    if each.label.is_failed:
        return (
            f'<rect x="{number(x - radius)}" y="{number(y - radius)}" '
            f'width="{number(2 * radius)}" height="{number(2 * radius)}" fill="{layout.ground}" '
            f'stroke="{BRICK}" stroke-width="1.6"/>{write}'
        )
    return (
        f'<circle cx="{number(x)}" cy="{number(y)}" r="{number(radius)}" fill="{layout.ground}" '
        f'stroke="{GRAPHITE}" stroke-width="1.1"/>{write}'
    )


def _scale_bar(scene: Scene, layout: Layout, y: float) -> str:
    """Ten feet, with a mark at five."""
    left, five, ten = 8.0, 8.0 + scene.ft(5), 8.0 + scene.ft(10)
    size = layout.found_size
    tick = 4.0
    path = f"M{number(left)} {number(y)}L{number(ten)} {number(y)}" + "".join(
        f"M{number(x)} {number(y - tick)}L{number(x)} {number(y + tick)}" for x in (left, five, ten)
    )
    words = ((left, "0", "start"), (five, "5", "middle"), (ten, f"10{NBSP}" + _("ft"), "middle"))
    texts = "".join(
        f'<text x="{number(x)}" y="{number(y + size * 1.15)}" text-anchor="{anchor}" '
        f'font-size="{number(size)}" fill="{PENCIL}">{escape(text)}</text>'
        for x, text, anchor in words
    )
    return f'<path d="{path}" fill="none" stroke="{GRAPHITE}" stroke-width="1.2"/>{texts}'


def text_boxes(sheet: Sheet, layout: Layout) -> list[tuple[str, Rect]]:
    """Estimated boxes of every line of the labels, for checking that none meet."""
    sizes = {
        "name": (layout.name_size, Face.HEAD),
        "figures": (layout.figure_size, Face.TOOL_HEAVY),
        "found": (layout.found_size, Face.TOOL),
    }
    boxes = []
    for each in sheet.placed:
        for kind, text, (x, y) in each.lines:
            size, face = sizes[kind]
            boxes.append(
                (text, Rect(x, y - size * 0.72, x + text_width(text, size, face), y + size * 0.2))
            )
        if not each.lines:
            boxes.append((each.label.letter, each.box))
    return boxes


def leader_ends(sheet: Sheet) -> list[tuple[str, Point]]:
    """Where each leader ends, by part."""
    return [(each.label.part, each.leader[-1]) for each in sheet.placed]
