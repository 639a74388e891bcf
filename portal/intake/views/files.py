"""Files from which a record is filled, and the empty one to fill in."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import ngettext
from django.views import View

from portal.core.access import RoleRequiredMixin
from portal.core.errors import MoveRefused
from portal.intake import selectors, services, sheet
from portal.intake.policies import actor_of
from portal.intake.sheet import schema
from portal.intake.uploads import UploadRefused
from portal.intake.views.base import (
    RECORDERS,
    casefile_of_visit,
    open_record,
    sent_file,
)


class UploadView(RoleRequiredMixin, View):
    """Fill a record from a file: what was found, what was skipped and why."""

    roles = RECORDERS

    def get(self, request: HttpRequest, number: str) -> HttpResponse:
        """Show what can be uploaded, and the last upload."""
        return self._show(request, number)

    def post(self, request: HttpRequest, number: str) -> HttpResponse:
        """Read the file; nothing of a refused one is stored."""
        upload, sender_name = sent_file(request, "file")
        try:
            record = open_record(request, number)
            services.record_upload(
                record_id=record.pk,
                upload=upload,
                name=sender_name,
                actor=actor_of(request.user),
            )
        except UploadRefused as refusal:
            return self._show(request, number, refusal=refusal)
        except MoveRefused as error:
            messages.error(request, error.message)
            return redirect("intake:upload", number=number)
        messages.success(request, _("The file was read."))
        return redirect("intake:upload", number=number)

    def _show(
        self, request: HttpRequest, number: str, refusal: UploadRefused | None = None
    ) -> HttpResponse:
        casefile = casefile_of_visit(request, number)
        record = (
            selectors.records_for(request.user)
            .filter(casefile=casefile)
            .order_by("-opened_at", "-pk")
            .first()
        )
        last = selectors.uploads_of(record).last() if record is not None else None
        return render(
            request,
            "intake/upload.html",
            {
                "casefile": casefile,
                "record": record,
                "refusal": refusal,
                "faults": refusal.faults if refusal else (),
                "upload": None if refusal else last,
                "found": None if refusal or last is None else _found(last.report),
            },
        )


def _found(report: dict[str, Any]) -> list[dict[str, Any]]:
    """What a file gave, section by section, in the order of the sheet."""
    rows = []
    for section in sheet.SECTIONS:
        count = report.get("by_section", {}).get(section.key)
        if count:
            things = [
                f"{report['items'][group.key]} × {group.one}"
                for group in section.groups
                if report.get("items", {}).get(group.key)
            ]
            rows.append(
                {
                    "label": section.label,
                    "value": ngettext("%(count)d value", "%(count)d values", count)
                    % {"count": count}
                    + (f" ({', '.join(things)})" if things else ""),
                }
            )
    return rows


class TemplateView(RoleRequiredMixin, View):
    """The empty field record to fill in elsewhere."""

    roles = RECORDERS

    def get(self, request: HttpRequest) -> HttpResponse:
        """Send the file."""
        response = JsonResponse(schema.template(), json_dumps_params={"indent": 2})
        response["Content-Disposition"] = 'attachment; filename="field-record.json"'
        return response
