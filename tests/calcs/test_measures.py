"""Each measure as a pure function from house to house, and whether it applies."""

from dataclasses import replace

import pytest

from calcs.assemblies import attic_floor_r
from calcs.baseline import evaluate
from calcs.inputs import Fireplace, House, swap
from calcs.leak_places import leak_flows
from calcs.measures import HAZARD_KINDS, STAGES, OpenHazard, measures_for
from calcs.measures.heating import NEW_UNITS
from calcs.measures.lives import LIVES
from calcs.measures.ventilation import fan_needed_m3_per_s, measure_for
from calcs.unit_factors import M2K_PER_W_PER_R_IP, M3_PER_S_PER_CFM, M_PER_IN
from tests.factories.house_parts import PRICES, cfm
from tests.factories.houses import (
    ALL_HOUSES,
    balloon_frame_1910,
    electric_resistance_1974,
    heat_pump_1988,
    manufactured_1989,
    oil_1948,
    ranch_1958,
    tight_2006,
)
from tests.factories.weather import greensboro

RAISED_DECK = "attic_raised_deck"


def kinds(house: House) -> set[str]:
    return {item.kind for item in measures_for(house, year=2026)}


def measure(house: House, kind: str):
    return next(item for item in measures_for(house, year=2026) if item.kind == kind)


@pytest.mark.parametrize("make", ALL_HOUSES)
def test_measures_are_pure_and_well_described(make):
    house, same = make(), make()
    found = measures_for(house, year=2026)
    assert len({item.id for item in found}) == len(found)
    for item in found:
        after = item.apply(house)
        assert after != house, item.id
        assert house == same, item.id
        assert item.apply(same) == after, item.id
        assert item.stage in STAGES
        assert item.quantity > 0.0
        assert item.unit in ("m²", "m", "m³/s", "W", "each")
        assert (item.life_years, item.life_source) == tuple(LIVES[item.kind])
        assert set(item.blocked_by) <= set(HAZARD_KINDS)


@pytest.mark.parametrize("make", ALL_HOUSES)
def test_prerequisites_stand_before_what_needs_them(make):
    seen: set[str] = set()
    offered = kinds(make())
    for item in measures_for(make(), year=2026):
        assert set(item.requires) & offered <= seen | {item.kind}
        seen.add(item.kind)


@pytest.mark.parametrize("make", ALL_HOUSES)
def test_envelope_measures_save_heating_energy(make):
    house = make()
    before = evaluate(house, greensboro(), prices=PRICES, year=2026)
    for item in measures_for(house, year=2026):
        # A raised deck by itself only makes room.
        if item.stage in ("air_sealing", "insulation", "ducts") and item.kind != RAISED_DECK:
            after = evaluate(item.apply(house), greensboro(), prices=PRICES, year=2026)
            assert after.use_j("heating") < before.use_j("heating"), item.id


def test_nothing_is_offered_that_is_not_there():
    assert "duct_sealing" not in kinds(electric_resistance_1974())
    assert "rim_joist" not in kinds(ranch_1958())  # over a vented crawlspace it is outside
    assert "wall_insulation" not in kinds(ranch_1958())  # batts already fill the bays
    assert "floor_insulation" not in kinds(tight_2006())
    assert "heat_pump" not in kinds(balloon_frame_1910())
    assert "furnace_replacement" not in kinds(heat_pump_1988())
    assert "thermostat" not in kinds(heat_pump_1988())
    assert {"attic_air_sealing", "air_sealing", "led_lamps"}.isdisjoint(kinds(tight_2006()))


def test_no_plug_in_a_flue_with_gas_logs_or_fire():
    house = ranch_1958()
    assert "flue_plug" in kinds(house)
    for changes in ({"has_gas_logs": True}, {"is_in_use": True}, {"is_plugged": True}):
        hearth = Fireplace(flow50_m3_per_s=cfm(180), **changes)
        leakage = replace(house.air_leakage, fireplace=hearth)
        assert "flue_plug" not in kinds(replace(house, air_leakage=leakage))


@pytest.mark.parametrize(("fuel", "most"), [("gas", 0.85), ("fuel_oil", 0.86)])
def test_steam_stays_steam(fuel, most):
    """82 to 85 % AFUE is what there is to buy; nothing that makes steam condenses. Minimums of
    2021: gas 82, oil 85 % (81 FR 2320; read)."""
    unit = NEW_UNITS["boiler:steam_pipes", fuel]
    assert unit.minimum == {"gas": 0.82, "fuel_oil": 0.85}[fuel]
    assert unit.minimum <= unit.best <= most
    assert not unit.is_best_condensing
    house = balloon_frame_1910()
    after = measure(house, "boiler_replacement").apply(house).heating[0]
    assert after.distribution == "steam_pipes"
    assert not after.is_condensing


def test_attic_goes_to_the_target_and_covers_the_voids():
    house = ranch_1958()
    item = measure(house, "attic_insulation")
    after = item.apply(house).attics[0]
    assert attic_floor_r(after) / M2K_PER_W_PER_R_IP > 47.0
    assert item.facts["r_after_m2k_per_w"] == pytest.approx(attic_floor_r(after))
    assert {"attic_air_sealing", "attic_stair_cover", RAISED_DECK} <= set(item.requires)
    assert item.facts["raised_deck_area_m2"] == house.attics[0].storage_area_m2


def test_attic_is_limited_by_a_low_eave_and_refused_without_room():
    house = ranch_1958()
    low = replace(house, attics=swap(house.attics, "attic-a", eave_clear_height_m=5.5 * M_PER_IN))
    item = measure(low, "attic_insulation")
    assert item.facts["is_limited_at_eaves"]
    roomy = measure(house, "attic_insulation")
    assert not roomy.facts["is_limited_at_eaves"]
    lost = roomy.facts["r_after_m2k_per_w"] - item.facts["r_after_m2k_per_w"]
    assert 2.0 * M2K_PER_W_PER_R_IP < lost < 20.0 * M2K_PER_W_PER_R_IP
    assert "attic_insulation" not in kinds(manufactured_1989())


def test_rim_joist_seals_and_insulates():
    house = balloon_frame_1910()
    item = measure(house, "rim_joist")
    after = item.apply(house)
    assert after.foundations[0].rim_joist.is_sealed
    assert leak_flows(after)["rim_joist"] == pytest.approx(0.25 * leak_flows(house)["rim_joist"])
    assert item.quantity == house.foundations[0].rim_joist.length_m


def test_duct_sealing_lowers_the_blower_door_reading_too():
    house = ranch_1958()
    item = measure(house, "duct_sealing")
    after = item.apply(house)
    assert after.ducts.supply_leak25_m3_per_s < house.ducts.supply_leak25_m3_per_s
    assert after.air_leakage.flow50_m3_per_s < house.air_leakage.flow50_m3_per_s
    left = after.ducts.supply_leak25_m3_per_s + after.ducts.return_leak25_m3_per_s
    assert left == pytest.approx(item.facts["leak25_after_m3_per_s"])


def test_encapsulation_and_floor_insulation_exclude_each_other():
    house = ranch_1958()
    assert "crawl_encapsulation" in measure(house, "floor_insulation").excludes
    assert "floor_insulation" in measure(house, "crawl_encapsulation").excludes
    low = replace(house, foundations=swap(house.foundations, "crawl", clear_height_m=0.40))
    assert {"floor_insulation", "crawl_encapsulation"}.isdisjoint(kinds(low))


def test_old_stone_is_not_insulated_inside():
    assert "basement_wall_insulation" not in kinds(balloon_frame_1910())
    house = balloon_frame_1910()
    block = swap(house.foundations, "basement", wall_material="concrete_block", is_conditioned=True)
    assert measure(replace(house, foundations=block), "basement_wall_insulation").is_advised


def test_windows_are_offered_but_never_advised():
    for make in (ranch_1958, balloon_frame_1910, manufactured_1989):
        assert not measure(make(), "window_replacement").is_advised


def test_heat_pump_takes_the_place_of_resistance():
    house = electric_resistance_1974()
    after = measure(house, "heat_pump").apply(house)
    assert after.heating[0].kind == "ductless_heat_pump"
    before = evaluate(house, greensboro(), prices=PRICES, year=2026)
    result = evaluate(after, greensboro(), prices=PRICES, year=2026)
    assert result.use_j("heating") < 0.6 * before.use_j("heating")


def test_led_lamps_cost_some_heat():
    house = ranch_1958()
    before = evaluate(house, greensboro(), prices=PRICES, year=2026)
    after = evaluate(measure(house, "led_lamps").apply(house), greensboro(), prices=PRICES,
                     year=2026)  # fmt: skip
    assert after.use_j("lighting") < before.use_j("lighting")
    assert after.use_j("heating") > before.use_j("heating")
    assert after.cost_usd < before.cost_usd


def test_fan_is_asked_for_by_the_standard_less_infiltration():
    """0.03 x 1,350 + 7.5 x 4 = 70.5 cfm (ASHRAE 62.2-2016, Eq. 4.1a; read)."""
    house = ranch_1958()
    assert fan_needed_m3_per_s(house, 0.0) / M3_PER_S_PER_CFM == pytest.approx(70.5, abs=0.1)
    assert fan_needed_m3_per_s(house, cfm(30)) / M3_PER_S_PER_CFM == pytest.approx(40.5, abs=0.1)
    assert measure_for(house, cfm(90)) is None
    fan = measure_for(house, cfm(30))
    assert fan.is_required
    assert measure_for(fan.apply(house), cfm(30)) is None


def test_oil_boiler_with_a_coil_has_no_water_heater_to_replace():
    assert {"water_heater_replacement", "heat_pump_water_heater"}.isdisjoint(kinds(oil_1948()))


def test_hazard_needs_a_known_kind():
    with pytest.raises(ValueError, match="use one of"):
        OpenHazard(kind="ghosts")
