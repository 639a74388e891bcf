"""Make the portal's font files under var/fonts/."""

from __future__ import annotations

from typing import Any

from django.core.management.base import BaseCommand

from portal.core import fonts


class Command(BaseCommand):
    help = "Makes the font files the pages and PDFs use; does nothing when they are there."
    # Runs before there is a database.
    requires_system_checks: list[str] = []

    def handle(self, *args: Any, **options: Any) -> None:
        written = fonts.fonts_make()
        if not written:
            self.stdout.write("Fonts are there.")
            return
        total_kb = sum(path.stat().st_size for path in written) / 1000
        self.stdout.write(f"Made {len(written)} font files, {total_kb:.0f} kB.")
