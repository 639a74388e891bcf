"""Solvers of the envelope, infrared and degree-day rows."""

from __future__ import annotations

import numpy as np

from calcs import degree_days, envelope
from calcs.checks.registry import Inputs, serves
from calcs.unit_factors import (
    J_PER_MMBTU,
    K_PER_DEGF,
    KG_PER_LB,
    KG_PER_M3_PER_LB_PER_FT3,
    M2_PER_FT2,
    M2_PER_IN2,
    M2K_PER_W_PER_R_IP,
    M_PER_IN,
    W_PER_BTUH,
    W_PER_K_PER_BTUH_DEGF,
    W_PER_M2K_PER_U_IP,
    celsius_from_fahrenheit,
    fahrenheit_from_celsius,
)

R = M2K_PER_W_PER_R_IP
TOPIC = "envelope"


@serves(TOPIC, r"cavity path R|stud path R")
def _(inputs: Inputs) -> float:
    return envelope.path_resistance_m2k_per_w([r * R for r in inputs["films_and_layers"]]) / R


def _two_path_u(inputs: Inputs, cavity: str, framing: str) -> float:
    fraction = inputs["ff"]
    return envelope.parallel_path_u_w_per_m2k(
        (1 - fraction, fraction), (inputs[cavity] * R, inputs[framing] * R)
    )


@serves(TOPIC, r"parallel-path U .*")
def _(inputs: Inputs) -> float:
    return _two_path_u(inputs, "Rc", "Rs") / W_PER_M2K_PER_U_IP


@serves(TOPIC, r"parallel-path R")
def _(inputs: Inputs) -> float:
    return 1 / _two_path_u(inputs, "Rc", "Rs") / R


@serves(TOPIC, r"parallel-path R from published path totals")
def _(inputs: Inputs) -> float:
    return 1 / _two_path_u(inputs, "R_cavity_path", "R_stud_path") / R


def _isothermal(inputs: Inputs) -> float:
    return envelope.isothermal_planes_r_m2k_per_w(
        inputs["R_series"] * R,
        (1 - inputs["ff"], inputs["ff"]),
        (inputs["R_ins"] * R, inputs["R_stud"] * R),
    )


@serves(TOPIC, r"isothermal-planes R")
def _(inputs: Inputs) -> float:
    return _isothermal(inputs) / R


@serves(TOPIC, r"isothermal-planes U")
def _(inputs: Inputs) -> float:
    return 1 / _isothermal(inputs) / W_PER_M2K_PER_U_IP


@serves(TOPIC, r"ISO 6946 combined method .*|upper and lower limit mean R_T")
def _(inputs: Inputs) -> float:
    return envelope.mean_of_limits(inputs["R_upper"], inputs["R_lower"]).total_m2k_per_w


def _combined(inputs: Inputs) -> envelope.CombinedResistance:
    timber = inputs.get("f_timber", inputs.get("f"))
    return envelope.combined_resistance(
        inputs["R_series"], (1 - timber, timber), (inputs["R_ins"], inputs["R_timber"])
    )


@serves(TOPIC, r"upper limit R'T")
def _(inputs: Inputs) -> float:
    return _combined(inputs).upper_m2k_per_w


@serves(TOPIC, r"lower limit R''T")
def _(inputs: Inputs) -> float:
    return _combined(inputs).lower_m2k_per_w


@serves(TOPIC, r"U-value, combined method")
def _(inputs: Inputs) -> float:
    return _combined(inputs).u_w_per_m2k


@serves(TOPIC, r"RT combined")
def _(inputs: Inputs) -> float:
    return envelope.mean_of_limits(inputs["R_up"], inputs["R_lo"]).total_m2k_per_w


@serves(TOPIC, r"U combined")
def _(inputs: Inputs) -> float:
    return envelope.mean_of_limits(inputs["RT"], inputs["RT"]).u_w_per_m2k


@serves(TOPIC, r"relative error bound e")
def _(inputs: Inputs) -> float:
    return envelope.mean_of_limits(inputs["R_up"], inputs["R_lo"]).error_bound_pct


@serves(TOPIC, r"R-value unit conversion", repeats=True)
def _(inputs: Inputs) -> float:
    return float(inputs["R_IP"] * R)


_SURFACES = {
    "indoor vertical": "indoor_vertical",
    "indoor horizontal, heat flow up": "indoor_horizontal_up",
    "indoor horizontal, heat flow down": "indoor_horizontal_down",
    "outdoor winter 15 mph": "outdoor_winter",
    "outdoor summer 7.5 mph": "outdoor_summer",
    "semi-exterior": "semi_exterior",
}


@serves(TOPIC, r"surface film R.*", repeats=True)
def _(inputs: Inputs) -> float:
    return envelope.film_resistance_m2k_per_w(_SURFACES[inputs["surface"]]) / R


_MATERIALS = {
    "softwood framing": "softwood_framing",
    "gypsum board 0.5 in (per board)": "gypsum_half_inch",
    "expanded polystyrene": "expanded_polystyrene",
    "extruded polystyrene": "extruded_polystyrene",
    "cellulose loose fill": "cellulose_loose",
    "fiberglass batt, low density": "fiberglass_batt",
    "2x4 stud 3.5 in": "stud_2x4",
    "asphalt shingle": "asphalt_shingle",
    "brick 120 lb/ft3, per inch": "brick",
    "wood bevel siding 3/4x10": "bevel_siding_3_4x10",
    "plywood, per inch": "plywood",
}


@serves(TOPIC, r"R per inch \(unless noted\)|material R", repeats=True)
def _(inputs: Inputs) -> float:
    return (
        envelope.material_resistance_m2k_per_w(_MATERIALS[inputs["material"]], thickness_m=M_PER_IN)
        / R
    )


@serves(TOPIC, r"R of compressed batt", repeats=True)
def _(inputs: Inputs) -> float:
    label = int(inputs["label"].removeprefix("R-"))
    value = envelope.compressed_batt_m2k_per_w(label, inputs["nominal_in"], inputs["cavity_in"])
    return value / R


def _attic(inputs: Inputs, void: float) -> float:
    return envelope.effective_r_with_void_m2k_per_w(
        inputs["R_ins"] * R, void, inputs["R_other"] * R
    )


@serves(TOPIC, r"effective assembly R of attic with bare void")
def _(inputs: Inputs) -> float:
    return _attic(inputs, inputs["void_fraction"]) / R


@serves(TOPIC, r"loss of R at 5% void, R-38")
def _(inputs: Inputs) -> float:
    return 100 * (1 - _attic(inputs, inputs["void_fraction"]) / _attic(inputs, 0.0))


@serves(TOPIC, r"void fraction modeled for installation grade", repeats=True)
def _(inputs: Inputs) -> float:
    return 100 * envelope.grade_void_fraction(inputs["grade"])


@serves(TOPIC, r"2x4 R-13 wall, framing 23%, .*")
def _(inputs: Inputs) -> float:
    void = envelope.grade_void_fraction(inputs["grade"])
    assert void == inputs["void"]
    return (
        envelope.framed_wall_r_m2k_per_w(
            cavity_m2k_per_w=inputs["R_cavity"] * R,
            framing_m2k_per_w=inputs["R_stud"] * R,
            other_m2k_per_w=inputs["R_other"] * R,
            framing_fraction=inputs["ff"],
            void_fraction=void,
        )
        / R
    )


@serves(TOPIC, r"prescriptive minimum R", repeats=True)
def _(inputs: Inputs) -> float | str:
    text = envelope.code_minimum(inputs["zone"], inputs["component"])
    return float(text) if text.isdigit() else text


@serves(TOPIC, r"annual conduction heat")
def _(inputs: Inputs) -> float:
    heat = envelope.conduction_heat_j(
        inputs["U"] * W_PER_M2K_PER_U_IP,
        inputs["A_ft2"] * M2_PER_FT2,
        inputs["HDD"] * K_PER_DEGF,
    )
    return heat / J_PER_MMBTU


@serves(TOPIC, r"wall\+window area-weighted R .*")
def _(inputs: Inputs) -> float:
    share = inputs["win_frac"]
    return (
        envelope.area_weighted_r_m2k_per_w(
            (1 - share, share), (inputs["R_wall"] * R, R / inputs["U_win"])
        )
        / R
    )


@serves(TOPIC, r"assembly R of attic with an uninsulated hatch")
def _(inputs: Inputs) -> float:
    hatch = inputs["hatch_ft2"]
    return (
        envelope.area_weighted_r_m2k_per_w(
            (inputs["area_ft2"] - hatch, hatch), (inputs["R_attic"] * R, inputs["R_hatch"] * R)
        )
        / R
    )


@serves(TOPIC, r"attic net free vent area, base rule")
def _(inputs: Inputs) -> float:
    area = inputs["attic_ft2"] * M2_PER_FT2
    return envelope.attic_vent_area_m2(area) / M2_PER_IN2


@serves(TOPIC, r"attic net free vent area, reduced rule")
def _(inputs: Inputs) -> float:
    area = inputs["attic_ft2"] * M2_PER_FT2
    return envelope.attic_vent_area_m2(area, is_reduced=True) / M2_PER_IN2


@serves(TOPIC, r"inside surface temperature drop below room air")
def _(inputs: Inputs) -> float:
    drop = envelope.surface_drop_k(
        inputs["dT_F"] * K_PER_DEGF,
        film_m2k_per_w=inputs["R_film"] * R,
        total_m2k_per_w=inputs["R_total"] * R,
    )
    return drop / K_PER_DEGF


@serves(TOPIC, r"contrast between an empty and an insulated bay .*")
def _(inputs: Inputs) -> float:
    contrast = envelope.infrared_contrast_k(
        inputs["dT_F"] * K_PER_DEGF,
        film_m2k_per_w=inputs["R_film"] * R,
        empty_m2k_per_w=inputs["R_empty"] * R,
        filled_m2k_per_w=inputs["R_full"] * R,
    )
    return contrast / K_PER_DEGF


@serves(TOPIC, r"infrared survey of insulation: conditions met\?")
def _(inputs: Inputs) -> str:
    judgment = envelope.infrared_survey(
        indoor_c=celsius_from_fahrenheit(inputs["Tin_F"]),
        outdoor_c=celsius_from_fahrenheit(inputs["Tout_F"]),
        hours_at_difference=inputs["hours"],
    )
    return "conclusive" if judgment.is_conclusive else "not conclusive"


@serves(TOPIC, r"bags of cellulose for a dense-packed wall, rounded up")
def _(inputs: Inputs) -> float:
    return float(
        envelope.blown_bags(
            net_wall_m2=inputs["net_wall_ft2"] * M2_PER_FT2,
            cavity_depth_m=inputs["depth_in"] * M_PER_IN,
            framing_fraction=inputs["framing"],
            density_kg_per_m3=inputs["density_lb_ft3"] * KG_PER_M3_PER_LB_PER_FT3,
            bag_kg=inputs["bag_lb"] * KG_PER_LB,
        )
    )


DAYS = "degree-days"


def _month(inputs: Inputs) -> tuple[float, float, int, float]:
    return (
        celsius_from_fahrenheit(inputs["Tmean_F"]),
        inputs["Sd_F"] * K_PER_DEGF,
        inputs["N"],
        celsius_from_fahrenheit(inputs["Tbase_F"]),
    )


@serves(DAYS, r"monthly HDD from monthly mean and SD .*")
def _(inputs: Inputs) -> float:
    return degree_days.monthly_heating_degree_days(*_month(inputs)) / K_PER_DEGF


@serves(DAYS, r"monthly CDD .*")
def _(inputs: Inputs) -> float:
    return degree_days.monthly_cooling_degree_days(*_month(inputs)) / K_PER_DEGF


@serves(DAYS, r"monthly HDD, Erbs, SI")
def _(inputs: Inputs) -> float:
    return degree_days.erbs_heating_degree_days(
        inputs["Tmean_C"], inputs["sigma_yr_C"], inputs["N"], inputs["Tbase_C"]
    )


@serves(DAYS, r"Erbs sigma_m")
def _(inputs: Inputs) -> float:
    return degree_days.erbs_deviation_k(inputs["Tmean_C"], inputs["sigma_yr_C"])


@serves(DAYS, r"Erbs sigma_m, IP form .*")
def _(inputs: Inputs) -> float:
    return degree_days.erbs_deviation_degf(inputs["Tmean_F"], inputs["sigma_yr_F"])


def _extremes_c(inputs: Inputs) -> list[float]:
    return [celsius_from_fahrenheit(inputs[key]) for key in ("Tmax_F", "Tmin_F", "Tbase_F")]


@serves(DAYS, r"UK \(McVicker\) daily HDD, .*")
def _(inputs: Inputs) -> float:
    return degree_days.uk_daily_heating_degree_days(*_extremes_c(inputs)) / K_PER_DEGF


@serves(DAYS, r"US NWS daily HDD, .*")
def _(inputs: Inputs) -> float:
    return degree_days.us_weather_service_heating_degree_days(*_extremes_c(inputs)) / K_PER_DEGF


def _sinusoidal_day_c(inputs: Inputs) -> np.ndarray:
    steps = 1440
    angle = 2 * np.pi * (np.arange(steps) + 0.5) / steps
    day_degf = inputs["Tmean_F"] + inputs["amplitude_F"] * np.sin(angle)
    return ((day_degf - 32.0) * K_PER_DEGF).reshape(1, steps)


@serves(DAYS, r"hourly-integrated HDD of a sinusoidal day.*")
def _(inputs: Inputs) -> float:
    base = celsius_from_fahrenheit(inputs["Tbase_F"])
    days = degree_days.hourly_heating_degree_days(_sinusoidal_day_c(inputs), base)
    return days / K_PER_DEGF


@serves(DAYS, r"hourly-integrated CDD of the 62 F day")
def _(inputs: Inputs) -> float:
    base = celsius_from_fahrenheit(inputs["Tbase_F"])
    days = degree_days.hourly_cooling_degree_days(_sinusoidal_day_c(inputs), base)
    return days / K_PER_DEGF


@serves(DAYS, r"balance temperature")
def _(inputs: Inputs) -> float:
    balance = degree_days.balance_temperature_c(
        celsius_from_fahrenheit(inputs["Tset_F"]),
        inputs["Qgain_Btuh"] * W_PER_BTUH,
        inputs["UA_Btuh_F"] * W_PER_K_PER_BTUH_DEGF,
    )
    return fahrenheit_from_celsius(balance)
