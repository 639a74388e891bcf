"""Open hazards as the repairs that remove them."""

from collections.abc import Iterable

from calcs.inputs import Repair
from portal.intake.document import Reader
from portal.intake.hazards import Hazard

# Kind of hazard -> kind of repair. What a licensed trade does not simply repair (asbestos, old
# wiring, mold, a roof) stays a hazard that stops work, with no measure of the program.
REPAIR_OF = {
    "carbon_monoxide": "burner",
    "unsafe_burner": "burner",
    "spillage": "vent",
    "weak_draft": "vent",
    "single_wall_flue": "vent",
    "depressurization": "combustion_air",
    "gas_leak": "gas_leak",
    "low_water_cutoff": "boiler_control",
    "unvented_heater": "unvented_heater",
    "dryer_duct": "dryer_duct",
}


def repairs_of(hazards: Iterable[Hazard], reader: Reader) -> tuple[Repair, ...]:
    """One repair for each place: a burner that fails two tests is repaired once.

    Hazards of a record, and the reader of that record, which knows whose burner it is.
    """
    system_of = {
        burner.key: str(burner.value("system") or "")
        for burner in reader.items("combustion_appliances")
    }
    found: dict[tuple[str, str], list[Hazard]] = {}
    for hazard in hazards:
        kind = REPAIR_OF.get(hazard.kind)
        if kind is not None:
            found.setdefault((kind, hazard.item or hazard.where), []).append(hazard)
    return tuple(
        Repair(
            id=f"{kind}:{together[0].key}",
            kind=kind,
            hazards=tuple(dict.fromkeys(hazard.kind for hazard in together)),
            name=together[0].where,
            target_id=system_of.get(together[0].item, ""),
        )
        for (kind, _place), together in found.items()
    )
