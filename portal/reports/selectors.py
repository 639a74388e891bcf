"""Finding reports, within what a person may see."""

from django.db.models import QuerySet

from portal.accounts.models import User
from portal.enrollment import selectors as enrollment
from portal.enrollment.models import Casefile
from portal.reports.models import Report
from portal.reports.states import ReportKind, ReportState
from portal.works import selectors as works


def owner_reports_for(user: User) -> QuerySet[Report]:
    """The owner reports of the casefiles a person may see, the newest first."""
    return (
        Report.objects.filter(
            kind=ReportKind.OWNER,
            state=ReportState.READY,
            casefile__in=enrollment.casefiles_for(user),
        )
        .select_related("casefile", "run", "file")
        .order_by("-built_at", "-pk")
    )


def scope_papers_for(user: User) -> QuerySet[Report]:
    """The papers of the scopes a person may see."""
    return (
        Report.objects.filter(kind=ReportKind.SCOPE, scope__in=works.scopes_for(user))
        .select_related("casefile", "scope", "file")
        .order_by("-queued_at", "-pk")
    )


def waiting_report(casefile: Casefile) -> Report | None:
    """A report of the casefile that is still being made, or could not be."""
    return casefile.reports.exclude(state=ReportState.READY).order_by("-pk").first()
