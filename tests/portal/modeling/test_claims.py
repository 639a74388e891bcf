"""Claimed savings: the manual as data, both savings kept, and which of the two counts."""

import copy
import json
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from calcs import analysis, deemed
from calcs.inputs import House
from calcs.measures.lives import LIVES
from calcs.results import Analysis
from calcs.unit_factors import J_PER_KWH
from portal.core.errors import DomainError
from portal.modeling import claims
from portal.modeling.models import ModelRun, SavingsManual
from tests.factories.costs import cost_of
from tests.factories.house_parts import PRICES
from tests.factories.houses import ranch_1958
from tests.factories.weather import greensboro

MANUAL: dict[str, Any] = json.loads(
    (Path(__file__).resolve().parents[3] / "fixtures/claims/qlg-sm-1.json").read_text("utf-8")
)
DAY = date(2026, 10, 14)
CHOSEN = ["led_lamps", "showerheads", "attic_air_sealing"]

pytestmark = pytest.mark.django_db


@pytest.fixture(scope="module")
def found() -> tuple[House, Analysis]:
    house = ranch_1958()
    result = analysis.analyse_subset(
        house, greensboro(), CHOSEN, costs=cost_of, prices=PRICES, year=2026
    )
    return house, result


def changed(kind: str, **values: Any) -> dict[str, Any]:
    body = copy.deepcopy(MANUAL)
    body["measures"][kind] |= values
    return body


def test_manual_names_measures_algorithms_and_units_that_exist() -> None:
    manual = claims.manual_load(MANUAL)
    assert str(manual) == "QLG-SM, edition 1"
    assert set(MANUAL["measures"]) <= set(LIVES)
    used = {rule["algorithm"] for rule in MANUAL["measures"].values()}
    assert used == set(deemed.ALGORITHMS)
    assert claims.manual_load(MANUAL).pk == manual.pk
    assert SavingsManual.objects.count() == 1


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (changed("tank_wrap", algorithm="wishing"), "tank_wrap"),
        (changed("tank_wrap", claimed="guessed"), "“modeled” or “deemed”"),
        (changed("tank_wrap", parameters={"old_r": {"value": 8, "unit": "R"}}), "missing"),
        (
            changed(
                "tank_wrap",
                parameters=MANUAL["measures"]["tank_wrap"]["parameters"]
                | {"old_r": {"value": 8, "unit": "gpm"}},
            ),
            "gpm",
        ),
        ({**MANUAL, "otherwise": "deemed"}, "only be “modeled”"),
        (
            {**MANUAL, "measures": {"levitation": MANUAL["measures"]["tank_wrap"]}},
            "levitation: No measure",
        ),
    ],
)
def test_a_faulty_manual_is_refused_with_its_place(body: dict[str, Any], words: str) -> None:
    with pytest.raises(DomainError, match=words):
        claims.manual_load(body)
    assert not SavingsManual.objects.exists()


def test_a_published_edition_is_not_edited_and_a_later_one_takes_over() -> None:
    claims.manual_load(MANUAL)
    with pytest.raises(DomainError, match="new edition"):
        claims.manual_load(changed("led_lamps", claimed="modeled"))
    later = changed("led_lamps", claimed="modeled") | {"edition": "2", "from_on": "2026-12-01"}
    claims.manual_load(later)
    assert getattr(claims.manual_on(DAY), "edition", None) == "1"
    assert getattr(claims.manual_on(date(2026, 12, 1)), "edition", None) == "2"
    assert claims.manual_on(date(2025, 12, 31)) is None


def test_both_savings_are_kept_and_the_manual_says_which_counts(
    found: tuple[House, Analysis],
) -> None:
    claims.manual_load(MANUAL)
    house, result = found
    kept = claims.claims_of(house, result, day=DAY)
    assert kept["manual"] == {"code": "QLG-SM", "edition": "1", "title": "Savings manual",
                              "from_on": "2026-01-01"}  # fmt: skip
    assert set(kept["measures"]) == {item.id for item in result.measures}
    lamps = kept["measures"]["led_lamps"]
    assert (lamps["rule"], lamps["claimed"], lamps["basis"]) == ("deemed", "deemed", "package")
    assert lamps["claimed_j"] == lamps["deemed_j"] != lamps["modeled_j"]
    # 14 lamps of at most 43 W, 9 W new, 1,000 h inside, ISR 0.98, factor 1.04.
    inside = sum(item.count for item in house.lamps if item.kind == "incandescent")
    assert lamps["deemed_j"]["electricity"] / J_PER_KWH == pytest.approx(
        inside * 34 * 0.98 * 1.04, rel=1e-6
    )
    assert lamps["deemed_j"]["natural_gas"] < 0.0  # cooler lamps cost heat, kept
    sealing = kept["measures"]["attic_air_sealing"]
    assert (sealing["rule"], sealing["claimed"]) == ("modeled", "modeled")
    assert sealing["deemed_j"] is not None
    assert sealing["claimed_j"] == sealing["modeled_j"]
    assert kept["measures"]["window_replacement"]["deemed_j"] is None
    assert kept["measures"]["window_replacement"]["basis"] == "alone"
    json.dumps(kept)


def test_without_what_the_algorithm_needs_the_model_stands_in_and_says_so(
    found: tuple[House, Analysis],
) -> None:
    claims.manual_load(MANUAL)
    house, result = found
    unmeasured = replace(
        house, hot_water_use=replace(house.hot_water_use, shower_flow_m3_per_s=None)
    )
    kept = claims.claims_of(unmeasured, result, day=DAY)["measures"]["showerheads"]
    assert kept["is_fallback"]
    assert (kept["rule"], kept["claimed"], kept["deemed_j"]) == ("deemed", "modeled", None)
    assert kept["claimed_j"] == kept["modeled_j"]


def test_without_a_manual_nothing_is_claimed(found: tuple[House, Analysis]) -> None:
    assert claims.claims_of(*found, day=DAY) == {}
    assert claims.claims_told(ModelRun(claims={}), ["led_lamps"]) == []


def test_energy_is_told_in_the_units_of_the_bill(found: tuple[House, Analysis]) -> None:
    claims.manual_load(MANUAL)
    run = ModelRun(claims=claims.claims_of(*found, day=DAY))
    told = claims.claims_told(run, ["led_lamps", "no_such_measure"])
    assert len(told) == 1
    assert told[0]["claimed_by"] == "deemed"
    assert told[0]["edition"] == "1"
    words = claims.energy_words(told[0]["claimed"])
    assert "kWh" in words
    assert "−" in words
    assert "therms" in words
    assert claims.energy_words(None) == "–"
    assert claims.energy_words({}) == "none"
    assert claims.energy_words({"fuel_oil": 3.26}) == "3.3 MMBtu"
