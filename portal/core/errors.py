"""Errors whose message is fit for the person at the screen."""

from collections.abc import Mapping


class DomainError(Exception):
    """A refusal the user can act on.

    ``code`` is stable and for programs, ``message`` is for people, ``fields`` names the
    inputs concerned, each with its own message.
    """

    default_code = "refused"

    def __init__(
        self,
        message: str,
        *,
        code: str | None = None,
        fields: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(message)
        self.message = message
        self.code = code or self.default_code
        self.fields = dict(fields or {})


class NotAllowed(DomainError):
    """The actor may not do this to this record."""

    default_code = "not_allowed"


class MoveRefused(DomainError):
    """The record is not in a state from which this step can be taken."""

    default_code = "wrong_state"


class FundExhausted(DomainError):
    """The fund cannot hold the whole amount; nothing is cut to fit."""

    default_code = "fund_exhausted"


class SlotTaken(DomainError):
    """Somebody else has just taken the visit time."""

    default_code = "slot_taken"


class ValuesRefused(DomainError):
    """Entered values cannot be right; ``fields`` says which and why."""

    default_code = "values_refused"
