"""Choosing a visit time, and giving one up."""

from datetime import datetime
from typing import Any

from django import forms
from django.utils.dateparse import parse_datetime
from django.utils.translation import gettext_lazy as _

ACCESS_NOTE_LIMIT = 300


class PickForm(forms.Form):
    """One of the free times, as the instant it starts; whether it is still free, booking finds."""

    use_required_attribute = False

    starts_at = forms.CharField(
        label=_("Free times"), error_messages={"required": _("Choose one of the times.")}
    )
    access_note = forms.CharField(
        label=_("Anything the auditor should know to get in"),
        help_text=_("For example where to park, or which door to use. At most 300 characters."),
        required=False,
        max_length=ACCESS_NOTE_LIMIT,
        error_messages={"max_length": _("Use at most 300 characters.")},
    )

    def clean_starts_at(self) -> datetime:
        """An instant with its offset."""
        try:
            moment = parse_datetime(self.cleaned_data["starts_at"])
        except ValueError:
            moment = None
        if moment is None or moment.tzinfo is None:
            raise forms.ValidationError(_("Choose one of the times."))
        return moment


class MoveForm(PickForm):
    """The same for a visit that is booked already."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        del self.fields["access_note"]


class CancelForm(forms.Form):
    """Why a visit is given up; nobody has to say."""

    use_required_attribute = False

    why = forms.CharField(
        label=_("Why, if you want to tell us"),
        required=False,
        max_length=300,
        error_messages={"max_length": _("Use at most 300 characters.")},
    )
