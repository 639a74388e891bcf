"""The territory and the utility's customer file, as the program office keeps them."""

from datetime import date

from django.db import transaction
from django.utils.translation import gettext as _

from portal.core import trail
from portal.core.actors import Actor
from portal.core.errors import ValuesRefused
from portal.enrollment import addresses, policies
from portal.enrollment.models import Building, County, Dwelling, UtilityAccount, ZipArea


@transaction.atomic
def county_enter(*, name: str, actor: Actor) -> County:
    """A county of the territory, made if it is not known yet."""
    policies.require(actor, "keep_territory")
    county, is_new = County.objects.get_or_create(name=name)
    if is_new:
        trail.write(county, actor=actor, verb="entered", target=name)
    return county


@transaction.atomic
def zip_area_enter(
    *,
    zip_code: str,
    city: str,
    county: County,
    latitude_deg: float,
    longitude_deg: float,
    actor: Actor,
) -> ZipArea:
    """A ZIP code of the territory with the county it counts for; known ones are updated."""
    policies.require(actor, "keep_territory")
    area, is_new = ZipArea.objects.update_or_create(
        zip=zip_code,
        defaults={
            "city": city,
            "county": county,
            "latitude_deg": latitude_deg,
            "longitude_deg": longitude_deg,
        },
    )
    trail.write(area, actor=actor, verb="entered" if is_new else "corrected", target=str(area))
    return area


@transaction.atomic
def account_enter(
    *,
    number: str,
    street: str,
    zip_code: str,
    holder_name: str,
    rate_code: str,
    actor: Actor,
    unit: str = "",
    has_electricity: bool = True,
    has_gas: bool = False,
    opened_on: date | None = None,
    closed_on: date | None = None,
    kind: str = "",
    year_built: int | None = None,
    units: int | None = None,
) -> UtilityAccount:
    """One line of the customer file, with its building and dwelling; known ones are updated.

    Two spellings of one address meet in one building. What the file says of the building is
    taken only where nothing is known yet, because an audit knows better.

    Raises
    ------
    ValuesRefused
        The ZIP code is not in the territory, or the street has no house number.
    """
    policies.require(actor, "keep_customer_file")
    area = ZipArea.objects.select_related("county").filter(zip=zip_code).first()
    if area is None:
        message = _("ZIP code %(zip)s is not in the territory.") % {"zip": zip_code}
        raise ValuesRefused(message, code="zip_unknown", fields={"zip_code": message})
    line, unit_behind = addresses.split_unit(addresses.tidy(street))
    key = addresses.street_key(line)
    if not key[:1].isdigit():
        message = _("Give the house number before the street.")
        raise ValuesRefused(message, code="street_incomplete", fields={"street": message})
    building, _is_new = Building.objects.get_or_create(
        street_key=key,
        zip=zip_code,
        defaults={
            "street": line,
            "city": area.city,
            "county": area.county,
            "latitude_deg": area.latitude_deg,
            "longitude_deg": area.longitude_deg,
        },
    )
    building_fill(building=building, kind=kind, year_built=year_built, units=units)
    dwelling, _is_new = Dwelling.objects.get_or_create(
        building=building, unit=addresses.unit_key(unit or unit_behind)
    )
    account, is_new = UtilityAccount.objects.update_or_create(
        number=addresses.account_key(number),
        defaults={
            "dwelling": dwelling,
            "holder_name": holder_name,
            "rate_code": rate_code,
            "has_electricity": has_electricity,
            "has_gas": has_gas,
            "opened_on": opened_on,
            "closed_on": closed_on,
        },
    )
    # The number itself stays out of the trail, which more people may read than the file.
    trail.write(account, actor=actor, verb="entered" if is_new else "corrected", target="account")
    return account


def building_fill(
    *, building: Building, kind: str = "", year_built: int | None = None, units: int | None = None
) -> None:
    """Take what is said of a building where nothing was known; within the caller's transaction."""
    said = {"kind": kind, "year_built": year_built, "units": units}
    news = [name for name, value in said.items() if value and not getattr(building, name)]
    for name in news:
        setattr(building, name, said[name])
    if news:
        building.save(update_fields=news)
