"""Solvers of the 62.2 ventilation rows."""

from __future__ import annotations

from calcs import ventilation
from calcs.checks.registry import Inputs, serves
from calcs.unit_factors import M2_PER_FT2, M3_PER_FT3, M3_PER_S_PER_CFM, M_PER_FT

CFM = M3_PER_S_PER_CFM
TOPIC = "ventilation"


@serves(TOPIC, r"table Qtot", repeats=True)
def _(inputs: Inputs) -> float:
    upper = int(inputs["floor_band_ft2"].removeprefix("<=").rsplit("-", 1)[-1])
    return float(ventilation.table_total_cfm(upper, inputs["bedrooms"]))


@serves(TOPIC, r"equation Qtot=.*|IP result for the same house.*")
def _(inputs: Inputs) -> float:
    need = ventilation.required_fan(
        floor_area_m2=inputs["Afl_ft2"] * M2_PER_FT2, bedrooms=inputs["Nbr"]
    )
    return need.total_m3_per_s / CFM


@serves(TOPIC, r"SI equation Qtot=.*")
def _(inputs: Inputs) -> float:
    return ventilation.required_total_si_l_per_s(inputs["Afl_m2"], inputs["Nbr"])


@serves(TOPIC, r"old 62\.2-2010 Qfan=.*")
def _(inputs: Inputs) -> float:
    return ventilation.required_total_cfm(inputs["Afl_ft2"], inputs["Nbr"], edition="2010")


def _credited(inputs: Inputs, edition: str) -> tuple[float, float]:
    credit = ventilation.infiltration_credit_m3_per_s(
        inputs["Qtot"] * CFM,
        inputs["Qinf"] * CFM,
        edition=edition,
        exterior_share=inputs.get("Aext", 1.0),
        is_new_construction=inputs.get("new", False),
        is_balanced=inputs.get("balanced", False),
    )
    return inputs["Qtot"] - credit / CFM, credit / CFM


@serves(TOPIC, r"Qfan with infiltration credit, .*")
def _(inputs: Inputs) -> float:
    return _credited(inputs, "2016")[0]


@serves(TOPIC, r"Qfan, 62\.2-2019 .*")
def _(inputs: Inputs) -> float:
    return _credited(inputs, "2019")[0]


@serves(TOPIC, r"infiltration credit cap .*")
def _(inputs: Inputs) -> float:
    return _credited(inputs, "2013")[1]


@serves(TOPIC, r"intermittent fan rate")
def _(inputs: Inputs) -> float:
    return ventilation.intermittent_fan_m3_per_s(
        inputs["Qfan"],
        on_fraction=inputs["fractional_on_time"],
        effectiveness=inputs["effectiveness"],
    )


@serves(TOPIC, r"local exhaust requirement, bathroom, continuous", repeats=True)
def _(inputs: Inputs) -> float:
    return ventilation.local_continuous_m3_per_s(inputs["room"]) / CFM


@serves(TOPIC, r"local exhaust requirement, .*demand-controlled|half bath .*", repeats=True)
def _(inputs: Inputs) -> float:
    name = str(inputs["room"])
    room = {"kitchen": "kitchen_hood", "half bath": "half_bath"}.get(name, name)
    return ventilation.local_demand_m3_per_s(room) / CFM


@serves(TOPIC, r"demand-controlled kitchen exhaust that is not a vented range hood", repeats=True)
def _(inputs: Inputs) -> float:
    return ventilation.local_demand_m3_per_s(f"{inputs['room']}_other") / CFM


@serves(TOPIC, r"continuous exhaust of an enclosed kitchen at 5 ACH")
def _(inputs: Inputs) -> float:
    volume = inputs["kitchen_volume_ft3"] * M3_PER_FT3
    return ventilation.local_continuous_m3_per_s("kitchen", enclosed_kitchen_m3=volume) / CFM


@serves(TOPIC, r"local exhaust deficit, .*|deficit never negative .*")
def _(inputs: Inputs) -> float:
    deficit = ventilation.local_deficit_m3_per_s(
        inputs["req"] * CFM, inputs["measured"] * CFM, has_openable_window=inputs["window"]
    )
    return deficit / CFM


@serves(TOPIC, r"required continuous rate, existing home")
def _(inputs: Inputs) -> float:
    # Deficits of 80 and 20 cfm: a kitchen with a window, a bath with a 30 cfm fan and none.
    local = [
        ventilation.LocalExhaust("kitchen_hood", (100.0 - inputs["deficits"][0]) * CFM),
        ventilation.LocalExhaust("bathroom", (50.0 - inputs["deficits"][1]) * CFM),
    ]
    need = ventilation.required_fan(
        floor_area_m2=inputs["Afl_ft2"] * M2_PER_FT2,
        bedrooms=inputs["Nbr"],
        infiltration_m3_per_s=inputs["Qinf"] * CFM,
        local=local,
    )
    return need.fan_m3_per_s / CFM


@serves(TOPIC, r"fan size with that credit")
def _(inputs: Inputs) -> float:
    need = ventilation.required_fan(
        floor_area_m2=inputs["Afl_ft2"] * M2_PER_FT2,
        bedrooms=inputs["Nbr"],
        edition="2013",
        infiltration_m3_per_s=inputs["Qinf"] * CFM,
    )
    return need.fan_m3_per_s / CFM


@serves(TOPIC, r"story factor S in .*", repeats=True)
def _(inputs: Inputs) -> float:
    return ventilation.story_factor(inputs["stories"])


@serves(TOPIC, r"story factor from .*")
def _(inputs: Inputs) -> float:
    return ventilation.height_factor(8.2 * inputs["stories"] * M_PER_FT)


@serves(TOPIC, r"Qinf from CFM50, reduced form")
def _(inputs: Inputs) -> float:
    flow = ventilation.reduced_infiltration_m3_per_s(
        inputs["Q50"] * CFM, weather_shielding_factor=inputs["wsf"], stories=inputs["stories"]
    )
    return flow / CFM


@serves(TOPIC, r"combined net exhaust of the two largest fans .*")
def _(inputs: Inputs) -> float:
    return ventilation.exhaust_limit_m3_per_s(inputs["Afl_ft2"] * M2_PER_FT2) / CFM


@serves(TOPIC, r"longest dryer duct left after elbows")
def _(inputs: Inputs) -> float:
    left = ventilation.dryer_duct_left_m(
        longest_m=inputs["max_ft"] * M_PER_FT,
        elbows_90=inputs["elbows_90"],
        elbows_45=inputs["elbows_45"],
    )
    return left / M_PER_FT
