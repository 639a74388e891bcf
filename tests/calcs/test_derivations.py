"""Every number of an analysis has a derivation: formula, inputs with their origin, unit, source."""

import json
from dataclasses import replace

import pytest

from calcs.analysis import analyse_house, analysis_from_dict, analysis_to_dict
from calcs.bills.account import Calibration, Change, FuelMatch
from calcs.derivations import EXEMPT, NUMBERS, is_exempt, key_of, numbers_of, of_bills
from calcs.inputs import ORIGINS
from tests.factories.costs import cost_of
from tests.factories.house_parts import PRICES
from tests.factories.houses import oil_1948, ranch_1958
from tests.factories.weather import greensboro


def analyse(house):
    return analyse_house(house, greensboro(), costs=cost_of, prices=PRICES, year=2026)


@pytest.fixture(scope="module")
def ranch():
    found = analyse(ranch_1958())
    account = Calibration(
        state="fitted", limit="guideline_14",
        changes=(
            Change(key="heating_setpoint", unit="°C", path="thermostat.heating_c", recorded=20.6,
                   fitted=19.4, low=17.2, high=23.3, explains="natural_gas", is_at_limit=False),
        ),
        fuels=(
            FuelMatch(fuel="natural_gas", billed_j=(1e9,) * 12, recorded_j=(2e9,) * 12,
                      fitted_j=(1.1e9,) * 12, nmbe_fitted_pct=2.0, cv_fitted_pct=9.0),
        ),
        bills=(), runs=9,
    )  # fmt: skip
    return replace(found, calibration=account, derivations=(*found.derivations, *of_bills(account)))


@pytest.fixture(scope="module")
def oil():
    return analyse(oil_1948())


def test_every_number_has_a_derivation(ranch, oil):
    """Walks every number there is; a new one without a line in the registry fails here."""
    for analysis in (ranch, oil):
        keys = {item.key for item in analysis.derivations}
        numbers = list(numbers_of(analysis))
        assert len(numbers) > 500
        without = [
            path
            for path, _value in numbers
            if not is_exempt(path) and (key_of(path) is None or key_of(path) not in keys)
        ]
        assert not without, without[:20]


def test_a_number_nobody_knows_has_none(ranch):
    assert key_of("package.saving_in_acorns") is None
    assert key_of("measures.duct_sealing.acorns") is None
    made = [item for item in ranch.derivations if item.key != "saving:duct_sealing"]
    poorer = replace(ranch, derivations=tuple(made))
    keys = {item.key for item in poorer.derivations}
    assert any(key_of(path) not in keys for path, _value in numbers_of(poorer)
               if not is_exempt(path))  # fmt: skip


# Path in the analysis -> the number a derivation of its key has to carry.
@pytest.mark.parametrize(
    "path",
    [
        "baseline.cost_usd", "baseline.co2_kg", "baseline.infiltration_m3_per_s",
        "baseline.energy_j.natural_gas", "baseline.cost_usd_by_fuel.electricity",
        "baseline.cost_usd_by_use.heating", "baseline.heating_load_j", "baseline.peak_heating_w",
        "baseline.heat_loss_w_per_k", "package.after.cost_usd", "package.after.co2_kg",
        "package.after.peak_cooling_w", "package.saving.cost_usd", "package.worth.npv_usd",
        "package.ventilation_needed_m3_per_s", "measures.duct_sealing.quantity",
        "measures.duct_sealing.life_years", "measures.duct_sealing.cost_usd",
        "measures.duct_sealing.saving.cost_usd", "measures.duct_sealing.saving_alone.cost_usd",
        "measures.duct_sealing.worth.npv_usd",
        "measures.duct_sealing.worth.simple_payback_years",
        "measures.duct_sealing.pick_npv_usd", "equipment.furnace.npv_now_usd",
    ],
)  # fmt: skip
def test_a_derivation_carries_the_number_it_is_of(ranch, path):
    numbers = dict(numbers_of(ranch))
    made = {item.key: item for item in ranch.derivations}
    assert made[key_of(path)].value == numbers[path]


def test_a_derivation_says_how_in_words_with_unit_and_source(ranch):
    for item in ranch.derivations:
        assert item.name, item.key
        assert item.formula, item.key
        assert item.source, item.key
        assert item.unit, item.key
        for entry in item.inputs:
            assert entry.how in (*ORIGINS, "worked_out"), (item.key, entry.name_key)
            if entry.path:
                assert entry.how in ORIGINS


def test_origins_follow_the_values(ranch):
    made = {item.key: item for item in ranch.derivations}
    flow = next(i for i in made["infiltration"].inputs if i.name_key == "flow50")
    assert (flow.how, flow.source) == ("measured", "blower door")
    shelter = next(i for i in made["infiltration"].inputs if i.name_key == "shelter_class")
    assert shelter.how == "default"
    setpoint = next(
        i for i in made["energy_use:heating/natural_gas"].inputs
        if i.name_key == "heating_setpoint"
    )  # fmt: skip
    assert (setpoint.how, setpoint.unit) == ("reported", "°C")


def test_sums_close_over_their_inputs(ranch):
    made = {item.key: item for item in ranch.derivations}
    assert sum(i.value for i in made["heat_loss"].inputs) == pytest.approx(made["heat_loss"].value)
    gas = made["energy:natural_gas"]
    assert sum(i.value for i in gas.inputs) == pytest.approx(gas.value)
    cost = made["package_saving"].inputs
    assert cost[0].value - cost[1].value == pytest.approx(made["package_saving"].value)
    steps = [d.value for key, d in made.items() if key.startswith("saving:")]
    assert sum(steps) == pytest.approx(made["package_saving"].value, abs=1e-6)


def test_derivations_survive_json(ranch):
    plain = json.loads(json.dumps(analysis_to_dict(ranch)))
    assert analysis_from_dict(plain).derivations == ranch.derivations
    keys = [item["key"] for item in plain["derivations"]]
    assert len(keys) == len(set(keys))


def test_the_registry_has_no_line_without_use(ranch, oil):
    """A pattern that matches nothing is a pattern that is wrong."""
    paths = {path for analysis in (ranch, oil) for path, _value in numbers_of(analysis)}
    used = {key_of(path) for path in paths}
    heads = {key.partition(":")[0] for key in used if key is not None}
    meant = {key.replace("{after}", "").partition(":")[0] for _pattern, key in NUMBERS}
    assert meant <= {head.removeprefix("after.") for head in heads}
    for _pattern, why in EXEMPT:
        assert why
