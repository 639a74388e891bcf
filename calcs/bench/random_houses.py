"""Houses at random: any size, age, foundation and attic the records allow, in likely mixtures.

Invented, for comparing engines only; they stand for no stock of real houses.
"""

from __future__ import annotations

import numpy as np

from calcs.inputs import (
    AirLeakage,
    Attic,
    AtticAccess,
    CoolingSystem,
    Door,
    Ducts,
    Foundation,
    Garage,
    Geometry,
    HeatingSystem,
    House,
    InsulationLayer,
    RimJoist,
    Site,
    Thermostat,
    Wall,
    Window,
)

SIDES = (("north", 0.0), ("east", 90.0), ("south", 180.0), ("west", 270.0))
FOUNDATIONS = (
    "basement", "heated_basement", "vented_crawlspace", "unvented_crawlspace", "slab",
    "open_below",
)  # fmt: skip


def random_house(seed: int) -> House:
    """A house drawn from a seed.

    Parameters
    ----------
    seed : int
        Equal seeds give equal houses.
    """
    random = np.random.default_rng(seed)

    def between(low: float, high: float) -> float:
        return float(random.uniform(low, high))

    def either(chance: float) -> bool:
        return bool(random.random() < chance)

    stories = float(random.choice((1.0, 1.0, 1.5, 2.0)))
    length, width = between(8.0, 16.0), between(6.0, 11.0)
    footprint = length * width
    turn = float(random.choice((0.0, 0.0, 30.0, 45.0)))
    has_garage = either(0.3)
    geometry = Geometry(
        floor_area_m2=footprint * stories,
        ceiling_height_m=between(2.3, 3.0),
        stories=stories,
        footprint_length_m=length,
        footprint_width_m=width,
        front_azimuth_deg=180.0 + turn,
        occupants=between(1.0, 5.0),
        thermal_mass=str(random.choice(("light", "light", "medium", "heavy"))),
    )
    distribution = "ducts" if either(0.6) else "room"
    heat_pump_or_cooling = either(0.6)
    foundation = _foundation(random, footprint, 2.0 * (length + width))
    return House(
        name=f"random {seed}",
        site=Site(
            latitude_deg=36.1,
            longitude_deg=-79.95,
            terrain=str(random.choice(("open", "suburban", "urban"))),
            shelter_class=int(random.integers(1, 6)),
        ),
        geometry=geometry,
        attics=(_attic(random, footprint),),
        walls=_walls(random, geometry, turn, has_garage=has_garage),
        windows=_windows(random, geometry, turn),
        doors=(
            Door(id="front", azimuth_deg=(180.0 + turn) % 360.0, u_w_per_m2k=between(1.0, 4.0)),
            Door(id="back", azimuth_deg=turn, u_w_per_m2k=between(1.0, 4.0)),
        ),
        foundations=(foundation,),
        garage=Garage(area_m2=between(20.0, 45.0), outside_wall_area_m2=between(25.0, 45.0))
        if has_garage
        else None,
        air_leakage=AirLeakage(
            flow50_m3_per_s=between(0.2, 2.5),
            exponent=between(0.58, 0.72),
            has_flue=either(0.4),
        ),
        heating=(
            HeatingSystem(
                id="heating",
                kind="furnace" if distribution == "ducts" else "electric_resistance",
                fuel="natural_gas" if distribution == "ducts" else "electricity",
                distribution=distribution,
                capacity_w=between(9e3, 40e3),
            ),
        ),
        cooling=(CoolingSystem(id="cooling", distribution=distribution, capacity_w=9e3),)
        if heat_pump_or_cooling
        else (),
        ducts=_ducts(random) if distribution == "ducts" else None,
        thermostat=Thermostat(
            heating_c=between(17.0, 22.5),
            cooling_c=between(23.5, 27.0),
            heating_setback_k=between(1.0, 5.0) if either(0.4) else 0.0,
            cooling_setup_k=between(1.0, 3.0) if either(0.2) else 0.0,
            setback_hours_per_day=8.0,
        ),
    )


def _attic(random: np.random.Generator, area_m2: float) -> Attic:
    kind = str(random.choice(("vented", "vented", "vented", "unvented", "cathedral", "flat")))
    depth = float(random.choice((0.0, 0.05, 0.09, 0.14, 0.25, 0.40)))
    layer = InsulationLayer(
        material=str(random.choice(("fiberglass_loose", "cellulose_loose", "fiberglass_batt"))),
        depth_m=depth,
        condition=str(random.choice(("good", "fair", "poor"))),
        void_fraction=float(random.choice((0.0, 0.0, 0.05, 0.15))),
    )
    has_loft = kind in ("vented", "unvented")
    return Attic(
        id="attic",
        kind=kind,
        area_m2=area_m2,
        layers=(layer,) if depth > 0.0 else (),
        accesses=(AtticAccess(id="hatch", area_m2=0.7),) if has_loft else (),
        vent_area_ratio=float(random.uniform(0.0, 0.006)),
        roof_solar_absorptance=float(random.uniform(0.4, 0.95)),
        roof_pitch_deg=0.0 if kind == "flat" else float(random.uniform(10.0, 45.0)),
    )


def _walls(
    random: np.random.Generator, geometry: Geometry, turn: float, *, has_garage: bool
) -> tuple[Wall, ...]:
    structure = str(random.choice(("wood_frame", "wood_frame", "wood_frame", "masonry", "log")))
    shared = {
        "structure": structure,
        "cladding": str(random.choice(("wood", "vinyl", "brick", "stucco"))),
        "cavity_depth_m": 0.2 if structure == "log" else 0.0889,
        "cavity_r_m2k_per_w": float(random.choice((0.0, 0.0, 1.5, 2.3))),
        "void_fraction": float(random.choice((0.0, 0.05, 0.2))),
        "continuous_r_m2k_per_w": float(random.choice((0.0, 0.0, 0.9))),
        "masonry_thickness_m": 0.2 if structure == "masonry" else 0.0,
        "solar_absorptance": float(random.uniform(0.3, 0.9)),
    }
    walls = []
    for i, (side, azimuth) in enumerate(SIDES):
        run = geometry.footprint_length_m if i % 2 == 0 else geometry.footprint_width_m
        is_garage = has_garage and side == "west"
        walls.append(
            Wall(
                id=side,
                area_m2=0.82 * run * geometry.height_m,
                azimuth_deg=(azimuth + turn) % 360.0,
                adjacent_to="garage" if is_garage else "outside",
                **shared,  # type: ignore[arg-type]  # checked by the record
            )
        )
    return tuple(walls)


def _windows(random: np.random.Generator, geometry: Geometry, turn: float) -> tuple[Window, ...]:
    u, shgc, panes = ((5.0, 0.7, 1), (3.2, 0.6, 2), (2.8, 0.55, 2), (1.8, 0.3, 2))[
        int(random.integers(4))
    ]
    total = float(random.uniform(0.08, 0.22)) * geometry.floor_area_m2
    shares = random.dirichlet((2.0, 2.0, 2.0, 2.0))
    depth = float(random.choice((0.0, 0.0, 0.5)))
    return tuple(
        Window(
            id=side,
            area_m2=total * float(share),
            azimuth_deg=(azimuth + turn) % 360.0,
            u_w_per_m2k=u,
            shgc=shgc,
            panes=panes,
            overhang_depth_m=depth,
        )
        for (side, azimuth), share in zip(SIDES, shares, strict=True)
    )


def _foundation(random: np.random.Generator, area_m2: float, perimeter_m: float) -> Foundation:
    drawn = str(random.choice(FOUNDATIONS))
    is_basement = drawn.endswith("basement")
    kind = "basement" if is_basement else drawn
    height = {"basement": 2.2, "slab": 0.0, "open_below": 0.0}.get(kind, 0.8)
    has_rim = kind in ("basement", "unvented_crawlspace")
    return Foundation(
        id="foundation",
        kind=kind,
        area_m2=area_m2,
        perimeter_m=perimeter_m,
        wall_height_m=height,
        depth_below_grade_m=height * float(random.uniform(0.2, 0.9)),
        is_conditioned=drawn == "heated_basement",
        wall_r_m2k_per_w=float(random.choice((0.0, 0.0, 1.8))),
        wall_material=str(random.choice(("concrete_block", "poured_concrete", "stone"))),
        floor_r_m2k_per_w=float(random.choice((0.0, 2.3, 3.3))),
        slab_edge_r_m2k_per_w=float(random.choice((0.0, 0.9))),
        rim_joist=RimJoist(length_m=perimeter_m if has_rim else 0.0),
    )


def _ducts(random: np.random.Generator) -> Ducts:
    location = str(random.choice(("attic", "crawlspace", "basement", "conditioned")))
    return Ducts(
        supply_location=location,
        return_location=location,
        supply_area_m2=float(random.uniform(10.0, 40.0)),
        return_area_m2=float(random.uniform(5.0, 15.0)),
        supply_r_m2k_per_w=float(random.choice((0.4, 0.7, 1.1))),
        supply_leak25_m3_per_s=float(random.uniform(0.0, 0.08)),
        return_leak25_m3_per_s=float(random.uniform(0.0, 0.06)),
        fan_flow_m3_per_s=0.5,
    )
