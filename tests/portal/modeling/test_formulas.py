"""Formulas at the desk: all are offered, answer in trade units, and refuse with field and unit."""

import re

import pytest
from django.test import Client
from django.urls import reverse

from calcs.formulas import FIELD_TESTS
from portal.core.errors import ValuesRefused
from portal.modeling import formulas
from portal.modeling.forms import FormulaForm
from portal.modeling.formula_words import TITLES, title_of
from tests.factories import scheduling


@pytest.mark.parametrize("name", FIELD_TESTS)
def test_every_formula_has_its_boxes_and_a_title(name: str) -> None:
    test = FIELD_TESTS[name]
    boxes = formulas.boxes_of(test)
    assert boxes
    assert len({box.name for box in boxes}) == len(boxes)
    assert 3 < len(title_of(test)) < 120
    assert list(FormulaForm(test=test).fields) == [box.name for box in boxes]


def test_every_word_is_picked_and_not_typed() -> None:
    for test in FIELD_TESTS.values():
        for box in formulas.boxes_of(test):
            assert bool(box.words) is (box.kind == "word"), (test.name, box.name)
            assert not box.default or box.kind != "word" or box.default in box.words


def test_titles_tell_the_formulas_apart() -> None:
    assert len({title_of(test) for test in FIELD_TESTS.values()}) == len(FIELD_TESTS)
    assert set(TITLES) <= set(FIELD_TESTS)


def worked(name: str, **typed: str) -> dict[str, formulas.Answer]:
    return {answer.name: answer for answer in formulas.work_out(name, typed)}


def test_nozzle_input_is_the_rating_by_the_root_of_the_pressure() -> None:
    # 0.85 gph x sqrt(140/100) x 138,000 Btu/gal, plain arithmetic.
    answer = worked(
        "nozzle_input",
        nozzle_m3_per_s_at_100psi="0.85",
        pump_pa="140",
        hhv_j_per_m3="138,000",
    )["return"]
    assert answer.value == pytest.approx(0.85 * 1.4**0.5 * 138_000)
    assert answer.unit_text == "Btu/h"


def test_combustion_efficiency_takes_a_fuel_and_fahrenheit() -> None:
    # US DOE Energy Tips: Steam, Tip Sheet 4: natural gas, 5 % O2, 300 F net: 82.1 %.
    answers = worked(
        "combustion_efficiency",
        fuel="natural_gas",
        o2_pct="5",
        stack_c="377",
        combustion_air_c="77",
    )
    assert answers["efficiency_pct"].value == pytest.approx(82.1, abs=0.8)
    assert answers["is_condensing"].text == "no"


def test_a_list_keeps_its_thousands_and_sums_its_parts() -> None:
    # National fuel gas code: 1 in2 per 1,000 Btu/h, at least 100 in2 each (read in excerpts).
    answer = worked("opening_free_area", inputs_w="100,000 40,000", arrangement="indoor_pair")
    assert answer["return"].value == pytest.approx(140.0)
    assert answer["return"].unit_text == "in²"


def test_a_dataclass_is_asked_for_field_by_field() -> None:
    # Net present value of 100 units x $1.20 over 15 years at 5 %: 120 x 10.3797 (annuity factor).
    answers = worked(
        "participant_test",
        measure_cost="1000",
        incentive="300",
        administration="20",
        annual_units="100",
        retail_price="1.2",
        avoided_cost="0.7",
        life_years="15",
        discount="0.05",
        net_to_gross="0.8",
    )
    factor = (1 - 1.05**-15) / 0.05
    assert answers["ratio"].value == pytest.approx((300 + 120 * factor) / 1000)


@pytest.mark.parametrize(
    ("name", "typed", "words"),
    [
        ("nominal_rate", {"real": "0.03"}, "inflation"),
        ("nominal_rate", {"real": "nan", "inflation": "0.02"}, "not a number"),
        ("nominal_rate", {"real": "0.03", "inflation": "0.02", "tax": "1"}, "does not ask for tax"),
        ("uniform_present_value_factor", {"discount": "0.03", "years": "2.5"}, "whole number"),
        (
            "leakage_area",
            {"coefficient_m3_per_s_pa_n": "100", "exponent": "1.4"},
            r"exponent must be from 0\.5 to 1; you typed 1\.4",
        ),
        (
            "largest_flue_area",
            {"outlet_diameter_m": "-3"},
            r"outlet diameter must be from 0 to 393,701 in; you typed -3",
        ),
        ("horoscope", {}, "unknown field test"),
    ],
)
def test_refusals_name_the_box(name: str, typed: dict[str, str], words: str) -> None:
    with pytest.raises(ValuesRefused) as refused:
        formulas.work_out(name, typed)
    said = " ".join([refused.value.message, *refused.value.fields.values()]).lower()
    assert re.search(words.lower(), said), said


@pytest.mark.django_db
def test_an_auditor_works_one_out_on_its_page_and_by_operation() -> None:
    client = Client()
    client.force_login(scheduling.auditor("desk@qlg.example", counties=[]).user)
    assert client.get(reverse("modeling:formulas")).status_code == 200
    page = reverse("modeling:formula", args=["leakage_area_from_flow50"])
    typed = {"flow50_m3_per_s": "1000", "exponent": "0.65"}
    # 0.05496 in2 per CFM50 at n = 0.65, the trade's shortcut (published copies say 0.055).
    assert "54.957 in²" in client.get(page, typed).content.decode()
    refused = client.get(page, {**typed, "exponent": "1.4"}).content.decode()
    assert "Exponent must be from 0.5 to 1; you typed 1.4." in refused
    assert 'value="1000"' in refused
    operation = reverse("api_formula", args=["leakage_area_from_flow50"])
    answer = client.post(operation, {"values": typed}, content_type="application/json")
    assert answer.json()[0]["value"] == pytest.approx(54.9567, abs=0.001)
    assert client.get(reverse("modeling:formula", args=["horoscope"])).status_code == 404
