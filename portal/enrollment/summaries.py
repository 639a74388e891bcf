"""A request in words: what was answered, and why the rules said no."""

from typing import Any

from django.utils.translation import get_language, gettext_lazy
from django.utils.translation import gettext as _

from portal.core import rules
from portal.enrollment import links, screening
from portal.enrollment.answers import Bother
from portal.enrollment.forms import FORMS
from portal.enrollment.models import AuditRequest
from portal.enrollment.selectors import language_name
from portal.enrollment.states import Tenure

# Which question an answer was given to, by the part of the facts a rule looked at; where it
# looked at several, the first of these is the one it is about.
QUESTION_OF_SECTION = {
    "dwelling": "address",
    "building": "home",
    "household": "tenure",
    "site": "address",
    "account": "account",
}
# Where these fail, what the rules could not see of account and dwelling is no reason of its own.
KINDS_SHOWN = ("failed",)
# No reason stands without something to do: said where the rule names no alternative itself.
OTHER_WAYS = {
    "audit.active": gettext_lazy(
        "Give the number of an open account: yours, or that of whoever pays the bill."
    ),
    "audit.under_way": gettext_lazy(
        "Ask the others in your household: one of them may have the letter about the visit. If "
        "you have just moved in, tell us, and you get papers of your own."
    ),
}
# What would turn the answer, where the rule has no words of its own for it; empty where only
# the other ways lead on.
WHAT_WOULD_DO = {
    "audit.residential": gettext_lazy("An account with a residential rate at this home"),
    "audit.building": "",
    "audit.under_way": "",
}
ANY_WAY = gettext_lazy("Tell us how it is by telephone, and we look for a program that fits.")


def answers_of(request: AuditRequest) -> list[dict[str, Any]]:
    """The answers as label, lines and the page to change them on."""
    return [
        {
            "question": question,
            "label": form.title,
            "lines": _LINES[question](request.answers.get(question) or {}),
            "url": links.question_page(request, question),
        }
        for question, form in FORMS.items()
    ]


def _address(said: dict[str, Any]) -> list[str]:
    street = said.get("street", "")
    unit = said.get("unit", "")
    first = _("%(street)s, unit %(unit)s") % {"street": street, "unit": unit} if unit else street
    return [first, f"{said.get('city', '')} {said.get('zip', '')}".strip()]


def _contact(said: dict[str, Any]) -> list[str]:
    lines = [said.get("name", ""), said.get("email", ""), said.get("phone", "")]
    return [line for line in [*lines, language_name(said.get("language", "en"))] if line]


def _home(said: dict[str, Any]) -> list[str]:
    kinds: dict[str, Any] = dict(FORMS["home"].base_fields["kind"].choices)  # type: ignore[attr-defined]  # a ChoiceField
    lines = [str(kinds.get(said.get("kind", ""), ""))]
    if said.get("year_built"):
        lines.append(_("Built in %(year)d") % {"year": said["year_built"]})
    else:
        lines.append(_("Year built not known"))
    if (said.get("units") or 1) > 1:
        lines.append(_("%(count)d homes in the building") % {"count": said["units"]})
    return lines


def _bothers(said: dict[str, Any]) -> list[str]:
    lines = [str(Bother(choice).label) for choice in said.get("chosen", [])]
    if said.get("words"):
        lines.append(said["words"])
    return lines or [_("Nothing in particular")]


_LINES: dict[str, Any] = {
    "address": _address,
    "account": lambda said: [said.get("number", "")],
    "contact": _contact,
    "tenure": lambda said: [str(dict(Tenure.choices).get(said.get("tenure", ""), ""))],
    "home": _home,
    "bothers": _bothers,
}


def reasons_of(request: AuditRequest) -> list[dict[str, Any]]:
    """Every reason of a no: why, the rule, what would change it, what else to do, whom to ask."""
    ruling = rules.ruling_from_dict(request.ruling)
    failed = [found for found in ruling.findings if found.kind in KINDS_SHOWN]
    # Nothing failed and still no yes: something the rules need is not known.
    findings = failed or list(ruling.shortfalls)
    return [_reason(request, found) for found in findings]


def _reason(request: AuditRequest, found: "rules.Finding") -> dict[str, Any]:
    sections = {need.field.partition(".")[0] for need in found.needs}
    question = next(
        (QUESTION_OF_SECTION[name] for name in QUESTION_OF_SECTION if name in sections), ""
    )
    language = get_language() or "en"
    return {
        "rule": found.rule,
        "words": found.words,
        "fix": str(WHAT_WOULD_DO.get(found.rule, found.fix)),
        "reference": found.reference,
        "alternatives": [
            screening.text(request, key, language=language) for key in found.alternatives
        ]
        or [str(OTHER_WAYS.get(found.rule, ANY_WAY))],
        "ask": screening.text(request, found.ask or "people.program_help", language=language),
        "question": question,
        "change_url": links.question_page(request, question) if question else "",
        "change_label": FORMS[question].title if question else "",
    }
