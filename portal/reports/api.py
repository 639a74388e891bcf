"""Operations of reports."""

from typing import Any

from django.http import Http404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.response import Response
from rest_framework.views import APIView

from portal.core.access import HasRole, SignedInCall
from portal.reports import selectors
from portal.reports.views import READERS


class OwnerReportOutput(serializers.Serializer[Any]):
    """A frozen report."""

    casefile = serializers.CharField(help_text="Number of the casefile.")
    run = serializers.IntegerField(help_text="Model run behind it.")
    built_at = serializers.DateTimeField(help_text="When it was frozen.")
    sha256 = serializers.CharField(help_text="Fingerprint of the PDF.")
    template_version = serializers.CharField(help_text="Fingerprint of the templates.")
    content = serializers.JSONField(help_text="The whole document as shown.")


class OwnerReportRead(APIView):
    """Read the newest owner's report of a home."""

    permission_classes = [HasRole]
    roles = READERS

    @extend_schema(
        operation_id="owner_report_read",
        summary="Read an owner's report",
        description="The newest frozen report of the casefile, as it was shown.",
        responses=OwnerReportOutput,
    )
    def get(self, request: SignedInCall, number: str) -> Response:
        """Answer with it."""
        report = selectors.owner_reports_for(request.user).filter(casefile__number=number).first()
        if report is None or report.file is None:
            raise Http404
        return Response(
            OwnerReportOutput(
                {
                    "casefile": report.casefile.number,
                    "run": report.run_id,
                    "built_at": report.built_at,
                    "sha256": report.file.sha256,
                    "template_version": report.template_version,
                    "content": report.content,
                }
            ).data
        )
