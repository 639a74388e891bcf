"""One home carried along the journey by the services, as far as a test needs it."""

import io
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, nullcontext
from dataclasses import dataclass
from decimal import Decimal
from unittest import mock

from django.core.management import call_command
from PIL import Image

from portal.accounts.models import User
from portal.core import clock, jobs
from portal.enrollment.models import Casefile
from portal.intake.models import FieldRecord
from portal.modeling import selectors as modeling_selectors
from portal.rebates import rulings
from portal.rebates.consent import consent_text
from portal.rebates.models import Plan, SubsidyRequest
from portal.rebates.services import plans, quotes, requests
from portal.works.models import Claim, WorkScope
from portal.works.services import claims, scopes
from tests.factories import enrollment as enrollment_factory
from tests.factories import intake as intake_factory
from tests.journeys.program import Program, program

VISIT_MORNING = clock.local(intake_factory.VISIT_DAY, 9)


@dataclass
class Walked:
    """A home and what its journey has left so far."""

    program: Program
    casefile: Casefile
    owner: User
    auditor: User
    record: FieldRecord
    plan: Plan | None = None
    request: SubsidyRequest | None = None
    scope: WorkScope | None = None
    claim: Claim | None = None


def audited() -> Walked:
    """The ranch: visited, recorded, worked out and reported."""
    casefile = enrollment_factory.casefile()
    county = casefile.participation.dwelling.building.county
    ready = program(counties=(county,))
    record = intake_factory.complete_ranch(intake_factory.visit(casefile=casefile))
    jobs.drain()
    return Walked(
        program=ready,
        casefile=casefile,
        owner=enrollment_factory.homeowner_of(casefile),
        auditor=intake_factory.auditor_of(record),
        record=record,
    )


def planned(home: Walked) -> Walked:
    """The plan as the report advises, worked out and priced by the list."""
    home.plan = plans.plan_open(casefile=home.casefile, actor=home.owner)
    plans.plan_choose(plan_id=home.plan.pk, answers={}, actor=home.owner)
    jobs.drain()
    quotes.quote_from_price_list(plan_id=home.plan.pk, actor=home.owner)
    home.plan.refresh_from_db()
    return home


def sent(home: Walked) -> Walked:
    """The subsidy request is with the program."""
    assert home.plan is not None
    home.request = requests.request_send(
        plan_id=home.plan.pk, consent_text=consent_text(), actor=home.owner
    )
    jobs.drain()
    return home


def reserved(home: Walked) -> Walked:
    """The money is reserved and the scope stands."""
    assert home.request is not None
    home.request = requests.request_reserve(
        request_id=home.request.pk, firm=home.program.firm, actor=home.program.admin
    )
    jobs.drain()
    home.scope = WorkScope.objects.get(casefile=home.casefile)
    return home


def photo() -> io.BytesIO:
    """A small picture."""
    content = io.BytesIO()
    Image.new("RGB", (64, 48), "white").save(content, "JPEG")
    content.seek(0)
    return content


def worked(home: Walked) -> Walked:
    """The firm took the job and marked every line done, with a photo of each."""
    assert home.scope is not None
    crew = home.program.contractor
    scopes.scope_accept(scope_id=home.scope.pk, actor=crew)
    for line in home.scope.lines.all():
        scopes.proof_add(
            line_id=line.pk, moment="after", upload=photo(), upload_name="after.jpg", actor=crew
        )
        scopes.line_mark_done(line_id=line.pk, actor=crew)
    jobs.drain()
    home.scope.refresh_from_db()
    return home


def claimed(home: Walked) -> Walked:
    """The firm's claim is with the program."""
    assert home.scope is not None
    home.claim = claims.claim_send(
        scope_id=home.scope.pk,
        invoice_number="1041",
        invoice_usd=Decimal("4210.00"),
        actor=home.program.contractor,
    )
    jobs.drain()
    return home


def forget_analyses() -> None:
    """An emptied database gives the same ids, at the same instant of a clock that stands still."""
    modeling_selectors._analysis.cache_clear()
    rulings._loaded.cache_clear()


def papers_not_laid_out() -> AbstractContextManager[object]:
    """Bytes for a PDF, whose layout takes seconds, where a test looks at something else.

    Papers themselves are printed by the tests of papers, of the chain and of the browser.
    """
    return mock.patch("portal.reports.printing.pdf_of", return_value=b"%PDF-1.7 not laid out")


@contextmanager
def kept_for_a_module(
    blocker: object, moment: object = VISIT_MORNING, *, prints: bool = False
) -> Iterator[None]:
    """Let a module's tests share rows made once; the database is emptied behind them.

    News and jobs run after a commit, so the rows are committed and not rolled back. Papers are
    laid out only for a module that looks at them.
    """
    forget_analyses()
    papers = nullcontext() if prints else papers_not_laid_out()
    with clock.at(moment), papers:  # type: ignore[arg-type]  # an instant
        try:
            yield
        finally:
            with blocker.unblock():  # type: ignore[attr-defined]  # pytest-django's blocker
                call_command("flush", interactive=False, verbosity=0)
            forget_analyses()
