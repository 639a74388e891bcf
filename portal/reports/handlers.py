"""News reports acts on."""

from portal.core import outbox
from portal.modeling.models import ModelRun
from portal.reports import services
from portal.works.models import WorkScope


@outbox.on("model_run.finished")
def report_of_run(run_id: int, **_rest: object) -> None:
    """Have the owner's report made."""
    services.owner_report_queue(run=ModelRun.objects.select_related("casefile").get(pk=run_id))


@outbox.on("scope.issued")
def paper_of_scope(scope_id: int, **_rest: object) -> None:
    """Have the paper of the scope made."""
    services.scope_paper_queue(
        work_scope=WorkScope.objects.select_related("casefile").get(pk=scope_id)
    )


@outbox.on("report.ready")
def announce(report_id: int, **_rest: object) -> None:
    """Write to the household."""
    services.report_announce(report_id=report_id)
