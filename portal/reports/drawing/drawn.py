"""The section drawing in all its sizes, with the rows, words and key that go with it."""

from __future__ import annotations

from collections.abc import Sequence

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from portal.core.templatetags.words import and_list
from portal.reports.drawing.counting import STROKES, parts_count
from portal.reports.drawing.ink import GRAPHITE, PHONE, PRINT, SCOPE, SMALL, SPRUCE, WIDE, Layout
from portal.reports.drawing.records import (
    PartCount,
    Row,
    SectionDrawing,
    SectionInput,
    Sign,
)
from portal.reports.drawing.sheet import Sheet, sheet_make


def draw_section(home: SectionInput, *, prefix: str = "section") -> SectionDrawing:
    """Draw a home. ``prefix`` must differ between drawings on one page.

    Raises
    ------
    ValueError
        A share is negative, a part comes twice, or nothing loses heat.
    """
    counts = parts_count(home.parts, home.ducts)
    description = _description(home, counts)
    title = _("Section through %(address)s") % {"address": home.address}

    def sheet(layout: Layout) -> Sheet:
        return sheet_make(home, layout, prefix=prefix, title=title, description=description)

    wide = sheet(WIDE)
    rows = tuple(_row(count) for count in counts)
    total = sum(count.dollars for count in counts)
    failed = tuple(
        Row(
            letter=appliance.letter,
            name=appliance.name,
            found_text=appliance.found_text,
            material=0,
            air=0,
            of_100="",
            dollars_text="",
            is_failed=True,
            short_figures=_("Fix first"),
        )
        for appliance in home.appliances
        if appliance.has_failed_test
    )
    return SectionDrawing(
        wide=_safe(wide),
        phone=_safe(sheet(PHONE)),
        print=_safe(sheet(PRINT)),
        small=_safe(sheet(SMALL)),
        scope=_safe(sheet(SCOPE)),
        rows=rows,
        list_rows=(*failed, *(row for row in rows if row.letter)),
        total=Row(
            letter="",
            name=_("Whole house"),
            found_text="",
            material=sum(count.material for count in counts),
            air=sum(count.air for count in counts),
            of_100=str(STROKES),
            dollars_text=f"${total:,}",
        ),
        caption=_caption(home, counts, total, is_deeper=wide.scene.is_drawn_deeper),
        others_line=_others(counts),
        description=description,
        key=_key(wide, counts),
        letters={count.part.key.value: count.letter for count in counts if count.letter},
    )


def _safe(sheet: Sheet) -> SafeString:
    return mark_safe(sheet.svg)  # noqa: S308 - every text in it was escaped where it was written


def _row(count: PartCount) -> Row:
    dollars = f"${count.dollars:,}"
    of_100 = str(count.strokes) if count.strokes else _("under ½")
    return Row(
        letter=count.letter,
        name=count.part.name,
        found_text=count.part.found_text,
        material=count.material,
        air=count.air,
        of_100=of_100,
        dollars_text=dollars,
        short_figures=f"{of_100} · {dollars}",
    )


def _description(home: SectionInput, counts: Sequence[PartCount]) -> str:
    parts = [
        _("%(strokes)d through %(part)s") % {"strokes": count.strokes, "part": count.part.name}
        for count in counts
        if count.strokes
    ]
    text = _("A cut through the house. One hundred strokes of heat leave it: %(parts)s.") % {
        "parts": ", ".join(parts)
    }
    failed = [each.name for each in home.appliances if each.has_failed_test]
    if failed:
        text += " " + _("Crossed out, because it failed its safety test: %(names)s.") % {
            "names": and_list(failed)
        }
    return text


def _caption(
    home: SectionInput, counts: Sequence[PartCount], total: int, *, is_deeper: bool
) -> str:
    sentences = [
        _(
            "Each of the 100 strokes is one part in a hundred of the heat that leaves in a year, "
            "about $%(dollars)s. A straight stroke goes through a material; a curved one is "
            "leaking air. Dots and rings leave straight away from you."
        )
        % {"dollars": f"{max(1, round(total / STROKES)):,}"},
        _("Insulation is drawn at twice its depth."),
    ]
    if is_deeper:
        sentences.append(_("The crawlspace is drawn deeper than it is."))
    kept = sum(count.kept_material + count.kept_air for count in counts)
    if kept:
        sentences.append(
            ngettext(
                "%(kept)d dotted stroke is what your plan keeps inside.",
                "%(kept)d dotted strokes are what your plan keeps inside.",
                kept,
            )
            % {"kept": kept}
        )
    return " ".join(sentences)


def _others(counts: Sequence[PartCount]) -> str:
    names = [count.part.name for count in counts if not count.strokes]
    if not names:
        return ""
    return _("Less than half a stroke each, and so not drawn: %(names)s.") % {
        "names": and_list(names)
    }


# -- key -----------------------------------------------------------------------------------


def _key(sheet: Sheet, counts: Sequence[PartCount]) -> tuple[Sign, ...]:
    """Only the signs this drawing uses."""
    used = sheet.scene.used
    strokes = [stroke for _key, stroke in sheet.strokes]
    signs = [_sign(_LINES, _("Straight stroke:"), _("heat through a material"))]
    if any(stroke.is_air for stroke in strokes):
        signs.append(_sign(_WAVES, _("Curved stroke:"), _("heat carried by leaking air")))
    if any(stroke.is_end_on for stroke in strokes):
        signs.append(_sign(_DOTS, _("Dot or ring:"), _("the same, leaving away from you")))
    if any(count.kept_material + count.kept_air for count in counts):
        signs.append(_sign(_KEPT, _("Dotted stroke:"), _("what your plan keeps inside")))
    if "loops" in used:
        signs.append(_sign(_LOOPS, _("Loops:"), _("insulation, as deep as it was found")))
    if "target" in used:
        signs.append(_sign(_TARGET, _("Dotted level line:"), _("how deep it should be")))
    if "empty" in used:
        signs.append(_sign(_EMPTY, _("Blank cavity:"), _("nothing in the wall")))
    if "crossed" in used:
        signs.append(_sign(_CROSSED, _("Box with a cross:"), _("framing the cut goes through")))
    if "not_seen" in used:
        signs.append(_sign(_UNSEEN, _("Dashed outline:"), _("not seen on the visit")))
    if "failed" in used:
        signs.append(_sign(_FAILED, _("Crossed out:"), _("failed its safety test")))
    return tuple(signs)


def _sign(inside: str, name: str, means: str) -> Sign:
    svg = (
        '<svg viewBox="0 0 64 34" width="64" height="34" aria-hidden="true" focusable="false" '
        f'fill="none" stroke="{GRAPHITE}">{inside}</svg>'
    )
    return Sign(svg=mark_safe(svg), name=name, means=means)  # noqa: S308 - constants below


_LINES = '<path d="M10 30V8M22 30V8M34 30V8M46 30V8" stroke-width="2.3" stroke-linecap="round"/>'
_WAVES = "".join(
    f'<path d="M{x} 31C{x + 6} 28 {x + 6} 23 {x} 19.5S{x - 6} 11 {x} 8" stroke-width="2.3" '
    'stroke-linecap="round"/>'
    for x in (12, 26, 40, 54)
)
_DOTS = (
    f'<g stroke="none" fill="{GRAPHITE}"><circle cx="10" cy="18" r="2.3"/>'
    '<circle cx="22" cy="18" r="2.3"/><circle cx="34" cy="18" r="2.3"/></g>'
    '<circle cx="48" cy="18" r="2.9" stroke-width="1.4"/>'
)
_KEPT = (
    '<path d="M10 30V8M22 30V8M34 30V8M46 30V8" stroke-width="2.1" stroke-linecap="round" '
    'stroke-dasharray="0.1 4"/>'
)
_LOOPS = (
    f'<path d="M4 28C11 28 2 12 9 12S13 28 15 28C22 28 13 12 20 12S24 28 26 28C33 28 24 12 31 12'
    f'S35 28 37 28C44 28 35 12 42 12S46 28 48 28C55 28 46 12 53 12S57 28 60 28" stroke="{SPRUCE}" '
    'stroke-width="1.2"/>'
)
_TARGET = f'<path d="M4 18H60" stroke="{SPRUCE}" stroke-width="1.2" stroke-dasharray="1.5 4"/>'
_EMPTY = '<path d="M26 4V32" stroke-width="2.6"/><path d="M40 4V32" stroke-width="1.2"/>'
_CROSSED = '<path d="M24 8H42V28H24ZM24 8L42 28M42 8L24 28" stroke-width="1.1"/>'
_UNSEEN = '<path d="M8 10H56V28H8Z" stroke-width="1" stroke-dasharray="4 3"/>'
_FAILED = '<path d="M24 6H42V31H24ZM24 6L42 31M42 6L24 31" stroke="#9a3b26" stroke-width="1.8"/>'
