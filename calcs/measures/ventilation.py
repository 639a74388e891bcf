"""The fan a house needs once it is tight, fans its baths lack, and ducts that end in the attic."""

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
# Local exhaust of a bath, on demand (ASHRAE 62.2, 50 cfm; read in secondary texts), and how long it
# runs (common practice, no source).
BATH_FAN_M3_PER_S = 50.0 * M3_PER_S_PER_CFM
BATH_FAN_HOURS = 1.0
ENDS_INSIDE = ("attic", "soffit", "crawlspace")
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


def measures_for(house: House) -> list[Measure]:
    """Bath fans that are missing, and fans whose duct ends inside the building."""
    return [*_bath_fans(house), *_ducting(house)]


def _bath_fans(house: House) -> list[Measure]:
    missing = house.geometry.full_baths_without_fan
    if not missing:
        return []
    life = life_of("bath_fan")
    return [
        Measure(
            kind="bath_fan",
            stage="ventilation",
            place="ventilation",
            quantity=float(missing),
            unit="each",
            life_years=life.years,
            life_source=life.source,
            apply=_add_bath_fans,
            blocked_by=("gas_leak", "electrical", "spillage", "carbon_monoxide", "weak_draft",
                        "depressurization", "vermiculite", "unsafe_conditions"),
            areas=("living_space", "attic", "roof"),
            is_advised=False,
            reason_key="bath_has_no_fan",
            facts={"flow_m3_per_s": BATH_FAN_M3_PER_S, "baths": missing},
        )
    ]  # fmt: skip


def _add_bath_fans(house: House) -> House:
    missing = house.geometry.full_baths_without_fan
    if not missing:
        return house
    fans = tuple(
        Fan(
            id=f"new-bath-fan-{number}",
            kind="exhaust",
            purpose="bath",
            flow_m3_per_s=BATH_FAN_M3_PER_S,
            hours_per_day=BATH_FAN_HOURS,
            power_w=BATH_FAN_M3_PER_S * FAN_W_PER_M3_S,
        )
        for number in range(1, missing + 1)
    )
    return replace(
        house,
        fans=(*house.fans, *fans),
        geometry=replace(house.geometry, full_baths_without_fan=0),
    )


def _ends_inside(fan: Fan) -> bool:
    return fan.vented_to in ENDS_INSIDE and fan.purpose in ("bath", "kitchen")


def _ducting(house: House) -> list[Measure]:
    wrong = [fan for fan in house.fans if _ends_inside(fan)]
    if not wrong:
        return []
    life = life_of("bath_fan_ducting")
    return [
        Measure(
            kind="bath_fan_ducting",
            stage="safety",
            place="ventilation",
            quantity=float(len(wrong)),
            unit="each",
            life_years=life.years,
            life_source=life.source,
            apply=_take_outside,
            blocked_by=("gas_leak", "vermiculite", "friable_asbestos", "structural",
                        "unsafe_conditions"),
            areas=("attic", "roof", "crawlspace"),
            reason_key="fan_ends_inside",
            facts={"fan_ids": [fan.id for fan in wrong], "alone_reason_key": "for_dryness_of_roof"},
        )
    ]  # fmt: skip


def _take_outside(house: House) -> House:
    fans = tuple(
        replace(fan, vented_to="outside") if _ends_inside(fan) else fan for fan in house.fans
    )
    return replace(house, fans=fans)
