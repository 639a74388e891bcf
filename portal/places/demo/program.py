"""The program before its first home: territory, people, firms, money, rules, prices, weather."""

import json
from datetime import date, time
from decimal import Decimal
from typing import Any

from django.conf import settings

from portal.accounts import selectors as people
from portal.accounts.models import Firm, User
from portal.accounts.services import firm_add, person_add, role_grant
from portal.accounts.states import Role
from portal.core.actors import SystemActor
from portal.enrollment.models import County
from portal.enrollment.services import account_enter, county_enter, zip_area_enter
from portal.modeling import claims, daily_weather, prices, weather
from portal.places.demo import bills, content
from portal.rebates.services import funds, rule_sets
from portal.scheduling import services as scheduling

OFFICE = SystemActor("demo")
# The rules by which the Desk rules on requests; those of the audit itself are read from the file.
RULE_SETS = ("qlg-is-v1", "qlg-is-v2", "qlg-wh-v1", "qlg-nc-v1")
WORKDAYS = range(5)


def lead() -> User:
    """The administrator who decides in the demo."""
    found = people.person_by_email(content.program()["administrators"][0]["email"])
    if found is None:
        raise LookupError("the demo's program has not been loaded")
    return found


def set_up() -> None:
    """Everything a home needs to be there; the clock stands at the program's beginning."""
    known = content.program()
    counties = _territory(known)
    _staff(known, counties)
    _firms(known)
    _money(known, counties)
    _rules()
    _numbers(known)
    _customer_file()


def _territory(known: dict[str, Any]) -> dict[str, County]:
    counties = {}
    for name, areas in known["counties"].items():
        counties[name] = county_enter(name=name, actor=OFFICE)
        for zip_code, city, latitude, longitude in areas:
            zip_area_enter(
                zip_code=zip_code,
                city=city,
                county=counties[name],
                latitude_deg=latitude,
                longitude_deg=longitude,
                actor=OFFICE,
            )
    return counties


def _person(data: dict[str, Any], role: str, *, firm: Firm | None = None) -> User:
    user = person_add(
        email=data["email"], full_name=data["name"], phone=data.get("phone", ""), actor=OFFICE
    )
    role_grant(user=user, role=role, firm=firm, actor=OFFICE)
    return user


def _staff(known: dict[str, Any], counties: dict[str, County]) -> None:
    for data in known["administrators"]:
        _person(data, Role.PROGRAM_ADMIN)
    for data in known["auditors"]:
        profile = scheduling.auditor_enter(
            user=_person(data, Role.AUDITOR),
            credential_number=data["credential"],
            credential_expires_on=date.fromisoformat(data["expires"]),
            counties=[counties[name] for name in data["counties"]],
            phone=data["phone"],
            actor=OFFICE,
        )
        scheduling.working_hours_set(
            auditor=profile,
            hours=[
                (weekday, time.fromisoformat(starts), time.fromisoformat(ends))
                for weekday in WORKDAYS
                for starts, ends in known["hours"]
            ],
            actor=OFFICE,
        )


def _firms(known: dict[str, Any]) -> None:
    for data in known["firms"]:
        firm = firm_add(
            name=data["name"],
            trades=data["trades"],
            counties=data["counties"],
            phone=data["phone"],
            email=data["email"],
            lead_safe_number=data["lead_safe"],
            actor=OFFICE,
        )
        _person(data["person"], Role.CONTRACTOR, firm=firm)


def _money(known: dict[str, Any], counties: dict[str, County]) -> None:
    for name, county in counties.items():
        for fuel, amount in known["funds"][name].items():
            funds.fund_open(
                county=county,
                fuel=fuel,
                year=known["funds"]["year"],
                amount_usd=Decimal(amount),
                actor=lead(),
            )


def _rules() -> None:
    for name in RULE_SETS:
        path = settings.ROOT / "fixtures" / "rules" / f"{name}.json"
        rule_sets.rule_set_publish(body=rule_sets.rule_set_body(path), actor=lead())


def _numbers(known: dict[str, Any]) -> None:
    folder = settings.ROOT / "fixtures" / "prices"
    prices.prices_load(
        energy=json.loads((folder / "energy.json").read_text(encoding="utf-8")),
        price_list=json.loads((folder / "price_list.json").read_text(encoding="utf-8")),
    )
    manual = settings.ROOT / "fixtures" / "claims" / "qlg-sm-1.json"
    claims.manual_load(json.loads(manual.read_text(encoding="utf-8")))
    prices.rates_load(json.loads((folder / "rates.json").read_text(encoding="utf-8")))
    station = known["weather"]
    loaded = weather.station_load(
        code=station["code"], file_path=station["path"], source=station["source"], actor=OFFICE
    )
    daily_weather.series_load(
        code="MADE-UP",
        name=bills.NAME,
        source=bills.SOURCE,
        first_on=bills.FIRST_DAY,
        mean_c=bills.daily_c(),
        is_synthetic=True,
        latitude_deg=loaded.latitude_deg,
        longitude_deg=loaded.longitude_deg,
        actor=OFFICE,
    )


def _customer_file() -> None:
    for home in content.homes():
        on_file = home.data["on_file"]
        if on_file is None:
            continue
        address, house = home.data["address"], home.data["home"]
        account_enter(
            number=home.data["account"],
            street=address["street"],
            unit=address["unit"],
            zip_code=address["zip"],
            holder_name=home.name,
            rate_code=on_file["rate_code"],
            has_electricity=on_file["has_electricity"],
            has_gas=on_file["has_gas"],
            opened_on=date(2019, 5, 1),
            kind=house["kind"],
            year_built=house["year_built"],
            units=house["units"] or 1,
            actor=OFFICE,
        )
