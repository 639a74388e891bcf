"""The whole house."""

from collections.abc import Mapping
from typing import Any

from calcs.errors import InputError
from calcs.inputs import Geometry, House, Site, Thermostat
from portal.modeling.translation import air, baseload, envelope, openings, systems
from portal.modeling.translation.reading import Document, Reader

AZIMUTH_DEG = {
    "north": 0.0,
    "northeast": 45.0,
    "east": 90.0,
    "southeast": 135.0,
    "south": 180.0,
    "southwest": 225.0,
    "west": 270.0,
    "northwest": 315.0,
}
TERRAIN = {"rural": "open", "suburban": "suburban", "urban": "urban"}
# Shelter classes of the ASHRAE handbook's infiltration chapter (memory): 2 isolated rural,
# 3 buildings across the street, 4 near neighbors, 5 dense.
SHELTER_CLASS = {"exposed": 2, "normal": 4, "well_shielded": 5}
RURAL_NORMAL_SHELTER = 3
DWELLING_KIND = {
    "detached": "detached",
    "attached": "attached",
    "two_to_four": "attached",
    "apartment": "attached",
    "manufactured": "manufactured",
}


def house_from_document(
    content: Mapping[str, Any],
    *,
    latitude_deg: float,
    longitude_deg: float,
    elevation_m: float,
    name: str = "",
) -> House:
    """The house a record describes, at a place.

    Raises
    ------
    calcs.errors.InputError
        A value the model cannot take, or something it cannot do without is missing.
    """
    document = Document(content)
    visit = document.section("visit", "site")
    geometry = _geometry(document)
    return House(
        name=name,
        site=Site(
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            elevation_m=elevation_m,
            terrain=TERRAIN[visit.value("site_type", "terrain", default="suburban")],
            shelter_class=_shelter_class(visit),
        ),
        geometry=geometry,
        attics=envelope.attics(document),
        walls=envelope.walls(document),
        windows=openings.windows(document),
        doors=openings.doors(document),
        foundations=envelope.foundations(document),
        garage=envelope.garage(document),
        air_leakage=air.air_leakage(document, geometry),
        fans=air.fans(document),
        heating=systems.heating(document),
        cooling=systems.cooling(document),
        ducts=systems.ducts(document, geometry),
        thermostat=_thermostat(document),
        water_heaters=systems.water_heaters(document),
        hot_water_use=baseload.hot_water_use(document, geometry),
        lamps=baseload.lamps(document),
        appliances=baseload.appliances(document),
        origins=document.origins,
    )


def _shelter_class(visit: Reader) -> int:
    shielding = visit.value("shielding", "shelter_class", default="normal")
    if shielding == "normal" and visit.value("site_type") == "rural":
        return RURAL_NORMAL_SHELTER
    return SHELTER_CLASS[shielding]


def _geometry(document: Document) -> Geometry:
    home = document.section("dwelling", "geometry")
    visit = document.section("visit", "geometry")
    floor_area = home.si("floor_area", "floor_area_m2")
    if floor_area is None:
        raise InputError("The record has no heated floor area.")
    stories = home.number("stories", "stories", default=1.0)
    ceiling = home.si("ceiling_height", "ceiling_height_m", default=2.44)
    volume = home.si("volume")
    if volume is not None:
        ceiling = volume / floor_area
        home.mark("ceiling_height_m", "recorded", "volume over floor area")
    bedrooms = home.whole("bedrooms", "bedrooms", default=3)
    footprint = floor_area / max(stories, 1.0)
    length = home.si("footprint_length", "footprint_length_m", default=(footprint * 1.5) ** 0.5)
    return Geometry(
        floor_area_m2=floor_area,
        ceiling_height_m=ceiling,
        stories=stories,
        stack_height_m=home.si("boundary_height", "stack_height_m"),
        footprint_length_m=length,
        footprint_width_m=home.si(
            "footprint_width", "footprint_width_m", default=footprint / length
        ),
        front_azimuth_deg=AZIMUTH_DEG[
            visit.value("front_orientation", "front_azimuth_deg", default="south")
        ],
        bedrooms=bedrooms,
        bathrooms=home.number("bathrooms", "bathrooms", default=1.0),
        occupants=home.number("residents", "occupants", default=bedrooms + 1.0),
        year_built=home.whole("year_built", "year_built"),
        dwelling_kind=DWELLING_KIND[
            home.value("facility_type", "dwelling_kind", default="detached")
        ],
        full_baths_without_fan=document.section("ventilation", "geometry").whole(
            "full_baths_without_fan", "full_baths_without_fan", default=0
        ),
        thermal_mass=home.value("interior_mass", "thermal_mass", default="light"),
    )


def _thermostat(document: Document) -> Thermostat:
    home = document.section("dwelling", "thermostat")
    control = document.section("heating_cooling", "thermostat")
    setback = home.si("heating_setback", "heating_setback_k", default=0.0)
    setup = home.si("cooling_setup", "cooling_setup_k", default=0.0)
    # A turn-down without its hours is a night's.
    hours = home.si("setback_hours", "setback_hours_per_day", default=8.0 if setback else 0.0)
    return Thermostat(
        heating_c=home.si("heating_setpoint", "heating_c", default=20.0),
        cooling_c=home.si("cooling_setpoint", "cooling_c", default=25.0),
        heating_setback_k=setback,
        cooling_setup_k=setup,
        setback_hours_per_day=min(hours, 20.0),
        kind=control.value("thermostat", "kind", default="manual"),
    )
