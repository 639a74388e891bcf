"""Pages and operations of the visit."""

import re
from datetime import date, timedelta
from typing import Any

import pytest
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from portal.core import clock
from portal.enrollment.models import Casefile
from portal.scheduling import services
from portal.scheduling.models import Appointment, AuditorProfile
from portal.scheduling.states import AppointmentState
from tests.factories import enrollment as make
from tests.factories import people
from tests.factories import scheduling as plan
from tests.portal.enrollment.test_pages import flat

pytestmark = pytest.mark.usefixtures("march_2")

WEDNESDAY_8 = clock.local(date(2026, 3, 4), 8)


@pytest.fixture
def home(client: Client, march_2: object) -> Casefile:
    """A home in an auditor's county, its homeowner signed in."""
    plan.auditor()
    casefile = make.casefile()
    client.force_login(make.homeowner_of(casefile))
    return casefile


def book(client: Client, home: Casefile, starts_at: str = WEDNESDAY_8.isoformat()) -> Any:
    return client.post(reverse("scheduling:pick", args=[home.number]), {"starts_at": starts_at})


def test_picking_a_time_books_it(client: Client, home: Casefile) -> None:
    page = flat(client.get(reverse("scheduling:pick", args=[home.number])).content)
    assert "Wednesday, March 4" in page
    assert "8 to 11" in page.replace("\u00a0", " ")
    response = book(client, home)
    assert response["Location"] == reverse("scheduling:booked", args=[home.number])
    booked = flat(client.get(response["Location"]).content).replace("\u00a0", " ")
    assert "Wednesday, March 4, 2026, 8 to 11 a.m." in booked
    assert "Ansel Rook" in booked


def test_nothing_chosen_is_said_and_the_note_kept(client: Client, home: Casefile) -> None:
    response = client.post(
        reverse("scheduling:pick", args=[home.number]), {"access_note": "side door"}
    )
    html = response.content.decode()
    assert response.status_code == 200
    assert html.count("Choose one of the times.") == 2
    assert "side door" in html


def test_a_time_taken_meanwhile_comes_back_with_fresh_times(client: Client, home: Casefile) -> None:
    other = make.casefile("4410000002", "16 Larch St", "kim@mail.example")
    services.appointment_book(casefile=other, starts_at=WEDNESDAY_8, actor=make.homeowner_of(other))
    response = book(client, home)
    page = flat(response.content).replace("\u00a0", " ")
    assert response.status_code == 200
    assert "Somebody has just taken that time" in page
    assert "11:30 a.m. to 2:30 p.m." in page
    assert f'value="{WEDNESDAY_8.isoformat()}"' not in response.content.decode()


def test_later_days_are_a_page_away(client: Client, home: Casefile) -> None:
    url = reverse("scheduling:pick", args=[home.number])
    first = client.get(url).content.decode()
    assert 'name="turn_to" value="2"' in first
    second = client.post(url, {"page": "1", "turn_to": "2", "access_note": "The side door"})
    shown = flat(second.content)
    assert "Wednesday, March 4" not in shown
    assert "Friday, March 13" in shown
    # What was typed came along, and nothing was taken amiss or booked.
    assert 'value="The side door"' in second.content.decode()
    assert "Error:" not in shown
    assert not Appointment.objects.exists()
    assert flat(client.get(url, {"page": "2"}).content).count("Friday, March 13") > 0


def test_the_enter_key_books_and_turns_no_page(client: Client, home: Casefile) -> None:
    form = client.get(reverse("scheduling:pick", args=[home.number])).content.decode()
    buttons = re.findall(r"<button[^>]*>", form[form.index('name="page"') :])
    assert "turn_to" not in buttons[0]
    assert any("turn_to" in button for button in buttons)


def test_other_days_can_be_looked_at_for_a_visit_that_is_moved(
    client: Client, home: Casefile
) -> None:
    book(client, home)
    url = reverse("scheduling:move", args=[home.number])
    page = client.post(url, {"page": "1", "turn_to": "2"})
    assert "Friday, March 13" in flat(page.content)
    assert Appointment.objects.get().starts_at == WEDNESDAY_8


def test_no_free_time_is_a_page_with_a_next_step(client: Client) -> None:
    casefile = make.casefile()
    client.force_login(make.homeowner_of(casefile))
    page = flat(client.get(reverse("scheduling:pick", args=[casefile.number])).content)
    assert "No free time in the next four weeks" in page
    assert "555-0142" in page


def test_moving_and_cancelling_from_the_pages(client: Client, home: Casefile) -> None:
    book(client, home)
    later = clock.local(date(2026, 3, 5), 8)
    assert client.get(reverse("scheduling:move", args=[home.number])).status_code == 200
    client.post(reverse("scheduling:move", args=[home.number]), {"starts_at": later.isoformat()})
    appointment = Appointment.objects.get()
    assert appointment.starts_at == later
    assert client.get(reverse("scheduling:cancel", args=[home.number])).status_code == 200
    response = client.post(reverse("scheduling:cancel", args=[home.number]), {"why": "away"})
    assert response["Location"] == reverse("scheduling:pick", args=[home.number])
    appointment.refresh_from_db()
    assert appointment.state == AppointmentState.CANCELLED


def test_within_a_day_the_page_says_to_call(client: Client, home: Casefile) -> None:
    book(client, home)
    with clock.at(WEDNESDAY_8 - timedelta(hours=3)):
        page = flat(client.get(reverse("scheduling:booked", args=[home.number])).content)
        assert "Call 555-0142 to change it" in page
        assert "Move the visit" not in page
        client.post(reverse("scheduling:cancel", args=[home.number]), {})
    assert Appointment.objects.get().state == AppointmentState.BOOKED


def test_a_renter_reads_that_the_owners_consent_comes_before_work(client: Client) -> None:
    plan.auditor()
    casefile = make.casefile(tenure="renter")
    client.force_login(make.homeowner_of(casefile))
    book(client, casefile)
    page = flat(client.get(reverse("scheduling:booked", args=[casefile.number])).content)
    assert "the owner’s written consent" in page


@pytest.mark.parametrize("name", ["booked", "pick", "move", "cancel"])
def test_another_households_visit_is_not_there(client: Client, home: Casefile, name: str) -> None:
    other = make.casefile("4410000002", "16 Larch St", "kim@mail.example")
    url = reverse(f"scheduling:{name}", args=[other.number])
    assert client.get(url).status_code == 404
    assert Client().get(url).status_code == 302
    stranger = Client()
    stranger.force_login(people.contractor())
    assert stranger.get(url).status_code == 404


def test_the_page_of_times_asks_the_database_no_more_with_more_auditors(
    client: Client, home: Casefile
) -> None:
    url = reverse("scheduling:pick", args=[home.number])
    counts = []
    for auditors in (1, 4):
        while AuditorProfile.objects.count() < auditors:
            plan.auditor(f"a{AuditorProfile.objects.count()}@qlg.example")
        with CaptureQueriesContext(connection) as seen:
            assert client.get(url).status_code == 200
        counts.append(len(seen))
    assert counts[0] == counts[1]
    assert counts[0] <= 14


def test_the_same_as_operations(client: Client, home: Casefile) -> None:
    slots = client.get(reverse("api_slot_list", args=[home.number])).json()
    booked = client.post(
        reverse("api_appointment_book", args=[home.number]),
        {"starts_at": slots[0]["starts_at"]},
        content_type="application/json",
    )
    assert booked.status_code == 201, booked.json()
    uid = booked.json()["uid"]
    again = client.post(
        reverse("api_appointment_book", args=[home.number]),
        {"starts_at": slots[1]["starts_at"]},
        content_type="application/json",
    )
    assert again.status_code == 409
    assert again.json()["code"] == "booked_already"
    moved = client.post(
        reverse("api_appointment_move", args=[uid]),
        {"starts_at": slots[1]["starts_at"]},
        content_type="application/json",
    )
    assert moved.json()["sequence"] == 1
    stranger = Client()
    stranger.force_login(
        make.homeowner_of(make.casefile("4410000002", "16 Larch St", "k@x.example"))
    )
    assert stranger.post(reverse("api_appointment_cancel", args=[uid])).status_code == 404
    assert client.post(reverse("api_appointment_cancel", args=[uid])).json()["state"] == "cancelled"


def test_the_auditor_runs_the_day_by_operations(client: Client, home: Casefile) -> None:
    book(client, home)
    appointment = Appointment.objects.get()
    auditor = Client()
    auditor.force_login(appointment.auditor.user)
    rows = auditor.get(reverse("api_appointment_list"), {"day": "2026-03-04"}).json()
    assert [row["uid"] for row in rows] == [str(appointment.uid)]
    assert auditor.get(reverse("api_appointment_list"), {"day": "2026-03-05"}).json() == []
    with clock.at(WEDNESDAY_8):
        auditor.post(reverse("api_appointment_start", args=[appointment.uid]))
        done = auditor.post(reverse("api_appointment_finish", args=[appointment.uid]))
    assert done.json()["state"] == "visited"
    assert client.post(reverse("api_appointment_start", args=[appointment.uid])).status_code == 403
