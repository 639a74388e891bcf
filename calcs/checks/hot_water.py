"""Solvers of the hot-water and duct rows."""

from __future__ import annotations

from calcs import ducts, water_heating
from calcs.checks.registry import Inputs, serves
from calcs.unit_factors import (
    J_PER_BTU,
    K_PER_DEGF,
    KG_PER_LB,
    M2_PER_FT2,
    M2K_PER_W_PER_R_IP,
    M3_PER_GAL,
    M3_PER_S_PER_CFM,
    W_PER_BTUH,
    W_PER_K_PER_BTUH_DEGF,
    celsius_from_fahrenheit,
    fahrenheit_from_celsius,
)

WATER = "hot-water"
DENSITY = KG_PER_LB / M3_PER_GAL  # kg/m3 per lb/gal
HEAT = J_PER_BTU / KG_PER_LB / K_PER_DEGF  # J/(kg K) per Btu/(lb degF)


@serves(WATER, r"standby UA, .*")
def _(inputs: Inputs) -> float:
    ua = water_heating.standby_ua_w_per_k(
        inputs["EF"],
        recovery=inputs["RE"],
        input_w=inputs["Pon_Btuh"] * W_PER_BTUH,
        delta_k=inputs["dT_F"] * K_PER_DEGF,
        heat_j_per_day=inputs["Qout_Btu_day"] * J_PER_BTU,
    )
    return ua / W_PER_K_PER_BTUH_DEGF


@serves(WATER, r"WHAM daily input, .*")
def _(inputs: Inputs) -> float:
    energy = water_heating.daily_input_j(
        inputs["gal"] * M3_PER_GAL,
        density_kg_per_m3=inputs["dens"] * DENSITY,
        specific_heat_j_per_kg_k=inputs["cp"] * HEAT,
        tank_c=celsius_from_fahrenheit(inputs["Tt"]),
        inlet_c=celsius_from_fahrenheit(inputs["Tin"]),
        ambient_c=celsius_from_fahrenheit(inputs["Ta"]),
        recovery=inputs["RE"],
        ua_w_per_k=inputs["UA"] * W_PER_K_PER_BTUH_DEGF,
        input_w=inputs["Pon"] * W_PER_BTUH,
    )
    return energy / J_PER_BTU


def _draw(inputs: Inputs, draw: str) -> float:
    if draw != inputs["bin"]:
        raise ValueError(f"bin found: {draw}")
    return water_heating.uef_draw_m3_per_day(draw) / M3_PER_GAL


@serves(WATER, r"UEF draw volume from first-hour rating", repeats=True)
def _(inputs: Inputs) -> float:
    rating = inputs["FHR_gal"] * M3_PER_GAL
    return _draw(inputs, water_heating.draw_bin(first_hour_m3=rating))


@serves(WATER, r"UEF draw volume, instantaneous, from max gpm", repeats=True)
def _(inputs: Inputs) -> float:
    flow = inputs["gpm"] * M3_PER_GAL / 60.0
    return _draw(inputs, water_heating.draw_bin(max_flow_m3_per_s=flow))


@serves(WATER, r"daily energy at UEF test conditions")
def _(inputs: Inputs) -> float:
    energy = water_heating.energy_by_uef_j(
        inputs["gal"] * M3_PER_GAL,
        density_kg_per_m3=inputs["dens_lb_gal"] * DENSITY,
        specific_heat_j_per_kg_k=inputs["cp"] * HEAT,
        delta_k=inputs["dT_F"] * K_PER_DEGF,
        uef=inputs["UEF"],
    )
    return energy / J_PER_BTU


@serves(WATER, r"2015 federal minimum UEF")
def _(inputs: Inputs) -> float:
    storage, draw = inputs["class_"].split(" 20-55 gal, ")
    return water_heating.uef_minimum(storage.replace(" ", "_"), draw, inputs["Vr_gal"] * M3_PER_GAL)


_EF_CLASSES = {
    "gas storage 20-55 gal": "gas_storage",
    "gas storage >55 gal": "gas_storage_large",
    "electric resistance 20-55 gal": "electric_storage",
    "oil storage": "oil_storage",
}


@serves(WATER, r"minimum EF \(not UEF\)")
def _(inputs: Inputs) -> float:
    kind = _EF_CLASSES[inputs["class_"]]
    return water_heating.ef_minimum(kind, inputs["V_gal"] * M3_PER_GAL)


@serves(WATER, r"reference fixture gallons per day .*")
def _(inputs: Inputs) -> float:
    return water_heating.reference_fixture_draw_m3_per_day(inputs["Nbr"]) / M3_PER_GAL


@serves(WATER, r"reference waste gallons .*")
def _(inputs: Inputs) -> float:
    return water_heating.reference_waste_draw_m3_per_day(inputs["Nbr"]) / M3_PER_GAL


@serves(WATER, r"mixing fraction .*")
def _(inputs: Inputs) -> float:
    return water_heating.mixing_fraction(
        celsius_from_fahrenheit(inputs["Tset"]),
        celsius_from_fahrenheit(inputs["Tmains"]),
        use_c=celsius_from_fahrenheit(inputs["Tuse"]),
    )


@serves(WATER, r"mixed fixture\+waste hot water, reference home")
def _(inputs: Inputs) -> float:
    draw = water_heating.hot_draw_m3_per_day(inputs["Nbr"], mixing=inputs["Fmix"])
    return draw / M3_PER_GAL


@serves(WATER, r"older HERS equation .*")
def _(inputs: Inputs) -> float:
    return water_heating.older_draw_m3_per_day(inputs["Nbr"]) / M3_PER_GAL


@serves(WATER, r"mains water temperature")
def _(inputs: Inputs) -> float:
    mains = water_heating.mains_temperature_c(
        inputs["day"],
        air_mean_c=celsius_from_fahrenheit(inputs["Tamb_avg_F"]),
        monthly_spread_k=inputs["dTamb_max_F"] * K_PER_DEGF,
    )
    return fahrenheit_from_celsius(mains)


@serves(WATER, r"annual mean mains temperature")
def _(inputs: Inputs) -> float:
    air = celsius_from_fahrenheit(inputs["Tamb_avg_F"])
    return fahrenheit_from_celsius(water_heating.mains_mean_c(air))


@serves(WATER, r"daily draw in the pre-2015 EF test", repeats=True)
def _(inputs: Inputs) -> float:
    assert inputs["draws"] == water_heating.EF_TEST_DRAWS
    return water_heating.EF_TEST_DRAW_M3 / M3_PER_GAL


DUCTS = "ducts"
CFM = M3_PER_S_PER_CFM


def _delivery(inputs: Inputs) -> ducts.DeliveryEffectiveness:
    system = ducts.DuctSystem(
        fan_m3_per_s=inputs["Qe"] * CFM,
        supply_leak_m3_per_s=inputs["Qs"] * CFM,
        return_leak_m3_per_s=inputs["Qr"] * CFM,
        supply_area_m2=inputs["As"] * M2_PER_FT2,
        return_area_m2=inputs["Ar"] * M2_PER_FT2,
        supply_r_m2k_per_w=inputs["Rs"] * M2K_PER_W_PER_R_IP,
        return_r_m2k_per_w=inputs["Rr"] * M2K_PER_W_PER_R_IP,
    )
    return ducts.heating_delivery(
        system,
        capacity_w=inputs["Ecap"] * W_PER_BTUH,
        indoor_c=celsius_from_fahrenheit(inputs["Tin"]),
        supply_ambient_c=celsius_from_fahrenheit(inputs["Tas"]),
        return_ambient_c=celsius_from_fahrenheit(inputs["Tar"]),
    )


@serves(DUCTS, r"conduction fraction Bs")
def _(inputs: Inputs) -> float:
    return _delivery(inputs).supply_conduction


@serves(DUCTS, r"conduction fraction Br")
def _(inputs: Inputs) -> float:
    return _delivery(inputs).return_conduction


@serves(DUCTS, r"equipment temperature rise")
def _(inputs: Inputs) -> float:
    return _delivery(inputs).equipment_rise_k / K_PER_DEGF


@serves(DUCTS, r"DE, .*")
def _(inputs: Inputs) -> float:
    return _delivery(inputs).effectiveness


@serves(DUCTS, r"savings fraction when DE improves")
def _(inputs: Inputs) -> float:
    return 100.0 * ducts.saving_fraction(inputs["DE1"], inputs["DE2"])


@serves(DUCTS, r"duct leakage flow at operating pressure from CFM25")
def _(inputs: Inputs) -> float:
    return (
        ducts.leakage_at_pressure_m3_per_s(
            inputs["CFM25"] * CFM, inputs["P_op"], exponent=inputs["n"]
        )
        / CFM
    )


@serves(DUCTS, r"CFM25 per 100 ft2")
def _(inputs: Inputs) -> float:
    leak = ducts.leakage_per_floor_area(inputs["CFM25"] * CFM, inputs["Afl"] * M2_PER_FT2)
    return leak / CFM * M2_PER_FT2 * 100.0


@serves(DUCTS, r"CFM25 percent of fan flow")
def _(inputs: Inputs) -> float:
    return 100.0 * ducts.leakage_share_of_fan(inputs["CFM25"] * CFM, inputs["fan"] * CFM)


_CODE_CASES = {
    "post-construction, total, ducts outside envelope": "total_outside_envelope",
    "rough-in without air handler": "rough_in_without_air_handler",
    "all ducts inside envelope": "all_inside_envelope",
}


@serves(DUCTS, r"2021 IECC R403\.3\.6 leakage limit", repeats=True)
def _(inputs: Inputs) -> float:
    return ducts.code_leakage_limit_cfm25_per_100ft2(_CODE_CASES[inputs["case"]])


_SYSTEMS = {
    "forced air, unconditioned space": "forced_air_unconditioned",
    "forced air, entirely in conditioned space, untested": "forced_air_conditioned_untested",
    "hydronic, unconditioned space": "hydronic_unconditioned",
    "hydronic, conditioned space": "hydronic_conditioned",
    "ductless": "ductless",
}


@serves(DUCTS, r"default distribution system efficiency", repeats=True)
def _(inputs: Inputs) -> float:
    return ducts.default_distribution_efficiency(_SYSTEMS[inputs["system"]])
