"""Glass against angle, rated windows, and the light that passes shades."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from calcs import shading
from calcs.errors import InputError
from calcs.glazing import (
    RATING_FILM_IN_W_PER_M2K,
    RATING_FILM_OUT_W_PER_M2K,
    Gap,
    Pane,
    cosine_table,
    from_panes,
    from_ratings,
)
from calcs.network import Overhang, SideFin, Window
from calcs.shading import window_sun
from calcs.suites.fabric_building import CLEAR, LOW_E
from calcs.weather import read_weather
from tests.calcs.buildings import GREENSBORO


@pytest.mark.parametrize(
    ("angle_deg", "transmitted", "outer", "inner"),
    [
        # Double clear unit of the 2020 cases, worked with Fresnel and Snell in another program.
        (0, 0.699, 0.097, 0.076), (40, 0.677, 0.106, 0.082), (60, 0.595, 0.119, 0.084),
        (70, 0.462, 0.128, 0.077), (80, 0.214, 0.135, 0.057), (90, 0.0, 0.0, 0.0),
    ],
)  # fmt: skip
def test_double_clear_glass_against_angle(angle_deg, transmitted, outer, inner):
    glass = from_panes((CLEAR, CLEAR), (Gap(width_m=0.012),))
    cosine = np.cos(np.radians(angle_deg))

    def at(course):
        return np.interp(cosine, cosine_table(), course)

    assert at(glass.transmittance) == pytest.approx(transmitted, abs=0.001)
    assert at(glass.absorptance[0]) == pytest.approx(outer, abs=0.001)
    assert at(glass.absorptance[1]) == pytest.approx(inner, abs=0.001)


def test_hemispherical_values_of_double_clear_glass():
    glass = from_panes((CLEAR, CLEAR), (Gap(width_m=0.012),))

    assert glass.transmittance_diffuse == pytest.approx(0.611, abs=0.001)
    np.testing.assert_allclose(glass.absorptance_diffuse, [0.111, 0.079], atol=0.001)


def test_single_clear_glass_against_angle():
    # 1/8 in clear, 0.837 at normal incidence, worked elsewhere.
    glass = from_panes((replace(CLEAR, transmittance=0.837),))
    got = np.interp(np.cos(np.radians([40, 50, 60, 70, 80])), cosine_table(), glass.transmittance)

    np.testing.assert_allclose(got, [0.821, 0.800, 0.752, 0.639, 0.390], atol=0.006)
    assert glass.transmittance_diffuse == pytest.approx(0.760, abs=0.005)


@pytest.mark.parametrize("panes", [(CLEAR,), (LOW_E, CLEAR), (CLEAR, CLEAR, LOW_E)])
def test_no_light_is_made_or_lost(panes):
    gaps = (Gap(width_m=0.012),) * (len(panes) - 1)
    glass = from_panes(panes, gaps)
    reflected = 1.0 - glass.transmittance - glass.absorptance.sum(axis=0)

    assert (reflected >= -1e-12).all()
    assert reflected[0] == pytest.approx(1.0, abs=1e-6)
    assert (glass.absorptance >= -1e-12).all()


@pytest.mark.parametrize(("u", "shgc"), [(5.9, 0.67), (2.8, 0.6), (1.7, 0.335), (7.3, 0.7)])
def test_rated_window_gives_back_its_u_and_shgc_at_rating_conditions(u, shgc):
    glass = from_ratings(u, shgc)
    through = 1.0 / (
        1.0 / RATING_FILM_IN_W_PER_M2K
        + 1.0 / RATING_FILM_OUT_W_PER_M2K
        + 1.0 / glass.gap_conductance_w_per_m2k[0]
    )

    assert through + glass.bypass_w_per_m2k == pytest.approx(u, rel=1e-9)
    inward = 1.0 - through / RATING_FILM_IN_W_PER_M2K
    gain = glass.transmittance[-1] + inward * glass.absorptance[1, -1]
    assert gain == pytest.approx(shgc, rel=1e-9)


def test_light_of_the_horizons_rim_meets_upright_glass_more_squarely_than_the_domes():
    glass = from_panes((CLEAR, CLEAR), (Gap(width_m=0.012),))
    bare = shading._Shape(1.0, 1.0, (0.0,) * 4, (0.0,) * 4)
    sky, rim, ground = shading._diffuse_shares(180.0, 90.0, bare, glass)
    # Closed forms: the dome falls like a whole hemisphere, the rim by the azimuth alone.
    angle = np.linspace(0.0, np.pi / 2.0, 20001)
    course = np.interp(np.cos(angle), cosine_table(), glass.transmittance)
    of_rim = np.trapezoid(course * np.cos(angle), angle)

    assert sky[0] == pytest.approx(glass.transmittance_diffuse, abs=0.001)
    assert ground[0] == pytest.approx(glass.transmittance_diffuse, abs=0.001)
    assert rim[0] == pytest.approx(of_rim, abs=0.001)
    assert rim[0] > 1.05 * sky[0]


@pytest.mark.parametrize(
    "shape",
    [
        (3.0, 2.0, 1.0, 0.5, 0.5, 4.5, 0.0, 0.0, 0.0, 0.0),  # overhang with free ends
        (3.0, 2.0, 0.0, 0.0, 0.0, 0.0, 0.6, 0.1, 0.0, 0.0),  # fins apart from the glass
        (3.0, 2.0, 1.0, 0.5, 0.0, 0.0, 1.0, 0.0, 0.5, 0.2),  # both, meeting
    ],
)
def test_lit_share_of_shaded_glass_is_that_of_rays_from_many_points(shape):
    width, height, depth, above, left, right, fin_depth, gap, fin_above, fin_below = shape
    random = np.random.default_rng(7)
    toward = random.normal(size=(3, 40))
    toward[2] = np.abs(toward[2]) + 0.05
    toward /= np.linalg.norm(toward, axis=0)
    middles = (np.arange(200) + 0.5) / 200.0
    y, z = np.meshgrid(middles * width, middles * height)
    wanted = []
    for side, up, out in toward.T:
        shaded = np.zeros_like(y, dtype=bool)
        if depth > 0.0 and up > 0.0:
            reach = (height + above - z) / up
            across = y + reach * side
            shaded |= (reach * out <= depth) & (across >= -left) & (across <= width + right)
        if fin_depth > 0.0:
            reach = ((width + gap if side > 0.0 else -gap) - y) / side
            along = z + reach * up
            shaded |= (
                (reach * out <= fin_depth) & (along >= -fin_below) & (along <= height + fin_above)
            )
        wanted.append(1.0 - shaded.mean())

    got = shading._lit_share(toward, np.array(shape), shading.STRIPS)
    assert min(wanted) < 0.2
    # A strip where both shadows end is taken as one; the two sums are alike but for that.
    np.testing.assert_allclose(got, wanted, atol=0.015)


def test_ring_about_the_sun_passes_more_at_grazing_incidence_and_less_at_normal():
    glass = from_panes((CLEAR, CLEAR), (Gap(width_m=0.012),))
    ring = shading._widened(glass)[0]
    cosine = cosine_table()

    assert ring[-1] < glass.transmittance[-1]
    low = cosine < 0.3
    assert (ring[low][1:] > glass.transmittance[low][1:]).all()
    # Light is the same all over the ring where the course is flat.
    assert ring[-1] == pytest.approx(glass.transmittance[-1], rel=0.01)


def test_single_pane_has_its_own_resistance_between_two_faces_that_share_the_sun():
    glass = from_panes((CLEAR,))

    assert glass.panes == 2
    assert 1.0 / glass.gap_conductance_w_per_m2k[0] == pytest.approx(0.003048)
    # What does not pass and is not reflected is absorbed: 1 - 0.834 - 0.075.
    assert glass.absorptance[:, -1].sum() == pytest.approx(0.091, abs=1e-6)


def test_panes_count_with_their_whole_thickness():
    thin = from_panes((CLEAR, CLEAR), (Gap(width_m=0.012),))
    thick = from_panes((replace(CLEAR, thickness_m=0.013048), CLEAR), (Gap(width_m=0.012),))
    added = 1.0 / thick.gap_conductance_w_per_m2k[0] - 1.0 / thin.gap_conductance_w_per_m2k[0]

    assert added == pytest.approx(0.010 / CLEAR.conductivity_w_per_mk)


def test_shades_take_light_and_deeper_ones_take_more():
    weather = read_weather(GREENSBORO)
    base = Window(
        name="glass", zone="room", area_m2=3.0, azimuth_deg=180.0, glazing=from_ratings(2.8, 0.6)
    )

    def light(**shades):
        sun = window_sun(
            replace(base, **shades), weather, ground_reflectance=0.2, transposition="perez"
        )
        return (sun.transmitted_beam + sun.transmitted_diffuse).sum()

    amounts = [light()]
    amounts += [light(overhang=Overhang(depth_m=depth)) for depth in (0.3, 0.6, 1.2)]
    amounts.append(light(overhang=Overhang(depth_m=1.2), fins=SideFin(depth_m=0.5)))
    assert amounts == sorted(amounts, reverse=True)
    assert len(set(amounts)) == 5
    # A ledge far above the glass shades next to nothing.
    assert light(overhang=Overhang(depth_m=0.3, height_above_m=90.0)) > 0.99 * amounts[0]


@pytest.mark.parametrize(
    ("make", "message"),
    [
        (lambda: from_panes((CLEAR, CLEAR)), "2 panes need 1 gaps"),
        (lambda: from_panes((Pane(transmittance=0.1, reflectance_front=0.6,
                                  reflectance_back=0.6),)), "no clear glass"),
        (lambda: Pane(transmittance=0.9, reflectance_front=0.2, reflectance_back=0.2),
         "add to more than 1"),
        (lambda: Gap(width_m=0.012, gas="neon"), "gap gas must be one of"),
        (lambda: from_ratings(0.1, 0.5), "window U must be from 0.4 to 9"),
        (lambda: from_ratings(2.0, 1.2), "window SHGC"),
    ],
)  # fmt: skip
def test_impossible_glass_is_refused(make, message):
    with pytest.raises(InputError, match=message):
        make()
