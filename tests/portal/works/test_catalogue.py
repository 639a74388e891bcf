"""One walk through the catalogue: nothing is offered that nobody can name, price or build."""

import json
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from types import SimpleNamespace

import pytest

from calcs.inputs import Repair
from calcs.left_alone import left_alone
from calcs.measures import measures_for
from calcs.measures.lives import LIVES
from calcs.measures.measure import Measure
from calcs.results import EquipmentFinding
from portal.core.units import convert
from portal.intake import hazards
from portal.intake.document import Reader
from portal.intake.hazards import base, seen
from portal.modeling import measure_words
from portal.modeling.services import unsafe_in
from portal.modeling.translation.repairs import REPAIR_OF, repairs_of
from portal.rebates.measures import RULE_MEASURE
from portal.reports import owner_words
from portal.works.content import held_words
from portal.works.specifications import SPECIFICATIONS, specification_for
from tests.factories.catalogue_houses import EVERY_HOUSE, neglected_ranch
from tests.factories.houses import ranch_1958
from tests.portal.intake.documents import changed

PRICES = {
    line["measure"]: line
    for line in json.loads(
        (Path(__file__).resolve().parents[3] / "fixtures/prices/price_list.json").read_text("utf-8")
    )["lines"]
}
KINDS = sorted(LIVES)
# What hazards stop beside measures.
NOT_MEASURES = {"*", "blower_door"}


def offered() -> Iterator[Measure]:
    for make in EVERY_HOUSE:
        yield from measures_for(make(), year=2026)


@pytest.mark.parametrize("kind", KINDS)
def test_each_kind_has_name_words_specification_price_and_life(kind: str) -> None:
    called = measure_words.CALLED[kind]
    assert str(called.do) != str(called.thing)
    assert measure_words.to_do(kind)[0].isupper()
    assert len(str(owner_words.WHAT[kind])) > 15
    assert str(owner_words.WHO[kind])
    work = specification_for(kind)
    for part in (work.target, work.specification, work.proof, work.trade):
        assert str(part).strip()
    line = PRICES[kind]
    assert (
        float(line["usd_per_unit_low"])
        <= float(line["usd_per_unit"])
        <= float(line["usd_per_unit_high"])
    )
    # A quote of nothing is refused, so a line of the list must be one.
    assert float(line["usd_per_unit"]) > 0.0
    life = LIVES[kind]
    assert 1.0 <= life.years <= 40.0
    assert any(word in life.source for word in ("read", "memory", "no source"))


def test_lists_have_nothing_beside_the_catalogue() -> None:
    for names in (measure_words.CALLED, owner_words.WHAT, owner_words.WHO, SPECIFICATIONS, PRICES):
        assert set(names) == set(KINDS)
    assert set(owner_words.ALSO) <= set(KINDS)
    assert set(RULE_MEASURE) <= set(KINDS)


def test_each_reason_has_its_sentence() -> None:
    reasons = {item.reason_key for item in offered() if item.reason_key}
    reasons |= {str(item.facts["alone_reason_key"]) for item in offered()
                if "alone_reason_key" in item.facts}  # fmt: skip
    assert len(reasons) > 40
    missing = reasons - set(owner_words.WHY)
    assert not missing
    for reason in reasons:
        assert str(owner_words.WHY[reason]).endswith(".")


def test_each_quantity_is_one_the_price_list_prices() -> None:
    for item in offered():
        unit = PRICES[item.kind]["unit"]
        if unit == "job":
            continue
        if unit == "each":
            assert item.unit == "each", item.kind
            assert item.quantity == round(item.quantity)
        else:
            assert convert(item.quantity, item.unit, unit) > 0.0, item.kind


def test_hazards_stop_measures_that_exist() -> None:
    tuples = [
        value
        for name, value in vars(base).items()
        if name.isupper() and isinstance(value, tuple) and all(isinstance(v, str) for v in value)
    ]
    assert len(tuples) >= 8
    named = {kind for value in tuples for kind in value}
    named |= {kind for _kind, blocks in seen.SEEN.values() for kind in blocks}
    assert named - NOT_MEASURES <= set(KINDS)


def test_what_the_model_stops_the_sheet_stops_too() -> None:
    """A failed combustion test stops every measure that tightens, by both tables."""
    for item in offered():
        if item.stage in ("air_sealing", "insulation") and "spillage" in item.blocked_by:
            if item.kind in ("duct_insulation",):
                continue
            assert item.kind in base.TIGHTENING, item.kind


def test_repairs_clear_hazards_the_sheet_knows() -> None:
    kinds = {item.kind for item in neglected_ranch().repairs}
    assert set(REPAIR_OF.values()) == kinds
    for item in measures_for(neglected_ranch(), year=2026):
        assert item.is_required is bool(item.facts.get("repair_ids")), item.kind


@pytest.mark.parametrize(
    ("kind", "words"),
    [
        ("chimney_chase_sealing", ("sheet metal", "fire-rated sealant", "Never foam", "3 in.")),
        ("penetration_sealing", ("polyurethane foam", "lamps not rated for contact")),
        ("wall_top_sealing", ("polyurethane foam",)),
        ("attic_stair_cover", ("rigid foam", "gasket")),
        ("flue_plug", ("tag", "gas logs")),
        ("fireplace_damper", ("gas logs",)),
        ("attic_raised_deck", ("insulation to R-49 fits under it",)),
        ("steam_to_hot_water", ("130 °F", "room-by-room load calculation", "Radiators")),
        ("tank_wrap", ("relief valve", "draft hood", "burner door")),
        ("gas_leak_repair", ("call from outside",)),
        ("boiler_control_repair", ("Never add water to a dry, hot boiler",)),
        ("bath_fan", ("50 cfm", "Worst-case combustion test")),
        ("basement_door_sealing", ("burner",)),
        ("garage_door_sealing", ("carbon-monoxide alarm", "fire rating")),
        ("attic_insulation_renewal", ("asbestos",)),
    ],
)
def test_facts_of_the_trade_stand_in_the_specification(kind: str, words: tuple[str, ...]) -> None:
    """Common practice, no source."""
    work = specification_for(kind)
    text = " ".join(
        str(part) for part in (work.target, work.specification, work.prerequisites, work.care)
    )
    for word in words:
        assert word.lower() in text.lower(), word


def test_foam_never_goes_where_it_burns() -> None:
    for kind in ("attic_air_sealing", "wall_top_sealing", "penetration_sealing"):
        care = str(specification_for(kind).care)
        for word in ("flues", "live old wiring", "not rated for contact"):
            assert word in care


def test_combustion_work_is_for_licensed_trades() -> None:
    for kind in (
        "burner_service",
        "vent_repair",
        "combustion_air",
        "boiler_control_repair",
        "unvented_heater_removal",
        "steam_venting",
        "steam_to_hot_water",
        "boiler_replacement",
        "furnace_replacement",
    ):
        assert "Licensed" in str(specification_for(kind).trade), kind


def test_a_failing_burner_is_repaired_first_and_never_left_alone() -> None:
    """Spillage calls for the vent, carbon monoxide for the burner; only a heat exchanger in doubt
    is replaced (common practice, no source)."""
    document = changed("combustion_appliances", spillage_worst=(200, "s"))
    reader = Reader(document)
    due = repairs_of(hazards.find(document), reader)
    spilled = {item.kind for item in due if "spillage" in item.hazards}
    assert spilled == {"vent"}
    targets = {item.target_id for item in due}
    assert "water-heater" in targets
    assert unsafe_in(document) == frozenset()
    cracked = changed("combustion_appliances", flags=["heat_exchanger"])
    assert "water-heater" in unsafe_in(cracked)
    house = replace(
        ranch_1958(),
        repairs=(Repair(id="vent", kind="vent", target_id="water-heater"),),
    )
    young = EquipmentFinding(
        equipment_id="water-heater", kind="water_heater:storage", year_installed=2021,
        age_years=5.0, life_years=11.0, life_source="", leave_until_year=2032,
        efficiency_today=0.59, efficiency_minimum_new=0.58, efficiency_best_new=0.7,
        saving_now_usd=0.0, saving_at_failure_usd=0.0, npv_now_usd=None, npv_at_failure_usd=None,
        verdict="leave_alone", reason_key="in_the_first_half_of_its_life",
    )  # fmt: skip
    assert "water-heater" in {item.item_id for item in left_alone(ranch_1958(), (), (young,))}
    assert "water-heater" not in {item.item_id for item in left_alone(house, (), (young,))}


def test_a_scope_with_only_the_repair_is_not_held_by_what_it_repairs() -> None:
    document = changed("combustion_appliances", spillage_worst=(200, "s"))
    found = hazards.find(document)
    repair, sealing = (
        SimpleNamespace(kind=kind, reason_facts={"clears": clears})
        for kind, clears in (("vent_repair", ["spillage"]), ("attic_air_sealing", []))
    )
    assert held_words([sealing], found)
    assert not held_words([repair], found)
    assert held_words([repair, sealing], found) == held_words([sealing], found)
