"""What every page's masthead needs: the pages of this role, whose account, the demo line."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.urls import NoReverseMatch, reverse
from django.utils.formats import date_format
from django.utils.functional import Promise, SimpleLazyObject
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.accounts.states import Role
from portal.core import clock

PROGRAM_NAME = "Quillmark Light & Gas"
PROGRAM_PHONE = "555-0142"

LINKS: dict[str, tuple[tuple[str, str | Promise], ...]] = {
    Role.HOMEOWNER: (("places:home", _lazy("Your home")),),
    Role.AUDITOR: (
        ("places:today", _lazy("Today")),
        ("modeling:formulas", _lazy("Formulas")),
    ),
    Role.PROGRAM_ADMIN: (
        ("places:desk", _lazy("Desk")),
        ("places:rulebook", _lazy("Rulebook")),
        ("places:funds", _lazy("Funds")),
        ("places:casefiles", _lazy("Casefiles")),
        ("office:office", _lazy("Setup")),
    ),
    Role.CONTRACTOR: (("places:scopes", _lazy("Scopes")),),
}


def frame(request: HttpRequest) -> dict[str, Any]:
    """The masthead, read only when a page draws it."""
    user = getattr(request, "user", None)
    context: dict[str, Any] = {
        "program_name": PROGRAM_NAME,
        "program_phone": PROGRAM_PHONE,
        "demo_line": _demo_line() if getattr(settings, "DEMO_MODE", False) else "",
    }
    if user is None:
        return context
    context["mast_links"] = SimpleLazyObject(lambda: _links(request))
    context["mast_name"] = SimpleLazyObject(lambda: str(user) if user.is_authenticated else "")
    context["sign_out_url"] = SimpleLazyObject(
        lambda: reverse("account_logout") if user.is_authenticated else ""
    )
    context["sign_in_url"] = SimpleLazyObject(
        lambda: "" if user.is_authenticated else reverse("account_login")
    )
    return context


def _demo_line() -> str:
    """What the ribbon of the demo says: that all is invented, and which day it is there."""
    return _("Demo: invented homes and people. Nothing here is real. Today is %(day)s.") % {
        "day": date_format(clock.today(), "F j, Y")
    }


def _links(request: HttpRequest) -> list[dict[str, Any]]:
    user = request.user
    if not user.is_authenticated:
        return []
    found = []
    for role, links in LINKS.items():
        if user.has_role(role):
            for name, label in links:
                found.append(_link(request, name, str(label)))
    match = request.resolver_match
    number = match.kwargs.get("number") if match else None
    if number and user.has_role(Role.HOMEOWNER) and match and match.namespace != "works":
        found += [
            _link(request, name, str(label), number)
            for name, label in (
                ("scheduling:booked", _("Your visit")),
                ("reports:owner", _("Your report")),
                ("rebates:plan", _("Your plan")),
            )
        ]
    return [link for link in found if link]


def _link(request: HttpRequest, name: str, label: str, *args: str) -> dict[str, Any]:
    try:
        url = reverse(name, args=args)
    except NoReverseMatch:
        return {}
    return {"url": url, "label": label, "is_current": request.path == url}
