"""Savings by the deemed algorithms of published technical reference manuals.

No manual's body text could be opened: structures are recalled from the Illinois, Mid-Atlantic,
New York and Massachusetts manuals, and every parameter is an argument, to be taken from the
manual and version a program names. They stand beside the house model for comparison; the model
decides. Energy in J, temperature differences in K, degree days in K day.
"""

from __future__ import annotations

from calcs.guards import guarded
from calcs.unit_factors import (
    HOURS_PER_DAY,
    J_PER_BTU,
    K_PER_DEGF,
    M3_PER_FT3,
    M3_PER_GAL,
    SECONDS_PER_DAY,
    W_PER_BTUH,
)
from calcs.validation import require_not_negative, require_positive

# The manuals' own roundings: 0.018 Btu/(ft3 degF) for air, 8.33 Btu/(gal degF) for water.
AIR_HEAT_J_PER_M3_K = 0.018 * J_PER_BTU / M3_PER_FT3 / K_PER_DEGF
WATER_HEAT_J_PER_M3_K = 8.33 * J_PER_BTU / M3_PER_GAL / K_PER_DEGF
DAYS_PER_YEAR = 365.25
COP_PER_SEER = W_PER_BTUH  # Btu/(Wh) to W/W


def _eta(efficiency: float) -> float:
    return require_positive(efficiency, "efficiency", "(no unit)")


@guarded
def air_sealing_heating_j(
    reduction50_m3_per_s: float, *, n: float, degree_days_k_day: float, efficiency: float
) -> float:
    """Heating fuel saved by tightening, flow at 50 Pa over the N factor. [J]"""
    require_positive(n, "N factor", "(no unit)")
    natural = reduction50_m3_per_s / n
    heat = natural * AIR_HEAT_J_PER_M3_K * degree_days_k_day * SECONDS_PER_DAY
    return heat / _eta(efficiency)


@guarded
def air_sealing_cooling_j(
    reduction50_m3_per_s: float,
    *,
    n: float,
    degree_days_k_day: float,
    seer_btu_per_wh: float,
    discretionary_use: float,
    latent_multiplier: float,
) -> float:
    """Cooling electricity saved by tightening. [J] N of cooling is another table than heating."""
    sensible = air_sealing_heating_j(
        reduction50_m3_per_s, n=n, degree_days_k_day=degree_days_k_day, efficiency=1.0
    )
    return sensible * discretionary_use * latent_multiplier / (seer_btu_per_wh * COP_PER_SEER)


@guarded
def air_change_heating_j(
    volume_m3: float, reduction_per_h: float, *, degree_days_k_day: float, efficiency: float
) -> float:
    """Heating fuel saved by fewer natural air changes (form read). [J]"""
    heat = volume_m3 * reduction_per_h * AIR_HEAT_J_PER_M3_K * HOURS_PER_DAY * degree_days_k_day
    return heat / _eta(efficiency)


@guarded
def insulation_heating_j(
    old_m2k_per_w: float,
    new_m2k_per_w: float,
    *,
    area_m2: float,
    framing_fraction: float,
    degree_days_k_day: float,
    adjustment: float,
    efficiency: float,
) -> float:
    """Heating fuel saved by insulation, (1/Rold - 1/Rnew) A (1 - ff) DD ADJ/eta. [J]

    Floor the old R with that of the empty assembly: an R of 0 has no meaning.
    """
    require_positive(old_m2k_per_w, "old R", "m2 K/W")
    require_positive(new_m2k_per_w, "new R", "m2 K/W")
    ua = (1.0 / old_m2k_per_w - 1.0 / new_m2k_per_w) * area_m2 * (1.0 - framing_fraction)
    return ua * degree_days_k_day * SECONDS_PER_DAY * adjustment / _eta(efficiency)


@guarded
def insulation_cooling_j(
    old_m2k_per_w: float,
    new_m2k_per_w: float,
    *,
    area_m2: float,
    framing_fraction: float,
    degree_days_k_day: float,
    adjustment: float,
    discretionary_use: float,
    seer_btu_per_wh: float,
) -> float:
    """Cooling electricity saved by insulation. [J]"""
    return (
        insulation_heating_j(
            old_m2k_per_w,
            new_m2k_per_w,
            area_m2=area_m2,
            framing_fraction=framing_fraction,
            degree_days_k_day=degree_days_k_day,
            adjustment=adjustment,
            efficiency=1.0,
        )
        * discretionary_use
        / (seer_btu_per_wh * COP_PER_SEER)
    )


@guarded
def boiler_by_input_j(
    efficient_input_w: float, *, base: float, efficient: float, full_load_seconds: float
) -> float:
    """Fuel saved by a boiler, input form. [J]

    Equals the load form only with the efficient unit's input; the old unit's overstates.
    """
    return efficient_input_w * (efficient / _eta(base) - 1.0) * full_load_seconds


@guarded
def boiler_by_load_j(load_j: float, *, base: float, efficient: float) -> float:
    """Fuel saved by a boiler, load form. [J]"""
    return load_j * (1.0 / _eta(base) - 1.0 / _eta(efficient))


@guarded
def lamp_saving_j(
    base_w: float,
    new_w: float,
    *,
    hours: float,
    in_service: float,
    heating_cooling_factor: float = 1.0,
) -> float:
    """Electricity saved by a lamp in a year of `hours`. [J]"""
    return (base_w - new_w) * hours * 3600.0 * in_service * heating_cooling_factor


@guarded
def lamp_heating_penalty_j(
    base_w: float,
    new_w: float,
    *,
    hours: float,
    in_service: float,
    heating_factor: float,
    efficiency: float,
) -> float:
    """Heating fuel change by a cooler lamp; negative, and kept in the cost tests. [J]"""
    saved = lamp_saving_j(base_w, new_w, hours=hours, in_service=in_service)
    return -saved * heating_factor / _eta(efficiency)


@guarded
def lamp_demand_w(
    base_w: float, new_w: float, *, in_service: float, demand_factor: float, coincidence: float
) -> float:
    """Peak demand saved by a lamp. [W]"""
    return (base_w - new_w) * in_service * demand_factor * coincidence


@guarded
def water_heater_saving_j(
    draw_m3_per_day: float, *, delta_k: float, base_uef: float, efficient_uef: float
) -> float:
    """Yearly energy saved by a water heater. [J]"""
    heat = draw_m3_per_day * DAYS_PER_YEAR * WATER_HEAT_J_PER_M3_K * delta_k
    return heat * (1.0 / _eta(base_uef) - 1.0 / _eta(efficient_uef))


@guarded
def hot_water_energy_j_per_m3(*, delta_k: float, recovery: float) -> float:
    """Fuel per volume of mixed water. [J/m3]"""
    return WATER_HEAT_J_PER_M3_K * delta_k / _eta(recovery)


@guarded
def showerhead_saving_j(
    base_m3_per_s: float,
    low_m3_per_s: float,
    *,
    seconds_per_shower: float,
    people: float,
    showers_per_person_day: float,
    heads: float,
    energy_j_per_m3: float,
    in_service: float,
) -> float:
    """Yearly fuel saved by one low-flow showerhead. [J]"""
    require_positive(heads, "number of showerheads", "(no unit)")
    volume = (base_m3_per_s - low_m3_per_s) * seconds_per_shower * people
    yearly = volume * showers_per_person_day * DAYS_PER_YEAR / heads
    return yearly * energy_j_per_m3 * in_service


@guarded
def faucet_saving_j(
    base_m3_per_s: float,
    low_m3_per_s: float,
    *,
    seconds_per_person_day: float,
    people: float,
    drain_share: float,
    faucets: float,
    energy_j_per_m3: float,
    in_service: float,
) -> float:
    """Yearly fuel saved by one faucet aerator; structure memory. [J]

    `drain_share` is the part of the water that runs by time and straight down the drain; what
    fills a pot does not change with the flow.
    """
    require_positive(faucets, "number of faucets", "(no unit)")
    volume = (base_m3_per_s - low_m3_per_s) * seconds_per_person_day * people
    yearly = volume * DAYS_PER_YEAR * drain_share / faucets
    return yearly * energy_j_per_m3 * in_service


@guarded
def tank_wrap_saving_j(
    old_m2k_per_w: float,
    new_m2k_per_w: float,
    *,
    area_m2: float,
    delta_k: float,
    seconds: float,
    recovery: float,
) -> float:
    """Fuel saved by a jacket around a storage tank, dU A dT hours/RE; structure memory. [J]"""
    require_positive(old_m2k_per_w, "old R", "m2 K/W")
    require_positive(new_m2k_per_w, "new R", "m2 K/W")
    ua = (1.0 / old_m2k_per_w - 1.0 / new_m2k_per_w) * area_m2
    return ua * delta_k * seconds / _eta(recovery)


@guarded
def refrigerator_saving_j(base_j: float, efficient_j: float, *, in_service: float = 1.0) -> float:
    """Electricity saved by a new refrigerator in place of the old one. [J]"""
    require_not_negative(base_j, "use of the old refrigerator", "J")
    return (base_j - require_not_negative(efficient_j, "use of the new one", "J")) * in_service


@guarded
def recycled_refrigerator_saving_j(base_j: float, *, part_use: float) -> float:
    """Electricity saved by taking a second refrigerator away, for the part of the year it ran. [J]

    Structure memory.
    """
    return require_not_negative(base_j, "use of the refrigerator", "J") * part_use


@guarded
def dehumidifier_saving_j(
    water_m3: float, *, base_j_per_m3: float, efficient_j_per_m3: float
) -> float:
    """Electricity saved by a dehumidifier that takes the same water with less. [J]

    Energy factors in liters a kWh turned into joules a cubic meter; structure memory.
    """
    require_not_negative(water_m3, "water taken out", "m3")
    return water_m3 * (base_j_per_m3 - efficient_j_per_m3)


@guarded
def washer_saving_j(
    cycles: float,
    *,
    base_machine_j: float,
    efficient_machine_j: float,
    base_dryer_j: float,
    efficient_dryer_j: float,
) -> float:
    """Energy of machine and dryer saved by a clothes washer, per cycle; structure memory. [J]

    Its hot water is another fuel: `washer_hot_water_saving_j`.
    """
    require_not_negative(cycles, "cycles a year", "(no unit)")
    machine = base_machine_j - efficient_machine_j
    return cycles * (machine + base_dryer_j - efficient_dryer_j)


@guarded
def washer_hot_water_saving_j(
    cycles: float, *, base_m3: float, efficient_m3: float, energy_j_per_m3: float
) -> float:
    """Fuel of the hot water a clothes washer saves; structure memory. [J]"""
    require_not_negative(cycles, "cycles a year", "(no unit)")
    return cycles * (base_m3 - efficient_m3) * energy_j_per_m3


@guarded
def pipe_insulation_saving_j(
    old_m2k_per_w: float,
    new_m2k_per_w: float,
    *,
    length_m: float,
    circumference_m: float,
    delta_k: float,
    seconds: float,
    efficiency: float,
) -> float:
    """Fuel saved by insulating a hot pipe. [J]"""
    require_positive(old_m2k_per_w, "old R", "m2 K/W")
    ua = (1.0 / old_m2k_per_w - 1.0 / new_m2k_per_w) * length_m * circumference_m
    return ua * delta_k * seconds / _eta(efficiency)


@guarded
def thermostat_saving_j(heating_j: float, reduction: float) -> float:
    """Heating fuel saved by a thermostat as a share. [J]"""
    return require_not_negative(heating_j, "heating energy", "J") * reduction


@guarded
def coincident_demand_w(annual_j: float, *, full_load_seconds: float, coincidence: float) -> float:
    """Demand at system peak from yearly energy. [W] Coincidence is not the load factor."""
    return annual_j / require_positive(full_load_seconds, "full-load time", "s") * coincidence


@guarded
def net_savings(
    gross: float, *, in_service: float, realization: float, net_to_gross: float
) -> float:
    """Net of gross savings; each factor once; unit as given."""
    return gross * in_service * realization * net_to_gross
