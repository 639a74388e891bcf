"""Pages of modeling: how far a run is, and starting one again."""

from typing import Any

from django.contrib import messages
from django.http import Http404, HttpResponse, JsonResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils.translation import gettext as _
from django.views import View

from portal.accounts.states import Role
from portal.core.access import RoleRequiredMixin, SignedInRequest
from portal.core.errors import DomainError, ValuesRefused
from portal.intake import selectors as intake
from portal.modeling import bill_words, formulas, selectors, services
from portal.modeling.forms import FormulaForm
from portal.modeling.formula_words import title_of
from portal.modeling.models import ModelRun
from portal.modeling.states import RunState
from portal.modeling.words import step_words

WORKERS = (Role.AUDITOR, Role.PROGRAM_ADMIN)


class RunView(RoleRequiredMixin, View):
    """One run: waiting, under way with its real progress, done with its figures, or failed."""

    roles = (*WORKERS, Role.HOMEOWNER)

    def get(self, request: SignedInRequest, pk: int) -> HttpResponse:
        """Show the run; a script that asks for JSON gets the progress alone."""
        run = get_object_or_404(selectors.runs_for(request.user), pk=pk)
        if request.headers.get("Accept", "").startswith("application/json"):
            return JsonResponse(progress_of(run))
        context = {"run": run, "is_worker": not request.user.roles.isdisjoint(WORKERS)}
        return render(request, "modeling/run.html", {**context, **self._context(run)})

    def _context(self, run: ModelRun) -> dict[str, Any]:
        context = {
            "progress": progress_of(run),
            "is_waiting": run.state in (RunState.QUEUED, RunState.RUNNING),
            "is_failed": run.state == RunState.FAILED,
        }
        if run.state == RunState.DONE:
            context["figures"] = selectors.figures_of(run)
            used = run.weather_used
            context["weather_line"] = _("Weather: %(name)s. %(source)s.") % {
                "name": used.get("name", run.weather.name),
                "source": used.get("source", run.weather.source),
            }
            context["bills"] = bill_words.paragraphs(selectors.analysis_of(run).calibration)
        return context


def progress_of(run: ModelRun) -> dict[str, Any]:
    """How far a run is: its state, the step in words, steps done and in all."""
    return {
        "state": run.state,
        "label": step_words(run),
        "done": run.steps_done,
        "total": max(run.steps_total, 1),
        "is_finished": run.state in (RunState.DONE, RunState.FAILED),
    }


class RunStartView(RoleRequiredMixin, View):
    """Work a completed record out again, after a correction or a failure."""

    roles = WORKERS

    def post(self, request: SignedInRequest, record_pk: int) -> HttpResponse:
        """Queue the run and show it."""
        record = get_object_or_404(intake.records_for(request.user), pk=record_pk)
        try:
            run = services.run_queue(record=record, actor=request.user)
        except DomainError as error:
            messages.error(request, error.message)
            return redirect("intake:record", pk=record.pk)
        messages.success(request, _("The house is being worked out again."))
        return redirect("modeling:run", pk=run.pk)


class FormulasView(RoleRequiredMixin, View):
    """Every formula of the trade the portal has, by what it is about."""

    roles = WORKERS

    def get(self, request: SignedInRequest) -> HttpResponse:
        """List them."""
        groups = [
            {
                "title": title,
                "tasks": [
                    {
                        "label": title_of(test),
                        "url": reverse("modeling:formula", args=[test.name]),
                        "note": test.source,
                    }
                    for test in tests
                ],
            }
            for title, tests in formulas.groups().items()
        ]
        return render(request, "modeling/formulas.html", {"groups": groups})


class FormulaView(RoleRequiredMixin, View):
    """One formula: boxes with their units, the answer, and where the formula is from."""

    roles = WORKERS

    def get(self, request: SignedInRequest, formula: str) -> HttpResponse:
        """Show the boxes; with something typed, the answer too. Nothing is stored."""
        try:
            test = formulas.find(formula)
        except ValuesRefused as error:
            raise Http404(error.message) from error
        form = FormulaForm(request.GET or None, test=test)
        answers = form.answers() if form.is_bound else ()
        context = {
            "form": form,
            "title": title_of(test),
            "test": test,
            "answers": [
                {"label": answer.label, "value": f"{answer.text} {answer.unit_text}".strip()}
                for answer in answers
            ],
        }
        return render(request, "modeling/formula.html", context)
