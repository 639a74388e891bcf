"""The casefile: opened once for an eligible request, closed when the participation ends."""

from datetime import date
from decimal import Decimal

from django.db import IntegrityError, transaction
from django.db.models.functions import Length
from django.utils.translation import gettext as _

from portal.accounts import selectors as people
from portal.accounts.models import User
from portal.accounts.services import homeowner_grant
from portal.core import clock, outbox, trail
from portal.core.actors import Actor
from portal.core.errors import DomainError, MoveRefused, NotAllowed, ValuesRefused
from portal.core.states import move
from portal.enrollment import policies, selectors
from portal.enrollment.models import (
    AuditRequest,
    Casefile,
    Dwelling,
    Household,
    HouseholdMember,
    IncomeDeclaration,
    Participation,
    UtilityAccount,
)
from portal.enrollment.services.customers import building_fill
from portal.enrollment.states import (
    CASEFILE_MOVES,
    REQUEST_MOVES,
    CasefileState,
    RequestState,
)

NUMBER_TRIES = 20


class AlreadyTakesPart(DomainError):
    """Somebody has opened a casefile for the same home."""

    default_code = "already_takes_part"


@transaction.atomic
def casefile_open(*, request_id: int, user: User, actor: Actor) -> Casefile:
    """Household, participation and casefile of an eligible request; called again, the same one.

    ``user`` becomes the homeowner. They must have proved, by a code, that the e-mail address
    of the request is theirs, unless the program office opens it for them.

    Raises
    ------
    NotAllowed
        The address is not proved to be theirs, or the casefile is somebody else's.
    MoveRefused
        The rules have not said yes.
    AlreadyTakesPart
        Another request for the same home was quicker.
    """
    # Locks in order: request, then dwelling.
    request = AuditRequest.objects.select_for_update(of=("self",)).get(pk=request_id)
    email = request.answers.get("contact", {}).get("email", "")
    is_office = any(actor.has_role(str(role)) for role in policies.MAY["open_casefile"])
    if not is_office and (actor.actor_id != user.pk or email not in people.verified_emails(user)):
        raise NotAllowed(_("First show with the e-mailed code that the address is yours."))
    if request.casefile is not None:
        if not is_office and not policies.is_of_household(actor, request.casefile):
            raise NotAllowed(_("This casefile belongs to another household."))
        return request.casefile
    if request.state != RequestState.ELIGIBLE or request.account is None:
        raise MoveRefused(_("A casefile can be opened once the rules have said yes."))
    dwelling = Dwelling.objects.select_for_update(of=("self",)).get(pk=request.account.dwelling_id)
    if selectors.live_participation_at(dwelling) is not None:
        raise AlreadyTakesPart(_("This home already takes part in the program."))
    casefile = _open(request=request, account=request.account, dwelling=dwelling, user=user)
    request.casefile = casefile
    request.save(update_fields=["casefile"])
    homeowner_grant(user=user, actor=actor)
    trail.write(casefile, actor=actor, verb="opened", target=CasefileState.OPEN)
    outbox.put("casefile.opened", key=f"casefile.opened:{casefile.pk}", casefile_id=casefile.pk)
    return casefile


def _open(
    *, request: AuditRequest, account: UtilityAccount, dwelling: Dwelling, user: User
) -> Casefile:
    contact, home = request.answers["contact"], request.answers["home"]
    today = clock.today()
    building_fill(
        building=dwelling.building,
        kind=home["kind"],
        year_built=home["year_built"],
        units=home["units"],
    )
    household = Household.objects.create(
        dwelling=dwelling,
        name=contact["name"],
        tenure=request.answers["tenure"]["tenure"],
        language=contact["language"],
    )
    HouseholdMember.objects.create(household=household, user=user, since_on=today)
    participation = Participation.objects.create(
        household=household, dwelling=dwelling, account=account, started_on=today
    )
    missing = {
        name: contact[key]
        for name, key in (("full_name", "name"), ("phone", "phone"))
        if contact[key] and not getattr(user, name)
    }
    for name, value in {**missing, "language": contact["language"]}.items():
        setattr(user, name, value)
    user.save(update_fields=["language", *missing])
    return _numbered(participation)


def _numbered(participation: Participation) -> Casefile:
    """The casefile under the next free number of the year, as in ``26-0417``.

    Two at once may look up the same number; the unique column lets one through, and the other
    looks again. On PostgreSQL the second waits there for the first to commit.
    """
    prefix = f"{clock.today():%y}-"
    for _try in range(NUMBER_TRIES):
        last = (
            Casefile.objects.filter(number__startswith=prefix)
            .order_by(Length("number").desc(), "-number")
            .values_list("number", flat=True)
            .first()
        )
        number = f"{prefix}{int(last.removeprefix(prefix)) + 1 if last else 1:04d}"
        try:
            with transaction.atomic():
                return Casefile.objects.create(
                    number=number, participation=participation, opened_at=clock.now()
                )
        except IntegrityError:
            if not Casefile.objects.filter(number=number).exists():
                raise
    raise DomainError(_("No casefile number was free just now. Try again."), code="number_busy")


def casefiles_claim(*, user: User) -> list[Casefile]:
    """Open the casefiles of every eligible request made with an address this person has proved.

    A request whose home has come to take part meanwhile is withdrawn with that reason.
    """
    emails = people.verified_emails(user)
    opened: list[Casefile] = []
    if not emails:
        return opened
    for request_id in list(selectors.claimable_requests(emails).values_list("pk", flat=True)):
        try:
            opened.append(casefile_open(request_id=request_id, user=user, actor=user))
        except AlreadyTakesPart as refusal:
            _withdraw(request_id, user, refusal.message)
    return opened


@transaction.atomic
def _withdraw(request_id: int, actor: Actor, why: str) -> None:
    request = AuditRequest.objects.select_for_update(of=("self",)).get(pk=request_id)
    if request.casefile_id is None and request.state == RequestState.ELIGIBLE:
        move(request, RequestState.WITHDRAWN, moves=REQUEST_MOVES, actor=actor, why=why)


@transaction.atomic
def casefile_close(*, casefile_id: int, actor: Actor, why: str) -> Casefile:
    """End a participation; the dwelling may take part again as the rules allow."""
    policies.require(actor, "close_casefile")
    casefile = (
        Casefile.objects.select_for_update(of=("self",))
        .select_related("participation")
        .get(pk=casefile_id)
    )
    casefile.closed_at = clock.now()
    casefile.participation.ended_on = clock.today()
    casefile.participation.save(update_fields=["ended_on"])
    move(
        casefile,
        CasefileState.CLOSED,
        moves=CASEFILE_MOVES,
        actor=actor,
        why=why,
        also_save=("closed_at",),
    )
    return casefile


@transaction.atomic
def household_update(
    *, casefile: Casefile, actor: Actor, size: int | None = None, moved_in_on: date | None = None
) -> Household:
    """Keep what the household says of itself."""
    policies.require_household(actor, casefile)
    household = Household.objects.select_for_update().get(pk=casefile.participation.household_id)
    if size is not None:
        _require_size(size)
        household.size = size
    if moved_in_on is not None:
        household.moved_in_on = moved_in_on
    household.save(update_fields=["size", "moved_in_on"])
    trail.write(casefile, actor=actor, verb="corrected", target="household")
    return household


@transaction.atomic
def income_declare(
    *,
    casefile: Casefile,
    annual_usd: Decimal,
    household_size: int,
    actor: Actor,
    is_verified: bool = False,
) -> IncomeDeclaration:
    """Keep a household's declared income; the newest counts, earlier ones stay.

    Raises
    ------
    ValuesRefused
        The income is below zero, or the number of people cannot be right.
    NotAllowed
        Only the program office may call an income verified.
    """
    policies.require_household(actor, casefile)
    if is_verified and not any(actor.has_role(str(role)) for role in policies.STAFF):
        raise NotAllowed(_("Only the program office verifies an income."))
    if annual_usd < 0:
        message = _("Enter the yearly income in dollars, 0 or more.")
        raise ValuesRefused(message, fields={"annual_usd": message})
    _require_size(household_size)
    declaration = IncomeDeclaration.objects.create(
        household_id=casefile.participation.household_id,
        annual_usd=annual_usd,
        household_size=household_size,
        declared_on=clock.today(),
        is_verified=is_verified,
    )
    # That income was declared is on the trail; the amount is not.
    trail.write(casefile, actor=actor, verb="declared", target="income")
    return declaration


def _require_size(size: int) -> None:
    if not 1 <= size <= 30:
        message = _("Enter how many people live in the home, 1 to 30.")
        raise ValuesRefused(message, fields={"household_size": message})
