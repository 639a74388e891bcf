"""Today: the auditor's visits of a day, in order, each with its field sheet."""

from collections.abc import Mapping
from datetime import date, timedelta
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views import View

from portal.accounts.states import Role
from portal.core import clock
from portal.core.access import RoleRequiredMixin
from portal.core.templatetags.words import time_range, weekday
from portal.enrollment import selectors as enrollment
from portal.intake import selectors as intake
from portal.intake.states import RecordState
from portal.scheduling import selectors as scheduling
from portal.scheduling.models import Appointment
from portal.scheduling.states import AppointmentState


class TodayView(RoleRequiredMixin, View):
    """The visits of one day; today unless the address names another."""

    roles = (Role.AUDITOR,)

    def get(self, request: HttpRequest) -> HttpResponse:
        """Show the day."""
        today = clock.today()
        day = _asked_day(request, today)
        appointments = list(
            scheduling.appointments_for(request.user, day).exclude(state=AppointmentState.CANCELLED)
        )
        records = intake.records_by_appointment(request.user, appointments)
        upcoming = (
            scheduling.appointments_for(request.user)
            .filter(starts_at__gt=clock.now(), state=AppointmentState.BOOKED)
            .exclude(pk__in=[appointment.pk for appointment in appointments])
        )[:5]
        unfinished = intake.unfinished_records(request.user).exclude(
            pk__in=[record.pk for record in records.values()]
        )[:10]
        return render(
            request,
            "places/today.html",
            {
                "day": day,
                "is_today": day == today,
                "earlier": day - timedelta(days=1),
                "later": day + timedelta(days=1),
                "visits": _visits(appointments, records),
                "upcoming": [_line(appointment) for appointment in upcoming],
                "unfinished": [
                    {
                        "label": str(record.casefile.participation.dwelling),
                        "url": reverse("intake:record", args=[record.pk]),
                        "state": _("not finished"),
                    }
                    for record in unfinished
                ],
            },
        )


def _asked_day(request: HttpRequest, today: date) -> date:
    asked = request.GET.get("day")
    if not asked:
        return today
    try:
        return date.fromisoformat(asked)
    except ValueError as error:
        raise Http404 from error


def _visits(appointments: list[Appointment], records: Mapping[int, Any]) -> list[dict[str, Any]]:
    casefiles = [appointment.casefile for appointment in appointments]
    contacts = enrollment.contacts_of(casefiles)
    bothers = enrollment.bothers_by_casefile(casefiles)
    return [
        _visit(
            appointment,
            records.get(appointment.pk),
            contact=contacts[appointment.casefile_id],
            bothers=bothers[appointment.casefile_id],
        )
        for appointment in appointments
    ]


def _visit(
    appointment: Appointment, record: Any, *, contact: enrollment.Contact, bothers: list[str]
) -> dict[str, Any]:
    casefile = appointment.casefile
    building = casefile.participation.dwelling.building
    pairs = [
        {"label": _("Casefile"), "value": casefile.number},
        {
            "label": _("Built"),
            "value": building.year_built or _("not known"),
        },
    ]
    if bothers:
        pairs.append({"label": _("They said"), "value": ", ".join(bothers)})
    if appointment.access_note:
        pairs.append({"label": _("Getting in"), "value": appointment.access_note})
    if contact.phone:
        pairs.append({"label": _("Phone"), "value": contact.phone, "url": f"tel:{contact.phone}"})
    if record is None:
        url, label = "", _("Begin the field sheet")
    else:
        url = reverse("intake:record", args=[record.pk])
        label = (
            _("Open the field sheet")
            if record.state == RecordState.OPEN
            else _("See the field sheet")
        )
    return {
        "time": time_range(appointment.starts_at, appointment.ends_at),
        "address": str(casefile.participation.dwelling),
        "line": casefile.participation.household.name,
        "pairs": pairs,
        "url": url,
        "url_label": label,
        "open_url": reverse("intake:open", args=[casefile.number]) if record is None else "",
        "is_done": appointment.state == AppointmentState.VISITED,
        "is_now": appointment.state == AppointmentState.UNDER_WAY,
        "group": appointment.get_state_display(),
    }


def _line(appointment: Appointment) -> dict[str, str]:
    return {
        "label": str(appointment.casefile.participation.dwelling),
        "state": f"{weekday(appointment.starts_at)}, "
        f"{time_range(appointment.starts_at, appointment.ends_at)}",
        "url": reverse("places:today")
        + f"?day={clock.program_date(appointment.starts_at).isoformat()}",
    }
