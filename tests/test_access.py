"""Every address times every role: who gets what, and who is told that nothing is there."""

import io
from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from django.core.cache import cache
from django.db import transaction
from django.test import Client
from django.urls import URLPattern, URLResolver, get_resolver, reverse
from pytest_django import DjangoDbBlocker

from portal.intake import services as intake_services
from portal.modeling import weather_files
from tests.factories import enrollment, intake, people, scheduling
from tests.journeys import homes

pytestmark = pytest.mark.django_db

JSON = "application/json"
ROLES = (
    "stranger",
    "no_role",
    "owner",
    "neighbor",
    "auditor",
    "other_auditor",
    "admin",
    "crew",
    "other_crew",
)


def routes(
    resolver: URLResolver | None = None, space: str = ""
) -> Iterator[tuple[str, URLPattern]]:
    """Every route of the portal with its whole name."""
    for entry in (resolver or get_resolver()).url_patterns:
        if isinstance(entry, URLResolver):
            inner = f"{space}{entry.namespace}:" if entry.namespace else space
            yield from routes(entry, inner)
        else:
            yield f"{space}{entry.name}", entry


class World:
    """A home with a claim, another home with a record, their people, and one open request."""

    def __init__(self) -> None:
        home = homes.claimed(
            homes.worked(homes.reserved(homes.sent(homes.planned(homes.audited()))))
        )
        assert home.scope is not None
        assert home.claim is not None
        assert home.request is not None
        self.home = home
        other = enrollment.casefile(
            "4410000002", "15 Larch Street", "noor@mail.example", home={"kind": "detached"}
        )
        visitor = scheduling.auditor("other@qlg.example", counties=[])
        intake.record(intake.visit(auditor=visitor, casefile=other))
        other_firm = people.firm("Plover & Post", counties=["Ashmere"])
        self.users = {
            "no_role": people.person("nobody@mail.example", "Nobody Yet"),
            "owner": home.owner,
            "neighbor": enrollment.homeowner_of(other),
            "auditor": home.auditor,
            "other_auditor": visitor.user,
            "admin": home.program.admin,
            "crew": home.program.contractor,
            "other_crew": people.contractor("crew@plover.example", of=other_firm),
        }
        self.clients = {"stranger": Client()}
        for role, user in self.users.items():
            self.clients[role] = Client()
            self.clients[role].force_login(user)
        photo = intake_services.photo_add(
            record_id=home.record.pk, upload=homes.photo(), name="attic.jpg", actor=home.auditor
        )
        line = home.scope.lines.first()
        item = home.record.items.filter(group="attics").first()
        proof = line.proofs.get()
        visit = home.record.appointment
        run = home.casefile.model_runs.first()
        report = home.casefile.reports.get(kind="owner")
        self.values: dict[str, Any] = {
            "number": home.casefile.number,
            "request_number": home.request.number,
            "scope_number": home.scope.number,
            "claim_number": home.claim.number,
            "line_pk": line.pk,
            "proof": proof.file.key,
            "record_pk": home.record.pk,
            "run_pk": run.pk,
            "item": item.key,
            "uid": visit.uid,
            "derivation": report.content["derivations"][0]["key"],
            "fund": "ashmere-gas-2026",
            "rules": "QLG-IS",
            "version": 2,
            "section": "attic",
            "question": "tenure",
            "photo": photo.pk,
            "measure": home.request.measures[0],
            "firm": home.program.firm.pk,
            "nothing": "x",
            "value": "spillage.warm_vent",
            "station": run.weather_id,
            "weather_file": weather_files.file_receive(
                upload=io.BytesIO(b"not weather"),
                name="year.epw",
                code="900001",
                source="made",
                actor=home.program.admin,
            ).pk,
            "proposal": intake_services.value_propose(
                key="draft.intercept",
                value=-3.0,
                edition="2026",
                document="Board paper",
                reason="Stricter",
                actor=home.program.admin,
            ).pk,
            "formula": "nominal_rate",
            "audit_request": enrollment.answered(
                contact={"email": "third@mail.example"}, account={"number": "4410000002"}
            ).key,
        }

    def ask(self, role: str, method: str, url: str, data: Mapping[str, Any], is_api: bool) -> Any:
        """One request whose effects are undone."""
        client = Client()
        client.cookies.update(self.clients[role].cookies)
        # What may be asked for only so often is no part of who may ask.
        cache.clear()
        body = {name: file() if callable(file) else file for name, file in data.items()}
        is_file = any(callable(value) for value in data.values())
        more = {} if method == "get" or is_file or not is_api else {"content_type": JSON}
        with transaction.atomic():
            answer = getattr(client, method)(url, body, **more)
            transaction.set_rollback(True)
        if answer.streaming:
            # A file that is sent stays open until it has been read to its end.
            answer.getvalue()
        return answer


# -- What each may expect ----------------------------------------------------------------

# To the sign-in page.
IN = "sign-in"
Answer = int | str
Answers = dict[str, Answer]


def page(**who: Answer) -> Answers:
    """A page: strangers are sent to sign in, whoever is not named finds nothing there."""
    return {"stranger": IN, **dict.fromkeys(ROLES[1:], 404), **who}


def operation(**who: Answer) -> Answers:
    """An operation: whoever is not named is refused by role."""
    return {**dict.fromkeys(ROLES, 403), **who}


def open_to_all(answer: Answer) -> Answers:
    """Nobody is told apart."""
    return dict.fromkeys(ROLES, answer)


def signed_in(answer: Answer, *, stranger: Answer = IN) -> Answers:
    """Everybody who is signed in gets the same."""
    return {**dict.fromkeys(ROLES, answer), "stranger": stranger}


OWN = {"owner": 200, "neighbor": 404}
ADMIN = page(admin=200)
VISITOR = page(auditor=200, admin=200)
VISITOR_SENT_ON = page(auditor=302, admin=302)
FAMILY = page(owner=200)
FAMILY_AND_OFFICE = page(owner=200, admin=200)
READERS = page(owner=200, auditor=200, admin=200)
FIRM = page(crew=200)
FIRM_AND_OFFICE = page(crew=200, admin=200)

PAGES: dict[tuple[str, str], Answers] = {
    ("places:landing", "get"): signed_in(302, stranger=200) | {"no_role": 200},
    ("places:home", "get"): page(owner=302, neighbor=302) | {"neighbor": 200},
    ("places:home_of", "get"): FAMILY,
    ("places:case", "get"): READERS,
    ("places:today", "get"): page(auditor=200, other_auditor=200),
    ("places:desk", "get"): ADMIN,
    ("places:desk_claim", "get"): ADMIN,
    ("places:desk_claim", "post"): ADMIN,
    ("places:desk_request", "get"): ADMIN,
    ("places:desk_request", "post"): ADMIN,
    ("places:casefiles", "get"): ADMIN,
    ("places:funds", "get"): ADMIN,
    ("places:fund", "get"): ADMIN,
    ("places:rulebook", "get"): ADMIN,
    ("places:rule_set", "get"): ADMIN,
    ("places:scopes", "get"): page(crew=200, other_crew=200),
    # Whoever holds the link of a request holds the request, signed in or not.
    ("enrollment:start", "get"): open_to_all(200),
    ("enrollment:start", "post"): open_to_all(302),
    ("enrollment:resume", "get"): open_to_all(302),
    ("enrollment:check", "get"): open_to_all(200),
    ("enrollment:check", "post"): open_to_all(302),
    ("enrollment:eligible", "get"): open_to_all(302),
    ("enrollment:not_eligible", "get"): open_to_all(302),
    ("enrollment:withdrawn", "get"): open_to_all(302),
    ("enrollment:claim", "post"): open_to_all(302),
    ("enrollment:question", "get"): open_to_all(200),
    ("enrollment:question", "post"): open_to_all(200),
    ("scheduling:booked", "get"): FAMILY_AND_OFFICE,
    ("scheduling:pick", "get"): FAMILY_AND_OFFICE,
    ("scheduling:pick", "post"): FAMILY_AND_OFFICE,
    # The visit has taken place: there is nothing to move, and the page leads on.
    ("scheduling:move", "get"): page(owner=302, admin=302),
    ("scheduling:move", "post"): page(owner=302, admin=302),
    ("scheduling:cancel", "get"): page(owner=302, admin=302),
    ("scheduling:cancel", "post"): page(owner=302, admin=302),
    ("intake:template", "get"): page(auditor=200, other_auditor=200, admin=200),
    ("intake:open", "post"): VISITOR_SENT_ON,
    ("intake:upload", "get"): VISITOR,
    ("intake:upload", "post"): VISITOR_SENT_ON,
    ("intake:hazards", "get"): ADMIN,
    ("intake:hazards", "post"): ADMIN,
    ("intake:record", "get"): VISITOR,
    ("intake:complete", "get"): VISITOR_SENT_ON,
    ("intake:complete", "post"): VISITOR_SENT_ON,
    ("intake:reopen", "post"): VISITOR_SENT_ON,
    ("intake:rest_unknown", "post"): VISITOR_SENT_ON,
    ("intake:photo_add", "post"): VISITOR_SENT_ON,
    ("intake:photo", "get"): VISITOR,
    ("intake:section", "get"): VISITOR,
    ("intake:section", "post"): VISITOR_SENT_ON,
    ("intake:item_add", "post"): VISITOR_SENT_ON,
    ("intake:item", "get"): VISITOR,
    ("intake:item", "post"): VISITOR_SENT_ON,
    ("intake:item_copy", "post"): VISITOR_SENT_ON,
    ("intake:item_rename", "post"): VISITOR_SENT_ON,
    ("intake:item_remove", "post"): VISITOR_SENT_ON,
    ("office:office", "get"): ADMIN,
    ("office:weather", "get"): ADMIN,
    ("office:weather", "post"): page(admin=302),
    ("office:weather_file", "get"): ADMIN,
    ("office:weather_file", "post"): page(admin=302),
    ("office:station_retire", "post"): page(admin=302),
    ("office:daily_weather", "get"): ADMIN,
    ("office:daily_weather", "post"): ADMIN,
    ("office:values", "get"): ADMIN,
    ("office:value", "get"): ADMIN,
    ("office:value", "post"): ADMIN,
    ("modeling:run", "get"): READERS,
    ("modeling:start", "post"): VISITOR_SENT_ON,
    ("modeling:formulas", "get"): page(auditor=200, other_auditor=200, admin=200),
    ("modeling:formula", "get"): page(auditor=200, other_auditor=200, admin=200),
    ("reports:scope_pdf", "get"): FIRM_AND_OFFICE,
    ("reports:owner_pdf", "get"): READERS,
    ("reports:owner", "get"): READERS,
    ("reports:derivation", "get"): READERS,
    ("rebates:request", "get"): FAMILY,
    ("rebates:withdraw", "post"): page(owner=302),
    ("rebates:plan", "get"): FAMILY,
    ("rebates:plan", "post"): FAMILY,
    ("rebates:sums", "post"): FAMILY,
    ("rebates:quote", "get"): FAMILY,
    ("rebates:quote", "post"): FAMILY,
    ("rebates:send", "get"): FAMILY,
    ("rebates:send", "post"): FAMILY,
    ("works:proof", "get"): FIRM_AND_OFFICE,
    ("works:scope", "get"): FIRM_AND_OFFICE,
    ("works:answer", "post"): page(crew=302),
    ("works:line", "get"): FIRM,
    ("works:line", "post"): FIRM,
    ("works:reopen", "post"): page(crew=302),
    ("works:claim", "get"): FIRM,
    ("works:claim", "post"): FIRM,
    ("accounts:demo_sign_in", "post"): open_to_all(404),
    ("set_language", "get"): open_to_all(302),
    ("set_language", "post"): open_to_all(302),
    ("health", "get"): open_to_all(200),
    ("health", "post"): open_to_all(405),
}

# Signing in and out: by a code sent to the address, for everybody alike.
SIGN_IN_PAGE = signed_in(302, stranger=200)
SIGN_IN_PAGES: dict[tuple[str, str], Answers] = {
    ("account_login", "get"): SIGN_IN_PAGE,
    ("account_login", "post"): SIGN_IN_PAGE,
    ("account_logout", "get"): signed_in(200, stranger=302),
    ("account_logout", "post"): open_to_all(302),
    ("account_inactive", "get"): open_to_all(200),
    ("account_signup", "get"): SIGN_IN_PAGE,
    ("account_signup", "post"): SIGN_IN_PAGE,
    ("account_request_login_code", "get"): SIGN_IN_PAGE,
    ("account_request_login_code", "post"): SIGN_IN_PAGE,
    ("account_confirm_login_code", "get"): signed_in(302, stranger=302),
    ("account_confirm_login_code", "post"): signed_in(302, stranger=302),
    ("account_email_verification_sent", "get"): signed_in(302, stranger=302),
    ("account_email_verification_sent", "post"): signed_in(302, stranger=302),
    # To the sign-in page, which leads on whoever is in.
    ("account_email", "get"): open_to_all(302),
}

OPERATIONS: dict[tuple[str, str], Answers] = {
    ("api_audit_request_begin", "post"): open_to_all(201),
    ("api_audit_request_read", "get"): open_to_all(200),
    ("api_audit_request_answer", "put"): open_to_all(200),
    ("api_audit_request_screen", "post"): open_to_all(200),
    ("api_audit_request_withdraw", "post"): open_to_all(200),
    # The request is somebody else's; the office may, but it is not eligible yet.
    ("api_casefile_open", "post"): operation(admin=409),
    ("api_casefile_list", "get"): operation(
        owner=200, neighbor=200, auditor=200, other_auditor=200, admin=200
    ),
    ("api_casefile_read", "get"): operation(**OWN, auditor=200, other_auditor=404, admin=200),
    ("api_slot_list", "get"): operation(**OWN, admin=200),
    ("api_appointment_book", "post"): operation(owner=400, neighbor=404, admin=400),
    ("api_appointment_list", "get"): operation(auditor=200, other_auditor=200, admin=200),
    ("api_appointment_move", "post"): operation(owner=400, neighbor=404, admin=400),
    ("api_appointment_cancel", "post"): operation(
        owner=409, neighbor=404, other_auditor=404, admin=409
    ),
    ("api_appointment_start", "post"): operation(auditor=409, other_auditor=404, admin=409),
    ("api_appointment_finish", "post"): operation(auditor=409, other_auditor=404, admin=409),
    ("api_appointment_missed", "post"): operation(auditor=409, other_auditor=404, admin=409),
    ("api_sheet_schema", "get"): operation(auditor=200, other_auditor=200, admin=200),
    ("api_sheet_template", "get"): operation(auditor=200, other_auditor=200, admin=200),
    ("api_record_open", "post"): operation(auditor=201, other_auditor=404, admin=201),
    ("api_hazard_clear", "post"): operation(admin=400),
    ("api_record", "get"): operation(auditor=200, other_auditor=404, admin=200),
    ("api_item_add", "post"): operation(auditor=409, other_auditor=404, admin=409),
    ("api_photo_add", "post"): operation(auditor=201, other_auditor=404, admin=201),
    ("api_record_upload", "post"): operation(auditor=409, other_auditor=404, admin=409),
    ("api_record_complete", "post"): operation(auditor=200, other_auditor=404, admin=200),
    ("api_record_reopen", "post"): operation(auditor=200, other_auditor=404, admin=200),
    ("api_section_save", "put"): operation(auditor=200, other_auditor=404, admin=200),
    ("api_item_save", "put"): operation(auditor=200, other_auditor=404, admin=200),
    ("api_item_save", "delete"): operation(auditor=409, other_auditor=404, admin=409),
    ("api_run_start", "post"): operation(auditor=202, other_auditor=404, admin=202),
    ("api_formula", "post"): operation(auditor=200, other_auditor=200, admin=200),
    ("api_weather", "get"): operation(admin=200),
    ("api_weather", "post"): operation(admin=202),
    ("api_weather_file", "get"): operation(admin=200),
    # Its check has not been carried out, and the only station in use stays.
    ("api_weather_use", "post"): operation(admin=409),
    ("api_station_retire", "post"): operation(admin=409),
    ("api_daily_weather", "get"): operation(admin=200),
    ("api_daily_weather", "post"): operation(admin=400),
    ("api_values", "get"): operation(admin=200),
    ("api_value_propose", "post"): operation(admin=201),
    # Who proposed it does not confirm it.
    ("api_proposal_decide", "post"): operation(admin=403),
    ("api_run", "get"): operation(**OWN, auditor=200, other_auditor=404, admin=200),
    ("api_owner_report", "get"): operation(**OWN, auditor=200, other_auditor=404, admin=200),
    ("api_plan", "get"): operation(**OWN),
    ("api_plan", "put"): operation(owner=409, neighbor=404),
    ("api_quote", "post"): operation(owner=409, neighbor=404),
    ("api_send", "post"): operation(owner=409, neighbor=404),
    ("api_request", "get"): operation(**OWN, admin=200),
    ("api_decide", "post"): operation(admin=409),
    ("api_scope", "get"): operation(admin=200, crew=200, other_crew=404),
    ("api_scope_answer", "post"): operation(crew=409, other_crew=404),
    ("api_line_proof", "post"): operation(crew=409, other_crew=404),
    ("api_line_done", "post"): operation(crew=409, other_crew=404),
    ("api_claim", "post"): operation(crew=409, other_crew=404),
    ("api_positions", "get"): operation(
        owner=200, neighbor=200, auditor=200, other_auditor=200, admin=200
    ),
    ("api_schema", "get"): open_to_all(200),
}

TABLE = PAGES | SIGN_IN_PAGES | OPERATIONS

# Route -> its part of the address -> which value of the world stands there, where the name
# of the part does not say it.
SCOPES = {"number": "scope_number"}
RECORD = {"pk": "record_pk"}
ITEM = {"pk": "record_pk", "key": "item"}
PLACES: dict[str, dict[str, str]] = {
    **{name: RECORD for name, _method in TABLE if name.startswith(("intake:", "api_record"))},
    **{name: SCOPES for name, _method in TABLE if name.startswith(("works:", "api_scope"))},
    **{name: ITEM for name, _method in TABLE if name.startswith(("intake:item", "api_item"))},
    **{
        name: {"key": "audit_request"}
        for name, _method in TABLE
        if name.startswith(("enrollment:", "api_audit_request", "api_casefile_open"))
    },
    "api_photo_add": RECORD,
    "api_section_save": RECORD,
    "api_line_proof": SCOPES,
    "api_line_done": SCOPES,
    "api_claim": SCOPES,
    "api_record_open": {},
    "office:weather_file": {"pk": "weather_file"},
    "office:station_retire": {"pk": "station"},
    "office:value": {"key": "value"},
    "api_weather_file": {"pk": "weather_file"},
    "api_weather_use": {"pk": "weather_file"},
    "api_station_retire": {"pk": "station"},
    "api_value_propose": {"key": "value"},
    "api_proposal_decide": {"pk": "proposal"},
    "modeling:run": {"pk": "run_pk"},
    "api_run": {"pk": "run_pk"},
    "reports:scope_pdf": SCOPES,
    "reports:derivation": {"key": "derivation"},
    "works:proof": {"key": "proof"},
    "places:fund": {"code": "fund"},
    "places:rule_set": {"code": "rules"},
}


def sent_with(world: World, name: str, method: str) -> dict[str, Any]:
    """What is sent along, where an empty body would be refused before anybody looks whose it is."""
    values = world.values
    bodies: dict[tuple[str, str], dict[str, Any]] = {
        ("intake:photo_add", "post"): {"section": "attic", "photo": homes.photo},
        ("intake:item_add", "post"): {"group": "attics", "name": "Kneewall"},
        ("api_audit_request_answer", "put"): {"tenure": "owner"},
        ("api_appointment_list", "get"): {"day": "2026-03-02"},
        ("api_item_add", "post"): {"group": "attics", "name": "Kneewall"},
        ("api_photo_add", "post"): {"photo": homes.photo},
        ("office:weather", "post"): {"code": "900002", "source": "made", "file": homes.photo},
        ("office:value", "post"): {"act": "propose"},
        ("api_weather", "post"): {"code": "900002", "source": "made", "file": homes.photo},
        # A picture is no table of days: refused after the role was let in.
        ("api_daily_weather", "post"): {
            "code": "900003",
            "name": "made",
            "source": "made",
            "latitude": 0,
            "longitude": 0,
            "file": homes.photo,
        },
        ("api_value_propose", "post"): {
            "value": 30,
            "edition": "2026",
            "document": "Board paper",
            "reason": "Stricter",
        },
        ("api_proposal_decide", "post"): {"verb": "adopt"},
        ("api_formula", "post"): {"values": {"real": "0.03", "inflation": "0.02"}},
        ("api_record_upload", "post"): {"file": homes.photo},
        ("api_record_reopen", "post"): {"why": "A value was read wrong."},
        ("api_section_save", "put"): {"values": {}},
        ("api_item_save", "put"): {"values": {}},
        ("api_plan", "put"): {"choices": [{"measure": values["measure"], "answer": "later"}]},
        ("api_send", "post"): {"agrees": True},
        ("api_decide", "post"): {"decision": "reserved", "firm_id": values["firm"]},
        ("api_scope_answer", "post"): {"takes": True},
        ("api_line_proof", "post"): {"photo": homes.photo, "moment": "after"},
        ("api_claim", "post"): {"invoice_number": "7", "invoice_usd": "10.00"},
    }
    return bodies.get((name, method), {})


METHODS = ("get", "post", "put", "patch", "delete")


def methods_of(name: str, route: URLPattern) -> list[str]:
    """The methods a route answers itself; the sign-in pages take PUT for POST."""
    view = getattr(route.callback, "cls", None) or getattr(route.callback, "view_class", None)
    if view is None:
        return ["get", "post"]
    allowed = [
        method for method in METHODS if method in view.http_method_names and hasattr(view, method)
    ]
    if name.startswith("account_"):
        allowed = [method for method in allowed if method != "put"]
    return allowed


EVERY_CALL = [
    pytest.param(name, method, route, id=f"{method} {name}")
    for name, route in routes()
    for method in methods_of(name, route)
]


@pytest.fixture(scope="module")
def world(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[World]:
    with homes.kept_for_a_module(django_db_blocker):
        with django_db_blocker.unblock():
            made = World()
        yield made


@pytest.mark.parametrize(("name", "method", "route"), EVERY_CALL)
def test_each_role_gets_what_the_table_says(
    world: World, name: str, method: str, route: URLPattern
) -> None:
    expected = TABLE.get((name, method))
    assert expected is not None, f"{method} {name} is not in the table of who may do what"
    places = PLACES.get(name, {})
    parts = route.pattern.converters or getattr(route.pattern, "regex", None)
    names = list(parts) if isinstance(parts, dict) else list(parts.groupindex)
    url = reverse(name, kwargs={part: world.values[places.get(part, part)] for part in names})
    data = sent_with(world, name, method)
    got: Answers = {}
    for role in ROLES:
        answer = world.ask(role, method, url, data, is_api=name.startswith("api_"))
        is_turned_away = answer.status_code == 302 and answer.url.startswith("/account/login/?next")
        got[role] = IN if is_turned_away else answer.status_code
    assert got == expected


def test_the_table_names_no_route_that_is_gone() -> None:
    there = {(name, method) for name, route in routes() for method in methods_of(name, route)}
    assert TABLE.keys() == there


def test_no_two_people_of_the_world_are_the_same(world: World) -> None:
    assert len({user.pk for user in world.users.values()}) == len(ROLES) - 1
