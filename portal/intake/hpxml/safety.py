"""Combustion tests, moisture, radon: readings, never somebody else's verdicts.

Verdicts in the file are listed and not taken: the portal judges the readings itself.
"""

from django.utils.translation import gettext as _
from lxml import etree

from portal.intake.hpxml.parse import name_of
from portal.intake.hpxml.source import MEASURED, Source
from portal.intake.uploads.reading import Fault, ReadItem

RUNNING = {
    "BathExhaustFan": "bath_fans",
    "KitchenExhaustFan": "kitchen_hood",
    "ClothesDryer": "dryer",
    "AirHandler": "air_handler",
    "CentralVacuum": "central_vacuum",
    "AtticFan": "attic_fan",
}
KINDS = {
    "Furnace": "central_furnace",
    "Boiler": "boiler",
    "FloorFurnace": "floor_furnace",
    "WallFurnace": "built_in_wall_furnace",
    "Stove": "vented_room_heater",
}


def read_safety(source: Source, details: etree._Element) -> None:
    """Everything under health and safety that is a reading."""
    health = source.find(details, "HealthAndSafety")
    if health is None:
        return
    combustion = source.find(health, "CombustionAppliances")
    if combustion is not None:
        _read_ambient(source, combustion)
        for number, zone in enumerate(source.all(combustion, "CombustionApplianceZone"), start=1):
            _read_zone(source, zone, number)
    stove = source.find(health, "StoveTest")
    if stove is not None:
        _read_stove(source, stove)
    radon = source.number(health, "Radon/RadonTest/RadonTestResults")
    if radon is not None:
        test = source.find(health, "Radon/RadonTest")
        assert test is not None, "its result was read"
        where = source.where(test, "RadonTestResults")
        source.put_value("ventilation", "radon_test", "tested", where)
        source.put("ventilation", "radon", test, "RadonTestResults", unit="pCi/L")


def _read_ambient(source: Source, combustion: etree._Element) -> None:
    """One value per audit: up to version 3 it stands in each test, and the highest counts."""
    found = [
        element
        for element in combustion.iter()
        if name_of(element) == "MaxAmbientCOinLivingSpaceDuringAudit"
    ]
    readings: list[tuple[float, etree._Element]] = []
    for element in found:
        parent = element.getparent()
        assert parent is not None, "it is not the root"
        value = source.number(parent, "MaxAmbientCOinLivingSpaceDuringAudit")
        if value is not None:
            readings.append((value, element))
    if not readings:
        return
    value, element = max(readings, key=lambda entry: entry[0])
    parent = element.getparent()
    assert parent is not None, "it is not the root"
    source.put("combustion", "co_living_max", parent, name_of(element), unit="ppm", how=MEASURED)
    if len({reading for reading, _element in readings}) > 1:
        source.reading.about.append(
            _("CO in the rooms stands several times in the file; the highest, %s ppm, was taken.")
            % f"{value:g}"
        )


def _read_zone(source: Source, zone: etree._Element, number: int) -> None:
    item = source.add("combustion_zones", zone, _("Combustion zone %d") % number)
    source.put_in(item, "baseline", zone, "BaselineTest/Pressure", unit="Pa", how=MEASURED)
    source.put_in(item, "worst_case", zone, "PoorCaseTest/Pressure", unit="Pa", how=MEASURED)
    source.put_in(item, "ambient_co", zone, "AmountAmbientCOinCAZduringTesting", unit="ppm",
                  how=MEASURED)  # fmt: skip
    poor = source.find(zone, "PoorCaseTest")
    if poor is not None:
        source.put_item_value(item, "tested", "done", poor)
        running = [
            ours for theirs, ours in RUNNING.items() if source.flag(poor, f"ItemsRunning/{theirs}")
        ]
        source.put_item_value(item, "worst_running", running, poor, how=MEASURED)
        door = {"open": "open", "closed": "closed"}.get(
            source.text(poor, "DoorsOpenClosed/BasementDoors")
        )
        source.put_item_value(item, "basement_door", door, poor)
    baseline = source.number(zone, "BaselineTest/Pressure")
    worst = source.number(zone, "PoorCaseTest/Pressure")
    net = source.number(zone, "NetPressureChange")
    if None not in (baseline, worst, net):
        assert baseline is not None, "checked"
        assert worst is not None, "checked"
        assert net is not None, "checked"
        if abs(worst - baseline - net) > 0.11:
            source.not_taken(
                zone, "NetPressureChange",
                _("It is not the worst case less the baseline; the two readings count."),
            )  # fmt: skip
    for path in ("DepressurizationFindingPoorCase", "CAZDepressurizationLimit"):
        if source.find(zone, path) is not None:
            source.not_taken(
                zone, path, _("Limits and verdicts are not taken over: the readings are judged.")
            )
    for test in source.all(zone, "CombustionApplianceTest"):
        _read_appliance(source, test, item)


def _read_appliance(source: Source, test: etree._Element, zone: ReadItem) -> None:
    system = source.reference(test, "CAZAppliance")
    item = source.add("combustion_appliances", test, _("Burner"))
    item.key = f"combustion_appliances:{zone.key}:{len(source.reading.items)}"[:80]
    source.put_item_value(item, "zone", zone.key, test)
    if system is not None:
        _read_system_of(source, item, system, test)
    source.put_item_value(item, "tested", "done", test)
    _put_scenarios(source, item, test)
    source.put_in(item, "draft_outdoor_temp", test, "OutsideTemperatureFlueDraftTest", unit="°F",
                  how=MEASURED)  # fmt: skip
    source.put_in(item, "stack_temp", test, "StackTemperature", unit="°F", how=MEASURED)
    if source.text(test, "FlueVisualCondition") == "fail":
        source.put_item_value(item, "connector", "poor", test)
    for leak in source.all(test, "FuelLeaks"):
        if source.flag(leak, "LeaksIdentified") and not source.flag(leak, "LeaksAddressed"):
            source.put_item_value(item, "flags", ["gas_leak"], leak)
            source.put_value("combustion", "gas_leaks_present", True, source.where(leak, ""))
            found = source.add("gas_leaks", leak, _("Leak at %s") % item.name)
            found.key = f"gas_leaks:{item.key}"[:80]
            source.put_item_value(found, "repaired", False, leak)


def _read_system_of(
    source: Source, item: ReadItem, system: etree._Element, test: etree._Element
) -> None:
    group = {"HeatingSystem": "heating_systems", "WaterHeatingSystem": "water_heaters",
             "HeatPump": "heating_systems"}.get(name_of(system), "")  # fmt: skip
    known = source.items.get(f"{group}:{source.key(system)}")
    kind = (
        "water_heater"
        if name_of(system) == "WaterHeatingSystem"
        else KINDS.get(source.child_name(system, "HeatingSystemType"))
    )
    source.put_item_value(item, "kind", kind, test)
    if known is None:
        return
    source.put_item_value(item, "system", known.key, test)
    item.name = known.name
    for field in ("fuel", "vent"):
        value = known.values.get(field)
        if value is not None and value.value != "electricity":
            source.put_item_value(item, field, value.value, test)


def _put_scenarios(source: Source, item: ReadItem, test: etree._Element) -> None:
    source.put_in(item, "draft", test, "FlueDraftTest/PoorScenario", unit="Pa", how=MEASURED)
    source.put_in(item, "spillage_worst", test, "SpillageTest/PoorScenario", unit="s",
                  how=MEASURED)  # fmt: skip
    source.put_in(item, "spillage_natural", test, "SpillageTest/CurrentCondition", unit="s",
                  how=MEASURED)  # fmt: skip
    source.put_in(item, "co_measured", test, "CarbonMonoxideTest/PoorScenario", unit="ppm",
                  how=MEASURED)  # fmt: skip
    for path in ("FlueDraftTest", "SpillageTest", "CarbonMonoxideTest"):
        part = source.find(test, path)
        if part is None:
            continue
        if source.text(part, "TestResult") in ("passed", "failed"):
            source.not_taken(
                part, "TestResult", _("Verdicts are not taken over: the reading is judged.")
            )
        if path != "SpillageTest" and source.number(part, "CurrentCondition") is not None:
            source.reading.skipped.append(
                Fault(source.where(part, "CurrentCondition"),
                      _("The worst case counts; this reading under present conditions does not."))
            )  # fmt: skip


def _read_stove(source: Source, stove: etree._Element) -> None:
    reading = source.number(stove, "COReading")
    if reading is None:
        return
    item = source.add("combustion_appliances", stove, _("Range"))
    item.key = "combustion_appliances:stove"
    source.put_item_value(item, "kind", "range_top_burner", stove)
    fuel = {"natural gas": "natural_gas", "propane": "propane"}.get(source.text(stove, "StoveFuel"))
    source.put_item_value(item, "fuel", fuel, stove)
    source.put_item_value(item, "tested", "done", stove)
    source.put_in(item, "co_measured", stove, "COReading", unit="ppm", how=MEASURED)
    if source.flag(stove, "GasLeaksIdentified"):
        source.put_item_value(item, "flags", ["gas_leak"], stove)
