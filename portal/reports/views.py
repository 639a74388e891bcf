"""Your report: the page, its PDF, and how each number was made."""

from django.http import FileResponse, Http404, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.views import View

from portal.accounts.states import Role
from portal.core.access import RoleRequiredMixin, SignedInRequest
from portal.enrollment import selectors as enrollment
from portal.reports import selectors
from portal.reports.models import Report
from portal.reports.rendering import with_drawings
from portal.reports.states import ReportState

READERS = (Role.HOMEOWNER, Role.AUDITOR, Role.PROGRAM_ADMIN)


def _report(request: SignedInRequest, number: str) -> Report | None:
    return selectors.owner_reports_for(request.user).filter(casefile__number=number).first()


class OwnerReportView(RoleRequiredMixin, View):
    """The report as a page."""

    roles = READERS

    def get(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Show the newest frozen report, or where it stands."""
        report = _report(request, number)
        if report is None:
            casefile = enrollment.casefile_by_number_for(request.user, number)
            return render(
                request,
                "reports/waiting.html",
                {"casefile": casefile, "report": selectors.waiting_report(casefile)},
            )
        return render(
            request,
            "reports/owner_page.html",
            {
                "report": with_drawings(report.content),
                "stored": report,
                "casefile": report.casefile,
                "is_owner": request.user.has_role(Role.HOMEOWNER),
            },
        )


class OwnerPdfView(RoleRequiredMixin, View):
    """The same report on paper: the bytes that were frozen."""

    roles = READERS

    def get(self, request: SignedInRequest, number: str) -> HttpResponseBase:
        """Send the file."""
        return _file(_report(request, number))


class ScopePdfView(RoleRequiredMixin, View):
    """A work scope on paper."""

    roles = (Role.CONTRACTOR, Role.PROGRAM_ADMIN)

    def get(self, request: SignedInRequest, number: str) -> HttpResponseBase:
        """Send the file, or say that it is being made."""
        paper = selectors.scope_papers_for(request.user).filter(scope__number=number).first()
        if paper is not None and paper.state != ReportState.READY:
            return render(
                request, "reports/waiting.html", {"casefile": paper.casefile, "report": paper}
            )
        return _file(paper)


def _file(report: Report | None) -> HttpResponseBase:
    if report is None or report.file is None:
        raise Http404
    return FileResponse(
        report.file.content.open("rb"),
        content_type=report.file.media_type,
        filename=report.file.original_name,
    )


class DerivationView(RoleRequiredMixin, View):
    """One number of the report: formula, inputs and where each came from."""

    roles = READERS

    def get(self, request: SignedInRequest, number: str, key: str) -> HttpResponse:
        """Show it."""
        report = _report(request, number)
        if report is None:
            raise Http404
        found = next((item for item in report.content["derivations"] if item["key"] == key), None)
        if found is None:
            raise Http404
        return render(
            request,
            "reports/derivation.html",
            {"derivation": found, "casefile": report.casefile},
        )
