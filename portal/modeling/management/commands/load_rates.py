"""Load the utility's rate book."""

import json
from argparse import ArgumentParser
from pathlib import Path
from typing import Any

from django.core.management.base import BaseCommand, CommandError

from portal.core.errors import DomainError
from portal.modeling import prices


class Command(BaseCommand):
    """``manage.py load_rates FILE``."""

    help = "Read a rate book (JSON): charges, seasons, blocks and hours of each rate."

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Take the file."""
        parser.add_argument("path", type=Path, help="rate book, as fixtures/prices/rates.json")

    def handle(self, *, path: Path, **options: Any) -> None:
        """Load the file, whole or not at all."""
        try:
            book = json.loads(path.read_text(encoding="utf-8"))
            count = prices.rates_load(book)
        except (OSError, ValueError) as error:
            raise CommandError(f"cannot read {path}: {error}") from error
        except KeyError as error:
            raise CommandError(f"{path} does not say its {error.args[0]}") from error
        except DomainError as error:
            raise CommandError(f"cannot load {path}: {error.message}") from error
        self.stdout.write(f"{count} schedules from {book['from_on']}.")
