"""The two Celery tasks of the portal: run one job, and sweep up what was dropped."""

import os
from pathlib import Path
from typing import Any

from celery import current_app, shared_task
from celery.signals import worker_ready

from portal.core import jobs, letters, outbox

# Importing them registers their kinds of job.
__all__ = ["letters", "outbox", "run_job", "sweep"]

SWEEP_TASK = "core.sweep"


@shared_task(name=jobs.RUN_JOB_TASK, acks_late=True, ignore_result=True)
def run_job(job_id: int) -> None:
    """Take one queued job as far as it goes; a second delivery does nothing."""
    jobs.run(job_id)


@shared_task(name=SWEEP_TASK, ignore_result=True)
def sweep(resend_after_s: float = jobs.RESEND_AFTER_S) -> None:
    """Send for what nobody came for."""
    jobs.sweep(resend_after_s=resend_after_s)


@worker_ready.connect
def start_with_a_sweep(**_: Any) -> None:
    """Look for what an earlier worker left, and tell a supervisor that this one is up.

    Sent as a task: a database connection opened here would be shared with the forked pool.
    """
    current_app.send_task(SWEEP_TASK, kwargs={"resend_after_s": 0.0})
    ready_file = os.environ.get("RIMJOIST_WORKER_READY_FILE")
    if ready_file:
        Path(ready_file).touch()
