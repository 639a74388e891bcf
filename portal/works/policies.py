"""Who may do what with awards, work scopes and claims."""

from django.utils.translation import gettext as _

from portal.accounts.models import User
from portal.accounts.states import Role
from portal.core.access import require_role
from portal.core.actors import Actor
from portal.core.errors import NotAllowed
from portal.works.models import WorkScope


def require_own_scope(actor: Actor, scope: WorkScope) -> None:
    """Refuse anybody who does not act for the firm the scope was given to.

    Raises
    ------
    NotAllowed
        The actor is of another firm, or of none.
    """
    if (
        isinstance(actor, User)
        and actor.has_role(Role.CONTRACTOR)
        and actor.firm is not None
        and actor.firm.pk == scope.award.firm_id
    ):
        return
    raise NotAllowed(_("Only the firm this work was given to can do this."))


def require_desk(actor: Actor) -> None:
    """Refuse anybody but a program administrator."""
    require_role(
        actor, Role.PROGRAM_ADMIN, message=_("Only a program administrator can decide this.")
    )
