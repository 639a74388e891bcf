"""Finding model runs and what they say, within what a person may see."""

from datetime import datetime
from functools import lru_cache

from django.db.models import QuerySet
from django.utils.translation import gettext as _

from calcs.inputs import House, house_from_dict
from calcs.results import analysis_from_dict
from portal.accounts.models import User
from portal.core.money import whole_usd
from portal.core.units import convert
from portal.enrollment import selectors as enrollment
from portal.enrollment.models import Casefile
from portal.modeling.models import ModelRun, WeatherFile, WeatherStation
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
    return _analysis(run.pk, run.key, run.queued_at, run.finished_at, run.engine_version)


# A page reads a few runs, and one takes about a tenth of a megabyte.
@lru_cache(maxsize=64)
def _analysis(
    run_id: int,
    _key: str,
    _queued_at: datetime,
    _finished_at: datetime | None,
    _engine_version: str,
) -> Analysis:
    # A database that was emptied and filled again gives the same ids to other runs, at the same
    # instants even of a clock that was held still; and another engine gives other results.
    return analysis_from_dict(ModelRun.objects.values_list("results", flat=True).get(pk=run_id))


def house_of(run: ModelRun) -> House:
    """The house as the run saw it."""
    return house_from_dict(run.house)


def figures_of(run: ModelRun) -> list[dict[str, str]]:
    """The few figures an auditor checks before leaving the house, in US units."""
    analysis = analysis_of(run)
    baseline = analysis.baseline
    saving = analysis.package.saving
    rows = [
        (_("Energy in a year"), usd_a_year(baseline.cost_usd)),
        *(
            [(_("Paid whatever is used"), usd_a_year(baseline.fixed_usd))]
            if baseline.fixed_usd
            else []
        ),
        (
            _("Heat the house needs"),
            _("%(load).0f million Btu a year")
            % {"load": convert(baseline.heating_load_j, "J", "MMBtu")},
        ),
        (
            _("Largest heating load"),
            _("%(peak)s Btu/h")
            % {"peak": f"{round(convert(baseline.peak_heating_w, 'W', 'Btu/h'), -2):,.0f}"},
        ),
        (
            _("What is advised saves"),
            _("$%(low).0f to $%(high).0f a year, most likely $%(likely).0f")
            % {
                "low": saving.cost_low_usd,
                "high": saving.cost_high_usd,
                "likely": saving.cost_usd,
            },
        ),
    ]
    return [{"label": label, "value": value} for label, value in rows]


def rates_of(analysis: Analysis) -> list[str]:
    """Names of the rates a run billed the house by; empty where plain prices were used."""
    return [
        entry.source
        for item in analysis.derivations
        if item.key == "annual_cost"
        for entry in item.inputs
        if entry.name_key.startswith("price.") and entry.how == "worked_out"
    ]


def usd_a_year(amount: float) -> str:
    """A yearly sum for running text."""
    return _("%(amount)s a year") % {"amount": whole_usd(amount)}


def stations() -> QuerySet[WeatherStation]:
    """Every station that was loaded, those in use first."""
    return WeatherStation.objects.order_by("-is_in_use", "code")


def weather_files() -> QuerySet[WeatherFile]:
    """Every weather file that was sent, the newest first."""
    return WeatherFile.objects.select_related("file", "station")
