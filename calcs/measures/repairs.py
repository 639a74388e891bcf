"""Repairs that come before other work: what removes an open hazard.

They save no energy and are judged by none: a burner that fails its test is repaired first.
Combustion work is for licensed trades; after it the whole combustion test is done again.
"""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from calcs.inputs import House
from calcs.measures.lives import life_of
from calcs.measures.measure import Measure

# Kind of repair -> kind of measure, where it works, reason.
WORK = {
    "burner": ("burner_service", "heating", "burner_fails_its_test"),
    "vent": ("vent_repair", "chimney", "vent_does_not_draw"),
    "combustion_air": ("combustion_air", "heating", "burner_lacks_air"),
    "gas_leak": ("gas_leak_repair", "heating", "gas_leaks"),
    "boiler_control": ("boiler_control_repair", "heating", "cut_off_does_not_work"),
    "unvented_heater": ("unvented_heater_removal", "heating", "heater_has_no_vent"),
    "dryer_duct": ("dryer_duct", "appliances", "dryer_duct_can_burn"),
}
AREAS = ("living_space", "basement", "crawlspace", "garage", "attic")


def measures_for(house: House) -> list[Measure]:
    """One measure for each kind of repair that is due."""
    found = []
    for kind, (measure, place, reason) in WORK.items():
        due = [item for item in house.repairs if item.kind == kind]
        if not due:
            continue
        life = life_of(measure)
        clears = tuple(dict.fromkeys(hazard for item in due for hazard in item.hazards))
        found.append(
            Measure(
                kind=measure,
                stage="safety",
                place=place,
                quantity=float(len(due)),
                unit="each",
                life_years=life.years,
                life_source=life.source,
                apply=partial(_repair, kind=kind),
                # With strong gas or unsafe conditions nobody works; the leak itself is repaired.
                blocked_by=("unsafe_conditions",)
                if kind == "gas_leak"
                else ("gas_leak", "unsafe_conditions"),
                areas=AREAS,
                clears=clears,
                is_required=True,
                reason_key=reason,
                facts={
                    "repair_ids": [item.id for item in due],
                    "names": [item.name for item in due if item.name],
                    "clears": list(clears),
                },
            )
        )
    return found


def _repair(house: House, *, kind: str) -> House:
    return replace(house, repairs=tuple(item for item in house.repairs if item.kind != kind))
