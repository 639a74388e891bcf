"""Four people walk one home from the request to the claim, in Chromium, beside a real worker."""

import os
import re
import time
from collections.abc import Iterator
from datetime import date, datetime
from pathlib import Path
from typing import Any

import pytest
from django.conf import settings as portal_settings
from django.db import connection
from django.utils import timezone

from portal.core import clock, jobs
from portal.enrollment import selectors as enrollment_selectors
from portal.enrollment.models import Casefile
from portal.intake.models import FieldRecord
from portal.modeling.models import ModelRun
from portal.places.models import CasePosition
from portal.rebates.models import Fund, SubsidyRequest
from portal.scheduling.models import Appointment
from portal.scheduling.states import AppointmentState
from portal.works.models import Claim, WorkScope
from tests.factories import enrollment, intake, scheduling
from tests.journeys import browser as browsing
from tests.journeys import homes
from tests.journeys.browser import Visitor, code_in, letters
from tests.journeys.program import Program, program
from tests.portal.core.test_jobs_worker import Rig

pytestmark = [
    pytest.mark.browser,
    pytest.mark.slow,
    pytest.mark.django_db(transaction=True),
    pytest.mark.skipif(bool(browsing.MISSING), reason=browsing.MISSING or "there"),
]

ASKED_AT = clock.local(date(2026, 3, 2), 10)
OWNER = "pat@mail.example"
AUDITOR = "auditor@qlg.example"
MODEL_PATIENCE_S = 180.0
# A worker that has just been started reads all it needs first.
LETTER_PATIENCE_S = 90.0


class Stage:
    """The portal as the four people find it: web, worker, clock and mail."""

    def __init__(self, site: str, browser: Any, rig: Rig, settings: Any) -> None:
        self.site = site
        self.browser = browser
        self.rig = rig
        self.settings = settings
        self.mail = rig.var / "mail"
        self.people: list[Visitor] = []

    def set_clock(self, moment: datetime) -> None:
        """Web and worker live from this instant on; a worker reads its clock at its start."""
        self.settings.CLOCK_OFFSET = moment - timezone.now()
        self.rig.environment["TEST_CLOCK_OFFSET_S"] = str(
            self.settings.CLOCK_OFFSET.total_seconds()
        )

    def faults(self) -> list[str]:
        """What was wrong with the pages that were opened."""
        return [fault for person in self.people for fault in person.faults]

    def visitor(self) -> Visitor:
        """A new person at a browser."""
        person = Visitor(self.browser, self.site)
        self.people.append(person)
        return person

    def code_for(self, address: str, *, after: int) -> str:
        """The code of the next letter to somebody, once the worker has mailed it."""
        ends_at = time.monotonic() + LETTER_PATIENCE_S
        while time.monotonic() < ends_at:
            arrived = letters(self.mail, address)[after:]
            codes = [code for _subject, text in arrived if (code := code_in(text))]
            if codes:
                return codes[-1]
            self.people[-1].page.wait_for_timeout(100)
        pytest.fail(f"no code came to {address}; worker:\n{self.rig.log.read_text()[-3000:]}")

    def sign_in(self, address: str) -> Visitor:
        """Sign in by the code in the letter."""
        person = self.visitor()
        before = len(letters(self.mail, address))
        person.go("/account/login/code/")
        person.fill(email=address)
        person.press("Send me a code")
        person.fill(code=self.code_for(address, after=before))
        person.press("Continue")
        return person


@pytest.fixture
def stage(
    live_server: Any, settings: Any, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[Stage]:
    # The browser's own loop runs in this thread, beside the database.
    monkeypatch.setenv("DJANGO_ALLOW_ASYNC_UNSAFE", "1")
    broker = os.environ.get("CELERY_BROKER_URL", "")
    rig = Rig(broker if broker.startswith("redis") else "filesystem://", tmp_path)
    rig.environment["DJANGO_SETTINGS_MODULE"] = "tests.journeys.worker_settings"
    monkeypatch.setattr(jobs, "current_app", rig.app)
    # What the one process stores the other reads.
    settings.MEDIA_ROOT = tmp_path / "media"
    settings.SITE_URL = live_server.url
    rig.environment["SITE_URL"] = live_server.url
    with browsing.chromium() as browser:
        made = Stage(live_server.url, browser, rig, settings)
        yield made
        # Shown beside whatever else a test that failed has to say.
        print("\n".join(dict.fromkeys(made.faults())))
        # While the browser's loop runs, this thread has a database connection of its own for it.
        connection.close()
    rig.app.close()
    wait_for_the_others()


def wait_for_the_others() -> None:
    """A killed worker's sessions end a moment later, and the database cannot go before them."""
    if connection.vendor != "postgresql":
        return
    ends_at = time.monotonic() + 15
    with connection.cursor() as cursor:
        while time.monotonic() < ends_at:
            cursor.execute(
                "select count(*) from pg_stat_activity"
                " where datname = current_database() and pid <> pg_backend_pid()"
            )
            if cursor.fetchone() == (0,):
                return
            time.sleep(0.1)


def run_program() -> Program:
    """The program before anybody has asked: customers, rules, prices, money, people."""
    account = enrollment.account()
    county = account.dwelling.building.county
    scheduling.auditor(AUDITOR, counties=[county])
    return program(counties=(county,))


def ask(owner: Visitor, stage: Stage) -> None:
    """Six questions, an answer, an account by code, a time for the visit."""
    owner.go("/")
    owner.go("/audit/")
    owner.press("Begin")
    owner.fill(street="14 Larch Street", city="Ashmere Falls", zip="00141")
    owner.press("Continue")
    owner.fill(number="4410 0000 01")
    owner.press("Continue")
    owner.fill(name="Pat Arden", email=OWNER, phone="555-0111")
    owner.press("Continue")
    owner.choose("tenure", "owner")
    owner.press("Continue")
    owner.choose("kind", "detached")
    owner.fill(year_built="1958")
    owner.press("Continue")
    owner.choose("chosen", "cold_rooms")
    owner.fill(words="The bedroom over the crawlspace")
    owner.press("Continue")
    assert "Check your answers" in owner.words()
    owner.press("Send and see the answer")
    assert "Yes. You can have the free audit" in owner.words()
    before = len(letters(stage.mail, OWNER))
    owner.press("Send me the code")
    owner.fill(code=stage.code_for(OWNER, after=before))
    owner.press("Continue")
    assert owner.path.endswith("/pick/")
    owner.page.locator('input[name="starts_at"]').first.check(force=True)
    owner.press("Book this time")
    assert "booked" in owner.words()
    owner.go("/home/")


def visit(auditor: Visitor, casefile: Casefile) -> FieldRecord:
    """The field sheet, filled from a file, one value read again, completed."""
    assert auditor.path == "/today/"
    auditor.press("Begin the field sheet")
    auditor.follow("Upload a file")
    auditor.page.set_input_files("#id_file", str(intake.RANCH))
    auditor.press("Read the file")
    assert "Nothing was skipped" in auditor.words()
    auditor.follow("See the field sheet")
    record = FieldRecord.objects.get(casefile=casefile)
    auditor.go(f"/record/{record.pk}/air_leakage/")
    fix_one_value(auditor, record)
    auditor.go(f"/record/{record.pk}/complete/")
    for box in auditor.page.locator('input[name^="why:"]').all():
        box.fill("The camera stayed in the van.")
    auditor.press("Complete the record")
    record.refresh_from_db()
    assert record.state == "complete", auditor.words()
    return record


def fix_one_value(auditor: Visitor, record: FieldRecord) -> None:
    """The heated floor area is read from the tape again."""
    auditor.go(f"/record/{record.pk}/dwelling/")
    box = auditor.page.locator('input.sheet-box__number[name="floor_area"]')
    before = box.input_value()
    box.fill(str(float(before.replace(",", "")) + 4))
    auditor.press("Save")
    entries = record.entries.filter(field="dwelling.floor_area").order_by("pk")
    assert entries.count() == 2, auditor.words()
    assert float(entries.last().typed) == float(before.replace(",", "")) + 4


def watch_the_run(auditor: Visitor, casefile: Casefile) -> ModelRun:
    """The progress page is true, survives a reload and ends by itself in figures."""
    ready_by = time.monotonic() + 20
    while (run := casefile.model_runs.first()) is None:
        assert time.monotonic() < ready_by, "no run was queued"
        auditor.page.wait_for_timeout(100)
    auditor.go(f"/run/{run.pk}/")
    auditor.page.reload()
    auditor.wait_for(
        lambda: "The house is worked out" in auditor.words(),
        "the house was worked out",
        seconds=MODEL_PATIENCE_S,
    )
    auditor.look()
    run.refresh_from_db()
    assert run.state == "done"
    return run


def read_report(owner: Visitor, stage: Stage, casefile: Casefile) -> None:
    """The letter, its link, the page and the PDF."""

    def announced() -> str:
        found = [text for _subject, text in letters(stage.mail, OWNER) if "/report/" in text]
        return found[-1] if found else ""

    owner.wait_for(lambda: bool(announced()), "the report was announced", seconds=60)
    link = re.search(r"http\S+/report/\S+", announced())
    assert link is not None
    assert link.group().startswith(stage.site)
    owner.go(link.group())
    assert "14 Larch St" in owner.words()
    pdf = owner.context.request.get(f"{stage.site}/report/{casefile.number}.pdf")
    assert pdf.headers["content-type"] == "application/pdf"
    assert pdf.body()[:5] == b"%PDF-"
    derivation = owner.page.locator("a[href*='/made-of/']").first
    owner.go(derivation.get_attribute("href") or "")


def plan_and_send(owner: Visitor, casefile: Casefile) -> SubsidyRequest:
    """Choices, the list's prices, consent."""
    owner.go(f"/plan/{casefile.number}/")
    owner.page.locator('.three input[value="later"]').last.check(force=True)
    owner.press("Keep these choices")
    owner.wait_for(
        lambda: owner.page.get_by_role("link", name="Go on to the quote").count() == 1,
        "the choices were worked out",
        seconds=MODEL_PATIENCE_S,
    )
    owner.look()
    owner.follow("Go on to the quote")
    owner.press("Use the price list")
    owner.page.locator('input[name="consent"]').check(force=True)
    owner.press("Send the request")
    request = SubsidyRequest.objects.get(casefile=casefile)
    assert request.state == "sent"
    assert owner.path == f"/plan/requests/{request.number}/"
    return request


def decide(admin: Visitor, request: SubsidyRequest, ready: Program) -> None:
    """The Desk reserves and gives the work to the firm."""
    assert admin.path == "/desk/"
    admin.go(f"/desk/{request.number}/")
    admin.choose("verb", "reserved")
    admin.page.locator('[name="firm"]').select_option(str(ready.firm.pk))
    admin.press("Decide")
    request.refresh_from_db()
    assert request.state == "reserved", admin.words()
    held = sum(fund.committed_usd for fund in Fund.objects.all())
    assert held == request.amount_usd > 0
    for path in (
        "/casefiles/",
        "/funds/",
        "/rulebook/",
        "/office/",
        "/office/weather/",
        "/office/values/",
        "/office/values/spillage.warm_vent/",
        f"/case/{request.casefile.number}/",
    ):
        admin.go(path)
    admin.go(f"/funds/{Fund.objects.filter(committed_usd__gt=0).first().code}/")


def work(crew: Visitor, casefile: Casefile, photo: Path) -> Claim:
    """The job is taken, each line proved and done, the claim sent."""
    crew.wait_for(
        lambda: WorkScope.objects.filter(casefile=casefile, state="issued").exists(),
        "the scope was issued",
        seconds=60,
    )
    scope = WorkScope.objects.get(casefile=casefile)
    crew.go("/scopes/")
    crew.go(f"/scope/{scope.number}/")
    crew.press("Take the job")
    for line in scope.lines.order_by("order"):
        crew.go(f"/scope/{scope.number}/lines/{line.pk}/")
        crew.page.set_input_files('[name="photo"]', str(photo))
        crew.choose("moment", "after")
        crew.press("Add the photo")
        crew.press("Mark this line done")
    scope.refresh_from_db()
    assert scope.state == "done", crew.words()
    crew.follow("Send the claim")
    crew.fill(invoice_number="1041", invoice_usd="4210.00")
    crew.press("Send the claim")
    return Claim.objects.get(scope=scope)


def test_four_people_walk_one_home_from_request_to_claim(stage: Stage, tmp_path: Path) -> None:
    stage.set_clock(ASKED_AT)
    ready = run_program()
    photo = tmp_path / "after.jpg"
    photo.write_bytes(homes.photo().getvalue())

    with stage.rig.worker():
        owner = stage.visitor()
        ask(owner, stage)
    appointment = Appointment.objects.select_related("casefile").get()
    casefile = appointment.casefile
    assert enrollment_selectors.members_of(casefile).get().email == OWNER
    assert appointment.state == AppointmentState.BOOKED

    stage.set_clock(appointment.starts_at)
    with stage.rig.worker():
        auditor = stage.sign_in(AUDITOR)
        visit(auditor, casefile)
        watch_the_run(auditor, casefile)
        read_report(owner, stage, casefile)
        request = plan_and_send(owner, casefile)
        admin = stage.sign_in(ready.admin.email)
        decide(admin, request, ready)
        crew = stage.sign_in(ready.contractor.email)
        claim = work(crew, casefile, photo)
        admin.wait_for(
            lambda: CasePosition.objects.filter(
                casefile=casefile, next_action="check_claim"
            ).exists(),
            "the Desk was told of the claim",
            seconds=30,
        )
        admin.go(f"/desk/claims/{claim.number}/")
        owner.go("/home/")
        auditor.go("/today/")
        auditor.go("/run/formulas/leakage_area/?coefficient_m3_per_s_pa_n=100&exponent=1.4")

    position = CasePosition.objects.get(casefile=casefile)
    assert (position.stage, position.next_action) == ("payment", "check_claim")
    assert portal_settings.DEBUG is False
    assert not stage.faults(), "\n".join(dict.fromkeys(stage.faults()))
    assert sum(len(set(person.looked_at)) for person in stage.people) > 40
