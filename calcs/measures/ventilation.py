"""The fan a house needs once it is tight."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from calcs.inputs import Fan, House
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure
from calcs.unit_factors import M3_PER_S_PER_CFM
from calcs.ventilation import required_fan

FAN_ID = "new-exhaust-fan"
FAN_W_PER_M3_S = 0.25 / M3_PER_S_PER_CFM  # 0.25 W per cfm, a good bath fan (memory)
# Need at or under this is met by opening windows in some editions (memory); kept as worth a fan.
LEAST_FAN_M3_PER_S = 15.0 * M3_PER_S_PER_CFM


def fan_needed_m3_per_s(house: House, infiltration_m3_per_s: float) -> float:
    """Continuous flow the house lacks, after infiltration and the fans it has. [m³/s]

    Reference: ASHRAE 62.2-2016 with infiltration credit for existing homes; the infiltration is
    the model's yearly mean for this house and weather.
    """
    need = required_fan(
        floor_area_m2=house.geometry.floor_area_m2,
        bedrooms=max(house.geometry.bedrooms, 1),
        infiltration_m3_per_s=infiltration_m3_per_s,
    )
    present = sum(
        fan.flow_m3_per_s * fan.hours_per_day / 24.0
        for fan in house.fans
        if fan.purpose == "whole_house"
    )
    return max(need.fan_m3_per_s - present, 0.0)


def measure_for(house: House, infiltration_m3_per_s: float) -> Measure | None:
    """A continuous exhaust fan, when the tightened house needs one."""
    flow = fan_needed_m3_per_s(house, infiltration_m3_per_s)
    if flow <= LEAST_FAN_M3_PER_S:
        return None
    life = life_of("exhaust_fan")
    return Measure(
        kind="exhaust_fan",
        stage="ventilation",
        place="ventilation",
        quantity=1.0,
        unit="each",
        life_years=life.years,
        life_source=life.source,
        apply=partial(_add_fan, flow=flow),
        is_required=True,
        blocked_by=("gas_leak", "electrical", "unsafe_conditions"),
        areas=("living_space", "attic"),
        reason_key="tight_house_needs_fresh_air",
        facts={"flow_m3_per_s": flow},
    )


def _add_fan(house: House, *, flow: float) -> House:
    kept = tuple(fan for fan in house.fans if fan.id != FAN_ID)
    fan = Fan(
        id=FAN_ID,
        kind="exhaust",
        purpose="whole_house",
        flow_m3_per_s=flow,
        hours_per_day=24.0,
        power_w=flow * FAN_W_PER_M3_S,
    )
    return replace(house, fans=(*kept, fan))
