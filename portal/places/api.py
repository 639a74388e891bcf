"""Operations of the places: where casefiles stand."""

from typing import Any

from drf_spectacular.utils import extend_schema
from rest_framework import serializers
from rest_framework.pagination import LimitOffsetPagination
from rest_framework.response import Response
from rest_framework.views import APIView

from portal.accounts.states import Role
from portal.core.access import HasRole, SignedInCall
from portal.places import selectors
from portal.places.models import CasePosition
from portal.places.words import action_words


class PositionOutput(serializers.Serializer[Any]):
    """One holder, one next action and one date."""

    casefile = serializers.CharField(help_text="Number of the casefile.")
    stage = serializers.CharField(help_text="Stage of the journey.")
    holder_role = serializers.CharField(help_text="Role whose turn it is.")
    holder_name = serializers.CharField(help_text="Whose turn it is.")
    next_action = serializers.CharField(help_text="What comes next, in one sentence.")
    due_on = serializers.DateField(allow_null=True, help_text="By when.")


def _plain(position: CasePosition) -> dict[str, Any]:
    return {
        "casefile": position.casefile.number,
        "stage": position.stage,
        "holder_role": position.holder_role,
        "holder_name": position.holder_name,
        "next_action": action_words(position.next_action, position.action_facts),
        "due_on": position.due_on,
    }


class PositionsRead(APIView):
    """Where the casefiles a person may see stand."""

    permission_classes = [HasRole]
    roles = (Role.HOMEOWNER, Role.AUDITOR, Role.PROGRAM_ADMIN)

    @extend_schema(
        operation_id="positions_list",
        summary="List where casefiles stand",
        description="The casefiles a person may see, the earliest date first.",
        responses=PositionOutput(many=True),
    )
    def get(self, request: SignedInCall) -> Response:
        """Answer with a page of them."""
        pages = LimitOffsetPagination()
        pages.default_limit, pages.max_limit = 50, 200
        found = pages.paginate_queryset(selectors.positions_for(request.user), request, view=self)
        body = PositionOutput([_plain(position) for position in found or ()], many=True).data
        return pages.get_paginated_response(body)
