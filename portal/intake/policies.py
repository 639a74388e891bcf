"""Who may fill in, complete and correct a field record, and clear a hazard."""

from django.contrib.auth.models import AnonymousUser
from django.utils.translation import gettext as _

from portal.accounts.models import User
from portal.accounts.states import Role
from portal.core.actors import Actor
from portal.core.errors import NotAllowed
from portal.intake.models import FieldRecord, ValueProposal
from portal.scheduling.models import Appointment

# What a request calls its user, before anybody has looked who it is.
Somebody = User | AnonymousUser

OFFICE = (str(Role.PROGRAM_ADMIN), "system")


def actor_of(user: Somebody) -> Actor:
    """The person signed in, as who acts; the pages and operations let nobody else in.

    Raises
    ------
    NotAllowed
        Nobody is signed in.
    """
    if isinstance(user, AnonymousUser):
        raise NotAllowed(_("Sign in first."))
    return user


def is_office(actor: Actor) -> bool:
    """Whether the actor speaks for the program office."""
    return any(actor.has_role(role) for role in OFFICE)


def require_visiting(actor: Actor, appointment: Appointment) -> None:
    """Refuse anybody but the auditor of the visit and the program office.

    Raises
    ------
    NotAllowed
    """
    is_own = actor.has_role(Role.AUDITOR) and appointment.auditor.user_id == actor.actor_id
    if not is_own and not is_office(actor):
        raise NotAllowed(_("Only the auditor of this visit can fill in its record."))


def require_recording(actor: Actor, record: FieldRecord) -> None:
    """Refuse anybody but the auditor of the record's visit and the program office.

    Raises
    ------
    NotAllowed
    """
    if record.appointment is not None:
        require_visiting(actor, record.appointment)
    elif not is_office(actor):
        raise NotAllowed(_("Only the program office can fill in this record."))


def require_clearing(actor: Actor) -> None:
    """Refuse anybody but the program office: who found a hazard does not clear it alone.

    Raises
    ------
    NotAllowed
    """
    if not is_office(actor):
        raise NotAllowed(_("Only the program office can clear a hazard."))


def require_proposing(actor: Actor) -> None:
    """Refuse anybody but a program administrator in person: a value is somebody's word.

    Raises
    ------
    NotAllowed
    """
    if not actor.has_role(Role.PROGRAM_ADMIN) or actor.actor_id is None:
        raise NotAllowed(_("Only a program administrator can propose a value."))


def require_deciding(actor: Actor, proposal: ValueProposal) -> None:
    """Refuse whoever proposed the value, and anybody but a program administrator.

    Raises
    ------
    NotAllowed
    """
    require_proposing(actor)
    if actor.actor_id == proposal.proposed_by_id:
        raise NotAllowed(
            _("You proposed this value. A second administrator confirms or refuses it.")
        )


def require_withdrawing(actor: Actor, proposal: ValueProposal) -> None:
    """Refuse anybody but the administrator who proposed the value.

    Raises
    ------
    NotAllowed
    """
    require_proposing(actor)
    if actor.actor_id != proposal.proposed_by_id:
        raise NotAllowed(_("Only who proposed a value can withdraw it. You can refuse it."))
