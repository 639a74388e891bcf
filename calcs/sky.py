"""Temperature of the sky that surfaces radiate to.

References
----------
Martin and Berdahl, "Characteristics of infrared sky radiation in the United States", Solar Energy
33 (1984) 321-336; Walton, NBSIR 83-2655 (1983) for the Clark and Allen emittance with the cloud
polynomial. Both from memory; checked against the sky temperatures published with the public
thermal-fabric cases.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from calcs.errors import InputError
from calcs.weather import WeatherYear

FloatArray = NDArray[np.float64]

KELVIN = 273.15
# Share of a black body's radiation that opaque cloud of no known height adds in the window of
# the atmosphere: emittance of the cloud times its weakening with height, for a base at 1 to 2 km.
CLOUD_STRENGTH = 0.8


def sky_temperature_c(weather: WeatherYear, model: str = "martin_berdahl") -> FloatArray:
    """Sky temperature at the end of each hour, as the readings it is made of, shape (8760,). [°C]

    Parameters
    ----------
    weather : WeatherYear
    model : {"martin_berdahl", "clark_allen"}

    Raises
    ------
    InputError
        Unknown model.
    """
    air_k = weather.dry_bulb_c + KELVIN
    dew_c = np.minimum(weather.dew_point_c, weather.dry_bulb_c)
    if model == "martin_berdahl":
        hundredth = dew_c / 100.0
        hour = np.tile(np.arange(1.0, 25.0), 365)
        clear = 0.711 + 0.56 * hundredth + 0.73 * hundredth**2
        clear = clear + 0.013 * np.cos(2.0 * np.pi * hour / 24.0)
        clear = clear + 1.2e-6 * (weather.pressure_pa - 1.0e5)
        emittance = clear + (1.0 - clear) * CLOUD_STRENGTH * weather.opaque_cloud
    elif model == "clark_allen":
        tenths = 10.0 * weather.opaque_cloud
        clear = 0.787 + 0.764 * np.log((dew_c + KELVIN) / 273.0)
        cloud = 1.0 + 0.0224 * tenths - 0.0035 * tenths**2 + 0.00028 * tenths**3
        emittance = clear * cloud
    else:
        raise InputError(f"sky model must be martin_berdahl or clark_allen, got {model!r}")
    emittance = np.clip(emittance, 0.0, 1.0)
    return np.asarray(air_k * emittance**0.25 - KELVIN)
