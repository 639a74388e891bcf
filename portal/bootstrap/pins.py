"""The pinned requirements, and whether an environment holds them."""

import importlib.metadata
import operator
import os
import platform
import re
import sys
from collections.abc import Callable
from pathlib import Path

PIN = re.compile(r"^(?P<name>[A-Za-z0-9._-]+)==(?P<version>[^\s;\\]+)\s*(?:;(?P<marker>[^\\]*))?")
CONDITION = re.compile(r"^\s*(?P<left>\w+)\s*(?P<sign>[<>=!]=?)\s*['\"](?P<right>[^'\"]*)['\"]\s*$")
SIGNS: dict[str, Callable[[object, object], bool]] = {
    "==": operator.eq,
    "!=": operator.ne,
    "<": operator.lt,  # type: ignore[dict-item]  # both sides are of one comparable type
    "<=": operator.le,  # type: ignore[dict-item]  # same
    ">": operator.gt,  # type: ignore[dict-item]  # same
    ">=": operator.ge,  # type: ignore[dict-item]  # same
}


def requirement_files(root: Path, *, needs_tests: bool) -> list[Path]:
    """The requirement files a command needs."""
    files = [root / "requirements.txt"]
    if needs_tests:
        files.append(root / "tests" / "requirements.txt")
    return files


def read_pins(files: list[Path]) -> dict[str, str]:
    """Package name (normalized) to exact version, of the lines that apply on this machine."""
    pins = {}
    for file in files:
        for line in file.read_text(encoding="utf-8").splitlines():
            match = PIN.match(line)
            if match and marker_holds(match["marker"] or ""):
                pins[normalized(match["name"])] = match["version"]
    return pins


def normalized(name: str) -> str:
    """A package name in the one spelling used for comparison."""
    return re.sub(r"[-_.]+", "-", name).lower()


def marker_holds(marker: str) -> bool:
    """Whether an environment marker (conditions joined by ``and`` and ``or``) holds here."""
    if not marker.strip():
        return True
    return any(
        all(_condition_holds(condition) for condition in re.split(r"\band\b", part))
        for part in re.split(r"\bor\b", marker)
    )


def _condition_holds(condition: str) -> bool:
    match = CONDITION.match(condition.strip().strip("()"))
    if match is None:
        raise ValueError(f"cannot read the marker {condition!r}")
    here = {
        "python_full_version": platform.python_version(),
        "python_version": "{}.{}".format(*sys.version_info[:2]),
        "platform_python_implementation": platform.python_implementation(),
        "implementation_name": sys.implementation.name,
        "sys_platform": sys.platform,
        "platform_system": platform.system(),
        "platform_machine": platform.machine(),
        "os_name": os.name,
    }[match["left"]]
    left, right = here, match["right"]
    if match["left"] in ("python_full_version", "python_version"):
        return SIGNS[match["sign"]](_numbers(left), _numbers(right))
    return SIGNS[match["sign"]](left, right)


def _numbers(version: str) -> tuple[int, ...]:
    return tuple(int(part) for part in re.findall(r"\d+", version)[:3])


def lacking(pins: dict[str, str]) -> list[str]:
    """What this interpreter lacks, as ``name version``, each other version it has in brackets."""
    found: dict[str, str] = {}
    for distribution in importlib.metadata.distributions():
        name = distribution.metadata["Name"]
        if name:
            # The first on the path is the one an import would find.
            found.setdefault(normalized(name), distribution.version)
    return [
        f"{name} {version}" + (f" (has {found[name]})" if name in found else "")
        for name, version in sorted(pins.items())
        if comparable(found.get(name, "")) != comparable(version)
    ]


def comparable(version: str) -> str:
    """A version in one spelling: a package may call itself 5.001 and be pinned as 5.1."""
    parts = [part.lstrip("0") or "0" if part.isdigit() else part for part in version.split(".")]
    while len(parts) > 1 and parts[-1] == "0":
        parts.pop()
    return ".".join(parts)
