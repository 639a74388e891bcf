"""Load a typical year for the territory."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from calcs.errors import CalcsError
from portal.core.actors import SystemActor
from portal.core.units import convert
from portal.modeling import weather


class Command(BaseCommand):
    help = "Read a typical year (TMY3 or EPW) and keep it under a code."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Code, file and where it came from."""
        parser.add_argument("code", help="the station's code, for example 723170")
        parser.add_argument("path", help="the file, or pvlib:NAME for one that ships with pvlib")
        parser.add_argument("--source", required=True, help="who published the file")

    def handle(self, *, code: str, path: str, source: str, **options: Any) -> None:
        """Load the file."""
        try:
            station = weather.station_load(
                code=code, file_path=path, source=source, actor=SystemActor("load_weather")
            )
        except (OSError, CalcsError) as error:
            raise CommandError(f"cannot load {path}: {error}") from error
        heating = convert(station.heating_degree_days_k, "K", "ΔF")
        self.stdout.write(f"{station.name}: {heating:,.0f} heating degree days (°F).")
