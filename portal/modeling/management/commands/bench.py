"""How fast the portal's computing is, on this machine, in one run."""

import json
import os
import subprocess
import sys
import tempfile
import time
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import transaction

from calcs import bench, weather
from calcs.inputs import House
from calcs.thermal import network_for
from calcs.weather import WeatherYear
from portal.core import jobs, supervise
from portal.core.models import Job
from portal.core.models.jobs import JobState
from portal.intake import uploads
from portal.modeling import bench_homes, tasks
from portal.modeling import weather as stations
from portal.modeling.translation import house_from_document

WEATHER = "pvlib:723170TYA.CSV"
# A ranch between attic and crawlspace, and an invented house between attic and basement.
ATTIC_RECORD = "fixtures/records/ranch-1958.json"
BASEMENT_SEED = 27
PORTFOLIO = 10_000
WORKER_TIMEOUT_S = 3600.0


class Command(BaseCommand):
    """``manage.py bench engine``."""

    help = "Time the model: runs, cost by size, arithmetic floor, a home, start-up, the worker."
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """What to time, and the long forms."""
        parser.add_argument("what", choices=("engine", "homes"), help="homes: used by the former")
        parser.add_argument("--weather", default=WEATHER, help="typical year, TMY3 or EPW")
        parser.add_argument(
            "--agreement", type=int, metavar="N", default=0,
            help="compare the fast engine with the full one over N houses at random (long: 200)",
        )  # fmt: skip
        parser.add_argument(
            "--homes", type=int, metavar="N", default=0,
            help="send N homes through the worker with one and two processes (long: 200)",
        )  # fmt: skip
        parser.add_argument("--processes", type=int, default=1, help="for homes")

    def handle(self, *args: Any, **options: Any) -> None:
        """Run and print."""
        if options["what"] == "homes":
            seconds = _through_worker(options["homes"], options["processes"], options["weather"])
            self.stdout.write(json.dumps({"seconds": seconds}))
            return
        path = stations.resolve(options["weather"])
        year = weather.read_weather(path)
        homes = {"attic": _attic(year), "basement": bench.random_house(BASEMENT_SEED)}
        self._runs(homes, year)
        self._sizes(year)
        self._floor(homes, year)
        self._complete(homes, year)
        self._start_up(path)
        if options["agreement"]:
            self._agreement(options["agreement"], year)
        if options["homes"]:
            self._worker(options["homes"], options["weather"])

    def _head(self, text: str) -> None:
        self.stdout.write(f"\n{text}")

    def _runs(self, homes: dict[str, House], year: WeatherYear) -> None:
        self._head("Annual runs, one core (processor time; wall time in brackets)")
        goals = {"attic": 2.5, "basement": 6.0}
        for name, house in homes.items():
            times = bench.run_times(network_for(house, year), year)
            fast = times.loop.cpu_s
            for label, timing in (
                ("fast, hour loop", times.loop),
                ("fast, a variant from its parts", times.variant),
                ("full, hour loop", times.full),
                ("plain NumPy, scaled from three days", times.plain),
            ):
                self.stdout.write(
                    f"  {name:<9} {label:<36} {1e3 * timing.cpu_s:9.2f} ms"
                    f"  ({1e3 * timing.wall_s:.2f})  {1.0 / timing.cpu_s:8.1f} a second"
                )
            self.stdout.write(
                f"  {name:<9} goal under {goals[name]} ms; fast is {times.full.cpu_s / fast:.1f} "
                f"times full and {times.plain.cpu_s / fast:.0f} times NumPy (goal 100)"
            )

    def _sizes(self, year: WeatherYear) -> None:
        self._head("Hour loop against size, and the straight line through it")
        for label, growth in (
            ("elements", bench.growth_with_elements(year)),
            ("zones", bench.growth_with_zones(year)),
        ):
            pairs = ", ".join(
                f"{count}: {1e3 * seconds:.2f}"
                for count, seconds in zip(growth.counts, growth.times_s, strict=True)
            )
            start, slope = growth.line
            self.stdout.write(
                f"  {label:<9} {pairs} ms; {1e3 * start:.2f} ms and {1e3 * slope:.3f} ms each, "
                f"R² {growth.r_squared:.3f}"
            )

    def _floor(self, homes: dict[str, House], year: WeatherYear) -> None:
        self._head("Arithmetic floor of one annual run")
        for name, house in homes.items():
            floor, loop = bench.floor_and_loop(network_for(house, year), year)
            self.stdout.write(
                f"  {name:<9} {floor.operations / 1e6:.1f} million operations at "
                f"{floor.best_rate_per_s / 1e9:.1f} thousand million a second: "
                f"{1e3 * floor.seconds:.2f} ms; the loop takes {loop.cpu_s / floor.seconds:.1f} "
                "times that"
            )

    def _complete(self, homes: dict[str, House], year: WeatherYear) -> None:
        self._head("Complete result of one home: bills, calibration, measures, order, ranges")
        goals = {"attic": 2.0, "basement": 4.0}
        for name, house in homes.items():
            reads = bench_homes.bills_made(house, year)
            began, used = time.perf_counter(), time.process_time()
            found = bench_homes.complete_result(house, year, reads)
            wall, cpu = time.perf_counter() - began, time.process_time() - used
            self.stdout.write(
                f"  {name:<9} {wall:.2f} s, processor {cpu:.2f} s, {len(found.measures)} measures, "
                f"{len(found.package.measure_ids)} in the package; goal under {goals[name]} s"
            )

    def _start_up(self, path: Path) -> None:
        self._head("A second process to its first run, compiled code and weather kept")
        with tempfile.TemporaryDirectory() as folder:
            timing = bench.start_up(path, Path(folder))
        self.stdout.write(
            f"  {timing.wall_s:.2f} s, processor {timing.cpu_s:.2f} s; goal under 1.5 s"
        )

    def _agreement(self, count: int, year: WeatherYear) -> None:
        self._head(f"Fast against full over {count} houses at random")
        found = bench.compare_engines(range(count), year)
        found.sort(key=lambda item: item.used)
        broken = [item for item in found if item.used > 1.0]
        self.stdout.write(
            f"  allowed 0.5 % or 0.1 GJ a year, 1 % or 50 W at the peak: {len(broken)} beyond; "
            f"of what is allowed the middle house uses {found[count // 2].used:.0%}, "
            f"the farthest {found[-1].used:.0%} (seed {found[-1].seed})"
        )
        if broken:
            raise CommandError(f"{len(broken)} houses differ by more than is allowed")

    def _worker(self, count: int, weather_source: str) -> None:
        self._head(f"{count} homes through the worker")
        seconds = {}
        for processes in (1, 2):
            seconds[processes] = _in_a_portal_of_its_own(count, processes, weather_source)
            each = seconds[processes] / count
            hours = PORTFOLIO * each / 3600.0
            self.stdout.write(
                f"  {processes} process{'es' * (processes > 1)}: {seconds[processes]:.1f} s, "
                f"{each:.2f} s a home; {PORTFOLIO:,} homes would take {hours:.1f} h"
            )
        ratio = seconds[1] / seconds[2]
        self.stdout.write(f"  two processes are {ratio:.2f} times one (goal 1.8)")


def _attic(year: WeatherYear) -> House:
    path = Path(settings.ROOT) / ATTIC_RECORD
    document = uploads.document_of(path.read_bytes(), name=path.name)
    return house_from_document(
        document,
        latitude_deg=year.latitude_deg,
        longitude_deg=year.longitude_deg,
        elevation_m=year.elevation_m,
        name="attic",
    )


def _in_a_portal_of_its_own(count: int, processes: int, weather_source: str) -> float:
    """Seconds for homes through a worker, on an empty database and broker of their own."""
    with tempfile.TemporaryDirectory() as folder:
        environment = os.environ | {
            "RIMJOIST_VAR": folder,
            "DATABASE_URL": f"sqlite:///{folder}/bench.sqlite3",
            "CELERY_BROKER_URL": "filesystem://",
        }
        command = [
            sys.executable, "manage.py", "bench", "homes", "--homes", str(count),
            "--processes", str(processes), "--weather", weather_source,
        ]  # fmt: skip
        done = subprocess.run(  # noqa: S603  our own interpreter and command
            command, cwd=settings.ROOT, env=environment, check=True, capture_output=True, text=True
        )
    return float(json.loads(done.stdout.splitlines()[-1])["seconds"])


def _through_worker(count: int, processes: int, weather_source: str) -> float:
    """Seconds from the first home sent to the last one done; the worker is up before."""
    var = Path(settings.VAR_DIR)
    call_command("migrate", verbosity=0)
    ready = var / "worker.ready"
    worker = subprocess.Popen(  # noqa: S603  our own interpreter
        supervise.worker_command(var=var, has_beat=False, processes=processes),
        cwd=settings.ROOT,
        env=os.environ | {"RIMJOIST_WORKER_READY_FILE": str(ready)},
    )
    try:
        _wait(ready.exists, worker)
        # One home for each process beforehand: start-up is not what is asked.
        _send(range(-processes, 0), weather_source)
        _wait(_are_all_done, worker)
        began = time.perf_counter()
        _send(range(count), weather_source)
        _wait(_are_all_done, worker)
        seconds = time.perf_counter() - began
    finally:
        worker.terminate()
        worker.wait()
    if Job.objects.exclude(state=JobState.DONE).exists():
        raise CommandError("some homes failed")
    return seconds


def _send(numbers: range, weather_source: str) -> None:
    with transaction.atomic():
        for number in numbers:
            jobs.enqueue(
                tasks.BENCH_JOB,
                key=f"bench:{number}",
                seed=number % PORTFOLIO,
                weather=weather_source,
            )


def _are_all_done() -> bool:
    waiting = (JobState.DONE, JobState.FAILED)
    return not Job.objects.exclude(state__in=waiting).exists()


def _wait(is_met: Any, worker: "subprocess.Popen[bytes]") -> None:
    until = time.monotonic() + WORKER_TIMEOUT_S
    while not is_met():
        if worker.poll() is not None:
            raise CommandError(f"the worker ended with code {worker.returncode}")
        if time.monotonic() > until:
            raise CommandError("the worker took too long")
        time.sleep(0.05)
