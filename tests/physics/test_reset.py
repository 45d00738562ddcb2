"""Reset lines against published ones, and their caps, floor and shutdown."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from settingslint.physics.emitter import Emitter, supply_need
from settingslint.physics.load import building_load
from settingslint.physics.reset import (
    STEP,
    Line,
    OneNumber,
    SlopeShift,
    TwoPoints,
    first_shortfall,
    grid,
    shortfall,
    worst_shortfall,
)
from settingslint.units import Celsius, Kelvin, Kind, celsius, from_si, kelvin
from tests.physics.kit import ends, open_end, refuses

C = Celsius
LINE = TwoPoints(C(80.0), C(-20.0), C(40.0), C(20.0))


def fahrenheit(t: Celsius | None) -> float:
    assert t is not None
    return from_si(t, Kind.POINT, "us")


class TestTwoPoints:
    # ASHRAE 90.1-2019 G3.1.3.4: 180 F at 20 F and below, 150 F at 50 F and above, ratably between (a public copy)
    @pytest.mark.parametrize(
        ("outdoor", "supply"), [(-10, 180), (20, 180), (25, 175), (35, 165), (45, 155), (50, 150), (60, 150)]
    )
    def test_line_of_the_energy_standard(self, outdoor: float, supply: float) -> None:
        line = TwoPoints(celsius(180), celsius(20), celsius(150), celsius(50))
        assert fahrenheit(line.supply(celsius(outdoor))) == pytest.approx(supply, abs=1e-9)

    # two published lines of consultants: 140 F at 10 F to 100 F at 50 F, 1.0 F for each F; 180 F at 0 F to 120 F at
    # 45 F, 1.333 F for each F
    @pytest.mark.parametrize(
        ("hot", "cold", "cool", "warm", "slope"), [(140, 10, 100, 50, 1), (180, 0, 120, 45, 4 / 3)]
    )
    def test_slope_of_published_lines(self, hot: float, cold: float, cool: float, warm: float, slope: float) -> None:
        line = TwoPoints(celsius(hot), celsius(cold), celsius(cool), celsius(warm))
        assert line.supply(C(3.0)) - line.supply(C(4.0)) == pytest.approx(slope, abs=1e-9)

    @given(st.floats(-60, 60), st.floats(0.01, 20))
    def test_never_colder_as_it_gets_colder_nor_beyond_its_ends(self, outdoor: float, colder: float) -> None:
        assert 40.0 <= LINE.supply(C(outdoor)) <= LINE.supply(C(outdoor - colder)) <= 80.0

    def test_level_from_its_very_ends(self) -> None:
        assert [LINE.supply(C(o)) for o in (-20.1, -20.0, 20.0, 20.1)] == [80.0, 80.0, 40.0, 40.0]
        assert LINE.supply(C(-19.9)) < 80.0
        assert LINE.supply(C(19.9)) > 40.0

    def test_ends_in_the_wrong_order_are_refused(self) -> None:
        open_end("cold_outdoor", lambda o: TwoPoints(C(80), C(o), C(40), C(20)).supply(C(0)), 20.0, 19.9)
        refuses("cold_outdoor", lambda: TwoPoints(C(80), C(21), C(40), C(20)).supply(C(0)))
        ends("cold_outdoor", lambda o: TwoPoints(C(80), C(o), C(40), C(20)).supply(C(0)), -273.15, None)

    @pytest.mark.parametrize("style", [LINE, SlopeShift(1.2, Kelvin(0), C(20)), OneNumber(C(25), C(75), C(-15))])
    def test_an_outdoor_temperature_that_is_none_is_refused(self, style: TwoPoints | SlopeShift | OneNumber) -> None:
        ends("outdoor", lambda o: style.supply(C(o)), -273.15, 1000.0)


class TestSlopeShift:
    # straight form of metric practice, common practice, no source: by hand
    @pytest.mark.parametrize(
        ("slope", "shift", "outdoor", "supply"),
        [(1.2, 0, -10, 56.0), (1.2, 5, -10, 61.0), (0.5, 0, 0, 30.0), (1.2, -3, 20, 17.0), (1.2, -3, 30, 17.0)],
    )
    def test_by_hand(self, slope: float, shift: float, outdoor: float, supply: float) -> None:
        assert SlopeShift(slope, Kelvin(shift), C(20)).supply(C(outdoor)) == pytest.approx(supply)

    def test_slope_of_a_line_of_two_points(self) -> None:
        # 180 F at 0 F, 110 F at 65 F: 70/65 = 1.08
        line = SlopeShift(70 / 65, kelvin(110 - 65), celsius(65))
        two = TwoPoints(celsius(180), celsius(0), celsius(110), celsius(65))
        for outdoor in (0, 20, 40, 65):
            assert line.supply(celsius(outdoor)) == pytest.approx(two.supply(celsius(outdoor)), abs=1e-9)


class TestOneNumber:
    def test_by_hand(self) -> None:
        # from 25 C at 25 C to 75 C at -15 C: 1.25 K for each K
        line = OneNumber(C(25), C(75), C(-15))
        assert [line.supply(C(o)) for o in (-30, -15, -14, 5, 25, 30)] == pytest.approx([75, 75, 73.75, 50, 25, 25])

    @given(st.floats(-40, 40), st.floats(0, 30))
    def test_an_end_at_the_set_point_is_no_reset(self, outdoor: float, more: float) -> None:
        """Common practice, no source."""
        assert OneNumber(C(60 + more), C(60), C(-15)).supply(C(outdoor)) == 60.0

    def test_a_lower_end_is_a_reset(self) -> None:
        assert OneNumber(C(59), C(60), C(-15)).supply(C(59)) == 59.0

    @given(st.floats(-14, 50), st.floats(0, 1))
    def test_outdoor_and_water_are_equal_where_it_ends(self, endpoint: float, share: float) -> None:
        line = OneNumber(C(endpoint), C(75), C(-15))
        assert line.supply(C(endpoint)) == pytest.approx(endpoint)
        between = C(-15 + share * (endpoint + 15))
        assert endpoint - 1e-9 <= line.supply(between) <= 75

    def test_an_end_colder_than_the_cold_end_is_refused(self) -> None:
        open_end("cold_outdoor", lambda o: OneNumber(C(10), C(75), C(o)).supply(C(0)), 10.0, 9.9)


class TestCaps:
    @pytest.mark.parametrize(
        ("line", "supplies"),
        [
            (Line(LINE, C(90)), (80, 60, 40)),
            (Line(LINE, C(70)), (70, 60, 40)),
            (Line(LINE, C(90), maximum=C(55)), (55, 55, 40)),
            (Line(LINE, C(90), minimum=C(65)), (80, 65, 65)),
            (Line(LINE, C(90), maximum=C(50), minimum=C(65)), (50, 50, 50)),
            (Line(LINE, C(45), minimum=C(65)), (45, 45, 45)),
            (Line(None, C(75)), (75, 75, 75)),
            (Line(None, C(75), maximum=C(70)), (70, 70, 70)),
            (Line(None, C(75), minimum=C(80)), (75, 75, 75)),
            (Line(LINE, C(90), shutdown=C(0)), (80, 60, None)),
            (Line(LINE, C(90), shutdown=C(-0.1)), (80, None, None)),
            (Line(None, C(75), shutdown=C(20)), (75, 75, 75)),
        ],
    )
    def test_by_hand(self, line: Line, supplies: tuple[float | None, ...]) -> None:
        assert tuple(line.supply(C(o)) for o in (-20, 0, 20)) == supplies

    @given(
        st.sampled_from([None, LINE, SlopeShift(2.0, Kelvin(5.0), C(20)), OneNumber(C(25), C(85), C(-15))]),
        st.floats(20, 100), st.none() | st.floats(20, 100), st.none() | st.floats(20, 100), st.floats(-50, 50),
    )  # fmt: skip
    def test_a_line_never_passes_its_caps(
        self,
        style: TwoPoints | SlopeShift | OneNumber | None,
        setpoint: float,
        maximum: float | None,
        minimum: float | None,
        outdoor: float,
    ) -> None:
        line = Line(
            style,
            C(setpoint),
            None if maximum is None else C(maximum),
            None if minimum is None else C(minimum),
        )
        supply = line.supply(C(outdoor))
        assert supply is not None
        caps = [setpoint] + ([] if maximum is None else [maximum])
        assert supply <= min(caps)
        assert minimum is None or supply >= min(minimum, *caps)


EMITTER = Emitter("panel radiator", C(70.0), C(55.0), 1.3)


def need(outdoor: Celsius) -> Celsius:
    return supply_need(EMITTER, building_load(outdoor, 1.0, C(16), C(-15)), C(20))


class TestShortfall:
    def test_line_and_need_agree_at_design(self) -> None:
        for style in (
            None,
            OneNumber(C(25), C(70), C(-15)),
            TwoPoints(C(70), C(-15), C(30), C(16)),
            SlopeShift(50 / 35, Kelvin(0), C(20)),
        ):
            assert shortfall(Line(style, C(70)), need, C(-15)) == pytest.approx(0.0, abs=1e-9)

    @given(st.floats(-30, 16), st.floats(100, 190), st.floats(0, 30), st.floats(50, 75))
    def test_us_and_metric_give_the_same(self, outdoor: float, hot: float, drop: float, room: float) -> None:
        """The line and the need with every number in Fahrenheit, by the same formulas: rounding alone differs."""
        o = outdoor * 1.8 + 32
        cold, balance = 5.0, 61.0
        share = max(0.0, (balance - o) / (balance - cold))
        room = min(room, hot - drop - 10)
        mean = room + (hot - drop / 2 - room) * share ** (1 / 1.3)
        line_f = 90 + (hot - 90) * min(1.0, max(0.0, (balance - o) / (balance - cold)))
        expected = (mean + drop * share / 2 - line_f) / 1.8
        one = Emitter("x", celsius(hot), celsius(hot - drop), 1.3)
        line = Line(TwoPoints(celsius(hot), celsius(cold), celsius(90), celsius(balance)), celsius(hot))
        found = shortfall(
            line,
            lambda t: supply_need(one, building_load(t, 1.0, celsius(balance), celsius(cold)), celsius(room)),
            C(outdoor),
        )
        assert found == pytest.approx(expected, abs=1e-6)

    def test_straight_line_is_shortest_where_calculus_says(self) -> None:
        """Line and curve share both ends; the gap is largest at x = n^(-n/(n - 1)) = 0.3208 for n = 1.3, 9.624 % of
        the design excess (calculus). The search grid is half a kelvin of 31, and the drop falls out at 0."""
        flat = Emitter("x", C(70), C(70), 1.3)

        def curve(outdoor: Celsius) -> Celsius:
            return supply_need(flat, building_load(outdoor, 1.0, C(16), C(-15)), C(20))

        line = Line(TwoPoints(C(70), C(-15), C(20), C(16)), C(70))
        where, short = worst_shortfall(line, curve, C(-15), C(16))
        assert short == pytest.approx(0.09624 * 50, abs=0.005)
        assert where == pytest.approx(16 - 0.3208 * 31, abs=STEP)

    def test_nothing_short_is_negative(self) -> None:
        where, short = worst_shortfall(Line(None, C(75)), need, C(-15), C(16))
        assert where == -15.0
        assert short == pytest.approx(-5.0)
        assert first_shortfall(Line(None, C(75)), need, C(-15), C(16)) is None

    def test_first_shortfall_by_hand(self) -> None:
        # need 50 - o against a level 60: short below -10
        line = Line(None, C(60))
        assert first_shortfall(line, lambda o: C(50 - o), C(-20), C(15)) == -10.5
        assert first_shortfall(line, lambda o: C(50 - o), C(-20), C(15), margin=2.0) == -12.5
        assert first_shortfall(line, lambda o: C(50 - o), C(-20), C(15), margin=10.0) is None
        assert first_shortfall(line, lambda o: C(50 - o), C(-20), C(15), margin=9.9) == -20.0

    def test_no_shortfall_is_counted_in_shutdown(self) -> None:
        line = Line(None, C(20), shutdown=C(0))
        assert shortfall(line, need, C(0.5)) is None
        assert shortfall(line, need, C(0)) is not None
        assert first_shortfall(line, need, C(-15), C(16)) == 0.0
        assert worst_shortfall(line, need, C(-15), C(16))[0] == -15.0
        refuses("shutdown", lambda: worst_shortfall(Line(None, C(60), shutdown=C(-20)), need, C(-15), C(16)), -20.0)
        refuses("shutdown", lambda: worst_shortfall(Line(None, C(60), shutdown=C(0)), need, C(1), C(16)), 0.0)


class TestGrid:
    def test_both_ends_and_steps(self) -> None:
        assert list(grid(C(-1), C(1))) == [-1.0, -0.5, 0.0, 0.5, 1.0]
        assert list(grid(C(0), C(0.1))) == [0.0, pytest.approx(0.1)]

    def test_the_coldest_is_not_warmer_than_the_warmest(self) -> None:
        ends("coldest", lambda o: list(grid(C(o), C(-270))), -273.15, -270.0)

    @given(st.floats(-40, 10), st.floats(0.01, 60))
    def test_steps_are_even_and_near_half_a_kelvin(self, cold: float, span: float) -> None:
        found = list(grid(C(cold), C(cold + span)))
        assert found[0] == cold
        assert found[-1] == pytest.approx(cold + span, abs=1e-9)
        steps = [b - a for a, b in pairwise(found)]
        assert max(steps) - min(steps) < 1e-9
        assert span < 0.75 or 0.33 < steps[0] < 0.76
        assert not math.isnan(sum(found))


def test_ranges_of_the_line_are_told_by_the_style() -> None:
    refuses("cold_outdoor", lambda: Line(TwoPoints(C(80), C(math.nan), C(40), C(20)), C(80)).supply(C(0)))
    refuses("cold_outdoor", lambda: Line(OneNumber(C(20), C(80), C(25)), C(80)).supply(C(0)), 25.0)
