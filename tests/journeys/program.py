"""A program ready for a journey: people, rules, prices, weather and money, by the services."""

import json
from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from django.conf import settings

from portal.accounts.models import Firm, User
from portal.core.actors import SystemActor
from portal.enrollment.models import County
from portal.modeling import claims, prices, weather
from portal.rebates.services import funds, rule_sets
from tests.factories import people

FIXTURES = Path(settings.ROOT) / "fixtures"
STATION = {"code": "723170", "file_path": "pvlib:723170TYA.CSV", "source": "TMY3, pvlib's copy"}


@dataclass(frozen=True)
class Program:
    """The people of the program and the firm that works for it."""

    admin: User
    firm: Firm
    contractor: User


def program(*, counties: tuple[County, ...], gas_usd: str = "50000.00") -> Program:
    """Rules published, prices and weather loaded, a fund for each fuel, a firm listed."""
    admin = people.administrator()
    loader = SystemActor("test set-up")
    weather.station_load(actor=loader, **STATION)
    prices.prices_load(
        energy=json.loads((FIXTURES / "prices" / "energy.json").read_text()),
        price_list=json.loads((FIXTURES / "prices" / "price_list.json").read_text()),
    )
    claims.manual_load(json.loads((FIXTURES / "claims" / "qlg-sm-1.json").read_text()))
    for name in ("qlg-is-v1", "qlg-is-v2"):
        body = rule_sets.rule_set_body(FIXTURES / "rules" / f"{name}.json")
        rule_sets.rule_set_publish(body=body, actor=admin)
    for county in counties:
        for fuel in ("gas", "electric"):
            funds.fund_open(
                county=county, fuel=fuel, year=2026, amount_usd=Decimal(gas_usd), actor=admin
            )
    firm = people.firm()
    return Program(admin=admin, firm=firm, contractor=people.contractor(of=firm))
