"""Water, saturation and the atmosphere against CoolProp (IAPWS-95), iapws (IF97) and the standard atmosphere.

The two reference libraries are independent codes of two formulations; our specific heat was fitted to the first, so
the second is the check that counts for it.
"""

from __future__ import annotations

import CoolProp.CoolProp as coolprop
import iapws
import numpy as np
import pytest
from scipy.integrate import solve_ivp

from settingslint.physics.water import (
    STANDARD_ATMOSPHERE,
    atmosphere,
    boiling_point,
    density,
    heat_capacity_of,
    saturation_pressure,
    specific_heat,
)
from settingslint.units import Celsius, Kind, to_si
from tests.physics.kit import ends

GRID = [float(t) for t in np.linspace(0.5, 150.0, 60)]


def saturated(what: str, t: float) -> float:
    return float(coolprop.PropsSI(what, "T", t + 273.15, "Q", 0, "Water"))


@pytest.mark.parametrize("t", GRID)
def test_density_at_saturation(t: float) -> None:
    # ours is the auxiliary equation to the same formulation: 1e-5 is its printed uncertainty's order
    assert density(Celsius(t)) == pytest.approx(saturated("D", t), rel=1e-5)
    # IF97 agrees with IAPWS-95 to 2e-5 here
    assert density(Celsius(t)) == pytest.approx(iapws.IAPWS97(T=t + 273.15, x=0).rho, rel=4e-5)


@pytest.mark.parametrize("t", GRID)
def test_specific_heat_at_saturation(t: float) -> None:
    # fit: 0.014 % at 0.5 C, 0.007 % from 2 C up
    assert specific_heat(Celsius(t)) == pytest.approx(saturated("C", t), rel=1.5e-4)
    # the two formulations differ by up to 0.081 % (at 137 C), whatever ours is
    assert specific_heat(Celsius(t)) == pytest.approx(iapws.IAPWS97(T=t + 273.15, x=0).cp * 1000, rel=9e-4)


@pytest.mark.parametrize("t", [float(t) for t in range(1, 150, 7)])
@pytest.mark.parametrize("bar", [2.0, 5.0])
def test_the_pressure_of_heating_systems_hardly_matters(t: float, bar: float) -> None:
    if saturation_pressure(Celsius(t)) < bar * 1e5:
        state = ("T", t + 273.15, "P", bar * 1e5, "Water")
        assert density(Celsius(t)) == pytest.approx(coolprop.PropsSI("D", *state), rel=3e-4)
        assert specific_heat(Celsius(t)) == pytest.approx(coolprop.PropsSI("C", *state), rel=6e-4)


def test_known_point() -> None:
    # CoolProp 8.0.0 at 60 C and 2 bar; the pressure moves both by less than 0.01 %
    assert density(Celsius(60.0)) == pytest.approx(983.24, rel=1e-4)
    assert specific_heat(Celsius(60.0)) == pytest.approx(4184.7, rel=2e-4)


@pytest.mark.parametrize("fahrenheit", range(60, 181, 10))
def test_five_hundred_of_the_trade(fahrenheit: int) -> None:
    """Btu/h = 500 x gpm x dF: common practice, no source. 3 %, because it takes water as 8.33 lb/gal, 1 Btu/lb F."""
    t = Celsius(to_si(fahrenheit, Kind.POINT, "us"))
    watts = to_si(1, Kind.FLOW, "us") * heat_capacity_of(1.0, t) * to_si(1, Kind.DIFFERENCE, "us")
    assert watts / to_si(1, Kind.POWER, "us") == pytest.approx(500.0, rel=0.03)


def test_heat_capacity_of_a_volume() -> None:
    # 60 C: 983.16 kg/m3 x 4.1850 kJ/kg K (CoolProp, saturated); 0.02 %
    assert heat_capacity_of(1000.0, Celsius(60.0)) == pytest.approx(saturated("D", 60) * saturated("C", 60), rel=2e-4)
    assert heat_capacity_of(3.0, Celsius(40.0)) == pytest.approx(3 * heat_capacity_of(1.0, Celsius(40.0)), rel=1e-12)


@pytest.mark.parametrize("t", [0.01, *(float(t) for t in np.linspace(1.0, 370.0, 60))])
def test_saturation_pressure(t: float) -> None:
    # 0.01 %: twice the largest difference between the auxiliary equation and the formulation
    assert saturation_pressure(Celsius(t)) == pytest.approx(saturated("P", t), rel=1e-4)
    assert saturation_pressure(Celsius(t)) == pytest.approx(iapws.IAPWS97(T=t + 273.15, x=0).P * 1e6, rel=5e-4)


@pytest.mark.parametrize("pressure", [700.0, 1000.0, 15_000.0, 101_325.0, 250_000.0, 1e6, 5e6])
def test_boiling_point(pressure: float) -> None:
    expected = float(coolprop.PropsSI("T", "P", pressure, "Q", 0, "Water")) - 273.15
    assert boiling_point(pressure) == pytest.approx(expected, abs=0.002)
    assert saturation_pressure(boiling_point(pressure)) == pytest.approx(pressure, rel=1e-9)


# psig at the sea (14.696 psi) and F: CoolProp and IAPWS-IF97 agree to 0.01 F
@pytest.mark.parametrize(
    ("psig", "fahrenheit"),
    [(0, 211.95), (5, 227.10), (10, 239.35), (12, 243.69), (15, 249.72), (30, 273.99), (160, 370.63)],
)
def test_boiling_point_by_gauge_pressure(psig: float, fahrenheit: float) -> None:
    found = boiling_point(to_si(psig + 14.696, Kind.PRESSURE, "us")) * 1.8 + 32
    assert found == pytest.approx(fahrenheit, abs=0.01)


def test_boiling_point_at_2_5_bar() -> None:
    assert boiling_point(250_000.0) == pytest.approx(127.41, abs=0.005)


def test_atmosphere_solves_the_hydrostatic_equation() -> None:
    """dp/dh = -g p/(R T), T falling by 6.5 K/km from 15 C: the definition of ISO 2533. 1e-5: digits of the exponent."""
    heights = [500.0, 1609.344, 3000.0, 5000.0, 11000.0]

    def slope(h: float, p: list[float]) -> list[float]:
        return [-9.80665 * p[0] / (287.05287 * (288.15 - 0.0065 * h))]

    found = solve_ivp(slope, (0.0, 11000.0), [101325.0], t_eval=heights, rtol=1e-10, atol=1e-6).y[0]
    for height, pressure in zip(heights, found, strict=True):
        assert atmosphere(height) == pytest.approx(pressure, rel=3e-5)


# ISO 2533 table, Pa, from memory; 0.01 %
@pytest.mark.parametrize(("height", "pressure"), [(0, 101325), (1000, 89875), (2000, 79495), (5000, 54020)])
def test_atmosphere_by_the_table(height: float, pressure: float) -> None:
    assert atmosphere(height) == pytest.approx(pressure, rel=1e-4)
    assert atmosphere(0.0) == STANDARD_ATMOSPHERE


def test_water_boils_colder_on_a_mountain() -> None:
    # 0 psi gauge at 5,280 ft: 202.3 F; at 10,000 ft: 193.7 F (CoolProp on the standard atmosphere)
    assert boiling_point(atmosphere(5280 * 0.3048)) * 1.8 + 32 == pytest.approx(202.3, abs=0.1)
    assert boiling_point(atmosphere(10000 * 0.3048)) * 1.8 + 32 == pytest.approx(193.7, abs=0.1)


def test_ranges() -> None:
    ends("t", lambda t: density(Celsius(t)), 0.5, 150.0)
    ends("t", lambda t: specific_heat(Celsius(t)), 0.5, 150.0)
    ends("t", lambda t: heat_capacity_of(1.0, Celsius(t)), 0.5, 150.0)
    ends("volume_l", lambda v: heat_capacity_of(v, Celsius(60.0)), 1e-6, 1e9)
    ends("t", lambda t: saturation_pressure(Celsius(t)), 0.01, 370.0)
    ends("pressure_abs_pa", boiling_point, 700.0, 5e6)
    ends("elevation_m", atmosphere, -500.0, 11000.0)
