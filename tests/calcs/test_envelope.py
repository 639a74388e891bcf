"""Assemblies, old attics, infrared: hand-worked values and properties."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import envelope
from calcs.envelope_tables import COMPRESSED_BATTS
from calcs.errors import InputError
from calcs.unit_factors import M2K_PER_W_PER_R_IP as R
from calcs.unit_factors import M_PER_IN


@settings(max_examples=60)
@given(st.floats(0.05, 3), st.floats(0.2, 8), st.floats(0.2, 8), st.floats(0.01, 0.99))
def test_parallel_is_never_below_isothermal_and_the_mean_lies_between(series, one, two, f):
    result = envelope.combined_resistance(series, (1 - f, f), (one, two))
    assert result.upper_m2k_per_w >= result.lower_m2k_per_w - 1e-9
    assert result.lower_m2k_per_w - 1e-9 <= result.total_m2k_per_w
    assert result.total_m2k_per_w <= result.upper_m2k_per_w + 1e-9
    assert series + min(one, two) - 1e-9 <= result.total_m2k_per_w <= series + max(one, two) + 1e-9


@settings(max_examples=40)
@given(st.floats(0, 10), st.floats(0.01, 3), st.floats(0, 1))
def test_more_insulation_or_less_void_never_lowers_r(insulation, extra, void):
    other = 0.3
    here = envelope.effective_r_with_void_m2k_per_w(insulation, void, other)
    thicker = envelope.effective_r_with_void_m2k_per_w(insulation + extra, void, other)
    fuller = envelope.effective_r_with_void_m2k_per_w(insulation, void * 0.5, other)
    assert thicker >= here - 1e-12
    assert fuller >= here - 1e-12
    assert other - 1e-12 <= here <= insulation + other + 1e-9


def _attic(**changes):
    values = {
        "new_m2k_per_w": 19 * R,
        "depth_new_m": 6.25 * M_PER_IN,
        "depth_now_m": 4 * M_PER_IN,
        "condition": "poor",
        "other_m2k_per_w": 1.67 * R,
    }
    return envelope.attic_insulation(**(values | changes))


def test_six_inches_of_r19_compressed_and_degraded_is_r8_to_r9():
    # Trade fact of the weatherization field (common practice, no source).
    assert 8.0 <= _attic().effective_m2k_per_w / R <= 9.0
    assert _attic().new_m2k_per_w / R == pytest.approx(19)


def test_whole_undisturbed_batt_keeps_its_label():
    result = _attic(depth_now_m=6.25 * M_PER_IN, condition="good")
    assert result.effective_m2k_per_w / R == pytest.approx(19)
    assert _attic(depth_now_m=0.3, condition="good").effective_m2k_per_w / R == pytest.approx(19)


def test_worse_condition_and_bare_area_lower_the_attic():
    good, fair, poor = (_attic(condition=c).effective_m2k_per_w for c in ("good", "fair", "poor"))
    assert good > fair > poor > _attic(covered_fraction=0.8).effective_m2k_per_w
    assert _attic(covered_fraction=0).effective_m2k_per_w == pytest.approx(0, abs=1e-12)


def test_five_percent_bare_halves_an_r38_attic():
    # (0.95/39.67 + 0.05/1.67)^-1 = 18.56, published pitfall: 39.7 to 18.6
    value = envelope.effective_r_with_void_m2k_per_w(38 * R, 0.05, 1.67 * R)
    assert value / R == pytest.approx(18.56, abs=0.01)


def test_r38_is_about_twelve_inches():
    # trade fact; the batt is sold 12 in. thick, cellulose reaches it at 11
    depth_in = (
        38 * R / envelope.material_resistance_m2k_per_w("fiberglass_batt", thickness_m=M_PER_IN)
    )
    assert 11.5 < depth_in < 12.5


def test_batt_never_gains_by_compression():
    for (label, _), row in COMPRESSED_BATTS.items():
        values = [row[depth] for depth in sorted(row)]
        assert values == sorted(values)
        assert max(values) <= label


def test_rule_of_thumb_stays_near_the_chart():
    # R-19 in 5.5 in.: 12 % compression, 6 % of R: 17.9 against 18 printed.
    value = envelope.compressed_r_m2k_per_w(19 * R, 1 - 5.5 / 6.25) / R
    assert value == pytest.approx(18, abs=0.2)


def test_infrared_needs_a_real_difference():
    def survey(outdoor, hours=5.0, **more):
        return envelope.infrared_survey(
            indoor_c=21, outdoor_c=outdoor, hours_at_difference=hours, **more
        )

    assert survey(11).is_conclusive  # exactly 10 K
    assert survey(11.01).remarks == ("difference_too_small",)
    assert survey(0, hours=3.9).remarks == ("not_long_enough",)
    assert survey(0, wind_m_per_s=8).remarks == ("too_windy",)
    assert survey(0, hours_since_sun=5, wall_kind="masonry").remarks == ("sun_on_wall",)
    assert survey(0, is_dry=False).remarks == ("surface_wet",)


def test_bay_difference_is_a_fault_only_in_a_conclusive_picture():
    good = envelope.infrared_survey(indoor_c=21, outdoor_c=0, hours_at_difference=5)
    poor = envelope.infrared_survey(indoor_c=21, outdoor_c=17, hours_at_difference=5)
    assert envelope.bay_difference_means_fault(7 / 1.8, good) is True
    assert envelope.bay_difference_means_fault(6.9 / 1.8, good) is False
    assert envelope.bay_difference_means_fault(7 / 1.8, poor) is None


def test_depressurized_leak_search_needs_fan_and_difference():
    assert envelope.leak_survey_is_conclusive(20, 10, -50)
    assert not envelope.leak_survey_is_conclusive(20, 18, -50)
    assert not envelope.leak_survey_is_conclusive(20, 10, -10)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: envelope.parallel_path_u_w_per_m2k((0.5, 0.4), (1, 2)), "sum to 1"),
        (lambda: envelope.parallel_path_u_w_per_m2k((0.5, 0.5), (1, 0)), "path R"),
        (lambda: envelope.parallel_path_u_w_per_m2k((1.0,), (1, 2)), "one area fraction"),
        (lambda: envelope.material_resistance_m2k_per_w("brick"), "thickness"),
        (lambda: envelope.material_resistance_m2k_per_w("aerogel"), "unknown material"),
        (lambda: envelope.compressed_batt_m2k_per_w(19, 6.25, 4.0), "no published value"),
        (lambda: envelope.compressed_r_m2k_per_w(3.0, 0.8), "compression"),
        (lambda: envelope.code_minimum("9", "floor"), "unknown climate zone"),
        (lambda: envelope.code_minimum("5 and Marine 4", "roof"), "unknown component"),
        (lambda: envelope.grade_void_fraction("IV"), "unknown installation grade"),
        (lambda: _attic(condition="awful"), "unknown insulation condition"),
        (lambda: _attic(depth_now_m=0), "depth found"),
        (lambda: envelope.surface_drop_k(10, film_m2k_per_w=0.12, total_m2k_per_w=0.1), "total R"),
    ],
)
def test_refusals_name_what_is_wrong(call, words):
    with pytest.raises(InputError, match=words):
        call()


def test_code_alternatives_stay_texts():
    assert (
        envelope.code_minimum("5 and Marine 4", "wood wall") == "30 or 20+5ci or 13+10ci or 0+20ci"
    )
