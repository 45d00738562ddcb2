"""Weather files: what is read, what is refused and in which words, and pvlib's reader on the same bytes."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pvlib
import pytest

from settingslint.files import weather as climate
from settingslint.files.weather import Stamp, follows, hours_of
from settingslint.model.values import Problem, Unreadable
from settingslint.physics.weather import Hours
from tests import make_climate
from tests.physics.test_weather import GREENSBORO, PORTFOLIO, ours, reference

TMY3_HEAD = '000000,"NOWHERE",XX,0.0,0.0,0.0,0\nDate (MM/DD/YYYY),Time (HH:MM),Dry-bulb (C)\n'


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


class TestReading:
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
            ("01/01/1999,05:00,70.1", "outside -70 to 70 C"),
            ("01/01/1999,05:00,-70.1", "outside -70 to 70 C"),
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
            (109, "dry-bulb temperature 99.9 C is missing, or outside -70 to 70 C"),
            (209, "no month, day and hour"),
        ]

    def test_rows_that_are_missing_double_or_moved_are_reported(self, tmp_path: Path) -> None:
        rows = tmy3()
        missing = problems(tmp_path, TMY3_HEAD + "\n".join(rows[:50] + rows[51:]))
        assert [(one.line, one.message) for one in missing] == [
            (53, "month 1 day 3 hour 4 comes after month 1 day 3 hour 2: rows are missing, double or moved")
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
            ("../c.csv", "is outside the portfolio's folder"),
            ("below/../../c.csv", "is outside the portfolio's folder"),
            ("link.csv", "is outside the portfolio's folder"),
            ("none.csv", "does not exist"),
            ("below", "is not a file"),
            ("a\0b", "not a valid file name"),
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
