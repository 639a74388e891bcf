"""Natural convection at faces: the correlation and its height above the sea.

Air and plate formulas worked here on their own: Churchill and Chu, International Journal of Heat
and Mass Transfer 18 (1975) 1323-1329, upright plate at any Rayleigh number (memory); Sutherland's
viscosity and a linear conductivity of air (memory).
"""

from __future__ import annotations

import pytest

from calcs import _kernels
from calcs._assembly import SEA_LEVEL_PA, assemble, thin_air
from calcs.hourly import simulate
from calcs.network import Options
from tests.calcs.buildings import house, steady_weather

DENVER_PA = 83_460.0  # mean of the station's year


def upright_plate_w_per_m2k(difference_k: float, pressure_pa: float, height_m: float) -> float:
    kelvin = 293.15
    density = pressure_pa / (287.055 * kelvin)
    viscosity = 1.458e-6 * kelvin**1.5 / (kelvin + 110.4) / density
    conductivity = 0.0243 + 7.0e-5 * (kelvin - 273.15)
    diffusivity = conductivity / (density * 1006.0)
    prandtl = viscosity / diffusivity
    rayleigh = 9.81 / kelvin * difference_k * height_m**3 / (viscosity * diffusivity)
    bracket = (1.0 + (0.492 / prandtl) ** (9.0 / 16.0)) ** (8.0 / 27.0)
    return (0.825 + 0.387 * rayleigh ** (1.0 / 6.0) / bracket) ** 2 * conductivity / height_m


@pytest.mark.parametrize("difference_k", [1.0, 3.0, 10.0])
def test_upright_face_convects_about_like_a_plate(difference_k):
    # The two are different fits to measurements, which scatter by this much.
    got = _kernels.natural_convection(difference_k, 0.0)

    assert got == pytest.approx(upright_plate_w_per_m2k(difference_k, SEA_LEVEL_PA, 2.5), rel=0.2)


@pytest.mark.parametrize("difference_k", [1.0, 3.0, 10.0])
@pytest.mark.parametrize("pressure_pa", [DENVER_PA, 94_000.0])
def test_thin_air_convects_less_by_as_much_as_a_plate_says(difference_k, pressure_pa):
    high, low = (upright_plate_w_per_m2k(difference_k, p, 2.5) for p in (pressure_pa, SEA_LEVEL_PA))

    # Not yet wholly turbulent at a kelvin, the plate falls a little less than its limit does.
    assert thin_air(pressure_pa) == pytest.approx(high / low, rel=0.01)


def test_air_of_sea_level_is_not_corrected():
    assert thin_air(SEA_LEVEL_PA) == 1.0


def test_station_pressure_reaches_the_balance():
    network, options = house(), Options(warmup_days=1)
    low, high = steady_weather(), steady_weather(pressure_pa=DENVER_PA)
    ratio = assemble(network, high, options).thinness / assemble(network, low, options).thinness
    loss = [simulate(network, year, options).components["floor"].annual_kwh
            for year in (low, high)]  # fmt: skip

    assert ratio == pytest.approx((DENVER_PA / 101_325.0) ** (2.0 / 3.0))
    # The floor meets air alone, no sky, so its loss can only fall with both its films.
    assert 0.9 * loss[0] < loss[1] < loss[0]
