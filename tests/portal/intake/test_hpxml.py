"""HPXML: what is read, what is refused, and attacks on the parser."""

from pathlib import Path

import pytest

from portal.intake import hpxml, uploads
from portal.intake.document import Reader
from portal.intake.uploads import UploadRefused
from tests.factories.intake import TWO_STORY

SHARED = Path(__file__).resolve().parents[4] / "shared" / "samples" / "hpxml"
needs_samples = pytest.mark.skipif(
    not SHARED.exists(), reason="public HPXML samples are not in ../shared/samples"
)

# File and a word of the reason it must be refused for; as the samples' notes say.
BROKEN = {
    "wrong-namespace.xml": "not a namespace of HPXML",
    "namespace-version-mismatch.xml": "does not belong to the namespace",
    "unknown-schema-version.xml": "4.9",
    "missing-schema-version.xml": "schemaVersion",
    "missing-building-id.xml": "“id” is missing",
    "duplicate-id.xml": "used twice",
    "dangling-idref.xml": "not in the file",
    "idref-to-wrong-kind.xml": "a Person",
    "negative-area.xml": "below zero",
    "infinite-area.xml": "not a finite number",
    "huge-number.xml": "larger than anything",
    "thousands-separator.xml": "“1,850” is not a number",
    "billion-laughs.xml": "DOCTYPE",
    "entity-expansion-small.xml": "DOCTYPE",
    "external-entity.xml": "DOCTYPE",
    "external-parameter-entity.xml": "DOCTYPE",
    "empty.xml": "empty",
    "wrong-encoding.xml": "not well-formed",
    "truncated.xml": "not well-formed",
    "not-hpxml.xml": "not HPXML",
}


@needs_samples
@pytest.mark.parametrize("name", BROKEN)
def test_broken_file_is_refused_with_place_and_reason(name: str) -> None:
    with pytest.raises(UploadRefused) as refused:
        uploads.read((SHARED / "broken" / name).read_bytes(), name=name)
    text = refused.value.message + " ".join(map(str, refused.value.faults))
    assert name in refused.value.message
    assert BROKEN[name] in text
    assert all(fault.where and fault.why for fault in refused.value.faults)


@needs_samples
def test_every_broken_sample_is_covered() -> None:
    names = {path.name for path in (SHARED / "broken").glob("*.xml")}
    assert names - set(BROKEN) == {"utf16-labelled-utf8.xml"}


@needs_samples
def test_byte_order_mark_wins_over_the_declared_encoding() -> None:
    reading = uploads.read((SHARED / "broken" / "utf16-labelled-utf8.xml").read_bytes())
    assert reading.house["dwelling.year_built"].value == 1958


FULL = ("full-house-bids-authored.xml", "full-house-completion-authored.xml")


@needs_samples
@pytest.mark.parametrize("name", FULL)
@pytest.mark.parametrize("version", ["v3", "v4"])
def test_full_house_is_read(version: str, name: str) -> None:
    reading = uploads.read((SHARED / f"{version}-{name}").read_bytes(), name=name)
    reader = Reader(reading.document())
    assert reader.value("dwelling.year_built") == 1958
    assert reader.value("dwelling.stories") == 1.5
    assert reader.si("dwelling.floor_area") == pytest.approx(1850 * 0.09290304)
    furnace = reader.items("heating_systems")[0]
    assert furnace.si("afue") == pytest.approx(0.78)
    assert furnace.value("distribution") == "ducts"
    window = reader.items("windows")[0]
    assert window.value("count") == 3
    assert window.si("area_each") == pytest.approx(36.5 / 3 * 0.09290304, rel=1e-6)
    walls = reader.items("walls")
    assert walls[0].si("opening_area") == pytest.approx((36.5 + 48 + 22.25 + 21) * 0.09290304)
    assert walls[1].value("adjacent_to") == "attic"
    assert {item.value("kind") for item in reader.items("combustion_appliances")} == {
        "central_furnace", "water_heater", "range_top_burner",
    }  # fmt: skip


@needs_samples
@pytest.mark.parametrize("name", FULL)
def test_versions_3_and_4_of_one_house_give_the_same_record(name: str) -> None:
    """References called ``id`` and ambient CO in each test: both versions read alike."""
    three = uploads.read((SHARED / f"v3-{name}").read_bytes())
    four = uploads.read((SHARED / f"v4-{name}").read_bytes())
    assert three.document()["house"] == four.document()["house"]
    three_items = [(item.group, item.name, item.values) for item in three.items]
    four_items = [(item.group, item.name, item.values) for item in four.items]
    for ours, theirs in zip(three_items, four_items, strict=True):
        # Ducts have no identifier in version 3, so keys differ and are not compared.
        assert ours[:2] == theirs[:2]
        assert ours[2] == theirs[2]


@needs_samples
@pytest.mark.parametrize("name", ["v2-audit-and-proposal.xml", "v2-audit-and-completion.xml"])
def test_version_2_is_answered_clearly(name: str) -> None:
    with pytest.raises(UploadRefused, match=r"HPXML version 2\. Versions 3, 4 and 5 are read"):
        uploads.read((SHARED / name).read_bytes(), name=name)


@needs_samples
def test_version_5_is_read() -> None:
    reading = uploads.read((SHARED / "v5-audit-and-proposal.xml").read_bytes())
    assert reading.count > 50


@needs_samples
def test_audit_that_tests_the_equipment_of_another_building_is_refused() -> None:
    with pytest.raises(UploadRefused, match="in another building"):
        uploads.read((SHARED / "v4-audit-and-completion.xml").read_bytes())


# -- Attacks and edge cases on our own file -----------------------------------------------


@pytest.fixture
def text() -> str:
    return TWO_STORY.read_text()


def test_own_file_is_read_and_what_is_not_read_is_listed(text: str) -> None:
    reading = uploads.read(text.encode(), name="two.xml")
    reader = Reader(reading.document())
    assert reader.items("attics")[0].value("layer1_material") == "fiberglass_loose"
    assert reader.items("blower_door_tests")[0].value("direction") == "depressurize"
    assert reader.items("foundations")[0].value("floor_condition") == "poor"
    assert reader.items("heating_systems")[0].si("hspf") == pytest.approx(7.7)
    assert any("Site/Address/Address1" in fault.where for fault in reading.skipped)
    assert not reading.questions


@pytest.mark.parametrize(
    "head",
    [
        "<!DOCTYPE HPXML>",
        '<!DOCTYPE HPXML SYSTEM "http://192.0.2.1/x.dtd">',
        '<!DOCTYPE HPXML [<!ENTITY a "b">]>',
        '<!DOCTYPE HPXML [<!ENTITY % p SYSTEM "file:///etc/passwd"> %p;]>',
    ],
)
@pytest.mark.parametrize("encoding", ["utf-8", "utf-16"])
def test_no_document_type_in_any_encoding(text: str, head: str, encoding: str) -> None:
    declared = f'<?xml version="1.0" encoding="{encoding.upper()}"?>'
    attack = text.replace('<?xml version="1.0" encoding="UTF-8"?>', declared + head)
    with pytest.raises(UploadRefused, match="DOCTYPE"):
        uploads.read(attack.encode(encoding))


def test_deep_nesting_and_floods_are_refused(text: str) -> None:
    deep = "<extension>" * 100 + "</extension>" * 100
    with pytest.raises(UploadRefused, match=r"nested too deeply|not well-formed"):
        uploads.read(text.replace("</BuildingDetails>", f"{deep}</BuildingDetails>").encode())
    flood = "<extension/>" * 201_000
    with pytest.raises(UploadRefused, match="more than 200000 elements"):
        uploads.read(text.replace("</BuildingDetails>", f"{flood}</BuildingDetails>").encode())


def test_proposal_whose_window_points_into_the_audit_is_refused(text: str) -> None:
    building = text[text.index("  <Building>") : text.index("</HPXML>")]
    proposal = (
        building.replace("<EventType>audit", "<EventType>proposed workscope")
        .replace(' id="', ' id="p-')
        .replace(' idref="', ' idref="p-')
        .replace(
            '<AttachedToWall idref="p-wall-north"/>', '<AttachedToWall idref="wall-north"/>', 1
        )
    )
    with pytest.raises(UploadRefused, match="in another building"):
        uploads.read(text.replace("</HPXML>", f"{proposal}</HPXML>").encode())


def test_proposal_is_named_and_left_alone_wherever_it_stands(text: str) -> None:
    building = text[text.index("  <Building>") : text.index("</HPXML>")]
    proposal = (
        building.replace("<EventType>audit", "<EventType>proposed workscope")
        .replace(' id="', ' id="p-')
        .replace(' idref="', ' idref="p-')
        .replace("2080", "9999")
    )
    reading = uploads.read(text.replace("  <Building>", f"{proposal}  <Building>", 1).encode())
    assert reading.house["dwelling.floor_area"].typed == "2080"
    assert any("proposed workscope" in fault.why for fault in reading.skipped)


@pytest.mark.parametrize(
    ("old", "new", "reason"),
    [
        ("<EventType>audit", "<EventType>preconstruction", "no building recorded as an audit"),
        ("<Area>1040</Area>", "<Area>1e400</Area>", "larger than anything"),
        ("<Area>1040</Area>", "<Area>-INF</Area>", "not a finite number"),
        ("<Area>1040</Area>", "<Area>ten</Area>", "“ten” is not a number"),
        ("<Count>18</Count>", "<Count>-18</Count>", "below zero"),
    ],
)
def test_faulty_values_refuse_the_file(text: str, old: str, new: str, reason: str) -> None:
    with pytest.raises(UploadRefused, match=reason):
        uploads.read(text.replace(old, new, 1).encode())


def test_value_beyond_a_limit_of_the_sheet_is_skipped_with_the_limit(text: str) -> None:
    changed = text.replace("<NumberofBedrooms>4", "<NumberofBedrooms>44")
    reading = uploads.read(changed.encode())
    assert "dwelling.bedrooms" not in reading.house
    assert any("Bedrooms: at most 20. You typed 44." in fault.why for fault in reading.skipped)


def test_ambient_co_of_version_3_is_one_value_the_highest_and_never_averaged(text: str) -> None:
    tests = "".join(
        f"<CombustionApplianceZone><SystemIdentifier id='z{n}'/><CombustionApplianceTest>"
        f"<CarbonMonoxideTest><MaxAmbientCOinLivingSpaceDuringAudit>{ppm}"
        f"</MaxAmbientCOinLivingSpaceDuringAudit></CarbonMonoxideTest>"
        f"</CombustionApplianceTest></CombustionApplianceZone>"
        for n, ppm in enumerate((3, 8))
    )
    three = text.replace("2023/09", "2019/10").replace('"4.2"', '"3.1"')
    three = three.replace(
        "<MaxAmbientCOinLivingSpaceDuringAudit>1</MaxAmbientCOinLivingSpaceDuringAudit>", tests
    )
    three = three.replace("<Floors>", "<FrameFloors>").replace("</Floors>", "</FrameFloors>")
    three = three.replace("<Floor>", "<FrameFloor>").replace("</Floor>", "</FrameFloor>")
    three = three.replace("AttachedToFloor", "AttachedToFrameFloor")
    reading = hpxml.read(three.encode())
    assert reading.house["combustion.co_living_max"].si == 8
    assert any("8 ppm" in line for line in reading.about)


def test_zip_is_named_as_one() -> None:
    with pytest.raises(UploadRefused, match="ZIP"):
        uploads.read(b"PK\x03\x04rest", name="house.xml")
