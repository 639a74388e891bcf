"""Reference houses for the tests of the model: invented, but typical of their kind and age."""

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
    Fireplace,
    Foundation,
    Garage,
    Geometry,
    HeatingSystem,
    HotWaterUse,
    House,
    InsulationLayer,
    Origin,
    Refrigerator,
    RimJoist,
    Thermostat,
    Wall,
    WaterHeater,
)
from calcs.unit_factors import J_PER_KWH, M3_PER_GAL, W_PER_BTUH, celsius_from_fahrenheit
from tests.factories.house_parts import (
    GREENSBORO,
    PRICES,
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

__all__ = ["ALL_HOUSES", "PRICES"]


def ranch_1958() -> House:
    """1958 ranch, 1,350 sq ft over a vented crawlspace, leaky ducts under the floor, gas."""
    return House(
        name="1958 ranch over a crawlspace",
        site=GREENSBORO,
        geometry=Geometry(
            floor_area_m2=ft2(1350),
            ceiling_height_m=ft(8),
            stories=1,
            bedrooms=3,
            bathrooms=1.5,
            footprint_length_m=ft(50),
            footprint_width_m=ft(27),
            occupants=3,
            year_built=1958,
        ),
        attics=(
            Attic(
                id="attic-a",
                name="Attic over the house",
                area_m2=ft2(1350),
                layers=(
                    InsulationLayer(
                        material="fiberglass_batt",
                        depth_m=inch(4),
                        nominal_r_m2k_per_w=r_ip(19),
                        condition="poor",
                    ),
                ),
                accesses=(AtticAccess(id="stair-hall", kind="pull_down_stair", area_m2=ft2(12)),),
                bypasses=("top plates", "plumbing wall", "chimney chase"),
                eave_clear_height_m=inch(11),
                storage_area_m2=ft2(120),
                floored_area_m2=ft2(120),
            ),
        ),
        walls=box_walls(
            50,
            27,
            8,
            window_ft2=160,
            cladding="brick",
            solar_absorptance=0.7,
            cavity_r_m2k_per_w=r_ip(7),
            void_fraction=0.05,
        ),
        windows=four_windows(
            160,
            u=0.75,
            shgc=0.62,
            panes=1,
            has_storm=True,
            condition="fair",
            overhang_depth_m=ft(1.5),
        ),
        doors=(Door(id="door-front", azimuth_deg=180.0), Door(id="door-back", azimuth_deg=0.0)),
        foundations=(
            Foundation(
                id="crawl",
                name="Crawlspace",
                kind="vented_crawlspace",
                area_m2=ft2(1350),
                perimeter_m=ft(154),
                wall_height_m=ft(3),
                depth_below_grade_m=ft(0.5),
                floor_r_m2k_per_w=r_ip(0),
                clear_height_m=inch(26),
                ground_cover_share=0.3,
                rim_joist=RimJoist(length_m=ft(154), height_m=inch(9.25)),
            ),
        ),
        air_leakage=AirLeakage(
            flow50_m3_per_s=cfm(3100),
            has_flue=True,
            fireplace=Fireplace(flow50_m3_per_s=cfm(180)),
        ),
        fans=(Fan(id="bath-fan", flow_m3_per_s=cfm(35), hours_per_day=0.7, power_w=25.0),),
        heating=(
            HeatingSystem(
                id="furnace",
                name="Gas furnace",
                kind="furnace",
                fuel="natural_gas",
                capacity_w=80000 * W_PER_BTUH,
                efficiency=0.80,
                steady_state_efficiency=0.79,
                year_installed=2003,
                vent="induced_draft",
                location="crawlspace",
            ),
        ),
        cooling=(
            CoolingSystem(
                id="ac",
                name="Central air conditioner",
                capacity_w=30000 * W_PER_BTUH,
                seasonal_cop=10.0 / 3.412,
                year_installed=2003,
            ),
        ),
        ducts=Ducts(
            supply_location="crawlspace",
            return_location="crawlspace",
            supply_area_m2=ft2(300),
            return_area_m2=ft2(70),
            supply_r_m2k_per_w=r_ip(4.2),
            return_r_m2k_per_w=r_ip(4.2),
            supply_leak25_m3_per_s=cfm(170),
            return_leak25_m3_per_s=cfm(110),
            fan_flow_m3_per_s=cfm(1050),
        ),
        thermostat=Thermostat(
            heating_c=celsius_from_fahrenheit(69), cooling_c=celsius_from_fahrenheit(76)
        ),
        water_heaters=(
            WaterHeater(
                id="water-heater",
                name="Water heater",
                fuel="natural_gas",
                ef=0.59,
                volume_m3=40 * M3_PER_GAL,
                input_w=38000 * W_PER_BTUH,
                setpoint_c=celsius_from_fahrenheit(125),
                year_installed=2021,
                vent="atmospheric",
                location="conditioned",
            ),
        ),
        hot_water_use=HotWaterUse(shower_flow_m3_per_s=2.6 * M3_PER_GAL / 60.0, shower_heads=2),
        lamps=usual_lamps(incandescent=14, led=10),
        appliances=Appliances(
            refrigerators=(
                Refrigerator(id="refrigerator", energy_j_per_year=610 * J_PER_KWH, year_made=2012),
                Refrigerator(
                    id="refrigerator-garage",
                    name="Second refrigerator",
                    energy_j_per_year=1150 * J_PER_KWH,
                    year_made=1996,
                    is_second=True,
                    location="garage",
                ),
            ),
        ),
        origins={
            "air_leakage.flow50_m3_per_s": Origin(how="measured", source="blower door"),
            "heating.furnace.steady_state_efficiency": Origin(how="measured", source="flue test"),
            "heating.furnace.efficiency": Origin(how="nameplate"),
            "attics.attic-a": Origin(how="recorded", source="field sheet"),
            "thermostat": Origin(how="reported", source="occupant"),
        },
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


def _all_electric(house: House, system: HeatingSystem) -> House:
    return replace(
        house,
        heating=(system,),
        air_leakage=replace(house.air_leakage, has_flue=False, fireplace=None),
        water_heaters=(
            WaterHeater(
                id="water-heater",
                fuel="electricity",
                ef=0.90,
                volume_m3=50 * M3_PER_GAL,
                input_w=4500.0,
                year_installed=2014,
            ),
        ),
    )


def electric_resistance_1974() -> House:
    """The ranch with baseboard electric heat and no ducts."""
    return replace(
        _all_electric(
            ranch_1958(),
            HeatingSystem(
                id="baseboards",
                kind="electric_resistance",
                fuel="electricity",
                distribution="room",
                capacity_w=15000.0,
                efficiency=1.0,
                year_installed=1974,
            ),
        ),
        name="Electric baseboard ranch",
        ducts=None,
        cooling=(),
    )


def heat_pump_1988() -> House:
    """The ranch with a ducted heat pump of 2014 and electric backup."""
    house = _all_electric(
        ranch_1958(),
        HeatingSystem(
            id="heat-pump",
            kind="heat_pump",
            fuel="electricity",
            capacity_w=30000 * W_PER_BTUH,
            seasonal_cop=8.2 / 3.412,
            backup_fuel="electricity",
            year_installed=2014,
            location="outside",
        ),
    )
    return replace(
        house,
        name="Heat pump ranch",
        cooling=(
            CoolingSystem(
                id="heat-pump-cooling",
                kind="heat_pump",
                capacity_w=30000 * W_PER_BTUH,
                seasonal_cop=14.0 / 3.412,
                year_installed=2014,
            ),
        ),
    )


def oil_1948() -> House:
    """The two-story house with an oil hot-water boiler and its own water coil."""
    house = balloon_frame_1910()
    return replace(
        house,
        name="1948 oil-heated house",
        heating=(
            HeatingSystem(
                id="boiler",
                name="Oil boiler",
                kind="boiler",
                fuel="fuel_oil",
                distribution="hot_water_pipes",
                capacity_w=120000 * W_PER_BTUH,
                efficiency=0.80,
                steady_state_efficiency=0.78,
                year_installed=1985,
                vent="atmospheric",
                location="basement",
                bare_pipe_m=ft(30),
            ),
        ),
        water_heaters=(
            WaterHeater(
                id="coil", kind="boiler_coil", fuel="fuel_oil", volume_m3=0.0, location="basement"
            ),
        ),
        appliances=replace(house.appliances, cooking_fuel="electricity", dryer_fuel="electricity"),
    )


def propane_1978() -> House:
    """The ranch on propane."""
    house = ranch_1958()
    return replace(
        house,
        name="Propane ranch",
        heating=(replace(house.heating[0], fuel="propane"),),
        water_heaters=(replace(house.water_heaters[0], fuel="propane"),),
        appliances=replace(house.appliances, cooking_fuel="propane"),
    )


ALL_HOUSES = (
    ranch_1958,
    balloon_frame_1910,
    tight_2006,
    manufactured_1989,
    electric_resistance_1974,
    heat_pump_1988,
    oil_1948,
    propane_1978,
)
