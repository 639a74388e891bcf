"""Web server and worker together, on the database and broker of the environment."""

import sys
from argparse import ArgumentParser
from typing import Any

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from portal.core import supervise


class Command(BaseCommand):
    help = "Serve the portal with its worker until Ctrl-C."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where to listen."""
        parser.add_argument("--host", default="127.0.0.1")
        parser.add_argument("--port", type=int, default=8000)

    def handle(self, *, host: str, port: int, **options: Any) -> None:
        """Make the fonts, bring the tables up to date, then serve."""
        try:
            supervise.check_port(host, port)
            call_command("fonts")
            call_command("migrate", verbosity=1, interactive=False)
            code = supervise.serve(host=host, port=port, on_ready=self._tell)
        except supervise.PortTaken as error:
            raise CommandError(str(error)) from error
        sys.exit(code)

    def _tell(self, url: str) -> None:
        self.stdout.write(f"Serving at {url} (Ctrl-C ends it)")
        self.stdout.flush()
