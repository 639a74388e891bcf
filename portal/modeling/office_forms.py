"""Forms of the office: proposing a value, deciding on it, loading weather."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from calcs.confirmable import Confirmable
from portal.core.errors import DomainError

PERCENT = 100.0


class OfficeForm(forms.Form):
    """A form that shows what a service refused beside the fields concerned."""

    def refuse(self, error: DomainError) -> None:
        """Put a service's refusal on the form."""
        known = {name: text for name, text in error.fields.items() if name in self.fields}
        for name, text in known.items():
            self.add_error(name, text)
        if not known:
            self.add_error(None, error.message)


class ProposalForm(OfficeForm):
    """A value, the edition and document it stands in, and why."""

    value = forms.FloatField(
        label=_("Value"),
        widget=forms.TextInput(attrs={"inputmode": "text", "autocomplete": "off"}),
        error_messages={
            "required": _("Enter the value."),
            "invalid": _("Enter the value as a number."),
        },
    )
    edition = forms.CharField(
        label=_("Edition"),
        max_length=80,
        help_text=_("Edition or year of the document, and its addenda."),
        error_messages={"required": _("Enter the edition or the year of the document.")},
    )
    document = forms.CharField(
        label=_("Document"),
        max_length=200,
        help_text=_("Title and section, as somebody else would find it."),
        error_messages={"required": _("Name the document the value stands in, with its section.")},
    )
    authority = forms.CharField(
        label=_("Authority"),
        max_length=200,
        required=False,
        help_text=_(
            "Needed to make a safety limit looser than it is: the code official, regulator or "
            "standards body that allows it."
        ),
    )
    reason = forms.CharField(
        label=_("Why"),
        max_length=2000,
        widget=forms.Textarea(attrs={"rows": 3}),
        error_messages={"required": _("Say why the program adopts this value.")},
    )

    def __init__(self, *args: Any, item: Confirmable, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.is_rate = item.unit == "a year"
        if item.value is None:
            del self.fields["value"]

    def clean_value(self) -> float:
        """The value as it is kept: a rate is typed in percent."""
        value: float = self.cleaned_data["value"]
        return value / PERCENT if self.is_rate else value


class ProposalDecisionForm(OfficeForm):
    """Confirm or refuse a proposal."""

    verb = forms.ChoiceField(
        label=_("Your decision"),
        choices=(("adopt", _("Confirm")), ("refuse", _("Refuse"))),
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose what you decide.")},
    )
    why = forms.CharField(
        label=_("Note for the trail"),
        max_length=2000,
        required=False,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Needed to refuse."),
    )


class WeatherFileForm(OfficeForm):
    """A weather file with the code it is kept under and who published it."""

    file = forms.FileField(
        label=_("File"),
        help_text=_("A typical year as EPW or TMY3, plain or gzip-compressed, up to 12 MB."),
        error_messages={
            "required": _("Choose the file."),
            "empty": _("The file is empty. Choose the file again."),
        },
    )
    code = forms.CharField(
        label=_("Station code"),
        max_length=20,
        help_text=_("A code in use already is loaded anew; runs made before keep their weather."),
        error_messages={"required": _("Enter the station's code.")},
    )
    source = forms.CharField(
        label=_("Source"),
        max_length=200,
        help_text=_("Who published the file, and which years it stands for."),
        error_messages={"required": _("Say who published the file.")},
    )
