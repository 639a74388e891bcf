"""Glass: transmission and absorption against angle, and heat flow through the gaps.

A clear pane is described by two measured numbers at normal incidence, transmittance and
reflectance. Refractive index and extinction are fitted to them, Fresnel's equations and Snell's
law then give the pane at any angle for each polarization, and the panes are stacked with all
reflections between them. A coated pane, whose two sides reflect differently, keeps its own normal
values and takes the relative angular course of a clear pane.

References
----------
Duffie and Beckman, Solar Engineering of Thermal Processes, chapter 5 (Fresnel, Snell, extinction;
memory). Stacking: net radiation between the panes, solved exactly. Air conductivity: linear fit
about 283 K (memory). Ratings to glass: own construction, described at ``from_ratings``.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from calcs.errors import InputError
from calcs.validation import require_positive, require_within

FloatArray = NDArray[np.float64]

# Angular tables are kept over the cosine of incidence in equal steps, 0 (grazing) to 1 (normal).
TABLE_SIZE = 181

# Conductivity of still gas at 283 K and its relative rise with temperature (memory).
GAS_CONDUCTIVITY_W_PER_MK = {"air": 0.0249, "argon": 0.0169}
GAS_SLOPE_PER_K = 0.0028
GAS_REFERENCE_C = 10.0


@dataclass(frozen=True, kw_only=True)
class Pane:
    """One sheet of glass; "front" is the side toward outdoors.

    Parameters
    ----------
    transmittance, reflectance_front, reflectance_back : float
        Solar, at normal incidence. [-]
    emittance_front, emittance_back : float
        Longwave. [-]
    thickness_m, conductivity_w_per_mk : float
        [m], [W/mK]
    """

    transmittance: float
    reflectance_front: float
    reflectance_back: float
    emittance_front: float = 0.84
    emittance_back: float = 0.84
    thickness_m: float = 0.003
    conductivity_w_per_mk: float = 1.0

    def __post_init__(self) -> None:
        require_within(self.transmittance, 0.0, 0.99, "pane transmittance", "(a fraction)")
        for side in ("front", "back"):
            reflectance = getattr(self, f"reflectance_{side}")
            require_within(reflectance, 0.0, 0.99, f"pane reflectance {side}", "(a fraction)")
            emittance = getattr(self, f"emittance_{side}")
            require_within(emittance, 0.01, 1.0, f"pane emittance {side}", "(a fraction)")
            if self.transmittance + reflectance > 1.0:
                raise InputError(f"pane transmittance and {side} reflectance add to more than 1")
        require_positive(self.thickness_m, "pane thickness", "m")
        require_positive(self.conductivity_w_per_mk, "pane conductivity", "W/mK")

    @property
    def is_clear(self) -> bool:
        """Both sides reflect alike, so the pane is taken as uncoated."""
        return abs(self.reflectance_front - self.reflectance_back) < 1e-9


@dataclass(frozen=True, kw_only=True)
class Gap:
    """The still gas between two panes.

    Parameters
    ----------
    width_m : float
        Distance between the panes. [m]
    gas : {"air", "argon"}
    """

    width_m: float
    gas: str = "air"

    def __post_init__(self) -> None:
        require_positive(self.width_m, "gap width", "m")
        if self.gas not in GAS_CONDUCTIVITY_W_PER_MK:
            raise InputError(f"gap gas must be one of {sorted(GAS_CONDUCTIVITY_W_PER_MK)}")


@dataclass(frozen=True, eq=False, kw_only=True)
class Glazing:
    """What the heat balance needs to know of a window's glass. Panes count from outdoors inward.

    Parameters
    ----------
    transmittance : ndarray, shape (TABLE_SIZE,)
        Solar beam transmittance over the cosine of incidence, 0 to 1 in equal steps. [-]
    absorptance : ndarray, shape (panes, TABLE_SIZE)
        Share of the beam absorbed in each pane. [-]
    transmittance_diffuse, transmittance_back_diffuse : float
        Hemispherical, from outdoors and from inside. [-]
    absorptance_diffuse, absorptance_back_diffuse : ndarray, shape (panes,)
        Hemispherical, by pane. [-]
    gap_conductance_w_per_m2k : ndarray, shape (panes - 1,)
        Conduction through gap and half of the panes beside it, at 10 °C. [W/m²K]
    gap_slope_per_k : ndarray, shape (panes - 1,)
        Relative rise of it with the gap's temperature. [1/K]
    gap_emittance : ndarray, shape (panes - 1,)
        Effective emittance of the two faces toward each other; 0 for a fixed resistance. [-]
    emittance_out, emittance_in : float
        Longwave, of the outer and inner faces. [-]
    bypass_w_per_m2k : float
        Heat flow beside the panes, air to air (a bare metal frame). [W/m²K]
    """

    transmittance: FloatArray
    absorptance: FloatArray
    transmittance_diffuse: float
    absorptance_diffuse: FloatArray
    transmittance_back_diffuse: float
    absorptance_back_diffuse: FloatArray
    gap_conductance_w_per_m2k: FloatArray
    gap_slope_per_k: FloatArray
    gap_emittance: FloatArray
    emittance_out: float = 0.84
    emittance_in: float = 0.84
    bypass_w_per_m2k: float = 0.0

    @property
    def panes(self) -> int:
        """Number of panes."""
        return len(self.absorptance)


@dataclass(frozen=True, eq=False)
class _Sheet:
    """Solar properties of one pane over the cosine table, for one polarization."""

    transmittance: FloatArray
    reflectance_front: FloatArray
    reflectance_back: FloatArray

    def reversed(self) -> _Sheet:
        return _Sheet(self.transmittance, self.reflectance_back, self.reflectance_front)


def cosine_table() -> FloatArray:
    """Cosines of incidence of the angular tables, shape (TABLE_SIZE,). [-]"""
    return np.linspace(0.0, 1.0, TABLE_SIZE)


@lru_cache(maxsize=256)
def from_panes(panes: tuple[Pane, ...], gaps: tuple[Gap, ...] = ()) -> Glazing:
    """Glazing made of panes and gaps, from outdoors inward.

    Parameters
    ----------
    panes : tuple of Pane
        One to four.
    gaps : tuple of Gap
        One less than the panes.

    Raises
    ------
    InputError
        Number of gaps does not fit, or a clear pane whose values no glass can have.
    """
    if not 1 <= len(panes) <= 4:
        raise InputError(f"a glazing has one to four panes, got {len(panes)}")
    if len(gaps) != len(panes) - 1:
        raise InputError(f"{len(panes)} panes need {len(panes) - 1} gaps, got {len(gaps)}")
    front = _mean_stack([_sheets(pane) for pane in panes])
    back = _mean_stack([tuple(s.reversed() for s in _sheets(pane)) for pane in reversed(panes)])
    glass = [pane.thickness_m / pane.conductivity_w_per_mk for pane in panes]
    if not gaps:
        return _single_pane(panes[0], front, back, glass[0])
    # Faces count, not middles: the outermost and innermost panes are passed whole.
    passed = [r if i in (0, len(panes) - 1) else 0.5 * r for i, r in enumerate(glass)]
    conductance = []
    for i, gap in enumerate(gaps):
        still = gap.width_m / GAS_CONDUCTIVITY_W_PER_MK[gap.gas]
        conductance.append(1.0 / (still + passed[i] + passed[i + 1]))
    emittance = [
        1.0 / (1.0 / outer.emittance_back + 1.0 / inner.emittance_front - 1.0)
        for outer, inner in pairwise(panes)
    ]
    return Glazing(
        transmittance=front[0],
        absorptance=front[1],
        transmittance_diffuse=_hemispherical(front[0]),
        absorptance_diffuse=np.array([_hemispherical(row) for row in front[1]]),
        transmittance_back_diffuse=_hemispherical(back[0]),
        absorptance_back_diffuse=np.array([_hemispherical(row) for row in back[1]])[::-1].copy(),
        gap_conductance_w_per_m2k=np.array(conductance, dtype=np.float64),
        gap_slope_per_k=np.full(len(gaps), GAS_SLOPE_PER_K),
        gap_emittance=np.array(emittance, dtype=np.float64),
        emittance_out=panes[0].emittance_front,
        emittance_in=panes[-1].emittance_back,
    )


def _single_pane(
    pane: Pane,
    front: tuple[FloatArray, FloatArray],
    back: tuple[FloatArray, FloatArray],
    resistance_m2k_per_w: float,
) -> Glazing:
    """One pane as two faces with its own resistance between, each taking half of the light."""
    halves = np.vstack([front[1][0], front[1][0]]) / 2.0
    taken_back = _hemispherical(back[1][0]) / 2.0
    return Glazing(
        transmittance=front[0],
        absorptance=halves,
        transmittance_diffuse=_hemispherical(front[0]),
        absorptance_diffuse=np.array([_hemispherical(row) for row in halves]),
        transmittance_back_diffuse=_hemispherical(back[0]),
        absorptance_back_diffuse=np.array([taken_back, taken_back]),
        gap_conductance_w_per_m2k=np.array([1.0 / resistance_m2k_per_w]),
        gap_slope_per_k=np.zeros(1),
        gap_emittance=np.zeros(1),
        emittance_out=pane.emittance_front,
        emittance_in=pane.emittance_back,
    )


# Rating conditions (NFRC 100 winter, memory): combined film coefficients inside and outside.
RATING_FILM_IN_W_PER_M2K = 8.3
RATING_FILM_OUT_W_PER_M2K = 30.0
# Share of the solar heat gain coefficient that passes as light. From the pane values of the public
# case tables: single clear 0.837/0.857, double clear 0.699/0.77, double low-e 0.387/0.432.
LIGHT_SHARE_SINGLE = 0.95
LIGHT_SHARE_MULTIPLE = 0.90
# Above this U a unit is taken to have one pane, which decides the angular course only.
SINGLE_PANE_U_W_PER_M2K = 4.2
# Least resistance between the two faces; the conductance beyond it goes beside the panes.
LEAST_GLASS_RESISTANCE_M2K_PER_W = 0.003


@lru_cache(maxsize=256)
def from_ratings(u_w_per_m2k: float, shgc: float) -> Glazing:
    """Glazing with the U and SHGC of a rated unit, frame included.

    Parameters
    ----------
    u_w_per_m2k : float
        Whole-unit U at rating conditions, 0.4 to 9. [W/m²K]
    shgc : float
        Whole-unit solar heat gain coefficient at normal incidence, 0.01 to 0.9. [-]

    Notes
    -----
    Two faces with the resistance left after the rating films. A fixed share of the SHGC passes as
    light; the rest is absorbed at the inner face in the amount whose inward flow makes up the SHGC
    at rating conditions. Angular course of clear single or double glass. A unit that conducts more
    than bare glass can (a metal frame without break) has the excess beside the panes, air to air.
    """
    require_within(u_w_per_m2k, 0.4, 9.0, "window U", "W/m²K")
    require_within(shgc, 0.01, 0.9, "window SHGC", "(a fraction)")
    films = 1.0 / RATING_FILM_IN_W_PER_M2K + 1.0 / RATING_FILM_OUT_W_PER_M2K
    through_glass = min(u_w_per_m2k, 1.0 / (films + LEAST_GLASS_RESISTANCE_M2K_PER_W))
    resistance = 1.0 / through_glass - films
    is_single = u_w_per_m2k > SINGLE_PANE_U_W_PER_M2K
    clear = Pane(transmittance=0.834, reflectance_front=0.075, reflectance_back=0.075)
    course = (
        from_panes((clear,)) if is_single else from_panes((clear, clear), (Gap(width_m=0.012),))
    )
    light = shgc * (LIGHT_SHARE_SINGLE if is_single else LIGHT_SHARE_MULTIPLE)
    inward = 1.0 - through_glass / RATING_FILM_IN_W_PER_M2K
    absorbed = (shgc - light) / inward
    inner = course.absorptance[-1] * absorbed / course.absorptance[-1, -1]
    # Never more than arrives, near grazing.
    transmittance = course.transmittance * light / course.transmittance[-1]
    inner = np.minimum(inner, 1.0 - transmittance)
    absorptance = np.vstack([np.zeros_like(inner), inner])
    diffuse = np.array([0.0, _hemispherical(inner)])
    back = course.absorptance_back_diffuse.sum()
    return Glazing(
        transmittance=transmittance,
        absorptance=absorptance,
        transmittance_diffuse=_hemispherical(transmittance),
        absorptance_diffuse=diffuse,
        transmittance_back_diffuse=_hemispherical(transmittance),
        absorptance_back_diffuse=np.array([0.0, back]),
        gap_conductance_w_per_m2k=np.array([1.0 / resistance]),
        gap_slope_per_k=np.zeros(1),
        gap_emittance=np.zeros(1),
        bypass_w_per_m2k=u_w_per_m2k - through_glass,
    )


def _sheets(pane: Pane) -> tuple[_Sheet, _Sheet]:
    """The pane over the cosine table, for the two polarizations."""
    if pane.is_clear:
        index, extinction = _fit_clear(pane.transmittance, pane.reflectance_front)
        sheets = _clear_sheets(index, extinction)
        return sheets[0], sheets[1]
    # Reference course: ordinary 3 mm clear glass.
    reference = _clear_sheets(*_fit_clear(0.834, 0.075))
    return _scaled(pane, reference[0]), _scaled(pane, reference[1])


def _scaled(pane: Pane, course: _Sheet) -> _Sheet:
    transmittance = pane.transmittance * course.transmittance / course.transmittance[-1]
    normal = course.reflectance_front[-1]
    rise = (course.reflectance_front - normal) / (1.0 - normal)
    front, back = (
        np.minimum(value + (1.0 - value) * rise, 1.0 - transmittance)
        for value in (pane.reflectance_front, pane.reflectance_back)
    )
    return _Sheet(transmittance, front, back)


@lru_cache(maxsize=256)
def _fit_clear(transmittance: float, reflectance: float) -> tuple[float, float]:
    """Refractive index and extinction times thickness of a clear pane, from normal values."""

    def absorbing(index: float) -> tuple[float, float]:
        r = ((index - 1.0) / (index + 1.0)) ** 2
        once = (1.0 - r) ** 2
        passed = (-once + np.sqrt(once**2 + 4.0 * (transmittance * r) ** 2)) / (
            2.0 * transmittance * r**2
        )
        return passed, r + r * once * passed**2 / (1.0 - (r * passed) ** 2)

    low, high = 1.05, 4.0
    if transmittance <= 0.0 or not absorbing(low)[1] <= reflectance <= absorbing(high)[1]:
        raise InputError(
            f"no clear glass has transmittance {transmittance:g} and reflectance {reflectance:g}"
        )
    index = brentq(lambda value: absorbing(value)[1] - reflectance, low, high, xtol=1e-12)
    return float(index), float(-np.log(absorbing(index)[0]))


def _clear_sheets(index: float, extinction: float) -> list[_Sheet]:
    cosine = np.maximum(cosine_table(), 1e-9)
    inside = np.sqrt(1.0 - (1.0 - cosine**2) / index**2)
    passed = np.exp(-extinction / inside)
    sheets = []
    for r in (
        ((cosine - index * inside) / (cosine + index * inside)) ** 2,
        ((index * cosine - inside) / (index * cosine + inside)) ** 2,
    ):
        between = 1.0 - (r * passed) ** 2
        transmittance = (1.0 - r) ** 2 * passed / between
        reflectance = r + r * (1.0 - r) ** 2 * passed**2 / between
        sheets.append(_Sheet(transmittance, reflectance, reflectance))
    return sheets


def _mean_stack(panes: Sequence[tuple[_Sheet, ...]]) -> tuple[FloatArray, FloatArray]:
    """Transmittance (TABLE_SIZE,) and absorptance (panes, TABLE_SIZE), mean of polarizations."""
    first = _stack([sheets[0] for sheets in panes])
    second = _stack([sheets[1] for sheets in panes])
    return (first[0] + second[0]) / 2.0, (first[1] + second[1]) / 2.0


def _stack(sheets: Sequence[_Sheet]) -> tuple[FloatArray, FloatArray]:
    """Light through a row of sheets with all reflections between them."""
    count = len(sheets)
    behind = [np.zeros(TABLE_SIZE) for _ in range(count + 1)]  # reflectance of all that follows
    for j in range(count - 1, -1, -1):
        sheet = sheets[j]
        trapped = 1.0 - sheet.reflectance_back * behind[j + 1]
        behind[j] = sheet.reflectance_front + sheet.transmittance**2 * behind[j + 1] / trapped
    inward = np.ones(TABLE_SIZE)
    absorbed = np.empty((count, TABLE_SIZE))
    for j, sheet in enumerate(sheets):
        trapped = 1.0 - sheet.reflectance_back * behind[j + 1]
        onward = sheet.transmittance * inward / trapped
        returned = behind[j + 1] * onward
        absorbed[j] = (1.0 - sheet.transmittance - sheet.reflectance_front) * inward
        absorbed[j] += (1.0 - sheet.transmittance - sheet.reflectance_back) * returned
        inward = onward
    return inward, absorbed


def _hemispherical(course: FloatArray) -> float:
    """Mean over the hemisphere of a property given over the cosine table."""
    cosine = cosine_table()
    return float(np.trapezoid(2.0 * cosine * course, cosine))
