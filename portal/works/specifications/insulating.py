"""Insulating attics, walls, floors and ducts."""

from django.utils.translation import gettext_lazy as _

from portal.works.specifications.base import ATTIC_FIRST, Specification

INSULATING: dict[str, Specification] = {
    "attic_hatch_cover": Specification(
        target=_("Cover gasketed, latched, and insulated like the attic floor"),
        specification=_(
            "Rigid foam glued to the back, compression gasket on four sides, latch that pulls it "
            "tight; a dam around the opening as high as the insulation."
        ),
        proof=_("Photo of the gasket and of the closed cover from above"),
        access=_("Remove and put back the closet shelf under a hatch"),
        trade=_("Insulation crew"),
    ),
    "attic_stair_cover": Specification(
        target=_("Rigid cover over the pull-down stair, gasketed, R-20 or better"),
        specification=_(
            "Plywood curb around the opening as high as the insulation. Lift-off box of rigid foam "
            "with a compression gasket on the curb; foam faced or coated as the code asks. Seal "
            "the frame of the stair to the drywall. Light enough for the owner to lift."
        ),
        proof=_("Photo of gasket and curb; photo of the closed cover from above"),
        access=_("Stair usable during the work"),
        care=_("The exposed foam is covered where the code asks for a thermal barrier."),
        trade=_("Insulation crew"),
    ),
    "attic_raised_deck": Specification(
        target=_("Storage deck above the full depth of insulation; nothing pressed down"),
        specification=_(
            "Take up the old boards. Frame of lumber or posts on the joists, across them, so high "
            "that the insulation to R-49 fits under it; boards screwed down. Insulate under the "
            "deck before the boards go on. Load marked at the hatch."
        ),
        proof=_("Photo of the insulation under the frame with a ruler; photo of the deck"),
        prerequisites=_("Leaks below sealed and photographed; framing sound for the load"),
        access=_("Owner moves what is stored, or agrees to have it moved"),
        trade=_("Carpenter or insulation crew"),
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
    "attic_insulation_renewal": Specification(
        target=_("Old insulation gone; R-49 or better over the whole ceiling, settled depth"),
        specification=_(
            "Seal the attic off from the house. Take the old insulation out with a vacuum that "
            "exhausts outside, into closed bags; clean soiled boards. Then seal all leaks, set "
            "chutes, dams and depth markers, and blow to the marked depth."
        ),
        proof=_(
            "Photo of the cleared floor and of the sealed leaks; depth at four points with a "
            "ruler in the picture; bag count; dated and signed receipt in the attic"
        ),
        prerequisites=ATTIC_FIRST,
        care=_(
            "Vermiculite or anything that may be asbestos is not touched: stop and call the "
            "program. Droppings: respirators, and damp them down."
        ),
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
    "wall_spot_repair": Specification(
        target=_("No empty bay left that the infrared camera shows"),
        specification=_(
            "Mark empty bays with the infrared camera at 18 °F or more between inside and outside, "
            "prove each by a probe, and dense-pack it. Plug and finish to match."
        ),
        proof=_("Infrared and ordinary picture of each bay before and after"),
        prerequisites=_("No live or unknown knob-and-tube; inside finish sound"),
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
    "crawl_wall_insulation": Specification(
        target=_("R-10 or better on the crawlspace wall"),
        specification=_(
            "Rigid foam with fire rating, seams taped, from the sill to the footing; a 3 in. gap "
            "at the top for termite inspection; rim joist sealed and insulated."
        ),
        proof=_("Photos of each wall; product label"),
        prerequisites=_("Vents closed for good; ground cover complete; no water entry"),
        access=_("Crawlspace with less than 18 in. clear is not entered"),
        care=_("Not with a burner that draws its air from the crawlspace. Never work alone."),
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
    "duct_insulation": Specification(
        target=_("R-8 wrap on every duct outside the heated rooms"),
        specification=_("Duct wrap with vapor retarder outside, seams taped and tied"),
        proof=_("Photos of each run"),
        prerequisites=_("Ducts sealed and tested first"),
        trade=_("Insulation crew"),
    ),
}
