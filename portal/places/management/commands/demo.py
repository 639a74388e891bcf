"""The demo: load it once, then serve it with its worker."""

import logging
import sys
from argparse import ArgumentParser
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

from django.conf import settings
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from portal.accounts.context import demo_people
from portal.core import fonts, supervise
from portal.places.demo import content, load, once


class Command(BaseCommand):
    help = "Load the demo (once) and serve it; with --once run the chain on two new records."
    # Runs before there is a database.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to serve, and what to load."""
        parser.add_argument("--host", default="127.0.0.1")
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--once", action="store_true", help="run the chain, do not serve")
        parser.add_argument("--fresh", action="store_true", help="empty the demo and load it anew")
        parser.add_argument("--limit", type=int, default=None, help="load only the first homes")
        parser.add_argument("--load-only", action="store_true", help="load, do not serve")

    def handle(self, **options: Any) -> None:
        """Set up, load, and serve or run once."""
        serves = not (options["once"] or options["load_only"])
        if not settings.DEMO_MODE:
            raise CommandError("The demo runs on settings of its own: python3 manage.py demo")
        try:
            if serves:
                # Told before minutes are spent on loading.
                supervise.check_port(options["host"], options["port"])
            self._prepare()
            if options["once"]:
                self._once(is_fresh=options["fresh"])
                return
            self._load(is_fresh=options["fresh"], limit=options["limit"])
            if serves:
                sys.exit(
                    supervise.serve(
                        host=options["host"],
                        port=options["port"],
                        shows_requests=False,
                        on_ready=self._welcome,
                    )
                )
        except (supervise.PortTaken, load.LoadFailed) as error:
            raise CommandError(str(error)) from error

    def _tell(self, line: str) -> None:
        self.stdout.write(line)
        self.stdout.flush()

    def _prepare(self) -> None:
        if fonts.fonts_make():
            self._tell("Fonts made")
        call_command("migrate", verbosity=0, interactive=False)

    def _load(self, *, is_fresh: bool, limit: int | None) -> None:
        homes = content.homes()[:limit]
        if not is_fresh and load.is_loaded(homes):
            self._tell("The demo is loaded (--fresh loads it anew)")
            return
        self._tell(
            f"Loading {len(homes)} homes, each through the services of the portal. This takes "
            "a few minutes, once."
        )
        with _quiet():
            load.clear()
            load.load(homes, self._tell)

    def _once(self, *, is_fresh: bool) -> None:
        with _quiet():
            if is_fresh or not load.has_program():
                load.clear()
                load.load((), self._tell)
            papers = once.run_once(self._tell)
        self._tell("")
        for paper in papers:
            self._tell(f"PDF: {paper}")

    def _welcome(self, url: str) -> None:
        self._tell("")
        self._tell(f"Rimjoist: {url}   (Ctrl-C ends it)")
        self._tell(f"Today in the demo: {content.present():%A, %B} {content.present().day}, 2026")
        self._tell(f"Sign in at {url}/account/login/ as")
        for person in demo_people():
            self._tell(f"  {person['email']:<28} {person['name']}. {person['what']}")


@contextmanager
def _quiet() -> Iterator[None]:
    """No log lines between the lines of progress; errors still come through."""
    logging.disable(logging.WARNING)
    try:
        yield
    finally:
        logging.disable(logging.NOTSET)
