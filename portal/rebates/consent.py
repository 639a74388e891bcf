"""The words a homeowner agrees to; the exact words are stored with the request."""

from django.utils.translation import gettext as _

CONSENT_VERSION = "2026-01"


def consent_points() -> list[str]:
    """What is agreed to, point by point."""
    return [
        _(
            "The program may read this plan, the quote and the field record to decide on my "
            "request."
        ),
        _(
            "The program may give the chosen contractor my name, address and telephone number, "
            "and the list of work. It gives nobody my income or my bills."
        ),
        _(
            "Work that begins before the money is reserved is not paid. I order nothing by "
            "sending this request."
        ),
        _(
            "I may take the request back at any time before the work begins, at no cost, here or "
            "by calling 555-0142."
        ),
        _("I can have all of this on paper, free of charge, by calling 555-0142."),
    ]


def consent_text() -> str:
    """The whole text as it is kept."""
    return f"[{CONSENT_VERSION}] " + " ".join(consent_points())
