"""Over how many processes the tests are spread; standard library only."""

import os
from pathlib import Path

# Each process has a database, and some tests start workers beside it.
MOST = 4
# Whoever asks for one of these has decided, looks on at a prompt, or runs nothing.
DECIDED = {
    *("-n", "--numprocesses", "--dist", "--tx", "-d", "--pdb", "--trace", "-s", "--capture=no"),
    *("--co", "--collect-only", "--setup-plan", "--setup-only", "--setup-show"),
    *("-h", "--help", "-V", "--version", "--fixtures", "--markers"),
}


def cores() -> int:
    """How many cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return len(os.sched_getaffinity(0))
    return os.cpu_count() or 1


def spread(arguments: list[str], *, root: Path, available: int) -> list[str]:
    """What pytest is told about processes, for the arguments that somebody gave.

    Nothing for a machine with one core, for one file, and where the arguments say it already
    (``-n 0`` is how to have one process). Files stay whole, because their tests share what was
    made once for them.

    Parameters
    ----------
    arguments : list of str
        What stands after ``manage.py test``.
    root : Path
        The folder that paths among them start from.
    available : int
        Cores.
    """
    if available < 2 or any(_is_decided(argument) for argument in arguments):
        return []
    if not _has_several_files(arguments, root):
        return []
    return ["-n", str(min(available, MOST)), "--dist", "loadfile", "--no-loadscope-reorder"]


def _is_decided(argument: str) -> bool:
    name = argument.split("=")[0]
    has_number = argument.startswith("-n") and argument[2:].isdigit()
    return argument in DECIDED or name in DECIDED or has_number


def _has_several_files(arguments: list[str], root: Path) -> bool:
    named = {
        root / argument.split("::")[0]
        for argument in arguments
        if not argument.startswith("-") and (root / argument.split("::")[0]).exists()
    }
    if not named:
        return True
    files: set[Path] = set()
    for path in named:
        files |= set(path.rglob("test_*.py")) if path.is_dir() else {path}
    return len(files) > 1
