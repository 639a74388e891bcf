"""Charts of a report as server-made SVG: months of energy, and the range line of a saving.

Fills are told apart without color: open, level lines, slanted hatch, solid. Axes start at zero.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from xml.sax.saxutils import escape

from django.utils.safestring import SafeString, mark_safe
from django.utils.translation import gettext as _
from django.utils.translation import pgettext

GRAPHITE = "#23282b"
PENCIL = "#474d50"
SPRUCE = "#1f5a4c"
RULE = "#c9c3b4"
SHEET = "#fffefa"

FILLS = ("open", "level", "slanted", "solid")
MOST_GRID_LINES = 4

# Width, room at the left and right of the plot, height of the plot, type size.
WIDE = (1120.0, 58.0, 268.0, 250.0, 17.0)
NARROW = (344.0, 40.0, 4.0, 170.0, 14.0)
# 800 units on 183 mm of a sheet: 15.6 units are 10 points.
PRINT = (800.0, 50.0, 218.0, 190.0, 15.6)


@dataclass(frozen=True)
class EndUse:
    """One layer of the columns: a use of energy, month by month."""

    name: str
    months: tuple[float, ...]
    fill: str


@dataclass(frozen=True)
class EnergyChart:
    """A year of one fuel. ``bills`` holds what was billed; ``None`` where there is no bill."""

    fuel: str
    unit: str
    layers: tuple[EndUse, ...]
    bills: tuple[float | None, ...] = ()
    year: str = ""


def month_names() -> tuple[str, ...]:
    """Short names of the months."""
    return (
        pgettext("month", "Jan"),
        pgettext("month", "Feb"),
        pgettext("month", "Mar"),
        pgettext("month", "Apr"),
        pgettext("month", "May"),
        pgettext("month", "Jun"),
        pgettext("month", "Jul"),
        pgettext("month", "Aug"),
        pgettext("month", "Sep"),
        pgettext("month", "Oct"),
        pgettext("month", "Nov"),
        pgettext("month", "Dec"),
    )


def axis_step(highest: float) -> float:
    """A round step that needs at most four grid lines above zero.

    Raises
    ------
    ValueError
        The highest value is negative or not finite.
    """
    if highest < 0 or not math.isfinite(highest):
        raise ValueError("A chart starts at zero; its highest value cannot lie below.")
    if highest == 0:
        return 1.0
    power = 10 ** math.floor(math.log10(highest / MOST_GRID_LINES))
    for factor in (1, 2, 2.5, 5, 10):
        if highest / (factor * power) <= MOST_GRID_LINES:
            return factor * power
    return 10.0 * power


def energy_chart(
    chart: EnergyChart, *, prefix: str, is_narrow: bool = False, is_print: bool = False
) -> SafeString:
    """Twelve columns of stacked uses, the bills as short bars across them.

    Narrow is for a phone, print for the full width of a sheet, where its text is 10 points.

    Raises
    ------
    ValueError
        A layer has not twelve months, a value is negative, or a fill is unknown.
    """
    _check(chart)
    width, left, right, plot_high, size = NARROW if is_narrow else PRINT if is_print else WIDE
    top = size * 3.5
    base = top + plot_high
    totals = [sum(layer.months[month] for layer in chart.layers) for month in range(12)]
    billed = [value for value in chart.bills if value is not None]
    highest = max([*totals, *billed, 0.0])
    step = axis_step(highest)
    full = max(step * math.ceil(highest / step - 1e-9), step)
    title = _("%(fuel)s, %(unit)s a month") % {"fuel": chart.fuel, "unit": chart.unit}
    parts = [_patterns(prefix), _heading(title, size * 1.2)]
    for line in range(round(full / step) + 1):
        value = line * step
        y = base - plot_high * value / full
        ink, weight = (GRAPHITE, 1.6) if line == 0 else (RULE, 1.0)
        parts.append(_line(left, y, width - right, y, ink, weight))
        parts.append(_text(left - 7, y + size * 0.34, f"{value:,.0f}", size, PENCIL, "end"))
    pitch = (width - right - left) / 12
    bar = pitch * 0.56
    for month, name in enumerate(month_names()):
        center = left + pitch * (month + 0.5)
        y = base
        for layer in chart.layers:
            high = plot_high * layer.months[month] / full
            if high > 0:
                parts.append(_bar(center - bar / 2, y - high, bar, high, layer.fill, prefix))
            y -= high
        bill = chart.bills[month] if chart.bills else None
        if bill is not None:
            at = base - plot_high * bill / full
            reach = pitch * 0.38
            parts.append(_line(center - reach, at, center + reach, at, GRAPHITE, 2.8))
        label = name[:1] if is_narrow else name
        parts.append(_text(center, base + size * 1.35, label, size, GRAPHITE, "middle"))
    parts.append(_peak(chart, totals, left, pitch, base, plot_high, full, size))
    if is_narrow:
        drop = 3.4 if chart.year else 2.2
        bottom, legend = _legend(chart, prefix, 0, base + size * drop, size)
    else:
        end, legend = _legend(chart, prefix, width - right + 30, top, size)
        bottom = max(base + size * 2.0, end)
    parts += legend
    if chart.year:
        parts.append(_text(left, base + size * 2.5, chart.year, size * 0.9, PENCIL, "start"))
        bottom = max(bottom, base + size * 3.0)
    return _svg(parts, width, bottom, prefix, title, _energy_words(chart, totals))


def _check(chart: EnergyChart) -> None:
    for layer in chart.layers:
        if len(layer.months) != 12:
            raise ValueError(f"“{layer.name}” has {len(layer.months)} months, not twelve.")
        if any(value < 0 or not math.isfinite(value) for value in layer.months):
            raise ValueError(f"“{layer.name}” has a month below zero.")
        if layer.fill not in FILLS:
            raise ValueError(f"“{layer.fill}” is not a fill; use one of {', '.join(FILLS)}.")
    if chart.bills and len(chart.bills) != 12:
        raise ValueError(f"There are {len(chart.bills)} bills, not twelve.")


def _energy_words(chart: EnergyChart, totals: Sequence[float]) -> str:
    names = month_names()
    layers = ", ".join(
        f"{layer.name} {sum(layer.months):,.0f} {chart.unit}" for layer in chart.layers
    )
    peak = max(range(12), key=lambda month: totals[month])
    text = _(
        "Over the year: %(layers)s. The highest month is %(month)s with %(value)s %(unit)s."
    ) % {
        "layers": layers,
        "month": names[peak],
        "value": f"{totals[peak]:,.0f}",
        "unit": chart.unit,
    }
    billed = [value for value in chart.bills if value is not None]
    if billed:
        text += " " + _("Billed, in usual weather: %(value)s %(unit)s in %(count)d months.") % {
            "value": f"{sum(billed):,.0f}",
            "unit": chart.unit,
            "count": len(billed),
        }
    return text


def _patterns(prefix: str) -> str:
    return (
        f'<defs><pattern id="{prefix}-slanted" width="5.6" height="5.6" '
        'patternUnits="userSpaceOnUse">'
        f'<path d="M-1.4 1.4L1.4 -1.4M0 5.6L5.6 0M4.2 7L7 4.2" stroke="{SPRUCE}" '
        'stroke-width="1.5"/></pattern>'
        f'<pattern id="{prefix}-level" width="6" height="5" patternUnits="userSpaceOnUse">'
        f'<path d="M0 2.5H6" stroke="{GRAPHITE}" stroke-width="1"/></pattern></defs>'
    )


def _bar(x: float, y: float, width: float, height: float, fill: str, prefix: str) -> str:
    paint = {
        "open": SHEET,
        "solid": GRAPHITE,
        "level": f"url(#{prefix}-level)",
        "slanted": f"url(#{prefix}-slanted)",
    }[fill]
    place = f'x="{x:.1f}" y="{y:.1f}" width="{width:.1f}" height="{height:.1f}"'
    return (
        f'<rect {place} fill="{SHEET}"/>'
        f'<rect {place} fill="{paint}" stroke="{GRAPHITE}" stroke-width="1.2"/>'
    )


def _peak(
    chart: EnergyChart,
    totals: Sequence[float],
    left: float,
    pitch: float,
    base: float,
    plot_high: float,
    full: float,
    size: float,
) -> str:
    """The highest month carries its figure: the bill where there is one."""
    shown = [
        bill if bill is not None else total
        for bill, total in zip(chart.bills or [None] * 12, totals, strict=True)
    ]
    month = max(range(12), key=lambda place: max(shown[place], totals[place]))
    high = max(shown[month], totals[month])
    y = base - plot_high * high / full - size * 0.5
    return _text(
        left + pitch * (month + 0.5), y, f"{shown[month]:,.0f}", size, GRAPHITE, "middle", 600
    )


def _legend(
    chart: EnergyChart, prefix: str, x: float, y: float, size: float
) -> tuple[float, list[str]]:
    """Top layer first, as the columns are stacked."""
    parts = []
    pitch = size * 2.75
    for layer in reversed(chart.layers):
        parts.append(_bar(x + 1, y, size * 1.3, size * 0.9, layer.fill, prefix))
        parts.append(_text(x + size * 2, y + size * 0.8, layer.name, size, GRAPHITE, "start", 600))
        year = f"{sum(layer.months):,.0f} {chart.unit}"
        parts.append(_text(x + size * 2, y + size * 1.95, year, size * 0.94, PENCIL, "start"))
        y += pitch
    billed = [value for value in chart.bills if value is not None]
    if billed:
        parts.append(_line(x, y + size * 0.5, x + size * 1.5, y + size * 0.5, GRAPHITE, 2.8))
        words = _("Bills in a usual year")
        parts.append(_text(x + size * 2, y + size * 0.8, words, size, GRAPHITE, "start", 600))
        year = f"{sum(billed):,.0f} {chart.unit}"
        parts.append(_text(x + size * 2, y + size * 1.95, year, size * 0.94, PENCIL, "start"))
        y += pitch
    return y, parts


def range_line(
    low: float, expected: float, high: float, *, scale_to: float, width: float = 320
) -> SafeString:
    """Low to high as a thick line, most likely as an upright, on a scale common to a page.

    It repeats the words beside it, so it is hidden from screen readers.

    Raises
    ------
    ValueError
        The three are out of order, or the scale does not reach the highest.
    """
    if not low <= expected <= high:
        raise ValueError("Low, expected and high are out of order.")
    if scale_to <= 0 or high > scale_to:
        raise ValueError("The scale of a range line must reach its highest value.")
    start = min(low, 0.0)
    span = scale_to - start

    def at(value: float) -> float:
        return 2 + (width - 4) * (value - start) / span

    zero = at(0.0)
    parts = (
        _line(2, 11, width - 2, 11, "#8d897e", 1.0)
        + _line(zero, 6, zero, 16, PENCIL, 1.2)
        + _line(at(low), 11, max(at(high), at(low) + 2), 11, SPRUCE, 5.0)
        + _line(at(expected), 3, at(expected), 19, GRAPHITE, 2.4)
    )
    return mark_safe(  # noqa: S308 - made of numbers only
        f'<svg xmlns="http://www.w3.org/2000/svg" class="rangeline" viewBox="0 0 {width:.0f} 22" '
        f'aria-hidden="true" focusable="false">{parts}</svg>'
    )


def share_bar(paid: float, reserved: float, whole: float, *, prefix: str) -> SafeString:
    """A fund: paid solid, reserved hatched, the rest open. The table beside it says the same.

    Raises
    ------
    ValueError
        An amount is negative, or more is committed than there is.
    """
    if min(paid, reserved, whole) < 0 or paid + reserved > whole + 0.005:
        raise ValueError("A fund cannot hold more than its budget.")
    width, height = 320.0, 16.0
    parts = [_patterns(prefix), _bar(1, 1, width - 2, height - 2, "open", prefix)]
    if whole > 0:
        solid = (width - 2) * paid / whole
        hatched = (width - 2) * reserved / whole
        if solid:
            parts.append(_bar(1, 1, solid, height - 2, "solid", prefix))
        if hatched:
            parts.append(_bar(1 + solid, 1, hatched, height - 2, "slanted", prefix))
    return mark_safe(  # noqa: S308 - made of numbers and a prefix of our own
        f'<svg xmlns="http://www.w3.org/2000/svg" class="share-bar" viewBox="0 0 {width:.0f} '
        f'{height:.0f}" aria-hidden="true" focusable="false">{"".join(parts)}</svg>'
    )


# -- elements ------------------------------------------------------------------------------


def _line(x1: float, y1: float, x2: float, y2: float, ink: str, weight: float) -> str:
    return (
        f'<path d="M{x1:.1f} {y1:.1f}L{x2:.1f} {y2:.1f}" stroke="{ink}" '
        f'stroke-width="{weight:g}" fill="none"/>'
    )


def _text(
    x: float, y: float, text: str, size: float, ink: str, anchor: str, weight: int = 400
) -> str:
    return (
        f'<text x="{x:.1f}" y="{y:.1f}" font-family="Barlow, sans-serif" font-size="{size:.1f}" '
        f'font-weight="{weight}" fill="{ink}" text-anchor="{anchor}">{escape(text)}</text>'
    )


def _heading(text: str, size: float) -> str:
    return (
        f'<text x="0" y="{size:.1f}" font-family="Vollkorn, serif" font-size="{size:.1f}" '
        f'font-weight="600" fill="{GRAPHITE}">{escape(text)}</text>'
    )


def _svg(
    parts: Sequence[str], width: float, height: float, prefix: str, title: str, words: str
) -> SafeString:
    return mark_safe(  # noqa: S308 - every text was escaped where it was written
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:.0f} {height:.0f}" '
        f'role="img" aria-labelledby="{prefix}-title {prefix}-desc">'
        f'<title id="{prefix}-title">{escape(title)}</title>'
        f'<desc id="{prefix}-desc">{escape(words)}</desc>{"".join(parts)}</svg>'
    )
