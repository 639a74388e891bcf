"""Pages and operations of the field record."""

import json
from typing import Any

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from django.urls import reverse

from portal.intake import selectors
from portal.intake.models import FieldRecord
from portal.intake.states import RecordState
from tests.factories import intake, scheduling
from tests.factories.enrollment import casefile, county, homeowner_of
from tests.factories.people import administrator

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("march_2")]


def signed_in(user: Any) -> Client:
    client = Client()
    client.force_login(user)
    return client


@pytest.fixture
def record() -> FieldRecord:
    return intake.ranch_record()


@pytest.fixture
def auditor(record: FieldRecord) -> Client:
    return signed_in(intake.auditor_of(record))


def item_url(record: FieldRecord, group: str, section: str, name: str = "intake:item") -> str:
    item = record.items.filter(group=group, removed_at=None).first()
    assert item is not None
    return reverse(name, args=[record.pk, section, item.key])


def posted(**values: str) -> dict[str, str]:
    """A form in which these fields were on the page."""
    shown = {f"{key.partition('__')[0]}__shown": "1" for key in values}
    return {**shown, **values}


def test_open_button_leads_to_the_field_sheet() -> None:
    appointment = intake.visit()
    client = signed_in(appointment.auditor.user)
    answer = client.post(reverse("intake:open", args=[appointment.casefile.number]))
    record = FieldRecord.objects.get()
    assert answer.url == reverse("intake:record", args=[record.pk])
    page = client.get(answer.url).content.decode()
    assert "things left" in page
    assert "Next left:" in page


@pytest.mark.parametrize("name", ["record", "complete", "section", "item", "upload"])
def test_pages_show_and_strangers_find_nothing(
    record: FieldRecord, auditor: Client, name: str
) -> None:
    """Another auditor, the homeowner and a stranger get 404 or sign-in, never a hint."""
    urls = {
        "record": reverse("intake:record", args=[record.pk]),
        "complete": reverse("intake:complete", args=[record.pk]),
        "section": reverse("intake:section", args=[record.pk, "attic"]),
        "item": item_url(record, "attics", "attic"),
        "upload": reverse("intake:upload", args=[record.casefile.number]),
    }
    url = urls[name]
    assert auditor.get(url).status_code == 200
    other = scheduling.auditor("other@qlg.example", counties=[county("Brindle", "00241")])
    assert signed_in(other.user).get(url).status_code == 404
    assert signed_in(homeowner_of(record.casefile)).get(url).status_code == 404
    assert Client().get(url).status_code == 302
    assert signed_in(administrator()).get(url).status_code == 200


def test_other_auditors_posts_change_nothing(record: FieldRecord) -> None:
    other = scheduling.auditor("other@qlg.example", counties=[county("Brindle", "00241")])
    client = signed_in(other.user)
    url = reverse("intake:section", args=[record.pk, "dwelling"])
    assert client.post(url, posted(bedrooms="9")).status_code == 404
    assert client.post(reverse("intake:complete", args=[record.pk])).status_code == 404
    api = reverse("api_section_save", args=[record.pk, "dwelling"])
    answer = client.put(api, {"values": {"bedrooms": 9}}, content_type="application/json")
    assert answer.status_code == 404
    assert record.entries.get(field="dwelling.bedrooms", is_current=True).value == 3


def test_section_saves_in_either_unit(record: FieldRecord, auditor: Client) -> None:
    url = reverse("intake:section", args=[record.pk, "dwelling"])
    answer = auditor.post(url, posted(floor_area="126.35", floor_area__unit="m²"))
    assert answer.status_code == 302
    entry = record.entries.get(field="dwelling.floor_area", is_current=True)
    assert (entry.typed, entry.unit, entry.si) == ("126.35", "m²", pytest.approx(126.35))
    assert 'value="126.35"' in auditor.get(url).content.decode()


def test_refusal_keeps_what_was_typed_and_names_field_limit_and_unit(
    record: FieldRecord, auditor: Client
) -> None:
    url = item_url(record, "attics", "attic")
    answer = auditor.post(url, posted(layer1_depth="480", layer1_depth__unit="in", area="1,400"))
    page = answer.content.decode()
    assert answer.status_code == 200
    assert page.count("Usual depth: at most 48 in. You typed 480 in.") == 2  # on top and beside
    assert 'value="480"' in page
    assert 'value="1,400"' in page
    assert "<title>Error:" in page
    assert 'href="#id_layer1_depth"' in page


def test_odd_value_is_asked_about_on_the_page_and_confirmed(
    record: FieldRecord, auditor: Client
) -> None:
    url = item_url(record, "attics", "attic")
    answer = auditor.post(url, posted(layer1_depth="30", layer1_depth__unit="in"))
    page = answer.content.decode()
    assert "Usual depth: seldom above 24 in. You typed 30 in. Is it right?" in page
    assert 'name="layer1_depth__confirmed"' in page
    answer = auditor.post(
        url,
        posted(layer1_depth="30", layer1_depth__unit="in", layer1_depth__confirmed="Measured"),
    )
    assert answer.status_code == 302


def test_wrong_and_odd_values_are_told_apart_on_one_page(
    record: FieldRecord, auditor: Client
) -> None:
    url = item_url(record, "attics", "attic")
    values = {"layer1_depth": "480", "layer1_depth__unit": "in", "area": "9000"}
    page = auditor.post(url, posted(**values)).content.decode()
    assert 'name="area__confirmed"' in page
    assert 'name="layer1_depth__confirmed"' not in page


def test_lists_take_none_of_these_and_an_untouched_list_stays_open(
    record: FieldRecord, auditor: Client
) -> None:
    url = reverse("intake:section", args=[record.pk, "visit"])
    auditor.post(url, posted(complaints="__none__"))
    assert record.entries.get(field="visit.complaints", is_current=True).value == []
    auditor.post(url, {"complaints__shown": "1"})
    assert not record.entries.filter(field="visit.complaints", is_current=True).exists()


def test_live_results_stand_on_the_page(record: FieldRecord, auditor: Client) -> None:
    page = auditor.get(item_url(record, "blower_door_tests", "air_leakage")).content.decode()
    assert "CFM50" in page
    assert "air changes an hour at 50 Pa" in page


def test_failed_test_stops_on_the_page_of_the_record(record: FieldRecord, auditor: Client) -> None:
    url = item_url(record, "combustion_appliances", "combustion")
    auditor.post(
        url,
        posted(co_measured="900", co_measured__unit="ppm", co_measured__confirmed="Read twice"),
    )
    page = auditor.get(reverse("intake:record", args=[record.pk])).content.decode()
    assert "Stop is open" in page
    assert "Limit 200 ppm" in page
    item = auditor.get(url).content.decode()
    assert "live--fails" in item


def test_items_are_added_copied_renamed_and_removed(record: FieldRecord, auditor: Client) -> None:
    add = reverse("intake:item_add", args=[record.pk, "walls"])
    auditor.post(add, {"group": "walls", "name": "Dormer"})
    item = record.items.get(name="Dormer")
    args = [record.pk, "walls", item.key]
    auditor.post(reverse("intake:item_rename", args=args), {"name": "North dormer"})
    auditor.post(reverse("intake:item_copy", args=args))
    auditor.post(reverse("intake:item_remove", args=args))
    live = record.items.filter(removed_at=None).values_list("name", flat=True)
    assert "North dormer, copy" in live
    assert "North dormer" not in live
    empty = auditor.post(add, {"group": "walls", "name": " "}, follow=True)
    assert "Give it a short name" in empty.content.decode()
    assert auditor.post(add, {"group": "towers", "name": "x"}).status_code == 404


def test_upload_page_says_what_was_found_and_what_was_skipped() -> None:
    appointment = intake.visit()
    client = signed_in(appointment.auditor.user)
    url = reverse("intake:upload", args=[appointment.casefile.number])
    file = SimpleUploadedFile("two-story.xml", intake.TWO_STORY.read_bytes())
    page = client.post(url, {"file": file}, follow=True).content.decode()
    assert "HPXML version 4.2" in page
    assert "What was skipped, and why" in page
    assert "Site/Address/Address1" in page


@pytest.mark.parametrize("content", [b"", b"<html/>", None])
def test_refused_upload_says_why_on_the_page(content: bytes | None) -> None:
    appointment = intake.visit()
    client = signed_in(appointment.auditor.user)
    url = reverse("intake:upload", args=[appointment.casefile.number])
    data = {} if content is None else {"file": SimpleUploadedFile("x.xml", content)}
    answer = client.post(url, data)
    assert answer.status_code == 200
    assert "The file was not taken. Nothing of it is stored." in answer.content.decode()


def test_completing_asks_for_reasons_and_then_completes(
    record: FieldRecord, auditor: Client
) -> None:
    url = reverse("intake:complete", args=[record.pk])
    answer = auditor.post(url)
    assert "<title>Error:" in answer.content.decode()
    assert 'name="why:photos"' in answer.content.decode()
    answer = auditor.post(url, {"why:photos": "The camera stayed in the van"})
    record.refresh_from_db()
    assert answer.status_code == 302
    assert record.state == RecordState.COMPLETE


def test_correction_on_the_page_asks_why_and_is_shown_with_both(auditor: Client) -> None:
    record = FieldRecord.objects.get()
    auditor.post(reverse("intake:complete", args=[record.pk]), {"why:photos": "No camera"})
    url = reverse("intake:section", args=[record.pk, "dwelling"])
    answer = auditor.post(url, posted(bedrooms="4"))
    assert "Say why the value is changed" in answer.content.decode()
    auditor.post(url, posted(bedrooms="4") | {"why_changed": "The den has a closet"})
    page = auditor.get(reverse("intake:record", args=[record.pk])).content.decode()
    assert "The den has a closet" in page


def test_hazard_is_cleared_on_its_page(auditor: Client) -> None:
    record = FieldRecord.objects.get()
    auditor.post(reverse("intake:complete", args=[record.pk]), {"why:photos": "No camera"})
    client = signed_in(administrator())
    url = reverse("intake:hazards", args=[record.casefile.number])
    key = selectors.open_hazards(record)[0].key
    refused = client.post(url, {"hazard": key, "evidence": ""}).content.decode()
    assert "Say what shows that it is cleared" in refused
    client.post(url, {"hazard": key, "evidence": "Vented through the roof on March 20"})
    assert "Vented through the roof" in client.get(url).content.decode()
    assert auditor.get(url).status_code == 404


@pytest.mark.parametrize("name", ["record", "section", "item", "complete"])
def test_queries_do_not_grow_with_what_is_recorded(
    record: FieldRecord, auditor: Client, name: str, django_assert_max_num_queries: Any
) -> None:
    urls = {
        "record": reverse("intake:record", args=[record.pk]),
        "section": reverse("intake:section", args=[record.pk, "walls"]),
        "item": item_url(record, "walls", "walls"),
        "complete": reverse("intake:complete", args=[record.pk]),
    }
    counts = []
    for extra in (0, 6):
        for number in range(extra):
            intake.item(record, "walls", f"Wall {number}")
        with django_assert_max_num_queries(20) as captured:
            assert auditor.get(urls[name]).status_code == 200
        counts.append(len(captured))
    assert counts[0] == counts[1]


def test_template_and_schema_are_given_to_auditors_only(auditor: Client) -> None:
    assert auditor.get(reverse("intake:template")).json()["sheet_version"] == 1
    schema = auditor.get(reverse("api_sheet_schema")).json()
    assert "attics" in schema["properties"]["items"]["properties"]
    home = signed_in(homeowner_of(casefile("4410000002", "2 Elm Street", "kim@mail.example")))
    assert home.get(reverse("intake:template")).status_code == 404
    assert home.get(reverse("api_sheet_schema")).status_code == 403


# -- Operations ---------------------------------------------------------------------------


def test_operations_open_fill_and_complete_a_record() -> None:
    appointment = intake.visit()
    client = signed_in(appointment.auditor.user)
    opened = client.post(reverse("api_record_open", args=[appointment.casefile.number]))
    assert opened.status_code == 201
    pk = opened.json()["id"]
    upload = client.post(
        reverse("api_record_upload", args=[pk]),
        {"file": SimpleUploadedFile("ranch.json", intake.RANCH.read_bytes())},
    )
    assert upload.status_code == 201
    record = json.loads(intake.RANCH.read_text(encoding="utf-8"))
    sections = [*record["house"].values()]
    sections += [item["fields"] for group in record["items"].values() for item in group]
    assert upload.json()["report"]["values"] == sum(len(section) for section in sections)
    body = client.get(reverse("api_record", args=[pk])).json()
    assert body["left"] == []
    assert any(result["key"] == "blower_door" for result in body["results"])
    complete = reverse("api_record_complete", args=[pk])
    refused = client.post(complete, {}, content_type="application/json")
    assert refused.status_code == 409
    assert refused.json()["code"] == "confirm_needed"
    assert list(refused.json()["fields"]) == ["photos"]
    done = client.post(
        complete, {"confirmed": {"photos": "No camera"}}, content_type="application/json"
    )
    assert done.json()["state"] == "complete"


def test_operation_saves_an_item_and_answers_with_results(
    record: FieldRecord, auditor: Client
) -> None:
    item = record.items.get(group="blower_door_tests")
    url = reverse("api_item_save", args=[record.pk, "air_leakage", item.key])
    values = {"flow": {"typed": "3,200", "unit": "cfm"}}
    answer = auditor.put(url, {"values": values}, content_type="application/json")
    assert answer.json()["changed"] == ["flow"]
    assert answer.json()["results"][0]["numbers"]["cfm50"] == pytest.approx(3032, abs=5)


@pytest.mark.parametrize(
    ("values", "code", "field"),
    [
        ({"bedrooms": 99}, "values_refused", "bedrooms"),
        ({"floor_area": {"typed": "300", "unit": "ft²"}}, "values_to_confirm", "floor_area"),
        ({"wings": 2}, "values_refused", "wings"),
        ({"bedrooms": {"value": 3, "by": "me"}}, "values_refused", "bedrooms"),
        ({"bedrooms": {"value": 3, "how": 5}}, "values_refused", "bedrooms"),
    ],
)
def test_operation_refuses_in_one_shape(
    record: FieldRecord, auditor: Client, values: dict[str, Any], code: str, field: str
) -> None:
    url = reverse("api_section_save", args=[record.pk, "dwelling"])
    answer = auditor.put(url, {"values": values}, content_type="application/json")
    assert answer.status_code == 400
    assert answer.json()["code"] == code
    assert field in answer.json()["fields"]


def test_operation_refuses_a_broken_upload_with_every_fault(
    record: FieldRecord, auditor: Client
) -> None:
    url = reverse("api_record_upload", args=[record.pk])
    answer = auditor.post(url, {"file": SimpleUploadedFile("x.xml", b"<html/>")})
    assert answer.json()["code"] == "upload_refused"
    assert auditor.post(url, {"file": SimpleUploadedFile("x.xml", b"")}).status_code == 409
    assert auditor.post(url, {}).status_code == 409
