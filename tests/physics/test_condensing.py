"""Dew point of flue gas against a balance counted in moles, with CoolProp's vapour pressure."""

from __future__ import annotations

from fractions import Fraction

import CoolProp.CoolProp as coolprop
import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from settingslint.physics.condensing import co2_at, condensing_starts, flue_dew_point, flue_dew_point_by_air
from settingslint.physics.reset import Line, TwoPoints
from settingslint.physics.water import STANDARD_ATMOSPHERE, atmosphere
from settingslint.units import Celsius
from tests.physics.kit import ends

# moles of CO2, H2O for one of fuel, and O2 used: CH4 + 2 O2 -> CO2 + 2 H2O; C3H8 + 5 O2 -> 3 CO2 + 4 H2O
BURNT = {"natural gas": (1, 2, 2), "propane": (3, 4, 5)}
OXYGEN = Fraction(2095, 10000)


def flue_gas(fuel: str, excess: float) -> tuple[float, float, float]:
    """Return CO2 and O2 of the dry gas, %, and the water's share of the wet one, by counting moles."""
    co2, water, oxygen = BURNT[fuel]
    supplied = oxygen * (1 + excess)
    nitrogen = supplied * float((1 - OXYGEN) / OXYGEN)
    left = supplied - oxygen
    dry = co2 + left + nitrogen
    return 100 * co2 / dry, 100 * left / dry, water / (dry + water)


def dew(share: float, pressure: float = 101_325.0) -> float:
    return float(coolprop.PropsSI("T", "P", share * pressure, "Q", 1, "Water")) - 273.15


# 0.1 K: CoolProp, IF97 and two psychrometric formulas agree within 0.08 K on the temperature of a share of 0.15;
# ours is within 0.01 K of the first
TOLERANCE = 0.01


@pytest.mark.parametrize("fuel", sorted(BURNT))
@pytest.mark.parametrize("excess", [float(x) for x in np.linspace(0.0, 5.0, 26)])
@pytest.mark.parametrize("height", [0.0, 1500.0, 3000.0])
def test_dew_point_over_a_grid(fuel: str, excess: float, height: float) -> None:
    co2, _, share = flue_gas(fuel, excess)
    pressure = atmosphere(height)
    expected = dew(share, pressure)
    assert flue_dew_point_by_air(fuel, excess, pressure) == pytest.approx(expected, abs=TOLERANCE)
    assert co2_at(fuel, excess) == pytest.approx(co2, rel=1e-9)
    if co2 >= 2.5:
        assert flue_dew_point(fuel, co2, pressure) == pytest.approx(expected, abs=TOLERANCE)


def test_the_sea_is_the_default() -> None:
    assert flue_dew_point_by_air("propane", 0.3) == flue_dew_point_by_air("propane", 0.3, STANDARD_ATMOSPHERE)
    assert flue_dew_point("propane", 9.0) == flue_dew_point("propane", 9.0, STANDARD_ATMOSPHERE)


# methane, CoolProp 8.0.0, air with 20.95 % oxygen, dry, at the sea. 0.1 K: the balances behind the row of 11.74 and
# 59.25 took air with 21 % oxygen
@pytest.mark.parametrize(
    ("co2", "celsius"), [(9.59, 55.72), (8.79, 54.18), (7.53, 51.44), (9.56, 55.66), (10.52, 57.34), (5.53, 45.97)]
)
def test_known_points_of_methane(co2: float, celsius: float) -> None:
    assert flue_dew_point("natural gas", co2) == pytest.approx(celsius, abs=0.1)


def test_most_co2_is_where_the_dew_point_is_highest() -> None:
    assert flue_dew_point("natural gas", 11.74) == pytest.approx(59.25, abs=0.1)
    assert flue_dew_point("natural gas", 11.74) == flue_dew_point_by_air("natural gas", 0.0)


# 138.6, 132.2 and 124.5 F at 0, 20 and 50 % of excess air; propane 130.8, 124.5, 116.9 F: the same balance by another
# hand, CoolProp
@pytest.mark.parametrize(
    ("fuel", "excess", "fahrenheit"),
    [
        ("natural gas", 0.0, 138.55),
        ("natural gas", 0.2, 132.19),
        ("natural gas", 0.5, 124.50),
        ("natural gas", 1.0, 114.75),
        ("propane", 0.0, 130.78),
        ("propane", 0.2, 124.50),
        ("propane", 0.5, 116.92),
    ],
)
def test_known_points_by_air(fuel: str, excess: float, fahrenheit: float) -> None:
    assert flue_dew_point_by_air(fuel, excess) * 1.8 + 32 == pytest.approx(fahrenheit, abs=0.02)


def test_about_130_f() -> None:
    """Returns below about 130 F (54 C) condense: US GSA, Green Proving Ground findings 4. 3 K: `about`."""
    assert flue_dew_point("natural gas", 9.0) == pytest.approx(54.4, abs=3.0)


def test_5_000_feet_cost_about_7_f() -> None:
    # 84.31 kPa, 20 % excess air: 125.34 F (CoolProp)
    assert flue_dew_point_by_air("natural gas", 0.2, 84_310.0) * 1.8 + 32 == pytest.approx(125.34, abs=0.02)


@given(st.sampled_from(sorted(BURNT)), st.floats(0.0, 4.9), st.floats(0.001, 0.1))
def test_more_air_lowers_the_dew_point(fuel: str, excess: float, more: float) -> None:
    assert flue_dew_point_by_air(fuel, excess + more) < flue_dew_point_by_air(fuel, excess)
    assert co2_at(fuel, excess + more) < co2_at(fuel, excess)


def test_ranges() -> None:
    for fuel, most in (("natural gas", 11.70), ("propane", 13.72)):
        assert co2_at(fuel, 0.0) == pytest.approx(most, abs=0.005)
        ends("excess_air", lambda e, fuel=fuel: co2_at(fuel, e), 0.0, 5.0)  # type: ignore[misc]
        ends("excess_air", lambda e, fuel=fuel: flue_dew_point_by_air(fuel, e), 0.0, 5.0)  # type: ignore[misc]
        # a reading may be rounded up: 0.06 above what air with 20.95 % oxygen allows is taken as no excess air
        limit = co2_at(fuel, 0.0) + 0.06
        ends("co2_percent", lambda c, fuel=fuel: flue_dew_point(fuel, c), 2.5, limit)  # type: ignore[misc]
    for call in (flue_dew_point, flue_dew_point_by_air, co2_at):
        with pytest.raises(KeyError):
            call("hydrogen", 3.0)


class TestWhereItStarts:
    line = Line(TwoPoints(Celsius(80.0), Celsius(-20.0), Celsius(40.0), Celsius(20.0)), Celsius(80.0))

    def test_by_hand(self) -> None:
        # supply 60 - o, return 50 - o: below 54.0 from -4.0, which is not below; the grid's next is -3.5
        found = condensing_starts(self.line, lambda o: 10.0, Celsius(54.0), Celsius(-20.0), Celsius(20.0))
        assert found == -3.5

    def test_the_drop_counts_where_it_is(self) -> None:
        # return 60 - o - (12 - o/2) = 48 - o/2: 54 at -12
        found = condensing_starts(self.line, lambda o: 12.0 - o / 2, Celsius(54.0), Celsius(-20.0), Celsius(20.0))
        assert found == -11.5

    def test_all_over_and_nowhere(self) -> None:
        cold, warm = Celsius(-20.0), Celsius(20.0)
        assert condensing_starts(self.line, lambda o: 40.0, Celsius(54.0), cold, warm) == -20.0
        assert condensing_starts(self.line, lambda o: 0.0, Celsius(40.0), cold, warm) is None

    def test_not_where_heating_is_shut_down(self) -> None:
        stopped = Line(self.line.style, Celsius(80.0), shutdown=Celsius(-5.0))
        assert condensing_starts(stopped, lambda o: 10.0, Celsius(54.0), Celsius(-20.0), Celsius(20.0)) is None
