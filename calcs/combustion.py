"""Combustion efficiency and flue gas from first principles, HHV basis.

Stoichiometry of a stated fuel analysis with dry air (20.95 % O2), enthalpies of the products
from NASA seven-coefficient polynomials, latent heat of the water formed. Steady-state
(combustion) efficiency excludes jacket, off-cycle and distribution losses: it is not AFUE.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from scipy.optimize import brentq

from calcs.constants import CELSIUS_ZERO_K, GAS_CONSTANT_J_PER_MOL_K
from calcs.errors import InputError
from calcs.guards import guarded, require_record_meant
from calcs.unit_factors import PA_PER_PSI, STANDARD_ATMOSPHERE_PA
from calcs.validation import (
    require_known,
    require_not_negative,
    require_positive,
    require_within,
)

O2_IN_DRY_AIR = 0.2095  # mole fraction
O2_IN_DRY_AIR_TRADE_PCT = 20.9  # the figure in the CO air-free formula
REFERENCE_K = 298.15
LATENT_HEAT_WATER_J_PER_MOL = 44_004.0  # at 25 C; ASME/NIST value, check row comb-064
CO_QUERY_O2_PCT = 18.0  # from here the sample is doubtful (trade practice)
CO_REFUSE_O2_PCT = 20.0  # from here no air-free value is given (trade practice)

# NASA polynomial coefficients a1..a5, 200/300-1000 K: cp/R = a1 + a2 T + ... (GRI-Mech 3.0
# thermodynamic set, public; SO2 from the Burcat-Ruscic set). Compared with cantera in tests.
_NASA_LOW: dict[str, tuple[float, float, float, float, float]] = {
    "CO2": (2.35677352, 8.98459677e-3, -7.12356269e-6, 2.45919022e-9, -1.43699548e-13),
    "H2O": (4.19864056, -2.0364341e-3, 6.52040211e-6, -5.48797062e-9, 1.77197817e-12),
    "N2": (3.298677, 1.4082404e-3, -3.963222e-6, 5.641515e-9, -2.444854e-12),
    "O2": (3.78245636, -2.99673416e-3, 9.84730201e-6, -9.68129509e-9, 3.24372837e-12),
    "SO2": (3.2665338, 5.3237902e-3, 6.8437552e-7, -5.2810047e-9, 2.5590454e-12),
}
POLYNOMIAL_LOW_K, POLYNOMIAL_HIGH_K = 200.0, 1000.0

# Enthalpies of formation at 25 C, gas, kJ/mol (NIST Chemistry WebBook; memory).
_FORMATION_KJ_PER_MOL = {
    "CH4": -74.6, "C2H6": -84.0, "C3H8": -104.7, "C4H10": -125.6,
    "CO2": -393.51, "H2O_liquid": -285.83,
}  # fmt: skip
_CARBON_HYDROGEN = {"CH4": (1, 4), "C2H6": (2, 6), "C3H8": (3, 8), "C4H10": (4, 10)}
_ATOMIC_MASS_KG_PER_MOL = {"C": 12.011e-3, "H": 1.008e-3, "S": 32.06e-3}


@dataclass(frozen=True)
class FuelAnalysis:
    """A fuel by its elements, per mole of gas or per kilogram of oil.

    All amounts are moles per unit of fuel; `hhv_j` is per the same unit.
    """

    name: str
    source: str
    carbon: float
    hydrogen: float
    hhv_j: float
    sulfur: float = 0.0
    nitrogen_n2: float = 0.0
    inert_co2: float = 0.0
    lhv_over_hhv: float = field(init=False)

    def __post_init__(self) -> None:
        require_record_meant(self)
        latent = self.hydrogen / 2.0 * LATENT_HEAT_WATER_J_PER_MOL
        object.__setattr__(self, "lhv_over_hhv", 1.0 - latent / self.hhv_j)

    @property
    def oxygen_needed(self) -> float:
        """Stoichiometric O2 per unit of fuel. [mol]"""
        return self.carbon + self.hydrogen / 4.0 + self.sulfur

    @property
    def dry_air_needed(self) -> float:
        """Stoichiometric dry air per unit of fuel. [mol]"""
        return self.oxygen_needed / O2_IN_DRY_AIR

    @property
    def dry_products(self) -> float:
        """Dry products without excess air, per unit of fuel. [mol]"""
        return (
            self.carbon
            + self.inert_co2
            + self.sulfur
            + self.nitrogen_n2
            + self.dry_air_needed * (1.0 - O2_IN_DRY_AIR)
        )

    @property
    def co2_max_pct(self) -> float:
        """CO2 (with SO2) in dry products without excess air. [% vol]"""
        return 100.0 * (self.carbon + self.inert_co2 + self.sulfur) / self.dry_products

    @property
    def latent_loss_pct(self) -> float:
        """Latent heat of the water formed, share of HHV. [%]"""
        return 100.0 * (1.0 - self.lhv_over_hhv)


def molar_hhv_j(species: str) -> float:
    """Higher heating value of a gas from enthalpies of formation. [J/mol]"""
    carbon, hydrogen = require_known(_CARBON_HYDROGEN, species, "combustible gas")
    products = (
        carbon * _FORMATION_KJ_PER_MOL["CO2"] + hydrogen / 2 * _FORMATION_KJ_PER_MOL["H2O_liquid"]
    )
    return 1e3 * (_FORMATION_KJ_PER_MOL[species] - products)


def gas_analysis(name: str, volume_fractions: dict[str, float], *, source: str) -> FuelAnalysis:
    """Fuel analysis of a gas from volume fractions of CH4, C2H6, C3H8, C4H10, N2 and CO2.

    Raises InputError when the fractions do not sum to 1 within 0.001 or a gas is unknown.
    """
    total = sum(volume_fractions.values())
    if abs(total - 1.0) > 1e-3:
        raise InputError(f"gas volume fractions must sum to 1, got {total:.4f}")
    carbon = hydrogen = hhv = 0.0
    for species, fraction in volume_fractions.items():
        if species in ("N2", "CO2"):
            continue
        c, h = require_known(_CARBON_HYDROGEN, species, "combustible gas")
        carbon += fraction * c
        hydrogen += fraction * h
        hhv += fraction * molar_hhv_j(species)
    return FuelAnalysis(
        name,
        source,
        carbon=carbon,
        hydrogen=hydrogen,
        hhv_j=hhv,
        nitrogen_n2=volume_fractions.get("N2", 0.0),
        inert_co2=volume_fractions.get("CO2", 0.0),
    )


def oil_analysis(
    name: str, *, carbon: float, hydrogen: float, sulfur: float, hhv_j_per_kg: float, source: str
) -> FuelAnalysis:
    """Fuel analysis of an oil from mass fractions. Raises InputError if they exceed 1."""
    if not 0.9 <= carbon + hydrogen + sulfur <= 1.0 + 1e-9:
        raise InputError("oil mass fractions of C, H and S must sum to between 0.9 and 1")
    return FuelAnalysis(
        name,
        source,
        carbon=carbon / _ATOMIC_MASS_KG_PER_MOL["C"],
        hydrogen=hydrogen / _ATOMIC_MASS_KG_PER_MOL["H"],
        sulfur=sulfur / _ATOMIC_MASS_KG_PER_MOL["S"],
        hhv_j=hhv_j_per_kg,
    )


_ASSUMED = "analysis assumed typical; ask the supplier for the local one"
FUEL_ANALYSES: dict[str, FuelAnalysis] = {
    "natural_gas": gas_analysis(
        "reference natural gas",
        {"CH4": 0.945, "C2H6": 0.030, "C3H8": 0.005, "N2": 0.012, "CO2": 0.008},
        source=_ASSUMED,
    ),
    "methane": gas_analysis("methane", {"CH4": 1.0}, source="pure substance"),
    "propane": gas_analysis("propane", {"C3H8": 1.0}, source="pure substance"),
    "fuel_oil_2": oil_analysis(
        "No.2 oil",
        carbon=0.872,
        hydrogen=0.126,
        sulfur=0.002,
        hhv_j_per_kg=45.5e6,
        source=_ASSUMED,
    ),
}


@dataclass(frozen=True)
class FlueGasResult:
    """Combustion efficiency of one flue-gas sample and the losses behind it, percent of HHV."""

    efficiency_pct: float
    basis: str  # always "HHV"
    excess_air_pct: float
    co2_pct: float
    dew_point_c: float
    dry_loss_pct: float
    vapor_loss_pct: float
    latent_loss_pct: float
    is_condensing: bool
    fuel: str


@dataclass(frozen=True)
class CarbonMonoxideResult:
    """CO as measured and air-free; `quality` is "ok", "query" or "re-sample"."""

    as_measured_ppm: float
    air_free_ppm: float | None
    quality: str


def fuel_analysis(fuel: str) -> FuelAnalysis:
    """The stored analysis of a fuel. Raises InputError for an unknown one."""
    return require_known(FUEL_ANALYSES, fuel, "fuel analysis")


def sensible_enthalpy_j_per_mol(species: str, temperature_k: float) -> float:
    """Enthalpy above 25 C of a product gas. [J/mol]

    Raises InputError outside 200 to 1000 K, the range of the polynomials.
    """
    require_within(temperature_k, POLYNOMIAL_LOW_K, POLYNOMIAL_HIGH_K, "flue-gas temperature", "K")
    coefficients = require_known(_NASA_LOW, species, "product gas")

    def integral(kelvin: float) -> float:
        return sum(a * kelvin ** (i + 1) / (i + 1) for i, a in enumerate(coefficients))

    return GAS_CONSTANT_J_PER_MOL_K * (integral(temperature_k) - integral(REFERENCE_K))


def _o2_fraction(o2_pct: float) -> float:
    require_within(o2_pct, 0, CO_REFUSE_O2_PCT, "flue-gas O2 (dry)", "%")
    return o2_pct / 100.0


def _excess_oxygen(fuel: FuelAnalysis, o2_pct: float) -> float:
    """Excess O2 per unit of fuel from the dry O2 reading, e = y D0/(1 - y/x). [mol]"""
    y = _o2_fraction(o2_pct)
    return y * fuel.dry_products / (1.0 - y / O2_IN_DRY_AIR)


@guarded
def excess_air_pct(fuel: FuelAnalysis, o2_pct: float) -> float:
    """Excess air from dry O2, exact with the fuel's own products. [%]

    O2/(20.9 - O2) alone overstates it for hydrocarbons (31.4 for 28.1 % of gas at 5 %).
    """
    return 100.0 * _excess_oxygen(fuel, o2_pct) / fuel.oxygen_needed


@guarded
def co2_pct(fuel: FuelAnalysis, o2_pct: float) -> float:
    """CO2 in dry flue gas from O2, CO2max (20.95 - O2)/20.95. [% vol]"""
    return fuel.co2_max_pct * (1.0 - _o2_fraction(o2_pct) / O2_IN_DRY_AIR)


@guarded
def o2_pct_from_co2(fuel: FuelAnalysis, co2_reading_pct: float) -> float:
    """O2 in dry flue gas from a CO2 reading; inverse of co2_pct. [% vol]"""
    require_within(co2_reading_pct, 0.01, fuel.co2_max_pct, "flue-gas CO2 (dry)", "%")
    return 100.0 * O2_IN_DRY_AIR * (1.0 - co2_reading_pct / fuel.co2_max_pct)


@guarded
def excess_air_from_o2_co2_pct(o2_pct: float, co2_reading_pct: float) -> float:
    """Excess air by the ASME form, O2/(0.2682 N2 - O2) with N2 by difference. [%]"""
    nitrogen = 100.0 - o2_pct - co2_reading_pct
    return 100.0 * o2_pct / (0.2682 * nitrogen - o2_pct)


def saturation_pressure_pa(temperature_c: float) -> float:
    """Saturation pressure of water over liquid, 0 to 200 C. [Pa]

    Source: Hyland and Wexler 1983, as in ASHRAE Handbook-Fundamentals (memory).
    """
    require_within(temperature_c, 0, 200, "water temperature", "C")
    kelvin = temperature_c + CELSIUS_ZERO_K
    return math.exp(
        -5.8002206e3 / kelvin
        + 1.3914993
        - 4.8640239e-2 * kelvin
        + 4.1764768e-5 * kelvin**2
        - 1.4452093e-8 * kelvin**3
        + 6.5459673 * math.log(kelvin)
    )


def saturation_temperature_c(pressure_pa: float) -> float:
    """Temperature at which water boils at an absolute pressure. [C]"""
    low, high = saturation_pressure_pa(0.0), saturation_pressure_pa(200.0)
    require_within(pressure_pa, low, high, "absolute pressure", "Pa")
    return float(brentq(lambda t: saturation_pressure_pa(t) - pressure_pa, 0.0, 200.0))


def steam_temperature_c(gauge_pa: float, *, atmosphere_pa: float = STANDARD_ATMOSPHERE_PA) -> float:
    """Temperature of saturated steam at a gauge pressure. [C]

    At 0 gauge and sea level this is 100 C (212 F): a steam boiler cannot run cooler.
    """
    return saturation_temperature_c(atmosphere_pa + require_not_negative(gauge_pa, "gauge", "Pa"))


@guarded
def water_column_m(gauge_pa: float) -> float:
    """Height of cold water a steam pressure holds up in the returns. [m]"""
    return gauge_pa / 9806.65  # conventional water column, 1 in. w.c. = 249.08891 Pa


@guarded
def dew_point_c(
    fuel: FuelAnalysis, o2_pct: float, *, pressure_pa: float = STANDARD_ATMOSPHERE_PA
) -> float:
    """Water dew point of the flue gas with dry combustion air. [C]

    Sulfuric acid of oil condenses far above it.
    """
    water = fuel.hydrogen / 2.0
    dry = fuel.dry_products + _excess_oxygen(fuel, o2_pct) / O2_IN_DRY_AIR
    return saturation_temperature_c(pressure_pa * water / (water + dry))


@guarded
def combustion_efficiency(
    fuel: FuelAnalysis,
    o2_pct: float,
    *,
    stack_c: float,
    combustion_air_c: float,
    pressure_pa: float = STANDARD_ATMOSPHERE_PA,
) -> FlueGasResult:
    """Steady-state efficiency on higher heating value from O2 and temperatures.

    Parameters
    ----------
    fuel : FuelAnalysis
    o2_pct : float
        Dry O2, taken before any draft-hood dilution. [% vol]
    stack_c, combustion_air_c : float
        Flue gas, and the air the burner draws (outdoors for a direct vent). [C]

    Returns
    -------
    FlueGasResult
        Below the dew point the latent heat of the condensed water counts as recovered.

    Raises
    ------
    InputError
        O2 outside 0 to 20 %, stack not warmer than the air, or beyond 1000 K.

    References
    ----------
    First-principles energy balance. Compared with US DOE Energy Tips: Steam, Tip Sheet #4,
    which it exceeds by 0.4 to 0.7 points (that sheet does not state its gas).
    """
    require_within(combustion_air_c, -50, 60, "combustion-air temperature", "C")
    if stack_c <= combustion_air_c:
        raise InputError("stack temperature must be above the combustion-air temperature, C")
    excess = _excess_oxygen(fuel, o2_pct)
    hot, cold = stack_c + CELSIUS_ZERO_K, combustion_air_c + CELSIUS_ZERO_K

    def rise(species: str) -> float:
        return sensible_enthalpy_j_per_mol(species, hot) - sensible_enthalpy_j_per_mol(
            species, cold
        )

    air_nitrogen = (fuel.oxygen_needed + excess) * (1.0 - O2_IN_DRY_AIR) / O2_IN_DRY_AIR
    dry_loss = (
        (fuel.carbon + fuel.inert_co2) * rise("CO2")
        + fuel.sulfur * rise("SO2")
        + (fuel.nitrogen_n2 + air_nitrogen) * rise("N2")
        + excess * rise("O2")
    )
    water = fuel.hydrogen / 2.0
    dry_moles = fuel.dry_products + excess / O2_IN_DRY_AIR
    dew_point = saturation_temperature_c(pressure_pa * water / (water + dry_moles))
    vapor = water
    if stack_c < dew_point:
        saturation = saturation_pressure_pa(max(stack_c, 0.0))
        vapor = min(water, dry_moles * saturation / (pressure_pa - saturation))
    vapor_loss = vapor * rise("H2O")
    latent_loss = vapor * LATENT_HEAT_WATER_J_PER_MOL
    to_pct = 100.0 / fuel.hhv_j
    return FlueGasResult(
        efficiency_pct=100.0 - to_pct * (dry_loss + vapor_loss + latent_loss),
        basis="HHV",
        excess_air_pct=100.0 * excess / fuel.oxygen_needed,
        co2_pct=co2_pct(fuel, o2_pct),
        dew_point_c=dew_point,
        dry_loss_pct=to_pct * dry_loss,
        vapor_loss_pct=to_pct * vapor_loss,
        latent_loss_pct=to_pct * latent_loss,
        is_condensing=vapor < water,
        fuel=fuel.name,
    )


# Siegert-type coefficients of the German 1. BImSchV: A2 and B of the O2 form (memory).
SIEGERT_COEFFICIENTS = {
    "natural_gas": (0.66, 0.009),
    "fuel_oil_2": (0.68, 0.007),
    "propane": (0.63, 0.008),
}


def siegert_loss_pct(fuel: str, o2_pct: float, *, net_stack_k: float) -> float:
    """Flue loss by the Siegert-type formula, dT [A2/(21 - O2) + B], percent of LHV."""
    a2, b = require_known(SIEGERT_COEFFICIENTS, fuel, "Siegert fuel")
    _o2_fraction(o2_pct)
    require_positive(net_stack_k, "net stack temperature", "K")
    return net_stack_k * (a2 / (21.0 - o2_pct) + b)


@guarded
def hhv_efficiency_from_lhv_loss_pct(loss_pct_lhv: float, lhv_over_hhv: float) -> float:
    """HHV efficiency from a flue loss in percent of LHV. [%] A Siegert 93 is an HHV 84."""
    require_within(lhv_over_hhv, 0.8, 1.0, "LHV/HHV", "(no unit)")
    return (100.0 - loss_pct_lhv) * lhv_over_hhv


def co_air_free(co_ppm: float, o2_pct: float) -> CarbonMonoxideResult:
    """CO brought to zero excess air, CO x 20.9/(20.9 - O2).

    From 18 % O2 the value is given with a query (the sample is mostly room air); from 20 %
    none is given: re-sample. Source: ANSI/BPI-1200, NFPA 54 annex (memory); the two bounds
    are trade practice. Raises InputError for CO below 0 or O2 outside 0 to 21.5 %.
    """
    require_not_negative(co_ppm, "CO", "ppm")
    require_within(o2_pct, 0, 21.5, "flue-gas O2 (dry)", "%")
    if o2_pct >= CO_REFUSE_O2_PCT:
        return CarbonMonoxideResult(co_ppm, None, "re-sample")
    # The factor first: it is exactly 1 without O2, so air-free is never below as measured.
    air_free = co_ppm * (O2_IN_DRY_AIR_TRADE_PCT / (O2_IN_DRY_AIR_TRADE_PCT - o2_pct))
    quality = "query" if o2_pct >= CO_QUERY_O2_PCT else "ok"
    return CarbonMonoxideResult(co_ppm, air_free, quality)


@guarded
def co_air_free_from_co2_ppm(co_ppm: float, co2_reading_pct: float, co2_max_pct: float) -> float:
    """CO brought to zero excess air by CO2, CO x CO2max/CO2. [ppm] Source: memory."""
    require_not_negative(co_ppm, "CO", "ppm")
    require_within(co2_reading_pct, 0.01, co2_max_pct, "flue-gas CO2 (dry)", "%")
    return co_ppm * co2_max_pct / co2_reading_pct


def meter_dial_input_w(dial_m3: float, seconds: float, *, hhv_j_per_m3: float) -> float:
    """Gas input from one turn of a meter dial, only this appliance running. [W]"""
    require_positive(dial_m3, "dial volume", "m3")
    require_positive(seconds, "time of one turn", "s")
    require_positive(hhv_j_per_m3, "heat content", "J/m3")
    return dial_m3 * hhv_j_per_m3 / seconds


@guarded
def nozzle_input_w(
    nozzle_m3_per_s_at_100psi: float, pump_pa: float, *, hhv_j_per_m3: float
) -> float:
    """Oil input from the nozzle's rating at 100 psi and the pump pressure. [W]

    Flow grows with the square root of pressure.
    """
    require_positive(nozzle_m3_per_s_at_100psi, "nozzle rating", "m3/s")
    require_positive(pump_pa, "pump pressure", "Pa")
    return nozzle_m3_per_s_at_100psi * math.sqrt(pump_pa / (100.0 * PA_PER_PSI)) * hhv_j_per_m3
