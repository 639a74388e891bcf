"""Jobs of modeling."""

from typing import Any

from portal.core import jobs
from portal.modeling import services


def _failed(args: dict[str, Any], error: str) -> None:
    services.run_fail(run_id=args["run_id"], error=error)


@jobs.kind(services.RUN_JOB, lease_s=30.0, max_attempts=3, on_failed=_failed)
def run_model(args: dict[str, Any], ticket: jobs.Ticket) -> None:
    """Take one queued model run to done or failed; a second delivery finds it taken."""
    run = services.run_start(run_id=args["run_id"])
    services.run_execute(run=run, ticket=ticket)
