"""Who may change people, roles and firms."""

from django.utils.translation import gettext as _

from portal.accounts.states import Role
from portal.core.actors import Actor
from portal.core.errors import NotAllowed

MAY: dict[str, tuple[str, ...]] = {
    "add_person": (Role.PROGRAM_ADMIN, "system"),
    "grant_role": (Role.PROGRAM_ADMIN, "system"),
    "end_role": (Role.PROGRAM_ADMIN, "system"),
    "add_firm": (Role.PROGRAM_ADMIN, "system"),
    "delist_firm": (Role.PROGRAM_ADMIN, "system"),
}


def require(actor: Actor, verb: str) -> None:
    """Refuse an actor who may not do this.

    Raises
    ------
    NotAllowed
        The actor holds none of the roles the verb needs.
    """
    if not any(actor.has_role(str(role)) for role in MAY[verb]):
        raise NotAllowed(_("Only the program office can change people, roles and firms."))
