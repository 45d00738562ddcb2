"""Heated floors against EN 1264 and, for the slab's supply, the log-mean difference that its formula stands for."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from settingslint.physics.floor import SURFACE_LIMITS, slab_supply, surface_needed, surface_output
from settingslint.units import Celsius, Kelvin
from tests.physics.kit import ends, open_end

C = Celsius


# EN 1264-2 (second-hand): public explainers give 100 and 175 W/m2 as the limits that its surfaces stand for
@pytest.mark.parametrize(
    ("surface", "room", "watts"),
    [(29, 20, 100.0), (33, 24, 100.0), (35, 20, 175.4), (22, 20, 19.12), (26, 20, 64.02), (30, 20, 112.30)],
)
def test_output_of_the_surface(surface: float, room: float, watts: float) -> None:
    assert surface_output(C(surface), C(room)) == pytest.approx(watts, abs=0.05)


# 8.92 x^1.1 solved by hand
@pytest.mark.parametrize(("watts", "kelvins"), [(20, 2.083), (50, 4.792), (80, 7.347), (100, 8.999), (175, 14.968)])
def test_surface_that_is_needed(watts: float, kelvins: float) -> None:
    assert surface_needed(watts, C(20)) == pytest.approx(20 + kelvins, abs=6e-4)


def test_limits_are_9_and_15_kelvin_over_the_room() -> None:
    assert SURFACE_LIMITS == {"occupied": 29.0, "bathroom": 33.0, "perimeter": 35.0}
    assert surface_output(SURFACE_LIMITS["occupied"], C(20)) == surface_output(SURFACE_LIMITS["bathroom"], C(24))
    assert surface_output(SURFACE_LIMITS["perimeter"], C(20)) == pytest.approx(175, abs=0.5)


@given(st.floats(0.0, 20.0), st.floats(10, 30))
def test_there_and_back(excess: float, room: float) -> None:
    watts = surface_output(C(room + excess), C(room)) if room + excess - room <= 20 else 0.0
    if 0 < watts <= 240.0:
        assert surface_needed(watts, C(room)) == pytest.approx(room + excess, abs=1e-6)


# EN 1264-3 (second-hand): dH + S/2, and S^2/(12 dH) more from S/dH = 0.5
@pytest.mark.parametrize(
    ("mean", "drop", "over"), [(15, 5, 17.5), (10, 10, 15.833), (12, 8, 16.444), (10, 5, 12.708), (10, 4.99, 12.495)]
)
def test_supply_of_the_slab(mean: float, drop: float, over: float) -> None:
    assert slab_supply(C(20), Kelvin(mean), Kelvin(drop)) == pytest.approx(20 + over, abs=6e-4)


@given(st.floats(2.0, 40.0), st.floats(0.01, 1.0))
def test_supply_of_the_slab_is_near_the_log_mean(mean: float, share: float) -> None:
    """The supply at which the log-mean difference is dH, solved by scipy; the standard's approximation: 2.2 % of dH."""
    drop = mean * share
    exact = brentq(lambda s: drop / math.log(s / (s - drop)) - mean, drop + 1e-9, mean + drop)
    found = slab_supply(C(0), Kelvin(mean), Kelvin(drop))
    assert abs(found - exact) <= (0.022 if share < 0.5 else 0.0015) * mean


def test_ranges() -> None:
    ends("surface - room", lambda d: surface_output(C(d), C(0.0)), 0.0, 20.0)
    ends("output_w_m2", lambda q: surface_needed(q, C(20.0)), 0.0, 240.0)
    ends("drop", lambda s: slab_supply(C(20), Kelvin(10), Kelvin(s)), 0.0, 100.0)
    ends("mean_excess", lambda h: slab_supply(C(20), Kelvin(h), Kelvin(1)), None, 100.0)
    open_end("mean_excess", lambda h: slab_supply(C(20), Kelvin(h), Kelvin(1)), 0.0, 0.1)
