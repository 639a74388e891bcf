"""Territory, customer file, requests and casefiles, made through the services."""

from typing import Any

from allauth.account.models import EmailAddress

from portal.accounts import services as accounts
from portal.core.actors import PublicActor
from portal.enrollment import services
from portal.enrollment.models import AuditRequest, Casefile, County, UtilityAccount
from tests.factories.people import OFFICE, person

APPLICANT = PublicActor()

ANSWERS: dict[str, dict[str, Any]] = {
    "address": {"street": "14 Larch Street", "unit": "", "city": "Ashmere Falls", "zip": "00141"},
    "account": {"number": "4410 0000 01"},
    "contact": {"name": "Pat Arden", "email": "pat@mail.example", "phone": "", "language": "en"},
    "tenure": {"tenure": "owner"},
    "home": {"kind": "detached", "year_built": "1958", "units": ""},
    "bothers": {"chosen": ["cold_rooms", "bills"], "words": "The bedroom over the crawlspace"},
}


def county(name: str = "Ashmere", zip_code: str = "00141", city: str = "Ashmere Falls") -> County:
    """A county with one ZIP code."""
    made = services.county_enter(name=name, actor=OFFICE)
    services.zip_area_enter(
        zip_code=zip_code,
        city=city,
        county=made,
        latitude_deg=36.1,
        longitude_deg=-79.9,
        actor=OFFICE,
    )
    return made


def account(number: str = "4410000001", street: str = "14 Larch St", **more: Any) -> UtilityAccount:
    """An open residential account; its county is made along."""
    county()
    values = {
        "zip_code": "00141",
        "holder_name": "R. Arden",
        "rate_code": "R1",
        "has_electricity": True,
        "has_gas": True,
    }
    return services.account_enter(number=number, street=street, actor=OFFICE, **{**values, **more})


def answered(**changes: dict[str, Any]) -> AuditRequest:
    """A request with all six questions answered; ``changes`` replaces parts of answers."""
    request = services.request_begin(actor=APPLICANT)
    for question, answer in ANSWERS.items():
        services.request_answer(
            key=request.key,
            question=question,
            answer={**answer, **changes.get(question, {})},
            actor=APPLICANT,
        )
    request.refresh_from_db()
    return request


def screened(**changes: dict[str, Any]) -> AuditRequest:
    """A request the rules have been asked about."""
    return services.request_screen(key=answered(**changes).key, actor=APPLICANT)


def casefile(
    number: str = "4410000001",
    street: str = "14 Larch Street",
    email: str = "pat@mail.example",
    *,
    tenure: str = "owner",
    home: dict[str, Any] | None = None,
) -> Casefile:
    """A casefile, opened by a homeowner who has proved their address."""
    account(number, street)
    request = screened(
        address={"street": street},
        account={"number": number},
        contact={"email": email, "name": email.partition("@")[0].title() + " Arden"},
        tenure={"tenure": tenure},
        home=home or {},
    )
    user = accounts.person_remember(email=email, full_name="", actor=OFFICE)
    EmailAddress.objects.filter(user=user).update(verified=True)
    return services.casefile_open(request_id=request.pk, user=user, actor=user)


def homeowner_of(opened: Casefile) -> Any:
    """The person who signs in for a casefile."""
    return opened.participation.household.members.get().user


__all__ = [
    "ANSWERS",
    "APPLICANT",
    "account",
    "answered",
    "casefile",
    "county",
    "homeowner_of",
    "person",
    "screened",
]
