"""Heat resistance of assemblies and what an infrared picture of them can mean.

Average U, never R: 5 % bare area of an R-38 attic halves the assembly. All arguments and
results are SI; the tables keep the published units.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from calcs.envelope_tables import (
    ATTIC_CONDITIONS,
    BATT_SOURCE,
    CODE_COMPONENTS,
    CODE_MINIMUMS,
    COMPRESSED_BATTS,
    COMPRESSION_R_SHARE,
    FILMS,
    GRADE_VOID,
    LEAK_SURVEY_MIN_DELTA_K,
    MATERIALS,
    SURVEY_MAX_WIND_M_PER_S,
    SURVEY_MIN_DELTA_K,
    SURVEY_MIN_HOURS,
    SURVEY_SHADE_HOURS,
    VENT_RATIO_BASE,
    VENT_RATIO_REDUCED,
)
from calcs.errors import InputError
from calcs.guards import guarded
from calcs.unit_factors import M2K_PER_W_PER_R_IP, M_PER_IN, SECONDS_PER_DAY
from calcs.validation import (
    require_known,
    require_not_negative,
    require_positive,
    require_within,
)


@dataclass(frozen=True)
class CombinedResistance:
    """Upper and lower limit and the mean of ISO 6946, and the largest relative error."""

    upper_m2k_per_w: float
    lower_m2k_per_w: float
    total_m2k_per_w: float
    u_w_per_m2k: float
    error_bound_pct: float


@dataclass(frozen=True)
class AtticInsulation:
    """What the insulation found is worth now. [m2 K/W]"""

    new_m2k_per_w: float  # label, or depth when new times R per length
    at_depth_m2k_per_w: float  # after compression, undisturbed
    effective_m2k_per_w: float  # after bare and bypassed area, films and board apart
    void_fraction: float
    source: str


@dataclass(frozen=True)
class InfraredJudgment:
    """Whether a picture is evidence, and what speaks against it (keys)."""

    is_conclusive: bool
    remarks: tuple[str, ...]


def film_resistance_m2k_per_w(surface: str) -> float:
    """Resistance of a surface film. [m2 K/W] An attic side uses semi_exterior, not outdoor."""
    return require_known(FILMS, surface, "surface").r_ip * M2K_PER_W_PER_R_IP


def material_resistance_m2k_per_w(material: str, *, thickness_m: float | None = None) -> float:
    """Resistance of a material at a thickness, or of one piece. [m2 K/W]

    Raises InputError when a per-length material comes without a thickness.
    """
    entry = require_known(MATERIALS, material, "material")
    if not entry.per_inch:
        return entry.r_ip * M2K_PER_W_PER_R_IP
    if thickness_m is None:
        raise InputError(f"{material} is stated per length: give its thickness in m")
    return (
        entry.r_ip
        * M2K_PER_W_PER_R_IP
        * require_not_negative(thickness_m, "thickness", "m")
        / M_PER_IN
    )


def path_resistance_m2k_per_w(layers_m2k_per_w: Sequence[float]) -> float:
    """Sum of the films and layers of one path. [m2 K/W]"""
    if not layers_m2k_per_w:
        raise InputError("a path needs at least one layer")
    return math.fsum(require_not_negative(r, "layer R", "m2 K/W") for r in layers_m2k_per_w)


def _paths(fractions: Sequence[float], resistances: Sequence[float]) -> None:
    if len(fractions) != len(resistances) or not fractions:
        raise InputError("give one area fraction for each path")
    for fraction in fractions:
        require_within(fraction, 0, 1, "path area fraction", "(no unit)")
    if abs(math.fsum(fractions) - 1.0) > 1e-6:
        raise InputError(f"path area fractions must sum to 1, got {math.fsum(fractions):.6f}")
    for resistance in resistances:
        require_positive(resistance, "path R", "m2 K/W")


def parallel_path_u_w_per_m2k(
    fractions: Sequence[float], path_resistances_m2k_per_w: Sequence[float]
) -> float:
    """U of parallel paths, sum of f/R over complete paths with films. [W/(m2 K)]

    Source: ASHRAE Handbook-Fundamentals (memory).
    """
    _paths(fractions, path_resistances_m2k_per_w)
    return math.fsum(f / r for f, r in zip(fractions, path_resistances_m2k_per_w, strict=True))


def isothermal_planes_r_m2k_per_w(
    series_m2k_per_w: float,
    fractions: Sequence[float],
    layer_resistances_m2k_per_w: Sequence[float],
) -> float:
    """R with the mixed layer averaged first, in series with the rest. [m2 K/W]"""
    require_not_negative(series_m2k_per_w, "R of the layers in series", "m2 K/W")
    return series_m2k_per_w + 1.0 / parallel_path_u_w_per_m2k(
        fractions, layer_resistances_m2k_per_w
    )


def mean_of_limits(upper_m2k_per_w: float, lower_m2k_per_w: float) -> CombinedResistance:
    """ISO 6946 mean of an upper and a lower limit, (R' + R'')/2, and its error bound."""
    require_positive(upper_m2k_per_w, "upper limit of R", "m2 K/W")
    require_positive(lower_m2k_per_w, "lower limit of R", "m2 K/W")
    total = (upper_m2k_per_w + lower_m2k_per_w) / 2.0
    error = 100.0 * (upper_m2k_per_w - lower_m2k_per_w) / (2.0 * total)
    return CombinedResistance(upper_m2k_per_w, lower_m2k_per_w, total, 1.0 / total, error)


def combined_resistance(
    series_m2k_per_w: float,
    fractions: Sequence[float],
    layer_resistances_m2k_per_w: Sequence[float],
) -> CombinedResistance:
    """ISO 6946:2017 combined method for one mixed layer in series with plain ones (memory)."""
    paths = [series_m2k_per_w + r for r in layer_resistances_m2k_per_w]
    upper = 1.0 / parallel_path_u_w_per_m2k(fractions, paths)
    lower = isothermal_planes_r_m2k_per_w(series_m2k_per_w, fractions, layer_resistances_m2k_per_w)
    return mean_of_limits(upper, lower)


def area_weighted_r_m2k_per_w(
    areas_m2: Sequence[float], resistances_m2k_per_w: Sequence[float]
) -> float:
    """R of parts side by side, by area-weighted U. [m2 K/W]"""
    total = math.fsum(require_not_negative(a, "area", "m2") for a in areas_m2)
    require_positive(total, "total area", "m2")
    return 1.0 / parallel_path_u_w_per_m2k([a / total for a in areas_m2], resistances_m2k_per_w)


def compressed_batt_m2k_per_w(label_r_ip: int, label_in: float, cavity_in: float) -> float:
    """R of a batt squeezed into a cavity, from the published chart. [m2 K/W]

    The chart is stated for trade sizes, so the arguments are its own: label R and inches.
    Raises InputError for a combination the chart does not have; nothing is interpolated.
    """
    row = COMPRESSED_BATTS.get((label_r_ip, float(label_in)))
    if row is None or float(cavity_in) not in row:
        raise InputError(
            f"no published value for R-{label_r_ip} ({label_in:g} in.) in {cavity_in:g} in."
            f" ({BATT_SOURCE})"
        )
    return row[float(cavity_in)] * M2K_PER_W_PER_R_IP


def compressed_r_m2k_per_w(new_m2k_per_w: float, compression: float) -> float:
    """R of a batt after losing a share of its thickness, by the rule of thumb. [m2 K/W]

    x % of thickness costs about x/2 % of R; the rule is for up to 60 %.
    """
    require_positive(new_m2k_per_w, "R when new", "m2 K/W")
    require_within(compression, 0, 0.6, "compression (share of thickness lost)", "(no unit)")
    return new_m2k_per_w * (1.0 - COMPRESSION_R_SHARE * compression)


def grade_void_fraction(grade: str) -> float:
    """Missing share of the cavity area by installation grade I, II or III."""
    return require_known(GRADE_VOID, grade, "installation grade")


def effective_r_with_void_m2k_per_w(
    insulation_m2k_per_w: float, void_fraction: float, other_m2k_per_w: float
) -> float:
    """Assembly R with part of the area bare; the bare path keeps films and board. [m2 K/W]"""
    require_within(void_fraction, 0, 1, "void fraction", "(no unit)")
    require_positive(other_m2k_per_w, "R of films and board", "m2 K/W")
    require_not_negative(insulation_m2k_per_w, "insulation R", "m2 K/W")
    return 1.0 / parallel_path_u_w_per_m2k(
        (1.0 - void_fraction, void_fraction),
        (other_m2k_per_w + insulation_m2k_per_w, other_m2k_per_w),
    )


def framed_wall_r_m2k_per_w(
    *,
    cavity_m2k_per_w: float,
    framing_m2k_per_w: float,
    other_m2k_per_w: float,
    framing_fraction: float,
    void_fraction: float = 0.0,
) -> float:
    """Framed assembly by parallel paths; the void is a share of the cavity area. [m2 K/W]"""
    require_within(framing_fraction, 0, 1, "framing fraction", "(no unit)")
    require_within(void_fraction, 0, 1, "void fraction", "(no unit)")
    cavity = 1.0 - framing_fraction
    return 1.0 / parallel_path_u_w_per_m2k(
        (cavity * (1.0 - void_fraction), cavity * void_fraction, framing_fraction),
        (
            other_m2k_per_w + cavity_m2k_per_w,
            other_m2k_per_w,
            other_m2k_per_w + framing_m2k_per_w,
        ),
    )


@guarded
def attic_insulation(
    *,
    new_m2k_per_w: float,
    depth_new_m: float,
    depth_now_m: float,
    condition: str,
    other_m2k_per_w: float,
    covered_fraction: float = 1.0,
) -> AtticInsulation:
    """What the insulation in an attic is worth now, from what can be seen.

    Parameters
    ----------
    new_m2k_per_w, depth_new_m : float
        Label R and its thickness, or depth times R per length. [m2 K/W], [m]
    depth_now_m : float
        Typical depth found; no more than the new depth counts. [m]
    condition : {"good", "fair", "poor"}
        Sets the bare or bypassed share, see ATTIC_CONDITIONS.
    other_m2k_per_w : float
        Films, ceiling board and framing effect: the R of the bare path. [m2 K/W]
    covered_fraction : float
        Share of the area that has insulation at all.

    Returns
    -------
    AtticInsulation
        `effective` is the R that, added to the bare path, gives the same heat flow. Six inches
        of R-19 batt trodden to four inches in poor condition is worth R-8 to R-9.

    Notes
    -----
    This is physics for the model; a program's own nominal-times-condition convention is
    another number and never shares a field with it.
    """
    require_positive(depth_new_m, "depth when new", "m")
    require_positive(depth_now_m, "depth found", "m")
    require_within(covered_fraction, 0, 1, "covered share of the area", "(no unit)")
    state = require_known(ATTIC_CONDITIONS, condition, "insulation condition")
    compression = max(0.0, 1.0 - depth_now_m / depth_new_m)
    at_depth = compressed_r_m2k_per_w(new_m2k_per_w, compression)
    void = 1.0 - covered_fraction * (1.0 - state.void_fraction)
    assembly = effective_r_with_void_m2k_per_w(at_depth, void, other_m2k_per_w)
    return AtticInsulation(
        new_m2k_per_w=new_m2k_per_w,
        at_depth_m2k_per_w=at_depth,
        effective_m2k_per_w=assembly - other_m2k_per_w,
        void_fraction=void,
        source=state.source,
    )


def code_minimum(zone: str, component: str) -> str:
    """Prescriptive minimum for new construction, as the code prints it (R, IP).

    A text, because 13+10ci is not a sum. A retrofit is limited by depth at the eave.
    """
    row = require_known(CODE_MINIMUMS, zone, "climate zone")
    if component not in CODE_COMPONENTS:
        raise InputError(f"unknown component {component!r}; known: {', '.join(CODE_COMPONENTS)}")
    return row[CODE_COMPONENTS.index(component)]


@guarded
def conduction_heat_j(u_w_per_m2k: float, area_m2: float, degree_days_k_day: float) -> float:
    """Heat through an assembly over a degree-day sum, U A DD. [J]"""
    require_not_negative(u_w_per_m2k, "U", "W/(m2 K)")
    require_not_negative(area_m2, "area", "m2")
    return u_w_per_m2k * area_m2 * degree_days_k_day * SECONDS_PER_DAY


def attic_vent_area_m2(attic_floor_m2: float, *, is_reduced: bool = False) -> float:
    """Net free vent area of an attic, 1/150 of its floor. [m2]

    `is_reduced` takes 1/300, for vents with 40 to 50 % of their area high, or the
    vapor-retarder rule. Source: IRC R806.2. Raises InputError for an area not above 0.
    """
    ratio = VENT_RATIO_REDUCED if is_reduced else VENT_RATIO_BASE
    return require_positive(attic_floor_m2, "attic floor area", "m2") / ratio


@guarded
def blown_bags(
    *,
    net_wall_m2: float,
    cavity_depth_m: float,
    framing_fraction: float,
    density_kg_per_m3: float,
    bag_kg: float,
) -> int:
    """Bags of blown insulation to fill a wall, rounded up."""
    require_within(framing_fraction, 0, 0.9, "framing fraction", "(no unit)")
    require_positive(bag_kg, "bag mass", "kg")
    volume = net_wall_m2 * cavity_depth_m * (1.0 - framing_fraction)
    return math.ceil(volume * density_kg_per_m3 / bag_kg)


@guarded
def surface_drop_k(
    indoor_outdoor_k: float, *, film_m2k_per_w: float, total_m2k_per_w: float
) -> float:
    """How far an inside surface lies below room air, dT R_film/R_total. [K]"""
    require_positive(film_m2k_per_w, "film R", "m2 K/W")
    if total_m2k_per_w < film_m2k_per_w:
        raise InputError(
            f"total R must not be below the film R of {film_m2k_per_w:g} m2 K/W, "
            f"got {total_m2k_per_w:g}"
        )
    return indoor_outdoor_k * film_m2k_per_w / total_m2k_per_w


@guarded
def infrared_contrast_k(
    indoor_outdoor_k: float,
    *,
    film_m2k_per_w: float,
    empty_m2k_per_w: float,
    filled_m2k_per_w: float,
) -> float:
    """Surface difference of an empty and a filled bay as the camera sees it. [K]"""
    return surface_drop_k(
        indoor_outdoor_k, film_m2k_per_w=film_m2k_per_w, total_m2k_per_w=empty_m2k_per_w
    ) - surface_drop_k(
        indoor_outdoor_k, film_m2k_per_w=film_m2k_per_w, total_m2k_per_w=filled_m2k_per_w
    )


@guarded
def infrared_survey(
    *,
    indoor_c: float,
    outdoor_c: float,
    hours_at_difference: float,
    wind_m_per_s: float | None = None,
    hours_since_sun: float | None = None,
    wall_kind: str = "light",
    is_dry: bool = True,
) -> InfraredJudgment:
    """Whether an insulation survey was taken under conditions that make it evidence.

    At 10 K an empty bay differs from a filled one by little over 1 K at the surface: below
    that difference the picture proves nothing. A finding needs independent proof anyway.
    Source: ASTM C1060 practice (memory).
    """
    remarks: list[str] = []
    if abs(indoor_c - outdoor_c) < SURVEY_MIN_DELTA_K - 1e-9:
        remarks.append("difference_too_small")
    if hours_at_difference < SURVEY_MIN_HOURS:
        remarks.append("not_long_enough")
    if wind_m_per_s is not None and wind_m_per_s > SURVEY_MAX_WIND_M_PER_S:
        remarks.append("too_windy")
    shade = require_known(SURVEY_SHADE_HOURS, wall_kind, "wall kind")
    if hours_since_sun is not None and hours_since_sun < shade:
        remarks.append("sun_on_wall")
    if not is_dry:
        remarks.append("surface_wet")
    return InfraredJudgment(not remarks, tuple(remarks))


def leak_survey_is_conclusive(indoor_c: float, outdoor_c: float, fan_pa: float) -> bool:
    """Whether an infrared or smoke search for air leaks tells something: fan at 20 to 50 Pa
    and at least 5 degF across the envelope (ASTM E1186; memory)."""
    return abs(indoor_c - outdoor_c) >= LEAK_SURVEY_MIN_DELTA_K - 1e-9 and 20 <= abs(fan_pa) <= 60


# A difference of 7 to 10 degF between neighboring stud bays marks missing or bad insulation,
# provided indoors and outdoors differ enough (common practice, no source).
BAY_DIFFERENCE_MARK_K = 7.0 / 1.8


def bay_difference_means_fault(bay_difference_k: float, survey: InfraredJudgment) -> bool | None:
    """Whether neighboring bays differ enough to mark a fault; None when nothing was proven."""
    if not survey.is_conclusive:
        return None
    return abs(bay_difference_k) >= BAY_DIFFERENCE_MARK_K - 1e-9
