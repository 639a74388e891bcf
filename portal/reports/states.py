"""States of a report and the moves between them."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from portal.core.states import Moves


class ReportKind(models.TextChoices):
    """Which paper it is."""

    OWNER = "owner", _("home energy report")
    SCOPE = "scope", _("work scope")


class ReportState(models.TextChoices):
    """Where a report stands. A ready one is frozen."""

    QUEUED = "queued", _("waiting for a worker")
    READY = "ready", _("ready")
    FAILED = "failed", _("could not be made")


REPORT_MOVES = Moves(
    {
        ReportState.QUEUED: (ReportState.READY, ReportState.FAILED),
        ReportState.FAILED: (ReportState.QUEUED,),
        ReportState.READY: (),
    }
)
