"""Marking lines done and sending the claim."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from portal.core.errors import DomainError

MOMENTS = (("before", _("Before")), ("during", _("During")), ("after", _("After")))


class ServiceForm(forms.Form):
    """A form that can show what a service refused."""

    def refuse(self, error: DomainError) -> None:
        """Put a service's refusal on the form."""
        known = {name: text for name, text in error.fields.items() if name in self.fields}
        for name, message in known.items():
            self.add_error(name, message)
        if not known:
            self.add_error(None, error.message)


class ProofForm(ServiceForm):
    """A photo of a line, from before, during or after the work."""

    photo = forms.FileField(
        label=_("Photo"),
        help_text=_("JPEG, PNG or WebP, at most 15 MB."),
        error_messages={"required": _("Choose a photo."), "empty": _("The photo is empty.")},
        widget=forms.FileInput(attrs={"accept": "image/*", "capture": "environment"}),
    )
    moment = forms.ChoiceField(
        label=_("Taken"), choices=MOMENTS, initial="after", widget=forms.RadioSelect
    )
    caption = forms.CharField(label=_("What it shows"), required=False, max_length=160)


class DoneForm(ServiceForm):
    """A line is done."""

    note = forms.CharField(label=_("Note for the program"), required=False, max_length=300)


class DeclineForm(ServiceForm):
    """The firm does not take the job."""

    why = forms.CharField(
        label=_("Why you cannot take the job"),
        max_length=300,
        error_messages={"required": _("Write why, so that the program can find another firm.")},
    )


class ClaimForm(ServiceForm):
    """The invoice of a finished job."""

    invoice_number = forms.CharField(
        label=_("Number on the invoice"),
        max_length=40,
        error_messages={"required": _("Enter the number on the invoice.")},
    )
    invoice_usd = forms.DecimalField(
        label=_("Amount of the invoice"),
        min_value=Decimal("0.01"),
        max_value=Decimal(1_000_000),
        decimal_places=2,
        max_digits=9,
        help_text=_("The whole amount, before the program's part is taken off."),
        error_messages={
            "required": _("Enter the invoice amount in dollars."),
            "invalid": _("Enter the amount as a number of dollars, like 4480.00."),
            "min_value": _("Enter an amount above 0 dollars."),
            "max_value": _("Enter an amount of at most 1,000,000 dollars."),
        },
    )
    invoice = forms.FileField(
        label=_("The invoice itself"),
        required=False,
        help_text=_("A PDF or a photo of the paper, at most 10 MB."),
    )

    def upload(self) -> dict[str, Any]:
        """The invoice's file as the service takes it."""
        found = self.cleaned_data["invoice"]
        return {"invoice": found, "invoice_name": found.name if found is not None else None}
