"""Whose turn it is, what comes next and by when: shown on lower pages too."""

from typing import Any

from django import template
from django.template import Context

from portal.core import clock
from portal.core.templatetags.words import day
from portal.enrollment.models import Casefile
from portal.places.models import CasePosition
from portal.places.words import action_words, holder_words

register = template.Library()


def holder_line(position: CasePosition, roles: frozenset[str], *, is_own: bool) -> dict[str, Any]:
    """The inputs of ``components/holder.html`` for one position."""
    return {
        "holder": holder_words(position.holder_role, position.holder_name, roles, is_own),
        "action": action_words(position.next_action, position.action_facts),
        "due": day(position.due_on) if position.due_on else "",
        "is_late": position.is_late(clock.today()),
    }


@register.inclusion_tag("components/holder.html", takes_context=True)
def holder(context: Context, casefile: Casefile) -> dict[str, Any]:
    """The holder line of a casefile, for whoever reads the page."""
    user = context["request"].user
    position = CasePosition.objects.filter(casefile=casefile).first()
    if position is None:
        return {"holder": "", "action": "", "due": ""}
    return holder_line(position, user.roles, is_own=True)
