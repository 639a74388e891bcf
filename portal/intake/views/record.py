"""The field sheet: its sections, opening it, looking it over, reopening it."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views import View

from portal.core.access import RoleRequiredMixin
from portal.core.errors import DomainError
from portal.intake import checks, pages, selectors, services
from portal.intake.models import FieldRecord
from portal.intake.policies import actor_of
from portal.intake.states import RecordState
from portal.intake.views.base import (
    RECORDERS,
    RecordPage,
    open_record,
)
from portal.intake.words import label_words


class OpenView(RoleRequiredMixin, View):
    """Begin the field sheet of a visit."""

    roles = RECORDERS

    def post(self, request: HttpRequest, number: str) -> HttpResponse:
        """Open the record of the casefile's visit and show it."""
        try:
            record = open_record(request, number)
        except DomainError as error:
            messages.error(request, error.message)
            return redirect("places:today")
        return redirect("intake:record", pk=record.pk)


class RecordView(RecordPage):
    """The sections of a record with what is left in each."""

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show the field sheet."""
        record = self.record(pk)
        view = pages.read(record)
        sections = {entry.section for entry in view.missing}
        return self.page(
            "intake/record.html",
            view,
            tasks=pages.tasks(view),
            jump=pages.jump(view),
            left=len(view.missing),
            left_sections=len(sections),
            photos_left=len(view.missing_photos),
            corrections=[
                _correction(entry)
                for entry in (() if view.is_open else selectors.corrections_of(record))
            ],
            uploads=list(selectors.uploads_of(record)),
            upload_url=reverse("intake:upload", args=[record.casefile.number]),
        )


def _correction(entry: Any) -> dict[str, str]:
    where = f"{entry.item.name}: " if entry.item else ""
    key = entry.field.rpartition(".")[2]
    owner = entry.item.group if entry.item else entry.field.partition(".")[0]
    return {
        "label": f"{where}{label_words(owner, key)}",
        "value": f"{entry.typed} {entry.unit}".strip() or entry.absence_reason,
        "why": entry.why_changed,
        "who": entry.entered_by,
    }


class CompleteView(RecordPage):
    """What is looked at before a record is complete, and completing it."""

    def get(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Show what stands in the way and what looks odd."""
        return self._show(self.record(pk))

    def post(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Complete it, with the reasons given."""
        record = self.record(pk)
        reasons = {
            key.removeprefix("why:"): text
            for key in request.POST
            if key.startswith("why:") and (text := str(request.POST[key])).strip()
        }
        try:
            services.record_complete(
                record_id=record.pk, actor=actor_of(request.user), confirmed=reasons
            )
        except services.RecordIncomplete as refusal:
            return self._show(record, refusal=refusal, reasons=reasons)
        except DomainError as error:
            messages.error(request, error.message)
            return redirect("intake:complete", pk=record.pk)
        messages.success(request, _("The record is complete. The house is being worked out."))
        return redirect("intake:record", pk=record.pk)

    def _show(
        self,
        record: FieldRecord,
        *,
        refusal: services.RecordIncomplete | None = None,
        reasons: dict[str, str] | None = None,
    ) -> HttpResponse:
        if record.state == RecordState.COMPLETE:
            return redirect("intake:record", pk=record.pk)
        view = pages.read(record)
        found = services.completion_findings(record)
        reasons = reasons or {}
        items = frozenset(part.key for part in view.reader.all_items())
        odd = [entry for entry in found if not entry.is_hard]
        return self.page(
            "intake/complete.html",
            view,
            hard=[_finding(record, entry, items) for entry in found if entry.is_hard],
            soft=[
                {
                    **_finding(record, entry, items),
                    "name": f"why:{entry.key}",
                    "reason": reasons.get(entry.key, ""),
                    "is_wrong": bool(refusal) and not reasons.get(entry.key),
                    "id": f"why-{number}",
                }
                for number, entry in enumerate(odd, start=1)
            ],
            refusal=refusal,
            formset_errors=[
                {"id": f"why-{number}", "text": entry.words}
                for number, entry in enumerate(odd, start=1)
                if not reasons.get(entry.key)
            ]
            if refusal is not None and refusal.code == "confirm_needed"
            else [],
        )


def _finding(record: FieldRecord, finding: checks.Finding, items: frozenset[str]) -> dict[str, str]:
    if finding.item in items:
        url = reverse("intake:item", args=[record.pk, finding.section, finding.item])
    else:
        url = reverse("intake:section", args=[record.pk, finding.section])
    return {"words": finding.words, "url": f"{url}#{finding.anchor}" if finding.anchor else url}


class ReopenView(RecordPage):
    """Reopen a completed record."""

    def post(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Reopen it, with the reason."""
        record = self.record(pk)
        try:
            services.record_reopen(
                record_id=record.pk, actor=actor_of(request.user), why=request.POST.get("why", "")
            )
        except DomainError as error:
            messages.error(request, error.message)
        else:
            messages.success(request, _("The record is open again."))
        return redirect("intake:record", pk=record.pk)


class RestUnknownView(RecordPage):
    """Mark what is left as not known."""

    def post(self, request: HttpRequest, pk: int) -> HttpResponse:
        """Do it, with the reason."""
        record = self.record(pk)
        try:
            count = services.rest_mark_unknown(
                record_id=record.pk,
                reason=request.POST.get("reason", ""),
                actor=actor_of(request.user),
            )
        except DomainError as error:
            messages.error(request, error.message)
        else:
            messages.success(
                request,
                ngettext("%(count)d value is marked as not known.",
                         "%(count)d values are marked as not known.", count) % {"count": count},
            )  # fmt: skip
        return redirect("intake:record", pk=record.pk)
