"""Finding people and firms."""

from datetime import date

from allauth.account.models import EmailAddress
from django.db.models import Q, QuerySet

from portal.accounts.models import Firm, User
from portal.core import clock


def person_by_email(email: str) -> User | None:
    """The person who signs in with this address, however it is capitalized."""
    return User.objects.filter(email=email.strip().lower()).first()


def verified_emails(user: User) -> set[str]:
    """The addresses this person has proved to be theirs, in lower case."""
    found = EmailAddress.objects.filter(user=user, verified=True)
    return {email.lower() for email in found.values_list("email", flat=True)}


def people_with_role(role: str, *, on: date | None = None) -> QuerySet[User]:
    """Active people who hold a role on a day (today unless given), by name."""
    day = on or clock.today()
    return (
        User.objects.filter(is_active=True, grants__role=role, grants__starts_on__lte=day)
        .filter(Q(grants__ends_on__isnull=True) | Q(grants__ends_on__gte=day))
        .distinct()
        .order_by("full_name", "email")
    )


def firms_for(*, trade: str = "", county: str = "", on: date | None = None) -> QuerySet[Firm]:
    """Firms listed on a day (today unless given) that do a trade in a county, by name.

    An empty ``trade`` or ``county`` asks nothing of the firm.
    """
    day = on or clock.today()
    listed = Firm.objects.filter(listed_on__lte=day).filter(
        Q(delisted_on__isnull=True) | Q(delisted_on__gt=day)
    )
    # The lists are short and kept as JSON, which SQLite cannot search inside.
    fitting = [
        firm.pk
        for firm in listed
        if (not trade or trade in firm.trades) and (not county or county in firm.counties)
    ]
    return Firm.objects.filter(pk__in=fitting).order_by("name")
