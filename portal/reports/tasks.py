"""Jobs of reports."""

from typing import Any

from portal.core import jobs
from portal.reports import services


def _failed(args: dict[str, Any], error: str) -> None:
    services.report_fail(report_id=args["report_id"], error=error)


@jobs.kind(services.PRINT_JOB, lease_s=60.0, max_attempts=3, on_failed=_failed)
def print_report(args: dict[str, Any], ticket: jobs.Ticket) -> None:
    """Build and print one report."""
    services.report_print(report_id=args["report_id"], ticket=ticket)
