"""Water: density, specific heat, boiling point, and the pressure of the air at a height."""

from __future__ import annotations

import math
from functools import lru_cache
from typing import Final

from settingslint.physics import within
from settingslint.units import Celsius

CRITICAL_T: Final = 647.096
CRITICAL_P: Final = 22.064e6
CRITICAL_RHO: Final = 322.0
STANDARD_ATMOSPHERE: Final = 101325.0

_RHO: Final = ((1 / 3, 1.99274064), (2 / 3, 1.09965342), (5 / 3, -0.510839303), (16 / 3, -1.75493479),
               (43 / 3, -45.5170352), (110 / 3, -6.74694450e5))  # fmt: skip
_PSAT: Final = ((1.0, -7.85951783), (1.5, 1.84408259), (3.0, -11.7866497), (3.5, 22.6807411), (4.0, -15.9618719),
                (7.5, 1.80122502))  # fmt: skip
_CP: Final = (4219.23, -316.73, 952.79, -1442.62, 1260.36, -557.74, 100.35)


def density(t: Celsius) -> float:
    """Return the density of liquid water at saturation, kg/m3.

    rho/rho_c = 1 + sum b_i (1 - T/T_c)^(k_i)

    Args:
        t: temperature, 0.5 to 150 C. Pressures of heating systems change the result by less than 0.03 %.

    Raises:
        OutOfRange: outside 0.5 to 150 C.

    Source: IAPWS SR1-86(1992), saturated liquid density (Wagner and Pruss 1993).

    >>> round(density(Celsius(60.0)), 2)
    983.15
    """
    tau = 1.0 - (within("t", t, 0.5, 150.0) + 273.15) / CRITICAL_T
    return float(CRITICAL_RHO * (1.0 + sum(b * tau**k for k, b in _RHO)))


def specific_heat(t: Celsius) -> float:
    """Return the specific heat of liquid water, J/(kg K).

    A polynomial in t/100 through CoolProp's saturated liquid, within 0.02 % of it.

    Args:
        t: temperature, 0.5 to 150 C.

    Raises:
        OutOfRange: outside 0.5 to 150 C.

    Source: own fit to CoolProp 8.0 (IAPWS-95); IAPWS-IF97 differs from that by up to 0.08 %.

    >>> round(specific_heat(Celsius(60.0)) / 1000, 2)
    4.19
    """
    x = within("t", t, 0.5, 150.0) / 100.0
    return sum(c * x**k for k, c in enumerate(_CP))


def heat_capacity_of(volume_l: float, t: Celsius) -> float:
    """Return the heat capacity of a volume of water, J/K: C = V rho cp.

    Args:
        volume_l: volume, 1e-6 to 1e9 L.
        t: temperature, 0.5 to 150 C.

    Raises:
        OutOfRange: for a volume or a temperature outside its range.

    Source: definition.

    >>> round(heat_capacity_of(100.0, Celsius(60.0)) / 1000, 0)
    411.0
    """
    return within("volume_l", volume_l, 1e-6, 1e9) / 1000.0 * density(t) * specific_heat(t)


def saturation_pressure(t: Celsius) -> float:
    """Return the pressure at which water boils at a temperature, Pa.

    ln(p/p_c) = (T_c/T) sum a_i (1 - T/T_c)^(k_i)

    Args:
        t: temperature, 0.01 to 370 C.

    Raises:
        OutOfRange: outside 0.01 to 370 C.

    Source: IAPWS SR1-86(1992), vapour pressure (Wagner and Pruss 1993).

    >>> round(saturation_pressure(Celsius(100.0)) / 1000, 1)
    101.4
    """
    kelvin = within("t", t, 0.01, 370.0) + 273.15
    tau = 1.0 - kelvin / CRITICAL_T
    return CRITICAL_P * math.exp(CRITICAL_T / kelvin * sum(a * tau**k for k, a in _PSAT))


@lru_cache(maxsize=1024)
def boiling_point(pressure_abs_pa: float) -> Celsius:
    """Return the temperature at which water boils, degrees Celsius; the inverse of `saturation_pressure`.

    Args:
        pressure_abs_pa: absolute pressure, 700 Pa to 5 MPa: gauge pressure plus the atmosphere at the site.

    Raises:
        OutOfRange: outside that range.

    Source: as `saturation_pressure`, halved 60 times.

    >>> round(boiling_point(250_000.0), 2)
    127.41
    """
    within("pressure_abs_pa", pressure_abs_pa, 700.0, 5e6)
    low, high = 0.01, 300.0
    for _ in range(60):
        middle = (low + high) / 2
        if saturation_pressure(Celsius(middle)) < pressure_abs_pa:
            low = middle
        else:
            high = middle
    return Celsius((low + high) / 2)


def atmosphere(elevation_m: float) -> float:
    """Return the pressure of the standard atmosphere at a height, Pa.

    p = p0 (1 - 2.25577e-5 h)^5.25588

    Args:
        elevation_m: height above the sea, -500 to 11,000 m.

    Raises:
        OutOfRange: outside that range.

    Source: ISO 2533 standard atmosphere.

    >>> round(atmosphere(1609.3) / 1000, 1)
    83.4
    """
    return float(STANDARD_ATMOSPHERE * (1.0 - 2.25577e-5 * within("elevation_m", elevation_m, -500, 11000)) ** 5.25588)
