"""The one door: field-test formulas by name, the house model, and the published checks.

Each field test is a pure function of SI floats that returns a float or a frozen dataclass and
raises InputError for what it is not defined for. The house model runs for seconds and belongs in
a task; field tests may answer in a request.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from calcs import (
    baseload,
    billing,
    combustion,
    combustion_air,
    ducts,
    economics,
    envelope,
    equipment_tables,
    handbook_infiltration,
    leakage,
    lifetimes,
    safety,
    ventilation,
    water_heating,
)
from calcs.analysis import analyse_house, analyse_subset, applicable_measures
from calcs.baseline import evaluate
from calcs.checks import CheckReport, CheckResult, report, run_checks
from calcs.errors import CalcsError, InputError
from calcs.hourly import simulate
from calcs.validation import require_known


@dataclass(frozen=True)
class FieldTest:
    """A formula under the name records and derivations call it by."""

    name: str
    function: Callable[..., Any]

    @property
    def summary(self) -> str:
        """First line of the formula's own description."""
        return (self.function.__doc__ or "").strip().splitlines()[0]


_FUNCTIONS: dict[str, Callable[..., Any]] = {
    # Air
    "blower_door_test": leakage.blower_door_test,
    "leakage_fit": leakage.fit_power_law,
    "zone_position": leakage.zone_position,
    "zone_leakage_ratio": leakage.zone_leakage_ratio,
    "natural_air_changes": handbook_infiltration.natural_air_changes_per_h,
    "basic_infiltration": handbook_infiltration.basic_infiltration_m3_per_s,
    "enhanced_infiltration": handbook_infiltration.enhanced_infiltration,
    "required_fan": ventilation.required_fan,
    "effective_infiltration": ventilation.reduced_infiltration_m3_per_s,
    "exhaust_limit": ventilation.exhaust_limit_m3_per_s,
    # Combustion and safety
    "combustion_efficiency": combustion.combustion_efficiency,
    "co_air_free": combustion.co_air_free,
    "meter_dial_input": combustion.meter_dial_input_w,
    "nozzle_input": combustion.nozzle_input_w,
    "steam_temperature": combustion.steam_temperature_c,
    "room_volume_needed": combustion_air.room_volume_needed_m3,
    "opening_free_area": combustion_air.opening_free_area_m2,
    "draft_verdict": safety.judge_draft,
    "zone_verdict": safety.judge_zone,
    "spillage_verdict": safety.judge_spillage,
    "appliance_co_verdict": safety.judge_appliance_co,
    "ambient_co_verdict": safety.judge_ambient_co,
    "gas_verdict": safety.judge_gas,
    # Envelope
    "attic_insulation": envelope.attic_insulation,
    "combined_resistance": envelope.combined_resistance,
    "infrared_survey": envelope.infrared_survey,
    "bay_difference_means_fault": envelope.bay_difference_means_fault,
    # Equipment, water, base load
    "heating_delivery": ducts.heating_delivery,
    "cooling_delivery": ducts.cooling_delivery,
    "steam_size_ratio": equipment_tables.steam_size_ratio,
    "part_load_efficiency": equipment_tables.part_load_efficiency,
    "degraded_efficiency": lifetimes.degraded_efficiency,
    "leave_until": lifetimes.leave_until,
    "standby_ua": water_heating.standby_ua_w_per_k,
    "mains_temperature": water_heating.mains_temperature_c,
    "metered_refrigerator": baseload.metered_refrigerator,
    # Money and bills
    "savings_to_investment_ratio": economics.savings_to_investment_ratio,
    "net_present_value": economics.net_present_value,
    "simple_payback": economics.simple_payback_years,
    "bill_fit": billing.fit_heating_bills,
}

FIELD_TESTS: dict[str, FieldTest] = {
    name: FieldTest(name, function) for name, function in _FUNCTIONS.items()
}


def field_test(name: str) -> FieldTest:
    """The formula of a name. Raises InputError for an unknown one, with the known names."""
    return require_known(FIELD_TESTS, name, "field test")


__all__ = [
    "FIELD_TESTS",
    "CalcsError",
    "CheckReport",
    "CheckResult",
    "FieldTest",
    "InputError",
    "analyse_house",
    "analyse_subset",
    "applicable_measures",
    "evaluate",
    "field_test",
    "report",
    "run_checks",
    "simulate",
]
