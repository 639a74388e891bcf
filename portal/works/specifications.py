"""What the work on each kind of measure has to be: target, specification, order, proof, care.

Generic by intention: no brand, no product. Trade practice without a source unless one is named;
local codes and licensed trades come first, and a scope says so.
"""

from dataclasses import dataclass

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

Words = str | Promise


@dataclass(frozen=True)
class Specification:
    """One kind of work. ``care`` are the cautions that always go with it."""

    target: Words
    specification: Words
    proof: Words
    prerequisites: Words = ""
    care: Words = ""
    access: Words = ""
    trade: Words = ""


FOAM_CARE = _(
    "Foam stays away from flues, live old wiring and lamps not rated for contact with "
    "insulation. Around a chimney: sheet metal and fire-rated sealant only, never foam."
)
ATTIC_FIRST = _(
    "Leaks below sealed and photographed; bath fans vented outside; dams at flues and at lamps "
    "not rated for contact; no active roof leak; no live or unknown knob-and-tube wiring."
)

SPECIFICATIONS: dict[str, Specification] = {
    "attic_air_sealing": Specification(
        target=_("Attic floor tight; the whole-house test shows the reduction below"),
        specification=_(
            "Cap open wall tops and dropped soffits with rigid board, sealed at the edges. Seal "
            "holes at wires, pipes and wall tops with polyurethane foam or sealant. Bridge the gap "
            "around a chimney with 26-gauge sheet metal bedded in fire-rated sealant; keep "
            "insulation 3 in. away with a fixed metal shield."
        ),
        proof=_("Four photos or more of bypasses after sealing; gauge photo of the new test"),
        prerequisites=_("No live knob-and-tube wiring; combustion tests passed"),
        care=FOAM_CARE,
        access=_("Work from framing; protect the ceiling below"),
        trade=_("Insulation crew"),
    ),
    "air_sealing": Specification(
        target=_("Whole-house leakage at or below the figure under “Tests at the end”"),
        specification=_(
            "With the fan running, find and seal leaks at floor edges, plumbing walls, window and "
            "door trim, and between house and garage. Weatherstrip doors. Foam in small gaps at "
            "wires, pipes and wall tops; sealant at trim."
        ),
        proof=_("Photos of each kind of leak sealed; gauge photos before and after, same set-up"),
        prerequisites=_("Combustion tests passed; see the tests at the end"),
        care=FOAM_CARE,
        trade=_("Insulation crew"),
    ),
    "rim_joist": Specification(
        target=_("Rim joist sealed on all sides, R-15 or better"),
        specification=_(
            "Fill each bay with foam board sealed at four edges, or closed-cell spray foam. Where "
            "the space is open to rooms, cover foam with an approved thermal barrier."
        ),
        proof=_("Photo of each side before and after; product data sheet"),
        care=_(
            "Keep foam off vent connectors and 3 in. from any hot surface. Ventilate spray foam."
        ),
        trade=_("Insulation crew"),
    ),
    "flue_plug": Specification(
        target=_("Unused flue closed, and everybody can see that it is"),
        specification=_(
            "Inflatable plug of the flue's size above the damper, with its tag hanging in the "
            "fireplace opening."
        ),
        proof=_("Photo of the plug and of its tag"),
        care=_("Never with gas logs, and never in a flue that anything still uses."),
        trade=_("Insulation crew"),
    ),
    "attic_hatch_cover": Specification(
        target=_("Cover gasketed, latched, and insulated like the attic floor"),
        specification=_(
            "Hatch: rigid foam glued to the back, compression gasket, latch. Pull-down stair: "
            "rigid-foam box over the stair, gasketed to a plywood curb as high as the insulation."
        ),
        proof=_("Photo of the gasket and of the closed cover from above"),
        access=_("Remove and put back the closet shelf under a hatch"),
        trade=_("Insulation crew"),
    ),
    "attic_insulation": Specification(
        target=_("R-49 or better over the whole ceiling, settled depth"),
        specification=_(
            "Blow loose-fill insulation level to the marked depth. Chutes at every bay with a "
            "soffit vent, 1 in. clear to the sheathing, with a wind block at the eave. Depth "
            "markers facing the hatch. Where the owner keeps storage, raise the deck so that the "
            "insulation fits under it."
        ),
        proof=_(
            "Depth at four points with a ruler in the picture; bag count against the chart; dated "
            "and signed receipt left in the attic"
        ),
        prerequisites=ATTIC_FIRST,
        care=_("Lamps not rated for contact: 3 in. clear at the sides, nothing above."),
        trade=_("Insulation crew"),
    ),
    "wall_insulation": Specification(
        target=_("Every cavity full, R-11 or better"),
        specification=_(
            "Dense-pack cellulose at 3.5 lb/ft³ or more through holes in each bay, two holes where "
            "a bay is blocked. Plug and finish holes to match. Check wiring in each wall first."
        ),
        proof=_("Cavity photo before; drill pattern; plugs; bag count and density"),
        prerequisites=_("Walls probed; no live or unknown knob-and-tube; inside finish sound"),
        care=_("Asbestos-cement siding is not drilled. Built before 1978: lead-safe work."),
        trade=_("Insulation crew"),
    ),
    "floor_insulation": Specification(
        target=_("R-19 or better against the floor, no gaps"),
        specification=_(
            "Seal holes in the floor first. Unfaced batts or netted fill in full contact with the "
            "subfloor, cut around blocking, held every 18 in. Keep clear of flues and of the air "
            "inlet of any burner."
        ),
        proof=_("Photo of each half of the floor before and after; product label"),
        prerequisites=_("Ground cover complete; no standing water; ducts sealed"),
        access=_("Crawlspace with less than 18 in. clear is not entered"),
        care=_("Test for gas before going in; never work alone in a crawlspace."),
        trade=_("Insulation crew"),
    ),
    "crawl_ground_cover": Specification(
        target=_("All bare soil covered"),
        specification=_("6-mil polyethylene, laps of 12 in., turned up 6 in. at walls and piers"),
        proof=_("Wide photo from two corners"),
        care=_("Standing water, sewage or rot: stop and call the program."),
        trade=_("Insulation crew"),
    ),
    "crawl_encapsulation": Specification(
        target=_("Crawlspace closed, dry, and insulated at its walls to R-10"),
        specification=_(
            "Vents closed and sealed; reinforced ground cover sealed to walls and piers; rigid "
            "foam with fire rating on the walls, with a 3 in. gap at the top for termite "
            "inspection; drying by supply air or dehumidifier as the code allows."
        ),
        proof=_("Photos of vents, seams and walls; humidity after one week"),
        care=_("Not with a burner that draws its air from the crawlspace."),
        trade=_("Insulation crew"),
    ),
    "basement_wall_insulation": Specification(
        target=_("R-10 or better on the wall, air-tight at the top"),
        specification=_("Rigid foam glued and taped, thermal barrier as the code asks"),
        proof=_("Photos before the cover goes on and after"),
        prerequisites=_("Wall dry; no water entry"),
        trade=_("Insulation crew"),
    ),
    "belly_insulation": Specification(
        target=_("Belly full and its wrap whole"),
        specification=_(
            "Patch the wrap; blow loose fiberglass into the belly from the rim or below; seal "
            "around pipes."
        ),
        proof=_("Photos of patches; bag count"),
        care=_("Keep clear of the furnace base and its air inlet."),
        trade=_("Insulation crew"),
    ),
    "duct_sealing": Specification(
        target=_("Leakage to outside at or below the figure under “Tests at the end”"),
        specification=_(
            "Join what has come apart with screws. Mastic with mesh on every joint, boot and "
            "plenum that can be reached; no cloth tape. Return leaks near burners first."
        ),
        proof=_("Photos of main joints after; duct test before and after to outside"),
        care=_("Tape or paper that may be asbestos is not touched."),
        access=_("Crawlspace and closet of the air handler"),
        trade=_("Heating or insulation crew"),
    ),
    "duct_insulation": Specification(
        target=_("R-8 wrap on every duct outside the heated rooms"),
        specification=_("Duct wrap with vapor retarder outside, seams taped and tied"),
        proof=_("Photos of each run"),
        prerequisites=_("Ducts sealed and tested first"),
        trade=_("Insulation crew"),
    ),
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
    "led_lamps": Specification(
        target=_("Old bulbs changed for LED of the same light"),
        specification=_(
            "LED lamps of the same shape and brightness; enclosed-rated where enclosed"
        ),
        proof=_("Count by room; photo of what was removed"),
        trade=_("Insulation crew"),
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
    "window_replacement": Specification(
        target=_("U-factor 0.30 or less"),
        specification=_("New units flashed and sealed to the wall's water barrier"),
        proof=_("Labels before removal; photo of flashing"),
        care=_("Built before 1978: lead-safe work."),
        trade=_("Window contractor"),
    ),
    "storm_windows": Specification(
        target=_("Low-e storm windows, tight, with weep holes open"),
        specification=_("Outside storms sealed at three sides, weep holes at the sill"),
        proof=_("Photo of each side of the house"),
        trade=_("Window contractor"),
    ),
    "refrigerator_replacement": Specification(
        target=_("New refrigerator; the old one gone for good"),
        specification=_("Old unit taken away and its refrigerant recovered"),
        proof=_("Nameplates; recycling receipt"),
        trade=_("Appliance dealer"),
    ),
    "second_refrigerator_removal": Specification(
        target=_("Old second refrigerator gone for good"),
        specification=_("Taken away and its refrigerant recovered"),
        proof=_("Recycling receipt"),
        trade=_("Appliance dealer"),
    ),
}


def specification_for(kind: str) -> Specification:
    """The specification of a kind of measure. Raises ``KeyError`` for a kind without one."""
    return SPECIFICATIONS[kind]
