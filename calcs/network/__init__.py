"""The thermal network of a building: what the hourly heat balance is given.

A network is zones joined by opaque elements, windows and moving air. All quantities are SI; angles
are in degrees; azimuth counts clockwise from north (south is 180); tilt is that of the outside
face of an element seen from its ``zone_in``: 0 for a roof or ceiling (outside face up), 90 for a
wall, 180 for a floor (outside face down).

Schedules are a number, an array of 8760 hour means (hour 0 is midnight to 1 a.m. of January 1,
local standard time) or an array of 35040 quarter-hour means.

Every class checks its own values when it is made and raises ``InputError`` naming the quantity,
the limit and the unit. The objects are frozen; change one with ``dataclasses.replace``.
"""

from calcs.network.air import (
    AirChange,
    AirPath,
    DistributionLoss,
    EnvelopeLeakage,
    Ventilation,
)
from calcs.network.building import Infiltration, Network, Options, Zone
from calcs.network.schedules import HOURS, QUARTERS, FloatArray, Schedule, schedule
from calcs.network.surfaces import (
    ADIABATIC,
    GROUND,
    OUTDOOR,
    Layer,
    OpaqueElement,
    Overhang,
    SideFin,
    Window,
)

__all__ = [
    "ADIABATIC",
    "GROUND",
    "HOURS",
    "OUTDOOR",
    "QUARTERS",
    "AirChange",
    "AirPath",
    "DistributionLoss",
    "EnvelopeLeakage",
    "FloatArray",
    "Infiltration",
    "Layer",
    "Network",
    "OpaqueElement",
    "Options",
    "Overhang",
    "Schedule",
    "SideFin",
    "Ventilation",
    "Window",
    "Zone",
    "schedule",
]
