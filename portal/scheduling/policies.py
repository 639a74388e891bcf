"""Who may book, move, cancel and carry out a visit."""

from django.utils.translation import gettext as _

from portal.accounts.states import Role
from portal.core.actors import Actor
from portal.core.errors import NotAllowed
from portal.enrollment import policies as enrollment
from portal.enrollment.models import Casefile
from portal.scheduling.models import Appointment

OFFICE = (Role.PROGRAM_ADMIN, "system")


def is_office(actor: Actor) -> bool:
    """Whether the actor speaks for the program office."""
    return any(actor.has_role(str(role)) for role in OFFICE)


def require_booking(actor: Actor, casefile: Casefile) -> None:
    """Refuse anybody but the household and the program office.

    Raises
    ------
    NotAllowed
    """
    enrollment.require_household(actor, casefile)


def require_visiting(actor: Actor, appointment: Appointment) -> None:
    """Refuse anybody but the auditor of the visit and the program office.

    Raises
    ------
    NotAllowed
    """
    if is_office(actor):
        return
    if actor.has_role(Role.AUDITOR) and appointment.auditor.user_id == actor.actor_id:
        return
    raise NotAllowed(_("Only the auditor of this visit can do this."))


def require_office(actor: Actor) -> None:
    """Refuse anybody but the program office.

    Raises
    ------
    NotAllowed
    """
    if not is_office(actor):
        raise NotAllowed(_("Only the program office can do this."))
