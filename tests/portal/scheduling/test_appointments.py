"""Booking, moving, cancelling, visiting."""

import threading
from datetime import date, datetime, time, timedelta

import pytest
from django.db import IntegrityError, connection, transaction

from portal.core import clock
from portal.core.errors import MoveRefused, NotAllowed, SlotTaken, ValuesRefused
from portal.core.models import Letter, OutboxMessage, TrailEntry
from portal.enrollment.models import Casefile
from portal.enrollment.selectors import casefiles_for
from portal.scheduling import selectors, services, visits
from portal.scheduling.models import Appointment, AuditorProfile
from portal.scheduling.services import NoticeTooShort
from portal.scheduling.states import AppointmentState
from tests.factories import enrollment as make
from tests.factories import people
from tests.factories import scheduling as plan
from tests.factories.people import OFFICE

pytestmark = pytest.mark.usefixtures("march_2")

WEDNESDAY_8 = clock.local(date(2026, 3, 4), 8)
WEDNESDAY_1130 = clock.local(date(2026, 3, 4), 11, 30)


@pytest.fixture
def home(march_2: datetime) -> Casefile:
    return make.casefile()


@pytest.fixture
def auditor(march_2: datetime) -> AuditorProfile:
    return plan.auditor()


def book(casefile: Casefile, starts_at: datetime = WEDNESDAY_8) -> Appointment:
    return services.appointment_book(
        casefile=casefile, starts_at=starts_at, actor=make.homeowner_of(casefile)
    )


def test_slots_run_from_the_day_after_tomorrow_for_four_weeks(
    home: Casefile, auditor: AuditorProfile
) -> None:
    days = [day.day for day in selectors.slot_days(home)]
    assert (days[0], days[-1]) == (date(2026, 3, 4), date(2026, 3, 31))
    assert all(day.weekday() < 5 for day in days)
    assert selectors.slot_days(home)[0].slots[0].starts_at == WEDNESDAY_8


def test_an_auditor_of_another_county_or_without_credential_gives_no_slot(home: Casefile) -> None:
    plan.auditor("b@qlg.example", counties=[make.county("Brindle", "00241", "Brindle")])
    plan.auditor("c@qlg.example", expires_on=date(2026, 3, 3))
    assert selectors.slot_days(home) == []


def test_the_last_day_of_a_credential_still_counts(home: Casefile) -> None:
    plan.auditor(expires_on=date(2026, 3, 5))
    assert [day.day for day in selectors.slot_days(home)] == [date(2026, 3, 4), date(2026, 3, 5)]
    with pytest.raises(SlotTaken):
        book(home, clock.local(date(2026, 3, 6), 8))


@pytest.mark.parametrize(
    ("kind", "year_built", "hours"),
    [("detached", 1958, 3.0), ("detached", 1910, 3.5), ("manufactured", 1988, 2.5)],
)
def test_the_visit_is_as_long_as_the_house_needs(
    home: Casefile, auditor: AuditorProfile, kind: str, year_built: int, hours: float
) -> None:
    building = home.participation.dwelling.building
    building.kind, building.year_built = kind, year_built
    building.save()
    assert visits.visit_length(building) == timedelta(hours=hours)
    appointment = book(home)
    assert appointment.ends_at - appointment.starts_at == timedelta(hours=hours)


def test_booking_tells_the_household_in_words(home: Casefile, auditor: AuditorProfile) -> None:
    appointment = book(home)
    letter = Letter.objects.get(template="visit_booked")
    assert "Wednesday, March 4, 2026, 8 to 11" in letter.body.replace("\u00a0", " ")
    assert letter.subject.replace("\u00a0", " ") == "Your audit visit: Wednesday, March 4, 8 a.m."
    assert "14 Larch St" in letter.body
    assert "&" not in letter.body.replace("Light & Gas", "")
    assert OutboxMessage.objects.get(topic="appointment.booked").payload == {
        "appointment_id": appointment.pk
    }


def test_a_time_taken_is_refused_with_the_rest_still_offered(auditor: AuditorProfile) -> None:
    first = make.casefile()
    second = make.casefile("4410000002", "16 Larch St", "kim@mail.example")
    book(first)
    with pytest.raises(SlotTaken):
        book(second)
    fresh = selectors.slot_days(second)[0].slots
    assert [slot.starts_at for slot in fresh] == [WEDNESDAY_1130]
    assert book(second, WEDNESDAY_1130).auditor == auditor


def test_two_auditors_can_take_the_same_hour(auditor: AuditorProfile) -> None:
    other = plan.auditor("b@qlg.example")
    first = book(make.casefile())
    second = book(make.casefile("4410000002", "16 Larch St", "kim@mail.example"))
    assert {first.auditor, second.auditor} == {auditor, other}


@pytest.mark.parametrize(
    "starts_at",
    [
        clock.local(date(2026, 3, 3), 8),
        clock.local(date(2026, 4, 1), 8),
        clock.local(date(2026, 3, 4), 8, 10),
        clock.local(date(2026, 3, 4), 6),
        clock.local(date(2026, 3, 7), 8),
    ],
)
def test_a_time_that_is_not_offered_cannot_be_booked(
    home: Casefile, auditor: AuditorProfile, starts_at: datetime
) -> None:
    with pytest.raises(SlotTaken):
        book(home, starts_at)
    assert not Appointment.objects.exists()


def test_a_home_has_one_live_visit(home: Casefile, auditor: AuditorProfile) -> None:
    book(home)
    with pytest.raises(MoveRefused):
        book(home, WEDNESDAY_1130)


def test_the_database_itself_refuses_a_second_visit(
    home: Casefile, auditor: AuditorProfile
) -> None:
    first = book(home)
    other = make.casefile("4410000002", "16 Larch St", "kim@mail.example")
    with pytest.raises(IntegrityError), transaction.atomic():
        Appointment.objects.create(
            casefile=other,
            auditor=auditor,
            starts_at=first.starts_at,
            ends_at=first.ends_at,
            booked_at=clock.now(),
        )


def test_moving_keeps_the_visit_and_frees_its_time(home: Casefile, auditor: AuditorProfile) -> None:
    appointment = book(home)
    owner = make.homeowner_of(home)
    moved = services.appointment_move(
        appointment_id=appointment.pk, starts_at=WEDNESDAY_1130, actor=owner
    )
    assert (moved.uid, moved.sequence) == (appointment.uid, 1)
    assert moved.starts_at == WEDNESDAY_1130
    line = TrailEntry.objects.get(verb="moved", record_kind="scheduling.appointment")
    assert line.source.replace("\u00a0", " ") == "March 4, 2026, 8 a.m."
    assert line.target.replace("\u00a0", " ") == "March 4, 2026, 11:30 a.m."
    assert Letter.objects.filter(template="visit_moved").count() == 1
    back = services.appointment_move(
        appointment_id=appointment.pk, starts_at=WEDNESDAY_8, actor=owner
    )
    assert back.sequence == 2


def test_a_move_to_a_taken_time_changes_nothing(home: Casefile, auditor: AuditorProfile) -> None:
    appointment = book(home)
    other = make.casefile("4410000002", "16 Larch St", "kim@mail.example")
    book(other, WEDNESDAY_1130)
    with pytest.raises(SlotTaken):
        services.appointment_move(
            appointment_id=appointment.pk,
            starts_at=WEDNESDAY_1130,
            actor=make.homeowner_of(home),
        )
    appointment.refresh_from_db()
    assert (appointment.starts_at, appointment.sequence) == (WEDNESDAY_8, 0)


def test_cancelling_ends_24_hours_before_for_the_household_only(
    home: Casefile, auditor: AuditorProfile
) -> None:
    """H5."""
    appointment = book(home)
    owner = make.homeowner_of(home)
    with clock.at(WEDNESDAY_8 - timedelta(hours=24) + timedelta(seconds=1)):
        with pytest.raises(NoticeTooShort, match="555-0142"):
            services.appointment_cancel(appointment_id=appointment.pk, actor=owner)
        with pytest.raises(NoticeTooShort):
            services.appointment_move(
                appointment_id=appointment.pk, starts_at=WEDNESDAY_1130, actor=owner
            )
    with clock.at(WEDNESDAY_8 - timedelta(hours=24)):
        cancelled = services.appointment_cancel(appointment_id=appointment.pk, actor=owner)
    assert cancelled.state == AppointmentState.CANCELLED
    assert Letter.objects.filter(template="visit_cancelled").count() == 1
    assert book(home).state == AppointmentState.BOOKED


def test_the_office_can_cancel_at_any_time(home: Casefile, auditor: AuditorProfile) -> None:
    appointment = book(home)
    with clock.at(WEDNESDAY_8 - timedelta(hours=1)):
        services.appointment_cancel(
            appointment_id=appointment.pk, actor=people.administrator(), why="auditor ill"
        )
    assert TrailEntry.objects.get(target="cancelled").why == "auditor ill"


def test_the_auditor_begins_and_ends_the_visit_on_its_day(
    home: Casefile, auditor: AuditorProfile
) -> None:
    appointment = book(home)
    with pytest.raises(MoveRefused):
        services.appointment_start(appointment_id=appointment.pk, actor=auditor.user)
    with clock.at(WEDNESDAY_8):
        services.appointment_start(appointment_id=appointment.pk, actor=auditor.user)
        done = services.appointment_finish(appointment_id=appointment.pk, actor=auditor.user)
    assert done.state == AppointmentState.VISITED
    assert OutboxMessage.objects.filter(topic="appointment.visited").count() == 1
    with pytest.raises(MoveRefused, match="taken place"):
        book(home, clock.local(date(2026, 3, 5), 8))


def test_nobody_home_is_said_after_a_quarter_of_an_hour(
    home: Casefile, auditor: AuditorProfile
) -> None:
    appointment = book(home)
    with clock.at(WEDNESDAY_8 + timedelta(minutes=14)), pytest.raises(MoveRefused):
        services.appointment_missed(appointment_id=appointment.pk, actor=auditor.user)
    with clock.at(WEDNESDAY_8 + timedelta(minutes=15)):
        missed = services.appointment_missed(appointment_id=appointment.pk, actor=auditor.user)
    assert missed.state == AppointmentState.MISSED
    assert Letter.objects.filter(template="visit_missed").count() == 1


def test_others_keep_their_hands_off(home: Casefile, auditor: AuditorProfile) -> None:
    other_owner = make.homeowner_of(make.casefile("4410000002", "16 Larch St", "kim@mail.example"))
    with pytest.raises(NotAllowed):
        services.appointment_book(casefile=home, starts_at=WEDNESDAY_8, actor=other_owner)
    appointment = book(home)
    with pytest.raises(NotAllowed):
        services.appointment_cancel(appointment_id=appointment.pk, actor=other_owner)
    other_auditor = plan.auditor("b@qlg.example")
    with clock.at(WEDNESDAY_8), pytest.raises(NotAllowed):
        services.appointment_start(appointment_id=appointment.pk, actor=other_auditor.user)


def test_everybody_sees_their_own_visits(home: Casefile, auditor: AuditorProfile) -> None:
    appointment = book(home)
    other = plan.auditor("b@qlg.example")
    wednesday, thursday = date(2026, 3, 4), date(2026, 3, 5)
    assert list(selectors.appointments_for(auditor.user, wednesday)) == [appointment]
    assert list(selectors.appointments_for(auditor.user, thursday)) == []
    assert list(selectors.appointments_for(other.user)) == []
    assert list(selectors.appointments_for(people.administrator())) == [appointment]
    assert list(selectors.appointments_for(people.contractor())) == []
    assert list(casefiles_for(auditor.user)) == [home]
    assert list(casefiles_for(other.user)) == []


def test_a_cancelled_visit_takes_the_casefile_from_the_auditors_sight(
    home: Casefile, auditor: AuditorProfile
) -> None:
    appointment = book(home)
    services.appointment_cancel(appointment_id=appointment.pk, actor=make.homeowner_of(home))
    assert list(casefiles_for(auditor.user)) == []


def test_time_off_closes_the_day_but_not_over_a_booked_visit(
    home: Casefile, auditor: AuditorProfile
) -> None:
    book(home)
    with pytest.raises(ValuesRefused):
        services.time_off_add(
            auditor=auditor,
            starts_at=WEDNESDAY_8,
            ends_at=WEDNESDAY_8 + timedelta(hours=1),
            actor=auditor.user,
        )
    services.time_off_add(
        auditor=auditor,
        starts_at=clock.local(date(2026, 3, 5), 0),
        ends_at=clock.local(date(2026, 3, 6), 0),
        actor=OFFICE,
    )
    other = make.casefile("4410000002", "16 Larch St", "kim@mail.example")
    assert date(2026, 3, 5) not in [day.day for day in selectors.slot_days(other)]


def test_working_hours_may_not_overlap(auditor: AuditorProfile) -> None:
    with pytest.raises(ValuesRefused):
        services.working_hours_set(
            auditor=auditor,
            hours=[(0, time(8), time(12)), (0, time(11), time(15))],
            actor=OFFICE,
        )


@pytest.mark.slow
@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("second_start", [WEDNESDAY_8, WEDNESDAY_8 + timedelta(minutes=30)])
def test_of_two_bookings_at_once_one_wins_and_one_hears_why(second_start: datetime) -> None:
    """On SQLite the write lock lines them up, on PostgreSQL the lock on the auditor's row.

    The constraint knows only equal starts; of visits that overlap, the lock alone keeps one out.
    """
    plan.auditor()
    homes = [make.casefile(), make.casefile("4410000002", "16 Larch St", "kim@mail.example")]
    owners = [make.homeowner_of(home) for home in homes]
    gate = threading.Barrier(2)
    results: list[object] = []
    moment = clock.now()

    def book_one(index: int) -> None:
        try:
            # The clock of a test belongs to its thread.
            with clock.at(moment):
                gate.wait()
                results.append(
                    services.appointment_book(
                        casefile=homes[index],
                        starts_at=(WEDNESDAY_8, second_start)[index],
                        actor=owners[index],
                    )
                )
        except Exception as error:
            results.append(error)
        finally:
            connection.close()

    threads = [threading.Thread(target=book_one, args=(index,)) for index in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(type(result).__name__ for result in results) == ["Appointment", "SlotTaken"]
    assert Appointment.objects.count() == 1
