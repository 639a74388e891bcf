"""Taking one value in: from a form, a field-record file or another format, checked the same way.

A value is refused outside its hard limits, asked about outside its soft ones, and kept as typed
with its unit and its SI value. An absence is a value in its own right.
"""

import datetime as dt
import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from django.utils.translation import gettext as _

from portal.core import clock, units
from portal.intake.sheet.kinds import NEXT_YEAR, THIS_YEAR, UNIT_LABELS, Bound, Field, Kind
from portal.intake.states import Absence, How

TEXT_LIMIT = 2000
REASON_LIMIT = 200
OVER_RANGE_WORDS = ("over", "over range", "over-range")
# Relative slack for values typed in the other unit system, far below what anybody can read off.
ROUNDING = 1e-9


@dataclass(frozen=True)
class Raw:
    """What somebody gave for a field, before it is checked."""

    typed: Any = ""
    unit: str = ""
    absence: str = ""
    reason: str = ""
    how: str = ""
    confirmed: str = ""
    note: str = ""

    @property
    def is_blank(self) -> bool:
        """Whether nothing was given at all."""
        return not self.absence and (
            self.typed is None or (isinstance(self.typed, str) and not self.typed.strip())
        )


@dataclass(frozen=True)
class Value:
    """An accepted value: what was typed, its unit, the SI value; or an absence with its reason."""

    typed: str = ""
    unit: str = ""
    si: float | None = None
    value: Any = None
    absence: str = ""
    reason: str = ""
    how: str = ""
    confirmed: str = ""
    note: str = ""
    is_over_range: bool = False

    def plain(self) -> dict[str, Any]:
        """The value as the record document has it."""
        extra = {
            key: text for key, text in (("confirmed", self.confirmed), ("note", self.note)) if text
        }
        if self.absence:
            return {"absence": self.absence, "reason": self.reason, **extra}
        if self.si is not None:
            over = {"over_range": True} if self.is_over_range else {}
            return {
                "si": self.si,
                "typed": self.typed,
                "unit": self.unit,
                "how": self.how,
                **over,
                **extra,
            }
        return {"value": self.value, "how": self.how, **extra}


@dataclass(frozen=True)
class Checked:
    """The outcome of a check: a value, or the words of a refusal; perhaps a question."""

    value: Value | None = None
    error: str = ""
    question: str = ""


class _Refused(Exception):
    pass


def figure(value: float) -> str:
    """A number as people write it: no needless digits, commas between thousands."""
    rounded = round(value, 4)
    text = f"{rounded:,.4f}".rstrip("0").rstrip(".")
    return "−" + text[1:] if text.startswith("-") else text


def unit_label(unit: str) -> str:
    """A unit as it is shown."""
    return UNIT_LABELS.get(unit, unit)


def with_unit(value: float, unit: str) -> str:
    """A number with its unit behind it."""
    label = unit_label(unit)
    if not label:
        return figure(value)
    if label in ("%", "°"):
        return f"{figure(value)}{label}"
    if label == "R":
        return f"R-{figure(value)}"
    # These words end sentences: "48 in" and the full stop make one point, not two.
    return f"{figure(value)} {label.removesuffix('.')}"


def _bound(bound: Bound) -> float | None:
    if bound == THIS_YEAR:
        return float(clock.today().year)
    if bound == NEXT_YEAR:
        return float(clock.today().year + 1)
    return None if bound is None else float(bound)


def limits(field: Field) -> tuple[float | None, float | None, float | None, float | None]:
    """Hard low and high, soft low and high of a field today, in the surface unit."""
    return (*map(_bound, field.hard), *map(_bound, field.soft))  # type: ignore[return-value]  # four bounds


def check(field: Field, raw: Raw) -> Checked:
    """Check one value that is not blank against its field.

    The soft question is put whether or not it was confirmed: the caller decides by
    ``value.confirmed``.
    """
    try:
        value, question = _check(field, raw)
    except _Refused as refusal:
        return Checked(error=str(refusal))
    return Checked(value=value, question=question)


def _check(field: Field, raw: Raw) -> tuple[Value, str]:
    how = raw.how or field.how
    if how not in How.values:
        raise _Refused(
            _("%(label)s: “%(how)s” is not one of the ways of knowing a value.")
            % {"label": field.label, "how": str(raw.how)[:40]}
        )
    note, confirmed = _short(field, raw.note, 300), _short(field, raw.confirmed, REASON_LIMIT)
    if raw.absence:
        return _absence(field, raw, note), ""
    shell = Value(how=how, confirmed=confirmed, note=note)
    if field.kind is Kind.QUANTITY:
        return _quantity(field, raw, shell)
    if field.kind in (Kind.COUNT, Kind.YEAR):
        return _whole(field, raw, shell)
    value = _PLAIN[field.kind](field, raw.typed)
    return replace(shell, value=value, typed=_as_typed(raw.typed)), ""


def _short(field: Field, text: Any, limit: int) -> str:
    if not isinstance(text, str):
        raise _Refused(_("%(label)s: words are needed here.") % {"label": field.label})
    if len(text) > limit:
        raise _Refused(
            _("%(label)s: at most %(limit)d characters of explanation.")
            % {"label": field.label, "limit": limit}
        )
    return text.strip()


def _absence(field: Field, raw: Raw, note: str) -> Value:
    if raw.absence not in Absence.values:
        raise _Refused(
            _("%(label)s: say not accessible, not present or unknown.") % {"label": field.label}
        )
    reason = _short(field, raw.reason, REASON_LIMIT)
    if raw.absence == Absence.NOT_ACCESSIBLE and not reason:
        raise _Refused(_("%(label)s: say why it was not accessible.") % {"label": field.label})
    return Value(absence=raw.absence, reason=reason, note=note)


def _quantity(field: Field, raw: Raw, shell: Value) -> tuple[Value, str]:
    unit = raw.unit or field.surface_unit
    if unit not in field.accepted_units:
        raise _Refused(
            _("%(label)s: give it in %(units)s.")
            % {
                "label": field.label,
                "units": _(" or ").join(unit_label(known) or "1" for known in field.accepted_units),
            }
        )
    typed = _as_typed(raw.typed)
    if typed.strip().lower() in OVER_RANGE_WORDS and field.can_be_over_range:
        top = limits(field)[1]
        assert top is not None, "a field that can be over range has an upper limit"
        si = units.convert(top, field.surface_unit, field.si_unit)
        return replace(shell, typed=typed, unit=field.surface_unit, si=si, is_over_range=True), ""
    number = _number(field, raw.typed, unit)
    surface = (
        number if unit == field.surface_unit else units.convert(number, unit, field.surface_unit)
    )
    question = _judge(field, number, surface, unit)
    si = units.convert(number, unit, field.si_unit)
    return replace(shell, typed=typed, unit=unit, si=si), question


def _whole(field: Field, raw: Raw, shell: Value) -> tuple[Value, str]:
    number = _number(field, raw.typed, "")
    question = _judge(field, number, number, "")
    step = field.step or 1.0
    if not math.isclose(number / step, round(number / step), abs_tol=ROUNDING):
        words = _("%(label)s: whole numbers only. You typed %(typed)s.")
        if step == 0.5:
            words = _("%(label)s: whole numbers and halves only. You typed %(typed)s.")
        raise _Refused(words % {"label": field.label, "typed": _as_typed(raw.typed)})
    value: int | float = number if step < 1 and number % 1 else round(number)
    return replace(shell, value=value, typed=_as_typed(raw.typed)), question


def _number(field: Field, typed: Any, unit: str) -> float:
    if isinstance(typed, bool) or not isinstance(typed, (str, int, float)):
        raise _Refused(_("%(label)s: a number is needed.") % {"label": field.label})
    if isinstance(typed, str):
        if len(typed) > 40:
            raise _Refused(_("%(label)s: that is too long for a number.") % {"label": field.label})
        try:
            return units.number(typed)
        except units.UnitRefused:
            raise _Refused(
                _("%(label)s: enter a number%(unit)s. You typed “%(typed)s”.")
                % {
                    "label": field.label,
                    "unit": _(" in %s") % unit_label(unit) if unit else "",
                    "typed": typed,
                }
            ) from None
    try:
        number = float(typed)
    except OverflowError:
        number = math.inf
    if not math.isfinite(number):
        raise _Refused(_("%(label)s: a finite number is needed.") % {"label": field.label})
    return number


def _judge(field: Field, number: float, surface: float, unit: str) -> str:
    """Refuse beyond a hard limit; return the question for a value beyond a soft one."""
    hard_low, hard_high, soft_low, soft_high = limits(field)
    slack = ROUNDING * max(abs(surface), 1.0)
    words = {
        "label": field.label,
        "typed": with_unit(number, unit) if field.kind is not Kind.YEAR else f"{number:.0f}",
    }
    if hard_high is not None and surface > hard_high + slack:
        words["limit"] = _limit_words(field, hard_high)
        raise _Refused(_("%(label)s: at most %(limit)s. You typed %(typed)s.") % words)
    if hard_low is not None and surface < hard_low - slack:
        words["limit"] = _limit_words(field, hard_low)
        raise _Refused(_("%(label)s: at least %(limit)s. You typed %(typed)s.") % words)
    if soft_high is not None and surface > soft_high + slack:
        words["limit"] = _limit_words(field, soft_high)
        return _("%(label)s: seldom above %(limit)s. You typed %(typed)s. Is it right?") % words
    if soft_low is not None and surface < soft_low - slack:
        words["limit"] = _limit_words(field, soft_low)
        return _("%(label)s: seldom below %(limit)s. You typed %(typed)s. Is it right?") % words
    return ""


def _limit_words(field: Field, bound: float) -> str:
    if field.kind is Kind.YEAR:
        return f"{bound:.0f}"
    return with_unit(bound, field.surface_unit if field.kind is Kind.QUANTITY else "")


def _as_typed(typed: Any) -> str:
    if isinstance(typed, str):
        return typed
    if isinstance(typed, bool):
        return "yes" if typed else "no"
    if isinstance(typed, (list, tuple)):
        return ", ".join(map(str, typed))
    return f"{typed}"


def _choice(field: Field, typed: Any) -> str:
    if not isinstance(typed, str) or typed not in field.choices:
        raise _Refused(
            _("%(label)s: choose one of the list. “%(typed)s” is not in it.")
            % {"label": field.label, "typed": str(typed)[:60]}
        )
    return typed


def _choices(field: Field, typed: Any) -> list[str]:
    if not isinstance(typed, (list, tuple)):
        raise _Refused(_("%(label)s: a list is needed.") % {"label": field.label})
    if len(typed) > len(field.choices):
        raise _Refused(_("%(label)s: something is named twice.") % {"label": field.label})
    return sorted({_choice(field, entry) for entry in typed})


def _flag(field: Field, typed: Any) -> bool:
    if isinstance(typed, bool):
        return typed
    if typed in ("yes", "no"):
        return bool(typed == "yes")
    raise _Refused(_("%(label)s: say yes or no.") % {"label": field.label})


def _text(field: Field, typed: Any) -> str:
    if not isinstance(typed, str):
        raise _Refused(_("%(label)s: words are needed here.") % {"label": field.label})
    if len(typed) > min(field.longest, TEXT_LIMIT):
        raise _Refused(
            _("%(label)s: at most %(limit)d characters. You typed %(length)d.")
            % {"label": field.label, "limit": field.longest, "length": len(typed)}
        )
    if any(not (character.isprintable() or character in "\n\r\t") for character in typed):
        raise _Refused(
            _("%(label)s: there is a character in it that cannot be shown.")
            % {"label": field.label}
        )
    return typed.strip()


def _date(field: Field, typed: Any) -> str:
    try:
        day = dt.date.fromisoformat(typed)
    except (TypeError, ValueError):
        raise _Refused(
            _("%(label)s: enter a date, such as 2026-03-03.") % {"label": field.label}
        ) from None
    if day > clock.today():
        raise _Refused(_("%(label)s: not later than today.") % {"label": field.label})
    return day.isoformat()


def _time(field: Field, typed: Any) -> str:
    try:
        moment = dt.time.fromisoformat(typed)
    except (TypeError, ValueError):
        raise _Refused(
            _("%(label)s: enter a time, such as 09:30.") % {"label": field.label}
        ) from None
    return moment.strftime("%H:%M")


def _link(field: Field, typed: Any) -> str:
    if not isinstance(typed, str) or not typed.strip() or len(typed) > 80:
        raise _Refused(_("%(label)s: choose one of the list.") % {"label": field.label})
    return typed.strip()


_PLAIN = {
    Kind.CHOICE: _choice,
    Kind.CHOICES: _choices,
    Kind.FLAG: _flag,
    Kind.TEXT: _text,
    Kind.DATE: _date,
    Kind.TIME: _time,
    Kind.LINK: _link,
}


def check_together(fields: tuple[Field, ...], accepted: Mapping[str, Value]) -> dict[str, str]:
    """Refusals that only two values of one item or section show: a part above its whole."""
    errors: dict[str, str] = {}
    by_key = {field.key: field for field in fields}
    for field in fields:
        if not field.part_of:
            continue
        part, whole = accepted.get(field.key), accepted.get(field.part_of)
        if part is None or whole is None or part.absence or whole.absence:
            continue
        part_number = part.si if part.si is not None else part.value
        whole_number = whole.si if whole.si is not None else whole.value
        if part_number > whole_number + ROUNDING * max(abs(whole_number), 1.0):
            other = by_key[field.part_of]
            errors[field.key] = _(
                "%(label)s: at most %(whole)s, entered as “%(other)s”. You typed %(typed)s."
            ) % {
                "label": field.label,
                "whole": _shown(other, whole),
                "other": other.label,
                "typed": _shown(field, part),
            }
    return errors


def _shown(field: Field, value: Value) -> str:
    if value.si is not None:
        return f"{value.typed} {unit_label(value.unit)}".strip()
    return figure(float(value.value))


def figure_exact(value: float) -> str:
    """A number as text that reads back as the same number, without an exponent."""
    text = f"{value:.12f}".rstrip("0").rstrip(".")
    return text if text not in ("", "-0") else "0"
