"""The sheet as JSON Schema, and as a file to fill in."""

from typing import Any

from portal.intake import sheet
from portal.intake.sheet.kinds import Field, Kind, Use
from portal.intake.states import Absence, How

SCHEMA_ID = "https://json-schema.org/draft/2020-12/schema"


def json_schema() -> dict[str, Any]:
    """The record document as JSON Schema, draft 2020-12."""
    return {
        "$schema": SCHEMA_ID,
        "title": "Field record",
        "type": "object",
        "required": ["sheet_version"],
        "additionalProperties": False,
        "properties": {
            "sheet_version": {"const": sheet.SHEET_VERSION},
            "name": {"type": "string"},
            "house": {
                "type": "object",
                "additionalProperties": False,
                "properties": {
                    section.key: {
                        "title": str(section.label),
                        "type": "object",
                        "additionalProperties": False,
                        "properties": {
                            field.key: _field_schema(field) for field in section.all_fields
                        },
                    }
                    for section in sheet.SECTIONS
                },
            },
            "items": {
                "type": "object",
                "additionalProperties": False,
                "properties": {
                    group.key: {
                        "title": str(group.label),
                        "type": "array",
                        "items": {
                            "type": "object",
                            "required": ["key", "name", "fields"],
                            "additionalProperties": False,
                            "properties": {
                                "key": {"type": "string", "minLength": 1, "maxLength": 80},
                                "name": {"type": "string", "minLength": 1, "maxLength": 80},
                                "fields": {
                                    "type": "object",
                                    "additionalProperties": False,
                                    "properties": {
                                        field.key: _field_schema(field) for field in group.fields
                                    },
                                },
                            },
                        },
                    }
                    for section in sheet.SECTIONS
                    for group in section.groups
                },
            },
        },
    }


def _field_schema(field: Field) -> dict[str, Any]:
    described: dict[str, Any] = {"title": str(field.label), "x-use": str(field.use)}
    if field.help:
        described["description"] = str(field.help)
    if field.use is Use.CONDITIONAL:
        described["x-when"] = [
            {"field": when.field, "among": list(when.among)} for when in field.when
        ]
    shared = {
        "how": {"enum": list(How.values)},
        "confirmed": {"type": "string", "maxLength": 200},
        "note": {"type": "string", "maxLength": 300},
    }
    absent = {
        "type": "object",
        "required": ["absence"],
        "additionalProperties": False,
        "properties": {
            "absence": {"enum": list(Absence.values)},
            "reason": {"type": "string", "maxLength": 200},
            "note": shared["note"],
        },
    }
    if field.kind is Kind.QUANTITY:
        described |= {
            "x-unit": field.surface_unit,
            "x-si-unit": field.si_unit,
            "x-hard": list(field.hard),
            "x-soft": list(field.soft),
        }
        quantity = {
            "type": "object",
            "additionalProperties": False,
            "anyOf": [{"required": ["typed"]}, {"required": ["si"]}],
            "properties": {
                "typed": {"type": ["string", "number"]},
                "unit": {"enum": list(field.accepted_units)},
                "si": {"type": "number"},
                "over_range": {"type": "boolean"},
                **shared,
            },
        }
        return {**described, "anyOf": [quantity, absent, {"type": "null"}]}
    plain = _plain_schema(field)
    valued = {
        "type": "object",
        "required": ["value"],
        "additionalProperties": False,
        "properties": {"value": plain, **shared},
    }
    return {**described, "anyOf": [plain, valued, absent, {"type": "null"}]}


def _plain_schema(field: Field) -> dict[str, Any]:
    if field.kind in (Kind.COUNT, Kind.YEAR):
        # Limits that move with the calendar are checked when the file is read.
        low, high = field.hard
        found: dict[str, Any] = {"type": "number", "multipleOf": field.step or 1}
        if isinstance(low, (int, float)):
            found["minimum"] = low
        if isinstance(high, (int, float)):
            found["maximum"] = high
        return found
    if field.kind is Kind.CHOICE:
        return {"enum": list(field.choices)}
    if field.kind is Kind.CHOICES:
        return {"type": "array", "items": {"enum": list(field.choices)}, "uniqueItems": True}
    if field.kind is Kind.FLAG:
        return {"type": "boolean"}
    if field.kind is Kind.DATE:
        return {"type": "string", "format": "date"}
    if field.kind is Kind.TIME:
        return {"type": "string", "pattern": "^[0-2][0-9]:[0-5][0-9]$"}
    return {"type": "string", "maxLength": field.longest}


def template() -> dict[str, Any]:
    """An empty field record: every section, and one item of each group; null is not recorded."""
    return {
        "sheet_version": sheet.SHEET_VERSION,
        "house": {
            section.key: {field.key: _empty(field) for field in section.all_fields}
            for section in sheet.SECTIONS
        },
        "items": {
            group.key: [
                {
                    "key": f"{group.key}-1",
                    "name": str(group.name_hint or group.one),
                    "fields": {field.key: _empty(field) for field in group.fields},
                }
            ]
            for section in sheet.SECTIONS
            for group in section.groups
        },
    }


def _empty(field: Field) -> Any:
    if field.kind is Kind.QUANTITY:
        return {"typed": "", "unit": field.surface_unit}
    return None
