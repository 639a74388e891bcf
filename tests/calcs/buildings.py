"""Small buildings and made-up weather shared by the tests of the hourly model."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import numpy as np
import pvlib
import pytest

from calcs.glazing import from_ratings
from calcs.network import AirChange, Layer, Network, OpaqueElement, Window, Zone
from calcs.weather import WeatherYear, read_weather

GREENSBORO = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"
# Where a folder beside the repository keeps the public suites' weather, which is not part of it.
SHARED_WEATHER = Path(__file__).parents[3] / "shared" / "weather"


def shared_weather(name: str) -> WeatherYear:
    """The weather of a public suite, when present; skips the test when it is not."""
    path = SHARED_WEATHER / name
    if not path.exists():
        pytest.skip(f"the public suites' weather is not in ../shared/weather: {name}")
    return read_weather(path)


def steady_weather(**changes: Any) -> WeatherYear:
    """A year without sun, wind or change: 0 °C at sea level."""
    values: dict[str, Any] = {
        "dry_bulb_c": 0.0, "dew_point_c": -5.0, "pressure_pa": 101325.0, "wind_m_per_s": 0.0,
        "ghi_w_per_m2": 0.0, "dni_w_per_m2": 0.0, "dhi_w_per_m2": 0.0, "opaque_cloud": 0.0,
    }  # fmt: skip
    values |= changes
    series = {key: np.broadcast_to(value, 8760) for key, value in values.items()}
    return WeatherYear(
        name="steady", latitude_deg=40.0, longitude_deg=-75.0, elevation_m=0.0, utc_offset_h=-5.0,
        **series,
    )  # fmt: skip


BATT = (Layer.solid(0.012, 0.16, 800.0, 1090.0), Layer.resistance(2.0), Layer.resistance(0.2))


def house(**changes: Any) -> Network:
    """A house of 100 m² under an attic, with windows on two sides; heat below 20, cool above 25."""
    wall_r = changes.pop("wall_r_m2k_per_w", 2.0)
    zone_changes = changes.pop("zone", {})
    wall = (BATT[0], Layer.resistance(wall_r), BATT[2])
    zone: dict[str, Any] = {
        "name": "house", "volume_m3": 250.0, "heating_setpoint_c": 20.0,
        "cooling_setpoint_c": 25.0, "convective_gain_w": 200.0, "radiant_gain_w": 200.0,
        "infiltration": AirChange(air_changes_per_hour=0.4),
    }  # fmt: skip
    zones = (
        Zone(**(zone | zone_changes)),
        Zone(
            name="attic", volume_m3=80.0, is_conditioned=False,
            infiltration=AirChange(air_changes_per_hour=3.0),
        ),
    )  # fmt: skip
    elements = [
        OpaqueElement(
            name=f"wall {azimuth}", component="walls", area_m2=22.0, layers=wall, zone_in="house",
            azimuth_deg=azimuth,
        )
        for azimuth in (0.0, 90.0, 180.0, 270.0)
    ]  # fmt: skip
    elements += [
        OpaqueElement(name="ceiling", component="ceiling", area_m2=100.0, layers=BATT[:2],
                      zone_in="house", zone_out="attic", tilt_deg=0.0),
        OpaqueElement(name="floor", component="floor", area_m2=100.0, layers=BATT[1:],
                      zone_in="house", tilt_deg=180.0, is_sheltered=True),
        OpaqueElement(name="roof", component="roof", area_m2=110.0, layers=BATT[2:],
                      zone_in="attic", tilt_deg=20.0),
        OpaqueElement(name="partition", component="inside", area_m2=60.0, layers=BATT[:1] * 2,
                      zone_in="house", zone_out="house"),
    ]  # fmt: skip
    windows = [
        Window(name=f"glass {azimuth}", zone="house", area_m2=6.0, azimuth_deg=azimuth,
               glazing=from_ratings(2.8, 0.6))
        for azimuth in (0.0, 180.0)
    ]  # fmt: skip
    parts: dict[str, Any] = {"zones": zones, "elements": elements, "windows": windows}
    return Network(**(parts | changes))
