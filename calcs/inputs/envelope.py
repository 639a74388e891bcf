"""Records of the envelope: attics, walls, openings, foundations and the leaks between."""

from __future__ import annotations

from dataclasses import dataclass, field

from calcs.records import Checked, choice, quantity

CONDITIONS = ("good", "fair", "poor")
ATTIC_KINDS = ("vented", "unvented", "cathedral", "flat", "knee_wall")
ACCESS_KINDS = ("hatch", "pull_down_stair", "walk_up_door", "knee_wall_door", "whole_house_fan")
WALL_NEIGHBORS = ("outside", "garage", "attic", "neighbor", "crawlspace")
DOOR_NEIGHBORS = ("outside", "garage", "attic", "basement")
FOUNDATION_KINDS = (
    "basement",
    "vented_crawlspace",
    "unvented_crawlspace",
    "slab",
    "belly",
    "garage_below",
    "open_below",
)
REMOVAL_REASONS = ("", "soiled", "wet", "hides_the_leaks")
MATERIALS = (
    "fiberglass_batt",
    "fiberglass_loose",
    "cellulose_loose",
    "cellulose_dense",
    "rock_wool_loose",
    "rock_wool_batt",
    "vermiculite",
    "expanded_polystyrene",
    "extruded_polystyrene",
    "polyisocyanurate",
    "closed_cell_foam",
    "open_cell_foam",
    "other",
)
LEAK_PLACES = (
    "attic_floor",
    "attic_access",
    "walls",
    "garage_wall",
    "windows_doors",
    "rim_joist",
    "foundation",
    "chimney",
    "ducts",
)


@dataclass(frozen=True, kw_only=True)
class InsulationLayer(Checked):
    """One layer as found. `nominal_r` is the label R of the layer when new, at its full depth."""

    material: str = choice(MATERIALS)
    depth_m: float = quantity("m", 0.0, 1.2)
    nominal_r_m2k_per_w: float | None = quantity("m²·K/W", 0.0, 20.0, default=None)
    condition: str = choice(CONDITIONS, default="good")
    void_fraction: float = quantity("share of area", 0.0, 1.0, default=0.0)


@dataclass(frozen=True, kw_only=True)
class AtticAccess(Checked):
    """Hatch, pull-down stair or door between the heated house and an attic."""

    id: str
    kind: str = choice(ACCESS_KINDS, default="hatch")
    area_m2: float = quantity("m²", 0.05, 10.0, default=0.7)
    cover_r_m2k_per_w: float = quantity("m²·K/W", 0.0, 12.0, default=0.0)
    is_gasketed: bool = False


@dataclass(frozen=True, kw_only=True)
class Attic(Checked):
    """An attic or roof over heated rooms; `area_m2` is the ceiling plane below it."""

    id: str
    name: str = ""
    kind: str = choice(ATTIC_KINDS, default="vented")
    area_m2: float = quantity("m²", 0.1, 2000.0)
    layers: tuple[InsulationLayer, ...] = ()
    framing_fraction: float = quantity("share of area", 0.0, 0.5, default=0.07)
    joist_depth_m: float = quantity("m", 0.0, 0.6, default=0.14)
    accesses: tuple[AtticAccess, ...] = ()
    bypasses: tuple[str, ...] = ()
    eave_clear_height_m: float | None = quantity("m", 0.0, 1.6, default=None)
    floored_area_m2: float = quantity("m²", 0.0, 2000.0, default=0.0)
    storage_area_m2: float = quantity("m²", 0.0, 2000.0, default=0.0)
    vent_area_ratio: float = quantity("share of area", 0.0, 0.1, default=1.0 / 300.0)
    roof_solar_absorptance: float = quantity("share", 0.05, 0.98, default=0.75)
    roof_pitch_deg: float = quantity("°", 0.0, 60.0, default=22.6)
    recessed_lights_unrated: int = quantity("lights", 0, 200, default=0)
    # Why the old insulation has to go before new is laid; empty: it can stay.
    removal_reason: str = choice(REMOVAL_REASONS, default="")
    # Boards the owner stores on stand high enough for insulation to lie under them.
    is_deck_raised: bool = False


@dataclass(frozen=True, kw_only=True)
class Wall(Checked):
    """A wall of one construction facing one way; no azimuth means spread over all sides."""

    id: str
    name: str = ""
    area_m2: float = quantity("m²", 0.0, 1000.0)
    azimuth_deg: float | None = quantity("°", 0.0, 360.0, default=None)
    adjacent_to: str = choice(WALL_NEIGHBORS, default="outside")
    structure: str = choice(("wood_frame", "balloon_frame", "masonry", "log"), default="wood_frame")
    framing_fraction: float = quantity("share of area", 0.0, 0.6, default=0.25)
    cavity_depth_m: float = quantity("m", 0.0, 0.5, default=0.0889)
    cavity_r_m2k_per_w: float = quantity("m²·K/W", 0.0, 12.0, default=0.0)
    void_fraction: float = quantity("share of cavity", 0.0, 1.0, default=0.0)
    continuous_r_m2k_per_w: float = quantity("m²·K/W", 0.0, 12.0, default=0.0)
    masonry_thickness_m: float = quantity("m", 0.0, 1.0, default=0.0)
    cladding: str = choice(
        ("wood", "vinyl", "brick", "stucco", "metal", "cement_board", "asbestos_cement"),
        default="wood",
    )
    solar_absorptance: float = quantity("share", 0.05, 0.98, default=0.6)
    is_drillable: bool = True


@dataclass(frozen=True, kw_only=True)
class Window(Checked):
    """A group of alike windows or skylights facing one way. U and SHGC are of the whole unit."""

    id: str
    name: str = ""
    area_m2: float = quantity("m²", 0.0, 300.0)
    azimuth_deg: float = quantity("°", 0.0, 360.0)
    tilt_deg: float = quantity("°", 0.0, 90.0, default=90.0)
    u_w_per_m2k: float = quantity("W/(m²·K)", 0.3, 14.0)
    shgc: float = quantity("share", 0.01, 0.95)
    panes: int = quantity("panes", 1, 4, default=2)
    has_storm: bool = False
    condition: str = choice(CONDITIONS, default="good")
    height_m: float = quantity("m", 0.1, 8.0, default=1.2)
    overhang_depth_m: float = quantity("m", 0.0, 6.0, default=0.0)
    overhang_gap_m: float = quantity("m", 0.0, 6.0, default=0.3)
    inside_shade_share: float = quantity("share of sun stopped", 0.0, 0.9, default=0.15)


@dataclass(frozen=True, kw_only=True)
class Door(Checked):
    """A door out of the heated house: to outdoors, a garage, an attic, an unheated basement."""

    id: str
    name: str = ""
    area_m2: float = quantity("m²", 0.1, 60.0, default=1.86)
    u_w_per_m2k: float = quantity("W/(m²·K)", 0.3, 10.0, default=2.6)
    azimuth_deg: float | None = quantity("°", 0.0, 360.0, default=None)
    adjacent_to: str = choice(DOOR_NEIGHBORS, default="outside")
    condition: str = choice(CONDITIONS, default="good")
    is_weatherstripped: bool = True
    has_sweep: bool = True


@dataclass(frozen=True, kw_only=True)
class RimJoist(Checked):
    """The edge of the floor frame over a foundation."""

    length_m: float = quantity("m", 0.0, 400.0, default=0.0)
    height_m: float = quantity("m", 0.0, 1.0, default=0.24)
    r_m2k_per_w: float = quantity("m²·K/W", 0.0, 10.0, default=0.0)
    is_sealed: bool = False

    @property
    def area_m2(self) -> float:
        """Face of the rim joist. [m²]"""
        return self.length_m * self.height_m


@dataclass(frozen=True, kw_only=True)
class Foundation(Checked):
    """What one part of the lowest heated floor stands on."""

    id: str
    name: str = ""
    kind: str = choice(FOUNDATION_KINDS)
    area_m2: float = quantity("m²", 0.1, 2000.0)
    perimeter_m: float = quantity("m", 0.0, 400.0)
    wall_height_m: float = quantity("m", 0.0, 6.0, default=0.0)
    depth_below_grade_m: float = quantity("m", 0.0, 6.0, default=0.0)
    is_conditioned: bool = False
    wall_r_m2k_per_w: float = quantity("m²·K/W", 0.0, 10.0, default=0.0)
    wall_material: str = choice(
        ("concrete_block", "poured_concrete", "stone", "brick", "wood"), default="concrete_block"
    )
    floor_r_m2k_per_w: float = quantity("m²·K/W", 0.0, 12.0, default=0.0)
    floor_void_fraction: float = quantity("share of area", 0.0, 1.0, default=0.0)
    floor_framing_fraction: float = quantity("share of area", 0.0, 0.5, default=0.13)
    slab_edge_r_m2k_per_w: float = quantity("m²·K/W", 0.0, 8.0, default=0.0)
    rim_joist: RimJoist = field(default_factory=RimJoist)
    ground_cover_share: float = quantity("share of area", 0.0, 1.0, default=0.0)
    clear_height_m: float | None = quantity("m", 0.0, 4.0, default=None)
    has_standing_water: bool = False


@dataclass(frozen=True, kw_only=True)
class Garage(Checked):
    """An attached, unheated garage."""

    area_m2: float = quantity("m²", 5.0, 300.0)
    outside_wall_area_m2: float = quantity("m²", 0.0, 500.0)
    is_ceiling_under_rooms: bool = False


@dataclass(frozen=True, kw_only=True)
class LeakShare(Checked):
    """Part of the measured leakage found at one place of the house."""

    place: str = choice(LEAK_PLACES)
    share: float = quantity("share", 0.0, 1.0)


@dataclass(frozen=True, kw_only=True)
class Fireplace(Checked):
    """An open hearth or stove flue. `flow50` is the leak through it, damper shut."""

    has_closing_damper: bool = True
    has_gas_logs: bool = False
    is_in_use: bool = False
    is_plugged: bool = False
    flow50_m3_per_s: float = quantity("m³/s", 0.0, 0.5, default=0.07)


@dataclass(frozen=True, kw_only=True)
class AirLeakage(Checked):
    """Blower-door result. Empty `shares` means the defaults for this kind of house.

    `exposure_factor` is how much more or less air wind and stack drive through these leaks than
    the shelter recorded says: 1 unless bills say otherwise.
    """

    flow50_m3_per_s: float = quantity("m³/s at 50 Pa", 0.01, 15.0)
    exponent: float = quantity("-", 0.5, 1.0, default=0.65)
    shares: tuple[LeakShare, ...] = ()
    has_flue: bool = False
    fireplace: Fireplace | None = None
    exposure_factor: float = quantity("-", 0.2, 4.0, default=1.0)
    # Kinds of sealing already done, so that the parts of one place add up in any order.
    sealed_parts: tuple[str, ...] = ()
