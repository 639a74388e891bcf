"""Operations of the plan, the quote, the subsidy request and the Desk's decisions."""

from decimal import Decimal
from typing import Any

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from portal.accounts.models import Firm
from portal.accounts.states import Role
from portal.core.access import HasRole, SignedInCall
from portal.core.errors import ValuesRefused
from portal.enrollment import selectors as enrollment
from portal.rebates import plan_page, selectors
from portal.rebates.consent import consent_text
from portal.rebates.models import Plan, SubsidyRequest
from portal.rebates.services import plans, quotes
from portal.rebates.services import requests as services
from portal.rebates.states import Answer, SubsidyState


class ChoiceOutput(serializers.Serializer[Any]):
    """One measure and what the homeowner says to it."""

    measure = serializers.CharField(help_text="Id of the measure in the model run.")
    answer = serializers.ChoiceField(choices=Answer.choices, help_text="yes, later or no.")


class PlanOutput(serializers.Serializer[Any]):
    """A plan with what it comes to."""

    casefile = serializers.CharField(help_text="Number of the casefile.")
    choices = ChoiceOutput(many=True, help_text="Every measure of the report.")
    cost_usd = serializers.DecimalField(
        max_digits=12, decimal_places=2, help_text="Price of what is chosen."
    )
    program_usd = serializers.DecimalField(
        max_digits=12, decimal_places=2, help_text="What the program pays, an estimate."
    )
    owner_usd = serializers.DecimalField(
        max_digits=12, decimal_places=2, help_text="What is left for the owner."
    )
    saving_low_usd = serializers.FloatField(allow_null=True, help_text="Yearly saving, low.")
    saving_usd = serializers.FloatField(
        allow_null=True, help_text="Yearly saving, most likely; null until it is worked out."
    )
    saving_high_usd = serializers.FloatField(allow_null=True, help_text="Yearly saving, high.")
    rules = serializers.CharField(help_text="Rule set and version of the estimate.")


def plan_body(plan: Plan) -> dict[str, Any]:
    """A plan as the operations answer it."""
    sums = plan_page.sums_of(plan, plans.chosen_measures(plan))
    saving = sums.saving
    return PlanOutput(
        {
            "casefile": plan.casefile.number,
            "choices": list(plan.choices.values("measure", "answer")),
            "cost_usd": sums.cost_usd,
            "program_usd": sums.program_usd,
            "owner_usd": sums.owner_usd,
            "saving_low_usd": saving.cost_low_usd if saving else None,
            "saving_usd": saving.cost_usd if saving else None,
            "saving_high_usd": saving.cost_high_usd if saving else None,
            "rules": str(sums.rule_set or ""),
        }
    ).data


def _plan(request: SignedInCall, number: str) -> Plan:
    return get_object_or_404(selectors.plans_for(request.user), casefile__number=number)


class PlanInput(serializers.Serializer[Any]):
    """Answers to some or all of the measures."""

    choices = ChoiceOutput(many=True, help_text="Answers; measures left out stay as they are.")


class PlanOperation(APIView):
    """Read the plan of a home, or answer its measures."""

    permission_classes = [HasRole]
    roles = (Role.HOMEOWNER,)

    @extend_schema(
        operation_id="plan_read",
        summary="Read a plan",
        description="Opens the plan from the report if there is none yet.",
        responses=PlanOutput,
    )
    def get(self, request: SignedInCall, number: str) -> Response:
        """Answer with the plan."""
        casefile = enrollment.casefile_by_number_for(request.user, number)
        return Response(plan_body(plans.plan_open(casefile=casefile, actor=request.user)))

    @extend_schema(
        operation_id="plan_choose",
        summary="Choose measures",
        description="Keeps the answers and queues the model run of exactly this choice.",
        request=PlanInput,
        responses=PlanOutput,
    )
    def put(self, request: SignedInCall, number: str) -> Response:
        """Keep the answers."""
        data = PlanInput(data=request.data)
        data.is_valid(raise_exception=True)
        plan = plans.plan_choose(
            plan_id=_plan(request, number).pk,
            answers={entry["measure"]: entry["answer"] for entry in data.validated_data["choices"]},
            actor=request.user,
        )
        return Response(plan_body(plan))


class QuoteLineInput(serializers.Serializer[Any]):
    """The price of one chosen measure."""

    measure = serializers.CharField(help_text="Id of the measure.")
    amount_usd = serializers.DecimalField(
        max_digits=9, decimal_places=2, min_value=Decimal("0.01"), help_text="Price in dollars."
    )


class QuoteInput(serializers.Serializer[Any]):
    """A firm's quote; without a firm the program's price list is used."""

    firm_id = serializers.IntegerField(required=False, help_text="The firm that wrote it.")
    quoted_on = serializers.DateField(required=False, help_text="Date on the quote.")
    lines = QuoteLineInput(many=True, required=False, help_text="One price a chosen measure.")


class QuoteOutput(serializers.Serializer[Any]):
    """The quote as it is kept."""

    id = serializers.IntegerField(help_text="Number of the quote.")
    is_price_list = serializers.BooleanField(help_text="Whether it is the program's list.")
    total_usd = serializers.DecimalField(
        max_digits=12, decimal_places=2, help_text="Sum of its lines."
    )


class QuoteOperation(APIView):
    """Attach a quote to the plan."""

    permission_classes = [HasRole]
    roles = (Role.HOMEOWNER,)

    @extend_schema(
        operation_id="quote_attach",
        summary="Attach a quote",
        description="A firm's quote, or the program's price list when no firm is named.",
        request=QuoteInput,
        responses={201: QuoteOutput},
    )
    def post(self, request: SignedInCall, number: str) -> Response:
        """Keep it."""
        data = QuoteInput(data=request.data)
        data.is_valid(raise_exception=True)
        values = data.validated_data
        plan = _plan(request, number)
        if "firm_id" not in values:
            quote = quotes.quote_from_price_list(plan_id=plan.pk, actor=request.user)
        else:
            firm = Firm.objects.filter(pk=values["firm_id"]).first()
            if firm is None or "quoted_on" not in values:
                raise ValuesRefused(
                    "Name a firm of the program and the date on its quote.",
                    fields={"firm_id": "Name a firm of the program."},
                )
            quote = quotes.quote_from_firm(
                plan_id=plan.pk,
                firm=firm,
                amounts={line["measure"]: line["amount_usd"] for line in values.get("lines", ())},
                quoted_on=values["quoted_on"],
                actor=request.user,
            )
        total = sum((line.amount_usd for line in quote.lines.all()), Decimal(0))
        body = QuoteOutput(
            {"id": quote.pk, "is_price_list": quote.is_price_list, "total_usd": total}
        ).data
        return Response(body, status=status.HTTP_201_CREATED)


class SubsidyRequestOutput(serializers.Serializer[Any]):
    """A subsidy request with its ruling."""

    number = serializers.CharField(help_text="Number of the request.")
    state = serializers.CharField(help_text="Where it stands.")
    amount_usd = serializers.DecimalField(
        max_digits=12, decimal_places=2, help_text="What the rules come to."
    )
    decide_by_on = serializers.DateField(allow_null=True, help_text="Decision promised by.")
    decision_note = serializers.CharField(help_text="What the program wrote.")
    ruling = serializers.JSONField(help_text="The ruling with every step.")
    savings = serializers.JSONField(
        help_text="Yearly saving of each measure: modeled, deemed, and which the program claims by "
        "which edition of its manual; kWh, therms, or MMBtu of other fuels."
    )


def request_body(request: SubsidyRequest) -> dict[str, Any]:
    """A request as the operations answer it."""
    return SubsidyRequestOutput(
        {
            "number": request.number,
            "state": request.state,
            "amount_usd": request.amount_usd,
            "decide_by_on": request.decide_by_on,
            "decision_note": request.decision_note,
            "ruling": request.ruling,
            "savings": request.facts.get("savings", []),
        }
    ).data


class SendInput(serializers.Serializer[Any]):
    """Consent to the words of the program."""

    agrees = serializers.BooleanField(help_text="Whether the homeowner agrees to the words.")


class SendOperation(APIView):
    """Send the plan and its quote as a subsidy request."""

    permission_classes = [HasRole]
    roles = (Role.HOMEOWNER,)

    @extend_schema(
        operation_id="subsidy_request_send",
        summary="Send a subsidy request",
        description="Needs a finished run of exactly the chosen measures, a quote and consent.",
        request=SendInput,
        responses={201: SubsidyRequestOutput},
    )
    def post(self, request: SignedInCall, number: str) -> Response:
        """Send it."""
        data = SendInput(data=request.data)
        data.is_valid(raise_exception=True)
        sent = services.request_send(
            plan_id=_plan(request, number).pk,
            consent_text=consent_text() if data.validated_data["agrees"] else "",
            actor=request.user,
        )
        return Response(request_body(sent), status=status.HTTP_201_CREATED)


class RequestOperation(APIView):
    """Read a subsidy request."""

    permission_classes = [HasRole]
    roles = (Role.HOMEOWNER, Role.PROGRAM_ADMIN)

    @extend_schema(
        operation_id="subsidy_request_read",
        summary="Read a subsidy request",
        description="State, amount and the ruling with its trace.",
        responses=SubsidyRequestOutput,
    )
    def get(self, request: SignedInCall, request_number: str) -> Response:
        """Answer with it."""
        found = get_object_or_404(selectors.requests_for(request.user), number=request_number)
        return Response(request_body(found))


class DecisionInput(serializers.Serializer[Any]):
    """One of the Desk's verbs."""

    decision = serializers.ChoiceField(
        choices=[
            SubsidyState.RESERVED,
            SubsidyState.RETURNED,
            SubsidyState.DEFERRED,
            SubsidyState.REFUSED,
            SubsidyState.REFERRED,
        ],
        help_text="reserved, returned, deferred, refused or referred.",
    )
    firm_id = serializers.IntegerField(required=False, help_text="Firm that gets the work.")
    note = serializers.CharField(
        required=False, allow_blank=True, help_text="Needed for all but a yes."
    )


class DecideOperation(APIView):
    """Decide a subsidy request."""

    permission_classes = [HasRole]
    roles = (Role.PROGRAM_ADMIN,)

    @extend_schema(
        operation_id="subsidy_request_decide",
        summary="Decide a subsidy request",
        description="Reserve holds the money and awards the work; the others need a reason.",
        request=DecisionInput,
        responses=SubsidyRequestOutput,
    )
    def post(self, request: SignedInCall, request_number: str) -> Response:
        """Decide it."""
        data = DecisionInput(data=request.data)
        data.is_valid(raise_exception=True)
        values = data.validated_data
        found = get_object_or_404(selectors.requests_for(request.user), number=request_number)
        if values["decision"] == SubsidyState.RESERVED:
            firm = Firm.objects.filter(pk=values.get("firm_id")).first()
            if firm is None:
                message = "Name the firm that gets the work."
                raise ValuesRefused(message, fields={"firm_id": message})
            decided = services.request_reserve(
                request_id=found.pk, firm=firm, note=values.get("note", ""), actor=request.user
            )
        else:
            decided = services.request_decide(
                request_id=found.pk,
                target=SubsidyState(values["decision"]),
                note=values.get("note", ""),
                actor=request.user,
            )
        return Response(request_body(decided))
