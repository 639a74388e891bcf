"""Infiltration and fans inside the heat balance, hour by hour."""

from __future__ import annotations

import numpy as np
import pytest

from calcs.errors import InputError
from calcs.handbook_infiltration import (
    basic_infiltration_m3_per_s,
    combined_ventilation_m3_per_s,
    enhanced_infiltration,
)
from calcs.hourly import simulate
from calcs.network import EnvelopeLeakage, Ventilation
from calcs.weather import between_readings, read_weather
from tests.calcs.buildings import GREENSBORO, house, steady_weather

MODEL = {"stories": 1, "shelter_class": 4, "foundation": "crawlspace"}
WARM = {"heating_setpoint_c": 20.0, "cooling_setpoint_c": 20.0}


def enhanced(temperature_difference_k, wind_m_per_s):
    """Handbook model of a house with C = 0.1 m³/(s Paⁿ), n = 0.65."""
    return enhanced_infiltration(
        0.1, 0.65, temperature_difference_k=temperature_difference_k,
        wind_m_per_s=wind_m_per_s, **MODEL,
    )  # fmt: skip


def envelope_leakage():
    unit = enhanced(1.0, 1.0)
    return EnvelopeLeakage(
        stack_m3_per_s=unit.stack_m3_per_s, wind_m3_per_s=unit.wind_m3_per_s, exponent=0.65
    )


def test_flow_follows_the_enhanced_model_in_every_hour():
    weather = read_weather(GREENSBORO)
    result = simulate(house(zone=WARM | {"infiltration": envelope_leakage()}), weather)

    outdoor = between_readings(weather.dry_bulb_c)
    wind = between_readings(weather.wind_m_per_s)
    expected = [
        enhanced(float(20.0 - t), float(u)).total_m3_per_s
        for t, u in zip(outdoor, wind, strict=True)
    ]
    got = result.zones["house"].infiltration_m3_per_s
    np.testing.assert_allclose(got, expected, rtol=1e-6, atol=1e-9)
    # Cold windy hours leak several times what mild still ones do: no yearly mean would do.
    assert np.quantile(got, 0.95) > 3.0 * np.quantile(got, 0.05)


def test_basic_model_is_the_case_of_exponent_one_half():
    weather = steady_weather(wind_m_per_s=4.0)
    area_m2 = 0.05
    options = {"stories": 2, "shelter_class": 3}
    stack = basic_infiltration_m3_per_s(
        area_m2, temperature_difference_k=1.0, wind_m_per_s=0.0, **options
    )
    wind = basic_infiltration_m3_per_s(
        area_m2, temperature_difference_k=0.0, wind_m_per_s=1.0, **options
    )
    leak = EnvelopeLeakage(stack_m3_per_s=stack, wind_m3_per_s=wind, exponent=0.5)

    result = simulate(house(zone=WARM | {"infiltration": leak}), weather)

    expected = basic_infiltration_m3_per_s(
        area_m2, temperature_difference_k=20.0, wind_m_per_s=4.0, **options
    )
    np.testing.assert_allclose(result.zones["house"].infiltration_m3_per_s, expected, rtol=1e-9)


def test_fans_add_to_infiltration_in_quadrature():
    weather = steady_weather(wind_m_per_s=3.0)
    zone = WARM | {"infiltration": envelope_leakage()}
    supply, exhaust, recovery = 0.02, 0.05, 0.6
    fans = Ventilation(
        zone="house", supply_m3_per_s=supply, exhaust_m3_per_s=exhaust, sensible_recovery=recovery
    )

    without = simulate(house(zone=zone), weather)
    with_fans = simulate(house(zone=zone, ventilation=(fans,)), weather)

    leak = enhanced(20.0, 3.0).total_m3_per_s
    total = combined_ventilation_m3_per_s(
        balanced_m3_per_s=supply * (1.0 - recovery),
        unbalanced_m3_per_s=exhaust - supply,
        infiltration_m3_per_s=leak,
    )
    by_leaks = without.components["infiltration"].annual_kwh
    assert with_fans.components["infiltration"].annual_kwh == pytest.approx(by_leaks, rel=1e-9)
    added = with_fans.components["ventilation"].annual_kwh
    assert added / by_leaks == pytest.approx(total / leak - 1.0, rel=1e-9)
    assert with_fans.heating_kwh - without.heating_kwh == pytest.approx(added, rel=1e-6)


def test_thin_air_carries_less_heat():
    low = simulate(house(zone=WARM), steady_weather())
    high = simulate(house(zone=WARM), steady_weather(pressure_pa=83_000.0))

    ratio = high.components["infiltration"].annual_kwh / low.components["infiltration"].annual_kwh
    assert ratio == pytest.approx(83_000.0 / 101_325.0, rel=1e-9)


@pytest.mark.parametrize(
    ("changes", "message"),
    [
        ({"exponent": 0.4}, "flow exponent must be from 0.5 to 1"),
        ({"stack_m3_per_s": -1.0}, "stack flow"),
    ],
)
def test_impossible_leakage_is_refused(changes, message):
    values = {"stack_m3_per_s": 0.01, "wind_m3_per_s": 0.01, "exponent": 0.65} | changes
    with pytest.raises(InputError, match=message):
        EnvelopeLeakage(**values)
