"""Which derivation stands behind which number of an analysis: one table, by path.

A path names things by their id, not by their place: ``measures.duct_sealing.saving.cost_usd``.
A number without a line here has no derivation, and a test fails on it.
"""

from __future__ import annotations

import dataclasses
import re
from collections.abc import Iterator, Mapping
from typing import Any

from calcs.results import Analysis

# What names an item of a list, by the field that holds the list.
ITEM_KEYS: dict[str, tuple[str, ...]] = {
    "end_uses": ("end_use", "fuel"),
    "components": ("part",),
    "measures": ("id",),
    "equipment": ("equipment_id",),
    "left_alone": ("subject", "item_id", "reason_key"),
    "range_inputs": ("key",),
    "fuels": ("fuel",),
    "bills": ("fuel",),
    "changes": ("key",),
}

_STATE = r"(?P<state>baseline|package\.before|package\.after)\."
_ID = r"(?P<id>[^.]+)"

# Path -> key of its derivation. `{after}` is "after." for the house with the package, else empty.
NUMBERS: tuple[tuple[str, str], ...] = (
    (_STATE + r"end_uses\.(?P<id>[a-z_]+/[a-z_]+)\.monthly_j\.\d+", "{after}energy_use:{id}"),
    (_STATE + r"energy_j\.(?P<id>\w+)", "{after}energy:{id}"),
    (_STATE + r"cost_usd", "{after}annual_cost"),
    (_STATE + r"fixed_usd", "{after}fixed_cost"),
    (_STATE + r"cost_usd_by_fuel\.(?P<id>\w+)", "{after}fuel_cost:{id}"),
    (_STATE + r"cost_usd_by_use\.(?P<id>\w+)", "{after}use_cost:{id}"),
    (_STATE + r"co2_kg", "{after}carbon"),
    (_STATE + r"heating_load_j", "{after}heating_load"),
    (_STATE + r"cooling_load_j", "{after}cooling_load"),
    (_STATE + r"heating_efficiency", "{after}season_efficiency"),
    (_STATE + r"distribution_efficiency_heating", "{after}delivery_heating"),
    (_STATE + r"distribution_efficiency_cooling", "{after}delivery_cooling"),
    (_STATE + r"peak_heating_w", "{after}peak_heating"),
    (_STATE + r"peak_cooling_w", "{after}peak_cooling"),
    (_STATE + r"infiltration_m3_per_s", "{after}infiltration"),
    (_STATE + r"unmet_heating_hours", "{after}unmet_hours"),
    (_STATE + r"unmet_cooling_hours", "{after}unmet_cooling_hours"),
    (_STATE + r"components\.(?P<id>\w+)\.\w+", "{after}part:{id}"),
    (_STATE + r"heat_loss_w_per_k", "{after}heat_loss_coefficient"),
    (r"package\.saving\..+", "package_saving"),
    (r"package\.worth\..+", "package_worth"),
    (r"package\.ventilation_needed_m3_per_s", "ventilation_needed"),
    (r"measures\." + _ID + r"\.quantity", "quantity:{id}"),
    (r"measures\." + _ID + r"\.life_years", "life:{id}"),
    (r"measures\." + _ID + r"\.cost(_low|_high)?_usd", "cost:{id}"),
    (r"measures\." + _ID + r"\.saving_alone\..+", "saving_alone:{id}"),
    (r"measures\." + _ID + r"\.saving\..+", "saving:{id}"),
    (r"measures\." + _ID + r"\.worth\.(simple_)?payback\w*", "payback:{id}"),
    (r"measures\." + _ID + r"\.worth\..+", "worth:{id}"),
    (r"measures\." + _ID + r"\.pick_(saving|npv)_usd", "pick:{id}"),
    (r"measures\." + _ID + r"\.rank", "pick:{id}"),
    (r"measures\." + _ID + r"\.reason_facts\..+", "quantity:{id}"),
    (r"equipment\." + _ID + r"\.\w+(\..+)?", "equipment:{id}"),
    (r"left_alone\." + _ID + r"\.(reason_facts\..+|look_again_year)", "left_alone:{id}"),
    (r"range_inputs\." + _ID + r"\.(spread|share)", "range_input:{id}"),
    (r"calibration\.fuels\." + _ID + r"\..+", "bill_fit:{id}"),
    (r"calibration\.bills\." + _ID + r"\..+", "bill_fit:{id}"),
    (r"calibration\.changes\." + _ID + r"\..+", "bill_change:{id}"),
)

# Numbers that say nothing of the house.
EXEMPT: tuple[tuple[str, str], ...] = (
    (r"format_version", "version of the stored form"),
    (r"calibration\.runs", "how often the model was run"),
)

_COMPILED = [(re.compile(pattern), key) for pattern, key in NUMBERS]
_EXEMPT = [re.compile(pattern) for pattern, _why in EXEMPT]


def key_of(path: str) -> str | None:
    """Key of the derivation behind the number at a path; None where nothing says so."""
    for pattern, key in _COMPILED:
        found = pattern.fullmatch(path)
        if found is not None:
            names = found.groupdict()
            after = "after." if names.get("state") == "package.after" else ""
            return key.format(after=after, id=names.get("id", ""))
    return None


def is_exempt(path: str) -> bool:
    """Whether the number at a path says nothing of the house."""
    return any(pattern.fullmatch(path) for pattern in _EXEMPT)


def numbers_of(analysis: Analysis) -> Iterator[tuple[str, float]]:
    """Every number of an analysis but those of the derivations themselves, with its path."""
    for field in dataclasses.fields(analysis):
        if field.name != "derivations":
            yield from _walk(field.name, field.name, getattr(analysis, field.name))


def _walk(path: str, name: str, value: Any) -> Iterator[tuple[str, float]]:
    if isinstance(value, bool) or value is None:
        return
    if isinstance(value, (int, float)):
        yield path, float(value)
    elif dataclasses.is_dataclass(value) and not isinstance(value, type):
        for field in dataclasses.fields(value):
            yield from _walk(f"{path}.{field.name}", field.name, getattr(value, field.name))
    elif isinstance(value, Mapping):
        for key, item in value.items():
            yield from _walk(f"{path}.{key}", str(key), item)
    elif isinstance(value, (tuple, list)):
        for index, item in enumerate(value):
            yield from _walk(f"{path}.{_place(name, index, item)}", "", item)


def _place(name: str, index: int, item: Any) -> str:
    keys = ITEM_KEYS.get(name)
    if keys is None or not dataclasses.is_dataclass(item):
        return str(index)
    return "/".join(str(getattr(item, key)) for key in keys)
