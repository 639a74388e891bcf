"""Queueing and carrying out model runs."""

import time
from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from typing import Any

from django.db import transaction
from django.utils.translation import gettext as _

import calcs
from calcs import analysis, calibration, packages
from calcs.baseline import evaluate
from calcs.confirmable import confirmable, lives_in_effect, value_in_effect
from calcs.daily_weather import normal_months
from calcs.derivations import of_bills
from calcs.errors import CalcsError
from calcs.inputs import house_to_dict
from calcs.limits import ADOPTED, Limits
from calcs.results import Analysis, analysis_to_dict
from portal.core import clock, jobs, outbox
from portal.core.actors import Actor, SystemActor
from portal.core.errors import DomainError
from portal.core.states import move
from portal.intake import selectors as intake
from portal.intake.document import Document, Reader
from portal.intake.hazards import FIX_FIRST, STOP_NOW, Hazard
from portal.intake.models import FieldRecord
from portal.intake.states import RecordState
from portal.modeling import claims, policies, prices, usage, weather
from portal.modeling.models import ModelRun
from portal.modeling.states import RUN_MOVES, RunPurpose, RunState
from portal.modeling.translation import house_from_document, repairs_of

RUN_JOB = "modeling.run"
ENGINE = SystemActor("model run")
PROGRESS_EVERY_S = 0.5


@transaction.atomic
def run_queue(
    *,
    record: FieldRecord,
    actor: Actor,
    purpose: RunPurpose = RunPurpose.AUDIT,
    choices: Mapping[str, Any] | None = None,
    key: str = "",
) -> ModelRun:
    """Queue a run of a completed field record.

    ``choices`` of a plan's run: ``{"measures": [ids], "costs_usd": {id: dollars}}``. A ``key``
    makes the call repeatable: the same key gives the same run.

    Raises
    ------
    NotAllowed
        The actor has no part in this home.
    DomainError
        The record is not complete, or no weather is loaded.
    """
    policies.require_may_queue(actor, record)
    if record.state != RecordState.COMPLETE:
        raise DomainError(_("Complete the field record first."), code="record_open")
    if key:
        known = ModelRun.objects.filter(casefile=record.casefile, key=key).first()
        if known is not None:
            return known
    building = record.casefile.participation.dwelling.building
    run = ModelRun.objects.create(
        casefile=record.casefile,
        record=record,
        purpose=purpose,
        choices=dict(choices or {}),
        weather=weather.station_nearest(
            latitude_deg=building.latitude_deg, longitude_deg=building.longitude_deg
        ),
        queued_at=clock.now(),
        key=key,
    )
    if not key:
        run.key = f"run:{run.pk}"
        run.save(update_fields=["key"])
    jobs.enqueue(RUN_JOB, key=f"{RUN_JOB}:{run.pk}", run_id=run.pk)
    return run


@transaction.atomic
def run_start(*, run_id: int) -> ModelRun:
    """Take a queued run to running. One whose worker died is running already and begins anew."""
    run = ModelRun.objects.select_for_update().select_related("casefile").get(pk=run_id)
    if run.state != RunState.RUNNING:
        run.started_at = clock.now()
        move(run, RunState.RUNNING, moves=RUN_MOVES, actor=ENGINE, also_save=("started_at",))
    return run


def run_execute(*, run: ModelRun, ticket: jobs.Ticket) -> None:
    """Work the house out and write the result once, under the claim."""
    document = intake.record_document(run.record)
    hazards = intake.open_hazards(run.record)
    adopted = intake.values_in_effect()
    day = clock.program_date(run.queued_at)
    try:
        house = house_from_document(
            document,
            latitude_deg=run.weather.latitude_deg,
            longitude_deg=run.weather.longitude_deg,
            elevation_m=run.weather.elevation_m,
        )
        recorded = house = replace(house, repairs=repairs_of(hazards, Reader(document)))
        year = weather.year_for(run.weather)
        given = prices.prices_for_model(day, rate_code=run.casefile.participation.account.rate_code)
        progress = _progress(run, ticket)
        progress("bills", 0, 1)
        fitted = calibration.calibrate(
            house,
            usage.bills_for(run.record, normal=normal_months(year)),
            lambda tried: evaluate(tried, year, prices=given, year=day.year),
            limits=adopted,
        )
        house = fitted.house
        found = analysis.analyse_house(
            house,
            year,
            costs=_costs(run, day),
            cost_ranges=prices.cost_ranges_on(day),
            prices=given,
            blocked=blocked_by(hazards),
            chosen=run.choices.get("measures"),
            unsafe=unsafe_in(document),
            year=day.year,
            discount=adopted.value("economics.real_discount", analysis.REAL_DISCOUNT),
            escalation=adopted.value("economics.real_escalation", analysis.REAL_ESCALATION),
            lives=lives_in_effect(adopted),
            progress=progress,
        )
        found = replace(
            found,
            calibration=fitted.calibration,
            is_calibrated=fitted.calibration.is_fitted,
            derivations=(*found.derivations, *of_bills(fitted.calibration)),
        )
    except CalcsError as error:
        # What the model refuses is a fact of the record, which the auditor can correct.
        raise DomainError(str(error), code="model_refused") from error
    claimed = claims.claims_of(recorded, found, day=day)
    with ticket.finishing():
        _write_result(
            run.pk,
            house_to_dict(house),
            found,
            claimed,
            weather_used=weather.used_by_run(run.weather),
            values_used=values_used_of(adopted),
        )


def blocked_by(hazards: Iterable[Hazard]) -> dict[str, tuple[str, ...]]:
    """What each hazard that must be dealt with first stops, as the model names it."""
    return {
        hazard.key: tuple(packages.ALL_MEASURES if kind == "*" else kind for kind in hazard.blocks)
        for hazard in hazards
        if hazard.severity in (STOP_NOW, FIX_FIRST)
    }


def unsafe_in(document: Document) -> frozenset[str]:
    """Heating systems and water heaters that are replaced because no repair makes them safe.

    A burner that fails a test is repaired first, with its vent and its air; one whose heat
    exchanger is in doubt is not repaired (common practice, no source).
    """
    return frozenset(
        str(burner.value("system"))
        for burner in Reader(document).items("combustion_appliances")
        if "heat_exchanger" in burner.chosen("flags") and burner.value("system")
    )


def _costs(run: ModelRun, day: Any) -> analysis.CostOf:
    quoted: Mapping[str, Any] = run.choices.get("costs_usd", {})
    price_list = prices.price_list_on(day)

    def cost_of(measure_id: str, kind: str, quantity: float, unit: str) -> float | None:
        if measure_id in quoted:
            return float(quoted[measure_id])
        line = price_list.get(kind)
        if line is None:
            return None
        return float(prices.list_price(line, quantity=quantity, unit=unit))

    return cost_of


def _progress(run: ModelRun, ticket: jobs.Ticket) -> Callable[[str, int, int], None]:
    last = 0.0

    def report(step: str, done: int, total: int) -> None:
        nonlocal last
        ticket.check()
        if time.monotonic() - last < PROGRESS_EVERY_S and done < total:
            return
        last = time.monotonic()
        ModelRun.objects.filter(pk=run.pk).update(step=step, steps_done=done, steps_total=total)

    return report


USED_OF_MONEY = ("economics.real_discount", "economics.real_escalation")


def values_used_of(adopted: Limits) -> dict[str, Any]:
    """The rates a run takes, with where they are from, as a run keeps them."""
    kept = {}
    for key in USED_OF_MONEY:
        item = confirmable(key)
        own = adopted.adopted.get(key)
        kept[key] = {
            "value": value_in_effect(key, adopted),
            "unit": item.unit,
            "source": item.source if own is None else own.source,
            "edition": item.edition if own is None else own.edition,
            "provenance": item.provenance if own is None else ADOPTED,
        }
    return kept


def _write_result(
    run_id: int,
    house: dict[str, Any],
    found: Analysis,
    claimed: dict[str, Any],
    *,
    weather_used: dict[str, str],
    values_used: dict[str, Any],
) -> None:
    run = ModelRun.objects.select_for_update().select_related("casefile").get(pk=run_id)
    run.house = house
    run.weather_used = weather_used
    run.values_used = values_used
    run.results = analysis_to_dict(found)
    run.claims = claimed
    run.engine_version = calcs.ENGINE_VERSION
    run.finished_at = clock.now()
    run.steps_done = run.steps_total
    move(
        run,
        RunState.DONE,
        moves=RUN_MOVES,
        actor=ENGINE,
        also_save=(
            "house",
            "weather_used",
            "values_used",
            "results",
            "claims",
            "engine_version",
            "finished_at",
            "steps_done",
        ),
    )
    outbox.put("model_run.finished", key=f"model_run.finished:{run.pk}", run_id=run.pk)


def run_fail(*, run_id: int, error: str) -> None:
    """Mark a run that cannot be worked out; called in the transaction that ends its job."""
    run = ModelRun.objects.select_for_update().select_related("casefile").get(pk=run_id)
    if run.state not in (RunState.QUEUED, RunState.RUNNING):
        return
    run.error = error
    run.finished_at = clock.now()
    move(
        run,
        RunState.FAILED,
        moves=RUN_MOVES,
        actor=ENGINE,
        why=error,
        also_save=("error", "finished_at"),
    )
    outbox.put("model_run.failed", key=f"model_run.failed:{run.pk}", run_id=run.pk)
