"""What a printed sheet needs inlined: WeasyPrint has no web server behind it."""

from __future__ import annotations

from django import template
from django.contrib.staticfiles import finders
from django.utils.safestring import SafeString, mark_safe

from portal.core import fonts

register = template.Library()


@register.simple_tag
def print_styles() -> SafeString:
    """The font faces as files, then the one stylesheet, for a ``<style>`` of a printed sheet."""
    path = finders.find("css/rimjoist.css")
    if path is None:
        raise FileNotFoundError("css/rimjoist.css is not among the static files.")
    with open(path, encoding="utf-8") as sheet:
        text = sheet.read()
    # The page's own @font-face rules point at served addresses and stand before this mark.
    _faces, _mark, rules = text.partition("/* end of faces */")
    return mark_safe(fonts.print_faces_css() + rules)  # noqa: S308 - our own files
