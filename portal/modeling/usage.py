"""Meter readings of an account, as the utility has them."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from django.db import transaction
from django.utils.translation import gettext as _

from portal.accounts.states import Role
from portal.core.access import require_role
from portal.core.actors import Actor
from portal.core.errors import ValuesRefused
from portal.enrollment.models import UtilityAccount
from portal.modeling.models import UsageReading


@dataclass(frozen=True)
class Reading:
    """Energy used from a day up to, not including, another, in the unit it is billed in."""

    fuel: str
    starts_on: date
    ends_on: date
    quantity: float
    unit: str


@transaction.atomic
def readings_load(*, account: UtilityAccount, readings: Iterable[Reading], actor: Actor) -> int:
    """Keep readings of an account; a period known already is brought up to date. How many.

    Raises
    ------
    NotAllowed
        Anybody but the program office.
    ValuesRefused
        A period that runs backward, or a quantity below zero.
    """
    require_role(
        actor, Role.PROGRAM_ADMIN, "system", message=_("Only the program office loads readings.")
    )
    count = 0
    for reading in readings:
        if reading.ends_on <= reading.starts_on or reading.quantity < 0.0:
            message = _("The reading from %(day)s cannot be right.") % {"day": reading.starts_on}
            raise ValuesRefused(message, fields={"starts_on": message})
        UsageReading.objects.update_or_create(
            account=account,
            fuel=reading.fuel,
            starts_on=reading.starts_on,
            defaults={
                "ends_on": reading.ends_on,
                "quantity": reading.quantity,
                "unit": reading.unit,
            },
        )
        count += 1
    return count
