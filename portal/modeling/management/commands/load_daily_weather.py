"""Load the actual daily weather that bills are fitted to."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from calcs.daily_weather import read_daily
from calcs.errors import CalcsError
from portal.core.actors import SystemActor
from portal.modeling import daily_weather


class Command(BaseCommand):
    """``manage.py load_daily_weather CODE FILE``."""

    help = "Read daily temperatures (CSV: date, and mean or maximum and minimum) under a code."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Code, file, where the station is and where the file came from."""
        parser.add_argument("code", help="the station's code")
        parser.add_argument("path", type=Path, help="CSV with a heading and a line for each day")
        parser.add_argument("--name", required=True, help="the station's name, for people")
        parser.add_argument("--source", required=True, help="who published the file")
        parser.add_argument("--latitude", type=float, required=True, help="degrees north")
        parser.add_argument("--longitude", type=float, required=True, help="degrees east")
        parser.add_argument("--unit", choices=("C", "F"), help="where the heading does not say")
        parser.add_argument(
            "--synthetic", action="store_true", help="the series is made up, and pages say so"
        )

    def handle(self, *, code: str, path: Path, **options: Any) -> None:
        """Load the file."""
        try:
            weather = read_daily(
                path.read_text(encoding="utf-8"),
                name=options["name"],
                source=options["source"],
                unit=options["unit"],
                is_synthetic=options["synthetic"],
            )
        except (OSError, UnicodeDecodeError, CalcsError) as error:
            raise CommandError(f"cannot load {path}: {error}") from error
        daily_weather.series_load(
            code=code,
            name=weather.name,
            source=weather.source,
            first_on=weather.first_on,
            mean_c=[float(value) for value in weather.mean_c],
            is_synthetic=weather.is_synthetic,
            latitude_deg=options["latitude"],
            longitude_deg=options["longitude"],
            actor=SystemActor("load_daily_weather"),
        )
        self.stdout.write(
            f"{weather.name}: {weather.first_on} to {weather.last_on}, "
            f"{weather.missing_days} days missing{', made up' if weather.is_synthetic else ''}."
        )
