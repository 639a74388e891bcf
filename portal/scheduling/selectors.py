"""Finding free visit times and booked visits."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import date, datetime, time, timedelta
from typing import TYPE_CHECKING
from uuid import UUID

from django.contrib.auth.models import AnonymousUser
from django.db.models import Prefetch, Q, QuerySet
from django.shortcuts import get_object_or_404

from portal.accounts.models import User
from portal.accounts.states import Role
from portal.core import clock
from portal.enrollment.models import Casefile
from portal.enrollment.selectors import casefiles_for, scope_by
from portal.scheduling import slots, visits
from portal.scheduling.models import Appointment, AuditorProfile, TimeOff
from portal.scheduling.states import LIVE, AppointmentState

if TYPE_CHECKING:
    Reader = User | AnonymousUser

ZONE = clock.PROGRAM_TIME_ZONE


@scope_by(Role.AUDITOR)
def _own_visits(user: User) -> Q:
    """Casefiles with a visit that is this auditor's; a cancelled visit gives nothing to see."""
    mine = Appointment.objects.filter(auditor__user=user).exclude(state=AppointmentState.CANCELLED)
    return Q(pk__in=mine.values("casefile_id"))


# -- Free times --------------------------------------------------------------------------


@dataclass(frozen=True)
class Slot:
    """A visit time that can be booked, and the auditors who could come."""

    starts_at: datetime
    ends_at: datetime
    auditor_ids: tuple[int, ...]


@dataclass
class SlotDay:
    """The free times of one day."""

    day: date
    slots: list[Slot] = field(default_factory=list)


@dataclass(frozen=True)
class Diary:
    """What an auditor's days are made of, in the shape the working-out takes."""

    auditor: AuditorProfile
    stretches: tuple[slots.Stretch, ...]
    visits: tuple[slots.Span, ...]
    time_off: tuple[slots.Span, ...]

    def visits_on(self, day: date) -> int:
        """How many visits are booked on a day."""
        return sum(clock.program_date(visit.starts_at) == day for visit in self.visits)

    def is_free(self, visit: slots.Span) -> bool:
        """Whether the auditor can take a visit, credential included."""
        day = clock.program_date(visit.starts_at)
        return self.auditor.credential_expires_on >= day and slots.is_free(
            visit,
            stretches=self.stretches,
            visits=self.visits,
            time_off=self.time_off,
            travel=visits.TRAVEL,
            zone=ZONE,
        )


def auditors_in(county_id: int, *, on: date) -> QuerySet[AuditorProfile]:
    """Auditors who work in a county and whose credential is valid on a day, that day included."""
    return AuditorProfile.objects.filter(
        user__is_active=True, counties=county_id, credential_expires_on__gte=on
    ).order_by("pk")


def diaries(
    auditors: QuerySet[AuditorProfile],
    *,
    first: date,
    last: date,
    without: Appointment | None = None,
) -> list[Diary]:
    """The diaries of auditors for some days; three queries beside the auditors' own.

    ``without`` leaves one visit out, for asking where it could be moved to.
    """
    start = slots.instant(first, time(0), ZONE)
    end = slots.instant(last + timedelta(days=1), time(0), ZONE)
    live = Appointment.objects.filter(
        state__in=LIVE, starts_at__lt=end + visits.TRAVEL, ends_at__gt=start - visits.TRAVEL
    )
    if without is not None:
        live = live.exclude(pk=without.pk)
    off = TimeOff.objects.filter(starts_at__lt=end, ends_at__gt=start)
    found = auditors.prefetch_related(
        "working_hours",
        Prefetch("appointments", queryset=live, to_attr="live_visits"),
        Prefetch("time_off", queryset=off, to_attr="days_off"),
    )
    return [
        Diary(
            auditor=auditor,
            stretches=tuple(
                slots.Stretch(hours.weekday, hours.starts, hours.ends)
                for hours in auditor.working_hours.all()
            ),
            visits=_spans(auditor.live_visits),
            time_off=_spans(auditor.days_off),
        )
        for auditor in found
    ]


def _spans(rows: Iterable[Appointment | TimeOff]) -> tuple[slots.Span, ...]:
    return tuple(slots.Span(row.starts_at, row.ends_at) for row in rows)


def slot_days(casefile: Casefile, *, without: Appointment | None = None) -> list[SlotDay]:
    """Every free visit time for a home in the booking window, by day; days without are left out."""
    building = casefile.participation.dwelling.building
    length = visits.visit_length(building)
    first, last = visits.bookable_days()
    books = diaries(
        auditors_in(building.county_id, on=first), first=first, last=last, without=without
    )
    days: list[SlotDay] = []
    day = first
    while day <= last:
        free = _free_on(day, books, length)
        if free:
            days.append(SlotDay(day, free))
        day += timedelta(days=1)
    return days


def _free_on(day: date, books: list[Diary], length: timedelta) -> list[Slot]:
    who: dict[datetime, list[int]] = {}
    for book in books:
        if book.auditor.credential_expires_on < day:
            continue
        for start in slots.starts_on(
            day,
            stretches=book.stretches,
            visits=book.visits,
            time_off=book.time_off,
            length=length,
            travel=visits.TRAVEL,
            grid_minutes=visits.GRID_MINUTES,
            zone=ZONE,
        ):
            who.setdefault(start, []).append(book.auditor.pk)
    return [Slot(start, start + length, tuple(who[start])) for start in sorted(who)]


# -- Visits ------------------------------------------------------------------------------


def _with_home(appointments: QuerySet[Appointment]) -> QuerySet[Appointment]:
    return appointments.select_related(
        "auditor__user",
        "casefile__participation__household",
        "casefile__participation__dwelling__building__county",
    )


def appointments_for(user: "Reader", day: date | None = None) -> QuerySet[Appointment]:
    """The visits a person may see, in order; of one day of the program's time zone if given.

    An auditor sees their own and nobody else's; the household its own; the program office all.
    """
    found = _with_home(Appointment.objects.all())
    if isinstance(user, AnonymousUser) or not user.is_authenticated:
        return found.none()
    allowed = Q(pk__isnull=True)
    roles = user.roles
    if Role.PROGRAM_ADMIN in roles:
        allowed |= Q(pk__isnull=False)
    if Role.AUDITOR in roles:
        allowed |= Q(auditor__user=user)
    if Role.HOMEOWNER in roles:
        allowed |= Q(
            casefile__participation__household__members__in=user.memberships.filter(
                since_on__lte=clock.today(), until_on__isnull=True
            )
        )
    found = found.filter(allowed)
    if day is not None:
        found = found.filter(
            starts_at__gte=slots.instant(day, time(0), ZONE),
            starts_at__lt=slots.instant(day + timedelta(days=1), time(0), ZONE),
        )
    return found.order_by("starts_at", "pk")


def appointment_by_uid_for(user: "Reader", uid: UUID) -> Appointment:
    """One visit a person may see; any other is as if it were not there (404)."""
    return get_object_or_404(appointments_for(user), uid=uid)


def live_appointment(casefile: Casefile) -> Appointment | None:
    """The visit that is booked or under way for a home."""
    return _with_home(casefile.appointments.filter(state__in=LIVE)).first()


def last_appointment(casefile: Casefile) -> Appointment | None:
    """The live visit, else the latest one whatever became of it."""
    return (
        live_appointment(casefile)
        or _with_home(casefile.appointments.all()).order_by("-starts_at").first()
    )


def has_been_visited(casefile: Casefile) -> bool:
    """Whether an auditor has been there."""
    return casefile.appointments.filter(state=AppointmentState.VISITED).exists()


def bookable_casefile_for(user: "Reader", number: str) -> Casefile:
    """A casefile whose visit this person may book: the household's own, or any for the office."""
    mine = casefiles_for(user)
    if isinstance(user, User) and Role.PROGRAM_ADMIN not in user.roles:
        mine = mine.filter(
            participation__household__members__in=user.memberships.filter(
                since_on__lte=clock.today(), until_on__isnull=True
            )
        )
    return get_object_or_404(mine, number=number)
