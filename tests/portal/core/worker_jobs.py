"""Kinds of job that only tests enqueue, for workers that tests start."""

import os
from pathlib import Path
from typing import Any

from portal.core import clock, jobs
from portal.core.models import TrailEntry

BLOCKS_ONCE = "test.blocks_once"
RECORDS = "test.records"
LEASE_S = 1.5


def record(key: str, attempt: int) -> None:
    """Write a row per finished run; nothing about it is unique, so that a second one shows."""
    TrailEntry.objects.create(
        at=clock.now(),
        actor_label="system: test",
        record_kind="test.job",
        record_id=key,
        verb=f"attempt {attempt}",
    )


@jobs.kind(BLOCKS_ONCE, lease_s=LEASE_S)
def block_on_the_first_attempt(args: dict[str, Any], ticket: jobs.Ticket) -> None:
    """Tell that it began; on the first attempt wait for ever, for the test to kill it."""
    folder = Path(args["folder"])
    (folder / f"attempt-{ticket.attempt}").write_text(str(os.getpid()))
    if ticket.attempt == 1:
        # Nobody ever writes into this pipe.
        (folder / "never").open().read()
    with ticket.finishing():
        record(ticket.key, ticket.attempt)


@jobs.kind(RECORDS, lease_s=LEASE_S)
def record_at_once(args: dict[str, Any], ticket: jobs.Ticket) -> None:
    """Finish at once."""
    with ticket.finishing():
        record(ticket.key, ticket.attempt)
