"""The audit trail in plain words."""

from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.core.models import TrailEntry
from portal.core.templatetags.words import moment

KINDS: dict[str, str | Promise] = {
    "enrollment.auditrequest": _lazy("Audit request"),
    "enrollment.casefile": _lazy("Casefile"),
    "scheduling.appointment": _lazy("Visit"),
    "intake.fieldrecord": _lazy("Field record"),
    "intake.hazardclearance": _lazy("Hazard"),
    "modeling.modelrun": _lazy("Model run"),
    "reports.report": _lazy("Report"),
    "rebates.plan": _lazy("Plan"),
    "rebates.subsidyrequest": _lazy("Subsidy request"),
    "works.workscope": _lazy("Work scope"),
    "works.scopeline": _lazy("Scope line"),
    "works.claim": _lazy("Claim"),
}


VERBS: dict[str, str | Promise] = {
    "begun": _lazy("begun"),
    "chose": _lazy("choices changed"),
    "attached quote": _lazy("quote attached"),
    "prepared": _lazy("prepared"),
    "built": _lazy("put in writing"),
    "sent": _lazy("sent"),
    "opened": _lazy("opened"),
    "booked": _lazy("booked"),
    "fails by adopted limit": _lazy("a reading fails by a limit the program adopted"),
    "passes by adopted limit": _lazy("a reading passes by a limit the program adopted"),
}


def who_words(label: str) -> str:
    """Who acted, for people: the portal's own jobs are the portal."""
    return _("the portal") if label.startswith("system: ") else label


def line_words(entry: TrailEntry) -> dict[str, Any]:
    """One line of the trail for a page: when, what, from, to, who, why."""
    kind = str(KINDS.get(entry.record_kind, entry.record_kind.rpartition(".")[2]))
    target = entry.target.replace("_", " ")
    source = entry.source.replace("_", " ")
    if source:
        what = _("%(kind)s: %(source)s → %(target)s") % {
            "kind": kind,
            "source": source,
            "target": target,
        }
    else:
        what = f"{kind}: {VERBS.get(entry.verb, entry.verb)}"
        if entry.verb in ("attached quote", "granted role"):
            what = f"{what}, {target}"
    return {
        "when": moment(entry.at),
        "what": what.strip(),
        "who": who_words(entry.actor_label),
        "why": entry.why,
    }
