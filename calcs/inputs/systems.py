"""Records of what uses energy: heating, cooling, ducts, hot water, lamps, appliances."""

from __future__ import annotations

from dataclasses import dataclass

from calcs.errors import InputError
from calcs.records import Checked, choice, quantity

FUELS = ("natural_gas", "propane", "fuel_oil", "electricity")
SPACES = ("conditioned", "attic", "crawlspace", "basement", "garage", "outside", "belly")
HEATING_KINDS = (
    "furnace",
    "boiler",
    "wall_furnace",
    "electric_resistance",
    "heat_pump",
    "ductless_heat_pump",
    "stove",
)
DISTRIBUTIONS = ("ducts", "hot_water_pipes", "steam_pipes", "room")
VENT_KINDS = ("atmospheric", "induced_draft", "power_vented", "direct", "unvented", "none")
COOLING_KINDS = (
    "central_air_conditioner",
    "heat_pump",
    "ductless_heat_pump",
    "room_air_conditioner",
)
WATER_HEATER_KINDS = ("storage", "instantaneous", "heat_pump", "boiler_coil", "indirect_tank")
FAN_ENDS = ("outside", "attic", "soffit", "crawlspace", "room", "unknown")
# Steam needs water at 212 °F: its flue gas leaves hotter than that and nothing condenses. Units
# sold reach 83 to 86 %; above this a rating cannot be that of a steam boiler (common practice).
STEAM_EFFICIENCY_LIMIT = 0.88
LAMP_KINDS = ("incandescent", "halogen", "cfl", "led", "fluorescent_tube")


@dataclass(frozen=True, kw_only=True)
class Fan(Checked):
    """A ventilation fan. `recovery` is the sensible share a heat exchanger gives back."""

    id: str
    kind: str = choice(("exhaust", "supply", "balanced"), default="exhaust")
    purpose: str = choice(("whole_house", "bath", "kitchen", "dryer"), default="bath")
    flow_m3_per_s: float = quantity("m³/s", 0.0, 0.6)
    hours_per_day: float = quantity("h", 0.0, 24.0, default=1.0)
    power_w: float = quantity("W", 0.0, 1000.0, default=20.0)
    recovery: float = quantity("share", 0.0, 0.95, default=0.0)
    vented_to: str = choice(FAN_ENDS, default="outside")


@dataclass(frozen=True, kw_only=True)
class HeatingSystem(Checked):
    """A heating system.

    `efficiency` is the nameplate AFUE (or COP 1 for resistance); `steady_state_efficiency` is
    today's flue test and says nothing of idle losses. Heat pumps carry HSPF as the seasonal
    coefficient of performance (HSPF divided by 3.412).
    """

    id: str
    name: str = ""
    kind: str = choice(HEATING_KINDS)
    fuel: str = choice(FUELS)
    distribution: str = choice(DISTRIBUTIONS, default="ducts")
    capacity_w: float = quantity("W", 100.0, 600000.0)
    efficiency: float | None = quantity("share", 0.3, 1.0, default=None)
    steady_state_efficiency: float | None = quantity("share", 0.3, 1.0, default=None)
    seasonal_cop: float | None = quantity("-", 0.8, 6.0, default=None)
    year_installed: int | None = quantity("year", 1900, 2100, default=None)
    service: str = choice(("annual", "seldom"), default="seldom")
    vent: str = choice(VENT_KINDS, default="none")
    location: str = choice(SPACES, default="conditioned")
    load_share: float = quantity("share", 0.0, 1.0, default=1.0)
    backup_fuel: str = choice(("", *FUELS), default="")
    backup_efficiency: float = quantity("share", 0.3, 1.0, default=1.0)
    lockout_c: float | None = quantity("°C", -40.0, 15.0, default=None)
    pilot_w: float = quantity("W", 0.0, 1000.0, default=0.0)
    fan_pump_w: float | None = quantity("W", 0.0, 2500.0, default=None)
    bare_pipe_m: float = quantity("m", 0.0, 300.0, default=0.0)
    pipe_location: str = choice(SPACES, default="basement")
    is_condensing: bool = False
    # Hottest water of a hot-water system, and whether it follows the outdoor temperature.
    supply_design_c: float = quantity("°C", 30.0, 95.0, default=82.2)
    has_outdoor_reset: bool = False
    # A heat pump's capacity at 17 °F over that at 47 °F; None for usual of its kind.
    cold_capacity_share: float | None = quantity("share", 0.3, 1.1, default=None)
    # Steam: main vents, and radiator vents or traps, that do not work.
    bad_main_vents: int = quantity("vents", 0, 50, default=0)
    bad_radiator_vents: int = quantity("vents or traps", 0, 100, default=0)
    # Radiator surface (equivalent direct radiation), where it was counted.
    radiator_area_m2: float | None = quantity("m² EDR", 0.5, 500.0, default=None)

    def __post_init__(self) -> None:
        super().__post_init__()
        if self.distribution != "steam_pipes":
            return
        if self.efficiency is not None and self.efficiency > STEAM_EFFICIENCY_LIMIT:
            raise InputError(
                f"HeatingSystem.efficiency is {self.efficiency:g}; with distribution steam_pipes "
                f"it must not be above {STEAM_EFFICIENCY_LIMIT:g}: water boils at 212 °F and its "
                "flue gas does not condense."
            )
        if self.is_condensing:
            raise InputError(
                "HeatingSystem.is_condensing is True; with distribution steam_pipes it must be "
                f"False, and the efficiency at most {STEAM_EFFICIENCY_LIMIT:g}: water boils at "
                "212 °F and its flue gas does not condense."
            )


@dataclass(frozen=True, kw_only=True)
class CoolingSystem(Checked):
    """A cooling system; `seasonal_cop` is SEER divided by 3.412."""

    id: str
    name: str = ""
    kind: str = choice(COOLING_KINDS, default="central_air_conditioner")
    distribution: str = choice(("ducts", "room"), default="ducts")
    capacity_w: float = quantity("W", 300.0, 100000.0)
    seasonal_cop: float = quantity("-", 0.8, 12.0, default=3.5)
    year_installed: int | None = quantity("year", 1900, 2100, default=None)
    load_share: float = quantity("share", 0.0, 1.0, default=1.0)


@dataclass(frozen=True, kw_only=True)
class DuctPart(Checked):
    """A part of one side of the ducts, by the space it runs through."""

    space: str = choice(SPACES)
    share: float = quantity("share of the side's area", 0.0, 1.0)


@dataclass(frozen=True, kw_only=True)
class Ducts(Checked):
    """Forced-air ducts outside the heated rooms; leakage is to outside, at 25 Pa.

    The location of a side names where most of it runs; its parts, where they were recorded, say
    where all of it runs, and their shares add to 1.
    """

    supply_location: str = choice(SPACES, default="attic")
    return_location: str = choice(SPACES, default="attic")
    supply_area_m2: float = quantity("m²", 0.0, 400.0)
    return_area_m2: float = quantity("m²", 0.0, 300.0)
    supply_r_m2k_per_w: float = quantity("m²·K/W", 0.0, 6.0, default=0.7)
    return_r_m2k_per_w: float = quantity("m²·K/W", 0.0, 6.0, default=0.7)
    supply_leak25_m3_per_s: float = quantity("m³/s at 25 Pa", 0.0, 2.0)
    return_leak25_m3_per_s: float = quantity("m³/s at 25 Pa", 0.0, 2.0)
    fan_flow_m3_per_s: float = quantity("m³/s", 0.05, 3.0)
    operating_pressure_pa: float = quantity("Pa", 1.0, 250.0, default=25.0)
    outside_share: float = quantity("share of duct area", 0.0, 1.0, default=1.0)
    supply_parts: tuple[DuctPart, ...] = ()
    return_parts: tuple[DuctPart, ...] = ()

    def __post_init__(self) -> None:
        super().__post_init__()
        for name in ("supply_parts", "return_parts"):
            total = sum(part.share for part in getattr(self, name))
            if getattr(self, name) and abs(total - 1.0) > 1e-6:
                raise InputError(f"Ducts.{name} is {total:g} in all; it must be 1 (shares).")


@dataclass(frozen=True, kw_only=True)
class Thermostat(Checked):
    """Set-points. The setback holds over `setback_hours_per_day`, ending at 6 in the morning.

    A schedule of 24 set-points, from the hour after midnight on, goes before all of these.
    """

    heating_c: float = quantity("°C", 5.0, 30.0, default=20.0)
    cooling_c: float = quantity("°C", 15.0, 35.0, default=25.0)
    heating_setback_k: float = quantity("K", 0.0, 12.0, default=0.0)
    cooling_setup_k: float = quantity("K", 0.0, 12.0, default=0.0)
    setback_hours_per_day: float = quantity("h", 0.0, 20.0, default=0.0)
    kind: str = choice(("manual", "programmable", "connected"), default="manual")
    heating_by_hour_c: tuple[float, ...] | None = None
    cooling_by_hour_c: tuple[float, ...] | None = None

    def __post_init__(self) -> None:
        super().__post_init__()
        for name, low, high in (
            ("heating_by_hour_c", 5.0, 30.0),
            ("cooling_by_hour_c", 15.0, 35.0),
        ):
            hours = getattr(self, name)
            if hours is None:
                continue
            if len(hours) != 24 or not all(
                isinstance(value, (int, float)) and low <= value <= high for value in hours
            ):
                raise InputError(
                    f"Thermostat.{name} is {hours!r}; it must be 24 values between {low:g} and "
                    f"{high:g} °C."
                )


@dataclass(frozen=True, kw_only=True)
class WaterHeater(Checked):
    """A water heater; give `uef` or `ef`, which are different tests and not interchangeable."""

    id: str
    name: str = ""
    kind: str = choice(WATER_HEATER_KINDS, default="storage")
    fuel: str = choice(FUELS)
    volume_m3: float = quantity("m³", 0.0, 2.0, default=0.151)
    input_w: float | None = quantity("W", 300.0, 120000.0, default=None)
    uef: float | None = quantity("-", 0.2, 6.0, default=None)
    ef: float | None = quantity("-", 0.2, 6.0, default=None)
    recovery_efficiency: float | None = quantity("-", 0.5, 6.0, default=None)
    setpoint_c: float = quantity("°C", 35.0, 85.0, default=51.7)
    year_installed: int | None = quantity("year", 1900, 2100, default=None)
    vent: str = choice(VENT_KINDS, default="none")
    location: str = choice(SPACES, default="conditioned")
    has_jacket: bool = False
    # Air around it, for a heat pump that takes its heat from there.
    room_volume_m3: float | None = quantity("m³", 0.2, 2000.0, default=None)
    bare_pipe_m: float = quantity("m", 0.0, 60.0, default=3.0)
    load_share: float = quantity("share", 0.0, 1.0, default=1.0)


@dataclass(frozen=True, kw_only=True)
class HotWaterUse(Checked):
    """Fixtures. Flows of None mean not measured: the published reference draw holds.

    `draw_factor` is this household's draw over that draw: 1 unless bills or a meter say otherwise.
    """

    shower_flow_m3_per_s: float | None = quantity("m³/s", 0.0, 6e-4, default=None)
    shower_heads: int = quantity("shower heads", 0, 12, default=1)
    faucet_flow_m3_per_s: float | None = quantity("m³/s", 0.0, 6e-4, default=None)
    faucets: int = quantity("faucets", 0, 30, default=3)
    draw_factor: float = quantity("-", 0.1, 5.0, default=1.0)


@dataclass(frozen=True, kw_only=True)
class LampGroup(Checked):
    """Alike lamps burning the same hours."""

    id: str
    kind: str = choice(LAMP_KINDS)
    count: int = quantity("lamps", 0, 500)
    power_w: float = quantity("W each", 0.0, 1000.0)
    hours_per_day: float = quantity("h", 0.0, 24.0, default=2.0)
    location: str = choice(("inside", "outside", "garage"), default="inside")


@dataclass(frozen=True, kw_only=True)
class Refrigerator(Checked):
    """A refrigerator or freezer; metered use, or None for the default by year."""

    id: str
    name: str = ""
    energy_j_per_year: float | None = quantity("J", 0.0, 3.0e10, default=None)
    volume_m3: float = quantity("m³", 0.05, 1.5, default=0.5)
    year_made: int | None = quantity("year", 1930, 2100, default=None)
    location: str = choice(("inside", "garage", "basement", "outside"), default="inside")
    is_second: bool = False


@dataclass(frozen=True, kw_only=True)
class Appliances(Checked):
    """Everything else that uses energy. `extra_plug_w` is a steady load above the reference.

    `plug_factor` is this household's plug loads over the reference's: 1 unless bills say otherwise.
    """

    refrigerators: tuple[Refrigerator, ...] = ()
    cooking_fuel: str = choice(FUELS, default="electricity")
    dryer_fuel: str = choice(("none", *FUELS), default="electricity")
    has_clothes_washer: bool = True
    clothes_washer: str = choice(("unknown", "old", "efficient"), default="unknown")
    dehumidifier: str = choice(("none", "old", "efficient"), default="none")
    has_dishwasher: bool = True
    extra_plug_w: float = quantity("W", 0.0, 5000.0, default=0.0)
    plug_factor: float = quantity("-", 0.1, 5.0, default=1.0)
