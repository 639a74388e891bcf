"""Hot-water fixtures, lamps, refrigerators and other appliances."""

from calcs.inputs import Appliances, Geometry, HotWaterUse, LampGroup, Refrigerator
from portal.modeling.translation.reading import Document, Reader

# Watts of one lamp where nobody read it (common practice, no source).
LAMP_W = {"led": 9.0, "cfl": 14.0, "incandescent": 60.0, "halogen": 43.0, "fluorescent_tube": 34.0}
LAMP_HOURS = {"inside": 2.0, "outside": 3.0, "garage": 0.5}
# Metering for less time than this is not used: it may miss or hit a defrost. Source: trade
# protocol of two hours or more (see the refrigerator rows of the checks).
SHORTEST_METERING_S = 120.0 * 60.0
# Loads seen but not metered, steady watts over the reference (common practice, no source).
LOAD_W = {
    "pool": 250.0, "spa": 150.0, "aquarium": 60.0, "sauna": 20.0, "well_pump": 30.0,
    "sump_pump": 10.0, "dehumidifier": 60.0, "space_heaters": 0.0, "medical_equipment": 60.0,
    "electric_vehicle": 0.0,
}  # fmt: skip


def hot_water_use(document: Document, geometry: Geometry) -> HotWaterUse:
    """Fixtures and their flows."""
    section = document.section("hot_water", "hot_water_use")
    return HotWaterUse(
        shower_flow_m3_per_s=section.si("shower_flow", "shower_flow_m3_per_s"),
        shower_heads=section.whole(
            "shower_heads", "shower_heads", default=max(round(geometry.bathrooms), 1)
        ),
        faucet_flow_m3_per_s=section.si("faucet_flow", "faucet_flow_m3_per_s"),
        faucets=section.whole("faucets", "faucets", default=3),
    )


def lamps(document: Document) -> tuple[LampGroup, ...]:
    """Groups of alike lamps."""
    found = []
    for key, _name, item in document.items("lamps", "lamps"):
        kind = item.value("kind", "kind", default="incandescent")
        location = item.value("location", "location", default="inside")
        found.append(
            LampGroup(
                id=key,
                kind=kind,
                count=item.whole("count", "count", default=0),
                power_w=item.si("power_each", "power_w", default=LAMP_W[kind]),
                hours_per_day=item.si(
                    "hours_per_day", "hours_per_day", default=LAMP_HOURS[location]
                ),
                location=location,
            )
        )
    return tuple(found)


def appliances(document: Document) -> Appliances:
    """Refrigerators and the rest."""
    section = document.section("lighting_appliances", "appliances")
    home = document.section("dwelling")
    cooking = section.value("cooking_fuel", "cooking_fuel", default="electricity")
    loads = home.value("loads_present", default=())
    dehumidifier = section.value("dehumidifier", "dehumidifier", default="none")
    # One whose age is on record is an appliance of its own, not a part of the steady load.
    seen = sum(LOAD_W[load] for load in loads if dehumidifier == "none" or load != "dehumidifier")
    return Appliances(
        refrigerators=tuple(
            _refrigerator(key, name, item)
            for key, name, item in document.items("refrigerators", "appliances.refrigerators")
        ),
        cooking_fuel="electricity" if cooking == "none" else cooking,
        dryer_fuel=section.value("dryer_fuel", "dryer_fuel", default="electricity"),
        has_clothes_washer=bool(
            section.value("clothes_washer", "has_clothes_washer", default=True)
        ),
        clothes_washer=section.value("clothes_washer_kind", "clothes_washer", default="unknown"),
        dehumidifier=dehumidifier,
        has_dishwasher=bool(section.value("dishwasher", "has_dishwasher", default=True)),
        extra_plug_w=seen,
    )


def _refrigerator(key: str, name: str, item: Reader) -> Refrigerator:
    metered = None
    if item.si("metered_minutes", default=0.0) >= SHORTEST_METERING_S:
        metered = item.si("metered_kwh_per_year", "energy_j_per_year")
    return Refrigerator(
        id=key,
        name=name,
        energy_j_per_year=metered,
        volume_m3=item.si("volume", "volume_m3", default=0.5),
        year_made=item.whole("year", "year_made"),
        location=item.value("location", "location", default="inside"),
        is_second=bool(item.value("is_second", "is_second", default=False)),
    )
