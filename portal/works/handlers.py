"""News works acts on."""

from portal.core import outbox
from portal.core.actors import SystemActor
from portal.enrollment.models import Casefile
from portal.works.services import scopes


@outbox.on("subsidy.reserved")
def build_scope(request_id: int, firm_id: int, decided_by: str, **_rest: object) -> None:
    """Award the work of a reserved request and build its scope."""
    scopes.award_make(request_id=request_id, firm_id=firm_id, awarded_by=decided_by)


@outbox.on("hazard.cleared")
@outbox.on("record.rejudged")
def recheck_scopes(casefile_id: int, **_rest: object) -> None:
    """Issue what a hazard held that has been cleared, or that a new limit no longer finds."""
    scopes.scopes_recheck(
        casefile=Casefile.objects.get(pk=casefile_id), actor=SystemActor("hazard cleared")
    )
