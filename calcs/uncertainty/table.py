"""What is not known of a house, how far off it may be, and who says so: one table.

A row is one recorded or assumed input. Its spread depends on how the value was got: an instrument,
a nameplate, the auditor's eye, the occupant's word, or nobody (a default). The spread is one
standard deviation, of the logarithm for a factor and of the value itself for a shift, about the
recorded value as the median. "fitted" is what a year of bills within the published limits leaves
open of an input that they moved (common practice, no source).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from calcs.errors import InputError
from calcs.inputs import ORIGINS
from calcs.validation import require_known

PRACTICE = "common practice, no source"
LOGNORMAL, NORMAL = "lognormal", "normal"


@dataclass(frozen=True, kw_only=True)
class UncertainInput:
    """One input: its distribution, and its spread by how the value was got.

    `spreads` is one standard deviation by origin: of ln(value) where `shape` is lognormal, of the
    value in `unit` where it is normal.
    """

    key: str
    shape: str
    unit: str
    spreads: Mapping[str, float]
    source: str

    def __post_init__(self) -> None:
        if self.shape not in (LOGNORMAL, NORMAL):
            raise InputError(f"{self.key}: {self.shape!r} is not a distribution of the table.")
        unknown = sorted(set(self.spreads) - set(ORIGINS))
        if unknown or "default" not in self.spreads:
            raise InputError(f"{self.key}: spreads need a default and known origins, {unknown}.")

    def spread(self, how: str) -> float:
        """One standard deviation for an origin; that of a default where none is stated.

        Raises
        ------
        InputError
            `how` is no origin.
        """
        require_known(dict.fromkeys(ORIGINS, True), how, "origin")
        return self.spreads.get(how, self.spreads["default"])


def _factor(key: str, source: str, **spreads: float) -> UncertainInput:
    return UncertainInput(key=key, shape=LOGNORMAL, unit="factor", spreads=spreads, source=source)


def _shift(key: str, source: str, **spreads: float) -> UncertainInput:
    return UncertainInput(key=key, shape=NORMAL, unit="K", spreads=spreads, source=source)


UNCERTAIN_INPUTS: dict[str, UncertainInput] = {
    row.key: row
    for row in (
        _factor(
            "leakage_test",
            "regression interval of a good multi-point test 1 to 2 %, up to 10 % by air density "
            "where it was not corrected (computed from ASTM E779 formulas, memory); the rest "
            + PRACTICE,
            measured=0.07, recorded=0.15, reported=0.35, default=0.35,
        ),
        _factor(
            "leakage_to_weather",
            "shelter, height and wind between a pressure test and a year of weather: enhanced "
            "infiltration model against measured homes, 10 to 20 % (memory)",
            measured=0.15, recorded=0.18, default=0.20,
        ),
        _shift(
            "heating_setpoint",
            "national survey of home energy use, winter day settings spread by about 4 °F among "
            "homes (memory); narrower where asked or logged, common practice",
            measured=0.5, fitted=0.6, recorded=0.8, reported=1.0, default=1.7,
        ),
        _shift(
            "cooling_setpoint",
            "as the heating setting; summer settings spread a little wider (memory)",
            measured=0.5, fitted=0.7, recorded=0.8, reported=1.1, default=1.9,
        ),
        _factor(
            "heating_efficiency",
            "flue test within 1 to 2 points and the season's cycling beside it; nameplates of aged "
            "units several points off: " + PRACTICE,
            measured=0.04, nameplate=0.07, recorded=0.08, default=0.12,
        ),
        _factor(
            "cooling_efficiency",
            "rated against in place, charge and air flow as found: " + PRACTICE,
            measured=0.08, nameplate=0.12, recorded=0.14, default=0.20,
        ),
        _factor(
            "attic_r",
            "depth measured at a few places, condition judged by eye: " + PRACTICE,
            measured=0.12, recorded=0.15, reported=0.30, default=0.40,
        ),
        _factor(
            "wall_r",
            "filled or empty seen at outlets or by infrared, density not: " + PRACTICE,
            measured=0.15, recorded=0.20, reported=0.35, default=0.40,
        ),
        _factor(
            "foundation_r",
            "batts in a floor or on a basement wall, hung and fitted as found: " + PRACTICE,
            measured=0.15, recorded=0.25, reported=0.35, default=0.40,
        ),
        _factor(
            "conductance",
            "walls, ceilings and floors as built against as recorded: framing, edges, materials, "
            "ground: " + PRACTICE,
            measured=0.06, fitted=0.08, default=0.10,
        ),
        _factor(
            "window_u",
            "rating by panes and frame rather than a label: " + PRACTICE,
            measured=0.05, nameplate=0.05, recorded=0.10, default=0.18,
        ),
        _factor(
            "sun_let_in",
            "trees, neighbors and curtains are taken as usual, not recorded: " + PRACTICE,
            measured=0.10, nameplate=0.15, recorded=0.18, default=0.20,
        ),
        _factor(
            "people",
            "number at home, and how much of the day: " + PRACTICE,
            measured=0.10, recorded=0.12, reported=0.15, default=0.35,
        ),
        _factor(
            "plug_loads",
            "reference equation by floor area and bedrooms against homes: wide; " + PRACTICE,
            measured=0.10, fitted=0.12, recorded=0.25, default=0.30,
        ),
        _factor(
            "hot_water_draw",
            "reference draw by bedrooms against metered homes: wide; " + PRACTICE,
            measured=0.10, fitted=0.18, recorded=0.25, default=0.30,
        ),
        _factor(
            "duct_leakage",
            "pressure test of the ducts, or a guess by their age and place: " + PRACTICE,
            measured=0.10, recorded=0.30, default=0.50,
        ),
        _factor(
            "lamp_hours",
            "hours by the occupant's word or the usual ones: " + PRACTICE,
            measured=0.10, recorded=0.20, reported=0.25, default=0.35,
        ),
        _factor(
            "refrigerator_use",
            "metered for two hours or more, or by year of make: " + PRACTICE,
            measured=0.10, nameplate=0.15, recorded=0.15, default=0.20,
        ),
        _factor(
            "heating_model",
            "spread of annual heating among programs in the public comparison of ANSI/ASHRAE "
            "Standard 140 (read), as one standard deviation",
            default=0.06,
        ),
        _factor(
            "cooling_model",
            "spread of annual cooling among programs in the public comparison of ANSI/ASHRAE "
            "Standard 140 (read), and latent load beside it, as one standard deviation",
            default=0.10,
        ),
    )
}  # fmt: skip

WORK_SOURCE = (
    "what a crew reaches against what was planned, and how the thing is then used: " + PRACTICE
)
# One standard deviation of the share of a measure's saving that the work brings about. [-]
WORK_QUALITY: dict[str, float] = {
    "attic_air_sealing": 0.25, "air_sealing": 0.30, "rim_joist": 0.20, "flue_plug": 0.25,
    "attic_hatch_cover": 0.20, "attic_insulation": 0.10, "wall_insulation": 0.15,
    "floor_insulation": 0.20, "belly_insulation": 0.25, "basement_wall_insulation": 0.15,
    "crawl_encapsulation": 0.25, "window_replacement": 0.10, "storm_windows": 0.20,
    "duct_sealing": 0.25, "duct_insulation": 0.20, "heating_pipe_insulation": 0.20,
    "furnace_replacement": 0.08, "boiler_replacement": 0.08, "heat_pump": 0.15,
    "water_heater_replacement": 0.08, "heat_pump_water_heater": 0.15,
    "hot_water_pipe_insulation": 0.30, "showerheads": 0.30, "aerators": 0.40, "thermostat": 0.50,
    "exhaust_fan": 0.15, "led_lamps": 0.10, "refrigerator_replacement": 0.10,
    "second_refrigerator_removal": 0.15,
}  # fmt: skip
OTHER_WORK = 0.20  # a kind without a line; common practice, no source


def work_quality(kind: str) -> UncertainInput:
    """The row of a kind of work: a normal factor on its saving, never below nothing."""
    spread = WORK_QUALITY.get(kind, OTHER_WORK)
    return UncertainInput(
        key=f"work:{kind}", shape=NORMAL, unit="share of the saving",
        spreads={"default": spread}, source=WORK_SOURCE,
    )  # fmt: skip


def table_to_dict() -> list[dict[str, Any]]:
    """Every row as plain JSON values: inputs first, then the quality of each kind of work."""
    rows = [*UNCERTAIN_INPUTS.values(), *(work_quality(kind) for kind in sorted(WORK_QUALITY))]
    return [
        {
            "key": row.key,
            "shape": row.shape,
            "unit": row.unit,
            "spreads": dict(row.spreads),
            "source": row.source,
        }
        for row in rows
    ]
