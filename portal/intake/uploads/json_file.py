"""Field-record files in JSON: the record document, or the template filled in.

A quantity may be given as ``{"typed": "6", "unit": "in"}``, ``{"si": 0.1524}`` or both, which
must then agree; other values as ``{"value": ...}`` or plainly.
"""

import json
import math
from collections.abc import Mapping
from typing import Any

from django.utils.translation import gettext as _

from portal.core import units
from portal.intake import sheet, values
from portal.intake.sheet.kinds import Field, Kind
from portal.intake.uploads.reading import (
    FILE_LIMIT_BYTES,
    Fault,
    Reading,
    ReadItem,
    UploadRefused,
    check_links,
)
from portal.intake.values import Raw

DEPTH_LIMIT = 12
ITEMS_LIMIT = 200
ENTRY_KEYS = {
    "value", "si", "typed", "unit", "how", "confirmed", "note", "absence", "reason", "over_range",
}  # fmt: skip
# What an exported record carries along of the program's limits is not the record's to say.
TOP_KEYS = {"sheet_version", "house", "items", "name", "limits", "$schema"}
AGREEMENT = 1e-6  # how closely typed and si must agree, relative


def read(content: bytes, *, name: str = "") -> Reading:
    """Read a field-record file; no database is needed.

    Raises
    ------
    UploadRefused
        Not JSON, too large or deep, or any value that the sheet refuses; all faults are listed.
    """
    payload = _load(content, name)
    faults: list[Fault] = []
    reading = Reading(kind="json")
    _read_house(payload.get("house", {}), reading, faults)
    _read_items(payload.get("items", {}), reading, faults)
    if not faults:
        faults += check_links(reading)
    if not faults and not reading.count:
        faults.append(Fault("house", _("There is not one value in the file.")))
    if faults:
        raise UploadRefused(faults, name=name)
    return reading


def _load(content: bytes, name: str) -> Mapping[str, Any]:
    def refuse(where: str, why: str) -> UploadRefused:
        return UploadRefused([Fault(where, why)], name=name)

    if not content.strip():
        raise refuse("file", _("The file is empty."))
    if len(content) > FILE_LIMIT_BYTES:
        raise refuse("file", _("The file is larger than 5 MB."))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise refuse(_("byte %d") % error.start, _("The file is not UTF-8 text.")) from None
    _check_depth(text, refuse)
    try:
        payload = json.loads(
            text, parse_constant=_no_constant, object_pairs_hook=_no_double, parse_int=_whole
        )
    except json.JSONDecodeError as error:
        raise refuse(
            _("line %(line)d, column %(column)d") % {"line": error.lineno, "column": error.colno},
            _("This is not JSON: %s.") % error.msg,
        ) from None
    except _Unfit as error:
        raise refuse("file", str(error)) from None
    if not isinstance(payload, dict):
        raise refuse("file", _("The file must hold one object with “house” and “items”."))
    unknown = sorted(set(payload) - TOP_KEYS)
    if unknown:
        raise refuse("file", _("Not known here: %s.") % ", ".join(unknown)[:200])
    version = payload.get("sheet_version")
    if isinstance(version, bool) or version != sheet.SHEET_VERSION:
        raise refuse(
            "sheet_version",
            _("This portal reads field sheet version %(ours)d; the file says %(theirs)s.")
            % {"ours": sheet.SHEET_VERSION, "theirs": str(version)[:20]},
        )
    return payload


class _Unfit(ValueError):
    pass


def _no_constant(text: str) -> float:
    raise _Unfit(_("%s is not a number a record can hold.") % text)


def _whole(text: str) -> int:
    if len(text) > 30:
        raise _Unfit(_("A number with %d digits cannot be right.") % len(text))
    return int(text)


def _no_double(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        seen: set[str] = set()
        for key, _value in pairs:
            if key in seen:
                raise _Unfit(_("“%s” stands twice in one object.") % key[:60])
            seen.add(key)
    return found


def _check_depth(text: str, refuse: Any) -> None:
    """Refuse deep nesting before the parser meets it."""
    depth = 0
    is_string = is_escaped = False
    for character in text:
        if is_string:
            if is_escaped:
                is_escaped = False
            elif character == "\\":
                is_escaped = True
            elif character == '"':
                is_string = False
        elif character == '"':
            is_string = True
        elif character in "[{":
            depth += 1
            if depth > DEPTH_LIMIT:
                raise refuse("file", _("The file is nested too deeply."))
        elif character in "]}":
            depth -= 1


def _read_house(house: Any, reading: Reading, faults: list[Fault]) -> None:
    if not isinstance(house, dict):
        faults.append(Fault("house", _("An object is needed.")))
        return
    for section_key, entries in house.items():
        section = sheet.section(section_key)
        where = f"house.{section_key}"[:120]
        if section is None:
            faults.append(Fault(where, _("The sheet has no such section.")))
            continue
        if not isinstance(entries, dict):
            faults.append(Fault(where, _("An object is needed.")))
            continue
        fields = {field.key: field for field in section.all_fields}
        accepted = _read_fields(fields, entries, where, reading, faults)
        reading.house.update({f"{section_key}.{key}": value for key, value in accepted.items()})


def _read_items(items: Any, reading: Reading, faults: list[Fault]) -> None:
    if not isinstance(items, dict):
        faults.append(Fault("items", _("An object is needed.")))
        return
    keys: set[str] = set()
    for group_key, rows in items.items():
        group = sheet.group(group_key)
        where = f"items.{group_key}"[:120]
        if group is None:
            faults.append(Fault(where, _("The sheet has no such group.")))
            continue
        if not isinstance(rows, list) or len(rows) > ITEMS_LIMIT:
            faults.append(Fault(where, _("A list of at most %d items is needed.") % ITEMS_LIMIT))
            continue
        fields = {field.key: field for field in group.fields}
        for number, row in enumerate(rows, start=1):
            here = f"{where}[{number}]"
            item = _read_item(group_key, row, here, keys, faults)
            if item is None:
                continue
            item.values.update(_read_fields(fields, row["fields"], here, reading, faults))
            reading.items.append(item)


def _read_item(
    group_key: str, row: Any, where: str, keys: set[str], faults: list[Fault]
) -> ReadItem | None:
    if not isinstance(row, dict) or not isinstance(row.get("fields"), dict):
        faults.append(Fault(where, _("An item needs “key”, “name” and “fields”.")))
        return None
    unknown = sorted(set(row) - {"key", "name", "fields"})
    key, name = row.get("key"), row.get("name")
    if unknown:
        faults.append(Fault(where, _("Not known here: %s.") % ", ".join(unknown)[:200]))
        return None
    for word, text in (("key", key), ("name", name)):
        if not isinstance(text, str) or not text.strip() or len(text) > 80:
            faults.append(Fault(f"{where}.{word}", _("Give it in words, at most 80 characters.")))
            return None
    if key in keys:
        faults.append(Fault(where, _("The key “%s” is used twice in the file.") % key))
        return None
    keys.add(str(key))
    return ReadItem(group_key, str(key), str(name))


def _read_fields(
    fields: Mapping[str, Field],
    entries: Mapping[str, Any],
    where: str,
    reading: Reading,
    faults: list[Fault],
) -> dict[str, values.Value]:
    accepted: dict[str, values.Value] = {}
    for key, entry in entries.items():
        here = f"{where}.{key}"[:160]
        field = fields.get(key)
        if field is None:
            faults.append(Fault(here, _("The sheet has no such field.")))
            continue
        if entry is None:
            continue
        try:
            raw = _raw(field, entry)
        except _Unfit as error:
            faults.append(Fault(here, str(error)))
            continue
        if raw.is_blank:
            continue
        checked = values.check(field, raw)
        if checked.error:
            faults.append(Fault(here, checked.error))
        elif checked.value is not None:
            accepted[key] = checked.value
            if checked.question and not checked.value.confirmed:
                reading.questions.append(Fault(here, checked.question))
    for key, why in values.check_together(tuple(fields.values()), accepted).items():
        faults.append(Fault(f"{where}.{key}", why))
    return accepted


def _raw(field: Field, entry: Any) -> Raw:
    if not isinstance(entry, dict):
        if field.kind is Kind.QUANTITY:
            raise _Unfit(
                _("%(label)s: give it as an object with “typed” and “unit”.")
                % {"label": field.label}
            )
        return Raw(typed=entry)
    unknown = sorted(set(entry) - ENTRY_KEYS)
    if unknown:
        raise _Unfit(_("Not known here: %s.") % ", ".join(map(str, unknown))[:200])
    words = {
        key: entry.get(source, "")
        for key, source in (
            ("unit", "unit"), ("absence", "absence"), ("reason", "reason"), ("how", "how"),
            ("confirmed", "confirmed"), ("note", "note"),
        )
    }  # fmt: skip
    for key, text in words.items():
        if not isinstance(text, str):
            raise _Unfit(_("“%s” must be words.") % key)
    if entry.get("absence"):
        return Raw(**words)
    if field.kind is not Kind.QUANTITY:
        return Raw(typed=entry.get("value", ""), **words)
    return Raw(typed=_typed_quantity(field, entry), **_with_unit(field, entry, words))


def _with_unit(field: Field, entry: Mapping[str, Any], words: dict[str, str]) -> dict[str, str]:
    if "typed" in entry and not words["unit"] and field.unit:
        raise _Unfit(_("%(label)s: the unit is missing.") % {"label": field.label})
    return words if "typed" in entry else {**words, "unit": field.surface_unit}


def _typed_quantity(field: Field, entry: Mapping[str, Any]) -> Any:
    si = entry.get("si")
    if si is not None and (
        isinstance(si, bool) or not isinstance(si, (int, float)) or not math.isfinite(si)
    ):
        raise _Unfit(_("%(label)s: “si” must be a number.") % {"label": field.label})
    typed = entry.get("typed")
    if typed is None:
        if si is None:
            return ""
        return values.figure_exact(units.convert(float(si), field.si_unit, field.surface_unit))
    is_over = isinstance(typed, str) and typed.strip().lower() in values.OVER_RANGE_WORDS
    if si is None or is_over or not isinstance(typed, (str, int, float)):
        return typed
    try:
        number = units.number(typed) if isinstance(typed, str) else float(typed)
        expected = units.convert(number, str(entry.get("unit", "")), field.si_unit)
    except units.UnitRefused as error:
        raise _Unfit(f"{field.label}: {error}") from None
    if not math.isclose(expected, si, rel_tol=AGREEMENT, abs_tol=1e-9):
        raise _Unfit(_("%(label)s: “typed” and “si” do not agree.") % {"label": field.label})
    return typed
