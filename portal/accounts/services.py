"""Making people, granting roles, listing firms."""

from collections.abc import Iterable
from datetime import date

from allauth.account.models import EmailAddress
from django.db import transaction
from django.db.models import Q
from django.utils.translation import gettext as _

from portal.accounts import policies
from portal.accounts.models import Firm, RoleGrant, User
from portal.accounts.states import Role
from portal.core import clock, trail
from portal.core.actors import Actor
from portal.core.errors import ValuesRefused


@transaction.atomic
def person_add(
    *, email: str, full_name: str, actor: Actor, phone: str = "", language: str = "en"
) -> User:
    """The person with this address, made if there is none yet."""
    policies.require(actor, "add_person")
    return person_remember(
        email=email, full_name=full_name, actor=actor, phone=phone, language=language
    )


@transaction.atomic
def person_remember(
    *, email: str, actor: Actor, full_name: str = "", phone: str = "", language: str = "en"
) -> User:
    """The person with this address; a new one holds no role and has proved nothing yet.

    For services that have checked for themselves that a person is wanted here. What an
    existing person has said about themselves is not overwritten.
    """
    user, is_new = User.objects.get_or_create(
        email=email.strip().lower(),
        defaults={
            "full_name": full_name.strip(),
            "phone": phone.strip(),
            "language": language,
            "joined_at": clock.now(),
        },
    )
    if is_new:
        user.set_unusable_password()
        user.save(update_fields=["password"])
        # Unverified: the first code typed back verifies it, and one code is then enough.
        EmailAddress.objects.create(user=user, email=user.email, primary=True, verified=False)
        trail.write(user, actor=actor, verb="added", target="person")
    return user


@transaction.atomic
def role_grant(
    *,
    user: User,
    role: str,
    actor: Actor,
    firm: Firm | None = None,
    starts_on: date | None = None,
    ends_on: date | None = None,
) -> RoleGrant:
    """Give a person a role from a day (today unless given); a live grant is left as it is.

    Raises
    ------
    ValuesRefused
        A contractor without a firm, or an end before the start.
    """
    policies.require(actor, "grant_role")
    return _grant(
        user=user, role=role, actor=actor, firm=firm, starts_on=starts_on, ends_on=ends_on
    )


@transaction.atomic
def homeowner_grant(*, user: User, actor: Actor) -> RoleGrant:
    """Make a person a homeowner; called where a casefile is opened for their household."""
    return _grant(user=user, role=Role.HOMEOWNER, actor=actor)


def _grant(
    *,
    user: User,
    role: str,
    actor: Actor,
    firm: Firm | None = None,
    starts_on: date | None = None,
    ends_on: date | None = None,
) -> RoleGrant:
    if role == Role.CONTRACTOR and firm is None:
        message = _("Name the firm the contractor works for.")
        raise ValuesRefused(message, fields={"firm": message})
    start = starts_on or clock.today()
    if ends_on is not None and ends_on < start:
        message = _("The last day of a role cannot come before its first day.")
        raise ValuesRefused(message, fields={"ends_on": message})
    # The person's row is the lock, so that two requests do not grant the same role twice.
    User.objects.select_for_update().get(pk=user.pk)
    known = (
        RoleGrant.objects.filter(user=user, role=role, firm=firm, starts_on__lte=start)
        .filter(Q(ends_on__isnull=True) | Q(ends_on__gte=start))
        .first()
    )
    if known is not None:
        return known
    grant = RoleGrant.objects.create(
        user=user, role=role, firm=firm, starts_on=start, ends_on=ends_on
    )
    user.__dict__.pop("current_grants", None)
    trail.write(user, actor=actor, verb="granted role", target=str(role))
    return grant


@transaction.atomic
def role_end(*, grant_id: int, actor: Actor, why: str, last_day: date | None = None) -> RoleGrant:
    """End a role with a day (today unless given), that day included."""
    policies.require(actor, "end_role")
    grant = RoleGrant.objects.select_for_update().select_related("user").get(pk=grant_id)
    last = last_day or clock.today()
    if last < grant.starts_on:
        message = _("The last day of a role cannot come before its first day.")
        raise ValuesRefused(message, fields={"last_day": message})
    grant.ends_on = last
    grant.save(update_fields=["ends_on"])
    trail.write(grant.user, actor=actor, verb="ended role", source=grant.role, target="", why=why)
    return grant


@transaction.atomic
def firm_add(
    *,
    name: str,
    actor: Actor,
    trades: Iterable[str] = (),
    counties: Iterable[str] = (),
    phone: str = "",
    email: str = "",
    languages: Iterable[str] = ("en",),
    lead_safe_number: str = "",
    listed_on: date | None = None,
) -> Firm:
    """List a contractor firm from a day on (today unless given).

    Raises
    ------
    ValuesRefused
        A firm of that name is already known.
    """
    policies.require(actor, "add_firm")
    if Firm.objects.filter(name=name).exists():
        message = _("A firm of that name is already listed.")
        raise ValuesRefused(message, code="firm_known", fields={"name": message})
    firm = Firm.objects.create(
        name=name,
        trades=list(trades),
        counties=list(counties),
        phone=phone,
        email=email,
        languages=list(languages),
        lead_safe_number=lead_safe_number,
        listed_on=listed_on or clock.today(),
    )
    trail.write(firm, actor=actor, verb="listed", target="listed")
    return firm


@transaction.atomic
def firm_delist(*, firm_id: int, actor: Actor, why: str, on: date | None = None) -> Firm:
    """Take a firm off the list from a day on; work already awarded is not touched."""
    policies.require(actor, "delist_firm")
    firm = Firm.objects.select_for_update().get(pk=firm_id)
    firm.delisted_on = on or clock.today()
    firm.save(update_fields=["delisted_on"])
    trail.write(firm, actor=actor, verb="delisted", source="listed", target="delisted", why=why)
    return firm
