"""Invented homes worked out only to see how long it takes."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import lru_cache
from itertools import pairwise

import numpy as np

from calcs import analysis, bench, bills, calibration, weather
from calcs.baseline import evaluate
from calcs.daily_weather import DailyWeather, normal_months
from calcs.inputs import EnergyPrices, House
from calcs.results import Analysis
from calcs.weather import WeatherYear
from portal.modeling import weather as stations

YEAR = 2026
FIRST_DAY = date(2025, 1, 1)
J_PER_UNIT = 1e9
# Any numbers do, as long as most work pays: a long package is the long way.
PRICES = EnergyPrices(
    usd_per_j={"natural_gas": 1.3e-8, "propane": 3e-8, "fuel_oil": 2.7e-8, "electricity": 4e-8},
    co2_kg_per_j={
        "natural_gas": 5e-8, "propane": 6e-8, "fuel_oil": 7e-8, "electricity": 1.1e-7,
    },
)  # fmt: skip
MEASURE_COST_USD = 300.0


@lru_cache(maxsize=1)
def year_of(weather_source: str) -> WeatherYear:
    """The typical year of a file, read once a process."""
    return weather.read_weather(stations.resolve(weather_source))


def bills_made(house: House, year: WeatherYear) -> dict[str, list[bills.Read]]:
    """A year of monthly bills of a house a little unlike its record, so that a fit has work."""
    lived_in = replace(
        house,
        thermostat=replace(house.thermostat, heating_c=house.thermostat.heating_c - 1.5),
        appliances=replace(house.appliances, plug_factor=1.5 * house.appliances.plug_factor),
    )
    base = evaluate(lived_in, year, prices=PRICES, year=YEAR)
    ends = np.cumsum([0, *weather.MONTH_DAYS])
    days = [FIRST_DAY + timedelta(days=int(end)) for end in ends]
    return {
        fuel: [
            bills.Read(starts_on=first, ends_on=last, quantity=float(use) / J_PER_UNIT)
            for (first, last), use in zip(
                pairwise(days), calibration.months_of_model(base, fuel), strict=True
            )
        ]
        for fuel in ("natural_gas", "electricity")
        if base.energy_j.get(fuel)
    }


def complete_result(
    house: House, year: WeatherYear, reads: Mapping[str, Sequence[bills.Read]] | None = None
) -> Analysis:
    """Everything a report would ask of a house, at the prices above; fitted to bills if given."""
    daily = year.dry_bulb_c.reshape(-1, 24).mean(axis=1)
    actual = DailyWeather(name=year.name, source="", first_on=FIRST_DAY, mean_c=daily)
    outcomes = [
        bills.fit_bills(
            bills.clean(of_fuel), actual, fuel=fuel, unit="GJ", joules_per_unit=J_PER_UNIT,
            resolution=0.1, normal=normal_months(year),
        )
        for fuel, of_fuel in (reads or {}).items()
    ]  # fmt: skip
    fitted = calibration.calibrate(
        house, outcomes, lambda tried: evaluate(tried, year, prices=PRICES, year=YEAR)
    )
    return analysis.analyse_house(fitted.house, year, costs=_cost_of, prices=PRICES, year=YEAR)


def home_work(*, seed: int, weather_source: str) -> None:
    """Work one house at random out and keep nothing."""
    complete_result(bench.random_house(seed), year_of(weather_source))


def _cost_of(measure_id: str, kind: str, quantity: float, unit: str) -> float:
    return MEASURE_COST_USD
