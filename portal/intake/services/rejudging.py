"""What a newly adopted limit means for homes that were tested before it."""

from collections.abc import Iterator
from dataclasses import replace

from django.db.models import OuterRef, Subquery

from calcs.limits import Adopted, Limits
from portal.core import jobs, outbox, trail
from portal.core.actors import SystemActor
from portal.intake import verdicts
from portal.intake.document import Document, Reader, from_record
from portal.intake.models import FieldRecord, ValueProposal
from portal.intake.states import RecordState

REJUDGE = SystemActor("limit adopted")


def records_that_count() -> Iterator[FieldRecord]:
    """The newest complete record of each casefile and stage."""
    newest = (
        FieldRecord.objects.filter(
            casefile=OuterRef("casefile"), stage=OuterRef("stage"), state=RecordState.COMPLETE
        )
        .order_by("-opened_at", "-pk")
        .values("pk")[:1]
    )
    found = FieldRecord.objects.filter(pk=Subquery(newest)).select_related("casefile")
    yield from found.order_by("pk").iterator(chunk_size=200)


def failing(document: Document, limits: Limits) -> frozenset[tuple[str, str, str]]:
    """Readings of a document that fail by some limits: test, field, item."""
    judged = verdicts.judge(Reader(document | {"limits": limits.plain()}))
    return frozenset(
        (item.verdict.test, item.field, item.item) for item in judged if item.endangers
    )


def rejudge(*, proposal_id: int, ticket: jobs.Ticket) -> None:
    """Judge every home's readings by a newly adopted limit, and tell where that changes them.

    Readings are judged live wherever they are shown, so nothing stored is changed: the line in a
    casefile's history and the list beside the value say where somebody has to look again. Held
    scopes from which the last hazard is gone are issued by whoever listens.
    """
    proposal = ValueProposal.objects.get(pk=proposal_id)
    fails, passes, homes = [], [], 0
    for record in records_that_count():
        ticket.check()
        document = from_record(record)
        now = Limits.from_plain(document.get("limits", {}))
        before = _before(now, proposal)
        homes += 1
        failed_now, failed_before = failing(document, now), failing(document, before)
        if failed_now - failed_before:
            fails.append(record)
        elif failed_before - failed_now:
            passes.append(record)
    with ticket.finishing():
        for record, verb in [*((r, "fails") for r in fails), *((r, "passes") for r in passes)]:
            trail.write(
                record, actor=REJUDGE, verb=f"{verb} by adopted limit", target=proposal.key,
                why=proposal.reason, details={"proposal": proposal.pk},
            )  # fmt: skip
            outbox.put(
                "record.rejudged", key=f"record.rejudged:{proposal.pk}:{record.pk}",
                casefile_id=record.casefile_id, record_id=record.pk,
            )  # fmt: skip
        proposal.rejudged = {
            "records": homes,
            "fails": sorted({record.casefile_number for record in fails}),
            "passes": sorted({record.casefile_number for record in passes}),
        }
        proposal.save(update_fields=["rejudged"])


def _before(now: Limits, proposal: ValueProposal) -> Limits:
    """The limits as they were before the proposal was adopted."""
    found = now.adopted.get(proposal.key)
    old = (
        Adopted(proposal.value_before, "", "", "")
        if found is None
        else replace(found, value=proposal.value_before)
    )
    return Limits({**now.adopted, proposal.key: old})
