"""Set-up from a bare checkout: what is used, what is made, and what is said when it cannot."""

import ast
import ctypes
import importlib.util
import json
import os
import re
import runpy
import shutil
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest

from portal.bootstrap import environment, machine, pins, processes
from portal.bootstrap.errors import SetupError

ROOT = Path(__file__).resolve().parents[1]
# The interpreter below any environment: what somebody has who has nothing of ours.
BARE_PYTHON = getattr(sys, "_base_executable", sys.executable)


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    """The part of a fresh clone that set-up reads, with one requirement nobody has."""
    folder = tmp_path / "clone"
    (folder / "tests").mkdir(parents=True)
    shutil.copy(ROOT / "manage.py", folder)
    shutil.copytree(ROOT / "portal" / "bootstrap", folder / "portal" / "bootstrap")
    (folder / "portal" / "__init__.py").touch()
    (folder / "requirements.txt").write_text(
        f"rimjoist-nobody-has-this==1.0 \\\n    --hash=sha256:{'0' * 64}\n"
    )
    (folder / "tests" / "requirements.txt").write_text("-r ../requirements.txt\n")
    return folder


def make_venv(home: Path) -> Path:
    """An empty environment; its interpreter."""
    subprocess.run([BARE_PYTHON, "-m", "venv", "--without-pip", str(home)], check=True)
    return home / "bin" / "python"


def start(
    folder: Path, *arguments: str, python: str | Path = BARE_PYTHON, **changes: str
) -> subprocess.CompletedProcess[str]:
    settings = {
        name: value
        for name, value in os.environ.items()
        if not name.startswith(("PIP_", "PYTHON", "RIMJOIST_", "DJANGO_", "VIRTUAL_ENV", "CONDA"))
    }
    return subprocess.run(
        [str(python), "manage.py", *arguments],
        cwd=folder,
        env={**settings, **changes},
        capture_output=True,
        text=True,
        stdin=subprocess.DEVNULL,
    )


def one_line_of(done: subprocess.CompletedProcess[str]) -> str:
    """What a refused start said: one line, no traceback."""
    assert done.returncode == 1, done.stdout + done.stderr
    lines = done.stderr.strip().splitlines()
    assert len(lines) == 1, done.stderr
    assert lines[0].startswith("manage.py: ")
    return lines[0]


# -- Which environment -------------------------------------------------------------------


def test_a_stamped_environment_is_entered_at_once(checkout: Path) -> None:
    home = checkout / ".venv"
    make_venv(home)
    environment._stamp(home, pins.requirement_files(checkout, needs_tests=True))
    began = time.monotonic()
    done = start(checkout, "setup")
    overhead_s = time.monotonic() - began
    assert done.returncode == 0, done.stderr
    assert done.stdout == f"Ready in {home}.\n"
    assert overhead_s < 3.0


def test_the_stamp_holds_only_for_the_same_requirements(checkout: Path) -> None:
    home = checkout / ".venv"
    make_venv(home)
    runtime = pins.requirement_files(checkout, needs_tests=False)
    both = pins.requirement_files(checkout, needs_tests=True)
    assert not environment._is_stamped(home, runtime)
    environment._stamp(home, runtime)
    assert environment._is_stamped(home, runtime)
    assert not environment._is_stamped(home, both)
    environment._stamp(home, both)
    environment._stamp(home, runtime)
    assert environment._is_stamped(home, both)
    with (checkout / "requirements.txt").open("a") as file:
        file.write("# changed\n")
    assert not environment._is_stamped(home, runtime)


def test_the_stamp_does_not_hold_when_the_python_is_gone_or_another(checkout: Path) -> None:
    home = checkout / ".venv"
    make_venv(home)
    files = pins.requirement_files(checkout, needs_tests=False)
    environment._stamp(home, files)
    config = home / "pyvenv.cfg"
    kept = config.read_text()
    config.write_text(re.sub(r"(?m)^version = .*", "version = 3.11.0", kept))
    assert not environment._is_stamped(home, files)
    config.write_text(kept)
    (home / "bin" / "python").unlink()
    (home / "bin" / "python").symlink_to("/nowhere/python")
    assert not environment._is_stamped(home, files)


def test_another_active_environment_is_told_what_it_lacks_and_left_alone(
    checkout: Path, tmp_path: Path
) -> None:
    python = make_venv(tmp_path / "theirs")
    before = sorted(path for path in (tmp_path / "theirs").rglob("*"))
    line = one_line_of(start(checkout, "setup", python=python))
    assert "lacks rimjoist-nobody-has-this 1.0" in line
    assert "pip install -r tests/requirements.txt" in line
    assert "deactivate" in line
    assert sorted(path for path in (tmp_path / "theirs").rglob("*")) == before
    assert not (checkout / ".venv").exists()


def test_an_environment_that_has_everything_is_used_as_it_is(
    checkout: Path, tmp_path: Path
) -> None:
    (checkout / "requirements.txt").write_text("# nothing needed\n")
    python = make_venv(tmp_path / "theirs")
    done = start(checkout, "setup", python=python)
    assert done.stdout == f"Ready in {tmp_path / 'theirs'}.\n"
    # As in an image: the requirements are in the machine's own Python.
    done = start(checkout, "setup")
    assert done.returncode == 0, done.stderr
    assert not (checkout / ".venv").exists()


def test_the_tests_own_environment_lacks_nothing() -> None:
    wanted = pins.read_pins(pins.requirement_files(ROOT, needs_tests=True))
    assert len(wanted) > 60
    assert pins.lacking(wanted) == []


# -- What is said when it cannot go on -----------------------------------------------------


@pytest.mark.slow
def test_no_network_is_said_in_one_line_with_the_remedy(checkout: Path, tmp_path: Path) -> None:
    # Port 9 of this machine answers nothing.
    done = start(
        checkout,
        "setup",
        PIP_INDEX_URL="http://127.0.0.1:9/simple",
        PIP_CONFIG_FILE=os.devnull,
        HOME=str(tmp_path),
    )
    line = one_line_of(done)
    assert "no network" in line
    assert "start again" in line
    assert "Installing what the portal and its tests need: 1 packages" in done.stdout
    assert "127.0.0.1" in (checkout / ".venv" / environment.LOG).read_text()
    # Nothing is taken for done.
    assert not environment._is_stamped(
        checkout / ".venv", pins.requirement_files(checkout, needs_tests=True)
    )


def test_an_old_python_is_told_before_it_reads_anything_else(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 10, 13, "final", 0))
    with pytest.raises(SystemExit) as stopped:
        runpy.run_path(str(ROOT / "manage.py"), run_name="__main__")
    said = str(stopped.value.code)
    assert "needs Python 3.11 or newer and this is Python 3.10" in said
    assert "apt install" in said
    assert "\n" not in said


def test_an_old_python_can_read_manage_py() -> None:
    tree = ast.parse((ROOT / "manage.py").read_text(), feature_version=(3, 4))
    newer = (ast.JoinedStr, ast.AnnAssign, ast.NamedExpr, ast.AsyncFunctionDef, ast.Match)
    for node in ast.walk(tree):
        assert not isinstance(node, newer)
        if isinstance(node, ast.FunctionDef):
            # Annotations are an error in Python 2, which some machines call "python".
            assert node.returns is None
            assert all(argument.annotation is None for argument in node.args.args)


def test_a_missing_venv_module_is_said_with_the_package(monkeypatch: pytest.MonkeyPatch) -> None:
    known = importlib.util.find_spec
    monkeypatch.setattr(
        importlib.util, "find_spec", lambda name: None if name == "ensurepip" else known(name)
    )
    version = "{}.{}".format(*sys.version_info[:2])
    with pytest.raises(SetupError, match=rf"apt install python{version}-venv"):
        environment._check_venv_module()


def test_missing_pango_is_said_with_the_packages(monkeypatch: pytest.MonkeyPatch) -> None:
    machine.check_pango()

    def refuse(name: str) -> Any:
        if "pango" in name:
            raise OSError(name)
        return None

    monkeypatch.setattr(ctypes, "CDLL", refuse)
    with pytest.raises(SetupError) as refused:
        machine.check_pango()
    said = str(refused.value)
    assert "Pango, PangoFT2 is not here" in said
    for remedy in ("apt install libpango-1.0-0", "dnf install pango", "brew install pango"):
        assert remedy in said
    assert "\n" not in said


def test_a_folder_that_cannot_be_written_is_said_with_the_remedy(
    checkout: Path, tmp_path: Path
) -> None:
    (tmp_path / "file").touch()
    line = one_line_of(start(checkout, "setup", RIMJOIST_VAR=str(tmp_path / "file" / "var")))
    assert f"cannot write to {tmp_path / 'file' / 'var'}" in line
    assert "RIMJOIST_VAR" in line


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("... Temporary failure in name resolution ...", "no network"),
        ("ERROR: THESE PACKAGES DO NOT MATCH THE HASHES FROM THE REQUIREMENTS FILE", "pinned"),
        ("ERROR: first\nERROR: No matching distribution found for numba==0", "No matching"),
        ("", "no reason given"),
    ],
)
def test_what_pip_said_is_put_in_one_line(said: str, expected: str, tmp_path: Path) -> None:
    line = environment._install_failure(said, tmp_path / ".venv")
    assert expected in line
    assert environment.LOG in line
    assert "\n" not in line


def test_without_a_command_the_commands_are_listed_and_nothing_is_made(checkout: Path) -> None:
    done = start(checkout)
    assert done.returncode == 0
    for command in ("demo", "test", "serve", "verify", "model", "ruling"):
        assert re.search(rf"^  {command} ", done.stdout, flags=re.M)
    assert not (checkout / ".venv").exists()
    assert not (checkout / "var").exists()


# -- The pins ------------------------------------------------------------------------------


def test_every_requirement_is_pinned_with_hashes() -> None:
    for file in ("requirements.txt", "tests/requirements.txt"):
        text = (ROOT / file).read_text()
        blocks = [
            block
            for block in re.findall(r"^\S.*?(?=^\S|\Z)", text, flags=re.M | re.S)
            if not block.startswith(("#", "-r "))
        ]
        assert blocks
        for block in blocks:
            assert pins.PIN.match(block), block
            assert "--hash=sha256:" in block, block
        assert "://" not in text


@pytest.mark.parametrize(
    ("named", "files"),
    [
        ("runtime.in", ["requirements.txt"]),
        ("tests.in", ["requirements.txt", "tests/requirements.txt"]),
    ],
)
def test_what_is_asked_for_is_what_is_pinned(named: str, files: list[str]) -> None:
    pinned = pins.read_pins([ROOT / file for file in files])
    for line in (ROOT / ".ci" / named).read_text().splitlines():
        if line and not line.startswith("#"):
            name = re.split(r"[\[~=<>]", line)[0]
            assert pins.normalized(name) in pinned


@pytest.mark.parametrize(
    ("marker", "holds"),
    [
        ("", True),
        ("python_full_version >= '3.11'", True),
        ("python_full_version < '3.11.0'", False),
        ("python_version >= '3.9'", True),
        ("sys_platform == 'win32'", False),
        ("sys_platform != 'win32' and python_version >= '3.11'", True),
        ("sys_platform == 'win32' or python_version >= '3.11'", True),
        ("platform_python_implementation == 'Jython'", False),
    ],
)
def test_markers_are_read_as_written(marker: str, holds: bool) -> None:
    assert pins.marker_holds(marker) is holds


def test_versions_are_compared_as_numbers_and_reported_when_they_differ(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    assert pins.comparable("5.001") == pins.comparable("5.1") == pins.comparable("5.1.0")
    assert pins.comparable("5.10") != pins.comparable("5.1")
    assert pins.lacking({"pytest": "0.1"}) == [f"pytest 0.1 (has {pytest.__version__})"]


def test_set_up_needs_the_standard_library_alone() -> None:
    for file in (ROOT / "portal" / "bootstrap").glob("*.py"):
        for node in ast.walk(ast.parse(file.read_text())):
            names = []
            if isinstance(node, ast.Import):
                names = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                names = [node.module or ""]
            for name in names:
                # Django is reached only once set-up is over.
                is_ours = name.startswith(("portal.bootstrap", "django.core.management"))
                assert is_ours or name.split(".")[0] in sys.stdlib_module_names, (file, name)


def test_the_stamp_is_readable_by_people(checkout: Path) -> None:
    home = checkout / ".venv"
    make_venv(home)
    environment._stamp(home, pins.requirement_files(checkout, needs_tests=True))
    stamp = json.loads((home / environment.STAMP).read_text())
    assert set(stamp) == {"python", "requirements.txt", "tests/requirements.txt"}


# -- Tests on several cores ----------------------------------------------------------------

SPREAD = ["-n", "2", "--dist", "loadfile", "--no-loadscope-reorder"]


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        ([], SPREAD),
        (["-x", "-m", "not slow"], SPREAD),
        (["tests/calcs"], SPREAD),
        (["tests/test_setup.py", "tests/test_docs.py"], SPREAD),
        (["tests/test_setup.py"], []),
        (["tests/test_setup.py::test_a", "tests/test_setup.py::test_b"], []),
        (["-n", "0"], []),
        (["-n0"], []),
        (["tests", "--numprocesses=3"], []),
        (["tests", "--pdb"], []),
        (["--collect-only"], []),
    ],
)
def test_several_files_are_spread_over_the_cores(arguments: list[str], expected: list[str]) -> None:
    assert processes.spread(arguments, root=ROOT, available=2) == expected
    assert processes.spread(arguments, root=ROOT, available=1) == []


def test_no_more_processes_than_serve() -> None:
    assert processes.spread([], root=ROOT, available=64)[:2] == ["-n", str(processes.MOST)]
    assert 1 <= processes.cores() <= (os.cpu_count() or 1)
