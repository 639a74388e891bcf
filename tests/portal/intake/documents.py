"""Small record documents for tests of pure functions."""

from typing import Any

from portal.core import units
from portal.intake import document, sheet
from portal.intake.document import Document, Reader
from tests.factories.intake import ranch_document


def entry(value: Any, unit: str | None = None, *, over: bool = False) -> dict[str, Any]:
    """One entry; a unit makes it a quantity."""
    if unit is None:
        return {"value": value, "how": "measured"}
    return {"typed": str(value), "unit": unit, "how": "measured", "over_range": over}


def made(house: dict[str, Any] | None = None, **groups: list[dict[str, Any]]) -> Document:
    """A document from plain values: numbers of quantities are ``(value, unit)``."""
    found = document.empty()
    for path, value in (house or {}).items():
        section, _dot, field = path.partition(".")
        found["house"][section][field] = _entry(sheet.house_field(path), value)
    for group, items in groups.items():
        for number, fields in enumerate(items, start=1):
            fields = dict(fields)
            key = fields.pop("key", f"{group}-{number}")
            name = fields.pop("name", key)
            owner = sheet.group(group)
            assert owner is not None, group
            found["items"][group].append(
                {
                    "key": key,
                    "name": name,
                    "fields": {
                        field: _entry(owner.field(field), value) for field, value in fields.items()
                    },
                }
            )
    return found


def _entry(field: sheet.Field | None, value: Any) -> dict[str, Any]:
    assert field is not None, "the sheet has no such field"
    if value == "over":
        top = float(field.hard[1] or 0)
        si = units.convert(top, field.surface_unit, field.si_unit)
        return {**entry("over", field.surface_unit, over=True), "si": si}
    if isinstance(value, tuple):
        number, unit = value
        return {**entry(number, unit), "si": units.convert(number, unit, field.si_unit)}
    return entry(value)


def reader(house: dict[str, Any] | None = None, **groups: list[dict[str, Any]]) -> Reader:
    """Read access to such a document."""
    return Reader(made(house, **groups))


def changed(group: str, number: int = 0, **values: Any) -> dict[str, Any]:
    """The ranch with some entries of one item replaced."""
    document = ranch_document()
    fields = made(**{group: [values]})["items"][group][0]["fields"]
    document["items"][group][number]["fields"].update(fields)
    return document
