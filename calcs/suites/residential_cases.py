"""The residential cases: each a row of differences from L100A.

Source: public encodings of ANSI/ASHRAE Standard 140 class II, tier 1 (RESNET Publication 002-2024,
NREL/TP-472-7332), read, but for what is marked memory. Areas and R-values are in the source's
units: ft², h·ft²·°F/Btu air to air.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, kw_only=True)
class Case:
    """Differences of one case from L100A."""

    air_changes_per_hour: float = 0.67
    wall: str = "base"  # or insulated, bare
    ceiling_r: float = 18.45
    floor: str = "base"  # or bare, slab, slab_edge, basement, basement_insulated
    windows: str = "single"  # or low_e
    window_ft2: dict[str, float] = field(
        default_factory=lambda: {"north": 90.0, "south": 90.0, "east": 45.0, "west": 45.0}
    )
    overhang_ft: float = 0.0
    has_gains: bool = True
    absorptance_out: float = 0.6


_BARE: dict[str, object] = {
    "air_changes_per_hour": 1.5, "wall": "bare", "floor": "bare", "ceiling_r": 11.75,
}  # fmt: skip

CASES: dict[str, Case] = {
    "L100A": Case(),
    "L110A": Case(air_changes_per_hour=1.5),
    "L120A": Case(wall="insulated", ceiling_r=57.49),
    "L130A": Case(windows="low_e"),
    "L140A": Case(window_ft2={}),
    "L150A": Case(window_ft2={"south": 270.0}),
    "L155A": Case(window_ft2={"south": 270.0}, overhang_ft=2.5),
    "L160A": Case(window_ft2={"east": 135.0, "west": 135.0}),
    "L170A": Case(has_gains=False),
    "L200A": Case(**_BARE),  # type: ignore[arg-type]  # field values by name
    "L202A": Case(**_BARE, absorptance_out=0.2),  # type: ignore[arg-type]  # as above
    "L302X": Case(floor="slab"),
    "L304X": Case(floor="slab_edge"),
    "L322X": Case(floor="basement"),
    "L324X": Case(floor="basement_insulated"),
}

# Cases on the ground are published for the cold station only.
COLD_ONLY = frozenset({"L302X", "L304X", "L322X", "L324X"})
