"""Meter readings of an account, as the utility has them, and what they say of a household."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from django.db import transaction
from django.utils.translation import gettext as _

from calcs import bills
from calcs.daily_weather import NormalMonth
from portal.accounts.states import Role
from portal.core import clock
from portal.core.access import require_role
from portal.core.actors import Actor
from portal.core.errors import ValuesRefused
from portal.enrollment.models import UtilityAccount
from portal.intake.models import FieldRecord
from portal.modeling import daily_weather
from portal.modeling.models import UsageReading
from portal.modeling.prices import joules_per_unit

# Fuels a meter bills by the month. Oil and propane come as fills, which are not use.
METERED = ("natural_gas", "electricity")
# Habits and equipment change: two years are enough and not too much (common practice).
LONGEST_DAYS = 2 * 366


@dataclass(frozen=True)
class Reading:
    """Energy used from a day up to, not including, another, in the unit it is billed in.

    ``revision`` above 0 corrects the reading of lower revision that began on the same day, or
    those whose days it covers. Below zero is net metering; ``produced`` is a customer's own
    generation metered apart.
    """

    fuel: str
    starts_on: date
    ends_on: date
    quantity: float
    unit: str
    is_estimated: bool = False
    revision: int = 0
    produced: float | None = None
    note: str = ""


@transaction.atomic
def readings_load(*, account: UtilityAccount, readings: Iterable[Reading], actor: Actor) -> int:
    """Keep readings of an account; a period known already is brought up to date. How many.

    Raises
    ------
    NotAllowed
        Anybody but the program office.
    ValuesRefused
        A period that runs backward, or gas below zero: only electricity is net metered.
    """
    require_role(
        actor, Role.PROGRAM_ADMIN, "system", message=_("Only the program office loads readings.")
    )
    count = 0
    for reading in readings:
        is_below = reading.quantity < 0.0 and reading.fuel != "electricity"
        if reading.ends_on <= reading.starts_on or is_below:
            message = _("The reading from %(day)s cannot be right.") % {"day": reading.starts_on}
            raise ValuesRefused(message, fields={"starts_on": message})
        UsageReading.objects.update_or_create(
            account=account,
            fuel=reading.fuel,
            starts_on=reading.starts_on,
            revision=reading.revision,
            defaults={
                "ends_on": reading.ends_on,
                "quantity": reading.quantity,
                "unit": reading.unit,
                "is_estimated": reading.is_estimated,
                "produced": reading.produced,
                "note": reading.note,
            },
        )
        count += 1
    return count


def bills_for(
    record: FieldRecord, *, normal: Sequence[NormalMonth]
) -> tuple[bills.BillsOutcome, ...]:
    """What the bills of the household of a record say, one outcome a fuel that has bills.

    Only bills of the household that takes part, from the day it moved in, and only those read
    before the record was completed: a run of the same record then sees the same bills.
    """
    participation = record.casefile.participation
    until = clock.program_date(record.completed_at or clock.now())
    begins = [until - timedelta(days=LONGEST_DAYS)]
    moved_in = participation.household.moved_in_on
    if moved_in is not None:
        begins.append(moved_in)
    readings = list(
        UsageReading.objects.filter(
            account=participation.account, starts_on__gte=max(begins), ends_on__lte=until
        )
    )
    if not readings:
        return ()
    building = participation.dwelling.building
    series = daily_weather.series_nearest(
        latitude_deg=building.latitude_deg, longitude_deg=building.longitude_deg
    )
    found = []
    for fuel in METERED:
        of_fuel = [reading for reading in readings if reading.fuel == fuel]
        if not of_fuel:
            continue
        first, last = min(r.starts_on for r in of_fuel), max(r.ends_on for r in of_fuel)
        found.append(
            bills.fit_bills(
                bills.clean(read_of(reading) for reading in of_fuel),
                daily_weather.between(series, first, last),
                fuel=fuel,
                unit=of_fuel[0].unit,
                joules_per_unit=joules_per_unit(fuel, of_fuel[0].unit),
                normal=normal,
            )
        )
    return tuple(found)


def read_of(reading: UsageReading) -> bills.Read:
    """A stored reading as the fit takes it."""
    return bills.Read(
        starts_on=reading.starts_on,
        ends_on=reading.ends_on,
        quantity=reading.quantity,
        kind="estimated" if reading.is_estimated else "actual",
        revision=reading.revision,
        produced=reading.produced,
        note=reading.note,
    )
