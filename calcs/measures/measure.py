"""What a measure is: a pure function from house to house, with its facts as data."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any

from calcs.inputs import House

# Order of work: air sealing before insulating, the envelope before the equipment that serves it,
# ventilation checked once the house is tight. Common practice, no source.
STAGES = (
    "safety",
    "air_sealing",
    "insulation",
    "ducts",
    "equipment",
    "ventilation",
    "baseload",
)


@dataclass(frozen=True, kw_only=True, eq=False)
class Measure:
    """One improvement of one house.

    Parameters
    ----------
    kind : str
        Names the price, the specification and the words; `title_key` is its message key.
    target_id : str
        The attic, wall, system ... it works on; empty for the whole house.
    quantity, unit
        What is priced, in SI (m², m, each).
    life_years, life_source
        Useful life and the table it was read from.
    apply : callable
        House before to house after. Never changes its argument.
    requires : tuple of str
        Kinds that must be done before where they apply to this house.
    excludes : tuple of str
        Measure kinds on the same target that cannot be done as well.
    blocked_by, areas : tuple of str
        Hazard kinds that stop it, and the areas of the house it works in.
    clears : tuple of str
        Kinds of open hazard that it removes; these do not stop it.
    is_required : bool
        Done whatever it saves: a repair for safety, the fan of a tight house.
    is_advised : bool
        Whether it belongs to the default package. Others are computed and shown with a reason.
    reason_key : str
        Message key of why it is advised, or why not.
    is_at_failure : bool
        Advised only when the equipment fails.
    """

    kind: str
    stage: str
    place: str
    quantity: float
    unit: str
    life_years: float
    life_source: str
    apply: Callable[[House], House]
    target_id: str = ""
    requires: tuple[str, ...] = ()
    excludes: tuple[str, ...] = ()
    blocked_by: tuple[str, ...] = ()
    areas: tuple[str, ...] = ()
    clears: tuple[str, ...] = ()
    is_advised: bool = True
    is_at_failure: bool = False
    is_required: bool = False
    reason_key: str = ""
    facts: Mapping[str, Any] = field(default_factory=dict)

    @property
    def id(self) -> str:
        """Stable id: the kind, with its target where there is one."""
        return f"{self.kind}:{self.target_id}" if self.target_id else self.kind

    @property
    def title_key(self) -> str:
        """Message key of the title."""
        return f"measure.{self.kind}.title"
