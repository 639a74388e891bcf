"""People, roles, firms, and the demo's short way in."""

from datetime import date, timedelta

import pytest
from django.test import Client
from django.urls import reverse
from pytest_django import Settings

from portal.accounts import selectors, services
from portal.accounts.context import demo_people
from portal.accounts.models import RoleGrant
from portal.accounts.states import Role
from portal.core import clock
from portal.core.errors import NotAllowed, ValuesRefused
from portal.core.models import Letter
from tests.factories import people
from tests.factories.people import OFFICE

pytestmark = pytest.mark.usefixtures("march_2")


def test_one_person_per_address_however_it_is_written() -> None:
    first = people.person("Pat@Mail.example", "Pat Arden")
    again = services.person_add(email=" pat@mail.EXAMPLE ", full_name="Somebody", actor=OFFICE)
    assert again == first
    assert again.full_name == "Pat Arden"
    assert not first.has_usable_password()


def test_a_role_holds_from_its_first_to_its_last_day() -> None:
    user = people.person()
    services.role_grant(
        user=user,
        role=Role.AUDITOR,
        starts_on=date(2026, 3, 3),
        ends_on=date(2026, 3, 4),
        actor=OFFICE,
    )
    held = []
    for day in range(2, 6):
        with clock.at(clock.local(date(2026, 3, day))):
            user.__dict__.pop("current_grants", None)
            held.append(user.has_role(Role.AUDITOR))
            assert selectors.people_with_role(Role.AUDITOR).exists() is held[-1]
    assert held == [False, True, True, False]


def test_granting_twice_makes_one_grant() -> None:
    user = people.person()
    for _ in range(2):
        services.role_grant(user=user, role=Role.HOMEOWNER, actor=OFFICE)
    assert RoleGrant.objects.filter(user=user).count() == 1
    assert user.roles == {Role.HOMEOWNER}


def test_a_contractor_needs_a_firm() -> None:
    with pytest.raises(ValuesRefused):
        services.role_grant(user=people.person(), role=Role.CONTRACTOR, actor=OFFICE)


def test_only_the_office_grants_roles_and_lists_firms() -> None:
    owner = people.with_role(Role.HOMEOWNER, "own@mail.example", "Own Er")
    with pytest.raises(NotAllowed):
        services.role_grant(user=owner, role=Role.PROGRAM_ADMIN, actor=owner)
    with pytest.raises(NotAllowed):
        services.firm_add(name="Mine", actor=owner)
    grant = services.role_grant(user=owner, role=Role.LANDLORD, actor=people.administrator())
    services.role_end(grant_id=grant.pk, actor=OFFICE, why="sold the house")
    with clock.at(clock.now() + timedelta(days=1)):
        owner.__dict__.pop("current_grants", None)
        assert owner.roles == {Role.HOMEOWNER}


def test_firms_are_found_by_trade_county_and_day() -> None:
    ashmere = people.firm()
    people.firm("Brindle Ducts", trades=["ducts"], counties=["Brindle"])
    assert list(selectors.firms_for(trade="insulation", county="Ashmere")) == [ashmere]
    assert not selectors.firms_for(trade="ducts", county="Ashmere")
    assert len(selectors.firms_for()) == 2
    services.firm_delist(firm_id=ashmere.pk, actor=OFFICE, why="insurance lapsed")
    assert not selectors.firms_for(trade="insulation")
    assert not selectors.firms_for(trade="insulation", on=date(2026, 3, 1))


def test_the_short_way_in_is_there_in_demo_mode_only(client: Client, settings: Settings) -> None:
    user = people.administrator("ada@qlg.example")
    other = people.person("eve@mail.example", "Eve")
    settings.DEMO_SIGNINS = [{"email": user.email, "what": "runs the program"}]
    url = reverse("accounts:demo_sign_in")
    assert demo_people() == []
    assert client.post(url, {"email": user.email}).status_code == 404
    settings.DEMO_MODE = True
    assert demo_people() == [{"email": user.email, "name": "Ada Moss", "what": "runs the program"}]
    assert client.get(url).status_code == 405
    assert client.post(url, {"email": other.email}).status_code == 404
    assert "_auth_user_id" not in client.session
    assert client.post(url, {"email": user.email}).status_code == 302
    assert client.session["_auth_user_id"] == str(user.pk)


def test_a_stranger_who_signs_up_holds_no_role(client: Client) -> None:
    response = client.post(reverse("account_signup"), {"email": "New@Mail.example"})
    assert response.status_code == 302
    user = selectors.person_by_email("new@mail.example")
    assert user is not None
    assert user.roles == frozenset()
    assert selectors.verified_emails(user) == set()


def test_signing_up_with_a_known_address_shows_a_stranger_nothing(client: Client) -> None:
    known = people.person("pat@mail.example", "Pat Arden")
    before = Letter.objects.count()
    answers = []
    for address in (known.email, "unknown@mail.example"):
        stranger = Client()
        response = stranger.post(reverse("account_signup"), {"email": address})
        page = stranger.get(response["Location"])
        assert page.status_code == 200
        assert "Start over with another address" in page.content.decode()
        answers.append((response.status_code, response["Location"]))
    assert answers[0] == answers[1]
    told = Letter.objects.order_by("pk")[before]
    assert told.to == known.email
    assert "You already have one" in told.body
    assert client.get("/account/", follow=True).redirect_chain[-1][0] == "/account/login/"


@pytest.mark.parametrize(
    "path",
    ["email/", "password/change/", "password/set/", "password/reset/", "reauthenticate/"],
)
def test_there_is_no_password_to_manage(client: Client, path: str) -> None:
    for person in (None, people.person()):
        if person:
            client.force_login(person)
        assert client.get(f"/account/{path}").status_code == 404
