"""Heating, cooling, ducts, fans, water heaters, lamps and appliances."""

from django.utils.translation import gettext as _
from lxml import etree

from portal.intake.hpxml.parse import name_of
from portal.intake.hpxml.source import MEASURED, NAMEPLATE, REPORTED, Source
from portal.intake.uploads.reading import ReadItem

HEATING = {
    "Furnace": "furnace",
    "Boiler": "boiler",
    "WallFurnace": "wall_furnace",
    "FloorFurnace": "wall_furnace",
    "ElectricResistance": "electric_resistance",
    "Stove": "stove",
    "Fireplace": "stove",
}
FUELS = {
    "natural gas": "natural_gas",
    "propane": "propane",
    "fuel oil": "fuel_oil",
    "fuel oil 2": "fuel_oil",
    "electricity": "electricity",
    "wood": "wood",
    "wood pellets": "wood",
}
COOLING = {
    "central air conditioner": "central_air_conditioner",
    "room air conditioner": "room_air_conditioner",
    "mini-split": "ductless_heat_pump",
    "evaporative cooler": "evaporative_cooler",
}
VENTS = {
    "atmospheric": "atmospheric",
    "induced draft": "induced_draft",
    "power vented (at unit)": "power_vented",
    "power vented (at exterior)": "power_vented",
    "direct vented": "direct",
    "sealed": "direct",
    "none": "unvented",
}
WATER_HEATERS = {
    "storage water heater": "storage",
    "dedicated boiler with storage tank": "storage",
    "instantaneous water heater": "instantaneous",
    "heat pump water heater": "heat_pump",
    "space-heating boiler with tankless coil": "boiler_coil",
    "space-heating boiler with storage tank": "indirect_tank",
}
CONTROLS = {
    "manual thermostat": "manual",
    "programmable thermostat": "programmable",
    "smart thermostat": "connected",
}
DUCT_MATERIALS = {
    "sheet metal": "sheet_metal",
    "flexible": "flex",
    "duct board": "fiberboard",
}
LEAKS = {
    "connections sealed w mastic": "sealed",
    "no observable leaks": "none_seen",
    "some observable leaks": "some",
    "significant leaks": "significant",
    "catastrophic leaks": "catastrophic",
}
LAMPS = {
    "Incandescent": "incandescent",
    "CompactFluorescent": "cfl",
    "LightEmittingDiode": "led",
    "FluorescentTube": "fluorescent_tube",
    "Halogen": "halogen",
}


def space(text: str) -> str | None:
    """Where something stands, in the sheet's words."""
    head = text.partition(" -")[0]
    if head in ("living space", "conditioned space") or text == "basement - conditioned":
        return "conditioned"
    return {
        "attic": "attic", "crawlspace": "crawlspace", "basement": "basement", "garage": "garage",
        "outside": "outside", "manufactured home belly": "belly",
    }.get(head)  # fmt: skip


def read_plant(source: Source, systems: etree._Element) -> None:
    """Heating, cooling and heat pumps."""
    for path in ("HVAC/HVACPlant/HeatingSystem", "HVAC/HVACPlant/HeatPump"):
        for system in source.all(systems, path):
            _read_heating(source, system)
    for path in ("HVAC/HVACPlant/CoolingSystem", "HVAC/HVACPlant/HeatPump"):
        for system in source.all(systems, path):
            _read_cooling(source, system)
    for control in source.all(systems, "HVAC/HVACControl"):
        where = source.where(control, "")
        kind = CONTROLS.get(source.text(control, "ControlType"))
        source.put_value("heating_cooling", "thermostat", kind, where)
        source.put("dwelling", "heating_setpoint", control, "SetpointTempHeatingSeason",
                   unit="°F", how=REPORTED)  # fmt: skip
        source.put("dwelling", "cooling_setpoint", control, "SetpointTempCoolingSeason",
                   unit="°F", how=REPORTED)  # fmt: skip


def _delivery(source: Source, system: etree._Element) -> str:
    distribution = source.reference(system, "DistributionSystem")
    if distribution is None:
        return "room"
    kind = source.find(distribution, "DistributionSystemType")
    name = name_of(kind[0]) if kind is not None and len(kind) else ""
    if name == "AirDistribution":
        return "ducts"
    if name == "HydronicDistribution":
        inner = source.text(distribution, "DistributionSystemType/HydronicDistribution/"
                            "HydronicDistributionType")  # fmt: skip
        return "steam_pipes" if "steam" in inner else "hot_water_pipes"
    return "room"


def _read_heating(source: Source, system: etree._Element) -> None:
    is_pump = name_of(system) == "HeatPump"
    if is_pump:
        kind_words = source.text(system, "HeatPumpType")
        kind: str | None = "ductless_heat_pump" if kind_words == "mini-split" else "heat_pump"
    else:
        kind = HEATING.get(source.child_name(system, "HeatingSystemType"))
    item = source.add("heating_systems", system, _("Heating system"))
    source.put_item_value(item, "kind", kind, system)
    fuel_path = "HeatPumpFuel" if is_pump else "HeatingSystemFuel"
    _put_fuel(source, item, system, fuel_path)
    source.put_item_value(item, "distribution", _delivery(source, system), system)
    if is_pump:
        backup = FUELS.get(source.text(system, "BackupSystemFuel"), "")
        source.put_item_value(item, "backup_fuel", backup if backup != "wood" else "", system)
    _read_identity(source, item, system)
    source.put_in(item, "output", system, "HeatingCapacity", unit="Btu/h", how=NAMEPLATE)
    source.put_in(item, "load_share", system, "FractionHeatLoadServed", unit="%", scale=100.0)
    _read_vent(source, item, system)
    _read_efficiency(source, item, system, "AnnualHeatingEfficiency",
                     {"AFUE": "afue", "HSPF": "hspf", "HSPF2": "hspf2", "COP": "cop"})  # fmt: skip


def _read_cooling(source: Source, system: etree._Element) -> None:
    is_pump = name_of(system) == "HeatPump"
    if is_pump and source.number(system, "FractionCoolLoadServed") == 0.0:
        return
    kind_words = source.text(system, "CoolingSystemType")
    kind = COOLING.get(kind_words)
    if is_pump:
        is_ductless = source.text(system, "HeatPumpType") == "mini-split"
        kind = "ductless_heat_pump" if is_ductless else "heat_pump"
    fuel = source.text(system, "CoolingSystemFuel")
    if fuel and fuel != "electricity":
        source.not_taken(system, "CoolingSystemFuel", _("Cooling by “%s” is not known.") % fuel)
        return
    item = source.add("cooling_systems", system, _("Cooling system"))
    source.put_item_value(item, "kind", kind, system)
    delivery = _delivery(source, system)
    source.put_item_value(item, "distribution", "ducts" if delivery == "ducts" else "room", system)
    _read_identity(source, item, system)
    source.put_in(item, "capacity", system, "CoolingCapacity", unit="Btu/h", how=NAMEPLATE)
    source.put_in(item, "load_share", system, "FractionCoolLoadServed", unit="%", scale=100.0)
    _read_efficiency(source, item, system, "AnnualCoolingEfficiency",
                     {"SEER": "seer", "SEER2": "seer2", "EER": "eer", "CEER": "ceer",
                      "COP": "cop"})  # fmt: skip


def _put_fuel(source: Source, item: ReadItem, system: etree._Element, path: str) -> None:
    text = source.text(system, path)
    if not text:
        return
    if text in FUELS:
        source.put_item_value(item, "fuel", FUELS[text], system)
    else:
        source.not_taken(system, path, _("The sheet has no fuel “%s”.") % text)


def _read_identity(source: Source, item: ReadItem, system: etree._Element) -> None:
    source.put_item_value(item, "make", source.text(system, "Manufacturer"), system, how=NAMEPLATE)
    source.put_item_value(item, "model", source.text(system, "ModelNumber"), system, how=NAMEPLATE)
    source.put_item_value(item, "serial", source.text(system, "SerialNumber"), system,
                          how=NAMEPLATE)  # fmt: skip
    path = "YearInstalled" if source.find(system, "YearInstalled") is not None else "ModelYear"
    source.put_in(item, "year", system, path)
    where = source.text(system, "UnitLocation") or source.text(system, "Location")
    source.put_item_value(item, "location", space(where), system)


def _read_vent(source: Source, item: ReadItem, system: etree._Element) -> None:
    vent = source.reference(system, "CombustionVentingSystem")
    if vent is not None:
        kind = VENTS.get(source.text(vent, "VentSystemType"))
        source.put_item_value(item, "vent", kind, vent)


def _read_efficiency(
    source: Source,
    item: ReadItem,
    system: etree._Element,
    path: str,
    metrics: dict[str, str],
) -> None:
    """The first efficiency in a unit the sheet has; fractions of AFUE become percent."""
    for entry in source.all(system, path):
        metric = metrics.get(source.text(entry, "Units"))
        value = source.number(entry, "Value")
        if metric is None or value is None:
            source.not_taken(entry, "Units", _("The sheet has no such unit of efficiency."))
            continue
        if "efficiency_metric" in item.values:
            source.not_taken(entry, "Value", _("A second efficiency of the same system."))
            continue
        source.put_item_value(item, "efficiency_metric", metric, entry, how=NAMEPLATE)
        if metric == "afue":
            source.put_in(item, metric, entry, "Value", unit="%", scale=100.0, how=NAMEPLATE)
        else:
            source.put_in(item, metric, entry, "Value", how=NAMEPLATE)


def read_ducts(source: Source, systems: etree._Element) -> None:
    """Duct runs and duct tests of air distribution."""
    path = "HVAC/HVACDistribution/DistributionSystemType/AirDistribution"
    for air in source.all(systems, path):
        for test in source.all(air, "DuctLeakageMeasurement"):
            _read_duct_test(source, test)
        for run in source.all(air, "Ducts"):
            item = source.add("duct_runs", run, _("Ducts"))
            side = source.text(run, "DuctType")
            if side in ("supply", "return"):
                source.put_item_value(item, "side", side, run)
            source.put_in(item, "insulation_r", run, "DuctInsulationRValue", unit="R")
            source.put_item_value(item, "location", space(source.text(run, "DuctLocation")), run)
            source.put_in(item, "area", run, "DuctSurfaceArea", unit="ft²")
            source.put_item_value(
                item, "material", DUCT_MATERIALS.get(source.text(run, "DuctMaterial")), run
            )


def _read_duct_test(source: Source, test: etree._Element) -> None:
    seen = LEAKS.get(source.text(test, "LeakinessObservedVisualInspection"))
    leakage = source.find(test, "DuctLeakage")
    if leakage is None:
        if seen is not None:
            source.not_taken(
                test,
                "LeakinessObservedVisualInspection",
                _("Leaks by eye belong to a duct run, which is not named."),
            )
        return
    if source.text(leakage, "Units") != "CFM25":
        source.not_taken(leakage, "Units", _("Only a flow at 25 Pa can be read as a duct test."))
        return
    item = source.add("duct_tests", test, _("Duct test"))
    side = source.text(test, "DuctType")
    source.put_item_value(item, "method", "duct_fan", test)
    source.put_item_value(item, "side", side if side in ("supply", "return") else "both", test)
    leaks_to = {"to outside": "outside", "total": "total"}.get(
        source.text(leakage, "TotalOrToOutside")
    )
    source.put_item_value(item, "leaks_to", leaks_to, leakage)
    source.put_number(item, "pressure", 25.0, leakage, unit="Pa", how=MEASURED)
    source.put_in(item, "flow", leakage, "Value", unit="cfm", how=MEASURED)


def read_fans(source: Source, systems: etree._Element) -> None:
    """Ventilation fans."""
    for fan in source.all(systems, "MechanicalVentilation/VentilationFans/VentilationFan"):
        item = source.add("fans", fan, _("Fan"))
        kind = {
            "exhaust only": "exhaust", "supply only": "supply",
            "heat recovery ventilator": "hrv", "energy recovery ventilator": "erv",
            "central fan integrated supply": "central_fan",
        }.get(source.text(fan, "FanType"))  # fmt: skip
        source.put_item_value(item, "kind", kind, fan)
        if source.flag(fan, "UsedForWholeBuildingVentilation"):
            purpose: str | None = "whole_house"
        else:
            purpose = {"bath": "bath", "kitchen": "kitchen"}.get(source.text(fan, "FanLocation"))
        source.find(fan, "UsedForLocalVentilation")
        source.put_item_value(item, "purpose", purpose, fan)
        if source.find(fan, "TestedFlowRate") is not None:
            source.put_in(item, "flow", fan, "TestedFlowRate", unit="cfm", how=MEASURED)
            source.find(fan, "RatedFlowRate")
        else:
            source.put_in(item, "flow", fan, "RatedFlowRate", unit="cfm", how=NAMEPLATE)
        source.put_in(item, "hours_per_day", fan, "HoursInOperation", unit="h", how=REPORTED)
        source.put_in(item, "power", fan, "FanPower", unit="W", how=NAMEPLATE)
        source.put_in(item, "recovery", fan, "SensibleRecoveryEfficiency", unit="%", scale=100.0,
                      how=NAMEPLATE)  # fmt: skip


def read_water_heaters(source: Source, systems: etree._Element) -> None:
    """Water heaters."""
    for heater in source.all(systems, "WaterHeating/WaterHeatingSystem"):
        item = source.add("water_heaters", heater, _("Water heater"))
        kind = WATER_HEATERS.get(source.text(heater, "WaterHeaterType"))
        source.put_item_value(item, "kind", kind, heater)
        _put_fuel(source, item, heater, "FuelType")
        _read_identity(source, item, heater)
        source.put_in(item, "volume", heater, "TankVolume", unit="gal", how=NAMEPLATE)
        source.put_in(item, "load_share", heater, "FractionDHWLoadServed", unit="%", scale=100.0)
        source.put_in(item, "input", heater, "HeatingCapacity", unit="Btu/h", how=NAMEPLATE)
        source.put_in(item, "first_hour_rating", heater, "FirstHourRating", unit="gal",
                      how=NAMEPLATE)  # fmt: skip
        for path, metric in (("UniformEnergyFactor", "uef"), ("EnergyFactor", "ef")):
            if source.number(heater, path) is not None and "efficiency_metric" not in item.values:
                source.put_item_value(item, "efficiency_metric", metric, heater, how=NAMEPLATE)
                source.put_in(item, metric, heater, path, how=NAMEPLATE)
        source.put_in(item, "setpoint", heater, "HotWaterTemperature", unit="°F")
        _read_vent(source, item, heater)


def read_lamps_and_appliances(source: Source, details: etree._Element) -> None:
    """Lamps and appliances."""
    for group in source.all(details, "Lighting/LightingGroup"):
        kind = LAMPS.get(source.child_name(group, "LightingType"))
        item = source.add("lamps", group, _("Lamps"))
        source.put_item_value(item, "kind", kind, group)
        place = {"interior": "inside", "exterior": "outside", "garage": "garage"}.get(
            source.text(group, "Location")
        )
        source.put_item_value(item, "location", place, group)
        path = "Count" if source.find(group, "Count") is not None else "NumberofUnits"
        source.put_in(item, "count", group, path)
        source.put_in(item, "power_each", group, "AverageWattage", unit="W", how=NAMEPLATE)
        source.put_in(item, "hours_per_day", group, "AverageHoursPerDay", unit="h", how=REPORTED)
    appliances = source.find(details, "Appliances")
    if appliances is None:
        return
    where = source.where(appliances, "")
    for box in source.all(appliances, "Refrigerator"):
        item = source.add("refrigerators", box, _("Refrigerator"))
        source.put_item_value(item, "kind", "refrigerator", box)
        primary = source.flag(box, "PrimaryIndicator")
        if primary is not None:
            source.put_item_value(item, "is_second", not primary, box)
        path = "YearInstalled" if source.find(box, "YearInstalled") is not None else "ModelYear"
        source.put_in(item, "year", box, path)
    presence = (("ClothesWasher", "clothes_washer"), ("Dishwasher", "dishwasher"))
    for path, field in presence:
        if source.find(appliances, path) is not None:
            source.put_value("lighting_appliances", field, True, where)
    for path, field in (("CookingRange", "cooking_fuel"), ("ClothesDryer", "dryer_fuel")):
        fuel = FUELS.get(source.text(appliances, f"{path}/FuelType"))
        if fuel in ("natural_gas", "propane", "electricity"):
            source.put_value("lighting_appliances", field, fuel, where)
