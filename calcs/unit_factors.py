"""Factors between US customary units and SI.

Every factor is exact by definition or derived from exact ones unless its comment says
otherwise. Source: NIST SP 811 (international foot, pound, Btu(IT)). The name reads
"SI unit per US unit": multiply a US value by it to get SI.
"""

from __future__ import annotations

M_PER_FT = 0.3048
M_PER_IN = 0.0254
M2_PER_FT2 = M_PER_FT**2
M2_PER_IN2 = M_PER_IN**2
M3_PER_FT3 = M_PER_FT**3
M3_PER_GAL = 231.0 * M_PER_IN**3  # US gallon, 231 cubic inches
M3_PER_S_PER_CFM = M3_PER_FT3 / 60.0
M_PER_S_PER_MPH = 0.44704

KG_PER_LB = 0.45359237
KG_PER_M3_PER_LB_PER_FT3 = KG_PER_LB / M3_PER_FT3

K_PER_DEGF = 5.0 / 9.0  # a difference; for a reading use celsius_from_fahrenheit

J_PER_BTU = 1055.05585262  # Btu(IT)
J_PER_KBTU = 1.0e3 * J_PER_BTU
J_PER_MMBTU = 1.0e6 * J_PER_BTU
J_PER_THERM = 1.0e5 * J_PER_BTU  # 100,000 Btu(IT), the therm of this package
J_PER_THERM_US_LEGAL = 105.4804e6  # legal US therm on the 59 degF Btu; 0.02 % smaller
J_PER_KWH = 3.6e6
W_PER_BTUH = J_PER_BTU / 3600.0
W_PER_TON = 12_000.0 * W_PER_BTUH  # ton of refrigeration, 12,000 Btu/h by definition
# Evaporating 34.5 lb/h of water from and at 212 degF, 970.3 Btu/lb (memory).
W_PER_BOILER_HP = 34.5 * 970.3 * W_PER_BTUH

PA_PER_INWC = 249.08891  # conventional inch of water
PA_PER_PSI = KG_PER_LB * 9.80665 / M2_PER_IN2
STANDARD_ATMOSPHERE_PA = 101_325.0

M2K_PER_W_PER_R_IP = M2_PER_FT2 * K_PER_DEGF / W_PER_BTUH  # h ft2 degF/Btu to m2 K/W
W_PER_M2K_PER_U_IP = 1.0 / M2K_PER_W_PER_R_IP
W_PER_K_PER_BTUH_DEGF = W_PER_BTUH / K_PER_DEGF

SECONDS_PER_HOUR = 3600.0
SECONDS_PER_DAY = 86_400.0
HOURS_PER_DAY = 24.0
MINUTES_PER_YEAR = 525_600.0


def celsius_from_fahrenheit(temperature_degf: float) -> float:
    """Celsius reading of a Fahrenheit reading (not of a difference)."""
    return (temperature_degf - 32.0) * K_PER_DEGF


def fahrenheit_from_celsius(temperature_c: float) -> float:
    """Fahrenheit reading of a Celsius reading (not of a difference)."""
    return temperature_c / K_PER_DEGF + 32.0
