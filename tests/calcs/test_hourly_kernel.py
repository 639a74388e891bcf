"""The compiled loop against its plain Python twin, and its parts against linear algebra."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import _jit, _kernels
from calcs._assembly import assemble
from calcs._faces import star_views
from calcs.hourly import march
from calcs.network import (
    AirPath,
    DistributionLoss,
    EnvelopeLeakage,
    Options,
    Ventilation,
)
from calcs.weather import read_weather
from tests.calcs.buildings import GREENSBORO, house

PARTS = ("natural_convection", "constant_convection", "sweep", "eliminate", "settle_plant", "run")


@pytest.mark.parametrize(
    "options",
    [
        Options(warmup_days=1, engine="full"),
        Options(
            warmup_days=1,
            engine="full",
            steps_per_hour=4,
            interior_convection="constant",
            exterior_convection="constant",
        ),
    ],
)
def test_compiled_loop_equals_plain_python(monkeypatch, options):
    leak = EnvelopeLeakage(stack_m3_per_s=0.006, wind_m3_per_s=0.004, exponent=0.65)
    network = house(
        zone={"infiltration": leak, "heating_capacity_w": 3000.0},
        ventilation=(Ventilation(zone="house", exhaust_m3_per_s=0.03, supply_m3_per_s=0.01),),
        air_paths=(AirPath(source_zone="house", target_zone="attic", share_of_infiltration=0.5,
                           infiltration_zone="house", flow_m3_per_s=0.001),),
        distribution_losses=(DistributionLoss(zone="house", to_zone="attic", heating_factor=0.2,
                                              cooling_factor=0.1),),
    )  # fmt: skip
    assembly = assemble(network, read_weather(GREENSBORO), options)
    compiled = march(assembly, options, hours=48)

    for name in PARTS:
        monkeypatch.setattr(_kernels, name, getattr(_kernels, name).py_func)
    plain = march(assembly, options, hours=48)

    assert compiled.heating[0, :48].sum() > 0.0
    for name in compiled._fields:
        np.testing.assert_allclose(
            getattr(compiled, name), getattr(plain, name), rtol=1e-9, atol=1e-7, err_msg=name
        )


@settings(max_examples=30, deadline=None)
@given(
    links=st.lists(st.floats(0.01, 50.0), min_size=0, max_size=8),
    film_a=st.floats(0.5, 30.0),
    film_b=st.floats(0.0, 30.0),
    inertia=st.floats(0.0, 40.0),
)
def test_sweep_solves_the_chain(links, film_a, film_b, inertia):
    size = len(links) + 1
    matrix = np.diag(np.full(size, inertia))
    matrix[0, 0] += film_a
    matrix[-1, -1] += film_b
    for i, link in enumerate(links):
        matrix[i : i + 2, i : i + 2] += link * np.array([[1.0, -1.0], [-1.0, 1.0]])
    right = np.linspace(1.0, 2.0, size)
    constant, one_a, one_b = right.copy(), np.zeros(size), np.zeros(size)

    _kernels.sweep(
        0, size - 1, np.diag(matrix).copy(), np.array([*links, 0.0]), constant, one_a, one_b, True
    )

    unit_a, unit_b = np.eye(size)[0], np.eye(size)[-1]
    for got, wanted in ((constant, right), (one_a, unit_a), (one_b, unit_b)):
        np.testing.assert_allclose(got, np.linalg.solve(matrix, wanted), rtol=1e-6, atol=1e-9)


@settings(max_examples=30, deadline=None)
@given(seed=st.integers(0, 10_000), size=st.integers(1, 10))
def test_eliminate_solves_any_regular_system(seed, size):
    random = np.random.default_rng(seed)
    matrix, right = random.normal(size=(size, size)), random.normal(size=size)
    # Small leading pivots, so that rows must be exchanged.
    matrix[0, 0] = 0.0 if size > 1 else 1.0
    answer = right.copy()

    _kernels.eliminate(matrix.copy(), answer)

    np.testing.assert_allclose(matrix @ answer, right, rtol=1e-6, atol=1e-6)


def test_two_equal_plates_exchange_as_through_one_square_metre():
    # Each view is 2; in series 1, the exact exchange between facing black plates.
    np.testing.assert_allclose(star_views([10.0, 10.0]), [2.0, 2.0], rtol=1e-9)


def test_loops_compile_where_no_cache_can_be_written(monkeypatch):
    asked = []

    def refusing_njit(**options):
        asked.append(options)
        if options.get("cache"):
            raise RuntimeError("cannot cache function: no locator available")
        return lambda function: function

    monkeypatch.setattr(_jit, "njit", refusing_njit)

    assert _jit.compiled(abs) is abs
    assert [bool(options.get("cache")) for options in asked] == [True, False]
