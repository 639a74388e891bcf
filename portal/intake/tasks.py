"""Jobs of intake."""

from typing import Any

from portal.core import jobs
from portal.intake.services import rejudging, values


@jobs.kind(values.REJUDGE_JOB, lease_s=60.0, max_attempts=3)
def rejudge_records(args: dict[str, Any], ticket: jobs.Ticket) -> None:
    """Judge every home's readings by a newly adopted limit."""
    rejudging.rejudge(proposal_id=args["proposal_id"], ticket=ticket)
