"""Operations of the contractor: read a scope, answer it, mark lines done, claim."""

from decimal import Decimal
from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.parsers import MultiPartParser
from rest_framework.response import Response
from rest_framework.views import APIView

from portal.accounts.states import Role
from portal.core.access import HasRole, SignedInCall
from portal.works import selectors
from portal.works.forms import MOMENTS
from portal.works.models import ScopeLine, WorkScope
from portal.works.services import claims, scopes


class LineOutput(serializers.Serializer[Any]):
    """One line of a scope."""

    id = serializers.IntegerField(help_text="Key of the line.")
    number = serializers.CharField(help_text="Number on the scope.")
    title = serializers.CharField(help_text="What is done.")
    location = serializers.CharField(help_text="Where.")
    quantity = serializers.FloatField(help_text="How much, in the unit.")
    unit = serializers.CharField(help_text="Unit of the quantity; empty for pieces.")
    existing = serializers.CharField(help_text="What was found.")
    target = serializers.CharField(help_text="What is to be reached.")
    specification = serializers.CharField(help_text="How.")
    hazards = serializers.CharField(help_text="Cautions of this line.")
    proof = serializers.CharField(help_text="What shows that it is done.")
    price_usd = serializers.DecimalField(
        max_digits=10, decimal_places=2, help_text="Approved price."
    )
    state = serializers.CharField(help_text="to_do or done.")


class ScopeOutput(serializers.Serializer[Any]):
    """A work scope."""

    number = serializers.CharField(help_text="Number of the scope.")
    version = serializers.IntegerField(help_text="Version; an issued one never changes.")
    state = serializers.CharField(help_text="Where the job stands.")
    header = serializers.JSONField(help_text="Home, people, hazards, access, tests, money.")
    answer_by_on = serializers.DateField(allow_null=True, help_text="Answer by.")
    finish_by_on = serializers.DateField(allow_null=True, help_text="Money held to.")
    lines = LineOutput(many=True, help_text="Lines in the order of work.")


def _scope(request: SignedInCall, number: str) -> WorkScope:
    found = selectors.scope_with_lines(selectors.scopes_for(request.user))
    return get_object_or_404(found.order_by("-version"), number=number)


class ScopeRead(APIView):
    """Read a work scope."""

    permission_classes = [HasRole]
    roles = (Role.CONTRACTOR, Role.PROGRAM_ADMIN)

    @extend_schema(
        operation_id="work_scope_read",
        summary="Read a work scope",
        description="Everything needed to price, plan and do the work.",
        responses=ScopeOutput,
    )
    def get(self, request: SignedInCall, number: str) -> Response:
        """Answer with it."""
        return Response(ScopeOutput(_scope(request, number)).data)


class AnswerInput(serializers.Serializer[Any]):
    """Whether the firm takes the job."""

    takes = serializers.BooleanField(help_text="True to take the job.")
    why = serializers.CharField(
        required=False, allow_blank=True, max_length=300, help_text="Why not; needed for a no."
    )


class ScopeAnswer(APIView):
    """Take a job, or say no."""

    permission_classes = [HasRole]
    roles = (Role.CONTRACTOR,)

    @extend_schema(
        operation_id="work_scope_answer",
        summary="Answer a work scope",
        description="Take the job, or say no with the reason.",
        request=AnswerInput,
        responses=ScopeOutput,
    )
    def post(self, request: SignedInCall, number: str) -> Response:
        """Answer it."""
        data = AnswerInput(data=request.data)
        data.is_valid(raise_exception=True)
        scope = _scope(request, number)
        if data.validated_data["takes"]:
            scopes.scope_accept(scope_id=scope.pk, actor=request.user)
        else:
            scopes.scope_decline(
                scope_id=scope.pk, actor=request.user, why=data.validated_data.get("why", "")
            )
        return Response(ScopeOutput(_scope(request, number)).data)


class ProofInput(serializers.Serializer[Any]):
    """A photo of a line."""

    photo = serializers.FileField(help_text="JPEG, PNG or WebP, at most 15 MB.")
    moment = serializers.ChoiceField(choices=MOMENTS, help_text="before, during or after.")
    caption = serializers.CharField(
        required=False, allow_blank=True, max_length=160, help_text="What the photo shows."
    )


class ProofOutput(serializers.Serializer[Any]):
    """The photo as it is kept."""

    key = serializers.UUIDField(help_text="Key of the file.")
    sha256 = serializers.CharField(help_text="Fingerprint of the file.")


def _line(request: SignedInCall, number: str, line_pk: int) -> ScopeLine:
    return get_object_or_404(ScopeLine, pk=line_pk, scope=_scope(request, number))


class LineProofAdd(APIView):
    """Add a photo to a line."""

    permission_classes = [HasRole]
    roles = (Role.CONTRACTOR,)
    parser_classes = [MultiPartParser]

    @extend_schema(
        operation_id="scope_line_proof",
        summary="Add a photo to a line",
        description="The line must belong to a job that has been taken.",
        request=ProofInput,
        responses={201: ProofOutput},
    )
    def post(self, request: SignedInCall, number: str, line_pk: int) -> Response:
        """Keep it."""
        data = ProofInput(data=request.data)
        data.is_valid(raise_exception=True)
        values = data.validated_data
        proof = scopes.proof_add(
            line_id=_line(request, number, line_pk).pk,
            moment=values["moment"],
            caption=values.get("caption", ""),
            upload=values["photo"],
            upload_name=values["photo"].name,
            actor=request.user,
        )
        body = ProofOutput({"key": proof.file.key, "sha256": proof.file.sha256}).data
        return Response(body, status=status.HTTP_201_CREATED)


class DoneInput(serializers.Serializer[Any]):
    """A note with a finished line."""

    note = serializers.CharField(
        required=False, allow_blank=True, max_length=300, help_text="What differs from the scope."
    )


class LineDone(APIView):
    """Mark a line done."""

    permission_classes = [HasRole]
    roles = (Role.CONTRACTOR,)

    @extend_schema(
        operation_id="scope_line_done",
        summary="Mark a line done",
        description="Needs a photo of the finished work.",
        request=DoneInput,
        responses=LineOutput,
    )
    def post(self, request: SignedInCall, number: str, line_pk: int) -> Response:
        """Mark it."""
        data = DoneInput(data=request.data)
        data.is_valid(raise_exception=True)
        line = scopes.line_mark_done(
            line_id=_line(request, number, line_pk).pk,
            actor=request.user,
            note=data.validated_data.get("note", ""),
        )
        return Response(LineOutput(line).data)


class ClaimInput(serializers.Serializer[Any]):
    """The invoice of a finished job."""

    invoice_number = serializers.CharField(max_length=40, help_text="Number on the invoice.")
    invoice_usd = serializers.DecimalField(
        max_digits=9,
        decimal_places=2,
        min_value=Decimal("0.01"),
        help_text="Whole amount of the invoice in dollars.",
    )


class ClaimOutput(serializers.Serializer[Any]):
    """A claim."""

    number = serializers.CharField(help_text="Number of the claim.")
    state = serializers.CharField(help_text="Where it stands.")
    invoice_usd = serializers.DecimalField(
        max_digits=10, decimal_places=2, help_text="Amount of the invoice."
    )
    answer_by_on = serializers.DateField(allow_null=True, help_text="Answer promised by.")


class ClaimSend(APIView):
    """Send the claim of a finished job."""

    permission_classes = [HasRole]
    roles = (Role.CONTRACTOR,)

    @extend_schema(
        operation_id="claim_send",
        summary="Send a claim",
        description="Every line must be done; one live claim a scope.",
        request=ClaimInput,
        responses={201: ClaimOutput},
    )
    def post(self, request: SignedInCall, number: str) -> Response:
        """Send it."""
        data = ClaimInput(data=request.data)
        data.is_valid(raise_exception=True)
        claim = claims.claim_send(
            scope_id=_scope(request, number).pk,
            invoice_number=data.validated_data["invoice_number"],
            invoice_usd=data.validated_data["invoice_usd"],
            actor=request.user,
        )
        return Response(ClaimOutput(claim).data, status=status.HTTP_201_CREATED)
