"""One home from a completed field record to a claim, by the services alone."""

import io
from datetime import datetime
from decimal import Decimal

import pytest
from PIL import Image

from portal.core import clock, jobs, trail
from portal.core.errors import DomainError, FundExhausted, NotAllowed
from portal.enrollment import selectors as enrollment
from portal.modeling.states import RunState
from portal.places.models import CasePosition
from portal.places.positions import position_of
from portal.rebates.consent import consent_text
from portal.rebates.models import Fund, LedgerEntry, SubsidyRequest
from portal.rebates.services import plans, quotes, requests
from portal.rebates.states import SubsidyState
from portal.reports.states import ReportKind, ReportState
from portal.works.models import WorkScope
from portal.works.services import claims, scopes
from portal.works.states import ScopeState
from tests.factories import enrollment as enrollment_factory
from tests.factories import intake as intake_factory
from tests.journeys.program import Program, program

pytestmark = pytest.mark.django_db(transaction=True)


def photo() -> io.BytesIO:
    """A small picture."""
    content = io.BytesIO()
    Image.new("RGB", (64, 48), "white").save(content, "JPEG")
    content.seek(0)
    return content


@pytest.fixture
def spring() -> "datetime":
    """The day of the tests' visits, 9 a.m."""
    return clock.local(intake_factory.VISIT_DAY, 9)


def audited(moment: datetime) -> tuple[Program, "object"]:
    """A program and a casefile whose ranch has been audited, worked out and reported."""
    casefile = enrollment_factory.casefile()
    county = casefile.participation.dwelling.building.county
    ready = program(counties=(county,))
    intake_factory.complete_ranch(intake_factory.visit(casefile=casefile))
    jobs.drain()
    return ready, casefile


def requested(casefile: "object", owner: "object") -> SubsidyRequest:
    """The plan as the report advises, priced by the list, sent."""
    plan = plans.plan_open(casefile=casefile, actor=owner)
    plans.plan_choose(plan_id=plan.pk, answers={}, actor=owner)
    jobs.drain()
    quotes.quote_from_price_list(plan_id=plan.pk, actor=owner)
    return requests.request_send(plan_id=plan.pk, consent_text=consent_text(), actor=owner)


def test_a_ranch_goes_from_record_to_claim(spring: datetime) -> None:
    with clock.at(spring):
        ready, casefile = audited(spring)
        owner = enrollment.members_of(casefile).get()
        run = casefile.model_runs.get()
        assert run.state == RunState.DONE, run.error
        report = casefile.reports.get(kind=ReportKind.OWNER)
        assert report.state == ReportState.READY
        with report.file.content.open("rb") as paper:
            assert paper.read(5) == b"%PDF-"
        assert report.content["first"]

        request = requested(casefile, owner)
        assert request.state == SubsidyState.SENT
        assert request.ruling["outcome"] == "payable", request.ruling["findings"]
        assert request.amount_usd > 0
        assert requests.replayed_ruling(request).total_usd == request.amount_usd

        with pytest.raises(NotAllowed):
            requests.request_reserve(request_id=request.pk, firm=ready.firm, actor=owner)
        requests.request_reserve(request_id=request.pk, firm=ready.firm, actor=ready.admin)
        jobs.drain()
        request.refresh_from_db()
        held = sum(fund.committed_usd for fund in Fund.objects.all())
        assert held == request.amount_usd == request.reservation.amount_usd
        written = LedgerEntry.objects.filter(kind="reserve").values_list("amount_usd", flat=True)
        assert sum(written) == held

        scope = WorkScope.objects.get(casefile=casefile)
        assert scope.state == ScopeState.ISSUED, scope.header["held_by"]
        paper = casefile.reports.get(kind=ReportKind.SCOPE)
        assert paper.state == ReportState.READY
        scopes.scope_accept(scope_id=scope.pk, actor=ready.contractor)
        lines = list(scope.lines.all())
        with pytest.raises(DomainError, match="photo"):
            scopes.line_mark_done(line_id=lines[0].pk, actor=ready.contractor)
        for line in lines:
            scopes.proof_add(
                line_id=line.pk,
                moment="after",
                upload=photo(),
                upload_name="after.jpg",
                actor=ready.contractor,
            )
            scopes.line_mark_done(line_id=line.pk, actor=ready.contractor)
        claim = claims.claim_send(
            scope_id=scope.pk,
            invoice_number="1041",
            invoice_usd=Decimal("4210.00"),
            actor=ready.contractor,
        )
        jobs.drain()
        position = CasePosition.objects.get(casefile=casefile)
        assert (position.stage, position.next_action) == ("payment", "check_claim")
        assert position.due_on == claim.answer_by_on
        assert position_of(casefile).next_action == position.next_action
        kinds = [entry.record_kind for entry in trail.entries_for_casefile(casefile.number)]
        for kind in (
            "intake.fieldrecord",
            "modeling.modelrun",
            "reports.report",
            "rebates.subsidyrequest",
            "works.workscope",
            "works.scopeline",
            "works.claim",
        ):
            assert kind in kinds, kind
        assert all(entry.actor_label for entry in trail.entries_for_casefile(casefile.number))


def test_an_empty_fund_refuses_the_whole_request(spring: datetime) -> None:
    with clock.at(spring):
        ready, casefile = audited(spring)
        owner = enrollment.members_of(casefile).get()
        request = requested(casefile, owner)
        Fund.objects.update(allotted_usd=Decimal("100.00"))
        with pytest.raises((FundExhausted, DomainError)):
            requests.request_reserve(request_id=request.pk, firm=ready.firm, actor=ready.admin)
        request.refresh_from_db()
        assert request.state == SubsidyState.SENT
        assert not LedgerEntry.objects.filter(kind="reserve").exists()
        assert not WorkScope.objects.exists()
