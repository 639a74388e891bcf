"""The plan's choices, the quote, and the request with its consent."""

from decimal import Decimal
from typing import Any

from django import forms
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.accounts import selectors as accounts
from portal.core import clock
from portal.core.errors import DomainError
from portal.modeling import measure_words
from portal.modeling import selectors as modeling
from portal.rebates.models import Plan
from portal.rebates.services.plans import chosen_measures, measures_offered
from portal.rebates.states import Answer

ANSWERS = (
    (Answer.YES, _lazy("Yes")),
    (Answer.LATER, _lazy("Later")),
    (Answer.NO, _lazy("Not for me")),
)
MOST_USD = Decimal(1_000_000)


class ServiceForm(forms.Form):
    """A form that can show what a service refused."""

    def refuse(self, error: DomainError) -> None:
        """Put a service's refusal on the form."""
        known = {name: text for name, text in error.fields.items() if name in self.fields}
        for name, message in known.items():
            self.add_error(name, message)
        if not known:
            self.add_error(None, error.message)


class PlanForm(ServiceForm):
    """Three answers for each measure of the report."""

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        answers = dict(plan.choices.values_list("measure", "answer"))
        for item in measures_offered(modeling.analysis_of(plan.run)):
            self.fields[item.id] = forms.ChoiceField(
                label=measure_words.to_do(item.kind),
                choices=ANSWERS,
                widget=forms.RadioSelect,
                initial=answers.get(item.id, Answer.LATER),
                error_messages={"required": _("Choose yes, later or not for me.")},
            )

    def chosen(self) -> list[str]:
        """The measures answered "yes" in what was sent."""
        return [name for name in self.fields if self.data.get(self.add_prefix(name)) == Answer.YES]


class QuoteForm(ServiceForm):
    """A firm's quote: whose, of which day, one price for each chosen measure, its paper."""

    firm: "forms.ModelChoiceField[Any]" = forms.ModelChoiceField(
        label=_lazy("Firm"),
        queryset=None,
        empty_label=_lazy("Choose a firm"),
        error_messages={"required": _lazy("Choose the firm that wrote the quote.")},
    )
    quoted_on = forms.DateField(
        label=_lazy("Date on the quote"),
        widget=forms.DateInput(attrs={"type": "date"}),
        error_messages={
            "required": _lazy("Enter the date on the quote."),
            "invalid": _lazy("Enter the date as month, day and year."),
        },
    )
    file = forms.FileField(
        label=_lazy("The quote itself"),
        required=False,
        help_text=_lazy("A PDF or a photo of the paper, at most 10 MB."),
    )

    def __init__(self, *args: Any, plan: Plan, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        county = plan.casefile.participation.dwelling.building.county.name
        field = self.fields["firm"]
        assert isinstance(field, forms.ModelChoiceField)
        field.queryset = accounts.firms_for(county=county, on=clock.today())
        chosen = set(chosen_measures(plan))
        self.measure_names: list[str] = []
        for item in measures_offered(modeling.analysis_of(plan.run)):
            if item.id not in chosen:
                continue
            self.measure_names.append(item.id)
            self.fields[item.id] = forms.DecimalField(
                label=_("%(work)s, %(quantity)s")
                % {
                    "work": measure_words.to_do(item.kind),
                    "quantity": measure_words.us_quantity_words(
                        item.quantity, item.unit, item.kind
                    ),
                }
                if item.unit != "each"
                else measure_words.to_do(item.kind),
                min_value=Decimal("0.01"),
                max_value=MOST_USD,
                decimal_places=2,
                max_digits=9,
                localize=False,
                error_messages={
                    "required": _("Enter the firm's price in dollars."),
                    "invalid": _("Enter the price as a number of dollars, like 1250.00."),
                    "min_value": _("Enter a price above 0 dollars."),
                    "max_value": _("Enter a price of at most 1,000,000 dollars."),
                },
            )

    def amounts(self) -> dict[str, Decimal]:
        """The price of each measure."""
        return {name: self.cleaned_data[name] for name in self.measure_names}


class SendForm(ServiceForm):
    """The consent with which a request is sent."""

    consent = forms.BooleanField(
        label=_lazy("I agree to this and send the request"),
        error_messages={
            "required": _lazy("Tick the box to agree, or leave the request for later."),
        },
    )
