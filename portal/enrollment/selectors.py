"""Finding requests, casefiles and the records behind them."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import TYPE_CHECKING, Any
from uuid import UUID

from django.contrib.auth.models import AnonymousUser
from django.db.models import Q, QuerySet
from django.http import Http404
from django.shortcuts import get_object_or_404
from django.utils.translation import gettext as _

from portal.accounts.models import User
from portal.accounts.states import Role
from portal.core import clock, languages
from portal.core.models import TrailEntry
from portal.enrollment import addresses
from portal.enrollment.answers import Bother
from portal.enrollment.models import (
    AuditRequest,
    Casefile,
    Dwelling,
    HouseholdMember,
    Participation,
    UtilityAccount,
    ZipArea,
)
from portal.enrollment.states import RequestState

if TYPE_CHECKING:
    Reader = User | AnonymousUser

# -- Casefiles ---------------------------------------------------------------------------

Scope = Callable[[User], Q]

_scopes: dict[str, Scope] = {}


def scope_by(role: str) -> Callable[[Scope], Scope]:
    """Let a higher app say which casefiles a role may see; it gives a condition on casefiles."""

    def register(scope: Scope) -> Scope:
        _scopes[str(role)] = scope
        return scope

    return register


@scope_by(Role.HOMEOWNER)
def _own_household(user: User) -> Q:
    """The casefiles of the households a person belongs to today."""
    return Q(
        participation__household__members__in=user.memberships.filter(
            since_on__lte=clock.today(), until_on__isnull=True
        )
    )


@scope_by(Role.PROGRAM_ADMIN)
def _every_casefile(user: User) -> Q:
    return Q(pk__isnull=False)


def casefiles_for(user: "Reader") -> QuerySet[Casefile]:
    """The casefiles a person may see, by the roles held today; nobody else's exist for them."""
    casefiles = Casefile.objects.select_related(
        "participation__household", "participation__dwelling__building__county"
    ).order_by("number")
    if isinstance(user, AnonymousUser) or not user.is_authenticated:
        return casefiles.none()
    allowed = Q(pk__isnull=True)
    for role in user.roles:
        if role in _scopes:
            allowed |= _scopes[role](user)
    return casefiles.filter(pk__in=Casefile.objects.filter(allowed).values("pk"))


def casefile_by_number_for(user: "Reader", number: str) -> Casefile:
    """One casefile a person may see; any other is as if it were not there (404)."""
    return get_object_or_404(casefiles_for(user), number=number)


def members_of(casefile: Casefile) -> QuerySet[User]:
    """The people who sign in for the household, first come first."""
    return User.objects.filter(
        memberships__household_id=casefile.participation.household_id,
        memberships__until_on__isnull=True,
        is_active=True,
    ).order_by("memberships__pk")


@dataclass(frozen=True)
class Contact:
    """Whom the program writes to about a casefile."""

    name: str
    email: str
    phone: str
    language: str


def contact_for(casefile: Casefile) -> Contact:
    """The household's first member who signs in."""
    return contacts_of([casefile])[casefile.pk]


def contacts_of(casefiles: Iterable[Casefile]) -> dict[int, Contact]:
    """Whom to write to about each of these casefiles, by its id, in one query."""
    wanted = list(casefiles)
    members = (
        HouseholdMember.objects.filter(
            household_id__in={casefile.participation.household_id for casefile in wanted},
            until_on__isnull=True,
            user__is_active=True,
        )
        .select_related("user")
        .order_by("-pk")
    )
    # The last one written into the mapping is the one who came first.
    first = {member.household_id: member.user for member in members}
    found = {}
    for casefile in wanted:
        person = first.get(casefile.participation.household_id)
        found[casefile.pk] = (
            Contact(str(person), person.email, person.phone, person.language)
            if person is not None
            else Contact(casefile.participation.household.name, email="", phone="", language="en")
        )
    return found


def bothers_of(casefile: Casefile) -> list[str]:
    """What the household said bothers them, in words; the checked ones first."""
    return bothers_by_casefile([casefile])[casefile.pk]


def bothers_by_casefile(casefiles: Iterable[Casefile]) -> dict[int, list[str]]:
    """What bothers each of these households, by the casefile's id, in one query."""
    found: dict[int, list[str]] = {casefile.pk: [] for casefile in casefiles}
    for casefile_id, answers in AuditRequest.objects.filter(casefile__in=found).values_list(
        "casefile_id", "answers"
    ):
        said: dict[str, Any] = answers.get("bothers") or {}
        words = [str(Bother(choice).label) for choice in said.get("chosen", [])]
        if casefile_id is not None:
            found[casefile_id] = [*words, said["words"]] if said.get("words") else words
    return found


# -- Requests ----------------------------------------------------------------------------


def request_by_key(key: UUID) -> AuditRequest:
    """The request behind a link; a wrong link is as if it were not there (404)."""
    request = (
        AuditRequest.objects.select_related("casefile", "account__dwelling__building")
        .filter(key=key)
        .first()
    )
    if request is None:
        raise Http404
    return request


def refusals_of(request: AuditRequest) -> int:
    """How often the rules have said no to a request."""
    return TrailEntry.objects.filter(
        record_kind=request._meta.label_lower,
        record_id=str(request.pk),
        target=RequestState.NOT_ELIGIBLE,
    ).count()


def claimable_requests(emails: set[str]) -> QuerySet[AuditRequest]:
    """Eligible requests made with one of these addresses that have no casefile yet."""
    return AuditRequest.objects.filter(
        state=RequestState.ELIGIBLE,
        casefile__isnull=True,
        answers__contact__email__in=sorted(emails),
    ).order_by("pk")


# -- The records behind them -------------------------------------------------------------


def zip_area(zip_code: str) -> ZipArea | None:
    """The territory's entry for a ZIP code."""
    return ZipArea.objects.select_related("county").filter(zip=zip_code).first()


def dwelling_at(*, street: str, unit: str, zip_code: str) -> Dwelling | None:
    """The dwelling at an address, however it is written."""
    line, unit_behind = addresses.split_unit(street)
    return (
        Dwelling.objects.select_related("building__county")
        .filter(
            building__street_key=addresses.street_key(line),
            building__zip=zip_code,
            unit=addresses.unit_key(unit or unit_behind),
        )
        .first()
    )


def account_at(*, number: str, street: str, unit: str, zip_code: str) -> UtilityAccount | None:
    """The account of that number if it stands at that address, else None.

    The caller learns nothing more: whether the number exists elsewhere, or who holds it, is
    not told apart. A unit is compared where both sides have one; the number decides the rest.
    """
    line, unit_behind = addresses.split_unit(street)
    account = (
        UtilityAccount.objects.select_related("dwelling__building__county")
        .filter(
            number=addresses.account_key(number),
            dwelling__building__street_key=addresses.street_key(line),
            dwelling__building__zip=zip_code,
        )
        .first()
    )
    if account is None:
        return None
    given = addresses.unit_key(unit or unit_behind)
    if given and account.dwelling.unit and given != account.dwelling.unit:
        return None
    return account


def live_participation_at(dwelling: Dwelling) -> Participation | None:
    """The participation under way in a dwelling, whoever lives there."""
    return Participation.objects.filter(dwelling=dwelling, ended_on__isnull=True).first()


def last_participation_end(dwelling: Dwelling) -> date | None:
    """The day the last finished participation in a dwelling ended."""
    return (
        Participation.objects.filter(dwelling=dwelling, ended_on__isnull=False)
        .order_by("-ended_on")
        .values_list("ended_on", flat=True)
        .first()
    )


def language_name(code: str) -> str:
    """A language as written on the page."""
    return _(str(dict(languages.SPOKEN).get(code, code)))


def territory_places() -> QuerySet[ZipArea]:
    """Every ZIP code of the territory, with where it is."""
    return ZipArea.objects.all()
