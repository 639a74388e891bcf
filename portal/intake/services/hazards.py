"""Clearing hazards with evidence."""

from typing import BinaryIO

from django.db import transaction
from django.utils.translation import gettext as _

from portal.core import clock, outbox, trail
from portal.core.actors import Actor
from portal.core.errors import ValuesRefused
from portal.core.files import store_document
from portal.enrollment.models import Casefile
from portal.intake import policies, selectors
from portal.intake.models import HazardClearance


@transaction.atomic
def hazard_clear(
    *,
    casefile_id: int,
    hazard: str,
    evidence: str,
    actor: Actor,
    upload: BinaryIO | None = None,
    name: str | None = None,
) -> HazardClearance:
    """Record that a hazard has been dealt with, and what shows it.

    Raises
    ------
    ValuesRefused
        No evidence in words, or no such open hazard.
    NotAllowed
        Anybody but the program office.
    """
    policies.require_clearing(actor)
    casefile = Casefile.objects.select_for_update().get(pk=casefile_id)
    words = evidence.strip()
    if not words:
        message = _("Say what shows that it is cleared: who did what, when, and the test after.")
        raise ValuesRefused(message, fields={"evidence": message})
    if len(words) > 2000:
        message = _("Evidence: at most 2,000 characters.")
        raise ValuesRefused(message, fields={"evidence": message})
    if hazard not in {found.key for found in selectors.open_hazards_of(casefile)}:
        message = _("This hazard is not open.")
        raise ValuesRefused(message, code="hazard_not_open", fields={"hazard": message})
    file = None
    if upload is not None:
        file = store_document(
            upload, name=name, actor=actor, casefile_number=casefile.number, field="file"
        )
    clearance = HazardClearance.objects.create(
        casefile=casefile,
        hazard=hazard,
        evidence=words,
        file=file,
        cleared_by=actor.actor_label,
        cleared_at=clock.now(),
    )
    trail.write(clearance, actor=actor, verb="cleared", target=hazard, why=words)
    outbox.put("hazard.cleared", key=f"hazard.cleared:{clearance.pk}", casefile_id=casefile.pk)
    return clearance
