"""Every conversion against pint 0.25, whose definitions follow NIST SP 811; fixed points from the two scales."""

from __future__ import annotations

from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from settingslint import units
from settingslint.units import CONVERSIONS, Celsius, Kelvin, Kind, System, from_si, rounded, show, to_si, unit_name

REGISTRY: Any = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)

# Btu_it and not pint's plain Btu, which is that of ISO, 1055.056 J: 1.4e-7 more
SHOWN = {
    (Kind.POINT, "us"): "degF",
    (Kind.POINT, "metric"): "degC",
    (Kind.DIFFERENCE, "us"): "delta_degF",
    (Kind.DIFFERENCE, "metric"): "delta_degC",
    (Kind.POWER, "us"): "Btu_it/hour",
    (Kind.POWER, "metric"): "kilowatt",
    (Kind.VOLUME, "us"): "gallon",
    (Kind.VOLUME, "metric"): "liter",
    (Kind.FLOW, "us"): "gallon/minute",
    (Kind.FLOW, "metric"): "liter/second",
    (Kind.LENGTH, "us"): "foot",
    (Kind.LENGTH, "metric"): "meter",
    (Kind.PRESSURE, "us"): "psi",
    (Kind.PRESSURE, "metric"): "bar",
    (Kind.SECONDS, "us"): "second",
    (Kind.SECONDS, "metric"): "second",
    (Kind.MINUTES, "us"): "minute",
    (Kind.MINUTES, "metric"): "minute",
    (Kind.HOURS, "us"): "hour",
    (Kind.HOURS, "metric"): "hour",
}
SI = {
    Kind.POINT: "degC",
    Kind.DIFFERENCE: "delta_degC",
    Kind.POWER: "watt",
    Kind.VOLUME: "liter",
    Kind.FLOW: "liter/second",
    Kind.LENGTH: "meter",
    Kind.PRESSURE: "pascal",
    Kind.SECONDS: "second",
    Kind.MINUTES: "second",
    Kind.HOURS: "second",
}
UNCONVERTED = {Kind.PERCENT, Kind.RATIO, Kind.COUNT, Kind.FAN_SPEED, Kind.CO}
SYSTEMS: tuple[System, System] = ("us", "metric")


def test_every_kind_with_a_row_is_compared() -> None:
    assert set(SI) | UNCONVERTED == set(CONVERSIONS)
    assert {kind for kind, _ in SHOWN} == set(SI)


@pytest.mark.parametrize(("kind", "system"), sorted(SHOWN))
@pytest.mark.parametrize("value", [-40.0, -1.0, 0.0, 1.0, 32.0, 140.0, 100_000.0])
def test_to_si_is_pints(kind: Kind, system: System, value: float) -> None:
    # 1e-9: both use the exact definitions; what is left is rounding, and pint's psi of ten digits
    expected = REGISTRY.Quantity(value, SHOWN[kind, system]).to(SI[kind]).magnitude
    assert to_si(value, kind, system) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize(("kind", "system"), sorted(SHOWN))
@pytest.mark.parametrize("value", [-40.0, -1.0, 0.0, 1.0, 32.0, 140.0, 100_000.0])
def test_from_si_is_pints(kind: Kind, system: System, value: float) -> None:
    expected = REGISTRY.Quantity(value, SI[kind]).to(SHOWN[kind, system]).magnitude
    assert from_si(value, kind, system) == pytest.approx(expected, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("kind", sorted(UNCONVERTED))
def test_numbers_without_a_unit_to_convert_stay(kind: Kind) -> None:
    assert all(to_si(7.25, kind, system) == from_si(7.25, kind, system) == 7.25 for system in SYSTEMS)


@pytest.mark.parametrize("kind", sorted(CONVERSIONS))
@given(value=st.floats(-1e6, 1e6))
def test_back_and_forth_is_the_same(kind: Kind, value: float) -> None:
    for system in SYSTEMS:
        assert from_si(to_si(value, kind, system), kind, system) == pytest.approx(value, rel=1e-12, abs=1e-9)


# NIST SP 811 (2008), B.8 and B.9: definitions, and what follows from them
@pytest.mark.parametrize(
    ("value", "kind", "si", "digits"),
    [
        (1.0, Kind.POWER, 0.29307107, 8),
        (100_000.0, Kind.POWER, 29307.107, 3),
        (1.0, Kind.VOLUME, 3.785411784, 9),
        (1.0, Kind.FLOW, 0.0630901964, 10),
        (1.0, Kind.LENGTH, 0.3048, 4),
        (1.0, Kind.PRESSURE, 6894.757293168, 9),
        (-40.0, Kind.POINT, -40.0, 9),
        (32.0, Kind.POINT, 0.0, 9),
        (212.0, Kind.POINT, 100.0, 9),
        (140.0, Kind.POINT, 60.0, 9),
        (18.0, Kind.DIFFERENCE, 10.0, 9),
        (0.0, Kind.DIFFERENCE, 0.0, 9),
    ],
)
def test_published_factors(value: float, kind: Kind, si: float, digits: int) -> None:
    assert round(to_si(value, kind, "us"), digits) == si


@given(st.floats(-100, 300), st.floats(-100, 300))
def test_a_difference_never_carries_the_32(first: float, second: float) -> None:
    kelvins = to_si(first, Kind.POINT, "us") - to_si(second, Kind.POINT, "us")
    assert to_si(first - second, Kind.DIFFERENCE, "us") == pytest.approx(kelvins, abs=1e-9)
    assert units.kelvin(first - second) == pytest.approx(kelvins, abs=1e-9)
    assert units.celsius(first) == to_si(first, Kind.POINT, "us") or units.celsius(first) == pytest.approx(
        to_si(first, Kind.POINT, "us"), abs=1e-9
    )


def test_points_and_differences_add_up() -> None:
    assert units.between(Celsius(60.0), Celsius(48.0)) == 12.0
    assert units.shifted(Celsius(48.0), Kelvin(12.0)) == 60.0


@pytest.mark.parametrize(
    ("value", "kind", "system", "text"),
    [
        (60.0, Kind.POINT, "us", "140 F"),
        (60.0, Kind.POINT, "metric", "60 C"),
        (60.04, Kind.POINT, "metric", "60 C"),
        (60.06, Kind.POINT, "metric", "60.1 C"),
        (-17.8, Kind.POINT, "us", "0 F"),
        (-40.0, Kind.POINT, "us", "-40 F"),
        (10.0, Kind.DIFFERENCE, "us", "18 F"),
        (10.0, Kind.DIFFERENCE, "metric", "10 K"),
        (29307.1, Kind.POWER, "us", "100,000 Btu/h"),
        (29320.0, Kind.POWER, "us", "100,000 Btu/h"),
        (29330.0, Kind.POWER, "us", "100,100 Btu/h"),
        (9_999.4 * units.W_PER_BTU_H, Kind.POWER, "us", "9,999 Btu/h"),
        (10_049.0 * units.W_PER_BTU_H, Kind.POWER, "us", "10,000 Btu/h"),
        (-10_051.0 * units.W_PER_BTU_H, Kind.POWER, "us", "-10,100 Btu/h"),
        (12_340.0, Kind.POWER, "metric", "12.3 kW"),
        (151.416, Kind.VOLUME, "us", "40 gal"),
        (151.416, Kind.VOLUME, "metric", "151 L"),
        (0.1640, Kind.FLOW, "us", "2.6 gpm"),
        (0.1640, Kind.FLOW, "metric", "0.16 L/s"),
        (1609.344, Kind.LENGTH, "us", "5,280 ft"),
        (1609.344, Kind.LENGTH, "metric", "1,609 m"),
        (103421.36, Kind.PRESSURE, "us", "15 psi"),
        (150_000.0, Kind.PRESSURE, "metric", "1.5 bar"),
        (90.0, Kind.SECONDS, "us", "90 s"),
        (1080.0, Kind.MINUTES, "metric", "18 min"),
        (5400.0, Kind.HOURS, "us", "1.5 h"),
        (4.25, Kind.RATIO, "us", "4.25"),
        (78.0, Kind.PERCENT, "metric", "78 %"),
        (3.0, Kind.COUNT, "us", "3"),
        (60.0, Kind.CO, "us", "60 ppm"),
        (5200.0, Kind.FAN_SPEED, "us", "5,200"),
    ],
)
def test_shown_with_its_unit(value: float, kind: Kind, system: System, text: str) -> None:
    assert show(value, kind, system) == text


def test_a_fan_speed_keeps_the_unit_of_its_control() -> None:
    assert show(5200.0, Kind.FAN_SPEED, "us", "rpm") == show(5200.0, Kind.FAN_SPEED, "metric", "rpm") == "5,200 rpm"


def test_unit_names() -> None:
    assert {kind: (unit_name(kind, "us"), unit_name(kind, "metric")) for kind in SI} == {
        Kind.POINT: ("F", "C"),
        Kind.DIFFERENCE: ("F", "K"),
        Kind.POWER: ("Btu/h", "kW"),
        Kind.VOLUME: ("gal", "L"),
        Kind.FLOW: ("gpm", "L/s"),
        Kind.LENGTH: ("ft", "m"),
        Kind.PRESSURE: ("psi", "bar"),
        Kind.SECONDS: ("s", "s"),
        Kind.MINUTES: ("min", "min"),
        Kind.HOURS: ("h", "h"),
    }
    assert unit_name(Kind.FLAG, "us") == ""


@given(st.floats(-1e5, 1e5), st.sampled_from(sorted(CONVERSIONS)), st.sampled_from(SYSTEMS))
def test_rounding_moves_a_value_by_half_a_digit_at_most(value: float, kind: Kind, system: System) -> None:
    digits = CONVERSIONS[kind][system].digits
    exact = from_si(value, kind, system)
    if kind is Kind.POWER and system == "us" and abs(exact) >= 10_000:
        digits = -2
    assert abs(rounded(value, kind, system) - exact) <= 0.5 * 10**-digits + 1e-6
