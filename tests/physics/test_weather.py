"""What is made of a year's hours, against pvlib's reader on the TMY3 files in its wheel, and numpy."""

from __future__ import annotations

import math
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from settingslint.files.weather import hours_of
from settingslint.model.source import parse
from settingslint.physics import OutOfRange
from settingslint.physics.reset import Line, TwoPoints
from settingslint.physics.weather import (
    Hours,
    Short,
    Summary,
    bins,
    degree_days_of_daily_means,
    degree_days_of_hours,
    exceeded,
    hours_below_low_fire,
    hours_condensing,
    hours_short,
    summary,
)
from settingslint.units import Celsius, Kelvin
from tests.physics.kit import refuses

DATA = Path(pvlib.__file__).parent / "data"
GREENSBORO = "723170TYA.CSV"
SAND_POINT = "703165TY.csv"
PORTFOLIO = parse(b'name = "x"\nclimate = "c"\n', "somewhere/portfolio.toml")


@cache
def reference(name: str) -> Any:
    """Return the dry bulb that pvlib reads, as an array."""
    data, _ = pvlib.iotools.read_tmy3(DATA / name, map_variables=True)
    return data["temp_air"].to_numpy()


@cache
def ours(name: str) -> tuple[Summary, tuple[tuple[float, int], ...]]:
    hours = hours_of(DATA, name, PORTFOLIO)
    assert hours.summary is not None
    return hours.summary, hours.bins


class TestPackagedFiles:
    """pvlib 0.16.1: read_tmy3 on the files in its wheel (US government data). Sums of 8,760 decimals: 1e-6."""

    @pytest.mark.parametrize("name", [GREENSBORO, SAND_POINT])
    def test_summary_is_that_of_pvlib_and_numpy(self, name: str) -> None:
        found, _ = ours(name)
        t = reference(name)
        days = t.reshape(-1, 24).mean(axis=1)
        base = 65 / 1.8 - 32 / 1.8
        assert found.hours == len(t) == 8760
        assert found.mean == pytest.approx(t.mean(), abs=1e-9)
        assert (found.coldest, found.warmest) == (t.min(), t.max())
        assert found.cold_99 == pytest.approx(np.percentile(t, 1.0), abs=1e-9)
        assert found.degree_days_of_daily_means == pytest.approx(np.maximum(0, base - days).sum(), abs=1e-6)
        assert found.degree_days_of_hours == pytest.approx(np.maximum(0, base - t).sum() / 24, abs=1e-6)

    @pytest.mark.parametrize("name", [GREENSBORO, SAND_POINT])
    def test_bins_are_those_of_numpy(self, name: str) -> None:
        _, found = ours(name)
        t = reference(name)
        counts, edges = np.histogram(t, bins=np.arange(np.floor(t.min()), np.floor(t.max()) + 2))
        expected = {float(e): int(n) for e, n in zip(edges[:-1], counts, strict=True) if n}
        # numpy's last bin takes its upper edge in; there is no value on it here
        assert dict(found) == expected
        assert [edge for edge, _ in found] == sorted(expected)

    def test_greensboro_has_the_known_figures(self) -> None:
        found, by_bin = ours(GREENSBORO)
        assert found.place == "GREENSBORO PIEDMONT TRIAD INT, NC"
        assert found.mean == pytest.approx(14.42, abs=0.005)
        assert found.coldest == -16.7
        assert found.cold_99 == pytest.approx(-9.4, abs=1e-9)
        assert sum(n for edge, n in by_bin if edge < 0) == 792
        assert round(found.degree_days_of_daily_means) == 2153
        assert round(found.degree_days_of_hours) == 2250


class TestNumbers:
    @given(st.lists(st.floats(-60, 60), min_size=1, max_size=60), st.floats(0, 100))
    def test_percentile_is_numpys_linear_one(self, values: list[float], percent: float) -> None:
        # numpy "linear" is type 7 of Hyndman and Fan; ours rounds to 1e-9 K
        assert exceeded(values, percent) == pytest.approx(np.percentile(values, 100 - percent), abs=1e-7)

    @given(st.lists(st.floats(-60, 60), max_size=80))
    def test_bins_hold_every_hour_once_and_where_it_belongs(self, values: list[float]) -> None:
        found = bins(values)
        assert sum(n for _, n in found) == len(values)
        assert all(n == sum(edge <= one < edge + 1 for one in values) for edge, n in found)

    @given(st.lists(st.floats(-30, 40), min_size=24, max_size=24))
    def test_hours_give_at_least_the_degree_days_of_the_mean(self, values: list[float]) -> None:
        # Jensen: max(0, base - t) is convex
        assert degree_days_of_hours(values) >= degree_days_of_daily_means(values) - 1e-9

    def test_an_hour_at_the_base_adds_nothing(self) -> None:
        base = Celsius(18.0)
        assert degree_days_of_hours([18.0] * 24, base) == degree_days_of_daily_means([18.0] * 24, base) == 0.0
        assert degree_days_of_hours([17.0] * 24, base) == degree_days_of_daily_means([17.0] * 24, base) == 1.0
        assert degree_days_of_daily_means([17.0] * 24 + [20.0] * 24 + [10.0] * 24, base) == 9.0

    @pytest.mark.parametrize("percent", [-0.1, 100.1])
    def test_percentile_has_ends(self, percent: float) -> None:
        with pytest.raises(OutOfRange) as caught:
            exceeded([1.0], percent)
        assert caught.value.argument == "percent"
        assert exceeded([3.0, 1.0], 100.0) == 1.0
        assert exceeded([3.0, 1.0], 0.0) == 3.0

    def test_nothing_and_parts_of_days_are_refused(self) -> None:
        refuses("number of temperatures", lambda: summary("x", []), 0, between=(1, math.inf))
        refuses("hours of the last day", lambda: degree_days_of_daily_means([1.0] * 47), 23, between=(24, 24))


FLAT = Line(None, Celsius(50.0))
YEAR = Hours(((-10.0, 4), (-5.0, 7), (0.0, 100), (10.0, 0), (20.0, 1000)))


class TestHoursOfALine:
    def test_short_hours_by_hand(self) -> None:
        # middles -9.5, -4.5, 0.5: needs 59, 54, 49: short 9 K for 4 h and 4 K for 7 h
        found = hours_short(YEAR, FLAT, lambda o: Celsius(49.5 - o), Celsius(15.0))
        assert found == Short(11, 9 * 4 + 4 * 7, Kelvin(9.0), Celsius(-9.5))

    def test_a_shortfall_as_large_as_the_margin_is_put_up_with(self) -> None:
        def need(outdoor: Celsius) -> Celsius:
            return Celsius(49.5 - outdoor)

        assert hours_short(YEAR, FLAT, need, Celsius(15.0), margin=4.0).hours == 4
        assert hours_short(YEAR, FLAT, need, Celsius(15.0), margin=3.9).hours == 11
        assert hours_short(YEAR, FLAT, need, Celsius(15.0), margin=9.0) == Short(0, 0.0, Kelvin(0.0), None)

    def test_the_worst_may_be_in_mild_weather(self) -> None:
        found = hours_short(YEAR, FLAT, lambda o: Celsius(52.0 + o), Celsius(0.5))
        assert (found.worst, found.where, found.hours) == (2.5, 0.5, 100)
        # 0.25, 2.75 and 5.25 K
        found = hours_short(YEAR, FLAT, lambda o: Celsius(55.0 + o / 2), Celsius(0.5))
        assert (found.worst, found.where, found.hours) == (5.25, 0.5, 111)
        assert hours_short(YEAR, FLAT, lambda o: Celsius(60.0), Celsius(0.5)).where == -9.5

    def test_no_hour_counts_above_the_warmest_or_in_shutdown(self) -> None:
        always_short = Line(None, Celsius(20.0), shutdown=Celsius(-4.5))
        assert hours_short(YEAR, always_short, lambda o: Celsius(30.0), Celsius(15.0)).hours == 11
        assert hours_short(YEAR, FLAT, lambda o: Celsius(60.0), Celsius(-4.5)).hours == 11
        assert hours_short(YEAR, FLAT, lambda o: Celsius(60.0), Celsius(-4.6)).hours == 4

    def test_condensing_hours_by_hand(self) -> None:
        line = Line(TwoPoints(Celsius(70.0), Celsius(-10.5), Celsius(50.0), Celsius(9.5)), Celsius(80.0))
        # supply 69, 64, 59, (50): return 59, 54, 49
        assert hours_condensing(YEAR, line, lambda o: 10.0, Celsius(54.0), Celsius(15.0)) == 100
        assert hours_condensing(YEAR, line, lambda o: 10.0, Celsius(54.01), Celsius(15.0)) == 107
        assert hours_condensing(YEAR, line, lambda o: 10.0, Celsius(54.01), Celsius(0.5)) == 107
        assert hours_condensing(YEAR, line, lambda o: 10.0, Celsius(54.01), Celsius(0.4)) == 7
        assert hours_condensing(YEAR, line, lambda o: 10.0, Celsius(54.01), Celsius(25.0)) == 1107
        stopped = Line(line.style, line.setpoint, shutdown=Celsius(0.0))
        assert hours_condensing(YEAR, stopped, lambda o: 10.0, Celsius(54.01), Celsius(25.0)) == 7

    def test_hours_below_low_fire_by_hand(self) -> None:
        # loads 10,000, 7,500, 5,000 W and none at 20.5 C
        def load(outdoor: Celsius) -> float:
            return max(0.0, 500.0 * (10.5 - outdoor))

        assert hours_below_low_fire(YEAR, load, 7_500.0) == 100
        assert hours_below_low_fire(YEAR, load, 7_500.1) == 107
        assert hours_below_low_fire(YEAR, load, 20_000.0) == 111
        assert hours_below_low_fire(YEAR, lambda o: 0.5, 1.0) == 1111

    def test_hours_from_bins_are_near_those_of_the_hours_themselves(self) -> None:
        # half a bin moves the edge; at most the hours of one bin can be on the wrong side (331 h in the fullest here)
        t = reference(GREENSBORO)
        for low_fire in (2_000.0, 4_300.0, 7_777.0):
            exact = int(((18.0 - t > 0) & ((18.0 - t) * 300.0 < low_fire)).sum())
            hours = Hours(ours(GREENSBORO)[1])
            found = hours_below_low_fire(hours, lambda o: max(0.0, (18.0 - o) * 300.0), low_fire)
            assert abs(found - exact) <= 2 * max(n for _, n in hours.bins)

    def test_short_and_condensing_hours_are_near_those_of_the_hours_themselves(self) -> None:
        """The same line, need and drop in numpy on every hour that pvlib reads. Bins of 1 K: the hours of one bin at
        each edge, and half a kelvin of need, 0.65 K, on the largest shortfall."""
        t = reference(GREENSBORO)
        hours = Hours(ours(GREENSBORO)[1])
        fullest = max(n for _, n in hours.bins)
        line = Line(TwoPoints(Celsius(62.0), Celsius(-12.0), Celsius(25.0), Celsius(18.0)), Celsius(55.0))
        supply = np.minimum(55.0, 25.0 + 37.0 * np.clip((18.0 - t) / 30.0, 0.0, 1.0))

        def need(outdoor: Any) -> Any:
            return 20.0 + 1.3 * (18.0 - outdoor)

        def drop(outdoor: Any) -> Any:
            return 12.0 * (18.0 - outdoor) / 30.0

        cold = t <= 18.0
        short = np.where(cold, need(t) - supply, 0.0)
        found = hours_short(hours, line, need, Celsius(18.0))
        assert abs(found.hours - int((short > 0).sum())) <= fullest
        # 3 % here: half a kelvin is much of a shortfall of a few
        assert found.kelvin_hours == pytest.approx(short[short > 0].sum(), rel=0.04)
        assert found.worst == pytest.approx(short.max(), abs=0.65)
        assert found.where is not None and found.where - 0.5 <= t[short.argmax()] < found.where + 0.5
        for dew in (30.0, 36.0, 42.0):
            exact = int((cold & (supply - drop(t) < dew)).sum())
            assert abs(hours_condensing(hours, line, drop, Celsius(dew), Celsius(18.0)) - exact) <= 2 * fullest
