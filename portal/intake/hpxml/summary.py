"""The site, the household and the building as a whole; the blower door; combustion air."""

from django.utils.translation import gettext as _
from lxml import etree

from portal.intake.hpxml.source import MEASURED, REPORTED, Source

EIGHT = (
    "north", "northeast", "east", "southeast", "south", "southwest", "west", "northwest",
)  # fmt: skip
FACILITY = {
    "single-family detached": "detached",
    "single-family attached": "attached",
    "manufactured home": "manufactured",
    "2-4 unit building": "two_to_four",
    "5+ unit building": "apartment",
    "multi-family - uncategorized": "apartment",
    "apartment unit": "apartment",
}
SHIELDING = {"well-shielded": "well_shielded", "normal": "normal", "exposed": "exposed"}


def orientation(azimuth_deg: float) -> str:
    """The nearest of the eight directions; a tie goes clockwise."""
    return EIGHT[int((azimuth_deg % 360.0 + 22.5) // 45.0) % 8]


def read_summary(source: Source, details: etree._Element) -> None:
    """Site, occupancy and construction."""
    summary = source.find(details, "BuildingSummary")
    if summary is None:
        return
    where = source.where(summary, "")
    site = source.find(summary, "Site")
    if site is not None:
        kind = source.text(site, "SiteType")
        if kind in ("rural", "suburban", "urban"):
            source.put_value("visit", "site_type", kind, source.where(site, "SiteType"))
        shielding = SHIELDING.get(source.text(site, "ShieldingofHome"))
        source.put_value("visit", "shielding", shielding, where)
        azimuth = source.number(site, "AzimuthOfFrontOfHome")
        if azimuth is not None:
            source.put_value("visit", "front_orientation", orientation(azimuth), where)
    occupancy = source.find(summary, "BuildingOccupancy")
    if occupancy is not None:
        source.put("dwelling", "residents", occupancy, "NumberofResidents", how=REPORTED)
    construction = source.find(summary, "BuildingConstruction")
    if construction is not None:
        _read_construction(source, construction)


def _read_construction(source: Source, construction: etree._Element) -> None:
    where = source.where(construction, "")
    source.put("dwelling", "year_built", construction, "YearBuilt")
    basis = source.text(construction, "YearBuiltKnownOrEstimated")
    if basis in ("known", "estimated"):
        source.put_value("dwelling", "year_built_basis", basis, where)
    kind = FACILITY.get(source.text(construction, "ResidentialFacilityType"))
    source.put_value("dwelling", "facility_type", kind, where)
    # The number of stories is a whole number there; floors above grade may have halves.
    if source.find(construction, "NumberofConditionedFloorsAboveGrade") is not None:
        source.put("dwelling", "stories", construction, "NumberofConditionedFloorsAboveGrade")
        source.find(construction, "NumberofStoriesAboveGrade")
    else:
        source.put("dwelling", "stories", construction, "NumberofStoriesAboveGrade")
    source.put("dwelling", "ceiling_height", construction, "AverageCeilingHeight", unit="ft")
    source.put("dwelling", "bedrooms", construction, "NumberofBedrooms")
    source.put("dwelling", "bathrooms", construction, "NumberofBathrooms")
    source.put("dwelling", "floor_area", construction, "ConditionedFloorArea", unit="ft²")
    source.put("dwelling", "volume", construction, "ConditionedBuildingVolume", unit="ft³")
    garage = source.flag(construction, "GaragePresent")
    if garage is False:
        source.put_value("dwelling", "garage", "none", where)
    elif garage:
        source.not_taken(
            construction,
            "GaragePresent",
            _("There is a garage; whether it is attached is not said."),
        )


def read_leakage(source: Source, enclosure: etree._Element) -> None:
    """Blower-door measurements; estimates are listed and not taken for tests."""
    for test in source.all(enclosure, "AirInfiltration/AirInfiltrationMeasurement"):
        if source.text(test, "TypeOfInfiltrationMeasurement") == "estimate":
            source.not_taken(
                test, "TypeOfInfiltrationMeasurement", _("An estimate is no blower-door test.")
            )
            continue
        _read_test(source, test)


def _read_test(source: Source, test: etree._Element) -> None:
    leakage = source.find(test, "BuildingAirLeakage")
    if leakage is None:
        return
    unit = source.text(leakage, "UnitofMeasure")
    value = source.number(leakage, "AirLeakage")
    pressure = source.number(test, "HousePressure")
    if unit not in ("CFM", "ACH") or value is None or pressure is None:
        source.not_taken(
            leakage, "UnitofMeasure",
            _("Only a flow or air changes at a house pressure can be read as a test."),
        )  # fmt: skip
        return
    flow, how = value, MEASURED
    if unit == "ACH":
        volume = source.reading.house.get("dwelling.volume")
        if volume is None or volume.si is None:
            source.not_taken(
                leakage, "AirLeakage", _("Air changes without a volume do not give a flow.")
            )
            return
        # The meter showed a flow; it is worked back from the volume of the file.
        flow, how = value * volume.si / 0.3048**3 / 60.0, "document"
    item = source.add("blower_door_tests", test, _("Blower-door test"))
    source.put_item_value(item, "stage", "audit", test)
    source.put_item_value(item, "tested_on", source.text(test, "Date")[:10], test)
    source.put_number(item, "flow", flow, leakage, "AirLeakage", unit="cfm", how=how)
    source.put_number(
        item, "house_pressure", abs(pressure), test, "HousePressure", unit="Pa", how=MEASURED
    )
    source.put_item_value(
        item, "method", "single_point" if abs(pressure) >= 50.0 else "extrapolated", test
    )
    direction = {"depressurization": "depressurize", "pressurization": "pressurize"}.get(
        source.text(test, "TypeOfBlowerDoorTest")
    )
    source.put_item_value(item, "direction", direction, test)
    source.put_in(item, "outdoor_temp", test, "OutsideTemperature", unit="°F", how=MEASURED)
    source.put_value("air_leakage", "blower_door", "done", source.where(test, ""))
    wind = {"normal": "normal", "windy": "windy"}.get(source.text(test, "WindConditions"))
    source.put_value("visit", "wind", wind, source.where(test, ""))
