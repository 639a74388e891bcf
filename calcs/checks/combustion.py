"""Solvers of the flue-gas, combustion-air and chimney rows."""

from __future__ import annotations

import math

from calcs import combustion, combustion_air
from calcs.checks.registry import Inputs, serves
from calcs.unit_factors import (
    J_PER_BTU,
    K_PER_DEGF,
    M2_PER_IN2,
    M3_PER_FT3,
    M3_PER_GAL,
    M_PER_FT,
    M_PER_IN,
    PA_PER_PSI,
    W_PER_BTUH,
    celsius_from_fahrenheit,
    fahrenheit_from_celsius,
)

TOPIC = "combustion"
AIR_C = 25.0  # the rows state net stack temperatures, combustion air at 25 C


def fuel(name: str) -> combustion.FuelAnalysis:
    """Stored analysis behind a row's fuel name."""
    if "oil" in name.lower():
        return combustion.fuel_analysis("fuel_oil_2")
    if "natural gas" in name:
        return combustion.fuel_analysis("natural_gas")
    return combustion.fuel_analysis("methane" if "methane" in name else "propane")


def efficiency(inputs: Inputs, net_degf: float) -> float:
    """Efficiency at a net stack temperature. [%]"""
    result = combustion.combustion_efficiency(
        fuel(inputs["fuel"]),
        inputs["O2_pct"],
        stack_c=AIR_C + net_degf * K_PER_DEGF,
        combustion_air_c=AIR_C,
    )
    return result.efficiency_pct


@serves(TOPIC, r"(natural-gas )?combustion efficiency \(HHV\).*")
def _(inputs: Inputs) -> float:
    return efficiency(inputs, inputs["net_stack_F"])


@serves(TOPIC, r"natural-gas excess air at .*|excess air \(exact, .*")
def _(inputs: Inputs) -> float:
    return combustion.excess_air_pct(fuel(inputs["fuel"]), inputs["O2_pct"])


@serves(TOPIC, r"excess air, ASME form")
def _(inputs: Inputs) -> float:
    return combustion.excess_air_from_o2_co2_pct(inputs["O2"], inputs["CO2"])


@serves(TOPIC, r"CO2max \(dry, stoichiometric\)")
def _(inputs: Inputs) -> float:
    return fuel(inputs["fuel"]).co2_max_pct


@serves(TOPIC, r"CO2 in dry flue gas from O2 \(exact\)")
def _(inputs: Inputs) -> float:
    return combustion.co2_pct(fuel(inputs["fuel"]), inputs["O2_pct"])


@serves(TOPIC, r"HHV/LHV ratio")
def _(inputs: Inputs) -> float:
    return 1.0 / fuel(inputs["fuel"]).lhv_over_hhv


@serves(TOPIC, r"latent loss, percent of HHV")
def _(inputs: Inputs) -> float:
    return fuel(inputs["fuel"]).latent_loss_pct


@serves(TOPIC, r"molar HHV")
def _(inputs: Inputs) -> float:
    return combustion.molar_hhv_j({"methane": "CH4", "propane": "C3H8"}[inputs["fuel"]]) / 1e3


@serves(TOPIC, r"water dew point of flue gas, .*")
def _(inputs: Inputs) -> float:
    dew_point = combustion.dew_point_c(fuel(inputs["fuel"]), inputs["O2_pct"])
    return fahrenheit_from_celsius(dew_point)


@serves(TOPIC, r"CO air-free")
def _(inputs: Inputs) -> float:
    result = combustion.co_air_free(inputs["CO_ppm"], inputs["O2_pct"])
    return math.nan if result.air_free_ppm is None else result.air_free_ppm


@serves(TOPIC, r"air-free CO when the sample is nearly all air")
def _(inputs: Inputs) -> str:
    return combustion.co_air_free(inputs["CO_ppm"], inputs["O2_pct"]).quality


@serves(TOPIC, r"CO air-free from CO2")
def _(inputs: Inputs) -> float:
    return combustion.co_air_free_from_co2_ppm(
        inputs["CO_ppm"], inputs["CO2_pct"], inputs["CO2max_pct"]
    )


_SIEGERT = {"natural gas": "natural_gas", "heating oil": "fuel_oil_2", "LPG": "propane"}


@serves(TOPIC, r"Siegert flue loss qA .*")
def _(inputs: Inputs) -> float:
    return combustion.siegert_loss_pct(
        _SIEGERT[inputs["fuel"]], inputs["O2_pct"], net_stack_k=inputs["dT_C"]
    )


@serves(TOPIC, r"Siegert efficiency converted to HHV basis")
def _(inputs: Inputs) -> float:
    loss = combustion.siegert_loss_pct(
        _SIEGERT[inputs["fuel"]], inputs["O2_pct"], net_stack_k=inputs["dT_C"]
    )
    return combustion.hhv_efficiency_from_lhv_loss_pct(loss, inputs["LHV_over_HHV"])


def _watts(inputs: Inputs) -> list[float]:
    return [value * W_PER_BTUH for value in inputs["inputs_Btuh"]]


@serves(TOPIC, r"room volume needed for indoor combustion air, .*")
def _(inputs: Inputs) -> float:
    return combustion_air.room_volume_needed_m3(_watts(inputs)) / M3_PER_FT3


@serves(TOPIC, r"room volume, known air-infiltration-rate method, .*")
def _(inputs: Inputs) -> float:
    volume = combustion_air.room_volume_known_rate_m3(
        [inputs["input_Btuh"] * W_PER_BTUH], inputs["ACH"]
    )
    return volume / M3_PER_FT3


@serves(TOPIC, r"free area of each of two openings to an adjoining indoor space")
def _(inputs: Inputs) -> float:
    return combustion_air.opening_free_area_m2(_watts(inputs), "indoor_pair") / M2_PER_IN2


@serves(TOPIC, r"free area of each of two outdoor openings, direct .*")
def _(inputs: Inputs) -> float:
    area = combustion_air.opening_free_area_m2(_watts(inputs), "outdoor_pair_direct")
    return area / M2_PER_IN2


@serves(TOPIC, r"free area of each of two outdoor openings, horizontal .*")
def _(inputs: Inputs) -> float:
    area = combustion_air.opening_free_area_m2(_watts(inputs), "outdoor_pair_horizontal")
    return area / M2_PER_IN2


@serves(TOPIC, r"free area of a single high outdoor opening")
def _(inputs: Inputs) -> float:
    return combustion_air.opening_free_area_m2(_watts(inputs), "outdoor_single") / M2_PER_IN2


@serves(TOPIC, r"gas input from the meter dial")
def _(inputs: Inputs) -> float:
    power = combustion.meter_dial_input_w(
        inputs["dial_ft3"] * M3_PER_FT3,
        inputs["seconds"],
        hhv_j_per_m3=inputs["HHV_Btu_ft3"] * J_PER_BTU / M3_PER_FT3,
    )
    return power / W_PER_BTUH


@serves(TOPIC, r"oil input from nozzle and pump pressure")
def _(inputs: Inputs) -> float:
    power = combustion.nozzle_input_w(
        inputs["nozzle_gph_at_100psi"] * M3_PER_GAL / 3600.0,
        inputs["pump_psi"] * PA_PER_PSI,
        hhv_j_per_m3=inputs["HHV_Btu_gal"] * J_PER_BTU / M3_PER_GAL,
    )
    return power / W_PER_BTUH


@serves(TOPIC, r"theoretical draft of a warm chimney")
def _(inputs: Inputs) -> float:
    return combustion_air.theoretical_draft_pa(
        inputs["height_ft"] * M_PER_FT,
        outdoor_c=celsius_from_fahrenheit(inputs["Tout_F"]),
        flue_mean_c=celsius_from_fahrenheit(inputs["Tflue_mean_F"]),
    )


@serves(TOPIC, r"largest masonry flue for one draft-hood appliance .*")
def _(inputs: Inputs) -> float:
    area = combustion_air.largest_flue_area_m2(inputs["outlet_diameter_in"] * M_PER_IN)
    return area / M2_PER_IN2
