"""What the section drawing is told about a home, and what it gives back."""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum

from django.utils.safestring import SafeString


class PartKey(StrEnum):
    """The places heat can be shown to leave by, from the top of the house down."""

    ATTIC = "attic"
    HATCH = "hatch"
    CHIMNEY_GAP = "chimney_gap"
    SLOPE = "slope"
    KNEE_WALL = "knee_wall"
    BAY = "bay"
    WINDOWS = "windows"
    WALLS = "walls"
    GARAGE_CEILING = "garage_ceiling"
    GARAGE_WALL = "garage_wall"
    RIM = "rim"
    FLOOR = "floor"
    DUCTS = "ducts"
    FOUNDATION = "foundation"
    SLAB = "slab"
    OTHER = "other"


class Roof(StrEnum):
    """Shape of the roof in the cut."""

    GABLE = "gable"
    HIP = "hip"
    FLAT = "flat"
    KNEE_WALL = "knee_wall"


class Foundation(StrEnum):
    """What the lowest floor stands on."""

    BASEMENT = "basement"
    CRAWL = "crawl"
    SLAB = "slab"
    BELLY = "belly"
    UNKNOWN = "unknown"


class FoundationWall(StrEnum):
    """How the foundation wall is built."""

    BLOCK = "block"
    STONE = "stone"
    CONCRETE = "concrete"


class Side(StrEnum):
    """A side of the drawing."""

    NONE = ""
    LEFT = "left"
    RIGHT = "right"


class ApplianceKind(StrEnum):
    """Equipment worth drawing."""

    WATER_HEATER = "water_heater"
    FURNACE = "furnace"
    BOILER = "boiler"
    HEAT_PUMP = "heat_pump"


class Place(StrEnum):
    """Where equipment or ducts are."""

    NONE = ""
    BASEMENT = "basement"
    CRAWL = "crawl"
    FIRST_FLOOR = "first_floor"
    ATTIC = "attic"
    BELLY = "belly"
    OUTSIDE = "outside"


@dataclass(frozen=True)
class Part:
    """One part of the house and its share of the heat that leaves in a year.

    Shares are parts of one; over all parts they need not sum to one, they are scaled. ``kept``
    shares are what the plan keeps inside, of the same whole. ``letter`` empty: the drawing gives
    letters from the top of the house down.
    """

    key: PartKey
    name: str
    share_material: float
    share_air: float
    dollars: float
    found_text: str = ""
    letter: str = ""
    kept_material: float = 0.0
    kept_air: float = 0.0


@dataclass(frozen=True)
class Appliance:
    """A piece of equipment. Vented means it leads its exhaust out by a chimney or flue."""

    kind: ApplianceKind
    place: Place
    is_vented: bool = True
    has_failed_test: bool = False
    letter: str = ""
    name: str = ""
    found_text: str = ""


@dataclass(frozen=True)
class ScopeMark:
    """A work scope line and the part of the house it is done at."""

    key: PartKey
    number: str


@dataclass(frozen=True)
class SectionInput:
    """A home as its field record and model run describe it. ``None`` means it was not seen."""

    address: str
    parts: tuple[Part, ...]
    width_ft: float = 32.0
    stories: float = 1.0
    story_height_ft: float = 8.0
    is_split_level: bool = False
    roof: Roof = Roof.GABLE
    roof_pitch: float = 0.42
    foundation: Foundation = Foundation.CRAWL
    foundation_wall: FoundationWall = FoundationWall.BLOCK
    is_basement_heated: bool = True
    has_chimney: bool = False
    garage: Side = Side.NONE
    has_room_above_garage: bool = False
    party_wall: Side = Side.NONE
    attic_insulation_in: float | None = 0.0
    attic_target_in: float | None = None
    is_wall_filled: bool | None = True
    has_floor_insulation: bool | None = False
    has_windows: bool = True
    has_door: bool = True
    has_radiators: bool = False
    ducts: Place = Place.NONE
    appliances: tuple[Appliance, ...] = ()
    scope_marks: tuple[ScopeMark, ...] = ()


@dataclass(frozen=True)
class PartCount:
    """A part's whole strokes: through the material, by air, and how many of each the plan keeps."""

    part: Part
    letter: str
    material: int
    air: int
    kept_material: int
    kept_air: int
    dollars: int

    @property
    def strokes(self) -> int:
        return self.material + self.air


@dataclass(frozen=True)
class Row:
    """One line of the table and of the list beneath the drawing, as printed."""

    letter: str
    name: str
    found_text: str
    material: int
    air: int
    of_100: str
    dollars_text: str
    is_failed: bool = False
    short_figures: str = ""


@dataclass(frozen=True)
class Sign:
    """One sign of the drawing's key."""

    svg: SafeString
    name: str
    means: str


@dataclass(frozen=True)
class SectionDrawing:
    """The drawing in its sizes, with the words and figures that say the same."""

    wide: SafeString
    phone: SafeString
    print: SafeString
    small: SafeString
    scope: SafeString
    rows: tuple[Row, ...]
    list_rows: tuple[Row, ...]
    total: Row
    caption: str
    others_line: str
    description: str
    key: tuple[Sign, ...] = field(default=())
    letters: dict[str, str] = field(default_factory=dict)
