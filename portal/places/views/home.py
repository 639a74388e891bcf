"""Your home: where things are, whose turn it is, and what happened so far."""

from typing import Any

from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views import View

from portal.accounts.states import Role
from portal.core import trail
from portal.core.access import RoleRequiredMixin, SignedInRequest
from portal.core.templatetags.words import short_day
from portal.enrollment import selectors as enrollment
from portal.enrollment.models import Casefile
from portal.places import selectors
from portal.places.history import line_words
from portal.places.positions import STAGES
from portal.places.templatetags.position import holder_line
from portal.places.words import STAGE_NAMES

# Next actions of the homeowner -> the page where they are done, and its button.
OWN_ACTIONS = {
    "pick_time": ("scheduling:pick", _("Pick a time")),
    "pick_time_again": ("scheduling:pick", _("Pick a time")),
    "make_plan": ("reports:owner", _("Read your report")),
    "send_request": ("rebates:plan", _("Go on with your plan")),
    "complete_request": ("rebates:plan", _("See what is missing")),
    "clear_deferral": ("rebates:plan", _("See what is missing")),
    "change_plan": ("rebates:plan", _("Look at your plan")),
    "clear_hazard": ("reports:owner", _("Read what has to be fixed")),
}
# The stages an owner is shown, each standing for several of the record.
SHOWN_STAGES = (
    ("booking", ("booking",)),
    ("visit", ("visit", "record")),
    ("report", ("model_run", "report")),
    ("plan", ("plan", "request", "shortfall")),
    ("decision", ("decision",)),
    ("work", ("scope", "work")),
    ("payment", ("claim", "payment", "closed")),
)


class HomeView(RoleRequiredMixin, View):
    """The homeowner's first page; with several homes, the list of them."""

    roles = (Role.HOMEOWNER,)

    def get(self, request: SignedInRequest) -> HttpResponse:
        """Show the one home, or let the owner choose."""
        positions = list(selectors.positions_for(request.user))
        if len(positions) == 1:
            return redirect("places:home_of", number=positions[0].casefile.number)
        homes = [
            {
                "label": str(position.casefile.participation.dwelling),
                "url": reverse("places:home_of", args=[position.casefile.number]),
                "state": str(STAGE_NAMES[position.stage]),
            }
            for position in positions
        ]
        return render(request, "places/homes.html", {"tasks": homes})


class HomeOfView(RoleRequiredMixin, View):
    """One home of the homeowner."""

    roles = (Role.HOMEOWNER,)

    def get(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Show where it stands."""
        casefile = enrollment.casefile_by_number_for(request.user, number)
        position = selectors.position_for(request.user, casefile)
        context: dict[str, Any] = {
            "casefile": casefile,
            "dwelling": casefile.participation.dwelling,
            "steps": journey_steps(position.stage if position else "booking"),
            "history": [line_words(entry) for entry in trail.entries_for_casefile(number)][-12:],
        }
        if position is not None:
            context["holder"] = holder_line(position, request.user.roles, is_own=True)
            own = OWN_ACTIONS.get(position.next_action)
            if own is not None and position.holder_role == Role.HOMEOWNER:
                context["own_url"] = reverse(own[0], args=[number])
                context["own_label"] = own[1]
        context["papers"] = _papers(casefile)
        return render(request, "places/home.html", context)


def journey_steps(stage: str) -> list[dict[str, Any]]:
    """The journey in words, with where the home stands now."""
    place = next(
        (index for index, (_name, covered) in enumerate(SHOWN_STAGES) if stage in covered),
        0,
    )
    return [
        {
            "label": str(STAGE_NAMES[name]),
            "is_now": index == place and stage != "closed",
            "is_ahead": index > place,
            "when": "" if index > place else (_("now") if index == place else _("done")),
        }
        for index, (name, _covered) in enumerate(SHOWN_STAGES)
    ]


def _papers(casefile: Casefile) -> list[dict[str, str]]:
    """Links to what is there already."""
    found = []
    if casefile.appointments.exists():
        found.append(
            {
                "label": _("Your visit"),
                "value": _("date, and what to prepare"),
                "url": reverse("scheduling:booked", args=[casefile.number]),
            }
        )
    report = casefile.reports.filter(kind="owner", state="ready").order_by("-built_at").first()
    if report is not None:
        found.append(
            {
                "label": _("Your report"),
                "value": _("of %(day)s") % {"day": short_day(report.built_at)},
                "url": reverse("reports:owner", args=[casefile.number]),
            }
        )
        found.append(
            {
                "label": _("Your plan"),
                "value": _("what you choose to do"),
                "url": reverse("rebates:plan", args=[casefile.number]),
            }
        )
    return found


class CaseView(RoleRequiredMixin, View):
    """The history of a casefile: every move, who made it and why."""

    roles = (Role.HOMEOWNER, Role.AUDITOR, Role.PROGRAM_ADMIN)

    def get(self, request: SignedInRequest, number: str) -> HttpResponse:
        """Show it."""
        casefile = enrollment.casefile_by_number_for(request.user, number)
        position = selectors.position_for(request.user, casefile)
        context: dict[str, Any] = {
            "casefile": casefile,
            "dwelling": casefile.participation.dwelling,
            "stages": STAGES,
            "history": [line_words(entry) for entry in trail.entries_for_casefile(number)],
        }
        if position is not None:
            context["holder"] = holder_line(
                position,
                request.user.roles,
                is_own=request.user.has_role(Role.HOMEOWNER),
            )
        return render(request, "places/case.html", context)
