"""A person at a browser, every page of whom is looked over as it is opened."""

import email
import email.policy
import re
import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import urldefrag, urljoin, urlsplit

import pytest

try:
    from axe_playwright_python.sync_playwright import Axe
    from playwright.sync_api import (
        Browser,
        ConsoleMessage,
        Page,
        Request,
        Response,
        sync_playwright,
    )
except ImportError:  # pragma: no cover  the test says what is missing
    MISSING = "playwright and axe-playwright-python are not installed"
else:
    MISSING = ""

CHROMIUM = shutil.which("chromium") or "/usr/bin/chromium"
if not MISSING and not Path(CHROMIUM).exists():
    MISSING = "Chromium is not installed"

FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
DESK = {"width": 1280, "height": 900}
PHONE = {"width": 360, "height": 780}
PATIENCE_MS = 20_000
GRAVE = ("serious", "critical")


@contextmanager
def chromium() -> Iterator["Browser"]:
    """Debian's Chromium, without a window."""
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        try:
            yield browser
        finally:
            browser.close()


class Visitor:
    """One person with a browser of their own."""

    def __init__(self, browser: "Browser", site: str) -> None:
        self.site = site
        self.context = browser.new_context(viewport=DESK, locale="en-US")
        self.context.set_default_timeout(PATIENCE_MS)
        self.page: Page = self.context.new_page()
        self.faults: list[str] = []
        self.looked_at: list[str] = []
        self.followed: set[str] = set()
        self._axe = Axe()
        self.page.on("console", self._on_console)
        self.page.on("pageerror", lambda error: self.faults.append(f"script: {error}"))
        self.page.on("requestfailed", self._on_failed)
        self.page.on("response", self._on_response)

    def _on_console(self, message: "ConsoleMessage") -> None:
        if message.type in ("error", "warning"):
            self.faults.append(f"{self.page.url}: console {message.type}: {message.text}")

    def _on_failed(self, request: "Request") -> None:
        # A page that is left stops what it was still asking for.
        if request.failure != "net::ERR_ABORTED":
            self.faults.append(f"{self.page.url}: {request.url}: {request.failure}")

    def _on_response(self, response: "Response") -> None:
        if response.status >= 400:
            self.faults.append(f"{self.page.url}: {response.url}: {response.status}")

    # -- Moving about ------------------------------------------------------------------------

    def go(self, path: str) -> None:
        """Open a page and look it over."""
        self.page.goto(urljoin(self.site, path))
        self.look()

    def press(self, name: str, *, role: str = "button") -> None:
        """Press a button or follow a link by its words, and look over what comes."""
        control = self.page.get_by_role(role, name=name, exact=True).first  # type: ignore[arg-type]  # one of two roles
        with self.page.expect_navigation(wait_until="load"):
            control.click()
        self.look()

    def follow(self, name: str) -> None:
        """Follow a link by its words."""
        self.press(name, role="link")

    def fill(self, **values: str) -> None:
        """Fill boxes by their names."""
        for name, value in values.items():
            self.page.locator(f'[name="{name}"]').fill(value)

    def choose(self, name: str, value: str) -> None:
        """Tick a radio or a check box by its name and value."""
        self.page.locator(f'input[name="{name}"][value="{value}"]').check(force=True)

    @property
    def path(self) -> str:
        """Where the person is."""
        return urlsplit(self.page.url).path

    def words(self) -> str:
        """What the page says."""
        return self.page.locator("main").inner_text()

    def wait_for(self, condition: Callable[[], bool], what: str, *, seconds: float) -> None:
        """Stay on the page until something is true of it."""
        ends_at = time.monotonic() + seconds
        while not condition():
            if time.monotonic() > ends_at:
                pytest.fail(f"waited in vain until {what}; the page says:\n{self.words()[:2000]}")
            self.page.wait_for_timeout(200)

    # -- Looking a page over -----------------------------------------------------------------

    def look(self) -> None:
        """Accessibility, sideways scroll on a phone, links; whatever is wrong is a fault."""
        self.looked_at.append(self.path)
        self._check_words()
        self._check_width()
        self._check_accessibility()
        self._check_links()

    def _check_words(self) -> None:
        html = self.page.content()
        for trace in ("{{", "{%", "None None", "Traceback"):
            if trace in html:
                self.faults.append(f"{self.path}: “{trace}” on the page")
        if not self.page.title().strip():
            self.faults.append(f"{self.path}: no title")

    def _check_width(self) -> None:
        self.page.set_viewport_size(PHONE)
        wide = self.page.evaluate(
            """() => {
                const root = document.documentElement;
                if (root.scrollWidth <= root.clientWidth) return "";
                const wide = [...document.body.querySelectorAll("*")].find(
                    (one) => one.getBoundingClientRect().right > root.clientWidth + 1);
                return `${root.scrollWidth} px of ${root.clientWidth}: ` +
                    (wide ? wide.outerHTML.slice(0, 200) : "");
            }"""
        )
        if wide:
            self.faults.append(f"{self.path}: scrolls sideways at 360 px: {wide}")
        self.page.set_viewport_size(DESK)

    def _check_accessibility(self) -> None:
        found = self._axe.run(self.page).response["violations"]
        for violation in found:
            if violation["impact"] in GRAVE:
                places = [node["html"][:160] for node in violation["nodes"][:3]]
                self.faults.append(f"{self.path}: {violation['id']}: {violation['help']}: {places}")

    def _check_links(self) -> None:
        hrefs: list[str] = self.page.eval_on_selector_all(
            "a[href]", "links => links.map(link => link.href)"
        )
        for href in hrefs:
            address, fragment = urldefrag(href)
            if fragment and address == urldefrag(self.page.url)[0]:
                if self.page.locator(f"[id='{fragment}']").count() == 0:
                    self.faults.append(f"{self.path}: nothing is called #{fragment}")
                continue
            if not address.startswith(self.site) or address in self.followed:
                continue
            self.followed.add(address)
            answer = self.context.request.get(address)
            if answer.status >= 400:
                self.faults.append(f"{self.path}: dead link {address}: {answer.status}")
            answer.dispose()


# -- Letters -----------------------------------------------------------------------------


def letters(folder: Path, to: str) -> list[tuple[str, str]]:
    """Subject and text of the letters to somebody, oldest first."""
    found = []
    for path in sorted(folder.glob("*.eml"), key=lambda one: one.stat().st_mtime_ns):
        message = email.message_from_bytes(path.read_bytes(), policy=email.policy.default)
        if message["To"] == to:
            body = message.get_body()
            found.append((str(message["Subject"]), body.get_content() if body else ""))
    return found


def code_in(text: str) -> str | None:
    """The sign-in code of a letter: it stands on a line of its own."""
    found = re.search(r"^ {4}([A-Z0-9-]{6,})$", text, re.MULTILINE)
    return found.group(1) if found else None
