"""What holds for any facts: nothing raises, caps hold, asking twice gives the same."""

import json
from copy import deepcopy
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from portal.core.rules import evaluate, load_rule_set, ruling_from_dict, ruling_to_dict
from portal.core.rules.totals import share_out
from tests.portal.core.rule_facts import air, attic, facts, rule_set, wall

NAMES = ("qlg-is-v1", "qlg-is-v2", "qlg-wh-v1", "qlg-nc-v1", "qlg-audit-v1")
CENT = Decimal("0.01")

odd = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(),
    st.floats(),
    st.decimals(),
    st.text(max_size=12),
    st.sampled_from(["NaN", "sNaN", "-Infinity", "1e999999", "٣", "2026-02-30", "0001-01-01"]),
    st.sampled_from(["9999-12-31", "1958", "2026-03", "2026-03-01T23:30:00-05:00", "", " "]),
    st.lists(st.integers(), max_size=2),
    st.dictionaries(st.text(max_size=4), st.integers(), max_size=2),
)


def fields_of(name):
    """Section to keys, by the rule set's own catalogue."""
    sections: dict[str, list[str]] = {}
    for field, spec in rule_set(name).document["fields"].items():
        if spec["kind"] != "list":
            section, key = field.split(".")
            sections.setdefault(section, []).append(key)
    return sections


@st.composite
def any_facts(draw, name):
    """A document with the right names and any values, or none."""
    sections = fields_of(name)
    whole = {}
    for section, keys in sections.items():
        if section in {"line", "item"}:
            continue
        whole[section] = draw(
            st.one_of(st.dictionaries(st.sampled_from(sorted(keys)), odd, max_size=6), odd)
        )
    measures = sorted(rule_set(name).by_measure) or ["attic"]
    line = st.fixed_dictionaries(
        {"measure": st.one_of(st.sampled_from(measures), odd)},
        optional=dict.fromkeys(sections.get("line", []), odd),
    )
    entry = st.dictionaries(st.sampled_from(sorted(sections.get("item", ["on"]))), odd, max_size=4)
    whole["lines"] = draw(st.one_of(st.lists(st.one_of(line, odd), max_size=3), odd))
    for listed in ("history", "other_rebates", "units"):
        whole[listed] = draw(st.one_of(st.lists(st.one_of(entry, odd), max_size=3), odd))
    whole["stage"] = draw(st.one_of(st.sampled_from(["estimate", "request", "claim"]), odd))
    return whole


@pytest.mark.parametrize("name", NAMES)
@settings(max_examples=60, deadline=None)
@given(data=st.data())
def test_no_facts_make_the_evaluator_raise(name, data):
    ruling = evaluate(rule_set(name), data.draw(any_facts(name)))
    assert ruling.outcome in {"payable", "hold", "shortfall", "deferred", "denied", "eligible"}
    assert ruling.total_usd >= 0
    assert ruling.is_yes or ruling.total_usd == 0
    assert json.loads(json.dumps(ruling_to_dict(ruling)))["outcome"] == ruling.outcome


@pytest.mark.parametrize("whole", [None, 5, "x", [], {"lines": {}}, {"lines": [None, 3, {}]}])
def test_facts_that_are_no_document_give_a_ruling(whole):
    assert evaluate(rule_set("qlg-is-v1"), whole).outcome in {"shortfall", "denied"}


amounts = st.one_of(
    st.integers(min_value=-50, max_value=30000),
    st.decimals(min_value=-10, max_value=30000, places=3),
)
# Quotes and invoices are in whole cents; quantities may have any digits.
prices = st.decimals(min_value=-50, max_value=30000, places=2)


@st.composite
def set_a_facts(draw):
    """Requests that often pay: every gate met, figures at will."""
    lines = []
    for _ in range(draw(st.integers(1, 4))):
        kind = draw(st.sampled_from(["air", "attic", "wall", "rim"]))
        usd = draw(prices)
        if kind == "air":
            lines.append(air(draw(amounts), draw(amounts), usd))
        elif kind == "attic":
            condition = draw(st.sampled_from(["good", "fair", "poor"]))
            nominal = draw(st.integers(0, 40))
            line = attic(draw(amounts), nominal, condition, usd, plane_sealed_photo=True)
            lines.append(line)
        elif kind == "wall":
            lines.append(wall(draw(amounts), usd))
        else:
            rim = {"measure": "rim", "length_ft": draw(amounts), "post_r": 15}
            lines.append({**rim, "invoice_usd": usd, "quote_usd": usd})
    return facts(
        lines,
        household={
            "size": draw(st.integers(1, 10)),
            "income_usd": draw(st.integers(0, 200000)),
        },
        site={
            "primary_heat_fuel": draw(st.sampled_from(["natural_gas", "oil", "electricity"])),
            "has_central_cooling": draw(st.booleans()),
        },
        history=[
            {"measure": "other", "paid_on": "2025-05-01", "amount_usd": draw(prices)}
            for _ in range(draw(st.integers(0, 1)))
        ],
        other_rebates=[
            {"kind": "rebate", "amount_usd": draw(prices)} for _ in range(draw(st.integers(0, 1)))
        ],
        reservation={"amount_usd": draw(st.sampled_from([500, 1500, 20000]))},
    )


CAPS = {"air_sealing": 900, "attic": 1800, "wall": 2500, "rim": 400}
HOME = {"market": (5000, 4500), "moderate": (6500, 6500), "low": (6500, 6500)}


@pytest.mark.parametrize("version", [1, 2])
@settings(max_examples=150, deadline=None)
@given(whole=set_a_facts())
def test_a_ruling_never_exceeds_caps_cost_or_reservation(version, whole):
    # A version 2 application: the same facts, received in July.
    if version == 2:
        whole["dates"] = {
            "applied_on": "2026-07-02",
            "application_complete_on": "2026-07-02",
            "preapproved_on": "2026-07-08",
            "completed_on": "2026-08-20",
            "claimed_on": "2026-08-27",
        }
        whole["reservation"]["reserved_on"] = "2026-07-08"
        for line in whole["lines"]:
            line["install_started_on"] = "2026-08-01"
    ruling = evaluate(rule_set(f"qlg-is-v{version}"), whole)
    for measure, cap in CAPS.items():
        mine = [line for line in ruling.lines if line.measure == measure]
        assert sum(line.amount_usd for line in mine) <= cap
    for line in ruling.lines:
        assert line.amount_usd >= 0
        assert line.amount_usd == line.amount_usd.quantize(CENT)
        if line.eligible_usd is not None and line.amount_usd:
            assert line.amount_usd <= line.eligible_usd
        if line.outcome != "payable":
            assert line.amount_usd == 0
    tier = ruling.values["household.income_tier"]
    assert ruling.total_usd <= HOME[tier][version - 1]
    assert ruling.total_usd <= whole["reservation"]["amount_usd"]
    # Paid means an amount above 0 before the limits: one they took whole still has its cost.
    paid = [line for line in ruling.lines if line.amount_usd or line.reductions]
    eligible = sum(line.eligible_usd or 0 for line in paid)
    others = sum(max(Decimal(entry["amount_usd"]), 0) for entry in whole["other_rebates"])
    # Others may pay more than the cost by themselves; then nothing is added to it. The limit is
    # itself rounded to the cent, so half a cent of an eligible cost by price list is the margin.
    assert not ruling.total_usd or ruling.total_usd + others <= eligible + CENT / 2
    assert sum(ruling.fuel_split.values()) == ruling.total_usd
    assert sum(ruling.budgets.values()) == ruling.total_usd
    assert sum(line.amount_usd for line in ruling.lines) == ruling.total_usd


@settings(max_examples=60, deadline=None)
@given(whole=set_a_facts())
def test_asking_twice_or_without_trace_or_from_another_key_order_gives_the_same(whole):
    first = evaluate(rule_set("qlg-is-v1"), whole)
    before = json.dumps(ruling_to_dict(first))
    assert json.dumps(ruling_to_dict(evaluate(rule_set("qlg-is-v1"), deepcopy(whole)))) == before
    assert ruling_from_dict(json.loads(before)) == first
    bare = evaluate(rule_set("qlg-is-v1"), whole, is_tracing=False)
    assert bare.steps == ()
    assert (bare.lines, bare.findings, bare.total_usd) == (
        first.lines,
        first.findings,
        first.total_usd,
    )
    # A database may give a document back with its keys in another order.
    shuffled = load_rule_set(_reversed(rule_set("qlg-is-v1").document))
    assert json.dumps(ruling_to_dict(evaluate(shuffled, _reversed(whole)))) == before


def _reversed(value):
    if isinstance(value, dict):
        return {key: _reversed(value[key]) for key in reversed(list(value))}
    if isinstance(value, list):
        return [_reversed(item) for item in value]
    return value


def test_an_edited_rule_set_leaves_stored_rulings_as_they_are():
    asked = facts([air(3250, 2450, 1150)])
    stored = json.dumps(ruling_to_dict(evaluate(rule_set("qlg-is-v1"), asked)))
    changed = deepcopy(rule_set("qlg-is-v1").document)
    changed["measures"][0]["amount"][0]["usd"] = 0.10
    other = evaluate(load_rule_set(changed), asked)
    assert other.total_usd == Decimal("80.00")
    assert other.fingerprint != json.loads(stored)["fingerprint"]
    assert json.dumps(ruling_to_dict(evaluate(rule_set("qlg-is-v1"), asked))) == stored


@settings(max_examples=200, deadline=None)
@given(
    weights=st.lists(st.integers(1, 500000), min_size=1, max_size=8),
    part=st.integers(0, 10000),
)
def test_a_total_shared_out_is_whole_and_raises_no_part(weights, part):
    cents = [Decimal(weight) / 100 for weight in weights]
    total = (sum(cents) * part / 10000).quantize(CENT)
    parts = share_out(total, cents)
    assert sum(parts) == total
    assert all(0 <= one <= most for one, most in zip(parts, cents, strict=True))
    assert all(one == one.quantize(CENT) for one in parts)
