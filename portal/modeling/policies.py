"""Who may do what with model runs."""

from django.utils.translation import gettext as _

from portal.accounts.states import Role
from portal.core.access import require_role
from portal.core.actors import Actor

SYSTEM = "system"


def require_may_queue(actor: Actor) -> None:
    """Refuse everybody but the auditor, the administrator, the homeowner's plan and the system."""
    require_role(
        actor,
        Role.AUDITOR,
        Role.PROGRAM_ADMIN,
        Role.HOMEOWNER,
        SYSTEM,
        message=_("Only the program's own people can start a model run."),
    )
