"""Pages of the office: weather for the territory."""

from typing import Any

from django.contrib import messages
from django.http import HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views import View

from portal.core.access import RoleRequiredMixin, SignedInRequest
from portal.core.errors import DomainError
from portal.core.templatetags.words import moment, short_day
from portal.core.units import convert
from portal.intake import selectors as intake
from portal.modeling import daily_weather, selectors, weather, weather_files
from portal.modeling.models import WeatherFile, WeatherStation
from portal.modeling.office_forms import WeatherFileForm
from portal.modeling.office_views import OFFICE
from portal.modeling.states import WeatherFileState
from portal.modeling.weather_words import check_pairs, climate_facts, finding_words


class OfficeView(RoleRequiredMixin, View):
    """What the office sets up: weather and values."""

    roles = OFFICE

    def get(self, request: SignedInRequest) -> HttpResponse:
        """Show it."""
        return render(
            request,
            "modeling/office.html",
            {
                "waiting": intake.proposals_waiting().count(),
                "adopted": len(intake.values_in_effect().adopted),
                "stations": selectors.stations().filter(is_in_use=True),
                "daily": daily_weather.series_list(),
                "unused": selectors.weather_files().filter(state=WeatherFileState.USABLE).count(),
            },
        )


class WeatherView(RoleRequiredMixin, View):
    """Stations in use, files that were sent, and a form for another."""

    roles = OFFICE

    def get(self, request: SignedInRequest) -> HttpResponse:
        """Show them."""
        return self._page(request, WeatherFileForm())

    def post(self, request: SignedInRequest) -> HttpResponse:
        """Take a file in."""
        form = WeatherFileForm(request.POST, request.FILES)
        if not form.is_valid():
            return self._page(request, form)
        sent = form.cleaned_data["file"]
        try:
            found = weather_files.file_receive(
                upload=sent,
                name=sent.name,
                code=form.cleaned_data["code"],
                source=form.cleaned_data["source"],
                actor=request.user,
            )
        except DomainError as error:
            form.refuse(error)
            return self._page(request, form)
        return redirect("office:weather_file", pk=found.pk)

    def _page(self, request: SignedInRequest, form: WeatherFileForm) -> HttpResponse:
        return render(
            request,
            "modeling/weather.html",
            {
                "form": form,
                "stations": [_station_row(station) for station in selectors.stations()],
                "files": [_file_row(row) for row in selectors.weather_files()[:50]],
            },
        )


def _station_row(station: WeatherStation) -> dict[str, Any]:
    return {
        "pk": station.pk,
        "name": station.name,
        "code": station.code,
        "source": station.source,
        "sha": station.sha256[:12],
        "loaded": short_day(station.loaded_at),
        "heating": f"{convert(station.heating_degree_days_k, 'K', 'ΔF'):,.0f}",
        "cooling": f"{convert(station.cooling_degree_days_k, 'K', 'ΔF'):,.0f}",
        "is_in_use": station.is_in_use,
    }


def _file_row(row: WeatherFile) -> dict[str, Any]:
    return {
        "url": reverse("office:weather_file", args=[row.pk]),
        "name": row.file.original_name,
        "code": row.code,
        "state": row.get_state_display(),
        "sent": f"{row.sent_by}, {short_day(row.sent_at)}",
    }


class WeatherFileView(RoleRequiredMixin, View):
    """One file: what the check found, and using it for the territory."""

    roles = OFFICE

    def get(self, request: SignedInRequest, pk: int) -> HttpResponse:
        """Show it; a script that asks for JSON gets the state alone."""
        row = get_object_or_404(selectors.weather_files(), pk=pk)
        if request.headers.get("Accept", "").startswith("application/json"):
            return JsonResponse(progress_of(row))
        findings = [
            {"stops": item["stops"], "text": finding_words(item)}
            for item in row.report.get("findings", ())
        ]
        return render(
            request,
            "modeling/weather_file.html",
            {
                "row": row,
                "sent": f"{row.sent_by}, {moment(row.sent_at)}",
                "is_checking": row.state == WeatherFileState.CHECKING,
                "is_usable": row.state == WeatherFileState.USABLE,
                "progress": progress_of(row),
                "stops": [item for item in findings if item["stops"]],
                "notes": [item for item in findings if not item["stops"]],
                "pairs": check_pairs(row.report),
                "climate": climate_facts(row.report),
            },
        )

    def post(self, request: SignedInRequest, pk: int) -> HttpResponse:
        """Use it for the territory."""
        row = get_object_or_404(selectors.weather_files(), pk=pk)
        try:
            weather_files.file_use(file_id=row.pk, actor=request.user)
        except DomainError as error:
            messages.error(request, error.message)
            return redirect("office:weather_file", pk=row.pk)
        messages.success(request, _("Used for the territory. New model runs near it take it."))
        return redirect("office:weather")


class StationRetireView(RoleRequiredMixin, View):
    """Take a station out of use."""

    roles = OFFICE

    def post(self, request: SignedInRequest, pk: int) -> HttpResponse:
        """Take it out."""
        station = get_object_or_404(selectors.stations(), pk=pk)
        try:
            weather.station_retire(station_id=station.pk, actor=request.user)
        except DomainError as error:
            messages.error(request, error.message)
        else:
            messages.success(request, _("Out of use. Runs made with it keep it."))
        return redirect("office:weather")


def progress_of(row: WeatherFile) -> dict[str, Any]:
    """How far the check is."""
    is_finished = row.state != WeatherFileState.CHECKING
    return {
        "state": row.state,
        "label": row.get_state_display(),
        "done": int(is_finished),
        "total": 1,
        "is_finished": is_finished,
    }
