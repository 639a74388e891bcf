"""What happens to a home, step by step, each through the service a person's page would call."""

import io
from collections.abc import Callable
from decimal import Decimal
from typing import Any

from allauth.account.models import EmailAddress

from portal.accounts.models import Firm, User
from portal.core import clock, jobs
from portal.core.actors import PublicActor
from portal.core.models import Job
from portal.core.models.jobs import JobState
from portal.core.money import to_cents
from portal.enrollment import answers as questions
from portal.enrollment import services as enrollment
from portal.enrollment.models import AuditRequest, Casefile
from portal.enrollment.selectors import members_of, zip_area
from portal.intake import selectors as intake
from portal.intake import services as recording
from portal.intake.document import Reader
from portal.intake.left import missing_photos
from portal.intake.models import FieldRecord
from portal.intake.values import Raw
from portal.modeling import selectors as modeling
from portal.modeling.services import RUN_JOB
from portal.modeling.usage import readings_load
from portal.places.demo import bills, houses
from portal.places.demo.content import Home, Step, instant
from portal.places.demo.pictures import picture
from portal.places.demo.program import OFFICE, lead
from portal.rebates.consent import consent_text
from portal.rebates.models import Plan, SubsidyRequest
from portal.rebates.services import plans, quotes, requests
from portal.rebates.states import SubsidyState
from portal.scheduling import services as scheduling
from portal.scheduling.models import Appointment
from portal.works.models import ScopeLine, WorkScope
from portal.works.services import claims, scopes
from portal.works.states import ClaimState, LineState

APPLICANT = PublicActor()
CITY_OUTSIDE = "Ferry Landing"
ODD_VALUE = "Seen and read twice at the visit."
PHOTOS_LATER = "Photos are on the auditor's camera and follow by mail."


class Walk:
    """One home's way so far: its request, and by it its casefile."""

    def __init__(self, home: Home) -> None:
        self.home = home
        self.request_id: int | None = None

    # -- Finding the records -----------------------------------------------------------------

    @property
    def request(self) -> AuditRequest:
        if self.request_id is None:
            raise LookupError(f"nobody has asked for {self.home.key} yet")
        return AuditRequest.objects.get(pk=self.request_id)

    @property
    def casefile(self) -> Casefile:
        casefile = self.request.casefile
        if casefile is None:
            raise LookupError(f"{self.home.key} has no casefile yet")
        return casefile

    @property
    def homeowner(self) -> User:
        # Read anew for each step: a person remembers the roles of the day they were read.
        person = members_of(self.casefile).first()
        if person is None:
            raise LookupError(f"nobody signs in for {self.home.key}")
        return person

    @property
    def visit(self) -> Appointment:
        return self.casefile.appointments.order_by("-pk").select_related("auditor__user")[0]

    @property
    def record(self) -> FieldRecord:
        return self.casefile.field_records.order_by("-pk")[0]

    @property
    def plan(self) -> Plan:
        return Plan.objects.select_related("run", "own_run").get(casefile=self.casefile)

    @property
    def subsidy_request(self) -> SubsidyRequest:
        return self.casefile.subsidy_requests.order_by("-pk")[0]

    @property
    def scope(self) -> WorkScope:
        return self.casefile.work_scopes.order_by("-pk").select_related("award__firm")[0]

    @property
    def crew(self) -> User:
        """Somebody of the firm the work was given to."""
        return User.objects.filter(grants__firm=self.scope.award.firm).order_by("pk")[0]

    # -- Asking and booking ------------------------------------------------------------------

    def ask(self, *, questions: int = 6) -> str:
        request = enrollment.request_begin(actor=APPLICANT)
        self.request_id = request.pk
        for question, answer in list(self._answers().items())[:questions]:
            enrollment.request_answer(
                key=request.key, question=question, answer=answer, actor=APPLICANT
            )
        if questions < len(self._answers()):
            return f"answered {questions} of 6 questions"
        request = enrollment.request_screen(key=request.key, actor=APPLICANT)
        return f"asked for an audit: {request.get_state_display()}"

    def _answers(self) -> dict[str, dict[str, Any]]:
        data = self.home.data
        area_city = city_of(data["address"]["zip"])
        given = {
            "address": {**data["address"], "city": area_city},
            "account": {"number": data["account"]},
            "contact": data["person"],
            "tenure": {"tenure": data["tenure"]},
            "home": data["home"],
            "bothers": data["bothers"],
        }
        return {question: given[question] for question in questions.QUESTIONS}

    def sign_in(self) -> str:
        person = enrollment.applicant_remember(key=self.request.key, actor=APPLICANT)
        # The code from the letter, typed back.
        address = EmailAddress.objects.get(user=person, primary=True)
        address.set_verified(commit=True)
        casefile = enrollment.casefiles_claim(user=person)[0]
        account = casefile.participation.account
        readings = bills.readings(self.home, until=clock.today())
        readings_load(account=account, readings=readings, actor=OFFICE)
        return f"signed in; casefile {casefile.number}"

    def income(self, *, annual_usd: str, size: int) -> str:
        enrollment.income_declare(
            casefile=self.casefile,
            annual_usd=Decimal(annual_usd),
            household_size=size,
            actor=OFFICE,
            is_verified=True,
        )
        return "declared income; papers seen"

    def book(self, **options: str) -> str:
        booked = scheduling.appointment_book(
            casefile=self.casefile, starts_at=instant(options["for"]), actor=self.homeowner
        )
        return f"booked {booked.auditor} for {options['for']}"

    # -- The visit ---------------------------------------------------------------------------

    def begin_visit(self) -> str:
        visit = self.visit
        recording.record_open(appointment_id=visit.pk, actor=visit.auditor.user)
        return "visit begun"

    def record_whole(self, *, house: str, photos: bool = False) -> str:
        record, auditor = self.record, self.visit.auditor.user
        upload = recording.record_upload(
            record_id=record.pk,
            upload=io.BytesIO(houses.record_file(house)),
            name=f"{house}.json",
            actor=auditor,
        )
        if photos:
            self._take_photos(record, auditor)
        odd = recording.completion_findings(record)
        reasons = {
            finding.key: PHOTOS_LATER if finding.key == "photos" else ODD_VALUE
            for finding in odd
            if not finding.is_hard
        }
        recording.record_complete(record_id=record.pk, actor=auditor, confirmed=reasons)
        return f"field record complete, read from {upload.file.original_name}"

    def _take_photos(self, record: FieldRecord, auditor: User) -> None:
        reader = Reader(intake.record_document(record))
        for missing in missing_photos(reader, intake.photo_tags(record)):
            recording.photo_add(
                record_id=record.pk,
                upload=picture(str(missing), below=self.home.where),
                name=f"{missing.tag}.jpg",
                actor=auditor,
                tag=missing.tag,
                caption=str(missing)[:160],
                item_key=missing.item,
            )

    def half_record(self, *, house: str, sections: list[str]) -> str:
        record, auditor = self.record, self.visit.auditor.user
        known = houses.record_of(house)["house"]
        for section in sections:
            recording.section_save(
                record_id=record.pk,
                section=section,
                values_given={key: raw(entry) for key, entry in known[section].items()},
                actor=auditor,
            )
        return f"field sheet: {len(sections)} sections filled in"

    def correct(
        self, *, section: str, group: str, item: str, fields: dict[str, Any], why: str, confirm: str
    ) -> str:
        record = self.record
        found = record.items.get(group=group, name=item, removed_at__isnull=True)
        recording.section_save(
            record_id=record.pk,
            section=section,
            item_key=str(found.key),
            values_given={key: raw(entry, confirm) for key, entry in fields.items()},
            actor=self.visit.auditor.user,
            why_changed=why,
        )
        return f"record corrected: {why}"

    # -- Plan, quote, request ----------------------------------------------------------------

    def open_plan(self) -> str:
        plan = plans.plan_open(casefile=self.casefile, actor=self.homeowner)
        plans.plan_choose(plan_id=plan.pk, answers={}, actor=self.homeowner)
        return f"plan begun with {len(plans.chosen_measures(plan))} measures"

    def choose(self, *, yes: list[str] | None = None, later: list[str] | None = None) -> str:
        """Answers by kind of measure; with ``yes`` every other kind waits."""
        answers = {}
        for item in plans.measures_offered_in(self.plan):
            if yes is not None:
                answers[item.id] = "yes" if item.kind in yes else "later"
            elif item.kind in (later or ()):
                answers[item.id] = "later"
        plan = plans.plan_choose(plan_id=self.plan.pk, answers=answers, actor=self.homeowner)
        return f"plan changed: {len(plans.chosen_measures(plan))} measures chosen"

    def quote(self, *, firm: str = "", times: float = 1.0) -> str:
        plan = self.plan
        if not firm:
            quote = quotes.quote_from_price_list(plan_id=plan.pk, actor=self.homeowner)
        else:
            list_quote = quotes.quote_from_price_list(plan_id=plan.pk, actor=self.homeowner)
            amounts = {
                line.measure: to_cents(line.amount_usd * Decimal(str(times)))
                for line in list_quote.lines.all()
            }
            quote = quotes.quote_from_firm(
                plan_id=plan.pk,
                firm=Firm.objects.get(name=firm),
                amounts=amounts,
                quoted_on=list_quote.quoted_on,
                actor=self.homeowner,
            )
        total = sum((line.amount_usd for line in quote.lines.all()), Decimal(0))
        return f"quote of ${total:,.2f} attached ({firm or 'price list'})"

    def send(self) -> str:
        request = requests.request_send(
            plan_id=self.plan.pk, consent_text=consent_text(), actor=self.homeowner
        )
        ruling = requests.stored_ruling(request)
        return f"{request.number} sent: ruling {ruling.outcome}, ${ruling.total_usd:,.2f}"

    # -- The Desk ----------------------------------------------------------------------------

    def reserve(self, *, firm: str, note: str) -> str:
        request = requests.request_reserve(
            request_id=self.subsidy_request.pk,
            firm=Firm.objects.get(name=firm),
            note=note,
            actor=lead(),
        )
        return f"${request.amount_usd:,.2f} reserved; work to {firm}"

    def decide(self, target: SubsidyState, note: str) -> str:
        request = requests.request_decide(
            request_id=self.subsidy_request.pk, target=target, note=note, actor=lead()
        )
        return f"{request.number}: {request.get_state_display()}"

    # -- The work ----------------------------------------------------------------------------

    def take(self) -> str:
        scope = scopes.scope_accept(scope_id=self.scope.pk, actor=self.crew)
        return f"{scope.number} taken by {scope.award.firm}"

    def lines_done(self, *, count: int | None = None) -> str:
        """Mark lines done in order, all but the ones past ``count``, with pictures of each."""
        open_lines = self.scope.lines.filter(state=LineState.TO_DO).order_by("order")
        for line in list(open_lines)[:count]:
            for moment in ("before", "after"):
                self._prove(line, moment)
            scopes.line_mark_done(line_id=line.pk, actor=self.crew)
        scope = self.scope
        done = scope.lines.filter(state=LineState.DONE).count()
        return f"{scope.number}: {done} of {scope.lines.count()} lines done"

    def _prove(self, line: ScopeLine, moment: str) -> None:
        scopes.proof_add(
            line_id=line.pk,
            moment=moment,
            upload=picture(f"{line.number} {line.title}, {moment}", below=self.home.where),
            upload_name=f"{line.number}-{moment}.jpg",
            actor=self.crew,
            caption=f"{line.title}, {moment}",
        )

    def claim(self, *, invoice: str) -> str:
        scope = self.scope
        total = sum((line.price_usd for line in scope.lines.all()), Decimal(0))
        claim = claims.claim_send(
            scope_id=scope.pk, invoice_number=invoice, invoice_usd=total, actor=self.crew
        )
        return f"{claim.number} sent: invoice of ${claim.invoice_usd:,.2f}"

    def claim_return(self, *, note: str) -> str:
        claim = self.scope.claims.order_by("-pk")[0]
        claims.claim_decide(claim_id=claim.pk, target=ClaimState.RETURNED, note=note, actor=lead())
        return f"{claim.number} returned with the shortfall"


def city_of(zip_code: str) -> str:
    """The town of a ZIP code; a made-up one outside the territory."""
    area = zip_area(zip_code)
    return area.city if area else CITY_OUTSIDE


def raw(entry: Any, confirmed: str = "") -> Raw:
    """A value of a record file as somebody would type it."""
    spelled = houses.spelled(entry)
    if not isinstance(spelled, dict):
        return Raw(typed=spelled)
    return Raw(
        typed=spelled.get("typed", spelled.get("value", "")),
        unit=spelled.get("unit", ""),
        how=spelled.get("how", ""),
        confirmed=confirmed,
    )


DECISIONS = {
    "return": SubsidyState.RETURNED,
    "defer": SubsidyState.DEFERRED,
    "refuse": SubsidyState.REFUSED,
    "refer": SubsidyState.REFERRED,
}
METHODS: dict[str, Callable[..., str]] = {
    "ask": Walk.ask,
    "sign_in": Walk.sign_in,
    "income": Walk.income,
    "book": Walk.book,
    "begin_visit": Walk.begin_visit,
    "record": Walk.record_whole,
    "half_record": Walk.half_record,
    "correct": Walk.correct,
    "plan": Walk.open_plan,
    "choose": Walk.choose,
    "quote": Walk.quote,
    "send": Walk.send,
    "reserve": Walk.reserve,
    "take": Walk.take,
    "lines_done": Walk.lines_done,
    "claim": Walk.claim,
    "claim_return": Walk.claim_return,
}


def carry_out(walk: Walk, step: Step) -> str:
    """Take one step and let the portal act on the news; what happened, in a line.

    A step with ``keep_queued`` leaves the model run for the worker that starts with the demo.
    """
    args = dict(step.args)
    keeps_queued = args.pop("keep_queued", False)
    if step.verb in DECISIONS:
        said = walk.decide(DECISIONS[step.verb], args["note"])
    else:
        said = METHODS[step.verb](walk, **args)
    kept = (RUN_JOB,) if keeps_queued else ()
    jobs.drain(without=kept)
    _require_done(kept)
    return said + _figures(walk, step)


def _require_done(kept: tuple[str, ...]) -> None:
    """A job that failed is not left to a worker that would fail again.

    Raises
    ------
    RuntimeError
        With the place where the first one failed.
    """
    left = Job.objects.exclude(state=JobState.DONE).exclude(kind__in=kept)
    failed = left.exclude(error="").order_by("pk").first()
    if failed is not None:
        raise RuntimeError(f"job {failed.kind} failed: {failed.error}")


def _figures(walk: Walk, step: Step) -> str:
    if step.verb != "record":
        return ""
    run = modeling.latest_done_run(walk.casefile)
    if run is None:
        return "; model run queued"
    saving = modeling.analysis_of(run).package.saving
    return f"; package saves ${saving.cost_usd:,.0f} a year"
