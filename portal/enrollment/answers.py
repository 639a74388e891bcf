"""The six questions of a request, and what counts as an answer to each.

One place for pages and operations alike: ``clean`` takes what was typed and gives what is kept.
"""

import re
from collections.abc import Callable, Mapping
from typing import Any

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.db import models
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy

from portal.core import clock, languages
from portal.core.errors import ValuesRefused
from portal.enrollment import addresses
from portal.enrollment.states import BuildingKind, Tenure

QUESTIONS = ("address", "account", "contact", "tenure", "home", "bothers")
OPTIONAL_QUESTIONS = ("bothers",)

ACCOUNT_DIGITS = 10
EARLIEST_YEAR_BUILT = 1650
MOST_HOMES = 500
WORDS_LIMIT = 500

Clean = dict[str, Any]


class Bother(models.TextChoices):
    """What people say about their house, in their own words."""

    COLD_ROOMS = "cold_rooms", gettext_lazy("Some rooms are cold in winter")
    HOT_ROOMS = "hot_rooms", gettext_lazy("Some rooms are hot in summer")
    DRAFTS = "drafts", gettext_lazy("I feel drafts")
    BILLS = "bills", gettext_lazy("The bills are high")
    DAMP = "damp", gettext_lazy("It is damp, or there is mold")
    ICE = "ice", gettext_lazy("Ice or icicles build up on the roof edge")
    HEATING = "heating", gettext_lazy("The heating is old, noisy or breaks down")
    DUST = "dust", gettext_lazy("Dust or smells come in")


# How many homes a building of a kind has when it can only be one.
HOMES_BY_KIND = {
    BuildingKind.DETACHED: 1,
    BuildingKind.ATTACHED: 1,
    BuildingKind.MANUFACTURED: 1,
}


class _Answers:
    """Reads raw values one by one and collects what is wrong with them."""

    def __init__(self, raw: Mapping[str, Any]) -> None:
        self.raw = raw
        self.wrong: dict[str, str] = {}

    def text(self, name: str, *, limit: int) -> str:
        """One line of words; too long is refused, not cut."""
        value = self.raw.get(name)
        words = addresses.tidy("" if value is None else str(value))
        if len(words) > limit:
            self.wrong[name] = _("Use at most %(limit)d characters.") % {"limit": limit}
            return words[:limit]
        return words

    def whole_number(self, name: str, *, message: str) -> int | None:
        """A whole number, or None when nothing was said."""
        value = self.raw.get(name)
        if value is None or str(value).strip() == "":
            return None
        if isinstance(value, bool) or not re.fullmatch(r"-?\d{1,6}", str(value).strip()):
            self.wrong[name] = message
            return None
        return int(str(value).strip())

    def refuse(self, name: str, message: str) -> None:
        """Note one wrong answer; the first thing wrong with a box is the one said."""
        self.wrong.setdefault(name, message)

    def done(self, kept: Clean) -> Clean:
        """What is kept, or all that is wrong."""
        if self.wrong:
            message = _("Some answers need another look.")
            raise ValuesRefused(message, fields=self.wrong)
        return kept


def _address(given: _Answers) -> Clean:
    line, unit_behind = addresses.split_unit(given.text("street", limit=120))
    unit = given.text("unit", limit=20) or unit_behind
    city = given.text("city", limit=60)
    zip_code = given.text("zip", limit=10)
    if not line:
        given.refuse("street", _("Enter the house number and the street."))
    elif re.match(r"p\.?\s*o\.?\s*box\b", line, re.IGNORECASE):
        given.refuse("street", _("Enter where the home stands; a P.O. box cannot be visited."))
    elif not line[0].isdigit():
        given.refuse("street", _("Start with the house number, as in 12 Elm Street."))
    if not city:
        given.refuse("city", _("Enter the city or town."))
    if not re.fullmatch(r"\d{5}(-?\d{4})?", zip_code):
        given.refuse("zip", _("Enter the ZIP code as five digits."))
    return given.done({"street": line, "unit": unit, "city": city, "zip": zip_code[:5]})


def _account(given: _Answers) -> Clean:
    number = addresses.account_key(given.text("number", limit=40))
    if not re.fullmatch(rf"\d{{{ACCOUNT_DIGITS}}}", number):
        given.refuse(
            "number",
            _("Enter the account number as %(digits)d digits. You typed %(count)d.")
            % {"digits": ACCOUNT_DIGITS, "count": len(re.sub(r"\D", "", number))}
            if number
            else _("Enter the account number from your bill."),
        )
    return given.done({"number": number})


def _contact(given: _Answers) -> Clean:
    name = given.text("name", limit=120)
    email = given.text("email", limit=254).lower()
    phone = given.text("phone", limit=40)
    language = given.text("language", limit=8) or settings.LANGUAGE_CODE
    if not name:
        given.refuse("name", _("Enter your name."))
    try:
        validate_email(email)
    except ValidationError:
        given.refuse("email", _("Enter an e-mail address we can write to, as in pat@mail.example."))
    digits = re.sub(r"\D", "", phone)
    if phone and not 10 <= len(digits) <= 15 and len(digits) != 7:
        given.refuse("phone", _("Enter the phone number with its area code, or leave it empty."))
    if language not in dict(languages.SPOKEN):
        given.refuse("language", _("Choose one of the languages listed."))
    return given.done({"name": name, "email": email, "phone": phone, "language": language})


def _tenure(given: _Answers) -> Clean:
    tenure = given.text("tenure", limit=10)
    if tenure not in Tenure.values:
        given.refuse("tenure", _("Choose whether you own or rent the home."))
    return given.done({"tenure": tenure})


def _home(given: _Answers) -> Clean:
    kind = given.text("kind", limit=20)
    this_year = clock.today().year
    year_words = _("Enter the year as four digits, %(first)d to %(last)d.") % {
        "first": EARLIEST_YEAR_BUILT,
        "last": this_year,
    }
    year_built = given.whole_number("year_built", message=year_words)
    homes_words = _("Enter the number of homes as a whole number, 1 to %(most)d.") % {
        "most": MOST_HOMES
    }
    units = given.whole_number("units", message=homes_words)
    if kind not in BuildingKind.values:
        given.refuse("kind", _("Choose what kind of building it is."))
    if year_built is not None and not EARLIEST_YEAR_BUILT <= year_built <= this_year:
        given.refuse("year_built", year_words)
    if units is not None and not 1 <= units <= MOST_HOMES:
        given.refuse("units", homes_words)
    elif units is None and "units" not in given.wrong:
        units = HOMES_BY_KIND.get(BuildingKind(kind)) if kind in BuildingKind.values else None
        if units is None and "kind" not in given.wrong:
            given.refuse("units", _("Enter how many homes are in the building."))
    if units is not None:
        if kind == BuildingKind.TWO_TO_FOUR and not 2 <= units <= 4:
            given.refuse("units", _("A building of two to four homes has 2, 3 or 4. Check both."))
        elif kind == BuildingKind.APARTMENT and units < 5:
            given.refuse("units", _("An apartment building has 5 homes or more here. Check both."))
    return given.done({"kind": kind, "year_built": year_built, "units": units})


def _bothers(given: _Answers) -> Clean:
    chosen = given.raw.get("chosen") or []
    chosen = [chosen] if isinstance(chosen, str) else list(chosen)
    if any(choice not in Bother.values for choice in chosen):
        given.refuse("chosen", _("Choose from the list, or say it in your own words."))
    words = given.text("words", limit=WORDS_LIMIT)
    return given.done({"chosen": list(dict.fromkeys(chosen)), "words": words})


_CLEANERS: dict[str, Callable[[_Answers], Clean]] = {
    "address": _address,
    "account": _account,
    "contact": _contact,
    "tenure": _tenure,
    "home": _home,
    "bothers": _bothers,
}


def clean(question: str, raw: Mapping[str, Any]) -> Clean:
    """The answer as it is kept.

    Raises
    ------
    ValuesRefused
        Something is missing or cannot be right; ``fields`` says all of it at once.
    LookupError
        There is no such question.
    """
    return _CLEANERS[question](_Answers(raw))


def unanswered(answers: Mapping[str, Any]) -> list[str]:
    """The questions that still need an answer before the rules can be asked, in order."""
    return [
        question
        for question in QUESTIONS
        if question not in OPTIONAL_QUESTIONS and not answers.get(question)
    ]


def next_question(answers: Mapping[str, Any]) -> str | None:
    """The first question nobody has been asked yet; None when all six have been."""
    return next((question for question in QUESTIONS if question not in answers), None)
