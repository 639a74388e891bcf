"""The house of a residential case: one function turns any row of differences into a network.

Total R-values, areas, ratings, gains and schedules as published (read); the split of an assembly
into layers is memory, and keeps the published total. Slab, basement and soil are made by
``calcs.foundations`` and glass by ``glazing.from_ratings``, as for the portal's own houses.
"""

from __future__ import annotations

import numpy as np

from calcs.errors import InputError
from calcs.foundations import foundation_elements
from calcs.glazing import from_ratings
from calcs.inputs import Foundation
from calcs.network import (
    HOURS,
    AirChange,
    FloatArray,
    Layer,
    Network,
    OpaqueElement,
    Overhang,
    Window,
    Zone,
)
from calcs.suites.residential_cases import CASES, Case
from calcs.unit_factors import M_PER_FT
from calcs.weather import WeatherYear

HOUSE, ATTIC = "house", "attic"
M2_PER_FT2 = M_PER_FT**2
R_SI_PER_IP = 0.1761101838
KG_PER_M3_PER_LB_PER_FT3 = 16.01846337
J_PER_KGK_PER_BTU_PER_LBF = 4186.8

AZIMUTH = {"north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0}
GROSS_WALL_FT2 = {"north": 456.0, "south": 456.0, "east": 216.0, "west": 216.0}
DOOR_FT2 = {"north": 20.0, "south": 20.0}
FLOOR_FT2, PERIMETER_FT = 1539.0, 168.0
HOUSE_FT3, ATTIC_FT3 = 12312.0, 3463.0
SLOPE_FT2, GABLE_FT2, PITCH_DEG = 811.1, 60.75, 18.43
INSIDE_WALL_FT2 = 1024.0  # memory
ATTIC_ACH = 2.4

# Films inside and outside that the published totals contain: h·ft²·°F/Btu (0.174: memory).
FILM_WALL, FILM_UP, FILM_FLOOR_OUT, FILM_OUT = 0.685, 0.765, 0.455, 0.174

HEAT_C, COOL_C = 20.0, (78.0 - 32.0) / 1.8  # 68 and 78 °F
GAIN_KWH_PER_DAY = 7302.0 * 0.822 / 365.0  # sensible
GAIN_RADIANT_SHARE = 0.7  # memory
HOUR_SHARES = (
    *(0.0203,) * 5, 0.0339, 0.0426, 0.0852, 0.0497, 0.0304, 0.0304, 0.0406, 0.0304, 0.0254,
    0.0264, 0.0264, 0.0386, 0.0416, 0.0447, 0.0700, 0.0700, 0.0731, 0.0731, 0.0660,
)  # fmt: skip

# Whole units, frame included: U in Btu/h·ft²·°F and SHGC.
WINDOW_RATINGS = {"single": (1.039, 0.67), "low_e": (0.300, 0.335)}
U_SI_PER_IP = 1.0 / R_SI_PER_IP
UNIT_WIDTH_FT, UNIT_HEIGHT_FT, OVERHANG_ABOVE_FT, WALL_WIDTH_FT = 3.0, 5.0, 1.0, 57.0


def _mass(thickness_in: float, r: float, density: float, heat: float) -> Layer:
    """A layer from inches, R, lb/ft³ and Btu/lb·°F in the source's units."""
    capacity = density * KG_PER_M3_PER_LB_PER_FT3 * heat * J_PER_KGK_PER_BTU_PER_LBF
    return Layer(
        resistance_m2k_per_w=r * R_SI_PER_IP,
        heat_capacity_j_per_m2k=capacity * thickness_in * M_PER_FT / 12.0,
    )


GYPSUM = _mass(0.5, 0.45, 50.0, 0.26)
SIDING = _mass(0.5, 0.80, 32.0, 0.28)  # thickness and mass: memory
FIBERBOARD = _mass(0.5, 1.32, 18.0, 0.31)
FOAM_BOARD = Layer.resistance(7.2 * R_SI_PER_IP)
PLYWOOD_FLOOR, CARPET = _mass(0.75, 0.937, 34.0, 0.29), Layer.resistance(2.08 * R_SI_PER_IP)
PLYWOOD_ROOF, SHINGLES = _mass(0.5, 0.62, 34.0, 0.29), _mass(0.25, 0.43, 70.0, 0.30)
# Mean density times heat of a framed cavity, Btu/ft³·°F: lumber 32 lb/ft³, 0.33; batt 0.66, 0.20.
LUMBER, BATT = 32.0 * 0.33, 0.66 * 0.20


def _framed(thickness_in: float, r: float, lumber_share: float, batt: float = BATT) -> Layer:
    """Studs or joists and what is between them as one layer of the published mean R."""
    heat = lumber_share * LUMBER + (1.0 - lumber_share) * batt
    return _mass(thickness_in, r, 1.0, heat)


def _wall(case: Case) -> tuple[Layer, ...]:
    films = FILM_WALL + FILM_OUT
    if case.wall == "insulated":
        core = 23.58 - films - 0.45 - 7.2 - 0.80
        return (GYPSUM, _framed(5.5, core, 0.22), FOAM_BOARD, SIDING)
    total, batt = (11.76, BATT) if case.wall == "base" else (4.84, 0.0)
    core = total - films - 0.45 - 1.32 - 0.80
    return (GYPSUM, _framed(3.5, core, 0.25, batt), FIBERBOARD, SIDING)


def _ceiling(case: Case) -> tuple[Layer, ...]:
    core = case.ceiling_r - 2.0 * FILM_UP - 0.45
    return (GYPSUM, _framed(5.5, core, 0.10))


def _raised_floor(case: Case) -> tuple[Layer, ...]:
    if case.floor == "bare":
        return (CARPET, PLYWOOD_FLOOR)
    core = 14.15 - FILM_UP - FILM_FLOOR_OUT - 2.08 - 0.937
    return (CARPET, PLYWOOD_FLOOR, _framed(5.5, core, 0.13))


def case_network(name: str, weather: WeatherYear) -> Network:
    """The house of a case at a station, whose yearly course the soil needs.

    Raises
    ------
    InputError
        No such case.
    """
    if name not in CASES:
        raise InputError(f"there is no case {name!r}; known: {', '.join(CASES)}")
    case = CASES[name]
    elements = [*_outside_walls(case), *_attic(case), *_bottom(case, weather)]
    elements.append(
        OpaqueElement(
            name="inside walls", component="inside", area_m2=INSIDE_WALL_FT2 * M2_PER_FT2,
            layers=(GYPSUM, _framed(3.5, 1.0, 0.10, 0.0), GYPSUM), zone_in=HOUSE, zone_out=HOUSE,
        )
    )  # fmt: skip
    return Network(
        zones=_zones(case),
        elements=tuple(elements),
        windows=tuple(_windows(case)),
        terrain="open",
    )


def _zones(case: Case) -> tuple[Zone, ...]:
    below_ft3 = FLOOR_FT2 * 7.25 if case.floor.startswith("basement") else 0.0
    # The basement has no infiltration of its own: the house's, over both volumes.
    change = case.air_changes_per_hour * HOUSE_FT3 / (HOUSE_FT3 + below_ft3)
    gain = _gains_w() if case.has_gains else np.zeros(HOURS)
    return (
        Zone(
            name=HOUSE,
            volume_m3=(HOUSE_FT3 + below_ft3) * M_PER_FT**3,
            heating_setpoint_c=HEAT_C,
            cooling_setpoint_c=COOL_C,
            convective_gain_w=(1.0 - GAIN_RADIANT_SHARE) * gain,
            radiant_gain_w=GAIN_RADIANT_SHARE * gain,
            infiltration=AirChange(air_changes_per_hour=change),
        ),
        Zone(
            name=ATTIC,
            volume_m3=ATTIC_FT3 * M_PER_FT**3,
            is_conditioned=False,
            infiltration=AirChange(air_changes_per_hour=ATTIC_ACH),
        ),
    )


def _gains_w() -> FloatArray:
    day = np.array(HOUR_SHARES) / sum(HOUR_SHARES)
    return np.tile(1000.0 * GAIN_KWH_PER_DAY * day, HOURS // 24)


def _outside_walls(case: Case) -> list[OpaqueElement]:
    elements = []
    layers = _wall(case)
    door = (Layer(resistance_m2k_per_w=2.18 * R_SI_PER_IP, heat_capacity_j_per_m2k=20_000.0),)
    for side, gross in GROSS_WALL_FT2.items():
        doors = DOOR_FT2.get(side, 0.0)
        net = gross - doors - case.window_ft2.get(side, 0.0)
        elements.append(_exposed(case, f"wall {side}", "walls", net, layers, HOUSE, side))
        if doors:
            elements.append(_exposed(case, f"door {side}", "doors", doors, door, HOUSE, side))
    return elements


def _exposed(
    case: Case, name: str, component: str, area_ft2: float, layers: tuple[Layer, ...], zone: str,
    side: str, tilt_deg: float = 90.0, height_ft: float = 4.0,
) -> OpaqueElement:  # fmt: skip
    return OpaqueElement(
        name=name,
        component=component,
        area_m2=area_ft2 * M2_PER_FT2,
        layers=layers,
        zone_in=zone,
        azimuth_deg=AZIMUTH[side],
        tilt_deg=tilt_deg,
        solar_absorptance_out=case.absorptance_out,
        height_m=height_ft * M_PER_FT,
    )


def _attic(case: Case) -> list[OpaqueElement]:
    ceiling = OpaqueElement(
        name="ceiling", component="ceiling", area_m2=FLOOR_FT2 * M2_PER_FT2,
        layers=_ceiling(case), zone_in=HOUSE, zone_out=ATTIC, tilt_deg=0.0,
    )  # fmt: skip
    gable = (PLYWOOD_ROOF, _mass(0.5, 0.67, 32.0, 0.28))
    return [
        ceiling,
        *(
            _exposed(case, f"roof {side}", "roof", SLOPE_FT2, (PLYWOOD_ROOF, SHINGLES), ATTIC,
                     side, tilt_deg=PITCH_DEG, height_ft=10.0)
            for side in ("north", "south")
        ),
        *(
            _exposed(case, f"gable {side}", "gables", GABLE_FT2, gable, ATTIC, side,
                     height_ft=9.5)
            for side in ("east", "west")
        ),
    ]  # fmt: skip


def _windows(case: Case) -> list[Window]:
    u, shgc = WINDOW_RATINGS[case.windows]
    overhang = None
    if case.overhang_ft:
        reach = (WALL_WIDTH_FT - UNIT_WIDTH_FT) / 2.0 * M_PER_FT
        overhang = Overhang(
            depth_m=case.overhang_ft * M_PER_FT,
            height_above_m=OVERHANG_ABOVE_FT * M_PER_FT,
            left_m=reach,
            right_m=reach,
        )
    return [
        Window(
            name=f"window {side}",
            zone=HOUSE,
            area_m2=area * M2_PER_FT2,
            glazing=from_ratings(u * U_SI_PER_IP, shgc),
            azimuth_deg=AZIMUTH[side],
            width_m=UNIT_WIDTH_FT * M_PER_FT,
            height_m=UNIT_HEIGHT_FT * M_PER_FT,
            middle_height_m=4.0 * M_PER_FT,
            overhang=overhang,
        )
        for side, area in case.window_ft2.items()
    ]


def _bottom(case: Case, weather: WeatherYear) -> list[OpaqueElement]:
    area, perimeter = FLOOR_FT2 * M2_PER_FT2, PERIMETER_FT * M_PER_FT
    if case.floor.startswith("slab"):
        edge_r = 5.4 * R_SI_PER_IP if case.floor == "slab_edge" else 0.0
        slab = Foundation(
            id="slab", kind="slab", area_m2=area, perimeter_m=perimeter,
            slab_edge_r_m2k_per_w=edge_r,
        )  # fmt: skip
        return foundation_elements(slab, weather, house_zone=HOUSE, below_zone=None)
    if not case.floor.startswith("basement"):
        return [
            OpaqueElement(
                name="floor", component="floor", area_m2=area, layers=_raised_floor(case),
                zone_in=HOUSE, tilt_deg=180.0, is_sheltered=True,
            )
        ]  # fmt: skip
    is_insulated = case.floor == "basement_insulated"
    basement = Foundation(
        id="basement", kind="basement", area_m2=area, perimeter_m=perimeter, is_conditioned=True,
        wall_height_m=7.25 * M_PER_FT, depth_below_grade_m=6.583 * M_PER_FT,
        wall_material="poured_concrete",
        wall_r_m2k_per_w=(10.2 + 0.45) * R_SI_PER_IP if is_insulated else 0.0,
    )  # fmt: skip
    rim_r = (13.14 if is_insulated else 5.01) - FILM_WALL - FILM_OUT
    rims = [
        _exposed(
            case, f"rim {side}", "rim", 126.0 * share, (_mass(1.5, rim_r, 32.0, 0.33),), HOUSE,
            side, height_ft=0.5,
        )
        for side, share in (("north", 57 / 168), ("south", 57 / 168), ("east", 27 / 168),
                            ("west", 27 / 168))
    ]  # fmt: skip
    between = OpaqueElement(
        name="floor between", component="inside", area_m2=area, tilt_deg=180.0,
        layers=(CARPET, PLYWOOD_FLOOR), zone_in=HOUSE, zone_out=HOUSE,
    )  # fmt: skip
    below = foundation_elements(basement, weather, house_zone=HOUSE, below_zone=HOUSE)
    return [*below, *rims, between]
