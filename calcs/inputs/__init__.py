"""The house as the model sees it: frozen records in SI units.

Every repeated item (attic, wall, window, system ...) has a stable `id`, so that measures, work
lines and findings can point to it, and a human `name`. `House.origins` says where a value came
from: it maps a path such as ``air_leakage.flow50_m3_per_s`` or ``attics.attic-a.layers.0.depth_m``
to an `Origin`; the longest prefix found wins, and a value with no entry is a default.

Azimuths are degrees clockwise from north. R-values are of insulation alone unless the name says
otherwise, areas are net of openings, efficiencies are fractions on the higher heating value.
"""

from __future__ import annotations

from calcs.inputs.envelope import (
    ACCESS_KINDS,
    ATTIC_KINDS,
    CONDITIONS,
    FOUNDATION_KINDS,
    LEAK_PLACES,
    MATERIALS,
    WALL_NEIGHBORS,
    AirLeakage,
    Attic,
    AtticAccess,
    Door,
    Fireplace,
    Foundation,
    Garage,
    InsulationLayer,
    LeakShare,
    RimJoist,
    Wall,
    Window,
)
from calcs.inputs.house import (
    ORIGINS,
    EnergyPrices,
    Geometry,
    House,
    Origin,
    Site,
    house_from_dict,
    house_to_dict,
    swap,
)
from calcs.inputs.repairs import REPAIR_KINDS, Repair
from calcs.inputs.systems import (
    COOLING_KINDS,
    DISTRIBUTIONS,
    FUELS,
    HEATING_KINDS,
    LAMP_KINDS,
    SPACES,
    STEAM_EFFICIENCY_LIMIT,
    VENT_KINDS,
    WATER_HEATER_KINDS,
    Appliances,
    CoolingSystem,
    Ducts,
    Fan,
    HeatingSystem,
    HotWaterUse,
    LampGroup,
    Refrigerator,
    Thermostat,
    WaterHeater,
)

__all__ = [
    "ACCESS_KINDS",
    "ATTIC_KINDS",
    "CONDITIONS",
    "COOLING_KINDS",
    "DISTRIBUTIONS",
    "FOUNDATION_KINDS",
    "FUELS",
    "HEATING_KINDS",
    "LAMP_KINDS",
    "LEAK_PLACES",
    "MATERIALS",
    "ORIGINS",
    "REPAIR_KINDS",
    "SPACES",
    "STEAM_EFFICIENCY_LIMIT",
    "VENT_KINDS",
    "WALL_NEIGHBORS",
    "WATER_HEATER_KINDS",
    "AirLeakage",
    "Appliances",
    "Attic",
    "AtticAccess",
    "CoolingSystem",
    "Door",
    "Ducts",
    "EnergyPrices",
    "Fan",
    "Fireplace",
    "Foundation",
    "Garage",
    "Geometry",
    "HeatingSystem",
    "HotWaterUse",
    "House",
    "InsulationLayer",
    "LampGroup",
    "LeakShare",
    "Origin",
    "Refrigerator",
    "Repair",
    "RimJoist",
    "Site",
    "Thermostat",
    "Wall",
    "WaterHeater",
    "Window",
    "house_from_dict",
    "house_to_dict",
    "swap",
]
