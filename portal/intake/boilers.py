"""What a boiler cannot be, from its own record."""

from typing import NamedTuple

from django.utils.translation import gettext as _

from calcs.inputs import STEAM_EFFICIENCY_LIMIT
from portal.intake.document import Part


class Impossible(NamedTuple):
    """A field whose value cannot be right, and why."""

    field: str
    words: str


def impossible(system: Part) -> Impossible | None:
    """A steam system that is said to condense, or to be better than steam can be."""
    if system.value("distribution") != "steam_pipes":
        return None
    limit = round(100 * STEAM_EFFICIENCY_LIMIT)
    rated = system.si("afue")
    if rated is not None and rated > STEAM_EFFICIENCY_LIMIT:
        return Impossible(
            "afue",
            _("%(system)s: AFUE %(value).0f%% with steam pipes. Steam needs water at 212 °F, so "
              "nothing condenses: %(limit)d%% at most. Read the nameplate, or change the pipes to "
              "hot water.")
            % {"system": system.name, "value": 100 * rated, "limit": limit},
        )  # fmt: skip
    if system.value("is_condensing") is True:
        return Impossible(
            "is_condensing",
            _("%(system)s: condensing with steam pipes. Steam needs water at 212 °F, so nothing "
              "condenses.")
            % {"system": system.name},
        )  # fmt: skip
    return None
