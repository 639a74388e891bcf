"""Pages of the request, through HTTP as a person without an account walks them."""

import re
from typing import Any

import pytest
from django.core import mail
from django.test import Client
from django.urls import reverse

from portal.core import jobs
from portal.core.models import Letter
from portal.enrollment import services
from portal.enrollment.models import AuditRequest, Casefile
from portal.enrollment.states import RequestState
from portal.enrollment.throttles import BeginThrottle, ScreenThrottle
from tests.factories import enrollment as make
from tests.factories import people
from tests.portal.enrollment.test_requests import REFUSING_RULES, refused_request

pytestmark = pytest.mark.usefixtures("march_2")


def flat(content: bytes) -> str:
    """The words of a page without its markup and line ends."""
    words = re.sub(r"<[^>]+>", " ", content.decode())
    return re.sub(r"\s+", " ", words.replace("&#x27;", "'"))


def walk(client: Client, changes: dict[str, dict[str, Any]] | None = None) -> AuditRequest:
    """From the first page to the check page, one question after the other."""
    response = client.post(reverse("enrollment:start"))
    for question, answer in make.ANSWERS.items():
        assert response.status_code == 302
        assert response["Location"].endswith(f"/question/{question}/")
        page = client.get(response["Location"])
        assert page.status_code == 200
        response = client.post(
            response["Location"], {**answer, **(changes or {}).get(question, {})}
        )
    request = AuditRequest.objects.latest("pk")
    assert response["Location"] == reverse("enrollment:check", args=[request.key])
    return request


def test_the_first_page_says_what_it_takes(client: Client) -> None:
    words = flat(client.get(reverse("enrollment:start")).content)
    for needed in ("free", "6 questions", "About four minutes", "about three hours", "bill"):
        assert needed in words


def test_from_the_first_page_to_a_casefile_with_one_code(client: Client) -> None:
    make.account()
    request = walk(client)
    words = flat(client.get(reverse("enrollment:check", args=[request.key])).content)
    assert "14 Larch Street" in words
    assert "The bedroom over the crawlspace" in words
    response = client.post(reverse("enrollment:check", args=[request.key]), follow=True)
    assert response.redirect_chain[-1][0] == reverse("enrollment:eligible", args=[request.key])
    response = client.post(reverse("enrollment:claim", args=[request.key]))
    assert response["Location"] == reverse("account_confirm_login_code")
    jobs.drain()
    letter = mail.outbox[-1]
    assert letter.to == ["pat@mail.example"]
    code = re.search(r"^\s*([A-Z0-9-]{4,})\s*$", str(letter.body), re.MULTILINE)
    assert code is not None
    response = client.post(reverse("account_confirm_login_code"), {"code": code.group(1)})
    casefile = Casefile.objects.get()
    assert response["Location"] == reverse("enrollment:eligible", args=[request.key])
    response = client.get(response["Location"])
    assert response["Location"] == reverse("scheduling:pick", args=[casefile.number])
    # A sign-in code is not kept once it is sent.
    assert Letter.objects.get(template="account/email/login_code").body == ""


def test_a_wrong_code_opens_nothing(client: Client) -> None:
    make.account()
    request = make.screened()
    client.post(reverse("enrollment:claim", args=[request.key]))
    client.post(reverse("account_confirm_login_code"), {"code": "AAAA-AAAA"})
    assert not Casefile.objects.exists()


def test_an_error_keeps_what_was_typed_and_says_what_to_do(client: Client) -> None:
    request = services.request_begin(actor=make.APPLICANT)
    url = reverse("enrollment:question", args=[request.key, "address"])
    response = client.post(url, {"street": "Larch Street", "city": "Ashmere Falls", "zip": "279"})
    html = response.content.decode()
    assert response.status_code == 200
    assert "<title>Error:" in html
    assert 'value="Larch Street"' in html
    assert 'value="Ashmere Falls"' in html
    assert html.count("Enter the ZIP code as five digits.") == 2
    assert 'href="#id_zip"' in html
    assert 'aria-invalid="true"' in html


def test_resuming_elsewhere_goes_on_with_the_next_question(client: Client) -> None:
    """H2."""
    request = services.request_begin(actor=make.APPLICANT)
    for question in ("address", "account"):
        services.request_answer(
            key=request.key,
            question=question,
            answer=make.ANSWERS[question],
            actor=make.APPLICANT,
        )
    response = Client().get(reverse("enrollment:resume", args=[request.key]))
    assert response["Location"] == reverse("enrollment:question", args=[request.key, "contact"])
    back = client.get(reverse("enrollment:question", args=[request.key, "address"]))
    assert "14 Larch Street" in back.content.decode()
    ahead = client.get(reverse("enrollment:question", args=[request.key, "home"]))
    assert ahead["Location"].endswith("/question/contact/")


def test_changing_one_answer_leads_back_to_the_check_page(client: Client) -> None:
    request = make.answered()
    response = client.post(
        reverse("enrollment:question", args=[request.key, "tenure"]), {"tenure": "renter"}
    )
    assert response["Location"] == reverse("enrollment:check", args=[request.key])


@pytest.mark.parametrize("rule", REFUSING_RULES)
def test_each_no_is_a_page_with_reason_alternative_and_person(client: Client, rule: str) -> None:
    """H3."""
    request = refused_request(rule)
    page = client.get(reverse("enrollment:not_eligible", args=[request.key]))
    words = flat(page.content)
    assert page.status_code == 200
    assert "What you can do instead" in words
    assert "A person to ask" in words
    assert "555-0142" in words
    assert "The rule: QLG-AUDIT" in words
    assert "/question/" in page.content.decode()


def test_a_no_is_corrected_from_its_page(client: Client) -> None:
    make.account()
    request = walk(client, {"account": {"number": "9999999999"}})
    response = client.post(reverse("enrollment:check", args=[request.key]))
    assert response["Location"] == reverse("enrollment:not_eligible", args=[request.key])
    response = client.post(
        reverse("enrollment:question", args=[request.key, "account"]), make.ANSWERS["account"]
    )
    response = client.post(response["Location"])
    assert response["Location"] == reverse("enrollment:eligible", args=[request.key])


def test_a_home_that_takes_part_already_has_its_page(client: Client) -> None:
    first = make.casefile()
    second = make.screened(contact={"email": "kim@mail.example"})
    words = flat(client.get(reverse("enrollment:not_eligible", args=[second.key])).content)
    assert "An audit at this home is under way already" in words
    assert first.number not in words


def test_a_request_overtaken_by_another_says_so(client: Client) -> None:
    make.account()
    make.screened()
    late = make.screened(contact={"email": "kim@mail.example"})
    services.casefiles_claim(user=people.person())
    services.casefiles_claim(user=people.person("kim@mail.example", "Kim Arden"))
    response = client.get(reverse("enrollment:resume", args=[late.key]), follow=True)
    assert "This home already takes part" in flat(response.content)


def test_a_wrong_key_and_a_question_nobody_asks_are_not_there(client: Client) -> None:
    request = make.answered()
    unknown = "00000000-0000-0000-0000-000000000000"
    assert client.get(reverse("enrollment:resume", args=[unknown])).status_code == 404
    page = client.get(reverse("enrollment:question", args=[request.key, "income"]))
    assert page.status_code == 404


def test_the_link_of_a_request_that_became_a_casefile_shows_no_answers(client: Client) -> None:
    casefile = make.casefile()
    page = client.get(reverse("enrollment:eligible", args=[casefile.audit_request.key]))
    words = flat(page.content)
    assert "Sign in" in words
    assert "Larch" not in words
    assert casefile.number not in words


def test_somebody_signed_in_with_another_address_is_told_so(client: Client) -> None:
    make.account()
    request = make.screened()
    client.force_login(people.person("eve@mail.example", "Eve Stone"))
    response = client.post(reverse("enrollment:claim", args=[request.key]), follow=True)
    assert "You are signed in with another address" in flat(response.content)
    assert not Casefile.objects.exists()


def test_asking_too_often_is_a_page_not_an_error(
    client: Client, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(BeginThrottle, "rate", "1/hour")
    assert client.post(reverse("enrollment:start")).status_code == 302
    page = client.post(reverse("enrollment:start"))
    assert page.status_code == 429
    assert "555-0142" in flat(page.content)


def test_the_same_walk_as_operations(client: Client) -> None:
    make.account()
    url = reverse("api_audit_request_begin")
    begun = client.post(url).json()
    key = begun["key"]
    assert begun["next_question"] == "address"
    for question, answer in make.ANSWERS.items():
        response = client.put(
            reverse("api_audit_request_answer", args=[key, question]),
            answer,
            content_type="application/json",
        )
        assert response.status_code == 200, response.json()
    wrong = client.put(
        reverse("api_audit_request_answer", args=[key, "account"]),
        {"number": "12"},
        content_type="application/json",
    )
    assert wrong.status_code == 400
    assert "number" in wrong.json()["fields"]
    screened = client.post(reverse("api_audit_request_screen", args=[key])).json()
    assert screened["state"] == RequestState.ELIGIBLE
    assert client.post(reverse("api_casefile_open", args=[key])).status_code in {401, 403}
    client.force_login(people.person())
    opened = client.post(reverse("api_casefile_open", args=[key]))
    # Signing in has opened it already; asked again, the same one answers.
    assert opened.json()["number"] == Casefile.objects.get().number
    assert [row["number"] for row in client.get(reverse("api_casefile_list")).json()] == [
        opened.json()["number"]
    ]


def test_public_operations_are_throttled(client: Client, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ScreenThrottle, "rate", "1/hour")
    request = make.answered()
    url = reverse("api_audit_request_screen", args=[request.key])
    assert client.post(url).status_code == 200
    refused = client.post(url)
    assert refused.status_code == 429
    assert set(refused.json()) == {"code", "message", "fields"}


def test_another_households_casefile_is_not_found(client: Client) -> None:
    mine = make.casefile()
    theirs = make.casefile("4410000002", "16 Larch St", "kim@mail.example")
    client.force_login(make.homeowner_of(mine))
    assert client.get(reverse("api_casefile_read", args=[mine.number])).status_code == 200
    assert client.get(reverse("api_casefile_read", args=[theirs.number])).status_code == 404
