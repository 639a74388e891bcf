"""The formulas of the trade at a desk: what each asks for, in which unit, and what it answers.

Nothing is stored. Names, units and kinds come from the formula's own signature, so that a formula
added to ``calcs.formulas`` is offered without further words here.
"""

import dataclasses
import inspect
import math
import re
import types
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np

from calcs import combustion
from calcs.errors import CalcsError
from calcs.formulas import FIELD_TESTS, FieldTest, field_test, unit_ending
from calcs.guards import range_of
from calcs.limits import PUBLISHED, Limits
from portal.core import units
from portal.core.errors import DomainError, ValuesRefused

Kind = Literal["number", "whole", "flag", "word", "list", "by_key"]
GIVEN = ""  # a number without a unit, or in whatever unit it was given

# Ending of a name -> (SI spelling, spelling on the surface, what stands behind the box).
SURFACES: dict[str, tuple[str, str, str]] = {
    "m3_per_s_pa_n": ("m³/s", "CFM", "CFM/Paⁿ"),
    "m3_per_s": ("m³/s", "CFM", "CFM"),
    "m3_per_day": ("m³/day", "gal/day", "gal/day"),
    "l_per_s": ("L/s", "L/s", "L/s"),
    "per_h": (GIVEN, GIVEN, "per hour"),
    "per_k_day": (GIVEN, GIVEN, "per K·day"),
    "k_day": ("K·days", "°F·days", "°F·days"),
    "j_per_k_day": ("J/K·day", "Btu/°F·day", "Btu/°F·day"),
    "j_per_kg_k": ("J/kgK", "Btu/lb·°F", "Btu/lb·°F"),
    "j_per_m3_k": ("J/m³K", "Btu/ft³·°F", "Btu/ft³·°F"),
    "j_per_kg": ("J/kg", "Btu/lb", "Btu/lb"),
    "j_per_m3": ("J/m³", "Btu/ft³", "Btu/ft³"),
    "per_j": ("$/J", "$/therm", "$/therm"),
    "kg_per_j": ("kg/J", "lb/MWh", "lb/MWh"),
    "kg_per_m3": ("kg/m³", "lb/ft³", "lb/ft³"),
    "w_per_m2k": ("W/m2K", "U", "Btu/h·ft²·°F"),
    "w_per_k": ("W/K", "Btu/h·°F", "Btu/h·°F"),
    "m2k_per_w": ("m2K/W", "R", "h·ft²·°F/Btu"),
    "m_per_s": ("m/s", "mph", "mph"),
    "btu_per_wh": (GIVEN, GIVEN, "Btu/Wh"),
    "pa_s": (GIVEN, GIVEN, "Pa·s"),
    "cfm25_per_100ft2": (GIVEN, GIVEN, "CFM25 per 100 ft²"),
    "r_ip": (GIVEN, GIVEN, "h·ft²·°F/Btu"),
    "cfm": (GIVEN, GIVEN, "CFM"),
    "ft2": (GIVEN, GIVEN, "ft²"),
    "degf": (GIVEN, GIVEN, "°F"),
    "in": (GIVEN, GIVEN, "in"),
    "m3": ("m³", "ft³", "ft³"),
    "m2": ("m²", "ft²", "ft²"),
    "m": ("m", "ft", "ft"),
    "pa": ("Pa", "Pa", "Pa"),
    "pct": (GIVEN, GIVEN, "%"),
    "ppm": (GIVEN, GIVEN, "ppm"),
    "c": ("degC", "°F", "°F"),
    "k": ("K", "ΔF", "°F"),
    "w": ("W", "Btu/h", "Btu/h"),
    "j": ("J", "therms", "therms"),
    "years": (GIVEN, GIVEN, "years"),
    "seconds": (GIVEN, GIVEN, "s"),
    "minutes": (GIVEN, GIVEN, "min"),
    "hours": (GIVEN, GIVEN, "h"),
    "days": (GIVEN, GIVEN, "days"),
}
_KWH = ("J", "kWh", "kWh")
_WATTS = ("W", "W", "W")
_GALLONS = ("m³", "gal", "gal")
_GPM = ("m³/s", "gpm", "gpm")
_INCHES = ("m", "in", "in")
_IN2 = ("m²", "in²", "in²")
# Where the trade uses another unit than the ending suggests: (formula, name) -> units.
OTHER_SURFACES: dict[tuple[str, str], tuple[str, str, str]] = {
    **{
        (formula, "return"): _KWH
        for formula in (
            "air_sealing_cooling",
            "insulation_cooling",
            "lamp_saving",
            "lamp_annual",
            "refrigerator_standard",
        )
    },
    ("metered_refrigerator", "energy_j"): _KWH,
    ("metered_refrigerator", "annual_j"): _KWH,
    ("metered_refrigerator", "peak_w"): _WATTS,
    ("coincident_demand", "annual_j"): _KWH,
    ("coincident_demand", "return"): _WATTS,
    ("lamp_demand", "return"): _WATTS,
    **{
        (formula, name): _WATTS
        for formula in ("lamp_saving", "lamp_heating_penalty", "lamp_demand")
        for name in ("base_w", "new_w")
    },
    ("lamp_annual", "watts"): (GIVEN, GIVEN, "W"),
    ("daily_input", "draw_m3"): _GALLONS,
    ("daily_input", "density_kg_per_m3"): ("kg/m³", "lb/gal", "lb/gal"),
    ("energy_by_uef", "draw_m3"): _GALLONS,
    ("energy_by_uef", "density_kg_per_m3"): ("kg/m³", "lb/gal", "lb/gal"),
    ("draw_bin", "first_hour_m3"): _GALLONS,
    ("draw_bin", "max_flow_m3_per_s"): _GPM,
    ("uef_minimum", "volume_m3"): _GALLONS,
    ("ef_minimum", "volume_m3"): _GALLONS,
    ("showerhead_saving", "base_m3_per_s"): _GPM,
    ("showerhead_saving", "low_m3_per_s"): _GPM,
    ("showerhead_saving", "energy_j_per_m3"): ("J/m³", "Btu/gal", "Btu/gal"),
    ("hot_water_energy", "return"): ("J/m³", "Btu/gal", "Btu/gal"),
    ("nozzle_input", "nozzle_m3_per_s_at_100psi"): ("m³/s", "gph", "gph at 100 psi"),
    ("nozzle_input", "pump_pa"): ("Pa", "psi", "psi"),
    ("nozzle_input", "hhv_j_per_m3"): ("J/m³", "Btu/gal", "Btu/gal"),
    ("steam_temperature", "gauge_pa"): ("Pa", "psi", "psi"),
    ("water_column", "gauge_pa"): ("Pa", "psi", "psi"),
    ("water_column", "return"): _INCHES,
    ("pipe_volume", "inside_diameter_m"): _INCHES,
    ("largest_flue_area", "outlet_diameter_m"): _INCHES,
    ("largest_flue_area", "return"): _IN2,
    ("opening_free_area", "return"): _IN2,
    ("attic_vent_area", "return"): _IN2,
    **{
        (formula, "return"): _IN2
        for formula in ("leakage_area", "equivalent_leakage_area", "leakage_area_from_flow50")
    },
    ("blower_door_test", "ela_m2"): _IN2,
    ("blower_door_test", "eqla_m2"): _IN2,
    ("basic_infiltration", "leakage_area_m2"): _IN2,
    ("normalized_leakage", "leakage_area_m2"): _IN2,
    ("attic_insulation", "depth_new_m"): _INCHES,
    ("attic_insulation", "depth_now_m"): _INCHES,
    ("material_resistance", "thickness_m"): _INCHES,
    ("blown_bags", "cavity_depth_m"): _INCHES,
    ("blown_bags", "bag_kg"): ("kg", "lb", "lb"),
    ("break_even_electricity_price", "return"): ("$/J", "$/kWh", "$/kWh"),
    ("two_point_exponent", "flow_1"): ("m³/s", "CFM", "CFM"),
    ("two_point_exponent", "flow_2"): ("m³/s", "CFM", "CFM"),
    ("scaled_flow", "flow"): ("m³/s", "CFM", "CFM"),
    ("scaled_flow", "return"): ("m³/s", "CFM", "CFM"),
    ("power_law_flow", "coefficient"): ("m³/s", "CFM", "CFM/Paⁿ"),
    ("power_law_flow", "return"): ("m³/s", "CFM", "CFM"),
    ("reference_coefficient", "coefficient"): ("m³/s", "CFM", "CFM/Paⁿ"),
    ("reference_coefficient", "return"): ("m³/s", "CFM", "CFM/Paⁿ"),
    ("oversizing_ratio", "design_load"): ("W", "Btu/h", "Btu/h"),
    ("quadrature_flow", "wind_m_per_s_flow"): ("m³/s", "CFM", "CFM"),
    ("standby_ua", "heat_j_per_day"): ("J", "therms", "therms/day"),
    ("leakage_per_floor_area", "return"): ("m/s", "m/s", "m³/s per m²"),
    ("heating_degree_days", "return"): SURFACES["k_day"],
    ("cooling_degree_days", "return"): SURFACES["k_day"],
    ("hourly_heating_degree_days", "return"): SURFACES["k_day"],
    ("hourly_cooling_degree_days", "return"): SURFACES["k_day"],
    ("monthly_heating_degree_days", "return"): SURFACES["k_day"],
    ("monthly_cooling_degree_days", "return"): SURFACES["k_day"],
    ("erbs_heating_degree_days", "return"): SURFACES["k_day"],
    ("uk_daily_heating_degree_days", "return"): SURFACES["k_day"],
    ("us_weather_service_heating_degree_days", "return"): SURFACES["k_day"],
    ("source_energy", "site_energy_j"): ("J", "MMBtu", "MMBtu"),
    ("source_energy", "return"): ("J", "MMBtu", "MMBtu"),
}


@dataclasses.dataclass(frozen=True)
class Box:
    """One input of a formula."""

    name: str
    label: str
    kind: Kind
    si_unit: str
    unit: str
    unit_text: str
    is_required: bool
    default: str  # as it would be typed, "" for none
    part_of: str  # the parameter whose dataclass this belongs to, or ""


@dataclasses.dataclass(frozen=True)
class Answer:
    """One output of a formula on the surface."""

    name: str
    label: str
    value: float | str | bool | None
    text: str
    unit_text: str


_SPELLED = {
    "pa": "Pa",
    "co": "CO",
    "co2": "CO₂",
    "o2": "O₂",
    "ela": "ELA",
    "eqla": "EqLA",
    "edr": "EDR",
    "uef": "UEF",
    "hspf": "HSPF",
    "seer": "SEER",
    "cop": "COP",
    "lhv": "LHV",
    "hhv": "HHV",
    "lel": "LEL",
    "ua": "UA",
}


def label_of(name: str) -> str:
    """The words of a name without its unit."""
    ending = unit_ending(name)
    words = name.removesuffix("_" + ending) if ending and ending != name else name
    words = words.replace("flow50", "flow_at_50_pa").replace("leak25", "leakage_at_25_pa")
    words = words.replace("ach50", "air_changes_at_50_pa")
    words = words.removeprefix("is_").removeprefix("has_").replace("_", " ")
    words = " ".join(_SPELLED.get(word, word) for word in words.split())
    return words[:1].upper() + words[1:]


def title_of(test: FieldTest) -> str:
    """A formula's name in words: the first sentence of its description without asides."""
    first = test.summary.split(". ")[0].rstrip(".")
    return re.sub(r"\s*(\([^)]*\)|\[[^\]]*\])", "", first).split(": ")[0].strip()


def _units(formula: str, name: str, of: str) -> tuple[str, str, str]:
    other = OTHER_SURFACES.get((formula, name))
    return other or SURFACES.get(unit_ending(of), (GIVEN, GIVEN, ""))


def _kind(hint: Any) -> Kind:
    origin = get_origin(hint)
    if origin in (Union, types.UnionType) and not _is_array(hint):
        return _kind(next(part for part in get_args(hint) if part is not type(None)))
    if origin is dict:
        return "by_key"
    if _is_array(hint) or (isinstance(origin, type) and issubclass(origin, Sequence)):
        return "list"
    return {int: "whole", bool: "flag", str: "word"}.get(hint, "number")  # type: ignore[return-value]


def _is_array(hint: Any) -> bool:
    return "numpy" in str(hint)


def _typed(value: Any, si_unit: str, unit: str) -> str:
    if value is inspect.Parameter.empty or value is None or value == ():
        return ""
    if isinstance(value, bool):
        return "yes" if value else ""
    if isinstance(value, str):
        return value
    shown = units.convert(float(value), si_unit, unit) if si_unit != unit else float(value)
    return f"{shown:.6g}"


def _box(test: FieldTest, name: str, hint: Any, default: Any, part_of: str = "") -> Box:
    kind = _kind(hint)
    si_unit, unit, text = (
        _units(test.name, name, name) if kind not in ("flag", "word") else (GIVEN, GIVEN, "")
    )
    return Box(
        name=name,
        label=label_of(name),
        kind=kind,
        si_unit=si_unit,
        unit=unit,
        unit_text=text,
        is_required=default is inspect.Parameter.empty and kind != "flag",
        default=_typed(default, si_unit, unit),
        part_of=part_of,
    )


@cache
def boxes_of(test: FieldTest) -> tuple[Box, ...]:
    """The inputs of a formula in the order of its signature; a dataclass gives its fields."""
    hints = get_type_hints(test.function)
    boxes: list[Box] = []
    for name, parameter in inspect.signature(test.function).parameters.items():
        hint = hints[name]
        if hint is Limits:
            # What the program has adopted is not asked for; it is in effect.
            continue
        if hint is combustion.FuelAnalysis:
            boxes.append(_box(test, name, str, parameter.default))
        elif dataclasses.is_dataclass(hint):
            inner = get_type_hints(hint)
            for field in dataclasses.fields(hint):
                default = (
                    inspect.Parameter.empty
                    if field.default is dataclasses.MISSING
                    else field.default
                )
                boxes.append(_box(test, field.name, inner[field.name], default, name))
        else:
            boxes.append(_box(test, name, hint, parameter.default))
    return tuple(boxes)


def _number(box: Box, typed: str) -> float:
    try:
        value = units.number(typed)
    except units.UnitRefused as error:
        raise DomainError(str(error)) from error
    return units.convert(value, box.unit, box.si_unit) if box.unit != box.si_unit else value


def _split(typed: str) -> list[str]:
    # A comma inside a number stands between thousands, so only one at its end separates.
    parts = (part.rstrip(",") for part in typed.replace(";", " ").split())
    return [part for part in parts if part]


def _require_meant(box: Box, value: float, typed: str) -> None:
    """Refuse what cannot be meant by the range of the input's name, in the unit it was typed in."""
    low, high, _unit = range_of(box.name)
    if low <= value <= high or not math.isfinite(low):
        return
    ends = [
        units.convert(end, box.si_unit, box.unit) if box.unit != box.si_unit else end
        for end in (low, high)
    ]
    limits = f"from {_figure(ends[0])} to {_figure(ends[1])} {box.unit_text}".rstrip()
    raise DomainError(f"{box.label} must be {limits}; you typed {typed}.")


def _read(box: Box, typed: str) -> Any:
    """What was typed as the value a formula takes; DomainError says what is wrong with it."""
    if box.kind == "flag":
        return typed.lower() in ("yes", "true", "on", "1")
    if box.kind == "word":
        return typed
    if box.kind == "list":
        values = [_number(box, part) for part in _split(typed)]
        for value, part in zip(values, _split(typed), strict=True):
            _require_meant(box, value, part)
        return values
    if box.kind == "by_key":
        pairs = [part.partition("=") for part in _split(typed)]
        return {key: _number(box, value) for key, _sign, value in pairs}
    value = _number(box, typed)
    _require_meant(box, value, typed)
    if box.kind == "whole":
        if value != int(value):
            raise DomainError(f"{box.label} must be a whole number, got {typed}.")
        return int(value)
    return value


def work_out(
    name: str, typed: Mapping[str, str], *, limits: Limits = PUBLISHED
) -> tuple[Answer, ...]:
    """Work a formula out from what was typed, by the limits in effect.

    Raises
    ------
    ValuesRefused
        Unknown formula or input, a box left empty, no number, or what the formula refuses; each
        box concerned has its own message, and the formula's own words name field, limit and unit.
    """
    test = find(name)
    boxes = boxes_of(test)
    unknown = sorted(set(typed) - {box.name for box in boxes})
    if unknown:
        known = ", ".join(box.name for box in boxes)
        raise ValuesRefused(f"This formula does not ask for {', '.join(unknown)}; it asks: {known}")
    faults: dict[str, str] = {}
    values: dict[str, Any] = {}
    parts: dict[str, dict[str, Any]] = {}
    for box in boxes:
        text = str(typed.get(box.name, "")).strip()
        if not text and box.kind != "flag":
            if box.is_required:
                unit = f" in {box.unit_text}" if box.unit_text else ""
                faults[box.name] = f"Enter {box.label.lower()}{unit}."
            continue
        if not text and not box.default:
            continue
        try:
            value = _read(box, text)
        except DomainError as error:
            faults[box.name] = error.message
            continue
        (parts.setdefault(box.part_of, {}) if box.part_of else values)[box.name] = value
    if faults:
        raise ValuesRefused("Some boxes need another look.", fields=faults)
    try:
        return _answers(test, _call(test.function, values, parts, limits))
    except CalcsError as error:
        raise ValuesRefused(str(error)) from error


def _call(
    function: Callable[..., Any],
    values: dict[str, Any],
    parts: dict[str, dict[str, Any]],
    limits: Limits,
) -> Any:
    hints = get_type_hints(function)
    given = dict(values)
    for name in inspect.signature(function).parameters:
        if hints[name] is Limits:
            given[name] = limits
        elif hints[name] is combustion.FuelAnalysis:
            given[name] = combustion.fuel_analysis(given[name])
        elif dataclasses.is_dataclass(hints[name]):
            given[name] = hints[name](**parts.get(name, {}))
    return function(**given)


def _answers(test: FieldTest, result: Any) -> tuple[Answer, ...]:
    return tuple(_flat(test, "return", test.function.__name__, result))


def _flat(test: FieldTest, name: str, of: str, value: Any) -> list[Answer]:
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        names = [field.name for field in dataclasses.fields(value)]
        names += [key for key, item in vars(type(value)).items() if isinstance(item, property)]
        return [answer for key in names for answer in _flat(test, key, key, getattr(value, key))]
    label = title_of(test) if name == "return" else label_of(name)
    if isinstance(value, tuple):
        value = ", ".join(str(item).replace("_", " ") for item in value)
    if value is None or isinstance(value, bool | str):
        text = {None: "–", True: "yes", False: "no"}.get(value, value)  # type: ignore[arg-type]
        return [Answer(name, label, value, str(text).replace("_", " "), "")]
    si_unit, unit, unit_text = _units(test.name, name, of)
    shown = float(np.asarray(value, dtype=float))
    if si_unit != unit:
        shown = units.convert(shown, si_unit, unit)
    return [Answer(name, label, shown, _figure(shown), unit_text)]


def _figure(value: float) -> str:
    """Five significant digits, with commas; a whole number stays whole."""
    if value == 0 or not np.isfinite(value):
        return f"{value:g}"
    places = max(0, 4 - int(np.floor(np.log10(abs(value)))))
    text = f"{value:,.{min(places, 12)}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def find(name: str) -> FieldTest:
    """The formula of a name. Raises ValuesRefused for an unknown one."""
    try:
        return field_test(name)
    except CalcsError as error:
        raise ValuesRefused(str(error)) from error


def groups() -> dict[str, list[FieldTest]]:
    """Every formula by its group, in the order of the catalogue."""
    found: dict[str, list[FieldTest]] = {}
    for test in FIELD_TESTS.values():
        found.setdefault(test.group, []).append(test)
    return found
