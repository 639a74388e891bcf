"""Hazards out of tests and of what was seen, and the checks that hold a record open."""

from typing import Any

import pytest

from calcs.measures.hazards import HAZARD_KINDS
from portal.intake import checks, hazards
from portal.intake.hazards import FIX_FIRST, STOP_NOW, WITH_CARE
from portal.intake.sheet.barriers import BARRIER_KINDS
from tests.factories.intake import ranch_document
from tests.portal.intake.documents import changed, made


def kinds(document: Any) -> dict[str, hazards.Hazard]:
    return {hazard.kind: hazard for hazard in hazards.find(document)}


def test_sound_ranch_has_only_what_is_worked_around() -> None:
    assert {key: hazard.severity for key, hazard in kinds(ranch_document()).items()} == {
        "exhaust_into_attic": WITH_CARE,
        "lead_paint": WITH_CARE,
    }


@pytest.mark.parametrize(
    ("document", "kind", "severity", "blocked"),
    [
        (changed("attics", vermiculite="yes"), "vermiculite", FIX_FIRST, "attic_insulation"),
        (changed("attics", vermiculite="yes"), "vermiculite", FIX_FIRST, "blower_door"),
        (changed("attics", layer1_material="vermiculite"), "vermiculite", FIX_FIRST, "air_sealing"),
        (changed("attics", knob_and_tube="yes"), "knob_and_tube", FIX_FIRST, "attic_insulation"),
        (changed("walls", wiring="knob_and_tube"), "knob_and_tube", FIX_FIRST, "wall_insulation"),
        (changed("attics", flue_kind="single_wall"), "single_wall_flue", FIX_FIRST,
         "attic_insulation"),
        (changed("attics", moisture="active_leak"), "active_leak", FIX_FIRST, "attic_insulation"),
        (changed("combustion_appliances", spillage_worst=(180, "s")), "spillage", FIX_FIRST,
         "air_sealing"),
        (changed("combustion_appliances", spillage_natural=(180, "s")), "spillage", STOP_NOW,
         "duct_sealing"),
        (changed("combustion_appliances", co_measured=(500, "ppm")), "carbon_monoxide", STOP_NOW,
         "air_sealing"),
        (changed("combustion_appliances", draft=(0.4, "Pa")), "weak_draft", FIX_FIRST,
         "air_sealing"),
        (changed("combustion_zones", worst_case=(-6.1, "Pa")), "depressurization", FIX_FIRST,
         "attic_air_sealing"),
        (changed("combustion_appliances", flags=["scorch"]), "unsafe_burner", FIX_FIRST,
         "air_sealing"),
        (changed("foundations", water=["standing"]), "moisture", FIX_FIRST, "floor_insulation"),
        (changed("foundations", wiring_or_asbestos=["pipe_wrap"]), "friable_asbestos", FIX_FIRST,
         "floor_insulation"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)  # fmt: skip
def test_each_fault_becomes_a_hazard_that_blocks_its_work(
    document: Any, kind: str, severity: str, blocked: str
) -> None:
    found = kinds(document)
    assert kind in found
    assert found[kind].severity == severity
    assert blocked in found[kind].blocks
    assert found[kind].source
    assert len(found[kind].key) <= 60
    assert found[kind].model_kind in HAZARD_KINDS


def test_unrepaired_leak_blocks_everything_and_a_repaired_one_nothing() -> None:
    leak = {"location": "Range", "severity": "odor", "repaired": False}
    found = kinds(made(gas_leaks=[leak]))["gas_leak"]
    assert found.blocks == ("*",)
    assert found.severity == STOP_NOW
    assert "gas_leak" not in kinds(made(gas_leaks=[leak | {"repaired": True}]))


def test_unrated_lights_are_worked_around_with_dams() -> None:
    found = kinds(changed("attics", recessed_lights=6, recessed_contact_rated=2))
    assert found["unrated_lights"].words.startswith("4 recessed lights")


@pytest.mark.parametrize(("radon", "is_hazard"), [(3.99, False), (4.0, True)])
def test_radon_from_its_action_level(radon: float, is_hazard: bool) -> None:
    document = made({"ventilation.radon": (radon, "pCi/L")})
    assert ("radon" in kinds(document)) is is_hazard


@pytest.mark.parametrize(
    "missing", ["co_measured", "o2", "spillage_worst"]
)  # a missing reading is not a pass
def test_untested_burner_holds_the_tightening(missing: str) -> None:
    document = ranch_document()
    del document["items"]["combustion_appliances"][0]["fields"][missing]
    found = kinds(document)["combustion_untested"]
    assert "air_sealing" in found.blocks
    assert found.model_kind == "depressurization"


@pytest.mark.parametrize("kind", list(BARRIER_KINDS))
def test_every_kind_the_auditor_can_name_becomes_a_hazard(kind: str) -> None:
    document = made(
        barriers=[{"kind": kind, "location": "Hall", "severity": "fix_first",
                   "where_in_house": "rooms"}]
    )  # fmt: skip
    found = [hazard for hazard in hazards.find(document) if hazard.section == "barriers"]
    assert len(found) == 1
    assert found[0].where == "Hall"


def test_gravest_stands_first() -> None:
    document = changed("combustion_appliances", co_measured=(500, "ppm"))
    document["items"]["attics"][0]["fields"]["vermiculite"] = {"value": "yes"}
    severities = [hazard.severity for hazard in hazards.find(document)]
    assert severities == sorted(severities, key=[STOP_NOW, FIX_FIRST, WITH_CARE].index)


# -- What holds a record open ------------------------------------------------------------


def hard(document: Any) -> set[str]:
    """Keys of hard findings beside what the office fills in at the door."""
    return {
        finding.key
        for finding in checks.findings(document)
        if finding.is_hard and not finding.key.startswith("left:")
    }


def soft(document: Any) -> set[str]:
    return {finding.key for finding in checks.findings(document) if not finding.is_hard}


def test_ranch_lacks_only_what_is_filled_in_at_the_door() -> None:
    found = checks.findings(ranch_document())
    assert {finding.key for finding in found if finding.is_hard} == {
        "left:::visit_date", "left:::started_at",
    }  # fmt: skip
    assert soft(ranch_document()) == {"photos"}


def test_blower_door_must_not_have_run_with_vermiculite() -> None:
    document = changed("attics", vermiculite="yes")
    assert "fan_and_vermiculite" in hard(document)
    told = made(
        barriers=[{"kind": "vermiculite", "severity": "stop_now",
                   "incident": "Fan stopped after a minute, office called at 10:20"}]
    )  # fmt: skip
    document["items"]["barriers"] = told["items"]["barriers"]
    assert "fan_and_vermiculite" not in hard(document)
    not_run = changed("attics", vermiculite="yes")
    not_run["house"]["air_leakage"] = made(
        {"air_leakage.blower_door": "not_done", "air_leakage.not_done_reason": "vermiculite",
         "air_leakage.not_done_words": "Leakage by age of the house"}
    )["house"]["air_leakage"]  # fmt: skip
    not_run["items"]["blower_door_tests"] = []
    assert not hard(not_run)


@pytest.mark.parametrize(
    ("document", "key"),
    [
        (changed("combustion_appliances", co_air_free=(10, "ppm")), "air_free:burner-water-heater"),
        (changed("combustion_appliances", back_in_service=False), "in_service:burner-water-heater"),
        (changed("combustion_appliances", system="furnace"), "burner:water-heater"),
        (changed("combustion_appliances", co_measured=(900, "ppm")),
         "stop:carbon_monoxide:burner-water-heater"),
        (changed("blower_door_tests", method="multi_point"), "points:test-arrival"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)  # fmt: skip
def test_hard_checks(document: Any, key: str) -> None:
    assert hard(document) == {key}


def test_equipment_made_after_the_visit_is_refused() -> None:
    document = changed("heating_systems", year=2027)
    document["house"]["visit"]["visit_date"] = {"value": "2026-03-02"}
    assert hard(document) == {"year:furnace"}
    document["house"]["visit"]["visit_date"] = {"value": "2027-03-02"}
    assert hard(document) == set()


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"afue": (95, "%")}, "AFUE 95% with steam pipes"),
        ({"is_condensing": True}, "condensing with steam pipes"),
    ],
)
def test_a_condensing_boiler_on_steam_is_refused(fields: dict[str, Any], words: str) -> None:
    """Water must reach 212 °F to make steam (common practice, no source)."""
    document = changed("heating_systems", kind="boiler", distribution="steam_pipes", **fields)
    found = {finding.key: finding for finding in checks.findings(document)}
    assert found["steam:furnace"].is_hard
    assert words in found["steam:furnace"].words
    assert "212 °F" in found["steam:furnace"].words
    water = changed("heating_systems", kind="boiler", distribution="hot_water_pipes", **fields)
    assert "steam:furnace" not in {finding.key for finding in checks.findings(water)}


def test_infrared_with_contrast_may_stand_alone() -> None:
    assert hard(changed("infrared_findings", confirmed_by="none")) == set()


def test_infrared_alone_is_no_evidence_without_contrast() -> None:
    document = changed("infrared_findings", confirmed_by="none")
    document["house"]["infrared"] |= made({"infrared.outdoor_temp": (60, "°F")})["house"][
        "infrared"
    ]
    assert hard(document) == {"infrared:ir-back-bedroom"}


def test_worst_case_needs_its_baseline_and_consent_is_not_refused() -> None:
    document = ranch_document()
    zone = document["items"]["combustion_zones"][0]["fields"]
    zone["baseline"] = {"absence": "not_accessible", "reason": "Gauge failed"}
    assert "baseline:zone-closet" in hard(document)
    refused = ranch_document()
    refused["house"]["visit"]["consent"] = {"value": "refused"}
    assert "consent" in hard(refused)


def test_co_in_the_rooms_cannot_be_left_out_with_a_reason() -> None:
    document = ranch_document()
    document["house"]["combustion"]["co_living_max"] = {
        "absence": "not_accessible", "reason": "No monitor",
    }  # fmt: skip
    assert "ambient_co" in hard(document)


def test_gas_range_without_a_record_is_found() -> None:
    document = ranch_document()
    document["house"]["lighting_appliances"]["cooking_fuel"] = {"value": "natural_gas"}
    assert "burner:lighting_appliances.cooking_fuel" in hard(document)


@pytest.mark.parametrize(
    ("document", "key"),
    [
        (changed("attics", area=(900, "ft²")), "attic_area"),
        (changed("heating_systems", load_share=(80, "%")), "shares:heating_systems"),
        (changed("heating_systems", output=(120000, "Btu/h")), "output:furnace"),
        (changed("blower_door_tests", setup=["fans_off"]), "setup:test-arrival"),
        (changed("windows", count=60), "window_share"),
        (changed("attics", layer1_depth=(30, "in")), "odd:attic:attic-a:layer1_depth"),
    ],
    ids=lambda value: value if isinstance(value, str) else "",
)
def test_soft_checks(document: Any, key: str) -> None:
    assert key in soft(document)


def test_impossible_air_change_refuses_and_an_unusual_one_asks() -> None:
    assert "ach50:test-arrival" in soft(changed("blower_door_tests", flow=(6500, "cfm")))
    assert "ach50:test-arrival" in hard(changed("blower_door_tests", flow=(20000, "cfm")))
