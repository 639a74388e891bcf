"""Heating, hot water and their controls."""

from django.utils.translation import gettext_lazy as _

from portal.works.specifications.base import Specification

PLANT: dict[str, Specification] = {
    "furnace_replacement": Specification(
        target=_("New furnace of 95 % AFUE, sealed combustion, sized by a load calculation"),
        specification=_(
            "Remove the old unit. New vent and drain by the maker's sheet. Set air flow. Permit "
            "closed. A water heater that stays on the old chimney is tested as an orphan."
        ),
        proof=_("Old and new nameplates; combustion test; load calculation; permit"),
        care=_("Licensed heating contractor only. Gas piping tested."),
        trade=_("Licensed heating contractor"),
    ),
    "boiler_replacement": Specification(
        target=_("New boiler sized by the radiators (steam) or the heat loss (hot water)"),
        specification=_(
            "Near-boiler piping by the maker's sheet; for steam, header, equalizer and Hartford "
            "loop; low-water cut-off and relief valve proved. Chimney or liner checked."
        ),
        proof=_("Nameplates; cut-off test; combustion test; permit"),
        care=_("Licensed contractor only. Pipe wrap that may be asbestos is not touched."),
        trade=_("Licensed heating contractor"),
    ),
    "steam_to_hot_water": Specification(
        target=_(
            "Hot-water heat in every room; boiler sized by a room-by-room load calculation, not by "
            "the old boiler"
        ),
        specification=_(
            "Design first: heat loss and radiator output room by room, and the water temperature "
            "that follows. Radiators kept only where they are made for water, with two "
            "connections, and pass the pressure test; others replaced. New piping, circulator, "
            "expansion tank, relief valve, air separator, outdoor reset; mains insulated. Old "
            "steam mains and returns taken out of use. A condensing boiler only where return water "
            "is 130 °F or less on an ordinary winter day."
        ),
        proof=_(
            "Load calculation and radiator schedule; pressure test; supply and return temperature "
            "on a cold day; combustion test; nameplates; permit"
        ),
        prerequisites=_("Envelope work done first, so that boiler and radiators fit the house"),
        care=_(
            "Licensed contractor only. Pipe wrap that may be asbestos is not touched. A water "
            "heater left alone on the old chimney is tested as an orphan."
        ),
        access=_("Work in every heated room; house without heat for days: plan for summer"),
        trade=_("Licensed heating contractor"),
    ),
    "outdoor_reset": Specification(
        target=_("Supply water follows the outdoor temperature"),
        specification=_(
            "Outdoor sensor on the north side. Curve set from the design supply at the design "
            "temperature to lukewarm water in mild weather. A boiler that must not condense keeps "
            "return water at 130 °F or more, by a mixing or bypass valve. Hot-water coil or "
            "indirect tank: priority, so that hot water stays hot."
        ),
        proof=_("Photo of the sensor; curve as set; supply and return on one cold day"),
        care=_("Licensed contractor only."),
        trade=_("Licensed heating contractor"),
    ),
    "steam_venting": Specification(
        target=_("Steam reaches every radiator within minutes of each other; no hammer"),
        specification=_(
            "Main vents at the end of each main, before the radiators, sized by the length and "
            "bore of the main. One pipe: new radiator vents, valves fully open. Two pipes: failed "
            "traps renewed. Pitch corrected. Pressure set to the lowest that heats, 2 psi at most."
        ),
        proof=_("Count of vents and traps by room; time for steam to reach the last radiator"),
        prerequisites=_("Low-water cut-off stops the burner; relief valve and gauge proved"),
        care=_("Licensed contractor only. Wrap that may be asbestos is not touched. Steam burns."),
        trade=_("Licensed heating contractor"),
    ),
    "heat_pump": Specification(
        target=_("HSPF2 8.1 or better, SEER2 15.2 or better, sized by a load calculation"),
        specification=_(
            "Matched indoor and outdoor units; line set, drain, disconnect and thermostat new; "
            "air flow and charge measured; backup heat locked out above the balance point."
        ),
        proof=_(
            "Model and serial of both halves; certificate of the match; load calculation; "
            "commissioning sheet; permit"
        ),
        care=_("Licensed contractor only. Old refrigerant recovered."),
        trade=_("Licensed heating contractor"),
    ),
    "heating_pipe_insulation": Specification(
        target=_("Every bare heating pipe outside the rooms covered"),
        specification=_("Fiberglass pipe cover, 1 in. thick or more, fittings included"),
        proof=_("Photos before and after"),
        care=_("Old wrap that may be asbestos is not touched."),
        trade=_("Insulation crew"),
    ),
    "hot_water_pipe_insulation": Specification(
        target=_("First 6 ft of hot and cold pipe, and all reachable hot pipe, covered"),
        specification=_("Foam or fiberglass sleeves, R-3; 6 in. away from a draft hood or vent"),
        proof=_("Photo"),
        trade=_("Insulation crew"),
    ),
    "tank_wrap": Specification(
        target=_("Jacket of R-10 or better around the sides of the tank"),
        specification=_(
            "Read the label first: where the maker forbids a jacket, none. Gas: sides only; top, "
            "draft hood, burner door, air inlet and relief valve stay free. Electric: panels of "
            "the elements stay reachable. Setting 120 °F."
        ),
        proof=_("Photo of all sides, the burner door and the relief valve free"),
        prerequisites=_("Tank tight, relief valve and its pipe right; combustion test passed"),
        care=_("Not on a leaking, rusted or condensing tank, and not on a heat-pump water heater."),
        trade=_("Insulation crew"),
    ),
    "water_heater_replacement": Specification(
        target=_("New water heater, power vented or direct vent where the chimney allows no other"),
        specification=_(
            "Relief valve with its full-size pipe to within 6 in. of the floor; pan where needed; "
            "vent by the maker's sheet; set to 120 °F."
        ),
        proof=_("Old and new nameplates; combustion test; permit"),
        care=_("Licensed plumber only. Gas piping tested."),
        trade=_("Licensed plumber"),
    ),
    "heat_pump_water_heater": Specification(
        target=_("Heat-pump water heater with room for its air"),
        specification=_("240 V circuit, condensate drain, about 700 ft³ of air or a duct kit"),
        proof=_("Nameplates; permit"),
        care=_("Licensed plumber and electrician. Not in one room with a natural-draft burner."),
        trade=_("Licensed plumber"),
    ),
    "showerheads": Specification(
        target=_("1.5 gallons a minute or less"),
        specification=_("Change the heads; give the old ones back if asked"),
        proof=_("Photo of each"),
        trade=_("Insulation crew"),
    ),
    "aerators": Specification(
        target=_("1.0 gallon a minute at bath faucets, 1.5 in the kitchen"),
        specification=_("Change the aerators"),
        proof=_("Photo of each"),
        trade=_("Insulation crew"),
    ),
    "thermostat": Specification(
        target=_("Turns down by itself at night and when nobody is home"),
        specification=_("Fit, set the times with the owner, show how to change them"),
        proof=_("Photo of the old and the new one; model number"),
        trade=_("Heating or insulation crew"),
    ),
    "thermostat_program": Specification(
        target=_("Turns down about 5 °F for 8 hours a day, at hours the owner chose"),
        specification=_("Set the program with the owner, leave the hours in writing"),
        proof=_("Photo of the program; owner's hours"),
        trade=_("Auditor or heating contractor"),
    ),
}
