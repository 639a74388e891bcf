"""Invented homes worked out only to see how long it takes."""

from functools import lru_cache

from calcs import analysis, bench, weather
from calcs.inputs import EnergyPrices, House
from calcs.results import Analysis
from calcs.weather import WeatherYear
from portal.modeling import weather as stations

YEAR = 2026
# Any numbers do: what energy and a measure cost decides little of how long it takes.
PRICES = EnergyPrices(
    usd_per_j={"natural_gas": 1.3e-8, "propane": 3e-8, "fuel_oil": 2.7e-8, "electricity": 4e-8},
    co2_kg_per_j={
        "natural_gas": 5e-8, "propane": 6e-8, "fuel_oil": 7e-8, "electricity": 1.1e-7,
    },
)  # fmt: skip
MEASURE_COST_USD = 1500.0


@lru_cache(maxsize=1)
def year_of(weather_source: str) -> WeatherYear:
    """The typical year of a file, read once a process."""
    return weather.read_weather(stations.resolve(weather_source))


def complete_result(house: House, year: WeatherYear) -> Analysis:
    """Everything a report would ask of a house, at the prices above."""
    return analysis.analyse_house(house, year, costs=_cost_of, prices=PRICES, year=YEAR)


def home_work(*, seed: int, weather_source: str) -> None:
    """Work one house at random out and keep nothing."""
    complete_result(bench.random_house(seed), year_of(weather_source))


def _cost_of(measure_id: str, kind: str, quantity: float, unit: str) -> float:
    return MEASURE_COST_USD
