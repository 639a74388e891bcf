"""Published R-values, films, compressed batts and code minimums, each with its source.

Values stand in the source's own units (h ft2 degF/Btu, inches); functions of calcs.envelope
hand them out in SI. Several printings differ; the tolerance of a check row says by how much.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class MaterialR:
    """R of a material as published: per inch, or of one piece when `per_inch` is False."""

    r_ip: float
    per_inch: bool
    source: str
    provenance: str


# Surface film resistances, h ft2 degF/Btu.
FILMS: dict[str, MaterialR] = {
    name: MaterialR(value, False, source, provenance)
    for name, value, source, provenance in (
        ("indoor_vertical", 0.68, "energy-code text derived from ASHRAE 90.1", "read"),
        ("indoor_horizontal_up", 0.61, "energy-code text derived from ASHRAE 90.1", "read"),
        ("indoor_horizontal_down", 0.92, "energy-code text derived from ASHRAE 90.1", "read"),
        ("outdoor_winter", 0.17, "energy-code text derived from ASHRAE 90.1", "read"),
        ("semi_exterior", 0.46, "energy-code text derived from ASHRAE 90.1", "read"),
        ("outdoor_summer", 0.25, "ASHRAE Handbook-Fundamentals", "memory"),
    )
}

_CHART = "published R-value and densities chart"
_EXAMPLE = "online R-value table, assembly example"
_HOF = "ASHRAE Handbook-Fundamentals"
MATERIALS: dict[str, MaterialR] = {
    "softwood_framing": MaterialR(1.25, True, f"{_HOF} 1997, 1.22 to 1.35", "memory"),
    "stud_2x4": MaterialR(4.38, False, _EXAMPLE, "read"),
    "gypsum_half_inch": MaterialR(0.45, False, _EXAMPLE, "read"),
    "plywood": MaterialR(1.24, True, _CHART, "read"),
    "expanded_polystyrene": MaterialR(3.8, True, f"{_HOF}, 3.6 to 4.0", "memory"),
    "extruded_polystyrene": MaterialR(5.0, True, _CHART, "read"),
    "polyisocyanurate": MaterialR(5.8, True, f"{_HOF}, 5.6 to 6.5", "memory"),
    "closed_cell_foam": MaterialR(6.2, True, f"{_HOF}, 6.0 to 6.5", "memory"),
    "open_cell_foam": MaterialR(3.6, True, _HOF, "memory"),
    "fiberglass_batt": MaterialR(3.14, True, f"{_HOF}, 3.0 to 3.8 by density", "memory"),
    "fiberglass_loose": MaterialR(2.2, True, f"{_CHART}, at 0.7 lb/ft3", "read"),
    "cellulose_loose": MaterialR(3.5, True, f"{_CHART}, 2.8 to 3.7", "read"),
    "rock_wool_loose": MaterialR(3.1, True, _CHART, "read"),
    "vermiculite_loose": MaterialR(2.2, True, "2.1 to 2.4, trade", "memory"),
    "asphalt_shingle": MaterialR(0.44, False, _CHART, "read"),
    "brick": MaterialR(0.11, True, f"{_CHART}, 120 lb/ft3", "read"),
    "bevel_siding_lapped": MaterialR(0.81, False, _HOF, "read"),
    "bevel_siding_3_4x10": MaterialR(1.05, False, _CHART, "read"),
}

BATT_SOURCE = "trade journal chart from a manufacturer"
# Label R and thickness when new (in.) to R by cavity depth (in.).
COMPRESSED_BATTS: dict[tuple[int, float], dict[float, float]] = {
    (15, 3.5): {3.5: 15},
    (19, 6.25): {3.5: 14, 5.5: 18, 7.25: 19},
    (21, 5.5): {3.5: 15, 5.5: 21},
    (22, 6.5): {3.5: 15, 5.5: 20, 7.25: 22},
    (25, 8.0): {5.5: 20, 7.25: 24, 9.25: 25},
    (30, 8.25): {5.5: 22, 7.25: 27, 9.25: 30},
    (30, 10.0): {5.5: 21, 7.25: 26, 9.25: 29, 11.25: 30},
    (38, 10.0): {7.25: 30, 9.25: 36, 11.25: 38},
    (38, 12.0): {7.25: 28, 9.25: 33, 11.25: 37},
}

GRADE_SOURCE = "ANSI/RESNET/ICC 301"
# Missing share of the cavity (insulated) area by installation grade; II read, I and III memory.
GRADE_VOID = {"I": 0.00, "II": 0.02, "III": 0.05}


@dataclass(frozen=True)
class InstalledCondition:
    """What old insulation is worth: the share bare or bypassed, and what that rests on."""

    void_fraction: float
    source: str


# Bare or bypassed share of attic insulation by the field sheet's condition. Good and fair use
# the installation grades; poor (gaps, wind-washing, trodden, rodents) is beyond grade III.
ATTIC_CONDITIONS = {
    "good": InstalledCondition(0.00, f"{GRADE_SOURCE} grade I"),
    "fair": InstalledCondition(0.02, f"{GRADE_SOURCE} grade II"),
    "poor": InstalledCondition(0.07, "common practice, no source; beyond grade III"),
}
# x % of thickness lost costs about x/2 % of R (read with the compressed-batt chart).
COMPRESSION_R_SHARE = 0.5

CODE_SOURCE = "2021 IECC Table R402.1.3, PNNL reproduction"
CODE_COMPONENTS = ("ceiling", "wood wall", "floor", "basement wall", "slab", "crawl wall")
_WALL_COLD = "30 or 20+5ci or 13+10ci or 0+20ci"
_BASEMENT_COLD = "15ci or 19 or 13+5ci"
# Alternatives with + and ci are texts, never sums: 13+10ci is not 23.
CODE_MINIMUMS: dict[str, tuple[str, ...]] = {
    "1": ("30", "13 or 0+10ci", "13", "0", "0", "0"),
    "2": ("49", "13 or 0+10ci", "13", "0", "0", "0"),
    "3": ("49", "20 or 13+5ci or 0+15ci", "19", "5ci or 13", "10ci, 2 ft", "5ci or 13"),
    "4 except Marine": ("60", _WALL_COLD, "19", "10ci or 13", "10ci, 4 ft", "10ci or 13"),
    "5 and Marine 4": ("60", _WALL_COLD, "30", _BASEMENT_COLD, "10ci, 4 ft", _BASEMENT_COLD),
    "6": ("60", _WALL_COLD, "30", _BASEMENT_COLD, "10ci, 4 ft", _BASEMENT_COLD),
    "7 and 8": ("60", _WALL_COLD, "38", _BASEMENT_COLD, "10ci, 4 ft", _BASEMENT_COLD),
}
FRAMING_DEFAULTS = {"wall_16_in": 0.25, "wall_24_in": 0.22, "attic": 0.07}  # (memory)

# Attic net free vent area as a share of the attic floor (IRC R806.2, read in reproductions).
VENT_RATIO_BASE = 150.0
VENT_RATIO_REDUCED = 300.0  # with 40-50 % of it high, or the vapor-retarder rule

# Infrared survey of insulation (ASTM C1060 practice; memory).
SURVEY_MIN_DELTA_K = 10.0
SURVEY_MIN_HOURS = 4.0
SURVEY_MAX_WIND_M_PER_S = 6.7  # about 15 mph
SURVEY_SHADE_HOURS = {"light": 3.0, "masonry": 8.0}
LEAK_SURVEY_MIN_DELTA_K = 5.0 / 1.8  # 5 degF with the fan on (ASTM E1186; memory)
