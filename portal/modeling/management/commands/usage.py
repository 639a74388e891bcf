"""Bills of one fuel against the weather of their days, without a database."""

import json
from argparse import ArgumentParser
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from calcs import bills
from calcs import weather as typical
from calcs.daily_weather import DailyWeather, normal_months, read_daily
from calcs.errors import CalcsError
from calcs.records import to_plain
from portal.core.errors import DomainError
from portal.core.units import convert
from portal.modeling import bill_words, usage_file
from portal.modeling import weather as stations


class Command(BaseCommand):
    """``manage.py usage FILE --daily-weather FILE``."""

    help = "Fit the bills of a CSV file to daily weather and print what they say."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take bills, weather, and what to normalize to."""
        parser.add_argument("file", type=Path, help=f"bills, CSV: {', '.join(usage_file.COLUMNS)}")
        parser.add_argument(
            "--daily-weather", type=Path, required=True, help="CSV: date, mean or max and min"
        )
        parser.add_argument("--weather-unit", choices=("C", "F"))
        parser.add_argument("--synthetic", action="store_true", help="the daily weather is made up")
        parser.add_argument("--fuel", choices=tuple(usage_file.UNITS), default="natural_gas")
        parser.add_argument("--unit", help="unit of the bills, for people")
        parser.add_argument("--normal", help="typical year to normalize to, TMY3 or EPW")
        parser.add_argument(
            "--changed-on",
            type=date.fromisoformat,
            help="day of work on the house: what was saved, bills over that day left out",
        )
        parser.add_argument("--json", action="store_true", help="print everything as JSON")

    def handle(self, *args: Any, **options: Any) -> None:
        """Read, fit, print."""
        try:
            reads = usage_file.read_bills(options["file"].read_text(encoding="utf-8"))
            weather = read_daily(
                options["daily_weather"].read_text(encoding="utf-8"),
                name=options["daily_weather"].stem,
                source=str(options["daily_weather"]),
                unit=options["weather_unit"],
                is_synthetic=options["synthetic"],
            )
            normal = (
                normal_months(typical.read_weather(stations.resolve(options["normal"])))
                if options["normal"]
                else ()
            )
            settings = {
                "fuel": options["fuel"],
                "unit": options["unit"] or usage_file.UNITS[options["fuel"]],
                "normal": normal,
            }
            cleaned = bills.clean(reads)
            if options["changed_on"]:
                self._saved(cleaned, weather, options["changed_on"], **settings)
                return
            outcome = bills.fit_bills(cleaned, weather, **settings)
        except (OSError, UnicodeDecodeError, CalcsError) as error:
            raise CommandError(str(error)) from error
        except DomainError as error:
            lines = "".join(f"\n  {name}: {text}" for name, text in error.fields.items())
            raise CommandError(f"{error.message}{lines}") from error
        if options["json"]:
            self.stdout.write(json.dumps(to_plain(outcome), indent=1))
            return
        self.stdout.write(bill_words.fit_words(outcome))
        for item in outcome.periods:
            modeled = "" if item.modeled is None else f"{item.modeled:10.1f}"
            mean = "" if item.mean_c is None else f"{convert(item.mean_c, '°C', '°F'):6.1f} °F"
            self.stdout.write(
                f"  {item.starts_on} to {item.ends_on} {item.days:4d} days {mean:>9} "
                f"{item.quantity:10.1f} {modeled:>10}  {', '.join(item.flags)}".rstrip()
            )
        for tried in outcome.tried:
            self.stdout.write(
                f"  {tried.form}: criterion {tried.criterion:.1f}, R² {tried.r_squared:.3f}"
                f"{'' if not tried.impossible else ', not possible: ' + tried.impossible}"
            )
        for reason in bills.why_scattered(outcome):
            self.stdout.write(f"  {bill_words.reason_words(reason)}")
        for flag in outcome.flags:
            self.stdout.write(f"  {bill_words.flag_words(flag)}")

    def _saved(
        self, cleaned: bills.Cleaned, weather: DailyWeather, changed_on: date, **settings: Any
    ) -> None:
        """Print what the bills on both sides of a day say was saved in a usual year."""
        if not settings["normal"]:
            raise CommandError("A saving needs --normal, a typical year that both sides go to.")
        periods = cleaned.periods
        before = tuple(item for item in periods if item.ends_on <= changed_on)
        after = tuple(item for item in periods if item.starts_on >= changed_on)
        found = bills.measured_saving(
            replace(cleaned, periods=before), replace(cleaned, periods=after), weather, **settings
        )
        self.stdout.write(bill_words.saving_words(found, unit=settings["unit"]))
        for side, reasons in (("before", found.scatter_before), ("after", found.scatter_after)):
            for reason in reasons:
                self.stdout.write(f"  {side}: {bill_words.reason_words(reason)}")
