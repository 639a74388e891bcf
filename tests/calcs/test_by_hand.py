"""The three things a practitioner tries first, against UA times degree days worked out by hand.

One house of 30 by 40 ft is put through the hourly model and through plain arithmetic in US units:
conductances from tabulated R, leakage by the enhanced handbook model at the day's mean temperature
and wind, sun and inside gains taken off by the balance point, day by day. Nothing of the model is
used in the arithmetic except the weather file. The two must agree within 15 %, in use and in
saving: closer than that the plain method is not, since it knows neither films that follow the
temperature difference nor the sun's hours.

Sources, unless said beside the number: film and material R of ASHRAE Handbook-Fundamentals
(reproduced in energy-code text); enhanced infiltration model of the same handbook (memory).
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import pandas as pd
import pvlib
import pytest

from calcs.baseline import evaluate
from calcs.inputs import (
    AirLeakage,
    Attic,
    Foundation,
    Geometry,
    HeatingSystem,
    House,
    InsulationLayer,
    Wall,
    WaterHeater,
    Window,
)
from calcs.unit_factors import J_PER_THERM, W_PER_BTUH
from tests.factories.house_parts import GREENSBORO, PRICES, cfm, ft, ft2, inch, r_ip, u_ip
from tests.factories.weather import greensboro

WITHIN = 0.15
DAYS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
INSIDE_F = 68.0

# Films and materials, h ft2 F/Btu.
FILM_UP, FILM_LEVEL, FILM_DOWN, FILM_OUT = 0.61, 0.68, 0.92, 0.17
GYPSUM, SHEATHING, WOOD_SIDING, FLOOR_BOARDS = 0.45, 0.60, 0.81, 1.60
WOOD_PER_INCH, CELLULOSE_PER_INCH = 1.25, 3.5
ROOF_DECK, SHINGLES = 0.79, 0.44

# Air: 0.018 Btu/ft3 F at sea level, so 1.08 Btu/h per cfm and F; at 900 ft the air is 3 % thinner.
AIR_BTUH_PER_CFM_F = 1.08 * 0.97


# -- The house as the model gets it --------------------------------------------------------------

FURNACE = HeatingSystem(
    id="furnace",
    kind="furnace",
    fuel="natural_gas",
    distribution="room",
    capacity_w=60_000 * W_PER_BTUH,
    efficiency=0.80,
    year_installed=2026,
    vent="induced_draft",
)
ON_PIERS = Foundation(
    id="piers",
    kind="open_below",
    area_m2=ft2(1200),
    perimeter_m=ft(140),
    floor_r_m2k_per_w=r_ip(19),
)
BASEMENT = Foundation(
    id="cellar",
    kind="basement",
    area_m2=ft2(1200),
    perimeter_m=ft(140),
    wall_height_m=ft(7),
    depth_below_grade_m=ft(5.5),
    floor_r_m2k_per_w=r_ip(19),
)


def house(
    *,
    attic_r: float = 8.0,
    cfm50: float = 3000.0,
    foundation: Foundation = ON_PIERS,
    heating: HeatingSystem = FURNACE,
) -> House:
    """One story, 30 by 40 ft, 8 ft high; 160 ft2 of windows, a fourth on each side."""
    return House(
        site=GREENSBORO,
        geometry=Geometry(
            floor_area_m2=ft2(1200),
            ceiling_height_m=ft(8),
            footprint_length_m=ft(40),
            footprint_width_m=ft(30),
            bedrooms=3,
            occupants=3,
        ),
        attics=(
            Attic(
                id="attic",
                area_m2=ft2(1200),
                layers=(
                    InsulationLayer(
                        material="cellulose_loose", depth_m=inch(attic_r / CELLULOSE_PER_INCH)
                    ),
                ),
            ),
        ),
        walls=(Wall(id="walls", area_m2=ft2(960), cavity_r_m2k_per_w=r_ip(13)),),
        windows=tuple(
            Window(
                id=f"windows-{azimuth}",
                area_m2=ft2(40),
                azimuth_deg=azimuth,
                u_w_per_m2k=u_ip(0.5),
                shgc=0.55,
            )
            for azimuth in (0, 90, 180, 270)
        ),
        foundations=(foundation,),
        air_leakage=AirLeakage(flow50_m3_per_s=cfm(cfm50)),
        heating=(heating,),
        # Outside, so that no tank warms the rooms.
        water_heaters=(WaterHeater(id="water", fuel="electricity", location="outside"),),
    )


@cache
def modeled_therms(item: House) -> float:
    """Gas for heating of a year by the hourly model."""
    result = evaluate(item, greensboro(), prices=PRICES, year=2026)
    return result.use_j("heating", "natural_gas") / J_PER_THERM


# -- The weather as a practitioner would tabulate it -----------------------------------------------


@dataclass(frozen=True)
class Days:
    """Daily means of a year; sun as the mean of its month, level and on an upright face."""

    outside_f: np.ndarray
    wind_m_per_s: np.ndarray
    level_btuh_ft2: np.ndarray
    upright_btuh_ft2: np.ndarray
    month: np.ndarray


@cache
def days() -> Days:
    """Daily temperature and wind, monthly sun. Sun on the four sides by pvlib, isotropic sky."""
    year = greensboro()
    times = pd.date_range("2001-01-01 00:30", periods=8760, freq="h", tz="Etc/GMT+5")
    sun = pvlib.solarposition.get_solarposition(times, 36.1, -79.95)
    dni, ghi, dhi = (
        np.asarray(getattr(year, f"{name}_w_per_m2")) for name in ("dni", "ghi", "dhi")
    )
    upright = np.zeros(8760)
    for azimuth in (0, 90, 180, 270):
        plane = pvlib.irradiance.get_total_irradiance(
            90, azimuth, sun.apparent_zenith, sun.azimuth, dni, ghi, dhi, albedo=0.2
        )
        upright += np.nan_to_num(plane["poa_global"].to_numpy()) / 4.0
    month = np.repeat(np.arange(12), DAYS)

    def by_day(values: np.ndarray) -> np.ndarray:
        return np.asarray(values).reshape(365, 24).mean(axis=1)

    def by_month(values: np.ndarray) -> np.ndarray:
        daily = by_day(values)
        return np.array([daily[month == m].mean() for m in range(12)])[month]

    return Days(
        outside_f=by_day(year.dry_bulb_c) * 1.8 + 32.0,
        wind_m_per_s=by_day(year.wind_m_per_s),
        level_btuh_ft2=by_month(ghi) / 3.1546,  # W/m2 in a Btu/h ft2
        upright_btuh_ft2=by_month(upright) / 3.1546,
        month=month,
    )


# -- The arithmetic ----------------------------------------------------------------------------


def ceiling_ua(attic_r: float) -> float:
    """1200 ft2; joists over 7 % of it, as deep as the insulation."""
    fixed = FILM_UP + GYPSUM + FILM_UP
    joist_r = attic_r / CELLULOSE_PER_INCH * WOOD_PER_INCH
    return 1200.0 * (0.93 / (fixed + attic_r) + 0.07 / (fixed + joist_r))


def attic_to_outside_ua() -> float:
    """1300 ft2 of roof at 22.6 degrees, and 3,540 ft3 of attic changing its air 3 times an hour."""
    roof = 1200.0 / math.cos(math.radians(22.6)) / (FILM_UP + ROOF_DECK + SHINGLES + FILM_OUT)
    return roof + 0.018 * 3540.0 * 3.0


def roof_sun_btuh(days_: Days) -> np.ndarray:
    """Sun that warms the attic: absorbed (0.75, a tenth shaded) times film out over film plus U."""
    roof_ua = attic_to_outside_ua() - 0.018 * 3540.0 * 3.0
    return roof_ua * FILM_OUT * 0.75 * 0.9 * days_.level_btuh_ft2


def wall_ua() -> float:
    """960 ft2, a fourth of it studs of 3.5 in., R-13 between them."""
    fixed = FILM_LEVEL + GYPSUM + SHEATHING + WOOD_SIDING + FILM_OUT
    return 960.0 * (0.75 / (fixed + 13.0) + 0.25 / (fixed + 3.5 * WOOD_PER_INCH))


def leakage_cfm(cfm50: float, days_: Days) -> np.ndarray:
    """Enhanced model: one story, no flue, shelter class 4, Q in quadrature.

    Q = c Cs dT^n, Cs 0.054 (Pa/K)^n; Q = c Cw (s G U)^2n, Cw 0.156, s 0.50, G 0.48; n 0.65.
    """
    c = cfm50 / 50.0**0.65
    colder_k = np.maximum(INSIDE_F - days_.outside_f, 0.0) / 1.8
    stack = c * 0.054 * colder_k**0.65
    wind = c * 0.156 * (0.50 * 0.48 * days_.wind_m_per_s) ** 1.3
    return np.hypot(stack, wind)


def inside_gain_btuh() -> float:
    """People, lamps, plugs and the range, as a mean of the year.

    Three people at 220 Btu/h sensible, 16.5 h a day; lamps 455 + 0.8 A kWh and plugs
    0.91 A + 413 + 69 N kWh by floor area and bedrooms (reference home of ANSI/RESNET/ICC 301,
    memory); range 450, dryer 750, washer 70, dishwasher 150 kWh, of which 40, 15, 80 and 60 %
    stay (common practice, no source).
    """
    people = 3 * 220.0 * 16.5 / 24.0
    kwh = (455.0 + 0.8 * 1200.0) + (0.91 * 1200.0 + 413.0 + 69.0 * 3)
    kwh += 450.0 * 0.40 + 750.0 * 0.15 + 70.0 * 0.80 + 150.0 * 0.60
    return people + kwh * 3412.14 / 8760.0


def window_sun_btuh(days_: Days) -> np.ndarray:
    """160 ft2, SHGC 0.55; 0.85 past trees and screens, 0.85 past shades, 0.87 for slant sun."""
    return 160.0 * 0.55 * 0.85 * 0.85 * 0.87 * days_.upright_btuh_ft2


def wall_sun_btuh(days_: Days) -> np.ndarray:
    """Absorbed 0.6, a fifth shaded; what comes in is U times the outside film's R of it."""
    return wall_ua() * FILM_OUT * 0.6 * 0.8 * days_.upright_btuh_ft2


FLOOR_UA = 1200.0 * (
    0.87 / (2 * FILM_DOWN + FLOOR_BOARDS + 19.0)
    + 0.13 / (2 * FILM_DOWN + FLOOR_BOARDS + 7.87 * WOOD_PER_INCH)  # joists of 0.2 m, 7.87 in.
)


def load_therms(
    *, attic_r: float = 8.0, cfm50: float = 3000.0, floor_loss_btuh: np.ndarray | None = None
) -> float:
    """Heat the rooms need in a year: UA (68 - outside) less gains, on days it is above nothing.

    That is UA times the degree days to a balance point of 68 - gains/UA, day by day.
    """
    days_ = days()
    colder = INSIDE_F - days_.outside_f
    leakage_ua = AIR_BTUH_PER_CFM_F * leakage_cfm(cfm50, days_)
    # The attic in between: warmed by the ceiling and by a fourth of the leaking air, and by sun.
    up, out = ceiling_ua(attic_r), attic_to_outside_ua()
    around = out + up + 0.25 * leakage_ua
    ceiling = up * (out / around)
    ua = ceiling + wall_ua() + 160.0 * 0.5 + leakage_ua
    gains = inside_gain_btuh() + window_sun_btuh(days_) + wall_sun_btuh(days_)
    gains = gains + roof_sun_btuh(days_) * up / around
    floor = FLOOR_UA * colder if floor_loss_btuh is None else floor_loss_btuh
    return float(np.maximum(ua * colder + floor - gains, 0.0).sum()) * 24.0 / 100_000.0


# -- Attic and leaks ---------------------------------------------------------------------------


def agree(model: float, hand: float) -> None:
    assert model == pytest.approx(hand, rel=WITHIN), f"model {model:.0f}, hand {hand:.0f} therms"


@pytest.mark.parametrize(
    "change",
    [{}, {"attic_r": 49.0}, {"cfm50": 1800.0}],
    ids=["R-8 and 3000 CFM50", "R-49", "1800 CFM50"],
)
def test_gas_of_the_house(change: dict[str, float]) -> None:
    agree(modeled_therms(house(**change)), load_therms(**change) / 0.80)


def test_attic_from_r8_to_r49() -> None:
    saved = modeled_therms(house()) - modeled_therms(house(attic_r=49.0))
    agree(saved, (load_therms() - load_therms(attic_r=49.0)) / 0.80)


def test_leaks_from_3000_to_1800_cfm50() -> None:
    saved = modeled_therms(house()) - modeled_therms(house(cfm50=1800.0))
    agree(saved, (load_therms() - load_therms(cfm50=1800.0)) / 0.80)


# -- Steam to hot water --------------------------------------------------------------------------

STEAM = HeatingSystem(
    id="boiler",
    kind="boiler",
    fuel="natural_gas",
    distribution="steam_pipes",
    capacity_w=60_000 * W_PER_BTUH,
    efficiency=0.83,
    year_installed=2026,
    service="annual",
    vent="atmospheric",
    location="basement",
    bare_pipe_m=ft(30),
    pipe_location="basement",
)
# The radiators were sized for the old, leaky house: 140 F water on the coldest day is enough,
# and it follows the weather. The old main is gone, the new pipes are covered.
HOT_WATER = replace(
    STEAM,
    distribution="hot_water_pipes",
    efficiency=0.96,
    vent="direct",
    is_condensing=True,
    has_outdoor_reset=True,
    supply_design_c=60.0,
    bare_pipe_m=0.0,
)

# Unheated basement, 140 ft around, R-19 in its ceiling; 1.5 ft of 8 in. block above
# grade; 5.5 ft below it, heat curving through soil (0.75 Btu/h ft F) over a quarter circle; the
# slab over 24.7 ft of soil; a fourth of the house's leaks, over the rule-of-thumb 18: 42 cfm.
STEM_UA = 140.0 * 1.5 / (FILM_LEVEL + 1.14 + FILM_OUT)
BURIED_UA = 140.0 * 5.5 / (FILM_LEVEL + 1.14 + math.pi / 2 * 2.75 / 0.75)
SLAB_UA = 1200.0 / (FILM_DOWN + 24.7 / 0.75)
BASEMENT_AIR_UA = AIR_BTUH_PER_CFM_F * 3000.0 * 0.25 / 18.0
BASEMENT_OUT_UA = STEM_UA + BURIED_UA + SLAB_UA + BASEMENT_AIR_UA


def basement_f() -> np.ndarray:
    """Basement between house, air and ground; the near ground swings 0.7 as much as the air."""
    outside = days().outside_f
    near = outside.mean() + 0.7 * (outside - outside.mean())
    heat = (STEM_UA + BASEMENT_AIR_UA) * outside + BURIED_UA * near + SLAB_UA * outside.mean()
    return (heat + FLOOR_UA * INSIDE_F) / (BASEMENT_OUT_UA + FLOOR_UA)


def basement_loss_btuh() -> np.ndarray:
    """Through the floor, less what the fourth of the air that leaks up from there is warmer."""
    basement, days_ = basement_f(), days()
    warmer = 0.25 * AIR_BTUH_PER_CFM_F * leakage_cfm(3000.0, days_) * (basement - days_.outside_f)
    return FLOOR_UA * (INSIDE_F - basement) - warmer


def bare_steam_pipe_btuh_ft() -> float:
    """2 in. pipe (0.198 ft, 0.622 ft2/ft) of 214 F in a basement of 60 F.

    Still air 0.27 (dT/D)^0.25 Btu/h ft2 F; radiation 0.1713e-8 T^4, emissivity 0.85
    (heating-engineering practice, memory).
    """
    convection = 0.27 * (154.0 / 0.198) ** 0.25 * 154.0
    radiation = 0.85 * 0.1713e-8 * ((214.0 + 459.7) ** 4 - (60.0 + 459.7) ** 4)
    return 0.622 * (convection + radiation)


def boiler_output_therms(need: float, *, covered_share: float, bare_btuh: float) -> float:
    """What the boiler gives so that the rooms get what they need, pipes in the basement.

    Pipes are hot while the burner runs and as long again (common practice). Of their loss the
    floor and the air that comes up take their part of the basement's conductances back.
    """
    leaking = 0.25 * AIR_BTUH_PER_CFM_F * 85.0  # cfm on a cold day
    back = (FLOOR_UA + leaking) / (FLOOR_UA + BASEMENT_OUT_UA)
    from_radiators = need
    for _round in range(30):
        hot_hours = 2.0 * from_radiators * 100_000.0 / 60_000.0
        loss = covered_share * from_radiators + bare_btuh * hot_hours / 100_000.0
        from_radiators = need - back * loss
    return from_radiators + loss


def test_steam_at_83_percent_to_hot_water_at_96() -> None:
    need = load_therms(floor_loss_btuh=basement_loss_btuh())
    # Covered pipes in an unheated space lose 5 % (default of ANSI/RESNET/ICC 301, memory); water
    # of 100 F on the average day is (100 - 58)/(170 - 59) as far above the basement as 170 F.
    steam = boiler_output_therms(
        need, covered_share=1 / 0.95 - 1, bare_btuh=30.0 * bare_steam_pipe_btuh_ft()
    )
    water = boiler_output_therms(
        need, covered_share=(1 / 0.95 - 1) * (100 - 58) / (170 - 59), bare_btuh=0.0
    )
    before = modeled_therms(house(foundation=BASEMENT, heating=STEAM))
    after = modeled_therms(house(foundation=BASEMENT, heating=HOT_WATER))
    agree(before, steam / 0.83)
    agree(after, water / 0.96)
    agree(before - after, steam / 0.83 - water / 0.96)


def test_the_arithmetic_can_disagree() -> None:
    """Control: with the sun and the inside gains left out, the plain sum is far off."""
    bare = float(
        (
            (ceiling_ua(8.0) + wall_ua() + 80.0 + FLOOR_UA + 80.0)
            * np.maximum(INSIDE_F - days().outside_f, 0.0)
        ).sum()
        * 24.0
        / 100_000.0
    )
    with pytest.raises(AssertionError):
        agree(modeled_therms(house()), bare / 0.80)
