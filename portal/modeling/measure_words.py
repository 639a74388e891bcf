"""What a measure is called, and its quantity as Americans write it."""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.core.units import convert

Words = str | Promise


@dataclass(frozen=True)
class Called:
    """Name of a measure as something to do, and as a thing in a list."""

    do: Words
    thing: Words


CALLED: dict[str, Called] = {
    "attic_air_sealing": Called(
        _lazy("Seal the openings in the attic floor"), _lazy("Attic floor sealing")
    ),
    "air_sealing": Called(_lazy("Seal the leaks in the rest of the house"), _lazy("Air sealing")),
    "rim_joist": Called(_lazy("Seal and insulate the rim joist"), _lazy("Rim joist")),
    "flue_plug": Called(_lazy("Plug the unused fireplace flue"), _lazy("Flue plug")),
    "attic_hatch_cover": Called(_lazy("Cover the way into the attic"), _lazy("Attic cover")),
    "attic_insulation": Called(_lazy("Insulate the attic floor"), _lazy("Attic insulation")),
    "wall_insulation": Called(_lazy("Fill the walls"), _lazy("Wall insulation")),
    "floor_insulation": Called(_lazy("Insulate the floor"), _lazy("Floor insulation")),
    "crawl_ground_cover": Called(
        _lazy("Cover the bare ground in the crawlspace"), _lazy("Ground cover")
    ),
    "crawl_encapsulation": Called(_lazy("Close the crawlspace"), _lazy("Closed crawlspace")),
    "basement_wall_insulation": Called(
        _lazy("Insulate the basement walls"), _lazy("Basement walls")
    ),
    "belly_insulation": Called(_lazy("Fill and close the belly"), _lazy("Belly insulation")),
    "duct_sealing": Called(_lazy("Seal the ducts"), _lazy("Duct sealing")),
    "duct_insulation": Called(_lazy("Wrap the ducts"), _lazy("Duct insulation")),
    "furnace_replacement": Called(_lazy("Replace the furnace"), _lazy("New furnace")),
    "boiler_replacement": Called(_lazy("Replace the boiler"), _lazy("New boiler")),
    "heat_pump": Called(_lazy("Change to a heat pump"), _lazy("Heat pump")),
    "heating_pipe_insulation": Called(
        _lazy("Cover the bare heating pipes"), _lazy("Heating pipes")
    ),
    "hot_water_pipe_insulation": Called(
        _lazy("Cover the bare hot-water pipes"), _lazy("Hot-water pipes")
    ),
    "water_heater_replacement": Called(
        _lazy("Replace the water heater"), _lazy("New water heater")
    ),
    "heat_pump_water_heater": Called(
        _lazy("Change to a heat-pump water heater"), _lazy("Heat-pump water heater")
    ),
    "showerheads": Called(_lazy("Fit water-saving shower heads"), _lazy("Shower heads")),
    "aerators": Called(_lazy("Fit faucet aerators"), _lazy("Faucet aerators")),
    "thermostat": Called(_lazy("Fit a thermostat that turns down by itself"), _lazy("Thermostat")),
    "led_lamps": Called(_lazy("Change the old bulbs to LED"), _lazy("LED bulbs")),
    "refrigerator_replacement": Called(
        _lazy("Replace the refrigerator"), _lazy("New refrigerator")
    ),
    "second_refrigerator_removal": Called(
        _lazy("Do without the second refrigerator"), _lazy("Second refrigerator removed")
    ),
    "window_replacement": Called(_lazy("Replace the windows"), _lazy("New windows")),
    "storm_windows": Called(_lazy("Add storm windows"), _lazy("Storm windows")),
    "wall_top_sealing": Called(
        _lazy("Seal the tops of the walls in the attic"), _lazy("Wall tops")
    ),
    "penetration_sealing": Called(
        _lazy("Seal the holes at wires and pipes"), _lazy("Holes at wires and pipes")
    ),
    "chimney_chase_sealing": Called(
        _lazy("Close the gap at the chimney"), _lazy("Gap at the chimney")
    ),
    "outside_door_sealing": Called(_lazy("Weatherstrip the outside doors"), _lazy("Outside doors")),
    "garage_door_sealing": Called(
        _lazy("Seal the door to the garage"), _lazy("Door to the garage")
    ),
    "basement_door_sealing": Called(
        _lazy("Seal the door to the basement"), _lazy("Door to the basement")
    ),
    "fireplace_damper": Called(
        _lazy("Fit a damper that closes the flue"), _lazy("Fireplace damper")
    ),
    "attic_stair_cover": Called(_lazy("Cover the attic stair"), _lazy("Attic stair cover")),
    "attic_raised_deck": Called(
        _lazy("Raise the storage deck in the attic"), _lazy("Raised storage deck")
    ),
    "attic_insulation_renewal": Called(
        _lazy("Take out the old attic insulation and put in new"), _lazy("New attic insulation")
    ),
    "wall_spot_repair": Called(
        _lazy("Fill the wall bays that were missed"), _lazy("Missed wall bays")
    ),
    "crawl_wall_insulation": Called(
        _lazy("Insulate the crawlspace walls"), _lazy("Crawlspace walls")
    ),
    "window_repair": Called(_lazy("Repair the worn windows"), _lazy("Window repair")),
    "steam_to_hot_water": Called(
        _lazy("Change the steam heat to hot water"), _lazy("Steam to hot water")
    ),
    "outdoor_reset": Called(
        _lazy("Let the boiler's water follow the weather"), _lazy("Outdoor reset")
    ),
    "steam_venting": Called(
        _lazy("Replace the steam vents and traps that fail"), _lazy("Steam vents")
    ),
    "tank_wrap": Called(_lazy("Wrap the water heater"), _lazy("Water heater jacket")),
    "thermostat_program": Called(
        _lazy("Set the thermostat to turn down by itself"), _lazy("Thermostat settings")
    ),
    "bath_fan": Called(_lazy("Put a fan in each bath that has none"), _lazy("Bath fans")),
    "bath_fan_ducting": Called(_lazy("Take the fan ducts outside"), _lazy("Fan ducts")),
    "dryer_duct": Called(_lazy("Replace the clothes dryer duct with metal"), _lazy("Dryer duct")),
    "burner_service": Called(
        _lazy("Have the burner cleaned, repaired and set"), _lazy("Burner service")
    ),
    "vent_repair": Called(_lazy("Repair the vent or chimney"), _lazy("Vent repair")),
    "combustion_air": Called(_lazy("Give the burner air"), _lazy("Combustion air")),
    "gas_leak_repair": Called(_lazy("Repair the gas leak"), _lazy("Gas leak repair")),
    "boiler_control_repair": Called(
        _lazy("Repair the boiler's safety controls"), _lazy("Boiler controls")
    ),
    "unvented_heater_removal": Called(
        _lazy("Take out the heater without a vent"), _lazy("Unvented heater removed")
    ),
    "clothes_washer_replacement": Called(
        _lazy("Replace the clothes washer"), _lazy("New clothes washer")
    ),
    "dehumidifier_replacement": Called(
        _lazy("Replace the dehumidifier"), _lazy("New dehumidifier")
    ),
    "exhaust_fan": Called(_lazy("Add a quiet fresh-air fan"), _lazy("Fresh-air fan")),
}

# Model's SI unit of a quantity -> the US unit it is shown in.
SHOWN_UNIT = {"m²": "ft²", "m": "ft", "m³/s": "cfm", "W": "Btu/h"}
SHOWN_LABEL = {"cfm": "cfm", "Btu/h": "Btu/h"}


def to_do(kind: str) -> str:
    """A measure as something to do: "Seal the ducts"."""
    called = CALLED.get(kind)
    return str(called.do) if called else kind.replace("_", " ").capitalize()


def thing(kind: str) -> str:
    """A measure as an entry of a list: "Duct sealing"."""
    called = CALLED.get(kind)
    return str(called.thing) if called else kind.replace("_", " ").capitalize()


def us_quantity(quantity: float, unit: str) -> tuple[float, str]:
    """A quantity of the model in the unit of the trade: ``(1020.0, "ft²")``.

    Pieces stay pieces, with an empty unit.
    """
    shown = SHOWN_UNIT.get(unit)
    if shown is None:
        return quantity, ""
    return convert(quantity, unit, shown), shown


def us_quantity_words(quantity: float, unit: str, kind: str = "") -> str:
    """A quantity for a table or a line of a scope: ``1,020 ft²``, ``3``."""
    amount, shown = us_quantity(quantity, unit)
    if shown == "Btu/h":
        return f"{round(amount, -3):,.0f} Btu/h"
    if not shown:
        return f"{amount:,.0f}"
    if shown == "cfm":
        # Ducts are tested at 25 pascals, the house at 50.
        test = "CFM25" if kind == "duct_sealing" else "CFM50"
        return _("%(amount)s %(test)s less") % {"amount": f"{amount:,.0f}", "test": test}
    return f"{amount:,.0f} {shown}"
