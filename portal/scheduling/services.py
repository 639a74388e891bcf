"""Booking, moving, cancelling and carrying out visits; auditors' working time.

Locks are taken in one order: casefile, visit, auditors by primary key.
"""

from collections.abc import Iterable
from datetime import date, datetime, time, timedelta

from django.conf import settings
from django.db import IntegrityError, transaction
from django.urls import reverse
from django.utils.translation import gettext as _

from portal.accounts.models import User
from portal.core import clock, letters, outbox, trail
from portal.core.actors import Actor
from portal.core.errors import DomainError, MoveRefused, SlotTaken, ValuesRefused
from portal.core.states import move
from portal.core.templatetags.words import moment
from portal.enrollment.models import Casefile, County
from portal.enrollment.selectors import contact_for
from portal.enrollment.services import program_phone
from portal.enrollment.states import CasefileState
from portal.scheduling import policies, selectors, slots, visits
from portal.scheduling.models import Appointment, AuditorProfile, TimeOff, WorkingHours
from portal.scheduling.states import APPOINTMENT_MOVES, LIVE, AppointmentState

# An auditor waits this long at the door before a visit counts as missed. [program's choice]
WAIT_AT_THE_DOOR = timedelta(minutes=15)


class NoticeTooShort(DomainError):
    """Less than a day before the visit, a telephone call is the way."""

    default_code = "notice_too_short"


# -- Booking -----------------------------------------------------------------------------


@transaction.atomic
def appointment_book(
    *, casefile: Casefile, starts_at: datetime, actor: Actor, access_note: str = ""
) -> Appointment:
    """Book the visit of a home at one of its free times.

    Raises
    ------
    SlotTaken
        Nobody is free then any more, or the time cannot be booked at all.
    MoveRefused
        A visit is booked already, the visit has taken place, or the casefile is closed.
    """
    policies.require_booking(actor, casefile)
    locked = _locked_casefile(casefile)
    if locked.state != CasefileState.OPEN:
        raise MoveRefused(_("This casefile is closed; no visit can be booked."))
    if locked.appointments.filter(state__in=LIVE).exists():
        raise MoveRefused(
            _("A visit is booked already. You can move it to another time."), code="booked_already"
        )
    if selectors.has_been_visited(locked) and not policies.is_office(actor):
        raise MoveRefused(
            _("The visit has taken place. For another one, call %(phone)s.")
            % {"phone": program_phone()},
            code="visited_already",
        )
    auditor, span = _take(locked, starts_at)
    try:
        with transaction.atomic():
            appointment = Appointment.objects.create(
                casefile=locked,
                auditor=auditor,
                starts_at=span.starts_at,
                ends_at=span.ends_at,
                access_note=_note(access_note),
                booked_at=clock.now(),
            )
    except IntegrityError:
        # Whatever slipped past the locks is stopped by the constraints.
        raise _taken() from None
    trail.write(appointment, actor=actor, verb="booked", target=AppointmentState.BOOKED)
    outbox.put(
        "appointment.booked",
        key=f"appointment.booked:{appointment.pk}",
        appointment_id=appointment.pk,
    )
    _write_home(appointment, "visit_booked")
    return appointment


@transaction.atomic
def appointment_move(
    *, appointment_id: int, starts_at: datetime, actor: Actor, why: str = ""
) -> Appointment:
    """Give a booked visit another time; it keeps its identity, so calendars update it.

    Raises
    ------
    SlotTaken
        Nobody is free then any more; the visit stays where it was.
    NoticeTooShort
        Less than 24 hours before; only the program office can still change it.
    MoveRefused
        The visit is no longer booked.
    """
    appointment = _locked_with_casefile(appointment_id)
    policies.require_booking(actor, appointment.casefile)
    if appointment.state != AppointmentState.BOOKED:
        raise MoveRefused(_("Only a booked visit can be moved."))
    _require_notice(appointment, actor)
    auditor, span = _take(appointment.casefile, starts_at, without=appointment)
    before = appointment.starts_at
    if span.starts_at == before:
        return appointment
    appointment.auditor = auditor
    appointment.starts_at, appointment.ends_at = span.starts_at, span.ends_at
    appointment.sequence += 1
    try:
        with transaction.atomic():
            appointment.save(update_fields=["auditor", "starts_at", "ends_at", "sequence"])
    except IntegrityError:
        raise _taken() from None
    trail.write(
        appointment,
        actor=actor,
        verb="moved",
        source=moment(before),
        target=moment(span.starts_at),
        why=why,
    )
    outbox.put(
        "appointment.moved",
        key=f"appointment.moved:{appointment.pk}:{appointment.sequence}",
        appointment_id=appointment.pk,
    )
    _write_home(appointment, "visit_moved")
    return appointment


@transaction.atomic
def appointment_cancel(*, appointment_id: int, actor: Actor, why: str = "") -> Appointment:
    """Call a visit off. The household can until 24 hours before; the office at any time.

    Raises
    ------
    NoticeTooShort, MoveRefused, NotAllowed
    """
    appointment = _locked_with_casefile(appointment_id)
    if appointment.state == AppointmentState.UNDER_WAY:
        policies.require_visiting(actor, appointment)
    else:
        policies.require_booking(actor, appointment.casefile)
        _require_notice(appointment, actor)
    move(appointment, AppointmentState.CANCELLED, moves=APPOINTMENT_MOVES, actor=actor, why=why)
    outbox.put(
        "appointment.cancelled",
        key=f"appointment.cancelled:{appointment.pk}",
        appointment_id=appointment.pk,
    )
    _write_home(appointment, "visit_cancelled")
    return appointment


def can_change_online(appointment: Appointment) -> bool:
    """Whether the household may still move or cancel the visit itself."""
    return (
        appointment.state == AppointmentState.BOOKED
        and appointment.starts_at - clock.now() >= visits.CHANGE_NOTICE
    )


def _require_notice(appointment: Appointment, actor: Actor) -> None:
    if policies.is_office(actor) or appointment.state != AppointmentState.BOOKED:
        return
    if not can_change_online(appointment):
        raise NoticeTooShort(
            _("The visit is less than 24 hours away. Call %(phone)s to change it.")
            % {"phone": program_phone()}
        )


def _take(
    casefile: Casefile, starts_at: datetime, *, without: Appointment | None = None
) -> tuple[AuditorProfile, slots.Span]:
    """Lock the auditors of the county and find one who is free; looked up under the lock."""
    building = casefile.participation.dwelling.building
    span = slots.Span(starts_at, starts_at + visits.visit_length(building))
    day = clock.program_date(starts_at)
    first, last = visits.bookable_days()
    is_on_grid = starts_at == slots.on_grid(
        starts_at, grid_minutes=visits.GRID_MINUTES, zone=selectors.ZONE
    )
    if not first <= day <= last or not is_on_grid:
        raise SlotTaken(
            _("That time cannot be booked. Choose one of the times listed."),
            code="slot_not_offered",
        )
    ids = list(selectors.auditors_in(building.county_id, on=day).values_list("pk", flat=True))
    locked = AuditorProfile.objects.select_for_update(of=("self",)).filter(pk__in=ids)
    list(locked.order_by("pk"))
    books = selectors.diaries(
        AuditorProfile.objects.filter(pk__in=ids).select_related("user").order_by("pk"),
        first=day,
        last=day,
        without=without,
    )
    free = [book for book in books if book.is_free(span)]
    if not free:
        raise _taken()
    # The one who is there already keeps the visit; else whoever has least to do that day.
    keeps = without.auditor_id if without is not None else None
    best = min(
        free,
        key=lambda book: (book.auditor.pk != keeps, book.visits_on(day), book.auditor.pk),
    )
    return best.auditor, span


def _taken() -> SlotTaken:
    return SlotTaken(_("Somebody has just taken that time. Choose another one from the list."))


def _note(words: str) -> str:
    note = " ".join(words.split())
    if len(note) > 300:
        message = _("Use at most %(limit)d characters.") % {"limit": 300}
        raise ValuesRefused(message, fields={"access_note": message})
    return note


# -- The visit itself --------------------------------------------------------------------


@transaction.atomic
def appointment_start(*, appointment_id: int, actor: Actor) -> Appointment:
    """The auditor is there.

    Raises
    ------
    MoveRefused
        It is not the day of the visit, or the visit is not booked any more.
    NotAllowed
    """
    appointment = _locked(appointment_id)
    policies.require_visiting(actor, appointment)
    if clock.today() != clock.program_date(appointment.starts_at):
        raise MoveRefused(_("A visit is begun on its own day."), code="another_day")
    move(appointment, AppointmentState.UNDER_WAY, moves=APPOINTMENT_MOVES, actor=actor)
    outbox.put(
        "appointment.started",
        key=f"appointment.started:{appointment.pk}",
        appointment_id=appointment.pk,
    )
    return appointment


@transaction.atomic
def appointment_finish(*, appointment_id: int, actor: Actor) -> Appointment:
    """The auditor has left the house.

    Raises
    ------
    MoveRefused, NotAllowed
    """
    appointment = _locked(appointment_id)
    policies.require_visiting(actor, appointment)
    move(appointment, AppointmentState.VISITED, moves=APPOINTMENT_MOVES, actor=actor)
    outbox.put(
        "appointment.visited",
        key=f"appointment.visited:{appointment.pk}",
        appointment_id=appointment.pk,
    )
    return appointment


@transaction.atomic
def appointment_missed(*, appointment_id: int, actor: Actor, why: str = "") -> Appointment:
    """Nobody opened the door; the home may book again.

    Raises
    ------
    MoveRefused
        The auditor has not waited a quarter of an hour from the time booked.
    NotAllowed
    """
    appointment = _locked(appointment_id)
    policies.require_visiting(actor, appointment)
    if clock.now() < appointment.starts_at + WAIT_AT_THE_DOOR:
        raise MoveRefused(
            _("Wait 15 minutes from the time booked before you call the visit missed."),
            code="too_early",
        )
    move(appointment, AppointmentState.MISSED, moves=APPOINTMENT_MOVES, actor=actor, why=why)
    outbox.put(
        "appointment.missed",
        key=f"appointment.missed:{appointment.pk}",
        appointment_id=appointment.pk,
    )
    _write_home(appointment, "visit_missed")
    return appointment


def _locked(appointment_id: int) -> Appointment:
    return (
        Appointment.objects.select_for_update(of=("self",))
        .select_related(
            "auditor__user",
            "casefile__participation__household",
            "casefile__participation__dwelling__building",
        )
        .get(pk=appointment_id)
    )


def _locked_with_casefile(appointment_id: int) -> Appointment:
    """Casefile first, as everywhere; then the visit."""
    casefile_id = Appointment.objects.values_list("casefile_id", flat=True).get(pk=appointment_id)
    Casefile.objects.select_for_update(of=("self",)).get(pk=casefile_id)
    return _locked(appointment_id)


def _locked_casefile(casefile: Casefile) -> Casefile:
    return (
        Casefile.objects.select_for_update(of=("self",))
        .select_related("participation__dwelling__building", "participation__household")
        .get(pk=casefile.pk)
    )


def _write_home(appointment: Appointment, template: str) -> None:
    """Tell the household; the day and the time in words, never a calendar file alone."""
    contact = contact_for(appointment.casefile)
    if not contact.email:
        return
    number = appointment.casefile.number
    letters.send(
        template=template,
        to=contact.email,
        context={
            "name": contact.name,
            "number": number,
            "starts_at": appointment.starts_at,
            "ends_at": appointment.ends_at,
            "address": str(appointment.casefile.participation.dwelling),
            "auditor": str(appointment.auditor.user),
            "auditor_phone": appointment.auditor.phone,
            "phone": program_phone(),
            "is_renter": appointment.casefile.participation.household.tenure == "renter",
            "visit_link": settings.SITE_URL + reverse("scheduling:booked", args=[number]),
            "pick_link": settings.SITE_URL + reverse("scheduling:pick", args=[number]),
        },
        key=f"{template}:{appointment.pk}:{appointment.sequence}",
        language=contact.language,
    )


# -- Auditors' working time --------------------------------------------------------------


@transaction.atomic
def auditor_enter(
    *,
    user: User,
    credential_number: str,
    credential_expires_on: date,
    counties: Iterable[County],
    actor: Actor,
    phone: str = "",
) -> AuditorProfile:
    """What booking must know of an auditor; a known one is brought up to date."""
    policies.require_office(actor)
    profile, is_new = AuditorProfile.objects.update_or_create(
        user=user,
        defaults={
            "credential_number": credential_number,
            "credential_expires_on": credential_expires_on,
            "phone": phone,
        },
    )
    profile.counties.set(counties)
    trail.write(profile, actor=actor, verb="entered" if is_new else "corrected", target="auditor")
    return profile


@transaction.atomic
def working_hours_set(
    *,
    auditor: AuditorProfile,
    hours: Iterable[tuple[int, time, time]],
    actor: Actor,
) -> list[WorkingHours]:
    """The auditor's week, as (weekday, from, to) with Monday 0; visits already booked stay.

    Raises
    ------
    ValuesRefused
        Two stretches of a day overlap, one runs backward, or there is no such weekday.
    """
    policies.require_office(actor)
    week = sorted(hours)
    for (weekday, starts, ends), (next_weekday, next_starts, _ends) in zip(
        week, [*week[1:], (7, time(0), time(0))], strict=True
    ):
        is_clash = weekday == next_weekday and next_starts < ends
        if not 0 <= weekday <= 6 or starts >= ends or is_clash:
            message = _("Working hours must run forward and may not overlap.")
            raise ValuesRefused(message, fields={"hours": message})
    AuditorProfile.objects.select_for_update(of=("self",)).get(pk=auditor.pk)
    auditor.working_hours.all().delete()
    made = WorkingHours.objects.bulk_create(
        WorkingHours(auditor=auditor, weekday=weekday, starts=starts, ends=ends)
        for weekday, starts, ends in week
    )
    trail.write(auditor, actor=actor, verb="set working hours", target="auditor")
    return made


@transaction.atomic
def time_off_add(
    *, auditor: AuditorProfile, starts_at: datetime, ends_at: datetime, actor: Actor
) -> TimeOff:
    """Time in which an auditor takes no visits.

    Raises
    ------
    ValuesRefused
        It ends before it begins, or a visit is booked in it.
    """
    if auditor.user_id != actor.actor_id:
        policies.require_office(actor)
    AuditorProfile.objects.select_for_update(of=("self",)).get(pk=auditor.pk)
    if starts_at >= ends_at:
        message = _("Time off must end after it begins.")
        raise ValuesRefused(message, fields={"ends_at": message})
    clash = auditor.appointments.filter(
        state__in=LIVE, starts_at__lt=ends_at, ends_at__gt=starts_at
    ).exists()
    if clash:
        message = _("A visit is booked in that time. Move it first.")
        raise ValuesRefused(message, code="visit_booked", fields={"starts_at": message})
    off = TimeOff.objects.create(auditor=auditor, starts_at=starts_at, ends_at=ends_at)
    trail.write(auditor, actor=actor, verb="took time off", target="auditor")
    return off
