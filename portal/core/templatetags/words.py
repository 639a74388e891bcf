"""Template filters for dates, times, counts and lists, American in English, translatable."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date, datetime, time
from typing import Any

from django import template
from django.utils import formats, timezone, translation
from django.utils.translation import gettext as _
from django.utils.translation import ngettext, pgettext

register = template.Library()

NBSP = "\u00a0"


def _local(value: datetime) -> datetime:
    return timezone.localtime(value) if timezone.is_aware(value) else value


def _day(value: date | datetime) -> date:
    return _local(value).date() if isinstance(value, datetime) else value


def _formatted(value: date, english: str, other: str) -> str:
    """A date in this layout in English, and in the other one elsewhere."""
    is_english = (translation.get_language() or "en").startswith("en")
    return formats.date_format(value, english if is_english else other)


@register.filter
def day(value: date | datetime | None) -> str:
    """``March 3, 2026``."""
    if not value:
        return _("not set")
    return _formatted(_day(value), "F j, Y", r"j \d\e F \d\e Y")


@register.filter
def short_day(value: date | datetime | None) -> str:
    """``Mar 3, 2026``, for tables and title blocks."""
    if not value:
        return _("not set")
    return _formatted(_day(value), "M j, Y", "j M Y")


@register.filter
def weekday(value: date | datetime | None) -> str:
    """``Tuesday, March 3``."""
    if not value:
        return _("not set")
    return _formatted(_day(value), "l, F j", r"l j \d\e F")


@register.filter
def clock_time(value: datetime | time | None) -> str:
    """``5 p.m.``, ``8:30 a.m.``, ``noon``, ``midnight``."""
    if value is None:
        return _("not set")
    moment = _local(value).time() if isinstance(value, datetime) else value
    if (moment.hour, moment.minute) == (12, 0):
        return _("noon")
    if (moment.hour, moment.minute) == (0, 0):
        return _("midnight")
    hour = moment.hour % 12 or 12
    half = _("a.m.") if moment.hour < 12 else _("p.m.")
    minutes = f":{moment.minute:02d}" if moment.minute else ""
    return f"{hour}{minutes}{NBSP}{half}"


@register.filter
def moment(value: datetime | None) -> str:
    """``March 3, 2026, 5 p.m.``"""
    if value is None:
        return _("not set")
    return f"{day(value)}, {clock_time(value)}"


@register.simple_tag
def time_range(start: datetime | time, end: datetime | time) -> str:
    """``8 to 11 a.m.`` or ``11 a.m. to 2 p.m.``"""
    first, last = clock_time(start), clock_time(end)
    for half in (_("a.m."), _("p.m.")):
        if first.endswith(half) and last.endswith(half):
            first = first.removesuffix(half).rstrip(NBSP)
    return _("%(first)s to %(last)s") % {"first": first, "last": last}


@register.filter
def and_list(values: Iterable[Any]) -> str:
    """``the attic, the walls and the floor``."""
    texts = [str(value) for value in values]
    if len(texts) < 2:
        return "".join(texts)
    return _("%(all_but_last)s and %(last)s") % {
        "all_but_last": ", ".join(texts[:-1]),
        "last": texts[-1],
    }


@register.filter
def small_number(value: int) -> str:
    """Numbers to ten as words in running text, larger ones as figures."""
    words = (
        pgettext("number", "no"),
        pgettext("number", "one"),
        pgettext("number", "two"),
        pgettext("number", "three"),
        pgettext("number", "four"),
        pgettext("number", "five"),
        pgettext("number", "six"),
        pgettext("number", "seven"),
        pgettext("number", "eight"),
        pgettext("number", "nine"),
        pgettext("number", "ten"),
    )
    count = int(value)
    return words[count] if 0 <= count < len(words) else f"{count:,}"


@register.filter
def stories(value: float | None) -> str:
    """``one story``, ``1½ stories``, ``two stories``."""
    if value is None:
        return _("not recorded")
    whole, half = divmod(round(float(value) * 2), 2)
    if half:
        return _("%(count)s stories") % {"count": f"{whole}½"}
    return ngettext("%(count)s story", "%(count)s stories", whole) % {"count": small_number(whole)}


@register.filter
def days_left(value: int) -> str:
    """``3 days left``, ``due today``, ``2 days late``."""
    count = int(value)
    if count == 0:
        return _("due today")
    if count < 0:
        return ngettext("%(count)d day late", "%(count)d days late", -count) % {"count": -count}
    return ngettext("%(count)d day left", "%(count)d days left", count) % {"count": count}


@register.filter
def item(mapping: Any, key: Any) -> Any:
    """One entry of a mapping by a key that is itself a variable; empty when absent."""
    # A template that was given no mapping hands over an empty string.
    return mapping.get(key, "") if isinstance(mapping, Mapping) else ""
