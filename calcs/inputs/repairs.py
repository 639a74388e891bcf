"""What was found unsafe or broken and has to be put right before other work."""

from __future__ import annotations

from dataclasses import dataclass

from calcs.records import Checked, choice

REPAIR_KINDS = (
    "burner",
    "vent",
    "combustion_air",
    "gas_leak",
    "boiler_control",
    "unvented_heater",
    "dryer_duct",
)


@dataclass(frozen=True, kw_only=True)
class Repair(Checked):
    """One repair that is due.

    `hazards` are the kinds of open hazard that it removes; `target_id` is the heating system or
    water heater it makes safe, where it is one.
    """

    id: str
    kind: str = choice(REPAIR_KINDS)
    hazards: tuple[str, ...] = ()
    name: str = ""
    target_id: str = ""
