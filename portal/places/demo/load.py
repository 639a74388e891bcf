"""Loading the demo: the program, then every step of every home in the order of time."""

import json
import os
import shutil
import time
from collections.abc import Callable, Sequence
from pathlib import Path

from django.conf import settings
from django.core.management import call_command
from django.db import connection, connections
from django.utils import timezone

from portal.core import clock, jobs
from portal.core.errors import DomainError
from portal.places.demo import content, program
from portal.places.demo.content import Home
from portal.places.demo.journey import Walk, carry_out

Tell = Callable[[str], None]
STAMP = "demo-loaded.json"


class LoadFailed(Exception):
    """A step was refused; the message names the home, the step and the reason."""


def stamp_path() -> Path:
    """Where the last load left its mark."""
    return Path(settings.VAR_DIR) / STAMP


def is_loaded(homes: Sequence[Home]) -> bool:
    """Whether the data of this version, with these homes, is there."""
    try:
        stamp = json.loads(stamp_path().read_text())
    except (OSError, ValueError):
        return False
    return bool(stamp == _stamp(homes)) and _has_homes()


def has_program() -> bool:
    """Whether the program itself is there, with homes or without."""
    from portal.rebates.models import Fund

    return Fund.objects.exists()


def _stamp(homes: Sequence[Home]) -> dict[str, object]:
    return {"version": content.version(), "homes": [home.key for home in homes]}


def _has_homes() -> bool:
    """The stamp may outlive its database."""
    from portal.enrollment.models import Casefile

    return Casefile.objects.exists()


def clear() -> None:
    """Empty the database and what earlier runs wrote beside it; files of the set-up stay."""
    stamp_path().unlink(missing_ok=True)
    if not has_program():
        return
    if connection.vendor == "sqlite" and not _is_in_memory():
        path = Path(str(connection.settings_dict["NAME"]))
        connections.close_all()
        for suffix in ("", "-wal", "-shm"):
            path.with_name(path.name + suffix).unlink(missing_ok=True)
        call_command("migrate", verbosity=0, interactive=False)
    else:
        call_command("flush", verbosity=0, interactive=False)
    for folder in (settings.MEDIA_ROOT, settings.EMAIL_FOLDER):
        shutil.rmtree(folder, ignore_errors=True)
    _forget_messages()


def _is_in_memory() -> bool:
    name = str(connection.settings_dict["NAME"])
    return ":memory:" in name or "mode=memory" in name


def _forget_messages() -> None:
    """Messages for jobs that the load has carried out itself."""
    shutil.rmtree(Path(settings.VAR_DIR) / "broker", ignore_errors=True)


def load(homes: Sequence[Home], tell: Tell) -> list[Walk]:
    """Set the program up and bring the homes to where they stand.

    Raises
    ------
    LoadFailed
    """
    begun = time.monotonic()
    with clock.at(content.instant(content.program()["began"])):
        program.set_up()
        jobs.drain()
    tell(
        "Program: 3 counties, 3 auditors, 2 administrators, 5 firms, funds, rules, prices, weather"
    )
    walks = {home.key: Walk(home) for home in homes}
    steps = sorted((step for home in homes for step in home.steps()), key=lambda step: step.at)
    for number, step in enumerate(steps, start=1):
        with clock.at(step.at):
            try:
                said = carry_out(walks[step.home.key], step)
            except (DomainError, RuntimeError) as error:
                raise LoadFailed(
                    f"{step.home.key}, {step.verb} at {step.at:%Y-%m-%d %H:%M}: {_words(error)}"
                ) from error
        day = step.at.strftime("%b ") + str(step.at.day)
        tell(f"{number:>3}/{len(steps)}  {day:<6}  {step.home.where}: {said}")
    _forget_messages()
    keep_clock()
    stamp_path().write_text(json.dumps(_stamp(homes)))
    tell(f"Loaded {len(homes)} homes in {time.monotonic() - begun:.0f} s")
    return list(walks.values())


def _words(error: Exception) -> str:
    if isinstance(error, DomainError):
        return " ".join([error.message, *error.fields.values()])
    return str(error)


def keep_clock() -> None:
    """Keep how far the demo's present is from the machine's, for every process started later."""
    offset = content.present() - timezone.now()
    path = Path(settings.VAR_DIR) / "demo-clock.json"
    path.parent.mkdir(parents=True, exist_ok=True)
    draft = path.with_name(f".{path.name}.{os.getpid()}")
    draft.write_text(json.dumps({"offset_s": offset.total_seconds()}))
    draft.replace(path)
    settings.CLOCK_OFFSET = offset
