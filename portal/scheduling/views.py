"""Pages of the visit: choose a time, see what is booked, move it, give it up."""

from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import redirect, render
from django.utils.decorators import method_decorator
from django.utils.translation import gettext as _
from django.views import View
from django.views.decorators.cache import never_cache

from portal.accounts.signed_in import person
from portal.accounts.states import Role
from portal.core.access import RoleRequiredMixin
from portal.core.errors import DomainError, SlotTaken
from portal.enrollment.models import Casefile
from portal.enrollment.services import program_phone
from portal.enrollment.states import Tenure
from portal.scheduling import selectors, services, visits
from portal.scheduling.forms import CancelForm, MoveForm, PickForm
from portal.scheduling.models import Appointment
from portal.scheduling.states import AppointmentState

DAYS_A_PAGE = 7
# The button that shows other days, and brings along what was typed beside the times.
TURN_TO = "turn_to"


@method_decorator(never_cache, name="dispatch")
class VisitPage(RoleRequiredMixin, View):
    """A page about the visit of one home, for its household and the program office."""

    roles = (Role.HOMEOWNER, Role.PROGRAM_ADMIN)
    casefile: Casefile
    appointment: Appointment | None

    def dispatch(self, request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponseBase:
        """Find the casefile in the person's scope; anybody else's is 404."""
        if request.user.is_authenticated:
            self.casefile = selectors.bookable_casefile_for(request.user, kwargs["number"])
            self.appointment = selectors.live_appointment(self.casefile)
        return super().dispatch(request, *args, **kwargs)

    def page(
        self, template: str, context: dict[str, Any] | None = None, status: int = 200
    ) -> HttpResponse:
        """Render with what every page of the visit shows."""
        household = self.casefile.participation.household
        shared = {
            "casefile": self.casefile,
            "home": self.casefile.participation.dwelling,
            "appointment": self.appointment,
            "program_phone": program_phone(),
            "is_renter": household.tenure == Tenure.RENTER,
        }
        return render(self.request, template, {**shared, **(context or {})}, status=status)

    def refuse(self, refusal: DomainError) -> HttpResponse:
        """Say why not, on the page that tells how the visit stands."""
        messages.error(self.request, refusal.message)
        return redirect("scheduling:booked", number=self.casefile.number)

    def slot_page(self, request: HttpRequest, *, without: Appointment | None) -> dict[str, Any]:
        """The free times of one week, and the ways to the weeks before and after."""
        days = selectors.slot_days(self.casefile, without=without)
        weeks = [days[start : start + DAYS_A_PAGE] for start in range(0, len(days), DAYS_A_PAGE)]
        asked = (
            request.POST.get(TURN_TO) or request.POST.get("page") or request.GET.get("page", "1")
        )
        number = min(max(int(asked) if asked.isdecimal() else 1, 1), max(len(weeks), 1))
        chosen = request.POST.get("starts_at", "")
        return {
            "days": [
                {
                    "day": day.day,
                    "slots": [
                        {
                            "starts_at": slot.starts_at,
                            "ends_at": slot.ends_at,
                            "value": slot.starts_at.isoformat(),
                            "is_chosen": slot.starts_at.isoformat() == chosen,
                        }
                        for slot in day.slots
                    ],
                }
                for day in (weeks[number - 1] if weeks else [])
            ],
            "page_number": number,
            "earlier": number - 1 if number > 1 else None,
            "later": number + 1 if number < len(weeks) else None,
            "hours": visits.visit_length(self.casefile.participation.dwelling.building),
        }


class PickView(VisitPage):
    """Choose the day and the hour of the visit."""

    def get(self, request: HttpRequest, number: str) -> HttpResponse:
        """Show the free times."""
        if self.appointment is not None:
            return redirect("scheduling:booked", number=number)
        return self.show(request, PickForm())

    def post(self, request: HttpRequest, number: str) -> HttpResponse:
        """Book one; when somebody was quicker, the page comes back with fresh times."""
        if TURN_TO in request.POST:
            typed = {"access_note": request.POST.get("access_note", "")}
            return self.show(request, PickForm(initial=typed))
        form = PickForm(request.POST)
        if not form.is_valid():
            return self.show(request, form)
        try:
            services.appointment_book(
                casefile=self.casefile,
                starts_at=form.cleaned_data["starts_at"],
                access_note=form.cleaned_data["access_note"],
                actor=person(request),
            )
        except SlotTaken as refusal:
            form.add_error("starts_at", refusal.message)
            return self.show(request, form)
        except DomainError as refusal:
            return self.refuse(refusal)
        messages.success(request, _("Your visit is booked. We have sent you a letter about it."))
        return redirect("scheduling:booked", number=number)

    def show(self, request: HttpRequest, form: PickForm, status: int = 200) -> HttpResponse:
        """The page of free times."""
        context = {**self.slot_page(request, without=None), "form": form}
        return self.page("scheduling/pick.html", context, status=status)


class MoveView(VisitPage):
    """Choose another time for a visit that is booked."""

    def get(self, request: HttpRequest, number: str) -> HttpResponse:
        """Show the free times, as if the visit were not booked."""
        if self.appointment is None:
            return redirect("scheduling:pick", number=number)
        if not services.can_change_online(self.appointment) and not self.is_office(request):
            return redirect("scheduling:booked", number=number)
        return self.show(request, MoveForm())

    def post(self, request: HttpRequest, number: str) -> HttpResponse:
        """Move it."""
        if self.appointment is None:
            return redirect("scheduling:pick", number=number)
        if TURN_TO in request.POST:
            return self.show(request, MoveForm())
        form = MoveForm(request.POST)
        if not form.is_valid():
            return self.show(request, form)
        try:
            services.appointment_move(
                appointment_id=self.appointment.pk,
                starts_at=form.cleaned_data["starts_at"],
                actor=person(request),
            )
        except SlotTaken as refusal:
            form.add_error("starts_at", refusal.message)
            return self.show(request, form)
        except DomainError as refusal:
            return self.refuse(refusal)
        messages.success(request, _("Your visit is moved. We have sent you a letter about it."))
        return redirect("scheduling:booked", number=number)

    def is_office(self, request: HttpRequest) -> bool:
        """Whether the program office is at the screen, for whom no notice is needed."""
        return request.user.is_authenticated and request.user.has_role(Role.PROGRAM_ADMIN)

    def show(self, request: HttpRequest, form: MoveForm, status: int = 200) -> HttpResponse:
        """The page of free times."""
        context = {**self.slot_page(request, without=self.appointment), "form": form}
        return self.page("scheduling/move.html", context, status=status)


class BookedView(VisitPage):
    """What is booked, how to get ready, and how to change it."""

    http_method_names = ["get", "head"]

    def get(self, request: HttpRequest, number: str) -> HttpResponse:
        """Show the visit; the latest one when none is ahead."""
        shown = self.appointment or selectors.last_appointment(self.casefile)
        if shown is None:
            return redirect("scheduling:pick", number=number)
        can_change = services.can_change_online(shown) or (
            shown.state == AppointmentState.BOOKED
            and request.user.is_authenticated
            and request.user.has_role(Role.PROGRAM_ADMIN)
        )
        return self.page(
            "scheduling/booked.html",
            {
                "appointment": shown,
                "is_ahead": shown.state == AppointmentState.BOOKED,
                "is_under_way": shown.state == AppointmentState.UNDER_WAY,
                "is_visited": shown.state == AppointmentState.VISITED,
                "is_cancelled": shown.state == AppointmentState.CANCELLED,
                "can_change": can_change,
            },
        )


class CancelView(VisitPage):
    """Give the visit up."""

    def get(self, request: HttpRequest, number: str) -> HttpResponse:
        """Ask whether it is meant."""
        if self.appointment is None or self.appointment.state != AppointmentState.BOOKED:
            return redirect("scheduling:booked", number=number)
        return self.page("scheduling/cancel.html", {"form": CancelForm()})

    def post(self, request: HttpRequest, number: str) -> HttpResponse:
        """Cancel it."""
        if self.appointment is None:
            return redirect("scheduling:booked", number=number)
        form = CancelForm(request.POST)
        if not form.is_valid():
            return self.page("scheduling/cancel.html", {"form": form})
        try:
            services.appointment_cancel(
                appointment_id=self.appointment.pk,
                actor=person(request),
                why=form.cleaned_data["why"],
            )
        except DomainError as refusal:
            return self.refuse(refusal)
        messages.success(request, _("The visit is canceled. You can choose another time."))
        return redirect("scheduling:pick", number=number)
