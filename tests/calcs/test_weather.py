"""Weather files, the sun on planes, and the temperature of the sky."""

from __future__ import annotations

import gzip

import numpy as np
import pytest

from calcs.errors import InputError
from calcs.sky import sky_temperature_c
from calcs.solar import plane_sun
from calcs.suites.fabric import RANGES, WEATHER_FILE
from calcs.suites.rows import published_ranges
from calcs.weather import between_readings, monthly, read_weather
from calcs.weather_files import parse_weather
from tests.calcs.buildings import GREENSBORO, shared_weather, steady_weather


def test_greensboro_reads_with_its_place_and_units():
    weather = read_weather(GREENSBORO)

    # Header of the file itself.
    assert (weather.latitude_deg, weather.longitude_deg) == (36.1, -79.95)
    assert (weather.elevation_m, weather.utc_offset_h) == (273.0, -5.0)
    assert weather.name == "GREENSBORO PIEDMONT TRIAD INT, NC"
    # Station pressure of an atmosphere at 273 m is about 981 hPa.
    assert weather.mean_pressure_pa == pytest.approx(98_100, rel=0.01)


@pytest.mark.parametrize(
    ("file", "heating_degf_days", "cooling_degf_days", "mean_c", "global_kwh"),
    [
        # Station table of the weather folder: counted there with another program.
        ("725650-tmy3.csv.gz", 5784, 884, 10.88, 1670),
        ("723860-tmy3.csv.gz", 2329, 3316, 19.84, 2032),
        ("drycold-tmy1.epw.gz", 6248, 579, 9.71, 1832),
    ],
)
def test_degree_days_and_radiation_agree_with_the_station_table(
    file, heating_degf_days, cooling_degf_days, mean_c, global_kwh
):
    weather = shared_weather(file)

    assert weather.heating_degree_days_k() * 1.8 == pytest.approx(heating_degf_days, abs=0.6)
    assert weather.cooling_degree_days_k() * 1.8 == pytest.approx(cooling_degf_days, abs=0.6)
    assert weather.annual_mean_c == pytest.approx(mean_c, abs=0.006)
    assert weather.ghi_w_per_m2.sum() / 1000 == pytest.approx(global_kwh, abs=0.6)


@pytest.mark.parametrize(
    ("plane", "azimuth_deg", "tilt_deg", "computed_kwh"),
    [
        # Values computed elsewhere with the same model and file; the published range is beside.
        ("Horizontal", 180.0, 0.0, 1672), ("North", 0.0, 90.0, 433), ("East", 90.0, 90.0, 1060),
        ("South", 180.0, 90.0, 1369), ("West", 270.0, 90.0, 968),
    ],
)  # fmt: skip
def test_irradiation_of_planes_at_denver(plane, azimuth_deg, tilt_deg, computed_kwh):
    weather = shared_weather(WEATHER_FILE)

    got = plane_sun(weather, azimuth_deg, tilt_deg).total(0.2).sum() / 1000

    # Another way of averaging the sun over the hour moves it by 0.2 %.
    assert got == pytest.approx(computed_kwh, rel=0.003)
    (item,) = [
        row
        for row in published_ranges(RANGES)
        if row.quantity == "incident_kwh_per_m2" and row.case == f"600 {plane}"
    ]
    assert item.low <= got <= item.high


@pytest.mark.parametrize("model", ["martin_berdahl", "clark_allen"])
def test_sky_temperature_at_denver_is_inside_the_published_ranges(model):
    sky = sky_temperature_c(shared_weather(WEATHER_FILE), model)

    # Std 140-2020 example results; half a kelvin for the lowest and highest single hour is not
    # given: the ends themselves are the limits, to the printed tenth.
    assert -5.9 <= sky.mean() <= -1.9
    assert -46.9 <= round(sky.min(), 1) <= -37.9
    assert 24.6 <= sky.max() <= 30.1


def test_isotropic_sky_on_a_vertical_plane_is_half_the_dome():
    weather = steady_weather(dhi_w_per_m2=100.0, ghi_w_per_m2=100.0)

    sun = plane_sun(weather, 180.0, 90.0, "isotropic")

    np.testing.assert_allclose(sun.sky, 50.0)
    np.testing.assert_allclose(sun.total(0.2), 50.0 + 0.2 * 50.0)


def test_values_between_readings_are_on_straight_lines():
    readings = np.zeros(8760)
    readings[1] = 8.0

    np.testing.assert_allclose(between_readings(readings)[:4], [0.0, 4.0, 4.0, 0.0])
    quarters = between_readings(readings, steps_per_hour=4)
    np.testing.assert_allclose(quarters[4:12], [1.0, 3.0, 5.0, 7.0, 7.0, 5.0, 3.0, 1.0])


def test_monthly_sums_have_the_days_of_the_months():
    np.testing.assert_array_equal(
        monthly(np.ones(8760)) / 24, [31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31]
    )


def test_design_temperatures_are_exceeded_in_their_share_of_hours():
    weather = read_weather(GREENSBORO)

    assert (weather.dry_bulb_c > weather.heating_design_c()).mean() == pytest.approx(
        0.99, abs=0.003
    )
    assert (weather.dry_bulb_c > weather.cooling_design_c()).mean() == pytest.approx(
        0.01, abs=0.003
    )


def test_cached_year_equals_the_parsed_one(tmp_path):
    first = read_weather(GREENSBORO, cache_dir=tmp_path)
    again = read_weather(GREENSBORO, cache_dir=tmp_path)

    assert again == first
    assert hash(again) == hash(first)
    assert again is not first
    np.testing.assert_array_equal(again.sun.up, first.sun.up)


def test_damaged_cache_is_made_anew(tmp_path):
    first = read_weather(GREENSBORO, cache_dir=tmp_path)
    (store,) = tmp_path.iterdir()
    store.write_bytes(b"PK\x03\x04 not an archive")

    assert read_weather(GREENSBORO, cache_dir=tmp_path) == first


@pytest.mark.parametrize(
    ("raw", "message"),
    [
        (b"hello,world\n1,2\n", "neither TMY3 nor EPW"),
        (gzip.compress(b"x" * 100)[:-20], "damaged"),
        (GREENSBORO.read_bytes()[:400_000], "2046 hours; a year has 8,760"),
    ],
)
def test_a_file_that_is_no_weather_year_is_refused(raw, message):
    with pytest.raises(InputError, match=message):
        parse_weather(raw)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"dry_bulb_c": 90.0}, "dry_bulb_c must be from -70 to 60 °C"),
        ({"pressure_pa": 1013.0}, "pressure_pa must be from 50000"),
        ({"wind_m_per_s": np.nan}, "wind_m_per_s lacks 8760 of 8760 hours"),
        ({"opaque_cloud": 5.0}, "opaque_cloud must be from 0 to 1"),
    ],
)
def test_impossible_weather_is_refused(changes, message):
    with pytest.raises(InputError, match=message):
        steady_weather(**changes)
