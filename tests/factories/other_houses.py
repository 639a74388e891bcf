"""An old two-story house with steam, a tight one, and a manufactured home."""

from __future__ import annotations

from dataclasses import replace

from calcs.inputs import (
    AirLeakage,
    Appliances,
    Attic,
    AtticAccess,
    CoolingSystem,
    Door,
    Ducts,
    Fan,
    Foundation,
    Garage,
    Geometry,
    HeatingSystem,
    House,
    InsulationLayer,
    Refrigerator,
    RimJoist,
    Thermostat,
    Wall,
    WaterHeater,
)
from calcs.unit_factors import M3_PER_GAL, W_PER_BTUH, celsius_from_fahrenheit
from tests.factories.house_parts import (
    GREENSBORO,
    box_walls,
    cfm,
    four_windows,
    ft,
    ft2,
    inch,
    r_ip,
    u_ip,
    usual_lamps,
)


def balloon_frame_1910() -> House:
    """1910 balloon frame, two stories, 1,900 sq ft, basement with a 20-year-old steam boiler."""
    return House(
        name="1910 balloon frame with steam",
        site=GREENSBORO,
        geometry=Geometry(
            floor_area_m2=ft2(1900),
            ceiling_height_m=ft(8.75),
            stories=2,
            bedrooms=4,
            bathrooms=2,
            footprint_length_m=ft(36),
            footprint_width_m=ft(26.4),
            occupants=4,
            year_built=1910,
            thermal_mass="medium",
        ),
        attics=(
            Attic(
                id="attic-a",
                name="Attic",
                area_m2=ft2(950),
                layers=(
                    InsulationLayer(
                        material="rock_wool_loose",
                        depth_m=inch(3.5),
                        condition="fair",
                        void_fraction=0.06,
                    ),
                ),
                accesses=(AtticAccess(id="hatch", kind="hatch", area_m2=ft2(6)),),
                bypasses=("balloon-frame bays", "chimney chase"),
                eave_clear_height_m=inch(14),
            ),
        ),
        walls=(
            *box_walls(
                36,
                26.4,
                18.5,
                window_ft2=300,
                structure="balloon_frame",
                cladding="wood",
                cavity_depth_m=inch(3.75),
                framing_fraction=0.20,
            ),
            Wall(
                id="wall-stair",
                name="Wall by the stair",
                area_m2=ft2(60),
                azimuth_deg=0.0,
                structure="balloon_frame",
            ),
        ),
        windows=four_windows(
            300, u=0.60, shgc=0.60, panes=1, has_storm=True, condition="fair", height_m=ft(5)
        ),
        doors=(Door(id="door-front", azimuth_deg=180.0), Door(id="door-back", azimuth_deg=0.0)),
        foundations=(
            Foundation(
                id="basement",
                name="Basement",
                kind="basement",
                area_m2=ft2(950),
                perimeter_m=ft(125),
                wall_height_m=ft(7),
                depth_below_grade_m=ft(5),
                wall_material="stone",
                rim_joist=RimJoist(length_m=ft(125), height_m=inch(9.25)),
            ),
        ),
        air_leakage=AirLeakage(flow50_m3_per_s=cfm(4600), has_flue=True),
        heating=(
            HeatingSystem(
                id="boiler",
                name="Steam boiler",
                kind="boiler",
                fuel="natural_gas",
                distribution="steam_pipes",
                capacity_w=150000 * W_PER_BTUH,
                efficiency=0.81,
                steady_state_efficiency=0.83,
                year_installed=2006,
                vent="atmospheric",
                location="basement",
                service="annual",
                bare_pipe_m=ft(40),
            ),
        ),
        thermostat=Thermostat(heating_c=celsius_from_fahrenheit(68)),
        water_heaters=(
            WaterHeater(
                id="water-heater",
                fuel="natural_gas",
                ef=0.58,
                volume_m3=50 * M3_PER_GAL,
                input_w=40000 * W_PER_BTUH,
                year_installed=2012,
                vent="atmospheric",
                location="basement",
            ),
        ),
        lamps=usual_lamps(incandescent=8, led=24),
        appliances=Appliances(
            refrigerators=(Refrigerator(id="refrigerator", year_made=2015),),
            cooking_fuel="natural_gas",
            dryer_fuel="natural_gas",
        ),
    )


def tight_2006() -> House:
    """2006 house on a slab, 1,800 sq ft, two stories, attached garage, attic ducts, gas."""
    return House(
        name="2006 tight house",
        site=GREENSBORO,
        geometry=Geometry(
            floor_area_m2=ft2(1800),
            ceiling_height_m=ft(9),
            stories=2,
            bedrooms=3,
            bathrooms=2.5,
            footprint_length_m=ft(36),
            footprint_width_m=ft(25),
            occupants=3,
            year_built=2006,
        ),
        attics=(
            Attic(
                id="attic-a",
                area_m2=ft2(900),
                layers=(InsulationLayer(material="fiberglass_loose", depth_m=inch(14)),),
                accesses=(
                    AtticAccess(
                        id="hatch", area_m2=ft2(6), cover_r_m2k_per_w=r_ip(20), is_gasketed=True
                    ),
                ),
            ),
        ),
        walls=(
            *box_walls(36, 25, 18.5, window_ft2=220, cladding="vinyl", cavity_r_m2k_per_w=r_ip(13)),
            Wall(
                id="wall-garage",
                name="Garage wall",
                area_m2=ft2(180),
                adjacent_to="garage",
                cavity_r_m2k_per_w=r_ip(13),
            ),
        ),
        windows=four_windows(220, u=0.35, shgc=0.33, panes=2, overhang_depth_m=ft(1)),
        doors=(
            Door(id="door-front", azimuth_deg=180.0, u_w_per_m2k=u_ip(0.2)),
            Door(id="door-garage", adjacent_to="garage", u_w_per_m2k=u_ip(0.2)),
        ),
        foundations=(
            Foundation(
                id="slab",
                kind="slab",
                area_m2=ft2(900),
                perimeter_m=ft(122),
                slab_edge_r_m2k_per_w=r_ip(5),
            ),
        ),
        garage=Garage(area_m2=ft2(400), outside_wall_area_m2=ft2(450)),
        air_leakage=AirLeakage(flow50_m3_per_s=cfm(950)),
        fans=(
            Fan(
                id="fan-whole",
                purpose="whole_house",
                flow_m3_per_s=cfm(50),
                hours_per_day=24.0,
                power_w=12.0,
            ),
        ),
        heating=(
            HeatingSystem(
                id="furnace",
                kind="furnace",
                fuel="natural_gas",
                capacity_w=60000 * W_PER_BTUH,
                efficiency=0.92,
                year_installed=2019,
                vent="direct",
                location="attic",
                is_condensing=True,
                service="annual",
            ),
        ),
        cooling=(
            CoolingSystem(
                id="ac", capacity_w=30000 * W_PER_BTUH, seasonal_cop=14 / 3.412, year_installed=2019
            ),
        ),
        ducts=Ducts(
            supply_location="attic",
            return_location="attic",
            supply_area_m2=ft2(330),
            return_area_m2=ft2(90),
            supply_r_m2k_per_w=r_ip(8),
            return_r_m2k_per_w=r_ip(8),
            supply_leak25_m3_per_s=cfm(25),
            return_leak25_m3_per_s=cfm(20),
            fan_flow_m3_per_s=cfm(1000),
            outside_share=0.6,
        ),
        thermostat=Thermostat(
            heating_c=celsius_from_fahrenheit(70),
            cooling_c=celsius_from_fahrenheit(75),
            heating_setback_k=3.0,
            setback_hours_per_day=8.0,
            kind="programmable",
        ),
        water_heaters=(
            WaterHeater(
                id="water-heater",
                fuel="natural_gas",
                ef=0.62,
                volume_m3=50 * M3_PER_GAL,
                input_w=40000 * W_PER_BTUH,
                year_installed=2018,
                vent="power_vented",
                location="garage",
            ),
        ),
        lamps=usual_lamps(incandescent=0, led=30),
        appliances=Appliances(refrigerators=(Refrigerator(id="refrigerator", year_made=2019),)),
    )


def manufactured_1989() -> House:
    """1989 manufactured home, 1,050 sq ft, belly wrap with ducts in it, propane furnace."""
    return House(
        name="1989 manufactured home",
        site=replace(GREENSBORO, terrain="open", shelter_class=3),
        geometry=Geometry(
            floor_area_m2=ft2(1064),
            ceiling_height_m=ft(7.5),
            stories=1,
            bedrooms=3,
            bathrooms=2,
            footprint_length_m=ft(76),
            footprint_width_m=ft(14),
            occupants=3,
            year_built=1989,
            dwelling_kind="manufactured",
        ),
        attics=(
            Attic(
                id="attic-a",
                kind="unvented",
                area_m2=ft2(1064),
                joist_depth_m=inch(4),
                layers=(
                    InsulationLayer(
                        material="fiberglass_batt",
                        depth_m=inch(4),
                        condition="fair",
                        void_fraction=0.03,
                    ),
                ),
                eave_clear_height_m=inch(4),
            ),
        ),
        walls=box_walls(
            76,
            14,
            7.5,
            window_ft2=110,
            cladding="metal",
            cavity_depth_m=inch(3.5),
            cavity_r_m2k_per_w=r_ip(11),
            framing_fraction=0.18,
        ),
        windows=four_windows(110, u=0.90, shgc=0.65, panes=1, condition="poor"),
        doors=(Door(id="door-front", azimuth_deg=180.0), Door(id="door-back", azimuth_deg=0.0)),
        foundations=(
            Foundation(
                id="belly",
                kind="belly",
                area_m2=ft2(1064),
                perimeter_m=ft(180),
                floor_r_m2k_per_w=r_ip(11),
                floor_void_fraction=0.08,
            ),
        ),
        air_leakage=AirLeakage(flow50_m3_per_s=cfm(1500)),
        heating=(
            HeatingSystem(
                id="furnace",
                kind="furnace",
                fuel="propane",
                capacity_w=60000 * W_PER_BTUH,
                efficiency=0.78,
                year_installed=1989,
                vent="direct",
                location="conditioned",
            ),
        ),
        ducts=Ducts(
            supply_location="belly",
            return_location="conditioned",
            supply_area_m2=ft2(170),
            return_area_m2=ft2(10),
            supply_r_m2k_per_w=r_ip(7),
            return_r_m2k_per_w=r_ip(2),
            supply_leak25_m3_per_s=cfm(150),
            return_leak25_m3_per_s=cfm(5),
            fan_flow_m3_per_s=cfm(800),
        ),
        water_heaters=(
            WaterHeater(
                id="water-heater",
                fuel="electricity",
                ef=0.88,
                volume_m3=40 * M3_PER_GAL,
                input_w=4500.0,
                year_installed=2010,
            ),
        ),
        lamps=usual_lamps(incandescent=12, led=4),
        appliances=Appliances(refrigerators=(Refrigerator(id="refrigerator", year_made=2005),)),
    )
