"""The words of a rule: short templates in the rule set, filled with what was seen.

A template is text with names in braces: ``needed {needed} {unit}, achieved {had}``. A name is
a field of the facts, a quantity of the rule set, or one of the few that the rule itself
supplies. A template may be given in several languages: ``{"en": "...", "es": "..."}``.
"""

import re
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING, Any

from portal.core.rules.faults import RuleSetFault
from portal.core.rules.values import spoken

if TYPE_CHECKING:
    from portal.core.rules.scene import Scene
    from portal.core.rules.sources import Source

_NAME = re.compile(r"\{([a-z0-9_.]+)\}")

# Said where a rule set brings no words of its own; a rule set may replace them ("phrases").
PHRASES: dict[str, str] = {
    "at_least": "{label}: needed at least {needed}{unit}, have {had}",
    "at_most": "{label}: needed at most {needed}{unit}, have {had}",
    "above": "{label}: needed more than {needed}{unit}, have {had}",
    "below": "{label}: needed less than {needed}{unit}, have {had}",
    "equals": "{label}: needed {needed}{unit}, have {had}",
    "one_of": "{label}: needed one of {needed}, have {had}",
    "not_one_of": "{label}: {had} is not accepted",
    "yes": "{label}: needed yes, have {had}",
    "no": "{label}: needed no, have {had}",
    "known": "{label}: not known yet",
    "on_or_before": "{label}: needed on or before {needed}, have {had}",
    "on_or_after": "{label}: needed on or after {needed}, have {had}",
    "before": "{label}: needed before {needed}, have {had}",
    "after": "{label}: needed after {needed}, have {had}",
    "not": "This must not be so: {inner}",
    "or": "or",
    "paid": "Needs one of these among the paid jobs: {needed}",
    "no_item_of": "{label}: an entry stands in the way",
    "some_item_of": "{label}: no entry that counts",
    "missing": "Not known: {label}",
    "missing_fix": "Give {label}{in_unit}",
    "later": "To be shown later: {label}",
    "fix": "Change {label} to what is needed",
    "passes": "Met",
    "no_measure": "The program does not pay for {measure} under this rule set",
    "no_cost": "The eligible cost of this line is {amount}; there is nothing to pay",
    "no_amount": "The rules come to {amount} for this line",
    "no_band": "{label} of {had} falls in no paid band",
    "nothing_left": "The limits leave {amount} for this line",
    "in_request": "{label}: {had} is not on the request",
    "no_lines": "There is no job on the request",
    "line_refused": "Line {line} is not a line that can be read",
    "no_version": "This version is in force from {first} to {last}; the date that counts is {had}",
    "version": "{rule_set} version {version}, by the date {had}",
    "no_key_date": "The date that decides which version counts is not known",
    "lapsed": ("Reservation lapsed on {expiry}; priced again under the version in force on {had}"),
    "reserved": "Reservation holds to {expiry}",
    "budget_fits": "The budget {budget} has {had} for {needed}",
    "budget_short": (
        "The budget {budget} has {had}, not the whole {needed}; the request waits, nothing is cut"
    ),
    "budget_unseen": "The budget is looked at when the money is reserved",
    "eligible_cost": "Eligible cost {amount}",
    "nothing_paid": "Nothing is paid for this line",
    "bonus_open": "Not added while this is not known",
    "bonus_no": "Not earned",
    "capped": "{before} is above the limit of {limit}",
    "under_cap": "{before} is within the limit of {limit}",
    "within": "{name} {limit}: nothing to take off",
    "reduced": "{name} {limit}: {taken} taken off",
    "split": "{shares}",
    "payee": "Paid to the {payee}",
    "estimate_payable": "Estimate: {total}",
    "request_payable": "May be reserved: {total}",
    "claim_payable": "May be paid: {total}",
    "hold": "Calculated {calculated}, on hold; nothing is paid until what is held is cleared",
    "shortfall": "Something is missing for a yes",
    "deferred": "Deferred in writing",
    "denied": "Not payable under this rule set",
    "eligible": "Eligible",
}


class Template:
    """A text with names in braces, split once so that filling it is cheap."""

    __slots__ = ("_by_language",)

    def __init__(self, by_language: Mapping[str, tuple["str | Source", ...]]) -> None:
        self._by_language = by_language

    def fill(self, scene: "Scene", extra: Mapping[str, str] | None = None) -> str:
        """The text in the scene's language (English where that is missing)."""
        parts = self._by_language.get(scene.language) or self._by_language["en"]
        said: list[str] = []
        for part in parts:
            if isinstance(part, str):
                if part.startswith("\0"):
                    said.append((extra or {}).get(part[1:], "…"))
                else:
                    said.append(part)
            else:
                said.append(spoken(part.read(scene), part.unit))
        return "".join(said)


def compile_template(
    raw: Any, path: str, sources: Mapping[str, "Source"], supplied: Iterable[str]
) -> Template:
    """Read one template; a name that nothing supplies is a fault."""
    texts = raw if isinstance(raw, dict) else {"en": raw}
    if "en" not in texts or not all(isinstance(item, str) for item in texts.values()):
        raise RuleSetFault(path, "words must be a text, or texts by language with 'en' among them")
    known = set(supplied)
    compiled: dict[str, tuple[str | Source, ...]] = {}
    for language, phrase in texts.items():
        parts: list[str | Source] = []
        for index, piece in enumerate(_NAME.split(phrase)):
            if index % 2 == 0:
                if piece:
                    parts.append(piece)
            elif piece in known:
                parts.append(f"\0{piece}")
            elif piece in sources:
                parts.append(sources[piece])
            else:
                raise RuleSetFault(path, f"the words name {{{piece}}}, which nothing supplies")
        compiled[language] = tuple(parts)
    return Template(compiled)


def fill_phrase(phrases: Mapping[str, str], name: str, values: Mapping[str, str]) -> str:
    """One of the package's own phrases, filled."""
    return _NAME.sub(lambda found: values.get(found.group(1), "…"), phrases[name])
