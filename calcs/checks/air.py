"""Solvers of the air-leakage and infiltration rows."""

from __future__ import annotations

from calcs import handbook_infiltration as infiltration
from calcs import leakage, ventilation
from calcs.checks.registry import Inputs, serves
from calcs.unit_factors import (
    J_PER_BTU,
    J_PER_MMBTU,
    K_PER_DEGF,
    M2_PER_FT2,
    M2_PER_IN2,
    M3_PER_FT3,
    M3_PER_S_PER_CFM,
    M_PER_FT,
    M_PER_S_PER_MPH,
)

CFM = M3_PER_S_PER_CFM
TOPIC = "air"


def _fit(inputs: Inputs) -> leakage.LeakageFit:
    return leakage.fit_power_law(inputs["dP_Pa"], [q * CFM for q in inputs["Q_cfm"]])


@serves(TOPIC, r"CFM50 from C,n")
def _(inputs: Inputs) -> float:
    flow = leakage.power_law_flow(inputs["C_cfm"] * CFM, inputs["n"], inputs["dP_Pa"])
    return flow / CFM


@serves(TOPIC, r"ACH50|ACH of that example")
def _(inputs: Inputs) -> float:
    flow = inputs.get("CFM50", inputs.get("Q_cfm"))
    return leakage.air_changes_per_h(flow * CFM, inputs["volume_ft3"] * M3_PER_FT3)


@serves(TOPIC, r"power-law exponent n, .*")
def _(inputs: Inputs) -> float:
    return _fit(inputs).exponent


@serves(TOPIC, r"power-law coefficient C, .*|C, noisy .*")
def _(inputs: Inputs) -> float:
    return _fit(inputs).coefficient_m3_per_s_pa_n / CFM


@serves(TOPIC, r"CFM50 from noisy fit")
def _(inputs: Inputs) -> float:
    return _fit(inputs).flow50_m3_per_s / CFM


@serves(TOPIC, r"r-squared of .*")
def _(inputs: Inputs) -> float:
    return _fit(inputs).r_squared


@serves(TOPIC, r"95% confidence half-width of CFM50 .*")
def _(inputs: Inputs) -> float:
    return _fit(inputs).flow50_half_width_pct


@serves(TOPIC, r"95% prediction half-width .*")
def _(inputs: Inputs) -> float:
    return _fit(inputs).reading50_half_width_pct


@serves(TOPIC, r"ELA at 4 Pa, Cd=1")
def _(inputs: Inputs) -> float:
    area = leakage.leakage_area_m2(
        inputs["C_cfm"] * CFM, inputs["n"], density_kg_per_m3=inputs["rho_kg_m3"]
    )
    return area / M2_PER_IN2


@serves(TOPIC, r"EqLA at 10 Pa, .*")
def _(inputs: Inputs) -> float:
    area = leakage.equivalent_leakage_area_m2(
        inputs["C_cfm"] * CFM, inputs["n"], density_kg_per_m3=inputs["rho_kg_m3"]
    )
    return area / M2_PER_IN2


@serves(TOPIC, r"ratio EqLA10/ELA4 .*")
def _(inputs: Inputs) -> float:
    ela = leakage.leakage_area_m2(1.0, inputs["n"])
    return leakage.equivalent_leakage_area_m2(1.0, inputs["n"]) / ela


@serves(TOPIC, r"ELA at 4 Pa from CFM50, .*")
def _(inputs: Inputs) -> float:
    area = leakage.leakage_area_from_flow50_m2(inputs["CFM50"] * CFM, exponent=inputs["n"])
    return area / M2_PER_IN2


@serves(TOPIC, r"air density")
def _(inputs: Inputs) -> float:
    return leakage.air_density_kg_per_m3(inputs["T_C"], elevation_m=inputs["elev_m"])


@serves(TOPIC, r"dynamic viscosity of air .*")
def _(inputs: Inputs) -> float:
    return leakage.air_viscosity_pa_s(inputs["T_C"]) * 1e5


@serves(TOPIC, r"depressurization flow correction .*")
def _(inputs: Inputs) -> float:
    return leakage.envelope_flow_m3_per_s(
        1.0, indoor_c=inputs["T_in_C"], outdoor_c=inputs["T_out_C"]
    )


@serves(TOPIC, r"C0 correction to reference conditions")
def _(inputs: Inputs) -> float:
    return leakage.reference_coefficient(
        inputs["C_cfm"], inputs["n"], temperature_c=inputs["T_C"], elevation_m=inputs["elev_m"]
    )


@serves(TOPIC, r"single-point CFM at 4 Pa .*")
def _(inputs: Inputs) -> float:
    flow = inputs["Q50"] * CFM
    return leakage.scaled_flow(flow, from_pa=50, to_pa=4, exponent=inputs["n"]) / CFM


@serves(TOPIC, r"two-point exponent")
def _(inputs: Inputs) -> float:
    return leakage.two_point_exponent(
        inputs["Q1"] * CFM, inputs["P1"], inputs["Q2"] * CFM, inputs["P2"]
    )


@serves(TOPIC, r"can-not-reach-50 factor .*")
def _(inputs: Inputs) -> float:
    result = leakage.blower_door_test([-inputs["P_Pa"]], [1.0], baselines_pa=[0.0], volume_m3=300.0)
    assert result.is_extrapolated
    return result.flow50_m3_per_s


@serves(TOPIC, r"CFM50 from one reading with the baseline removed, .*")
def _(inputs: Inputs) -> float:
    result = leakage.blower_door_test(
        [inputs["gauge_Pa"]],
        [inputs["Q_cfm"] * CFM],
        baselines_pa=[inputs["baseline_Pa"]],
        volume_m3=300.0,
    )
    return result.flow50_m3_per_s / CFM


@serves(TOPIC, r"leakage ratio house-to-zone .*")
def _(inputs: Inputs) -> float:
    return leakage.zone_leakage_ratio(
        inputs["house_to_zone_Pa"], inputs["zone_to_outside_Pa"], exponent=inputs["n"]
    )


@serves(TOPIC, r"combined coefficient of two leaks in series")
def _(inputs: Inputs) -> float:
    return leakage.series_coefficient(inputs["C1"], inputs["C2"], exponent=inputs["n"])


@serves(TOPIC, r"zone inside the air barrier .*")
def _(inputs: Inputs) -> str:
    return leakage.zone_position(inputs["house_to_zone_Pa"], inputs["house_to_outside_Pa"])


@serves(TOPIC, r"basic-model infiltration.*")
def _(inputs: Inputs) -> float:
    flow = infiltration.basic_infiltration_m3_per_s(
        inputs["AL_in2"] * M2_PER_IN2,
        temperature_difference_k=inputs["dT_F"] * K_PER_DEGF,
        wind_m_per_s=inputs["U_mph"] * M_PER_S_PER_MPH,
        stories=inputs["stories"],
        shelter_class=inputs["shelter"],
    )
    return flow / CFM


@serves(TOPIC, r"stack coefficient Cs \(IP\), .*", repeats=True)
def _(inputs: Inputs) -> float:
    return infiltration.basic_stack_coefficient(inputs["stories"]) / infiltration.STACK_SI_PER_IP


@serves(TOPIC, r"wind coefficient Cw \(IP\), .*", repeats=True)
def _(inputs: Inputs) -> float:
    coefficient = infiltration.basic_wind_coefficient(inputs["stories"], inputs["shelter"])
    return coefficient / infiltration.WIND_SI_PER_IP


@serves(TOPIC, r"IP to SI conversion of Cs", repeats=True)
def _(inputs: Inputs) -> float:
    # (m3/s)2/(m4 K) to (L/s)2/(cm4 K)
    return float(inputs["Cs_IP"] * infiltration.STACK_SI_PER_IP * 1e6 / 1e8)


@serves(TOPIC, r"IP to SI conversion of Cw", repeats=True)
def _(inputs: Inputs) -> float:
    return float(inputs["Cw_IP"] * infiltration.WIND_SI_PER_IP * 1e6 / 1e8)


@serves(TOPIC, r"N factor, normal shielding, 1 story", repeats=True)
def _(inputs: Inputs) -> float:
    return infiltration.n_factor(**inputs)


@serves(TOPIC, r"N factor product rule")
def _(inputs: Inputs) -> float:
    # The row names its factors; the function finds the same ones in its tables.
    zone = {15.5: 1, 18.5: 2, 21.5: 3, 24.5: 4}[inputs["base"]]
    return infiltration.n_factor(zone=zone, stories=3, shielding="exposed")


@serves(TOPIC, r"ACHnat from ACH50 by N factor")
def _(inputs: Inputs) -> float:
    return infiltration.natural_air_changes_per_h(inputs["ACH50"], inputs["N"])


@serves(TOPIC, r"normalized leakage NL")
def _(inputs: Inputs) -> float:
    return ventilation.normalized_leakage(
        inputs["ELA_in2"] * M2_PER_IN2,
        height_m=inputs["H_ft"] * M_PER_FT,
        floor_area_m2=inputs["Afl_ft2"] * M2_PER_FT2,
    )


@serves(TOPIC, r"effective annual infiltration Qinf")
def _(inputs: Inputs) -> float:
    return ventilation.effective_infiltration_cfm(
        inputs["NL"],
        weather_shielding_factor=inputs["wsf"],
        floor_area_ft2=inputs["Afl_ft2"],
    )


@serves(TOPIC, r"Qinf, one story, from CFM50=3000")
def _(inputs: Inputs) -> float:
    normalized = ventilation.normalized_leakage(
        inputs["CFM50"] * inputs["in2_per_cfm50"] * M2_PER_IN2,
        height_m=inputs["H_ft"] * M_PER_FT,
        floor_area_m2=inputs["Afl_ft2"] * M2_PER_FT2,
    )
    return ventilation.effective_infiltration_cfm(
        normalized, weather_shielding_factor=inputs["wsf"], floor_area_ft2=inputs["Afl_ft2"]
    )


@serves(TOPIC, r"enhanced-model total \(quadrature\)")
def _(inputs: Inputs) -> float:
    return infiltration.quadrature_flow_m3_per_s(inputs["Qs_Ls"], inputs["Qw_Ls"])


@serves(TOPIC, r"combined balanced/unbalanced fan and infiltration")
def _(inputs: Inputs) -> float:
    return infiltration.combined_ventilation_m3_per_s(
        balanced_m3_per_s=inputs["Qbal"],
        unbalanced_m3_per_s=inputs["Qunbal"],
        infiltration_m3_per_s=inputs["Qinf"],
    )


@serves(TOPIC, r"building airflow standard CFM50 .*")
def _(inputs: Inputs) -> float:
    flow = infiltration.old_standard_flow50_m3_per_s(
        volume_m3=inputs["volume_ft3"] * M3_PER_FT3,
        occupants=inputs["occupants"],
        n=inputs["N"],
    )
    return flow / CFM


@serves(TOPIC, r"annual heating energy of infiltration")
def _(inputs: Inputs) -> float:
    heat = inputs["factor"] * J_PER_BTU / 60.0 / M3_PER_FT3 / K_PER_DEGF
    energy = infiltration.infiltration_heat_j(
        inputs["Qnat_cfm"] * CFM,
        inputs["HDD"] * K_PER_DEGF,
        volumetric_heat_j_per_m3_k=heat,
    )
    return energy / J_PER_MMBTU
