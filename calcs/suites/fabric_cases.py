"""The thermal fabric cases: each a row of differences from case 600.

Carried over from public encodings of the cases and notes on the 2020 edition of ANSI/ASHRAE
Standard 140 (read); the in-depth cases from memory.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, kw_only=True)
class Case:
    """Differences of one case from case 600."""

    mass: str = "light"
    is_insulated: bool = False
    glass: str = "clear"  # clear, low_e, single, conductive (opaque), none (plain wall)
    faces: str = "south"  # or east_west
    shade: str = ""  # or overhang, overhang_and_fins
    heat_c: float | None = 20.0
    cool_c: float | None = 27.0
    schedule: str = ""  # or setback, night_fan
    is_free: bool = False
    air_changes_per_hour: float = 0.5
    gain_w: float = 200.0
    absorptance_out: float = 0.6
    absorptance_in: float = 0.6
    emittance_out: float = 0.9
    emittance_in: float = 0.9
    has_sun_zone: bool = False
    fixed_films: str = ""  # or inside, outside, both: constant combined coefficients


def _both(changes: dict[str, object]) -> tuple[Case, Case]:
    light = Case(**changes)  # type: ignore[arg-type]  # field values by name
    heavy = Case(**{"mass": "heavy", **changes})  # type: ignore[arg-type]  # as above
    return light, heavy


def _indepth(**changes: object) -> Case:
    base: dict[str, object] = {
        "glass": "conductive", "absorptance_out": 0.1, "air_changes_per_hour": 0.0,
        "gain_w": 0.0, "cool_c": 20.0,
    }  # fmt: skip
    return Case(**{**base, **changes})  # type: ignore[arg-type]  # field values by name


_PAIRS: dict[str, dict[str, object]] = {
    "00": {},
    "10": {"shade": "overhang"},
    "20": {"faces": "east_west"},
    "30": {"faces": "east_west", "shade": "overhang_and_fins"},
    "40": {"schedule": "setback"},
    "50": {"schedule": "night_fan", "heat_c": None},
    "60": {"glass": "low_e"},
    "70": {"glass": "single"},
    "80": {"is_insulated": True},
    "85": {"cool_c": 20.0},
    "95": {"is_insulated": True, "cool_c": 20.0},
    "00FF": {"is_free": True},
    "50FF": {"schedule": "night_fan", "is_free": True},
    "80FF": {"is_insulated": True, "is_free": True},
}

CASES: dict[str, Case] = {
    **{f"6{tail}": _both(changes)[0] for tail, changes in _PAIRS.items()},
    **{
        f"9{tail}": _both(changes)[1]
        for tail, changes in _PAIRS.items()
        if tail not in ("60", "70")
    },
    "960": Case(has_sun_zone=True),
    "195": _indepth(glass="none", emittance_out=0.1, emittance_in=0.1),
    "200": _indepth(emittance_out=0.1, emittance_in=0.1),
    "210": _indepth(emittance_in=0.1),
    "215": _indepth(emittance_out=0.1),
    "220": _indepth(),
    "230": _indepth(air_changes_per_hour=1.0),
    "240": _indepth(gain_w=200.0),
    "250": _indepth(absorptance_out=0.9),
    "270": _indepth(glass="clear", absorptance_in=0.9),
    "280": _indepth(glass="clear", absorptance_in=0.1),
    "290": _indepth(glass="clear", absorptance_in=0.9, shade="overhang"),
    "300": _indepth(glass="clear", absorptance_in=0.9, faces="east_west"),
    "310": _indepth(
        glass="clear", absorptance_in=0.9, faces="east_west", shade="overhang_and_fins"
    ),
    "320": _indepth(glass="clear", absorptance_in=0.9, cool_c=27.0),
    "395": _indepth(glass="none", cool_c=27.0),
    "400": _indepth(cool_c=27.0),
    "410": _indepth(cool_c=27.0, air_changes_per_hour=0.5),
    "420": _indepth(cool_c=27.0, air_changes_per_hour=0.5, gain_w=200.0),
    "430": Case(glass="conductive"),
    "440": Case(absorptance_in=0.1),
    "450": Case(fixed_films="both"),
    "460": Case(fixed_films="inside"),
    "470": Case(fixed_films="outside"),
    "800": Case(glass="conductive", mass="heavy"),
    "810": Case(absorptance_in=0.1, mass="heavy"),
}
