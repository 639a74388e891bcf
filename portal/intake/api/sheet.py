"""The sheet itself: its schema and the empty record."""

from drf_spectacular.types import OpenApiTypes
from drf_spectacular.utils import extend_schema
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.views import APIView

from portal.core.access import HasRole
from portal.intake.api.records import RECORDERS
from portal.intake.sheet import schema


class SheetSchema(APIView):
    """The field sheet."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="sheet_schema",
        summary="Read the field sheet as JSON Schema",
        description="Every section, group and field with units, limits, choices and conditions.",
        responses=OpenApiTypes.OBJECT,
    )
    def get(self, request: Request) -> Response:
        """Answer with the schema."""
        return Response(schema.json_schema())


class SheetTemplate(APIView):
    """The empty field record."""

    permission_classes = [HasRole]
    roles = RECORDERS

    @extend_schema(
        operation_id="sheet_template",
        summary="Get an empty field record",
        description="A record document with every field empty, to fill in and upload.",
        responses=OpenApiTypes.OBJECT,
    )
    def get(self, request: Request) -> Response:
        """Answer with the template."""
        return Response(schema.template())
