"""The steps of a run in words."""

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

from portal.modeling.models import ModelRun
from portal.modeling.states import RunState

STEPS: dict[str, str | Promise] = {
    "bills": _("The house held against its bills"),
    "baseline": _("The house as it is, hour by hour"),
    "measures": _("Each improvement by itself"),
    "package": _("The improvements together, in the order of work"),
    "equipment": _("Equipment: now, or when it fails"),
    "ranges": _("How sure the savings are"),
    "priorities": _("What to do first"),
}


def step_words(run: ModelRun) -> str:
    """What is being done now, for the person who waits."""
    if run.state == RunState.QUEUED:
        return str(_("Waiting for a worker"))
    if run.state == RunState.DONE:
        return str(_("Done"))
    if run.state == RunState.FAILED:
        return str(_("Could not be worked out"))
    return str(STEPS.get(run.step, _("Reading the record and the weather")))
