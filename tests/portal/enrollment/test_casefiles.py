"""The casefile: opened once, by whoever proved the address, and seen only by those concerned."""

import threading
from decimal import Decimal

import pytest
from django.contrib.auth.models import AnonymousUser
from django.db import connection
from django.http import Http404

from portal.accounts.states import Role
from portal.core.errors import MoveRefused, NotAllowed, ValuesRefused
from portal.core.models import OutboxMessage
from portal.enrollment import selectors, services
from portal.enrollment.models import Casefile, Household, Participation
from portal.enrollment.states import CasefileState, RequestState
from tests.factories import enrollment as make
from tests.factories import people
from tests.factories.people import OFFICE

pytestmark = pytest.mark.usefixtures("march_2")


def test_opening_makes_household_participation_and_role() -> None:
    casefile = make.casefile()
    user = make.homeowner_of(casefile)
    building = casefile.participation.dwelling.building
    assert casefile.number == "26-0001"
    assert casefile.participation.household.tenure == "owner"
    assert user.roles == {Role.HOMEOWNER}
    assert (building.kind, building.year_built, building.units) == ("detached", 1958, 1)
    assert OutboxMessage.objects.filter(topic="casefile.opened").count() == 1


def test_opening_twice_gives_the_same_casefile() -> None:
    casefile = make.casefile()
    user = make.homeowner_of(casefile)
    again = services.casefile_open(request_id=casefile.audit_request.pk, user=user, actor=user)
    assert again == casefile
    assert (Household.objects.count(), Participation.objects.count()) == (1, 1)
    assert services.casefiles_claim(user=user) == []


def test_an_address_that_is_not_proved_opens_nothing() -> None:
    make.account()
    request = make.screened()
    unproved = people.person(verified=False)
    with pytest.raises(NotAllowed):
        services.casefile_open(request_id=request.pk, user=unproved, actor=unproved)
    assert services.casefiles_claim(user=unproved) == []
    assert not Casefile.objects.exists()


def test_another_persons_proof_opens_nothing() -> None:
    make.account()
    request = make.screened()
    stranger = people.person("eve@mail.example", "Eve Stone")
    with pytest.raises(NotAllowed):
        services.casefile_open(request_id=request.pk, user=stranger, actor=stranger)
    assert services.casefiles_claim(user=stranger) == []


def test_the_office_can_open_one_for_somebody_without_mail() -> None:
    make.account()
    request = make.screened()
    someone = people.person("other@mail.example", "Oma Reed", verified=False)
    casefile = services.casefile_open(request_id=request.pk, user=someone, actor=OFFICE)
    assert selectors.contact_for(casefile).email == "other@mail.example"


def test_a_request_that_is_no_yes_opens_nothing() -> None:
    make.account()
    request = make.answered()
    user = people.person()
    with pytest.raises(MoveRefused):
        services.casefile_open(request_id=request.pk, user=user, actor=user)


def test_of_two_requests_for_one_home_the_second_is_closed_with_the_reason() -> None:
    make.account()
    first = make.screened()
    second = make.screened(
        address={"street": "14 LARCH ST."}, contact={"email": "kim@mail.example"}
    )
    services.casefiles_claim(user=people.person())
    assert services.casefiles_claim(user=people.person("kim@mail.example", "Kim Arden")) == []
    first.refresh_from_db()
    second.refresh_from_db()
    assert first.casefile is not None
    assert second.state == RequestState.WITHDRAWN


def test_numbers_run_on_past_9999() -> None:
    casefile = make.casefile()
    Casefile.objects.filter(pk=casefile.pk).update(number="26-9999")
    assert make.casefile("4410000002", "16 Larch St", "kim@mail.example").number == "26-10000"
    assert make.casefile("4410000003", "18 Larch St", "lee@mail.example").number == "26-10001"


def test_a_new_household_may_move_into_a_treated_dwelling() -> None:
    casefile = make.casefile()
    closed = services.casefile_close(casefile_id=casefile.pk, actor=OFFICE, why="sold")
    assert closed.state == CasefileState.CLOSED
    assert selectors.live_participation_at(casefile.participation.dwelling) is None
    assert selectors.last_participation_end(casefile.participation.dwelling) is not None


def test_income_is_declared_by_the_household_and_verified_by_the_office() -> None:
    casefile = make.casefile()
    user = make.homeowner_of(casefile)
    declared = services.income_declare(
        casefile=casefile, annual_usd=Decimal("52390"), household_size=4, actor=user
    )
    assert not declared.is_verified
    with pytest.raises(NotAllowed):
        services.income_declare(
            casefile=casefile,
            annual_usd=Decimal(1),
            household_size=1,
            actor=user,
            is_verified=True,
        )
    with pytest.raises(ValuesRefused):
        services.income_declare(
            casefile=casefile, annual_usd=Decimal(-1), household_size=4, actor=user
        )
    with pytest.raises(NotAllowed):
        services.income_declare(
            casefile=casefile,
            annual_usd=Decimal(1),
            household_size=1,
            actor=people.person("eve@mail.example", "Eve"),
        )


def test_everybody_sees_the_casefiles_that_concern_them_and_no_other() -> None:
    mine = make.casefile()
    theirs = make.casefile("4410000002", "16 Larch St", "kim@mail.example")
    owner, admin = make.homeowner_of(mine), people.administrator()
    assert list(selectors.casefiles_for(owner)) == [mine]
    assert list(selectors.casefiles_for(admin)) == [mine, theirs]
    for stranger in (people.contractor(), people.person("x@mail.example", "X"), AnonymousUser()):
        assert not selectors.casefiles_for(stranger).exists()
    assert selectors.casefile_by_number_for(owner, mine.number) == mine
    with pytest.raises(Http404):
        selectors.casefile_by_number_for(owner, theirs.number)


def test_who_has_left_the_household_sees_it_no_more() -> None:
    casefile = make.casefile()
    owner = make.homeowner_of(casefile)
    owner.memberships.update(until_on=casefile.participation.started_on)
    assert not selectors.casefiles_for(owner).exists()


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
def test_casefiles_opened_at_once_get_numbers_of_their_own() -> None:
    jobs = []
    for index in range(4):
        number = f"441000001{index}"
        make.account(number, f"{30 + index} Larch St")
        email = f"p{index}@mail.example"
        request = make.screened(
            address={"street": f"{30 + index} Larch St"},
            account={"number": number},
            contact={"email": email},
        )
        jobs.append((request.pk, people.person(email, email)))
    failures: list[BaseException] = []
    gate = threading.Barrier(len(jobs))

    def open_one(request_id: int, user: object) -> None:
        try:
            gate.wait()
            services.casefile_open(request_id=request_id, user=user, actor=user)  # type: ignore[arg-type]  # a User
        except BaseException as error:
            failures.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=open_one, args=job) for job in jobs]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    numbers = list(Casefile.objects.values_list("number", flat=True))
    assert [number[3:] for number in numbers] == ["0001", "0002", "0003", "0004"]
