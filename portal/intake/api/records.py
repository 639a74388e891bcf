"""Opening, reading, completing and reopening records; clearing hazards."""

from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from portal.accounts.states import Role
from portal.core.access import HasRole
from portal.intake import left, live, selectors, services
from portal.intake.document import Reader
from portal.intake.models import FieldRecord
from portal.intake.policies import actor_of
from portal.scheduling import selectors as scheduling

RECORDERS = (Role.AUDITOR, Role.PROGRAM_ADMIN)


class RecordOutput(serializers.Serializer[dict[str, Any]]):
    """A field record with what is left and what it gives now."""

    id = serializers.IntegerField(help_text="Number of the record.")
    casefile = serializers.CharField(help_text="Number of the casefile.")
    stage = serializers.CharField(help_text="audit or test_out.")
    state = serializers.CharField(help_text="open or complete.")
    source = serializers.CharField(  # type: ignore[assignment]  # DRF uses the name for itself
        help_text="sheet, json or hpxml."
    )
    document = serializers.JSONField(
        help_text="The record document: SI values, what was typed, its unit and how it is known."
    )
    left = serializers.ListField(
        child=serializers.DictField(), help_text="What is not recorded yet."
    )
    results = serializers.ListField(
        child=serializers.DictField(),
        help_text="Live results with formula, limit, source and whether they fail.",
    )
    hazards = serializers.ListField(child=serializers.DictField(), help_text="Open hazards.")


def record_body(record: FieldRecord) -> dict[str, Any]:
    """A record as operations answer it."""
    document = selectors.record_document(record)
    cleared = selectors.cleared_keys(record)
    return {
        "id": record.pk,
        "casefile": record.casefile.number,
        "stage": record.stage,
        "state": record.state,
        "source": record.source,
        "document": document,
        "left": [
            {
                "section": entry.section,
                "group": entry.group,
                "item": entry.item,
                "field": entry.field,
                "label": str(entry),
            }
            for entry in left.missing(Reader(document))
        ],
        "results": [result.plain() for result in live.results(document)],
        "hazards": [
            hazard.plain() for hazard in selectors.hazards_in(document) if hazard.key not in cleared
        ],
    }


class RecordOpen(APIView):
    """Open the record of a visit."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="record_open",
        summary="Open the field record of a casefile's visit",
        description="Begins the visit on its day; gives the record opened before, if there is one.",
        request=None,
        responses={201: RecordOutput},
    )
    def post(self, request: Request, number: str) -> Response:
        """Open it."""
        appointments = scheduling.appointments_for(request.user).filter(casefile__number=number)
        found = appointments.order_by("-starts_at").values_list("pk", flat=True)[:1]
        appointment = get_object_or_404(appointments, pk__in=list(found))
        record = services.record_open(appointment_id=appointment.pk, actor=actor_of(request.user))
        return Response(
            record_body(selectors.record_by_pk_for(request.user, record.pk)),
            status=status.HTTP_201_CREATED,
        )


class RecordRead(APIView):
    """Read a record."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="record_read",
        summary="Read a field record",
        description="The record document, what is left, live results and open hazards.",
        responses=RecordOutput,
    )
    def get(self, request: Request, pk: int) -> Response:
        """Answer with the record."""
        return Response(record_body(selectors.record_by_pk_for(request.user, pk)))


class CompleteInput(serializers.Serializer[dict[str, Any]]):
    """Reasons for what looks odd."""

    confirmed = serializers.DictField(
        child=serializers.CharField(max_length=200),
        required=False,
        default=dict,
        help_text="Key of a finding to the reason why it is right.",
    )


class RecordComplete(APIView):
    """Complete a record."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="record_complete",
        summary="Complete a field record",
        description=(
            "Refused with every finding: record_incomplete for what stands in the way, "
            "confirm_needed for what looks odd and has no reason yet."
        ),
        request=CompleteInput,
        responses=RecordOutput,
    )
    def post(self, request: Request, pk: int) -> Response:
        """Complete it."""
        record = selectors.record_by_pk_for(request.user, pk)
        body = CompleteInput(data=request.data)
        body.is_valid(raise_exception=True)
        services.record_complete(
            record_id=record.pk,
            confirmed=body.validated_data["confirmed"],
            actor=actor_of(request.user),
        )
        return Response(record_body(selectors.record_by_pk_for(request.user, pk)))


class ReasonInput(serializers.Serializer[dict[str, Any]]):
    """A reason."""

    why = serializers.CharField(max_length=200, help_text="Why.")


class RecordReopen(APIView):
    """Reopen a record."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="record_reopen",
        summary="Reopen a completed field record",
        description="To add or remove things; the reason is kept in the trail.",
        request=ReasonInput,
        responses=RecordOutput,
    )
    def post(self, request: Request, pk: int) -> Response:
        """Reopen it."""
        record = selectors.record_by_pk_for(request.user, pk)
        body = ReasonInput(data=request.data)
        body.is_valid(raise_exception=True)
        services.record_reopen(
            record_id=record.pk, why=body.validated_data["why"], actor=actor_of(request.user)
        )
        return Response(record_body(selectors.record_by_pk_for(request.user, pk)))


class HazardInput(serializers.Serializer[dict[str, Any]]):
    """A clearance."""

    hazard = serializers.CharField(max_length=60, help_text="Key of the hazard.")
    evidence = serializers.CharField(max_length=2000, help_text="What shows that it is cleared.")


class HazardsOutput(serializers.Serializer[dict[str, Any]]):
    """The open hazards."""

    hazards = serializers.ListField(child=serializers.DictField(), help_text="Open hazards.")


class HazardClear(APIView):
    """Clear a hazard with evidence."""

    permission_classes = [HasRole]
    roles = (Role.PROGRAM_ADMIN,)

    @extend_schema(
        operation_id="hazard_clear",
        summary="Record that a hazard is cleared",
        description="Needs evidence in words; answers with the hazards still open.",
        request=HazardInput,
        responses={201: HazardsOutput},
    )
    def post(self, request: Request, number: str) -> Response:
        """Clear it."""
        appointments = scheduling.appointments_for(request.user).filter(casefile__number=number)
        found = appointments.order_by("-starts_at").values_list("pk", flat=True)[:1]
        casefile = get_object_or_404(appointments, pk__in=list(found)).casefile
        body = HazardInput(data=request.data)
        body.is_valid(raise_exception=True)
        services.hazard_clear(
            casefile_id=casefile.pk,
            hazard=body.validated_data["hazard"],
            evidence=body.validated_data["evidence"],
            actor=actor_of(request.user),
        )
        found_open = selectors.open_hazards_of(casefile)
        return Response(
            {"hazards": [hazard.plain() for hazard in found_open]}, status=status.HTTP_201_CREATED
        )
