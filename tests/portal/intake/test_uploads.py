"""Field-record files in JSON, and what an upload does to a record."""

import io
import json
from typing import Any

import pytest

from portal.intake import selectors, services, uploads
from portal.intake.document import Reader
from portal.intake.models import FieldItem, RecordUpload
from portal.intake.uploads import UploadRefused
from tests.factories import intake
from tests.factories.intake import RANCH, ranch_document


def small(**house: Any) -> dict[str, Any]:
    return {"sheet_version": 1, "house": {"dwelling": house or {"bedrooms": 3}}}


def refused(content: Any) -> str:
    data = content if isinstance(content, bytes) else json.dumps(content).encode()
    with pytest.raises(UploadRefused) as caught:
        uploads.read(data, name="record.json")
    return " ".join(map(str, caught.value.faults))


def test_ranch_reads_back_as_itself() -> None:
    """What a document says is read again as the same document."""
    document = ranch_document()
    again = uploads.document_of(json.dumps(document).encode())
    assert again == document


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "empty"),
        (b"  \n ", "empty"),
        (b"[1, 2]", "one object"),
        (b"{", "line 1, column 2"),
        (b'{"sheet_version": 1, "house": {"dwelling": {"bedrooms": NaN}}}', "NaN"),
        (b'{"sheet_version": 1, "house": {"dwelling": {"bedrooms": Infinity}}}', "Infinity"),
        (b'{"sheet_version": 1, "sheet_version": 1}', "twice"),
        (b'{"sheet_version": 1, "house": {"dwelling": {"bedrooms": ' + b"9" * 400 + b"}}}",
         "digits"),
        (b'{"a":' * 50 + b"1" + b"}" * 50, "nested"),
        (b'{"sheet_version": 1, "house": "\xff"}', "UTF-8"),
        (b"hello", "neither"),
        ({"sheet_version": 2, "house": {}}, "version 1"),
        ({"sheet_version": True, "house": {}}, "version 1"),
        ({"house": {}}, "version 1"),
        ({"sheet_version": 1, "rooms": {}}, "rooms"),
        ({"sheet_version": 1, "house": {"cellar": {}}}, "house.cellar"),
        ({"sheet_version": 1, "house": []}, "object"),
        ({"sheet_version": 1, "items": {"towers": []}}, "items.towers"),
        ({"sheet_version": 1, "items": {"walls": {}}}, "list"),
        ({"sheet_version": 1, "items": {"walls": [{"key": "w"}]}}, "“key”, “name” and “fields”"),
        (small(wings=2), "house.dwelling.wings"),
        (small(bedrooms="three"), "enter a number"),
        (small(bedrooms=True), "a number is needed"),
        (small(bedrooms=2.5), "whole numbers only"),
        (small(bedrooms=[3]), "a number is needed"),
        (small(floor_area=1360), "“typed” and “unit”"),
        (small(floor_area={"typed": "1360"}), "unit is missing"),
        (small(floor_area={"typed": "1360", "unit": "acre"}), "give it in ft² or m²"),
        (small(floor_area={"typed": "1360", "unit": "ft²", "si": 12}), "do not agree"),
        (small(floor_area={"si": "12"}), "must be a number"),
        (small(floor_area={"typed": "1e400", "unit": "ft²"}), "enter a number"),
        (small(floor_area={"typed": "1360", "unit": "ft²", "by": "me"}), "by"),
        (small(garage="carport"), "choose one of the list"),
        (small(renovation_unfinished="maybe"), "yes or no"),
        (small(bedrooms={"absence": "lost"}), "not accessible, not present or unknown"),
        (small(bedrooms={"absence": "not_accessible"}), "say why"),
        (small(bedrooms={"value": 3, "how": "guessed"}), "guessed"),
        (small(residents=2, children=3), "People living here"),
        (small(pets_words="x" * 301), "at most 300"),
        (small(pets_words="bell \u0007"), "cannot be shown"),
    ],
)  # fmt: skip
def test_faulty_file_is_refused_by_name(content: Any, words: str) -> None:
    assert words in refused(content)


def test_every_fault_is_listed_at_once() -> None:
    text = refused(small(bedrooms=99, stories="low", wings=1))
    assert all(name in text for name in ("bedrooms", "stories", "wings"))


def test_links_must_point_inside_the_file_and_to_the_right_kind() -> None:
    document = ranch_document()
    access = document["items"]["attic_accesses"][0]["fields"]
    access["attic"] = {"value": "attic-z"}
    assert "attic-z" in refused(document)
    access["attic"] = {"value": "crawl"}
    assert "belongs to foundations" in refused(document)


def test_keys_must_not_repeat() -> None:
    document = ranch_document()
    document["items"]["walls"][1]["key"] = "wall-north"
    assert "used twice" in refused(document)


def test_too_large_a_file_is_refused_before_it_is_read() -> None:
    class Endless(io.BytesIO):
        def read(self, size: int | None = -1) -> bytes:
            assert size is not None, "the whole file is never asked for"
            assert 0 < size <= uploads.FILE_LIMIT_BYTES + 1
            return b"x" * size

    with pytest.raises(UploadRefused, match="5 MB"):
        uploads.read_bytes(Endless(), name="x")
    with pytest.raises(UploadRefused, match="Choose a file"):
        uploads.read_bytes(None)
    with pytest.raises(UploadRefused, match="empty"):
        uploads.read_bytes(io.BytesIO(b""))


# -- Into a record ------------------------------------------------------------------------


@pytest.mark.django_db
@pytest.mark.usefixtures("march_2")
class TestIntoRecord:
    def test_upload_stores_the_same_values_under_new_keys(self) -> None:
        record = intake.ranch_record()
        document = selectors.record_document(record)
        expected = ranch_document()
        for section, fields in expected["house"].items():
            for key, entry in fields.items():
                assert document["house"][section][key] == entry
        assert {
            group: [item["name"] for item in items] for group, items in document["items"].items()
        } == {group: [item["name"] for item in items] for group, items in expected["items"].items()}
        reader = Reader(document)
        attic = reader.items("attics")[0]
        assert reader.items("attic_accesses")[0].value("attic") == attic.key

    def test_second_upload_replaces_items_and_keeps_what_was(self) -> None:
        record = intake.ranch_record()
        count = FieldItem.objects.filter(record=record).count()
        with RANCH.open("rb") as file:
            services.record_upload(
                record_id=record.pk, upload=file, name="again.json",
                actor=intake.auditor_of(record),
            )  # fmt: skip
        assert FieldItem.objects.filter(record=record).count() == 2 * count
        assert FieldItem.objects.filter(record=record, removed_at=None).count() == count

    @pytest.mark.parametrize(
        "name", ["../../etc/x.xml", None, "n" * 300 + ".json", "a\nb.json", ""]
    )
    def test_sender_file_names_are_labels_only(self, name: str | None) -> None:
        record = intake.record()
        upload = services.record_upload(
            record_id=record.pk,
            upload=io.BytesIO(json.dumps(small()).encode()),
            name=name,
            actor=intake.auditor_of(record),
        )
        stored = upload.file
        assert "/" not in stored.original_name
        assert "\n" not in stored.original_name
        assert 0 < len(stored.original_name) <= 200
        assert stored.content.name.startswith("files/")

    @pytest.mark.parametrize("content", [b"", b"<html/>", b'{"sheet_version": 9}', b"PK\x03\x04"])
    def test_refused_file_leaves_nothing(self, content: bytes) -> None:
        record = intake.record()
        before = record.entries.count()
        with pytest.raises(UploadRefused):
            services.record_upload(
                record_id=record.pk, upload=io.BytesIO(content), name="x.xml",
                actor=intake.auditor_of(record),
            )  # fmt: skip
        assert record.entries.count() == before
        assert not RecordUpload.objects.exists()
