"""Weather files and what is made of them, against pvlib's reader on the TMY3 files in its wheel, and numpy."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any

import numpy as np
import pvlib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from settingslint import climate
from settingslint.climate import Stamp, follows, hours_of
from settingslint.model.source import parse
from settingslint.model.values import Problem, Unreadable
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
from tests import make_climate

DATA = Path(pvlib.__file__).parent / "data"
GREENSBORO = "723170TYA.CSV"
SAND_POINT = "703165TY.csv"
PORTFOLIO = parse(b'name = "x"\nclimate = "c"\n', "somewhere/portfolio.toml")
TMY3_HEAD = '000000,"NOWHERE",XX,0.0,0.0,0.0,0\nDate (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C)\n'


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


def stamps() -> Iterator[tuple[int, int, int]]:
    for month, last in enumerate((31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31), start=1):
        for day in range(1, last + 1):
            for hour in range(1, 25):
                yield month, day, hour


def tmy3(temperature: Callable[[int], float] = lambda n: n % 40 - 10.0) -> list[str]:
    """Return the rows of a year, without the two lines above them."""
    return [f"{m:02}/{d:02}/1999,{h:02}:00,{temperature(n):.1f}" for n, (m, d, h) in enumerate(stamps())]


def epw(temperature: Callable[[int], float] = lambda n: n % 40 - 10.0) -> str:
    """Return a whole EPW file: eight lines of header and 35 fields a row, as its data dictionary has them."""
    head = [
        "LOCATION,Nowhere,Somewhere,XXX,invented,000000,0.0,0.0,0.0,0.0",
        "DESIGN CONDITIONS,0",
        "TYPICAL/EXTREME PERIODS,0",
        "GROUND TEMPERATURES,0",
        "HOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0",
        "COMMENTS 1,invented",
        "COMMENTS 2,invented",
        "DATA PERIODS,1,1,Data,Sunday,1/1,12/31",
    ]
    rest = ",".join(["?", "{}", "1.0"] + ["0"] * 27)
    rows = [f"1999,{m},{d},{h},60," + rest.format(f"{temperature(n):.1f}") for n, (m, d, h) in enumerate(stamps())]
    return "\n".join(head + rows) + "\n"


def read(folder: Path, text: str | bytes, name: str = "c.csv") -> Hours:
    (folder / name).write_bytes(text if isinstance(text, bytes) else text.encode())
    return hours_of(folder, name, PORTFOLIO)


def problems(folder: Path, text: str | bytes, name: str = "c.csv") -> list[Problem]:
    with pytest.raises(Unreadable) as caught:
        read(folder, text, name)
    return caught.value.problems


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

    def test_an_epw_of_the_same_hours_reads_the_same(self, tmp_path: Path) -> None:
        t = reference(GREENSBORO)
        text = epw(lambda n: float(t[n]))
        hours = read(tmp_path, text, "c.epw")
        data, meta = pvlib.iotools.read_epw(tmp_path / "c.epw")
        assert list(data["temp_air"]) == list(t)
        assert hours.bins == ours(GREENSBORO)[1]
        assert hours.summary is not None
        assert hours.summary.place == f"{meta['city']}, {meta['state-prov']}, {meta['country']}"
        assert hours.summary.mean == ours(GREENSBORO)[0].mean


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
        with pytest.raises(OutOfRange, match="temperatures"):
            summary("x", [])
        with pytest.raises(OutOfRange, match="hours of the last day = 23"):
            degree_days_of_daily_means([1.0] * 47)


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

    def test_hours_from_bins_are_near_those_of_the_hours_themselves(self) -> None:
        # half a bin moves the edge; at most the hours of one bin can be on the wrong side (331 h in the fullest here)
        t = reference(GREENSBORO)
        for low_fire in (2_000.0, 4_300.0, 7_777.0):
            exact = int(((18.0 - t > 0) & ((18.0 - t) * 300.0 < low_fire)).sum())
            hours = Hours(ours(GREENSBORO)[1])
            found = hours_below_low_fire(hours, lambda o: max(0.0, (18.0 - o) * 300.0), low_fire)
            assert abs(found - exact) <= 2 * max(n for _, n in hours.bins)


class TestReading:
    def test_a_year_is_read(self, tmp_path: Path) -> None:
        hours = read(tmp_path, TMY3_HEAD + "\n".join(tmy3()) + "\n")
        assert sum(n for _, n in hours.bins) == 8760
        assert hours.summary is not None
        assert (hours.summary.place, hours.summary.coldest, hours.summary.warmest) == ("NOWHERE, XX", -10.0, 29.0)

    def test_line_ends_marks_and_empty_lines_do_not_matter(self, tmp_path: Path) -> None:
        plain = read(tmp_path, TMY3_HEAD + "\n".join(tmp := tmy3()) + "\n")
        other = ("\ufeff" + TMY3_HEAD + "\n".join(tmp) + "\n\n").replace("\n", "\r\n")
        assert read(tmp_path, other) == plain

    def test_columns_are_found_by_name(self, tmp_path: Path) -> None:
        head = "1,A,B,0,0,0,0\nDry-bulb (C),x,Time (HH:MM),Date (MM/DD/YYYY),y\n"
        rows = [",".join((t, "9", hour, day, "9")) for day, hour, t in (row.split(",") for row in tmy3())]
        assert read(tmp_path, head + "\n".join(rows)).bins == read(tmp_path, TMY3_HEAD + "\n".join(tmy3())).bins

    def test_a_leap_year_is_a_year(self, tmp_path: Path) -> None:
        rows = tmy3()
        at = (31 + 28) * 24
        leap = rows[:at] + [f"02/29/2000,{hour:02}:00,1.0" for hour in range(1, 25)] + rows[at:]
        hours = read(tmp_path, TMY3_HEAD + "\n".join(leap))
        assert hours.summary is not None
        assert hours.summary.hours == 8784

    @pytest.mark.parametrize(
        ("row", "words"),
        [
            ("01/01/1999,05:00,-9900", "dry-bulb temperature -9900 C is missing"),
            ("01/01/1999,05:00,99.9", "dry-bulb temperature 99.9 C is missing"),
            ("01/01/1999,05:00,70.1", "lies outside -70 to 70 C"),
            ("01/01/1999,05:00,-70.1", "lies outside -70 to 70 C"),
            ("01/01/1999,05:00,", "no dry-bulb temperature: nothing"),
            ("01/01/1999,05:00", "no dry-bulb temperature: nothing"),
            ("01/01/1999,05:00,nan", "no dry-bulb temperature: nan"),
            ("01/01/1999,05:00,1e1", "no dry-bulb temperature: 1e1"),
            ("01/01/1999,05:00,1_0", "no dry-bulb temperature: 1_0"),
            ("01/01/1999,05:00,\x1b[2J", "no dry-bulb temperature: \\x1b[2J"),
            ("01/01/1999,05:30,1.0", "no month, day and hour: 01/01 05:30"),
            ("1999-01-01,05:00,1.0", "no month, day and hour"),
            ("13/01/1999,05:00,1.0", "no such month, day or hour"),
            ("00/01/1999,05:00,1.0", "no such month, day or hour"),
            ("02/30/1999,05:00,1.0", "no such month, day or hour"),
            ("01/00/1999,05:00,1.0", "no such month, day or hour"),
            ("01/01/1999,25:00,1.0", "no such month, day or hour"),
            ("01/01/1999,00:00,1.0", "no such month, day or hour"),
        ],
    )
    def test_a_bad_row_is_reported_with_its_line(self, row: str, words: str, tmp_path: Path) -> None:
        rows = tmy3()
        rows[4] = row
        found = problems(tmp_path, TMY3_HEAD + "\n".join(rows))
        assert [(one.file, one.line, one.column) for one in found] == [("somewhere/c.csv", 7, 1)]
        assert words in found[0].message

    @pytest.mark.parametrize("temperature", ["70", "-70.0", "+3", "7.", " 1.5"])
    def test_numbers_at_the_ends_and_in_all_forms_are_read(self, temperature: str, tmp_path: Path) -> None:
        rows = tmy3()
        rows[4] = f"01/01/1999,05:00,{temperature}"
        assert sum(n for _, n in read(tmp_path, TMY3_HEAD + "\n".join(rows)).bins) == 8760

    def test_a_bad_row_of_an_epw_is_reported_with_its_line(self, tmp_path: Path) -> None:
        lines = epw().splitlines()
        lines[8 + 100] = lines[8 + 100].replace(",?,", ",?,99.9,", 1)
        lines[8 + 200] = "1999,1,9"
        found = problems(tmp_path, "\n".join(lines), "c.epw")
        assert [(one.line, one.message.split(":")[0]) for one in found] == [
            (109, "dry-bulb temperature 99.9 C is missing, or lies outside -70 to 70 C"),
            (209, "no month, day and hour"),
        ]

    def test_rows_that_are_missing_double_or_moved_are_reported(self, tmp_path: Path) -> None:
        rows = tmy3()
        missing = problems(tmp_path, TMY3_HEAD + "\n".join(rows[:50] + rows[51:]))
        assert [(one.line, one.message) for one in missing] == [
            (53, "month 1 day 3 hour 4 stands after month 1 day 3 hour 2: rows are missing, double or moved")
        ]
        assert [one.line for one in problems(tmp_path, TMY3_HEAD + "\n".join(rows[:50] + rows[49:]))] == [53]

    def test_many_bad_rows_are_counted(self, tmp_path: Path) -> None:
        rows = tmy3()
        found = problems(tmp_path, TMY3_HEAD + "\n".join([row.replace("/1999", "") for row in rows]))
        assert len(found) == climate.MOST_PROBLEMS + 1
        assert found[-1].message == f"and {8760 - climate.MOST_PROBLEMS:,} more bad rows"
        rows[: climate.MOST_PROBLEMS] = [row.replace("/1999", "") for row in rows[: climate.MOST_PROBLEMS]]
        assert len(problems(tmp_path, TMY3_HEAD + "\n".join(rows))) == climate.MOST_PROBLEMS

    def test_part_of_a_year_is_refused(self, tmp_path: Path) -> None:
        found = problems(tmp_path, TMY3_HEAD + "\n".join(tmy3()[:-1]))
        assert [(one.line, one.message) for one in found] == [
            (8761, "8,759 rows: a year of hours has 8,760, or 8,784 with 29 February")
        ]
        assert "0 rows" in problems(tmp_path, TMY3_HEAD)[0].message
        assert "17,520 rows" in problems(tmp_path, TMY3_HEAD + "\n".join(tmy3() * 2))[0].message

    @pytest.mark.parametrize("text", ["", "\n", "a,b\nc,d\n", "Date (MM/DD/YYYY)\n", "\0\xff" * 50, '"' * 99])
    def test_another_format_is_refused(self, text: str, tmp_path: Path) -> None:
        (found,) = problems(tmp_path, text)
        assert found.line == 1
        assert "neither EPW" in found.message

    def test_an_endless_row_is_refused(self, tmp_path: Path) -> None:
        rows = tmy3()
        rows[1] += "," * (climate.LONGEST_ROW - len(rows[1]) - 1)
        assert read(tmp_path, TMY3_HEAD + "\n".join(rows)).summary is not None
        rows[1] += "," * 2
        (found,) = problems(tmp_path, TMY3_HEAD + "\n".join(rows))
        assert found.message == "line 4 is longer than 20,000 bytes"

    def test_size_has_a_limit(self, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
        text = TMY3_HEAD + "\n".join(tmy3())
        monkeypatch.setattr(climate, "LARGEST_WEATHER", len(text))
        assert read(tmp_path, text).summary is not None
        monkeypatch.setattr(climate, "LARGEST_WEATHER", len(text) - 1)
        (found,) = problems(tmp_path, text)
        assert (found.file, found.line) == ("somewhere/portfolio.toml", 2)
        assert "is larger than" in found.message

    @pytest.mark.parametrize(
        ("name", "words"),
        [
            ("../c.csv", "lies outside the portfolio's folder"),
            ("below/../../c.csv", "lies outside the portfolio's folder"),
            ("link.csv", "lies outside the portfolio's folder"),
            ("none.csv", "does not exist"),
            ("below", "is not a file"),
            ("a\0b", "no name of a file"),
        ],
    )
    def test_the_file_must_be_below_the_portfolio(self, name: str, words: str, tmp_path: Path) -> None:
        root = tmp_path / "portfolio"
        (root / "below").mkdir(parents=True)
        (tmp_path / "c.csv").write_text(TMY3_HEAD + "\n".join(tmy3()))
        (root / "link.csv").symlink_to(tmp_path / "c.csv")
        with pytest.raises(Unreadable) as caught:
            hours_of(root, name, PORTFOLIO)
        (found,) = caught.value.problems
        assert (found.file, found.line) == ("somewhere/portfolio.toml", 2)
        assert words in found.message

    def test_an_absolute_path_is_outside(self, tmp_path: Path) -> None:
        (tmp_path / "c.csv").write_text("x")
        with pytest.raises(Unreadable, match="outside"):
            hours_of(tmp_path / "portfolio", str(tmp_path / "c.csv"), PORTFOLIO)

    def test_every_hour_of_a_year_follows_the_one_before(self) -> None:
        year = [Stamp(*one) for one in stamps()]
        assert all(follows(a, b) for a, b in zip(year, year[1:] + year[:1], strict=True))
        assert not any(follows(a, b) for a, b in zip(year, year, strict=True))
        assert not any(follows(a, b) for a, b in zip(year, year[2:], strict=False))
        assert follows(Stamp(2, 29, 24), Stamp(3, 1, 1))
        assert not follows(Stamp(2, 27, 24), Stamp(3, 1, 1))


class TestSyntheticClimate:
    def test_the_file_is_what_its_maker_makes(self) -> None:
        assert make_climate.FILE.read_text(encoding="utf-8") == make_climate.text()

    def test_it_says_that_it_is_invented(self) -> None:
        hours = hours_of(make_climate.FILE.parents[1], "climate/" + make_climate.FILE.name, PORTFOLIO)
        assert hours.summary is not None
        assert hours.summary.place.startswith("SYNTHETIC - INVENTED YEAR - NOT MEASURED ANYWHERE")
        assert -20.0 < hours.summary.cold_99 < -5.0

    def test_pvlib_reads_the_same(self) -> None:
        data, _ = pvlib.iotools.read_tmy3(make_climate.FILE, map_variables=True)
        assert list(data["temp_air"]) == list(make_climate.temperatures())
