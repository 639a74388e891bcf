"""One sweep by hand: for a portal whose beat is down."""

from typing import Any

from django.core.management.base import BaseCommand

from portal.core import jobs


class Command(BaseCommand):
    help = "Take back the claims of dead workers and send for jobs nobody came for."

    def handle(self, **options: Any) -> None:
        """Sweep once."""
        self.stdout.write(f"Sent for {jobs.sweep(resend_after_s=0.0)} jobs.")
