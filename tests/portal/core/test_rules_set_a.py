"""Rule set A: the worked applications A-1 to A-8 of the program's rule text, to the cent."""

from decimal import Decimal

from portal.core.rules import evaluate, version_for
from tests.portal.core.rule_facts import air, attic, facts, rule_set, step, wall

V1, V2 = "qlg-is-v1", "qlg-is-v2"
USD = Decimal


def outcome_of(ruling, rule):
    return step(ruling, rule).outcome


def test_a1_plain_case():
    ruling = evaluate(rule_set(V1), facts([air(3250, 2450, 1150), attic(1020, 7, "good", 2346)]))
    assert step(ruling, "air_sealing.rate").amount_usd == USD("480.00")
    assert step(ruling, "air_sealing.eligible_cost").saw["eligible_usd"] == "1150"
    assert step(ruling, "air_sealing.cost_share").saw["cap_usd"] == "862.5"
    assert ruling.line("air_sealing").amount_usd == USD("480.00")
    assert step(ruling, "attic.r_before").saw["pre_r_effective"] == "7"
    assert step(ruling, "attic.rate").saw["rate_usd"] == "0.9"
    assert step(ruling, "attic.rate").amount_usd == USD("918.00")
    assert step(ruling, "attic.cap").saw["cap_usd"] == "1800"
    assert step(ruling, "attic.eligible_cost").saw["eligible_usd"] == "2346"
    assert step(ruling, "attic.cost_share").saw["cap_usd"] == "1759.5"
    assert outcome_of(ruling, "bundle") == "not earned"
    assert ruling.values["household.income_tier"] == "market"
    assert (ruling.outcome, ruling.total_usd) == ("payable", USD("1398.00"))
    assert ruling.fuel_split == {"gas": USD("1398.00")}
    assert ruling.findings == ()


def test_a2_fails_by_a_hair_and_is_partly_approved():
    ruling = evaluate(
        rule_set(V1),
        facts([air(2480, 2110, 700), attic(940, 19, "poor", 2162, plane_sealed_photo=True)]),
    )
    sealing = ruling.line("air_sealing")
    assert (sealing.outcome, sealing.amount_usd) == ("denied", USD("0.00"))
    (finding,) = [found for found in ruling.findings if found.kind == "failed"]
    assert finding.rule == "air_sealing.cut"
    assert "needed 372 CFM50" in finding.words
    assert "achieved 370 (14.92%)" in finding.words
    assert finding.needs[0].needed == "372"
    assert finding.needs[0].had == "370"
    assert step(ruling, "attic.r_before").saw["pre_r_effective"] == "11.4"
    assert step(ruling, "attic.rate").saw["rate_usd"] == "0.55"
    assert step(ruling, "attic.cost_share").saw["cap_usd"] == "1621.5"
    assert ruling.line("attic").amount_usd == USD("517.00")
    assert (ruling.outcome, ruling.total_usd) == ("payable", USD("517.00"))


def test_a2_without_photos_the_attic_is_denied_too():
    line = attic(940, 19, "poor", 2162, plane_sealed_photo=False)
    ruling = evaluate(rule_set(V1), facts([air(2480, 2110, 700), line]))
    assert ruling.line("attic").outcome == "denied"
    assert ruling.outcome == "denied"


A3 = facts(
    [
        air(4210, 2780, 1950),
        attic(1180, 11, "fair", 2832),
        wall(1460, 5110),
        {
            "measure": "rim",
            "length_ft": 142,
            "post_r": 15,
            "invoice_usd": 710,
            "quote_usd": 710,
        },
    ],
    household={"size": 3, "income_usd": 81000},
    site={"county": "Brindle"},
    history=[
        {
            "program": "duct program",
            "measure": "duct_seal",
            "paid_on": "2024-09-12",
            "amount_usd": 1850,
        }
    ],
)


def test_a3_moderate_income_caps_and_prior_payment():
    ruling = evaluate(rule_set(V1), A3)
    assert ruling.values["household.ami_usd"] == "76050"
    assert ruling.values["household.income_tier"] == "moderate"
    assert step(ruling, "air_sealing.rate").amount_usd == USD("858.00")
    assert step(ruling, "air_sealing.income_multiplier").amount_usd == USD("1072.50")
    assert step(ruling, "air_sealing.cap").amount_usd == USD("900")
    assert step(ruling, "air_sealing.cost_share").saw["cap_usd"] == "1755"
    assert step(ruling, "attic.r_before").saw["pre_r_effective"] == "9.35"
    assert step(ruling, "attic.income_multiplier").amount_usd == USD("1327.50")
    assert step(ruling, "attic.cost_share").saw["cap_usd"] == "2548.8"
    assert step(ruling, "wall.rate").amount_usd == USD("1752.00")
    assert step(ruling, "wall.cost_share").amount_usd == USD("2190.00")
    assert step(ruling, "wall.eligible_cost").saw["eligible_usd"] == "4745"
    assert step(ruling, "wall.cost_share").saw["cap_usd"] == "4270.5"
    assert step(ruling, "rim.cap").amount_usd == USD("355.00")
    assert step(ruling, "bundle.share").amount_usd == USD("477.25")
    assert step(ruling, "bundle.cap").amount_usd == USD("400")
    home = step(ruling, "cap.home")
    assert (home.saw["amount_usd"], home.saw["limit_usd"]) == ("5172.5", "4650")
    assert home.saw["taken_usd"] == "522.5"
    assert ruling.total_usd == USD("4650.00")
    taken = [cut for line in ruling.lines for cut in line.reductions]
    assert {cut.name for cut in taken} == {"Home limit"}
    assert sum(cut.amount_usd for cut in taken) == USD("522.50")
    assert all(line.reductions for line in ruling.lines)
    # In proportion, in whole cents, the last line (the bonus) the remainder: by hand.
    assert [line.amount_usd for line in ruling.lines] == [
        USD("809.09"),
        USD("1193.40"),
        USD("1968.78"),
        USD("319.14"),
        USD("359.59"),
    ]


A4 = facts(
    [air(3900, 3200, 1035), wall(900, 3150)],
    dates={
        "applied_on": "2026-06-25",
        "application_complete_on": "2026-06-29",
        "preapproved_on": "2026-07-08",
        "completed_on": "2026-10-30",
        "claimed_on": "2026-11-02",
    },
    site={"has_central_cooling": True},
    reservation={"reserved_on": "2026-07-08", "amount_usd": "1500.00"},
)
for line in A4["lines"]:
    line["install_started_on"] = "2026-07-20"


def test_a4_change_of_rules_grandfathered():
    assert version_for([rule_set(V2), rule_set(V1)], A4) is rule_set(V1)
    ruling = evaluate(rule_set(V1), A4)
    assert step(ruling, "version").saw["expires_on"] == "2026-11-05"
    assert step(ruling, "version").saw["lapsed"] == "no"
    assert ruling.line("air_sealing").amount_usd == USD("420.00")
    assert step(ruling, "air_sealing.cost_share").saw["cap_usd"] == "776.25"
    assert ruling.line("wall").amount_usd == USD("1080.00")
    assert step(ruling, "wall.eligible_cost").saw["eligible_usd"] == "2925"
    assert step(ruling, "wall.cost_share").saw["cap_usd"] == "2193.75"
    assert outcome_of(ruling, "bundle") == "not earned"
    assert ruling.total_usd == USD("1500.00")
    assert ruling.fuel_split == {"gas": USD("1275.00"), "electric": USD("225.00")}


def late(completed_on, *, asked_on=None, claimed_on="2026-11-12"):
    changed = {**A4, "dates": {**A4["dates"], "completed_on": completed_on}}
    changed["dates"]["claimed_on"] = claimed_on
    if asked_on:
        changed["reservation"] = {**A4["reservation"], "extension_asked_on": asked_on}
    return changed


def test_a5_same_home_late_is_priced_again_and_the_lower_counts():
    changed = late("2026-11-10")
    version = version_for([rule_set(V1), rule_set(V2)], changed)
    assert version is rule_set(V2)
    ruling = evaluate(version, changed)
    assert step(ruling, "version").saw["lapsed"] == "yes"
    assert ruling.line("air_sealing").amount_usd == USD("350.00")
    assert ruling.line("wall").amount_usd == USD("990.00")
    assert ruling.line("bundle").amount_usd == USD("150.00")
    assert ruling.total_usd == USD("1490.00")
    assert ruling.fuel_split == {"gas": USD("1266.50"), "electric": USD("223.50")}
    assert [one.outcome for one in ruling.steps if one.rule == "gate.before_work"] == [
        "passed",
        "passed",
    ]


def test_a5_never_above_the_reserved_amount():
    changed = late("2026-11-10")
    changed["reservation"] = {**A4["reservation"], "amount_usd": "1400.00"}
    assert evaluate(rule_set(V2), changed).total_usd == USD("1400.00")


def test_expiry_day_is_valid_the_day_after_is_not_and_an_extension_on_that_day_counts():
    versions = [rule_set(V1), rule_set(V2)]
    assert version_for(versions, late("2026-11-05")) is rule_set(V1)
    assert version_for(versions, late("2026-11-06")) is rule_set(V2)
    # 60 days on from November 5 is January 4 of the next year.
    extended = late("2026-12-30", asked_on="2026-11-05", claimed_on="2027-01-10")
    assert version_for(versions, extended) is rule_set(V1)
    assert version_for(versions, late("2026-12-30", asked_on="2026-11-06")) is rule_set(V2)
    assert step(evaluate(rule_set(V1), extended), "version").saw["expires_on"] == "2027-01-04"


def test_an_instant_counts_on_its_day_in_the_program_time_zone():
    versions = [rule_set(V1), rule_set(V2)]
    # 11:59 p.m. on November 5 in New York is 04:59 UTC on the 6th (standard time, UTC−5).
    assert version_for(versions, late("2026-11-06T04:59:00+00:00")) is rule_set(V1)
    assert version_for(versions, late("2026-11-06T05:00:00+00:00")) is rule_set(V2)


def test_a6_delivered_fuel():
    ruling = evaluate(
        rule_set(V1),
        facts(
            [air(2900, 2300, 870), attic(1300, 13, "good", 3120), wall(800, 2600)],
            site={"primary_heat_fuel": "oil", "has_central_cooling": True},
        ),
    )
    assert step(ruling, "air_sealing.fuel_multiplier").amount_usd == USD("180.00")
    assert step(ruling, "air_sealing.cost_share").saw["cap_usd"] == "652.5"
    assert step(ruling, "attic.rate").amount_usd == USD("715.00")
    assert ruling.line("attic").amount_usd == USD("357.50")
    assert ruling.line("wall").outcome == "denied"
    assert [found.rule for found in ruling.findings] == ["gate.fuel"]
    assert outcome_of(ruling, "bundle") == "not earned"
    assert ruling.total_usd == USD("537.50")
    assert ruling.fuel_split == {"electric": USD("537.50")}


HEAT_PUMP = {
    "measure": "heat_pump",
    "rated_btu_per_h": 40800,
    "hspf2": 8.5,
    "seer2": 16,
    "load_calculation_done": True,
    "invoice_usd": 13900,
    "quote_usd": 13900,
    "install_started_on": "2026-02-10",
    "installed_on": "2026-02-10",
}
A7 = {
    **facts(
        [HEAT_PUMP],
        dates={"applied_on": "2026-03-05", "application_complete_on": "2026-03-05"},
        site={
            "no_heat_is_documented": True,
            "attic_r_after": 38,
            "ach50_after": 7.6,
            "audit_on": "2025-11-03",
        },
        other_rebates=[
            {"kind": "rebate", "amount_usd": 12000},
            {"kind": "manufacturer_discount", "amount_usd": 600},
            {"kind": "tax_credit", "amount_usd": 2000},
        ],
    ),
    "reservation": {},
}
A7["dates"] = {"applied_on": "2026-03-05", "application_complete_on": "2026-03-05"}


def test_a7_emergency_heat_pump_with_other_money():
    ruling = evaluate(rule_set(V1), A7)
    assert outcome_of(ruling, "gate.before_work") == "passed"
    assert step(ruling, "heat_pump.rate").saw["rated_tons"] == "3.4"
    assert step(ruling, "heat_pump.rate").saw["paid_tons"] == "3"
    assert step(ruling, "heat_pump.rate").amount_usd == USD("1800")
    assert step(ruling, "heat_pump.weatherized").amount_usd == USD("2300")
    assert step(ruling, "heat_pump.eligible_cost").saw["eligible_usd"] == "13900"
    assert step(ruling, "heat_pump.cost_share").saw["cap_usd"] == "10425"
    assert step(ruling, "stacking").saw["other_rebates_usd"] == "12000"
    assert step(ruling, "stacking").saw["taken_usd"] == "400"
    assert ruling.total_usd == USD("1900.00")
    assert ruling.fuel_split == {"electric": USD("1900.00")}


def test_an_emergency_applied_for_on_day_31_needs_approval_before_work():
    dates = {"applied_on": "2026-03-13", "application_complete_on": "2026-03-13"}
    ruling = evaluate(rule_set(V1), {**A7, "dates": dates})
    assert ruling.total_usd == 0
    assert not ruling.is_yes
    dates = {"applied_on": "2026-03-12", "application_complete_on": "2026-03-12"}
    assert evaluate(rule_set(V1), {**A7, "dates": dates}).total_usd == USD("1900.00")


def test_a8_work_before_approval():
    thermostat = {
        "measure": "thermostat",
        "quantity": 1,
        "invoice_usd": 129,
        "installed_on": "2026-03-02",
    }
    line = attic(1000, 7, "good", 2600, install_started_on="2026-03-02", plane_sealed_photo=True)
    ruling = evaluate(
        rule_set(V1),
        facts(
            [line, thermostat],
            dates={
                "applied_on": "2026-03-27",
                "application_complete_on": "2026-03-27",
                "preapproved_on": "2026-03-05",
            },
        ),
    )
    assert ruling.line("attic").outcome == "denied"
    (finding,) = ruling.findings
    assert finding.rule == "gate.before_work"
    assert "March 2, 2026" in finding.words
    assert "March 5, 2026" in finding.words
    assert finding.alternatives == ("alternatives.override",)
    assert step(ruling, "thermostat.cost_share").saw["cap_usd"] == "96.75"
    assert ruling.line("thermostat").amount_usd == USD("75.00")
    assert ruling.total_usd == USD("75.00")


def test_work_begun_on_the_day_of_approval_is_allowed():
    line = attic(1000, 7, "good", 2600, install_started_on="2026-03-16", plane_sealed_photo=True)
    assert evaluate(rule_set(V1), facts([line])).total_usd == USD("900.00")


def test_a_request_for_work_that_began_before_it_is_denied_already():
    line = attic(1000, 7, "good", 2600, install_started_on="2026-03-02", plane_sealed_photo=True)
    asked = facts([line], stage="request")
    del asked["dates"]["preapproved_on"]
    assert evaluate(rule_set(V1), asked).outcome == "denied"
