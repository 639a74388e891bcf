"""Public test suites as inputs: the thermal fabric cases of ANSI/ASHRAE Standard 140-2020.

A case is a row of differences from the base; one function turns any row into a network, and the
same ``Options`` run them all. Building data are carried over from public encodings of the cases
and from notes on the 2020 edition (read), the in-depth cases from memory; expected ranges are the
spread of the published example results and no proof of truth. Nothing in the model is fitted to
them.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from calcs.errors import InputError
from calcs.glazing import Gap, Glazing, Pane, from_panes
from calcs.hourly import HourlyResult, simulate
from calcs.network import (
    HOURS,
    QUARTERS,
    AirChange,
    Layer,
    Network,
    OpaqueElement,
    Options,
    Overhang,
    SideFin,
    Ventilation,
    Window,
    Zone,
)
from calcs.weather import WeatherYear

FloatArray = NDArray[np.float64]

RANGES = Path(__file__).parent / "data" / "thermal_fabric_2020.json"
WEATHER_FILE = "725650-tmy3.csv.gz"  # Denver International Airport, TMY3 725650 (read)

BACK, SUN = "back", "sun"
WIDTH_M, DEPTH_M, HEIGHT_M = 8.0, 6.0, 2.7
FLOOR_M2, GLASS_M2 = WIDTH_M * DEPTH_M, 12.0
NIGHT_FAN_M3_PER_S = 1700.0 / 3600.0  # 650 and 950, from 18:00 to 07:00 (read)

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
# An opaque unit with the resistance of the double glazing's gap near 10 °C (in-depth; memory).
CONDUCTIVE_WALL = (Layer.resistance(0.173),)

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


@dataclass(frozen=True, kw_only=True)
class Case:
    """Differences of one case from case 600."""

    mass: str = "light"
    is_insulated: bool = False
    glass: str = "clear"  # clear, low_e, single, conductive (opaque), none (plain wall)
    faces: str = "south"  # or east_west
    shade: str = ""  # or overhang, overhang_and_fins
    heat_c: float | None = 20.0
    cool_c: float | None = 27.0
    schedule: str = ""  # or setback, night_fan
    is_free: bool = False
    air_changes_per_hour: float = 0.5
    gain_w: float = 200.0
    absorptance_out: float = 0.6
    absorptance_in: float = 0.6
    emittance_out: float = 0.9
    emittance_in: float = 0.9
    has_sun_zone: bool = False


def _both(changes: dict[str, object]) -> tuple[Case, Case]:
    light = Case(**changes)  # type: ignore[arg-type]  # field values by name
    heavy = Case(**{"mass": "heavy", **changes})  # type: ignore[arg-type]  # as above
    return light, heavy


def _indepth(**changes: object) -> Case:
    base: dict[str, object] = {
        "glass": "conductive", "absorptance_out": 0.1, "air_changes_per_hour": 0.0,
        "gain_w": 0.0, "cool_c": 20.0,
    }  # fmt: skip
    return Case(**{**base, **changes})  # type: ignore[arg-type]  # field values by name


_PAIRS: dict[str, dict[str, object]] = {
    "00": {},
    "10": {"shade": "overhang"},
    "20": {"faces": "east_west"},
    "30": {"faces": "east_west", "shade": "overhang_and_fins"},
    "40": {"schedule": "setback"},
    "50": {"schedule": "night_fan", "heat_c": None},
    "60": {"glass": "low_e"},
    "70": {"glass": "single"},
    "80": {"is_insulated": True},
    "85": {"cool_c": 20.0},
    "95": {"is_insulated": True, "cool_c": 20.0},
    "00FF": {"is_free": True},
    "50FF": {"schedule": "night_fan", "is_free": True},
    "80FF": {"is_insulated": True, "is_free": True},
}

CASES: dict[str, Case] = {
    **{f"6{tail}": _both(changes)[0] for tail, changes in _PAIRS.items()},
    **{
        f"9{tail}": _both(changes)[1]
        for tail, changes in _PAIRS.items()
        if tail not in ("60", "70")
    },
    "960": Case(has_sun_zone=True),
    "195": _indepth(glass="none", emittance_out=0.1, emittance_in=0.1),
    "200": _indepth(emittance_out=0.1, emittance_in=0.1),
    "210": _indepth(emittance_in=0.1),
    "215": _indepth(emittance_out=0.1),
    "220": _indepth(),
    "230": _indepth(air_changes_per_hour=1.0),
    "240": _indepth(gain_w=200.0),
    "250": _indepth(absorptance_out=0.9),
    "270": _indepth(glass="clear", absorptance_in=0.9),
    "280": _indepth(glass="clear", absorptance_in=0.1),
    "290": _indepth(glass="clear", absorptance_in=0.9, shade="overhang"),
    "300": _indepth(glass="clear", absorptance_in=0.9, faces="east_west"),
    "310": _indepth(
        glass="clear", absorptance_in=0.9, faces="east_west", shade="overhang_and_fins"
    ),
    "320": _indepth(glass="clear", absorptance_in=0.9, cool_c=27.0),
    "395": _indepth(glass="none", cool_c=27.0),
    "400": _indepth(cool_c=27.0),
    "410": _indepth(cool_c=27.0, air_changes_per_hour=0.5),
    "420": _indepth(cool_c=27.0, air_changes_per_hour=0.5, gain_w=200.0),
    "430": Case(glass="conductive"),
    "440": Case(absorptance_in=0.1),
    "800": Case(glass="conductive", mass="heavy"),
    "810": Case(absorptance_in=0.1, mass="heavy"),
}


@dataclass(frozen=True, kw_only=True)
class Row:
    """One published range beside what the model gives."""

    case: str
    quantity: str
    got: float
    low: float
    high: float

    @property
    def is_inside(self) -> bool:
        """Whether the result lies in the range, ends included."""
        return self.low <= self.got <= self.high


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
        infiltration=AirChange(air_changes_per_hour=case.air_changes_per_hour),
    )


def _setback() -> FloatArray:
    """10 °C from 23:00, a straight ramp from 07:00 to 20 °C at 08:00, in quarter-hour means."""
    clock = (np.arange(QUARTERS) % 96 + 0.5) / 4.0
    ramp = 10.0 + 10.0 * (clock - 7.0)
    return np.where(clock >= 23.0, 10.0, np.clip(ramp, 10.0, 20.0))


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
        **fields,
    )


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
        infiltration=AirChange(air_changes_per_hour=0.5),
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


@cache
def published_ranges() -> tuple[dict[str, object], ...]:
    """Rows of the published ranges: case, quantity, low, high, table, provenance."""
    return tuple(json.loads(RANGES.read_text(encoding="utf-8"))["ranges"])


def run_suite(
    weather: WeatherYear, names: Iterable[str] | None = None, options: Options | None = None
) -> list[Row]:
    """Run cases and set every published range that they meet beside the result.

    Parameters
    ----------
    weather : WeatherYear
        Of the suite's station, see WEATHER_FILE.
    names : iterable of str or None
        Cases; None for all.
    options : Options or None
        One set for all cases.

    Returns
    -------
    list of Row
        Annual loads, peaks, free-floating temperatures, and the differences both of whose cases
        were run.
    """
    results: dict[str, dict[str, float]] = {}
    for name in CASES if names is None else names:
        results[name] = _quantities(CASES[name], simulate(case_network(name), weather, options))
    rows = []
    for item in published_ranges():
        case, quantity = str(item["case"]), str(item["quantity"])
        got = _value(results, case, quantity)
        if got is not None:
            low, high = float(str(item["low"])), float(str(item["high"]))
            rows.append(Row(case=case, quantity=quantity, got=got, low=low, high=high))
    return rows


def _quantities(case: Case, result: HourlyResult) -> dict[str, float]:
    air = result.zones[SUN if case.has_sun_zone else BACK].air_c
    values = {
        "free_float_max_c": float(air.max()),
        "free_float_min_c": float(air.min()),
        "free_float_mean_c": float(air.mean()),
    }
    if case.has_sun_zone or not case.is_free:
        values["annual_heating_mwh"] = result.heating_kwh / 1000.0
        values["annual_cooling_mwh"] = result.cooling_kwh / 1000.0
        values["peak_heating_kw"] = float(result.heating_w.max()) / 1000.0
        values["peak_cooling_kw"] = float(result.cooling_w.max()) / 1000.0
    return values


def _value(results: dict[str, dict[str, float]], case: str, quantity: str) -> float | None:
    """A quantity of a case, or of "A-B" the difference; None when not run."""
    if case in results:
        return results[case].get(quantity)
    first, _, second = case.partition("-")
    if first in results and second in results:
        one, other = results[first].get(quantity), results[second].get(quantity)
        return None if one is None or other is None else one - other
    return None
