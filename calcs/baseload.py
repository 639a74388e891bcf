"""Lighting, refrigerators, appliances: energy they use and heat they leave in the house."""

from __future__ import annotations

from dataclasses import dataclass

from calcs.errors import InputError
from calcs.guards import guarded
from calcs.unit_factors import J_PER_KWH, M3_PER_FT3, MINUTES_PER_YEAR
from calcs.validation import (
    require_known,
    require_not_negative,
    require_positive,
    require_within,
)

HOURS_PER_YEAR = 8760.0
# Weatherization practice is two hours or more (read); a laboratory series of 2000 found 17.5,
# 25.9, 34.5 and 89.4 % of tests within 10 % of long-term use after 60, 90, 120, 180 minutes
# (read): three hours is the better minimum, longer best.
METERING_MINIMUM_MIN = 120.0
METERING_BETTER_MIN = 180.0
DEFROST_STEP_W = 300.0  # a step above about this is the defrost heater (memory)


@dataclass(frozen=True)
class RefrigeratorStandard:
    """Federal maximum use as a line in adjusted volume, a AV + b kWh/yr (AV in ft3)."""

    a_kwh_per_ft3: float
    b_kwh: float
    source: str
    provenance: str


_2014 = "2014 federal maximum, standards database"
REFRIGERATOR_STANDARDS: dict[str, RefrigeratorStandard] = {
    "top_freezer": RefrigeratorStandard(8.07, 233.7, _2014, "read"),
    "top_freezer_icemaker": RefrigeratorStandard(8.07, 317.7, _2014, "read"),
    "side_by_side": RefrigeratorStandard(8.51, 297.8, _2014, "read"),
    "bottom_freezer": RefrigeratorStandard(8.85, 317.0, "2014 federal maximum", "memory"),
}
ADJUSTED_VOLUME_FACTOR = {"before_2014": 1.63, "2014": 1.76}


@dataclass(frozen=True)
class MeteredRefrigerator:
    """Yearly use from a short metering; `annual_j` is None when it ran too short."""

    annual_j: float | None
    quality: str  # "too short", "short" (under three hours), "ok"
    remarks: tuple[str, ...]


@guarded
def lamp_annual_j(watts: float, hours_per_day: float, *, count: int = 1) -> float:
    """Yearly use of lamps. [J]"""
    require_not_negative(watts, "lamp power", "W")
    require_within(hours_per_day, 0, 24, "hours a day", "h")
    return watts * count * hours_per_day * 365.0 * 3600.0


@guarded
def metered_refrigerator(
    energy_j: float,
    minutes: float,
    *,
    minimum_minutes: float = METERING_MINIMUM_MIN,
    peak_w: float | None = None,
) -> MeteredRefrigerator:
    """Yearly use from metered energy and minutes; refused below the minimum, never stretched.

    A period with a defrost overstates, one without understates by perhaps 8 % (memory).
    """
    require_not_negative(energy_j, "metered energy", "J")
    require_positive(minutes, "metering time", "min")
    if minutes < minimum_minutes:
        return MeteredRefrigerator(None, "too short", ("below_minimum_minutes",))
    remarks = (
        ()
        if peak_w is None
        else (("defrost_seen",) if peak_w > DEFROST_STEP_W else ("no_defrost_seen",))
    )
    quality = "ok" if minutes >= METERING_BETTER_MIN else "short"
    return MeteredRefrigerator(energy_j * MINUTES_PER_YEAR / minutes, quality, remarks)


@guarded
def adjusted_volume_m3(fresh_m3: float, freezer_m3: float, *, procedure: str = "2014") -> float:
    """Adjusted volume: fresh food plus freezer times 1.63 (before 2014) or 1.76. [m3]"""
    factor = require_known(ADJUSTED_VOLUME_FACTOR, procedure, "test procedure")
    return require_positive(fresh_m3, "fresh-food volume", "m3") + factor * freezer_m3


def refrigerator_standard_j(kind: str, adjusted_m3: float) -> float:
    """Federal maximum yearly use of a new refrigerator. [J]"""
    line = require_known(REFRIGERATOR_STANDARDS, kind, "refrigerator kind")
    volume_ft3 = require_positive(adjusted_m3, "adjusted volume", "m3") / M3_PER_FT3
    return (line.a_kwh_per_ft3 * volume_ft3 + line.b_kwh) * J_PER_KWH


@dataclass(frozen=True)
class ApplianceDefault:
    """Use of an appliance nobody metered, and the share of it that stays as heat inside."""

    electricity_kwh: float
    fuel_kwh: float
    sensible_share: float
    source: str


_PRACTICE = "common practice, no source"
# Defaults for a household of about three; a default is never shown as a measurement.
APPLIANCE_DEFAULTS: dict[str, ApplianceDefault] = {
    "range_electric": ApplianceDefault(450.0, 0.0, 0.40, _PRACTICE),
    "range_gas": ApplianceDefault(30.0, 880.0, 0.40, _PRACTICE),
    "dryer_electric": ApplianceDefault(750.0, 0.0, 0.15, _PRACTICE),
    "dryer_gas": ApplianceDefault(60.0, 880.0, 0.10, _PRACTICE),
    "clothes_washer": ApplianceDefault(70.0, 0.0, 0.80, _PRACTICE),
    "dishwasher": ApplianceDefault(150.0, 0.0, 0.60, _PRACTICE),
    "refrigerator": ApplianceDefault(600.0, 0.0, 1.00, _PRACTICE),
    "freezer": ApplianceDefault(500.0, 0.0, 1.00, _PRACTICE),
    "television": ApplianceDefault(200.0, 0.0, 1.00, _PRACTICE),
    "computer": ApplianceDefault(150.0, 0.0, 1.00, _PRACTICE),
    "dehumidifier": ApplianceDefault(500.0, 0.0, 1.00, _PRACTICE),
}


def appliance_annual_j(appliance: str, *, people: int = 3) -> float:
    """Default yearly electricity of an appliance, scaled half by household size. [J]"""
    if people < 0:
        raise InputError("people must not be below 0")
    entry = require_known(APPLIANCE_DEFAULTS, appliance, "appliance")
    return entry.electricity_kwh * (0.5 + people / 6.0) * J_PER_KWH


def mean_gain_w(annual_j: float, *, sensible_share: float = 1.0) -> float:
    """Mean sensible heat left in the house by a yearly use. [W]"""
    require_within(sensible_share, 0, 1, "sensible share", "(no unit)")
    return annual_j * sensible_share / (HOURS_PER_YEAR * 3600.0)
