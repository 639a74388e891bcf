"""The container description: parsed, and each command run as a process in a short form."""

import os
import re
import shlex
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.portal.core.test_supervise import copy_fonts, free_port

ROOT = Path(__file__).resolve().parents[1]
PATIENCE_S = 120.0


@pytest.fixture(scope="module")
def compose() -> dict[str, Any]:
    loaded: dict[str, Any] = yaml.safe_load((ROOT / "docker-compose.yml").read_text())
    return loaded


def words(service: dict[str, Any]) -> list[str]:
    command = service["command"]
    return shlex.split(command) if isinstance(command, str) else list(command)


OURS = ("setup", "web", "worker", "beat")


def test_all_parts_are_there(compose: dict[str, Any]) -> None:
    assert set(compose["services"]) == {*OURS, "postgres", "redis"}
    for service in compose["services"].values():
        for volume in service.get("volumes", ()):
            assert volume.partition(":")[0] in compose["volumes"]
        for other in service.get("depends_on", ()):
            assert other in compose["services"]


def test_the_image_is_described_inline_and_built_from_what_is_here(
    compose: dict[str, Any],
) -> None:
    built = [service["build"] for service in compose["services"].values() if "build" in service]
    assert len(built) == 1
    text = built[0]["dockerfile_inline"]
    assert re.match(r"FROM python:3\.1[1-4]-slim", text)
    assert "--require-hashes -r requirements.txt" in text
    for source in re.findall(r"^COPY (\S+) ", text, flags=re.M):
        assert (ROOT / source).exists()
    for command in re.findall(r"manage\.py (\w+)", text):
        assert command in {"fonts", "collectstatic"}
    # Nothing in the container runs as root.
    assert text.rstrip().splitlines()[-1].split()[0] == "USER"


def test_the_image_installs_what_pdfs_need(compose: dict[str, Any]) -> None:
    from portal.bootstrap.machine import PANGO_REMEDY

    debian = re.search(r"apt install ([^;]+);", PANGO_REMEDY)
    assert debian is not None
    text = compose["services"]["setup"]["build"]["dockerfile_inline"]
    for package in debian[1].split():
        assert package in text


def test_secrets_come_from_outside(compose: dict[str, Any]) -> None:
    example = (ROOT / ".env.example").read_text()
    assert re.search(r"^SECRET_KEY=$", example, flags=re.M)
    for name in OURS:
        service = compose["services"][name]
        assert service["env_file"] == ".env"
        assert service["environment"]["DJANGO_SETTINGS_MODULE"] == "portal.settings.production"
        assert not {"SECRET_KEY", "DATABASE_URL"} & set(service["environment"])
    assert compose["services"]["postgres"]["environment"]["POSTGRES_PASSWORD"].startswith("${")


@pytest.mark.parametrize("name", ["web", "worker", "beat"])
def test_each_command_names_a_module_that_is_there(compose: dict[str, Any], name: str) -> None:
    command = words(compose["services"][name])
    assert command[:2] == ["python", "-m"]
    assert find_spec(command[2]) is not None


@pytest.fixture
def production(tmp_path: Path) -> dict[str, str]:
    """The environment of a production process on this machine's database and broker."""
    return {
        **{k: v for k, v in os.environ.items() if not k.startswith(("EMAIL_", "DJANGO_"))},
        "DJANGO_SETTINGS_MODULE": "portal.settings.production",
        "SECRET_KEY": os.urandom(40).hex(),
        "ALLOWED_HOSTS": "portal.example",
        "SITE_URL": "https://portal.example",
        "DATABASE_URL": os.environ.get("DATABASE_URL") or f"sqlite:///{tmp_path / 'db.sqlite3'}",
        "CELERY_BROKER_URL": os.environ.get("CELERY_BROKER_URL") or "filesystem://",
        "EMAIL_HOST": "localhost",
        "DEFAULT_FROM_EMAIL": "program@portal.example",
        "RIMJOIST_VAR": str(tmp_path),
        "STATIC_ROOT": str(tmp_path / "static"),
        "PYTHONUNBUFFERED": "1",
    }


class Running:
    """A service's command as a process on this machine."""

    def __init__(self, command: list[str], environment: dict[str, str], log: Path) -> None:
        self.log = log
        with log.open("wb") as out:
            self.process = subprocess.Popen(
                [sys.executable if word == "python" else word for word in command],
                cwd=ROOT,
                env=environment,
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=out,
                start_new_session=True,
            )

    def until_it_says(self, pattern: str) -> None:
        self.until(lambda: bool(re.search(pattern, self.log.read_text())), f"it said {pattern!r}")

    def until(self, condition: Callable[[], bool], what: str) -> None:
        ends_at = time.monotonic() + PATIENCE_S
        while not condition():
            if self.process.poll() is not None or time.monotonic() > ends_at:
                pytest.fail(f"waited in vain until {what}:\n{self.log.read_text()[-4000:]}")
            threading.Event().wait(0.05)

    def end(self) -> None:
        self.process.terminate()
        with suppress(subprocess.TimeoutExpired):
            self.process.wait(timeout=10)
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait()


@pytest.fixture
def started(tmp_path: Path) -> Iterator[list[Running]]:
    running: list[Running] = []
    yield running
    for one in running:
        one.end()


def run(command: list[str], environment: dict[str, str]) -> None:
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True, text=True)
    assert done.returncode == 0, done.stderr[-4000:]


def passes(command: list[str], environment: dict[str, str]) -> bool:
    done = subprocess.run(command, cwd=ROOT, env=environment, capture_output=True)
    return done.returncode == 0


@pytest.mark.slow
def test_the_web_command_serves_in_production(
    compose: dict[str, Any],
    production: dict[str, str],
    tmp_path: Path,
    started: list[Running],
) -> None:
    copy_fonts(tmp_path)
    run([sys.executable, "manage.py", "collectstatic", "--noinput"], production)
    port = free_port()
    command = words(compose["services"]["web"])
    command[command.index("--bind") + 1] = f"127.0.0.1:{port}"
    web = Running(command, production, tmp_path / "web.log")
    started.append(web)
    web.until_it_says(r"Booting worker")
    # The very check the container description gives, on this port.
    test = compose["services"]["web"]["healthcheck"]["test"]
    assert test[:3] == ["CMD", "python", "-c"]
    code = test[3].replace("127.0.0.1:8000", f"127.0.0.1:{port}")
    # Asked again and again while it starts, as the container's keeper does.
    web.until(lambda: passes([sys.executable, "-c", code], production), "it is healthy")
    web.until_it_says(r"GET /health 200")


@pytest.mark.slow
def test_the_worker_and_beat_commands_start_in_production(
    compose: dict[str, Any],
    production: dict[str, str],
    tmp_path: Path,
    started: list[Running],
) -> None:
    worker = Running(words(compose["services"]["worker"]), production, tmp_path / "worker.log")
    started.append(worker)
    command = words(compose["services"]["beat"])
    command[command.index("--schedule") + 1] = str(tmp_path / "beat-schedule")
    beat = Running(command, production, tmp_path / "beat.log")
    started.append(beat)
    worker.until_it_says(r"celery@\S+ ready\.")
    beat.until_it_says(r"celery beat \S+ .*is starting")
    beat.until(lambda: any(tmp_path.glob("beat-schedule*")), "it kept its schedule")


def test_a_missing_secret_stops_the_start(production: dict[str, str]) -> None:
    for name in ("SECRET_KEY", "DATABASE_URL", "ALLOWED_HOSTS"):
        done = subprocess.run(
            [sys.executable, "-c", "import portal.settings.production"],
            cwd=ROOT,
            env={**production, name: ""},
            capture_output=True,
            text=True,
        )
        assert done.returncode != 0
        assert f"Set the environment variable {name}" in done.stderr
