"""Files of typical weather: read as an independent reader reads them, refused with line and column.

The independent reader is pvlib's, for TMY3 and EPW alike.
"""

from __future__ import annotations

import gzip
import io
from pathlib import Path

import numpy as np
import pvlib
import pytest

from calcs.errors import InputError
from calcs.weather_files import TEXT, check_weather, parse_weather
from tests.calcs.buildings import GREENSBORO, SHARED_WEATHER
from tests.calcs.weather_made import cell, epw, greensboro_year, tmy3

NAMES = {
    "dry_bulb_c": "temp_air", "dew_point_c": "temp_dew", "wind_m_per_s": "wind_speed",
    "ghi_w_per_m2": "ghi", "dni_w_per_m2": "dni", "dhi_w_per_m2": "dhi",
}  # fmt: skip
SAND_POINT = Path(pvlib.__file__).parent / "data" / "703165TY.csv"


def agrees(weather, table, place, *, pressure, pressure_factor, cloud):
    for series, name in NAMES.items():
        np.testing.assert_array_equal(getattr(weather, series), table[name].to_numpy(float))
    np.testing.assert_allclose(
        weather.pressure_pa, pressure_factor * table[pressure].to_numpy(float)
    )
    np.testing.assert_allclose(weather.opaque_cloud, table[cloud].to_numpy(float) / 10.0)
    assert weather.latitude_deg == float(place["latitude"])
    assert weather.longitude_deg == float(place["longitude"])
    assert weather.elevation_m == float(place["altitude"])
    assert weather.utc_offset_h == float(place["TZ"])


@pytest.mark.parametrize("path", [GREENSBORO, SAND_POINT])
def test_tmy3_reads_as_pvlib_reads_it(path):
    table, place = pvlib.iotools.read_tmy3(path, coerce_year=2001)
    agrees(
        parse_weather(path.read_bytes()), table, place, pressure="pressure",
        pressure_factor=100.0, cloud="OpqCld (tenths)",
    )  # fmt: skip


def test_epw_reads_as_pvlib_reads_it():
    raw = epw()
    table, place = pvlib.iotools.read_epw(io.StringIO(raw.decode()), coerce_year=2001)
    weather = parse_weather(raw)
    agrees(
        weather, table, place, pressure="atmospheric_pressure", pressure_factor=1.0,
        cloud="opaque_sky_cover",
    )  # fmt: skip
    # One decimal less than the source, and otherwise the same year.
    assert weather.annual_mean_c == pytest.approx(greensboro_year().annual_mean_c, abs=0.01)


def test_published_epw_reads_as_pvlib_reads_it():
    path = SHARED_WEATHER / "drycold-tmy1.epw.gz"
    if not path.exists():
        pytest.skip("the public suite's weather does not ship with the code")
    text = gzip.decompress(path.read_bytes()).decode("latin-1")
    table, place = pvlib.iotools.read_epw(io.StringIO(text), coerce_year=2001)
    agrees(
        parse_weather(path.read_bytes()), table, place, pressure="atmospheric_pressure",
        pressure_factor=1.0, cloud="opaque_sky_cover",
    )  # fmt: skip


def test_sound_file_is_described_and_stops_at_nothing():
    found = check_weather(GREENSBORO.read_bytes())
    assert (found.kind, found.rows, found.findings) == ("TMY3", 8760, ())
    assert (found.first_year, found.last_year) == (1980, 2003)
    assert found.units["pressure_pa"] == "mbar"
    assert (found.latitude_deg, found.longitude_deg, found.utc_offset_h) == (36.1, -79.95, -5.0)


def test_packed_and_marked_text_reads_too():
    raw = GREENSBORO.read_bytes()
    assert check_weather(gzip.compress(raw, 1)).weather == greensboro_year()
    assert check_weather(b"\xef\xbb\xbf" + raw).weather == greensboro_year()


def drop(line):
    def change(lines):
        del lines[line - 1]

    return change


def twice(line):
    def change(lines):
        lines.insert(line, lines[line - 1])

    return change


def fahrenheit(lines):
    for number in range(2, len(lines)):
        cells = lines[number].split(",")
        cells[31] = f"{float(cells[31]) * 0.6 + 32:.1f}"
        lines[number] = ",".join(cells)


def gap(start, count, column=31, mark="-9900"):
    def change(lines):
        for number in range(start, start + count):
            cell(number, column, mark)(lines)

    return change


STOPPED = [
    (b"", "empty", {}),
    (b"  \n", "empty", {}),
    (b"PK\x03\x04rest", "archive", {"kind": "zip"}),
    (gzip.compress(b"PK\x03\x04rest", mtime=0), "archive", {"kind": "zip"}),
    (b"7z\xbc\xaf\x27\x1c", "archive", {"kind": "7z"}),
    ("LOCATION,x".encode("utf-16"), "encoding", {"kind": "UTF-16"}),
    (b"abc\x00\x01", "encoding", {"kind": "binary data"}),
    (b"%PDF-1.7 text", "encoding", {"kind": "PDF"}),
    (b"x" * 12_000_001, "too_large", {"limit": 12}),
    (gzip.compress(b"a" * 41_000_000, 1, mtime=0), "too_large", {"limit": 40}),
    (gzip.compress(b"x" * 500, mtime=0)[:-20], "damaged", {}),
    (b"hello,world\n1,2\n", "format", {"line": "hello,world"}),
    (b"LOCATION,a,b\n", "few_columns", {"line": 1}),
    (tmy3(cell(1, 4, "north")), "header", {"line": 1, "what": "latitude", "value": "north"}),
    (tmy3(cell(1, 4, "136.1")), "place", {"what": "latitude", "low": -90.0, "high": 90.0}),
    (tmy3(drop(5000)), "short", {"rows": 8759}),
    (tmy3(drop(5000)), "jump", {"line": 5000}),
    (tmy3(twice(5000)), "jump", {"line": 5001}),
    (tmy3(twice(5000)), "long", {"rows": 8761}),
    (epw(leap=True), "leap", {"first": 9 + 59 * 24, "last": 9 + 60 * 24 - 1}),
    (tmy3(cell(2, 31, "Dry-bulb (F)")), "column_unit", {"column": "Dry-bulb", "unit": "F"}),
    (tmy3(cell(2, 46, "Wind")), "no_column", {"column": "Wspd (m/s)"}),
    (tmy3(cell(300, 31, "cold")), "not_a_number", {"line": 300, "value": "cold"}),
    (tmy3(cell(300, 31, "99.5")), "range", {"line": 300, "value": 99.5, "high": 60.0}),
    (tmy3(cell(300, 0, "Jan 13")), "stamp", {"line": 300}),
    (tmy3(fahrenheit), "fahrenheit", {}),
    (tmy3(gap(400, 5)), "gap", {"line": 400, "count": 5, "longest": 5}),
    (tmy3(gap(400, 5, mark="")), "gap", {"line": 400}),
    (tmy3(gap(411, 1, column=4)), "gap", {"column": "GHI", "count": 1}),
    (epw(pressure_pa=1013.0), "range", {"line": 9, "value": 1013.0}),
    (epw(roll_h=6), "night_sun", {}),
    (epw(longitude=100.0), "night_sun", {}),
    (epw(latitude=-36.1), "night_sun", {}),
]


@pytest.mark.parametrize(("raw", "code", "facts"), STOPPED, ids=lambda value: str(value)[:24])
def test_bad_file_stops_with_the_place_in_it(raw, code, facts):
    found = check_weather(raw)
    assert found.weather is None
    stop = next(item for item in found.stops if item.code == code)
    assert {name: stop.facts[name] for name in facts} == facts
    with pytest.raises(InputError, match="weather file: "):
        parse_weather(raw)


def test_wrong_unit_of_pressure_is_named():
    text = check_weather(epw(pressure_pa=1013.0)).stops[0].text
    assert text.startswith("Line 9, column pressure: 1013 lies outside 50000 to 110000 Pa.")
    assert "millibars" in text


def test_hours_within_the_hour_are_refused():
    raw = epw().replace(b"DATA PERIODS,1,1,", b"DATA PERIODS,1,4,")
    assert check_weather(raw).stops[0].facts == {"line": 8, "value": "4"}


def test_short_gap_is_bridged_by_a_straight_line_and_told():
    found = check_weather(tmy3(gap(400, 3)))
    assert [item.code for item in found.findings] == ["bridged"]
    assert found.findings[0].facts["line"] == 400
    whole = greensboro_year().dry_bulb_c
    bridged = found.weather.dry_bulb_c
    # Line 3 is the first hour, so lines 400 to 402 are hours 397 to 399.
    np.testing.assert_allclose(bridged[396:401], np.linspace(whole[396], whole[400], 5), atol=1e-12)
    assert (bridged[:397] == whole[:397]).all()


def test_numbers_that_disagree_are_told_but_do_not_stop():
    year = greensboro_year()
    found = check_weather(
        epw(
            elevation=895.0, dew_point_c=year.dry_bulb_c + 2.0, wind_m_per_s=11.0, zone=-5.0,
            ghi_w_per_m2=0.7 * year.ghi_w_per_m2,
        )
    )  # fmt: skip
    codes = {item.code for item in found.findings}
    assert {"elevation", "wet", "strong_wind", "closure", "one_year"} <= codes
    assert found.weather is not None


def test_missing_opaque_cover_takes_the_total():
    found = check_weather(epw(opaque_cloud=9.9))
    assert "cloud_total" in {item.code for item in found.findings}
    assert found.weather.opaque_cloud == pytest.approx(0.5)


def test_southern_hemisphere_is_read_rightly():
    """The same days half a year later at the mirrored latitude: the sun agrees again."""
    half = 24 * 182
    raw = epw(latitude=-36.1, roll_h=half)
    found = check_weather(raw)
    assert not found.stops
    weather = found.weather
    assert weather.monthly_means_c[0] > weather.monthly_means_c[6] + 10.0
    noon = weather.sun.north.reshape(365, 24, -1)[:, 12].mean(axis=1)
    # At noon the sun stands in the north all year.
    assert (noon > 0.0).all()
    assert weather.heating_degree_days_k() == pytest.approx(
        greensboro_year().heating_degree_days_k(), rel=0.01
    )


def test_wrong_half_of_the_earth_is_named():
    found = check_weather(epw(latitude=-36.1))
    assert "seasons" in {item.code for item in found.stops}


def test_every_sentence_has_its_facts():
    for code, text in TEXT.items():
        assert text.endswith((".", "%(hint)s")), code
