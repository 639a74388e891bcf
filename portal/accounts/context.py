"""What the sign-in page of the demo shows."""

from typing import Any

from django.conf import settings
from django.http import HttpRequest
from django.utils.functional import SimpleLazyObject

from portal.accounts.models import User


def demo_people() -> list[dict[str, Any]]:
    """The people who may be signed in as, in the order of ``settings.DEMO_SIGNINS``.

    The setting is a list of ``{"email": ..., "what": ...}``; ``what`` says in a few words who
    this is. Empty outside demo mode.
    """
    if not getattr(settings, "DEMO_MODE", False):
        return []
    wanted = list(getattr(settings, "DEMO_SIGNINS", ()))
    people = {
        user.email: user
        for user in User.objects.filter(
            email__in=[entry["email"] for entry in wanted], is_active=True
        )
    }
    return [
        {
            "email": entry["email"],
            "name": str(people[entry["email"]]),
            "what": entry.get("what", ""),
        }
        for entry in wanted
        if entry["email"] in people
    ]


def demo_signins(request: HttpRequest) -> dict[str, Any]:
    """``demo_signins`` for templates; looked up only where a page uses it."""
    if not getattr(settings, "DEMO_MODE", False):
        return {"demo_signins": []}
    return {"demo_signins": SimpleLazyObject(demo_people)}
