"""Solvers of the rows of safety limits and decisions."""

from __future__ import annotations

from calcs import safety
from calcs import safety_limits as limits
from calcs.checks.registry import Inputs, serves
from calcs.unit_factors import PA_PER_INWC, celsius_from_fahrenheit

TOPIC = "combustion"


@serves(TOPIC, r"minimum acceptable draft")
def _(inputs: Inputs) -> float:
    return limits.minimum_draft(celsius_from_fahrenheit(inputs["Tout_F"])).value


@serves(TOPIC, r"draft unit conversion .*", repeats=True)
def _(inputs: Inputs) -> float:
    return float(inputs["iwc"] * PA_PER_INWC)


_WATER = limits.VentedAppliance("water_heater", limits.NATURAL_DRAFT, "shared")
# Appliances of a zone that the printed row describes; the function finds the limit itself.
_ZONES = {
    "orphan natural-draft water heater": [_WATER],
    "natural-draft boiler/furnace common-vented with water heater": [
        limits.VentedAppliance("heater", limits.NATURAL_DRAFT, "shared"),
        _WATER,
    ],
    "individual natural-draft boiler or furnace": [
        limits.VentedAppliance("heater", limits.NATURAL_DRAFT)
    ],
    "induced-draft boiler/furnace common-vented with water heater": [
        limits.VentedAppliance("heater", limits.INDUCED_DRAFT, "shared"),
        _WATER,
    ],
    "power-vented or induced-draft appliance alone": [
        limits.VentedAppliance("water_heater", limits.POWER_VENTED)
    ],
    "sealed combustion / direct vent": [limits.VentedAppliance("heater", limits.SEALED)],
    "natural-draft boiler/furnace with vent damper common-vented with water heater": [
        limits.VentedAppliance("heater", limits.NATURAL_DRAFT_DAMPER, "shared"),
        _WATER,
    ],
}


@serves(TOPIC, r"CAZ depressurization limit", repeats=True)
def _(inputs: Inputs) -> float:
    limit = limits.zone_limit(_ZONES[inputs["venting"]])
    assert limit is not None
    return limit.value


@serves(TOPIC, r"ambient CO abort level, older BPI standard", repeats=True)
def _(inputs: Inputs) -> float:
    return limits.AMBIENT_STOP_OLDER.value


@serves(TOPIC, r"maximum spillage time", repeats=True)
def _(inputs: Inputs) -> float:
    limit = limits.spillage_limit(is_vent_warm=inputs["vent"] == "warm vent", edition="bpi_1200")
    return limit.value / 60.0


_APPLIANCES = {"oven/broiler": "oven", "range-top burner": "range_top_burner"}


@serves(TOPIC, r"appliance CO threshold", repeats=True)
def _(inputs: Inputs) -> float:
    name = inputs["appliance"]
    entry = limits.appliance_co_limit(_APPLIANCES.get(name, name.replace(" ", "_")))
    if entry.basis != inputs["basis"]:
        raise ValueError(f"stored basis is {entry.basis}")
    return entry.limit.value


_Z21 = {
    "gas furnace, air-free": "gas_furnace",
    "unvented space heater, air-free": "unvented_space_heater",
    "unvented gas oven, air-free": "unvented_oven",
}


@serves(TOPIC, r"ANSI Z21 appliance CO limit", repeats=True)
def _(inputs: Inputs) -> float:
    return limits.PRODUCT_LISTING_CO_LIMITS[_Z21[inputs["appliance"]]].limit.value


@serves(TOPIC, r"lower bound of ambient CO action tier", repeats=True)
def _(inputs: Inputs) -> float:
    label = inputs["tier"].split(" ppm")[0]
    label = "70+" if label == "70" else label
    return next(t.lower_bound_ppm for t in limits.AMBIENT_TIERS if t.label == label)


@serves(TOPIC, r"ambient CO below which inspection may continue", repeats=True)
def _(inputs: Inputs) -> float:
    return limits.AMBIENT_CONTINUE_BELOW.value


@serves(TOPIC, r"combustible-gas level that requires evacuation", repeats=True)
def _(inputs: Inputs) -> float:
    return limits.GAS_LEL_CODE.value


@serves(TOPIC, r"main-burner run time before CO measurement", repeats=True)
def _(inputs: Inputs) -> float:
    return limits.BURNER_RUN_BEFORE_CO_MIN.value


@serves(TOPIC, r"longest time before a listed CO alarm must sound", repeats=True)
def _(inputs: Inputs) -> float:
    return limits.ALARM_LONGEST_MIN[inputs["CO_ppm"]].value


@serves(TOPIC, r"draft decision \(sign rule\)")
def _(inputs: Inputs) -> str:
    verdict = safety.judge_draft(
        inputs["draft_Pa"], outdoor_c=celsius_from_fahrenheit(inputs["Tout_F"])
    )
    return "pass" if verdict.passes else "fail"


@serves(TOPIC, r"net CAZ pressure")
def _(inputs: Inputs) -> float:
    return safety.net_zone_pressure_pa(inputs["baseline_Pa"], inputs["worst_case_Pa"])


@serves(TOPIC, r"CAZ decision")
def _(inputs: Inputs) -> str:
    stored = limits.CAZ_LIMITS["natural_draft_heater_with_water_heater"]
    assert stored.value == inputs["limit_Pa"]
    net = safety.net_zone_pressure_pa(inputs["baseline_Pa"], inputs["worst_case_Pa"])
    return "pass" if safety.judge_depressurization(net, stored).passes else "fail"


@serves(TOPIC, r"ambient CO tier of a reading between whole numbers")
def _(inputs: Inputs) -> str:
    return safety.ambient_co_tier(inputs["CO_ppm"])
