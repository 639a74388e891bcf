"""Model runs: what they add up to, how they fail, how often they are asked for."""

from collections.abc import Iterator
from typing import Any

import pytest
from pytest_django import DjangoDbBlocker

from calcs.errors import InputError
from portal.core import jobs
from portal.core.errors import DomainError, NotAllowed, ValuesRefused
from portal.core.models import Job, OutboxMessage
from portal.core.models.jobs import JobState
from portal.intake import services as intake_services
from portal.modeling import selectors, services
from portal.modeling.models import ModelRun
from portal.modeling.states import RunPurpose, RunState
from portal.places.models import CasePosition
from portal.rebates.services import plans
from tests.factories import enrollment, people, scheduling
from tests.journeys import homes

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def home(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[homes.Walked]:
    """A home with its report and a plan worked out."""
    with homes.kept_for_a_module(django_db_blocker):
        with django_db_blocker.unblock():
            made = homes.planned(homes.audited())
        yield made


def refuse(*_args: Any, **_more: Any) -> Any:
    raise InputError("the attic has no area")


def test_the_package_saves_what_its_measures_save_one_after_the_other(home: homes.Walked) -> None:
    """By definition of the sequence: each is credited against the house the last one left."""
    for run in ModelRun.objects.filter(casefile=home.casefile):
        analysis = selectors.analysis_of(run)
        by_id = {item.id: item for item in analysis.measures}
        steps = [by_id[name].saving for name in analysis.package.measure_ids]
        assert len(steps) > 2
        assert all(step is not None for step in steps)
        total = analysis.package.saving
        assert sum(step.cost_usd for step in steps if step) == pytest.approx(total.cost_usd)
        assert sum(step.co2_kg for step in steps if step) == pytest.approx(total.co2_kg)
        before, after = analysis.package.before, analysis.package.after
        assert before.cost_usd - after.cost_usd == pytest.approx(total.cost_usd)


def test_a_plans_run_works_out_its_choices_and_nothing_else(home: homes.Walked) -> None:
    assert home.plan is not None
    run = ModelRun.objects.get(casefile=home.casefile, purpose=RunPurpose.PLAN)
    assert home.plan.own_run == run
    chosen = set(run.choices["measures"])
    assert set(selectors.analysis_of(run).package.measure_ids) <= chosen


def test_the_same_key_gives_the_same_run(home: homes.Walked) -> None:
    one = services.run_queue(record=home.record, actor=home.auditor, key="again")
    two = services.run_queue(record=home.record, actor=home.auditor, key="again")
    assert one.pk == two.pk
    assert Job.objects.filter(args__run_id=one.pk).count() == 1


def test_two_measures_that_exclude_each_other_are_refused_before_they_are_worked_out(
    home: homes.Walked,
) -> None:
    assert home.plan is not None
    by_id = {item.id: item for item in plans.measures_offered_in(home.plan)}
    one, other = next(
        (name, clash) for name, item in by_id.items() for clash in item.excludes if clash in by_id
    )
    before = ModelRun.objects.count()
    with pytest.raises(ValuesRefused, match="cannot be done together") as refused:
        plans.plan_choose(plan_id=home.plan.pk, answers={one: "yes", other: "yes"},
                          actor=home.owner)  # fmt: skip
    assert {one, other} <= set(refused.value.fields)
    assert "not both" in refused.value.fields[one]
    assert ModelRun.objects.count() == before


def test_an_open_record_is_not_worked_out(home: homes.Walked) -> None:
    home.record.refresh_from_db()
    home.record.state = "open"
    with pytest.raises(DomainError, match="Complete the field record first"):
        services.run_queue(record=home.record, actor=home.auditor)
    home.record.refresh_from_db()
    nobody = people.person("nobody@mail.example", "Nobody Yet")
    with pytest.raises(NotAllowed):
        services.run_queue(record=home.record, actor=nobody)


def test_nobody_starts_a_run_of_a_home_they_have_no_part_in(home: homes.Walked) -> None:
    neighbor = enrollment.homeowner_of(
        enrollment.casefile("4410000002", "15 Larch Street", "noor@mail.example")
    )
    stranger = scheduling.auditor("other@qlg.example", counties=[]).user
    before = ModelRun.objects.count()
    for person in (neighbor, stranger, home.program.contractor):
        with pytest.raises(NotAllowed):
            services.run_queue(record=home.record, actor=person)
    assert ModelRun.objects.count() == before
    for person in (home.owner, home.auditor, home.program.admin):
        services.run_queue(record=home.record, actor=person)
    assert ModelRun.objects.count() == before + 3


def test_what_a_run_found_is_read_once_and_few_are_kept(
    home: homes.Walked, django_assert_num_queries: Any
) -> None:
    run = ModelRun.objects.filter(casefile=home.casefile).first()
    assert run is not None
    homes.forget_analyses()
    with django_assert_num_queries(1):
        found = selectors.analysis_of(run)
        assert selectors.analysis_of(run) is found
    # The same number in a database filled anew by another engine is another run.
    run.engine_version += "-next"
    assert selectors.analysis_of(run) is not found
    assert 8 <= selectors._analysis.cache_info().maxsize <= 64
    with pytest.raises(ValueError, match="queued"):
        selectors.analysis_of(ModelRun(state=RunState.QUEUED, casefile=home.casefile))


def test_a_house_the_model_refuses_fails_the_run_and_tells_the_auditor(
    home: homes.Walked, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(services.analysis, "analyse_house", refuse)
    run = services.run_queue(record=home.record, actor=home.auditor)
    jobs.drain()
    run.refresh_from_db()
    assert run.state == RunState.FAILED
    assert run.finished_at is not None
    assert "model_refused" in run.error
    job = Job.objects.get(args__run_id=run.pk)
    assert (job.state, job.attempts) == (JobState.FAILED, 1)
    assert OutboxMessage.objects.filter(topic="model_run.failed", payload__run_id=run.pk).exists()
    assert CasePosition.objects.filter(casefile=home.casefile).exists()


def test_a_first_run_that_fails_leaves_the_case_with_the_auditor(
    home: homes.Walked, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Without a report there is nothing else to do next: the auditor corrects the record."""
    monkeypatch.setattr(services.analysis, "analyse_house", refuse)
    home.casefile.reports.all().delete()
    type(home.plan).objects.all().update(own_run=None)
    services.run_queue(record=home.record, actor=home.auditor)
    jobs.drain()
    found = CasePosition.objects.get(casefile=home.casefile)
    assert (found.holder_role, found.next_action) == ("auditor", "correct_record")
    assert found.holder_name == home.record.recorder


# -- What a run was worked out with ------------------------------------------------------


def test_a_run_keeps_its_weather_and_rates_and_its_report_names_them(home: homes.Walked) -> None:
    run = selectors.latest_done_run(home.casefile)
    assert run is not None
    assert run.weather_used["sha256"] == run.weather.sha256
    assert run.values_used["economics.real_discount"]["provenance"] == "memory"
    report = home.casefile.reports.get(kind="owner")
    said = " ".join(report.content["method"])
    assert run.weather_used["source"] in said
    assert "Real discount rate: 3% a year" in said
    assert "confirm with the edition your program adopted" in said


def test_a_run_takes_what_the_program_adopted(home: homes.Walked) -> None:
    before = selectors.latest_done_run(home.casefile)
    assert before is not None
    one, other = (people.administrator(f"{name}@qlg.example") for name in ("one", "other"))
    for key, value in (("economics.real_discount", 0.06), ("life.attic_insulation", 15.0)):
        proposal = intake_services.value_propose(
            key=key, value=value, edition="2026", document="Board paper 12", reason="Adopted",
            actor=one,
        )  # fmt: skip
        intake_services.value_adopt(proposal_id=proposal.pk, actor=other)
    run = services.run_queue(record=home.record, actor=home.auditor, key="adopted")
    jobs.drain()
    run.refresh_from_db()
    assert run.values_used["economics.real_discount"] == {
        "value": 0.06, "unit": "a year", "source": "Board paper 12, 2026", "edition": "2026",
        "provenance": "adopted",
    }  # fmt: skip
    analysis, first = selectors.analysis_of(run), selectors.analysis_of(before)
    attic = next(item for item in analysis.measures if item.kind == "attic_insulation")
    old = next(item for item in first.measures if item.id == attic.id)
    assert (attic.life_years, attic.life_source) == (15.0, "Board paper 12, 2026")
    assert attic.worth is not None
    assert old.worth is not None
    assert attic.worth.npv_usd < old.worth.npv_usd
    assert attic.saving_alone.cost_usd == pytest.approx(old.saving_alone.cost_usd)
