"""Rule set C: the worked applications C-1 to C-8 of the program's rule text, to the cent."""

from datetime import UTC, date, datetime
from decimal import Decimal

import pytest

from portal.core.rules import evaluate
from portal.core.rules.afterwards import change_order_is_automatic, failed_line, invoice_payment
from portal.core.rules.queue import Waiting, queue_points, queue_run
from tests.portal.core.rule_facts import facts, rule_set, step

NC = "qlg-nc-v1"
USD = Decimal


def job(measure, usd, pv=None, **more):
    line = {
        "measure": measure,
        "quote_usd": usd,
        "invoice_usd": usd,
        "list_price_usd": usd,
        **more,
    }
    if pv is not None:
        line["pv_savings_usd"] = pv
    return line


def weatherize(lines, **changes):
    changes.setdefault("household", {"size": 4, "income_usd": 52390, "income_is_verified": True})
    changes.setdefault("stage", "request")
    whole = facts(lines, **changes)
    whole["site"]["county"] = "Brindle"
    whole["dates"] = {
        "applied_on": "2026-03-10",
        "committed_on": "2026-03-20",
        **changes.get("dates", {}),
    }
    whole["package"] = {"gas_savings_mmbtu": 20, "electric_savings_mmbtu": 0}
    return evaluate(rule_set(NC), whole)


def test_c1_plain():
    ruling = weatherize(
        [
            job("air_sealing", 1420, 3180),
            job("attic", 2640, 4990),
            job("rim", 704, 1010),
            job("bath_fan", 620),
            job("co_alarm", 165),
        ]
    )
    # 52,390 of 84,500 is 62.0 % (cut).
    assert ruling.values["household.percent_of_median"] == "62"
    assert ruling.budgets == {"energy": USD("4764.00"), "health_safety": USD("785.00")}
    assert ruling.total_usd == USD("5549.00")
    assert ruling.owner_usd == 0
    assert ruling.payee == "contractor"
    paid = invoice_payment(rule_set(NC).policies.payment, ruling.total_usd)
    assert (paid.pay_usd, paid.retain_usd) == (USD("4994.10"), USD("554.90"))


def income_case(income, letter=None):
    household = {"size": 3, "income_usd": income, "income_is_verified": True}
    if letter:
        household["award_letter_on"] = letter
    return weatherize([job("attic", 2640, 4990)], household=household)


def test_c2_the_income_line():
    assert income_case(60840).total_usd == USD("2640.00")
    above = income_case(60841)
    assert (above.outcome, above.total_usd) == ("denied", USD("0.00"))
    (finding,) = above.findings
    assert "80.0013%" in finding.words
    assert finding.alternatives == (
        "alternatives.insulate_and_seal",
        "alternatives.whole_home_path",
    )
    assert income_case(60841, "2025-08-10").total_usd == USD("2640.00")
    # Twelve months before the application of March 10, that day included.
    assert income_case(60841, "2025-03-10").total_usd == USD("2640.00")
    assert income_case(60841, "2025-03-09").outcome == "denied"


def test_income_on_the_household_s_word_is_not_enough_for_work():
    household = {"size": 3, "income_usd": 60840, "income_is_verified": False}
    assert weatherize([job("attic", 2640, 4990)], household=household).outcome == "denied"
    del household["income_is_verified"]
    asked = weatherize([job("attic", 2640, 4990)], household=household)
    assert asked.outcome == "shortfall"
    assert "income papers" in asked.shortfalls[0].words
    assert weatherize([job("attic", 2640, 4990)], household=household, stage="estimate").is_yes


def rental(eligible, lines):
    return weatherize(
        lines,
        household={"tenure": "renter", "owner_consent_signed": True},
        site={"units": 3, "owner_agreed_rent_terms": True, "tenant_is_named": True},
        units=[
            {"unit": str(number + 1), "household_is_eligible": number < eligible}
            for number in range(3)
        ],
    )


def test_c3_three_unit_rental():
    lines = [
        job("attic", 9900, 20000, unit="shared"),
        job("bath_fan", 1200, unit="shared"),
    ]
    ruling = rental(2, lines)
    assert step(ruling, "owner_part").saw["allocated_usd"] == "3300"
    assert ruling.owner_usd == USD("825.00")
    assert ruling.total_usd == USD("10275.00")
    assert ruling.budgets == {"energy": USD("9075.00"), "health_safety": USD("1200.00")}


def test_c3_with_one_of_three_eligible_only_its_own_measures():
    lines = [
        job("attic", 9900, 20000, unit="shared"),
        job("air_sealing", 900, 2000, unit="1"),
        job("air_sealing", 900, 2000, unit="2"),
    ]
    ruling = rental(1, lines)
    assert [one.outcome for one in ruling.lines] == ["denied", "payable", "denied"]
    assert ruling.total_usd == USD("900.00")
    assert ruling.owner_usd == 0


def test_the_part_above_a_cap_is_not_paid():
    single = weatherize([job("attic", 9000, 20000), job("wall", 1000, 20000)])
    assert single.total_usd == USD("9500.00")
    assert [one.amount_usd for one in single.lines] == [USD("8550.00"), USD("950.00")]
    # Unit 1: 9,000 + 1,000 shared = 10,000, capped to 9,500; units 2 and 3: 1,000 each.
    shared = rental(
        3, [job("wall", 9000, 20000, unit="1"), job("attic", 3000, 9000, unit="shared")]
    )
    assert shared.total_usd == USD("11500.00")


def test_c4_vermiculite_cleared():
    ruling = weatherize(
        [
            {"measure": "barrier_removal", "barrier": "vermiculite", "quote_usd": 5200},
            job("attic", 4100, 6000, blocked_by="vermiculite"),
            job("bath_fan", 310),
        ]
    )
    tests = step(ruling, "barrier.tests")
    assert (tests.saw["cost_usd"], tests.saw["enabled_usd"]) == ("5200", "4100")
    assert ruling.budgets == {
        "barrier": USD("5200.00"),
        "energy": USD("4100.00"),
        "health_safety": USD("310.00"),
    }
    assert ruling.total_usd == USD("9610.00")
    assert any(found.rule == "energy.clearance" for found in ruling.findings)


def test_c4_energy_work_before_clearance_is_held():
    lines = [
        {
            "measure": "barrier_removal",
            "barrier": "vermiculite",
            "invoice_usd": 5200,
        },
        job("attic", 4100, 6000, blocked_by="vermiculite", clearance_on="2026-04-02"),
    ]
    held = weatherize(lines, stage="claim")
    assert held.line("attic").outcome == "hold"
    lines[1]["clearance_on"] = "2026-04-01"
    assert weatherize(lines, stage="claim").line("attic").amount_usd == USD("4100.00")
    del lines[1]["clearance_on"]
    assert weatherize(lines, stage="claim").line("attic").outcome == "shortfall"


def test_c5_barrier_not_funded_partial_job():
    ruling = weatherize(
        [
            {"measure": "barrier_removal", "barrier": "knob_and_tube", "quote_usd": 3900},
            job("attic", 1200, 3000, blocked_by="knob_and_tube"),
            job("air_sealing", 640, 1024),
        ]
    )
    assert ruling.line("attic").outcome == "deferred"
    assert ruling.line("barrier_removal").outcome == "deferred"
    said = [found.words for found in ruling.findings if found.rule == "barrier.tests"]
    assert len(said) == 2
    assert "$1,200.00" in said[0]
    assert "$1,500.00" in said[0]
    assert "$2,400.00" in said[1]
    assert ruling.total_usd == USD("640.00")
    assert ruling.outcome == "payable"


def test_only_measures_worth_their_cost_count_as_enabled():
    ruling = weatherize(
        [
            {"measure": "barrier_removal", "barrier": "vermiculite", "quote_usd": 2000},
            job("attic", 1400, 3000, blocked_by="vermiculite"),
            job("wall", 4000, 3999, blocked_by="vermiculite"),
        ]
    )
    assert step(ruling, "barrier.tests").saw["enabled_usd"] == "1400"
    assert ruling.outcome == "deferred"


@pytest.mark.parametrize(
    ("owner_pays", "program", "owner"),
    [(435, "5165.00", "435.00"), (None, "1250.00", "0.00"), ("434.99", "1250.00", "0.00")],
)
def test_c6_owner_buys_down_a_measure(owner_pays, program, owner):
    wall = job("wall", 4350, 3915)
    if owner_pays is not None:
        wall["owner_pays_usd"] = owner_pays
    ruling = weatherize([job("air_sealing", 1250, 2860), wall])
    assert ruling.total_usd == USD(program)
    assert ruling.owner_usd == USD(owner)
    if owner == "0.00":
        (finding,) = ruling.findings
        assert "ratio 0.9" in finding.words
        assert "$435.00" in finding.fix


def test_c7_change_order_retainage_and_failure():
    policies = rule_set(NC).policies

    def is_automatic(added, earlier="0"):
        return change_order_is_automatic(
            policies.change_order,
            approved_energy_usd=USD("5200"),
            earlier_added_usd=USD(earlier),
            added_usd=USD(added),
            is_within_price_list=True,
            is_within_caps=True,
        )

    assert is_automatic("240")
    assert is_automatic("500")
    assert not is_automatic("500.01")
    assert not is_automatic("261", "240")
    paid = invoice_payment(policies.payment, USD("5440"))
    assert (paid.pay_usd, paid.retain_usd) == (USD("4896.00"), USD("544.00"))

    def after(fixed_on, today):
        return failed_line(
            policies.payment,
            line_usd=USD("1900"),
            retained_usd=paid.retain_usd,
            failed_on=date(2026, 5, 1),
            fixed_on=fixed_on,
            today=today,
        )

    fixed = after(date(2026, 5, 25), date(2026, 5, 25))
    assert paid.pay_usd + fixed.release_usd == USD("5440.00")
    assert after(None, date(2026, 5, 31)) is None
    lost = after(None, date(2026, 6, 1))
    assert (lost.from_retainage_usd, lost.offset_usd) == (USD("544.00"), USD("1356.00"))
    assert paid.pay_usd - lost.offset_usd == USD("3540.00")


def request(number, usd, points, day):
    return Waiting(number, points, datetime(2026, *day, 12, tzinfo=UTC), USD(usd))


def test_c8_queue_and_budget():
    run = queue_run(
        USD("14000"),
        [
            request("W1", 6100, 45, (5, 2)),
            request("W2", 5900, 50, (5, 20)),
            request("W3", 4300, 45, (4, 18)),
            request("W4", 1700, 30, (4, 1)),
        ],
    )
    assert run.order == ("W2", "W3", "W1", "W4")
    assert run.committed == ("W2", "W3")
    assert run.waiting == ("W1", "W4")
    assert (run.committed_usd, run.held_usd) == (USD("10200"), USD("3800"))


def test_points_for_waiting_are_for_full_thirty_days_and_twelve_at_most():
    def waited(as_of):
        return queue_points(
            rule_set(NC),
            {
                "dates": {"applied_on": "2026-01-01", "as_of": as_of},
                "household": {"has_no_heat": True, "use_share_of_median": 1.5},
            },
        ).total

    assert waited("2026-01-30") == 40
    assert waited("2026-01-31") == 41
    assert waited("2026-12-31") == 52
    assert waited("2028-01-01") == 52
