"""Checked, frozen records and their way to JSON and back.

A record is a frozen dataclass whose numeric fields carry unit and limits, so that a wrong unit
stops at the door and a derivation can name the unit of what it used.
"""

from __future__ import annotations

import dataclasses
import math
import types
import typing
from collections.abc import Mapping
from typing import Any, TypeVar

from calcs.errors import InputError

RecordT = TypeVar("RecordT")


def quantity(unit: str, low: float, high: float, *, default: Any = dataclasses.MISSING) -> Any:
    """A numeric field with its unit and closed limits; `None` is allowed only as the default."""
    metadata = {"unit": unit, "low": low, "high": high}
    if default is dataclasses.MISSING:
        return dataclasses.field(metadata=metadata)
    return dataclasses.field(default=default, metadata=metadata)


def choice(values: tuple[str, ...], *, default: Any = dataclasses.MISSING) -> Any:
    """A text field that takes one of `values`."""
    metadata = {"values": values}
    if default is dataclasses.MISSING:
        return dataclasses.field(metadata=metadata)
    return dataclasses.field(default=default, metadata=metadata)


class Checked:
    """Base of the input records: refuses values outside their field's limits or list."""

    def __post_init__(self) -> None:
        for item in dataclasses.fields(self):  # type: ignore[arg-type]  # subclasses are dataclasses
            value = getattr(self, item.name)
            if "low" in item.metadata:
                _check_number(type(self).__name__, item, value)
            elif "values" in item.metadata and value not in item.metadata["values"]:
                allowed = ", ".join(item.metadata["values"])
                raise InputError(
                    f"{type(self).__name__}.{item.name} is {value!r}; use one of: {allowed}."
                )


def _check_number(owner: str, item: dataclasses.Field[Any], value: Any) -> None:
    if value is None:
        if item.default is None:
            return
        raise InputError(f"{owner}.{item.name} is missing.")
    low, high, unit = item.metadata["low"], item.metadata["high"], item.metadata["unit"]
    is_number = isinstance(value, (int, float)) and not isinstance(value, bool)
    if not is_number or not math.isfinite(value) or not low <= value <= high:
        raise InputError(
            f"{owner}.{item.name} is {value!r}; it must lie between {low:g} and {high:g} {unit}."
        )


def field_unit(record: Any, name: str) -> str:
    """Unit of a field of a record, or empty for text and flags."""
    for item in dataclasses.fields(record):
        if item.name == name:
            return str(item.metadata.get("unit", ""))
    raise InputError(f"{type(record).__name__} has no field {name!r}.")


def to_plain(value: Any) -> Any:
    """Records, tuples and mappings as plain JSON values."""
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        return {f.name: to_plain(getattr(value, f.name)) for f in dataclasses.fields(value)}
    if isinstance(value, Mapping):
        return {str(key): to_plain(item) for key, item in value.items()}
    if isinstance(value, (tuple, list, set, frozenset)):
        items = sorted(value) if isinstance(value, (set, frozenset)) else value
        return [to_plain(item) for item in items]
    if hasattr(value, "item"):  # numpy scalars
        return value.item()
    return value


_HINTS: dict[type, dict[str, Any]] = {}


def _hints(kind: type) -> dict[str, Any]:
    if kind not in _HINTS:
        _HINTS[kind] = typing.get_type_hints(kind)
    return _HINTS[kind]


def from_plain(kind: type[RecordT], data: Mapping[str, Any]) -> RecordT:
    """Build a record of `kind` from what `to_plain` made.

    Raises
    ------
    InputError
        Unknown field, missing field, or a value its field refuses.
    """
    names = {f.name for f in dataclasses.fields(kind)}  # type: ignore[arg-type]  # record types only
    unknown = sorted(set(data) - names)
    if unknown:
        raise InputError(f"{kind.__name__} does not know: {', '.join(unknown)}.")
    hints = _hints(kind)
    values = {name: _restore(hints[name], item) for name, item in data.items()}
    try:
        return kind(**values)
    except TypeError as error:
        raise InputError(f"{kind.__name__}: {error}") from error


def _restore(hint: Any, value: Any) -> Any:
    origin, args = typing.get_origin(hint), typing.get_args(hint)
    if origin in (types.UnionType, typing.Union):
        if value is None:
            return None
        inner = next(arg for arg in args if arg is not type(None))
        return _restore(inner, value)
    if dataclasses.is_dataclass(hint) and isinstance(hint, type):
        if not isinstance(value, Mapping):
            raise InputError(f"{hint.__name__} must be an object, not {value!r}.")
        return from_plain(hint, value)
    if origin is tuple:
        if not isinstance(value, (list, tuple)):
            raise InputError(f"A list is needed where {value!r} stands.")
        if len(args) == 2 and args[1] is Ellipsis:
            return tuple(_restore(args[0], item) for item in value)
        return tuple(_restore(arg, item) for arg, item in zip(args, value, strict=True))
    if origin is frozenset:
        return frozenset(value)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return {key: _restore(args[1], item) for key, item in value.items()}
    return float(value) if hint is float and isinstance(value, int) else value
