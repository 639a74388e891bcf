"""Who may do what with a request, a casefile and the customer file."""

from django.utils.translation import gettext as _

from portal.accounts.states import Role
from portal.core import clock
from portal.core.actors import Actor
from portal.core.errors import NotAllowed
from portal.enrollment.models import Casefile, HouseholdMember

STAFF = (Role.PROGRAM_ADMIN, "system")
# Whoever holds the link of a request holds the request; the view has found it by its key.
APPLICANTS = ("applicant", Role.HOMEOWNER, *STAFF)

MAY: dict[str, tuple[str, ...]] = {
    "keep_territory": STAFF,
    "keep_customer_file": STAFF,
    "open_casefile": STAFF,
    "close_casefile": STAFF,
}


def require(actor: Actor, verb: str) -> None:
    """Refuse an actor who holds none of the roles the verb needs.

    Raises
    ------
    NotAllowed
    """
    if not any(actor.has_role(str(role)) for role in MAY[verb]):
        raise NotAllowed(_("Only the program office can do this."))


def is_of_household(actor: Actor, casefile: Casefile) -> bool:
    """Whether the actor lives there today, by the household's list of members."""
    if actor.actor_id is None:
        return False
    return HouseholdMember.objects.filter(
        household_id=casefile.participation.household_id,
        user_id=actor.actor_id,
        since_on__lte=clock.today(),
        until_on__isnull=True,
    ).exists()


def require_household(actor: Actor, casefile: Casefile) -> None:
    """Refuse anybody but the household itself and the program office.

    Raises
    ------
    NotAllowed
    """
    if any(actor.has_role(str(role)) for role in STAFF) or is_of_household(actor, casefile):
        return
    raise NotAllowed(_("Only the household or the program office can do this."))
