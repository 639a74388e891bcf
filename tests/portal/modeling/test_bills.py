"""Bills of a household: kept, found for a run, fitted, and told in words."""

import io
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.core.management.base import CommandError
from django.test import Client
from django.urls import reverse
from pytest_django import DjangoDbBlocker

from calcs.daily_weather import NormalMonth, normal_months
from portal.core import clock, jobs
from portal.core.actors import SystemActor
from portal.core.errors import DomainError, NotAllowed, ValuesRefused
from portal.core.units import convert
from portal.modeling import bill_words, daily_weather, selectors, services, usage, usage_file
from portal.modeling.models import DailySeries, ModelRun, UsageReading
from portal.modeling.results import BillsOutcome, Flag
from portal.modeling.usage import Reading
from portal.places.demo import bills as demo_bills
from portal.reports import method
from tests.factories import people
from tests.factories.weather import greensboro
from tests.journeys import homes

pytestmark = pytest.mark.django_db
OFFICE = SystemActor("test set-up")
FIRST = demo_bills.FIRST_DAY


def load_weather(code: str = "MADE-UP", *, is_synthetic: bool = True, days: int = 10_000) -> None:
    daily_weather.series_load(
        code=code, name=code.title(), source="test", first_on=FIRST,
        mean_c=demo_bills.daily_c()[:days], is_synthetic=is_synthetic,
        latitude_deg=36.1, longitude_deg=-79.9, actor=OFFICE,
    )  # fmt: skip


def gas(first: date, *, count: int, base: float = 0.6, slope: float = 0.15) -> list[Reading]:
    """Monthly gas of a house that heats below 62 °F, in the made-up weather of its days."""
    found, starts_on = [], first
    for _ in range(count):
        ends_on = starts_on + timedelta(days=30)
        temps = demo_bills.daily_f()[(starts_on - FIRST).days : (ends_on - FIRST).days]
        use = sum(base + slope * max(62.0 - temp, 0.0) for temp in temps)
        found.append(Reading("natural_gas", starts_on, ends_on, round(use, 1), "therms"))
        starts_on = ends_on
    return found


def normal() -> tuple[NormalMonth, ...]:
    return normal_months(greensboro())


@pytest.fixture(scope="module")
def home(django_db_setup: None, django_db_blocker: DjangoDbBlocker) -> Iterator[homes.Walked]:
    """An audited ranch."""
    with homes.kept_for_a_module(django_db_blocker):
        with django_db_blocker.unblock():
            made = homes.audited()
        yield made


def load(home: homes.Walked, readings: list[Reading]) -> int:
    account = home.casefile.participation.account
    return usage.readings_load(account=account, readings=readings, actor=OFFICE)


# -- Keeping ---------------------------------------------------------------------------------------


def test_a_reading_known_already_is_brought_up_to_date_and_a_correction_stands_beside_it(
    home: homes.Walked,
) -> None:
    one = gas(date(2024, 3, 1), count=1)[0]
    load(home, [one])
    load(home, [replace(one, quantity=77.0)])
    assert [r.quantity for r in UsageReading.objects.all()] == [77.0]
    load(home, [replace(one, quantity=70.0, revision=1)])
    assert [r.quantity for r in UsageReading.objects.all()] == [77.0, 70.0]


def test_readings_that_cannot_be_are_refused(home: homes.Walked) -> None:
    one = gas(date(2024, 3, 1), count=1)[0]
    with pytest.raises(ValuesRefused, match="cannot be right"):
        load(home, [replace(one, ends_on=one.starts_on)])
    with pytest.raises(ValuesRefused, match="cannot be right"):
        load(home, [replace(one, quantity=-3.0)])
    # Net metering is no fault.
    load(home, [replace(one, fuel="electricity", unit="kWh", quantity=-30.0)])
    with pytest.raises(NotAllowed):
        usage.readings_load(
            account=home.casefile.participation.account, readings=[one], actor=home.owner
        )


def test_daily_weather_is_kept_by_day_and_brought_up_to_date() -> None:
    load_weather(days=400)
    load_weather(days=410)
    series = DailySeries.objects.get()
    assert series.days.count() == 410
    found = daily_weather.between(series, FIRST, FIRST + timedelta(days=3))
    assert [float(v) for v in found.between(FIRST, FIRST + timedelta(days=3))] == pytest.approx(
        demo_bills.daily_c()[:3]
    )
    with pytest.raises(DomainError, match="no day"):
        daily_weather.series_load(
            code="X", name="X", source="", first_on=FIRST, mean_c=[float("nan")],
            latitude_deg=0, longitude_deg=0, actor=OFFICE,
        )  # fmt: skip
    with pytest.raises(NotAllowed):
        daily_weather.series_load(
            code="X", name="X", source="", first_on=FIRST, mean_c=[1.0],
            latitude_deg=0, longitude_deg=0, actor=people.person("a@mail.example", "A"),
        )  # fmt: skip


def test_measured_weather_comes_before_made_up_weather_however_far() -> None:
    assert daily_weather.series_nearest(latitude_deg=36.0, longitude_deg=-79.9) is None
    load_weather()
    assert daily_weather.series_nearest(latitude_deg=None, longitude_deg=None).code == "MADE-UP"
    load_weather("measured", is_synthetic=False, days=40)
    assert daily_weather.series_nearest(latitude_deg=36.1, longitude_deg=-79.9).code == "measured"


def sent_days(text: str) -> SimpleUploadedFile:
    return SimpleUploadedFile("days.csv", text.encode(), content_type="text/csv")


SENT = {"code": "FORD", "name": "Ford", "source": "test", "latitude": "36.1", "longitude": "-79.9"}


def test_an_administrator_sends_days_in_the_browser_and_by_the_api(client: Client) -> None:
    client.force_login(people.administrator())
    page = reverse("office:daily_weather")
    days = "date,tmax_f,tmin_f\n2026-01-01,50,32\n2026-01-03,59,41\n"
    wrong = client.post(page, SENT | {"file": sent_days(days.replace("59", "warm"))})
    assert "Line 3: &#x27;warm&#x27; is not a temperature" in wrong.content.decode()
    assert not DailySeries.objects.exists()
    assert client.post(page, SENT | {"file": sent_days(days)}).status_code == 302
    shown = client.get(page).content.decode()
    assert "Jan 1, 2026 to Jan 3, 2026, one day missing" in shown
    assert "made up" not in shown.split("<form")[0]
    more = "date,tmean\n2026-01-02,40\n"
    body = SENT | {"file": sent_days(more), "unit": "F"}
    sent = client.post(reverse("api_daily_weather"), body)
    assert sent.status_code == 201, sent.content
    assert sent.json()["days"] == 3
    assert client.get(reverse("api_daily_weather")).json()[0]["is_synthetic"] is False
    made_up = SENT | {"file": sent_days(more), "unit": "F", "is_synthetic": "true"}
    mixed = client.post(reverse("api_daily_weather"), made_up)
    assert mixed.json()["code"] == "weather_mixed"
    refused = client.post(
        reverse("api_daily_weather"),
        SENT | {"file": sent_days(more), "latitude": "136", "code": "!"},
    )
    assert refused.status_code == 400
    assert set(refused.json()["fields"]) >= {"code", "latitude", "file"}


# -- Finding for a run -----------------------------------------------------------------------------


def test_a_run_sees_only_bills_of_this_household_read_before_the_visit(home: homes.Walked) -> None:
    load_weather()
    visit = clock.program_date(home.record.completed_at)
    load(home, gas(visit - timedelta(days=900), count=40))
    found = usage.bills_for(home.record, normal=normal())
    assert [item.fuel for item in found] == ["natural_gas"]
    assert date.fromisoformat(found[0].last_on) <= visit
    assert date.fromisoformat(found[0].first_on) >= visit - timedelta(days=usage.LONGEST_DAYS)
    household = home.casefile.participation.household
    household.moved_in_on = visit - timedelta(days=300)
    household.save()
    home.record.refresh_from_db()
    fewer = usage.bills_for(type(home.record).objects.get(pk=home.record.pk), normal=normal())
    assert date.fromisoformat(fewer[0].first_on) >= household.moved_in_on
    assert {flag.code for flag in fewer[0].flags} >= {"less_than_a_year", "synthetic_weather"}


def test_bills_without_weather_are_refused_and_the_words_say_so(home: homes.Walked) -> None:
    visit = clock.program_date(home.record.completed_at)
    load(home, gas(visit - timedelta(days=700), count=20))
    found = usage.bills_for(home.record, normal=normal())
    assert found[0].refusal is not None
    assert found[0].refusal.code == "no_weather"
    assert "daily weather of their dates is not loaded (0 of 20" in bill_words.fit_words(found[0])
    assert usage.bills_for(home.record, normal=normal())[0].fit is None


def test_a_run_is_fitted_to_its_bills_and_says_so_in_words(
    home: homes.Walked, client: Client
) -> None:
    before = ModelRun.objects.get(casefile=home.casefile)
    recorded = selectors.analysis_of(before)
    assert recorded.calibration is not None
    assert recorded.calibration.state == "no_bills"
    assert not recorded.is_calibrated
    assert "not calibrated" in " ".join(method.paragraphs(before, recorded))
    load_weather()
    visit = clock.program_date(home.record.completed_at)
    load(home, gas(visit - timedelta(days=720), count=24, slope=0.13))
    run = services.run_queue(record=home.record, actor=home.auditor)
    with homes.papers_not_laid_out():
        jobs.drain()
    run.refresh_from_db()
    assert run.state == "done", run.error
    found = selectors.analysis_of(run)
    account = found.calibration
    assert account is not None
    assert account.state == "fitted"
    assert found.is_calibrated
    assert 1 <= len(account.changes) <= 3
    gas_match = account.fuels[0]
    assert abs(gas_match.nmbe_recorded_pct or 0) > abs(gas_match.nmbe_fitted_pct or 0)
    # The house of the run is the fitted one, and its gas is that of the bills within 5 %.
    therms = convert(found.baseline.energy_j["natural_gas"], "J", "therms")
    assert therms == pytest.approx(account.bills[0].normal_annual, rel=0.05)
    for change in account.changes:
        assert selectors.house_of(run).origin(change.path).how == "fitted"
    words = bill_words.paragraphs(account)
    assert any("explain" in text and "gas bills" in text for text in words)
    assert any("CV(RMSE)" in text for text in words)
    assert any("made up" in text for text in words)
    assert words[0] in method.paragraphs(run, found)
    client.force_login(home.auditor)
    page = client.get(reverse("modeling:run", args=[run.pk])).content.decode()
    assert words[0] in page
    assert "Held against the bills" in page
    # Savings are those of a house that uses less: none is larger than on the house as recorded.
    assert found.baseline.cost_usd < recorded.baseline.cost_usd


# -- Without a database ----------------------------------------------------------------------------


def files(tmp_path: Path, lines: str) -> tuple[str, str]:
    bills_file, weather_file = tmp_path / "bills.csv", tmp_path / "days.csv"
    bills_file.write_text(lines, encoding="utf-8")
    days = "".join(
        f"{FIRST + timedelta(days=i)},{temp:.3f}\n" for i, temp in enumerate(demo_bills.daily_f())
    )
    weather_file.write_text("date,tmean_f\n" + days, encoding="utf-8")
    return str(bills_file), str(weather_file)


def bill_lines() -> str:
    rows = "".join(f"{r.starts_on},{r.ends_on},{r.quantity}\n"
                   for r in gas(date(2024, 2, 11), count=13))  # fmt: skip
    return "starts_on,ends_on,quantity\n" + rows


def test_usage_prints_what_bills_say(tmp_path: Path) -> None:
    bills_file, weather_file = files(tmp_path, bill_lines())
    out = io.StringIO()
    call_command("usage", bills_file, daily_weather=Path(weather_file), stdout=out,
                 normal="pvlib:723170TYA.CSV", synthetic=True)  # fmt: skip
    text = out.getvalue()
    assert "13 bills for gas" in text
    assert "rising below 62 °F outside" in text
    assert "within the published limits" in text
    assert "made up, for show" in text
    assert "cooling" not in text


def test_usage_says_what_work_on_the_house_saved(tmp_path: Path) -> None:
    """A fifth off the heating and nothing off the rest, with a bill over the day of the work."""
    changed = date(2025, 3, 10)
    rows = [r for r in gas(date(2024, 2, 11), count=13) if r.ends_on <= changed]
    rows += gas(changed + timedelta(days=12), count=13, slope=0.12)
    lines = "starts_on,ends_on,quantity\n"
    lines += "".join(f"{r.starts_on},{r.ends_on},{r.quantity}\n" for r in rows)
    bills_file, weather_file = files(tmp_path, lines)
    out = io.StringIO()
    call_command("usage", bills_file, daily_weather=Path(weather_file), stdout=out,
                 normal="pvlib:723170TYA.CSV", changed_on=changed)  # fmt: skip
    months = normal()
    heating = sum(
        convert(max(convert(62.0, "°F", "°C") - float(t), 0.0), "K", "ΔF")
        for month in months
        for t in month.temperatures_c
    )
    found = re.search(r": (\d+) therms less", out.getvalue())
    assert found is not None
    assert int(found[1]) == pytest.approx(0.03 * heating, rel=0.03)
    with pytest.raises(CommandError, match="typical year"):
        call_command("usage", bills_file, daily_weather=Path(weather_file), changed_on=changed)


def test_a_record_is_held_against_bills_without_a_database(tmp_path: Path) -> None:
    bills_file, weather_file = files(tmp_path, bill_lines())
    record = Path(usage.__file__).parents[2] / "fixtures" / "records" / "ranch-1958.json"
    rates = record.parents[1] / "prices" / "rates.json"
    out = io.StringIO()
    call_command("model", str(record), gas_bills=Path(bills_file), rates=rates,
                 daily_weather=Path(weather_file), json=True, stdout=out)  # fmt: skip
    found = json.loads(out.getvalue())["results"]
    assert found["calibration"]["state"] == "fitted"
    assert found["calibration"]["fuels"][0]["fuel"] == "natural_gas"
    # $12.50 and $14.00 a month, whatever is used.
    assert found["baseline"]["fixed_usd"] == pytest.approx(12 * 26.5)
    with pytest.raises(CommandError, match="daily-weather"):
        call_command("model", str(record), gas_bills=Path(bills_file))


def test_usage_names_the_lines_it_cannot_read(tmp_path: Path) -> None:
    bills_file, weather_file = files(
        tmp_path, "ends_on,quantity,days\n2024-13-01,5,30\n2024-03-01,x,30\n"
    )
    with pytest.raises(CommandError, match=r"line 2(.|\n)*line 3"):
        call_command("usage", bills_file, daily_weather=Path(weather_file))
    with pytest.raises(ValuesRefused, match="no column quantity"):
        usage_file.read_bills("ends_on\n2024-01-01\n")


def test_a_bill_may_start_where_the_last_ended() -> None:
    reads = usage_file.read_bills(
        "ends_on,days,quantity,kind,note\n2024-02-01,31,90,,\n2024-03-01,,80,estimated,snow\n"
    )
    assert reads[1].starts_on == date(2024, 2, 1)
    assert (reads[1].kind, reads[1].note) == ("estimated", "snow")
    with pytest.raises(ValuesRefused):
        usage_file.read_bills("ends_on,quantity\n2024-02-01,90\n")


def test_daily_weather_is_loaded_by_command(tmp_path: Path) -> None:
    _, weather_file = files(tmp_path, bill_lines())
    out = io.StringIO()
    settings = {"name": "Ford", "source": "test", "latitude": 36.1, "longitude": -79.9}
    call_command("load_daily_weather", "FORD", weather_file, synthetic=True, stdout=out, **settings)
    assert "0 days missing, made up" in out.getvalue()
    assert DailySeries.objects.get(code="FORD").is_synthetic
    with pytest.raises(CommandError, match="cannot load"):
        call_command("load_daily_weather", "X", str(tmp_path / "none.csv"), **settings)


def test_what_holds_for_both_fuels_is_said_once() -> None:
    flag = Flag(code="gap", starts_on="2026-01-05", ends_on="2026-02-03")
    later = Flag(code="gap", starts_on="2026-05-01", ends_on="2026-06-02")
    both, odd = Flag(code="synthetic_weather"), Flag(code="low_use")
    outcomes = [
        BillsOutcome(fuel=fuel, unit="", fit=None, refusal=None, periods=(), flags=flags)
        for fuel, flags in (
            ("natural_gas", (flag, both, later, odd)),
            ("electricity", (flag, later, both)),
        )
    ]
    assert bill_words.flags_words(outcomes) == [
        "Bills are missing (Jan 5, 2026 to Feb 3, 2026; May 1, 2026 to Jun 2, 2026).",
        "The daily weather behind them is made up, for show.",
        "For gas: so little is used that rounding shows.",
    ]


def test_every_flag_refusal_and_change_has_words() -> None:
    """What calcs can say and the portal cannot is a page that fails."""
    root = Path(usage.__file__).parents[2] / "calcs"
    text = "".join(path.read_text() for path in (root / "bills").glob("*.py"))
    flags = set(re.findall(r'Flag\(\s*code="(\w+)"', text)) | set(
        re.findall(r'_flag\(\s*"(\w+)"', text)
    )
    assert flags
    assert flags <= set(bill_words.FLAGS)
    refusals = set(re.findall(r'Refusal\(\s*code="(\w+)"', text))
    assert refusals
    assert refusals <= set(bill_words.REFUSALS)
    reasons = set(re.findall(r'Reason\(\s*code="(\w+)"', text))
    assert reasons == set(bill_words.REASONS)
    keys = set(re.findall(r'Knob\(key="(\w+)"', (root / "calibration.py").read_text()))
    assert keys == set(bill_words.TOLD)
