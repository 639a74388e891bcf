"""The forms of the six questions. What counts as an answer is decided in ``answers``."""

from typing import Any, ClassVar

from django import forms
from django.utils.translation import gettext_lazy as _
from django.utils.translation import pgettext_lazy

from portal.core import languages
from portal.core.errors import ValuesRefused
from portal.enrollment import answers
from portal.enrollment.answers import Bother
from portal.enrollment.states import BuildingKind, Tenure

OPTIONAL = {"unit", "phone", "year_built", "units", "chosen", "words"}


def _as_typed(value: Any) -> Any:
    return value


class QuestionForm(forms.Form):
    """One question. Boxes accept anything, so that all that is wrong is said in our words."""

    use_required_attribute = False
    question: ClassVar[str]
    title: ClassVar[Any]
    lead: ClassVar[Any] = ""
    # True where the one group of choices carries the page's heading itself.
    heading_field: ClassVar[str] = ""
    hints: ClassVar[dict[str, Any]] = {}
    sizes: ClassVar[dict[str, str]] = {}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for name, field in self.fields.items():
            # ``required`` only puts "(optional)" beside a label; the check is in ``answers``.
            field.required = name not in OPTIONAL
            field.clean = _as_typed  # type: ignore[method-assign]  # one place decides, see clean
            if name in _AUTOCOMPLETE:
                field.widget.attrs["autocomplete"] = _AUTOCOMPLETE[name]

    def clean(self) -> dict[str, Any]:
        """Run what was typed through the one place that knows answers."""
        raw = {name: self._raw(name) for name in self.fields}
        try:
            return answers.clean(self.question, raw)
        except ValuesRefused as refusal:
            for name, message in refusal.fields.items():
                self.add_error(name if name in self.fields else None, message)
            return {}

    def _raw(self, name: str) -> Any:
        return self.fields[name].widget.value_from_datadict(self.data, self.files, name)

    def rows(self) -> list[dict[str, Any]]:
        """Fields with what their component needs."""
        return [
            {
                "field": self[name],
                "size": self.sizes.get(name, ""),
                "hints": self.hints if name == self.heading_field else {},
                "is_heading": name == self.heading_field,
                "is_group": self[name].use_fieldset,
            }
            for name in self.fields
        ]


_AUTOCOMPLETE = {
    "street": "address-line1",
    "unit": "address-line2",
    "city": "address-level2",
    "zip": "postal-code",
    "name": "name",
    "email": "email",
    "phone": "tel",
}


class AddressForm(QuestionForm):
    """Where the home stands."""

    question = "address"
    title = _("Where is the home?")
    lead = _("We need the address of the home itself, not where you get your mail.")
    sizes: ClassVar[dict[str, str]] = {"unit": "short", "zip": "short", "city": "middle"}

    street = forms.CharField(label=_("House number and street"))
    unit = forms.CharField(label=_("Unit"))
    city = forms.CharField(label=_("City or town"))
    zip = forms.CharField(
        label=_("ZIP code"), widget=forms.TextInput(attrs={"inputmode": "numeric"})
    )


class AccountForm(QuestionForm):
    """Which account pays for it."""

    question = "account"
    title = _("What is the account number on the bill?")
    lead = _(
        "It shows us that Quillmark serves the home. The account may be in another name, "
        "for example a partner’s or a parent’s."
    )
    sizes: ClassVar[dict[str, str]] = {"number": "middle"}

    number = forms.CharField(
        label=_("Account number"),
        help_text=_("Ten digits, at the top right of the first page of any Quillmark bill."),
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )


class ContactForm(QuestionForm):
    """How to reach the person."""

    question = "contact"
    title = _("How can we reach you?")
    lead = _("You get your answer by mail there too, with the link to this request.")
    sizes: ClassVar[dict[str, str]] = {"phone": "middle"}

    name = forms.CharField(label=_("Your name"))
    email = forms.CharField(
        label=_("E-mail address"),
        widget=forms.EmailInput(attrs={"inputmode": "email", "spellcheck": "false"}),
    )
    phone = forms.CharField(
        label=_("Telephone"),
        help_text=_("The auditor calls only if something about the visit changes."),
        widget=forms.TextInput(attrs={"type": "tel"}),
    )
    language = forms.ChoiceField(
        label=_("Which language do you prefer?"),
        help_text=_("For calls and the visit. Interpreters are free."),
        choices=languages.SPOKEN,
        widget=forms.RadioSelect,
    )


class TenureForm(QuestionForm):
    """Owner or renter."""

    question = "tenure"
    title = _("Do you own or rent the home?")
    heading_field = "tenure"
    hints: ClassVar[dict[str, Any]] = {
        Tenure.OWNER: _("Alone or with others, with or without a mortgage"),
        Tenure.RENTER: _("You can have the audit too. Work on the house needs the owner’s word"),
    }

    tenure = forms.ChoiceField(
        label=_("Do you own or rent the home?"),
        choices=Tenure.choices,
        widget=forms.RadioSelect,
    )


class HomeForm(QuestionForm):
    """What kind of building it is."""

    question = "home"
    title = _("What kind of home is it?")
    sizes: ClassVar[dict[str, str]] = {"year_built": "short", "units": "short"}

    kind = forms.ChoiceField(
        label=_("Kind of building"),
        choices=[
            (BuildingKind.DETACHED, _("House standing by itself")),
            (BuildingKind.ATTACHED, _("House joined to another, as in a row")),
            (BuildingKind.TWO_TO_FOUR, _("Building with two, three or four homes")),
            (BuildingKind.MANUFACTURED, _("Manufactured home")),
            (BuildingKind.APARTMENT, _("Apartment building with five homes or more")),
        ],
        widget=forms.RadioSelect,
    )
    year_built = forms.CharField(
        label=_("Year it was built"),
        help_text=_("A guess is fine. It tells the auditor what tools to bring."),
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )
    units = forms.CharField(
        label=_("Homes in the building"),
        help_text=_("Leave it empty for a house with one home in it."),
        widget=forms.TextInput(attrs={"inputmode": "numeric"}),
    )


class BothersForm(QuestionForm):
    """What bothers the household about the house."""

    question = "bothers"
    title = _("What bothers you about the house?")
    lead = _("Choose as many as you like, or none. The auditor looks at these first.")

    chosen = forms.MultipleChoiceField(
        label=pgettext_lazy("what bothers you", "What you notice"),
        choices=Bother.choices,
        widget=forms.CheckboxSelectMultiple,
    )
    words = forms.CharField(
        label=_("Anything else, in your own words"),
        widget=forms.Textarea(attrs={"rows": 4}),
    )


FORMS: dict[str, type[QuestionForm]] = {
    form.question: form
    for form in (AddressForm, AccountForm, ContactForm, TenureForm, HomeForm, BothersForm)
}
