"""Natural infiltration from a leakage test by handbook models, and its annual cost.

Averaging infiltration over a year is not the same as evaluating at average weather: the
models are nonlinear in temperature difference and wind. The N factor is a climate average and
gives no design load.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from calcs.errors import InputError
from calcs.guards import guarded
from calcs.unit_factors import (
    K_PER_DEGF,
    M2_PER_IN2,
    M3_PER_S_PER_CFM,
    M_PER_S_PER_MPH,
)
from calcs.validation import require_known, require_not_negative, require_positive

# ASHRAE Handbook-Fundamentals, residential infiltration chapter, basic model (memory).
STACK_COEFFICIENT_CFM2_PER_IN4_DEGF = {1: 0.0150, 2: 0.0299, 3: 0.0449}
# By shelter class 1 (none) to 5 (dense), then stories.
WIND_COEFFICIENT_CFM2_PER_IN4_MPH2 = {
    1: {1: 0.0119, 2: 0.0157, 3: 0.0184},
    2: {1: 0.0092, 2: 0.0121, 3: 0.0143},
    3: {1: 0.0065, 2: 0.0086, 3: 0.0101},
    4: {1: 0.0039, 2: 0.0051, 3: 0.0060},
    5: {1: 0.0012, 2: 0.0016, 3: 0.0018},
}

# (cfm2/(in4 degF)) to ((m3/s)2/(m4 K)): flow squared over area squared.
STACK_SI_PER_IP = (M3_PER_S_PER_CFM / M2_PER_IN2) ** 2 / K_PER_DEGF
WIND_SI_PER_IP = (M3_PER_S_PER_CFM / M2_PER_IN2 / M_PER_S_PER_MPH) ** 2

# Sherman 1986, Energy and Buildings 10:81-86; bibliographic record read, numbers memory.
N_FACTOR_BASE = {1: 15.5, 2: 18.5, 3: 21.5, 4: 24.5}  # climate zone of that paper's map
N_FACTOR_HEIGHT = {1.0: 1.0, 1.5: 0.9, 2.0: 0.8, 3.0: 0.7}
N_FACTOR_SHIELDING = {"well": 1.2, "normal": 1.0, "exposed": 0.9}

# Enhanced model (AIM-2), SI, ASHRAE Handbook-Fundamentals (memory). Keys: stories, has flue.
ENHANCED_STACK_PA_PER_K_N = {
    (1, False): 0.054, (1, True): 0.069,
    (2, False): 0.078, (2, True): 0.089,
    (3, False): 0.098, (3, True): 0.107,
}  # fmt: skip
ENHANCED_WIND = {
    "basement_or_slab": {
        (1, False): 0.156, (1, True): 0.142,
        (2, False): 0.170, (2, True): 0.156,
        (3, False): 0.170, (3, True): 0.167,
    },
    "crawlspace": {
        (1, False): 0.128, (1, True): 0.128,
        (2, False): 0.142, (2, True): 0.142,
        (3, False): 0.151, (3, True): 0.154,
    },
}  # fmt: skip
ENHANCED_HEIGHT_FACTOR = {1: 0.48, 2: 0.59, 3: 0.67}
ENHANCED_SHELTER_NO_FLUE = {1: 1.00, 2: 0.90, 3: 0.70, 4: 0.50, 5: 0.30}
ENHANCED_SHELTER_ONE_STORY_FLUE = {1: 1.10, 2: 1.02, 3: 0.86, 4: 0.70, 5: 0.54}

# 62-1989 rates of an older building-analyst standard; kept only to read old files (memory).
OLD_STANDARD_ACH_PER_H = 0.35
OLD_STANDARD_M3_PER_S_PERSON = 15.0 * M3_PER_S_PER_CFM


@dataclass(frozen=True)
class EnhancedInfiltration:
    """Stack, wind and total flow of the enhanced model. [m3/s]"""

    stack_m3_per_s: float
    wind_m3_per_s: float
    total_m3_per_s: float


def _stories_key(stories: int) -> int:
    if stories not in (1, 2, 3):
        raise InputError(f"stories must be 1, 2 or 3 for the handbook tables, got {stories}")
    return stories


def _shelter_key(shelter_class: int) -> int:
    if shelter_class not in (1, 2, 3, 4, 5):
        raise InputError(f"shelter class must be 1 to 5, got {shelter_class}")
    return shelter_class


def basic_stack_coefficient(stories: int) -> float:
    """Cs of the basic model. [(m3/s)2/(m4 K)]"""
    return STACK_COEFFICIENT_CFM2_PER_IN4_DEGF[_stories_key(stories)] * STACK_SI_PER_IP


def basic_wind_coefficient(stories: int, shelter_class: int) -> float:
    """Cw of the basic model. [(m3/s)2/(m4 (m/s)2)]"""
    table = WIND_COEFFICIENT_CFM2_PER_IN4_MPH2[_shelter_key(shelter_class)]
    return table[_stories_key(stories)] * WIND_SI_PER_IP


@guarded
def basic_infiltration_m3_per_s(
    leakage_area_m2: float,
    *,
    temperature_difference_k: float,
    wind_m_per_s: float,
    stories: int,
    shelter_class: int,
) -> float:
    """Infiltration of the ASHRAE basic model, A_L sqrt(Cs |dT| + Cw U^2). [m3/s]

    `leakage_area_m2` is ELA at 4 Pa, discharge coefficient 1. The wind is that of the weather
    station. Raises InputError for an area below 0, a negative wind or an unknown class.
    """
    require_not_negative(leakage_area_m2, "leakage area", "m2")
    require_not_negative(wind_m_per_s, "wind speed", "m/s")
    stack = basic_stack_coefficient(stories) * abs(temperature_difference_k)
    wind = basic_wind_coefficient(stories, shelter_class) * wind_m_per_s**2
    return leakage_area_m2 * math.sqrt(stack + wind)


@guarded
def enhanced_infiltration(
    coefficient_m3_per_s_pa_n: float,
    exponent: float,
    *,
    temperature_difference_k: float,
    wind_m_per_s: float,
    stories: int,
    shelter_class: int,
    has_flue: bool = False,
    foundation: str = "basement_or_slab",
) -> EnhancedInfiltration:
    """Infiltration of the ASHRAE enhanced model, summed in quadrature. [m3/s]

    Qs = c Cs |dT|^n, Qw = c Cw (s G U)^(2n). With a flue the shelter table is that of one
    story only, so two and three stories with a flue are refused rather than guessed.
    Source: Handbook-Fundamentals, AIM-2 (memory).
    """
    require_positive(coefficient_m3_per_s_pa_n, "leakage coefficient", "m3/(s Pa^n)")
    require_not_negative(wind_m_per_s, "wind speed", "m/s")
    key = (_stories_key(stories), has_flue)
    if has_flue and stories != 1:
        raise InputError("shelter factors with a flue are known for one story only")
    shelter_table = ENHANCED_SHELTER_ONE_STORY_FLUE if has_flue else ENHANCED_SHELTER_NO_FLUE
    shelter = shelter_table[_shelter_key(shelter_class)]
    wind_coefficient = require_known(ENHANCED_WIND, foundation, "foundation")[key]
    stack = (
        coefficient_m3_per_s_pa_n
        * ENHANCED_STACK_PA_PER_K_N[key]
        * abs(temperature_difference_k) ** exponent
    )
    wind = (
        coefficient_m3_per_s_pa_n
        * wind_coefficient
        * (shelter * ENHANCED_HEIGHT_FACTOR[stories] * wind_m_per_s) ** (2 * exponent)
    )
    return EnhancedInfiltration(stack, wind, quadrature_flow_m3_per_s(stack, wind))


@guarded
def quadrature_flow_m3_per_s(stack_m3_per_s: float, wind_m_per_s_flow: float) -> float:
    """Stack and wind flow together, sqrt(Qs^2 + Qw^2). [m3/s]"""
    return math.hypot(stack_m3_per_s, wind_m_per_s_flow)


@guarded
def combined_ventilation_m3_per_s(
    *, balanced_m3_per_s: float, unbalanced_m3_per_s: float, infiltration_m3_per_s: float
) -> float:
    """Fans and infiltration together, Qbal + sqrt(Qunbal^2 + Qinf^2). [m3/s]

    Source: ASHRAE Handbook-Fundamentals quadrature rule (memory).
    """
    return balanced_m3_per_s + math.hypot(unbalanced_m3_per_s, infiltration_m3_per_s)


def n_factor(*, zone: int, stories: float, shielding: str) -> float:
    """ACH50 over natural air changes: base by climate zone x height x shielding.

    Published maps number the zones differently: store the factor with the zone.
    """
    if zone not in N_FACTOR_BASE:
        raise InputError(f"N-factor zone must be 1 to 4, got {zone}")
    if stories not in N_FACTOR_HEIGHT:
        raise InputError(f"N-factor stories must be 1, 1.5, 2 or 3, got {stories}")
    return (
        N_FACTOR_BASE[zone]
        * N_FACTOR_HEIGHT[float(stories)]
        * require_known(N_FACTOR_SHIELDING, shielding, "shielding")
    )


def natural_air_changes_per_h(ach50_per_h: float, n: float) -> float:
    """Yearly average air changes by the N factor. [1/h]"""
    require_positive(n, "N factor", "(no unit)")
    return require_not_negative(ach50_per_h, "ACH50", "1/h") / n


@guarded
def infiltration_heat_j(
    flow_m3_per_s: float,
    degree_days_k_day: float,
    *,
    volumetric_heat_j_per_m3_k: float,
) -> float:
    """Heat carried by a steady flow over a degree-day sum. [J]

    The trade's 1.08 Btu/(h cfm degF) is 1206.5 J/(m3 K), air at 0.075 lb/ft3; altitude
    scales it.
    """
    require_not_negative(degree_days_k_day, "degree days", "K day")
    return flow_m3_per_s * volumetric_heat_j_per_m3_k * degree_days_k_day * 86_400.0


@guarded
def old_standard_flow50_m3_per_s(*, volume_m3: float, occupants: int, n: float) -> float:
    """Flow at 50 Pa below which an old file asked for a fan (62-1989 basis). [m3/s]

    Larger of 0.35 air changes and 15 cfm per person, times N. Superseded by ASHRAE 62.2; for
    reading old files only. Source: older building-analyst standard (memory).
    """
    by_volume = OLD_STANDARD_ACH_PER_H * require_positive(volume_m3, "volume", "m3") / 3600.0
    return max(by_volume, occupants * OLD_STANDARD_M3_PER_S_PERSON) * n
