"""The hourly heat balance of a house, run twice where its ducts need the temperature around them.

The result depends on the envelope, the gains, the thermostat and the distribution, not on the
efficiency of the equipment: it is kept by those, so that trying another furnace costs nothing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from calcs.cooling_coils import humidity_ratio, room_moisture, wet_bulb_excess_k
from calcs.distribution import Delivery, delivery_of
from calcs.end_uses import HotWater, Use, appliance_uses, gains_of, hot_water
from calcs.hourly import HourlyResult, simulate
from calcs.house import HOUSE, Gains, network_of, with_distribution
from calcs.inputs import CoolingSystem, HeatingSystem, House
from calcs.network import FloatArray, Network
from calcs.weather import WeatherYear

KEPT_RESULTS = 96


@dataclass(frozen=True, eq=False, kw_only=True)
class Thermal:
    """What the heat balance says of one house in one year, plant aside."""

    heating_w: FloatArray
    cooling_w: FloatArray
    latent_w: FloatArray
    wet_bulb_excess_k: FloatArray
    infiltration_m3_per_s: FloatArray
    loss_j: dict[str, float]
    mean_cold_c: dict[str, float]
    delivery: Delivery
    uses: tuple[Use, ...]
    coil_j: FloatArray


def thermal_of(house: House, weather: WeatherYear) -> Thermal:
    """Loads, losses and gains of a house in a year."""
    return _thermal(_plain(house), weather)


def _plain(house: House) -> House:
    """The house with everything the heat balance does not see taken out."""
    heating = tuple(
        HeatingSystem(
            id=item.id, kind="furnace", fuel="electricity", distribution=item.distribution,
            capacity_w=item.capacity_w, load_share=item.load_share,
            bare_pipe_m=item.bare_pipe_m, pipe_location=item.pipe_location,
            supply_design_c=item.supply_design_c, has_outdoor_reset=item.has_outdoor_reset,
            bad_main_vents=item.bad_main_vents, bad_radiator_vents=item.bad_radiator_vents,
        )
        for item in house.heating
    )  # fmt: skip
    cooling = tuple(
        CoolingSystem(
            id=item.id, distribution=item.distribution, capacity_w=1000.0,
            load_share=item.load_share,
        )
        for item in house.cooling
    )  # fmt: skip
    return replace(house, name="", heating=heating, cooling=cooling, repairs=(), origins={})


@lru_cache(maxsize=KEPT_RESULTS)
def _thermal(house: House, weather: WeatherYear) -> Thermal:
    uses, heat = appliance_uses(house)
    water = hot_water(house, weather)
    gains = gains_of(house, heat, water)
    delivery = delivery_of(house, weather, air_c=None)
    network = network_of(house, weather, gains=gains, distribution=delivery.factors)
    result = simulate(network, weather)
    if house.ducts is not None and delivery.factors:
        air_c = {name: zone.air_c for name, zone in result.zones.items()}
        delivery = delivery_of(house, weather, air_c=air_c)
        # The same building but for the losses of its ducts: the engine keeps what it made of it.
        network = with_distribution(network, house, delivery.factors)
        result = simulate(network, weather)
    return _summary(
        weather, result, gains, delivery, (*uses, *water.uses), water, house.geometry.volume_m3
    )


def network_for(house: House, weather: WeatherYear) -> Network:
    """The thermal network of a house as its first run meets it, ducts at usual temperatures."""
    house = _plain(house)
    _, heat = appliance_uses(house)
    gains = gains_of(house, heat, hot_water(house, weather))
    delivery = delivery_of(house, weather, air_c=None)
    return network_of(house, weather, gains=gains, distribution=delivery.factors)


def _summary(
    weather: WeatherYear,
    result: HourlyResult,
    gains: Gains,
    delivery: Delivery,
    uses: tuple[Use, ...],
    water: HotWater,
    volume_m3: float,
) -> Thermal:
    main = result.zones[HOUSE]
    cold = main.heating_w > 0.0
    mean_cold = {
        name: float(zone.air_c[cold].mean()) if cold.any() else float(zone.air_c.mean())
        for name, zone in result.zones.items()
    }
    outdoor = weather.dry_bulb_c
    mean_cold["outdoor"] = float(outdoor[cold].mean()) if cold.any() else float(outdoor.mean())
    coil_w = result.cooling_w / delivery.cooling
    moisture = room_moisture(
        volume_m3=volume_m3,
        room_c=main.air_c,
        fresh_m3_per_s=main.infiltration_m3_per_s,
        fresh_ratio=humidity_ratio(weather),
        latent_gain_w=gains.latent_w,
        coil_sensible_w=coil_w,
    )
    return Thermal(
        heating_w=result.heating_w,
        cooling_w=result.cooling_w,
        latent_w=moisture.latent_w,
        wet_bulb_excess_k=wet_bulb_excess_k(main.air_c, moisture.ratio),
        infiltration_m3_per_s=main.infiltration_m3_per_s,
        loss_j={
            key: max(flow.while_heating_kwh, 0.0) * 3.6e6 for key, flow in result.components.items()
        },
        mean_cold_c=mean_cold,
        delivery=delivery,
        uses=uses,
        coil_j=water.coil_j,
    )
