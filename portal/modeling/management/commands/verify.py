"""Every check against a published source, as a table by source."""

from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from calcs import checks, suites, weather
from calcs.network import Options

SUITE_HEAD = "Standard 140 thermal fabric cases"


class Command(BaseCommand):
    """``manage.py verify``: expected, got, tolerance, pass; exit 1 on a failure."""

    help = "Check the formulas against published values; --suite runs the public test suite."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take what to check."""
        parser.add_argument("--topic", help="only the rows of this topic")
        parser.add_argument("--failures", action="store_true", help="list failed rows only")
        parser.add_argument("--suite", action="store_true", help="run the public suite of cases")
        parser.add_argument(
            "--weather",
            type=Path,
            default=Path("..") / "shared" / "weather",
            help="folder with the suite's weather files",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Run and print."""
        if options["suite"]:
            self._suite(options["weather"])
            return
        report = checks.run_checks()
        results = [
            result
            for result in report
            if not options["topic"] or result.row.topic == options["topic"]
        ]
        topic = ""
        for result in results:
            if options["failures"] and result.passes:
                continue
            if result.row.topic != topic:
                topic = result.row.topic
                self.stdout.write(f"\n{topic}")
            self.stdout.write(_line(result))
        passed = sum(result.passes for result in results)
        self.stdout.write("")
        for provenance in ("read", "computed", "memory"):
            of = [result for result in results if result.row.provenance == provenance]
            good = sum(result.passes for result in of)
            self.stdout.write(f"{provenance}: {good} of {len(of)} pass")
        self.stdout.write(f"{passed} passed, {len(results) - passed} failed")
        if passed < len(results):
            raise CommandError("some checks failed", returncode=1)

    def _suite(self, folder: Path) -> None:
        path = folder / suites.WEATHER_FILE
        if not path.is_file():
            raise CommandError(f"the suite's weather is absent: {path} is not there")
        options = Options()
        self.stdout.write(f"{SUITE_HEAD}, one set of options for all cases: {options}")
        rows = suites.run_suite(weather.read_weather(path), options=options)
        for row in rows:
            mark = "inside " if row.is_inside else "OUTSIDE"
            self.stdout.write(
                f"  {mark} {row.case:>9} {row.quantity:<20} {row.got:9.3f}"
                f"  range {row.low:9.3f} to {row.high:9.3f}"
            )
        inside = sum(row.is_inside for row in rows)
        self.stdout.write(f"{inside} inside, {len(rows) - inside} outside")


def _line(result: checks.CheckResult) -> str:
    mark = "pass" if result.passes else "FAIL"
    row = result.row
    return (
        f"  {mark}  {row.id}  {row.quantity}: expected {row.expected} {row.unit}"
        f" ± {row.tolerance}, got {result.got}  [{row.provenance}; {row.source}]"
    )
