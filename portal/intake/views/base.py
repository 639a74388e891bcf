"""What the pages of a record share."""

from typing import Any, BinaryIO, cast

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.views import View

from portal.accounts.states import Role
from portal.core.access import RoleRequiredMixin
from portal.core.errors import ValuesRefused
from portal.core.templatetags.words import clock_time
from portal.enrollment.models import Casefile
from portal.intake import pages, selectors, services, sheet
from portal.intake.models import FieldRecord
from portal.intake.policies import actor_of
from portal.intake.sheet.kinds import Section
from portal.scheduling import selectors as scheduling

RECORDERS = (Role.AUDITOR, Role.PROGRAM_ADMIN)


class RecordPage(RoleRequiredMixin, View):
    """A page of one record within the reader's scope."""

    roles = RECORDERS

    def record(self, pk: int) -> FieldRecord:
        """The record, or 404."""
        return selectors.record_by_pk_for(self.request.user, pk)

    def page(self, template: str, view: pages.RecordView, **context: Any) -> HttpResponse:
        """Render with what every page of a record shows."""
        shared = {
            "record": view.record,
            "view": view,
            "address": view.address,
            "saved": saved_words(view.record),
            "is_auditor": Role.AUDITOR in view_roles(self.request),
        }
        return render(self.request, template, {**shared, **context})


def view_roles(request: HttpRequest) -> frozenset[str]:
    """The roles of whoever is at the screen."""
    return frozenset() if request.user.is_anonymous else request.user.roles


def saved_words(record: FieldRecord) -> str:
    """When the record was last written."""
    last = record.entries.order_by("-pk").values_list("entered_at", flat=True).first()
    return _("Last saved %s") % clock_time(last) if last else ""


def open_record(request: HttpRequest, number: str) -> FieldRecord:
    """The record of the casefile's live or last visit, opened when there is none."""
    appointment = (
        scheduling.appointments_for(request.user)
        .filter(casefile__number=number)
        .order_by("-starts_at")
        .first()
    )
    if appointment is None:
        raise Http404
    return services.record_open(appointment_id=appointment.pk, actor=actor_of(request.user))


def casefile_of_visit(request: HttpRequest, number: str) -> Casefile:
    appointment = scheduling.appointments_for(request.user).filter(casefile__number=number).first()
    if appointment is None:
        raise Http404
    return appointment.casefile


def faults_of(refusal: ValuesRefused | None) -> dict[str, dict[str, str]]:
    """What a refusal says, as errors and as questions."""
    if refusal is None:
        return {}
    if isinstance(refusal, services.ValuesToConfirm):
        return {"questions": refusal.fields}
    if isinstance(refusal, services.SectionRefused):
        errors = {key: text for key, text in refusal.fields.items() if key not in refusal.questions}
        return {"errors": errors, "questions": refusal.questions}
    return {"errors": refusal.fields or {"": refusal.message}}


def to_saved(request: HttpRequest, url: str) -> HttpResponse:
    if "next" in request.POST and request.POST["next"].startswith("/"):
        url = request.POST["next"] if not request.POST["next"].startswith("//") else url
    messages.success(request, _("Saved."))
    return redirect(url)


def section_or_404(key: str) -> Section:
    found = sheet.section(key)
    if found is None:
        raise Http404
    return found


def sent_file(request: HttpRequest, name: str) -> tuple[BinaryIO | None, str | None]:
    """A file of a form and the name its sender gave it; None where none was chosen."""
    upload = request.FILES.get(name)
    if upload is None:
        return None, None
    # Django's uploaded file reads like any binary file and is typed apart from them.
    return cast(BinaryIO, upload), upload.name
