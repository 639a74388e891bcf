"""One record, one state, one table of moves."""

from collections.abc import Mapping
from typing import Any, Protocol

from django.db import models

from portal.core import trail
from portal.core.actors import Actor
from portal.core.errors import MoveRefused


class Stateful(Protocol):
    """A model instance with one ``state`` and the casefile it belongs to."""

    pk: Any
    state: str

    @property
    def casefile_number(self) -> str: ...


class Moves:
    """The table of moves of one kind of record: state to the states it may go to."""

    def __init__(self, table: Mapping[str, tuple[str, ...]]) -> None:
        self.table = {str(source): tuple(map(str, targets)) for source, targets in table.items()}
        unknown = {
            target for targets in self.table.values() for target in targets
        } - self.table.keys()
        if unknown:
            raise ValueError(f"states without a row of moves: {sorted(unknown)}")

    def allows(self, source: str, target: str) -> bool:
        """Whether a record in ``source`` may go to ``target``."""
        return str(target) in self.table.get(str(source), ())

    def ends(self) -> tuple[str, ...]:
        """The states with no way out."""
        return tuple(state for state, targets in self.table.items() if not targets)


def move(
    record: "models.Model | Stateful",
    target: str,
    *,
    moves: Moves,
    actor: Actor,
    why: str = "",
    also_save: tuple[str, ...] = (),
) -> None:
    """Take a locked record to a state, save it and write the audit trail.

    ``also_save`` names further fields changed with the state.

    Raises
    ------
    MoveRefused
        The table has no such move.
    """
    source = record.state  # type: ignore[union-attr]  # every caller passes a Stateful model
    if not moves.allows(source, target):
        label = record._meta.verbose_name  # type: ignore[union-attr]  # same
        raise MoveRefused(f"This {label} is “{source}” and cannot become “{target}”.")
    record.state = str(target)  # type: ignore[union-attr]  # same
    record.save(update_fields=["state", *also_save])  # type: ignore[union-attr]  # same
    trail.write(record, actor=actor, source=source, target=str(target), why=why)
