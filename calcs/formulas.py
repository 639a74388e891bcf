"""Every formula that answers a question asked at a desk or in the field, by group and name.

The portal offers each of them with its inputs and their units (`portal.modeling.formulas`); the
published values in `calcs.checks` hold the same functions. A formula takes plain SI numbers,
words that are keys of a table, lists of numbers, or one small frozen dataclass, and returns a
number, a word or a frozen dataclass. The unit of each number is the ending of its name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Any

from calcs import (
    baseload,
    bills,
    combustion,
    combustion_air,
    constants,
    degree_days,
    ducts,
    economics,
    envelope,
    envelope_tables,
    equipment_tables,
    handbook_infiltration,
    leakage,
    lifetimes,
    safety,
    safety_limits,
    trm_algorithms,
    ventilation,
    water_heating,
)
from calcs.validation import require_known

# Endings that say a unit; the longest that fits is taken.
UNIT_ENDINGS = (
    "m3_per_s_pa_n",
    "m3_per_s",
    "m3_per_day",
    "l_per_s",
    "per_k_day",
    "per_h",
    "k_day",
    "j_per_kg_k",
    "j_per_m3_k",
    "j_per_kg",
    "j_per_m3",
    "j_per_k_day",
    "btu_per_wh",
    "kg_per_m3",
    "kg_per_j",
    "w_per_m2k",
    "w_per_k",
    "m2k_per_w",
    "m_per_s",
    "per_j",
    "pa_s",
    "cfm25_per_100ft2",
    "r_ip",
    "cfm",
    "ft2",
    "degf",
    "in",
    "m3",
    "m2",
    "m",
    "pa",
    "pct",
    "ppm",
    "c",
    "k",
    "w",
    "j",
    "years",
    "seconds",
    "minutes",
    "hours",
    "days",
)


def unit_ending(name: str) -> str:
    """The ending of a name that says its unit, or "" for a number without one."""
    fitting = [end for end in UNIT_ENDINGS if name == end or name.endswith("_" + end)]
    return max(fitting, key=len, default="")


@dataclass(frozen=True)
class FieldTest:
    """A formula under the name records, derivations and pages call it by."""

    name: str
    group: str
    function: Callable[..., Any]

    @property
    def summary(self) -> str:
        """First paragraph of the formula's own description, without its unit."""
        paragraph = (self.function.__doc__ or "").strip().split("\n\n")[0]
        return " ".join(paragraph.split()).rsplit(" [", 1)[0]

    @property
    def source(self) -> str:
        """What the formula's own description names as its source, or ""."""
        text = " ".join((self.function.__doc__ or "").split())
        for mark in ("Source: ", "References ---------- "):
            if mark in text:
                return text.split(mark, 1)[1].split(" Raises ")[0].split(" Parameters ")[0]
        return ""


_GROUPS: dict[str, tuple[Callable[..., Any], ...]] = {
    "Blower door": (
        leakage.blower_door_test,
        leakage.fit_power_law,
        leakage.power_law_flow,
        leakage.scaled_flow,
        leakage.two_point_exponent,
        leakage.envelope_flow_m3_per_s,
        leakage.reference_coefficient,
        leakage.air_density_kg_per_m3,
        leakage.air_viscosity_pa_s,
        leakage.leakage_area_m2,
        leakage.equivalent_leakage_area_m2,
        leakage.leakage_area_from_flow50_m2,
        leakage.air_changes_per_h,
        leakage.series_coefficient,
        leakage.zone_leakage_ratio,
        leakage.zone_position,
    ),
    "Natural infiltration": (
        handbook_infiltration.n_factor,
        handbook_infiltration.natural_air_changes_per_h,
        handbook_infiltration.basic_stack_coefficient,
        handbook_infiltration.basic_wind_coefficient,
        handbook_infiltration.basic_infiltration_m3_per_s,
        handbook_infiltration.enhanced_infiltration,
        handbook_infiltration.quadrature_flow_m3_per_s,
        handbook_infiltration.combined_ventilation_m3_per_s,
        handbook_infiltration.infiltration_heat_j,
        handbook_infiltration.old_standard_flow50_m3_per_s,
    ),
    "Ventilation": (
        ventilation.required_total_cfm,
        ventilation.required_total_si_l_per_s,
        ventilation.table_total_cfm,
        ventilation.normalized_leakage,
        ventilation.effective_infiltration_cfm,
        ventilation.story_factor,
        ventilation.height_factor,
        ventilation.reduced_infiltration_m3_per_s,
        ventilation.infiltration_credit_m3_per_s,
        ventilation.local_demand_m3_per_s,
        ventilation.local_continuous_m3_per_s,
        ventilation.local_deficit_m3_per_s,
        ventilation.intermittent_fan_m3_per_s,
        ventilation.exhaust_limit_m3_per_s,
        ventilation.dryer_duct_left_m,
    ),
    "Combustion": (
        combustion.combustion_efficiency,
        combustion.excess_air_pct,
        combustion.excess_air_from_o2_co2_pct,
        combustion.co2_pct,
        combustion.o2_pct_from_co2,
        combustion.dew_point_c,
        combustion.co_air_free,
        combustion.co_air_free_from_co2_ppm,
        combustion.siegert_loss_pct,
        combustion.hhv_efficiency_from_lhv_loss_pct,
        combustion.meter_dial_input_w,
        combustion.nozzle_input_w,
        combustion.steam_temperature_c,
        combustion.water_column_m,
        combustion_air.room_volume_needed_m3,
        combustion_air.room_volume_known_rate_m3,
        combustion_air.opening_free_area_m2,
        combustion_air.largest_flue_area_m2,
        combustion_air.theoretical_draft_pa,
    ),
    "Safety readings": (
        safety.judge_draft,
        safety.net_zone_pressure_pa,
        safety.judge_spillage,
        safety.judge_appliance_co,
        safety.judge_ambient_co,
        safety.ambient_co_tier,
        safety.may_inspect_by_code,
        safety.judge_gas,
    ),
    "Insulation": (
        envelope.film_resistance_m2k_per_w,
        envelope.material_resistance_m2k_per_w,
        envelope.path_resistance_m2k_per_w,
        envelope.parallel_path_u_w_per_m2k,
        envelope.isothermal_planes_r_m2k_per_w,
        envelope.mean_of_limits,
        envelope.combined_resistance,
        envelope.area_weighted_r_m2k_per_w,
        envelope.compressed_batt_m2k_per_w,
        envelope.grade_void_fraction,
        envelope.effective_r_with_void_m2k_per_w,
        envelope.framed_wall_r_m2k_per_w,
        envelope.attic_insulation,
        envelope.code_minimum,
        envelope.conduction_heat_j,
        envelope.attic_vent_area_m2,
        envelope.blown_bags,
        envelope.surface_drop_k,
        envelope.infrared_contrast_k,
        envelope.infrared_survey,
    ),
    "Degree days": (
        degree_days.heating_degree_days,
        degree_days.cooling_degree_days,
        degree_days.hourly_heating_degree_days,
        degree_days.hourly_cooling_degree_days,
        degree_days.monthly_heating_degree_days,
        degree_days.monthly_cooling_degree_days,
        degree_days.erbs_deviation_k,
        degree_days.erbs_deviation_degf,
        degree_days.erbs_heating_degree_days,
        degree_days.uk_daily_heating_degree_days,
        degree_days.us_weather_service_heating_degree_days,
        degree_days.balance_temperature_c,
    ),
    "Heating equipment": (
        equipment_tables.boiler_minimum_afue_pct,
        equipment_tables.vintage_afue,
        equipment_tables.part_load_efficiency,
        equipment_tables.annual_fuel_j,
        equipment_tables.replacement_saving_fraction,
        equipment_tables.break_even_electricity_price_per_j,
        equipment_tables.cop_from_hspf,
        equipment_tables.cop_from_seer,
        equipment_tables.radiator_output_w,
        equipment_tables.steam_boiler_gross_w,
        equipment_tables.steam_size_ratio,
        equipment_tables.reset_supply,
        equipment_tables.ua_from_bill_slope_w_per_k,
        equipment_tables.design_load_w,
        equipment_tables.oversizing_ratio,
        equipment_tables.pipe_volume_m3,
        equipment_tables.scale_loss_pct,
        lifetimes.service_life_years,
        lifetimes.degraded_efficiency,
        lifetimes.remaining_life_years,
        lifetimes.leave_until,
        lifetimes.lifetime_savings,
        lifetimes.dual_baseline_savings,
    ),
    "Ducts": (
        ducts.heating_delivery,
        ducts.cooling_delivery,
        ducts.leakage_at_pressure_m3_per_s,
        ducts.leakage_per_floor_area,
        ducts.leakage_share_of_fan,
        ducts.code_leakage_limit_cfm25_per_100ft2,
        ducts.saving_fraction,
        ducts.default_distribution_efficiency,
    ),
    "Hot water": (
        water_heating.standby_ua_w_per_k,
        water_heating.daily_input_j,
        water_heating.draw_bin,
        water_heating.uef_draw_m3_per_day,
        water_heating.energy_by_uef_j,
        water_heating.uef_minimum,
        water_heating.ef_minimum,
        water_heating.reference_fixture_draw_m3_per_day,
        water_heating.reference_waste_draw_m3_per_day,
        water_heating.older_draw_m3_per_day,
        water_heating.mixing_fraction,
        water_heating.hot_draw_m3_per_day,
        water_heating.mains_temperature_c,
        water_heating.mains_mean_c,
    ),
    "Lights and appliances": (
        baseload.metered_refrigerator,
        baseload.adjusted_volume_m3,
        baseload.refrigerator_standard_j,
        baseload.lamp_annual_j,
    ),
    "Money": (
        economics.present_value_factor,
        economics.uniform_present_value_factor,
        economics.escalating_present_value_factor,
        economics.nominal_rate,
        economics.savings_present_value,
        economics.net_present_value,
        economics.savings_to_investment_ratio,
        economics.package_sir,
        economics.undiscounted_ratio,
        economics.simple_payback_years,
        economics.discounted_payback_years,
        economics.internal_rate_of_return,
        economics.participant_test,
        economics.administrator_test,
        economics.total_resource_test,
        economics.ratepayer_test,
        economics.societal_test,
    ),
    "Bills": (
        bills.fit_heating_bills,
        bills.nmbe_pct,
        bills.cv_rmse_pct,
        bills.t_statistic,
        bills.effective_points,
        bills.fractional_savings_uncertainty,
        constants.source_energy_j,
        constants.grid_co2_kg_per_j,
    ),
    "Savings by the manual's formulas": (
        trm_algorithms.air_sealing_heating_j,
        trm_algorithms.air_sealing_cooling_j,
        trm_algorithms.air_change_heating_j,
        trm_algorithms.insulation_heating_j,
        trm_algorithms.insulation_cooling_j,
        trm_algorithms.boiler_by_input_j,
        trm_algorithms.boiler_by_load_j,
        trm_algorithms.lamp_saving_j,
        trm_algorithms.lamp_heating_penalty_j,
        trm_algorithms.lamp_demand_w,
        trm_algorithms.water_heater_saving_j,
        trm_algorithms.hot_water_energy_j_per_m3,
        trm_algorithms.showerhead_saving_j,
        trm_algorithms.pipe_insulation_saving_j,
        trm_algorithms.thermostat_saving_j,
        trm_algorithms.coincident_demand_w,
        trm_algorithms.net_savings,
    ),
}


def _named(function: Callable[..., Any]) -> str:
    name = function.__name__
    if name.endswith("_degree_days"):
        return name
    ending = unit_ending(name)
    return name.removesuffix("_" + ending) if ending else name


FIELD_TESTS: dict[str, FieldTest] = {
    _named(function): FieldTest(_named(function), group, function)
    for group, functions in _GROUPS.items()
    for function in functions
}


def field_test(name: str) -> FieldTest:
    """The formula of a name. Raises InputError for an unknown one, with the known names."""
    return require_known(FIELD_TESTS, name, "field test")


def _both(*tables: Iterable[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(key for table in tables for key in table))


_FUELS = tuple(combustion.FUEL_ANALYSES)
_LIFE_KINDS = _both(*(table.years for table in lifetimes.LIFE_TABLES.values()))
# The words a formula knows, by formula and input.
WORDS: dict[tuple[str, str], tuple[str, ...]] = {
    **{
        (formula, "fuel"): _FUELS
        for formula in ("combustion_efficiency", "excess_air", "co2", "o2_pct_from_co2",
                        "dew_point")
    },
    ("n_factor", "shielding"): tuple(handbook_infiltration.N_FACTOR_SHIELDING),
    ("enhanced_infiltration", "foundation"): tuple(handbook_infiltration.ENHANCED_WIND),
    ("required_total", "edition"): tuple(ventilation.EDITIONS),
    ("infiltration_credit", "edition"): tuple(ventilation.EDITIONS),
    ("local_demand", "room"): tuple(ventilation.LOCAL_DEMAND_CFM),
    ("local_continuous", "room"): _both(ventilation.LOCAL_CONTINUOUS_CFM, ("kitchen",)),
    ("siegert_loss", "fuel"): tuple(combustion.SIEGERT_COEFFICIENTS),
    ("room_volume_known_rate", "kind"): tuple(combustion_air.KNOWN_RATE_LIMITS),
    ("opening_free_area", "arrangement"): tuple(combustion_air.OPENING_BTUH_PER_IN2),
    ("judge_spillage", "edition"): ("stricter", *safety_limits.SPILLAGE_LIMITS),
    ("judge_appliance_co", "appliance"): tuple(safety_limits.APPLIANCE_CO_LIMITS),
    ("film_resistance", "surface"): tuple(envelope_tables.FILMS),
    ("material_resistance", "material"): tuple(envelope_tables.MATERIALS),
    ("grade_void_fraction", "grade"): tuple(envelope_tables.GRADE_VOID),
    ("attic_insulation", "condition"): tuple(envelope_tables.ATTIC_CONDITIONS),
    ("code_minimum", "zone"): tuple(envelope_tables.CODE_MINIMUMS),
    ("code_minimum", "component"): tuple(envelope_tables.CODE_COMPONENTS),
    ("infrared_survey", "wall_kind"): tuple(envelope_tables.SURVEY_SHADE_HOURS),
    ("boiler_minimum_afue", "kind"): _both(*equipment_tables.BOILER_MINIMUM_AFUE_PCT.values()),
    ("boiler_minimum_afue", "from_date"): tuple(equipment_tables.BOILER_MINIMUM_AFUE_PCT),
    ("vintage_afue", "equipment"): tuple(equipment_tables.VINTAGE_AFUE),
    ("vintage_afue", "band"): tuple(equipment_tables.VINTAGES),
    ("radiator_output", "medium"): tuple(equipment_tables.EDR_W_PER_M2),
    ("service_life", "kind"): _LIFE_KINDS,
    ("service_life", "table"): tuple(lifetimes.LIFE_TABLES),
    ("leave_until", "kind"): _LIFE_KINDS,
    ("leave_until", "table"): tuple(lifetimes.LIFE_TABLES),
    ("degraded_efficiency", "equipment"): tuple(lifetimes.DEGRADATION_PER_YEAR),
    ("code_leakage_limit", "case"): tuple(ducts.CODE_LEAKAGE_CFM25_PER_100FT2),
    ("default_distribution_efficiency", "system"): tuple(ducts.DEFAULT_DSE),
    ("uef_draw", "draw"): tuple(water_heating.UEF_DRAW_GAL),
    ("uef_minimum", "kind"): _both([kind for kind, _ in water_heating.UEF_MINIMUMS]),
    ("uef_minimum", "draw"): _both([draw for _, draw in water_heating.UEF_MINIMUMS]),
    ("ef_minimum", "kind"): tuple(water_heating.EF_MINIMUMS),
    ("adjusted_volume", "procedure"): tuple(baseload.ADJUSTED_VOLUME_FACTOR),
    ("refrigerator_standard", "kind"): tuple(baseload.REFRIGERATOR_STANDARDS),
    ("grid_co2", "subregion"): tuple(constants.GRID_CO2_RATES),
}  # fmt: skip
