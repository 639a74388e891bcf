"""Page and operation of the office: the actual daily weather that bills are fitted to."""

from typing import Any

from django import forms
from django.contrib import messages
from django.http import HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy
from django.views import View
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.parsers import MultiPartParser
from rest_framework.response import Response
from rest_framework.views import APIView

from portal.core.access import HasRole, RoleRequiredMixin, SignedInCall, SignedInRequest
from portal.core.errors import DomainError
from portal.core.templatetags.words import short_day
from portal.modeling import daily_weather
from portal.modeling.models import DailySeries
from portal.modeling.office_forms import OfficeForm
from portal.modeling.office_views import OFFICE


class DailyWeatherForm(OfficeForm):
    """A table of days, the station they were measured at, and who published them."""

    file = forms.FileField(
        label=_lazy("File"),
        help_text=_lazy(
            "CSV with a column date, and mean or max and min; up to 5 MB. Days sent before are "
            "brought up to date."
        ),
        error_messages={
            "required": _lazy("Choose the file."),
            "empty": _lazy("The file is empty. Choose the file again."),
        },
    )
    unit = forms.ChoiceField(
        label=_lazy("Temperatures are in"),
        required=False,
        choices=[
            ("", _lazy("as the heading says (_c or _f)")),
            ("F", _lazy("°F")),
            ("C", _lazy("°C")),
        ],
    )
    code = forms.CharField(
        label=_lazy("Station code"),
        max_length=20,
        error_messages={"required": _lazy("Enter the station's code.")},
    )
    name = forms.CharField(
        label=_lazy("Station"),
        max_length=120,
        error_messages={"required": _lazy("Enter the station's name.")},
    )
    source = forms.CharField(
        label=_lazy("Source"),
        max_length=200,
        error_messages={"required": _lazy("Say who published the file.")},
    )
    latitude = forms.FloatField(
        label=_lazy("Latitude"),
        help_text=_lazy("Degrees north."),
        error_messages={
            "required": _lazy("Enter the station's latitude."),
            "invalid": _lazy("Enter the latitude as a number of degrees."),
        },
    )
    longitude = forms.FloatField(
        label=_lazy("Longitude"),
        help_text=_lazy("Degrees east; below zero in America."),
        error_messages={
            "required": _lazy("Enter the station's longitude."),
            "invalid": _lazy("Enter the longitude as a number of degrees."),
        },
    )
    is_synthetic = forms.BooleanField(
        label=_lazy("Made up, for a trial; every fit on it says so"), required=False
    )

    def sent(self) -> daily_weather.SentFile:
        """What the form says of the file."""
        data = self.cleaned_data
        return daily_weather.SentFile(
            code=data["code"],
            name=data["name"],
            source=data["source"],
            latitude_deg=data["latitude"],
            longitude_deg=data["longitude"],
            unit=data["unit"],
            is_synthetic=data["is_synthetic"],
        )


class DailyWeatherView(RoleRequiredMixin, View):
    """The series bills are fitted to, and a form for more days."""

    roles = OFFICE

    def get(self, request: SignedInRequest) -> HttpResponse:
        """Show them."""
        return self._page(request, DailyWeatherForm())

    def post(self, request: SignedInRequest) -> HttpResponse:
        """Take a file in and keep its days."""
        form = DailyWeatherForm(request.POST, request.FILES)
        if not form.is_valid():
            return self._page(request, form)
        try:
            series = daily_weather.file_load(
                upload=form.cleaned_data["file"], sent=form.sent(), actor=request.user
            )
        except DomainError as error:
            form.refuse(error)
            return self._page(request, form)
        messages.success(request, _("The days of %(name)s are kept.") % {"name": series.name})
        return redirect("office:daily_weather")

    def _page(self, request: SignedInRequest, form: DailyWeatherForm) -> HttpResponse:
        rows = [_row(series) for series in daily_weather.series_list()]
        return render(request, "modeling/daily_weather.html", {"form": form, "rows": rows})


def _row(series: Any) -> dict[str, Any]:
    missing = (series.last_on - series.first_on).days + 1 - series.count
    return {
        "name": series.name,
        "code": series.code,
        "source": series.source,
        "first": short_day(series.first_on),
        "last": short_day(series.last_on),
        "missing": missing,
        "is_synthetic": series.is_synthetic,
    }


class DailySeriesOutput(serializers.Serializer[dict[str, object]]):
    """Daily temperatures of a station."""

    code = serializers.CharField(help_text="The station's code.")
    name = serializers.CharField(help_text="The station's name.")
    source = serializers.CharField(  # type: ignore[assignment]  # a field may bear this name
        help_text="Who published the days."
    )
    first_on = serializers.DateField(help_text="First day with a temperature.")
    last_on = serializers.DateField(help_text="Last day with a temperature.")
    days = serializers.IntegerField(help_text="Days with a temperature.")
    is_synthetic = serializers.BooleanField(help_text="Made up, for a trial.")


class DailySeriesInput(serializers.Serializer[dict[str, object]]):
    """A table of days as a form with a file."""

    file = serializers.FileField(help_text="CSV: date, and mean or max and min; up to 5 MB.")
    code = serializers.CharField(help_text="The station's code.")
    name = serializers.CharField(help_text="The station's name.")
    source = serializers.CharField(  # type: ignore[assignment]  # a field may bear this name
        help_text="Who published the file."
    )
    latitude = serializers.FloatField(help_text="Degrees north.")
    longitude = serializers.FloatField(help_text="Degrees east.")
    unit = serializers.ChoiceField(
        choices=["", "C", "F"], required=False, default="",
        help_text="Unit, where the heading does not say it by _c or _f.",
    )  # fmt: skip
    is_synthetic = serializers.BooleanField(
        required=False, default=False, help_text="Made up, for a trial."
    )


def _body(series: Any) -> dict[str, Any]:
    fields = ("code", "name", "source", "first_on", "last_on", "is_synthetic")
    return {**{name: getattr(series, name) for name in fields}, "days": series.count}


def _of(series: DailySeries) -> Any:
    return daily_weather.series_list().get(pk=series.pk)


class DailyWeatherList(APIView):
    """The daily weather of the territory, and sending more days."""

    permission_classes = [HasRole]
    roles = OFFICE
    parser_classes = [MultiPartParser]

    @extend_schema(
        operation_id="daily_weather_list", summary="List the daily weather",
        description="The series that bills are fitted to.",
        responses=DailySeriesOutput(many=True),
    )  # fmt: skip
    def get(self, request: SignedInCall) -> Response:
        """Answer with every series."""
        body: Any = [_body(series) for series in daily_weather.series_list()]
        return Response(DailySeriesOutput(body, many=True).data)

    @extend_schema(
        operation_id="daily_weather_send", summary="Send days of actual weather",
        description="Days sent before are brought up to date.",
        request=DailySeriesInput, responses={201: DailySeriesOutput},
    )  # fmt: skip
    def post(self, request: SignedInCall) -> Response:
        """Keep them."""
        data = DailySeriesInput(data=request.data)
        data.is_valid(raise_exception=True)
        given = dict(data.validated_data)
        series = daily_weather.file_load(
            upload=given["file"],
            sent=daily_weather.SentFile(
                code=given["code"],
                name=given["name"],
                source=given["source"],
                latitude_deg=given["latitude"],
                longitude_deg=given["longitude"],
                unit=given["unit"],
                is_synthetic=given["is_synthetic"],
            ),
            actor=request.user,
        )
        return Response(DailySeriesOutput(_body(_of(series))).data, status=status.HTTP_201_CREATED)
