"""Duct leakage and delivery effectiveness.

ASHRAE Standard 152 (equations memory; the heating form was derived again from the heat balance
of return duct, equipment and supply duct, so the algebra is confirmed).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from calcs.errors import InputError
from calcs.guards import guarded
from calcs.unit_factors import J_PER_BTU, K_PER_DEGF, KG_PER_LB, KG_PER_M3_PER_LB_PER_FT3
from calcs.validation import (
    require_known,
    require_not_negative,
    require_positive,
    require_within,
)

LEAK_EXPONENT = 0.6  # (memory)
TEST_PRESSURE_PA = 25.0
# 0.075 lb/ft3 and 0.24 Btu/(lb degF), the constants of the standard.
AIR_HEAT_J_PER_M3_K = 0.075 * KG_PER_M3_PER_LB_PER_FT3 * 0.24 * J_PER_BTU / KG_PER_LB / K_PER_DEGF

_DSE = "ANSI/RESNET/ICC 301 / IECC performance path (memory)"
DEFAULT_DSE = {
    "forced_air_unconditioned": 0.80,
    "forced_air_conditioned_untested": 0.88,
    "hydronic_unconditioned": 0.95,
    "hydronic_conditioned": 1.00,
    "ductless": 1.00,
}

# 2021 IECC R403.3.6, cfm at 25 Pa per 100 ft2: 4 read, 3 in an earlier state text, 8 memory.
CODE_LEAKAGE_CFM25_PER_100FT2 = {
    "total_outside_envelope": 4.0,
    "rough_in_without_air_handler": 3.0,
    "all_inside_envelope": 8.0,
}


@dataclass(frozen=True)
class DuctSystem:
    """Ducts and air of one system. Flows at operating pressure, leakage to or from outside."""

    fan_m3_per_s: float
    supply_leak_m3_per_s: float
    return_leak_m3_per_s: float
    supply_area_m2: float
    return_area_m2: float
    supply_r_m2k_per_w: float
    return_r_m2k_per_w: float

    def __post_init__(self) -> None:
        require_positive(self.fan_m3_per_s, "fan flow", "m3/s")
        require_not_negative(self.supply_leak_m3_per_s, "supply leakage", "m3/s")
        require_not_negative(self.return_leak_m3_per_s, "return leakage", "m3/s")
        if max(self.supply_leak_m3_per_s, self.return_leak_m3_per_s) > self.fan_m3_per_s:
            raise InputError("duct leakage must not be above the fan flow, m3/s")
        require_not_negative(self.supply_area_m2, "supply duct area", "m2")
        require_not_negative(self.return_area_m2, "return duct area", "m2")
        require_positive(self.supply_r_m2k_per_w, "supply duct R", "m2 K/W")
        require_positive(self.return_r_m2k_per_w, "return duct R", "m2 K/W")


@dataclass(frozen=True)
class DeliveryEffectiveness:
    """Share of the equipment's output that reaches the rooms, and its parts. [-], [K]"""

    effectiveness: float
    supply_air_share: float
    return_air_share: float
    supply_conduction: float
    return_conduction: float
    equipment_rise_k: float


def conduction_fraction(area_m2: float, flow_m3_per_s: float, r_m2k_per_w: float) -> float:
    """Share of the temperature difference a duct keeps, exp[-A/(Q rho cp R)]. [-]"""
    return math.exp(-area_m2 / (flow_m3_per_s * AIR_HEAT_J_PER_M3_K * r_m2k_per_w))


@dataclass(frozen=True)
class DeliveryLine:
    """Delivery effectiveness as a line in the differences to the air around. [-], [1/K]"""

    still: float
    per_supply_k: float
    per_return_k: float


def delivery_line(ducts: DuctSystem, *, capacity_w: float) -> DeliveryLine:
    """The standard's equation taken apart: as Bs, less what each kelvin of difference costs.

    `heating_delivery` is this line at one pair of differences.
    """
    rise = capacity_w / (ducts.fan_m3_per_s * AIR_HEAT_J_PER_M3_K)
    supply_share = 1.0 - ducts.supply_leak_m3_per_s / ducts.fan_m3_per_s
    return_share = 1.0 - ducts.return_leak_m3_per_s / ducts.fan_m3_per_s
    bs = conduction_fraction(ducts.supply_area_m2, ducts.fan_m3_per_s, ducts.supply_r_m2k_per_w)
    br = conduction_fraction(ducts.return_area_m2, ducts.fan_m3_per_s, ducts.return_r_m2k_per_w)
    return DeliveryLine(
        still=supply_share * bs,
        per_supply_k=-supply_share * (1.0 - bs) / rise,
        per_return_k=-supply_share * bs * (1.0 - br * return_share) / rise,
    )


def _effectiveness(
    ducts: DuctSystem, rise_k: float, supply_delta_k: float, return_delta_k: float
) -> DeliveryEffectiveness:
    supply_share = 1.0 - ducts.supply_leak_m3_per_s / ducts.fan_m3_per_s
    return_share = 1.0 - ducts.return_leak_m3_per_s / ducts.fan_m3_per_s
    bs = conduction_fraction(ducts.supply_area_m2, ducts.fan_m3_per_s, ducts.supply_r_m2k_per_w)
    br = conduction_fraction(ducts.return_area_m2, ducts.fan_m3_per_s, ducts.return_r_m2k_per_w)
    effectiveness = (
        supply_share * bs
        - supply_share * bs * (1.0 - br * return_share) * return_delta_k / rise_k
        - supply_share * (1.0 - bs) * supply_delta_k / rise_k
    )
    return DeliveryEffectiveness(effectiveness, supply_share, return_share, bs, br, rise_k)


@guarded
def heating_delivery(
    ducts: DuctSystem,
    *,
    capacity_w: float,
    indoor_c: float,
    supply_ambient_c: float,
    return_ambient_c: float,
) -> DeliveryEffectiveness:
    """Heating delivery effectiveness.

    DE = as Bs - as Bs (1 - Br ar) dTr/dTe - as (1 - Bs) dTs/dTe. The result may fall below 0
    when return leaks draw very cold air; it is not clipped.
    """
    require_positive(capacity_w, "heating capacity", "W")
    rise = capacity_w / (ducts.fan_m3_per_s * AIR_HEAT_J_PER_M3_K)
    return _effectiveness(ducts, rise, indoor_c - supply_ambient_c, indoor_c - return_ambient_c)


@guarded
def cooling_delivery(
    ducts: DuctSystem,
    *,
    total_capacity_w: float,
    indoor_c: float,
    indoor_enthalpy_j_per_kg: float,
    supply_ambient_c: float,
    return_ambient_c: float,
    return_ambient_enthalpy_j_per_kg: float,
    coil_drop_k: float,
) -> DeliveryEffectiveness:
    """Cooling delivery effectiveness on total (sensible and latent) capacity.

    Return leaks bring enthalpy, supply conduction brings sensible heat:
    DE = as - as (1 - ar)(h_r - h_in) m/E - as ar (1 - Br) cp (T_r - T_in) m/E
         - as (1 - Bs) cp (T_s - T_sp) m/E, T_sp = T_in - coil drop plus the return's gain.
    Derived from the heat balance, in the structure of Standard 152 (memory).
    """
    require_positive(total_capacity_w, "total cooling capacity", "W")
    require_positive(coil_drop_k, "coil temperature drop", "K")
    density = 0.075 * KG_PER_M3_PER_LB_PER_FT3
    heat_per_kg_k = AIR_HEAT_J_PER_M3_K / density
    mass = ducts.fan_m3_per_s * density
    supply_share = 1.0 - ducts.supply_leak_m3_per_s / ducts.fan_m3_per_s
    return_share = 1.0 - ducts.return_leak_m3_per_s / ducts.fan_m3_per_s
    bs = conduction_fraction(ducts.supply_area_m2, ducts.fan_m3_per_s, ducts.supply_r_m2k_per_w)
    br = conduction_fraction(ducts.return_area_m2, ducts.fan_m3_per_s, ducts.return_r_m2k_per_w)
    leak = (1.0 - return_share) * (return_ambient_enthalpy_j_per_kg - indoor_enthalpy_j_per_kg)
    return_gain_k = return_share * (1.0 - br) * (return_ambient_c - indoor_c)
    entering_c = indoor_c + return_gain_k + (1.0 - return_share) * (return_ambient_c - indoor_c)
    supply_gain_k = (1.0 - bs) * (supply_ambient_c - (entering_c - coil_drop_k))
    lost_w = mass * supply_share * (leak + heat_per_kg_k * (return_gain_k + supply_gain_k))
    effectiveness = supply_share - lost_w / total_capacity_w
    rise = total_capacity_w / (ducts.fan_m3_per_s * AIR_HEAT_J_PER_M3_K)
    return DeliveryEffectiveness(effectiveness, supply_share, return_share, bs, br, rise)


def leakage_at_pressure_m3_per_s(
    leak25_m3_per_s: float, pressure_pa: float, *, exponent: float = LEAK_EXPONENT
) -> float:
    """Duct leakage at an operating pressure from the test at 25 Pa. [m3/s]

    A system that cannot reach 25 Pa is reported with the pressure it reached.
    """
    require_not_negative(leak25_m3_per_s, "leakage at 25 Pa", "m3/s")
    require_positive(pressure_pa, "operating pressure", "Pa")
    require_within(exponent, 0.5, 1.0, "flow exponent", "(no unit)")
    return float(leak25_m3_per_s * (pressure_pa / TEST_PRESSURE_PA) ** exponent)


@guarded
def leakage_per_floor_area(leak25_m3_per_s: float, floor_area_m2: float) -> float:
    """Leakage at 25 Pa per floor area. [m3/(s m2)]"""
    return leak25_m3_per_s / require_positive(floor_area_m2, "floor area", "m2")


@guarded
def leakage_share_of_fan(leak25_m3_per_s: float, fan_m3_per_s: float) -> float:
    """Leakage at 25 Pa as a share of the fan flow. [-]"""
    return leak25_m3_per_s / require_positive(fan_m3_per_s, "fan flow", "m3/s")


def code_leakage_limit_cfm25_per_100ft2(case: str) -> float:
    """2021 IECC R403.3.6 limit, in the unit the code states. [cfm at 25 Pa per 100 ft2]"""
    return require_known(CODE_LEAKAGE_CFM25_PER_100FT2, case, "duct test case")


def saving_fraction(before: float, after: float) -> float:
    """Fuel saved when delivery effectiveness rises, 1 - before/after. [-]"""
    require_positive(before, "effectiveness before", "(no unit)")
    require_positive(after, "effectiveness after", "(no unit)")
    return 1.0 - before / after


def default_distribution_efficiency(system: str) -> float:
    """Default distribution system efficiency where nothing was measured. [-]"""
    return require_known(DEFAULT_DSE, system, "distribution system")
