"""Solvers of the unit, heat-content and emission rows."""

from __future__ import annotations

from calcs import constants
from calcs import unit_factors as units
from calcs.checks.registry import Inputs, serves

TOPIC = "units"
_FUELS = {
    "natural gas": "natural_gas",
    "distillate No.2": "fuel_oil_2",
    "distillate No.1": "fuel_oil_1",
    "propane": "propane",
    "kerosene": "kerosene",
}
_CARRIERS = {
    "electricity (grid)": "electricity_grid",
    "electricity (onsite solar/wind)": "electricity_onsite_renewable",
    "natural gas": "natural_gas",
    "electricity (grid), Canada": "electricity_grid_canada",
    "natural gas, Canada": "natural_gas_canada",
    "fuel oil": "fuel_oil",
    "propane": "propane",
}


@serves(TOPIC, r"default high heat value", repeats=True)
def _(inputs: Inputs) -> float:
    fuel = constants.FUELS[_FUELS[inputs["fuel"]]]
    per = units.M3_PER_FT3 if fuel.heat_content.unit == "MMBtu/scf" else units.M3_PER_GAL
    return fuel.hhv_j_per_m3 * per / units.J_PER_MMBTU


@serves(TOPIC, r"default CO2 factor", repeats=True)
def _(inputs: Inputs) -> float:
    return constants.FUELS[_FUELS[inputs["fuel"]]].co2_kg_per_j * units.J_PER_MMBTU


@serves(TOPIC, r"therms per CCF", repeats=True)
def _(inputs: Inputs) -> float:
    gas = constants.FUELS["natural_gas"]
    return gas.hhv_j_per_m3 * 100.0 * units.M3_PER_FT3 / units.J_PER_THERM


@serves(TOPIC, r"CO2 per therm of gas \[kg/therm\]", repeats=True)
def _(inputs: Inputs) -> float:
    return constants.FUELS["natural_gas"].co2_kg_per_j * units.J_PER_THERM


@serves(TOPIC, r"CO2 per therm of gas \[lb/therm\]", repeats=True)
def _(inputs: Inputs) -> float:
    per_therm = constants.FUELS["natural_gas"].co2_kg_per_j * units.J_PER_THERM
    return per_therm / units.KG_PER_LB


@serves(TOPIC, r"CO2 per gallon No\.2 oil", repeats=True)
def _(inputs: Inputs) -> float:
    oil = constants.FUELS["fuel_oil_2"]
    return oil.co2_kg_per_j * oil.hhv_j_per_m3 * units.M3_PER_GAL


@serves(TOPIC, r"CO2 per gallon propane", repeats=True)
def _(inputs: Inputs) -> float:
    propane = constants.FUELS["propane"]
    return propane.co2_kg_per_j * propane.hhv_j_per_m3 * units.M3_PER_GAL


@serves(TOPIC, r"kWh to Btu", repeats=True)
def _(inputs: Inputs) -> float:
    return float(inputs["kWh"] * units.J_PER_KWH / units.J_PER_BTU)


@serves(TOPIC, r"therm to kWh", repeats=True)
def _(inputs: Inputs) -> float:
    return float(inputs["therm"] * units.J_PER_THERM / units.J_PER_KWH)


@serves(TOPIC, r"therm \(US\) to MJ", repeats=True)
def _(inputs: Inputs) -> float:
    return float(inputs["therm"] * units.J_PER_THERM_US_LEGAL / 1e6)


@serves(TOPIC, r"ton of refrigeration", repeats=True)
def _(inputs: Inputs) -> float:
    return float(inputs["ton"] * units.W_PER_TON / units.W_PER_BTUH)


@serves(TOPIC, r"boiler horsepower", repeats=True)
def _(inputs: Inputs) -> float:
    return float(inputs["bhp"] * units.W_PER_BOILER_HP / units.W_PER_BTUH)


@serves(TOPIC, r"1 in\. w\.c\. to Pa", repeats=True)
def _(inputs: Inputs) -> float:
    return float(inputs["iwc"] * units.PA_PER_INWC)


@serves(TOPIC, r"cfm to L/s", repeats=True)
def _(inputs: Inputs) -> float:
    return float(inputs["cfm"] * units.M3_PER_S_PER_CFM * 1e3)


@serves(TOPIC, r"U-factor IP to SI", repeats=True)
def _(inputs: Inputs) -> float:
    return float(inputs["U_IP"] * units.W_PER_M2K_PER_U_IP)


@serves(TOPIC, r"source-site ratio, (US|Canada)", repeats=True)
def _(inputs: Inputs) -> float:
    return constants.SOURCE_SITE_RATIOS[_CARRIERS[inputs["fuel"]]].value


@serves(TOPIC, r"source energy of a home")
def _(inputs: Inputs) -> float:
    energy = constants.source_energy_j(
        {
            "electricity_grid": inputs["kWh"] * units.J_PER_KWH,
            "natural_gas": inputs["therms"] * units.J_PER_THERM,
        }
    )
    return energy / units.J_PER_MMBTU


@serves(TOPIC, r"eGRID2022 total output CO2 rate", repeats=True)
def _(inputs: Inputs) -> float:
    return constants.grid_co2_kg_per_j(inputs["subregion"]) * 3.6e9 / units.KG_PER_LB


@serves(TOPIC, r"CO2 of 9000 kWh at 823\.1 lb/MWh")
def _(inputs: Inputs) -> float:
    return inputs["kWh"] * units.J_PER_KWH * constants.grid_co2_kg_per_j("US")


@serves(TOPIC, r"equivalent gallons of No\.2 oil for 1000 therms")
def _(inputs: Inputs) -> float:
    oil = constants.FUELS["fuel_oil_2"]
    return inputs["therms"] * units.J_PER_THERM / oil.hhv_j_per_m3 / units.M3_PER_GAL
