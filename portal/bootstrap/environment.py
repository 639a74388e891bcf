"""The environment a command runs in: the active one, the machine's own, or ``.venv``."""

import fcntl
import hashlib
import importlib.util
import json
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

from portal.bootstrap.errors import SetupError
from portal.bootstrap.pins import lacking, read_pins, requirement_files

STAMP = "rimjoist-set-up.json"
LOG = "rimjoist-set-up.log"

NO_NETWORK = re.compile(
    r"NewConnectionError|NameResolutionError|Temporary failure in name resolution|"
    r"Network is unreachable|Connection refused|ConnectTimeoutError|ReadTimeoutError|"
    r"ProxyError|Max retries exceeded|Cannot connect to proxy",
)


def prepare(root: Path, argv: list[str], *, needs_tests: bool) -> None:
    """Return inside an environment that holds the pinned requirements.

    In ``.venv`` they are installed when missing. Any other environment is used as it is, and
    never installed into. Where neither holds them, ``.venv`` is made and the command starts
    again inside it.
    """
    home = root / ".venv"
    files = requirement_files(root, needs_tests=needs_tests)
    if _is_same(Path(sys.prefix), home):
        if not _is_stamped(home, files):
            _complete(home, root, files)
            # What was looked for before it was installed would be looked up as missing.
            _go_on_inside(home, argv)
        return
    if not _is_active_environment() and _is_stamped(home, files):
        _go_on_inside(home, argv)
    missing = lacking(read_pins(files))
    if not missing:
        return
    if _is_active_environment():
        raise SetupError(_missing_here(missing, files, root))
    _check_venv_module()
    _complete(home, root, files)
    _go_on_inside(home, argv)


def _is_active_environment() -> bool:
    if sys.prefix != sys.base_prefix:
        return True
    conda = os.environ.get("CONDA_PREFIX")
    return bool(conda) and _is_same(Path(sys.prefix), Path(str(conda)))


def _is_same(one: Path, other: Path) -> bool:
    return one.resolve() == other.resolve()


def _missing_here(missing: list[str], files: list[Path], root: Path) -> str:
    some = ", ".join(missing[:4]) + (f" and {len(missing) - 4} more" if len(missing) > 4 else "")
    file = files[-1].relative_to(root)
    return (
        f"the active environment {sys.prefix} lacks {some}: install them with "
        f"“python -m pip install -r {file}”, or deactivate it and start again to have .venv made."
    )


def _check_venv_module() -> None:
    if all(importlib.util.find_spec(name) for name in ("venv", "ensurepip")):
        return
    version = "{}.{}".format(*sys.version_info[:2])
    raise SetupError(
        f"this Python cannot make environments (its venv or ensurepip module is missing): install "
        f"it (Debian/Ubuntu: apt install python{version}-venv) and start again."
    )


def _go_on_inside(home: Path, argv: list[str]) -> None:
    os.environ.pop("__PYVENV_LAUNCHER__", None)
    os.environ.pop("PYTHONHOME", None)
    python = str(home / "bin" / "python")
    sys.stdout.flush()
    os.execv(python, [python, *argv])


# -- The stamp: what was installed last, so that a second start skips it ---------------------


def _fingerprint(home: Path, files: list[Path]) -> dict[str, str]:
    config = (home / "pyvenv.cfg").read_text(encoding="utf-8")
    version = re.search(r"^version(?:_info)?\s*=\s*(\S+)", config, flags=re.M)
    return {
        "python": version[1] if version else "unknown",
        **{str(file.relative_to(home.parent)): _hash(file) for file in files},
    }


def _hash(file: Path) -> str:
    return hashlib.sha256(file.read_bytes()).hexdigest()


def _is_stamped(home: Path, files: list[Path]) -> bool:
    try:
        stamp = json.loads((home / STAMP).read_text(encoding="utf-8"))
        wanted = _fingerprint(home, files)
    except (OSError, ValueError):
        return False
    # A Python that was removed or replaced leaves a link to nothing.
    is_alive = os.access(home / "bin" / "python", os.X_OK)
    return is_alive and all(stamp.get(name) == value for name, value in wanted.items())


def _stamp(home: Path, files: list[Path]) -> None:
    path = home / STAMP
    try:
        known = json.loads(path.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        known = {}
    wanted = _fingerprint(home, files)
    # What the tests need stays known when only the runtime is asked for, and the other way.
    kept = known if known.get("python") == wanted["python"] else {}
    draft = path.with_suffix(".draft")
    draft.write_text(json.dumps({**kept, **wanted}, indent=1), encoding="utf-8")
    os.replace(draft, path)


# -- Making and filling .venv ---------------------------------------------------------------


def _complete(home: Path, root: Path, files: list[Path]) -> None:
    """Make ``.venv`` where it is missing or broken, and install what it lacks."""
    with _alone(root):
        # Another start may have done it while this one waited.
        if _is_stamped(home, files):
            return
        python = home / "bin" / "python"
        if not _runs(python, "import sys; assert sys.version_info >= (3, 11)"):
            _say(f"Making the environment .venv with Python {sys.version.split()[0]} ...")
            _call([sys.executable, "-m", "venv", "--clear", str(home)], home, "making .venv")
        if not _runs(python, _LACKS_NOTHING, root, files):
            if not _runs(python, "import pip"):
                _call([str(python), "-m", "ensurepip", "--default-pip"], home, "installing pip")
            _install(python, home, root, files)
        _stamp(home, files)


_LACKS_NOTHING = """
import sys
from pathlib import Path
sys.path.insert(0, sys.argv[1])
from portal.bootstrap.pins import lacking, read_pins
sys.exit(bool(lacking(read_pins([Path(file) for file in sys.argv[2:]]))))
"""


def _runs(
    python: Path, code: str, root: Path | None = None, files: list[Path] | None = None
) -> bool:
    arguments = [str(root)] if root else []
    arguments += [str(file) for file in files or []]
    try:
        done = subprocess.run([str(python), "-c", code, *arguments], capture_output=True)
    except OSError:
        return False
    return done.returncode == 0


@contextmanager
def _alone(root: Path) -> Iterator[None]:
    """Two commands started at once: the second waits for the first one's installation."""
    try:
        lock = (root / ".venv.lock").open("w")
    except OSError as error:
        raise SetupError(
            f"cannot write to {root} ({error.strerror}), where .venv is to be made: make it "
            "writable, or install requirements.txt into an environment and start inside that."
        ) from error
    with lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            _say("Waiting for another manage.py that is installing ...")
            fcntl.flock(lock, fcntl.LOCK_EX)
        yield


def _call(command: list[str], home: Path, doing: str) -> None:
    done = subprocess.run(command, stdout=subprocess.PIPE, stderr=subprocess.STDOUT, text=True)
    if done.returncode:
        said = done.stdout.strip().splitlines() or [f"exit code {done.returncode}"]
        raise SetupError(f"{doing} failed ({said[-1]}): remove {home.name} and start again.")


def _install(python: Path, home: Path, root: Path, files: list[Path]) -> None:
    total = len(read_pins(files))
    what = "what the portal and its tests need" if len(files) > 1 else "what the portal needs"
    _say(f"Installing {what}: {total} packages, once. This takes a minute or two ...")
    command = [str(python), "-m", "pip", "install", "--disable-pip-version-check", "--no-input"]
    command += ["--progress-bar", "off", "--retries", "2", "--require-hashes"]
    # The last file includes the ones before it.
    command += ["--requirement", str(files[-1])]
    # A user-wide setting of pip's would install past the environment.
    settings = {
        **os.environ,
        "PIP_USER": "0",
        "PIP_REQUIRE_VIRTUALENV": "0",
        "PYTHONNOUSERSITE": "1",
    }
    for name in ("PIP_TARGET", "PIP_PREFIX", "PYTHONHOME", "PYTHONPATH"):
        settings.pop(name, None)
    said: list[str] = []
    pip = subprocess.Popen(
        command, cwd=root, env=settings, text=True, stdout=subprocess.PIPE, stderr=subprocess.STDOUT
    )
    assert pip.stdout is not None
    try:
        seen = 0
        for line in pip.stdout:
            said.append(line)
            match = re.match(r"(?:Collecting|Requirement already satisfied:) ([\w.-]+)", line)
            if match:
                seen = min(seen + 1, total)
                _show_progress(seen, total, match[1].split("=")[0])
            elif line.startswith("Installing collected packages"):
                _show_progress(total, total, "unpacking")
    finally:
        if pip.poll() is None and sys.exc_info()[0] is not None:
            pip.terminate()
        code = pip.wait()
        (home / LOG).write_text("".join(said), encoding="utf-8")
    if sys.stdout.isatty():
        print()
    if code:
        raise SetupError(_install_failure("".join(said), home))
    _say("Installed.")


def _install_failure(said: str, home: Path) -> str:
    log = f"{home.name}/{LOG}"
    if NO_NETWORK.search(said):
        return (
            "the packages could not be fetched, there seems to be no network: connect (or set "
            f"HTTPS_PROXY) and start again. What pip said is in {log}."
        )
    if "THESE PACKAGES DO NOT MATCH THE HASHES" in said:
        return (
            "a package that was fetched is not the one that was pinned, so nothing was installed: "
            f"fetch from another index or proxy. What pip said is in {log}."
        )
    errors = re.findall(r"^ERROR: (.+)$", said, flags=re.M) or ["no reason given"]
    return f"installing failed ({errors[-1]}). What pip said is in {log}."


def _show_progress(seen: int, total: int, name: str) -> None:
    if sys.stdout.isatty():
        print(f"\r  {seen}/{total} {name:<40.40}", end="", flush=True)
    elif seen % 10 == 0 or seen == total:
        _say(f"  {seen}/{total} {name}")


def _say(line: str) -> None:
    print(line, flush=True)
