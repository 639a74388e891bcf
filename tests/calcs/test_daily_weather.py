"""Daily weather out of a table: units, gaps, and faults named by their line."""

from __future__ import annotations

from datetime import date

import numpy as np
import pytest

from calcs.daily_weather import DailyWeather, normal_months, read_daily
from calcs.errors import InputError
from tests.factories.weather import greensboro


def table(text, **settings):
    return read_daily(text, **{"name": "station", "source": "test", "unit": None, **settings})


def test_mean_of_maximum_and_minimum_in_the_unit_of_the_heading():
    found = table("date,tmax_f,tmin_f\n2026-01-01,50,32\n2026-01-03,59,41\n")
    assert found.mean_c[0] == pytest.approx(5.0)
    assert np.isnan(found.mean_c[1])
    assert (found.first_on, found.last_on, found.missing_days) == (
        date(2026, 1, 1), date(2026, 1, 3), 1,
    )  # fmt: skip
    same = table("date,tmean\n01/01/2026,5\n2026/01/03,10\n", unit="C")
    assert same.mean_c[2] == pytest.approx(10.0)


def test_days_outside_are_missing_not_zero():
    found = table("date,tmean_c\n2026-01-01,5\n2026-01-02,\n2026-01-03,7\n")
    days = found.between(date(2025, 12, 31), date(2026, 1, 5))
    assert np.isnan(days).tolist() == [True, False, True, False, True]
    assert found.completeness(date(2025, 12, 31), date(2026, 1, 5)) == pytest.approx(0.4)
    assert found.between(date(2027, 1, 1), date(2027, 1, 3)).tolist() != [0.0, 0.0]
    assert found.completeness(date(2027, 1, 1), date(2027, 1, 3)) == 0.0


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("", "names no column 'date'"),
        ("date,rain\n2026-01-01,1\n", "neither a daily mean nor"),
        ("date,tmean\n2026-01-01,1\n", "°C or °F"),
        ("date,tmean_c\n", "no day"),
        ("date,tmean_c\n2026-02-30,1\n", "Line 2: '2026-02-30' is not a date"),
        ("date,tmean_c\n2026-01-01,1\n2026-01-01,2\n", "Line 3: 2026-01-01 is there twice"),
        ("date,tmean_c\n2026-01-01,warm\n", "Line 2: 'warm' is not a temperature"),
        ("date,tmean_c\n2026-01-01,77\n", "Line 2: 77 °C is outside"),
        ("date,tmax_c,tmin_c\n2026-01-01,1,4\n", "minimum is above"),
        ("date,tmean_c\n1700-01-01,1\n2026-01-01,1\n", "run from 1700"),
        ("date,tmean_c\n2026-01-01,\n", "no day with a temperature"),
    ],
)
def test_faults_are_named(text, words):
    with pytest.raises(InputError, match=words):
        table(text)


def test_a_unit_that_contradicts_the_heading_is_refused():
    with pytest.raises(InputError, match="says °C"):
        table("date,tmean_c\n2026-01-01,1\n", unit="F")
    with pytest.raises(InputError, match="between -70"):
        DailyWeather(name="", source="", first_on=date(2026, 1, 1), mean_c=np.array([80.0]))


def test_typical_year_is_twelve_months_of_days():
    months = normal_months(greensboro())
    assert [item.days for item in months] == [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    mean = sum(item.temperatures_c.sum() for item in months) / 365
    assert mean == pytest.approx(greensboro().annual_mean_c)
