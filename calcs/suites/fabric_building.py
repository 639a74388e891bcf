"""The building of a thermal fabric case: one function turns any row of differences into a network.

Data of ANSI/ASHRAE Standard 140-2020 as in public encodings of the cases (read) unless marked.
"""

from __future__ import annotations

from typing import Any

import numpy as np

from calcs.errors import InputError
from calcs.glazing import Gap, Glazing, Pane, from_panes
from calcs.network import (
    HOURS,
    QUARTERS,
    AirChange,
    FloatArray,
    Layer,
    Network,
    OpaqueElement,
    Overhang,
    SideFin,
    Ventilation,
    Window,
    Zone,
)
from calcs.suites.fabric_cases import CASES, Case

BACK, SUN = "back", "sun"
WIDTH_M, DEPTH_M, HEIGHT_M = 8.0, 6.0, 2.7
FLOOR_M2, GLASS_M2 = WIDTH_M * DEPTH_M, 12.0
# The cases give air flows at sea level, of which 0.829 count at the station's height, as volumes of
# sea-level air, 1.2255 kg/m³ (read). The network counts volumes at 20 °C and the station's mean
# pressure, 834.6 hPa: 0.992 kg/m³.
STATION_VOLUME = 0.829 * 1.2255 / (83_460.0 / (287.055 * 293.15))
NIGHT_FAN_M3_PER_S = 1700.0 / 3600.0 * STATION_VOLUME  # 650 and 950, from 18:00 to 07:00 (read)

# Conductivity W/mK, thickness m, density kg/m³, specific heat J/kgK, inside to outside (read).
_S = Layer.solid
PLASTER, SIDING = _S(0.012, 0.160, 950.0, 840.0), _S(0.009, 0.140, 530.0, 900.0)
BLOCK = _S(0.100, 0.510, 1400.0, 1000.0)
WALLS = {
    ("light", False): (PLASTER, _S(0.066, 0.040, 12.0, 840.0), SIDING),
    ("light", True): (PLASTER, _S(0.250, 0.040, 10.0, 1400.0), SIDING),
    ("heavy", False): (BLOCK, _S(0.0615, 0.040, 10.0, 1400.0), SIDING),
    ("heavy", True): (BLOCK, _S(0.2452, 0.040, 10.0, 1400.0), SIDING),
}
CEILING_BOARD, DECK = _S(0.010, 0.160, 950.0, 840.0), _S(0.019, 0.140, 530.0, 900.0)
ROOFS = {
    False: (CEILING_BOARD, _S(0.1118, 0.040, 12.0, 840.0), DECK),
    True: (CEILING_BOARD, _S(0.400, 0.040, 12.0, 840.0), DECK),
}
FLOORS = {
    "light": (_S(0.025, 0.140, 650.0, 1200.0), Layer.resistance(1.003 / 0.040)),
    "heavy": (_S(0.080, 1.130, 1400.0, 1000.0), Layer.resistance(1.007 / 0.040)),
}
COMMON_WALL = (_S(0.200, 0.510, 1400.0, 1000.0),)
# An opaque unit with the resistance of the double glazing at 10 °C: its gap, 5.80 W/m²K by
# conduction and radiation, and two panes (in-depth; memory).
CONDUCTIVE_WALL = (Layer.resistance(1.0 / 5.80 + 2.0 * 0.003048 / 1.0),)

CLEAR = Pane(
    transmittance=0.834, reflectance_front=0.075, reflectance_back=0.075, thickness_m=0.003048
)
LOW_E = Pane(
    transmittance=0.452,
    reflectance_front=0.359,
    reflectance_back=0.397,
    emittance_back=0.047,
    thickness_m=0.00318,
)

# Combined surface coefficients of 450 to 470, convection and radiation in one toward the air,
# W/m²K (memory; that they put 28 of the 32 published rows inside supports it).
FIXED_INSIDE = {"walls": 1.8, "roof": 1.7, "floor": 3.7, "windows": 4.5}
FIXED_OUTSIDE = {"walls": 21.6, "roof": 21.8, "floor": 5.2, "windows": 17.8}


def case_network(name: str) -> Network:
    """The building of a case.

    Raises
    ------
    InputError
        No such case.
    """
    if name not in CASES:
        raise InputError(f"there is no case {name!r}; known: {', '.join(CASES)}")
    case = CASES[name]
    if case.has_sun_zone:
        return _sun_zone_network(case)
    fans: tuple[Ventilation, ...] = ()
    if case.schedule == "night_fan":
        hour = np.arange(HOURS) % 24
        flow = np.where((hour >= 18) | (hour < 7), NIGHT_FAN_M3_PER_S, 0.0)
        fans = (Ventilation(zone=BACK, supply_m3_per_s=flow, exhaust_m3_per_s=flow),)
    windows, fillings = _openings(case)
    return Network(
        zones=(_back_zone(case),),
        elements=(*_envelope(case, BACK, DEPTH_M, south_wall=True), *fillings),
        windows=windows,
        ventilation=fans,
        terrain="open",
    )


def _back_zone(case: Case) -> Zone:
    heat, cool = case.heat_c, case.cool_c
    return Zone(
        name=BACK,
        volume_m3=FLOOR_M2 * HEIGHT_M,
        heating_setpoint_c=None
        if case.is_free
        else _setback()
        if case.schedule == "setback"
        else heat,
        cooling_setpoint_c=None
        if case.is_free
        else _day_cooling(cool)
        if case.schedule == "night_fan"
        else cool,
        convective_gain_w=0.4 * case.gain_w,
        radiant_gain_w=0.6 * case.gain_w,
        infiltration=AirChange(air_changes_per_hour=case.air_changes_per_hour * STATION_VOLUME),
    )


def _setback() -> FloatArray:
    """10 °C from 23:00, a straight ramp from 07:00 to 20 °C at 08:00.

    Taken at the end of each quarter-hour, where the air of an implicit step stands.
    """
    clock = (np.arange(QUARTERS) % 96 + 1.0) / 4.0
    ramp = 10.0 + 10.0 * (clock - 7.0)
    return np.where(clock > 23.0, 10.0, np.clip(ramp, 10.0, 20.0))


def _day_cooling(cool_c: float | None) -> FloatArray:
    hour = np.arange(HOURS) % 24
    return np.where((hour >= 7) & (hour < 18), 27.0 if cool_c is None else cool_c, 200.0)


def _envelope(
    case: Case, zone: str, depth_m: float, *, south_wall: bool, north_wall: bool = True
) -> list[OpaqueElement]:
    """Opaque parts of one zone, less the openings."""
    area = {"north": WIDTH_M * HEIGHT_M, "south": WIDTH_M * HEIGHT_M}
    area |= {"east": depth_m * HEIGHT_M, "west": depth_m * HEIGHT_M}
    if case.glass != "none":
        for face in ("south",) if case.faces == "south" else ("east", "west"):
            if not case.has_sun_zone or zone == SUN:
                area[face] -= GLASS_M2 if case.faces == "south" else GLASS_M2 / 2.0
    if not south_wall:
        del area["south"]
    if not north_wall:
        del area["north"]
    azimuth = {"north": 0.0, "east": 90.0, "south": 180.0, "west": 270.0}
    parts = [
        _opaque(
            case, f"{zone} {face}", "walls", value, WALLS[case.mass, case.is_insulated], zone,
            azimuth_deg=azimuth[face], height_m=HEIGHT_M / 2.0,
        )
        for face, value in area.items()
    ]  # fmt: skip
    floor = WIDTH_M * depth_m
    parts.append(
        _opaque(case, f"{zone} roof", "roof", floor, ROOFS[case.is_insulated], zone,
                tilt_deg=0.0, height_m=HEIGHT_M)
    )  # fmt: skip
    parts.append(
        _opaque(case, f"{zone} floor", "floor", floor, FLOORS[case.mass], zone,
                tilt_deg=180.0, is_sheltered=True)
    )  # fmt: skip
    return parts


def _opaque(  # type: ignore[no-untyped-def]  # further fields of OpaqueElement by name
    case: Case, name: str, component: str, area_m2: float, layers: tuple[Layer, ...], zone: str,
    **fields,
) -> OpaqueElement:  # fmt: skip
    return OpaqueElement(
        name=name,
        component=component,
        area_m2=area_m2,
        layers=layers,
        zone_in=zone,
        solar_absorptance_in=case.absorptance_in,
        solar_absorptance_out=case.absorptance_out,
        emittance_in=case.emittance_in,
        emittance_out=case.emittance_out,
        **_fixed_films(case, component),
        **fields,
    )


def _fixed_films(case: Case, component: str) -> dict[str, Any]:
    films: dict[str, Any] = {}
    if case.fixed_films in ("inside", "both"):
        films["film_in_w_per_m2k"] = FIXED_INSIDE[component]
    if case.fixed_films in ("outside", "both"):
        films["film_out_w_per_m2k"] = FIXED_OUTSIDE[component]
    return films


def _openings(case: Case) -> tuple[tuple[Window, ...], tuple[OpaqueElement, ...]]:
    faces = {"south": 180.0} if case.faces == "south" else {"east": 90.0, "west": 270.0}
    area = GLASS_M2 / len(faces)
    if case.glass == "none":
        return (), ()
    if case.glass == "conductive":
        return (), tuple(
            _opaque(case, f"conductive {face}", "windows", area, CONDUCTIVE_WALL, BACK,
                    azimuth_deg=azimuth, is_smooth=True, height_m=1.2)
            for face, azimuth in faces.items()
        )  # fmt: skip
    zone = SUN if case.has_sun_zone else BACK
    return tuple(
        window for face, azimuth in faces.items() for window in _windows(case, zone, face, azimuth)
    ), ()


def _windows(case: Case, zone: str, face: str, azimuth_deg: float) -> list[Window]:
    """Panes 3 m wide and 2 m high: two on the south, 1 m apart, or one on the east or west."""
    overhang, fins = None, None
    # Free ends left and right of each pane under an overhang as wide as the wall (memory).
    ends = [(0.5, 4.5), (4.5, 0.5)] if case.faces == "south" else [(0.0, 0.0)]
    windows = []
    for number, (left, right) in enumerate(ends):
        if case.shade:
            overhang = Overhang(depth_m=1.0, height_above_m=0.5, left_m=left, right_m=right)
        if case.shade == "overhang_and_fins":
            fins = SideFin(depth_m=1.0, above_m=0.5, below_m=0.2)
        windows.append(
            Window(
                name=f"glass {face} {number}",
                zone=zone,
                area_m2=6.0,
                glazing=_glazing(case.glass),
                azimuth_deg=azimuth_deg,
                width_m=3.0,
                height_m=2.0,
                middle_height_m=1.2,
                overhang=overhang,
                fins=fins,
                **_fixed_films(case, "windows"),
            )
        )
    return windows


def _glazing(glass: str) -> Glazing:
    if glass == "single":
        return from_panes((CLEAR,))
    if glass == "low_e":
        return from_panes((LOW_E, CLEAR), (Gap(width_m=0.012, gas="argon"),))
    return from_panes((CLEAR, CLEAR), (Gap(width_m=0.012),))


def _sun_zone_network(case: Case) -> Network:
    """Case 960: a light back zone behind a heavy, glazed sun zone."""
    heavy = Case(mass="heavy", has_sun_zone=True)
    common = _opaque(
        case, "common wall", "walls", WIDTH_M * HEIGHT_M, COMMON_WALL, BACK, zone_out=SUN
    )
    sun = Zone(
        name=SUN,
        volume_m3=WIDTH_M * 2.0 * HEIGHT_M,
        is_conditioned=False,
        infiltration=AirChange(air_changes_per_hour=0.5 * STATION_VOLUME),
    )
    return Network(
        zones=(_back_zone(case), sun),
        elements=(
            *_envelope(case, BACK, DEPTH_M, south_wall=False),
            *_envelope(heavy, SUN, 2.0, south_wall=True, north_wall=False),
            common,
        ),
        windows=_openings(heavy)[0],
        terrain="open",
    )
