"""Solvers of the heating-equipment rows."""

from __future__ import annotations

from calcs import combustion
from calcs import equipment_tables as equipment
from calcs.checks.combustion import efficiency
from calcs.checks.registry import Inputs, serves
from calcs.unit_factors import (
    J_PER_KWH,
    J_PER_MMBTU,
    J_PER_THERM,
    K_PER_DEGF,
    M2_PER_FT2,
    M3_PER_FT3,
    M_PER_FT,
    M_PER_IN,
    PA_PER_PSI,
    W_PER_BTUH,
    W_PER_K_PER_BTUH_DEGF,
    celsius_from_fahrenheit,
    fahrenheit_from_celsius,
)

TOPIC = "hvac"


@serves(TOPIC, r"minimum boiler AFUE from 2021-01-15", repeats=True)
def _(inputs: Inputs) -> float:
    return equipment.boiler_minimum_afue_pct(inputs["boiler"].replace(" ", "_"))


@serves(TOPIC, r"minimum boiler AFUE from 2012-09-01", repeats=True)
def _(inputs: Inputs) -> float:
    kind = inputs["boiler"].replace(" ", "_")
    return equipment.boiler_minimum_afue_pct(kind, from_date="2012-09-01")


@serves(TOPIC, r"default AFUE by vintage", repeats=True)
def _(inputs: Inputs) -> float:
    name = inputs["equipment"]
    kind = "oil" if name.startswith("oil") else name.replace(" ", "_")
    return equipment.vintage_afue(kind, inputs["vintage"])


@serves(TOPIC, r"annual fuel with correction .*")
def _(inputs: Inputs) -> float:
    fuel = equipment.annual_fuel_j(
        inputs["UA"] * W_PER_K_PER_BTUH_DEGF,
        inputs["HDD"] * K_PER_DEGF,
        efficiency=inputs["eta"],
        correction=inputs["Cd"],
    )
    return fuel / J_PER_THERM


@serves(TOPIC, r"replacement savings fraction 1-old/new")
def _(inputs: Inputs) -> float:
    return 100.0 * equipment.replacement_saving_fraction(inputs["old"], inputs["new"])


@serves(TOPIC, r"tune-up savings, DOE example: .*")
def _(inputs: Inputs) -> float:
    share = equipment.replacement_saving_fraction(inputs["E1"], inputs["E2"])
    return inputs["fuel_MMBtu"] * J_PER_MMBTU * share / J_PER_MMBTU


@serves(TOPIC, r"part-load efficiency, linear input-output line")
def _(inputs: Inputs) -> float:
    return 100.0 * equipment.part_load_efficiency(
        steady_efficiency=inputs["eta_ss"],
        idle_input_share=inputs["idle_fraction"],
        load_share_of_output=inputs["load_fraction_of_output"],
    )


def _line(inputs: Inputs) -> equipment.ResetLine:
    design, mild = inputs["design"], inputs["mild"]
    return equipment.ResetLine(*(celsius_from_fahrenheit(value) for value in (*design, *mild)))


@serves(TOPIC, r"outdoor reset supply temperature, linear")
def _(inputs: Inputs) -> float:
    outdoor_c = celsius_from_fahrenheit(inputs["Tout"])
    return fahrenheit_from_celsius(
        equipment.reset_supply(_line(inputs), outdoor_c=outdoor_c).supply_c
    )


@serves(TOPIC, r"reset ratio .*")
def _(inputs: Inputs) -> float:
    outdoor_c = celsius_from_fahrenheit(inputs["mild"][0])
    return equipment.reset_supply(_line(inputs), outdoor_c=outdoor_c).ratio


@serves(TOPIC, r"HSPF to seasonal COP")
def _(inputs: Inputs) -> float:
    return equipment.cop_from_hspf(inputs["HSPF"])


@serves(TOPIC, r"electricity price at which a heat pump .*")
def _(inputs: Inputs) -> float:
    price = equipment.break_even_electricity_price_per_j(
        inputs["gas_price"] / J_PER_THERM, gas_efficiency=inputs["eta"], cop=inputs["COP"]
    )
    return price * J_PER_KWH


@serves(TOPIC, r"EDR steam|net steam load of the radiators")
def _(inputs: Inputs) -> float:
    return equipment.radiator_output_w(inputs["EDR_ft2"] * M2_PER_FT2) / W_PER_BTUH


@serves(TOPIC, r"EDR hot water at 170 F average")
def _(inputs: Inputs) -> float:
    area = inputs["EDR_ft2"] * M2_PER_FT2
    return equipment.radiator_output_w(area, medium="water_170") / W_PER_BTUH


@serves(TOPIC, r"steam boiler sizing, .*")
def _(inputs: Inputs) -> float:
    area = inputs["EDR"] * M2_PER_FT2
    return equipment.steam_boiler_gross_w(area, pickup=inputs["pickup"]) / W_PER_BTUH


@serves(TOPIC, r"gross output over connected load .*")
def _(inputs: Inputs) -> float:
    return equipment.steam_size_ratio(
        inputs["gross_output_Btuh"] * W_PER_BTUH,
        inputs["EDR_ft2"] * M2_PER_FT2,
        pickup=inputs["pickup"],
    )


@serves(TOPIC, r"design heat loss from billing slope")
def _(inputs: Inputs) -> float:
    slope = inputs["beta_therm_F_day"] * J_PER_THERM / K_PER_DEGF
    load = equipment.design_load_w(
        equipment.ua_from_bill_slope_w_per_k(slope, inputs["eta"]),
        balance_c=celsius_from_fahrenheit(inputs["Tbal"]),
        design_outdoor_c=celsius_from_fahrenheit(inputs["Tdesign"]),
    )
    return load / W_PER_BTUH


@serves(TOPIC, r"boiler oversizing ratio")
def _(inputs: Inputs) -> float:
    return equipment.oversizing_ratio(inputs["output_Btuh"], inputs["load_Btuh"])


@serves(TOPIC, r"steam temperature at gauge pressure, sea level")
def _(inputs: Inputs) -> float:
    return fahrenheit_from_celsius(combustion.steam_temperature_c(inputs["psig"] * PA_PER_PSI))


@serves(TOPIC, r"height of cold water held up by 1 psi of steam")
def _(inputs: Inputs) -> float:
    return combustion.water_column_m(inputs["psi"] * PA_PER_PSI) / M_PER_IN


@serves(TOPIC, r"air to be vented from a steam main")
def _(inputs: Inputs) -> float:
    volume = equipment.pipe_volume_m3(
        inputs["length_ft"] * M_PER_FT, inputs["inside_diameter_in"] * M_PER_IN
    )
    return volume / M3_PER_FT3


@serves(TOPIC, r"fuel loss by water-side scale", repeats=True)
def _(inputs: Inputs) -> float:
    numerator, denominator = (int(part) for part in inputs["thickness_in"].split("/"))
    return equipment.scale_loss_pct(numerator * 64 // denominator)


@serves(TOPIC, r"efficiency lost when fouling raises the stack .*")
def _(inputs: Inputs) -> float:
    return efficiency(inputs, inputs["net_from_F"]) - efficiency(inputs, inputs["net_to_F"])
