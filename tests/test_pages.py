"""Pages as such: lists that stay cheap, forms that answer with words, errors that are pages."""

import html
import io
import re
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.db import connection
from django.http import HttpResponse
from django.test import Client, RequestFactory
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.views import defaults
from pytest_django import DjangoDbBlocker

from portal.core import clock, jobs
from portal.intake import services as intake_services
from portal.places.positions import position_refresh
from portal.places.selectors import StageCount, stage_counts
from portal.rebates.models import Plan, Quote, SubsidyRequest
from portal.rebates.services import funds, requests
from portal.rebates.states import SubsidyState
from portal.scheduling.models import Appointment
from portal.works.models import Award, WorkScope
from portal.works.services import scopes
from tests.factories import enrollment, intake
from tests.journeys import homes

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def home(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[homes.Walked]:
    """A home whose request is with the program."""
    with homes.kept_for_a_module(django_db_blocker):
        with django_db_blocker.unblock():
            made = homes.sent(homes.planned(homes.audited()))
        yield made


def signed_in(user: Any) -> Client:
    client = Client()
    client.force_login(user)
    return client


# -- Lists -------------------------------------------------------------------------------


def another_home(home: homes.Walked, count: int) -> None:
    """A home that stands where the first one stands, with a job and a visit today besides."""
    assert home.plan is not None
    assert home.request is not None
    casefile = enrollment.casefile(
        f"44200000{count:02d}", f"{count} Alder Way", f"n{count}@mail.example"
    )
    now = clock.now()
    plan = Plan.objects.create(casefile=casefile, run=home.plan.run, created_at=now, changed_at=now)
    quote = Quote.objects.create(plan=plan, is_price_list=True, quoted_on=clock.today())
    request = SubsidyRequest.objects.get(pk=home.request.pk)
    request.pk = None
    request._state.adding = True
    request.number = f"R-{casefile.number}-1"
    request.casefile, request.plan, request.quote = casefile, plan, quote
    request.save()
    award = Award.objects.create(
        request=request, firm=home.program.firm, awarded_at=now, awarded_by="tests"
    )
    WorkScope.objects.create(
        number=f"S-{casefile.number}", casefile=casefile, award=award, finish_by_on=clock.today()
    )
    profile = home.record.appointment.auditor
    starts_at = clock.local(intake.VISIT_DAY, 12) + timedelta(minutes=count)
    visit = Appointment.objects.create(
        casefile=casefile,
        auditor=profile,
        starts_at=starts_at,
        ends_at=starts_at + timedelta(hours=1),
        booked_at=now,
    )
    if count % 2:
        intake_services.record_open(appointment_id=visit.pk, actor=profile.user)
    position_refresh(casefile.pk)
    county = casefile.participation.dwelling.building.county
    fund = funds.fund_open(
        county=county,
        fuel="gas",
        year=2030 + count,
        amount_usd=Decimal(1000),
        actor=home.program.admin,
    )
    funds.fund_allot(
        fund_id=home_fund(home).pk,
        amount_usd=Decimal(5),
        key=f"more:{fund.pk}",
        actor=home.program.admin,
    )


def home_fund(home: homes.Walked) -> Any:
    """The gas fund of the home's county."""
    return home.casefile.participation.dwelling.building.county.funds.get(fuel="gas", year=2026)


LISTS: dict[str, tuple[str, Callable[[homes.Walked], str]]] = {
    "the Desk": ("admin", lambda home: reverse("places:desk")),
    "casefiles": ("admin", lambda home: reverse("places:casefiles")),
    "funds": ("admin", lambda home: reverse("places:funds")),
    "one fund": ("admin", lambda home: reverse("places:fund", args=[home_fund(home).code])),
    "rulebook": ("admin", lambda home: reverse("places:rulebook")),
    "today": ("auditor", lambda home: reverse("places:today")),
    "scopes": ("crew", lambda home: reverse("places:scopes")),
    "positions": ("admin", lambda home: reverse("api_positions")),
    "casefiles by API": ("admin", lambda home: reverse("api_casefile_list")),
    "visits by API": (
        "auditor",
        lambda home: f"{reverse('api_appointment_list')}?day={intake.VISIT_DAY}",
    ),
}


@pytest.mark.parametrize("name", LISTS)
def test_a_list_asks_no_more_of_the_database_for_more_rows(home: homes.Walked, name: str) -> None:
    who, address = LISTS[name]
    client = signed_in(
        {
            "admin": home.program.admin,
            "auditor": home.auditor,
            "crew": home.program.contractor,
        }[who]
    )
    url = address(home)
    counts, sizes = [], []
    made = 0
    for rows in (2, 8):
        while made < rows:
            made += 1
            another_home(home, made)
        client.get(url)
        with CaptureQueriesContext(
            connection,
        ) as queries:
            answer = client.get(url)
        assert answer.status_code == 200
        counts.append(len(queries))
        sizes.append(len(answer.content))
    repeated = [query["sql"][:200] for query in queries.captured_queries[-12:]]
    assert counts[0] == counts[1], f"{counts}, of which the last: {repeated}"
    # The rulebook alone has nothing to do with homes.
    assert name == "rulebook" or sizes[1] > sizes[0], "the list did not grow"


# -- Forms -------------------------------------------------------------------------------


def long_name() -> SimpleUploadedFile:
    """A text file with a name longer than any system takes."""
    return SimpleUploadedFile("q" * 400 + ".pdf", b"words", content_type="application/pdf")


def refused(answer: Any, *words: str) -> None:
    """The page came back with what is wrong, in these words."""
    assert answer.status_code == 200, answer.status_code
    page = answer.content.decode()
    assert "Error:" in page
    for expected in words:
        assert expected in page, expected


def test_a_decision_without_a_verb_is_asked_for_one(home: homes.Walked) -> None:
    assert home.request is not None
    url = reverse("places:desk_request", args=[home.request.number])
    client = signed_in(home.program.admin)
    refused(client.post(url, {}), "Choose what you decide.")
    refused(client.post(url, {"verb": "promise"}), "Error:")
    refused(client.post(url, {"verb": "reserved"}), "Choose the firm that gets the work.")
    refused(client.post(url, {"verb": "reserved", "firm": "999999"}))
    for verb in ("returned", "deferred", "refused", "referred"):
        refused(client.post(url, {"verb": verb}), "Write the reason. The homeowner reads it.")
    refused(client.post(url, {"verb": "refused", "note": "x" * 2001}), "2000")


def test_a_decision_in_the_wrong_state_says_so(home: homes.Walked) -> None:
    assert home.request is not None
    url = reverse("places:desk_request", args=[home.request.number])
    client = signed_in(home.program.admin)
    assert client.post(url, {"verb": "refused", "note": "Not this year."}).status_code == 302
    answer = client.post(url, {"verb": "returned", "note": "One more paper."})
    assert answer.status_code == 200
    home.request.refresh_from_db()
    assert home.request.state == "refused"


@pytest.mark.parametrize("verb", ["", "referred"])
def test_the_desk_counts_as_late_what_it_prints_in_red(home: homes.Walked, verb: str) -> None:
    assert home.request is not None
    if verb:
        requests.request_decide(
            request_id=home.request.pk,
            target=SubsidyState(verb),
            note="Two rules meet here.",
            actor=home.program.admin,
        )
        jobs.drain()
    promised = SubsidyRequest.objects.get(pk=home.request.pk).decide_by_on
    assert promised is not None
    for days, late in ((0, 0), (1, 1)):
        with clock.at(clock.local(promised + timedelta(days=days), 9)):
            answer = signed_in(home.program.admin).get(reverse("places:desk"))
        page = answer.content.decode()
        assert answer.context["late"] == late
        assert sum(row.late for row in stage_counts_at(promised + timedelta(days=days))) == late
        assert [row["cells"][-1]["is_late"] for row in answer.context["request_rows"]] == [
            bool(late)
        ]
        assert ("is past its date" in page) is bool(late)


def stage_counts_at(day: date) -> list[StageCount]:
    with clock.at(clock.local(day, 9)):
        return stage_counts()


def test_the_quote_form_answers_with_words(home: homes.Walked) -> None:
    assert home.request is not None
    SubsidyRequest.objects.filter(pk=home.request.pk).update(state="returned")
    url = reverse("rebates:quote", args=[home.casefile.number])
    client = signed_in(home.owner)
    measure = home.request.measures[0]
    refused(
        client.post(url, {measure: "a lot", "quoted_on": "soon"}),
        "Choose the firm that wrote the quote.",
        "Enter the date as month, day and year.",
        "Enter the price as a number of dollars, like 1250.00.",
    )
    refused(client.post(url, {measure: "-4"}), "Enter a price above 0 dollars.")
    refused(client.post(url, {measure: "NaN"}))
    refused(client.post(url, {measure: "1e400"}))
    whole = {
        "firm": home.program.firm.pk,
        "quoted_on": "2026-03-02",
        **dict.fromkeys(home.request.measures, "100.00"),
    }
    refused(client.post(url, {**whole, "quoted_on": "2030-01-01"}), "cannot be after today")
    refused(client.post(url, {**whole, "file": long_name()}))
    refused(client.post(url, {**whole, "file": SimpleUploadedFile("quote.pdf", b"not one")}))


def test_consent_is_not_assumed(home: homes.Walked) -> None:
    assert home.request is not None
    SubsidyRequest.objects.filter(pk=home.request.pk).update(state="returned")
    url = reverse("rebates:send", args=[home.casefile.number])
    refused(
        signed_in(home.owner).post(url, {}),
        "Tick the box to agree, or leave the request for later.",
    )
    home.request.refresh_from_db()
    assert home.request.state == "returned"


def test_a_request_cannot_be_sent_twice(home: homes.Walked) -> None:
    url = reverse("rebates:send", args=[home.casefile.number])
    answer = signed_in(home.owner).post(url, {"consent": "on"})
    refused(answer, "is with the program already")
    assert SubsidyRequest.objects.filter(casefile=home.casefile).count() == 1


def test_plan_answers_nobody_offered_are_refused(home: homes.Walked) -> None:
    assert home.request is not None
    SubsidyRequest.objects.filter(pk=home.request.pk).update(state="returned")
    url = reverse("rebates:plan", args=[home.casefile.number])
    client = signed_in(home.owner)
    refused(client.post(url, {}), "Choose yes, later or not for me.")
    refused(client.post(url, {home.request.measures[0]: "perhaps"}))
    sums = client.post(reverse("rebates:sums", args=[home.casefile.number]), {"junk": "yes"})
    assert sums.status_code == 200


@pytest.fixture
def job(home: homes.Walked) -> WorkScope:
    """The home's scope, taken by the firm."""
    assert home.request is not None
    requests.request_reserve(
        request_id=home.request.pk, firm=home.program.firm, actor=home.program.admin
    )
    scope = scopes.award_make(
        request_id=home.request.pk, firm_id=home.program.firm.pk, awarded_by="tests"
    )
    return scopes.scope_accept(scope_id=scope.pk, actor=home.program.contractor)


def test_the_contractors_forms_answer_with_words(home: homes.Walked, job: WorkScope) -> None:
    client = signed_in(home.program.contractor)
    line = reverse("works:line", args=[job.number, job.lines.first().pk])
    refused(client.post(line, {"add": "1", "moment": "after"}), "Choose a photo.")
    refused(client.post(line, {"moment": "after", "photo": long_name()}))
    refused(
        client.post(line, {"moment": "never", "photo": SimpleUploadedFile("a.jpg", b"\xff\xd8")})
    )
    refused(client.post(line, {"done": "1"}), "Add a photo of the finished work to line")
    refused(client.post(line, {"done": "1", "note": "x" * 301}), "300")
    claim = reverse("works:claim", args=[job.number])
    refused(
        client.post(claim, {"invoice_number": "", "invoice_usd": "lots"}),
        "Enter the number on the invoice.",
        "Enter the amount as a number of dollars, like 4480.00.",
    )
    refused(
        client.post(claim, {"invoice_number": "1", "invoice_usd": "10.00"}),
        "Mark every line done first.",
    )
    answer = reverse("works:answer", args=[job.number])
    refused(client.post(answer, {"decline": "1"}), "Write why")
    assert client.post(answer, {"accept": "1"}, follow=True).status_code == 200


def test_a_claim_is_not_returned_without_words(home: homes.Walked, job: WorkScope) -> None:
    job.claims.create(
        number=f"C-{home.casefile.number}-1",
        invoice_number="1",
        invoice_usd=Decimal(10),
        sent_at=clock.now(),
        sent_by="tests",
    )
    url = reverse("places:desk_claim", args=[f"C-{home.casefile.number}-1"])
    client = signed_in(home.program.admin)
    refused(client.post(url, {}), "Choose what you decide.")
    refused(client.post(url, {"verb": "returned"}), "Write what is missing. The firm reads it.")
    assert client.post(url, {"verb": "accepted"}).status_code == 302
    assert client.post(url, {"verb": "accepted"}).status_code == 200


def test_a_file_that_is_no_record_is_refused_with_reasons(home: homes.Walked) -> None:
    intake_services.record_reopen(
        record_id=home.record.pk, why="To read another file.", actor=home.auditor
    )
    url = reverse("intake:upload", args=[home.casefile.number])
    client = signed_in(home.auditor)
    for content in (b"", b"{", b"[]", b"<a/>", b"\x00" * 32, b"<!DOCTYPE a [<!ENTITY b 'c'>]><a/>"):
        answer = client.post(url, {"file": io.BytesIO(content)})
        refused(answer, "Nothing of it is stored")
    refused(client.post(url, {}), "Nothing of it is stored")
    refused(client.post(url, {"file": long_name()}), "Nothing of it is stored")


@pytest.mark.parametrize(
    "address",
    ["/today/?day=someday", "/visit/26-9999/", "/record/999999/", "/funds/none/", "/nowhere/"],
)
def test_an_address_that_leads_nowhere_is_a_page(home: homes.Walked, address: str) -> None:
    for user in (home.program.admin, home.auditor):
        answer = signed_in(user).get(address)
        assert answer.status_code == 404
        assert "<h1" in answer.content.decode()


@pytest.mark.parametrize("address", ["/casefiles/?page=x", "/desk/?page=-1", "/casefiles/?stage=x"])
def test_a_page_number_that_cannot_be_is_the_nearest(home: homes.Walked, address: str) -> None:
    assert signed_in(home.program.admin).get(address).status_code == 200


SHARED_PAGES = {
    "a run": ("modeling:run", ("owner", "auditor", "admin")),
    "a record": ("intake:record", ("auditor", "admin")),
    "an upload": ("intake:upload", ("auditor", "admin")),
    "a report": ("reports:owner", ("owner", "auditor", "admin")),
    "a history": ("places:case", ("owner", "auditor", "admin")),
    "a visit": ("scheduling:booked", ("owner", "admin")),
}


@pytest.mark.parametrize(
    ("name", "who"), [(name, who) for name, (_route, whom) in SHARED_PAGES.items() for who in whom]
)
def test_a_page_several_may_see_leads_none_of_them_astray(
    home: homes.Walked, name: str, who: str
) -> None:
    person = {"owner": home.owner, "auditor": home.auditor, "admin": home.program.admin}[who]
    places = {
        "modeling:run": home.casefile.model_runs.first().pk,
        "intake:record": home.record.pk,
    }
    route = SHARED_PAGES[name][0]
    client = signed_in(person)
    page = client.get(reverse(route, args=[places.get(route, home.casefile.number)]))
    assert page.status_code == 200
    links = set(re.findall(r'<a [^>]*href="(/[^"#]*)', page.content.decode()))
    assert links
    dead = []
    for link in links - {"/account/logout/"}:
        answer = client.get(html.unescape(link))
        if answer.streaming:
            answer.getvalue()
        if answer.status_code >= 400:
            dead.append(link)
    assert dead == []


# -- Error pages -------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("view", "status"),
    [
        (lambda request: defaults.bad_request(request, ValueError()), 400),
        (lambda request: defaults.permission_denied(request, PermissionError()), 403),
        (lambda request: defaults.page_not_found(request, LookupError()), 404),
        (defaults.server_error, 500),
    ],
)
def test_error_pages_are_in_the_portals_own_face(
    view: Callable[[Any], HttpResponse], status: int, django_assert_num_queries: Any
) -> None:
    with django_assert_num_queries(0):
        answer = view(RequestFactory().get("/somewhere/"))
    page = answer.content.decode()
    assert answer.status_code == status
    assert "css/rimjoist.css" in page
    assert "<h1" in page
    assert "555-01" in page, "an error page names somebody to call"


def test_a_form_from_elsewhere_is_told_what_to_do(home: homes.Walked) -> None:
    client = Client(enforce_csrf_checks=True)
    client.force_login(home.owner)
    answer = client.post(reverse("rebates:send", args=[home.casefile.number]), {"consent": "on"})
    assert answer.status_code == 403
    page = answer.content.decode()
    assert "css/rimjoist.css" in page
    assert "CSRF" not in page
