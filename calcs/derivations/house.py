"""How the numbers of a house's year were made."""

from __future__ import annotations

from collections.abc import Callable

from calcs.assemblies import attic_floor_r
from calcs.derivations.making import HOURLY, given, made, worked
from calcs.inputs import House
from calcs.results import Baseline, Derivation, DerivationInput
from calcs.worth import Scene

Make = Callable[..., Derivation]


def year_of(house: House, base: Baseline, scene: Scene, *, prefix: str = "") -> list[Derivation]:
    """Derivations of every number of a year; `prefix` for the house with the package."""
    weather = worked("weather", scene.weather.name, "", "typical weather year")
    found = [
        *_energies(house, base, scene, prefix),
        *_money(base, scene, prefix),
        _infiltration(house, base, weather, prefix),
        *_loads(house, base, weather, prefix),
        *_parts(house, base, prefix),
    ]
    if not prefix:
        found += [*_attics(house), *_heating(house, base), _heat_loss(base)]
        if house.ducts is not None:
            found.append(_ducts(house, base))
    return found


def _energies(house: House, base: Baseline, scene: Scene, prefix: str) -> list[Derivation]:
    found = []
    for item in base.end_uses:
        found.append(
            made(
                f"{prefix}energy_use:{item.end_use}/{item.fuel}", "energy_of_a_use",
                item.annual_j, "J", _USE_FORMULAS.get(item.end_use, _BASE_FORMULA),
                (*_use_inputs(house, item.end_use, item.fuel),
                 worked("weather", scene.weather.name, "", "typical weather year")),
                _USE_SOURCES.get(item.end_use, _BASE_SOURCE),
            )
        )  # fmt: skip
    for fuel, amount in base.energy_j.items():
        parts = tuple(
            worked(f"energy_use.{item.end_use}", item.annual_j, "J", HOURLY)
            for item in base.end_uses
            if item.fuel == fuel
        )
        found.append(
            made(f"{prefix}energy:{fuel}", "energy_of_a_fuel", amount, "J", "Σ of its uses", parts,
                 "sum")
        )  # fmt: skip
    return found


_USE_FORMULAS = {
    "heating": "Σ over the hours of load / (delivery of ducts or pipes × efficiency of the plant), "
    "with standby, pilot and back-up",
    "cooling": "Σ over the hours of (sensible + latent load) / (delivery × efficiency)",
    "fans_pumps": "power of fans and pumps × the hours they run",
    "hot_water": "Σ over the months of water drawn × heat to warm it / recovery efficiency, and "
    "standby",
    "lighting": "Σ count × watts × hours a day × 365; by floor area where no lamp was counted",
    "refrigerator": "use a year as metered or recorded; the usual one where not",
}
_BASE_FORMULA = "usual use of the appliance × (0.5 + people / 6)"
_USE_SOURCES = {
    "heating": HOURLY,
    "cooling": HOURLY,
    "fans_pumps": HOURLY,
    "hot_water": "reference draw of ANSI/RESNET/ICC 301 (memory); tank by its rating",
    "lighting": "counted on the field sheet; else ANSI/RESNET/ICC 301 by floor area (memory)",
}
_BASE_SOURCE = "reference use of ANSI/RESNET/ICC 301 (memory)"


def _use_inputs(house: House, end_use: str, fuel: str) -> tuple[DerivationInput, ...]:
    """The record's values that decide a use most."""
    control, geometry = house.thermostat, house.geometry
    if end_use in ("heating", "fans_pumps"):
        found = [
            given(house, "heating_setpoint", control, "heating_c", "thermostat.heating_c"),
            given(house, "setback", control, "heating_setback_k", "thermostat.heating_setback_k"),
        ]
        for item in house.heating:
            path = f"heating.{item.id}"
            for name in ("steady_state_efficiency", "efficiency", "seasonal_cop", "capacity_w"):
                if getattr(item, name) is not None:
                    found.append(given(house, name, item, name, f"{path}.{name}"))
        return tuple(found)
    if end_use == "cooling":
        return (
            given(house, "cooling_setpoint", control, "cooling_c", "thermostat.cooling_c"),
            *(
                given(house, "seasonal_cop", item, "seasonal_cop",
                      f"cooling.{item.id}.seasonal_cop")
                for item in house.cooling
            ),
        )  # fmt: skip
    if end_use == "hot_water":
        use = house.hot_water_use
        found = [
            given(house, "people", geometry, "occupants", "geometry.occupants"),
            given(house, "bedrooms", geometry, "bedrooms", "geometry.bedrooms"),
            given(house, "draw_factor", use, "draw_factor", "hot_water_use.draw_factor"),
        ]
        for heater in house.water_heaters:
            for name in ("uef", "ef", "setpoint_c"):
                if getattr(heater, name) is not None:
                    found.append(
                        given(house, name, heater, name, f"water_heaters.{heater.id}.{name}")
                    )
        return tuple(found)
    if end_use == "lighting" and house.lamps:
        return tuple(
            given(house, f"{lamp.id}.{name}", lamp, name, f"lamps.{lamp.id}.{name}")
            for lamp in house.lamps
            for name in ("count", "power_w", "hours_per_day")
        )
    if end_use == "refrigerator":
        return tuple(
            given(house, item.id, item, "energy_j_per_year",
                  f"appliances.refrigerators.{item.id}.energy_j_per_year")
            for item in house.appliances.refrigerators
        )  # fmt: skip
    return (
        given(house, "people", geometry, "occupants", "geometry.occupants"),
        given(house, "floor_area", geometry, "floor_area_m2", "geometry.floor_area_m2"),
        given(house, "plug_factor", house.appliances, "plug_factor", "appliances.plug_factor"),
    )


def _money(base: Baseline, scene: Scene, prefix: str) -> list[Derivation]:
    prices = scene.terms.prices
    found, inputs = [], []
    for fuel, cost in base.cost_usd_by_fuel.items():
        amount = base.energy_j.get(fuel, 0.0)
        rate = prices.rates.get(fuel)
        price = DerivationInput(
            name_key=f"price.{fuel}", value=cost / amount if amount else 0.0, unit="$/J", path="",
            how="recorded" if rate is None else "worked_out",
            source=prices.as_of if rate is None else rate.name or rate.source,
        )  # fmt: skip
        energy = worked(f"energy.{fuel}", amount, "J", HOURLY)
        inputs += [energy, price]
        found.append(
            made(f"{prefix}fuel_cost:{fuel}", "cost_of_a_fuel", cost, "$", _COST, (energy, price),
                 "rate or price of the program, dated")
        )  # fmt: skip
    for use, cost in base.cost_usd_by_use.items():
        found.append(
            made(f"{prefix}use_cost:{use}", "cost_of_a_use", cost, "$",
                 "the fuel's cost, month by month, by the share of the use in it",
                 (worked(f"energy_use.{use}", base.use_j(use), "J", HOURLY),),
                 "rate or price of the program, dated")
        )  # fmt: skip
    found.append(
        made(f"{prefix}annual_cost", "cost_of_the_year", base.cost_usd, "$", _COST, tuple(inputs),
             "rates and prices of the program, dated")
    )  # fmt: skip
    found.append(
        made(f"{prefix}fixed_cost", "cost_without_use", base.fixed_usd, "$",
             "twelve months of what the rate asks with nothing used; no measure saves it",
             tuple(worked(f"rate.{fuel}", rate.name or fuel, "", rate.source)
                   for fuel, rate in prices.rates.items()),
             "rates of the program, dated")
    )  # fmt: skip
    carbon = tuple(
        DerivationInput(
            name_key=f"carbon.{fuel}", value=prices.co2_kg_per_j.get(fuel, 0.0), unit="kg/J",
            path="", how="recorded", source="40 CFR 98 Table C-1; eGRID for electricity (read)",
        )
        for fuel in base.energy_j
    )  # fmt: skip
    found.append(
        made(f"{prefix}carbon", "carbon_of_the_year", base.co2_kg, "kg", "Σ energy × factor",
             carbon, "combustion factors of fuels, output rate of the grid")
    )  # fmt: skip
    return found


_COST = "Σ energy × price; on a rate, each month's bill less what it is without any use"


def _infiltration(
    house: House, base: Baseline, weather: DerivationInput, prefix: str
) -> Derivation:
    leakage = house.air_leakage
    return made(
        f"{prefix}infiltration", "infiltration_mean", base.infiltration_m3_per_s, "m³/s",
        "mean over the year of sqrt(Qs² + Qw²); Qs = c·Cs·ΔT^n, Qw = c·Cw·(s·G·U)^(2n), "
        "c = Q50 / 50^n",
        (
            given(house, "flow50", leakage, "flow50_m3_per_s", "air_leakage.flow50_m3_per_s"),
            given(house, "exponent", leakage, "exponent", "air_leakage.exponent"),
            given(house, "exposure", leakage, "exposure_factor", "air_leakage.exposure_factor"),
            given(house, "shelter_class", house.site, "shelter_class", "site.shelter_class"),
            given(house, "stories", house.geometry, "stories", "geometry.stories"),
            weather,
        ),
        "ASHRAE Handbook-Fundamentals, enhanced infiltration model (memory)",
    )  # fmt: skip


def _loads(house: House, base: Baseline, weather: DerivationInput, prefix: str) -> list[Derivation]:
    control = house.thermostat
    warm = given(house, "heating_setpoint", control, "heating_c", "thermostat.heating_c")
    cool = given(house, "cooling_setpoint", control, "cooling_c", "thermostat.cooling_c")
    heat = worked("heating_load", base.heating_load_j, "J", HOURLY)
    cold = worked("cooling_load", base.cooling_load_j, "J", HOURLY)
    fuel = worked("energy_use.heating", base.use_j("heating"), "J", HOURLY)
    rows: list[tuple[str, float, str, str, tuple[DerivationInput, ...]]] = [
        ("heating_load", base.heating_load_j, "J",
         "Σ over the hours of the heat that keeps the set-point", (warm, weather)),
        ("cooling_load", base.cooling_load_j, "J",
         "Σ over the hours of the heat taken out to keep the set-point", (cool, weather)),
        ("season_efficiency", base.heating_efficiency, "share",
         "heat given to ducts, pipes or rooms / energy used for it, over the season",
         (heat, fuel)),
        ("delivery_heating", base.distribution_efficiency_heating, "share",
         "heat that arrives in the rooms / heat given to ducts or pipes", (heat,)),
        ("delivery_cooling", base.distribution_efficiency_cooling, "share",
         "cooling that arrives in the rooms / cooling given to the ducts", (cold,)),
        ("peak_heating", base.peak_heating_w, "W", "largest hour of heat asked of the plant",
         (warm, weather)),
        ("peak_cooling", base.peak_cooling_w, "W", "largest hour of cooling asked of the plant",
         (cool, weather)),
        ("unmet_hours", float(base.unmet_heating_hours), "h",
         "hours in which the plant's capacity is less than what is asked of it",
         (worked("peak_heating", base.peak_heating_w, "W", HOURLY),)),
        ("unmet_cooling_hours", float(base.unmet_cooling_hours), "h",
         "hours in which the coil's capacity is less than what is asked of it",
         (worked("peak_cooling", base.peak_cooling_w, "W", HOURLY),)),
        ("heat_loss_coefficient", base.heat_loss_w_per_k, "W/K",
         "heat of all parts / (heating hours × mean difference to outdoors)",
         (worked("heat_loss", sum(p.total_j for p in base.components), "J", HOURLY),)),
    ]  # fmt: skip
    return [
        made(f"{prefix}{key}", key, value, unit, formula, inputs, HOURLY)
        for key, value, unit, formula, inputs in rows
    ]


def _parts(house: House, base: Baseline, prefix: str) -> list[Derivation]:
    total = sum(part.total_j for part in base.components)
    cost = base.cost_usd_by_use.get("heating", 0.0)
    return [
        made(
            f"{prefix}part:{part.part}", "heat_of_a_part", part.total_j, "J",
            "heat through its material + heat with its air, in the hours when the heating runs; "
            "strokes: its share of one hundred, by largest remainder; cost: its share of heating",
            (
                worked("material", part.material_j, "J", HOURLY),
                worked("air", part.air_j, "J", HOURLY),
                worked("area", part.area_m2, "m²", "field record"),
                worked("all_parts", total, "J", HOURLY),
                worked("heating_cost", cost, "$", "rates and prices of the program, dated"),
            ),
            HOURLY,
        )
        for part in base.components
    ]  # fmt: skip


def _heat_loss(base: Baseline) -> Derivation:
    inputs = tuple(
        worked(f"part.{part.part}", part.total_j, "J", HOURLY) for part in base.components
    )
    return made(
        "heat_loss", "heat_of_all_parts", sum(part.total_j for part in base.components), "J",
        "sum of the parts, in the hours when the heating runs", inputs, HOURLY,
    )  # fmt: skip


def _attics(house: House) -> list[Derivation]:
    found = []
    for attic in house.attics:
        path = f"attics.{attic.id}"
        inputs = [
            given(house, f"layer.{attribute}", layer, attribute,
                  f"{path}.layers.{index}.{attribute}")
            for index, layer in enumerate(attic.layers)
            for attribute in ("material", "depth_m", "nominal_r_m2k_per_w", "condition",
                              "void_fraction")
        ]  # fmt: skip
        inputs.append(
            given(house, "framing_fraction", attic, "framing_fraction", f"{path}.framing_fraction")
        )
        found.append(
            made(
                f"attic_r:{attic.id}", "effective_r_of_an_attic", attic_floor_r(attic), "m²·K/W",
                "1 / Σ(share / R of the path) − R of films and board; compressed layers "
                "lose half of the thickness lost, bare area by condition",
                tuple(inputs),
                "parallel paths, ASHRAE Handbook-Fundamentals (memory); bare area by "
                "installation grade, ANSI/RESNET/ICC 301",
            )
        )  # fmt: skip
    return found


def _heating(house: House, base: Baseline) -> list[Derivation]:
    found = []
    for system in house.heating:
        path = f"heating.{system.id}"
        inputs = [
            given(house, attribute, system, attribute, f"{path}.{attribute}")
            for attribute in ("steady_state_efficiency", "efficiency", "seasonal_cop",
                              "year_installed", "capacity_w")
            if getattr(system, attribute) is not None
        ]  # fmt: skip
        inputs.append(worked("part_load_by_hour", base.heating_load_j, "J", HOURLY))
        found.append(
            made(
                f"heating_efficiency:{system.id}", "efficiency_over_the_season",
                base.heating_efficiency, "share",
                "heat given / Σ over the hours of (heat given / steady-state efficiency + "
                "idle loss while on call)",
                tuple(inputs),
                "linear input-output line of burners; idle shares are common practice",
            )
        )  # fmt: skip
    return found


def _ducts(house: House, base: Baseline) -> Derivation:
    ducts = house.ducts
    inputs = tuple(
        given(house, name, ducts, name, f"ducts.{name}")
        for name in ("supply_leak25_m3_per_s", "return_leak25_m3_per_s", "supply_area_m2",
                     "supply_r_m2k_per_w", "fan_flow_m3_per_s", "supply_location")
    )  # fmt: skip
    return made(
        "duct_delivery", "delivery_of_ducts", base.distribution_efficiency_heating, "share",
        "as·Bs − as·Bs·(1 − Br·ar)·ΔTr/ΔTe − as·(1 − Bs)·ΔTs/ΔTe, hour by hour",
        inputs,
        "ASHRAE Standard 152, heating delivery effectiveness (memory, derived again)",
    )  # fmt: skip
