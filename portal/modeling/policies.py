"""Who may do what with model runs."""

from django.utils.translation import gettext as _

from portal.accounts.models import User
from portal.accounts.states import Role
from portal.core.access import require_role
from portal.core.actors import Actor
from portal.core.errors import NotAllowed
from portal.enrollment import selectors as enrollment
from portal.intake.models import FieldRecord

SYSTEM = "system"


def require_may_queue(actor: Actor, record: FieldRecord) -> None:
    """Refuse everybody but the home's auditor and household, the administrator and the system.

    Raises
    ------
    NotAllowed
        The role does not start runs, or the record is of a home the person has no part in.
    """
    message = _("Only the program's own people can start a model run.")
    require_role(actor, Role.AUDITOR, Role.PROGRAM_ADMIN, Role.HOMEOWNER, SYSTEM, message=message)
    if not isinstance(actor, User):
        return
    if not enrollment.casefiles_for(actor).filter(pk=record.casefile_id).exists():
        raise NotAllowed(message)


def require_may_load_weather(actor: Actor) -> None:
    """Refuse everybody but the administrator and the system."""
    require_role(
        actor,
        Role.PROGRAM_ADMIN,
        SYSTEM,
        message=_("Only a program administrator can load weather."),
    )
