"""Work outside a request: a row first, a broker message second.

A service calls ``enqueue`` inside its transaction. Once that commits, a message sends a
worker to the row. The message may be lost, late or doubled: the worker claims the row, and
only one claim wins; ``sweep`` sends for rows nobody came for and takes back claims whose
worker died. A handler writes its result inside ``ticket.finishing()``, which holds the row
and refuses a claim that has been taken back, so a result is written once.

Due times stay in the database; no message carries a start time, because a broker with a
visibility timeout hands such a message out again and again.
"""

import logging
import threading
import traceback
import uuid
from collections.abc import Callable, Collection, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial
from typing import Any

from celery import current_app
from django.db import connection, transaction
from django.db.models import F, Q
from django.utils import timezone

from portal.core import clock
from portal.core.errors import DomainError
from portal.core.models import Job
from portal.core.models.jobs import JobState

logger = logging.getLogger(__name__)

RUN_JOB_TASK = "core.run_job"
FIRST_RETRY_S = 10.0
LONGEST_RETRY_S = 15 * 60.0
RESEND_AFTER_S = 60.0
WORKER_LOST = "The worker stopped before the job was finished."

Handler = Callable[[dict[str, Any], "Ticket"], None]
FailureHook = Callable[[dict[str, Any], str], None]


class ClaimLost(Exception):
    """The claim was taken back; whoever holds the job now writes the result."""


@dataclass(frozen=True)
class Kind:
    """A registered kind of job."""

    name: str
    handler: Handler
    lease_s: float
    max_attempts: int
    on_failed: FailureHook | None


_kinds: dict[str, Kind] = {}


def kind(
    name: str,
    *,
    lease_s: float = 30.0,
    max_attempts: int = 5,
    on_failed: FailureHook | None = None,
) -> Callable[[Handler], Handler]:
    """Register the decorated function as the handler of a kind of job.

    The handler takes the arguments given to ``enqueue`` and a ``Ticket``. Its claim holds
    for ``lease_s`` seconds and is prolonged while the handler runs. A ``DomainError`` ends
    the job at once, any other error after ``max_attempts``; ``on_failed`` is then called
    with the arguments and the kept error, in the transaction that marks the job failed.
    """

    def register(handler: Handler) -> Handler:
        known = _kinds.get(name)
        if known is not None and known.handler is not handler:
            raise ValueError(f"two handlers for jobs of kind {name}")
        _kinds[name] = Kind(name, handler, lease_s, max_attempts, on_failed)
        return handler

    return register


@dataclass
class Ticket:
    """A worker's claim on one job."""

    job_id: int
    key: str
    attempt: int
    token: uuid.UUID
    is_finished: bool = field(default=False, init=False)
    is_lost: threading.Event = field(default_factory=threading.Event, init=False)

    def check(self) -> None:
        """Raise ``ClaimLost`` when the claim is known to be gone; for the pauses of long work."""
        if self.is_lost.is_set():
            raise ClaimLost(f"job {self.job_id}")

    @contextmanager
    def finishing(self) -> Iterator[None]:
        """The one transaction in which the result is written and the job is marked done.

        Raises
        ------
        ClaimLost
            The claim was taken back meanwhile; nothing is written.
        """
        with transaction.atomic():
            job = Job.objects.select_for_update().filter(pk=self.job_id).first()
            if job is None or job.claim_token != self.token:
                raise ClaimLost(f"job {self.job_id}")
            yield
            job.state = JobState.DONE
            job.claim_token = job.lease_until = job.retry_at = None
            job.error = ""
            job.finished_at = clock.now()
            job.save()
        self.is_finished = True


def enqueue(kind_name: str, *, key: str, due_at: datetime | None = None, **args: Any) -> Job:
    """Put a job in the queue, or return the one that already has this key.

    Must be called inside a transaction; the worker is sent for once it commits. ``due_at``
    is the earliest program time at which the job may run.
    """
    if kind_name not in _kinds:
        raise LookupError(f"no handler for jobs of kind {kind_name}")
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError("jobs.enqueue needs a transaction")
    job, is_new = Job.objects.get_or_create(
        key=key, defaults={"kind": kind_name, "args": args, "due_at": due_at}
    )
    if is_new and (due_at is None or due_at <= clock.now()):
        transaction.on_commit(partial(_send, job.pk), robust=True)
    return job


def requeue(*, key: str) -> Job:
    """Give a failed job a fresh start; a job in any other state is left as it is."""
    with transaction.atomic():
        job = Job.objects.select_for_update().get(key=key)
        if job.state == JobState.FAILED:
            job.state = JobState.QUEUED
            job.attempts = 0
            job.retry_at = job.finished_at = None
            job.save()
            transaction.on_commit(partial(_send, job.pk), robust=True)
    return job


def run(job_id: int, *, is_heartbeat_on: bool = True) -> bool:
    """Claim one job and take it as far as it goes; False when there was nothing to claim."""
    claimed = _claim(job_id)
    if claimed is None:
        return False
    job, job_kind, ticket = claimed
    heartbeat = _Heartbeat(ticket, job_kind.lease_s) if is_heartbeat_on else None
    if heartbeat is not None:
        heartbeat.start()
    try:
        job_kind.handler(dict(job.args), ticket)
        if not ticket.is_finished:
            with ticket.finishing():
                pass
    except ClaimLost:
        logger.warning("job %s: claim lost, result dropped", job.pk)
    except Exception as error:
        if ticket.is_finished:
            # The result stands; what the handler did after writing it is its own affair.
            logger.exception("job %s (%s): error after finishing", job.pk, job.kind)
        else:
            logger.exception("job %s (%s): attempt %s failed", job.pk, job.kind, ticket.attempt)
            _give_back(ticket, job_kind, error)
    finally:
        if heartbeat is not None:
            heartbeat.stop()
    return True


def drain(*, most: int = 1000, without: Collection[str] = ()) -> int:
    """Run due jobs in this process until none is left; how many were run.

    For tests and for loading the demo, where the clock is set by hand. Kinds named in
    ``without`` stay queued.
    """
    count = 0
    while count < most:
        job_id = _due().exclude(kind__in=without).values_list("pk", flat=True).first()
        if job_id is None:
            return count
        if run(job_id, is_heartbeat_on=False):
            count += 1
    raise RuntimeError(f"more than {most} jobs in one go: do they enqueue each other?")


def sweep(*, resend_after_s: float = RESEND_AFTER_S) -> int:
    """Take back claims of dead workers, and send for due jobs nobody came for.

    Returns how many jobs a worker was sent for.
    """
    _release_stale_claims()
    now = timezone.now()
    unsent = Q(sent_at__isnull=True) | Q(sent_at__lte=now - timedelta(seconds=resend_after_s))
    job_ids = list(_due().filter(unsent).values_list("pk", flat=True)[:1000])
    sent = 0
    for job_id in job_ids:
        if not _send(job_id):
            # The broker does not answer: leave the rest to the next sweep.
            break
        sent += 1
    return sent


def _due() -> Any:
    now = timezone.now()
    return (
        Job.objects.filter(state=JobState.QUEUED)
        .filter(Q(due_at__isnull=True) | Q(due_at__lte=clock.now()))
        .filter(Q(retry_at__isnull=True) | Q(retry_at__lte=now))
        .order_by("pk")
    )


def _send(job_id: int) -> bool:
    """Send a worker to the row; a broker that fails is logged, since the sweep will find it."""
    # Marked first: a sweep that runs between the two steps would only send a second message.
    Job.objects.filter(pk=job_id).update(sent_at=timezone.now())
    try:
        current_app.send_task(RUN_JOB_TASK, args=[job_id], retry=False)
    except Exception as error:
        # Every transport raises its own classes here, and none may break the request.
        logger.warning("job %s: broker failed (%s)", job_id, type(error).__name__)
        Job.objects.filter(pk=job_id).update(sent_at=None)
        return False
    return True


def _claim(job_id: int) -> tuple[Job, Kind, Ticket] | None:
    """Take a queued, due job; one conditional update, so only one worker can win."""
    kind_name = Job.objects.filter(pk=job_id).values_list("kind", flat=True).first()
    if kind_name is None:
        logger.info("job %s is gone", job_id)
        return None
    job_kind = _kinds.get(kind_name)
    if job_kind is None:
        # A newer release enqueued it and this worker is the old one: leave it for the sweep.
        logger.error("job %s: no handler for kind %s", job_id, kind_name)
        return None
    token = uuid.uuid4()
    has_won = (
        _due()
        .filter(pk=job_id)
        .update(
            state=JobState.CLAIMED,
            claim_token=token,
            lease_until=_lease_end(job_kind.lease_s),
            attempts=F("attempts") + 1,
        )
    )
    if not has_won:
        return None
    job = Job.objects.get(pk=job_id)
    return job, job_kind, Ticket(job.pk, job.key, job.attempts, token)


def _give_back(ticket: Ticket, job_kind: Kind, error: Exception) -> None:
    """Queue the job again for later, or mark it failed."""
    with transaction.atomic():
        job = Job.objects.select_for_update().filter(pk=ticket.job_id).first()
        if job is None or job.claim_token != ticket.token:
            return
        is_last = isinstance(error, DomainError) or job.attempts >= job_kind.max_attempts
        _release(job, job_kind, error=describe(error), is_last=is_last)


def _release_stale_claims() -> None:
    now = timezone.now()
    stale = Q(state=JobState.CLAIMED, lease_until__lt=now)
    for job_id in list(Job.objects.filter(stale).values_list("pk", flat=True)[:1000]):
        with transaction.atomic():
            # Seen under the lock again: the worker may have finished or prolonged meanwhile.
            job = Job.objects.select_for_update().filter(stale, pk=job_id).first()
            if job is None:
                continue
            job_kind = _kinds.get(job.kind)
            logger.warning("job %s (%s): claim went stale", job.pk, job.kind)
            is_last = job_kind is not None and job.attempts >= job_kind.max_attempts
            _release(job, job_kind, error=WORKER_LOST, is_last=is_last, retry_s=0.0)


def _release(
    job: Job, job_kind: Kind | None, *, error: str, is_last: bool, retry_s: float | None = None
) -> None:
    """End a claim without a result. The caller holds the row's lock."""
    job.claim_token = job.lease_until = job.sent_at = None
    job.error = error
    if is_last:
        job.state = JobState.FAILED
        job.finished_at = clock.now()
    else:
        job.state = JobState.QUEUED
        wait_s = backoff_s(job.attempts) if retry_s is None else retry_s
        job.retry_at = timezone.now() + timedelta(seconds=wait_s)
    job.save()
    if is_last and job_kind is not None and job_kind.on_failed is not None:
        job_kind.on_failed(dict(job.args), error)


def backoff_s(attempts: int) -> float:
    """Seconds to wait after this many attempts: doubled each time, with an upper end."""
    return min(FIRST_RETRY_S * 2.0 ** max(attempts - 1, 0), LONGEST_RETRY_S)


def describe(error: BaseException) -> str:
    """An error as its class and the places in our code it passed; never its message.

    A message can quote a name, an address or an account number; a ``DomainError`` is
    kept by its code for the same reason.
    """
    name = type(error).__name__
    if isinstance(error, DomainError):
        name = f"{name} ({error.code})"
    frames = [
        f"{frame.filename.rsplit('/', 1)[-1]}:{frame.lineno} {frame.name}"
        for frame in traceback.extract_tb(error.__traceback__)
        if "site-packages" not in frame.filename
    ]
    return "\n".join([name, *frames[-6:]])


def _lease_end(lease_s: float) -> datetime:
    return timezone.now() + timedelta(seconds=lease_s)


class _Heartbeat(threading.Thread):
    """Prolongs a claim three times per lease, on a database connection of its own."""

    def __init__(self, ticket: Ticket, lease_s: float) -> None:
        super().__init__(name=f"heartbeat-{ticket.job_id}", daemon=True)
        self.ticket = ticket
        self.lease_s = lease_s
        self._has_stopped = threading.Event()

    def run(self) -> None:
        """Prolong until stopped, or until the claim is found to be gone."""
        try:
            while not self._has_stopped.wait(self.lease_s / 3):
                self._prolong()
                if self.ticket.is_lost.is_set():
                    return
        finally:
            connection.close()

    def _prolong(self) -> None:
        mine = Job.objects.filter(pk=self.ticket.job_id, claim_token=self.ticket.token)
        try:
            is_held = mine.update(lease_until=_lease_end(self.lease_s))
        except Exception as error:
            # A busy or restarting database: the next beat tries again, and if none gets
            # through the fence in ``finishing`` still decides.
            logger.warning(
                "job %s: heartbeat failed (%s)", self.ticket.job_id, type(error).__name__
            )
            connection.close()
            return
        if not is_held and not self._has_stopped.is_set():
            self.ticket.is_lost.set()

    def stop(self) -> None:
        """End the thread and wait for it."""
        self._has_stopped.set()
        self.join()
