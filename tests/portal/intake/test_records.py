"""Opening, filling, correcting and completing a record."""

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from portal.core.errors import MoveRefused, NotAllowed, ValuesRefused
from portal.core.models import OutboxMessage, TrailEntry
from portal.intake import left, selectors, services
from portal.intake.document import Reader
from portal.intake.models import FieldEntry
from portal.intake.states import RecordState
from portal.intake.values import Raw
from portal.scheduling.states import AppointmentState
from tests.factories import intake, scheduling
from tests.factories.enrollment import casefile, county
from tests.factories.people import administrator

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("march_2")]


def test_opening_begins_the_visit_and_puts_in_what_is_known() -> None:
    record = intake.record()
    reader = Reader(selectors.record_document(record))
    assert reader.value("visit.visit_date") == "2026-03-02"
    assert reader.value("dwelling.year_built") == 1958
    assert record.appointment is not None
    record.appointment.refresh_from_db()
    assert record.appointment.state == AppointmentState.UNDER_WAY
    again = services.record_open(
        appointment_id=record.appointment.pk, actor=intake.auditor_of(record)
    )
    assert again.pk == record.pk


def test_another_auditor_cannot_open_or_fill_it() -> None:
    record = intake.record()
    stranger = scheduling.auditor("other@qlg.example", counties=[county("Brindle", "00241")])
    assert record.appointment is not None
    with pytest.raises(NotAllowed):
        services.record_open(appointment_id=record.appointment.pk, actor=stranger.user)
    with pytest.raises(NotAllowed):
        services.section_save(
            record_id=record.pk,
            section="dwelling",
            values_given={"bedrooms": Raw(typed="3")},
            actor=stranger.user,
        )


def test_values_are_kept_as_typed_with_their_si_value() -> None:
    record = intake.record()
    saved = intake.save(record, "dwelling", {"floor_area": ("1,360", "ft²"), "bedrooms": "3"})
    assert set(saved.changed) == {"floor_area", "bedrooms"}
    entry = record.entries.get(field="dwelling.floor_area")
    assert (entry.typed, entry.unit) == ("1,360", "ft²")
    assert entry.si == pytest.approx(126.3481, abs=1e-4)  # 1,360 × 0.09290304
    assert intake.save(record, "dwelling", {"bedrooms": "3"}).changed == ()


def test_refusal_saves_nothing_of_the_section() -> None:
    record = intake.record()
    with pytest.raises(ValuesRefused) as refused:
        intake.save(record, "dwelling", {"bedrooms": "3", "floor_area": ("99999", "ft²")})
    assert "at most 25,000 ft²" in refused.value.fields["floor_area"]
    assert not record.entries.filter(field="dwelling.bedrooms").exists()


def test_odd_value_is_asked_about_and_taken_with_a_reason() -> None:
    record = intake.record()
    with pytest.raises(services.ValuesToConfirm) as asked:
        intake.save(record, "dwelling", {"floor_area": ("300", "ft²")})
    assert "seldom below 500 ft²" in asked.value.fields["floor_area"]
    intake.save(
        record,
        "dwelling",
        {"floor_area": Raw(typed="300", unit="ft²", confirmed="Measured twice")},
    )
    entry = record.entries.get(field="dwelling.floor_area")
    assert entry.confirmed_reason == "Measured twice"


def test_part_cannot_exceed_its_whole_whichever_was_saved_first() -> None:
    record = intake.record()
    intake.save(record, "dwelling", {"residents": "2"})
    with pytest.raises(ValuesRefused) as refused:
        intake.save(record, "dwelling", {"children": "3"})
    assert "People living here" in refused.value.fields["children"]


def test_not_accessible_needs_a_reason_and_then_counts_as_recorded() -> None:
    """A9."""
    record = intake.record()
    with pytest.raises(ValuesRefused, match="say why it was not accessible"):
        intake.save(record, "dwelling", {"ceiling_height": Raw(absence="not_accessible")})
    intake.save(
        record,
        "dwelling",
        {"ceiling_height": Raw(absence="not_accessible", reason="Locked room")},
    )
    reader = Reader(selectors.record_document(record))
    fields = {entry.field for entry in left.missing(reader) if entry.section == "dwelling"}
    assert "ceiling_height" not in fields
    assert "floor_area" in fields


def test_record_completes_with_five_absences_and_not_with_one_blank() -> None:
    """A9."""
    record = intake.ranch_record()
    absent = Raw(absence="not_accessible", reason="Behind a locked door")
    intake.save(
        record,
        "dwelling",
        {"ceiling_height": absent, "boundary_height": absent, "interior_mass": absent},
    )
    # Without a height there is no air change, which is said and not passed over.
    found = services.completion_findings(record)
    assert [finding.key for finding in found if finding.is_hard] == ["no_volume"]
    intake.save(record, "dwelling", {"volume": ("10,880", "ft³")})
    intake.save(record, "heating_cooling", {"panel_spaces": absent, "thermostats": absent})
    done = services.record_complete(
        record_id=record.pk, confirmed=intake.CONFIRMED, actor=intake.auditor_of(record)
    )
    assert done.state == RecordState.COMPLETE


def test_one_blank_refuses_completion_and_is_named() -> None:
    record = intake.ranch_record()
    intake.save(record, "dwelling", {"bedrooms": ""})
    with pytest.raises(services.RecordIncomplete) as refused:
        services.record_complete(
            record_id=record.pk, confirmed=intake.CONFIRMED, actor=intake.auditor_of(record)
        )
    assert [finding.words for finding in refused.value.findings] == ["Bedrooms is left."]


def test_soft_findings_need_a_reason_each() -> None:
    record = intake.ranch_record()
    with pytest.raises(services.RecordIncomplete) as asked:
        services.record_complete(record_id=record.pk, actor=intake.auditor_of(record))
    assert asked.value.code == "confirm_needed"
    assert [finding.key for finding in asked.value.findings] == ["photos"]


def test_completing_tells_the_model_and_ends_the_visit() -> None:
    record = intake.complete_ranch()
    assert record.appointment is not None
    record.appointment.refresh_from_db()
    assert record.appointment.state == AppointmentState.VISITED
    news = OutboxMessage.objects.get(topic="field_record.completed")
    assert news.payload == {"record_id": record.pk}
    confirmed = TrailEntry.objects.get(verb="confirmed")
    assert confirmed.details["photos"]["reason"] == intake.CONFIRMED["photos"]


def test_correction_after_completion_keeps_both_values_and_says_who_and_why() -> None:
    """A11."""
    record = intake.complete_ranch()
    test = record.items.get(group="blower_door_tests")
    with pytest.raises(ValuesRefused) as refused:
        intake.save(record, "air_leakage", {"flow": ("3,110", "cfm")}, item_key=str(test.key))
    assert "why_changed" in refused.value.fields
    intake.save(
        record,
        "air_leakage",
        {"flow": ("3,110", "cfm")},
        item_key=str(test.key),
        why_changed="Read the wrong ring",
    )
    old, new = selectors.history_of(record, "flow", str(test.key))
    assert (old.typed, old.is_current) == ("3,060", False)
    assert (new.typed, new.is_current, new.why_changed) == ("3,110", True, "Read the wrong ring")
    assert new.entered_by == "Ansel Rook"
    trail = TrailEntry.objects.get(verb="corrected")
    assert trail.details["flow"] == {"old": "3,060 cfm", "new": "3,110 cfm"}
    assert OutboxMessage.objects.filter(topic="field_record.corrected").count() == 1


def test_completed_record_cannot_lose_a_value_or_an_item() -> None:
    record = intake.complete_ranch()
    with pytest.raises(ValuesRefused, match="Say why there is none"):
        intake.save(record, "dwelling", {"bedrooms": ""}, why_changed="A slip")
    attic = record.items.get(group="attics")
    with pytest.raises(MoveRefused):
        services.item_remove(
            record_id=record.pk, item_key=str(attic.key), actor=intake.auditor_of(record)
        )


def test_reopening_needs_a_reason_and_completing_again_is_news_again() -> None:
    record = intake.complete_ranch()
    actor = intake.auditor_of(record)
    with pytest.raises(Exception, match="Say why the record is reopened"):
        services.record_reopen(record_id=record.pk, actor=actor, why=" ")
    services.record_reopen(record_id=record.pk, actor=actor, why="A second attic was found")
    record.refresh_from_db()
    assert record.state == RecordState.OPEN
    assert record.completed_at is None


def test_item_is_copied_with_its_values_renamed_and_removed_without_loss() -> None:
    record = intake.ranch_record()
    actor = intake.auditor_of(record)
    source = record.items.get(group="walls", name="North wall")
    copy = services.item_copy(record_id=record.pk, item_key=str(source.key), actor=actor)
    assert copy.name == "North wall, copy"
    assert copy.entries.count() == source.entries.filter(is_current=True).count()
    services.item_rename(
        record_id=record.pk, item_key=str(copy.key), name="Dormer wall", actor=actor
    )
    services.item_remove(record_id=record.pk, item_key=str(copy.key), actor=actor)
    names = {part.name for part in Reader(selectors.record_document(record)).items("walls")}
    assert "Dormer wall" not in names
    copy.refresh_from_db()
    assert copy.removed_at is not None
    assert FieldEntry.objects.filter(item=copy).exists()


def test_link_must_point_to_an_item_of_the_right_kind() -> None:
    record = intake.ranch_record()
    access = record.items.get(group="attic_accesses")
    wall = record.items.filter(group="walls").first()
    assert wall is not None
    with pytest.raises(ValuesRefused) as refused:
        intake.save(record, "attic", {"attic": str(wall.key)}, item_key=str(access.key))
    assert "attic" in refused.value.fields
    with pytest.raises(ValuesRefused):
        intake.save(record, "attic", {"kind": "hatch"}, item_key="no-such-item")


def test_removing_what_others_point_to_is_found_before_completion() -> None:
    record = intake.ranch_record()
    zone = record.items.get(group="combustion_zones", name="Crawlspace")
    services.item_remove(
        record_id=record.pk, item_key=str(zone.key), actor=intake.auditor_of(record)
    )
    keys = [finding.key for finding in services.completion_findings(record) if finding.is_hard]
    assert any(key.startswith("link:") for key in keys)


def test_photo_is_checked_and_takes_the_prompt_off_the_list() -> None:
    record = intake.record()
    actor = intake.auditor_of(record)
    with pytest.raises(ValuesRefused, match="not a photo"):
        services.photo_add(
            record_id=record.pk,
            upload=SimpleUploadedFile("../../x.jpg", b"%PDF-1.4 no picture"),
            name="../../x.jpg",
            actor=actor,
        )
    photo = services.photo_add(
        record_id=record.pk,
        upload=SimpleUploadedFile("front.png", _png()),
        name="../../front.png",
        tag="front",
        actor=actor,
    )
    assert photo.file.original_name == "front.png"
    reader = Reader(selectors.record_document(record))
    missing = left.missing_photos(reader, selectors.photo_tags(record))
    assert "front" not in {entry.tag for entry in missing}
    assert "back" in {entry.tag for entry in missing}


def _png() -> bytes:
    import io

    from PIL import Image

    stream = io.BytesIO()
    Image.new("RGB", (4, 3), "white").save(stream, "PNG")
    return stream.getvalue()


def test_rest_is_marked_unknown_except_what_must_be_looked_at() -> None:
    record = intake.record()
    actor = intake.auditor_of(record)
    with intake.TWO_STORY.open("rb") as file:
        services.record_upload(record_id=record.pk, upload=file, name="two.xml", actor=actor)
    with pytest.raises(ValuesRefused):
        services.rest_mark_unknown(record_id=record.pk, reason=" ", actor=actor)
    marked = services.rest_mark_unknown(
        record_id=record.pk, reason="Not in the file of another auditor", actor=actor
    )
    assert marked > 20
    rest = left.missing(Reader(selectors.record_document(record)))
    assert {entry.section for entry in rest if entry.field} & {"visit", "combustion", "barriers"}
    assert all(
        entry.section in ("visit", "combustion", "barriers")
        or entry.field.endswith("_present")
        or not entry.field
        for entry in rest
    )


def test_document_takes_three_queries_however_much_is_recorded(
    django_assert_num_queries: object,
) -> None:
    record = intake.ranch_record()
    with django_assert_num_queries(3):  # type: ignore[operator]  # pytest-django's fixture
        selectors.record_document(record)


def test_hazard_is_cleared_only_by_the_office_with_evidence() -> None:
    record = intake.complete_ranch()
    admin = administrator()
    found = selectors.open_hazards(record)
    key = next(hazard.key for hazard in found if hazard.kind == "exhaust_into_attic")
    with pytest.raises(NotAllowed):
        services.hazard_clear(
            casefile_id=record.casefile_id,
            hazard=key,
            evidence="Seen",
            actor=intake.auditor_of(record),
        )
    with pytest.raises(ValuesRefused, match="Say what shows"):
        services.hazard_clear(casefile_id=record.casefile_id, hazard=key, evidence=" ", actor=admin)
    services.hazard_clear(
        casefile_id=record.casefile_id,
        hazard=key,
        evidence="Fan ducted through the roof, photo of March 20",
        actor=admin,
    )
    assert key not in {hazard.key for hazard in selectors.open_hazards(record)}
    assert OutboxMessage.objects.get(topic="hazard.cleared").payload == {
        "casefile_id": record.casefile_id
    }
    with pytest.raises(ValuesRefused, match="not open"):
        services.hazard_clear(
            casefile_id=record.casefile_id, hazard=key, evidence="Again", actor=admin
        )


def test_expired_credential_stands_in_the_way() -> None:
    import datetime as dt

    home = casefile()
    auditor = scheduling.auditor(
        counties=[home.participation.dwelling.building.county], expires_on=dt.date(2026, 3, 1)
    )
    record = intake.ranch_record(intake.visit(auditor, home))
    keys = [finding.key for finding in services.completion_findings(record) if finding.is_hard]
    assert keys == ["credential"]
