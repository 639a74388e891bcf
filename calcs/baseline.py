"""Yearly energy of a house by end use and fuel, its cost, its carbon, and where its heat leaves."""

from __future__ import annotations

from collections import defaultdict
from dataclasses import replace

import numpy as np

from calcs.burners import regain_share
from calcs.components import components_of
from calcs.cooling_coils import short_cooling_hours
from calcs.end_uses import HOUR_SHAPES
from calcs.equipment import burn, cool, idle_share, steady_state
from calcs.house import HOUSE, zone_of
from calcs.inputs import EnergyPrices, HeatingSystem, House
from calcs.network import FloatArray
from calcs.rates import FuelCost, FuelUse, cost_of_fuel
from calcs.results import END_USES, Baseline, EndUseEnergy
from calcs.thermal import Thermal, thermal_of
from calcs.weather import MONTH_DAYS, WeatherYear, monthly

MonthlyByUse = dict[tuple[str, str], FloatArray]


def evaluate(house: House, weather: WeatherYear, *, prices: EnergyPrices, year: int) -> Baseline:
    """The house over one weather year.

    Parameters
    ----------
    house : House
        As recorded, or as measures would leave it.
    weather : WeatherYear
        Hours of the year.
    prices : EnergyPrices
        A price and a carbon factor for every fuel the house uses.
    year : int
        Calendar year from which ages of equipment are counted.

    Returns
    -------
    Baseline
        Energy, cost, loads, and the parts of the heat loss.

    Raises
    ------
    InputError
        A fuel has no price, or the record has a part the model refuses.
    """
    thermal = thermal_of(house, weather)
    table: MonthlyByUse = defaultdict(lambda: np.zeros(12))
    for use in thermal.uses:
        table[use.end_use, use.fuel] = table[use.end_use, use.fuel] + use.monthly_j
    short_hours = _heat(house, thermal, weather, table, year)
    short_cooling = _cool(house, thermal, weather, table)
    _run_fans(house, table)
    end_uses = tuple(
        EndUseEnergy(end_use=use, fuel=fuel, monthly_j=tuple(float(v) for v in table[use, fuel]))
        for use, fuel in sorted(table, key=lambda key: (END_USES.index(key[0]), key[1]))
        if table[use, fuel].any()
    )
    return replace(
        _baseline(house, thermal, end_uses, prices, short_hours),
        unmet_cooling_hours=short_cooling,
    )


def _heat(
    house: House, thermal: Thermal, weather: WeatherYear, table: MonthlyByUse, year: int
) -> int:
    given_w = thermal.heating_w / thermal.delivery.heating
    flow = None if house.ducts is None else house.ducts.fan_flow_m3_per_s
    short_hours = 0
    for system in house.heating:
        burned = burn(
            system,
            given_w * system.load_share,
            weather.dry_bulb_c,
            year=year,
            fan_flow_m3_per_s=flow if system.distribution == "ducts" else None,
            design_outdoor_c=weather.heating_design_c(),
            regain=_regain(house, system),
        )
        for fuel, power in burned.by_fuel.items():
            table["heating", fuel] = table["heating", fuel] + monthly(power) * 3600.0
        fans = monthly(burned.fan_pump_w) * 3600.0
        table["fans_pumps", "electricity"] = table["fans_pumps", "electricity"] + fans
        short_hours = max(short_hours, burned.short_hours)
    if thermal.coil_j.any():
        fuel, coil = _coil(house, thermal, given_w, year)
        table["hot_water", fuel] = table["hot_water", fuel] + coil
    return short_hours


def _regain(house: House, system: HeatingSystem) -> float:
    zone = zone_of(house, system.location)
    return regain_share(system.location, is_in_house_zone=zone == HOUSE)


def _coil(house: House, thermal: Thermal, given_w: FloatArray, year: int) -> tuple[str, FloatArray]:
    """Fuel of a boiler for hot water: the heat, and its idle hours outside the heating."""
    boilers: list[HeatingSystem] = [item for item in house.heating if item.kind == "boiler"]
    if not boilers:
        fuel = next(
            h.fuel for h in house.water_heaters if h.kind in ("boiler_coil", "indirect_tank")
        )
        return fuel, thermal.coil_j / 0.8
    boiler = boilers[0]
    steady = steady_state(boiler, year=year)
    idle_w = idle_share(boiler, regain=_regain(house, boiler)) * boiler.capacity_w / steady
    is_coil = any(item.kind == "boiler_coil" for item in house.water_heaters)
    # A coil keeps the boiler hot all year; an indirect tank wakes it a few times a day.
    stays_hot = 1.0 if is_coil else 0.25
    idle_hours = monthly(np.where(given_w > 0.0, 0.0, 1.0))
    return boiler.fuel, thermal.coil_j / steady + idle_w * stays_hot * idle_hours * 3600.0


def _cool(house: House, thermal: Thermal, weather: WeatherYear, table: MonthlyByUse) -> int:
    short_hours = 0
    for system in house.cooling:
        share = system.load_share
        sensible = thermal.cooling_w * share
        latent = thermal.latent_w * share
        if system.distribution == "ducts":
            sensible = sensible / thermal.delivery.cooling
        power = cool(
            system,
            sensible,
            latent,
            weather.dry_bulb_c,
            wet_bulb_excess=thermal.wet_bulb_excess_k,
        )
        table["cooling", "electricity"] = table["cooling", "electricity"] + monthly(power) * 3600.0
        short = short_cooling_hours(
            system,
            sensible + latent,
            weather.dry_bulb_c,
            wet_bulb_excess=thermal.wet_bulb_excess_k,
        )
        short_hours = max(short_hours, short)
    return short_hours


def _run_fans(house: House, table: MonthlyByUse) -> None:
    power = sum(fan.power_w * fan.hours_per_day / 24.0 for fan in house.fans)
    if power:
        seconds = np.array(MONTH_DAYS) * 86_400.0
        table["fans_pumps", "electricity"] = table["fans_pumps", "electricity"] + power * seconds


def _baseline(
    house: House,
    thermal: Thermal,
    end_uses: tuple[EndUseEnergy, ...],
    prices: EnergyPrices,
    short_hours: int,
) -> Baseline:
    energy: dict[str, float] = defaultdict(float)
    for item in end_uses:
        energy[item.fuel] += item.annual_j
    costs = _costs(thermal, end_uses, prices)
    by_use: dict[str, float] = defaultdict(float)
    for cost in costs.values():
        for use, amount in cost.by_use.items():
            by_use[use] += amount
    heated_j = float(thermal.heating_w.sum()) * 3600.0
    given_j = float((thermal.heating_w / thermal.delivery.heating).sum()) * 3600.0
    cooled_j = float(thermal.cooling_w.sum()) * 3600.0
    coil_j = float((thermal.cooling_w / thermal.delivery.cooling).sum()) * 3600.0
    burned_j = sum(item.annual_j for item in end_uses if item.end_use == "heating")
    components = components_of(house, thermal, heating_cost_usd=by_use.get("heating", 0.0))
    difference = thermal.mean_cold_c["house"] - thermal.mean_cold_c["outdoor"]
    hours = float((thermal.heating_w > 0.0).sum())
    lost_j = sum(part.total_j for part in components)
    return Baseline(
        end_uses=end_uses,
        energy_j=dict(energy),
        cost_usd=sum(cost.variable_usd for cost in costs.values()),
        fixed_usd=sum(cost.fixed_usd for cost in costs.values()),
        cost_usd_by_fuel={fuel: cost.variable_usd for fuel, cost in costs.items()},
        cost_usd_by_use=dict(by_use),
        co2_kg=prices.co2_kg(energy),
        heating_load_j=heated_j,
        cooling_load_j=cooled_j,
        heating_efficiency=given_j / burned_j if burned_j > 0.0 else 1.0,
        distribution_efficiency_heating=heated_j / given_j if given_j > 0.0 else 1.0,
        distribution_efficiency_cooling=cooled_j / coil_j if coil_j > 0.0 else 1.0,
        peak_heating_w=float((thermal.heating_w / thermal.delivery.heating).max()),
        peak_cooling_w=float((thermal.cooling_w / thermal.delivery.cooling).max()),
        infiltration_m3_per_s=float(thermal.infiltration_m3_per_s.mean()),
        unmet_heating_hours=short_hours,
        components=components,
        heat_loss_w_per_k=lost_j / (hours * 3600.0 * difference) if hours and difference > 0 else 0,
    )


def _costs(
    thermal: Thermal, end_uses: tuple[EndUseEnergy, ...], prices: EnergyPrices
) -> dict[str, FuelCost]:
    """Cost of the year by fuel, each month billed by its rate."""
    found = {}
    for fuel in dict.fromkeys(item.fuel for item in end_uses):
        rate = prices.rate(fuel)
        has_windows = any(season.windows for season in rate.seasons)
        found[fuel] = cost_of_fuel(
            rate,
            [
                FuelUse(
                    end_use=item.end_use,
                    fuel=fuel,
                    monthly_j=np.array(item.monthly_j),
                    by_hour=_by_hour(item.end_use, thermal) if has_windows else None,
                )
                for item in end_uses
                if item.fuel == fuel
            ],
        )
    return found


def _by_hour(end_use: str, thermal: Thermal) -> FloatArray:
    """Shares of the 24 hours in each month's use, shape (12, 24).

    Heating, its fans and cooling run when their load does; everything else takes the hours of
    its gains, and where it has none those of people in the house.
    """
    load = {"heating": thermal.heating_w, "fans_pumps": thermal.heating_w,
            "cooling": thermal.cooling_w}.get(end_use)  # fmt: skip
    shape = HOUR_SHAPES.get(end_use, HOUR_SHAPES["people"])
    usual = np.tile(shape / shape.sum(), (12, 1))
    if load is None:
        return usual
    first_days = np.concatenate(([0], np.cumsum(MONTH_DAYS)[:-1]))
    hours = np.add.reduceat(load.reshape(-1, 24), first_days, axis=0)
    total = hours.sum(axis=1, keepdims=True)
    return np.where(total > 0.0, hours / np.where(total > 0.0, total, 1.0), usual)
