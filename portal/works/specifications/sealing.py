"""Closing leaks: attic floor, doors, hearths, rim joist, windows."""

from django.utils.translation import gettext_lazy as _

from portal.works.specifications.base import FOAM_CARE, Specification

SEALING: dict[str, Specification] = {
    "attic_air_sealing": Specification(
        target=_("Attic floor tight; the whole-house test shows the reduction below"),
        specification=_(
            "Cap dropped soffits, chases and changes of level with rigid board, sealed at the "
            "edges; block the joist bays under knee walls. Small gaps: polyurethane foam or "
            "sealant. The gap at a chimney is a line of its own, in metal."
        ),
        proof=_("Four photos or more of bypasses after sealing; gauge photo of the new test"),
        prerequisites=_("No live knob-and-tube wiring; combustion tests passed"),
        care=FOAM_CARE,
        access=_("Work from framing; protect the ceiling below"),
        trade=_("Insulation crew"),
    ),
    "wall_top_sealing": Specification(
        target=_("Every wall top under the attic closed; the whole-house test shows the reduction"),
        specification=_(
            "Clear insulation from each wall top. Gaps of 1/4 in. or less: sealant; up to 3 in.: "
            "polyurethane foam; wider and balloon-frame bays: rigid board fixed and sealed at its "
            "edges. Fire stops stay in place."
        ),
        proof=_("Photo of each kind of wall top after sealing; gauge photo of the new test"),
        prerequisites=_("No live or unknown knob-and-tube wiring; combustion tests passed"),
        care=FOAM_CARE,
        access=_("Work from framing; protect the ceiling below"),
        trade=_("Insulation crew"),
    ),
    "penetration_sealing": Specification(
        target=_("No open hole at a wire, pipe or duct through the attic floor"),
        specification=_(
            "Small gaps at wires and pipes: polyurethane foam or sealant. Plumbing walls: board "
            "over the opening, sealed around each pipe. Boxes of lamps not rated for contact are "
            "left clear and dammed, not foamed."
        ),
        proof=_("Photos of a plumbing wall and of wires after sealing; count of holes"),
        prerequisites=_("No live or unknown knob-and-tube wiring; combustion tests passed"),
        care=FOAM_CARE,
        access=_("Work from framing; protect the ceiling below"),
        trade=_("Insulation crew"),
    ),
    "chimney_chase_sealing": Specification(
        target=_("Gap around the chimney bridged with metal, tight to brick and framing"),
        specification=_(
            "26-gauge sheet metal cut to the chimney, fastened to the framing, bedded and sealed "
            "with fire-rated sealant. Then a fixed metal shield 3 in. off the chimney, taller than "
            "the finished insulation. Never foam."
        ),
        proof=_("Photo of the metal and sealant on all sides, and of the shield with a ruler"),
        prerequisites=_(
            "Clearance of wood to the chimney as the code asks; combustion tests passed"
        ),
        care=_(
            "No foam, no wood and no insulation in the gap: masonry 2 in., metal flues by their "
            "listing. Crumbling brick or loose flue pipe: stop and call the program."
        ),
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
    "outside_door_sealing": Specification(
        target=_("Daylight nowhere around the closed door; it still latches with one hand"),
        specification=_(
            "Adjust hinges and strike. Compression weatherstrip on three sides; sweep or door shoe "
            "at the sill."
        ),
        proof=_("Photo of each door closed, from inside, and of the sweep"),
        care=_("Built before 1978: lead-safe work."),
        trade=_("Insulation crew or carpenter"),
    ),
    "garage_door_sealing": Specification(
        target=_("Door from garage to house tight on four sides and closing by itself"),
        specification=_(
            "Adjust hinges, strike and closer. Compression weatherstrip on three sides; sweep or "
            "threshold at the bottom. Seal holes in the common wall beside the door. The door "
            "keeps its fire rating."
        ),
        proof=_("Photo of the door closed from both sides; smoke test at its edges"),
        care=_(
            "A carbon-monoxide alarm is on each floor before and after. No duct or grille opens "
            "into the garage."
        ),
        trade=_("Insulation crew or carpenter"),
    ),
    "basement_door_sealing": Specification(
        target=_("Door to the unheated basement tight on four sides"),
        specification=_("Weatherstrip on three sides, sweep at the bottom, latch adjusted"),
        proof=_("Photo of the door closed and of the sweep"),
        prerequisites=_(
            "Burners in the basement have their own air: combustion test in worst case, door shut"
        ),
        care=_("A louvered door may feed a burner: it is not closed before the test passes."),
        trade=_("Insulation crew or carpenter"),
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
    "fireplace_damper": Specification(
        target=_("Flue closed when no fire burns; damper opens fully and stays open by itself"),
        specification=_(
            "Sweep the flue. Top-sealing damper with gasket, stainless cable to the firebox, "
            "handle marked open and shut; tag in the firebox."
        ),
        proof=_("Photo at the chimney top open and shut; sweep's report"),
        prerequisites=_("Chimney swept and found sound"),
        care=_("Never where gas logs burn: their damper is clamped open. Licensed chimney firm."),
        trade=_("Chimney firm"),
    ),
    "window_repair": Specification(
        target=_("Every window listed closes, locks and is tight at its edges"),
        specification=_(
            "Replace broken glass and loose putty, mend cords, locks and sills, add weatherstrip "
            "at the sides and meeting rail, sealant at the trim."
        ),
        proof=_("Photo of each window after; list of what was done to which"),
        care=_("Built before 1978: lead-safe work."),
        trade=_("Window carpenter"),
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
}
