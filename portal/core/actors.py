"""Who acts: a signed-in person, or a named part of the system. Never nobody."""

from dataclasses import dataclass
from typing import Protocol, runtime_checkable


@runtime_checkable
class Actor(Protocol):
    """Anyone who can be named in the audit trail and asked for their roles."""

    @property
    def actor_id(self) -> int | None: ...

    @property
    def actor_label(self) -> str: ...

    def has_role(self, role: str) -> bool: ...


@dataclass(frozen=True)
class SystemActor:
    """A job or a command acting under its own name."""

    name: str

    @property
    def actor_id(self) -> int | None:
        return None

    @property
    def actor_label(self) -> str:
        return f"system: {self.name}"

    def has_role(self, role: str) -> bool:
        """Whether this is the role; a system actor has the role ``system`` alone."""
        return role == "system"


@dataclass(frozen=True)
class PublicActor:
    """Somebody without an account, known by the token of what they have begun."""

    label: str = "applicant"

    @property
    def actor_id(self) -> int | None:
        return None

    @property
    def actor_label(self) -> str:
        return self.label

    def has_role(self, role: str) -> bool:
        """Whether this is the role; an applicant has no other than ``applicant``."""
        return role == "applicant"
