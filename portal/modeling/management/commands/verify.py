"""Every check against a published source, as a table by source."""

from argparse import ArgumentParser
from dataclasses import replace
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from calcs import checks, weather
from calcs.checks import Verdict
from calcs.checks.registry import solver_for
from calcs.network import Options
from calcs.suites import fabric, residential
from calcs.suites.rows import Row
from portal.modeling import served

_MARKS = {True: "inside ", False: "OUTSIDE", None: "       "}


class Command(BaseCommand):
    """``manage.py verify``: expected, got, tolerance, verdict; exit 1 on a failure."""

    help = "Check the formulas against published values; --suite runs the public test suites."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take what to check."""
        parser.add_argument("--topic", help="only the rows of this topic")
        parser.add_argument("--failures", action="store_true", help="list failed rows only")
        parser.add_argument("--suite", action="store_true", help="run the public suites of cases")
        parser.add_argument(
            "--full", action="store_true", help="the suites by the full engine, not the fast one"
        )
        parser.add_argument(
            "--weather",
            type=Path,
            default=Path("..") / "shared" / "weather",
            help="folder of the public suites' weather, when present (default: %(default)s)",
        )

    def handle(self, *args: Any, **options: Any) -> None:
        """Run and print."""
        if options["suite"]:
            self._suites(options["weather"], "full" if options["full"] else "fast")
            return
        accounted = [
            row
            for row in checks.account(checks.run_checks(), unreached=served.unreached_by)
            if not options["topic"] or row.result.row.topic == options["topic"]
        ]
        topic = ""
        for row in accounted:
            if options["failures"] and row.verdict != Verdict.FAILED:
                continue
            if row.result.row.topic != topic:
                topic = row.result.row.topic
                self.stdout.write(f"\n{topic}")
            self.stdout.write(_line(row))
        self._totals(accounted)
        if any(row.verdict == Verdict.FAILED for row in accounted):
            raise CommandError("some checks failed", returncode=1)

    def _totals(self, accounted: list[checks.Accounted]) -> None:
        columns = list(Verdict)
        self.stdout.write("\nworked out by code that serves users, by where the value is from")
        self.stdout.write(f"{'':<10}{'rows':>6}" + "".join(f"{name:>14}" for name in columns))
        counted = checks.tally(accounted)
        counted["all"] = {name: sum(of[name] for of in counted.values()) for name in columns}
        for provenance, of in counted.items():
            self.stdout.write(
                f"{provenance:<10}{sum(of.values()):>6}"
                + "".join(f"{of[name]:>14}" for name in columns)
            )
        whole = counted["all"]
        self.stdout.write(
            f"{whole[Verdict.PASSED]} passed; apart from these {whole[Verdict.REPEATED]} only"
            f" repeat a constant, {whole[Verdict.DOUBTED]} doubted,"
            f" {whole[Verdict.OUT_OF_SCOPE]} out of scope, {whole[Verdict.FAILED]} failed"
        )
        alone = sum(
            not served.unreached_by(solver, at_the_desk=False)
            for row in accounted
            if row.verdict == Verdict.PASSED and (solver := solver_for(row.result.row))
        )
        self.stdout.write(
            f"of the passed, {alone} stand behind field sheet, model runs and reports,"
            f" {whole[Verdict.PASSED] - alone} behind the formulas offered at the desk"
        )
        self.stdout.write("\nconstants that no row holds and a second look doubts")
        for doubt in checks.CONSTANT_DOUBTS:
            self.stdout.write(f"  {doubt.where}: {doubt.used}.")
            self.stdout.write(f"    Recomputed: {doubt.recomputed}. {doubt.reason}.")

    def _suites(self, folder: Path, engine: str) -> None:
        for suite in (fabric, residential):
            for name in suite.WEATHER_FILES:
                if not (folder / name).is_file():
                    raise CommandError(f"the suites' weather is absent: {folder / name}")
        years = {
            name: weather.read_weather(folder / name)
            for suite in (fabric, residential)
            for name in suite.WEATHER_FILES
        }
        chosen = replace(fabric.OPTIONS, engine=engine)
        rows = fabric.run_suite(years[fabric.WEATHER_FILE], options=chosen)
        self._table(fabric.HEADING, chosen, rows)
        self._table("The same beside the limits of Addendum b", None, fabric.acceptance(rows))
        chosen = replace(residential.OPTIONS, engine=engine)
        rows = residential.run_suite(years, options=chosen)
        self._table(residential.HEADING, chosen, rows)

    def _table(self, heading: str, options: Options | None, rows: list[Row]) -> None:
        one_set = "" if options is None else f", one set of options for all cases: {options}"
        self.stdout.write(f"\n{heading}{one_set}")
        for row in rows:
            published = "no published range"
            if row.low is not None:
                published = f"range {row.low:9.3f} to {row.high:9.3f}"
            self.stdout.write(
                f"  {_MARKS[row.is_inside]} {row.case:>15} {row.quantity:<22} {row.got:9.3f}"
                f"  {published}"
            )
        inside = sum(row.is_inside is True for row in rows)
        outside = sum(row.is_inside is False for row in rows)
        self.stdout.write(f"{inside} inside, {outside} outside")


def _line(accounted: checks.Accounted) -> str:
    result = accounted.result
    row = result.row
    reason = f"  {accounted.reason}" if accounted.verdict in _EXPLAINED else ""
    return (
        f"  {accounted.verdict:<12}  {row.id}  {row.quantity}: expected {row.expected} {row.unit}"
        f" ± {row.tolerance}, got {result.got}  [{row.provenance}; {row.source}]{reason}"
    )


_EXPLAINED = (Verdict.DOUBTED, Verdict.OUT_OF_SCOPE, Verdict.FAILED)
