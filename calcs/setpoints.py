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


def _daily(hours_back: float, ends_at: int) -> FloatArray:
    """Part of each hour of the day (24) inside a period that ends at a clock hour. [-]

    A period of 7.5 hours takes half of its first hour, so that longer is never less.
    """
    hours = np.arange(24)
    since = (ends_at - 1 - hours) % 24
    return np.clip(hours_back - since, 0.0, 1.0)


def heating_setpoints(house: House, weather: WeatherYear) -> FloatArray:
    """Heating set-point by hour; far down in the months when nobody heats. [°C]"""
    control = house.thermostat
    back = _daily(control.setback_hours_per_day, SETBACK_ENDS_AT_HOUR)
    day = control.heating_c - control.heating_setback_k * back
    if control.heating_by_hour_c is not None:
        day = np.array(control.heating_by_hour_c)
    year = np.tile(day, HOURS // 24)
    is_on = _month_mask([bool(mean < HEATING_BELOW_C) for mean in weather.monthly_means_c])
    return np.where(is_on, year, -LONG_WAY_OFF_C)


def cooling_setpoints(house: House, weather: WeatherYear) -> FloatArray:
    """Cooling set-point by hour; far up in the months when nobody cools. [°C]

    Never within half a kelvin of the heating set-point of the same hour.
    """
    control = house.thermostat
    up = _daily(control.setback_hours_per_day, SETUP_ENDS_AT_HOUR)
    day = control.cooling_c + control.cooling_setup_k * up
    if control.cooling_by_hour_c is not None:
        day = np.array(control.cooling_by_hour_c)
    warmest = control.heating_c
    if control.heating_by_hour_c is not None:
        warmest = max(control.heating_by_hour_c)
    year = np.tile(np.maximum(day, warmest + 0.5), HOURS // 24)
    is_on = _month_mask([bool(mean > COOLING_ABOVE_C) for mean in weather.monthly_means_c])
    return np.where(is_on, year, 2.0 * LONG_WAY_OFF_C)
