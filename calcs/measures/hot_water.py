"""Water heaters, their pipes, and the fixtures that draw from them."""

from __future__ import annotations

from dataclasses import replace
from functools import partial
from typing import Any

from calcs.inputs import House, WaterHeater, swap
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure
from calcs.unit_factors import M3_PER_FT3, M3_PER_GAL

GALLONS_PER_MINUTE = M3_PER_GAL / 60.0
LOW_SHOWER_M3_PER_S = 1.75 * GALLONS_PER_MINUTE
LOW_FAUCET_M3_PER_S = 1.2 * GALLONS_PER_MINUTE
WORTH_CHANGING_SHOWER_M3_PER_S = 2.2 * GALLONS_PER_MINUTE
WORTH_CHANGING_FAUCET_M3_PER_S = 1.8 * GALLONS_PER_MINUTE
LEAST_BARE_PIPE_M = 1.0
COVERED_PIPE_LEFT_M = 0.3
# A power-vented storage heater, and a heat-pump heater derated for the room it cools.
GAS_BEST_UEF = 0.70
GAS_MINIMUM_UEF = 0.58
ELECTRIC_MINIMUM_UEF = 0.92
HEAT_PUMP_UEF = 3.3
LEAST_ROOM_M3 = 700.0 * M3_PER_FT3  # guide of the trade (dictionary of the field sheet)
OIL_MINIMUM_UEF = 0.64
# The federal levels of 2004 put foam into the walls of new tanks (memory).
WRAPPED_BY_MAKER_FROM = 2004


def measures_for(house: House, *, year: int) -> list[Measure]:
    """Hot-water measures that apply to this house."""
    found: list[Measure] = []
    for heater in house.water_heaters:
        found += (
            _pipes(heater) + _wrap(heater) + _replacement(heater, year) + _heat_pump(heater, year)
        )
    return found + _fixtures(house)


def with_new_heater(house: House, heater_id: str, *, uef: float, year: int) -> House:
    """The house with one water heater replaced by a new one on the same fuel."""
    heater = next(item for item in house.water_heaters if item.id == heater_id)
    vent = heater.vent
    if heater.fuel in ("natural_gas", "propane") and uef >= GAS_BEST_UEF:
        vent = "power_vented"
    return replace(
        house,
        water_heaters=swap(
            house.water_heaters,
            heater_id,
            uef=uef,
            ef=None,
            recovery_efficiency=None,
            year_installed=year,
            vent=vent,
            has_jacket=False,
        ),
    )


def with_heat_pump_heater(house: House, heater_id: str, *, year: int) -> House:
    """The house with one water heater replaced by a heat-pump water heater."""
    return replace(
        house,
        water_heaters=swap(
            house.water_heaters,
            heater_id,
            kind="heat_pump",
            fuel="electricity",
            uef=HEAT_PUMP_UEF,
            ef=None,
            recovery_efficiency=None,
            input_w=4500.0,
            volume_m3=50.0 * M3_PER_GAL,
            year_installed=year,
            vent="none",
            has_jacket=False,
        ),
    )


def minimum_uef(heater: WaterHeater) -> float:
    """Rating of the least efficient heater that may be sold in place of this one (memory)."""
    if heater.fuel == "electricity":
        return ELECTRIC_MINIMUM_UEF
    return OIL_MINIMUM_UEF if heater.fuel == "fuel_oil" else GAS_MINIMUM_UEF


def best_uef(heater: WaterHeater) -> float:
    """Rating of a good new heater in place of this one."""
    if heater.fuel == "electricity":
        return HEAT_PUMP_UEF
    return minimum_uef(heater) if heater.fuel == "fuel_oil" else GAS_BEST_UEF


def _pipes(heater: WaterHeater) -> list[Measure]:
    if heater.bare_pipe_m < LEAST_BARE_PIPE_M or heater.kind in ("boiler_coil", "indirect_tank"):
        return []
    life = life_of("hot_water_pipe_insulation")
    return [
        Measure(
            kind="hot_water_pipe_insulation",
            target_id=heater.id,
            stage="baseload",
            place="hot_water",
            quantity=heater.bare_pipe_m,
            unit="m",
            life_years=life.years,
            life_source=life.source,
            apply=partial(_cover_pipe, heater_id=heater.id),
            blocked_by=("gas_leak", "unsafe_conditions"),
            areas=("living_space", "basement"),
            reason_key="hot_pipes_are_bare",
        )
    ]


def _cover_pipe(house: House, *, heater_id: str) -> House:
    left = min(
        COVERED_PIPE_LEFT_M,
        next(item.bare_pipe_m for item in house.water_heaters if item.id == heater_id),
    )
    return replace(house, water_heaters=swap(house.water_heaters, heater_id, bare_pipe_m=left))


def _wrap(heater: WaterHeater) -> list[Measure]:
    """A jacket around an old, bare tank; makers of newer ones insulate them and may forbid it."""
    if heater.kind != "storage" or heater.has_jacket:
        return []
    if heater.year_installed is not None and heater.year_installed >= WRAPPED_BY_MAKER_FROM:
        return []
    # With an unknown year the label decides; the specification says so.
    life = life_of("tank_wrap")
    return [
        Measure(
            kind="tank_wrap",
            target_id=heater.id,
            stage="baseload",
            place="hot_water",
            quantity=1.0,
            unit="each",
            life_years=life.years,
            life_source=life.source,
            apply=partial(_put_jacket_on, heater_id=heater.id),
            excludes=("water_heater_replacement", "heat_pump_water_heater"),
            blocked_by=("gas_leak", "carbon_monoxide", "spillage", "weak_draft", "electrical",
                        "unsafe_conditions"),
            areas=("living_space", "basement", "garage"),
            reason_key="tank_is_bare",
            facts={"volume_m3": heater.volume_m3, "fuel": heater.fuel},
        )
    ]  # fmt: skip


def _put_jacket_on(house: House, *, heater_id: str) -> House:
    return replace(house, water_heaters=swap(house.water_heaters, heater_id, has_jacket=True))


def _replacement(heater: WaterHeater, year: int) -> list[Measure]:
    if heater.kind != "storage" or heater.fuel not in ("natural_gas", "propane"):
        return []
    if heater.vent in ("power_vented", "direct") and heater.uef is not None:
        return []
    life = life_of("water_heater_replacement")
    return [
        Measure(
            kind="water_heater_replacement",
            target_id=heater.id,
            stage="equipment",
            place="hot_water",
            quantity=1.0,
            unit="each",
            life_years=life.years,
            life_source=life.source,
            apply=partial(with_new_heater, heater_id=heater.id, uef=GAS_BEST_UEF, year=year),
            excludes=("heat_pump_water_heater", "tank_wrap"),
            blocked_by=("gas_leak", "unsafe_conditions"),
            areas=("living_space", "basement"),
            facts={"uef_after": GAS_BEST_UEF},
        )
    ]


def _heat_pump(heater: WaterHeater, year: int) -> list[Measure]:
    if heater.kind != "storage" or _is_room_too_small(heater):
        return []
    # In place of fuel it is a choice for the end of the old heater, with a circuit to be drawn.
    is_electric = heater.fuel == "electricity"
    life = life_of("heat_pump_water_heater")
    return [
        Measure(
            kind="heat_pump_water_heater",
            target_id=heater.id,
            stage="equipment",
            place="hot_water",
            quantity=1.0,
            unit="each",
            life_years=life.years,
            life_source=life.source,
            apply=partial(with_heat_pump_heater, heater_id=heater.id, year=year),
            excludes=("water_heater_replacement", "tank_wrap"),
            blocked_by=("electrical", "unsafe_conditions"),
            areas=("living_space", "basement"),
            is_advised=is_electric,
            reason_key="" if is_electric else "heat_pump_makes_hot_water_in_place_of_fuel",
            facts={"uef_after": HEAT_PUMP_UEF, "fuel_before": heater.fuel},
        )
    ]


def _is_room_too_small(heater: WaterHeater) -> bool:
    """A heat pump cools a small room until it has nothing left to take."""
    room = heater.room_volume_m3
    return room is not None and room < LEAST_ROOM_M3


def _fixtures(house: House) -> list[Measure]:
    use = house.hot_water_use
    found: list[Measure] = []
    for kind, flow, limit, after, count in (
        (
            "showerheads",
            use.shower_flow_m3_per_s,
            WORTH_CHANGING_SHOWER_M3_PER_S,
            LOW_SHOWER_M3_PER_S,
            use.shower_heads,
        ),
        (
            "aerators",
            use.faucet_flow_m3_per_s,
            WORTH_CHANGING_FAUCET_M3_PER_S,
            LOW_FAUCET_M3_PER_S,
            use.faucets,
        ),
    ):
        if flow is None or flow <= limit or count == 0 or not house.water_heaters:
            continue
        life = life_of(kind)
        name = "shower_flow_m3_per_s" if kind == "showerheads" else "faucet_flow_m3_per_s"
        found.append(
            Measure(
                kind=kind,
                stage="baseload",
                place="hot_water",
                quantity=float(count),
                unit="each",
                life_years=life.years,
                life_source=life.source,
                apply=partial(_lower_flow, name=name, flow=after),
                areas=("living_space",),
                reason_key="fixtures_use_much_water",
                facts={"flow_before_m3_per_s": flow, "flow_after_m3_per_s": after},
            )
        )
    return found


def _lower_flow(house: House, *, name: str, flow: float) -> House:
    present = getattr(house.hot_water_use, name)
    lower = flow if present is None else min(flow, present)
    changes: dict[str, Any] = {name: lower}
    return replace(house, hot_water_use=replace(house.hot_water_use, **changes))
