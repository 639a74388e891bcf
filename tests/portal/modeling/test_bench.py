"""The timing command: what it prints, when it fails, and the homes it sends to the worker."""

from io import StringIO
from pathlib import Path
from types import SimpleNamespace

import pytest
from django.core.management import CommandError, call_command
from django.db import transaction

from calcs import bench
from calcs.bench import Growth, Timing
from calcs.bench.agreement import Agreement
from calcs.bench.speed import Floor, RunTimes
from portal.core import jobs
from portal.core.models import Job
from portal.core.models.jobs import JobState
from portal.modeling import bench_homes, tasks
from portal.modeling.management.commands import bench as command

FILE = "pvlib:723170TYA.CSV"


def taking(seconds: float) -> Timing:
    return Timing(wall_s=seconds, cpu_s=seconds)


@pytest.fixture
def canned(monkeypatch: pytest.MonkeyPatch) -> None:
    """Timings set by hand, so that only what the command makes of them is looked at."""
    times = RunTimes(
        loop=taking(0.002), variant=taking(0.003), full=taking(0.03), plain=taking(3.0)
    )
    growth = Growth(counts=(1, 2, 3), times_s=(0.001, 0.002, 0.003))
    monkeypatch.setattr(bench, "run_times", lambda *a: times)
    monkeypatch.setattr(bench, "growth_with_elements", lambda *a: growth)
    monkeypatch.setattr(bench, "growth_with_zones", lambda *a: growth)
    floor = Floor(operations=20_000_000, best_rate_per_s=5e10)
    monkeypatch.setattr(bench, "floor_and_loop", lambda *a: (floor, taking(0.002)))
    monkeypatch.setattr(bench, "start_up", lambda *a: taking(1.2))
    found = SimpleNamespace(measures=[1, 2, 3], package=SimpleNamespace(measure_ids=["one"]))
    monkeypatch.setattr(bench_homes, "complete_result", lambda *a: found)


@pytest.mark.usefixtures("canned")
def test_the_command_says_every_ratio(monkeypatch: pytest.MonkeyPatch) -> None:
    sent: list[tuple[int, int, str]] = []

    def own_portal(count: int, processes: int, source: str) -> float:
        sent.append((count, processes, source))
        return 40.0 / processes

    monkeypatch.setattr(command, "_in_a_portal_of_its_own", own_portal)
    out = StringIO()

    call_command("bench", "engine", homes=20, stdout=out)

    said = out.getvalue()
    assert "fast is 15.0 times full and 1500 times NumPy" in said
    assert "the loop takes 5.0 times that" in said
    assert "1.000 ms each, R² 1.000" in said
    assert "3 measures, 1 in the package" in said
    assert "1.20 s" in said
    assert sent == [(20, 1, FILE), (20, 2, FILE)]
    assert "two processes are 2.00 times one" in said
    assert "10,000 homes would take 5.6 h" in said


@pytest.mark.usefixtures("canned")
def test_the_command_fails_when_the_engines_part(monkeypatch: pytest.MonkeyPatch) -> None:
    apart = Agreement(
        seed=7, heating_kwh=1e4, cooling_kwh=0.0, heating_error_kwh=90.0, cooling_error_kwh=0.0,
        peak_heating_w=9e3, peak_cooling_w=0.0, peak_heating_error_w=0.0, peak_cooling_error_w=0.0,
    )  # fmt: skip
    monkeypatch.setattr(bench, "compare_engines", lambda *a: [apart])
    out = StringIO()

    with pytest.raises(CommandError, match="1 houses differ"):
        call_command("bench", "engine", agreement=1, stdout=out)
    assert "the farthest 180% (seed 7)" in out.getvalue()


@pytest.mark.django_db
def test_a_home_sent_to_the_worker_is_worked_out_once() -> None:
    bench_homes.year_of.cache_clear()
    with transaction.atomic():
        jobs.enqueue(tasks.BENCH_JOB, key="bench:1", seed=1, weather=FILE)

    assert jobs.drain() == 1
    assert Job.objects.get(key="bench:1").state == JobState.DONE
    assert bench_homes.year_of.cache_info().misses == 1
    assert Path(command.settings.ROOT, command.ATTIC_RECORD).is_file()
