"""One field record (JSON or HPXML) to tables or JSON, without a database."""

import json
from argparse import ArgumentParser
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path
from types import SimpleNamespace
from typing import Any, cast

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

from calcs import analysis, bills, calibration, weather
from calcs.baseline import evaluate
from calcs.daily_weather import normal_months, read_daily
from calcs.errors import CalcsError
from calcs.inputs import EnergyPrices, house_to_dict
from calcs.rates import Rate
from portal.core.errors import DomainError
from portal.intake import uploads
from portal.intake.document import Reader
from portal.intake.hazards import find
from portal.modeling import bill_words, prices, printout, usage_file
from portal.modeling import weather as stations
from portal.modeling.models import PriceListLine
from portal.modeling.services import blocked_by, unsafe_in
from portal.modeling.translation import house_from_document, repairs_of

DEFAULT_WEATHER = "pvlib:723170TYA.CSV"


class Command(BaseCommand):
    """``manage.py model FILE``."""

    help = "Work a field record out and print what the model finds; --json for all of it."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the record and what it is worked out with."""
        fixtures = Path(settings.ROOT) / "fixtures" / "prices"
        parser.add_argument("file", type=Path, help="field record, JSON or HPXML")
        parser.add_argument("--weather", default=DEFAULT_WEATHER, help="typical year, TMY3 or EPW")
        parser.add_argument("--prices", type=Path, default=fixtures / "energy.json")
        parser.add_argument("--price-list", type=Path, default=fixtures / "price_list.json")
        parser.add_argument("--rates", type=Path, help="rate book of the utility, JSON")
        parser.add_argument("--rate-code", default="R1", help="the household's rate in that book")
        parser.add_argument("--gas-bills", type=Path, help="CSV, as the command usage reads it")
        parser.add_argument("--electricity-bills", type=Path, help="CSV, as the command usage")
        parser.add_argument(
            "--daily-weather", type=Path, help="CSV with the days of the bills; needed for them"
        )
        parser.add_argument("--year", type=int, help="year of the work")
        parser.add_argument("--json", action="store_true", help="house and results as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        """Read, run, print."""
        try:
            content = options["file"].read_bytes()
            document = uploads.document_of(content, name=options["file"].name)
            year = weather.read_weather(stations.resolve(options["weather"]))
            house = house_from_document(
                document,
                latitude_deg=year.latitude_deg,
                longitude_deg=year.longitude_deg,
                elevation_m=year.elevation_m,
                name=options["file"].stem,
            )
            hazards = find(document)
            house = replace(house, repairs=repairs_of(hazards, Reader(document)))
            energy = json.loads(options["prices"].read_text(encoding="utf-8"))
            in_year = options["year"] or date.fromisoformat(energy["from_on"]).year
            given = replace(_prices(energy), rates=_rates(options))
            fitted = calibration.calibrate(
                house,
                _bills(options, year),
                lambda tried: evaluate(tried, year, prices=given, year=in_year),
            )
            house = fitted.house
            found = analysis.analyse_house(
                house,
                year,
                costs=_costs(json.loads(options["price_list"].read_text(encoding="utf-8"))),
                prices=given,
                year=in_year,
                blocked=blocked_by(hazards),
                unsafe=unsafe_in(document),
            )
            found = replace(
                found, calibration=fitted.calibration, is_calibrated=fitted.calibration.is_fitted
            )
        except OSError as error:
            raise CommandError(f"{error.filename}: {error.strerror}") from error
        except DomainError as error:
            fields = "".join(f"\n  {name}: {text}" for name, text in error.fields.items())
            raise CommandError(f"{error.message}{fields}") from error
        except (json.JSONDecodeError, UnicodeDecodeError) as error:
            raise CommandError(f"a price file cannot be read: {error}") from error
        except CalcsError as error:
            raise CommandError(f"The model refuses this record: {error}") from error
        if not options["json"]:
            for line in printout.lines_of(house, found, hazards, year=in_year):
                self.stdout.write(line)
            self.stdout.write("\nHeld against the bills")
            for text in bill_words.paragraphs(found.calibration):
                self.stdout.write(f"  {text}")
            return
        self.stdout.write(
            json.dumps(
                {"house": house_to_dict(house), "results": analysis.analysis_to_dict(found)},
                indent=1,
            )
        )


def _prices(energy: dict[str, Any]) -> EnergyPrices:
    return EnergyPrices(
        usd_per_j={
            entry["fuel"]: float(entry["usd_per_unit"])
            / prices.joules_per_unit(entry["fuel"], entry["unit"])
            for entry in energy["prices"]
        },
        co2_kg_per_j={
            entry["fuel"]: prices.carbon_kg_per_j(entry["fuel"]) for entry in energy["prices"]
        },
        as_of=energy["from_on"],
    )


def _rates(options: dict[str, Any]) -> dict[str, Rate]:
    """The household's rates by fuel, out of a rate book; none: plain prices."""
    if options["rates"] is None:
        return {}
    book = json.loads(options["rates"].read_text(encoding="utf-8"))
    return {
        entry["fuel"]: prices.read_rate(
            entry, fuel=entry["fuel"], code=options["rate_code"], source=book["source"]
        )
        for entry in book["rates"]
        if options["rate_code"] in entry["rate_codes"]
    }


def _bills(options: dict[str, Any], year: weather.WeatherYear) -> list[bills.BillsOutcome]:
    """What the bills that were given say."""
    files = {"natural_gas": options["gas_bills"], "electricity": options["electricity_bills"]}
    given = {fuel: path for fuel, path in files.items() if path is not None}
    if not given:
        return []
    if options["daily_weather"] is None:
        raise CommandError("Bills need --daily-weather: they are fitted to their own days.")
    daily = read_daily(
        options["daily_weather"].read_text(encoding="utf-8"),
        name=options["daily_weather"].stem,
        source=str(options["daily_weather"]),
    )
    return [
        bills.fit_bills(
            bills.clean(usage_file.read_bills(path.read_text(encoding="utf-8"))),
            daily,
            fuel=fuel,
            unit=usage_file.UNITS[fuel],
            joules_per_unit=prices.joules_per_unit(fuel, usage_file.UNITS[fuel]),
            normal=normal_months(year),
        )
        for fuel, path in given.items()
    ]


def _costs(price_list: dict[str, Any]) -> analysis.CostOf:
    lines = {
        line["measure"]: cast(
            PriceListLine,
            SimpleNamespace(
                unit=line["unit"],
                fixed_usd=Decimal(line["fixed_usd"]),
                usd_per_unit=Decimal(line["usd_per_unit"]),
            ),
        )
        for line in price_list["lines"]
    }

    def cost_of(measure_id: str, kind: str, quantity: float, unit: str) -> float | None:
        line = lines.get(kind)
        if line is None:
            return None
        return float(prices.list_price(line, quantity=quantity, unit=unit))

    return cost_of
