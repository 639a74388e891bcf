"""Who may do what with plans, subsidy requests and funds."""

from django.utils.translation import gettext as _

from portal.accounts.models import User
from portal.accounts.states import Role
from portal.core.access import require_role
from portal.core.actors import Actor
from portal.core.errors import NotAllowed
from portal.enrollment import policies as enrollment
from portal.enrollment.models import Casefile

DESK_MESSAGE = "Only a program administrator can decide this."


def require_own_casefile(actor: Actor, casefile: Casefile) -> None:
    """Refuse anybody but a member of the casefile's household.

    Raises
    ------
    NotAllowed
        The actor is not the homeowner of this home.
    """
    if isinstance(actor, User) and enrollment.is_of_household(actor, casefile):
        return
    raise NotAllowed(_("Only the household of this home can do this."))


def require_desk(actor: Actor) -> None:
    """Refuse anybody but a program administrator."""
    require_role(actor, Role.PROGRAM_ADMIN, message=_(DESK_MESSAGE))
