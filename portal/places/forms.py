"""Decisions at the Desk."""

from typing import Any

from django import forms
from django.utils.translation import gettext_lazy as _

from portal.accounts import selectors as accounts
from portal.core import clock
from portal.core.errors import DomainError
from portal.rebates.models import SubsidyRequest
from portal.rebates.states import SubsidyState
from portal.works.states import ClaimState

VERBS = (
    (SubsidyState.RESERVED, _("Reserve")),
    (SubsidyState.RETURNED, _("Return with the shortfall")),
    (SubsidyState.DEFERRED, _("Defer")),
    (SubsidyState.REFUSED, _("Refuse")),
    (SubsidyState.REFERRED, _("Refer")),
)
NOTE_LIMIT = 2000


class RefusableForm(forms.Form):
    """A form that can show what a service refused beside the fields concerned."""

    def refuse(self, error: DomainError) -> None:
        """Put a service's refusal on the form."""
        for name, message in error.fields.items():
            if name in self.fields:
                self.add_error(name, message)
        if not error.fields or not any(name in self.fields for name in error.fields):
            self.add_error(None, error.message)


class DecisionForm(RefusableForm):
    """Reserve, return with the shortfall, defer, refuse or refer."""

    verb = forms.ChoiceField(
        label=_("Your decision"),
        choices=VERBS,
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose what you decide.")},
    )
    firm: "forms.ModelChoiceField[Any]" = forms.ModelChoiceField(
        label=_("Firm that gets the work"),
        queryset=None,
        required=False,
        empty_label=_("Choose a firm"),
        help_text=_("Needed to reserve. A firm's own quote goes to that firm."),
    )
    note = forms.CharField(
        label=_("Note for the trail"),
        required=False,
        max_length=NOTE_LIMIT,
        widget=forms.Textarea(attrs={"rows": 3}),
        help_text=_("Needed for everything but a yes. The homeowner reads it."),
    )

    def __init__(self, *args: Any, subsidy_request: SubsidyRequest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        county = subsidy_request.casefile.participation.dwelling.building.county
        firms = accounts.firms_for(county=county.name, on=clock.today())
        field = self.fields["firm"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = firms
        quoted = subsidy_request.quote.firm
        if quoted is not None:
            field.initial = quoted.pk
        if subsidy_request.state == SubsidyState.REFERRED:
            self.fields["verb"].choices = [  # type: ignore[attr-defined]  # a ChoiceField
                choice for choice in VERBS if choice[0] == SubsidyState.REFUSED
            ]

    def clean(self) -> dict[str, Any]:
        """A yes names a firm, everything else a reason."""
        cleaned = super().clean() or {}
        verb = cleaned.get("verb")
        if verb == SubsidyState.RESERVED and cleaned.get("firm") is None:
            self.add_error("firm", _("Choose the firm that gets the work."))
        if verb and verb != SubsidyState.RESERVED and not cleaned.get("note", "").strip():
            self.add_error("note", _("Write the reason. The homeowner reads it."))
        return cleaned


class ClaimDecisionForm(RefusableForm):
    """Accept a claim, or return it with the shortfall."""

    verb = forms.ChoiceField(
        label=_("Your decision"),
        choices=(
            (ClaimState.ACCEPTED, _("Accept")),
            (ClaimState.RETURNED, _("Return with the shortfall")),
        ),
        widget=forms.RadioSelect,
        error_messages={"required": _("Choose what you decide.")},
    )
    note = forms.CharField(
        label=_("What is missing"),
        required=False,
        max_length=NOTE_LIMIT,
        widget=forms.Textarea(attrs={"rows": 3}),
    )
