"""The one unit registry and the conversion at the edge.

What people type is kept with its unit; what is computed with is SI. Only the spellings in
``SPELLINGS`` are read: free text never reaches the registry, which would take ``cfm`` for a
centifermi and ``R`` for the gas constant.
"""

import math
import re
from dataclasses import dataclass
from functools import cache

import pint

registry: pint.UnitRegistry = pint.UnitRegistry()
for _definition in (
    # International-table Btu, 1055.05585262 J exactly. Source: ISO 31-4 (memory).
    "btu_it = 1055.05585262 joule",
    "kbtu_it = 1000 * btu_it",
    "mmbtu_it = 1000000 * btu_it",
    # Billing therm: 100,000 Btu(IT), as gas is billed in the US (common practice, no source).
    "billing_therm = 100000 * btu_it",
    "cooling_ton = 12000 * btu_it / hour",
    "cubic_ft = foot ** 3",
    "hundred_cubic_feet = 100 * foot ** 3",
    # Conventional inch of water, 249.08891 Pa. Source: NIST SP 811 appendix B (memory).
    "inch_of_water = 249.08891 pascal",
    "r_value_us = hour * foot ** 2 * delta_degree_Fahrenheit / btu_it",
    "u_value_us = btu_it / (hour * foot ** 2 * delta_degree_Fahrenheit)",
    "radon_pci_per_liter = 37 * becquerel / meter ** 3",
):
    registry.define(_definition)
pint.set_application_registry(registry)

# Spelling on the surface -> name in the registry.
SPELLINGS = {
    "": "dimensionless",
    "ft": "foot",
    "in": "inch",
    "m": "meter",
    "cm": "centimeter",
    "mm": "millimeter",
    "ft2": "foot ** 2",
    "ft²": "foot ** 2",
    "sq ft": "foot ** 2",
    "in2": "inch ** 2",
    "in²": "inch ** 2",
    "m2": "meter ** 2",
    "m²": "meter ** 2",
    "ft3": "cubic_ft",
    "ft³": "cubic_ft",
    "m3": "meter ** 3",
    "m³": "meter ** 3",
    "gal": "gallon",
    "L": "liter",
    "cfm": "cubic_ft / minute",
    "CFM": "cubic_ft / minute",
    "L/s": "liter / second",
    "m3/h": "meter ** 3 / hour",
    "m³/h": "meter ** 3 / hour",
    "m3/s": "meter ** 3 / second",
    "m³/s": "meter ** 3 / second",
    "gpm": "gallon / minute",
    "L/min": "liter / minute",
    "gph": "gallon / hour",
    "Pa": "pascal",
    "hPa": "hectopascal",
    "kPa": "kilopascal",
    "in w.c.": "inch_of_water",
    "psi": "psi",
    "°F": "degree_Fahrenheit",
    "degF": "degree_Fahrenheit",
    "°C": "degree_Celsius",
    "degC": "degree_Celsius",
    "ΔF": "delta_degree_Fahrenheit",
    "ΔC": "delta_degree_Celsius",
    "K": "kelvin",
    "R": "r_value_us",
    "m2K/W": "meter ** 2 * kelvin / watt",
    "m²K/W": "meter ** 2 * kelvin / watt",
    "U": "u_value_us",
    "W/m2K": "watt / meter ** 2 / kelvin",
    "W/m²K": "watt / meter ** 2 / kelvin",
    "Btu/h": "btu_it / hour",
    "kBtu/h": "kbtu_it / hour",
    "W": "watt",
    "kW": "kilowatt",
    "tons": "cooling_ton",
    "kWh": "kilowatt_hour",
    "therms": "billing_therm",
    "ccf": "hundred_cubic_feet",
    "MMBtu": "mmbtu_it",
    "MJ": "megajoule",
    "GJ": "gigajoule",
    "J": "joule",
    "kg": "kilogram",
    "lb": "pound",
    "ppm": "ppm",
    "%": "percent",
    "°": "degree",
    "rad": "radian",
    "min": "minute",
    "s": "second",
    "h": "hour",
    "years": "year",
    "months": "month",
    "pCi/L": "radon_pci_per_liter",
    "Bq/m3": "becquerel / meter ** 3",
    "amps": "ampere",
    "mph": "mile / hour",
    "m/s": "meter / second",
    "Btu/h·°F": "btu_it / hour / delta_degree_Fahrenheit",
    "W/K": "watt / kelvin",
    "°F·days": "delta_degree_Fahrenheit * day",
    "K·days": "kelvin * day",
    "Btu/°F·day": "btu_it / delta_degree_Fahrenheit / day",
    "J/K·day": "joule / kelvin / day",
    "Btu/ft³": "btu_it / cubic_ft",
    "Btu/gal": "btu_it / gallon",
    "J/m³": "joule / meter ** 3",
    "Btu/ft³·°F": "btu_it / cubic_ft / delta_degree_Fahrenheit",
    "J/m³K": "joule / meter ** 3 / kelvin",
    "Btu/lb": "btu_it / pound",
    "J/kg": "joule / kilogram",
    "Btu/lb·°F": "btu_it / pound / delta_degree_Fahrenheit",
    "J/kgK": "joule / kilogram / kelvin",
    "lb/ft³": "pound / cubic_ft",
    "lb/gal": "pound / gallon",
    "kg/m³": "kilogram / meter ** 3",
    "gal/day": "gallon / day",
    "m³/day": "meter ** 3 / day",
    "$/therm": "1 / billing_therm",
    "$/kWh": "1 / kilowatt_hour",
    "$/J": "1 / joule",
    "lb/MWh": "pound / megawatt_hour",
    "kg/J": "kilogram / joule",
}

NUMBER = re.compile(r"[+-]?(\d{1,3}(,\d{3})+|\d+)?(\.\d*)?$|[+-]?\.\d+$")


class UnitRefused(ValueError):
    """A spelling that is not known, a unit of something else, or text that is no number."""


@dataclass(frozen=True)
class Entered:
    """What was typed, its unit, and the SI value it stands for."""

    typed: str
    unit: str
    si: float


@cache
def _unit(spelling: str) -> pint.Unit:
    if spelling not in SPELLINGS:
        raise UnitRefused(f"“{spelling}” is not a unit the portal knows.")
    return registry.parse_units(SPELLINGS[spelling])


def same_kind(spelling: str, other: str) -> bool:
    """Whether two spellings measure the same thing."""
    return bool(_unit(spelling).dimensionality == _unit(other).dimensionality)


def convert(value: float, source: str, target: str) -> float:
    """A value in another unit.

    Raises
    ------
    UnitRefused
        Unknown spelling, or the two measure different things.
    """
    try:
        return float(registry.Quantity(value, _unit(source)).to(_unit(target)).magnitude)
    except pint.DimensionalityError as error:
        raise UnitRefused(f"“{source}” cannot be turned into “{target}”.") from error


def number(typed: str) -> float:
    """A number as people type it: digits, one point, commas only between thousands.

    Raises
    ------
    UnitRefused
        Anything else, infinity and not-a-number included.
    """
    text = typed.strip().replace("\u2212", "-")
    if not NUMBER.match(text) or not any(character.isdigit() for character in text):
        raise UnitRefused(f"“{typed}” is not a number.")
    value = float(text.replace(",", ""))
    if not math.isfinite(value):
        raise UnitRefused(f"“{typed}” is too large to be a number.")
    return value


def enter(typed: str, unit: str, *, si_unit: str) -> Entered:
    """Take in what was typed: the text and the unit are kept, the SI value is worked out.

    Raises
    ------
    UnitRefused
        Not a number, unknown unit, or a unit of something else.
    """
    return Entered(typed=typed, unit=unit, si=convert(number(typed), unit, si_unit))
