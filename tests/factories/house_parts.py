"""Parts of the reference houses, given in the trade's units, and the demo territory's prices."""

from __future__ import annotations

from calcs.inputs import (
    EnergyPrices,
    LampGroup,
    Site,
    Wall,
    Window,
)
from calcs.unit_factors import (
    J_PER_KWH,
    J_PER_THERM,
    M2_PER_FT2,
    M2K_PER_W_PER_R_IP,
    M3_PER_S_PER_CFM,
    M_PER_FT,
    M_PER_IN,
    W_PER_M2K_PER_U_IP,
)

GREENSBORO = Site(
    latitude_deg=36.1, longitude_deg=-79.95, elevation_m=273.0, terrain="suburban", shelter_class=4
)

# Invented round prices of the demo territory; CO2: 40 CFR 98 Table C-1 for fuels (53.06, 62.87,
# 73.96 kg/MMBtu) and eGRID2022 SRVC output rate 622.987 lb/MWh.
PRICES = EnergyPrices(
    usd_per_j={
        "natural_gas": 1.42 / J_PER_THERM,
        "propane": 2.90 / (0.091 * 10.0 * J_PER_THERM),
        "fuel_oil": 3.90 / (0.138 * 10.0 * J_PER_THERM),
        "electricity": 0.142 / J_PER_KWH,
    },
    co2_kg_per_j={
        "natural_gas": 5.306 / J_PER_THERM,
        "propane": 6.287 / J_PER_THERM,
        "fuel_oil": 7.396 / J_PER_THERM,
        "electricity": 622.987 * 0.45359237 / 1000.0 / J_PER_KWH,
    },
    as_of="2026-03-01",
)


def ft2(value: float) -> float:
    """Square feet in square meters."""
    return value * M2_PER_FT2


def ft(value: float) -> float:
    """Feet in meters."""
    return value * M_PER_FT


def inch(value: float) -> float:
    """Inches in meters."""
    return value * M_PER_IN


def r_ip(value: float) -> float:
    """R in h·ft²·°F/Btu as m²·K/W."""
    return value * M2K_PER_W_PER_R_IP


def u_ip(value: float) -> float:
    """U in Btu/(h·ft²·°F) as W/(m²·K)."""
    return value * W_PER_M2K_PER_U_IP


def cfm(value: float) -> float:
    """Cubic feet per minute in cubic meters per second."""
    return value * M3_PER_S_PER_CFM


def box_walls(
    length_ft: float,
    width_ft: float,
    height_ft: float,
    *,
    window_ft2: float,
    door_ft2: float = 40.0,
    **wall: object,
) -> tuple[Wall, ...]:
    """Four outside walls of a rectangle, net of openings spread by length."""
    perimeter_ft = 2.0 * (length_ft + width_ft)
    openings = (window_ft2 + door_ft2) / (perimeter_ft * height_ft)
    sides = (
        ("north", 0.0, length_ft),
        ("east", 90.0, width_ft),
        ("south", 180.0, length_ft),
        ("west", 270.0, width_ft),
    )
    return tuple(
        Wall(
            id=f"wall-{name}",
            name=f"{name.capitalize()} wall",
            area_m2=ft2(side * height_ft * (1.0 - openings)),
            azimuth_deg=azimuth,
            **wall,  # type: ignore[arg-type]  # passed through to the checked record
        )
        for name, azimuth, side in sides
    )


def four_windows(
    total_ft2: float, *, u: float, shgc: float, long_share: float = 0.32, **window: object
) -> tuple[Window, ...]:
    """Windows on four sides, most on the long ones (north and south)."""
    shares = (
        ("north", 0.0, long_share),
        ("east", 90.0, 0.5 - long_share),
        ("south", 180.0, long_share),
        ("west", 270.0, 0.5 - long_share),
    )
    return tuple(
        Window(
            id=f"window-{name}",
            name=f"{name.capitalize()} windows",
            area_m2=ft2(total_ft2 * share),
            azimuth_deg=azimuth,
            u_w_per_m2k=u_ip(u),
            shgc=shgc,
            **window,  # type: ignore[arg-type]  # passed through to the checked record
        )
        for name, azimuth, share in shares
    )


def usual_lamps(*, incandescent: int, led: int) -> tuple[LampGroup, ...]:
    """Inside lamps of two kinds."""
    groups = (
        LampGroup(id="lamps-old", kind="incandescent", count=incandescent, power_w=60.0),
        LampGroup(id="lamps-led", kind="led", count=led, power_w=9.0),
    )
    return tuple(group for group in groups if group.count)
