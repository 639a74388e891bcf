"""Making one derivation, and one input of it."""

from __future__ import annotations

from calcs.inputs import House
from calcs.records import field_unit
from calcs.results import Derivation, DerivationInput

HOURLY = "hourly heat balance of this house over the weather year"


def made(
    key: str,
    name: str,
    value: float,
    unit: str,
    formula: str,
    inputs: tuple[DerivationInput, ...],
    source: str,
) -> Derivation:
    """A derivation: its key, the formula's name, the number, and how it was made."""
    return Derivation(
        key=key, name=name, value=float(value), unit=unit, formula=formula, inputs=inputs,
        source=source,
    )  # fmt: skip


def given(house: House, name: str, record: object, attribute: str, path: str) -> DerivationInput:
    """A value of the record, with how it was got."""
    value = getattr(record, attribute)
    origin = house.origin(path)
    return DerivationInput(
        name_key=name,
        value="" if value is None else value,
        unit=field_unit(record, attribute),
        path=path,
        how=origin.how,
        source=origin.source,
    )


def worked(name: str, value: float | str, unit: str, source: str = "") -> DerivationInput:
    """A value that was itself worked out."""
    return DerivationInput(
        name_key=name, value=value, unit=unit, path="", how="worked_out", source=source
    )
