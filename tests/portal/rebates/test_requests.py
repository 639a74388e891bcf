"""Subsidy requests, rulings and the fund ledger, through the services."""

import json
from collections.abc import Iterator
from decimal import Decimal

import jsonschema
import pytest
from django.db import IntegrityError, transaction
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoDbBlocker

from portal.core import clock, outbox
from portal.core.errors import DomainError, FundExhausted, MoveRefused, NotAllowed, ValuesRefused
from portal.core.models import OutboxMessage, TrailEntry
from portal.core.rules import ruling_to_dict
from portal.places.selectors import ledger_sums
from portal.rebates.consent import consent_text
from portal.rebates.models import Fund, LedgerEntry, Reservation, SubsidyRequest
from portal.rebates.services import funds, plans, quotes, requests, rule_sets
from portal.rebates.states import EntryKind, SubsidyState
from tests.factories import people
from tests.journeys import homes
from tests.journeys.program import FIXTURES

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def home(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[homes.Walked]:
    """A home whose request is with the program."""
    with homes.kept_for_a_module(django_db_blocker):
        with django_db_blocker.unblock():
            made = homes.sent(homes.planned(homes.audited()))
        yield made


@pytest.fixture
def request_sent(home: homes.Walked) -> SubsidyRequest:
    assert home.request is not None
    return SubsidyRequest.objects.get(pk=home.request.pk)


def reserve(home: homes.Walked, request: SubsidyRequest) -> SubsidyRequest:
    return requests.request_reserve(
        request_id=request.pk, firm=home.program.firm, actor=home.program.admin
    )


def send_again(home: homes.Walked) -> SubsidyRequest:
    assert home.plan is not None
    return requests.request_send(
        plan_id=home.plan.pk, consent_text=consent_text(), actor=home.owner
    )


def decide(home: homes.Walked, request: SubsidyRequest, target: SubsidyState) -> SubsidyRequest:
    return requests.request_decide(
        request_id=request.pk, target=target, actor=home.program.admin, note="One paper more."
    )


def committed() -> Decimal:
    return sum((fund.committed_usd for fund in Fund.objects.all()), Decimal(0))


# -- Rulings -----------------------------------------------------------------------------


def test_replaying_the_stored_version_gives_the_stored_ruling(
    request_sent: SubsidyRequest,
) -> None:
    """To the cent and to the step, from nothing but the version and the facts kept with it."""
    replayed = requests.replayed_ruling(request_sent)
    assert ruling_to_dict(replayed) == request_sent.ruling
    assert replayed.total_usd == request_sent.amount_usd > 0
    assert replayed.steps


def test_a_ruling_changed_behind_its_back_is_seen_by_the_replay(
    request_sent: SubsidyRequest,
) -> None:
    request_sent.ruling["total_usd"] = "1.00"
    assert ruling_to_dict(requests.replayed_ruling(request_sent)) != request_sent.ruling


def test_the_funds_share_adds_up_to_the_amount(request_sent: SubsidyRequest) -> None:
    ruling = requests.stored_ruling(request_sent)
    assert sum(ruling.fuel_split.values()) == ruling.total_usd == request_sent.amount_usd


def test_a_published_rule_set_cannot_change(home: homes.Walked) -> None:
    body = rule_sets.rule_set_body(FIXTURES / "rules" / "qlg-is-v1.json")
    same = rule_sets.rule_set_publish(body=body, actor=home.program.admin)
    with pytest.raises(DomainError, match="published already"):
        rule_sets.rule_set_publish(
            body={**body, "title": "Something else"}, actor=home.program.admin
        )
    same.refresh_from_db()
    assert same.body == body


# -- The request's way -------------------------------------------------------------------


@pytest.mark.parametrize(
    "target", [SubsidyState.RETURNED, SubsidyState.DEFERRED, SubsidyState.REFUSED]
)
def test_a_request_is_sent_again_under_its_number(
    home: homes.Walked, request_sent: SubsidyRequest, target: SubsidyState
) -> None:
    decided = decide(home, request_sent, target)
    assert decided.decision_note == "One paper more."
    with clock.at(clock.local(clock.today().replace(day=5), 9)):
        again = send_again(home)
    assert again.pk == request_sent.pk
    assert again.number == request_sent.number
    assert again.state == SubsidyState.SENT
    assert (again.decided_by, again.decision_note, again.decided_at) == ("", "", None)
    assert again.sent_at > request_sent.sent_at
    assert SubsidyRequest.objects.count() == 1
    told = OutboxMessage.objects.filter(topic="subsidy.sent", payload__request_id=again.pk)
    assert told.count() == 2
    verbs = TrailEntry.objects.filter(
        record_kind="rebates.subsidyrequest", record_id=str(again.pk)
    ).values_list("source", "target")
    assert (target, SubsidyState.SENT) in list(verbs)


def test_a_request_that_is_with_the_program_is_not_sent_twice(home: homes.Walked) -> None:
    with pytest.raises(DomainError, match="already"):
        send_again(home)


def test_sending_needs_consent_a_quote_and_a_run(
    home: homes.Walked, request_sent: SubsidyRequest
) -> None:
    assert home.plan is not None
    decide(home, request_sent, SubsidyState.RETURNED)
    with pytest.raises(ValuesRefused, match="Tick the box"):
        requests.request_send(plan_id=home.plan.pk, consent_text="  ", actor=home.owner)
    offered = plans.measures_offered_in(home.plan)
    plans.plan_choose(plan_id=home.plan.pk, answers={offered[0].id: "later"}, actor=home.owner)
    with pytest.raises(DomainError, match="Attach a quote first"):
        send_again(home)
    quotes.quote_from_price_list(plan_id=home.plan.pk, actor=home.owner)
    with pytest.raises(DomainError, match="still being worked out"):
        send_again(home)


def test_a_sent_plan_keeps_its_choices_and_its_quote(home: homes.Walked) -> None:
    assert home.plan is not None
    offered = plans.measures_offered_in(home.plan)
    with pytest.raises(DomainError, match="is with the program"):
        plans.plan_choose(plan_id=home.plan.pk, answers={offered[0].id: "no"}, actor=home.owner)
    with pytest.raises(DomainError, match="is with the program"):
        quotes.quote_from_price_list(plan_id=home.plan.pk, actor=home.owner)
    assert home.plan.quotes.filter(is_current=True).count() == 1


def test_only_the_household_plans_and_only_the_desk_decides(
    home: homes.Walked, request_sent: SubsidyRequest
) -> None:
    assert home.plan is not None
    stranger = people.person("stranger@mail.example", "Sam Stranger")
    for actor in (stranger, home.auditor, home.program.contractor, home.program.admin):
        with pytest.raises(NotAllowed):
            plans.plan_choose(plan_id=home.plan.pk, answers={}, actor=actor)
    for actor in (stranger, home.owner, home.auditor, home.program.contractor):
        with pytest.raises(NotAllowed):
            requests.request_reserve(
                request_id=request_sent.pk, firm=home.program.firm, actor=actor
            )
        with pytest.raises(NotAllowed):
            requests.request_decide(
                request_id=request_sent.pk, target=SubsidyState.REFUSED, actor=actor, note="No."
            )
    request_sent.refresh_from_db()
    assert request_sent.state == SubsidyState.SENT


def test_a_decision_needs_its_reason(home: homes.Walked, request_sent: SubsidyRequest) -> None:
    with pytest.raises(ValuesRefused, match="Write the reason"):
        requests.request_decide(
            request_id=request_sent.pk,
            target=SubsidyState.REFUSED,
            actor=home.program.admin,
            note=" ",
        )


def test_a_firm_from_another_county_does_not_get_the_work(
    home: homes.Walked, request_sent: SubsidyRequest
) -> None:
    elsewhere = people.firm("Far & Away Insulation", counties=["Corvane"])
    with pytest.raises(ValuesRefused, match="does not work for the program in this county"):
        requests.request_reserve(
            request_id=request_sent.pk, firm=elsewhere, actor=home.program.admin
        )
    assert committed() == 0


# -- Money -------------------------------------------------------------------------------


def test_reserving_writes_the_ledger_that_the_sums_follow(
    home: homes.Walked, request_sent: SubsidyRequest
) -> None:
    reserved = reserve(home, request_sent)
    assert reserved.reservation.amount_usd == reserved.amount_usd == committed()
    for fund in Fund.objects.all():
        sums = ledger_sums(fund)
        assert fund.allotted_usd == sums["allot"]
        assert fund.committed_usd == sums.get("reserve", Decimal(0))


def test_reserving_twice_is_refused_and_changes_nothing(
    home: homes.Walked, request_sent: SubsidyRequest
) -> None:
    reserve(home, request_sent)
    held = committed()
    with pytest.raises(MoveRefused):
        reserve(home, request_sent)
    assert committed() == held
    assert Reservation.objects.count() == 1


def test_a_withdrawn_request_gives_the_money_back_once(
    home: homes.Walked, request_sent: SubsidyRequest
) -> None:
    reserve(home, request_sent)
    withdrawn = requests.request_withdraw(request_id=request_sent.pk, actor=home.owner)
    assert committed() == 0
    released = LedgerEntry.objects.filter(kind=EntryKind.RELEASE)
    assert sum(entry.amount_usd for entry in released) == withdrawn.amount_usd
    count = released.count()
    funds.fund_release(
        reservation=Reservation.objects.get(), actor=home.program.admin, note="again"
    )
    assert released.count() == count
    assert committed() == 0


def test_a_fund_a_cent_short_holds_nothing(
    home: homes.Walked, request_sent: SubsidyRequest
) -> None:
    split = requests.stored_ruling(request_sent).fuel_split
    fuel, share = max(split.items(), key=lambda entry: entry[1])
    Fund.objects.filter(fuel=fuel).update(allotted_usd=share - Decimal("0.01"))
    with pytest.raises(FundExhausted, match="left; this needs"):
        reserve(home, request_sent)
    assert committed() == 0
    assert not LedgerEntry.objects.filter(kind=EntryKind.RESERVE).exists()
    request_sent.refresh_from_db()
    assert request_sent.state == SubsidyState.SENT
    Fund.objects.filter(fuel=fuel).update(allotted_usd=share)
    reserve(home, request_sent)
    assert Fund.objects.get(fuel=fuel).committed_usd == share


def test_a_ledger_line_is_written_once_a_key(home: homes.Walked) -> None:
    fund = Fund.objects.order_by("pk").first()
    assert fund is not None
    funds.fund_allot(fund_id=fund.pk, amount_usd=Decimal(10), key="gift", actor=home.program.admin)
    with pytest.raises(IntegrityError), transaction.atomic():
        funds.fund_allot(
            fund_id=fund.pk, amount_usd=Decimal(10), key="gift", actor=home.program.admin
        )
    before = fund.allotted_usd
    fund.refresh_from_db()
    assert fund.allotted_usd == before + 10
    assert fund.entries.filter(key="gift").count() == 1


def test_the_database_itself_refuses_to_overcommit() -> None:
    fund = Fund.objects.order_by("pk").first()
    assert fund is not None
    with pytest.raises(IntegrityError), transaction.atomic():
        Fund.objects.filter(pk=fund.pk).update(committed_usd=fund.allotted_usd + 1)


def test_news_of_a_decision_is_told_once_a_decision(
    home: homes.Walked, request_sent: SubsidyRequest
) -> None:
    reserve(home, request_sent)
    told = OutboxMessage.objects.get(topic="subsidy.reserved")
    with transaction.atomic():
        same = outbox.put("subsidy.reserved", key=told.key, request_id=request_sent.pk)
    assert same.pk == told.pk


# -- Claimed savings ---------------------------------------------------------------------


def test_both_savings_go_with_the_facts_to_the_desk_and_the_api(
    home: homes.Walked, request_sent: SubsidyRequest, client: Client
) -> None:
    """Kept with the facts, shown on the Desk's page, given by the API; no rule asks for them."""
    kept = request_sent.facts["savings"]
    # What the day's hazards stop is in the quote but not in the facts' lines; each has a claim.
    assert {entry["measure"] for entry in kept} == {
        line.measure for line in request_sent.quote.lines.all()
    }
    assert {entry["edition"] for entry in kept} == {"1"}
    jsonschema.validate(
        request_sent.facts, json.loads((FIXTURES / "rules" / "facts.schema.json").read_text())
    )
    assert request_sent.run is not None
    claims = request_sent.run.claims["measures"]
    for entry in kept:
        claim = claims[entry["measure"]]
        assert entry["claimed_by"] == claim["claimed"]
        assert entry["claimed"] == entry[claim["claimed"]]
        assert entry["modeled"] is not None
    client.force_login(home.program.admin)
    page = client.get(reverse("places:desk_request", args=[request_sent.number]))
    assert "Savings claimed a year, by QLG-SM 1" in page.content.decode()
    assert "By the manual" in page.content.decode()
    run = client.get(reverse("api_run", args=[request_sent.run.pk]))
    assert run.json()["claims"]["manual"]["code"] == "QLG-SM"
