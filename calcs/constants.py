"""Physical constants, fuels, emission factors and source-energy ratios.

Each number has a name, a unit and a source. `provenance` is "read" when the value was seen
in an opened text and "memory" when it was recalled and still wants confirming.
"""

from __future__ import annotations

from dataclasses import dataclass

from calcs.guards import guarded
from calcs.unit_factors import (
    J_PER_MMBTU,
    KG_PER_LB,
    M3_PER_FT3,
    M3_PER_GAL,
)
from calcs.validation import require_known

CELSIUS_ZERO_K = 273.15
GAS_CONSTANT_J_PER_MOL_K = 8.314462618  # exact since 2019, SI Brochure
GAS_CONSTANT_DRY_AIR_J_PER_KG_K = 287.055  # ASHRAE/ISO value, check row comb-137
GRAVITY_M_PER_S2 = 9.80665  # standard gravity
WATER_SPECIFIC_HEAT_J_PER_KG_K = 4186.8  # 1 Btu(IT)/(lb degF)
AIR_DENSITY_REFERENCE_KG_PER_M3 = 1.2041  # dry air, 20 C, sea level (ASTM E779 annex; memory)
AIR_VISCOSITY_REFERENCE_PA_S = 1.8e-5  # 20 C, rounded as in ASTM E779 (memory)


@dataclass(frozen=True)
class Constant:
    """One published number as published: value, unit, source, how it was obtained."""

    value: float
    unit: str
    source: str
    provenance: str


_CFR98 = "40 CFR 98 Table C-1 (as amended 81 FR 89188, 2016)"
_SOURCE_ENERGY = "US EPA technical reference Source Energy, August 2023, Figure 1"
_EGRID = "US EPA eGRID2022 total output CO2 rate"

_VOLUME_M3 = {"MMBtu/scf": M3_PER_FT3, "MMBtu/gal": M3_PER_GAL}


@dataclass(frozen=True)
class Fuel:
    """Heat content (higher heating value) and CO2 factor of one delivered fuel."""

    name: str
    heat_content: Constant
    co2_factor: Constant

    @property
    def hhv_j_per_m3(self) -> float:
        """Higher heating value. [J/m3 of fuel as measured: scf of gas, liquid gallon]"""
        return self.heat_content.value * J_PER_MMBTU / _VOLUME_M3[self.heat_content.unit]

    @property
    def co2_kg_per_j(self) -> float:
        """Carbon dioxide per heat content, HHV basis. [kg/J] CO2 only, not CO2e."""
        return self.co2_factor.value / J_PER_MMBTU


def _fuel(name: str, hhv: float, unit: str, co2: float, co2_provenance: str = "read") -> Fuel:
    return Fuel(
        name,
        Constant(hhv, unit, _CFR98, "read"),
        Constant(co2, "kg/MMBtu", _CFR98, co2_provenance),
    )


FUELS: dict[str, Fuel] = {
    "natural_gas": _fuel("natural gas", 1.026e-3, "MMBtu/scf", 53.06),
    "fuel_oil_2": _fuel("distillate No.2", 0.138, "MMBtu/gal", 73.96),
    "fuel_oil_1": _fuel("distillate No.1", 0.139, "MMBtu/gal", 73.25),
    "kerosene": _fuel("kerosene", 0.135, "MMBtu/gal", 75.20),
    "propane": _fuel("propane", 0.091, "MMBtu/gal", 62.87),
}

SOURCE_SITE_RATIOS: dict[str, Constant] = {
    "electricity_grid": Constant(2.80, "-", _SOURCE_ENERGY, "read"),
    "electricity_onsite_renewable": Constant(1.00, "-", _SOURCE_ENERGY, "read"),
    "natural_gas": Constant(1.05, "-", _SOURCE_ENERGY, "read"),
    "electricity_grid_canada": Constant(1.83, "-", _SOURCE_ENERGY, "read"),
    "natural_gas_canada": Constant(1.06, "-", _SOURCE_ENERGY, "read"),
    "fuel_oil": Constant(1.01, "-", _SOURCE_ENERGY, "memory"),
    "propane": Constant(1.01, "-", _SOURCE_ENERGY, "memory"),
}

# Output rate excludes line loss: divide by (1 - loss) for delivered electricity.
_EGRID_LB_PER_MWH = {
    "US": 823.149,
    "AKGD": 1052.114,
    "AKMS": 495.772,
    "AZNM": 776.036,
    "CAMX": 497.443,
    "ERCT": 771.083,
    "FRCC": 813.846,
    "HIMS": 1155.486,
    "HIOA": 1575.407,
    "MROE": 1479.621,
    "MROW": 936.485,
    "NEWE": 536.428,
    "NWPP": 602.088,
    "NYCW": 885.233,
    "NYLI": 1200.708,
    "NYUP": 274.559,
    "PRMS": 1593.481,
    "RFCE": 657.386,
    "RFCM": 1216.404,
    "RFCW": 1000.053,
    "RMPA": 1124.887,
    "SPNO": 952.575,
    "SPSO": 970.398,
    "SRMV": 801.015,
    "SRMW": 1369.887,
    "SRSO": 893.290,
    "SRTV": 933.067,
    "SRVC": 622.987,
}
GRID_CO2_RATES: dict[str, Constant] = {
    subregion: Constant(rate, "lb/MWh", _EGRID, "read")
    for subregion, rate in _EGRID_LB_PER_MWH.items()
}


@guarded
def grid_co2_kg_per_j(subregion: str, *, line_loss_fraction: float = 0.0) -> float:
    """Carbon dioxide per delivered electricity of one eGRID2022 subregion. [kg/J]

    Raises InputError for an unknown subregion. `line_loss_fraction` turns the output rate
    into a rate per delivered energy; 0 gives the published output rate.
    """
    rate = require_known(GRID_CO2_RATES, subregion, "eGRID subregion")
    return rate.value * KG_PER_LB / 3.6e9 / (1.0 - line_loss_fraction)


def source_energy_j(site_energy_j: dict[str, float]) -> float:
    """Source energy of a home from site energy by carrier (keys of SOURCE_SITE_RATIOS). [J]"""
    return sum(
        energy * require_known(SOURCE_SITE_RATIOS, carrier, "energy carrier").value
        for carrier, energy in site_energy_j.items()
    )
