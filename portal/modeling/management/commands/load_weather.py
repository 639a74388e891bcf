"""Check a typical year and use it for the territory."""

from argparse import ArgumentParser
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from calcs.errors import CalcsError
from calcs.weather_files import check_weather
from portal.core.actors import SystemActor
from portal.modeling import weather, weather_files
from portal.modeling.weather_words import check_pairs, climate_facts, finding_words


class Command(BaseCommand):
    help = "Check a typical year (TMY3 or EPW) and use it for the territory under a code."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Code, file and where it came from."""
        parser.add_argument("code", help="the station's code, for example 723170")
        parser.add_argument("path", help="the file, or pvlib:NAME for one that ships with pvlib")
        parser.add_argument("--source", required=True, help="who published the file")
        parser.add_argument("--check", action="store_true", help="check only; use nothing")

    def handle(self, *, code: str, path: str, source: str, check: bool, **options: Any) -> None:
        """Check the file, say what is in it, and use it where nothing stops it."""
        try:
            raw = weather.resolve(path).read_bytes()
        except OSError as error:
            raise CommandError(f"cannot load {path}: {error}") from error
        report = weather_files.report_of(check_weather(raw))
        for pair in [*check_pairs(report), *climate_facts(report)]:
            note = f" ({pair['note']})" if pair.get("note") else ""
            self.stdout.write(f"{pair['label']}: {pair['value']}{note}")
        stops = [finding_words(item) for item in report["findings"] if item["stops"]]
        for item in report["findings"]:
            if not item["stops"]:
                self.stdout.write(f"Look at this: {finding_words(item)}")
        if stops:
            raise CommandError(f"cannot load {path}: " + " ".join(stops))
        if check:
            return
        try:
            station = weather.station_load(
                code=code, file_path=path, source=source, actor=SystemActor("load_weather")
            )
        except (OSError, CalcsError) as error:
            raise CommandError(f"cannot load {path}: {error}") from error
        self.stdout.write(f"{station.name} is in use under {code}.")
