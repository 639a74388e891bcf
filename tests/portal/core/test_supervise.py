"""Web and worker live and end together, and nothing is left behind."""

import os
import re
import shutil
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from portal.core import fonts, supervise

ROOT = Path(__file__).resolve().parents[3]
PATIENCE_S = 90.0


class Served:
    """``manage.py serve`` as a process of its own, with its own var/ and port."""

    def __init__(self, var: Path) -> None:
        self.port = free_port()
        self.log = var / "serve.log"
        # Found again in the environment of everything it starts.
        self.mark = f"RIMJOIST_VAR={var}"
        environment = {
            key: value
            for key, value in os.environ.items()
            if key not in ("DATABASE_URL", "CELERY_BROKER_URL")
        }
        environment |= {
            "DJANGO_SETTINGS_MODULE": "tests.portal.core.worker_settings",
            "RIMJOIST_VAR": str(var),
            "PYTHONUNBUFFERED": "1",
        }
        with self.log.open("wb") as log:
            self.process = subprocess.Popen(
                [sys.executable, "manage.py", "serve", "--port", str(self.port)],
                cwd=ROOT,
                env=environment,
                stdin=subprocess.DEVNULL,
                stdout=log,
                stderr=log,
                start_new_session=True,
            )

    def said(self) -> str:
        return self.log.read_text()

    def until(self, condition: Callable[[], bool], what: str) -> None:
        ends_at = time.monotonic() + PATIENCE_S
        while not condition():
            if time.monotonic() > ends_at:
                pytest.fail(f"waited in vain until {what}:\n{self.said()[-4000:]}")
            threading.Event().wait(0.05)

    def until_ready(self) -> None:
        self.until(
            lambda: "Serving at" in self.said() or self.process.poll() is not None, "it serves"
        )
        assert self.process.poll() is None, self.said()[-4000:]

    def family(self) -> dict[int, str]:
        """Process id to command line of all that run with this var/, the command included."""
        found = {}
        for folder in Path("/proc").iterdir():
            if not folder.name.isdigit():
                continue
            try:
                if self.mark.encode() in (folder / "environ").read_bytes().split(b"\0"):
                    words = (folder / "cmdline").read_bytes().split(b"\0")
                    if words != [b""]:
                        found[int(folder.name)] = b" ".join(words).decode()
            except (FileNotFoundError, ProcessLookupError, PermissionError):
                continue
        return found

    def kill(self) -> None:
        for pid in self.family():
            try:
                os.kill(pid, signal.SIGKILL)
            except ProcessLookupError:
                continue
        self.process.wait()


def copy_fonts(var: Path) -> None:
    """Spare a process the half minute of making what this test run has made already."""
    shutil.copytree(fonts.fonts_dir(), var / "fonts")


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


@pytest.fixture
def served(tmp_path: Path) -> Iterator[Served]:
    if not Path("/proc/self/environ").exists():
        pytest.skip("looks for what is left behind in /proc")
    copy_fonts(tmp_path)
    served = Served(tmp_path)
    yield served
    served.kill()


@pytest.mark.slow
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGTERM])
def test_a_signal_ends_web_and_worker_and_leaves_nothing(
    served: Served, number: signal.Signals
) -> None:
    served.until_ready()
    answer = urllib.request.urlopen(f"http://127.0.0.1:{served.port}/health")
    assert answer.status == 200
    assert "default-src 'self'" in answer.headers["Content-Security-Policy"]
    commands = " ".join(served.family().values())
    assert "gunicorn" in commands
    assert "celery" in commands
    os.kill(served.process.pid, number)
    assert served.process.wait(timeout=PATIENCE_S) == 0
    assert served.family() == {}


@pytest.mark.slow
@pytest.mark.parametrize("name", ["gunicorn", "celery"])
def test_when_one_dies_the_other_is_ended_too(served: Served, name: str) -> None:
    served.until_ready()
    # The child itself is the oldest of its kind; the others are its own children.
    victim = min(pid for pid, command in served.family().items() if name in command)
    os.kill(victim, signal.SIGKILL)
    assert served.process.wait(timeout=PATIENCE_S) == 1
    assert re.search(r"(web|worker) ended with code -9", served.said())
    served.until(lambda: served.family() == {}, "nothing is left")


@pytest.mark.slow
def test_children_end_when_the_command_is_killed_outright(served: Served) -> None:
    served.until_ready()
    served.process.kill()
    served.process.wait()
    if sys.platform == "linux":
        served.until(lambda: served.family() == {}, "nothing is left")


def test_a_taken_port_is_told_before_anything_is_started() -> None:
    with socket.socket() as holder:
        holder.bind(("127.0.0.1", 0))
        holder.listen()
        port = holder.getsockname()[1]
        with pytest.raises(supervise.PortTaken) as refused:
            supervise.check_port("127.0.0.1", port)
    assert f"port {port} is taken" in str(refused.value)
    assert f"--port {port + 1}" in str(refused.value)
    supervise.check_port("127.0.0.1", port)


def test_the_access_log_names_no_visitor() -> None:
    command = supervise.web_command("127.0.0.1", 8000)
    line = command[command.index("--access-logformat") + 1]
    # %(h)s address, %(u)s user, %(q)s query, %(r)s whole request line, %(f)s referrer.
    assert not re.search(r"%\((h|u|q|r|f|a|\{)", line)
