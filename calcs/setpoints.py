"""Thermostat set-points hour by hour, and the months in which anybody heats or cools."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from calcs.inputs import House
from calcs.network import HOURS, FloatArray
from calcs.weather import MONTH_DAYS, WeatherYear

LONG_WAY_OFF_C = 100.0
# Months that people heat or cool in, by the month's mean outdoor temperature: in the warm months
# the thermostat is off, in mild ones the windows are open. Common practice, no source.
HEATING_BELOW_C = 20.0
COOLING_ABOVE_C = 17.5
SETBACK_ENDS_AT_HOUR = 6
SETUP_ENDS_AT_HOUR = 17


def _month_mask(is_on: Sequence[bool]) -> np.ndarray:
    return np.repeat(np.array(is_on, dtype=bool), np.array(MONTH_DAYS) * 24)


def _daily(hours_back: float, ends_at: int) -> np.ndarray:
    """Hours of the day (24) inside a period that ends at a clock hour."""
    hours = np.arange(24)
    since = (ends_at - 1 - hours) % 24
    return since < round(hours_back)


def heating_setpoints(house: House, weather: WeatherYear) -> FloatArray:
    """Heating set-point by hour; far down in the months when nobody heats. [°C]"""
    control = house.thermostat
    day = np.full(24, control.heating_c)
    day[_daily(control.setback_hours_per_day, SETBACK_ENDS_AT_HOUR)] -= control.heating_setback_k
    year = np.tile(day, HOURS // 24)
    is_on = _month_mask([bool(mean < HEATING_BELOW_C) for mean in weather.monthly_means_c])
    return np.where(is_on, year, -LONG_WAY_OFF_C)


def cooling_setpoints(house: House, weather: WeatherYear) -> FloatArray:
    """Cooling set-point by hour; far up in the months when nobody cools. [°C]"""
    control = house.thermostat
    day = np.full(24, max(control.cooling_c, control.heating_c + 0.5))
    day[_daily(control.setback_hours_per_day, SETUP_ENDS_AT_HOUR)] += control.cooling_setup_k
    year = np.tile(day, HOURS // 24)
    is_on = _month_mask([bool(mean > COOLING_ABOVE_C) for mean in weather.monthly_means_c])
    return np.where(is_on, year, 2.0 * LONG_WAY_OFF_C)
