"""Jobs: enqueued with the change, claimed once, finished once."""

import threading
from datetime import timedelta
from typing import Any

import pytest
from django.db import connection, transaction
from django.utils import timezone

from portal.core import clock, jobs, tasks
from portal.core.errors import DomainError
from portal.core.models import Job, TrailEntry
from portal.core.models.jobs import JobState

KIND = "test.in_process"


class Recorder:
    """Stands in for a handler: does what the test says, and counts."""

    def __init__(self) -> None:
        self.seen: list[dict[str, Any]] = []
        self.failed: list[tuple[dict[str, Any], str]] = []
        self.act: Any = None

    def handle(self, args: dict[str, Any], ticket: jobs.Ticket) -> None:
        self.seen.append(args)
        if self.act is not None:
            self.act(args, ticket)

    def on_failed(self, args: dict[str, Any], error: str) -> None:
        self.failed.append((args, error))


@pytest.fixture
def recorder(monkeypatch: pytest.MonkeyPatch) -> Recorder:
    monkeypatch.setattr(jobs, "_kinds", dict(jobs._kinds))
    recorder = Recorder()
    jobs.kind(KIND, lease_s=5.0, max_attempts=3, on_failed=recorder.on_failed)(recorder.handle)
    return recorder


@pytest.fixture
def sent(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """Ids of jobs a worker was sent for."""
    ids: list[int] = []

    def send_task(name: str, args: list[int], **_: Any) -> None:
        assert name == jobs.RUN_JOB_TASK
        ids.extend(args)

    monkeypatch.setattr(jobs.current_app, "send_task", send_task)
    return ids


def put(key: str = "one", **args: Any) -> Job:
    with transaction.atomic():
        return jobs.enqueue(KIND, key=key, **args)


@pytest.mark.django_db(transaction=True)
def test_a_worker_is_sent_for_only_after_the_commit(recorder: Recorder, sent: list[int]) -> None:
    with transaction.atomic():
        job = jobs.enqueue(KIND, key="one", house_id=7)
        assert sent == []
    assert sent == [job.pk]
    assert Job.objects.get().args == {"house_id": 7}


@pytest.mark.django_db(transaction=True)
def test_a_rolled_back_change_leaves_no_job_and_sends_nobody(
    recorder: Recorder, sent: list[int]
) -> None:
    with pytest.raises(ZeroDivisionError), transaction.atomic():
        jobs.enqueue(KIND, key="one")
        _ = 1 / 0
    assert not Job.objects.exists()
    assert sent == []
    assert jobs.drain() == 0
    assert recorder.seen == []


@pytest.mark.django_db(transaction=True)
def test_enqueue_outside_a_transaction_is_refused(recorder: Recorder) -> None:
    with pytest.raises(transaction.TransactionManagementError):
        jobs.enqueue(KIND, key="one")


@pytest.mark.django_db
def test_an_unknown_kind_is_refused_where_it_is_enqueued() -> None:
    with pytest.raises(LookupError, match=r"test\.nobody"):
        jobs.enqueue("test.nobody", key="one")


@pytest.mark.django_db(transaction=True)
def test_the_same_key_is_one_job(recorder: Recorder, sent: list[int]) -> None:
    first = put(house_id=1)
    second = put(house_id=2)
    assert second == first
    assert sent == [first.pk]
    assert jobs.drain() == 1
    assert recorder.seen == [{"house_id": 1}]
    assert put(house_id=3).state == JobState.DONE
    assert jobs.drain() == 0


@pytest.mark.django_db(transaction=True)
def test_a_broker_that_fails_does_not_break_the_request(
    recorder: Recorder, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refuse(*_: Any, **__: Any) -> None:
        raise ConnectionRefusedError

    monkeypatch.setattr(jobs.current_app, "send_task", refuse)
    job = put()
    job.refresh_from_db()
    assert (job.state, job.sent_at) == (JobState.QUEUED, None)
    delivered: list[int] = []
    monkeypatch.setattr(
        jobs.current_app, "send_task", lambda _name, args, **_: delivered.extend(args)
    )
    assert jobs.sweep() == 1
    assert delivered == [job.pk]


@pytest.mark.django_db
def test_a_second_delivery_does_nothing(recorder: Recorder) -> None:
    job = put()
    tasks.run_job(job.pk)
    tasks.run_job(job.pk)
    job.refresh_from_db()
    assert (job.state, job.attempts, len(recorder.seen)) == (JobState.DONE, 1, 1)
    assert job.finished_at is not None


@pytest.mark.django_db
def test_a_claimed_job_is_not_claimed_again(recorder: Recorder) -> None:
    job = put()

    def deliver_again(_args: dict[str, Any], ticket: jobs.Ticket) -> None:
        assert jobs.run(ticket.job_id) is False

    recorder.act = deliver_again
    assert jobs.run(job.pk, is_heartbeat_on=False) is True
    assert len(recorder.seen) == 1


@pytest.mark.django_db
def test_a_missing_row_is_gone_and_no_error() -> None:
    tasks.run_job(987654)
    assert not Job.objects.exists()


@pytest.mark.django_db
def test_an_error_queues_the_job_again_for_later_and_the_last_one_fails_it(
    recorder: Recorder,
) -> None:
    job = put(house_id=7)

    def fail(_args: dict[str, Any], _ticket: jobs.Ticket) -> None:
        raise ValueError("12 Invented Lane, account 0042")

    recorder.act = fail
    for attempt, wait_s in ((1, 10.0), (2, 20.0)):
        assert jobs.run(job.pk, is_heartbeat_on=False) is True
        job.refresh_from_db()
        assert (job.state, job.attempts) == (JobState.QUEUED, attempt)
        assert job.retry_at is not None
        left_s = (job.retry_at - timezone.now()).total_seconds()
        assert wait_s - 5.0 < left_s <= wait_s
        # Not before its time, whoever delivers it.
        assert jobs.run(job.pk) is False
        Job.objects.update(retry_at=timezone.now())
    assert jobs.run(job.pk, is_heartbeat_on=False) is True
    job.refresh_from_db()
    assert (job.state, job.attempts) == (JobState.FAILED, 3)
    assert recorder.failed == [({"house_id": 7}, job.error)]


@pytest.mark.django_db
def test_the_kept_error_tells_class_and_place_but_not_the_message(recorder: Recorder) -> None:
    job = put()

    def fail(_args: dict[str, Any], _ticket: jobs.Ticket) -> None:
        raise ValueError("12 Invented Lane, account 0042")

    recorder.act = fail
    jobs.run(job.pk, is_heartbeat_on=False)
    job.refresh_from_db()
    assert job.error.splitlines()[0] == "ValueError"
    assert "test_jobs.py" in job.error
    assert "0042" not in job.error
    assert "Invented" not in job.error


@pytest.mark.django_db
def test_a_refusal_of_the_domain_is_not_tried_again(recorder: Recorder) -> None:
    job = put()

    def refuse(_args: dict[str, Any], _ticket: jobs.Ticket) -> None:
        raise DomainError("The fund is used up.", code="fund_exhausted")

    recorder.act = refuse
    jobs.run(job.pk, is_heartbeat_on=False)
    job.refresh_from_db()
    assert (job.state, job.attempts) == (JobState.FAILED, 1)
    assert job.error.splitlines()[0] == "DomainError (fund_exhausted)"
    assert len(recorder.failed) == 1


@pytest.mark.django_db
def test_a_failed_job_can_be_given_a_fresh_start(recorder: Recorder) -> None:
    job = put()
    recorder.act = lambda *_: (_ for _ in ()).throw(DomainError("no"))
    jobs.run(job.pk, is_heartbeat_on=False)
    recorder.act = None
    assert jobs.requeue(key="one").state == JobState.QUEUED
    assert jobs.drain() == 1
    job.refresh_from_db()
    assert (job.state, job.attempts, job.error) == (JobState.DONE, 1, "")
    assert jobs.requeue(key="one").state == JobState.DONE


@pytest.mark.django_db
def test_the_result_and_done_are_one_transaction(recorder: Recorder) -> None:
    job = put()

    def fail_while_writing(_args: dict[str, Any], ticket: jobs.Ticket) -> None:
        with ticket.finishing():
            write_result()
            raise RuntimeError

    recorder.act = fail_while_writing
    jobs.run(job.pk, is_heartbeat_on=False)
    job.refresh_from_db()
    assert job.state == JobState.QUEUED
    assert not TrailEntry.objects.exists()


@pytest.mark.django_db
def test_a_worker_whose_claim_was_taken_back_writes_nothing(recorder: Recorder) -> None:
    job = put()

    def be_overtaken(_args: dict[str, Any], ticket: jobs.Ticket) -> None:
        # The lease runs out, the sweep takes the job back, another worker finishes it.
        Job.objects.update(lease_until=timezone.now() - timedelta(seconds=1))
        jobs.sweep()
        recorder.act = lambda _args, other: _finish_with_result(other)
        assert jobs.run(job.pk, is_heartbeat_on=False) is True
        _finish_with_result(ticket)

    recorder.act = be_overtaken
    assert jobs.run(job.pk, is_heartbeat_on=False) is True
    job.refresh_from_db()
    assert (job.state, job.attempts) == (JobState.DONE, 2)
    assert TrailEntry.objects.count() == 1


def _finish_with_result(ticket: jobs.Ticket) -> None:
    with ticket.finishing():
        write_result()


def write_result() -> None:
    TrailEntry.objects.create(at=clock.now(), actor_label="system: test", record_kind="test")


@pytest.mark.django_db
def test_an_error_after_finishing_does_not_undo_the_result(recorder: Recorder) -> None:
    job = put()

    def fail_afterwards(_args: dict[str, Any], ticket: jobs.Ticket) -> None:
        _finish_with_result(ticket)
        raise RuntimeError

    recorder.act = fail_afterwards
    jobs.run(job.pk, is_heartbeat_on=False)
    job.refresh_from_db()
    assert job.state == JobState.DONE
    assert TrailEntry.objects.count() == 1


@pytest.mark.django_db
def test_the_sweep_takes_back_stale_claims_and_leaves_live_ones(
    recorder: Recorder, sent: list[int]
) -> None:
    live, stale = put("live"), put("stale")
    sent.clear()
    for job in (live, stale):
        assert jobs._claim(job.pk) is not None
    Job.objects.filter(pk=stale.pk).update(lease_until=timezone.now() - timedelta(seconds=1))
    assert jobs.sweep() == 1
    assert sent == [stale.pk]
    live.refresh_from_db()
    stale.refresh_from_db()
    assert (live.state, stale.state) == (JobState.CLAIMED, JobState.QUEUED)
    assert stale.error == jobs.WORKER_LOST


@pytest.mark.django_db
def test_a_job_that_kills_its_workers_fails_in_the_end(recorder: Recorder) -> None:
    job = put(house_id=7)
    for _attempt in range(3):
        assert jobs._claim(job.pk) is not None
        Job.objects.update(lease_until=timezone.now() - timedelta(seconds=1))
        jobs.sweep()
    job.refresh_from_db()
    assert job.state == JobState.FAILED
    assert recorder.failed == [({"house_id": 7}, jobs.WORKER_LOST)]


@pytest.mark.django_db
def test_the_sweep_does_not_send_again_what_was_sent_a_moment_ago(
    recorder: Recorder, sent: list[int]
) -> None:
    job = put()
    assert jobs.sweep(resend_after_s=0.0) == 1
    assert jobs.sweep() == 0
    Job.objects.update(sent_at=timezone.now() - timedelta(seconds=jobs.RESEND_AFTER_S + 1))
    assert jobs.sweep() == 1
    assert sent == [job.pk, job.pk]


@pytest.mark.django_db(transaction=True)
def test_a_job_for_later_waits_in_the_database(recorder: Recorder, sent: list[int]) -> None:
    noon = clock.now()
    with transaction.atomic():
        job = jobs.enqueue(KIND, key="reminder", due_at=noon + timedelta(hours=3))
    assert sent == []
    with clock.at(noon + timedelta(hours=2)):
        assert jobs.sweep() == 0
        assert jobs.run(job.pk) is False
    with clock.at(noon + timedelta(hours=3)):
        assert jobs.sweep() == 1
        assert jobs.drain() == 1
        assert jobs.drain() == 0
    assert len(recorder.seen) == 1


@pytest.mark.django_db(transaction=True)
def test_the_heartbeat_keeps_the_claim_of_a_long_job(
    monkeypatch: pytest.MonkeyPatch, recorder: Recorder
) -> None:
    jobs.kind("test.long", lease_s=0.3)(lambda _args, ticket: outlive_three_leases(ticket))
    with transaction.atomic():
        job = jobs.enqueue("test.long", key="long")
    leases = []

    def outlive_three_leases(ticket: jobs.Ticket) -> None:
        while len(leases) < 3:
            lease = Job.objects.values_list("lease_until", flat=True).get()
            if lease not in leases:
                leases.append(lease)
            threading.Event().wait(0.02)
        jobs.sweep()
        ticket.check()
        _finish_with_result(ticket)

    assert jobs.run(job.pk) is True
    job.refresh_from_db()
    assert (job.state, job.attempts) == (JobState.DONE, 1)
    assert leases == sorted(leases)
    assert not [thread for thread in threading.enumerate() if "heartbeat" in thread.name]


@pytest.mark.django_db(transaction=True)
def test_the_heartbeat_tells_a_handler_that_its_claim_is_gone(recorder: Recorder) -> None:
    def lose_the_claim(_args: dict[str, Any], ticket: jobs.Ticket) -> None:
        Job.objects.update(state=JobState.QUEUED, claim_token=None, lease_until=None)
        assert ticket.is_lost.wait(5.0)
        with pytest.raises(jobs.ClaimLost):
            ticket.check()
        ticket.check()

    jobs.kind("test.lost", lease_s=0.3)(lose_the_claim)
    with transaction.atomic():
        job = jobs.enqueue("test.lost", key="lost")
    assert jobs.run(job.pk) is True
    job.refresh_from_db()
    assert job.state == JobState.QUEUED


@pytest.mark.django_db(transaction=True)
def test_only_one_of_many_workers_wins_a_job(recorder: Recorder) -> None:
    job = put()
    gate = threading.Barrier(4)
    won: list[bool] = []

    def race() -> None:
        gate.wait()
        try:
            won.append(jobs.run(job.pk, is_heartbeat_on=False))
        finally:
            connection.close()

    threads = [threading.Thread(target=race) for _ in range(4)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(won) == [False, False, False, True]
    assert len(recorder.seen) == 1


@pytest.mark.django_db
def test_drain_refuses_to_run_for_ever(recorder: Recorder) -> None:
    put("0")

    def enqueue_another(args: dict[str, Any], ticket: jobs.Ticket) -> None:
        with ticket.finishing():
            jobs.enqueue(KIND, key=f"after {ticket.key}")

    recorder.act = enqueue_another
    with pytest.raises(RuntimeError, match="enqueue each other"):
        jobs.drain(most=5)


def test_waits_double_up_to_a_quarter_hour() -> None:
    assert [jobs.backoff_s(n) for n in (1, 2, 3)] == [10.0, 20.0, 40.0]
    assert jobs.backoff_s(60) == 900.0


def test_two_handlers_of_one_kind_are_refused(recorder: Recorder) -> None:
    with pytest.raises(ValueError, match="two handlers"):
        jobs.kind(KIND)(lambda _args, _ticket: None)
