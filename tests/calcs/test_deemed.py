"""Deemed savings: each against its formula worked by hand in the trade's units.

Structures are those of published technical reference manuals as remembered (memory); every
parameter is given, so the arithmetic is tested. Rows with an id repeat a published example of
`calcs/data/checks.json` through the whole way from a house.
"""

from dataclasses import replace

import pytest

from calcs import deemed
from calcs import trm_algorithms as trm
from calcs.deemed import Job, deemed_saving
from calcs.errors import InputError
from calcs.inputs import House, LampGroup
from calcs.unit_factors import (
    J_PER_BTU,
    J_PER_KWH,
    J_PER_THERM,
    K_PER_DEGF,
    M2_PER_FT2,
    M2K_PER_W_PER_R_IP,
    M3_PER_GAL,
    M3_PER_S_PER_CFM,
    M_PER_FT,
    celsius_from_fahrenheit,
)
from tests.factories.houses import electric_resistance_1974, ranch_1958

GPM = M3_PER_GAL / 60.0
RECOVERY = {"recovery_fuel": 0.78, "recovery_electric": 0.98}


def job(house: House, **values: object) -> Job:
    given: dict[str, object] = {"target_id": "", "quantity": 1.0, "facts": {}, "heating_j": {}}
    return Job(house=house, **(given | values))  # type: ignore[arg-type]  # fields of Job


def therms(joules: float) -> float:
    return joules / J_PER_THERM


def test_lamps_by_hand() -> None:
    """trm-014 and trm-015: 51 W less for 1,095 h, ISR 0.98, WHFe 1.06: 58.0118 kWh; HF 0.47 over
    72 %: -1.21895 therm. Two alike lamps give twice that."""
    house = replace(
        ranch_1958(),
        lamps=(
            LampGroup(id="a", kind="incandescent", count=2, power_w=60.0),
            LampGroup(id="b", kind="led", count=9, power_w=9.0),
        ),
    )
    found = deemed_saving(
        "lamps",
        job(house),
        {
            "base_w": 60.0, "new_w": 9.0, "hours_inside": 1095 * 3600.0,
            "hours_outside": 1.0, "hours_garage": 1.0, "in_service": 0.98,
            "energy_factor_inside": 1.06, "heating_factor": 0.47, "heating_efficiency": 0.72,
        },
    )  # fmt: skip
    assert found is not None
    assert found.energy_j["electricity"] / J_PER_KWH == pytest.approx(2 * 58.0118, abs=0.01)
    assert therms(found.energy_j["natural_gas"]) == pytest.approx(2 * -1.21895, abs=0.002)


def test_lamp_baseline_is_capped_by_the_manual() -> None:
    """A 100 W lamp counts as the 43 W that may still be sold; the saving is (43 - 9) W."""
    lamps = (LampGroup(id="a", kind="halogen", count=1, power_w=100.0, location="outside"),)
    found = deemed_saving(
        "lamps",
        job(replace(ranch_1958(), lamps=lamps)),
        {
            "base_w": 43.0, "new_w": 9.0, "hours_inside": 1.0, "hours_outside": 1000 * 3600.0,
            "hours_garage": 1.0, "in_service": 1.0, "energy_factor_inside": 2.0,
            "heating_factor": 0.47, "heating_efficiency": 0.72,
        },
    )  # fmt: skip
    assert found is not None
    assert found.energy_j["electricity"] / J_PER_KWH == pytest.approx(34.0)
    assert "natural_gas" not in found.energy_j  # outside it heats nothing


def test_showerheads_by_hand() -> None:
    """(2.6 - 1.5) gpm x 7.8 min x 3 people x 0.6 x 365.25 = 5,640.9 gal; x 8.33 x 46.9 / 0.78
    / 100,000 = 28.2534 therm, ISR 0.98: 27.6884."""
    found = deemed_saving(
        "showerheads",
        job(ranch_1958()),
        {
            "low_flow": 1.5 * GPM, "shower_length": 7.8 * 60.0, "showers_per_person_day": 0.6,
            "mixed_c": celsius_from_fahrenheit(101), "inlet_c": celsius_from_fahrenheit(54.1),
            "in_service": 0.98, **RECOVERY,
        },
    )  # fmt: skip
    assert found is not None
    assert set(found.energy_j) == {"natural_gas"}
    assert therms(found.energy_j["natural_gas"]) == pytest.approx(27.688, abs=0.01)
    assert {entry.how for entry in found.inputs} == {"house", "manual"}


def test_showerheads_without_a_measured_flow_are_not_guessed() -> None:
    house = ranch_1958()
    use = replace(house.hot_water_use, shower_flow_m3_per_s=None)
    parameters = dict.fromkeys(deemed.ALGORITHMS["showerheads"].parameters, 1.0)
    assert deemed_saving("showerheads", job(replace(house, hot_water_use=use)), parameters) is None


def test_aerators_by_hand() -> None:
    """(2.2 - 1.2) gpm x 4.5 min x 3 people x 365.25 x 0.7 = 3,451.6 gal; x 8.33 x 29 / 0.78
    / 100,000 = 10.6897 therm."""
    house = ranch_1958()
    use = replace(house.hot_water_use, faucet_flow_m3_per_s=2.2 * GPM, faucets=3)
    found = deemed_saving(
        "aerators",
        job(replace(house, hot_water_use=use)),
        {
            "low_flow": 1.2 * GPM, "use_per_person_day": 270.0, "drain_share": 0.7,
            "mixed_c": celsius_from_fahrenheit(88), "inlet_c": celsius_from_fahrenheit(59),
            "in_service": 1.0, **RECOVERY,
        },
    )  # fmt: skip
    assert found is not None
    assert therms(found.energy_j["natural_gas"]) == pytest.approx(10.690, abs=0.005)


@pytest.mark.parametrize(("make", "fuel"), [(ranch_1958, "natural_gas"),
                                            (electric_resistance_1974, "electricity")])  # fmt: skip
def test_tank_wrap_by_hand(make, fuel: str) -> None:
    """(1/8 - 1/18) x 23 ft² x (T - 65) °F x 8,766 h / RE; at 125 °F and 0.78: 10.770 therm."""
    house = make()
    heater = house.water_heaters[0]
    found = deemed_saving(
        "tank_wrap",
        job(house, target_id=heater.id),
        {
            "old_r": 8 * M2K_PER_W_PER_R_IP, "new_r": 18 * M2K_PER_W_PER_R_IP,
            "area": 23 * M2_PER_FT2, "ambient_c": celsius_from_fahrenheit(65), **RECOVERY,
        },
    )  # fmt: skip
    assert found is not None
    delta_f = (heater.setpoint_c - celsius_from_fahrenheit(65)) / K_PER_DEGF
    recovery = 0.78 if fuel == "natural_gas" else 0.98
    by_hand = (1 / 8 - 1 / 18) * 23 * delta_f * 8766 / recovery * J_PER_BTU
    assert found.energy_j == {fuel: pytest.approx(by_hand, rel=1e-6)}
    if fuel == "natural_gas":
        assert therms(found.energy_j[fuel]) == pytest.approx(10.770, abs=0.005)


def test_hot_water_pipes_follow_the_published_row() -> None:
    """trm-022: six feet, R-1 to R-4, 65 °F, 8,766 h, 0.78: 6.44301 therm. Longer pipe counts for
    the six feet of the manual."""
    for length_ft in (6.0, 20.0):
        found = deemed_saving(
            "hot_water_pipes",
            job(ranch_1958(), target_id="water-heater", quantity=length_ft * M_PER_FT),
            {
                "old_r": 1 * M2K_PER_W_PER_R_IP, "new_r": 4 * M2K_PER_W_PER_R_IP,
                "circumference": 0.196 * M_PER_FT, "delta": 65 * K_PER_DEGF,
                "longest": 6 * M_PER_FT, **RECOVERY,
            },
        )  # fmt: skip
        assert found is not None
        assert therms(found.energy_j["natural_gas"]) == pytest.approx(6.44301, abs=0.02)


def test_water_heater_follows_the_published_row() -> None:
    """trm-017: 17.6 gal a person, UEF 0.58 to 0.68, 125 from 54 °F; with 2.56 people 24.678 therm,
    so with 3 people 28.920."""
    found = deemed_saving(
        "water_heater",
        job(ranch_1958(), target_id="water-heater", facts={"uef_after": 0.68}),
        {
            "draw_per_person": 17.6 * M3_PER_GAL, "outlet_c": celsius_from_fahrenheit(125),
            "inlet_c": celsius_from_fahrenheit(54), "base_uef_fuel": 0.58,
            "base_uef_electric": 0.92,
        },
    )  # fmt: skip
    assert found is not None
    expected = 24.678 * 3 / 2.56
    assert therms(found.energy_j["natural_gas"]) == pytest.approx(expected, abs=0.1)


def test_refrigerators_take_the_metered_use() -> None:
    house = ranch_1958()
    parameters = {"new_use": 420 * J_PER_KWH, "in_service": 1.0}
    found = deemed_saving("refrigerator", job(house, target_id="refrigerator"), parameters)
    assert found is not None
    assert found.energy_j["electricity"] / J_PER_KWH == pytest.approx(610 - 420)
    assert deemed_saving("refrigerator", job(house, target_id="none"), parameters) is None
    away = {"unmetered_use": 900 * J_PER_KWH, "part_use": 0.85}
    second = deemed_saving("second_refrigerator", job(house, target_id="refrigerator-garage"), away)
    assert second is not None
    assert second.energy_j["electricity"] / J_PER_KWH == pytest.approx(1150 * 0.85)
    unmetered = deemed_saving("second_refrigerator", job(house, target_id="none"), away)
    assert unmetered is not None
    assert unmetered.energy_j["electricity"] / J_PER_KWH == pytest.approx(765)


def test_washer_and_dehumidifier_by_hand() -> None:
    """330 cycles: (0.30 - 0.15 + 2.9 - 2.2) kWh = 280.5 kWh; (6.5 - 2.0) gal x 8.33 x 61 / 0.78
    / 100,000 x 330 = 9.674 therm. 650 L x (1/1.2 - 1/1.8) = 180.6 kWh."""
    washer = deemed_saving(
        "clothes_washer",
        job(ranch_1958()),
        {
            "cycles_per_person": 110.0, "base_machine": 0.30 * J_PER_KWH,
            "efficient_machine": 0.15 * J_PER_KWH, "base_dryer": 2.9 * J_PER_KWH,
            "efficient_dryer": 2.2 * J_PER_KWH, "base_hot_water": 6.5 * M3_PER_GAL,
            "efficient_hot_water": 2.0 * M3_PER_GAL, "outlet_c": celsius_from_fahrenheit(120),
            "inlet_c": celsius_from_fahrenheit(59), **RECOVERY,
        },
    )  # fmt: skip
    assert washer is not None
    assert washer.energy_j["electricity"] / J_PER_KWH == pytest.approx(280.5)
    assert therms(washer.energy_j["natural_gas"]) == pytest.approx(9.674, abs=0.005)
    dry = deemed_saving(
        "dehumidifier",
        job(ranch_1958()),
        {"water_per_year": 0.65, "base_liters_per_kwh": 1.2, "efficient_liters_per_kwh": 1.8},
    )
    assert dry is not None
    assert dry.energy_j["electricity"] / J_PER_KWH == pytest.approx(180.556, abs=0.01)


def test_thermostat_takes_its_share_of_each_heating_fuel() -> None:
    """trm-027: 8 % of 700 therms is 56."""
    heating = {"natural_gas": 700 * J_PER_THERM, "electricity": 0.0}
    found = deemed_saving("thermostat", job(ranch_1958(), heating_j=heating), {"reduction": 0.08})
    assert found is not None
    assert set(found.energy_j) == {"natural_gas"}
    assert therms(found.energy_j["natural_gas"]) == pytest.approx(56.0)
    assert deemed_saving("thermostat", job(ranch_1958()), {"reduction": 0.08}) is None


def climate(**values: float) -> dict[str, float]:
    return {
        "heating_degree_days": 5113 * K_PER_DEGF, "cooling_degree_days": 842 * K_PER_DEGF,
        "seer": 10.5, "discretionary_use": 0.75, "efficiency_fuel": 0.7,
        "efficiency_electric": 1.0, **values,
    }  # fmt: skip


def test_air_sealing_follows_the_published_rows() -> None:
    """trm-001 and trm-004: 1,150 CFM50 less: 122.318 therm and 179.836 kWh."""
    facts = {"flow50_removed_m3_per_s": 1150 * M3_PER_S_PER_CFM}
    found = deemed_saving(
        "air_sealing",
        job(ranch_1958(), facts=facts),
        climate(n_heating=17.8, n_cooling=31.9, latent_multiplier=3.2),
    )
    assert found is not None
    assert therms(found.energy_j["natural_gas"]) == pytest.approx(122.318, abs=0.2)
    assert found.energy_j["electricity"] / J_PER_KWH == pytest.approx(179.836, abs=0.2)


def test_insulation_follows_the_published_rows_and_floors_an_r_of_nothing() -> None:
    """trm-008: R-5 to R-49 over 1,200 ft²: 231.439 kWh of cooling."""
    facts = {
        "r_before_m2k_per_w": 5 * M2K_PER_W_PER_R_IP,
        "r_after_m2k_per_w": 49 * M2K_PER_W_PER_R_IP,
    }
    parameters = climate(empty_r=1.5 * M2K_PER_W_PER_R_IP, framing_fraction=0.07, adjustment=0.8)
    area = 1200 * M2_PER_FT2
    found = deemed_saving("insulation", job(ranch_1958(), quantity=area, facts=facts), parameters)
    assert found is not None
    assert found.energy_j["electricity"] / J_PER_KWH == pytest.approx(231.439, abs=0.1)
    bare = {**facts, "r_before_m2k_per_w": 0.0}
    floored = deemed_saving("insulation", job(ranch_1958(), quantity=area, facts=bare), parameters)
    assert floored is not None
    by_hand = (1 / 1.5 - 1 / 49) * 1200 * 0.93 * 24 * 5113 * 0.8 / 0.7 / 100_000
    assert therms(floored.energy_j["natural_gas"]) == pytest.approx(by_hand, rel=1e-6)


def test_a_manual_with_a_missing_or_strange_parameter_is_refused() -> None:
    with pytest.raises(InputError, match="parameters missing: in_service; unknown: isr"):
        deemed_saving("refrigerator", job(ranch_1958()), {"new_use": 1.0, "isr": 1.0})
    with pytest.raises(InputError, match="algorithm"):
        deemed_saving("wishing", job(ranch_1958()), {})


def test_a_formula_refuses_what_has_no_meaning() -> None:
    with pytest.raises(InputError, match="old R"):
        trm.tank_wrap_saving_j(0.0, 1.0, area_m2=2.0, delta_k=30.0, seconds=1.0, recovery=0.8)
    with pytest.raises(InputError, match="number of faucets"):
        trm.faucet_saving_j(
            1e-4, 5e-5, seconds_per_person_day=1.0, people=2.0, drain_share=0.5, faucets=0.0,
            energy_j_per_m3=1e8, in_service=1.0,
        )  # fmt: skip
