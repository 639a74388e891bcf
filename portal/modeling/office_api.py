"""Operations of the office: weather for the territory, and values that decide safety or money."""

from typing import Any

from django.http import Http404
from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.parsers import MultiPartParser
from rest_framework.response import Response
from rest_framework.views import APIView

from calcs.confirmable import REGISTRY, Confirmable, value_in_effect
from portal.core.access import HasRole, SignedInCall
from portal.intake import selectors as intake
from portal.intake import services
from portal.intake.models import ValueProposal
from portal.modeling import selectors, weather, weather_files
from portal.modeling.models import WeatherFile, WeatherStation
from portal.modeling.office_views import OFFICE
from portal.modeling.value_words import DECIDES, known_words, name_of


class StationOutput(serializers.Serializer[dict[str, object]]):
    """A station of the territory."""

    id = serializers.IntegerField(help_text="Number of the station.")
    code = serializers.CharField(help_text="The station's code.")
    name = serializers.CharField(help_text="The station's name.")
    source = serializers.CharField(  # type: ignore[assignment]  # a field may bear this name
        help_text="Who published the file."
    )
    sha256 = serializers.CharField(help_text="Hash of the file.")
    latitude_deg = serializers.FloatField(help_text="North positive, degrees.")
    longitude_deg = serializers.FloatField(help_text="East positive, degrees.")
    is_in_use = serializers.BooleanField(help_text="Whether new model runs may take it.")


class WeatherFileOutput(serializers.Serializer[dict[str, object]]):
    """A weather file with what its check found."""

    id = serializers.IntegerField(help_text="Number of the file.")
    code = serializers.CharField(help_text="The station's code it was sent for.")
    state = serializers.CharField(help_text="checking, usable, refused or used.")
    name = serializers.CharField(help_text="Name of the file as it was sent.")
    sha256 = serializers.CharField(help_text="Hash of the file.")
    report = serializers.JSONField(
        help_text="Format, place, years, units, distance to the territory and findings; each "
        "finding says whether it stops the file."
    )


class WeatherListOutput(serializers.Serializer[dict[str, object]]):
    """Stations and files of the territory."""

    stations = StationOutput(many=True, help_text="Every station that was loaded.")
    files = WeatherFileOutput(many=True, help_text="Every file that was sent, newest first.")


class WeatherFileInput(serializers.Serializer[dict[str, object]]):
    """A weather file as a form with a file."""

    file = serializers.FileField(help_text="EPW or TMY3, plain or gzip-compressed, up to 12 MB.")
    code = serializers.CharField(help_text="The station's code.")
    source = serializers.CharField(  # type: ignore[assignment]  # a field may bear this name
        help_text="Who published the file, and which years it stands for."
    )


def _file_body(row: WeatherFile) -> dict[str, Any]:
    return {
        "id": row.pk,
        "code": row.code,
        "state": row.state,
        "name": row.file.original_name,
        "sha256": row.file.sha256,
        "report": row.report,
    }


def _station_body(station: WeatherStation) -> dict[str, Any]:
    fields = ("code", "name", "source", "sha256", "latitude_deg", "longitude_deg", "is_in_use")
    return {"id": station.pk, **{field: getattr(station, field) for field in fields}}


class WeatherList(APIView):
    """The territory's weather, and sending another file."""

    permission_classes = [HasRole]
    roles = OFFICE
    parser_classes = [MultiPartParser]

    @extend_schema(
        operation_id="weather_list", summary="List the territory's weather",
        description="Stations that were loaded and files that were sent.",
        responses=WeatherListOutput,
    )  # fmt: skip
    def get(self, request: SignedInCall) -> Response:
        """Answer with both lists."""
        body: dict[str, object] = {
            "stations": [_station_body(station) for station in selectors.stations()],
            "files": [_file_body(row) for row in selectors.weather_files()[:100]],
        }
        return Response(WeatherListOutput(body).data)

    @extend_schema(
        operation_id="weather_file_send", summary="Send a weather file",
        description="Takes the file in and answers at once; a worker checks it.",
        request=WeatherFileInput, responses={202: WeatherFileOutput},
    )  # fmt: skip
    def post(self, request: SignedInCall) -> Response:
        """Take it in."""
        sent = request.FILES.get("file")
        values: Any = request.data
        row = weather_files.file_receive(
            upload=sent,
            name=getattr(sent, "name", None),
            code=str(values.get("code", "")),
            source=str(values.get("source", "")),
            actor=request.user,
        )
        return Response(WeatherFileOutput(_file_body(row)).data, status=status.HTTP_202_ACCEPTED)


class WeatherFileRead(APIView):
    """One weather file."""

    permission_classes = [HasRole]
    roles = OFFICE

    @extend_schema(
        operation_id="weather_file_read", summary="Read a weather file's check",
        description="What the check found: gaps, years, units, place and distance.",
        responses=WeatherFileOutput,
    )  # fmt: skip
    def get(self, request: SignedInCall, pk: int) -> Response:
        """Answer with it."""
        row = get_object_or_404(selectors.weather_files(), pk=pk)
        return Response(WeatherFileOutput(_file_body(row)).data)


class WeatherFileUse(APIView):
    """Using a checked file."""

    permission_classes = [HasRole]
    roles = OFFICE

    @extend_schema(
        operation_id="weather_file_use", summary="Use a weather file for the territory",
        description="Only a file that was checked and found usable.",
        request=None, responses=WeatherFileOutput,
    )  # fmt: skip
    def post(self, request: SignedInCall, pk: int) -> Response:
        """Use it."""
        row = get_object_or_404(selectors.weather_files(), pk=pk)
        row = weather_files.file_use(file_id=row.pk, actor=request.user)
        return Response(WeatherFileOutput(_file_body(row)).data)


class StationRetire(APIView):
    """Taking a station out of use."""

    permission_classes = [HasRole]
    roles = OFFICE

    @extend_schema(
        operation_id="weather_station_retire", summary="Take a station out of use",
        description="New model runs do not take it; runs made with it keep it.",
        request=None, responses=StationOutput,
    )  # fmt: skip
    def post(self, request: SignedInCall, pk: int) -> Response:
        """Take it out."""
        station = get_object_or_404(selectors.stations(), pk=pk)
        station = weather.station_retire(station_id=station.pk, actor=request.user)
        return Response(StationOutput(_station_body(station)).data)


class ProposalOutput(serializers.Serializer[dict[str, object]]):
    """A proposal of a value."""

    id = serializers.IntegerField(help_text="Number of the proposal.")
    key = serializers.CharField(help_text="Key of the value.")
    state = serializers.CharField(help_text="proposed, adopted, refused, withdrawn, replaced.")
    value = serializers.FloatField(allow_null=True, help_text="Proposed value; null for a table.")
    value_before = serializers.FloatField(allow_null=True, help_text="Value in effect before.")
    is_looser = serializers.BooleanField(help_text="Whether it loosens a safety limit.")
    edition = serializers.CharField(help_text="Edition of the document.")
    document = serializers.CharField(help_text="Document and section.")
    authority = serializers.CharField(help_text="Who allows a looser limit.")
    reason = serializers.CharField(help_text="Why the program adopts it.")
    proposed_by = serializers.CharField(help_text="Who proposed it.")
    decided_by = serializers.CharField(help_text="Who decided it; empty while it waits.")


class ValueOutput(serializers.Serializer[dict[str, object]]):
    """A value that decides safety or money."""

    key = serializers.CharField(help_text="Key of the value.")
    name = serializers.CharField(help_text="What it is called.")
    decides = serializers.CharField(help_text="safety or money.")
    decides_what = serializers.CharField(help_text="What it decides, in words.")
    published = serializers.FloatField(allow_null=True, help_text="Published; null for a table.")
    in_effect = serializers.FloatField(allow_null=True, help_text="In effect now.")
    unit = serializers.CharField(help_text="Unit of both.")
    stricter = serializers.CharField(help_text="lower, higher, or empty for money.")
    source = serializers.CharField(  # type: ignore[assignment]  # a field may bear this name
        help_text="Published source."
    )
    edition = serializers.CharField(help_text="Edition of that source.")
    provenance = serializers.CharField(help_text="read, memory or common practice.")
    known = serializers.CharField(help_text="What that means for the program, in words.")
    adopted_from = serializers.CharField(help_text="Document the program adopted; or empty.")
    proposal = ProposalOutput(allow_null=True, help_text="The proposal that waits, if one does.")


class ProposalInput(serializers.Serializer[dict[str, object]]):
    """A proposal."""

    value = serializers.FloatField(
        allow_null=True, required=False, default=None,
        help_text="In the value's unit; a rate as a fraction; left out for a table.",
    )  # fmt: skip
    edition = serializers.CharField(help_text="Edition or year of the document.")
    document = serializers.CharField(help_text="Title and section.")
    authority = serializers.CharField(
        required=False, allow_blank=True, default="",
        help_text="Needed to make a safety limit looser.",
    )  # fmt: skip
    reason = serializers.CharField(help_text="Why the program adopts it.")


class ProposalDecisionInput(serializers.Serializer[dict[str, object]]):
    """A decision on a proposal."""

    verb = serializers.ChoiceField(
        choices=["adopt", "refuse", "withdraw"],
        help_text="adopt or refuse as a second administrator; withdraw one's own.",
    )
    why = serializers.CharField(
        required=False, allow_blank=True, default="", help_text="Needed to refuse."
    )


def _proposal_body(row: ValueProposal) -> dict[str, Any]:
    fields = ("key", "state", "value", "value_before", "is_looser", "edition", "document",
              "authority", "reason")  # fmt: skip
    return {
        "id": row.pk,
        **{field: getattr(row, field) for field in fields},
        "proposed_by": str(row.proposed_by),
        "decided_by": str(row.decided_by or ""),
    }


def _value_body(item: Confirmable, limits: Any, waiting: dict[str, ValueProposal]) -> Any:
    adopted = limits.adopted.get(item.key)
    return {
        "key": item.key,
        "name": name_of(item),
        "decides": item.decides,
        "decides_what": str(DECIDES[item.group]),
        "published": item.value,
        "in_effect": value_in_effect(item.key, limits),
        "unit": item.unit,
        "stricter": item.stricter,
        "source": item.source,
        "edition": item.edition,
        "provenance": item.provenance,
        "known": known_words(item),
        "adopted_from": adopted.source if adopted else "",
        "proposal": _proposal_body(waiting[item.key]) if item.key in waiting else None,
    }


class ValueList(APIView):
    """Every value that decides safety or money."""

    permission_classes = [HasRole]
    roles = OFFICE

    @extend_schema(
        operation_id="value_list", summary="List the values that decide safety or money",
        description="Published value, value in effect, edition, source, and what waits.",
        responses=ValueOutput(many=True),
    )  # fmt: skip
    def get(self, request: SignedInCall) -> Response:
        """Answer with all of them."""
        limits = intake.values_in_effect()
        waiting = {row.key: row for row in intake.proposals_waiting()}
        body: Any = [_value_body(item, limits, waiting) for item in REGISTRY.values()]
        return Response(ValueOutput(body, many=True).data)


class ValuePropose(APIView):
    """Proposing a value."""

    permission_classes = [HasRole]
    roles = OFFICE

    @extend_schema(
        operation_id="value_propose", summary="Propose a value for the program",
        description="Nothing changes until a second administrator confirms it.",
        request=ProposalInput, responses={201: ProposalOutput},
    )  # fmt: skip
    def post(self, request: SignedInCall, key: str) -> Response:
        """Propose it."""
        if key not in REGISTRY:
            raise Http404
        data = ProposalInput(data=request.data)
        data.is_valid(raise_exception=True)
        row = services.value_propose(key=key, actor=request.user, **data.validated_data)
        return Response(ProposalOutput(_proposal_body(row)).data, status=status.HTTP_201_CREATED)


class ProposalDecide(APIView):
    """Deciding on a proposal."""

    permission_classes = [HasRole]
    roles = OFFICE

    @extend_schema(
        operation_id="value_proposal_decide", summary="Confirm, refuse or withdraw a proposal",
        description="Confirming and refusing take a second administrator.",
        request=ProposalDecisionInput, responses=ProposalOutput,
    )  # fmt: skip
    def post(self, request: SignedInCall, pk: int) -> Response:
        """Decide it."""
        row = get_object_or_404(intake.proposals(), pk=pk)
        data = ProposalDecisionInput(data=request.data)
        data.is_valid(raise_exception=True)
        verb, why = data.validated_data["verb"], data.validated_data["why"]
        if verb == "adopt":
            row = services.value_adopt(proposal_id=row.pk, actor=request.user, why=why)
        elif verb == "refuse":
            row = services.value_refuse(proposal_id=row.pk, actor=request.user, why=why)
        else:
            row = services.value_withdraw(proposal_id=row.pk, actor=request.user)
        return Response(ProposalOutput(_proposal_body(row)).data)
