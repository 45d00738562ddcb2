"""Cool-down, elevation, combustion records and firing range."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_ivp

from settingslint.physics.combustion import CO2_MAX, co2_from_o2, co_air_free, co_ratio
from settingslint.physics.condensing import co2_at
from settingslint.physics.cooldown import drop, time_to
from settingslint.physics.elevation import derate
from settingslint.physics.firing import input_at, turndown
from settingslint.units import Celsius, celsius
from tests.physics.kit import ends, open_end, refuses

C = Celsius
HOUR = 3600.0


def cooled(indoor: float, outdoor: float, seconds: float, tau: float) -> float:
    """Return the room after a time, C: dT/dt = (outdoor - T)/tau, by scipy."""
    found = solve_ivp(lambda _, t: [(outdoor - t[0]) / tau], (0, seconds), [indoor], rtol=1e-10, atol=1e-10)
    return float(found.y[0][-1])


class TestCoolDown:
    @pytest.mark.parametrize("tau", [10.0, 40.0, 200.0])
    @pytest.mark.parametrize("hours", [0.5, 2.0, 24.0, 100.0])
    @pytest.mark.parametrize("outdoor", [-25.0, 0.0, 15.0])
    def test_drop_solves_its_equation(self, tau: float, hours: float, outdoor: float) -> None:
        found = drop(C(21.0), C(outdoor), hours * HOUR, tau * HOUR)
        assert found == pytest.approx(21.0 - cooled(21.0, outdoor, hours * HOUR, tau * HOUR), abs=1e-6)

    @pytest.mark.parametrize(("indoor", "outdoor", "target"), [(21.0, -20.0, 0.0), (12.8, -23.3, 0.0), (21, 5, 16)])
    def test_time_solves_its_equation(self, indoor: float, outdoor: float, target: float) -> None:
        def reached(_: float, t: list[float]) -> float:
            return t[0] - target

        reached.terminal = True  # type: ignore[attr-defined]
        tau = 30 * HOUR
        found = solve_ivp(
            lambda _, t: [(outdoor - t[0]) / tau], (0, 20 * tau), [indoor], events=reached, rtol=1e-10, atol=1e-10
        )
        expected = found.t_events[0][0]
        assert time_to(C(indoor), C(outdoor), C(target), tau) == pytest.approx(expected, rel=1e-6)

    # 40 h, 70 F in, 0 F out: 2 h cost 3.4 F, 4 h 6.7 F; 68.27 F after 1 h, by hand
    @pytest.mark.parametrize(("hours", "fahrenheit"), [(1, 1.73), (2, 3.41), (4, 6.66)])
    def test_drop_by_hand(self, hours: float, fahrenheit: float) -> None:
        found = drop(celsius(70), celsius(0), hours * HOUR, 40 * HOUR) * 1.8
        assert found == pytest.approx(fahrenheit, abs=0.006)

    def test_freezing_by_hand(self) -> None:
        # 55 F in, -10 F out, 30 h: 30 ln(65/42) = 13.1 h
        found = time_to(celsius(55), celsius(-10), celsius(32), 30 * HOUR)
        assert found == pytest.approx(30 * HOUR * math.log(65 / 42), rel=1e-9)

    def test_never_and_at_once(self) -> None:
        assert time_to(C(20), C(0), C(0), HOUR) is None
        assert time_to(C(20), C(1), C(0), HOUR) is None
        assert time_to(C(0), C(-10), C(0), HOUR) == 0.0
        assert time_to(C(-1), C(-10), C(0), HOUR) == 0.0
        assert time_to(C(-1), C(5), C(0), HOUR) == 0.0
        assert time_to(C(0), C(5), C(0), HOUR) == 0.0
        assert time_to(C(20), C(-0.1), C(0), HOUR) is not None

    @given(st.floats(5, 25), st.floats(-40, 4), st.floats(1, 300), st.floats(0.1, 100))
    def test_drop_and_time_agree(self, indoor: float, outdoor: float, tau: float, hours: float) -> None:
        fallen = drop(C(indoor), C(outdoor), hours * HOUR, tau * HOUR)
        target = C(indoor - fallen)
        assert 0 <= fallen <= indoor - outdoor
        if target - outdoor > 1e-3:
            assert time_to(C(indoor), C(outdoor), target, tau * HOUR) == pytest.approx(hours * HOUR, rel=1e-6)

    def test_ranges(self) -> None:
        ends("seconds", lambda t: drop(C(20), C(0), t, HOUR), 0.0, 1e10)
        for call in (lambda t: drop(C(20), C(0), HOUR, t), lambda t: time_to(C(20), C(-5), C(0), t)):
            ends("time_constant_s", call, None, 1e9)
            open_end("time_constant_s", call, 0.0, 1.0)
        ends("indoor", lambda t: drop(C(t), C(0), HOUR, HOUR), -273.15, 1000.0)
        ends("outdoor", lambda t: drop(C(20), C(t), HOUR, HOUR), -273.15, 1000.0)
        ends("indoor", lambda t: time_to(C(t), C(-5), C(0), HOUR), -273.15, 1000.0)
        ends("outdoor", lambda t: time_to(C(20), C(t), C(0), HOUR), -273.15, 1000.0)
        ends("target", lambda t: time_to(C(20), C(-5), C(t), HOUR), -273.15, 1000.0)


class TestElevation:
    # NFPA 54: 4 % for each 1,000 ft, unchanged to 2,000 ft; counted from the sea, and only above 2,000 ft
    @pytest.mark.parametrize(
        ("feet", "from_sea", "above"),
        [
            (-500, 1.0, 1.0),
            (0, 1.0, 1.0),
            (2000, 1.0, 1.0),
            (2001, 0.91996, 0.99996),
            (2500, 0.9, 0.98),
            (5000, 0.8, 0.88),
            (5280, 0.7888, 0.8688),
            (6000, 0.76, 0.84),
            (8000, 0.68, 0.76),
        ],
    )
    def test_both_readings(self, feet: float, from_sea: float, above: float) -> None:
        assert derate(feet * 0.3048) == pytest.approx((from_sea, above), abs=1e-9)

    def test_ranges(self) -> None:
        ends("elevation_m", derate, -500.0, 5000.0)


class TestCombustionRecord:
    # CO x 20.9/(20.9 - O2), by hand: 60 ppm at 5 %, 100 ppm at 4.84 %
    @pytest.mark.parametrize(("ppm", "o2", "air_free"), [(60, 5.0, 78.9), (100, 4.84, 130.1), (100, 0.0, 100.0)])
    def test_air_free(self, ppm: float, o2: float, air_free: float) -> None:
        assert co_air_free(ppm, o2) == pytest.approx(air_free, abs=0.05)

    @pytest.mark.parametrize("fuel", ["natural gas", "propane"])
    @pytest.mark.parametrize("excess", [0.0, 0.1, 0.2, 0.3, 0.5, 1.0])
    def test_co2_and_o2_are_those_of_stoichiometry(self, fuel: str, excess: float) -> None:
        """O2 of the dry gas counted in moles, air with 20.95 %. 0.1 point: 20.9, and 13.8 where moles give 13.72."""
        co2, oxygen = {"natural gas": (1, 2), "propane": (3, 5)}[fuel]
        dry = co2 + oxygen * excess + oxygen * (1 + excess) * 0.7905 / 0.2095
        assert co2_from_o2(100 * oxygen * excess / dry, fuel) == pytest.approx(co2_at(fuel, excess), abs=0.1)

    def test_most_co2(self) -> None:
        assert CO2_MAX == {"natural gas": 11.7, "propane": 13.8}
        assert co2_from_o2(0.0, "propane") == pytest.approx(13.8)
        assert co2_from_o2(20.9, "propane") == 0.0
        assert co2_from_o2(10.45, "natural gas") == pytest.approx(5.85)

    # CO/CO2 by hand
    @pytest.mark.parametrize(("ppm", "co2", "ratio"), [(90, 9.0, 0.001), (360, 9.0, 0.004), (100, 9.0, 0.001111)])
    def test_ratio(self, ppm: float, co2: float, ratio: float) -> None:
        assert co_ratio(ppm, co2) == pytest.approx(ratio, abs=5e-7)

    def test_ranges(self) -> None:
        ends("co_ppm", lambda c: co_air_free(c, 5.0), 0.0, 1e6)
        ends("o2_percent", lambda o: co_air_free(50, o), 0.0, 20.0)
        ends("o2_percent", lambda o: co2_from_o2(o, "propane"), 0.0, 20.9)
        ends("co_ppm", lambda c: co_ratio(c, 9.0), 0.0, 1e6)
        ends("co2_percent", lambda c: co_ratio(50, c), None, 20.0)
        open_end("co2_percent", lambda c: co_ratio(50, c), 0.0, 0.1)
        with pytest.raises(KeyError):
            co2_from_o2(5.0, "oil")


class TestFiring:
    LOW, HIGH = (1000.0, 6000.0), (5000.0, 30000.0)

    def test_ends_are_exact(self) -> None:
        assert input_at(1000.0, self.LOW, self.HIGH) == 6000.0
        assert input_at(5000.0, self.LOW, self.HIGH) == 30000.0

    def test_straight_between(self) -> None:
        assert input_at(2000.0, self.LOW, (5000.0, 22000.0)) == 10_000.0

    def test_fan_law(self) -> None:
        """Flow goes with speed: 150,000 Btu/h at 6,000 is 37,500 at 1,500 where low fire lies on that law too."""
        assert input_at(3000.0, (1500.0, 37_500.0), (6000.0, 150_000.0)) == pytest.approx(75_000.0)

    def test_turndown(self) -> None:
        assert turndown(37_500.0, 150_000.0) == 4.0
        assert turndown(5.0, 5.0) == 1.0

    def test_never_extrapolated(self) -> None:
        ends("fan_speed", lambda n: input_at(n, self.LOW, self.HIGH), 1000.0, 5000.0)
        open_end("low fan speed", lambda n: input_at(5000.0, (n, 6e3), self.HIGH), 5000.0, 4999.0)
        refuses("low fan speed", lambda: input_at(5000.0, (5001.0, 6e3), self.HIGH))
        ends("low fan speed", lambda n: input_at(5000.0, (n, 6e3), self.HIGH), 0.0, None)
        open_end("input_low_w", lambda q: turndown(q, 10.0), 0.0, 1.0)
        ends("input_low_w", lambda q: turndown(q, 1e12), None, 1e12)
        ends("input_high_w", lambda q: turndown(10.0, q), 10.0, 1e12)
        refuses("input_low_w", lambda: turndown(math.nan, 10.0))
