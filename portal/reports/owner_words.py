"""What the owner's report says of measures, reasons and things left alone. Grade 8, no blame."""

from collections.abc import Mapping
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy as _lazy

from portal.core.units import convert

Words = str | Promise

# Kind of measure -> what is done, in a sentence or two.
WHAT: dict[str, Words] = {
    "attic_air_sealing": _lazy(
        "Close the wide openings in the attic floor: dropped ceilings, chases, and the floor under "
        "knee walls."
    ),
    "air_sealing": _lazy(
        "With a fan running, find the leaks in the rooms below and close them with foam, sealant "
        "and weatherstrip."
    ),
    "rim_joist": _lazy(
        "Seal and insulate the edge where the house meets its foundation, all the way around."
    ),
    "flue_plug": _lazy("Close the unused flue with an inflatable plug that carries a tag."),
    "attic_hatch_cover": _lazy("Put a gasket and insulation on the hatch or door to the attic."),
    "attic_insulation": _lazy(
        "Blow insulation over the attic floor to R-49, about 15 to 17 inches. Air keeps moving at "
        "the eaves."
    ),
    "wall_insulation": _lazy(
        "Fill the empty walls through small holes, which are plugged and finished."
    ),
    "floor_insulation": _lazy("Insulate between the joists, tight against the floor above."),
    "belly_insulation": _lazy("Fill the belly under the floor and close its wrap."),
    "basement_wall_insulation": _lazy("Insulate the basement walls with covered foam board."),
    "crawl_ground_cover": _lazy("Lay heavy plastic over the bare ground."),
    "crawl_encapsulation": _lazy(
        "Close the crawlspace vents, cover the ground, insulate its walls."
    ),
    "window_replacement": _lazy("Replace the windows."),
    "storm_windows": _lazy("Add storm windows outside the ones you have."),
    "duct_sealing": _lazy("Brush mastic, a thick paste, over the duct joints, and test again."),
    "duct_insulation": _lazy("Wrap the ducts that run outside the heated rooms."),
    "heating_pipe_insulation": _lazy("Cover the bare heating pipes."),
    "furnace_replacement": _lazy("A new sealed furnace of 95 %, sized to the house."),
    "boiler_replacement": _lazy("A new boiler, sized to the house and its radiators."),
    "heat_pump": _lazy("A heat pump that heats and cools, sized to the house."),
    "water_heater_replacement": _lazy("A new water heater that cannot spill exhaust."),
    "heat_pump_water_heater": _lazy("A water heater that takes its heat from the air around it."),
    "hot_water_pipe_insulation": _lazy("Slip foam sleeves over the bare hot pipes."),
    "showerheads": _lazy("Change to shower heads that use less water and still feel right."),
    "aerators": _lazy("Screw new tips onto the faucets."),
    "thermostat": _lazy("A thermostat that turns down by itself at night and when you are out."),
    "wall_top_sealing": _lazy(
        "Close the open tops of the inside and outside walls with foam or board."
    ),
    "penetration_sealing": _lazy(
        "Foam or sealant around the wires and pipes that come up through the attic floor, "
        "away from lamps and flues."
    ),
    "chimney_chase_sealing": _lazy(
        "Bridge the gap around the chimney with sheet metal and fire-rated sealant. Never foam."
    ),
    "outside_door_sealing": _lazy("New weatherstrip around the doors and a sweep under them."),
    "garage_door_sealing": _lazy(
        "New weatherstrip and a sweep on the door between the house and the garage."
    ),
    "basement_door_sealing": _lazy("Weatherstrip and a sweep on the door to the basement."),
    "fireplace_damper": _lazy(
        "A damper at the top of the chimney that closes with a gasket and opens by a chain."
    ),
    "attic_stair_cover": _lazy(
        "A box of rigid foam over the folding stair, with a gasket, that you lift when you go up."
    ),
    "attic_raised_deck": _lazy(
        "Raise the boards you store things on, so that the insulation fits under them."
    ),
    "attic_insulation_renewal": _lazy(
        "The old insulation is taken out with a vacuum into sealed bags, the floor is sealed, "
        "and new insulation goes in to R-49."
    ),
    "wall_spot_repair": _lazy(
        "Find the empty bays with the infrared camera and fill them through small holes."
    ),
    "crawl_wall_insulation": _lazy(
        "Insulate the walls of the crawlspace with foam board and leave a strip to look for "
        "termites."
    ),
    "window_repair": _lazy(
        "Mend glass, putty, locks and cords, and add weatherstrip, so that the windows close tight."
    ),
    "steam_to_hot_water": _lazy(
        "A new boiler, new pipes and radiators made or adapted for hot water in place of steam."
    ),
    "outdoor_reset": _lazy(
        "A control that makes the boiler's water only as hot as the day outside needs."
    ),
    "steam_venting": _lazy(
        "New vents on the steam mains and radiators, and new traps where they fail."
    ),
    "tank_wrap": _lazy("An insulating jacket around the sides of the tank."),
    "thermostat_program": _lazy("Set the hours of the thermostat you have. We show you how."),
    "bath_fan": _lazy("A quiet fan, with its own duct to the outside."),
    "bath_fan_ducting": _lazy("Lead the fans through an insulated duct to a cap outside."),
    "dryer_duct": _lazy("A smooth metal duct, short and to the outside."),
    "burner_service": _lazy(
        "A licensed firm cleans and sets the burner, repairs what failed, and tests it again."
    ),
    "vent_repair": _lazy(
        "A licensed firm puts the vent or chimney right, so that exhaust goes up and not into "
        "the house."
    ),
    "combustion_air": _lazy("A licensed firm gives the burner a way to draw its air from outside."),
    "gas_leak_repair": _lazy(
        "The gas company or a licensed plumber repairs the leak and tests the pipe."
    ),
    "boiler_control_repair": _lazy(
        "A licensed firm repairs the control that stops the burner when water is low."
    ),
    "unvented_heater_removal": _lazy("The heater is taken out or replaced by one with a vent."),
    "clothes_washer_replacement": _lazy("A washer that needs less hot water and spins drier."),
    "dehumidifier_replacement": _lazy(
        "A dehumidifier that takes out the same water with less electricity."
    ),
    "exhaust_fan": _lazy("A quiet fan that brings the fresh air a tighter house needs."),
    "led_lamps": _lazy("Change the old bulbs to LED."),
    "refrigerator_replacement": _lazy("Replace the refrigerator and have the old one recycled."),
    "second_refrigerator_removal": _lazy("Do without the second refrigerator; it is recycled."),
}

# Reason of the model -> why, for this house.
WHY: dict[str, Words] = {
    "sealing_comes_before_insulating": _lazy(
        "Warm air leaks up through the attic floor. It is closed first: insulation over a gap only "
        "hides it."
    ),
    "house_is_leaky": _lazy("Air comes straight through in many small places."),
    "air_comes_in_low": _lazy("Cold air comes in low, at the edge of the floor."),
    "flue_not_in_use": _lazy("Warm air goes up a flue that nobody uses."),
    "hatch_is_bare": _lazy("The way into the attic has no gasket and little insulation."),
    "attic_is_thin": _lazy("The attic holds far less insulation than it has room for."),
    "walls_are_empty": _lazy("There is nothing in the walls."),
    "floor_is_bare": _lazy("There is nothing between the joists under your floor."),
    "basement_walls_are_bare": _lazy("The basement walls are bare."),
    "belly_is_thin_or_torn": _lazy("The belly under the floor is thin or torn."),
    "bare_soil_wets_the_floor": _lazy("Bare earth makes the space under the floor damp."),
    "for_dryness_not_energy": _lazy("It keeps the floor dry. It saves no energy by itself."),
    "ducts_leak": _lazy("Part of the heated air leaks out of the ducts before it reaches a room."),
    "ducts_are_thinly_covered": _lazy("The ducts lose heat on the way to the rooms."),
    "pipes_are_bare": _lazy("The pipes heat the basement instead of the rooms."),
    "hot_pipes_are_bare": _lazy("Hot water cools down in the bare pipes."),
    "fixtures_use_much_water": _lazy(
        "The shower and the faucets use more hot water than they need."
    ),
    "no_setback_at_night": _lazy("The house is kept warm at night and while nobody is home."),
    "lamps_make_heat": _lazy("Old bulbs turn most of what they use into heat."),
    "refrigerator_uses_much": _lazy("The refrigerator uses much more than a new one."),
    "second_refrigerator": _lazy("A second, old refrigerator runs all year."),
    "tight_house_needs_fresh_air": _lazy(
        "Once the leaks are closed, the house needs a little fresh air on purpose."
    ),
    "wall_tops_are_open": _lazy("Warm air rises inside the walls and out at their open tops."),
    "wires_and_pipes_leave_holes": _lazy("Each wire and pipe leaves a hole into the attic."),
    "gap_at_the_chimney": _lazy(
        "There is a gap around the chimney, wide open to the attic. Only metal and fire-rated "
        "sealant close it safely."
    ),
    "doors_let_air_through": _lazy("The outside doors have no sound weatherstrip or sweep."),
    "garage_air_comes_in": _lazy(
        "Air from the garage, with exhaust in it, comes in around the door."
    ),
    "basement_air_comes_up": _lazy("Cold air comes up around the basement door."),
    "damper_does_not_close": _lazy(
        "You use the fireplace, and its damper does not close. Warm air goes up it all winter."
    ),
    "stair_is_bare": _lazy(
        "The folding stair is thin wood with gaps around it: a hole in the insulation."
    ),
    "storage_is_kept": _lazy(
        "You keep things in the attic. Raised boards leave room for insulation under them."
    ),
    "old_insulation_is_soiled": _lazy("The old insulation is soiled by animals and cannot stay."),
    "old_insulation_is_wet": _lazy("The old insulation is wet or moldy and cannot stay."),
    "old_insulation_is_hides_the_leaks": _lazy(
        "The old insulation hides leaks that cannot be reached without taking it out."
    ),
    "old_insulation_can_stay": _lazy(
        "The old insulation is thin but can stay under the new. Taking it out costs more than "
        "it saves."
    ),
    "some_bays_are_empty": _lazy("Some bays of the walls were missed when they were filled."),
    "ducts_run_in_the_crawlspace": _lazy(
        "The ducts run in the crawlspace: with warm walls they lose less."
    ),
    "windows_are_worn": _lazy("The windows are loose or broken and let air through."),
    "conversion_is_for_the_end_of_the_boiler": _lazy(
        "A change from steam to hot water costs much. It is a plan for the day the boiler fails."
    ),
    "water_is_always_hot": _lazy("The boiler makes very hot water even on mild days."),
    "steam_comes_late": _lazy(
        "Vents or traps of the steam heat do not work: some rooms wait for heat while others "
        "get too hot."
    ),
    "tank_is_bare": _lazy("The water heater is an old one with little insulation in it."),
    "thermostat_can_turn_down": _lazy("The thermostat can turn down by itself but is not set to."),
    "bath_has_no_fan": _lazy("A bath has no fan, so damp air stays in the house."),
    "fan_ends_inside": _lazy(
        "A fan blows damp air into the attic or the crawlspace. It is taken outside before "
        "insulation goes in."
    ),
    "for_dryness_of_roof": _lazy("It keeps the roof dry. It saves no energy by itself."),
    "burner_fails_its_test": _lazy("The burner failed its safety test."),
    "vent_does_not_draw": _lazy("Exhaust does not go up the vent as it must."),
    "burner_lacks_air": _lazy("The burner is starved of air when fans run."),
    "gas_leaks": _lazy("Gas leaks from a pipe or fitting."),
    "cut_off_does_not_work": _lazy(
        "The control that stops the burner when water is low does not work."
    ),
    "heater_has_no_vent": _lazy("A heater burns in the room without a vent."),
    "dryer_duct_can_burn": _lazy("The dryer duct is plastic or foil, which can catch fire."),
    "washer_uses_much_hot_water": _lazy(
        "The clothes washer is an old one and uses much hot water."
    ),
    "dry_the_ground_first": _lazy(
        "Cover the bare ground first. Then see whether the dehumidifier is still needed."
    ),
    "dehumidifier_uses_much": _lazy("The dehumidifier is an old one and runs much of the year."),
    "electric_resistance_is_costly": _lazy(
        "A heat pump gives two to three times the heat for the same electricity."
    ),
    "heat_pump_in_place_of_fuel": _lazy(
        "A heat pump heats with electricity in place of fuel, and cools in summer."
    ),
    "heat_pump_makes_hot_water_in_place_of_fuel": _lazy(
        "A heat-pump water heater burns no fuel, and needs a large room and a circuit of its own."
    ),
    "single_glass_without_storm": _lazy("The windows have one pane and no storms."),
    "plan_the_change": _lazy(
        "It is near the end of its usual life. Choose the next one before it fails."
    ),
    "failed_a_safety_test": _lazy("It failed its safety test."),
    "saves_more_than_it_costs": _lazy("A new one saves enough to pay for itself now."),
    "works_but_plan_ahead": _lazy("It works. Choose the next one before it fails."),
    "past_its_usual_life": _lazy("It is past its usual life. Choose the next one before it fails."),
    "not_chosen": _lazy("You have not chosen it."),
    "open_hazard": _lazy("Something has to be fixed before this can be done."),
    "costs_more_than_it_saves": _lazy("It would cost more than it saves over its life."),
    "costs_more_with_what_it_needs": _lazy(
        "With what has to come first, it costs more than it saves."
    ),
    "windows_cost_more_than_they_save": _lazy(
        "New windows cost far more than they save. They are for comfort and looks."
    ),
    "floor_insulation_does_the_same_for_less": _lazy(
        "Insulating the floor does nearly as much for less."
    ),
    "equipment_has_years_left": _lazy("It works and has years left."),
    "basement_holds_the_heating": _lazy("The basement holds the heating and must not freeze."),
    "basement_not_heated": _lazy("The basement is not heated on purpose."),
    "other_choice_is_better": _lazy("Another choice for the same place is better."),
}

# (subject, reason) or reason alone -> the sentence under "Leave alone for now".
LEAVE: dict[str, tuple[Words, Words]] = {
    "walls_are_filled": (_lazy("Walls"), _lazy("They are filled. Leave them.")),
    "walls_are_partly_filled": (
        _lazy("Walls"),
        _lazy(
            "They hold thin batts, which keep a hose from filling the rest. Opening the walls "
            "costs more than it saves. Look again when the siding is replaced."
        ),
    ),
    "walls_have_no_cavity": (
        _lazy("Walls"),
        _lazy("They have no cavity to fill. Look again when siding or inside finish is replaced."),
    ),
    "attic_is_deep_enough": (_lazy("Attic"), _lazy("It is deep enough.")),
    "no_room_over_the_ceiling": (
        _lazy("Attic"),
        _lazy("There is no room for more. Look again when the roof is replaced."),
    ),
    "roof_has_no_room_to_fill": (
        _lazy("Roof"),
        _lazy("There is no space to fill. Insulate on top when the roofing is replaced."),
    ),
    "windows_are_good": (
        _lazy("Windows"),
        _lazy("They are sound double glass. Look again when a sash fails."),
    ),
    "windows_cost_more_than_they_save": (
        _lazy("Windows"),
        _lazy("New ones cost far more than they save. Look again when a sash fails."),
    ),
    "house_is_tight_enough": (
        _lazy("Air leaks"),
        _lazy("The house is tight enough. More sealing would not pay."),
    ),
    "ducts_are_tight": (_lazy("Ducts"), _lazy("They leak little. Leave them.")),
    "old_masonry_needs_to_dry": (
        _lazy("Foundation walls"),
        _lazy("Old stone and soft brick must be able to dry. Insulating them is for a specialist."),
    ),
    "dry_it_first": (_lazy("Space under the floor"), _lazy("Dry it first, then insulate.")),
    "fireplace_is_in_use": (
        _lazy("Fireplace"),
        _lazy("You use it. Shut the damper when it is cold."),
    ),
    "gas_logs_need_an_open_flue": (
        _lazy("Fireplace"),
        _lazy("Gas logs need an open flue. It must never be plugged."),
    ),
}

EQUIPMENT_NAMES: dict[str, Words] = {
    "furnace": _lazy("Furnace"),
    "boiler": _lazy("Boiler"),
    "wall_furnace": _lazy("Wall furnace"),
    "heat_pump": _lazy("Heat pump"),
    "ductless_heat_pump": _lazy("Heat pump"),
    "electric_resistance": _lazy("Electric heat"),
    "water_heater": _lazy("Water heater"),
    "cooling": _lazy("Air conditioner"),
    "central_air_conditioner": _lazy("Air conditioner"),
    "room_air_conditioner": _lazy("Room air conditioners"),
}

# Kind of measure -> who does it, how long.
WHO: dict[str, Words] = {
    "flue_plug": _lazy("Chimney firm or insulation crew, an hour"),
    "crawl_ground_cover": _lazy("Insulation crew, half a day"),
    "crawl_encapsulation": _lazy("Insulation crew, three days"),
    "basement_wall_insulation": _lazy("Insulation crew, two days"),
    "belly_insulation": _lazy("Insulation crew, one day"),
    "duct_insulation": _lazy("Insulation crew, one day"),
    "heating_pipe_insulation": _lazy("Insulation crew, half a day"),
    "hot_water_pipe_insulation": _lazy("Insulation crew, an hour"),
    "window_replacement": _lazy("Window contractor, two days"),
    "storm_windows": _lazy("Window contractor, one day"),
    "refrigerator_replacement": _lazy("Appliance dealer"),
    "attic_air_sealing": _lazy("Insulation crew, half a day"),
    "air_sealing": _lazy("Insulation crew, half a day"),
    "rim_joist": _lazy("Insulation crew, half a day"),
    "attic_hatch_cover": _lazy("Insulation crew, an hour"),
    "attic_insulation": _lazy("Insulation crew, one day"),
    "wall_insulation": _lazy("Insulation crew, two days"),
    "floor_insulation": _lazy("Insulation crew, one day"),
    "duct_sealing": _lazy("Heating or insulation crew, one day"),
    "furnace_replacement": _lazy("Licensed heating contractor, one day"),
    "boiler_replacement": _lazy("Licensed heating contractor, two days"),
    "heat_pump": _lazy("Licensed heating contractor, two days"),
    "water_heater_replacement": _lazy("Licensed plumber, half a day"),
    "heat_pump_water_heater": _lazy("Licensed plumber, one day"),
    "exhaust_fan": _lazy("Electrician, half a day"),
    "thermostat": _lazy("You or a heating contractor, an hour"),
    "led_lamps": _lazy("You, an hour"),
    "showerheads": _lazy("You, an hour"),
    "aerators": _lazy("You, an hour"),
    "wall_top_sealing": _lazy("Insulation crew, half a day"),
    "penetration_sealing": _lazy("Insulation crew, an hour"),
    "chimney_chase_sealing": _lazy("Insulation crew, an hour"),
    "outside_door_sealing": _lazy("You or a carpenter, an hour"),
    "garage_door_sealing": _lazy("You or a carpenter, an hour"),
    "basement_door_sealing": _lazy("You or a carpenter, an hour"),
    "fireplace_damper": _lazy("Chimney firm, half a day"),
    "attic_stair_cover": _lazy("Insulation crew, an hour"),
    "attic_raised_deck": _lazy("Carpenter, half a day"),
    "attic_insulation_renewal": _lazy("Insulation crew, two days"),
    "wall_spot_repair": _lazy("Insulation crew, half a day"),
    "crawl_wall_insulation": _lazy("Insulation crew, one day"),
    "window_repair": _lazy("Window carpenter, an hour a window"),
    "steam_to_hot_water": _lazy("Licensed heating contractor, one to two weeks"),
    "outdoor_reset": _lazy("Licensed heating contractor, half a day"),
    "steam_venting": _lazy("Licensed heating contractor, half a day"),
    "tank_wrap": _lazy("Insulation crew, an hour"),
    "thermostat_program": _lazy("You, with the auditor"),
    "bath_fan": _lazy("Electrician, half a day"),
    "bath_fan_ducting": _lazy("Insulation crew, half a day"),
    "dryer_duct": _lazy("Contractor, an hour"),
    "burner_service": _lazy("Licensed heating contractor, half a day"),
    "vent_repair": _lazy("Licensed heating contractor, one day"),
    "combustion_air": _lazy("Licensed heating contractor, half a day"),
    "gas_leak_repair": _lazy("Gas company or licensed plumber"),
    "boiler_control_repair": _lazy("Licensed heating contractor, half a day"),
    "unvented_heater_removal": _lazy("Licensed heating contractor, half a day"),
    "clothes_washer_replacement": _lazy("Appliance dealer"),
    "dehumidifier_replacement": _lazy("You, an hour"),
    "second_refrigerator_removal": _lazy("The program picks it up"),
}
WHO_ELSE = _lazy("A contractor on the program's list")

# Kind of measure -> what else it does.
ALSO: dict[str, Words] = {
    "attic_air_sealing": _lazy("Fewer drafts, less dust, fewer ice dams."),
    "air_sealing": _lazy("Fewer drafts and less outside noise."),
    "rim_joist": _lazy("Warmer floors along the outside walls."),
    "attic_insulation": _lazy("Rooms under the roof stay warmer in winter and cooler in summer."),
    "wall_insulation": _lazy("Warmer walls and less outside noise."),
    "floor_insulation": _lazy("Warmer floors."),
    "duct_sealing": _lazy("Far rooms get their share of warm air."),
    "wall_top_sealing": _lazy("Fewer drafts at outlets and switches."),
    "chimney_chase_sealing": _lazy("It also stops fire from climbing."),
    "garage_door_sealing": _lazy("Fumes stay in the garage."),
    "basement_door_sealing": _lazy("Less damp, musty air."),
    "outside_door_sealing": _lazy("Fewer drafts at the floor."),
    "fireplace_damper": _lazy("Keeps rain and birds out as well."),
    "attic_stair_cover": _lazy("A warmer hall, and less dust."),
    "steam_venting": _lazy("Even heat and less noise."),
    "steam_to_hot_water": _lazy("Even heat, and rooms can be set one by one."),
    "bath_fan": _lazy("Less damp air and mold."),
    "bath_fan_ducting": _lazy("The attic stays dry."),
    "window_repair": _lazy("Fewer drafts, and sashes that open again."),
    "wall_spot_repair": _lazy("No cold spots on the walls."),
    "clothes_washer_replacement": _lazy("Less water, and clothes come out drier."),
    "exhaust_fan": _lazy("Less damp air and fewer smells."),
}


def leave_words(
    subject: str, reason_key: str, facts: Mapping[str, Any], year: int | None
) -> dict[str, str]:
    """One thing to leave alone: its name and why, with the year to look again and its table."""
    if reason_key in LEAVE:
        name, why = LEAVE[reason_key]
        return {"name": str(name), "why": str(why), "source": ""}
    name = EQUIPMENT_NAMES.get(subject.partition(":")[0], subject.replace("_", " ").capitalize())
    efficiency = facts.get("efficiency_today")
    is_past = bool(facts.get("is_past_table_life"))
    parts = []
    if isinstance(efficiency, float) and 0.3 < efficiency <= 1.0:
        parts.append(
            _("It turns %(share).0f of 100 parts of its fuel into heat.")
            % {"share": efficiency * 100}
        )
    if is_past:
        parts.append(
            _("It is past its usual life: leave it while it is safe, and plan the change.")
        )
    elif year is not None:
        parts.append(
            _("Leave it as it is until about %(year)d, then plan the change.") % {"year": year}
        )
    else:
        parts.append(_("Its age is not known. Leave it while it is safe, and find out its year."))
    table = facts.get("table") or facts.get("life_source") or ""
    return {
        "name": str(name),
        "why": " ".join(parts),
        "source": _("Usual life: %(table)s.") % {"table": table} if table else "",
    }


def us_fact(value_si: float, source: str, target: str, digits: int = 0) -> str:
    """A figure in US units for running text."""
    return f"{convert(value_si, source, target):,.{digits}f}"
