"""Formulas in words: their titles, their inputs' names, and the trade's unit of each number."""

import re

from calcs.formulas import FieldTest, unit_ending

GIVEN = ""  # a number without a unit, or in whatever unit it was given

# Ending of a name -> (SI spelling, spelling on the surface, what stands behind the box).
SURFACES: dict[str, tuple[str, str, str]] = {
    "m3_per_s_pa_n": ("m³/s", "CFM", "CFM/Paⁿ"),
    "m3_per_s": ("m³/s", "CFM", "CFM"),
    "m3_per_day": ("m³/day", "gal/day", "gal/day"),
    "l_per_s": ("L/s", "L/s", "L/s"),
    "per_h": (GIVEN, GIVEN, "per hour"),
    "per_k_day": (GIVEN, GIVEN, "per K·day"),
    "k_day": ("K·days", "°F·days", "°F·days"),
    "j_per_k_day": ("J/K·day", "Btu/°F·day", "Btu/°F·day"),
    "j_per_kg_k": ("J/kgK", "Btu/lb·°F", "Btu/lb·°F"),
    "j_per_m3_k": ("J/m³K", "Btu/ft³·°F", "Btu/ft³·°F"),
    "j_per_kg": ("J/kg", "Btu/lb", "Btu/lb"),
    "j_per_m3": ("J/m³", "Btu/ft³", "Btu/ft³"),
    "per_j": ("$/J", "$/therm", "$/therm"),
    "kg_per_j": ("kg/J", "lb/MWh", "lb/MWh"),
    "kg_per_m3": ("kg/m³", "lb/ft³", "lb/ft³"),
    "w_per_m2k": ("W/m2K", "U", "Btu/h·ft²·°F"),
    "w_per_k": ("W/K", "Btu/h·°F", "Btu/h·°F"),
    "m2k_per_w": ("m2K/W", "R", "h·ft²·°F/Btu"),
    "m_per_s": ("m/s", "mph", "mph"),
    "btu_per_wh": (GIVEN, GIVEN, "Btu/Wh"),
    "pa_s": (GIVEN, GIVEN, "Pa·s"),
    "cfm25_per_100ft2": (GIVEN, GIVEN, "CFM25 per 100 ft²"),
    "r_ip": (GIVEN, GIVEN, "h·ft²·°F/Btu"),
    "cfm": (GIVEN, GIVEN, "CFM"),
    "ft2": (GIVEN, GIVEN, "ft²"),
    "degf": (GIVEN, GIVEN, "°F"),
    "in": (GIVEN, GIVEN, "in"),
    "m3": ("m³", "ft³", "ft³"),
    "m2": ("m²", "ft²", "ft²"),
    "m": ("m", "ft", "ft"),
    "pa": ("Pa", "Pa", "Pa"),
    "pct": (GIVEN, GIVEN, "%"),
    "ppm": (GIVEN, GIVEN, "ppm"),
    "c": ("degC", "°F", "°F"),
    "k": ("K", "ΔF", "°F"),
    "w": ("W", "Btu/h", "Btu/h"),
    "j": ("J", "therms", "therms"),
    "years": (GIVEN, GIVEN, "years"),
    "seconds": (GIVEN, GIVEN, "s"),
    "minutes": (GIVEN, GIVEN, "min"),
    "hours": (GIVEN, GIVEN, "h"),
    "days": (GIVEN, GIVEN, "days"),
}
_KWH = ("J", "kWh", "kWh")
_WATTS = ("W", "W", "W")
_GALLONS = ("m³", "gal", "gal")
_GPM = ("m³/s", "gpm", "gpm")
_INCHES = ("m", "in", "in")
_IN2 = ("m²", "in²", "in²")
# Where the trade uses another unit than the ending suggests: (formula, name) -> units.
OTHER_SURFACES: dict[tuple[str, str], tuple[str, str, str]] = {
    **{
        (formula, "return"): _KWH
        for formula in (
            "air_sealing_cooling",
            "insulation_cooling",
            "lamp_saving",
            "lamp_annual",
            "refrigerator_standard",
        )
    },
    ("metered_refrigerator", "energy_j"): _KWH,
    ("metered_refrigerator", "annual_j"): _KWH,
    ("metered_refrigerator", "peak_w"): _WATTS,
    ("coincident_demand", "annual_j"): _KWH,
    ("coincident_demand", "return"): _WATTS,
    ("lamp_demand", "return"): _WATTS,
    **{
        (formula, name): _WATTS
        for formula in ("lamp_saving", "lamp_heating_penalty", "lamp_demand")
        for name in ("base_w", "new_w")
    },
    ("lamp_annual", "watts"): (GIVEN, GIVEN, "W"),
    ("daily_input", "draw_m3"): _GALLONS,
    ("daily_input", "density_kg_per_m3"): ("kg/m³", "lb/gal", "lb/gal"),
    ("energy_by_uef", "draw_m3"): _GALLONS,
    ("energy_by_uef", "density_kg_per_m3"): ("kg/m³", "lb/gal", "lb/gal"),
    ("draw_bin", "first_hour_m3"): _GALLONS,
    ("draw_bin", "max_flow_m3_per_s"): _GPM,
    ("uef_minimum", "volume_m3"): _GALLONS,
    ("ef_minimum", "volume_m3"): _GALLONS,
    ("showerhead_saving", "base_m3_per_s"): _GPM,
    ("showerhead_saving", "low_m3_per_s"): _GPM,
    ("showerhead_saving", "energy_j_per_m3"): ("J/m³", "Btu/gal", "Btu/gal"),
    ("hot_water_energy", "return"): ("J/m³", "Btu/gal", "Btu/gal"),
    ("nozzle_input", "nozzle_m3_per_s_at_100psi"): ("m³/s", "gph", "gph at 100 psi"),
    ("nozzle_input", "pump_pa"): ("Pa", "psi", "psi"),
    ("nozzle_input", "hhv_j_per_m3"): ("J/m³", "Btu/gal", "Btu/gal"),
    ("steam_temperature", "gauge_pa"): ("Pa", "psi", "psi"),
    ("water_column", "gauge_pa"): ("Pa", "psi", "psi"),
    ("water_column", "return"): _INCHES,
    ("pipe_volume", "inside_diameter_m"): _INCHES,
    ("largest_flue_area", "outlet_diameter_m"): _INCHES,
    ("largest_flue_area", "return"): _IN2,
    ("opening_free_area", "return"): _IN2,
    ("attic_vent_area", "return"): _IN2,
    **{
        (formula, "return"): _IN2
        for formula in ("leakage_area", "equivalent_leakage_area", "leakage_area_from_flow50")
    },
    ("blower_door_test", "ela_m2"): _IN2,
    ("blower_door_test", "eqla_m2"): _IN2,
    ("basic_infiltration", "leakage_area_m2"): _IN2,
    ("normalized_leakage", "leakage_area_m2"): _IN2,
    ("attic_insulation", "depth_new_m"): _INCHES,
    ("attic_insulation", "depth_now_m"): _INCHES,
    ("material_resistance", "thickness_m"): _INCHES,
    ("blown_bags", "cavity_depth_m"): _INCHES,
    ("blown_bags", "bag_kg"): ("kg", "lb", "lb"),
    ("break_even_electricity_price", "return"): ("$/J", "$/kWh", "$/kWh"),
    ("two_point_exponent", "flow_1"): ("m³/s", "CFM", "CFM"),
    ("two_point_exponent", "flow_2"): ("m³/s", "CFM", "CFM"),
    ("scaled_flow", "flow"): ("m³/s", "CFM", "CFM"),
    ("scaled_flow", "return"): ("m³/s", "CFM", "CFM"),
    ("power_law_flow", "coefficient"): ("m³/s", "CFM", "CFM/Paⁿ"),
    ("power_law_flow", "return"): ("m³/s", "CFM", "CFM"),
    ("reference_coefficient", "coefficient"): ("m³/s", "CFM", "CFM/Paⁿ"),
    ("reference_coefficient", "return"): ("m³/s", "CFM", "CFM/Paⁿ"),
    ("oversizing_ratio", "design_load"): ("W", "Btu/h", "Btu/h"),
    ("quadrature_flow", "wind_m_per_s_flow"): ("m³/s", "CFM", "CFM"),
    ("standby_ua", "heat_j_per_day"): ("J", "therms", "therms/day"),
    ("leakage_per_floor_area", "return"): ("m/s", "m/s", "m³/s per m²"),
    ("heating_degree_days", "return"): SURFACES["k_day"],
    ("cooling_degree_days", "return"): SURFACES["k_day"],
    ("hourly_heating_degree_days", "return"): SURFACES["k_day"],
    ("hourly_cooling_degree_days", "return"): SURFACES["k_day"],
    ("monthly_heating_degree_days", "return"): SURFACES["k_day"],
    ("monthly_cooling_degree_days", "return"): SURFACES["k_day"],
    ("erbs_heating_degree_days", "return"): SURFACES["k_day"],
    ("uk_daily_heating_degree_days", "return"): SURFACES["k_day"],
    ("us_weather_service_heating_degree_days", "return"): SURFACES["k_day"],
    ("source_energy", "site_energy_j"): ("J", "MMBtu", "MMBtu"),
    ("source_energy", "return"): ("J", "MMBtu", "MMBtu"),
}


_SPELLED = {
    "pa": "Pa",
    "co": "CO",
    "co2": "CO₂",
    "o2": "O₂",
    "ela": "ELA",
    "eqla": "EqLA",
    "edr": "EDR",
    "uef": "UEF",
    "hspf": "HSPF",
    "seer": "SEER",
    "cop": "COP",
    "lhv": "LHV",
    "hhv": "HHV",
    "lel": "LEL",
    "ua": "UA",
}


def label_of(name: str) -> str:
    """The words of a name without its unit."""
    ending = unit_ending(name)
    words = name.removesuffix("_" + ending) if ending and ending != name else name
    words = words.replace("flow50", "flow_at_50_pa").replace("leak25", "leakage_at_25_pa")
    words = words.replace("ach50", "air_changes_at_50_pa")
    words = words.removeprefix("is_").removeprefix("has_").replace("_", " ")
    words = " ".join(_SPELLED.get(word, word) for word in words.split())
    return words[:1].upper() + words[1:]


# Where the first words of a description do not name it.
TITLES = {
    "blower_door_test": "Blower-door test, from the readings to CFM50",
    "fit_power_law": "Leakage line through several readings",
    "power_law_flow": "Flow at a pressure from C and n",
    "two_point_exponent": "Flow exponent from two readings",
    "leakage_area": "Leakage area at a reference pressure",
    "zone_leakage_ratio": "Leak into a zone over the leak out of it",
    "n_factor": "N factor",
    "natural_air_changes": "Natural air changes by the N factor",
    "basic_stack_coefficient": "Stack coefficient of the basic model",
    "basic_wind_coefficient": "Wind coefficient of the basic model",
    "old_standard_flow50": "CFM50 below which the old standard asked for a fan",
    "required_total": "Fresh air a home needs",
    "required_total_si": "Fresh air a home needs, SI equation",
    "table_total": "Fresh air a home needs, by the table",
    "normalized_leakage": "Normalized leakage",
    "story_factor": "Story factor of the reduced form",
    "height_factor": "Story factor from the height",
    "local_deficit": "What a kitchen or bath lacks on demand",
    "exhaust_limit": "Exhaust above which make-up air is due",
    "judge_draft": "Draft",
    "net_zone_pressure": "Net pressure of the combustion zone",
    "judge_spillage": "Spillage",
    "judge_appliance_co": "Carbon monoxide of an appliance",
    "judge_ambient_co": "Carbon monoxide in the room",
    "ambient_co_tier": "Tier of a reading of carbon monoxide in the room",
    "may_inspect_by_code": "May an inspection go on, by the code text?",
    "judge_gas": "Combustible gas",
    "isothermal_planes_r": "R by isothermal planes",
    "mean_of_limits": "Mean of an upper and a lower limit of R",
    "area_weighted_r": "R of parts side by side",
    "surface_drop": "How far an inside surface lies below room air",
    "infrared_survey": "Can an infrared survey be believed?",
    "heating_degree_days": "Heating degree days of daily means",
    "cooling_degree_days": "Cooling degree days of daily means",
    "hourly_heating_degree_days": "Heating degree days of hourly readings",
    "hourly_cooling_degree_days": "Cooling degree days of hourly readings",
    "monthly_heating_degree_days": "Heating degree days of a month from its mean",
    "monthly_cooling_degree_days": "Cooling degree days of a month from its mean",
    "erbs_deviation": "Deviation of a month's daily means (Erbs)",
    "erbs_heating_degree_days": "Heating degree days of a month (Erbs)",
    "combined_resistance": "R of a wall or roof by the combined method",
    "code_leakage_limit": "Duct leakage limit of the 2021 code",
    "grade_void_fraction": "Missing insulation by installation grade",
    "cooling_delivery": "Cooling delivery effectiveness",
    "older_draw": "Hot water by the older rating equation",
    "adjusted_volume": "Adjusted volume of a refrigerator",
    "boiler_by_input": "Fuel saved by a boiler, from its input",
    "boiler_by_load": "Fuel saved by a boiler, from the load",
    "effective_points": "Independent points of a series",
    "room_volume_needed": "Room volume for combustion air",
    "room_volume_known_rate": "Room volume for combustion air at a known infiltration rate",
    "opening_free_area": "Free area of combustion-air openings",
    "combustion_efficiency": "Combustion efficiency",
    "undiscounted_ratio": "Saving times life over cost",
    "service_life": "Service life by a table",
    "leave_until": "Keep until about which year",
    "standby_ua": "Standby loss of a tank from its rating",
    "metered_refrigerator": "Yearly use of a metered refrigerator",
    "present_value_factor": "Present value factor of one sum",
    "uniform_present_value_factor": "Present value factor of a yearly sum",
    "escalating_present_value_factor": "Present value factor of a yearly sum that escalates",
    "nominal_rate": "Nominal discount rate from the real one",
    "net_present_value": "Net present value",
    "savings_to_investment_ratio": "Savings-to-investment ratio",
    "package_sir": "Savings-to-investment ratio of a package",
    "simple_payback": "Simple payback",
    "discounted_payback": "Discounted payback",
    "internal_rate_of_return": "Internal rate of return",
    "participant_test": "Participant test",
    "administrator_test": "Program administrator test",
    "total_resource_test": "Total resource test",
    "ratepayer_test": "Ratepayer test",
    "societal_test": "Societal test",
    "fit_heating_bills": "Base load and heating slope of bills",
    "lamp_saving": "Electricity a lamp saves in a year",
    "net_savings": "Net savings of a program",
}


def title_of(test: FieldTest) -> str:
    """A formula's name in words: its own, or its description up to the first pause."""
    named = TITLES.get(test.name)
    return named or re.split(r"[.,;:(\[]", test.summary, maxsplit=1)[0].strip()


def units_of(formula: str, name: str, of: str) -> tuple[str, str, str]:
    """SI spelling, spelling on the surface, and what stands behind the box of a number."""
    other = OTHER_SURFACES.get((formula, name))
    return other or SURFACES.get(unit_ending(of), (GIVEN, GIVEN, ""))
