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
    Geometry,
    HeatingSystem,
    HotWaterUse,
    House,
    InsulationLayer,
    Origin,
    Refrigerator,
    RimJoist,
    Thermostat,
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
    usual_lamps,
)
from tests.factories.other_houses import balloon_frame_1910, manufactured_1989, tight_2006

__all__ = [
    "ALL_HOUSES",
    "PRICES",
    "balloon_frame_1910",
    "manufactured_1989",
    "tight_2006",
]


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
