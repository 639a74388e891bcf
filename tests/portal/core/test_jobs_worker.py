"""Jobs through a real worker: killed in mid-run, started again, finished once."""

import json
import os
import signal
import subprocess
import sys
import threading
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import pytest
from celery import Celery
from django.db import connection, transaction

from portal.core import broker as folder_broker
from portal.core import jobs
from portal.core.models import Job, TrailEntry
from portal.core.models.jobs import JobState
from tests.portal.core import worker_jobs

pytestmark = [pytest.mark.slow, pytest.mark.django_db(transaction=True)]

ROOT = Path(__file__).resolve().parents[3]
PATIENCE_S = 60.0


class Rig:
    """A broker, the test's database, and workers on both."""

    def __init__(self, broker_url: str, var: Path) -> None:
        self.var = var
        self.log = var / "worker.log"
        prefix = f"test-{uuid.uuid4().hex[:8]}:"
        self.environment = {
            **os.environ,
            "DJANGO_SETTINGS_MODULE": "tests.portal.core.worker_settings",
            "RIMJOIST_VAR": str(var),
            "DATABASE_URL": database_url_of_the_tests(),
            "CELERY_BROKER_URL": broker_url,
            "TEST_BROKER_PREFIX": prefix if broker_url.startswith("redis") else "",
            "PYTHONUNBUFFERED": "1",
        }
        # The app the test sends with; the portal's own is on an in-process broker in tests.
        self.app = Celery("sender", broker=broker_url, set_as_current=False)
        if broker_url.startswith("filesystem"):
            folder = var / "broker"
            self.app.conf.broker_transport = "portal.core.broker:FolderTransport"
            self.app.conf.broker_transport_options = {
                "data_folder_in": str(folder / "messages"),
                "data_folder_out": str(folder / "messages"),
                "control_folder": str(folder / "control"),
            }
        else:
            self.app.conf.broker_transport_options = {"global_keyprefix": prefix}

    @contextmanager
    def worker(self, *, has_beat: bool = True) -> Iterator[subprocess.Popen[bytes]]:
        """A worker with two processes in its pool, in a process group of its own."""
        command = [sys.executable, "-m", "celery", "-A", "portal", "worker"]
        command += ["--pool", "prefork", "--concurrency", "2", "--loglevel", "INFO"]
        command += ["--without-gossip", "--without-mingle", "--without-heartbeat"]
        if has_beat:
            command += ["--beat", "--schedule", str(self.var / "schedule")]
        with self.log.open("ab") as log:
            process = subprocess.Popen(
                command,
                cwd=ROOT,
                env=self.environment,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )
        try:
            yield process
        finally:
            kill_group(process)

    def until(self, condition: Callable[[], bool], what: str) -> None:
        """Wait for something another process does; the worker's log is shown if it never does."""
        ends_at = time.monotonic() + PATIENCE_S
        while not condition():
            if time.monotonic() > ends_at:
                pytest.fail(f"waited in vain until {what}; log:\n{self.log.read_text()[-4000:]}")
            threading.Event().wait(0.05)


def kill_group(process: subprocess.Popen[bytes]) -> None:
    """``kill -9`` for the worker and its pool at once."""
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait()


def database_url_of_the_tests() -> str:
    """The address of the database this test run uses."""
    settings = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{settings['NAME']}"
    user, password = settings["USER"], settings["PASSWORD"]
    host, port = settings["HOST"] or "127.0.0.1", settings["PORT"] or 5432
    who = f"{user}:{password}@" if password else f"{user}@"
    return f"postgres://{who}{host}:{port}/{settings['NAME']}"


@pytest.fixture(params=["files", "redis"])
def rig(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Rig]:
    if request.param == "redis":
        url = os.environ.get("CELERY_BROKER_URL", "")
        if not url.startswith("redis"):
            pytest.skip("CELERY_BROKER_URL names no Redis")
    else:
        url = "filesystem://"
    rig = Rig(url, tmp_path)
    monkeypatch.setattr(jobs, "current_app", rig.app)
    os.mkfifo(tmp_path / "never")
    yield rig
    rig.app.close()


def enqueue(kind: str, key: str, rig: Rig) -> Job:
    with transaction.atomic():
        return jobs.enqueue(kind, key=key, folder=str(rig.var))


def state_of(job: Job) -> str:
    return Job.objects.values_list("state", flat=True).get(pk=job.pk)


def runs_of(key: str) -> list[str]:
    return list(
        TrailEntry.objects.filter(record_kind="test.job", record_id=key).values_list(
            "verb", flat=True
        )
    )


def test_a_run_whose_worker_is_killed_is_finished_once_after_the_restart(rig: Rig) -> None:
    with rig.worker() as first:
        job = enqueue(worker_jobs.BLOCKS_ONCE, "killed", rig)
        rig.until(lambda: (rig.var / "attempt-1").exists(), "the job was begun")
        kill_group(first)
    assert state_of(job) == JobState.CLAIMED
    assert runs_of("killed") == []
    with rig.worker():
        rig.until(lambda: state_of(job) == JobState.DONE, "the job was done")
        # Later messages for it, sent by the sweep or twice by the broker, change nothing.
        after = enqueue(worker_jobs.RECORDS, "after", rig)
        for _ in range(3):
            rig.app.send_task(jobs.RUN_JOB_TASK, args=[job.pk])
            rig.app.send_task(jobs.RUN_JOB_TASK, args=[after.pk])
        last = enqueue(worker_jobs.RECORDS, "last", rig)
        rig.until(lambda: state_of(last) == JobState.DONE, "the last job was done")
    assert runs_of("killed") == ["attempt 2"]
    assert runs_of("after") == ["attempt 1"]
    assert runs_of("last") == ["attempt 1"]


def test_a_job_whose_message_was_lost_is_found_by_the_sweep(
    rig: Rig, monkeypatch: pytest.MonkeyPatch
) -> None:
    with monkeypatch.context() as silent:
        silent.setattr(rig.app, "send_task", lambda *_, **__: None)
        job = enqueue(worker_jobs.RECORDS, "lost", rig)
    assert job.state == JobState.QUEUED
    with rig.worker():
        rig.until(lambda: state_of(job) == JobState.DONE, "the job was done")
    assert runs_of("lost") == ["attempt 1"]


def test_two_workers_share_the_jobs_and_no_job_runs_twice(rig: Rig) -> None:
    with rig.worker(has_beat=False), rig.worker(has_beat=False):
        keys = [f"shared {number}" for number in range(60)]
        for key in keys:
            enqueue(worker_jobs.RECORDS, key, rig)
        rig.until(
            lambda: not Job.objects.exclude(state=JobState.DONE).exists(), "all jobs were done"
        )
    assert sorted(runs_of_all()) == sorted(keys)


def runs_of_all() -> list[str]:
    return list(
        TrailEntry.objects.filter(record_kind="test.job").values_list("record_id", flat=True)
    )


def test_a_message_file_is_seen_whole_or_not_at_all(tmp_path: Path) -> None:
    path = tmp_path / "queue" / "one.msg"
    folder_broker._write_whole(path, {"body": "x" * 100_000})
    assert json.loads(path.read_text())["body"] == "x" * 100_000
    assert list(path.parent.iterdir()) == [path]
