"""Rule set B: the worked applications B-1 to B-9 of the program's rule text, to the cent."""

from datetime import date
from decimal import Decimal

import pytest

from portal.core.rules import evaluate
from portal.core.rules.afterwards import clawback, loan_terms
from tests.portal.core.rule_facts import facts, rule_set, step

WH = "qlg-wh-v1"
USD = Decimal


def line(measure, usd, reference=None):
    return {
        "measure": measure,
        "invoice_usd": usd,
        "quote_usd": usd,
        "reference_price_usd": usd if reference is None else reference,
    }


def package(lines, *, saving, gas="10", electric="0", **changes):
    whole = facts(lines, **changes)
    whole["package"] = {
        "savings_percent": saving,
        "gas_savings_mmbtu": gas,
        "electric_savings_mmbtu": electric,
        "usage_months": 12,
        "usage_consent": True,
        "baseline_is_reconciled": True,
        "fossil_heating_systems_removed": 0,
        "test_out_safety_passed": True,
        **changes.get("package", {}),
    }
    whole["site"] = {
        "ach50_before": 4.5,
        "is_priority_community": False,
        **whole["site"],
    }
    return whole


def rule(*arguments, **named):
    return evaluate(rule_set(WH), package(*arguments, **named))


B1 = {
    "saving": "22.47",
    "gas": "18.2",
    "electric": "4.9",
    "household": {"size": 2, "income_usd": 121000},
    "site": {"county": "Corvane"},
}


def test_b1_plain():
    ruling = rule([line("attic", 9800)], **B1)
    assert ruling.values["household.income_tier"] == "market"
    assert ruling.values["package.counted_savings_percent"] == "22.4"
    assert step(ruling, "base.share").amount_usd == USD("3920.00")
    assert step(ruling, "cap.share").saw["limit_usd"] == "7840"
    assert ruling.total_usd == USD("3920.00")
    assert ruling.fuel_split == {"gas": USD("3088.48"), "electric": USD("831.52")}


B2 = {
    "saving": "19.96",
    "household": {"size": 3, "income_usd": 88000},
    "site": {"county": "Ashmere"},
}


def test_b2_saving_is_truncated_before_the_tier():
    ruling = rule([line("attic", 8400)], **B2)
    assert ruling.values["household.income_tier"] == "moderate"
    assert ruling.values["package.counted_savings_percent"] == "19.9"
    assert ruling.values["package.tier"] == "15 to 20"
    assert step(ruling, "base.share").amount_usd == USD("3780.00")
    assert ruling.total_usd == USD("3000.00")
    assert rule([line("attic", 8400)], **{**B2, "saving": "20.00"}).total_usd == USD("5040.00")


def test_b3_moderate_reference_price_and_community():
    ruling = rule(
        [line("air_sealing", 1400, 1300), line("attic", 2300), line("heat_pump", 8900, 6400)],
        saving="27.3",
        household={"size": 5, "income_usd": 97000},
        site={"county": "Brindle", "is_priority_community": True},
    )
    assert ruling.values["household.income_tier"] == "moderate"
    assert [one.eligible_usd for one in ruling.lines[:3]] == [
        USD("1400"),
        USD("2300"),
        USD("8000"),
    ]
    assert step(ruling, "base.share").amount_usd == USD("7020.00")
    assert step(ruling, "base.cap").amount_usd == USD("6000")
    assert ruling.line("priority_community").amount_usd == USD("900.00")
    assert step(ruling, "cap.share").saw["limit_usd"] == "10530"
    assert ruling.total_usd == USD("6900.00")


def test_b4_as_built_falls_a_tier():
    asked = package(
        [line("wall", 14000)],
        saving="35.2",
        stage="request",
    )
    reserved = evaluate(rule_set(WH), asked)
    assert step(reserved, "base.share").amount_usd == USD("7000.00")
    assert reserved.total_usd == USD("6000.00")
    ruling = rule(
        [line("wall", 12350)],
        saving="33.87",
        reservation={"amount_usd": str(reserved.total_usd)},
    )
    assert ruling.values["package.counted_savings_percent"] == "33.8"
    assert step(ruling, "base.share").amount_usd == USD("4940.00")
    assert ruling.total_usd == USD("4000.00")
    assert reserved.total_usd - ruling.total_usd == USD("2000.00")


def test_as_built_above_the_reservation_is_paid_as_reserved():
    ruling = rule([line("wall", 14000)], saving="36", reservation={"amount_usd": "4000.00"})
    assert ruling.total_usd == USD("4000.00")


def test_b5_exactly_eighty_percent_and_another_rebate():
    ruling = rule(
        [line("heat_pump", 16250)],
        saving="41.6",
        household={"size": 4, "income_usd": 78400},
        site={"county": "Ashmere"},
        package={"fossil_heating_systems_removed": 1},
        other_rebates=[{"kind": "rebate", "amount_usd": 4000}],
    )
    assert ruling.values["household.income_tier"] == "low"
    assert step(ruling, "base.share").amount_usd == USD("16250.00")
    assert step(ruling, "base.cap").amount_usd == USD("14000")
    assert step(ruling, "adder.electrification").saw["amount_usd"] == "1000"
    assert step(ruling, "cap.share").saw["amount_usd"] == "15000"
    assert step(ruling, "cap.share").saw["limit_usd"] == "16250"
    assert step(ruling, "stacking").saw["taken_usd"] == "2750"
    assert ruling.total_usd == USD("12250.00")


def test_b6_health_and_safety_limit_removals_and_earlier_rebate():
    ruling = rule(
        [line("attic", 13000), line("bath_fan", 2600)],
        saving="37.0",
        household={"size": 4, "income_usd": 90000},
        site={"county": "Brindle"},
        # Two heating systems and a water heater went; the water heater does not count.
        package={"fossil_heating_systems_removed": 2},
        history=[
            {
                "program": "QLG-IS",
                "measure": "attic",
                "paid_on": "2025-04-16",
                "amount_usd": 825,
            }
        ],
    )
    assert ruling.values["household.income_tier"] == "moderate"
    assert step(ruling, "base.share").saw["health_safety_eligible_usd"] == "1950"
    assert step(ruling, "base.share").saw["package_eligible_usd"] == "14950"
    assert step(ruling, "base.share").amount_usd == USD("10465.00")
    assert step(ruling, "base.cap").amount_usd == USD("9000")
    assert step(ruling, "cap.share").saw["amount_usd"] == "11000"
    assert step(ruling, "cap.share").saw["limit_usd"] == "13455"
    assert step(ruling, "deduct.earlier").saw["taken_usd"] == "825"
    assert ruling.total_usd == USD("10175.00")


def test_an_earlier_rebate_counts_only_for_a_job_of_the_package_and_for_24_months():
    def total(measure, paid_on):
        return rule(
            [line("attic", 9800)],
            **B1,
            history=[
                {
                    "program": "QLG-IS",
                    "measure": measure,
                    "paid_on": paid_on,
                    "amount_usd": 100,
                }
            ],
        ).total_usd

    # The date that counts is that of the reservation, March 16, 2026.
    assert total("attic", "2024-03-16") == USD("3820.00")
    assert total("attic", "2024-03-15") == USD("3920.00")
    assert total("wall", "2025-06-01") == USD("3920.00")


def test_b7_loan():
    policy = rule_set(WH).policies.loan
    terms = {
        "eligible_usd": USD("8400"),
        "non_energy_usd": USD("1250"),
        "incentive_usd": USD("3000"),
        "asked_usd": USD("7500"),
        "income_tier": "moderate",
    }
    loan = loan_terms(policy, **terms)
    assert loan.principal_usd == USD("6650.00")
    assert loan.is_reduced
    assert (loan.payments, loan.payment_usd, loan.last_payment_usd) == (
        84,
        USD("79.17"),
        USD("78.89"),
    )
    assert loan.payment_usd * 83 + loan.last_payment_usd == loan.principal_usd
    assert loan.buy_down_usd == USD("1197.00")
    assert USD("3000.00") + loan.buy_down_usd == USD("4197.00")
    none = loan_terms(policy, **{**terms, "incentive_usd": USD("9000")})
    assert (none.principal_usd, none.reason) == (USD(0), "limit_below_least")


@pytest.mark.parametrize(
    ("removed_on", "tier", "due", "months"),
    [
        (date(2027, 11, 20), "market", "2400.00", 20),
        (date(2027, 11, 20), "low", "0", 20),
        (date(2029, 3, 16), "market", "0.00", 36),
        (date(2029, 3, 17), "market", "0", 36),
        (date(2026, 4, 15), "market", "5400.00", 0),
    ],
)
def test_b8_clawback(removed_on, tier, due, months):
    back = clawback(
        rule_set(WH).policies.clawback,
        paid_usd=USD("5400"),
        paid_on=date(2026, 3, 16),
        removed_on=removed_on,
        income_tier=tier,
    )
    assert (back.due_usd, back.full_months) == (USD(due), months)
    assert back.is_waived is (tier == "low")


def test_b9_a_failed_safety_test_holds_and_does_not_deny():
    held = rule([line("attic", 9800)], **B1, package={"test_out_safety_passed": False})
    assert (held.outcome, held.total_usd) == ("hold", USD("0.00"))
    assert held.calculated_usd == USD("3920.00")
    assert [(found.rule, found.kind) for found in held.findings] == [("gate.test_out", "held")]
    assert "passing retest" in held.findings[0].words
    assert not any("denied" in one.outcome for one in held.lines)
    passed = rule([line("attic", 9800)], **B1)
    assert passed.total_usd == USD("3920.00")


def test_below_the_first_tier_says_what_is_needed():
    ruling = rule([line("attic", 9800)], **{**B1, "saving": "14.99"})
    assert ruling.outcome == "denied"
    (finding,) = ruling.findings
    assert "needed 15% modeled saving, have 14.9%" in finding.words


def test_a_job_the_program_does_not_pay_is_left_out_with_a_reason():
    ruling = rule([line("attic", 9800), line("solar", 12000)], **B1)
    assert ruling.total_usd == USD("3920.00")
    assert ruling.line("solar").outcome == "denied"
    assert "does not pay for solar" in ruling.findings[0].words


def test_a_leaky_home_needs_air_sealing_in_the_package():
    leaky = {**B1, "site": {"county": "Corvane", "ach50_before": 5.01}}
    assert rule([line("attic", 9800)], **leaky).outcome == "denied"
    assert rule([line("attic", 9000), line("air_sealing", 800)], **leaky).total_usd == USD("3920")
