"""Jobs of modeling."""

from typing import Any

from portal.core import jobs
from portal.modeling import bench_homes, services, weather_files

BENCH_JOB = "modeling.bench_home"


def _failed(args: dict[str, Any], error: str) -> None:
    services.run_fail(run_id=args["run_id"], error=error)


@jobs.kind(services.RUN_JOB, lease_s=30.0, max_attempts=3, on_failed=_failed)
def run_model(args: dict[str, Any], ticket: jobs.Ticket) -> None:
    """Take one queued model run to done or failed; a second delivery finds it taken."""
    run = services.run_start(run_id=args["run_id"])
    services.run_execute(run=run, ticket=ticket)


def _check_failed(args: dict[str, Any], error: str) -> None:
    weather_files.file_check_failed(file_id=args["file_id"])


@jobs.kind(weather_files.CHECK_JOB, lease_s=60.0, max_attempts=3, on_failed=_check_failed)
def check_weather_file(args: dict[str, Any], ticket: jobs.Ticket) -> None:
    """Read and check one weather file that was sent."""
    weather_files.file_check(file_id=args["file_id"], ticket=ticket)


@jobs.kind(BENCH_JOB, lease_s=30.0, max_attempts=1)
def bench_home(args: dict[str, Any], ticket: jobs.Ticket) -> None:
    """Work one invented house out and keep nothing: what `bench engine` times the worker with."""
    bench_homes.home_work(seed=args["seed"], weather_source=args["weather"])
