"""States of a field record and the moves between them."""

from django.db import models
from django.utils.translation import gettext_lazy as _

from portal.core.states import Moves


class RecordState(models.TextChoices):
    """A record is open while the auditor works on it; a completed one can be corrected."""

    OPEN = "open", _("being filled in")
    COMPLETE = "complete", _("complete")


RECORD_MOVES = Moves(
    {RecordState.OPEN: (RecordState.COMPLETE,), RecordState.COMPLETE: (RecordState.OPEN,)}
)


class ProposalState(models.TextChoices):
    """A proposed value waits for a second administrator; one adopted holds until replaced."""

    PROPOSED = "proposed", _("waits for a second administrator")
    ADOPTED = "adopted", _("adopted")
    REFUSED = "refused", _("refused")
    WITHDRAWN = "withdrawn", _("withdrawn")
    REPLACED = "replaced", _("replaced by a later one")


PROPOSAL_MOVES = Moves(
    {
        ProposalState.PROPOSED: (
            ProposalState.ADOPTED,
            ProposalState.REFUSED,
            ProposalState.WITHDRAWN,
        ),
        ProposalState.ADOPTED: (ProposalState.REPLACED,),
        ProposalState.REFUSED: (),
        ProposalState.WITHDRAWN: (),
        ProposalState.REPLACED: (),
    }
)


class RecordStage(models.TextChoices):
    """At which point of the job the house was recorded."""

    AUDIT = "audit", _("audit")
    TEST_OUT = "test_out", _("test-out")


class RecordSource(models.TextChoices):
    """How the record came in."""

    SHEET = "sheet", _("field sheet")
    JSON = "json", _("field record file")
    HPXML = "hpxml", _("HPXML file")


class How(models.TextChoices):
    """How a value came to be known."""

    MEASURED = "measured", _("measured")
    NAMEPLATE = "nameplate", _("nameplate")
    DOCUMENT = "document", _("document")
    ESTIMATED = "estimated", _("estimated")
    REPORTED = "reported", _("reported by occupant")
    DEFAULT = "default", _("default")


class Absence(models.TextChoices):
    """Values in their own right: why there is no reading."""

    NOT_ACCESSIBLE = "not_accessible", _("not accessible")
    NOT_PRESENT = "not_present", _("not present")
    UNKNOWN = "unknown", _("unknown")
