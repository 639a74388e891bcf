"""Work every casefile's position out anew from the records."""

from typing import Any

from django.core.management.base import BaseCommand

from portal.places.positions import positions_rebuild


class Command(BaseCommand):
    help = "Work out anew where every casefile stands: one holder, one next action, one date."

    def handle(self, **options: Any) -> None:
        """Rebuild the whole table."""
        self.stdout.write(f"Worked out {positions_rebuild()} positions.")
