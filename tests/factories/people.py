"""People and firms, made through the services."""

from collections.abc import Iterable

from allauth.account.models import EmailAddress

from portal.accounts import services
from portal.accounts.models import Firm, User
from portal.accounts.states import Role
from portal.core.actors import SystemActor

OFFICE = SystemActor("tests")


def person(
    email: str = "pat@mail.example", name: str = "Pat Arden", *, verified: bool = True
) -> User:
    """Somebody who can sign in and holds no role."""
    user = services.person_add(email=email, full_name=name, actor=OFFICE)
    EmailAddress.objects.filter(user=user).update(verified=verified)
    return user


def with_role(role: str, email: str, name: str, *, firm: Firm | None = None) -> User:
    """Somebody who holds a role from today on."""
    user = person(email, name)
    services.role_grant(user=user, role=role, firm=firm, actor=OFFICE)
    return user


def administrator(email: str = "admin@qlg.example") -> User:
    """A program administrator."""
    return with_role(Role.PROGRAM_ADMIN, email, "Ada Moss")


def firm(
    name: str = "Tern & Tally Insulation",
    *,
    trades: Iterable[str] = ("insulation", "air_sealing"),
    counties: Iterable[str] = ("Ashmere",),
) -> Firm:
    """A listed contractor firm."""
    return services.firm_add(name=name, trades=trades, counties=counties, actor=OFFICE)


def contractor(email: str = "crew@tern.example", *, of: Firm | None = None) -> User:
    """Somebody who acts for a firm."""
    return with_role(Role.CONTRACTOR, email, "Cal Finch", firm=of or firm())
