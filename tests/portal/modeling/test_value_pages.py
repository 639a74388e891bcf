"""The office's pages of values: propose, confirm as somebody else, and see it in effect."""

from typing import Any

import pytest
from django.test import Client
from django.urls import reverse

from calcs.confirmable import REGISTRY
from portal.intake import selectors as intake
from portal.intake.models import ValueProposal
from portal.modeling.value_words import DECIDES, GROUPS, name_of, value_words
from tests.factories import people

pytestmark = pytest.mark.django_db

WORDS = {
    "act": "propose", "document": "Standard, 7.2", "edition": "S-2017", "reason": "Board, Oct 1",
}  # fmt: skip


@pytest.fixture
def clients() -> tuple[Client, Client]:
    made = []
    for email in ("ada@qlg.example", "ben@qlg.example"):
        client = Client()
        client.force_login(people.administrator(email))
        made.append(client)
    return made[0], made[1]


def url(key: str) -> str:
    return reverse("office:value", args=[key])


def test_every_value_has_words() -> None:
    for item in REGISTRY.values():
        assert name_of(item)
        assert item.group in GROUPS
        assert item.group in DECIDES
        assert value_words(item, item.value)


def test_list_names_each_value_and_how_many_are_to_confirm(clients: Any) -> None:
    page = clients[0].get(reverse("office:values")).content.decode()
    for item in REGISTRY.values():
        assert f'href="{url(item.key)}"' in page
    unconfirmed = sum(item.must_confirm for item in REGISTRY.values())
    assert f"{unconfirmed} values are known from memory only" in page


def test_one_proposes_and_the_other_confirms(clients: Any) -> None:
    ada, ben = clients
    key = "spillage.warm_vent"
    assert ada.post(url(key), WORDS | {"value": "45"}).status_code == 302
    own = ada.get(url(key)).content.decode()
    assert "A second administrator confirms or refuses it" in own
    assert "Withdraw" in own
    proposal = ValueProposal.objects.get()
    decide = {"act": "decide", "proposal": proposal.pk, "verb": "adopt"}
    # Who proposed it posts the other's form: refused with a reason, nothing changes.
    assert "second administrator" in ada.post(url(key), decide).content.decode()
    assert intake.values_in_effect().adopted == {}
    assert ben.post(url(key), decide).status_code == 302
    page = ben.get(url(key)).content.decode()
    assert "45 s" in page
    assert "Standard, 7.2, S-2017" in page
    listed = ben.get(reverse("office:values")).content.decode()
    assert "published 60 s" in listed
    office = ben.get(reverse("office:office")).content.decode()
    assert "One is adopted by the program." in office


def test_form_comes_back_with_what_was_typed_and_what_is_wrong(clients: Any) -> None:
    ada, _ben = clients
    page = ada.post(url("spillage.warm_vent"), WORDS | {"value": "90"}).content.decode()
    assert "Error:" in page
    assert "Name the authority that allows it" in page
    assert 'value="90"' in page
    page = ada.post(url("spillage.warm_vent"), WORDS | {"value": "6", "edition": ""})
    assert "Enter the edition or the year of the document." in page.content.decode()
    page = ada.post(url("spillage.warm_vent"), WORDS | {"value": "6"}).content.decode()
    assert "the value must lie between 15 and 240 s" in page
    page = ada.post(url("spillage.warm_vent"), WORDS | {"value": "soon"}).content.decode()
    assert "Enter the value as a number." in page


def test_rate_is_typed_in_percent(clients: Any) -> None:
    ada, _ben = clients
    ada.post(url("economics.real_discount"), WORDS | {"value": "3.2"})
    assert ValueProposal.objects.get().value == pytest.approx(0.032)
    assert "3.2% a year" in ada.get(url("economics.real_discount")).content.decode()


def test_refusing_needs_a_reason_and_withdrawing_is_ones_own(clients: Any) -> None:
    ada, ben = clients
    key = "table.steam_settings"
    ada.post(url(key), WORDS)
    pk = ValueProposal.objects.get().pk
    refuse = {"act": "decide", "proposal": pk, "verb": "refuse"}
    assert "Say why" in ben.post(url(key), refuse).content.decode()
    assert "Choose what you decide." in ben.post(url(key), refuse | {"verb": ""}).content.decode()
    assert ben.post(url(key), refuse | {"why": "Not ours"}).status_code == 302
    history = ada.get(url(key)).content.decode()
    assert "Not ours" in history
    assert "refused" in history
    ada.post(url(key), WORDS)
    pk = ValueProposal.objects.get(state="proposed").pk
    ada.post(url(key), {"act": "withdraw", "proposal": pk})
    assert not intake.proposals_waiting().exists()


def test_addresses_that_lead_nowhere(clients: Any) -> None:
    ada, _ben = clients
    assert ada.get(url("nothing.here")).status_code == 404
    assert ada.post(url("spillage.warm_vent"), {"act": "decide", "proposal": 7}).status_code == 404
    assert ada.post(url("spillage.warm_vent"), {}).status_code == 404


def test_operations(clients: Any) -> None:
    ada, ben = clients
    listed = ada.get(reverse("api_values")).json()
    assert len(listed) == len(REGISTRY)
    row = next(item for item in listed if item["key"] == "draft.intercept")
    assert (row["published"], row["in_effect"], row["stricter"]) == (-2.75, -2.75, "lower")
    assert "confirm with the edition" in row["known"]
    propose = reverse("api_value_propose", args=["draft.intercept"])
    body = {name: text for name, text in WORDS.items() if name != "act"}
    json = "application/json"
    looser = ada.post(propose, body | {"value": -2.0}, content_type=json)
    assert looser.status_code == 400
    assert set(looser.json()["fields"]) == {"authority"}
    made = ada.post(propose, body | {"value": -3.0}, content_type=json)
    assert made.status_code == 201
    decide = reverse("api_proposal_decide", args=[made.json()["id"]])
    assert ada.post(decide, {"verb": "adopt"}, content_type=json).status_code == 403
    assert ben.post(decide, {"verb": "adopt"}, content_type=json).json()["state"] == "adopted"
    listed = ada.get(reverse("api_values")).json()
    row = next(item for item in listed if item["key"] == "draft.intercept")
    assert (row["in_effect"], row["adopted_from"]) == (-3.0, "Standard, 7.2, S-2017")
