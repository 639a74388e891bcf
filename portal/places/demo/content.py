"""What the demo holds, read from ``fixtures/demo``: the program, its people, its homes."""

import json
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache
from hashlib import sha256
from typing import Any

from django.conf import settings

from portal.core import clock

# Raised when the way of loading changes; with the files it decides whether a load is current.
LOADER = 1


@dataclass(frozen=True)
class Step:
    """One thing that happens to a home at an instant."""

    at: datetime
    home: "Home"
    verb: str
    args: dict[str, Any]


@dataclass(frozen=True)
class Home:
    """A home of the demo as the file has it."""

    key: str
    stage: str
    data: dict[str, Any]

    @property
    def name(self) -> str:
        """The person's name."""
        return str(self.data["person"]["name"])

    @property
    def email(self) -> str:
        """The address the person signs in with."""
        return str(self.data["person"]["email"])

    @property
    def where(self) -> str:
        """The street line with its unit."""
        address = self.data["address"]
        return f"{address['street']}{', unit ' + address['unit'] if address['unit'] else ''}"

    def steps(self) -> list[Step]:
        """What happens to it, in order."""
        return [
            Step(instant(entry[0]), self, entry[1], entry[2] if len(entry) > 2 else {})
            for entry in self.data["steps"]
        ]


def instant(text: str) -> datetime:
    """``2026-10-14 09:30`` in the program's time zone."""
    day, _, wall = text.partition(" ")
    hour, _, minute = wall.partition(":")
    return clock.local(date.fromisoformat(day), int(hour), int(minute))


@lru_cache(maxsize=1)
def program() -> dict[str, Any]:
    """Places, staff, firms, funds and the demo's present."""
    found: dict[str, Any] = read("program")
    return found


@lru_cache(maxsize=1)
def homes() -> tuple[Home, ...]:
    """Every home, in the order of the file; the first one leads the demo."""
    return tuple(Home(data["key"], data["stage"], data) for data in read("homes")["homes"])


def present() -> datetime:
    """The instant at which the demo begins to run."""
    return instant(program()["present"])


def version() -> str:
    """A short digest of everything a load is made from."""
    digest = sha256(str(LOADER).encode())
    fixtures = settings.ROOT / "fixtures"
    for folder in ("demo", "records", "prices", "rules", "hpxml"):
        for path in sorted((fixtures / folder).iterdir()):
            digest.update(path.name.encode() + path.read_bytes())
    return digest.hexdigest()[:16]


def read(name: str) -> dict[str, Any]:
    path = settings.ROOT / "fixtures" / "demo" / f"{name}.json"
    found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
    return found
