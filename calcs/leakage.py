"""Fan-pressurization (blower door) tests: fit, corrections, leakage areas, validity.

Sources: ASTM E779 (2010/2019) for the multipoint test, ISO 9972:2015, ASTM E1827 for single
and two-point tests, CAN/CGSB-149.10 for the equivalent area. Equations are recalled; only
the scope pages of E779 could be opened.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from calcs.constants import (
    AIR_DENSITY_REFERENCE_KG_PER_M3,
    AIR_VISCOSITY_REFERENCE_PA_S,
    CELSIUS_ZERO_K,
)
from calcs.errors import InputError
from calcs.guards import guarded
from calcs.least_squares import fit_linear
from calcs.validation import require_finite, require_positive, require_within

TEST_PRESSURE_PA = 50.0
EXPONENT_ASSUMED = 0.65  # ASTM E1827 single-point method (memory)
EXPONENT_LOW, EXPONENT_HIGH = 0.5, 1.0  # physical range: orifice to laminar flow
ELA_PRESSURE_PA, ELA_DISCHARGE = 4.0, 1.0  # ASTM E779
EQLA_PRESSURE_PA, EQLA_DISCHARGE = 10.0, 0.611  # CAN/CGSB-149.10

# Validity of a multipoint test (ASTM E779 and ISO 9972; memory).
MIN_POINTS = 5
PRESSURE_LOW_PA = 10.0
BASELINE_MULTIPLE = 5.0  # the lowest reading stands this far above the baseline (ISO 9972)
MAX_BASELINE_PA = 5.0  # a zero-flow pressure beyond it spoils the test (ISO 9972)
# ANSI/RESNET/ICC 380 (memory): readings over at least 25 Pa; at most 10 % of uncertainty.
MIN_PRESSURE_SPAN_PA = 25.0
MAX_FLOW50_HALF_WIDTH_PCT = 10.0
MAX_HEIGHT_TIMES_DELTA_M_K = 200.0
MAX_WIND_M_PER_S = 3.0  # ISO 9972; E779 prefers under 4 mph (1.8 m/s)
PREFERRED_WIND_M_PER_S = 1.79
MIN_R_SQUARED = 0.98
CONFIDENCE = 0.95

# Zone pressures at the -50 Pa test: share of the house pressure found between house and zone
# (field rule; memory). Under 10 % the zone is inside, above 90 % outside.
ZONE_INSIDE_SHARE, ZONE_OUTSIDE_SHARE = 0.1, 0.9


@dataclass(frozen=True)
class LeakageFit:
    """Q = C dP^n fitted in log space, with the intervals of the fitted line and a reading."""

    coefficient_m3_per_s_pa_n: float
    exponent: float
    r_squared: float
    points: int
    exponent_half_width: float  # 95 % interval of n
    flow50_m3_per_s: float
    flow50_half_width_pct: float  # 95 % interval of the line at 50 Pa, upper side
    reading50_half_width_pct: float  # 95 % interval of one further reading, upper side

    @property
    def flow50_low_m3_per_s(self) -> float:
        """Lower end of the 95 % interval; the interval is symmetric in the logarithm. [m3/s]"""
        return self.flow50_m3_per_s / (1.0 + self.flow50_half_width_pct / 100.0)

    @property
    def flow50_high_m3_per_s(self) -> float:
        """Upper end of the 95 % interval. [m3/s]"""
        return self.flow50_m3_per_s * (1.0 + self.flow50_half_width_pct / 100.0)


@dataclass(frozen=True)
class BlowerDoorResult:
    """A corrected test: flow at 50 Pa, leakage areas, and what limits its use."""

    flow50_m3_per_s: float
    ach50_per_h: float
    exponent: float
    exponent_is_measured: bool
    ela_m2: float
    eqla_m2: float
    highest_pressure_pa: float
    is_extrapolated: bool
    fit: LeakageFit | None
    is_valid: bool
    remarks: tuple[str, ...]


def air_density_kg_per_m3(temperature_c: float, *, elevation_m: float = 0.0) -> float:
    """Density of dry air at a temperature and elevation. [kg/m3]

    Source: ASTM E779 annex, rho = 1.2041 (1 - 0.0065 E/293)^5.2553 (293/T) (memory).
    Raises InputError outside -60 to 80 C or -500 to 5000 m.
    """
    require_within(temperature_c, -60, 80, "air temperature", "C")
    require_within(elevation_m, -500, 5000, "elevation", "m")
    return (
        AIR_DENSITY_REFERENCE_KG_PER_M3
        * (1.0 - 0.0065 * elevation_m / 293.0) ** 5.2553
        * 293.0
        / (temperature_c + 273.0)
    )


def air_viscosity_pa_s(temperature_c: float) -> float:
    """Dynamic viscosity of air by Sutherland's law, 1.458e-6 and 110.4 K (memory). [Pa s]"""
    require_within(temperature_c, -60, 80, "air temperature", "C")
    kelvin = temperature_c + CELSIUS_ZERO_K
    return 1.458e-6 * math.sqrt(kelvin) / (1.0 + 110.4 / kelvin)


def induced_pressure_pa(gauge_pa: float, baselines_pa: Sequence[float]) -> float:
    """Size of the pressure the fan made: gauge less the mean zero-flow reading. [Pa]

    A baseline of -2.5 Pa left in makes a -50 Pa test read 3.4 % low.
    """
    if not baselines_pa:
        raise InputError("give at least one zero-flow baseline pressure in Pa")
    return abs(gauge_pa - float(np.mean(np.asarray(baselines_pa, dtype=float))))


@guarded
def envelope_flow_m3_per_s(
    fan_flow_m3_per_s: float,
    *,
    indoor_c: float,
    outdoor_c: float,
    is_depressurization: bool = True,
    elevation_m: float = 0.0,
) -> float:
    """Flow through the envelope at the density of the air that enters the leaks. [m3/s]

    The fan meters indoor air when depressurizing and outdoor air when pressurizing.
    Source: ASTM E779 (memory).
    """
    inside = air_density_kg_per_m3(indoor_c, elevation_m=elevation_m)
    outside = air_density_kg_per_m3(outdoor_c, elevation_m=elevation_m)
    ratio = inside / outside if is_depressurization else outside / inside
    return fan_flow_m3_per_s * ratio


@guarded
def reference_coefficient(
    coefficient: float, exponent: float, *, temperature_c: float, elevation_m: float = 0.0
) -> float:
    """Leakage coefficient at 20 C and sea level; unit as given.

    Source: ASTM E779, C0 = C (mu/mu0)^(2n-1) (rho/rho0)^(1-n) (memory).
    """
    viscosity_ratio = air_viscosity_pa_s(temperature_c) / AIR_VISCOSITY_REFERENCE_PA_S
    density_ratio = (
        air_density_kg_per_m3(temperature_c, elevation_m=elevation_m)
        / AIR_DENSITY_REFERENCE_KG_PER_M3
    )
    return float(
        coefficient * viscosity_ratio ** (2 * exponent - 1) * density_ratio ** (1 - exponent)
    )


def _exponent(exponent: float) -> float:
    return require_within(exponent, EXPONENT_LOW, EXPONENT_HIGH, "flow exponent", "(no unit)")


def power_law_flow(coefficient: float, exponent: float, pressure_pa: float) -> float:
    """Flow C dP^n at a pressure; the unit of the coefficient decides that of the flow."""
    require_positive(coefficient, "leakage coefficient", "flow/Pa^n")
    require_positive(pressure_pa, "pressure", "Pa")
    return float(coefficient * pressure_pa ** _exponent(exponent))


def scaled_flow(
    flow: float, *, from_pa: float, to_pa: float, exponent: float = EXPONENT_ASSUMED
) -> float:
    """Flow at another pressure by the power law; unit as given. Source: ASTM E1827."""
    require_positive(flow, "flow", "m3/s")
    require_positive(from_pa, "measured pressure", "Pa")
    require_positive(to_pa, "target pressure", "Pa")
    return float(flow * (to_pa / from_pa) ** _exponent(exponent))


def two_point_exponent(
    flow_1: float, pressure_1_pa: float, flow_2: float, pressure_2_pa: float
) -> float:
    """Flow exponent from two readings, ln(Q1/Q2)/ln(P1/P2). Source: ASTM E1827 (memory).

    Raises InputError for equal pressures or an exponent outside 0.5 to 1 (repeat the test).
    """
    for flow in (flow_1, flow_2):
        require_positive(flow, "flow", "m3/s")
    for pressure in (pressure_1_pa, pressure_2_pa):
        require_positive(pressure, "pressure", "Pa")
    if pressure_1_pa == pressure_2_pa:
        raise InputError("two-point test needs two different pressures")
    return _exponent(math.log(flow_1 / flow_2) / math.log(pressure_1_pa / pressure_2_pa))


def fit_power_law(
    pressures_pa: Sequence[float],
    flows_m3_per_s: Sequence[float],
    *,
    weights: Sequence[float] | None = None,
) -> LeakageFit:
    """Fit ln Q = ln C + n ln dP by least squares.

    Parameters
    ----------
    pressures_pa, flows_m3_per_s : sequence of float, shape (k,), k at least 3
        Induced pressures (baseline removed, all above 0) and envelope flows. [Pa], [m3/s]
    weights : sequence of float, shape (k,), optional
        Inverse variance of each ln Q, where the gauge's accuracy is known (ISO 9972 allows it);
        without them every reading counts the same (ASTM E779).

    Raises
    ------
    InputError
        Fewer than three points, unequal lengths, a value not above zero, or one pressure only.

    References
    ----------
    ASTM E779, unweighted log-log fit; 95 % interval of n is t(0.975, k-2) standard errors
    (memory). The interval of the flow is that of the fitted line at 50 Pa.
    """
    pressures = np.asarray(pressures_pa, dtype=float)
    flows = np.asarray(flows_m3_per_s, dtype=float)
    if pressures.ndim != 1 or pressures.shape != flows.shape:
        raise InputError("pressures and flows must be two lists of the same length")
    count = pressures.size
    if count < 3:
        raise InputError(f"a fit with an interval needs at least 3 points, got {count}")
    if not (np.isfinite(pressures).all() and np.isfinite(flows).all()):
        raise InputError("pressures and flows must be finite numbers")
    if (pressures <= 0).any() or (flows <= 0).any():
        raise InputError("pressures (Pa, baseline removed) and flows must all be above 0")
    if np.ptp(pressures) == 0.0:
        raise InputError("the points must cover more than one pressure")
    # Counted from 50 Pa the intercept is the flow there, and its error that of the line.
    from_50 = np.log(pressures / TEST_PRESSURE_PA)
    columns = np.column_stack([np.ones(count), from_50])
    line = fit_linear(columns, np.log(flows), weights=weights)
    flow50, slope = math.exp(line.coefficients[0]), float(line.coefficients[1])
    t_value = line.t_value(CONFIDENCE)
    spread = t_value * line.standard_errors
    reading = t_value * math.hypot(line.standard_errors[0], line.residual_deviation)
    return LeakageFit(
        coefficient_m3_per_s_pa_n=flow50 / TEST_PRESSURE_PA**slope,
        exponent=slope,
        r_squared=line.r_squared,
        points=count,
        exponent_half_width=float(spread[1]),
        flow50_m3_per_s=flow50,
        flow50_half_width_pct=100.0 * math.expm1(spread[0]),
        reading50_half_width_pct=100.0 * math.expm1(reading),
    )


@guarded
def leakage_area_m2(
    coefficient_m3_per_s_pa_n: float,
    exponent: float,
    *,
    pressure_pa: float = ELA_PRESSURE_PA,
    discharge: float = ELA_DISCHARGE,
    density_kg_per_m3: float = AIR_DENSITY_REFERENCE_KG_PER_M3,
) -> float:
    """Area of the orifice that passes the same flow at the reference pressure. [m2]

    (C/Cd) sqrt(rho/2) dPr^(n-0.5). The defaults give ELA (4 Pa, Cd 1); EqLA is 10 Pa, 0.611.
    The two differ by 1.88 at n = 0.65: carry the definition with the number.
    Source: ASTM E779, CAN/CGSB-149.10 (memory).
    """
    require_positive(coefficient_m3_per_s_pa_n, "leakage coefficient", "m3/(s Pa^n)")
    require_positive(density_kg_per_m3, "air density", "kg/m3")
    return float(
        coefficient_m3_per_s_pa_n
        / discharge
        * math.sqrt(density_kg_per_m3 / 2.0)
        * pressure_pa ** (_exponent(exponent) - 0.5)
    )


def equivalent_leakage_area_m2(
    coefficient_m3_per_s_pa_n: float,
    exponent: float,
    *,
    density_kg_per_m3: float = AIR_DENSITY_REFERENCE_KG_PER_M3,
) -> float:
    """Equivalent leakage area: 10 Pa, discharge coefficient 0.611. [m2]"""
    return leakage_area_m2(
        coefficient_m3_per_s_pa_n,
        exponent,
        pressure_pa=EQLA_PRESSURE_PA,
        discharge=EQLA_DISCHARGE,
        density_kg_per_m3=density_kg_per_m3,
    )


def leakage_area_from_flow50_m2(
    flow50_m3_per_s: float, *, exponent: float = EXPONENT_ASSUMED
) -> float:
    """Effective leakage area at 4 Pa from the flow at 50 Pa. [m2]

    >>> round(leakage_area_from_flow50_m2(0.7079), 4)   # 1500 CFM50
    0.0532
    """
    coefficient = scaled_flow(
        flow50_m3_per_s, from_pa=TEST_PRESSURE_PA, to_pa=1.0, exponent=exponent
    )
    return leakage_area_m2(coefficient, exponent)


@guarded
def air_changes_per_h(flow_m3_per_s: float, volume_m3: float) -> float:
    """Air changes per hour of a flow in a volume. [1/h]"""
    require_positive(volume_m3, "conditioned volume", "m3")
    return 3600.0 * flow_m3_per_s / volume_m3


def series_coefficient(
    coefficient_1: float, coefficient_2: float, *, exponent: float = EXPONENT_ASSUMED
) -> float:
    """Combined coefficient of two leaks in series, (C1^(-1/n) + C2^(-1/n))^(-n)."""
    require_positive(coefficient_1, "first leakage coefficient", "flow/Pa^n")
    require_positive(coefficient_2, "second leakage coefficient", "flow/Pa^n")
    power = -1.0 / _exponent(exponent)
    return float((coefficient_1**power + coefficient_2**power) ** (-exponent))


def zone_leakage_ratio(
    house_to_zone_pa: float, zone_to_outside_pa: float, *, exponent: float = EXPONENT_ASSUMED
) -> float:
    """Leak house to zone over leak zone to outside; equal flow gives (P2/P1)^n.

    The ratio alone gives no area: add a known opening and measure again.
    """
    require_positive(house_to_zone_pa, "pressure house to zone", "Pa")
    require_positive(zone_to_outside_pa, "pressure zone to outside", "Pa")
    return float((zone_to_outside_pa / house_to_zone_pa) ** _exponent(exponent))


def zone_position(house_to_zone_pa: float, house_to_outside_pa: float = TEST_PRESSURE_PA) -> str:
    """Where a zone lies against the air barrier: "inside", "between" or "outside".

    Field rule (memory): near 0 inside, near the full pressure outside, else connected to both.
    """
    require_positive(abs(house_to_outside_pa), "pressure house to outside", "Pa")
    share = require_finite(house_to_zone_pa, "pressure house to zone") / abs(house_to_outside_pa)
    share = abs(share)
    if share > 1.1:
        raise InputError("pressure house to zone is above house to outside: check the hoses")
    if share <= ZONE_INSIDE_SHARE:
        return "inside"
    return "outside" if share >= ZONE_OUTSIDE_SHARE else "between"


def validity_remarks(
    *,
    pressures_pa: Sequence[float],
    baselines_pa: Sequence[float],
    exponent: float,
    fit: LeakageFit | None,
    height_m: float | None,
    indoor_c: float,
    outdoor_c: float,
    wind_m_per_s: float | None,
) -> tuple[str, ...]:
    """Keys of what limits a test; the ones in INVALIDATING mean: repeat it.

    Parameters
    ----------
    pressures_pa, baselines_pa : sequence of float
        Induced pressures, and the zero-flow readings that were taken off. [Pa]
    exponent, fit
        What was found; `fit` None for a test of one or two readings.
    height_m, indoor_c, outdoor_c, wind_m_per_s
        Height of the tested building, temperatures and wind; None where unknown.

    Returns
    -------
    tuple of str
        `exponent_out_of_range`, `poor_fit`, `few_points`, `wide_interval`, `range_too_short`,
        `points_too_low`, `baseline_too_high`, `baseline_taken_once`, `under_50_pa`,
        `stack_too_strong`, `wind_above_limit`, `wind_above_preferred`.
    """
    remarks: list[str] = []
    if not EXPONENT_LOW <= exponent <= EXPONENT_HIGH:
        remarks.append("exponent_out_of_range")
    baseline = float(np.mean(np.asarray(baselines_pa, dtype=float)))
    lowest, highest = min(pressures_pa), max(pressures_pa)
    if fit is not None:
        remarks += _fit_remarks(fit, lowest, highest, abs(baseline), len(baselines_pa))
    if abs(baseline) > MAX_BASELINE_PA:
        remarks.append("baseline_too_high")
    if highest < TEST_PRESSURE_PA:
        remarks.append("under_50_pa")
    stack_m_k = height_m * abs(indoor_c - outdoor_c) if height_m is not None else 0.0
    if stack_m_k >= MAX_HEIGHT_TIMES_DELTA_M_K:
        remarks.append("stack_too_strong")
    if wind_m_per_s is not None:
        if wind_m_per_s > MAX_WIND_M_PER_S:
            remarks.append("wind_above_limit")
        elif wind_m_per_s > PREFERRED_WIND_M_PER_S:
            remarks.append("wind_above_preferred")
    return tuple(remarks)


def _fit_remarks(
    fit: LeakageFit, lowest_pa: float, highest_pa: float, baseline_pa: float, baselines: int
) -> list[str]:
    """What a multipoint test owes besides, by E779, ISO 9972 and ANSI/RESNET/ICC 380."""
    found = {
        "poor_fit": fit.r_squared < MIN_R_SQUARED,
        "few_points": fit.points < MIN_POINTS,
        "wide_interval": fit.flow50_half_width_pct > MAX_FLOW50_HALF_WIDTH_PCT,
        "range_too_short": highest_pa - lowest_pa < MIN_PRESSURE_SPAN_PA,
        "points_too_low": lowest_pa < max(PRESSURE_LOW_PA, BASELINE_MULTIPLE * baseline_pa),
        "baseline_taken_once": baselines < 2,
    }
    return [remark for remark, holds in found.items() if holds]


INVALIDATING = frozenset(
    {"exponent_out_of_range", "poor_fit", "wide_interval", "baseline_too_high"}
)


def blower_door_test(
    gauge_pa: Sequence[float],
    fan_flow_m3_per_s: Sequence[float],
    *,
    baselines_pa: Sequence[float],
    volume_m3: float,
    indoor_c: float = 20.0,
    outdoor_c: float = 20.0,
    elevation_m: float = 0.0,
    is_depressurization: bool = True,
    height_m: float | None = None,
    wind_m_per_s: float | None = None,
) -> BlowerDoorResult:
    """Work up one test: one reading, two readings or a multipoint series.

    Parameters
    ----------
    gauge_pa, fan_flow_m3_per_s : sequence of float, shape (k,)
        Readings as taken (depressurization is negative) and the fan's flows. [Pa], [m3/s]
    baselines_pa : sequence of float
        Zero-flow readings before and after, same sign convention. [Pa]
    volume_m3 : float
        Conditioned volume inside the tested boundary. [m3]
    indoor_c, outdoor_c, elevation_m, is_depressurization
        Set the density correction of the flow and, for a multipoint test, the correction of C
        to reference conditions. A one- or two-point test keeps the flow it read.
    height_m, wind_m_per_s
        Give them to have the validity limits checked.

    Returns
    -------
    BlowerDoorResult
        One reading uses n = 0.65 (E1827); two readings give n; three or more are fitted.
        Below 50 Pa the flow is extrapolated and says so. `is_valid` is False when n is outside
        0.5 to 1, r2 under 0.98, the 95 % interval of the flow beyond 10 %, or the baseline beyond
        5 Pa: the test is repeated, the exponent is never clipped.
        With an exponent out of range the leakage areas are taken at n = 0.65 from the flow.

    Raises
    ------
    InputError
        No reading, unequal lengths, or a flow or induced pressure not above zero.
    """
    if not gauge_pa or len(gauge_pa) != len(fan_flow_m3_per_s):
        raise InputError("give one flow for each pressure reading, at least one")
    pressures = [induced_pressure_pa(reading, baselines_pa) for reading in gauge_pa]
    flows = [
        envelope_flow_m3_per_s(
            require_positive(flow, "fan flow", "m3/s"),
            indoor_c=indoor_c,
            outdoor_c=outdoor_c,
            is_depressurization=is_depressurization,
            elevation_m=elevation_m,
        )
        for flow in fan_flow_m3_per_s
    ]
    for pressure in pressures:
        require_positive(pressure, "induced pressure", "Pa")
    highest = max(pressures)
    fit: LeakageFit | None = None
    if len(pressures) >= 3:
        fit = fit_power_law(pressures, flows)
        exponent, coefficient = fit.exponent, fit.coefficient_m3_per_s_pa_n
    else:
        top = pressures.index(highest)
        exponent = EXPONENT_ASSUMED
        if len(pressures) == 2:
            exponent = two_point_exponent(flows[0], pressures[0], flows[1], pressures[1])
        coefficient = flows[top] / highest**exponent
    remarks = validity_remarks(
        pressures_pa=pressures,
        baselines_pa=baselines_pa,
        exponent=exponent,
        fit=fit,
        height_m=height_m,
        indoor_c=indoor_c,
        outdoor_c=outdoor_c,
        wind_m_per_s=wind_m_per_s,
    )
    # Leaks see outdoor air when depressurized, indoor air when pressurized.
    leak_air_c = outdoor_c if is_depressurization else indoor_c
    if EXPONENT_LOW <= exponent <= EXPONENT_HIGH:
        if fit is not None:
            coefficient = reference_coefficient(
                coefficient, exponent, temperature_c=leak_air_c, elevation_m=elevation_m
            )
        flow50 = power_law_flow(coefficient, exponent, TEST_PRESSURE_PA)
        area_coefficient, area_exponent = coefficient, exponent
    else:
        flow50 = coefficient * TEST_PRESSURE_PA**exponent
        area_coefficient = flow50 / TEST_PRESSURE_PA**EXPONENT_ASSUMED
        area_exponent = EXPONENT_ASSUMED
    return BlowerDoorResult(
        flow50_m3_per_s=flow50,
        ach50_per_h=air_changes_per_h(flow50, volume_m3),
        exponent=exponent,
        exponent_is_measured=len(pressures) > 1,
        ela_m2=leakage_area_m2(area_coefficient, area_exponent),
        eqla_m2=equivalent_leakage_area_m2(area_coefficient, area_exponent),
        highest_pressure_pa=highest,
        is_extrapolated=highest < TEST_PRESSURE_PA,
        fit=fit,
        is_valid=not INVALIDATING.intersection(remarks),
        remarks=remarks,
    )
