"""What the work on each kind of measure has to be: target, specification, order, proof, care.

Generic by intention: no brand, no product. Trade practice without a source unless one is named;
local codes and licensed trades come first, and a scope says so.
"""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Words = str | Promise


@dataclass(frozen=True)
class Specification:
    """One kind of work. ``care`` are the cautions that always go with it."""

    target: Words
    specification: Words
    proof: Words
    prerequisites: Words = ""
    care: Words = ""
    access: Words = ""
    trade: Words = ""


FOAM_CARE = _(
    "Foam stays away from flues, live old wiring and lamps not rated for contact with "
    "insulation. Around a chimney: sheet metal and fire-rated sealant only, never foam."
)
ATTIC_FIRST = _(
    "Leaks below sealed and photographed; bath fans vented outside; dams at flues and at lamps "
    "not rated for contact; no active roof leak; no live or unknown knob-and-tube wiring."
)
