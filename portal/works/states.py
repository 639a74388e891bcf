"""States of work scope, scope line and claim, and the moves between them."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from portal.core.states import Moves


class ScopeState(models.TextChoices):
    """Where a work scope stands."""

    HELD = "held", _("held")
    ISSUED = "issued", _("issued")
    ACCEPTED = "accepted", _("taken")
    DECLINED = "declined", _("declined")
    IN_PROGRESS = "in_progress", _("work begun")
    DONE = "done", _("marked done")
    CLOSED = "closed", _("closed")


SCOPE_MOVES = Moves(
    {
        # Held while a hazard stands in the way; issued once it is cleared.
        ScopeState.HELD: (ScopeState.ISSUED, ScopeState.CLOSED),
        ScopeState.ISSUED: (ScopeState.ACCEPTED, ScopeState.DECLINED, ScopeState.CLOSED),
        ScopeState.ACCEPTED: (ScopeState.IN_PROGRESS, ScopeState.DONE, ScopeState.CLOSED),
        ScopeState.DECLINED: (ScopeState.ISSUED, ScopeState.CLOSED),
        ScopeState.IN_PROGRESS: (ScopeState.DONE, ScopeState.CLOSED),
        ScopeState.DONE: (ScopeState.IN_PROGRESS, ScopeState.CLOSED),
        ScopeState.CLOSED: (),
    }
)


class LineState(models.TextChoices):
    """Whether a line of the scope is done."""

    TO_DO = "to_do", _("to do")
    DONE = "done", _("done")


LINE_MOVES = Moves({LineState.TO_DO: (LineState.DONE,), LineState.DONE: (LineState.TO_DO,)})


class ClaimState(models.TextChoices):
    """Where a claim for payment stands."""

    SENT = "sent", _("sent")
    RETURNED = "returned", _("returned with the shortfall")
    ACCEPTED = "accepted", _("accepted")
    PAID = "paid", _("paid")


CLAIM_MOVES = Moves(
    {
        ClaimState.SENT: (ClaimState.RETURNED, ClaimState.ACCEPTED),
        ClaimState.RETURNED: (ClaimState.SENT,),
        ClaimState.ACCEPTED: (ClaimState.PAID,),
        ClaimState.PAID: (),
    }
)
