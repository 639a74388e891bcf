"""Publishing a version of a rule set. A published version is never edited."""

import json
from datetime import date
from pathlib import Path
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

from portal.core import clock, rules
from portal.core.actors import Actor
from portal.core.errors import DomainError
from portal.rebates import policies
from portal.rebates.models import RuleSet
from portal.rebates.rulings import body_sha256


@transaction.atomic
def rule_set_publish(*, body: dict[str, Any], actor: Actor) -> RuleSet:
    """Publish a whole rule set; the same version with the same body is left as it is.

    Raises
    ------
    DomainError
        The version exists already with another body.
    portal.core.rules.RuleSetFault
        The body is faulty.
    """
    policies.require_desk(actor)
    checked = rules.load_rule_set(body)
    sha256 = body_sha256(body)
    known = RuleSet.objects.filter(code=checked.id, version=checked.version).first()
    if known is not None:
        if known.sha256 != sha256:
            raise DomainError(
                _("%(rule_set)s is published already and cannot change.") % {"rule_set": known},
                code="published",
            )
        return known
    period = body["effective"]
    return RuleSet.objects.create(
        code=checked.id,
        version=checked.version,
        title=checked.title,
        from_on=date.fromisoformat(period["from"]),
        to_on=date.fromisoformat(period["to"]),
        body=body,
        sha256=sha256,
        published_at=clock.now(),
        published_by=actor.actor_label,
    )


def rule_set_body(path: Path) -> dict[str, Any]:
    """A rule set's file with the shared data it names, as one body that needs no other file."""
    document = json.loads(path.read_text(encoding="utf-8"))
    shared = None
    if "shares" in document:
        shared = json.loads((path.parent / document["shares"]).read_text(encoding="utf-8"))
    whole: dict[str, Any] = rules.merged(document, shared)
    return whole
