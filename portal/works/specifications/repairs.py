"""Repairs that come before other work, and fans."""

from django.utils.translation import gettext_lazy as _

from portal.works.specifications.base import Specification

REPAIRS: dict[str, Specification] = {
    "burner_service": Specification(
        target=_("Burner passes every combustion test of the audit"),
        specification=_(
            "Find why it failed. Clean burner, flueways and heat exchanger; set gas pressure or "
            "nozzle and air by the maker's sheet; replace what is cracked or burnt. Heat exchanger "
            "in doubt: the unit is replaced, not set."
        ),
        proof=_("Combustion test before and after; what was replaced"),
        care=_(
            "Licensed heating contractor only. Until it passes the burner stays off, and the "
            "occupant is told in writing."
        ),
        trade=_("Licensed heating contractor"),
    ),
    "vent_repair": Specification(
        target=_("Draft and spillage within the limits, in worst case"),
        specification=_(
            "Connector of the right size, rise and length, screwed and clear of wood; chimney "
            "swept, lined where it is too large, cold or cracked, capped; single-wall pipe in an "
            "attic replaced by listed vent. All by the code and the maker's tables."
        ),
        proof=_("Photo of connector, liner and cap; draft, spillage and carbon monoxide again"),
        care=_("Licensed heating contractor only. Burner off until the vent draws."),
        trade=_("Licensed heating contractor"),
    ),
    "combustion_air": Specification(
        target=_("Zone pressure within the limit with every fan running"),
        specification=_(
            "First take away what pulls: return leaks near the burner, an oversized fan, a door "
            "that shuts the burner in. Then air by the code: openings or ducts to outdoors, or a "
            "sealed-combustion unit in place of the old one."
        ),
        proof=_("Worst-case pressure before and after; photo of the openings"),
        care=_("Licensed heating contractor only. Combustion air is never closed again."),
        trade=_("Licensed heating contractor"),
    ),
    "gas_leak_repair": Specification(
        target=_("No leak anywhere on the accessible pipe"),
        specification=_(
            "Gas shut off at the leak. Fitting remade or pipe replaced, then tested with pressure "
            "and with bubbles, pilots relit and proved."
        ),
        proof=_("Ticket of the gas company or plumber; test reading"),
        care=_(
            "Strong smell: everybody leaves, no switch is touched, call from outside. Gas company "
            "or licensed plumber only."
        ),
        trade=_("Gas company or licensed plumber"),
    ),
    "boiler_control_repair": Specification(
        target=_("The low-water cut-off stops the burner, every time"),
        specification=_(
            "Repair or replace the cut-off; test it with the burner on. Relief valve of the right "
            "pressure with its full-size pipe; gauge and siphon clear."
        ),
        proof=_("Test report: water level at which the burner stopped"),
        care=_(
            "Licensed heating contractor only. Never add water to a dry, hot boiler: burner off, "
            "let it cool."
        ),
        trade=_("Licensed heating contractor"),
    ),
    "unvented_heater_removal": Specification(
        target=_("No heater burns in the rooms without a vent"),
        specification=_(
            "Take the heater out and cap the gas, or replace it by one with a sealed vent. The "
            "room has other heat before it goes."
        ),
        proof=_("Photo of the capped pipe or of the new vent; gas test"),
        care=_("Licensed heating contractor only. Carbon-monoxide alarm on each floor."),
        trade=_("Licensed heating contractor"),
    ),
    "dryer_duct": Specification(
        target=_("Smooth metal dryer duct of 4 in., ending outdoors"),
        specification=_(
            "At most 35 ft, less 5 ft for each right-angle elbow, or the maker's table. Joints "
            "taped, no screws through, no screen at the cap. Metal connector behind the machine."
        ),
        proof=_("Photo of the duct and of the cap with the flap"),
        care=_("Plastic and foil duct burn. A gas dryer is tested for carbon monoxide afterwards."),
        trade=_("Appliance or ventilation contractor"),
    ),
    "exhaust_fan": Specification(
        target=_("Measured flow at or above the figure under “Tests at the end”"),
        specification=_(
            "Quiet fan for continuous use; smooth or stretched insulated duct to its own cap "
            "outside; flow measured at the grille; control shown to the owner."
        ),
        proof=_("Photo of the cap outside; measured flow"),
        prerequisites=_("Worst-case combustion test repeated with the fan running"),
        trade=_("Electrician or ventilation crew"),
    ),
    "bath_fan": Specification(
        target=_("50 cfm or more, measured at the grille, and outside"),
        specification=_(
            "Quiet fan with backdraft damper. Duct of the fan's own size, smooth or stretched, "
            "insulated in the attic, sloped to its own roof or wall cap. Timer or humidity switch."
        ),
        proof=_("Photo of the cap outside; measured flow"),
        prerequisites=_("Worst-case combustion test repeated with the new fan running"),
        care=_("Licensed electrician for the circuit. Not into the attic or at a soffit vent."),
        trade=_("Electrician or ventilation crew"),
    ),
    "bath_fan_ducting": Specification(
        target=_("Every fan ends outdoors, at its own cap"),
        specification=_(
            "Smooth metal or stretched flexible duct of the fan's own size, the shortest way, "
            "insulated to R-8 in the attic, joints sealed and fastened, backdraft damper, cap at "
            "roof or wall and 3 ft from openings."
        ),
        proof=_("Photo of the duct in the attic and of the cap; flow measured again"),
        care=_("Work from framing. Roof work is for somebody secured against falling."),
        access=_("Attic or crawlspace, and the roof or wall outside"),
        trade=_("Insulation crew or ventilation crew"),
    ),
}
