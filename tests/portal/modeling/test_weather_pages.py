"""Weather sent by an administrator: checked by a worker, used for the territory, kept by runs."""

import io
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import CommandError, call_command
from django.test import Client
from django.urls import reverse

from portal.core import jobs
from portal.core.errors import DomainError, NotAllowed, ValuesRefused
from portal.core.models import TrailEntry
from portal.enrollment.services import county_enter, zip_area_enter
from portal.modeling import weather, weather_files
from portal.modeling.models import WeatherFile, WeatherStation
from portal.modeling.states import WeatherFileState
from portal.modeling.weather_words import finding_words
from tests.calcs.buildings import GREENSBORO
from tests.calcs.weather_made import epw, tmy3
from tests.factories import people

pytestmark = pytest.mark.django_db


@pytest.fixture
def office() -> Any:
    return people.administrator()


@pytest.fixture
def territory() -> None:
    county = county_enter(name="Ashmere", actor=people.OFFICE)
    zip_area_enter(
        zip_code="00114", city="Ashmere Ford", county=county, latitude_deg=36.21,
        longitude_deg=-79.88, actor=people.OFFICE,
    )  # fmt: skip


def send(office: Any, raw: bytes, *, code: str = "723170") -> WeatherFile:
    sent = weather_files.file_receive(
        upload=io.BytesIO(raw), name="year.csv", code=code, source="TMY3, made", actor=office
    )
    assert sent.state == WeatherFileState.CHECKING
    jobs.drain()
    sent.refresh_from_db()
    return sent


@pytest.mark.usefixtures("territory")
def test_sound_file_is_checked_used_and_found_for_a_home(office: Any) -> None:
    sent = send(office, GREENSBORO.read_bytes())
    assert sent.state == WeatherFileState.USABLE
    assert sent.report["findings"] == []
    # By hand: 0.11° south and 0.07° west of the only ZIP code, 13.7 km.
    assert sent.report["nearest_km"] == pytest.approx(13.7, abs=0.3)
    weather_files.file_use(file_id=sent.pk, actor=office)
    station = WeatherStation.objects.get()
    assert station.sha256 == sent.file.sha256
    year = weather.year_for(station)
    assert year.name == "GREENSBORO PIEDMONT TRIAD INT, NC"
    assert weather.station_nearest(latitude_deg=36.2, longitude_deg=-79.9) == station
    assert weather.used_by_run(station)["sha256"] == sent.file.sha256
    verbs = TrailEntry.objects.filter(record_kind__startswith="modeling.weather")
    assert [line.verb for line in verbs] == ["sent", "moved", "loaded", "moved"]
    with pytest.raises(DomainError, match="found usable"):
        weather_files.file_use(file_id=sent.pk, actor=office)


@pytest.mark.usefixtures("territory")
def test_place_far_away_cannot_be_used(office: Any) -> None:
    away = send(office, epw(latitude=41.0, longitude=-79.95))
    assert away.state == WeatherFileState.REFUSED
    assert "another climate" in away.report["findings"][-1]["text"]
    with pytest.raises(DomainError):
        weather_files.file_use(file_id=away.pk, actor=office)
    near = send(office, epw(latitude=37.6))
    assert near.state == WeatherFileState.USABLE
    assert near.report["findings"][-1]["code"] == "far"


def test_bad_file_is_refused_with_its_line(office: Any) -> None:
    sent = send(office, tmy3(lambda lines: lines[:5000] + lines[5001:]))
    assert sent.state == WeatherFileState.REFUSED
    text = sent.report["findings"][0]["text"]
    assert text.startswith("Line 5001 is ")
    page = signed_in(office).get(reverse("office:weather_file", args=[sent.pk]))
    assert text in page.content.decode()
    assert "Use for the territory" not in page.content.decode()


def test_loading_a_code_anew_leaves_what_runs_used(office: Any) -> None:
    first = send(office, GREENSBORO.read_bytes())
    weather_files.file_use(file_id=first.pk, actor=office)
    before = weather.used_by_run(WeatherStation.objects.get())
    second = send(office, epw())
    weather_files.file_use(file_id=second.pk, actor=office)
    station = WeatherStation.objects.get()
    assert station.sha256 == second.file.sha256 != before["sha256"]
    first.refresh_from_db()
    assert first.station == station


def test_station_out_of_use_serves_no_new_run_and_the_last_one_stays(office: Any) -> None:
    for code in ("A1", "B2"):
        weather_files.file_use(file_id=send(office, epw(), code=code).pk, actor=office)
    one, two = WeatherStation.objects.order_by("code")
    weather.station_retire(station_id=one.pk, actor=office)
    assert weather.station_nearest(latitude_deg=None, longitude_deg=None) == two
    for pk in (one.pk, two.pk):
        with pytest.raises(DomainError):
            weather.station_retire(station_id=pk, actor=office)


@pytest.mark.parametrize(
    ("raw", "code", "source", "field"),
    [
        (None, "A1", "made", "file"),
        (b"", "A1", "made", "file"),
        (b"x" * 12_000_001, "A1", "made", "file"),
        (b"x", "", "made", "code"),
        (b"x", "../../etc", "made", "code"),
        (b"x", "A1", " ", "source"),
        (b"x", "A1", "x" * 201, "source"),
    ],
    ids=lambda value: str(value)[:12],
)
def test_what_cannot_be_taken_in_names_the_field(
    office: Any, raw: bytes | None, code: str, source: str, field: str
) -> None:
    with pytest.raises(ValuesRefused) as refusal:
        weather_files.file_receive(
            upload=None if raw is None else io.BytesIO(raw), name="a", code=code, source=source,
            actor=office,
        )  # fmt: skip
    assert set(refusal.value.fields) == {field}
    assert not WeatherFile.objects.exists()


def test_only_the_office_loads_weather() -> None:
    stranger = people.person()
    with pytest.raises(NotAllowed):
        weather_files.file_receive(
            upload=io.BytesIO(b"x"), name="a", code="A1", source="made", actor=stranger
        )


def signed_in(user: Any) -> Client:
    client = Client()
    client.force_login(user)
    return client


def test_pages_from_sending_to_using(office: Any) -> None:
    client = signed_in(office)
    url = reverse("office:weather")
    assert "No weather is in use" in client.get(url).content.decode()
    again = client.post(url, {"code": "", "source": ""}).content.decode()
    assert "Error:" in again
    assert "Choose the file." in again
    sent = SimpleUploadedFile("q" * 150 + ".csv", GREENSBORO.read_bytes())
    answer = client.post(url, {"file": sent, "code": "723170", "source": "TMY3"})
    assert answer.status_code == 302
    waiting = client.get(answer.url)
    assert "being checked" in waiting.content.decode()
    assert client.get(answer.url, headers={"Accept": "application/json"}).json() == {
        "state": "checking", "label": "being checked", "done": 0, "total": 1, "is_finished": False,
    }  # fmt: skip
    jobs.drain()
    page = client.get(answer.url).content.decode()
    for words in ("Nothing is wrong with it", "36.10° north", "1980–2003", "896 ft", "mbar"):
        assert words in page
    assert client.post(answer.url).url == url
    page = client.get(url).content.decode()
    assert "3,9" in page or "3,8" in page
    assert "GREENSBORO" in page
    assert WeatherStation.objects.get().source == "TMY3"


def test_operations_from_sending_to_using(office: Any) -> None:
    client = signed_in(office)
    url = reverse("api_weather")
    refused = client.post(url, {"code": "A1", "source": "made"})
    assert refused.status_code == 400
    assert set(refused.json()["fields"]) == {"file"}
    sent = SimpleUploadedFile("year.epw", epw())
    answer = client.post(url, {"file": sent, "code": "A1", "source": "made"})
    assert answer.status_code == 202
    jobs.drain()
    pk = answer.json()["id"]
    read = client.get(reverse("api_weather_file", args=[pk])).json()
    assert read["state"] == "usable"
    assert [item["code"] for item in read["report"]["findings"]] == ["one_year"]
    used = client.post(reverse("api_weather_use", args=[pk])).json()
    assert used["state"] == "used"
    assert client.get(url).json()["stations"][0]["code"] == "A1"


def test_check_that_breaks_off_refuses_the_file(office: Any) -> None:
    sent = weather_files.file_receive(
        upload=io.BytesIO(b"x"), name="a", code="A1", source="made", actor=office
    )
    weather_files.file_check_failed(file_id=sent.pk)
    sent.refresh_from_db()
    assert sent.state == WeatherFileState.REFUSED
    assert "broke off" in finding_words(sent.report["findings"][0])


def test_command_loads_and_names_the_line(tmp_path: Any, capsys: Any) -> None:
    call_command("load_weather", "723170", "pvlib:723170TYA.CSV", source="TMY3, Greensboro")
    said = capsys.readouterr().out
    for words in ("Heating degree days: 3,8", "Years: 1980–2003", "is in use under 723170"):
        assert words in said
    made = tmp_path / "made.epw"
    made.write_bytes(epw())
    call_command("load_weather", "B2", str(made), source="made", check=True)
    assert "Look at this: All months are of 2001" in capsys.readouterr().out
    assert WeatherStation.objects.count() == 1
    bad = tmp_path / "bad.epw"
    bad.write_bytes(epw(pressure_pa=1013.0))
    with pytest.raises(CommandError, match="Line 9, column pressure"):
        call_command("load_weather", "A1", str(bad), source="made")
    with pytest.raises(CommandError, match="cannot load"):
        call_command("load_weather", "A1", str(tmp_path / "none.epw"), source="made")
