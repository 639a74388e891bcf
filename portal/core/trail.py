"""The audit trail: who, what, from, to, when, why. Rows are written, never edited."""

from typing import Any

from django.db.models import QuerySet

from portal.core import clock
from portal.core.actors import Actor
from portal.core.models import TrailEntry


def write(
    record: Any,
    *,
    actor: Actor,
    target: str,
    source: str = "",
    verb: str = "",
    why: str = "",
    details: dict[str, Any] | None = None,
) -> TrailEntry:
    """Write one line about a record.

    ``record`` is a saved model instance; its ``casefile_number`` (when it has one) lets the
    whole history of a casefile be read in order.
    """
    return TrailEntry.objects.create(
        at=clock.now(),
        actor_id=actor.actor_id,
        actor_label=actor.actor_label,
        record_kind=record._meta.label_lower,
        record_id=str(record.pk),
        casefile_number=getattr(record, "casefile_number", "") or "",
        verb=verb or "moved",
        source=source,
        target=target,
        why=why,
        details=details or {},
    )


def entries_for_casefile(casefile_number: str) -> QuerySet[TrailEntry]:
    """Every line about a casefile, oldest first."""
    return TrailEntry.objects.filter(casefile_number=casefile_number).order_by("at", "pk")
