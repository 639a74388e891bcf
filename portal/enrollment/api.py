"""Operations of enrollment: the request for a free audit, and the casefiles it becomes."""

from collections.abc import Sequence
from typing import Any
from uuid import UUID

from drf_spectacular.utils import (
    PolymorphicProxySerializer,
    extend_schema,
    extend_schema_serializer,
)
from rest_framework import serializers, status
from rest_framework.permissions import AllowAny
from rest_framework.request import Request
from rest_framework.response import Response
from rest_framework.throttling import BaseThrottle
from rest_framework.views import APIView

from portal.accounts.signed_in import person
from portal.accounts.states import Role
from portal.core.access import ANYONE, HasRole
from portal.core.actors import Actor, PublicActor
from portal.core.errors import ValuesRefused
from portal.enrollment import answers, selectors, services, summaries
from portal.enrollment.answers import Bother
from portal.enrollment.models import AuditRequest
from portal.enrollment.states import BuildingKind, CasefileState, RequestState, Tenure
from portal.enrollment.throttles import AnswerThrottle, BeginThrottle, ScreenThrottle

# -- What goes in and out ----------------------------------------------------------------


class AddressAnswer(serializers.Serializer[Any]):
    """Where the home stands."""

    street = serializers.CharField(help_text="House number and street.")
    unit = serializers.CharField(
        required=False, allow_blank=True, help_text="Apartment or unit, where there is one."
    )
    city = serializers.CharField(help_text="City or town.")
    zip = serializers.CharField(help_text="Five digits, or nine.")


class AccountAnswer(serializers.Serializer[Any]):
    """The utility account."""

    number = serializers.CharField(help_text="Ten digits; blanks and dashes are left out.")


class ContactAnswer(serializers.Serializer[Any]):
    """How to reach the applicant."""

    name = serializers.CharField(help_text="First and last name.")
    email = serializers.EmailField(help_text="Where the answer and the sign-in code are sent.")
    phone = serializers.CharField(
        required=False, allow_blank=True, help_text="Telephone with its area code."
    )
    language = serializers.CharField(required=False, help_text="For calls and the visit: en or es.")


class TenureAnswer(serializers.Serializer[Any]):
    """Owner or renter."""

    tenure = serializers.ChoiceField(
        choices=Tenure.choices, help_text="Whether the household owns or rents the home."
    )


class HomeAnswer(serializers.Serializer[Any]):
    """What kind of home it is."""

    kind = serializers.ChoiceField(choices=BuildingKind.choices, help_text="Kind of building.")
    year_built = serializers.IntegerField(
        required=False, allow_null=True, help_text="Year the building was built, four digits."
    )
    units = serializers.IntegerField(
        required=False, allow_null=True, help_text="Homes in the building."
    )


class BothersAnswer(serializers.Serializer[Any]):
    """What bothers the household about the house."""

    chosen = serializers.MultipleChoiceField(
        choices=Bother.choices, required=False, help_text="What bothers them, out of the list."
    )
    words = serializers.CharField(
        required=False, allow_blank=True, help_text="The same in their own words."
    )


ANSWER = PolymorphicProxySerializer(
    component_name="AuditRequestAnswer",
    serializers=[
        AddressAnswer,
        AccountAnswer,
        ContactAnswer,
        TenureAnswer,
        HomeAnswer,
        BothersAnswer,
    ],
    resource_type_field_name=None,
)


class ReasonOutput(serializers.Serializer[Any]):
    """One reason of a no."""

    rule = serializers.CharField(help_text="Name of the rule.")
    words = serializers.CharField(help_text="What the rule says of these answers.")
    fix = serializers.CharField(allow_blank=True, help_text="What would change the answer.")
    reference = serializers.CharField(
        allow_blank=True, help_text="Where the rule stands in the program's papers."
    )
    alternatives = serializers.ListField(
        child=serializers.CharField(), help_text="Other ways to get help."
    )
    ask = serializers.CharField(help_text="Whom to ask.")
    question = serializers.CharField(help_text="The question whose answer it rests on.")


class RequestOutput(serializers.Serializer[Any]):
    """A request as its holder sees it."""

    key = serializers.UUIDField(help_text="Key of the request; whoever holds it holds the request.")
    state = serializers.ChoiceField(
        choices=RequestState.choices, help_text="Where the request stands."
    )
    answers = serializers.JSONField(help_text="By question.")
    next_question = serializers.CharField(
        allow_null=True, help_text="The first question not asked yet; null when all have been."
    )
    link = serializers.URLField(help_text="Where a person goes on with it.")
    reasons = ReasonOutput(many=True, help_text="Why not, when the rules have said no.")
    casefile = serializers.CharField(allow_null=True, help_text="Number of the casefile.")


def request_output(request: AuditRequest) -> dict[str, Any]:
    """A request with what its holder needs to go on."""
    is_no = request.state == RequestState.NOT_ELIGIBLE
    return {
        "key": request.key,
        "state": request.state,
        "answers": request.answers,
        "next_question": answers.next_question(request.answers),
        "link": services.request_link(request),
        "reasons": summaries.reasons_of(request) if is_no else [],
        "casefile": request.casefile.number if request.casefile else None,
    }


class CasefileOutput(serializers.Serializer[Any]):
    """A casefile in short."""

    number = serializers.CharField(help_text="Number of the casefile.")
    state = serializers.ChoiceField(
        choices=CasefileState.choices, help_text="Whether it is open or closed."
    )
    opened_at = serializers.DateTimeField(help_text="When it was opened.")
    home = serializers.CharField(source="participation.dwelling", help_text="Address of the home.")
    county = serializers.CharField(
        source="participation.dwelling.building.county", help_text="County of the home."
    )
    household = serializers.CharField(
        source="participation.household", help_text="Name of the household."
    )


# -- Operations --------------------------------------------------------------------------


class PublicOperation(APIView):
    """An operation for people without an account; the key of the request is what opens it."""

    permission_classes = [AllowAny]
    throttle_classes: Sequence[type[BaseThrottle]] = (AnswerThrottle,)

    def actor(self, request: Request) -> Actor:
        """The person signed in, else an applicant."""
        return request.user if request.user.is_authenticated else PublicActor()

    def answer(self, audit_request: AuditRequest, code: int = status.HTTP_200_OK) -> Response:
        """The request as it is now."""
        return Response(RequestOutput(request_output(audit_request)).data, status=code)


class RequestBegin(PublicOperation):
    """Begin a request."""

    throttle_classes = (BeginThrottle,)

    @extend_schema(
        operation_id="audit_request_begin",
        summary="Begin a request for a free audit",
        description="Needs no account. Keep the key: whoever has it holds the request.",
        request=None,
        responses={201: RequestOutput},
    )
    def post(self, request: Request) -> Response:
        """Begin."""
        begun = services.request_begin(actor=self.actor(request))
        return self.answer(begun, status.HTTP_201_CREATED)


class RequestRead(PublicOperation):
    """Read a request."""

    @extend_schema(
        operation_id="audit_request_read",
        summary="Read a request by its key",
        description="State, answers so far, the next question, and the reasons when it is a no.",
        responses=RequestOutput,
    )
    def get(self, request: Request, key: UUID) -> Response:
        """Read."""
        return self.answer(selectors.request_by_key(key))


class RequestAnswer(PublicOperation):
    """Answer one question."""

    @extend_schema(
        operation_id="audit_request_answer",
        summary="Answer one question of a request",
        description=(
            "Questions: address, account, contact, tenure, home, bothers, each with its own body. "
            "A wrong answer comes back by field and nothing is kept of it. After a no, a new "
            "answer opens the request again."
        ),
        request=ANSWER,
        responses=RequestOutput,
    )
    def put(self, request: Request, key: UUID, question: str) -> Response:
        """Keep the answer."""
        selectors.request_by_key(key)
        said = request.data
        if not isinstance(said, dict):
            raise ValuesRefused("Send one object with the fields of the question.")
        return self.answer(
            services.request_answer(
                key=key, question=question, answer=said, actor=self.actor(request)
            )
        )


class RequestScreen(PublicOperation):
    """Ask the rules."""

    throttle_classes = (ScreenThrottle,)

    @extend_schema(
        operation_id="audit_request_screen",
        summary="Ask the rules about a request",
        description="Moves it to eligible or not_eligible; a no comes with every reason at once.",
        request=None,
        responses=RequestOutput,
    )
    def post(self, request: Request, key: UUID) -> Response:
        """Screen."""
        selectors.request_by_key(key)
        return self.answer(services.request_screen(key=key, actor=self.actor(request)))


class RequestWithdraw(PublicOperation):
    """Give a request up."""

    @extend_schema(
        operation_id="audit_request_withdraw",
        summary="Withdraw a request",
        description="Not possible once it has become a casefile.",
        request=None,
        responses=RequestOutput,
    )
    def post(self, request: Request, key: UUID) -> Response:
        """Withdraw."""
        selectors.request_by_key(key)
        return self.answer(services.request_withdraw(key=key, actor=self.actor(request)))


class CasefileClaim(APIView):
    """Open the casefile of one's own eligible request."""

    permission_classes = [HasRole]
    roles = ANYONE

    @extend_schema(
        operation_id="casefile_open",
        summary="Open the casefile of an eligible request",
        description=(
            "For the person signed in, whose e-mail address must be verified and that of the "
            "request. Asked again, it answers with the same casefile."
        ),
        request=None,
        responses={200: CasefileOutput},
    )
    def post(self, request: Request, key: UUID) -> Response:
        """Open."""
        asked = selectors.request_by_key(key)
        opened = services.casefile_open(
            request_id=asked.pk, user=person(request), actor=person(request)
        )
        casefile = selectors.casefile_by_number_for(request.user, opened.number)
        return Response(CasefileOutput(casefile).data)


class CasefileList(APIView):
    """The casefiles a person may see."""

    permission_classes = [HasRole]
    roles = (Role.HOMEOWNER, Role.AUDITOR, Role.PROGRAM_ADMIN)
    page_size = 50

    @extend_schema_serializer(component_name="CasefileList")
    class Input(serializers.Serializer[Any]):
        """Which page."""

        page = serializers.IntegerField(min_value=1, default=1, help_text="Which page.")

    @extend_schema(
        operation_id="casefile_list",
        summary="List the casefiles you may see",
        description="A household its own, an auditor those with a visit, the program office all.",
        parameters=[Input],
        responses=CasefileOutput(many=True),
    )
    def get(self, request: Request) -> Response:
        """List one page of fifty."""
        asked = self.Input(data=request.query_params)
        asked.is_valid(raise_exception=True)
        start = (asked.validated_data["page"] - 1) * self.page_size
        found = selectors.casefiles_for(request.user)[start : start + self.page_size]
        return Response(CasefileOutput(found, many=True).data)


class CasefileRead(APIView):
    """One casefile."""

    permission_classes = [HasRole]
    roles = (Role.HOMEOWNER, Role.AUDITOR, Role.PROGRAM_ADMIN)

    @extend_schema(
        operation_id="casefile_read",
        summary="Read one casefile",
        description="Another household's or auditor's casefile is not found.",
        responses=CasefileOutput,
    )
    def get(self, request: Request, number: str) -> Response:
        """Read."""
        return Response(CasefileOutput(selectors.casefile_by_number_for(request.user, number)).data)
