"""The form of a formula, made of the formula's own inputs."""

from typing import Any

from django import forms

from calcs.formulas import FieldTest
from portal.core.errors import ValuesRefused
from portal.intake import selectors as intake
from portal.modeling import formulas

LIST_HINT = "Several values, with spaces between them."
BY_KEY_HINT = "Pairs such as natural_gas=70, with spaces between them."


class FormulaForm(forms.Form):
    """One text box for each number, a tick for each yes or no."""

    def __init__(self, *args: Any, test: FieldTest, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.test = test
        for box in formulas.boxes_of(test):
            hint = {"list": LIST_HINT, "by_key": BY_KEY_HINT}.get(box.kind, "")
            if box.words:
                named = [(word, word.replace("_", " ")) for word in box.words]
                start = [] if box.default else [("", "")]
                field: forms.Field = forms.ChoiceField(required=False, choices=[*start, *named])
                field.initial = box.default
                field.required = box.is_required
            elif box.kind == "flag":
                field = forms.BooleanField(required=False)
                field.initial = box.default == "yes"
            else:
                field = forms.CharField(
                    required=False, help_text=hint or (box.unit_text and f"In {box.unit_text}")
                )
                field.initial = box.default
                field.required = box.is_required
            field.label = box.label
            self.fields[box.name] = field

    def answers(self) -> tuple[formulas.Answer, ...]:
        """What the formula gives for what was typed; empty, with errors, when it refuses."""
        self.full_clean()
        if not self.data:
            return ()
        # The formula says itself what is missing, with its unit.
        self._errors = forms.utils.ErrorDict()
        typed = {name: self.data.get(name, "") for name in self.fields}
        try:
            return formulas.work_out(self.test.name, typed, limits=intake.values_in_effect())
        except ValuesRefused as error:
            for name, message in error.fields.items():
                self.add_error(name, message)
            if not error.fields:
                self.add_error(None, error.message)
            return ()
