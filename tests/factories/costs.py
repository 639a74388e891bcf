"""What measures cost in the tests: round invented prices, a fixed part and a part by quantity."""

from __future__ import annotations

# kind -> dollars fixed, dollars by SI unit of quantity.
COSTS = {
    "attic_air_sealing": (900.0, 0.0),
    "air_sealing": (700.0, 0.0),
    "rim_joist": (150.0, 22.0),
    "flue_plug": (120.0, 0.0),
    "attic_hatch_cover": (280.0, 0.0),
    "attic_insulation": (200.0, 20.0),
    "wall_insulation": (300.0, 28.0),
    "floor_insulation": (200.0, 22.0),
    "belly_insulation": (300.0, 18.0),
    "basement_wall_insulation": (0.0, 40.0),
    "crawl_ground_cover": (150.0, 8.0),
    "crawl_encapsulation": (2500.0, 50.0),
    "window_replacement": (0.0, 750.0),
    "storm_windows": (0.0, 120.0),
    "duct_sealing": (900.0, 0.0),
    "duct_insulation": (100.0, 30.0),
    "heating_pipe_insulation": (50.0, 30.0),
    "furnace_replacement": (5200.0, 0.0),
    "boiler_replacement": (9500.0, 0.0),
    "heat_pump": (9500.0, 0.0),
    "water_heater_replacement": (2400.0, 0.0),
    "heat_pump_water_heater": (3200.0, 0.0),
    "hot_water_pipe_insulation": (20.0, 10.0),
    "showerheads": (0.0, 35.0),
    "aerators": (0.0, 8.0),
    "thermostat": (240.0, 0.0),
    "exhaust_fan": (650.0, 0.0),
    "led_lamps": (0.0, 6.0),
    "refrigerator_replacement": (950.0, 0.0),
    "second_refrigerator_removal": (50.0, 0.0),
}


def cost_of(measure_id: str, kind: str, quantity: float, unit: str) -> float | None:
    """Full cost of a measure in the tests. [$]"""
    fixed, by_unit = COSTS[kind]
    return fixed + by_unit * quantity
