"""States of plan, quote, subsidy request and reservation, and the moves between them."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from portal.core.states import Moves


class Answer(models.TextChoices):
    """What the homeowner says to a measure."""

    YES = "yes", _("yes")
    LATER = "later", _("later")
    NO = "no", _("not for me")


class SubsidyState(models.TextChoices):
    """Where a subsidy request stands. The Desk's verbs lead from one to the next."""

    DRAFT = "draft", _("being prepared")
    SENT = "sent", _("sent")
    RETURNED = "returned", _("returned with the shortfall")
    RESERVED = "reserved", _("reserved")
    DEFERRED = "deferred", _("deferred")
    REFUSED = "refused", _("refused")
    REFERRED = "referred", _("referred")
    WITHDRAWN = "withdrawn", _("withdrawn")
    LAPSED = "lapsed", _("lapsed")


SUBSIDY_MOVES = Moves(
    {
        SubsidyState.DRAFT: (SubsidyState.SENT, SubsidyState.WITHDRAWN),
        SubsidyState.SENT: (
            SubsidyState.RESERVED,
            SubsidyState.RETURNED,
            SubsidyState.DEFERRED,
            SubsidyState.REFUSED,
            SubsidyState.REFERRED,
            SubsidyState.WITHDRAWN,
        ),
        SubsidyState.RETURNED: (SubsidyState.SENT, SubsidyState.WITHDRAWN),
        SubsidyState.DEFERRED: (SubsidyState.SENT, SubsidyState.WITHDRAWN),
        SubsidyState.REFERRED: (
            SubsidyState.SENT,
            SubsidyState.REFUSED,
            SubsidyState.WITHDRAWN,
        ),
        SubsidyState.RESERVED: (SubsidyState.LAPSED, SubsidyState.WITHDRAWN),
        SubsidyState.REFUSED: (SubsidyState.SENT,),
        SubsidyState.WITHDRAWN: (),
        SubsidyState.LAPSED: (),
    }
)

LIVE_SUBSIDY = (
    SubsidyState.DRAFT,
    SubsidyState.SENT,
    SubsidyState.RETURNED,
    SubsidyState.DEFERRED,
    SubsidyState.REFERRED,
    SubsidyState.RESERVED,
)


class EntryKind(models.TextChoices):
    """What a line of the fund ledger does."""

    ALLOT = "allot", _("money given to the fund")
    RESERVE = "reserve", _("reserved")
    RELEASE = "release", _("released")
    PAY = "pay", _("paid")
