"""The pictures of README, taken in Chromium from a demo that is running."""

from __future__ import annotations

import shutil
from argparse import ArgumentParser
from collections.abc import Callable
from dataclasses import dataclass
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any
from urllib.parse import urljoin

from django.conf import settings
from django.core.management.base import BaseCommand, CommandError

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

FOLDER = Path("portal") / "static" / "img" / "screens"
LARGEST_BYTES = 150_000
# A page of ours has few inks; fewer are tried until the file is small enough.
INKS = (64, 32, 16)
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
PATIENCE_MS = 30_000

OWNER = "d.amberly@mail.example"
AUDITOR = "o.farrow@qlg.example"
ADMINISTRATOR = "s.quist@qlg.example"
CONTRACTOR = "p.lindqvist@plumbacre.example"


@dataclass(frozen=True)
class Shot:
    """One picture: who looks, how they get there, and how much of the page's top is kept."""

    name: str
    person: str
    find: Callable[[Page], None]
    width_px: int = 1120
    height_px: int = 900


class Command(BaseCommand):
    help = "Take the pictures of README from a running demo."
    # Looks at the demo from outside, as a visitor does: no database.
    requires_system_checks: list[str] = []

    def add_arguments(self, parser: ArgumentParser) -> None:
        """Where the demo answers, where the pictures go, and which."""
        parser.add_argument("--url", default="http://localhost:8000", help="address of the demo")
        parser.add_argument("--into", type=Path, default=Path(settings.ROOT) / FOLDER)
        parser.add_argument("--only", nargs="*", default=(), help="names of pictures")

    def handle(self, *, url: str, into: Path, only: list[str], **options: Any) -> None:
        """Take each picture and say how large it is."""
        unknown = set(only) - {shot.name for shot in SHOTS}
        if unknown:
            raise CommandError(f"no such picture: {', '.join(sorted(unknown))}")
        try:
            from playwright.sync_api import Error, sync_playwright
        except ImportError as error:
            raise CommandError(
                "Playwright is not installed: run python3 manage.py setup first."
            ) from error
        chromium = shutil.which("chromium")
        if chromium is None:
            raise CommandError("Chromium is not installed (Debian/Ubuntu: apt install chromium).")
        into.mkdir(parents=True, exist_ok=True)
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium, args=FLAGS)
            try:
                for shot in SHOTS:
                    if only and shot.name not in only:
                        continue
                    picture = small(_take(browser, url, shot))
                    path = into / f"{shot.name}.png"
                    path.write_bytes(picture)
                    self.stdout.write(f"{path.name}: {len(picture) / 1000:.0f} kB")
            except Error as error:
                raise CommandError(f"{shot.name}: {error.message.splitlines()[0]}") from error
            finally:
                browser.close()


def _take(browser: Browser, url: str, shot: Shot) -> bytes:
    context = browser.new_context(
        viewport={"width": shot.width_px, "height": shot.height_px},
        locale="en-US",
        timezone_id="America/New_York",
        reduced_motion="reduce",
    )
    try:
        context.set_default_timeout(PATIENCE_MS)
        page = context.new_page()
        page.goto(urljoin(url, "/"))
        if shot.person:
            _sign_in(page, url, shot.person)
        shot.find(page)
        page.wait_for_load_state("load")
        page.evaluate("() => document.fonts.ready")
        return page.screenshot(animations="disabled", caret="hide")
    finally:
        context.close()


def _sign_in(page: Page, url: str, person: str) -> None:
    page.goto(urljoin(url, "/account/login/"))
    form = page.locator("form", has=page.locator(f'input[name="email"][value="{person}"]'))
    if form.count() == 0:
        raise CommandError(f"{url} is not a loaded demo: it does not offer to sign in {person}")
    with page.expect_navigation(wait_until="load"):
        form.locator("button[type=submit]").click()


def small(picture: bytes) -> bytes:
    """A PNG in as many inks as fit the largest size.

    Raises
    ------
    CommandError
        It is too large in the fewest.
    """
    from PIL import Image

    whole = Image.open(BytesIO(picture)).convert("RGB")
    for inks in INKS:
        # Without dithering: flat paper stays flat, and small.
        drawn = whole.quantize(colors=inks, dither=Image.Dither.NONE)
        target = BytesIO()
        drawn.save(target, format="PNG", optimize=True)
        if target.tell() < LARGEST_BYTES:
            return target.getvalue()
    raise CommandError(f"a picture of {whole.width} x {whole.height} does not get small enough")


def _link(pattern: str) -> Callable[[Page], None]:
    """Follow the first link whose address begins so."""

    def follow(page: Page) -> None:
        address = page.locator(f'main a[href^="{pattern}"]').first.get_attribute("href")
        page.goto(urljoin(page.url, address or "/"))

    return follow


def _path(path: str) -> Callable[[Page], None]:
    def go(page: Page) -> None:
        page.goto(urljoin(page.url, path))

    return go


def _then(*steps: Callable[[Page], None]) -> Callable[[Page], None]:
    def go(page: Page) -> None:
        for step in steps:
            step(page)

    return go


def _stay(page: Page) -> None:
    """The page one comes to is the one wanted."""


def _named(words: str) -> Callable[[Page], None]:
    """Follow the link of these words."""

    def follow(page: Page) -> None:
        with page.expect_navigation(wait_until="load"):
            page.get_by_role("link", name=words, exact=True).first.click()

    return follow


# The ranch over a crawlspace leads: its report and its plan; then the people who serve others.
SHOTS = (
    Shot("report", OWNER, _link("/report/")),
    Shot("home", OWNER, _stay),
    Shot("plan", OWNER, _link("/plan/")),
    Shot("today", AUDITOR, _path("/today/"), width_px=720),
    Shot(
        "sheet",
        AUDITOR,
        _then(_path("/today/"), _link("/record/")),
        width_px=390,
        height_px=844,
    ),
    Shot("desk", ADMINISTRATOR, _path("/desk/")),
    Shot("ruling", ADMINISTRATOR, _then(_path("/desk/"), _named("1170 Sorrel Ridge Road"))),
    Shot("scope", CONTRACTOR, _then(_path("/scopes/"), _link("/scope/"))),
)
