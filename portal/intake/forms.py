"""A page of the sheet as boxes: what is stored, what was just typed, what is wrong with it.

The boxes are made from the sheet's own declaration, and what is posted goes to the services as
it was typed; nothing is judged here.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from dataclasses import field as more
from typing import Any

from django.http import QueryDict
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from portal.intake import left, values
from portal.intake.document import Part, Reader
from portal.intake.live import LiveResult
from portal.intake.sheet.kinds import Field, Kind, Words
from portal.intake.states import Absence, How
from portal.intake.values import Raw

NONE_OF_THESE = "__none__"
RANGE_WORDS: dict[str, Words] = {
    "both": gettext_lazy("%(low)s to %(high)s %(unit)s"),
    "high": gettext_lazy("up to %(high)s %(unit)s"),
    "low": gettext_lazy("from %(low)s %(unit)s"),
}


@dataclass
class Option:
    """One answer of a list."""

    value: str
    label: Words
    is_chosen: bool = False


@dataclass
class Box:
    """One field as it is shown."""

    field: Field
    raw: Raw
    is_needed: bool
    applies: bool
    error: str = ""
    question: str = ""
    has_value: bool = False
    options: list[Option] = more(default_factory=list)
    units: list[Option] = more(default_factory=list)
    results: list[LiveResult] = more(default_factory=list)
    past: str = ""

    @property
    def name(self) -> str:
        """Name of the box in the form."""
        return self.field.key

    @property
    def auto_id(self) -> str:
        """Where an error or a jump lands."""
        return f"id_{self.field.key}"

    @property
    def kind(self) -> str:
        """Which box to draw."""
        return str(self.field.kind)

    @property
    def is_group(self) -> bool:
        """Whether it is drawn as radios or ticks under a legend."""
        return self.field.kind in (Kind.FLAG, Kind.CHOICES) or (
            self.field.kind is Kind.CHOICE and len(self.options) <= 5
        )

    @property
    def is_short(self) -> bool:
        """Whether the answers are short enough to stand side by side on a phone."""
        return all(len(str(option.label)) <= 9 for option in self.options)

    @property
    def typed(self) -> str:
        """The text in the box."""
        return self.raw.typed if isinstance(self.raw.typed, str) else str(self.raw.typed or "")

    @property
    def is_left(self) -> bool:
        """Whether the record cannot be completed without it, and it is empty."""
        return self.is_needed and not self.has_value and not self.error

    @property
    def absences(self) -> list[Option]:
        """Why there is no value."""
        return [Option(key, label, self.raw.absence == key) for key, label in Absence.choices]

    @property
    def hows(self) -> list[Option]:
        """How the value came to be known."""
        chosen = self.raw.how or self.field.how
        return [Option(key, label, key == chosen) for key, label in How.choices]

    @property
    def unit_label(self) -> str:
        """The one unit, where there is no choice."""
        return values.unit_label(self.field.surface_unit) if self.field.unit else ""

    @property
    def usual(self) -> str:
        """The usual range, said before anything is typed."""
        if self.field.kind is Kind.YEAR:
            return ""
        _low, _high, low, high = values.limits(self.field)
        if low is None and high is None:
            return ""
        key = "both" if None not in (low, high) else "high" if low is None else "low"
        shown = {
            "low": values.figure(low or 0.0),
            "high": values.figure(high or 0.0),
            "unit": self.unit_label.removesuffix("."),
        }
        words = (str(RANGE_WORDS[key]) % shown).strip().replace(" %", "%")
        return _("Usually %s.") % words


@dataclass
class SheetForm:
    """Every box of a section or an item, with what is wrong on top."""

    boxes: list[Box]
    why_changed: str = ""
    why_error: str = ""
    general: list[str] = more(default_factory=list)

    @property
    def is_wrong(self) -> bool:
        """Whether anything has to be fixed or confirmed."""
        return bool(self.formset_errors)

    @property
    def formset_errors(self) -> list[dict[str, str]]:
        """What to fix, with where it is, for the summary on top."""
        found = [{"id": "main", "text": text} for text in self.general]
        for box in self.boxes:
            if box.error or box.question:
                found.append({"id": box.auto_id, "text": box.error or box.question})
        if self.why_error:
            found.append({"id": "id_why_changed", "text": self.why_error})
        return found

    @property
    def main_boxes(self) -> list[Box]:
        """What has a place on the page now."""
        return [box for box in self.boxes if box.applies and (box.is_needed or _is_used(box))]

    @property
    def more_boxes(self) -> list[Box]:
        """What may be recorded as well."""
        main = {box.name for box in self.main_boxes}
        return [box for box in self.boxes if box.name not in main]


def _is_used(box: Box) -> bool:
    return box.has_value or bool(box.error) or bool(box.question)


def read_post(fields: Iterable[Field], posted: QueryDict) -> dict[str, Raw]:
    """What was typed, field by field; fields that were not on the page stay out."""
    given: dict[str, Raw] = {}
    for entry in fields:
        key = entry.key
        if f"{key}__shown" not in posted:
            continue
        extra = {
            name: posted.get(f"{key}__{name}", "")
            for name in ("unit", "absence", "reason", "how", "confirmed", "note")
        }
        if entry.kind is Kind.CHOICES:
            chosen = posted.getlist(key)
            typed: Any = [value for value in chosen if value != NONE_OF_THESE]
            if not chosen:
                typed = ""
            elif NONE_OF_THESE in chosen and typed:
                # Both said: what was ticked counts, and "none" is a slip of the thumb.
                typed = [value for value in typed if value != NONE_OF_THESE]
        else:
            typed = posted.get(key, "")
        given[key] = Raw(typed=typed, **extra)
    return given


def stored_raw(part: Part, entry: Field) -> Raw:
    """What is stored, as if it had just been typed."""
    found = part.entry(entry.key)
    if found is None:
        return Raw()
    note = str(found.get("note", ""))
    if found.get("absence"):
        return Raw(absence=str(found["absence"]), reason=str(found.get("reason", "")), note=note)
    if "si" in found:
        typed: Any = found["typed"]
    else:
        typed = found.get("value")
        if isinstance(typed, bool):
            typed = "yes" if typed else "no"
        elif isinstance(typed, (int, float)):
            typed = values.figure_exact(typed)
    return Raw(
        typed=typed,
        unit=str(found.get("unit", "")),
        how=str(found.get("how", "")),
        confirmed=str(found.get("confirmed", "")),
        note=note,
    )


def build(
    fields: Iterable[Field],
    part: Part,
    reader: Reader,
    *,
    given: Mapping[str, Raw] | None = None,
    errors: Mapping[str, str] | None = None,
    questions: Mapping[str, str] | None = None,
    results: Iterable[LiveResult] = (),
    why_changed: str = "",
) -> SheetForm:
    """The form of a section or an item: what was typed goes before what is stored."""
    errors, questions, given = errors or {}, questions or {}, given or {}
    fields = tuple(fields)
    boxes = []
    for entry in fields:
        box = Box(
            field=entry,
            raw=given.get(entry.key, stored_raw(part, entry)),
            is_needed=left.is_needed(entry, reader, part),
            applies=left.applies(entry, reader, part),
            error=errors.get(entry.key, ""),
            question=questions.get(entry.key, ""),
            has_value=part.has(entry.key),
        )
        _fill_options(box, reader)
        boxes.append(box)
    _place_results(boxes, list(results))
    known = {entry.key for entry in fields}
    return SheetForm(
        boxes=boxes,
        why_changed=why_changed,
        why_error=errors.get("why_changed", ""),
        general=[text for key, text in errors.items() if key not in known and key != "why_changed"],
    )


def _place_results(boxes: list[Box], results: list[LiveResult]) -> None:
    by_name = {box.name: box for box in boxes}
    for result in results:
        box = by_name.get(result.field) or (boxes[-1] if boxes else None)
        if box is not None:
            box.results.append(result)


def _fill_options(box: Box, reader: Reader) -> None:
    entry, typed = box.field, box.raw.typed
    if entry.kind is Kind.QUANTITY:
        chosen = box.raw.unit or entry.surface_unit
        box.units = [
            Option(unit, values.unit_label(unit), unit == chosen) for unit in entry.accepted_units
        ]
    elif entry.kind is Kind.CHOICE:
        box.options = [Option(key, label, key == typed) for key, label in entry.choices.items()]
    elif entry.kind is Kind.CHOICES:
        chosen_keys = typed if isinstance(typed, list) else []
        box.options = [
            Option(key, label, key in chosen_keys) for key, label in entry.choices.items()
        ]
        is_none = isinstance(typed, list) and not typed
        box.options.append(Option(NONE_OF_THESE, _("None of these"), is_none))
    elif entry.kind is Kind.FLAG:
        box.options = [
            Option("yes", _("Yes"), typed == "yes"),
            Option("no", _("No"), typed == "no"),
        ]
    elif entry.kind is Kind.LINK:
        box.options = [
            Option(item.key, item.name, item.key == typed)
            for group in entry.links
            for item in reader.items(group)
        ]
