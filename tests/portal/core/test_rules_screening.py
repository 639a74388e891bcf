"""Screening for the free audit: each no has its reason, rule, alternatives and a person to ask."""

from copy import deepcopy

import pytest

from portal.core.rules import evaluate
from tests.portal.core.rule_facts import rule_set

GOOD = {
    "request": {"date": "2026-03-02"},
    "site": {"zip": "00021", "county": "Ashmere", "in_territory": True},
    "account": {
        "matches_address": True,
        "is_open": True,
        "rate_code": "R1",
        "has_electricity": True,
        "has_gas": False,
    },
    "building": {"kind": "detached", "units": 1, "year_built": 1958},
    "household": {"tenure": "owner"},
    "dwelling": {"takes_part": False, "took_part_before": False, "last_ended_on": None},
}


def screen(**changes):
    facts = deepcopy(GOOD)
    for section, change in changes.items():
        facts[section].update(change)
    return evaluate(rule_set("qlg-audit-v1"), facts)


def test_an_ordinary_home_is_eligible():
    ruling = screen()
    assert ruling.outcome == "eligible"
    assert ruling.is_yes
    assert ruling.findings == ()
    assert ruling.total_usd == 0


def test_a_renter_is_eligible_and_consent_is_asked_for():
    ruling = screen(household={"tenure": "renter"})
    assert ruling.outcome == "eligible"
    assert [(found.rule, found.kind) for found in ruling.findings] == [("audit.consent", "asked")]


@pytest.mark.parametrize(
    ("rule", "changes"),
    [
        ("audit.territory", {"site": {"in_territory": False, "county": ""}}),
        ("audit.territory", {"site": {"county": "Delmoor"}}),
        ("audit.account", {"account": {"matches_address": False}}),
        ("audit.active", {"account": {"is_open": False}}),
        ("audit.active", {"account": {"has_electricity": False}}),
        ("audit.residential", {"account": {"rate_code": "C2"}}),
        ("audit.building", {"building": {"units": 5, "kind": "apartment"}}),
        ("audit.age", {"building": {"year_built": 2026}}),
        ("audit.under_way", {"dwelling": {"takes_part": True}}),
        (
            "audit.earlier",
            {"dwelling": {"took_part_before": True, "last_ended_on": "2024-03-02"}},
        ),
    ],
)
def test_each_no_gives_reason_rule_and_a_person_to_ask(rule, changes):
    ruling = screen(**changes)
    assert ruling.outcome == "denied"
    (finding,) = [found for found in ruling.findings if found.kind == "failed"]
    assert finding.rule == rule
    assert finding.words
    assert finding.reference.startswith("QLG-AUDIT 1.")
    texts = rule_set("qlg-audit-v1").texts
    assert "555-" in texts[finding.ask]["en"]
    assert all(texts[key]["en"] for key in finding.alternatives)


def test_an_unknown_account_does_not_bury_the_reason():
    facts = deepcopy(GOOD)
    facts["account"] = {"matches_address": False}
    facts["dwelling"] = {}
    ruling = evaluate(rule_set("qlg-audit-v1"), facts)
    assert [found.rule for found in ruling.findings] == ["audit.account"]


def test_the_day_after_24_months_is_far_enough():
    before = {"took_part_before": True}
    assert screen(dwelling={**before, "last_ended_on": "2024-03-01"}).outcome == "eligible"


def test_a_building_of_unknown_age_passes():
    assert screen(building={"year_built": None}).outcome == "eligible"
    # Built in 2025: may or may not be twelve months old.
    ruling = screen(building={"year_built": 2025})
    assert ruling.outcome == "eligible"
    assert [found.kind for found in ruling.findings] == ["later"]


def test_a_manufactured_home_passes_whatever_its_park_counts():
    assert screen(building={"kind": "manufactured", "units": 40}).outcome == "eligible"


def test_unknown_facts_are_a_shortfall_not_a_denial():
    ruling = evaluate(rule_set("qlg-audit-v1"), {"request": {"date": "2026-03-02"}})
    assert ruling.outcome == "shortfall"
    assert {found.kind for found in ruling.findings} <= {"missing", "later", "asked"}
