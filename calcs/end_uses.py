"""Hot water, lamps, appliances and people: what they use and what heat they leave inside.

Metered or counted values where the auditor recorded them, the reference equations of
ANSI/RESNET/ICC 301 by floor area and bedrooms where not (memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np

from calcs.baseload import APPLIANCE_DEFAULTS, lamp_annual_j
from calcs.constants import WATER_SPECIFIC_HEAT_J_PER_KG_K
from calcs.house import BASEMENT, BELLY, CRAWLSPACE, GARAGE, HOUSE, Gains, zone_of
from calcs.inputs import House, WaterHeater
from calcs.network import HOURS, FloatArray
from calcs.unit_factors import (
    J_PER_KWH,
    K_PER_DEGF,
    M2_PER_FT2,
    M3_PER_GAL,
    SECONDS_PER_DAY,
    W_PER_BTUH,
)
from calcs.water_heating import (
    EF_TEST_DELTA_K,
    EF_TEST_HEAT_J,
    USE_TEMPERATURE_C,
    daily_input_of_months_j,
    mains_temperature_c,
    mixing_fraction,
    reference_fixture_draw_m3_per_day,
    reference_waste_draw_m3_per_day,
    standby_ua_w_per_k,
    uef_draw_m3_per_day,
)
from calcs.weather import MONTH_DAYS, WeatherYear

WATER_KG_PER_M3 = 988.0  # at 125 °F
RECOVERY = {"natural_gas": 0.77, "propane": 0.77, "fuel_oil": 0.77, "electricity": 0.98}
DEFAULT_INPUT_W = {
    "natural_gas": 40_000 * W_PER_BTUH,
    "propane": 40_000 * W_PER_BTUH,
    "fuel_oil": 90_000 * W_PER_BTUH,
    "electricity": 4500.0,
}
# EF where nothing was rated, by year of make: 10 CFR 430 levels before and after 2004 and 2015
# (memory), for 40 gal.
DEFAULT_EF = {
    "natural_gas": ((0, 0.53), (1990, 0.54), (2004, 0.59), (2015, 0.62)),
    "propane": ((0, 0.53), (1990, 0.54), (2004, 0.59), (2015, 0.62)),
    "fuel_oil": ((0, 0.50), (2004, 0.53), (2015, 0.62)),
    "electricity": ((0, 0.85), (1990, 0.88), (2004, 0.92), (2015, 0.945)),
}
UEF_TEST_DELTA_K = 57.5 * K_PER_DEGF  # 125 °F tank, 67.5 °F room (memory)
UEF_TEST_RISE_K = 67.0 * K_PER_DEGF
# A heat-pump heater in a house draws at other temperatures than its test; common practice.
HEAT_PUMP_FIELD_FACTOR = 0.9
HEAT_PUMP_PER_K, HEAT_PUMP_TEST_C, HEAT_PUMP_LEAST_C = 0.015, 19.7, 4.4
JACKET_FACTOR = 0.75  # of the standby loss, with an insulating jacket; common practice, no source
FLUE_SHARE_OF_STANDBY = 0.5  # of a fuel-fired tank's standby goes up its flue; common practice
BARE_PIPE_W_PER_M = 6.0  # first meters of a bare pipe, mean over the day; common practice
SHOWER_SHARE, FAUCET_SHARE = 0.55, 0.25  # of fixture water; common practice, no source
REFERENCE_SHOWER_M3_PER_S = 2.5 * M3_PER_GAL / 60.0
REFERENCE_FAUCET_M3_PER_S = 2.2 * M3_PER_GAL / 60.0
FAUCET_BY_TIME_SHARE = 0.5  # half of faucet use is by volume and does not change with flow
APPLIANCE_DRAW_M3_PER_DAY = 6.0 * M3_PER_GAL


class Washer(NamedTuple):
    """Clothes washer by its age: hot water of a usual household, shares of default energy."""

    hot_gal_per_day: float
    electricity_share: float
    dryer_share: float


# Old top loaders take about twice the hot water of today's mean and leave the clothes wetter;
# efficient ones spin them drier. Common practice, no source; "unknown" is the reference.
WASHERS = {
    "unknown": Washer(3.5, 1.0, 1.0),
    "old": Washer(6.0, 1.4, 1.1),
    "efficient": Washer(1.8, 0.7, 0.85),
}
# Electricity by water taken out: old machines give about 1.2 L a kWh, efficient ones 1.8 L a kWh
# (energy factors; memory), against the default of an older one.
DEHUMIDIFIER_SHARE = {"old": 1.0, "efficient": 1.2 / 1.8}
USUAL_OCCUPANTS = (0.87, 0.59)  # plus 0.59 a bedroom (national reference for simulation; memory)

PERSON_SENSIBLE_W = 220.0 * W_PER_BTUH * 16.5 / 24.0  # 220 Btu/h over 16.5 h a day (memory)
PERSON_LATENT_W = 164.0 * W_PER_BTUH * 16.5 / 24.0
# Evaporation from baths, sinks and floors takes heat from the air and gives it back as moisture:
# 1,227 + 409 a bedroom of Btu a day (national reference for ratings; memory).
EVAPORATION_W = (1227.0 * W_PER_BTUH / 24.0, 409.0 * W_PER_BTUH / 24.0)
# Moisture as a part of the heat an appliance leaves inside (memory, same reference); what nothing
# boils or dries in gives none.
LATENT_OVER_SENSIBLE = {"cooking": 0.11, "laundry": 0.11, "other": 0.0}

# Hour shapes of inside gains from the hour after midnight on; common practice, no source.
_SHAPES: dict[str, str] = {
    "people": "23 23 23 23 23 23 24 24 18 12 11 11 12 11 11 13 17 22 25 26 26 26 25 24",
    "lighting": "25 25 25 25 25 40 90 100 70 50 45 45 45 45 50 60 90 150 210 250 260 230 150 70",
    "refrigerator": "1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1 1",
    "cooking": "10 10 10 10 10 30 90 130 90 60 60 100 140 90 60 80 190 360 340 180 90 50 30 10",
    "laundry": "2 1 1 1 1 2 5 9 14 18 19 18 16 15 14 13 13 13 13 13 13 12 9 5",
    "other": "60 55 55 55 55 65 90 110 100 90 85 90 95 90 90 95 110 140 160 165 160 150 120 90",
}


def _mean_one(shape: str) -> FloatArray:
    hours = np.array(shape.split(), dtype=np.float64)
    return hours / hours.mean()


HOUR_SHAPES = {name: _mean_one(shape) for name, shape in _SHAPES.items()}


@dataclass(frozen=True, eq=False, kw_only=True)
class Use:
    """Monthly energy of one end use on one fuel, January to December. [J]"""

    end_use: str
    fuel: str
    monthly_j: FloatArray


def _spread(annual_j: float) -> FloatArray:
    """A steady use, by the days of each month."""
    return annual_j * np.array(MONTH_DAYS, dtype=np.float64) / 365.0


def people_factor(house: House) -> float:
    """Household size over the usual one for its bedrooms; uses follow it in part. [-]"""
    base, per_bedroom = USUAL_OCCUPANTS
    usual = base + per_bedroom * max(house.geometry.bedrooms, 1)
    return 0.35 + 0.65 * house.geometry.occupants / usual


def lighting_j(house: House) -> tuple[float, float]:
    """Yearly lighting, all and the part that heats the house. [J]"""
    if not house.lamps:
        area_ft2 = house.geometry.floor_area_m2 / M2_PER_FT2
        inside = (455.0 + 0.8 * area_ft2) * J_PER_KWH
        return inside + 100.0 * J_PER_KWH, inside
    total = inside = 0.0
    for item in house.lamps:
        use = lamp_annual_j(item.power_w, item.hours_per_day, count=item.count)
        total += use
        inside += use if item.location == "inside" else 0.0
    return total, inside


def refrigerator_j(house: House) -> tuple[float, float]:
    """Yearly use of refrigerators, all and the part that heats the house. [J]"""
    default = APPLIANCE_DEFAULTS["refrigerator"].electricity_kwh * J_PER_KWH
    total = inside = 0.0
    for item in house.appliances.refrigerators:
        use = default if item.energy_j_per_year is None else item.energy_j_per_year
        total += use
        inside += use if item.location == "inside" else 0.0
    return total, inside


def appliance_uses(house: House) -> tuple[list[Use], dict[str, float]]:
    """Lighting, refrigerators, cooking, laundry and the rest; and by end use the heat they leave.

    The heat is the sensible part of a year's use. [J]
    """
    geometry, appliances = house.geometry, house.appliances
    size = 0.5 + geometry.occupants / 6.0  # as `baseload.appliance_annual_j`
    lights, lights_inside = lighting_j(house)
    cold, cold_inside = refrigerator_j(house)
    uses = [
        Use(end_use="lighting", fuel="electricity", monthly_j=_spread(lights)),
        Use(end_use="refrigerator", fuel="electricity", monthly_j=_spread(cold)),
    ]
    heat = {"lighting": lights_inside, "refrigerator": cold_inside}

    def add(end_use: str, key: str, fuel: str, share: float = 1.0) -> None:
        entry = APPLIANCE_DEFAULTS[key]
        electric = entry.electricity_kwh * size * share * J_PER_KWH
        burned = entry.fuel_kwh * size * share * J_PER_KWH
        if electric:
            uses.append(Use(end_use=end_use, fuel="electricity", monthly_j=_spread(electric)))
        if burned:
            uses.append(Use(end_use=end_use, fuel=fuel, monthly_j=_spread(burned)))
        left = entry.sensible_share * (electric + burned)
        heat[end_use] = heat.get(end_use, 0.0) + left

    cooking = appliances.cooking_fuel
    add("cooking", "range_electric" if cooking == "electricity" else "range_gas", cooking)
    if appliances.dryer_fuel != "none":
        dryer = appliances.dryer_fuel
        key = "dryer_electric" if dryer == "electricity" else "dryer_gas"
        add("laundry", key, dryer, WASHERS[appliances.clothes_washer].dryer_share)
    if appliances.has_clothes_washer:
        share = WASHERS[appliances.clothes_washer].electricity_share
        add("laundry", "clothes_washer", "electricity", share)
    if appliances.has_dishwasher:
        add("other", "dishwasher", "electricity")
    if appliances.dehumidifier != "none":
        # Its own heat and that of the water it condenses stay in the house.
        add("other", "dehumidifier", "electricity", DEHUMIDIFIER_SHARE[appliances.dehumidifier])
    plugs = other_plugs_j(house)
    uses.append(Use(end_use="other", fuel="electricity", monthly_j=_spread(plugs)))
    heat["other"] = heat.get("other", 0.0) + plugs
    return uses, heat


def other_plugs_j(house: House) -> float:
    """Plug loads and television of the reference house, and what the auditor found on top. [J]"""
    geometry = house.geometry
    area_ft2 = geometry.floor_area_m2 / M2_PER_FT2
    reference = 0.91 * area_ft2 + 413.0 + 69.0 * max(geometry.bedrooms, 1)
    usual = reference * J_PER_KWH * house.appliances.plug_factor
    return usual + house.appliances.extra_plug_w * HOURS * 3600.0


def fixture_factor(house: House) -> float:
    """Fixture water with the flows measured, over that of the reference. [-]"""
    use = house.hot_water_use
    factor = 1.0
    if use.shower_flow_m3_per_s is not None:
        factor += SHOWER_SHARE * (use.shower_flow_m3_per_s / REFERENCE_SHOWER_M3_PER_S - 1.0)
    if use.faucet_flow_m3_per_s is not None:
        share = FAUCET_SHARE * FAUCET_BY_TIME_SHARE
        factor += share * (use.faucet_flow_m3_per_s / REFERENCE_FAUCET_M3_PER_S - 1.0)
    return max(factor, 0.2)


@lru_cache(maxsize=64)
def mains_by_month(weather: WeatherYear) -> tuple[float, ...]:
    """Mains water temperature at the middle of each month. [°C]"""
    ends = np.cumsum(MONTH_DAYS)
    middles = ends - np.array(MONTH_DAYS) / 2.0
    return tuple(
        mains_temperature_c(
            float(day),
            air_mean_c=weather.annual_mean_c,
            monthly_spread_k=weather.monthly_range_c,
            is_north=weather.latitude_deg >= 0.0,
        )
        for day in middles
    )


@dataclass(frozen=True, eq=False, kw_only=True)
class HotWater:
    """Hot water of a house: energy by fuel, and the heat it leaves in zones. [J], [W]"""

    uses: list[Use]
    gain_w: dict[str, float]
    coil_j: FloatArray


def hot_water(house: House, weather: WeatherYear) -> HotWater:
    """Energy of all water heaters by month.

    `coil_j` is heat that a heating boiler's coil or indirect tank asks for, by month: the
    boiler's own fuel is worked out with the rest of its load.
    """
    uses: list[Use] = []
    gains: dict[str, float] = {}
    coil = np.zeros(12)
    for heater in house.water_heaters:
        heats, _volumes = _draws(house, heater, weather)
        zone = zone_of(house, heater.location)
        ambient = ambient_by_month_c(zone, weather)
        if heater.kind in ("boiler_coil", "indirect_tank"):
            coil += heats * np.array(MONTH_DAYS)
            continue
        daily, gain = _daily_energy(heater, heats, ambient)
        monthly = daily * np.array(MONTH_DAYS)
        uses.append(Use(end_use="hot_water", fuel=heater.fuel, monthly_j=monthly))
        gain += _pipe_w(heater)
        if zone is not None:
            gains[zone] = gains.get(zone, 0.0) + gain
    return HotWater(uses=uses, gain_w=gains, coil_j=coil)


def ambient_by_month_c(zone: str | None, weather: WeatherYear) -> FloatArray:
    """Air around a tank by month: steady in the house, outdoors in the open, between elsewhere.

    A basement follows a quarter of the season, a crawlspace half, a garage most of it; common
    practice, no source. [°C]
    """
    season = weather.monthly_means_c - weather.annual_mean_c
    if zone == HOUSE:
        return np.full(12, 20.0)
    if zone == BASEMENT:
        return 15.0 + 0.25 * season
    if zone in (CRAWLSPACE, BELLY):
        return weather.annual_mean_c + 0.5 * season
    if zone == GARAGE:
        return weather.annual_mean_c + 3.0 + 0.8 * season
    return weather.annual_mean_c + season


def heat_pump_heater_cop(rating: float, ambient_c: FloatArray) -> FloatArray:
    """COP of a heat-pump water heater by the air it draws from. [-]

    The rating is taken at 67.5 °F; it falls 1.5 % a kelvin in cooler air, and below 40 °F the
    element heats alone. Common practice, no source.
    """
    by_air = 1.0 + HEAT_PUMP_PER_K * (ambient_c - HEAT_PUMP_TEST_C)
    cop = rating * HEAT_PUMP_FIELD_FACTOR * np.clip(by_air, 0.5, 1.25)
    return np.where(ambient_c < HEAT_PUMP_LEAST_C, RECOVERY["electricity"], cop)


def _pipe_w(heater: WaterHeater) -> float:
    return min(heater.bare_pipe_m, 6.0) * BARE_PIPE_W_PER_M


def appliance_draw_m3_per_day(house: House) -> float:
    """Hot water of clothes washer and dishwasher in a usual household. [m³/day]"""
    if not house.appliances.has_clothes_washer:
        return APPLIANCE_DRAW_M3_PER_DAY
    extra = WASHERS[house.appliances.clothes_washer].hot_gal_per_day
    return APPLIANCE_DRAW_M3_PER_DAY + (extra - WASHERS["unknown"].hot_gal_per_day) * M3_PER_GAL


@lru_cache(maxsize=32)
def _mixed_draw_m3_per_day(bedrooms: int) -> float:
    return reference_fixture_draw_m3_per_day(bedrooms) + reference_waste_draw_m3_per_day(bedrooms)


def _draws(
    house: House, heater: WaterHeater, weather: WeatherYear
) -> tuple[FloatArray, FloatArray]:
    """Heat in the water drawn on a day of each month, and its volume. [J], [m³]"""
    mains = np.array(mains_by_month(weather))
    # Mixed use takes the share of hot water that `mixing_fraction` gives; warm mains need least.
    mixing_fraction(heater.setpoint_c, float(mains.max()))
    mixing = 1.0 - (heater.setpoint_c - USE_TEMPERATURE_C) / (heater.setpoint_c - mains)
    factor = people_factor(house) * house.hot_water_use.draw_factor * heater.load_share
    mixed = _mixed_draw_m3_per_day(max(house.geometry.bedrooms, 1)) * fixture_factor(house)
    volume = factor * (mixing * mixed + appliance_draw_m3_per_day(house))
    heat = volume * WATER_KG_PER_M3 * WATER_SPECIFIC_HEAT_J_PER_KG_K
    return heat * (heater.setpoint_c - mains), volume


def default_ef(heater: WaterHeater) -> float:
    """EF of an unrated heater by its year; an unknown year reads as old, not as new. [-]"""
    year = heater.year_installed or 0
    return [value for first, value in DEFAULT_EF[heater.fuel] if year >= first][-1]


def rated_efficiency(heater: WaterHeater) -> float:
    """The rating that counts: UEF where given, else EF, else the default by year. [-]"""
    return heater.uef or heater.ef or default_ef(heater)


def _daily_energy(
    heater: WaterHeater, heats: FloatArray, ambient_c: FloatArray
) -> tuple[FloatArray, float]:
    """Site energy on a day of each month, and mean heat left where the heater stands. [J], [W]"""
    pipe_j = _pipe_w(heater) * SECONDS_PER_DAY
    rating = rated_efficiency(heater)
    if heater.kind == "heat_pump" or rating > 1.0:
        site = (heats + pipe_j) / heat_pump_heater_cop(rating, ambient_c)
        # The heat comes out of the room's air.
        taken = float((heats + pipe_j - site).mean()) / SECONDS_PER_DAY
        return site, -taken
    if heater.kind == "instantaneous":
        return (heats + pipe_j) / rating, 0.0
    input_w = heater.input_w or DEFAULT_INPUT_W[heater.fuel]
    recovery = heater.recovery_efficiency or RECOVERY[heater.fuel]
    recovery = max(recovery, rating + 0.02 if rating < 0.95 else rating + 0.01)
    ua = _standby_ua(heater, rating, recovery, input_w)
    if heater.has_jacket:
        ua *= JACKET_FACTOR
    site = daily_input_of_months_j(
        heats,
        tank_c=heater.setpoint_c,
        ambient_c=ambient_c,
        recovery=recovery,
        ua_w_per_k=ua,
        input_w=input_w,
    )
    site = site + pipe_j / recovery
    up_flue = 0.0 if heater.fuel == "electricity" else FLUE_SHARE_OF_STANDBY
    standing_k = heater.setpoint_c - float(ambient_c.mean())
    return site, ua * standing_k * (1.0 - up_flue)


def _standby_ua(heater: WaterHeater, rating: float, recovery: float, input_w: float) -> float:
    """Standby coefficient from the rating, each test with its own conditions. [W/K]"""
    if heater.uef is None:
        delta, heat = EF_TEST_DELTA_K, EF_TEST_HEAT_J
    else:
        delta = UEF_TEST_DELTA_K
        heat = (
            uef_draw_m3_per_day("medium")
            * WATER_KG_PER_M3
            * WATER_SPECIFIC_HEAT_J_PER_KG_K
            * UEF_TEST_RISE_K
        )
    return standby_ua_w_per_k(
        rating,
        recovery=min(recovery, 1.0),
        input_w=input_w,
        delta_k=delta,
        heat_j_per_day=heat,
    )


def gains_of(house: House, appliance_heat_j: dict[str, float], water: HotWater) -> Gains:
    """Sensible and latent gains by hour, each source with its own shape of the day. [W]

    `appliance_heat_j` is a year's sensible heat by end use, as `appliance_uses` gives it.
    """
    people = house.geometry.occupants
    base, per_bedroom = EVAPORATION_W
    evaporated = people_factor(house) * (base + per_bedroom * max(house.geometry.bedrooms, 1))
    sensible = people * PERSON_SENSIBLE_W * HOUR_SHAPES["people"]
    latent = people * PERSON_LATENT_W * HOUR_SHAPES["people"] + evaporated * HOUR_SHAPES["other"]
    sensible = sensible - evaporated * HOUR_SHAPES["other"]
    for end_use, heat_j in appliance_heat_j.items():
        shape = heat_j / (HOURS * 3600.0) * HOUR_SHAPES[end_use]
        sensible = sensible + shape
        latent = latent + LATENT_OVER_SENSIBLE.get(end_use, 0.0) * shape
    days = HOURS // 24
    return Gains(
        sensible_w=np.tile(sensible, days) + water.gain_w.get(HOUSE, 0.0),
        latent_w=np.tile(latent, days),
        to_spaces_w={zone: gain for zone, gain in water.gain_w.items() if zone != HOUSE},
    )
