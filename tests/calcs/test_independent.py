"""Flue gas and moist air worked out again with libraries that share no code with ours.

Chemistry: cantera, thermodynamic data of its gri30.yaml. Moist air and saturation: psychrolib,
after ASHRAE Handbook-Fundamentals, chapter 1.
"""

from __future__ import annotations

import math
import re
from functools import cache

import cantera
import numpy as np
import psychrolib
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from calcs import (
    combustion,
    combustion_air,
    cooling_coils,
    foundations,
    handbook_infiltration,
    leakage,
    safety_limits,
)
from calcs.checks import CONSTANT_DOUBTS, DOUBTS, ConstantDoubt
from calcs.checks.registry import solver_for
from calcs.checks.rows import load_rows
from calcs.unit_factors import K_PER_DEGF, PA_PER_PSI
from tests.factories.weather import greensboro

psychrolib.SetUnitSystem(psychrolib.SI)

O2_IN_AIR = 0.2095
REFERENCE_K = 298.15
GASES: dict[str, dict[str, float]] = {
    "methane": {"CH4": 1.0},
    "propane": {"C3H8": 1.0},
    "natural_gas": {"CH4": 0.945, "C2H6": 0.030, "C3H8": 0.005, "N2": 0.012, "CO2": 0.008},
}


@cache
def gas() -> cantera.Solution:
    return cantera.Solution("gri30.yaml")


@cache
def enthalpy_j_per_mol(species: str, kelvin: float) -> float:
    """Molar enthalpy, formation included. [J/mol]"""
    mixture = gas()
    mixture.TPX = kelvin, cantera.one_atm, f"{species}:1"
    return float(mixture.enthalpy_mole) / 1e3


def latent_j_per_mol() -> float:
    """Water at 25 C from vapor to liquid, by cantera's own equation of state. [J/mol]"""
    water = cantera.Water()
    water.TQ = REFERENCE_K, 1.0
    vapor = water.enthalpy_mole
    water.TQ = REFERENCE_K, 0.0
    return float(vapor - water.enthalpy_mole) / 1e3


class Burned:
    """Complete combustion of one mole of a gas with dry air, to a dry oxygen reading."""

    def __init__(self, fuel: str, o2_pct: float) -> None:
        mixture = gas()
        parts = GASES[fuel]
        carbon = sum(n * mixture.n_atoms(s, "C") for s, n in parts.items() if s != "CO2")
        hydrogen = sum(n * mixture.n_atoms(s, "H") for s, n in parts.items())
        co2 = carbon + parts.get("CO2", 0.0)
        needed = carbon + hydrogen / 4.0
        nitrogen_per_o2 = (1.0 - O2_IN_AIR) / O2_IN_AIR
        dry = co2 + parts.get("N2", 0.0) + needed * nitrogen_per_o2
        share = o2_pct / 100.0
        # share = excess / (dry + excess (1 + nitrogen_per_o2))
        excess = share * dry / (1.0 - share * (1.0 + nitrogen_per_o2))
        self.excess_air_pct = 100.0 * excess / needed
        self.flue = {
            "CO2": co2,
            "H2O": hydrogen / 2.0,
            "O2": excess,
            "N2": parts.get("N2", 0.0) + (needed + excess) * nitrogen_per_o2,
        }
        self.co2_pct = 100.0 * co2 / sum(n for s, n in self.flue.items() if s != "H2O")
        self.water_share = self.flue["H2O"] / sum(self.flue.values())
        reactants = sum(n * enthalpy_j_per_mol(s, REFERENCE_K) for s, n in parts.items())
        reactants += needed * enthalpy_j_per_mol("O2", REFERENCE_K)
        products = co2 * enthalpy_j_per_mol("CO2", REFERENCE_K)
        products += parts.get("N2", 0.0) * enthalpy_j_per_mol("N2", REFERENCE_K)
        products += hydrogen / 2.0 * (enthalpy_j_per_mol("H2O", REFERENCE_K) - latent_j_per_mol())
        self.hhv_j = reactants - products

    def efficiency_pct(self, stack_k: float) -> float:
        """Share of the higher heating value that is not in flue gas with all its water vapor."""
        sensible = sum(
            n * (enthalpy_j_per_mol(s, stack_k) - enthalpy_j_per_mol(s, REFERENCE_K))
            for s, n in self.flue.items()
        )
        return 100.0 * (1.0 - (sensible + self.flue["H2O"] * latent_j_per_mol()) / self.hhv_j)


@pytest.mark.parametrize("fuel", GASES)
@pytest.mark.parametrize("o2_pct", [0.0, 3.0, 6.0, 9.0, 12.0])
def test_flue_gas_agrees_with_cantera(fuel: str, o2_pct: float) -> None:
    ours, theirs = combustion.fuel_analysis(fuel), Burned(fuel, o2_pct)
    assert combustion.excess_air_pct(ours, o2_pct) == pytest.approx(theirs.excess_air_pct, abs=0.05)
    assert combustion.co2_pct(ours, o2_pct) == pytest.approx(theirs.co2_pct, abs=0.01)
    assert ours.hhv_j == pytest.approx(theirs.hhv_j, rel=1e-3)
    for net_degf in (150, 300, 450, 600):
        stack_c = 25.0 + net_degf * K_PER_DEGF
        got = combustion.combustion_efficiency(ours, o2_pct, stack_c=stack_c, combustion_air_c=25.0)
        assert got.efficiency_pct == pytest.approx(
            theirs.efficiency_pct(stack_c + 273.15), abs=0.06
        )
    dew_point = psychrolib.GetTDewPointFromVapPres(90.0, theirs.water_share * 101_325.0)
    assert combustion.dew_point_c(ours, o2_pct) == pytest.approx(dew_point, abs=0.1)


def test_the_elements_balance_in_canteras_own_equilibrium() -> None:
    """Lean methane at 400 K, left to itself, becomes what complete combustion says."""
    burned = Burned("methane", 5.0)
    mixture = gas()
    air = (burned.flue["O2"] + 2.0) / O2_IN_AIR
    mixture.TPX = 400.0, cantera.one_atm, {
        "CH4": 1.0, "O2": air * O2_IN_AIR, "N2": air * (1.0 - O2_IN_AIR)
    }  # fmt: skip
    mixture.equilibrate("TP")
    dry = 1.0 - mixture["H2O"].X[0]
    assert 100.0 * mixture["O2"].X[0] / dry == pytest.approx(5.0, abs=0.01)
    assert 100.0 * mixture["CO2"].X[0] / dry == pytest.approx(
        combustion.co2_pct(combustion.fuel_analysis("methane"), 5.0), abs=0.01
    )


@settings(max_examples=40, deadline=None)
@given(st.floats(0.5, 150.0))
def test_saturation_agrees_with_psychrolib(temperature_c: float) -> None:
    theirs = psychrolib.GetSatVapPres(temperature_c)
    assert combustion.saturation_pressure_pa(temperature_c) == pytest.approx(theirs, rel=2e-3)
    assert combustion.saturation_temperature_c(theirs) == pytest.approx(temperature_c, abs=0.05)


def test_steam_temperature_by_gauge() -> None:
    for psi in (0.5, 1.0, 2.0, 5.0):
        gauge = psi * PA_PER_PSI
        got = combustion.steam_temperature_c(gauge)
        assert psychrolib.GetSatVapPres(got) == pytest.approx(101_325.0 + gauge, rel=2e-3)


@settings(max_examples=40, deadline=None)
@given(st.floats(-30.0, 45.0), st.floats(0.0, 3000.0))
def test_air_density_agrees_with_psychrolib(temperature_c: float, elevation_m: float) -> None:
    pressure = psychrolib.GetStandardAtmPressure(elevation_m)
    theirs = psychrolib.GetDryAirDensity(temperature_c, pressure)
    ours = leakage.air_density_kg_per_m3(temperature_c, elevation_m=elevation_m)
    # The standard's formula takes 273 for 273.15 and lets its lapse begin at 293 K, not 288.15.
    assert ours == pytest.approx(theirs, rel=1.5e-3 + 2.2e-6 * elevation_m)


@settings(max_examples=40, deadline=None)
@given(st.floats(1.0, 40.0), st.floats(0.05, 1.0))
def test_moist_air_agrees_with_psychrolib(temperature_c: float, humidity: float) -> None:
    ratio = psychrolib.GetHumRatioFromRelHum(temperature_c, humidity, 101_325.0)
    saturated = psychrolib.GetSatHumRatio(temperature_c, 101_325.0)
    assert cooling_coils.saturation_ratio(temperature_c) == pytest.approx(saturated, rel=5e-3)
    assert cooling_coils.enthalpy_j_per_kg(temperature_c, ratio) == pytest.approx(
        psychrolib.GetMoistAirEnthalpy(temperature_c, ratio), rel=2e-3, abs=20.0
    )


DOUBTED = [row for row in load_rows() if row.id in DOUBTS]


def test_every_doubt_belongs_to_a_row() -> None:
    assert {row.id for row in DOUBTED} == set(DOUBTS)


@pytest.mark.parametrize("row", DOUBTED, ids=[row.id for row in DOUBTED])
def test_doubted_values_are_recomputed_differently(row) -> None:
    """Cantera gives the doubt's number, our code gives it too, and the printed one is another."""
    burned = Burned("natural_gas", row.inputs["O2_pct"])
    theirs = burned.excess_air_pct
    if "net_stack_F" in row.inputs:
        theirs = burned.efficiency_pct(REFERENCE_K + row.inputs["net_stack_F"] * K_PER_DEGF)
    assert theirs == pytest.approx(DOUBTS[row.id].recomputed, abs=0.01)
    solver = solver_for(row)
    assert solver is not None
    assert solver(row.inputs) == pytest.approx(theirs, abs=0.06)
    # The table is printed to a tenth.
    assert abs(theirs - row.expected) > 0.35


# -- Constants that no published row holds --------------------------------------------------------


def numbers_in(text: str) -> list[float]:
    return [float(found) for found in re.findall(r"-?\d+(?:\.\d+)?", text)]


def doubt_about(what: str) -> ConstantDoubt:
    (found,) = [item for item in CONSTANT_DOUBTS if what in item.where]
    return found


def test_the_ground_waves_lag_does_not_go_with_its_damping() -> None:
    doubt = doubt_about("ground")
    pairs = (
        (foundations.NEAR_SWING, foundations.NEAR_LAG_DAYS),
        (foundations.WALL_SWING, foundations.WALL_LAG_DAYS),
        (foundations.DEEP_SWING, foundations.DEEP_LAG_DAYS),
    )
    assert numbers_in(doubt.used) == [*(swing for swing, _ in pairs), *(lag for _, lag in pairs)]
    # Half-space under a yearly wave: exp(-z/d) cos(wt - z/d); z/d is damping and phase at once.
    lags = [-math.log(swing) / (2 * math.pi) * 365.0 for swing, _ in pairs]
    assert [round(lag) for lag in lags] == numbers_in(doubt.recomputed)


def test_a_tall_house_with_a_flue_is_credited_too_little() -> None:
    doubt = doubt_about("two and three stories")
    table = handbook_infiltration.ENHANCED_STACK_PA_PER_K_N
    assert numbers_in(doubt.used)[-2:] == [table[2, False], table[3, False]]
    more = [100 * (table[n, True] / table[n, False] - 1) for n in (2, 3)]
    assert numbers_in(doubt.recomputed) == [
        table[2, True], table[3, True], *(round(value) for value in more)
    ]  # fmt: skip


def test_draft_falls_less_with_warm_weather_than_its_limit() -> None:
    doubt = doubt_about("draft")
    drafts, limits = [], []
    for degf in (10.0, 50.0, 90.0):
        outdoor_c = (degf - 32.0) / 1.8
        # Density of air by psychrolib, not by ours: 20 ft of it against flue gas as hot air.
        cold = psychrolib.GetDryAirDensity(outdoor_c, 101_325.0)
        hot = cold * (outdoor_c + 273.15) / (148.89 + 273.15)
        drafts.append(-(cold - hot) * 9.80665 * 20 * 0.3048)
        limits.append(safety_limits.minimum_draft(outdoor_c).value)
        ours = combustion_air.theoretical_draft_pa(
            20 * 0.3048, outdoor_c=outdoor_c, flue_mean_c=148.89
        )
        assert ours == pytest.approx(-drafts[-1], rel=0.01) or ours == pytest.approx(
            drafts[-1], rel=0.01
        )
    assert numbers_in(doubt.recomputed)[2:5] == [round(draft) for draft in drafts]
    assert drafts[0] / drafts[2] == pytest.approx(1.6, abs=0.1)
    assert limits[0] / limits[2] == pytest.approx(5.0)


def test_natural_air_change_by_the_n_factor_is_twice_the_models() -> None:
    doubt = doubt_about("N factors")
    year = greensboro()
    # 3000 CFM50, n 0.65, one story, no flue, shelter class 4, 20 C inside; the mean of all hours
    # and of those below 10 C (50 F).
    c = 3000.0 / 50.0**0.65
    colder_k = np.maximum(20.0 - year.dry_bulb_c, 0.0)
    cfm = np.hypot(
        c * 0.054 * np.abs(20.0 - year.dry_bulb_c) ** 0.65,
        c * 0.156 * (0.5 * 0.48 * year.wind_m_per_s) ** 1.3,
    )
    cold = colder_k > 10.0
    found = [3000.0 / cfm.mean(), 3000.0 / cfm[cold].mean()]
    assert numbers_in(doubt.recomputed)[:2] == [round(value) for value in found]
    assert max(handbook_infiltration.N_FACTOR_BASE.values()) < min(found)
