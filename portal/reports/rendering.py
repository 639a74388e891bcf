"""A stored report made ready for a template."""

from typing import Any

from django.utils.safestring import SafeString, mark_safe

DRAWINGS = ("wide", "phone", "print", "small")


def _own_markup(svg: str) -> SafeString:
    """A drawing the portal made itself: every text in it was escaped when it was drawn."""
    return mark_safe(svg)  # noqa: S308  nothing a person typed reaches it unescaped


def with_drawings(content: dict[str, Any]) -> dict[str, Any]:
    """The stored document with its own drawings marked as markup; all else stays text."""
    if isinstance(content["drawing"], str):
        return {**content, "drawing": _own_markup(content["drawing"])}
    drawing = {
        name: _own_markup(value) if name in DRAWINGS else value
        for name, value in content["drawing"].items()
    }
    drawing["key"] = [
        {**sign, "svg": _own_markup(sign["svg"])} for sign in content["drawing"]["key"]
    ]
    acts = {
        name: [{**act, "rangeline": _own_markup(act["rangeline"])} for act in content[name]]
        for name in ("first", "soon", "at_replacement")
    }
    charts = [
        {**chart, **{name: _own_markup(chart[name]) for name in ("wide", "narrow", "print")}}
        for chart in content["charts"]
    ]
    return {**content, **acts, "drawing": drawing, "charts": charts}
