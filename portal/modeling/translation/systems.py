"""Heating, cooling, ducts and water heaters."""

from dataclasses import replace
from typing import Any, TypeVar

from calcs import combustion
from calcs.errors import InputError
from calcs.inputs import CoolingSystem, DuctPart, Ducts, Geometry, HeatingSystem, WaterHeater
from portal.core.units import convert
from portal.modeling.translation.reading import Document, Reader

# One Btu/h of output over one watt of input.
BTU_PER_WH = 3.412142
# Older and newer test procedures for the same unit: HSPF2 is about 0.85 of HSPF for ducted
# units, SEER2 about 0.95 of SEER, EER about 0.88 of SEER (federal conversion factors; memory).
HSPF_OVER_HSPF2 = 1.0 / 0.85
SEER_OVER_SEER2 = 1.0 / 0.95
SEER_OVER_EER = 1.0 / 0.88
VENTS = {
    "atmospheric": "atmospheric",
    "atmospheric_damper": "atmospheric",
    "induced_draft": "induced_draft",
    "power_vented": "power_vented",
    "direct": "direct",
    "unvented": "unvented",
}
# Standing pilot of a furnace or boiler: 800 Btu/h (common practice, no source).
PILOT_W = 234.0
# Below this a supply gauge shows a boiler that has not been running (110 °F; practice).
HOT_SUPPLY_C = 43.0
COMBUSTION_FUEL = {
    "natural_gas": "natural_gas",
    "propane": "propane",
    "fuel_oil": "fuel_oil_2",
}
MODELED_FUELS = ("natural_gas", "propane", "fuel_oil", "electricity")
# Surface of ducts where nobody measured it: shares of the floor area (ANSI/ASHRAE 152 default
# form; memory). The share outside the heated rooms multiplies it.
SUPPLY_AREA_SHARE, RETURN_AREA_SHARE = 0.27, 0.05
OUTSIDE_SHARE = {"all": 1.0, "most": 0.75, "half": 0.5, "few": 0.25, "none": 0.0}
# Leakage to outside at 25 Pa where only the eye judged, share of the system's air flow
# (common practice, no source).
SEEN_LEAK_SHARE = {
    "sealed": 0.04,
    "none_seen": 0.08,
    "some": 0.14,
    "significant": 0.22,
    "catastrophic": 0.35,
}
SUPPLY_SHARE_OF_LEAKS = 0.6
# Air flow where it was not measured: 400 cfm a ton, or 1 cfm per 12 W of heat moved at a rise of
# about 45 K is left to the larger of both (common practice, no source).
CFM_PER_TON = 400.0
W_PER_TON = 3516.85
HEAT_RISE_K = 28.0
AIR_J_PER_M3_K = 1206.0
DEFAULT_R_US = 4.0
System = TypeVar("System", HeatingSystem, CoolingSystem, WaterHeater)


def _whole_shares(systems: list[System]) -> tuple[System, ...]:
    """The same systems with load shares that add to 1, as the model asks."""
    total = sum(item.load_share for item in systems)
    if not systems or abs(total - 1.0) < 1e-9:
        return tuple(systems)
    if total <= 0.0:
        return tuple(replace(item, load_share=1.0 / len(systems)) for item in systems)
    return tuple(replace(item, load_share=item.load_share / total) for item in systems)


def heating(document: Document) -> tuple[HeatingSystem, ...]:
    """Heating systems the model knows the fuel of; wood heat is left out and said so."""
    flue_tests = _flue_tests(document)
    return _whole_shares(
        [
            _heating_system(key, name, item, flue_tests.get(key))
            for key, name, item in document.items("heating_systems", "heating")
            if item.value("fuel", default="natural_gas") in MODELED_FUELS
        ]
    )


def _heating_system(key: str, name: str, item: Reader, steady_state: float | None) -> HeatingSystem:
    more: dict[str, Any] = {}
    for field, target in (
        ("lockout_temp", "lockout_c"),
        ("bare_pipe", "bare_pipe_m"),
    ):
        found = item.si(field, target)
        if found is not None:
            more[target] = found
    if item.value("distribution", default="room") == "hot_water_pipes":
        # What the gauge shows is the hottest water only where nothing lets it follow the
        # weather, and only on a boiler that is hot.
        water = item.si("supply_temp")
        if item.value("outdoor_reset", "has_outdoor_reset", default=False):
            more["has_outdoor_reset"] = True
        elif water is not None and HOT_SUPPLY_C <= water <= 95.0:
            more["supply_design_c"] = float(item.si("supply_temp", "supply_design_c"))
    if item.value("pilot", "pilot_w", default=False):
        more["pilot_w"] = PILOT_W
    backup = item.value("backup_fuel", "backup_fuel", default="none")
    if backup != "none":
        more["backup_fuel"] = backup
    if item.value("service", default="unknown") == "annual":
        more["service"] = "annual"
    more |= _steam(item)
    if steady_state is not None:
        more["steady_state_efficiency"] = steady_state
        item.mark("steady_state_efficiency", "measured", "flue-gas test")
    location = item.value("location", "location", default="conditioned")
    return HeatingSystem(
        id=key,
        name=name,
        kind=item.value("kind", "kind"),
        fuel=item.value("fuel", "fuel"),
        distribution=item.value("distribution", "distribution", default="room"),
        capacity_w=_capacity_w(item),
        efficiency=item.si("afue", "efficiency"),
        seasonal_cop=_heat_pump_cop(item),
        year_installed=item.whole("year", "year_installed"),
        vent=VENTS.get(item.value("vent", "vent", default=""), "none"),
        location=location,
        load_share=item.si("load_share", "load_share", default=1.0),
        pipe_location=location,
        is_condensing=bool(item.value("is_condensing", "is_condensing", default=False)),
        **more,
    )


def _steam(item: Reader) -> dict[str, Any]:
    """Vents and radiators of a steam system; nothing for another."""
    if item.value("distribution") != "steam_pipes":
        return {}
    vents = item.whole("main_vents", "bad_main_vents", default=0)
    working = item.whole("main_vents_working", "bad_main_vents", default=vents)
    found = {
        "bad_main_vents": max(vents - working, 0),
        "bad_radiator_vents": item.whole("bad_vents_traps", "bad_radiator_vents", default=0),
    }
    radiators = item.si("edr", "radiator_area_m2")
    return found if radiators is None else {**found, "radiator_area_m2": radiators}


def _capacity_w(item: Reader) -> float:
    output = item.si("output", "capacity_w")
    if output is not None:
        return float(output)
    burned = item.si("input", "capacity_w")
    if burned is None:
        raise InputError("A heating system has neither input nor output.")
    return float(burned) * item.si("afue", default=0.8)


def _heat_pump_cop(item: Reader) -> float | None:
    if item.value("kind") not in ("heat_pump", "ductless_heat_pump"):
        return None
    hspf = item.si("hspf", "seasonal_cop")
    if hspf is None and "hspf2" in item:
        hspf = item.si("hspf2", "seasonal_cop") * HSPF_OVER_HSPF2
    if hspf is not None:
        return float(hspf) / BTU_PER_WH
    return item.si("cop", "seasonal_cop")


def _flue_tests(document: Document) -> dict[str, float]:
    """Steady-state efficiency by heating system, from today's flue gas where it was taken."""
    found = {}
    for _key, _name, burner in document.items("combustion_appliances"):
        system = burner.value("system")
        efficiency = flue_efficiency(burner)
        if system is not None and efficiency is not None:
            found[str(system)] = efficiency
    return found


def flue_efficiency(burner: Reader) -> float | None:
    """Combustion efficiency of one burner on the higher heating value, if its gas was taken."""
    stack, oxygen = burner.si("stack_temp"), burner.si("o2")
    fuel = burner.value("fuel", default="")
    if stack is not None and oxygen is not None and fuel in COMBUSTION_FUEL:
        result = combustion.combustion_efficiency(
            combustion.fuel_analysis(COMBUSTION_FUEL[fuel]),
            oxygen,
            stack_c=stack,
            combustion_air_c=burner.si("combustion_air_temp", default=20.0),
        )
        return result.efficiency_pct / 100.0
    shown = burner.si("efficiency_shown")
    if shown is not None and burner.value("efficiency_basis", default="gross") == "gross":
        return min(float(shown), 1.0)
    return None


def cooling(document: Document) -> tuple[CoolingSystem, ...]:
    """Cooling systems with a compressor."""
    found = []
    for key, name, item in document.items("cooling_systems", "cooling"):
        kind = item.value("kind", "kind", default="central_air_conditioner")
        if kind == "evaporative_cooler":
            continue
        more = {}
        cop = _cooling_cop(item)
        if cop is not None:
            more["seasonal_cop"] = cop
        found.append(
            CoolingSystem(
                id=key,
                name=name,
                kind=kind,
                distribution=item.value("distribution", "distribution", default="room"),
                capacity_w=item.si("capacity", "capacity_w", default=7000.0),
                year_installed=item.whole("year", "year_installed"),
                load_share=item.si("load_share", "load_share", default=1.0),
                **more,
            )
        )
    return _whole_shares(found)


def _cooling_cop(item: Reader) -> float | None:
    for field, factor in (
        ("seer", 1.0),
        ("seer2", SEER_OVER_SEER2),
        ("eer", SEER_OVER_EER),
        ("ceer", SEER_OVER_EER),
    ):
        rated = item.si(field, "seasonal_cop")
        if rated is not None:
            return float(rated) * factor / BTU_PER_WH
    return item.si("cop", "seasonal_cop")


def ducts(document: Document, geometry: Geometry) -> Ducts | None:
    """The duct system, when a system of the house blows through ducts."""
    blown = [
        item
        for group in ("heating_systems", "cooling_systems")
        for _key, _name, item in document.items(group)
        if item.value("distribution") == "ducts"
    ]
    if not blown:
        return None
    section = document.section("ducts", "ducts")
    runs = document.items("duct_runs", "ducts.runs")
    supply = [item for _key, _name, item in runs if item.value("side") == "supply"]
    returns = [item for _key, _name, item in runs if item.value("side") == "return"]
    share = OUTSIDE_SHARE[section.value("outside_heated_rooms", "outside_share", default="most")]
    fan_flow = section.si("fan_flow", "fan_flow_m3_per_s", default=_default_fan_flow(blown))
    supply_leak, return_leak = _leaks(document, section, supply + returns, fan_flow)
    more = {}
    pressure = section.si("operating_pressure", "operating_pressure_pa")
    if pressure is not None:
        more["operating_pressure_pa"] = pressure
    return Ducts(
        supply_location=_location(supply, default=_location(returns, default="conditioned")),
        return_location=_location(returns, default=_location(supply, default="conditioned")),
        supply_area_m2=_area(supply, SUPPLY_AREA_SHARE * geometry.floor_area_m2),
        return_area_m2=_area(returns, RETURN_AREA_SHARE * geometry.floor_area_m2),
        supply_r_m2k_per_w=_wrap_r(supply, section, "supply_r_m2k_per_w"),
        return_r_m2k_per_w=_wrap_r(returns, section, "return_r_m2k_per_w"),
        supply_leak25_m3_per_s=supply_leak,
        return_leak25_m3_per_s=return_leak,
        fan_flow_m3_per_s=fan_flow,
        outside_share=share,
        supply_parts=_parts(supply),
        return_parts=_parts(returns),
        **more,
    )


def _default_fan_flow(blown: list[Reader]) -> float:
    cooled = max((item.si("capacity", default=0.0) for item in blown), default=0.0)
    heated = max((item.si("output", default=0.0) for item in blown), default=0.0)
    by_cooling = convert(CFM_PER_TON * cooled / W_PER_TON, "cfm", "m3/s")
    by_heating = heated / (HEAT_RISE_K * AIR_J_PER_M3_K)
    return max(by_cooling, by_heating, 0.2)


def _location(runs: list[Reader], *, default: str) -> str:
    # The largest run outside the heated rooms stands for its side; how much of the ducts is
    # outside is another field.
    outside = [item for item in runs if item.value("location", default=default) != "conditioned"]
    largest = max(outside or runs, key=lambda item: item.si("area", default=0.0), default=None)
    return default if largest is None else str(largest.value("location", default=default))


def _parts(runs: list[Reader]) -> tuple[DuctPart, ...]:
    """Spaces the runs outside the heated rooms go through, by their area; none for one space."""
    areas: dict[str, float] = {}
    for run in runs:
        space = run.value("location", default="conditioned")
        if space != "conditioned":
            areas[space] = areas.get(space, 0.0) + run.si("area", default=0.0)
    total = sum(areas.values())
    if len(areas) < 2 or total <= 0.0:
        return ()
    return tuple(DuctPart(space=space, share=area / total) for space, area in areas.items())


def _area(runs: list[Reader], default_m2: float) -> float:
    recorded = [item.si("area") for item in runs]
    known = [area for area in recorded if area is not None]
    return sum(known) if known else default_m2


def _wrap_r(runs: list[Reader], section: Reader, target: str) -> float:
    known = [item.si("insulation_r") for item in runs if "insulation_r" in item]
    if known:
        section.mark(target, "recorded", "wrap of the ducts seen")
        return max(sum(known) / len(known), 0.0)
    return convert(DEFAULT_R_US, "R", "m²K/W")


def _leaks(
    document: Document, section: Reader, runs: list[Reader], fan_flow: float
) -> tuple[float, float]:
    tests = [
        item
        for _key, _name, item in document.items("duct_tests")
        if item.value("leaks_to") == "outside" and "flow" in item
    ]
    if tests:
        supply = returns = 0.0
        for test in tests:
            # Read at another pressure it is scaled to 25 Pa with exponent 0.6 (memory).
            flow = test.si("flow") * (25.0 / test.si("pressure", default=25.0)) ** 0.6
            side = test.value("side", default="both")
            supply += flow * {"both": SUPPLY_SHARE_OF_LEAKS, "supply": 1.0, "return": 0.0}[side]
            returns += (
                flow * {"both": 1 - SUPPLY_SHARE_OF_LEAKS, "supply": 0.0, "return": 1.0}[side]
            )
        for target in ("supply_leak25_m3_per_s", "return_leak25_m3_per_s"):
            section.mark(target, "measured", "duct test to outside")
        return supply, returns
    seen = max(
        (SEEN_LEAK_SHARE[item.value("condition", default="some")] for item in runs),
        default=SEEN_LEAK_SHARE["some"],
    )
    for target in ("supply_leak25_m3_per_s", "return_leak25_m3_per_s"):
        section.mark(target, "default", "judged by eye; not tested")
    total = seen * fan_flow
    return total * SUPPLY_SHARE_OF_LEAKS, total * (1.0 - SUPPLY_SHARE_OF_LEAKS)


def water_heaters(document: Document) -> tuple[WaterHeater, ...]:
    """Every water heater."""
    found = []
    for key, name, item in document.items("water_heaters", "water_heaters"):
        more = {}
        for field, target in (
            ("volume", "volume_m3"),
            ("input", "input_w"),
            ("uef", "uef"),
            ("ef", "ef"),
            ("setpoint", "setpoint_c"),
            ("bare_pipe", "bare_pipe_m"),
            ("space_volume", "room_volume_m3"),
        ):
            value = item.si(field, target)
            if value is not None:
                more[target] = value
        kind = item.value("kind", "kind", default="storage")
        if kind == "instantaneous":
            more["volume_m3"] = 0.0
        found.append(
            WaterHeater(
                id=key,
                name=name,
                kind=kind,
                fuel=item.value("fuel", "fuel", default="electricity"),
                year_installed=item.whole("year", "year_installed"),
                vent=VENTS.get(item.value("vent", "vent", default=""), "none"),
                location=item.value("location", "location", default="conditioned"),
                has_jacket=bool(item.value("tank_wrap", "has_jacket", default=False)),
                load_share=item.si("load_share", "load_share", default=1.0),
                **more,
            )
        )
    return _whole_shares(found)
