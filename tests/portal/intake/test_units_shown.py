"""A reading and its limit side by side say what the verdict says."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from portal.intake import units_shown


@pytest.mark.parametrize(
    ("limit", "value", "passes", "expected"),
    [
        # Draft at 41 °F: 41 ÷ 40 − 2.75 = −1.725 Pa; at least that deep.
        (-1.725, -3.6, True, "−1.8"),
        (-1.725, -1.0, False, "−1.8"),
        (-1.725, -1.73, True, "−1.73"),
        (-1.725, -1.72, False, "−1.8"),
        (-1.725, -1.725, True, "−1.725"),
        # Depressurization: no deeper than that.
        (-2.0, -2.4, False, "−2"),
        (-3.0, -3.0, True, "−3"),
        (35.0, 36.0, False, "35"),
        (60.0, 12.0, True, "60"),
        (1.1, 1.1, True, "1.1"),
    ],
)
def test_a_limit_is_printed_as_finely_as_it_is_read(
    limit: float, value: float, passes: bool, expected: str
) -> None:
    assert units_shown.limit_beside(limit, value, passes=passes) == expected


def number(words: str) -> float:
    return float(words.replace("−", "-").replace(",", ""))


figures = st.floats(-20, 200).map(lambda value: round(value, 4))


@given(limit=figures, value=figures, is_most=st.booleans())
def test_the_two_figures_never_contradict_the_verdict(
    limit: float, value: float, is_most: bool
) -> None:
    passes = value <= limit if is_most else value >= limit
    near = number(units_shown.limit_beside(limit, value, passes=passes))
    had = number(units_shown.reading(value, limit))
    assert (had <= near if is_most else had >= near) == passes or value == limit
    # The strict side: whoever reaches the figure printed has reached the limit.
    assert abs(near - limit) <= 0.1 + 1e-9


def test_a_sample_that_is_no_verdict_leaves_the_limit_as_it_is() -> None:
    assert units_shown.limit_beside(100.0, 3.0, passes=None) == "100"
