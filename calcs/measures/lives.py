"""Useful life of each kind of measure, with the table behind it.

Manuals differ widely; the value is the middle of the usual technical reference manuals unless the
line names another table. A program that adopts a manual replaces the table, not the code.
"""

from __future__ import annotations

from typing import NamedTuple

from calcs.validation import require_known

MANUALS = "usual technical reference manuals, middle of their range (memory)"
SERVICE = "ASHRAE HVAC Applications, median service life (read)"
PRACTICE = "common practice, no source"


class Life(NamedTuple):
    """Years a measure lasts and where the number is from."""

    years: float
    source: str


LIVES = {
    "attic_air_sealing": Life(15.0, MANUALS),
    "wall_top_sealing": Life(15.0, MANUALS),
    "penetration_sealing": Life(15.0, MANUALS),
    "chimney_chase_sealing": Life(20.0, PRACTICE),
    "outside_door_sealing": Life(10.0, PRACTICE),
    "garage_door_sealing": Life(10.0, PRACTICE),
    "basement_door_sealing": Life(10.0, PRACTICE),
    "fireplace_damper": Life(15.0, PRACTICE),
    "attic_stair_cover": Life(15.0, PRACTICE),
    "attic_raised_deck": Life(25.0, PRACTICE),
    "attic_insulation_renewal": Life(25.0, MANUALS),
    "wall_spot_repair": Life(25.0, MANUALS),
    "crawl_wall_insulation": Life(25.0, MANUALS),
    "window_repair": Life(10.0, PRACTICE),
    "steam_to_hot_water": Life(
        25.0,
        "ASHRAE HVAC Applications, cast-iron hot-water boiler 35 years, kept at 25 (read)",
    ),
    "outdoor_reset": Life(15.0, PRACTICE),
    "steam_venting": Life(10.0, PRACTICE),
    "tank_wrap": Life(7.0, PRACTICE),
    "thermostat_program": Life(4.0, PRACTICE),
    "bath_fan": Life(15.0, PRACTICE),
    "bath_fan_ducting": Life(20.0, PRACTICE),
    "clothes_washer_replacement": Life(12.0, MANUALS),
    "dehumidifier_replacement": Life(12.0, MANUALS),
    "burner_service": Life(3.0, PRACTICE),
    "vent_repair": Life(20.0, PRACTICE),
    "combustion_air": Life(20.0, PRACTICE),
    "gas_leak_repair": Life(20.0, PRACTICE),
    "boiler_control_repair": Life(10.0, PRACTICE),
    "unvented_heater_removal": Life(15.0, PRACTICE),
    "dryer_duct": Life(15.0, PRACTICE),
    "air_sealing": Life(15.0, MANUALS),
    "rim_joist": Life(20.0, MANUALS),
    "flue_plug": Life(10.0, PRACTICE),
    "attic_hatch_cover": Life(15.0, PRACTICE),
    "attic_insulation": Life(25.0, MANUALS),
    "wall_insulation": Life(25.0, MANUALS),
    "floor_insulation": Life(25.0, MANUALS),
    "belly_insulation": Life(15.0, PRACTICE),
    "basement_wall_insulation": Life(25.0, MANUALS),
    "crawl_ground_cover": Life(15.0, PRACTICE),
    "crawl_encapsulation": Life(20.0, PRACTICE),
    "window_replacement": Life(25.0, PRACTICE),
    "storm_windows": Life(20.0, PRACTICE),
    "duct_sealing": Life(20.0, MANUALS),
    "duct_insulation": Life(20.0, MANUALS),
    "heating_pipe_insulation": Life(15.0, MANUALS),
    "furnace_replacement": Life(18.0, SERVICE),
    "boiler_replacement": Life(
        25.0, "ASHRAE HVAC Applications, cast-iron boiler 30 to 35 years, kept at 25 (read)"
    ),
    "heat_pump": Life(15.0, SERVICE),
    "water_heater_replacement": Life(12.0, MANUALS),
    "heat_pump_water_heater": Life(13.0, MANUALS),
    "hot_water_pipe_insulation": Life(15.0, MANUALS),
    "showerheads": Life(10.0, MANUALS),
    "aerators": Life(10.0, MANUALS),
    "thermostat": Life(11.0, MANUALS),
    "exhaust_fan": Life(15.0, PRACTICE),
    "led_lamps": Life(12.0, MANUALS),
    "refrigerator_replacement": Life(14.0, MANUALS),
    "second_refrigerator_removal": Life(6.0, PRACTICE),
}


def life_of(kind: str) -> Life:
    """Useful life of a kind of measure; raises `InputError` for an unknown kind."""
    return require_known(LIVES, kind, "measure kind")
