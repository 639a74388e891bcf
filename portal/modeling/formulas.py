"""The formulas of the trade at a desk: what each asks for, in which unit, and what it answers.

Nothing is stored. Names, units and kinds come from the formula's own signature, so that a formula
added to ``calcs.formulas`` is offered without further words here.
"""

import dataclasses
import inspect
import math
import types
from collections.abc import Callable, Mapping, Sequence
from functools import cache
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

import numpy as np

from calcs import combustion
from calcs.errors import CalcsError
from calcs.formulas import FIELD_TESTS, WORDS, FieldTest, field_test
from calcs.guards import range_of
from calcs.limits import PUBLISHED, Limits
from portal.core import units
from portal.core.errors import DomainError, ValuesRefused
from portal.modeling.formula_words import GIVEN, label_of, title_of, units_of

Kind = Literal["number", "whole", "flag", "word", "list", "by_key"]


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
    words: tuple[str, ...] = ()  # what a word can be


@dataclasses.dataclass(frozen=True)
class Answer:
    """One output of a formula on the surface."""

    name: str
    label: str
    value: float | str | bool | None
    text: str
    unit_text: str


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
        units_of(test.name, name, name) if kind not in ("flag", "word") else (GIVEN, GIVEN, "")
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
        words=WORDS.get((test.name, name), ()),
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
    si_unit, unit, unit_text = units_of(test.name, name, of)
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
