"""The whole chain on one new field record and on one HPXML file, told with figures."""

import io
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from django.conf import settings

from portal.core import clock, jobs
from portal.core.models import StoredFile
from portal.core.money import usd
from portal.core.units import convert
from portal.enrollment.models import Casefile
from portal.enrollment.services import account_enter
from portal.intake import selectors as intake
from portal.intake import services as recording
from portal.intake.document import Reader
from portal.intake.left import missing
from portal.intake.models import FieldRecord
from portal.intake.values import Raw
from portal.modeling import selectors as modeling
from portal.places.demo import content, houses, program
from portal.places.demo.content import Home, Step
from portal.places.demo.journey import ODD_VALUE, PHOTOS_LATER, Walk, carry_out, raw
from portal.rebates import selectors as rebates
from portal.rebates.services import requests

Tell = Callable[[str], None]
FIRM = "Plumb Acre Home Works"
NOT_IN_FILE = "Not in the imported file"
SLOTS = ("08:00", "13:00")


@dataclass(frozen=True)
class Chain:
    """One home of the chain: where it stands, what its record is read from, and its days."""

    title: str
    file: Path
    street: str
    zip_code: str
    person: str
    year_built: int
    asked_on: str
    visit_on: str
    decided_on: str


def chains() -> tuple[Chain, Chain]:
    """The two homes."""
    fixtures = settings.ROOT / "fixtures"
    return (
        Chain(
            "A field record file (JSON): 1958 ranch over a vented crawlspace",
            fixtures / "records" / "ranch-1958.json",
            "Trial Court", "00305", "Robin Farthing", 1958,
            "2026-09-28", "2026-10-05", "2026-10-09",
        ),
        Chain(
            "An HPXML file: 1988 two-story",
            fixtures / "hpxml" / "two-story-1988.xml",
            "Trial Lane", "00127", "Sidney Overlake", 1988,
            "2026-09-28", "2026-10-06", "2026-10-12",
        ),
    )  # fmt: skip


def run_once(tell: Tell) -> list[Path]:
    """Take both homes from the request to the issued scope; the papers made on the way."""
    papers: list[Path] = []
    number = 101 + Casefile.objects.count()
    for offset, chain in enumerate(chains()):
        tell("")
        tell(chain.title)
        papers += _run(chain, number + offset, tell)
    return papers


def _run(chain: Chain, number: int, tell: Tell) -> list[Path]:
    home = _home(chain, number)
    walk = Walk(home)
    with clock.at(content.instant(f"{chain.asked_on} 09:00")):
        account_enter(
            number=home.data["account"],
            street=home.where,
            zip_code=chain.zip_code,
            holder_name=chain.person,
            rate_code="R1",
            has_electricity=True,
            has_gas=True,
            opened_on=date(2019, 5, 1),
            actor=program.OFFICE,
        )
    _step(walk, f"{chain.asked_on} 09:10", "ask", tell)
    _step(walk, f"{chain.asked_on} 09:20", "sign_in", tell)
    _step(walk, f"{chain.asked_on} 09:25", "book", tell, **{"for": f"{chain.visit_on} 09:00"})
    _step(walk, f"{chain.visit_on} 09:05", "begin_visit", tell)
    with clock.at(content.instant(f"{chain.visit_on} 12:00")):
        tell(f"  {_record(walk, chain)}")
        jobs.drain()
    _tell_house(walk, tell)
    with clock.at(content.instant(f"{chain.visit_on} 20:00")):
        tell(f"  {walk.open_plan()}")
        jobs.drain()
    _step(walk, f"{chain.decided_on} 08:00", "quote", tell, firm=FIRM)
    _step(walk, f"{chain.decided_on} 08:10", "send", tell)
    ruling = requests.stored_ruling(walk.subsidy_request)
    if ruling.is_yes and ruling.total_usd > 0:
        _step(walk, f"{chain.decided_on} 14:00", "reserve", tell, firm=FIRM, note="")
        scope = walk.scope
        tell(f"  {scope.number}: {scope.get_state_display()}, {scope.lines.count()} lines")
    for touched in rebates.funds_touched(walk.subsidy_request, ruling):
        tell(f"  {touched['fund']}: {usd(touched['left_usd'])} left")
    return list(_papers(walk, tell))


def _home(chain: Chain, number: int) -> Home:
    email = f"{chain.person.split()[0].lower()}.{number}@mail.example"
    return Home(
        key=f"trial-{number}",
        stage="",
        data={
            "person": {"name": chain.person, "email": email, "phone": "", "language": "en"},
            "address": {"street": f"{number} {chain.street}", "unit": "", "zip": chain.zip_code},
            "account": f"49{number:08d}",
            "home": {"kind": "detached", "year_built": chain.year_built, "units": None},
            "tenure": "owner",
            "bothers": {"chosen": ["drafts", "bills"], "words": ""},
            "bills": {},
            "steps": [],
        },
    )


def _step(walk: Walk, at: str, verb: str, tell: Tell, **args: Any) -> None:
    step = Step(content.instant(at), walk.home, verb, args)
    with clock.at(step.at):
        tell(f"  {carry_out(walk, step)}")


def _record(walk: Walk, chain: Chain) -> str:
    """Upload the file and complete the record; what the file cannot hold is typed in."""
    record, auditor = walk.record, walk.visit.auditor.user
    upload = recording.record_upload(
        record_id=record.pk,
        upload=io.BytesIO(chain.file.read_bytes()),
        name=chain.file.name,
        actor=auditor,
    )
    words = f"{chain.file.name} read as {upload.kind}"
    if upload.kind == "hpxml":
        typed = _type_the_rest(walk)
        marked = recording.rest_mark_unknown(record_id=record.pk, reason=NOT_IN_FILE, actor=auditor)
        words += f"; {typed} answers typed in, {marked} marked not known"
    reasons = {
        finding.key: PHOTOS_LATER if finding.key == "photos" else ODD_VALUE
        for finding in recording.completion_findings(record)
        if not finding.is_hard
    }
    recording.record_complete(record_id=record.pk, actor=auditor, confirmed=reasons)
    hazards = intake.open_hazards(walk.record)
    return f"{words}; record complete, {len(hazards)} hazards found"


def _type_the_rest(walk: Walk) -> int:
    """What an auditor answers at the house because no HPXML file holds it: consent, safety."""
    record, auditor = walk.record, walk.visit.auditor.user
    typical = houses.record_of("two-story-1988")
    typed = _type_hatch(walk, typical["items"]["attic_accesses"][0])
    groups = set(record.items.filter(removed_at__isnull=True).values_list("group", flat=True))
    # An answer can make another question apply, so what is left is asked for again.
    while answers := _answers(record, typical["house"], groups):
        for section, given in answers.items():
            recording.section_save(
                record_id=record.pk, section=section, values_given=given, actor=auditor
            )
            typed += len(given)
    return typed


def _answers(
    record: FieldRecord, typical: dict[str, Any], groups: set[str]
) -> dict[str, dict[str, Raw]]:
    """Answers by section: presence as the file has it, everything else typical."""
    answers: dict[str, dict[str, Raw]] = {}
    for entry in missing(Reader(intake.record_document(record))):
        if entry.item or not entry.field:
            continue
        if entry.field.endswith("_present"):
            given: Any = entry.field.removesuffix("_present") in groups
        else:
            given = typical.get(entry.section, {}).get(entry.field)
        if given is not None:
            answers.setdefault(entry.section, {})[entry.field] = raw(given)
    return answers


def _type_hatch(walk: Walk, typical: dict[str, Any]) -> int:
    record, auditor = walk.record, walk.visit.auditor.user
    attic = record.items.filter(group="attics", removed_at__isnull=True).first()
    if attic is None or record.items.filter(group="attic_accesses").exists():
        return 0
    hatch = recording.item_add(
        record_id=record.pk, group="attic_accesses", name=typical["name"], actor=auditor
    )
    fields = {key: raw(value) for key, value in typical["fields"].items()}
    recording.section_save(
        record_id=record.pk,
        section="attic",
        item_key=str(hatch.key),
        values_given={**fields, "attic": raw(str(attic.key))},
        actor=auditor,
    )
    return len(fields)


def _tell_house(walk: Walk, tell: Tell) -> None:
    run = modeling.latest_done_run(walk.casefile)
    if run is None:
        latest = modeling.latest_run(walk.casefile)
        raise RuntimeError(f"the model run did not finish: {latest.error if latest else 'none'}")
    analysis = modeling.analysis_of(run)
    before, saving = analysis.baseline, analysis.package.saving
    gas, power = (before.use_j("heating", fuel) for fuel in ("natural_gas", "electricity"))
    tell(
        f"  House modeled hour by hour: heating {convert(gas, 'J', 'therms'):,.0f} therms and "
        f"{convert(power, 'J', 'kWh'):,.0f} kWh, all energy ${before.cost_usd:,.0f} a year"
    )
    tell(
        f"  {len(analysis.package.measure_ids)} measures advised together save "
        f"${saving.cost_low_usd:,.0f} to ${saving.cost_high_usd:,.0f} a year, most likely "
        f"${saving.cost_usd:,.0f}"
    )


def _papers(walk: Walk, tell: Tell) -> Iterable[Path]:
    """Copies of the finished PDFs under names a person finds again."""
    folder = Path(settings.VAR_DIR) / "once"
    folder.mkdir(parents=True, exist_ok=True)
    for report in walk.casefile.reports.order_by("pk"):
        if report.file is None:
            tell(f"  {report.get_kind_display()}: {report.get_state_display()}")
            continue
        target = folder / f"{walk.casefile.number}-{report.kind}.pdf"
        target.write_bytes(_content(report.file))
        tell(f"  {str(report.get_kind_display()).capitalize()}: {target}")
        yield target


def _content(file: StoredFile) -> bytes:
    with file.content.open("rb") as stored:
        found: bytes = stored.read()
    return found
