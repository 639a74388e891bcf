"""The sun on planes of any orientation.

The sun's place is taken at several instants in each hour. Direct radiation of the hour falls from
the instants at which the sun is up, so sunrise and sunset hours need no special rule.

References
----------
Perez, Ineichen, Seals, Michalsky and Stewart, "Modeling daylight availability and irradiance
components from direct and global irradiance", Solar Energy 44 (1990) 271-289, as coded in pvlib.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from calcs.errors import InputError

if TYPE_CHECKING:
    from calcs.weather import WeatherYear

FloatArray = NDArray[np.float64]

INSTANTS = 6  # per hour
TYPICAL_YEAR = 2001  # any common year: a typical year is made of months of several years


@dataclass(frozen=True, eq=False, kw_only=True)
class SunYear:
    """Direction to the sun at INSTANTS evenly spread instants in each hour.

    Parameters
    ----------
    east, north, up : ndarray, shape (8760, INSTANTS)
        Direction cosines; up is not positive while the sun is down. [-]
    """

    east: FloatArray
    north: FloatArray
    up: FloatArray


@dataclass(frozen=True, eq=False, kw_only=True)
class PlaneSun:
    """Irradiance of one plane by origin, means of each hour, shape (8760,). [W/m²]

    ``beam`` is direct, ``circumsolar`` the brightness about the sun, ``sky`` the even dome,
    ``horizon`` the bright rim (may be negative), ``ground`` the light from below for a ground that
    reflects everything.
    """

    beam: FloatArray
    circumsolar: FloatArray
    sky: FloatArray
    horizon: FloatArray
    ground: FloatArray

    def total(self, ground_reflectance: float) -> FloatArray:
        """All of it together, shape (8760,). [W/m²]"""
        above = self.beam + self.circumsolar + self.sky + self.horizon
        return np.maximum(above, 0.0) + ground_reflectance * self.ground


@lru_cache(maxsize=16)
def sun_year(latitude_deg: float, longitude_deg: float, utc_offset_h: float) -> SunYear:
    """The sun's course over a common year in local standard time."""
    # Imported where the sun is computed: these two take seconds, and most commands never do.
    import pandas as pd
    from pvlib.solarposition import spa_python

    minutes = np.arange(8760 * INSTANTS) * (60.0 / INSTANTS) + 30.0 / INSTANTS
    start = pd.Timestamp(year=TYPICAL_YEAR, month=1, day=1, tz="UTC")
    times = start + pd.to_timedelta(minutes - 60.0 * utc_offset_h, unit="min")
    place = spa_python(pd.DatetimeIndex(times), latitude_deg, longitude_deg)
    elevation = np.radians(place["elevation"].to_numpy())
    azimuth = np.radians(place["azimuth"].to_numpy())
    shape = (8760, INSTANTS)
    return SunYear(
        east=(np.cos(elevation) * np.sin(azimuth)).reshape(shape),
        north=(np.cos(elevation) * np.cos(azimuth)).reshape(shape),
        up=np.sin(elevation).reshape(shape),
    )


def plane_axes(azimuth_deg: float, tilt_deg: float) -> FloatArray:
    """Unit vectors (east, north, up) of a plane, shape (3, 3): sideways, upward, outward.

    Sideways points to the right of a person who stands outside and looks at the plane.
    """
    azimuth, tilt = np.radians(azimuth_deg), np.radians(tilt_deg)
    outward = np.array(
        [np.sin(tilt) * np.sin(azimuth), np.sin(tilt) * np.cos(azimuth), np.cos(tilt)]
    )
    sideways = np.array([-np.cos(azimuth), np.sin(azimuth), 0.0])
    return np.vstack([sideways, np.cross(outward, sideways), outward])


def cosines_of_incidence(sun: SunYear, azimuth_deg: float, tilt_deg: float) -> FloatArray:
    """Cosine of incidence, 0 behind the plane or while the sun is down, shape (8760, INSTANTS)."""
    outward = plane_axes(azimuth_deg, tilt_deg)[2]
    cosine = outward[0] * sun.east + outward[1] * sun.north + outward[2] * sun.up
    return np.where(sun.up > 0.0, np.maximum(cosine, 0.0), 0.0)


@lru_cache(maxsize=96)
def plane_sun(
    weather: WeatherYear, azimuth_deg: float, tilt_deg: float, transposition: str = "perez"
) -> PlaneSun:
    """Irradiance of a plane; kept for the last planes asked for.

    Parameters
    ----------
    weather : WeatherYear
    azimuth_deg, tilt_deg : float
        Of the outward normal; clockwise from north, from the zenith. [degrees]
    transposition : {"perez", "isotropic"}

    Raises
    ------
    InputError
        Unknown transposition.
    """
    sun = weather.sun
    is_up = sun.up > 0.0
    instants_up = np.maximum(is_up.sum(axis=1), 1)
    cosine = cosines_of_incidence(sun, azimuth_deg, tilt_deg).sum(axis=1) / instants_up
    beam = weather.dni_w_per_m2 * cosine
    tilt = np.radians(tilt_deg)
    ground = weather.ghi_w_per_m2 * (1.0 - np.cos(tilt)) / 2.0
    if transposition == "isotropic":
        sky = weather.dhi_w_per_m2 * (1.0 + np.cos(tilt)) / 2.0
        none = np.zeros_like(sky)
        return PlaneSun(beam=beam, circumsolar=none, sky=sky, horizon=none, ground=ground)
    if transposition != "perez":
        raise InputError(f"transposition must be perez or isotropic, got {transposition!r}")
    from pvlib.atmosphere import get_relative_airmass
    from pvlib.irradiance import perez

    zenith_deg, azimuth_sun_deg = mean_sun(sun)
    parts = perez(
        tilt_deg,
        azimuth_deg,
        dhi=weather.dhi_w_per_m2,
        dni=weather.dni_w_per_m2,
        dni_extra=_extraterrestrial_w_per_m2(),
        solar_zenith=zenith_deg,
        solar_azimuth=azimuth_sun_deg,
        airmass=get_relative_airmass(zenith_deg),
        return_components=True,
    )

    def part(name: str) -> FloatArray:
        # The model is undefined without diffuse light or sun: then there is nothing to transpose.
        return np.nan_to_num(np.asarray(parts[f"poa_{name}"], dtype=np.float64))

    return PlaneSun(
        beam=beam,
        circumsolar=part("circumsolar"),
        sky=part("isotropic"),
        horizon=part("horizon"),
        ground=ground,
    )


@lru_cache(maxsize=96)
def plane_total(
    weather: WeatherYear,
    azimuth_deg: float,
    tilt_deg: float,
    transposition: str,
    ground_reflectance: float,
) -> FloatArray:
    """All light on a plane, shape (8760,), read-only. [W/m²]"""
    total = plane_sun(weather, azimuth_deg, tilt_deg, transposition).total(ground_reflectance)
    total.setflags(write=False)
    return total


def mean_sun(sun: SunYear) -> tuple[FloatArray, FloatArray]:
    """Zenith and azimuth of the mean direction over the sun-up part of each hour. [degrees]

    Hours without sun get a zenith of 90 or more.
    """
    weight = (sun.up > 0.0).astype(np.float64)
    is_dark = weight.sum(axis=1) == 0.0
    weight[is_dark] = 1.0
    east, north, up = ((weight * part).sum(axis=1) for part in (sun.east, sun.north, sun.up))
    zenith = np.degrees(np.arctan2(np.hypot(east, north), up))
    return zenith, np.degrees(np.arctan2(east, north)) % 360.0


@lru_cache(maxsize=1)
def _extraterrestrial_w_per_m2() -> FloatArray:
    from pvlib.irradiance import get_extra_radiation

    day = np.repeat(np.arange(1, 366), 24)
    return np.asarray(get_extra_radiation(day), dtype=np.float64)
