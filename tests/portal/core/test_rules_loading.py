"""A malformed rule set is refused with the path of the fault; the files say what they should."""

import json
from copy import deepcopy
from decimal import Decimal
from io import StringIO

import jsonschema
import pytest
from django.core.management import CommandError, call_command

from portal.core.rules import RuleSetFault, load_rule_set
from tests.portal.core.rule_facts import FOLDER, air, attic, document, facts, rule_set
from tests.portal.core.test_rules_screening import GOOD
from tests.portal.core.test_rules_set_a import A3, A4, A7

COMMON = document("common")


def broken(change):
    whole = document("qlg-is-v1")
    change(whole)
    with pytest.raises(RuleSetFault) as caught:
        load_rule_set(whole, shared=deepcopy(COMMON))
    return caught.value.path, caught.value.problem


def at(whole, *keys):
    for key in keys:
        whole = whole[key]
    return whole


@pytest.mark.parametrize(
    ("change", "path", "problem"),
    [
        (lambda w: w.update(version=0), "version", "whole number"),
        (lambda w: w.update(surprise=1), "surprise", "not known"),
        (lambda w: w["effective"].update(to="2025-01-01"), "effective.to", "before"),
        (lambda w: w["effective"].pop("from"), "effective", "from and to"),
        (
            lambda w: at(w, "gates", 0, "condition").update(field="account.rate"),
            "gates[0].condition.field",
            "no field or quantity 'account.rate'",
        ),
        (
            lambda w: at(w, "gates", 1, "condition", "all", 1).update(unit="ft2"),
            "gates[1].condition.all[1].unit",
            "site.units is in units",
        ),
        (
            lambda w: at(w, "gates", 1, "condition", "all", 0).update({"is": "yes"}),
            "gates[1].condition.all[0].is",
            "a number needs one of",
        ),
        (
            lambda w: at(w, "gates", 0, "words").update(fails="Rate {account.rate}"),
            "gates[0].words.fails",
            "which nothing supplies",
        ),
        (
            lambda w: at(w, "gates", 0).update(ask="people.nobody"),
            "gates[0]",
            "not among the texts",
        ),
        (
            lambda w: at(w, "gates", 0, "condition").update(field="line.pre_cfm50"),
            "gates[0].condition.field",
            "only where there is a line",
        ),
        (
            lambda w: at(w, "measures", 1, "amount", 0, "bands", 1).update(above=10),
            "measures[1].amount[0].bands[1]",
            "overlaps",
        ),
        (
            lambda w: at(w, "measures", 0, "amount").pop(),
            "measures[0].amount",
            "whole cents",
        ),
        (
            lambda w: at(w, "measures", 0, "amount", 0).update(unit="ft2"),
            "measures[0].amount[0].unit",
            "the quantity is in CFM50",
        ),
        (
            lambda w: at(w, "measures", 0, "amount", 0).update(do="formula"),
            "measures[0].amount[0].do",
            "needs one of",
        ),
        (
            lambda w: w["measures"].append(deepcopy(w["measures"][0])),
            "measures[7]",
            "has rules already",
        ),
        (
            lambda w: at(w, "totals").reverse(),
            "totals[2].order",
            "bonuses come before",
        ),
        (
            lambda w: at(w, "totals", 0, "when").update(at_least=9),
            "totals[0].when.at_least",
            "the list can reach",
        ),
        (
            lambda w: at(w, "quantities", 0, "is").update(table="none", values=None),
            "quantities[6].is.values",
            "needs a table",
        ),
        (
            lambda w: at(w, "gates", 0).update(due="later"),
            "gates[0].due",
            "estimate, request, claim",
        ),
    ],
)
def test_a_fault_is_reported_with_its_path(change, path, problem):
    found_path, found_problem = broken(change)
    assert found_path == path
    assert problem in found_problem


@pytest.mark.parametrize("whole", [None, [], 3, "x", {}])
def test_what_is_no_rule_set_is_refused(whole):
    with pytest.raises(RuleSetFault):
        load_rule_set(whole)


SCHEMA = json.loads((FOLDER / "facts.schema.json").read_text())


def test_schema_and_field_catalogue_name_the_same_fields_and_units():
    catalogue = {**COMMON["fields"], **document("qlg-audit-v1")["fields"]}
    described = {}
    for section, spec in SCHEMA["properties"].items():
        if spec.get("type") == "object":
            for key, field in spec["properties"].items():
                described[f"{section}.{key}"] = field
        elif spec.get("type") == "array":
            scope = "line" if section == "lines" else "item"
            for key, field in spec["items"]["properties"].items():
                described[f"{scope}.{key}"] = field
    known = {name for name, spec in catalogue.items() if spec["kind"] != "list"}
    assert set(described) - {"line.line", "line.measure"} == known
    for name in known:
        spec = catalogue[name]
        if spec["kind"] == "number":
            assert described[name]["x-unit"] == (spec.get("unit") or "count"), name
        assert described[name]["description"].endswith((".", "QLG-NC", "QLG-AUDIT")), name
    lists = {name for name, spec in catalogue.items() if spec["kind"] == "list"}
    assert lists <= set(SCHEMA["properties"])


@pytest.mark.parametrize("whole", [A3, A4, A7, GOOD, facts([air(3250, 2450, 1150)])])
def test_the_facts_of_the_worked_applications_fit_the_schema(whole):
    jsonschema.validate(whole, SCHEMA)


@pytest.mark.parametrize(
    "whole",
    [
        {"lines": [{"measure": "attic", "pre_r": 7}]},
        {"stage": "after"},
        {"dates": {"as_of": "March 3"}},
        {"lines": [{"measure": "attic", "post_r": "R-49"}]},
    ],
)
def test_the_schema_refuses_what_no_rule_can_read(whole):
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(whole, SCHEMA)


def test_published_figures_of_the_tables():
    tables = rule_set("qlg-is-v1").document["tables"]
    assert tables["ami_2026_4_person_usd"]["Corvane"] == 112400
    assert tables["ami_size_factor"]["5"] == Decimal("1.08")


def ask(rules, facts_document, tmp_path, **options):
    path = tmp_path / "facts.json"
    path.write_text(json.dumps(facts_document))
    out = StringIO()
    call_command("ruling", rules=rules, facts=path, stdout=out, **options)
    return json.loads(out.getvalue())


def test_the_command_prints_the_ruling_without_a_database(tmp_path):
    asked = facts([air(3250, 2450, 1150), attic(1020, 7, "good", 2346)])
    said = ask(FOLDER / "qlg-is-v1.json", asked, tmp_path)
    assert said["outcome"] == "payable"
    assert said["total_usd"] == "1398.00"
    assert said["steps"][0]["rule"] == "version"
    assert said["steps"][-1]["words"] == "May be paid: $1,398.00"


def test_the_command_names_what_it_cannot_read(tmp_path):
    with pytest.raises(CommandError, match="cannot be read"):
        ask(tmp_path / "none.json", {}, tmp_path)
    bad = tmp_path / "bad.json"
    bad.write_text('{"id": "X"}')
    with pytest.raises(CommandError, match="fields: needs the table of fields"):
        ask(bad, {}, tmp_path)
