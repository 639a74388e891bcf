"""States of the audit request and of the casefile, and the moves between them."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from portal.core.states import Moves


class RequestState(models.TextChoices):
    """Where a request for a free audit stands."""

    OPEN = "open", _("being filled in")
    ELIGIBLE = "eligible", _("eligible")
    NOT_ELIGIBLE = "not_eligible", _("not eligible")
    WITHDRAWN = "withdrawn", _("withdrawn")


REQUEST_MOVES = Moves(
    {
        RequestState.OPEN: (
            RequestState.ELIGIBLE,
            RequestState.NOT_ELIGIBLE,
            RequestState.WITHDRAWN,
        ),
        # The applicant may correct an answer and be screened again.
        RequestState.NOT_ELIGIBLE: (RequestState.OPEN, RequestState.WITHDRAWN),
        RequestState.ELIGIBLE: (RequestState.WITHDRAWN,),
        RequestState.WITHDRAWN: (),
    }
)


class CasefileState(models.TextChoices):
    """A casefile is open until its participation ends."""

    OPEN = "open", _("open")
    CLOSED = "closed", _("closed")


CASEFILE_MOVES = Moves(
    {CasefileState.OPEN: (CasefileState.CLOSED,), CasefileState.CLOSED: (CasefileState.OPEN,)}
)


class Tenure(models.TextChoices):
    """How the household holds the dwelling."""

    OWNER = "owner", _("I own it")
    RENTER = "renter", _("I rent it")


class BuildingKind(models.TextChoices):
    """What kind of building the dwelling is in."""

    DETACHED = "detached", _("detached house")
    ATTACHED = "attached", _("attached house")
    TWO_TO_FOUR = "two_to_four", _("building of two to four homes")
    MANUFACTURED = "manufactured", _("manufactured home")
    APARTMENT = "apartment", _("apartment building of five or more")
