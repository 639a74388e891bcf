"""Which measure of the model is which measure of the rulebook.

The model speaks of what is done to a house, the rulebook of what it pays for; a measure the
rulebook does not know is simply not paid.
"""

RULE_MEASURE = {
    "attic_air_sealing": "air_sealing",
    "wall_top_sealing": "air_sealing",
    "penetration_sealing": "air_sealing",
    "chimney_chase_sealing": "air_sealing",
    "outside_door_sealing": "air_sealing",
    "garage_door_sealing": "air_sealing",
    "basement_door_sealing": "air_sealing",
    "air_sealing": "air_sealing",
    "rim_joist": "rim",
    "attic_insulation": "attic",
    "attic_insulation_renewal": "attic",
    "wall_insulation": "wall",
    "duct_sealing": "duct_seal",
    "thermostat": "thermostat",
    "heat_pump": "heat_pump",
}


def rule_measure(kind: str) -> str | None:
    """The rulebook's name for a kind of measure, or None when it pays nothing for it."""
    return RULE_MEASURE.get(kind)
