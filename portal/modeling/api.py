"""Operations of modeling: start a run, see how far it is, read what it found."""

from django.shortcuts import get_object_or_404
from drf_spectacular.utils import extend_schema
from rest_framework import serializers, status
from rest_framework.response import Response
from rest_framework.views import APIView

from portal.core.access import HasRole, SignedInCall
from portal.intake import selectors as intake
from portal.modeling import formulas, selectors, services
from portal.modeling.views import WORKERS, RunView, progress_of


class RunProgressOutput(serializers.Serializer[dict[str, object]]):
    """How far a run is."""

    id = serializers.IntegerField(help_text="Number of the run.")
    state = serializers.CharField(help_text="queued, running, done or failed.")
    label = serializers.CharField(  # type: ignore[assignment]  # a field may bear this name
        help_text="What is being done now, in words."
    )
    done = serializers.IntegerField(help_text="Steps done.")
    total = serializers.IntegerField(help_text="Steps in all.")
    is_finished = serializers.BooleanField(help_text="Whether nothing more will happen.")


class RunResultOutput(RunProgressOutput):
    """A run with what went in and what came out."""

    engine_version = serializers.CharField(help_text="Version of the calculation engine.")
    weather_used = serializers.JSONField(
        help_text="Code, name, source and hash of the weather it was worked out with."
    )
    values_used = serializers.JSONField(
        help_text="Rates behind its money as they were in effect, with source and edition."
    )
    house = serializers.JSONField(help_text="The house as the model saw it, SI units.")
    results = serializers.JSONField(help_text="The analysis; energy in joules, money in dollars.")
    claims = serializers.JSONField(
        help_text="Saving of each measure by the model and by the program's manual, J a year by "
        "fuel, with the edition and which of the two is claimed; empty without a manual."
    )
    error = serializers.CharField(help_text="Why it could not be worked out, if it could not.")


class RunStart(APIView):
    """Queue a run of a completed field record."""

    permission_classes = [HasRole]
    roles = WORKERS

    @extend_schema(
        operation_id="model_run_start",
        summary="Start a model run",
        description="Queues the hourly model for a completed field record and answers at once.",
        request=None,
        responses={202: RunProgressOutput},
    )
    def post(self, request: SignedInCall, record_pk: int) -> Response:
        """Queue it."""
        record = get_object_or_404(intake.records_for(request.user), pk=record_pk)
        run = services.run_queue(record=record, actor=request.user)
        body = RunProgressOutput({"id": run.pk, **progress_of(run)}).data
        return Response(body, status=status.HTTP_202_ACCEPTED)


class RunRead(APIView):
    """Read a run."""

    permission_classes = [HasRole]
    roles = RunView.roles

    @extend_schema(
        operation_id="model_run_read",
        summary="Read a model run",
        description="Progress while it runs; the house and the analysis once it is done.",
        responses=RunResultOutput,
    )
    def get(self, request: SignedInCall, pk: int) -> Response:
        """Answer with the run."""
        run = get_object_or_404(selectors.runs_for(request.user), pk=pk)
        return Response(
            RunResultOutput(
                {
                    "id": run.pk,
                    **progress_of(run),
                    "engine_version": run.engine_version,
                    "weather_used": run.weather_used,
                    "values_used": run.values_used,
                    "house": run.house,
                    "results": run.results,
                    "claims": run.claims,
                    "error": run.error,
                }
            ).data
        )


class FormulaInput(serializers.Serializer[dict[str, object]]):
    """What is typed into a formula."""

    values = serializers.DictField(
        child=serializers.CharField(allow_blank=True),
        help_text="Input name to what is typed, in the unit the formula's page shows.",
    )


class FormulaAnswerOutput(serializers.Serializer[formulas.Answer]):
    """One answer of a formula."""

    name = serializers.CharField(help_text="Name of the answer.")
    label = serializers.CharField(  # type: ignore[assignment]  # a field may bear this name
        help_text="The same in words."
    )
    value = serializers.JSONField(help_text="Number, word, true, false or null.")
    text = serializers.CharField(help_text="The value for reading, five digits.")
    unit_text = serializers.CharField(help_text="Its unit.")


class FormulaWork(APIView):
    """Work one formula out; nothing is stored."""

    permission_classes = [HasRole]
    roles = WORKERS

    @extend_schema(
        operation_id="formula_work_out",
        summary="Work a formula out",
        description="One of the trade's formulas with typed values; nothing is stored.",
        request=FormulaInput,
        responses=FormulaAnswerOutput(many=True),
    )
    def post(self, request: SignedInCall, formula: str) -> Response:
        """Answer with what it gives."""
        entered = FormulaInput(data=request.data)
        entered.is_valid(raise_exception=True)
        answers = formulas.work_out(
            formula, entered.validated_data["values"], limits=intake.values_in_effect()
        )
        return Response([FormulaAnswerOutput(answer).data for answer in answers])
