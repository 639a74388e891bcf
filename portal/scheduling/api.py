"""Operations of scheduling: free times and visits."""

from datetime import datetime
from typing import Any
from uuid import UUID

from drf_spectacular.utils import extend_schema, extend_schema_serializer
from rest_framework import serializers, status
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from portal.accounts.signed_in import person
from portal.accounts.states import Role
from portal.core.access import HasRole
from portal.scheduling import selectors, services
from portal.scheduling.states import AppointmentState


class SlotOutput(serializers.Serializer[Any]):
    """A free visit time."""

    starts_at = serializers.DateTimeField(help_text="When a visit could begin.")
    ends_at = serializers.DateTimeField(help_text="When it would end.")


class AppointmentOutput(serializers.Serializer[Any]):
    """A visit."""

    uid = serializers.UUIDField(help_text="Key of the appointment.")
    casefile = serializers.CharField(source="casefile.number", help_text="Number of the casefile.")
    home = serializers.CharField(
        source="casefile.participation.dwelling", help_text="Address of the home."
    )
    auditor = serializers.CharField(source="auditor.user", help_text="Name of the auditor.")
    starts_at = serializers.DateTimeField(help_text="When the visit begins.")
    ends_at = serializers.DateTimeField(help_text="When it is expected to end.")
    state = serializers.ChoiceField(
        choices=AppointmentState.choices, help_text="Where the appointment stands."
    )
    sequence = serializers.IntegerField(help_text="Grows each time the visit is moved.")
    access_note = serializers.CharField(help_text="How to get in, in the household's words.")


class HouseholdOperation(APIView):
    """For the household itself and the program office."""

    permission_classes = [HasRole]
    roles: tuple[str, ...] = (Role.HOMEOWNER, Role.PROGRAM_ADMIN)


class SlotList(HouseholdOperation):
    """Free visit times of a home."""

    @extend_schema(
        operation_id="slot_list",
        summary="List the free visit times of a home",
        description="From the day after tomorrow on, four weeks. Worked out anew at each call.",
        responses=SlotOutput(many=True),
    )
    def get(self, request: Request, number: str) -> Response:
        """List."""
        casefile = selectors.bookable_casefile_for(request.user, number)
        without = selectors.live_appointment(casefile)
        days = selectors.slot_days(casefile, without=without)
        return Response(SlotOutput([slot for day in days for slot in day.slots], many=True).data)


class AppointmentBook(HouseholdOperation):
    """Book a visit."""

    @extend_schema_serializer(component_name="AppointmentBook")
    class Input(serializers.Serializer[Any]):
        """Which time."""

        starts_at = serializers.DateTimeField(help_text="Beginning of one of the times offered.")
        access_note = serializers.CharField(
            required=False,
            allow_blank=True,
            max_length=300,
            help_text="How to get in, what the auditor should know.",
        )

    @extend_schema(
        operation_id="appointment_book",
        summary="Book the visit of a home",
        description="409 with code slot_taken when somebody was quicker; list the times again.",
        request=Input,
        responses={201: AppointmentOutput},
    )
    def post(self, request: Request, number: str) -> Response:
        """Book."""
        casefile = selectors.bookable_casefile_for(request.user, number)
        asked = self.Input(data=request.data)
        asked.is_valid(raise_exception=True)
        appointment = services.appointment_book(
            casefile=casefile, actor=person(request), **asked.validated_data
        )
        return Response(AppointmentOutput(appointment).data, status=status.HTTP_201_CREATED)


class AppointmentMove(HouseholdOperation):
    """Move a visit."""

    @extend_schema_serializer(component_name="AppointmentMove")
    class Input(serializers.Serializer[Any]):
        """To which time."""

        starts_at = serializers.DateTimeField(help_text="Beginning of one of the times offered.")

    @extend_schema(
        operation_id="appointment_move",
        summary="Move a booked visit to another free time",
        description="Until 24 hours before; after that 409 with code notice_too_short.",
        request=Input,
        responses=AppointmentOutput,
    )
    def post(self, request: Request, uid: UUID) -> Response:
        """Move."""
        found = selectors.appointment_by_uid_for(request.user, uid)
        asked = self.Input(data=request.data)
        asked.is_valid(raise_exception=True)
        starts_at: datetime = asked.validated_data["starts_at"]
        moved = services.appointment_move(
            appointment_id=found.pk, starts_at=starts_at, actor=person(request)
        )
        return Response(AppointmentOutput(moved).data)


@extend_schema_serializer(component_name="AppointmentWhy")
class Why(serializers.Serializer[Any]):
    """A reason, if one is given."""

    why = serializers.CharField(
        required=False, allow_blank=True, max_length=300, help_text="The reason, for the history."
    )


class AppointmentCancel(HouseholdOperation):
    """Cancel a visit."""

    roles = (Role.HOMEOWNER, Role.AUDITOR, Role.PROGRAM_ADMIN)

    @extend_schema(
        operation_id="appointment_cancel",
        summary="Cancel a visit",
        description=(
            "The household until 24 hours before, the office at any time, the auditor a visit "
            "that is under way."
        ),
        request=Why,
        responses=AppointmentOutput,
    )
    def post(self, request: Request, uid: UUID) -> Response:
        """Cancel."""
        found = selectors.appointment_by_uid_for(request.user, uid)
        asked = Why(data=request.data)
        asked.is_valid(raise_exception=True)
        cancelled = services.appointment_cancel(
            appointment_id=found.pk, actor=person(request), why=asked.validated_data.get("why", "")
        )
        return Response(AppointmentOutput(cancelled).data)


class VisitingOperation(APIView):
    """For the auditor of the visit and the program office."""

    permission_classes = [HasRole]
    roles: tuple[str, ...] = (Role.AUDITOR, Role.PROGRAM_ADMIN)


class AppointmentList(VisitingOperation):
    """Visits of a day."""

    @extend_schema_serializer(component_name="AppointmentList")
    class Input(serializers.Serializer[Any]):
        """Which day."""

        day = serializers.DateField(help_text="The day whose visits are listed.")

    @extend_schema(
        operation_id="appointment_list",
        summary="List the visits of a day",
        description="An auditor's own; for the program office all. Days of the program time zone.",
        parameters=[Input],
        responses=AppointmentOutput(many=True),
    )
    def get(self, request: Request) -> Response:
        """List."""
        asked = self.Input(data=request.query_params)
        asked.is_valid(raise_exception=True)
        found = selectors.appointments_for(request.user, asked.validated_data["day"])
        return Response(AppointmentOutput(found, many=True).data)


class AppointmentStart(VisitingOperation):
    """Begin a visit."""

    @extend_schema(
        operation_id="appointment_start",
        summary="Say that the auditor is there",
        description="On the day of the visit only.",
        request=None,
        responses=AppointmentOutput,
    )
    def post(self, request: Request, uid: UUID) -> Response:
        """Start."""
        found = selectors.appointment_by_uid_for(request.user, uid)
        started = services.appointment_start(appointment_id=found.pk, actor=person(request))
        return Response(AppointmentOutput(started).data)


class AppointmentFinish(VisitingOperation):
    """End a visit."""

    @extend_schema(
        operation_id="appointment_finish",
        summary="Say that the visit is over",
        description="For a visit that is under way.",
        request=None,
        responses=AppointmentOutput,
    )
    def post(self, request: Request, uid: UUID) -> Response:
        """Finish."""
        found = selectors.appointment_by_uid_for(request.user, uid)
        finished = services.appointment_finish(appointment_id=found.pk, actor=person(request))
        return Response(AppointmentOutput(finished).data)


class AppointmentMissed(VisitingOperation):
    """Nobody home."""

    @extend_schema(
        operation_id="appointment_missed",
        summary="Say that nobody opened the door",
        description="From a quarter of an hour after the time booked. The home may book again.",
        request=Why,
        responses=AppointmentOutput,
    )
    def post(self, request: Request, uid: UUID) -> Response:
        """Note it."""
        found = selectors.appointment_by_uid_for(request.user, uid)
        asked = Why(data=request.data)
        asked.is_valid(raise_exception=True)
        missed = services.appointment_missed(
            appointment_id=found.pk, actor=person(request), why=asked.validated_data.get("why", "")
        )
        return Response(AppointmentOutput(missed).data)
