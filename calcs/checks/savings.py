"""Solvers of the manual-algorithm and lifetime rows."""

from __future__ import annotations

from calcs import baseload, ducts, lifetimes
from calcs import trm_algorithms as trm
from calcs.checks.registry import Inputs, serves
from calcs.unit_factors import (
    J_PER_KWH,
    J_PER_MMBTU,
    J_PER_THERM,
    K_PER_DEGF,
    M2_PER_FT2,
    M2K_PER_W_PER_R_IP,
    M3_PER_FT3,
    M3_PER_GAL,
    M3_PER_S_PER_CFM,
    M_PER_FT,
    W_PER_BTUH,
)

TOPIC = "trm-algorithms"
R = M2K_PER_W_PER_R_IP


def _sealing_j(inputs: Inputs) -> float:
    reduction = (inputs["CFM50_pre"] - inputs["CFM50_post"]) * M3_PER_S_PER_CFM
    return trm.air_sealing_heating_j(
        reduction,
        n=inputs.get("N_heat", inputs.get("N")),
        degree_days_k_day=inputs["HDD"] * K_PER_DEGF,
        efficiency=inputs["eta"],
    )


@serves(TOPIC, r"air sealing, gas heat")
def _(inputs: Inputs) -> float:
    return _sealing_j(inputs) / J_PER_THERM


@serves(TOPIC, r"air sealing, gas heat, MMBtu form")
def _(inputs: Inputs) -> float:
    return _sealing_j(inputs) / J_PER_MMBTU


@serves(TOPIC, r"air sealing, cooling")
def _(inputs: Inputs) -> float:
    saved = trm.air_sealing_cooling_j(
        (inputs["CFM50_pre"] - inputs["CFM50_post"]) * M3_PER_S_PER_CFM,
        n=inputs["N_cool"],
        degree_days_k_day=inputs["CDD"] * K_PER_DEGF,
        seer_btu_per_wh=inputs["SEER"],
        discretionary_use=inputs["DUA"],
        latent_multiplier=inputs["LM"],
    )
    return saved / J_PER_KWH


@serves(TOPIC, r"ACH-form air sealing .*")
def _(inputs: Inputs) -> float:
    saved = trm.air_change_heating_j(
        inputs["V"] * M3_PER_FT3,
        inputs["ACH_pre"] - inputs["ACH_post"],
        degree_days_k_day=inputs["HDD"] * K_PER_DEGF,
        efficiency=inputs["eta"],
    )
    return saved / J_PER_THERM


@serves(TOPIC, r"(attic|wall) insulation, gas heat.*")
def _(inputs: Inputs) -> float:
    saved = trm.insulation_heating_j(
        inputs["R_old"] * R,
        inputs["R_new"] * R,
        area_m2=inputs["A"] * M2_PER_FT2,
        framing_fraction=inputs["ff"],
        degree_days_k_day=inputs["HDD"] * K_PER_DEGF,
        adjustment=inputs["ADJ"],
        efficiency=inputs["eta"],
    )
    return saved / J_PER_THERM


@serves(TOPIC, r"attic insulation, cooling")
def _(inputs: Inputs) -> float:
    saved = trm.insulation_cooling_j(
        inputs["R_old"] * R,
        inputs["R_new"] * R,
        area_m2=inputs["A"] * M2_PER_FT2,
        framing_fraction=inputs["ff"],
        degree_days_k_day=inputs["CDD"] * K_PER_DEGF,
        adjustment=inputs["ADJ"],
        discretionary_use=inputs["DUA"],
        seer_btu_per_wh=inputs["SEER"],
    )
    return saved / J_PER_KWH


def _boiler_by_input_therms(input_kbtuh: float, inputs: Inputs) -> float:
    saved = trm.boiler_by_input_j(
        input_kbtuh * 1e3 * W_PER_BTUH,
        base=inputs["eff_base"],
        efficient=inputs["eff_ee"],
        full_load_seconds=inputs["EFLH"] * 3600.0,
    )
    return saved / J_PER_THERM


@serves(TOPIC, r"boiler replacement, input-capacity form .*")
def _(inputs: Inputs) -> float:
    return _boiler_by_input_therms(inputs["kBtuh_in"], inputs)


@serves(TOPIC, r"equivalence check: same house through both forms")
def _(inputs: Inputs) -> float:
    return _boiler_by_input_therms(inputs["kBtuh_out"] / inputs["eff_ee"], inputs)


@serves(TOPIC, r"boiler replacement, load form .*")
def _(inputs: Inputs) -> float:
    saved = trm.boiler_by_load_j(
        inputs["load_therm"] * J_PER_THERM,
        base=inputs["eff_base"],
        efficient=inputs["eff_ee"],
    )
    return saved / J_PER_THERM


@serves(TOPIC, r"early replacement, lifetime savings dual baseline")
def _(inputs: Inputs) -> float:
    return lifetimes.dual_baseline_savings(
        load=inputs["load_therm"],
        efficiency_existing=inputs["eff_exist"],
        efficiency_standard=inputs["eff_base"],
        efficiency_new=inputs["eff_ee"],
        remaining_years=inputs["RUL"],
        useful_life_years=inputs["EUL"],
    )


@serves(TOPIC, r"LED lamp")
def _(inputs: Inputs) -> float:
    saved = trm.lamp_saving_j(
        inputs["W_base"],
        inputs["W_ee"],
        hours=inputs["hours_day"] * 365.0,
        in_service=inputs["ISR"],
        heating_cooling_factor=inputs["WHFe"],
    )
    return saved / J_PER_KWH


@serves(TOPIC, r"LED heating penalty, gas")
def _(inputs: Inputs) -> float:
    penalty = trm.lamp_heating_penalty_j(
        inputs["dW"],
        0.0,
        hours=inputs["hours"],
        in_service=inputs["ISR"],
        heating_factor=inputs["HF"],
        efficiency=inputs["eta"],
    )
    return penalty / J_PER_THERM


@serves(TOPIC, r"LED demand")
def _(inputs: Inputs) -> float:
    demand = trm.lamp_demand_w(
        inputs["W_base"],
        inputs["W_ee"],
        in_service=inputs["ISR"],
        demand_factor=inputs["WHFd"],
        coincidence=inputs["CF"],
    )
    return demand / 1e3


def _heater_j(inputs: Inputs) -> float:
    gallons = inputs.get("gal_day") or inputs["GPD_person"] * inputs["people"]
    return trm.water_heater_saving_j(
        gallons * M3_PER_GAL,
        delta_k=(inputs["Tout"] - inputs["Tin"]) * K_PER_DEGF,
        base_uef=inputs["UEF_base"],
        efficient_uef=inputs["UEF_ee"],
    )


@serves(TOPIC, r"gas water heater replacement|gas tankless replacement")
def _(inputs: Inputs) -> float:
    return _heater_j(inputs) / J_PER_THERM


@serves(TOPIC, r"heat-pump water heater vs electric, kWh")
def _(inputs: Inputs) -> float:
    return _heater_j(inputs) / J_PER_KWH


@serves(TOPIC, r"EPG for gas showerhead: .*")
def _(inputs: Inputs) -> float:
    per_volume = trm.hot_water_energy_j_per_m3(
        delta_k=(inputs["Tmix"] - inputs["Tin"]) * K_PER_DEGF, recovery=inputs["RE"]
    )
    return per_volume * M3_PER_GAL / J_PER_THERM


@serves(TOPIC, r"low-flow showerhead, gas")
def _(inputs: Inputs) -> float:
    saved = trm.showerhead_saving_j(
        inputs["gpm_base"] * M3_PER_GAL / 60.0,
        inputs["gpm_low"] * M3_PER_GAL / 60.0,
        seconds_per_shower=inputs["min"] * 60.0,
        people=inputs["people"],
        showers_per_person_day=inputs["showers_person_day"],
        heads=inputs["heads"],
        energy_j_per_m3=inputs["EPG"] * J_PER_THERM / M3_PER_GAL,
        in_service=inputs["ISR"],
    )
    return saved / J_PER_THERM


@serves(TOPIC, r"hot-water pipe insulation")
def _(inputs: Inputs) -> float:
    saved = trm.pipe_insulation_saving_j(
        inputs["R_old"] * R,
        inputs["R_new"] * R,
        length_m=inputs["L_ft"] * M_PER_FT,
        circumference_m=inputs["C_ft"] * M_PER_FT,
        delta_k=inputs["dT"] * K_PER_DEGF,
        seconds=inputs["hours"] * 3600.0,
        efficiency=inputs["eta"],
    )
    return saved / J_PER_THERM


def _standard_kwh(kind: str, inputs: Inputs) -> float:
    return baseload.refrigerator_standard_j(kind, inputs["AV_ft3"] * M3_PER_FT3) / J_PER_KWH


@serves(TOPIC, r"refrigerator standard, top-freezer auto defrost, .*")
def _(inputs: Inputs) -> float:
    return _standard_kwh("top_freezer", inputs)


@serves(TOPIC, r"refrigerator standard, bottom-freezer")
def _(inputs: Inputs) -> float:
    return _standard_kwh("bottom_freezer", inputs)


@serves(TOPIC, r"refrigerator standard, top-freezer with icemaker")
def _(inputs: Inputs) -> float:
    return _standard_kwh("top_freezer_icemaker", inputs)


@serves(TOPIC, r"adjusted volume (AV=.*|under the 2014 test procedure)")
def _(inputs: Inputs) -> float:
    procedure = "2014" if "factor" in inputs else "before_2014"
    volume = baseload.adjusted_volume_m3(
        inputs["Vff"] * M3_PER_FT3, inputs["Vfz"] * M3_PER_FT3, procedure=procedure
    )
    return volume / M3_PER_FT3


@serves(TOPIC, r"refrigerator annual use from a short metering")
def _(inputs: Inputs) -> float:
    result = baseload.metered_refrigerator(inputs["kWh"] * J_PER_KWH, inputs["minutes"])
    return float("nan") if result.annual_j is None else result.annual_j / J_PER_KWH


@serves(TOPIC, r"annual use when metering ran less than the minimum")
def _(inputs: Inputs) -> str:
    return baseload.metered_refrigerator(
        inputs["kWh"] * J_PER_KWH, inputs["minutes"], minimum_minutes=inputs["minimum_minutes"]
    ).quality


@serves(TOPIC, r"smart thermostat, gas")
def _(inputs: Inputs) -> float:
    return trm.thermostat_saving_j(inputs["heating_therm"], inputs["reduction"])


@serves(TOPIC, r"duct sealing by distribution efficiency")
def _(inputs: Inputs) -> float:
    share = ducts.saving_fraction(inputs["DE_pre"], inputs["DE_post"])
    return share * float(inputs["heating_therm"])


@serves(TOPIC, r"coincident demand .*")
def _(inputs: Inputs) -> float:
    demand = trm.coincident_demand_w(
        inputs["kWh"] * J_PER_KWH,
        full_load_seconds=inputs["EFLH"] * 3600.0,
        coincidence=inputs["CF"],
    )
    return demand / 1e3


@serves(TOPIC, r"net savings")
def _(inputs: Inputs) -> float:
    return trm.net_savings(
        inputs["gross"],
        in_service=inputs["ISR"],
        realization=inputs["realization"],
        net_to_gross=inputs["NTG"],
    )


LIVES = "lifetimes"
_ASHRAE = {
    "window air conditioner": "window_air_conditioner",
    "residential split air conditioner": "split_air_conditioner",
    "residential air-to-air heat pump": "air_heat_pump",
    "steel water-tube boiler, hot water": "boiler_steel_water_tube_hot_water",
    "steel water-tube boiler, steam": "boiler_steel_water_tube_steam",
    "cast-iron boiler, hot water": "boiler_cast_iron_hot_water",
    "cast-iron boiler, steam": "boiler_cast_iron_steam",
    "electric boiler": "boiler_electric",
    "burner": "burner",
    "furnace, gas or oil": "furnace",
    "base-mounted pump": "pump_base_mounted",
    "pipe-mounted pump": "pump_pipe_mounted",
    "condensate pump": "pump_condensate",
    "ductwork": "ductwork",
    "molded insulation": "insulation_molded",
}
_MEASURES = {
    "heat-pump water heater": "heat_pump_water_heater",
    "low-flow showerhead": "showerhead",
    "LED lamp": "led_lamp",
}


def _key(name: str) -> str:
    return _MEASURES.get(name, name.replace(" ", "_"))


@serves(LIVES, r"median service life", repeats=True)
def _(inputs: Inputs) -> float:
    kind = _ASHRAE[inputs["equipment"]]
    return lifetimes.service_life_years(kind, table="ashrae_median")


@serves(LIVES, r"effective useful life", repeats=True)
def _(inputs: Inputs) -> float:
    return lifetimes.service_life_years(_key(inputs["measure"]), table="trm_northeast")


@serves(LIVES, r"effective useful life, DEER2026", repeats=True)
def _(inputs: Inputs) -> float:
    return lifetimes.service_life_years(_key(inputs["measure"]), table="deer_2026")


@serves(LIVES, r"remaining useful life, DEER2026 .*")
def _(inputs: Inputs) -> float:
    life = lifetimes.service_life_years(_key(inputs["measure"]), table="deer_2026")
    return lifetimes.remaining_life_years(life)


@serves(LIVES, r"remaining useful life, one-third rule")
def _(inputs: Inputs) -> float:
    return lifetimes.remaining_life_years(inputs["EUL"])


@serves(LIVES, r"degraded efficiency")
def _(inputs: Inputs) -> float:
    name = inputs["equipment"]
    kind = "oil_heating" if name.startswith("oil") else "gas_heating"
    if "air conditioner" in name:
        kind = "cooling_or_heat_pump"
    is_serviced = "annual service" in name
    assert lifetimes.DEGRADATION_PER_YEAR[kind][is_serviced] == inputs["M"]
    return lifetimes.degraded_efficiency(
        inputs["base"],
        age_years=inputs["age"],
        equipment=kind,
        has_annual_service=is_serviced,
    )


@serves(LIVES, r"lifetime savings")
def _(inputs: Inputs) -> float:
    return lifetimes.lifetime_savings(inputs["annual"], inputs["EUL"])
