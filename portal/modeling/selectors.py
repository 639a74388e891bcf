"""Finding model runs and what they say, within what a person may see."""

from functools import lru_cache

from django.db.models import QuerySet

from calcs.inputs import House, house_from_dict
from calcs.results import analysis_from_dict
from portal.accounts.models import User
from portal.enrollment import selectors as enrollment
from portal.enrollment.models import Casefile
from portal.modeling.models import ModelRun
from portal.modeling.results import Analysis
from portal.modeling.states import RunPurpose, RunState


def runs_for(user: User) -> QuerySet[ModelRun]:
    """The runs of the casefiles a person may see."""
    return ModelRun.objects.filter(casefile__in=enrollment.casefiles_for(user)).select_related(
        "casefile", "record", "weather"
    )


def latest_run(casefile: Casefile, *, purpose: RunPurpose = RunPurpose.AUDIT) -> ModelRun | None:
    """The newest run of a casefile, whatever its state."""
    return casefile.model_runs.filter(purpose=purpose).order_by("-queued_at", "-pk").first()


def latest_done_run(casefile: Casefile) -> ModelRun | None:
    """The newest finished run behind the report."""
    return (
        casefile.model_runs.filter(purpose=RunPurpose.AUDIT, state=RunState.DONE)
        .order_by("-finished_at", "-pk")
        .first()
    )


def analysis_of(run: ModelRun) -> Analysis:
    """What a finished run found. Results never change, so they are read once per process.

    Raises
    ------
    ValueError
        The run is not done.
    """
    if run.state != RunState.DONE:
        raise ValueError(f"{run} is {run.state}")
    return _analysis(run.pk)


@lru_cache(maxsize=64)
def _analysis(run_id: int) -> Analysis:
    return analysis_from_dict(
        ModelRun.objects.values_list("results", flat=True).get(pk=run_id)
    )


def house_of(run: ModelRun) -> House:
    """The house as the run saw it."""
    return house_from_dict(run.house)
