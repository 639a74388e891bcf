"""Award, scope, lines and claim, through the services; and where the casefile then stands."""

from collections.abc import Iterator
from decimal import Decimal

import pytest
from django.core.management import call_command
from pytest_django import DjangoDbBlocker

from portal.core import jobs
from portal.core.errors import DomainError, MoveRefused, NotAllowed, ValuesRefused
from portal.intake import selectors as intake_selectors
from portal.intake import services as intake_services
from portal.places.models import CasePosition
from portal.rebates.services import requests
from portal.works import selectors
from portal.works.models import Award, WorkScope
from portal.works.services import claims, scopes
from portal.works.states import ClaimState, LineState, ScopeState
from tests.factories import intake, people
from tests.journeys import homes

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def home(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[homes.Walked]:
    """A home whose request is with the program."""
    with homes.kept_for_a_module(django_db_blocker):
        with django_db_blocker.unblock():
            made = homes.sent(homes.planned(homes.audited()))
        yield made


@pytest.fixture
def scope(home: homes.Walked) -> WorkScope:
    """The home's scope, issued to the firm."""
    found = homes.reserved(home).scope
    assert found is not None
    return found


def position(home: homes.Walked) -> tuple[str, str, str]:
    found = CasePosition.objects.get(casefile=home.casefile)
    return found.stage, found.holder_role, found.next_action


# -- Award and hazards -------------------------------------------------------------------


def test_the_work_of_a_request_is_awarded_once(home: homes.Walked, scope: WorkScope) -> None:
    assert home.request is not None
    again = scopes.award_make(
        request_id=home.request.pk, firm_id=home.program.firm.pk, awarded_by="again"
    )
    assert again.pk == scope.pk
    assert Award.objects.count() == WorkScope.objects.count() == 1
    priced = sum(line.price_usd for line in scope.lines.all())
    assert priced == sum(line.amount_usd for line in home.request.quote.lines.all())
    assert scope.lines.count() == len(home.request.measures)
    assert position(home) == ("scope", "contractor", "answer_scope")


def test_a_hazard_found_late_holds_the_scope_until_it_is_cleared(home: homes.Walked) -> None:
    assert home.request is not None
    requests.request_reserve(
        request_id=home.request.pk, firm=home.program.firm, actor=home.program.admin
    )
    attic = home.record.items.get(group="attics", removed_at__isnull=True)
    intake.save(
        home.record,
        "attic",
        {"vermiculite": "yes"},
        item_key=str(attic.key),
        why_changed="Seen under the batts on the second look.",
    )
    jobs.drain()
    scope = WorkScope.objects.get(casefile=home.casefile)
    assert scope.state == ScopeState.HELD
    assert any("ermiculite" in words for words in scope.header["held_by"])
    assert scope.issued_at is None
    assert not selectors.scopes_for(home.program.contractor).exists()
    assert position(home) == ("scope", "homeowner", "clear_hazard")
    with pytest.raises(MoveRefused):
        scopes.scope_accept(scope_id=scope.pk, actor=home.program.contractor)

    [hazard] = [
        found
        for found in intake_selectors.open_hazards_of(home.casefile)
        if found.kind == "vermiculite"
    ]
    with pytest.raises(NotAllowed):
        intake_services.hazard_clear(
            casefile_id=home.casefile.pk,
            hazard=hazard.key,
            evidence="Laboratory: none found.",
            actor=home.auditor,
        )
    intake_services.hazard_clear(
        casefile_id=home.casefile.pk,
        hazard=hazard.key,
        evidence="Laboratory report of March 9: no asbestos in three samples.",
        actor=home.program.admin,
    )
    jobs.drain()
    scope.refresh_from_db()
    assert scope.state == ScopeState.ISSUED
    assert scope.issued_at is not None
    assert scope.header["held_by"] == []
    assert selectors.scopes_for(home.program.contractor).get() == scope
    assert position(home) == ("scope", "contractor", "answer_scope")


# -- The firm's answers ------------------------------------------------------------------


def test_only_the_firm_of_the_award_acts_on_a_scope(home: homes.Walked, scope: WorkScope) -> None:
    rival = people.contractor("crew@plover.example", of=people.firm("Plover & Post"))
    line = scope.lines.first()
    assert line is not None
    for actor in (rival, home.owner, home.auditor, home.program.admin):
        with pytest.raises(NotAllowed):
            scopes.scope_accept(scope_id=scope.pk, actor=actor)
        with pytest.raises(NotAllowed):
            scopes.line_mark_done(line_id=line.pk, actor=actor)
        with pytest.raises(NotAllowed):
            claims.claim_send(
                scope_id=scope.pk, invoice_number="1", invoice_usd=Decimal(1), actor=actor
            )
    assert not selectors.scopes_for(rival).exists()


def test_a_no_needs_its_reason_and_goes_back_to_the_desk(
    home: homes.Walked, scope: WorkScope
) -> None:
    with pytest.raises(ValuesRefused, match="Write why"):
        scopes.scope_decline(scope_id=scope.pk, actor=home.program.contractor, why=" ")
    scopes.scope_decline(
        scope_id=scope.pk, actor=home.program.contractor, why="No crew before June."
    )
    jobs.drain()
    assert position(home) == ("scope", "program_admin", "find_firm")


def test_a_line_is_done_with_a_photo_of_after_and_can_be_taken_back(
    home: homes.Walked, scope: WorkScope
) -> None:
    crew = home.program.contractor
    line = scope.lines.first()
    assert line is not None
    with pytest.raises(DomainError, match="Take the job first"):
        scopes.line_mark_done(line_id=line.pk, actor=crew)
    scopes.scope_accept(scope_id=scope.pk, actor=crew)
    scopes.proof_add(
        line_id=line.pk, moment="before", upload=homes.photo(), upload_name="a.jpg", actor=crew
    )
    with pytest.raises(DomainError, match="finished work"):
        scopes.line_mark_done(line_id=line.pk, actor=crew)
    scopes.proof_add(
        line_id=line.pk, moment="after", upload=homes.photo(), upload_name="b.jpg", actor=crew
    )
    scopes.line_mark_done(line_id=line.pk, actor=crew)
    with pytest.raises(MoveRefused):
        scopes.line_mark_done(line_id=line.pk, actor=crew)
    scope.refresh_from_db()
    assert scope.state == ScopeState.IN_PROGRESS
    reopened = scopes.line_reopen(line_id=line.pk, actor=crew, why="One bay was missed.")
    assert (reopened.state, reopened.done_at, reopened.done_by) == (LineState.TO_DO, None, "")


# -- The claim ---------------------------------------------------------------------------


def test_a_returned_claim_is_sent_again_under_its_number(
    home: homes.Walked, scope: WorkScope
) -> None:
    home.scope = scope
    crew = home.program.contractor
    with pytest.raises(DomainError, match="Mark every line done first"):
        claims.claim_send(
            scope_id=scope.pk, invoice_number="7", invoice_usd=Decimal(10), actor=crew
        )
    homes.worked(home)
    assert position(home) == ("claim", "contractor", "send_claim")
    with pytest.raises(ValuesRefused) as refusal:
        claims.claim_send(scope_id=scope.pk, invoice_number=" ", invoice_usd=Decimal(0), actor=crew)
    assert set(refusal.value.fields) == {"invoice_number", "invoice_usd"}
    first = claims.claim_send(
        scope_id=scope.pk, invoice_number="7", invoice_usd=Decimal("4210.005"), actor=crew
    )
    assert first.invoice_usd == Decimal("4210.01")
    with pytest.raises(DomainError, match="with the program"):
        claims.claim_send(
            scope_id=scope.pk, invoice_number="8", invoice_usd=Decimal(10), actor=crew
        )
    line = scope.lines.first()
    assert line is not None
    with pytest.raises(DomainError, match="with the program"):
        scopes.line_reopen(line_id=line.pk, actor=crew, why="Too late.")
    admin = home.program.admin
    with pytest.raises(ValuesRefused, match="Write what is missing"):
        claims.claim_decide(claim_id=first.pk, target=ClaimState.RETURNED, actor=admin)
    claims.claim_decide(
        claim_id=first.pk, target=ClaimState.RETURNED, actor=admin, note="The invoice itself."
    )
    again = claims.claim_send(
        scope_id=scope.pk, invoice_number="7-B", invoice_usd=Decimal("4200.00"), actor=crew
    )
    assert (again.pk, again.number) == (first.pk, first.number)
    assert again.state == ClaimState.SENT
    assert scope.claims.count() == 1
    claims.claim_decide(claim_id=first.pk, target=ClaimState.ACCEPTED, actor=admin)
    jobs.drain()
    assert position(home) == ("payment", "program_admin", "pay_claim")


def test_rebuilt_positions_equal_the_kept_ones(home: homes.Walked, scope: WorkScope) -> None:
    home.scope = scope
    homes.claimed(homes.worked(home))
    columns = [
        "casefile", "stage", "holder_role", "holder_name", "next_action", "action_facts",
        "due_on", "since_at",
    ]  # fmt: skip
    kept = list(CasePosition.objects.order_by("casefile").values(*columns))
    assert kept[0]["stage"] == "payment"
    CasePosition.objects.update(stage="booking", next_action="pick_time", due_on=None)
    call_command("positions_rebuild", verbosity=0)
    rebuilt = list(CasePosition.objects.order_by("casefile").values(*columns))
    assert rebuilt == kept
