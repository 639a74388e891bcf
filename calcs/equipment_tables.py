"""Heating equipment: published minimums and defaults, conversions, sizing and reset.

AFUE is an annual figure under a fixed test load; combustion efficiency leaves out jacket and idle
loss. HSPF2 and SEER2 (2023) are other tests than HSPF and SEER and are not mixed with them.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from calcs.errors import InputError
from calcs.guards import guarded, require_record_meant
from calcs.unit_factors import (
    J_PER_BTU,
    J_PER_KWH,
    J_PER_THERM,
    M2_PER_FT2,
    SECONDS_PER_DAY,
    W_PER_BTUH,
)
from calcs.validation import (
    require_known,
    require_not_negative,
    require_positive,
    require_within,
)

BTU_PER_WH = 3600.0 / J_PER_BTU

# Federal minimum AFUE of boilers by compliance date. [%]
BOILER_MINIMUM_AFUE_PCT: dict[str, dict[str, float]] = {
    # 81 FR 2320 as reported in trade press (read)
    "2021-01-15": {
        "gas_hot_water": 84.0, "gas_steam": 82.0, "oil_hot_water": 86.0, "oil_steam": 85.0,
    },
    # 10 CFR 430.32(e) (memory)
    "2012-09-01": {
        "gas_hot_water": 82.0, "gas_steam": 80.0, "oil_hot_water": 84.0, "oil_steam": 82.0,
    },
}  # fmt: skip

# RESNET/HERS age-based default efficiency table (memory).
VINTAGES = ("pre-1960", "1960-69", "1970-74", "1975-83", "1984-87", "1988-91", "1992+")
_VINTAGE_FIRST_YEAR = (0, 1960, 1970, 1975, 1984, 1988, 1992)
VINTAGE_AFUE: dict[str, tuple[float, ...]] = {
    "gas_furnace": (0.72, 0.72, 0.72, 0.72, 0.72, 0.76, 0.78),
    "gas_boiler": (0.60, 0.60, 0.65, 0.65, 0.70, 0.77, 0.80),
    "oil": (0.60, 0.65, 0.72, 0.75, 0.80, 0.80, 0.80),
}

# Trade facts (common practice, no source): steam needs 212 F, hot water runs near 180 F.
USUAL_COMBUSTION_EFFICIENCY_PCT = {
    "steam_atmospheric": (80.0, 85.0),
    "hot_water_condensing": (88.0, 96.0),
}

# Radiator output per square foot of equivalent direct radiation (hydronics practice; memory).
EDR_W_PER_M2 = {
    "steam": 240.0 * W_PER_BTUH / M2_PER_FT2,
    "water_170": 150.0 * W_PER_BTUH / M2_PER_FT2,
}
PICKUP_FACTOR = 1.33  # steam piping and pick-up allowance (memory)

# US DOE Energy Tips: Steam, Tip Sheet #7, normal scale (read). [% of fuel] by 1/64 in.
SCALE_LOSS_PCT = {1: 1.0, 2: 2.0, 3: 3.0, 4: 3.9}


@dataclass(frozen=True)
class ResetLine:
    """Outdoor reset: supply temperature between two outdoor temperatures. [C]"""

    design_outdoor_c: float
    design_supply_c: float
    mild_outdoor_c: float
    mild_supply_c: float
    minimum_supply_c: float = 0.0  # non-condensing boilers need a floor on the return

    def __post_init__(self) -> None:
        require_record_meant(self)
        if self.mild_outdoor_c <= self.design_outdoor_c:
            raise InputError("the mild outdoor temperature must be above the design one, C")

    @property
    def ratio(self) -> float:
        """Water degrees per outdoor degree. [-]"""
        return (self.design_supply_c - self.mild_supply_c) / (
            self.mild_outdoor_c - self.design_outdoor_c
        )

    def supply_c(self, outdoor_c: float) -> float:
        """Supply temperature, clamped at both ends of the line. [C]"""
        outdoor = min(max(outdoor_c, self.design_outdoor_c), self.mild_outdoor_c)
        supply = self.design_supply_c - self.ratio * (outdoor - self.design_outdoor_c)
        return max(supply, self.minimum_supply_c)


@dataclass(frozen=True)
class ResetSupply:
    """What a reset line asks for at one outdoor temperature."""

    supply_c: float
    ratio: float  # water degrees per outdoor degree


@guarded
def reset_supply(line: ResetLine, *, outdoor_c: float) -> ResetSupply:
    """Supply temperature an outdoor reset asks for, clamped at both ends of its line.

    Raises InputError for an outdoor temperature outside -60 to 60 C.
    """
    require_within(outdoor_c, -60, 60, "outdoor temperature", "C")
    return ResetSupply(supply_c=line.supply_c(outdoor_c), ratio=line.ratio)


def boiler_minimum_afue_pct(kind: str, *, from_date: str = "2021-01-15") -> float:
    """Federal minimum AFUE of a new boiler by compliance date. [%]

    Steam cannot condense: there is no 95 % steam boiler.
    """
    table = require_known(BOILER_MINIMUM_AFUE_PCT, from_date, "compliance date")
    return require_known(table, kind, "boiler kind")


def vintage(year: int) -> str:
    """Vintage band of an installation year."""
    index = sum(year >= first for first in _VINTAGE_FIRST_YEAR) - 1
    if index < 0:
        raise InputError(f"year must not be below 0, got {year}")
    return VINTAGES[index]


def vintage_afue(equipment: str, band: str) -> float:
    """Default AFUE by vintage where nothing was measured. [-] A default, never a measurement."""
    row = require_known(VINTAGE_AFUE, equipment, "equipment")
    if band not in VINTAGES:
        raise InputError(f"unknown vintage {band!r}; known: {', '.join(VINTAGES)}")
    return row[VINTAGES.index(band)]


def cop_from_hspf(hspf_btu_per_wh: float) -> float:
    """Seasonal COP from HSPF (Btu/Wh). [-]"""
    return require_positive(hspf_btu_per_wh, "HSPF", "Btu/Wh") / BTU_PER_WH


@guarded
def cop_from_seer(seer_btu_per_wh: float) -> float:
    """Seasonal cooling COP from SEER or EER (Btu/Wh). [-]"""
    return require_positive(seer_btu_per_wh, "SEER", "Btu/Wh") / BTU_PER_WH


def part_load_efficiency(
    *, steady_efficiency: float, idle_input_share: float, load_share_of_output: float
) -> float:
    """Efficiency at part load by the linear input-output line, input = a + b output. [-]

    a is the idle loss as a share of full input; at full load the steady efficiency returns.
    Brookhaven integrated-hydronics work (memory). Oversizing multiplies idle loss.
    """
    require_within(steady_efficiency, 0.1, 1.2, "steady efficiency", "(no unit)")
    require_within(idle_input_share, 0, 0.5, "idle input share", "(no unit)")
    require_within(load_share_of_output, 1e-6, 1, "load share of output", "(no unit)")
    output = load_share_of_output * steady_efficiency
    return output / (idle_input_share + (1.0 - idle_input_share) * load_share_of_output)


@guarded
def annual_fuel_j(
    ua_w_per_k: float, degree_days_k_day: float, *, efficiency: float, correction: float = 1.0
) -> float:
    """Heating fuel by the modified degree-day method, UA DD Cd/eta. [J] Cd 0.6 to 0.8 (memory)."""
    require_positive(efficiency, "efficiency", "(no unit)")
    require_not_negative(ua_w_per_k, "UA", "W/K")
    return ua_w_per_k * degree_days_k_day * SECONDS_PER_DAY * correction / efficiency


def replacement_saving_fraction(old: float, new: float) -> float:
    """Fuel saved by a better efficiency, 1 - old/new, not new - old. [-]"""
    require_positive(old, "old efficiency", "(no unit)")
    require_positive(new, "new efficiency", "(no unit)")
    return 1.0 - old / new


@guarded
def break_even_electricity_price_per_j(
    gas_price_per_j: float, *, gas_efficiency: float, cop: float
) -> float:
    """Electricity price at which a heat pump costs as much as gas heat. [$/J]"""
    return gas_price_per_j * cop / require_positive(gas_efficiency, "efficiency", "(no unit)")


def price_per_kwh_from_therm(price_per_therm: float) -> float:
    """Gas price of one kilowatt-hour of fuel. [$/kWh]"""
    return price_per_therm * J_PER_KWH / J_PER_THERM


def radiator_output_w(edr_m2: float, *, medium: str = "steam") -> float:
    """Output of connected radiation. [W] `medium` is "steam" or "water_170"."""
    require_not_negative(edr_m2, "EDR", "m2")
    return edr_m2 * require_known(EDR_W_PER_M2, medium, "heating medium")


@guarded
def steam_boiler_gross_w(edr_m2: float, *, pickup: float = PICKUP_FACTOR) -> float:
    """Gross output a steam boiler needs for its radiators. [W]

    Steam is sized to connected radiation, not to heat loss. Net ratings already hold a pick-up.
    """
    return radiator_output_w(edr_m2) * pickup


@guarded
def steam_size_ratio(gross_w: float, edr_m2: float, *, pickup: float = PICKUP_FACTOR) -> float:
    """Gross output over connected load with pick-up; over 1 is oversized. [-]"""
    return gross_w / require_positive(steam_boiler_gross_w(edr_m2, pickup=pickup), "load", "W")


@guarded
def ua_from_bill_slope_w_per_k(slope_j_per_k_day: float, efficiency: float) -> float:
    """Heat-loss coefficient from the slope of the bills. [W/K]"""
    require_positive(slope_j_per_k_day, "bill slope", "J/(K day)")
    return slope_j_per_k_day * efficiency / SECONDS_PER_DAY


@guarded
def design_load_w(ua_w_per_k: float, *, balance_c: float, design_outdoor_c: float) -> float:
    """Design load from UA and the balance temperature of the bills. [W]"""
    return ua_w_per_k * max(0.0, balance_c - design_outdoor_c)


@guarded
def oversizing_ratio(output_w: float, design_load: float) -> float:
    """Output over design load. [-]"""
    return output_w / require_positive(design_load, "design load", "W")


def pipe_volume_m3(length_m: float, inside_diameter_m: float) -> float:
    """Air a steam main holds, which its vent must let go. [m3]"""
    require_positive(length_m, "pipe length", "m")
    return math.pi * require_positive(inside_diameter_m, "diameter", "m") ** 2 / 4.0 * length_m


def scale_loss_pct(sixty_fourths_in: int) -> float:
    """Fuel lost to water-side scale, by thickness in 1/64 in. as the tip sheet prints it. [%]"""
    if sixty_fourths_in not in SCALE_LOSS_PCT:
        raise InputError("scale loss is published for 1, 2, 3 and 4 sixty-fourths of an inch")
    return SCALE_LOSS_PCT[sixty_fourths_in]
