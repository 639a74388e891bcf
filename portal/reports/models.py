"""Frozen reports: what was shown, from which model run, by which template."""

from django.db import models
from django.db.models import Q

from portal.core.models import StoredFile
from portal.enrollment.models import Casefile
from portal.modeling.models import ModelRun
from portal.reports.states import ReportKind, ReportState
from portal.works.models import WorkScope


class Report(models.Model):
    """One edition of a report. ``content`` is the built document both web and PDF show."""

    kind = models.CharField(max_length=10, choices=ReportKind.choices)
    casefile = models.ForeignKey(Casefile, on_delete=models.PROTECT, related_name="reports")
    run = models.ForeignKey(
        ModelRun, on_delete=models.PROTECT, null=True, blank=True, related_name="reports"
    )
    scope = models.ForeignKey(
        WorkScope, on_delete=models.PROTECT, null=True, blank=True, related_name="reports"
    )
    state = models.CharField(max_length=10, choices=ReportState.choices, default=ReportState.QUEUED)
    language = models.CharField(max_length=8, default="en")
    content = models.JSONField(default=dict, blank=True)
    template_version = models.CharField(max_length=64, blank=True)
    file = models.ForeignKey(
        StoredFile, on_delete=models.PROTECT, null=True, blank=True, related_name="+"
    )
    queued_at = models.DateTimeField()
    built_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ["queued_at", "pk"]
        constraints = [
            models.CheckConstraint(
                condition=~Q(state=ReportState.READY) | Q(file__isnull=False),
                name="ready_report_has_its_file",
            ),
            models.UniqueConstraint(
                fields=["run", "language"],
                condition=Q(kind=ReportKind.OWNER),
                name="one_owner_report_a_run",
            ),
            models.UniqueConstraint(
                fields=["scope", "language"],
                condition=Q(kind=ReportKind.SCOPE),
                name="one_paper_a_scope",
            ),
        ]

    def __str__(self) -> str:
        return f"{self.kind} report of {self.casefile}"

    @property
    def casefile_number(self) -> str:
        """The casefile it belongs to."""
        return self.casefile.number
