"""Making reports: built from records, frozen as JSON, printed by a job."""

import hashlib
from functools import cache
from pathlib import Path

from django.conf import settings
from django.db import transaction
from django.template.loader import render_to_string
from django.utils import translation

from portal.core import clock, files, jobs, letters, outbox
from portal.core.actors import SystemActor
from portal.core.states import move
from portal.enrollment import selectors as enrollment
from portal.modeling.models import ModelRun
from portal.modeling.states import RunPurpose
from portal.reports import owner, scope
from portal.reports.models import Report
from portal.reports.rendering import with_drawings
from portal.reports.states import REPORT_MOVES, ReportKind, ReportState
from portal.works.models import WorkScope

PRINT_JOB = "reports.print"
PRINTER = SystemActor("report")
TEMPLATES = {ReportKind.OWNER: "reports/owner.html", ReportKind.SCOPE: "reports/scope.html"}


@transaction.atomic
def owner_report_queue(*, run: ModelRun, language: str = "en") -> Report | None:
    """Have the owner's report of a finished run made; a plan's run has none."""
    if run.purpose != RunPurpose.AUDIT:
        return None
    report, is_new = Report.objects.get_or_create(
        run=run,
        kind=ReportKind.OWNER,
        language=language,
        defaults={"casefile": run.casefile, "queued_at": clock.now()},
    )
    if is_new:
        jobs.enqueue(PRINT_JOB, key=f"{PRINT_JOB}:{report.pk}", report_id=report.pk)
    return report


@transaction.atomic
def scope_paper_queue(*, work_scope: WorkScope, language: str = "en") -> Report:
    """Have the paper of an issued scope made."""
    report, is_new = Report.objects.get_or_create(
        scope=work_scope,
        kind=ReportKind.SCOPE,
        language=language,
        defaults={"casefile": work_scope.casefile, "queued_at": clock.now()},
    )
    if is_new:
        jobs.enqueue(PRINT_JOB, key=f"{PRINT_JOB}:{report.pk}", report_id=report.pk)
    return report


def report_print(*, report_id: int, ticket: jobs.Ticket) -> None:
    """Build one queued report and print it, outside any transaction; then freeze both."""
    report = Report.objects.select_related("casefile", "run__record", "scope").get(pk=report_id)
    with translation.override(report.language):
        if report.kind == ReportKind.OWNER:
            assert report.run is not None
            content = owner.build(report.run).plain()
        else:
            assert report.scope is not None
            content = scope.build(report.scope)
        html = render_to_string(
            TEMPLATES[ReportKind(report.kind)],
            {
                "report": with_drawings(content),
                "run": content["foot"],
                "language": report.language,
            },
        )
        # Imported where a sheet is printed: it takes seconds, and the web server prints none.
        from portal.reports import printing

        pdf = printing.pdf_of(html)
    ticket.check()
    name = f"{report.kind}-{report.casefile.number}.pdf"
    with ticket.finishing():
        report = Report.objects.select_for_update(of=("self",)).get(pk=report_id)
        if report.state == ReportState.READY:
            return
        report.content = content
        report.template_version = template_version()
        report.file = files.store_bytes(
            pdf,
            name=name,
            media_type="application/pdf",
            actor=PRINTER,
            casefile_number=report.casefile.number,
        )
        report.built_at = clock.now()
        report.save(update_fields=["content", "template_version", "file", "built_at"])
        move(report, ReportState.READY, moves=REPORT_MOVES, actor=PRINTER)
        outbox.put("report.ready", key=f"report.ready:{report.pk}", report_id=report.pk)


def report_announce(*, report_id: int) -> None:
    """Write to the household that its report is there, once."""
    report = Report.objects.select_related("casefile").get(pk=report_id)
    if report.kind != ReportKind.OWNER:
        return
    contact = enrollment.contact_for(report.casefile)
    if not contact.email:
        return
    letters.send(
        template="report_ready",
        to=contact.email,
        context={"name": contact.name, "number": report.casefile.number},
        key=f"report_ready:{report.pk}",
        language=contact.language,
    )


@transaction.atomic
def report_fail(*, report_id: int, error: str) -> None:
    """Mark a report that could not be made; called in the transaction that ends its job."""
    report = Report.objects.select_for_update(of=("self",)).get(pk=report_id)
    if report.state == ReportState.QUEUED:
        move(report, ReportState.FAILED, moves=REPORT_MOVES, actor=PRINTER, why=error)


@cache
def template_version() -> str:
    """A fingerprint of the templates and the style sheet that print reports."""
    root = Path(settings.ROOT)
    wanted = sorted(
        [
            *(root / "templates" / "reports").glob("*.html"),
            *(root / "templates" / "components").glob("*.html"),
            root / "templates" / "print_base.html",
            root / "portal" / "static" / "css" / "rimjoist.css",
        ]
    )
    digest = hashlib.sha256()
    for path in wanted:
        digest.update(path.name.encode())
        digest.update(path.read_bytes())
    return digest.hexdigest()
