"""Unknown facts, stages, boundaries of days and months, income, stacking and limits."""

from copy import deepcopy
from decimal import Decimal

import pytest

from portal.core.rules import evaluate, load_rule_set
from tests.portal.core.rule_facts import air, attic, document, facts, rule_set, step, wall
from tests.portal.core.test_rules_set_a import HEAT_PUMP

V1 = "qlg-is-v1"
USD = Decimal


def ruled(lines, **changes):
    return evaluate(rule_set(V1), facts(lines, **changes))


PLAN = {
    "stage": "estimate",
    "dates": {"as_of": "2026-03-12"},
    "account": {"rate_code": "R1", "has_gas": True, "has_electric": True},
    "household": {"tenure": "renter"},
    "site": {
        "county": "Ashmere",
        "units": 1,
        "built_on": "1958",
        "audit_on": "2026-03-03",
        "primary_heat_fuel": "natural_gas",
        "has_central_cooling": False,
    },
    "lines": [
        {"measure": "air_sealing", "pre_cfm50": 3250, "post_cfm50": 2450, "quote_usd": 1150},
        {
            "measure": "attic",
            "area_ft2": 1020,
            "pre_r_nominal": 7,
            "pre_condition": "good",
            "post_r": 49,
            "planned_cost_usd": 2346,
        },
    ],
}


def test_an_estimate_on_planned_quantities_comes_to_the_same_cents_as_the_claim():
    ruling = evaluate(rule_set(V1), PLAN)
    assert ruling.is_estimate
    assert ruling.total_usd == USD("1398.00")
    assert {found.kind for found in ruling.findings} == {"later"}
    assert ruling.steps[-1].words == "Estimate: $1,398.00"


def test_consent_and_quote_become_due_with_the_request():
    asked = deepcopy(PLAN) | {"stage": "request", "history": [], "other_rebates": []}
    ruling = evaluate(rule_set(V1), asked)
    assert ruling.outcome == "shortfall"
    assert ruling.total_usd == 0
    said = {(found.rule, found.kind) for found in ruling.findings if found.kind == "missing"}
    assert said == {("gate.tenure", "missing"), ("attic.eligible_cost", "missing")}
    asked["household"]["owner_consent_signed"] = True
    asked["lines"][1]["quote_usd"] = 2346
    assert evaluate(rule_set(V1), asked).total_usd == USD("1398.00")


def test_a_claim_without_its_facts_names_every_one_of_them():
    asked = deepcopy(PLAN) | {"stage": "claim"}
    ruling = evaluate(rule_set(V1), asked)
    assert ruling.outcome == "shortfall"
    named = {need.field for found in ruling.shortfalls for need in found.needs}
    assert {
        "household.owner_consent_signed",
        "dates.preapproved_on",
        "dates.completed_on",
        "line.install_started_on",
        "line.same_test_setup",
        "line.invoice_usd",
        "history",
    } <= named


def test_missing_pre_test_is_a_shortfall_with_the_fact_named():
    line = air(3250, 2450, 1150)
    del line["pre_cfm50"]
    ruling = ruled([line])
    assert ruling.outcome == "shortfall"
    assert all("air leakage before the work" in found.words for found in ruling.findings)
    assert ruling.findings[0].needs[0].unit == "CFM50"


@pytest.mark.parametrize("value", [0, -5, "many", True, float("nan"), float("inf"), [], "1e400"])
def test_a_pre_test_that_cannot_be_one_is_unknown(value):
    line = {**air(3250, 2450, 1150), "pre_cfm50": value}
    assert ruled([line]).outcome == "shortfall"


def test_a_failed_condition_beats_a_missing_one_and_both_are_told():
    line = attic(1000, 7, "good", 2600, post_r=38)
    ruling = ruled([line])
    assert ruling.outcome == "denied"
    assert {(found.rule, found.kind) for found in ruling.findings} == {
        ("attic.r_after", "failed"),
        ("attic.plane_sealed", "missing"),
    }
    (failed,) = [found for found in ruling.findings if found.kind == "failed"]
    assert failed.words == "needed R-49, achieved R-38"
    assert failed.fix == "Insulate to R-49 or more"


@pytest.mark.parametrize("usd", [0, "0.00", -120])
def test_a_line_without_cost_or_with_a_credit_gives_a_reason(usd):
    ruling = ruled([air(3250, 2450, usd)])
    assert (ruling.outcome, ruling.total_usd) == ("denied", USD("0.00"))
    assert "eligible cost" in ruling.findings[0].words


def test_a_quantity_of_zero_gives_a_reason():
    thermostat = {
        "measure": "thermostat",
        "quantity": 0,
        "invoice_usd": 129,
        "installed_on": "2026-03-02",
    }
    ruling = ruled([thermostat])
    assert ruling.outcome == "denied"
    assert "$0.00" in ruling.findings[0].words


def test_more_than_two_thermostats_are_paid_as_two_over_all_lines():
    def line(count):
        return {
            "measure": "thermostat",
            "quantity": count,
            "invoice_usd": 900,
            "installed_on": "2026-03-02",
        }

    assert ruled([line(3)]).total_usd == USD("150.00")
    assert ruled([line(1), line(2)]).total_usd == USD("150.00")


def test_a_measure_split_over_lines_keeps_one_cap():
    photo = {"plane_sealed_photo": True}
    ruling = ruled([attic(1500, 7, "good", 3900, **photo), attic(1500, 7, "good", 3900, **photo)])
    assert [line.amount_usd for line in ruling.lines] == [USD("1350.00"), USD("450.00")]


def test_a_failed_gate_denies_the_request_and_the_rest_is_still_told():
    ruling = ruled([air(2480, 2110, 700)], account={"rate_code": "C1"})
    assert ruling.outcome == "denied"
    assert {found.rule for found in ruling.findings} == {"gate.rate_code", "air_sealing.cut"}
    assert all(line.amount_usd == 0 for line in ruling.lines)


def test_no_income_declared_is_market_but_a_declared_one_needs_the_household_s_size():
    assert ruled([air(3250, 2450, 1150)]).values["household.income_tier"] == "market"
    ruling = ruled([air(3250, 2450, 1150)], household={"income_usd": 50000})
    assert ruling.outcome == "shortfall"
    assert "people in the household" in ruling.shortfalls[0].words


@pytest.mark.parametrize(
    ("county", "size", "ami"),
    [
        ("Ashmere", 1, 68600), ("Ashmere", 2, 78400), ("Ashmere", 3, 88200),
        ("Ashmere", 4, 98000), ("Ashmere", 5, 105840), ("Brindle", 1, 59150),
        ("Brindle", 2, 67600), ("Brindle", 3, 76050), ("Brindle", 4, 84500),
        ("Brindle", 5, 91260), ("Corvane", 1, 78680), ("Corvane", 2, 89920),
        ("Corvane", 3, 101160), ("Corvane", 4, 112400), ("Corvane", 5, 121392),
        # Above 8: +.08 a person. 98,000 × 1.40 and × 1.48.
        ("Ashmere", 9, 137200), ("Ashmere", 10, 145040),
    ],
)  # fmt: skip
def test_area_median_income_as_the_rule_text_lists_it(county, size, ami):
    ruling = ruled(
        [air(3250, 2450, 1150)],
        household={"size": size, "income_usd": ami * 80 // 100},
        site={"county": county},
    )
    assert ruling.values["household.ami_usd"] == str(ami)
    assert ruling.values["household.income_tier"] == "low"
    above = ruled(
        [air(3250, 2450, 1150)],
        household={"size": size, "income_usd": ami * 80 // 100 + 1},
        site={"county": county},
    )
    assert above.values["household.income_tier"] == "moderate"


@pytest.mark.parametrize(
    ("paid_on", "is_repeat"),
    [("2016-03-12", True), ("2016-03-11", False), ("2026-01-05", True), ("2016", None)],
)
def test_the_same_measure_within_120_months_is_denied(paid_on, is_repeat):
    history = [{"measure": "air_sealing", "paid_on": paid_on, "amount_usd": 0}]
    outcome = ruled([air(3250, 2450, 1150)], history=history).outcome
    assert outcome == {True: "denied", False: "payable", None: "shortfall"}[is_repeat]
    assert ruled([wall(900, 3150)], history=history).outcome != "denied"


@pytest.mark.parametrize(("paid_on", "total"), [("2023-03-12", "300.00"), ("2023-03-11", "480.00")])
def test_the_look_back_of_36_months_includes_its_last_day(paid_on, total):
    history = [{"measure": "heat_pump", "paid_on": paid_on, "amount_usd": 4700}]
    assert ruled([air(3250, 2450, 1150)], history=history).total_usd == USD(total)


def test_a_home_limit_used_up_denies_the_line():
    history = [{"measure": "heat_pump", "paid_on": "2025-06-01", "amount_usd": 6000}]
    ruling = ruled([air(3250, 2450, 1150)], history=history)
    assert (ruling.outcome, ruling.total_usd) == ("denied", USD("0.00"))
    assert any("limits leave" in found.words for found in ruling.findings)


def test_a_month_without_the_day_ends_on_its_last():
    # August 31, 2025 and six months: February 28, 2026.
    whole = facts([air(3250, 2450, 1150)], site={"audit_on": "2024-02-29"})
    whole["dates"]["application_complete_on"] = "2026-02-28"
    assert evaluate(rule_set(V1), whole).is_yes
    whole["dates"]["application_complete_on"] = "2026-03-01"
    assert evaluate(rule_set(V1), whole).outcome == "denied"


@pytest.mark.parametrize(
    ("built_on", "outcome"),
    [
        ("1958", "payable"),
        ("2025-03-12", "payable"),
        ("2025-03-13", "denied"),
        ("2025", "shortfall"),
        ("2026", "denied"),
        (None, "shortfall"),
    ],
)
def test_age_of_a_building_known_by_day_or_by_year(built_on, outcome):
    assert ruled([air(3250, 2450, 1150)], site={"built_on": built_on}).outcome == outcome


def test_outside_the_period_the_version_says_so():
    whole = facts([air(3250, 2450, 1150)])
    whole["dates"]["application_complete_on"] = "2026-07-01"
    ruling = evaluate(rule_set(V1), whole)
    assert ruling.outcome == "denied"
    assert "June 30, 2026" in ruling.findings[0].words


def test_a_budget_short_of_the_whole_amount_puts_the_request_on_hold():
    lines = [air(3250, 2450, 1150)]
    short = ruled(lines, stage="request", funds={"program_usd": "479.99"})
    assert (short.outcome, short.total_usd) == ("hold", USD("0.00"))
    assert short.calculated_usd == USD("480.00")
    assert ruled(lines, stage="request", funds={"program_usd": 480}).total_usd == USD("480.00")


def test_electric_heat_splits_to_electricity_and_a_heat_pump_always_does():
    site = {"primary_heat_fuel": "electricity"}
    assert ruled([air(3250, 2450, 1150)], site=site).fuel_split == {"electric": USD("480.00")}
    line = {**HEAT_PUMP, "install_started_on": "2026-04-01", "installed_on": "2026-04-01"}
    site = {"has_central_cooling": True, "attic_r_after": 30, "ach50_after": 9}
    both = ruled([air(3250, 2450, 1150), line], site=site)
    # 480.00 × 85 % = 408.00 gas, 72.00 electric; heat pump 3.0 × 600 electric.
    assert both.fuel_split == {"gas": USD("408.00"), "electric": USD("1872.00")}


def test_an_open_bonus_of_a_claim_is_a_shortfall_and_of_a_plan_is_told():
    line = {**HEAT_PUMP, "install_started_on": "2026-04-01", "installed_on": "2026-04-01"}
    claim = ruled([line], site={"attic_r_after": 38})
    assert claim.outcome == "shortfall"
    assert [found.rule for found in claim.findings] == ["heat_pump.weatherized"]
    plan = ruled([line], site={"attic_r_after": 38}, stage="estimate")
    assert plan.total_usd == USD("1800.00")


def test_duct_sealing_needs_both_thresholds():
    def outcome(before, after):
        return ruled(
            [
                {
                    "measure": "duct_seal",
                    "pre_outside_cfm25": before,
                    "post_outside_cfm25": after,
                    "ducts_are_outside": True,
                    "invoice_usd": 800,
                }
            ]
        )

    assert outcome(240, 180).total_usd == USD("400.00")
    assert len(outcome(236, 177).findings) == 1  # 59 CFM25, 25 %
    assert len(outcome(241, 181).findings) == 1  # 60 CFM25, 24.9 %
    assert len(outcome(200, 190).findings) == 2


def test_a_half_cent_is_rounded_up_at_the_marked_step_only():
    # 300.01 CFM50 × 0.50 = 150.005 under version 2.
    whole = facts([air(1000, "699.99", 1150)])
    whole["dates"] = {
        "applied_on": "2026-07-02",
        "application_complete_on": "2026-07-02",
        "preapproved_on": "2026-07-08",
        "completed_on": "2026-08-20",
        "claimed_on": "2026-08-27",
    }
    whole["reservation"] = {"reserved_on": "2026-07-08", "amount_usd": 5000}
    whole["lines"][0]["install_started_on"] = "2026-07-20"
    ruling = evaluate(rule_set("qlg-is-v2"), whole)
    assert step(ruling, "air_sealing.rate").amount_usd == USD("150.005")
    assert ruling.total_usd == USD("150.01")


def test_words_come_in_the_language_asked_for_where_the_rules_have_it():
    whole = document(V1)
    whole["gates"][0]["words"]["fails"] = {
        "en": "Rate {account.rate_code}",
        "es": "Tarifa {account.rate_code}",
    }
    changed = load_rule_set(whole, shared=document("common"))
    asked = facts([air(3250, 2450, 1150)], account={"rate_code": "C1"})
    assert evaluate(changed, asked, language="es").findings[0].words == "Tarifa C1"
    assert evaluate(changed, asked, language="fr").findings[0].words == "Rate C1"
