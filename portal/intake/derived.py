"""Values worked out from a record that other parts of the portal build on."""

from calcs import leakage
from calcs.assemblies import insulation_r
from portal.intake.document import Part, Reader
from portal.intake.live.air import blower_door_results


def blower_door(reader: Reader) -> leakage.BlowerDoorResult | None:
    """The last blower-door test of the audit, worked up; None where none could be made."""
    if reader.section("air_leakage").value("blower_door") == "not_done":
        return None
    tests = [
        (str(test.value("tested_on") or ""), number, result)
        for number, (test, result) in enumerate(blower_door_results(reader))
        if (test.value("stage") or "audit") == "audit"
    ]
    return max(tests, key=lambda found: found[:2])[2] if tests else None


def attic_label_r_m2k_per_w(attic: Part) -> float:
    """Label R of an attic's insulation when new: printed on it, else by material and depth. [m²K/W]

    The program's rules put their own condition factor on it; the model's effective R is another
    value and is worked out from the layers themselves.
    """
    total = 0.0
    for number in (1, 2):
        material = attic.value(f"layer{number}_material")
        if material in (None, "none"):
            continue
        printed = attic.si(f"layer{number}_nominal_r")
        depth = attic.si(f"layer{number}_depth") or 0.0
        total += printed if printed is not None else insulation_r(material, depth)
    return total
