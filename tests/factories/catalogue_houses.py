"""Houses that between them call for every measure there is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from calcs.inputs import REPAIR_KINDS, Door, Fan, Fireplace, House, Repair, swap
from tests.factories.house_parts import cfm, ft2, inch, r_ip
from tests.factories.houses import (
    ALL_HOUSES,
    balloon_frame_1910,
    electric_resistance_1974,
    oil_1948,
    ranch_1958,
)


def neglected_ranch() -> House:
    """The ranch with everything wrong that a house can have: doors, fans, repairs, old machines."""
    house = ranch_1958()
    windows = tuple(replace(item, has_storm=False, condition="poor") for item in house.windows)
    walls = tuple(replace(item, void_fraction=0.12) for item in house.walls)
    attics = swap(house.attics, "attic-a", removal_reason="soiled")
    return replace(
        house,
        name="Neglected ranch",
        attics=attics,
        walls=walls,
        windows=windows,
        doors=(
            Door(id="door-front", is_weatherstripped=False, has_sweep=False),
            Door(id="door-garage", adjacent_to="garage", is_weatherstripped=False),
        ),
        geometry=replace(house.geometry, full_baths_without_fan=1),
        fans=(
            Fan(id="bath-fan", flow_m3_per_s=cfm(35), vented_to="attic"),
            Fan(id="hall-fan", flow_m3_per_s=cfm(40), vented_to="soffit"),
        ),
        air_leakage=replace(
            house.air_leakage,
            fireplace=Fireplace(flow50_m3_per_s=cfm(180), is_in_use=True, has_closing_damper=False),
        ),
        thermostat=replace(house.thermostat, kind="programmable"),
        appliances=replace(house.appliances, clothes_washer="old", dehumidifier="old"),
        repairs=tuple(
            Repair(id=kind, kind=kind, hazards=("carbon_monoxide",) if kind == "burner" else ())
            for kind in REPAIR_KINDS
        ),
        water_heaters=swap(house.water_heaters, "water-heater", year_installed=1999),
    )


def steam_with_bad_vents() -> House:
    """The balloon frame with two main vents and five radiator vents gone, over a cold basement."""
    house = balloon_frame_1910()
    return replace(
        house,
        heating=swap(house.heating, "boiler", bad_main_vents=2, bad_radiator_vents=5),
        doors=(
            *house.doors,
            Door(id="door-cellar", adjacent_to="basement", is_weatherstripped=False),
        ),
    )


def closed_crawlspace() -> House:
    """The ranch with its crawlspace vents closed already and the walls bare."""
    house = ranch_1958()
    return replace(
        house,
        foundations=swap(house.foundations, "crawl", kind="unvented_crawlspace"),
    )


def heated_basement() -> House:
    """The two-story house over a heated basement of bare block."""
    house = oil_1948()
    return replace(
        house,
        foundations=swap(
            house.foundations, "basement", wall_material="concrete_block", is_conditioned=True
        ),
    )


def hungry_refrigerator() -> House:
    """The electric ranch with one refrigerator that uses much."""
    house = electric_resistance_1974()
    old = replace(house.appliances.refrigerators[1], is_second=False, location="inside")
    return replace(
        house,
        appliances=replace(house.appliances, refrigerators=(old,)),
        hot_water_use=replace(house.hot_water_use, faucet_flow_m3_per_s=cfm(0.33)),
    )


def six_inch_batts() -> House:
    """The ranch with six inches of old R-19 batt in its attic, nothing stored on it."""
    house = ranch_1958()
    attic = house.attics[0]
    layer = replace(
        attic.layers[0], depth_m=inch(6), nominal_r_m2k_per_w=r_ip(19), condition="poor"
    )
    return replace(
        house,
        attics=(
            replace(attic, layers=(layer,), storage_area_m2=0.0, floored_area_m2=0.0,
                    area_m2=ft2(1350)),
        ),
    )  # fmt: skip


EVERY_HOUSE: tuple[Callable[[], House], ...] = (
    *ALL_HOUSES,
    neglected_ranch,
    steam_with_bad_vents,
    closed_crawlspace,
    heated_basement,
    hungry_refrigerator,
    six_inch_batts,
)
