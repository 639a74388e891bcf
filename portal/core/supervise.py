"""Web server and worker as two children of one command, ended together."""

import ctypes
import errno
import os
import signal
import socket
import subprocess
import sys
import threading
import time
import urllib.error
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

from django.conf import settings

START_PATIENCE_S = 120.0
STOP_PATIENCE_S = 8.0
PR_SET_PDEATHSIG = 1
# Celery warns whoever runs it as root, for messages may carry code; ours carry a job's number.
QUIET = "ignore:You're running the worker with superuser privileges"


class PortTaken(Exception):
    """The web server cannot have the port it was told to use."""


class StartFailed(Exception):
    """A child ended, or did not answer, before the portal could be used."""


@dataclass
class Child:
    """One process with a process group of its own, and what is still to be read of its output."""

    name: str
    process: subprocess.Popen[str]
    reader: threading.Thread = field(init=False)

    def __post_init__(self) -> None:
        self.reader = threading.Thread(target=self._show, name=f"{self.name}-log", daemon=True)
        self.reader.start()

    def _show(self) -> None:
        if self.process.stdout is None:
            return
        for line in filter(str.strip, self.process.stdout):
            print(f"{self.name:>6} | {line.rstrip()}", flush=True)


def web_command(host: str, port: int, *, shows_requests: bool = True) -> list[str]:
    """The web server: one process, because the embedded cache is one process's own."""
    command = [sys.executable, "-m", "gunicorn", "portal.wsgi:application"]
    command += ["--bind", f"{host}:{port}", "--workers", "1", "--threads", "8"]
    command += ["--no-control-socket", "--worker-class", "gthread"]
    command += ["--graceful-timeout", "5", "--log-level", "warning"]
    if shows_requests:
        # No address of the visitor, no query: both can tell who somebody is.
        command += ["--access-logfile", "-", "--access-logformat", "%(m)s %(U)s %(s)s"]
    return command


def worker_command(*, var: Path, has_beat: bool = True, processes: int = 2) -> list[str]:
    """The Celery worker, with the clock of the periodic sweep inside."""
    command = [sys.executable, "-m", "celery", "-A", "portal", "--quiet", "worker"]
    command += ["--pool", "prefork", "--concurrency", str(processes), "--loglevel", "WARNING"]
    command += ["--without-gossip", "--without-mingle", "--without-heartbeat"]
    if has_beat:
        command += ["--beat", "--schedule", str(var / "beat-schedule")]
    return command


def check_port(host: str, port: int) -> None:
    """Raise ``PortTaken``, with the remedy, when the port cannot be listened on."""
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    with socket.socket(family, socket.SOCK_STREAM) as probe:
        # As the web server does: a port whose last connections are fading is free.
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((host, port))
        except OSError as error:
            if error.errno == errno.EADDRINUSE:
                raise PortTaken(
                    f"port {port} is taken: stop what listens there, or choose another with "
                    f"--port {port + 1}."
                ) from error
            raise PortTaken(
                f"cannot listen on {host}:{port} ({error.strerror}): choose another with --port."
            ) from error


def serve(
    *,
    host: str = "127.0.0.1",
    port: int = 8000,
    shows_requests: bool = True,
    on_ready: Callable[[str], None] = lambda url: None,
) -> int:
    """Run web server and worker until one ends or a signal comes; the exit code of the command.

    ``on_ready`` is called with the portal's address once both can be used. Ctrl-C, SIGTERM
    and a closed terminal end both, and whatever they started; 0 then, 1 when a child ended by
    itself.

    Raises
    ------
    PortTaken
        Before anything is started.
    """
    check_port(host, port)
    var = Path(settings.VAR_DIR)
    ready_file = var / "run" / f"worker-{os.getpid()}.ready"
    ready_file.parent.mkdir(parents=True, exist_ok=True)
    ready_file.unlink(missing_ok=True)
    url = f"http://{'localhost' if host in ('127.0.0.1', '0.0.0.0', '::1') else host}:{port}"  # noqa: S104  compared, not bound
    children: list[Child] = []
    with _signals() as stop:
        try:
            children.append(_start("web", web_command(host, port, shows_requests=shows_requests)))
            children.append(
                _start(
                    "worker",
                    worker_command(var=var),
                    {"RIMJOIST_WORKER_READY_FILE": str(ready_file)},
                )
            )
            health = f"http://{_reachable(host)}:{port}/health"
            _wait_until_ready(children, stop, lambda: ready_file.exists() and _is_healthy(health))
            if not stop.is_set():
                on_ready(url)
            while not stop.wait(0.2):
                ended = next((c for c in children if c.process.poll() is not None), None)
                if ended is not None:
                    raise StartFailed(f"{ended.name} ended with code {ended.process.returncode}.")
        except StartFailed as error:
            print(error, file=sys.stderr, flush=True)
            return 1
        finally:
            stop_all(children, hurry=stop.is_hurried)
            ready_file.unlink(missing_ok=True)
    return 0


def stop_all(
    children: list[Child], *, patience_s: float = STOP_PATIENCE_S, hurry: Callable[[], bool]
) -> None:
    """Ask each child to end, then kill what is left of its process group.

    A job cut off here is a row that the next worker's sweep takes up again, so there is no
    need to wait for a long one.
    """
    for child in children:
        if child.process.poll() is None:
            # To the child alone: its own children are ended by it in good order.
            child.process.terminate()
    ends_at = time.monotonic() + patience_s
    while any(child.process.poll() is None for child in children):
        if time.monotonic() > ends_at or hurry():
            break
        time.sleep(0.05)
    for child in children:
        with suppress(ProcessLookupError, PermissionError):
            os.killpg(child.process.pid, signal.SIGKILL)
        child.process.wait()
        child.reader.join(timeout=2.0)


class _Stop(threading.Event):
    """Set by the first signal; a second one asks not to wait."""

    def __init__(self) -> None:
        super().__init__()
        self._count = 0

    def on_signal(self, _number: int, _frame: FrameType | None) -> None:
        self._count += 1
        self.set()

    def is_hurried(self) -> bool:
        return self._count > 1


@contextmanager
def _signals() -> Iterator[_Stop]:
    stop = _Stop()
    numbers = (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)
    before = {number: signal.signal(number, stop.on_signal) for number in numbers}
    try:
        yield stop
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def _start(name: str, command: list[str], environment: dict[str, str] | None = None) -> Child:
    process = subprocess.Popen(
        command,
        cwd=settings.ROOT,
        env={**os.environ, "PYTHONUNBUFFERED": "1", "PYTHONWARNINGS": QUIET, **(environment or {})},
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        errors="replace",
        start_new_session=True,
        preexec_fn=_die_with_parent,
    )
    return Child(name, process)


def _die_with_parent() -> None:
    """In the child: end when the supervisor is killed without a chance to say so (Linux)."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(PR_SET_PDEATHSIG, signal.SIGTERM)


def _wait_until_ready(children: list[Child], stop: _Stop, is_ready: Callable[[], bool]) -> None:
    ends_at = time.monotonic() + START_PATIENCE_S
    while not stop.wait(0.1):
        for child in children:
            if child.process.poll() is not None:
                raise StartFailed(f"{child.name} did not start (code {child.process.returncode}).")
        if is_ready():
            return
        if time.monotonic() > ends_at:
            raise StartFailed(f"the portal did not answer within {START_PATIENCE_S:.0f} seconds.")


def _reachable(host: str) -> str:
    return "127.0.0.1" if host == "0.0.0.0" else host  # noqa: S104  compared, not bound


def _is_healthy(url: str) -> bool:
    # A proxy named in the environment is not for this machine's own address.
    opener = urllib.request.build_opener(urllib.request.ProxyHandler({}))
    try:
        with opener.open(url, timeout=2.0) as answer:
            return bool(answer.status == 200)
    except (urllib.error.URLError, OSError):
        return False
