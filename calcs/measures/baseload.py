"""Thermostat, lamps, refrigerators, clothes washer and dehumidifier."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from typing import Any

from calcs.inputs import House
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure
from calcs.unit_factors import J_PER_KWH

SETBACK_K = 3.0  # about 5 °F
SETBACK_HOURS = 8.0
LED_POWER_SHARE = {"incandescent": 0.15, "halogen": 0.20}
# Use above which a refrigerator is replaced by a program; common practice, no source.
HIGH_REFRIGERATOR_J = 900.0 * J_PER_KWH
NEW_REFRIGERATOR_J = 420.0 * J_PER_KWH


def measures_for(house: House) -> list[Measure]:
    """Controls and baseload measures that apply to this house."""
    return [
        *_thermostat(house),
        *_lamps(house),
        *_refrigerators(house),
        *_clothes_washer(house),
        *_dehumidifier(house),
    ]


def _thermostat(house: House) -> list[Measure]:
    control = house.thermostat
    if control.heating_setback_k >= SETBACK_K:
        return []
    # Recovery from a setback calls the electric backup of a heat pump and undoes the saving.
    if any(item.kind == "heat_pump" for item in house.heating):
        return []
    # One that can turn down by itself needs its hours set, not a new one.
    kind = "thermostat" if control.kind == "manual" else "thermostat_program"
    life = life_of(kind)
    return [
        Measure(
            kind=kind,
            stage="baseload",
            place="controls",
            quantity=1.0,
            unit="each",
            life_years=life.years,
            life_source=life.source,
            apply=_set_back,
            blocked_by=("gas_leak", "unsafe_conditions"),
            areas=("living_space",),
            reason_key="no_setback_at_night"
            if control.kind == "manual"
            else "thermostat_can_turn_down",
            facts={"setback_k": SETBACK_K, "hours_per_day": SETBACK_HOURS},
        )
    ]


def _set_back(house: House) -> House:
    control = house.thermostat
    return replace(
        house,
        thermostat=replace(
            control,
            kind="connected" if control.kind == "manual" else control.kind,
            heating_setback_k=max(SETBACK_K, control.heating_setback_k),
            setback_hours_per_day=max(SETBACK_HOURS, control.setback_hours_per_day),
        ),
    )


def _lamps(house: House) -> list[Measure]:
    groups = [item for item in house.lamps if item.kind in LED_POWER_SHARE and item.count]
    if not groups:
        return []
    life = life_of("led_lamps")
    return [
        Measure(
            kind="led_lamps",
            stage="baseload",
            place="lighting",
            quantity=float(sum(item.count for item in groups)),
            unit="each",
            life_years=life.years,
            life_source=life.source,
            apply=_relamp,
            areas=("living_space",),
            reason_key="lamps_make_heat",
        )
    ]


def _relamp(house: House) -> House:
    lamps = tuple(
        replace(item, kind="led", power_w=item.power_w * LED_POWER_SHARE[item.kind])
        if item.kind in LED_POWER_SHARE
        else item
        for item in house.lamps
    )
    return replace(house, lamps=lamps)


def _refrigerators(house: House) -> list[Measure]:
    found = []
    for item in house.appliances.refrigerators:
        use = item.energy_j_per_year
        if item.is_second:
            found.append(_refrigerator("second_refrigerator_removal", item.id, _remove, use))
        elif use is not None and use > HIGH_REFRIGERATOR_J:
            found.append(_refrigerator("refrigerator_replacement", item.id, _renew, use))
    return found


def _refrigerator(
    kind: str, item_id: str, change: Callable[..., House], use: float | None
) -> Measure:
    life = life_of(kind)
    return Measure(
        kind=kind,
        target_id=item_id,
        stage="baseload",
        place="appliances",
        quantity=1.0,
        unit="each",
        life_years=life.years,
        life_source=life.source,
        apply=partial(change, item_id=item_id),
        areas=("living_space", "garage"),
        reason_key="second_refrigerator" if kind.startswith("second") else "refrigerator_uses_much",
        facts={"energy_before_j": use},
    )


def _remove(house: House, item_id: str) -> House:
    kept = tuple(item for item in house.appliances.refrigerators if item.id != item_id)
    return replace(house, appliances=replace(house.appliances, refrigerators=kept))


def _renew(house: House, item_id: str) -> House:
    renewed = tuple(
        replace(item, energy_j_per_year=NEW_REFRIGERATOR_J) if item.id == item_id else item
        for item in house.appliances.refrigerators
    )
    return replace(house, appliances=replace(house.appliances, refrigerators=renewed))


def _clothes_washer(house: House) -> list[Measure]:
    appliances = house.appliances
    if not appliances.has_clothes_washer or appliances.clothes_washer != "old":
        return []
    return [
        _appliance(
            "clothes_washer_replacement",
            apply=partial(_change_appliances, clothes_washer="efficient"),
            reason_key="washer_uses_much_hot_water",
            facts={"dryer_fuel": appliances.dryer_fuel},
        )
    ]


def _dehumidifier(house: House) -> list[Measure]:
    if house.appliances.dehumidifier != "old":
        return []
    bare = any(
        item.kind.endswith("crawlspace") and item.ground_cover_share < 0.9
        for item in house.foundations
    )
    return [
        _appliance(
            "dehumidifier_replacement",
            apply=partial(_change_appliances, dehumidifier="efficient"),
            # Water that gets in is kept out first; a machine only pumps it out again.
            is_advised=not bare,
            reason_key="dry_the_ground_first" if bare else "dehumidifier_uses_much",
            facts={},
        )
    ]


def _appliance(kind: str, *, is_advised: bool = True, **values: Any) -> Measure:
    life = life_of(kind)
    return Measure(
        kind=kind,
        stage="baseload",
        place="appliances",
        quantity=1.0,
        unit="each",
        life_years=life.years,
        life_source=life.source,
        areas=("living_space", "basement"),
        is_advised=is_advised,
        **values,
    )


def _change_appliances(house: House, **changes: Any) -> House:
    return replace(house, appliances=replace(house.appliances, **changes))
